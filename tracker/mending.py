"""Opening the store's files: reading them, mending what is damaged from all that can be read, and saying so."""

from __future__ import annotations

import contextlib
import logging
import secrets
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from tracker.copies import Copies
from tracker.disk import StoreFault, second_name, sync
from tracker.journal import JournalStorage
from tracker.records import Document, Entry, Log, State, fresh_history, migrate, read_log, read_version

LEAP = 1_000_000
"""Added to the version of a mended file: more than the number of changes that may have been lost from it, so that
a page which saw those changes still takes what comes now for newer."""


logger = logging.getLogger("tracker.store")

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


@dataclass(frozen=True)
class Finding:
    """Something that was wrong on the disk and what was done about it. str() is a sentence for a person.

    `kind` is unfinished, mended, restored, put back, unreadable, written again, or copies; `file` is its name.
    """

    kind: str
    file: str
    sentence: str

    def __str__(self) -> str:
        return self.sentence


@dataclass(frozen=True)
class Mended:
    """What could be put together of a file, and what is known to be missing.

    `whole`: every change that the damaged file shows any trace of is there. `lost`: so many changes at least are not.
    """

    state: State
    whole: bool
    lost: int


def needs_mending(log: Log, copies: Iterable[Path]) -> bool:
    """Whether a file is damaged, or ends earlier than its newest readable copy does."""
    if not log.sound:
        return True
    for copy in copies:
        with contextlib.suppress(OSError, StoreFault):
            return read_version(copy) > log.version
    return False


def mend(log: Log | None, others: Iterable[Path]) -> Mended | None:
    """The latest state that follows, line by line, from any snapshot in the file or its other copies.

    Takes what was read of the file itself (None where it is missing) and the copies, the best first. None where no
    snapshot can be read at all.
    """
    logs = [log] if log else []
    for path in others:
        # A copy that cannot be read, or is of a newer format, cannot help.
        with contextlib.suppress(OSError, StoreFault):
            logs.append(read_log(path))
    pool: dict[str, Entry] = {}
    for source in reversed(logs):
        # The better source comes last and wins.
        pool |= {entry.follows: entry for entry in source.entries + source.later}
    best: State | None = None
    for source in logs:
        if source.base is not None:
            state = _replay(source.base, pool)
            if best is None or state.version > best.version:
                best = state
    if best is None:
        return None
    lost = max(source.highest for source in logs) - best.version
    whole = log is not None and log.ended and log.later != [] and lost == 0
    best.version += LEAP
    best.last = fresh_history()
    return Mended(best, whole, lost)


def _replay(state: State, pool: dict[str, Entry]) -> State:
    while (entry := pool.get(state.last)) is not None and entry.version > state.version:
        state.apply(entry)
    return state


