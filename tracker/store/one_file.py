"""One file of the store while it is open: a quilt's, with its taps, or the room's."""

from __future__ import annotations

import contextlib
import copy
import threading
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from tracker.store.disk import StoreFault
from tracker.store.journal import JournalDatabase, JournalStorage, JournalTable
from tracker.store.records import Document, FileState, plain


class OneFile:
    """One file: facts about something, changed durably, by one thread at a time."""

    def __init__(self, storage: JournalStorage, before_change: Callable[[], None]) -> None:
        self._storage = storage
        self._database = JournalDatabase(storage)
        self._about = self._database.table("about")
        self._before_change = before_change
        self._lock = threading.RLock()

    @property
    def about(self) -> Document:
        """The facts: a copy, which may be changed freely."""
        return copy.deepcopy(dict(self._storage.state.tables["about"]["1"]))

    @property
    def facts(self) -> Mapping[str, Any]:
        """The facts as they are now: not a copy, not to be changed. A change of them makes others."""
        return self._storage.state.tables["about"]["1"]

    def set_about(self, **changes: Any) -> None:
        """Set these facts and keep the others; on disk when this returns. StoreFault."""
        with self._lock:
            self._before_change()
            self._about.update({key: plain(value, key) for key, value in changes.items()}, doc_ids=[1])

    @property
    def version(self) -> int:
        """Greater after each change, and never smaller again, over restarts too."""
        return self._storage.state.version

    @property
    def state(self) -> FileState:
        """All that stands in the file."""
        return self._storage.state

    def close(self, fault: StoreFault | None = None) -> None:
        """Take no change any more: who tries is told the fault."""
        self._storage.close(fault)

    @contextlib.contextmanager
    def turn(self) -> Iterator[None]:
        """Hold this round reading, deciding and appending: no other thread changes it meanwhile. May be nested."""
        with self._lock:
            yield


class Room(OneFile):
    """Facts that concern all quilts."""


@dataclass(frozen=True)
class Moment:
    """A quilt as it was at one version: facts about it (not to be changed), and how many taps there were."""

    version: int
    facts: Mapping[str, Any]
    taps: int


class StoredQuilt(OneFile):
    """One quilt: facts about it, and its taps in order."""

    def __init__(self, storage: JournalStorage, before_change: Callable[[], None]) -> None:
        super().__init__(storage, before_change)
        self._table = cast(JournalTable, self._database.table("taps"))
        self._taps: list[Document] = list(storage.state.tables.get("taps", {}).values())
        self._ids = {tap["id"] for tap in self._taps}

    @property
    def id(self) -> str:
        return self._storage.state.name

    @property
    def made(self) -> int:
        """Quilts made later have a greater number."""
        return self._storage.state.made

    @property
    def taps(self) -> Sequence[Document]:
        """All taps in order: not a copy, not to be changed. It grows when taps arrive; take a turn to keep it still."""
        return self._taps

    def moment(self) -> Moment:
        """How it stands now, all at one version."""
        with self._lock:
            return Moment(self.version, self.facts, len(self._taps))

    def has(self, tap_id: str) -> bool:
        """Whether a tap with this id is there."""
        return tap_id in self._ids

    def append(self, tap: Document) -> bool:
        """Add a tap, which has an "id" of its own. True: it is on disk now. False: it was there already. StoreFault."""
        return self.append_all([tap]) == 1

    def append_all(self, taps: Iterable[Document]) -> int:
        """Add the taps whose ids are not there yet, all or none; gives how many, which are on disk now. StoreFault."""
        with self._lock:
            fresh = fresh_taps(taps, self._ids)
            if fresh:
                self._before_change()
                numbers = self._table.insert_multiple(fresh.values())
                written = self._storage.state.tables["taps"]
                self._taps.extend(written[str(number)] for number in numbers)
                self._ids.update(fresh)
            return len(fresh)

    def append_with(self, tap: Document, after: Iterable[Document] = (), **changes: Any) -> bool:
        """Add a tap, with others `after` it, and set these facts as one change: all is on disk when this returns, or
        nothing. StoreFault.

        False where the tap was there already: then nothing is changed.
        """
        with self._lock:
            fresh = fresh_taps([tap, *after], self._ids)
            if tap["id"] not in fresh:
                return False
            self._before_change()
            facts = {"about": {"1": {key: plain(value, key) for key, value in changes.items()}}}
            numbers = self._table.insert_with(fresh.values(), facts)
            written = self._storage.state.tables["taps"]
            self._taps.extend(written[str(number)] for number in numbers)
            self._ids.update(fresh)
            return True


def fresh_taps(taps: Iterable[Document], known: Container[str] = ()) -> dict[str, Document]:
    """Copies of the taps whose ids are not known, by id, each once and in order. StoreFault "not storable"."""
    fresh: dict[str, Document] = {}
    for tap in taps:
        tap_id = tap.get("id")
        if not isinstance(tap_id, str) or not tap_id:
            raise StoreFault("not storable", where="The tap", why="it has no id")
        if tap_id not in known and tap_id not in fresh:
            fresh[tap_id] = plain(tap, "tap")
    return fresh
