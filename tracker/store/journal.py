"""TinyDB on a file that survives its program: an atomic snapshot, then one synced line for each change.

Adding to a table or changing some keys of a document costs one line, whatever the table holds. Everything else that
TinyDB can do works too, by writing the whole file again. Not safe between threads by itself: the store takes turns.
"""

from __future__ import annotations

import contextlib
import copy
import os
from collections.abc import Callable, Iterable, Mapping, MutableMapping
from datetime import date
from pathlib import Path
from typing import Any, cast

from tinydb import TinyDB
from tinydb.queries import QueryLike
from tinydb.storages import Storage
from tinydb.table import Document, Table

from tracker.store.disk import (
    BINARY,
    StoreFault,
    disk_faults,
    fault_of,
    replace,
    second_name,
    sync,
    write_all,
    write_whole,
)
from tracker.store.records import FileState, Tables, entry_line, fresh_history, plain, snapshot

BOUND = 5_000
"""So many lines at least before the file is written anew; as many as it had documents, where those are more, so that
writing anew costs each line the same however long the file grows."""


class Altered(Exception):
    """The file is not as this program left it."""


class JournalStorage(Storage):
    """TinyDB's storage: the state in memory, each change on disk before it is seen there.

    `former` is where the file goes that a new snapshot replaces. `aside` names a place for a file that something
    else has put in ours. `told` is called with a sentence's kind when the file had to be written again.
    """

    def __init__(
        self,
        path: Path,
        former: Path,
        state: FileState,
        today: Callable[[], date],
        aside: Callable[[Path], Path],
        told: Callable[[str, Path | None], None],
    ) -> None:
        super().__init__()
        self.path = path
        self.state = state
        self._former = former
        self._today = today
        self._aside = aside
        self._told = told
        self._closed: StoreFault | None = None
        self._size = 0
        self._number = 0
        self._lines = 0
        self._bound = 0
        self._sound = False

    def found(self, size: int, lines: int) -> None:
        """The file is there already, holds the state, and is so many bytes long, with so many lines of changes."""
        with disk_faults(self.path.parent):
            self._number, _ = self._there()
        self._size, self._lines, self._sound = size, lines, True
        self._bound = max(BOUND, self._documents() - lines)

    def _documents(self) -> int:
        return sum(len(table) for table in self.state.tables.values())

    def read(self) -> Tables:
        return self.state.tables

    def write(self, data: dict[str, dict[str, Any]]) -> None:
        """Write everything anew. On failure the former file and the former state stand."""
        self._refuse_if_closed()
        before = self.state
        self._commit(
            FileState(
                before.name, before.made, before.version + 1, fresh_history(), self._today().isoformat(), plain(data)
            )
        )

    def close(self, fault: StoreFault | None = None) -> None:
        """Refuse every change from now on, with this fault."""
        self._closed = fault or StoreFault("closed")

    def _refuse_if_closed(self) -> None:
        if self._closed:
            raise self._closed

    def append(self, table: str, how: str, documents: dict[str, dict[str, Any]]) -> None:
        """Record one change of a table's documents (no name: of several tables' at once, see Entry) in one line:
        on the disk when this returns, or StoreFault."""
        self._refuse_if_closed()
        with disk_faults(self.path.parent):
            if not self._sound:
                self._commit(self.state)
            entry, line = entry_line(self.state, self._today().isoformat(), table, how, documents)
            try:
                self._add_line(line)
            except Altered:
                self._write_again()
                try:
                    self._add_line(line)
                except Altered as error:
                    why = "another program keeps changing the file"
                    raise StoreFault("failed", folder=self.path, why=why) from error
        self.state.apply(entry)
        self._lines += 1
        if self._lines >= self._bound:
            self.compact()

    def compact(self) -> None:
        """Write the file anew where its changes have grown many. A failure costs nothing but the saving."""
        if self._lines >= self._bound:
            self._bound = self._lines + BOUND
            with contextlib.suppress(StoreFault):
                self._commit(self.state)

    def _add_line(self, line: bytes) -> None:
        # Opened for each line: nothing is held open between, and a file that was taken away is noticed.
        try:
            descriptor = os.open(self.path, os.O_WRONLY | os.O_APPEND | BINARY)
        except FileNotFoundError as error:
            if self.path.parent.is_dir():
                raise Altered from error
            raise
        try:
            there = os.fstat(descriptor)
            if (there.st_ino, there.st_size) != (self._number, self._size):
                raise Altered
            try:
                write_all(descriptor, line)
                sync(descriptor)
            except BaseException:
                self._cut_back(descriptor)
                raise
        finally:
            os.close(descriptor)
        self._size += len(line)

    def _cut_back(self, descriptor: int) -> None:
        """Take off what a failed line left. If even that fails, the next change writes the file anew first."""
        try:
            os.ftruncate(descriptor, self._size)
        except OSError:
            self._sound = False

    def _write_again(self) -> None:
        """Something removed or changed the file while it was ours: keep what is there aside, write what we know."""
        kept = None
        if self.path.exists():
            kept = self._aside(self.path)
            replace(self.path, kept)
        self._commit(self.state, keep_former=False)
        self._told("written again", kept)

    def _commit(self, state: FileState, keep_former: bool = True) -> None:
        data = snapshot(state)
        was_sound, self._sound = self._sound, False
        try:
            if keep_former and self.path.exists():
                second_name(self.path, self._former)
            write_whole(self.path, data)
            self._number, _ = self._there()
        except OSError as error:
            # Still the file that it was? Else it was replaced, and only the folder could not be synced.
            self._sound = was_sound and self._is_as_left()
            raise fault_of(error, self.path.parent) from error
        self.state = state
        self._size, self._lines, self._sound = len(data), 0, True
        self._bound = max(BOUND, self._documents())

    def _is_as_left(self) -> bool:
        with contextlib.suppress(OSError):
            return self._there() == (self._number, self._size)
        return False

    def _there(self) -> tuple[int, int]:
        """Number and size of the file by our name. Of the open file, since by name Windows may give another number."""
        descriptor = os.open(self.path, os.O_RDONLY | BINARY)
        try:
            there = os.fstat(descriptor)
            return there.st_ino, there.st_size
        finally:
            os.close(descriptor)

    def commit(self, keep_former: bool = True) -> None:
        """Write the state as the whole file. `former` stays as it is where the file replaced is damaged or missing."""
        self._commit(self.state, keep_former)