class Filing:
    """Opens, makes and mends the files of one folder. What had to be done is added to `findings`."""

    def __init__(self, folder: Path, copies: Copies, today: Callable[[], date]) -> None:
        self.folder = folder
        self.findings: list[Finding] = []
        self._copies = copies
        self._today = today

    def find(self, kind: str, name: str, sentence: str) -> None:
        self._add(Finding(kind, name, sentence))

    def _add(self, finding: Finding) -> None:
        self.findings.append(finding)
        logger.warning("found on the disk: %s %s", finding.file, finding.kind)

    def make(self, name: str, made: int, about: Document, taps: list[Document], newer_than: int = 0) -> JournalStorage:
        """A file with these tables, on disk when this returns, of a version greater than one that was seen."""
        tables = {"about": {"1": about}, "taps": {str(number): tap for number, tap in enumerate(taps, 1)}}
        state = State(Path(name).stem, made, newer_than, fresh_history(), self._today().isoformat(), {})
        storage = self._storage(name, state)
        storage.write(tables)
        return storage

    def open(self, name: str) -> JournalStorage | None:
        """Read a file, mending it where needed; None where nothing can be read of it."""
        path = self.folder / name
        log = read_log(path) if path.exists() else None
        copies = self._copies.of(name)
        if log is None or log.base is None or needs_mending(log, copies):
            return self._mend(name, log, [self.folder / "former" / name, *copies])
        for entry in log.entries:
            log.base.apply(entry)
        if log.torn:
            _cut(path, log.good_size)
            self.find("unfinished", name, _unfinished(log.base))
        older = migrate(log.base)
        storage = self._storage(name, log.base)
        storage.found(log.good_size, len(log.entries))
        if older:
            storage.commit()
        storage.compact()
        return storage

    def _mend(self, name: str, log: Log | None, others: list[Path]) -> JournalStorage | None:
        path = self.folder / name
        mended = mend(log, others)
        kept = None
        if log is not None:
            # Under a second name until the mended file stands in its place: a crash in between loses nothing.
            kept = self.aside(path)
            second_name(path, kept)
        if mended is None:
            path.unlink(missing_ok=True)
            self.find("unreadable", name, _unreadable(name, self._short(kept)))
            return None
        migrate(mended.state)
        storage = self._storage(name, mended.state)
        try:
            storage.commit(keep_former=False)
        except StoreFault:
            # The damaged file still stands where it was; the next start tries again.
            if kept is not None:
                kept.unlink(missing_ok=True)
            raise
        self._add(_mended_finding(name, mended, log, self._short(kept)))
        return storage

    def _storage(self, name: str, state: State) -> JournalStorage:
        def told(kind: str, kept: Path | None) -> None:
            self.find(kind, name, _written_again(storage.state, self._short(kept)))

        former = self.folder / "former" / name
        storage = JournalStorage(self.folder / name, former, state, self._today, self.aside, told)
        return storage

    def aside(self, path: Path) -> Path:
        """A name in set-aside that is not taken yet."""
        return self.folder / "set-aside" / f"{path.stem}-{self._today()}-{secrets.token_hex(3)}{path.suffix}"

    def _short(self, path: Path | None) -> str:
        return path.relative_to(self.folder).as_posix() if path else ""


def called(state: State) -> str:
    """How a person knows a file."""
    if state.name == "room":
        return "the room's settings"
    title = state.tables.get("about", {}).get("1", {}).get("title")
    return f"“{title}”" if isinstance(title, str) and title else f"quilt {state.name}"


def day_in_words(day: date) -> str:
    """25 November 2026, whatever the system's language."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _unfinished(state: State) -> str:
    return (
        f"The last change of {called(state)} was not finished when the sewing room stopped; it was never shown as"
        " saved and has been left out."
    )


def _unreadable(name: str, kept: str) -> str:
    if not kept:
        return f"The file {name} is missing and its copies cannot be read."
    return f"The file {name} could not be read and there is no copy of it; it is kept as {kept}."


def _written_again(state: State, kept: str) -> str:
    there = f"; what stood in its place is kept as {kept}" if kept else ""
    return (
        f"The file of {called(state)} was removed or changed by something else and has been written again{there}."
        " Nothing is lost."
    )


def _mended_finding(name: str, mended: Mended, log: Log | None, kept: str) -> Finding:
    day = day_in_words(date.fromisoformat(mended.state.day))
    whose = f"The file of {called(mended.state)}"
    if mended.lost:
        missing = f"at least {mended.lost} later change{'s are' if mended.lost > 1 else ' is'} missing"
    else:
        missing = "later changes may be missing"
    if log is None:
        return Finding("put back", name, f"{whose} was missing; it was put back as it was on {day}, {missing}.")
    how = f"was damaged at line {log.damaged}" if log.damaged else "had lost its end"
    if mended.whole:
        sentence = f"{whose} {how}; nothing is lost, it was made whole from its copies"
        return Finding("mended", name, f"{sentence} (the damaged file is kept as {kept}).")
    sentence = f"{whose} {how}; it was restored to how it was on {day}, {missing}"
    return Finding("restored", name, f"{sentence} (the damaged file is kept as {kept}).")


def _cut(path: Path, size: int) -> None:
    with path.open("r+b") as file:
        file.truncate(size)
        sync(file.fileno())