class JournalTable(Table):
    """TinyDB's table, with the changes that a tap needs recorded as single lines."""

    @property
    def _journal(self) -> JournalStorage:
        return cast(JournalStorage, self._storage)

    def insert(self, document: Mapping[str, Any]) -> int:
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Iterable[Mapping[str, Any]]) -> list[int]:
        """Add all of them in one line: all are there afterwards, or none. Gives their numbers."""
        table = self._read_table()
        before = self._next_id
        added: dict[str, dict[str, Any]] = {}
        try:
            for document in documents:
                if not isinstance(document, Mapping):
                    raise ValueError("Document is not a Mapping")
                if isinstance(document, Document):
                    number, self._next_id = document.doc_id, None
                else:
                    number = int(self._get_next_id())  # type: ignore[no-untyped-call]
                if str(number) in table or str(number) in added:
                    raise ValueError(f"Document with ID {number} already exists")
                added[str(number)] = plain(dict(document))
            if added:
                self._journal.append(self.name, "put", added)
        except BaseException:
            self._next_id = before
            raise
        self.clear_cache()
        return [int(number) for number in added]

    def insert_with(self, documents: Iterable[Mapping[str, Any]], others: Tables) -> list[int]:
        """Add documents and merge documents of other tables in one line: all is done afterwards, or nothing."""
        self._read_table()
        before = self._next_id
        try:
            added = {str(self._get_next_id()): dict(each) for each in documents}  # type: ignore[no-untyped-call]
            self._journal.append("", "merge", plain({**others, self.name: added}))
        except BaseException:
            self._next_id = before
            raise
        self.clear_cache()
        return [int(number) for number in added]

    def update(
        self,
        fields: Mapping[str, Any] | Callable[[MutableMapping[str, Any]], None],
        cond: QueryLike | None = None,
        doc_ids: Iterable[int] | None = None,
    ) -> list[int]:
        if callable(fields) or doc_ids is None:
            return super().update(fields, cond, doc_ids)
        table = self._read_table()
        changed = {str(number): plain(dict(fields)) for number in doc_ids if str(number) in table}
        if changed:
            self._journal.append(self.name, "merge", changed)
            self.clear_cache()
        return [int(number) for number in changed]

    def _update_table(self, updater: Callable[[dict[int, Mapping[str, Any]]], None]) -> None:
        """Any other change: on a copy, so that what is in memory stays what is on disk if writing fails."""
        tables = copy.deepcopy(self._journal.read())
        numbered: dict[int, Mapping[str, Any]] = {
            int(number): document for number, document in tables.get(self.name, {}).items()
        }
        updater(numbered)
        tables[self.name] = {str(number): dict(document) for number, document in numbered.items()}
        self._journal.write(tables)
        self.clear_cache()


class JournalDatabase(TinyDB):
    """TinyDB over a JournalStorage that is there already."""

    table_class = JournalTable

    def __init__(self, storage: JournalStorage) -> None:
        super().__init__(storage=lambda: storage)
        self.journal = storage
