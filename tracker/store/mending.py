"""Opening the store's files: reading them, mending what is damaged from all that can be read, and saying so."""

from __future__ import annotations

import contextlib
import logging
import secrets
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from tracker.store.copies import Copies
from tracker.store.disk import StoreFault, is_plain_file, replace, second_name
from tracker.store.histories import LEAP, Mended, mend
from tracker.store.journal import JournalStorage
from tracker.store.records import Document, FileState, Log, fresh_history, migrate, read_log, read_version

logger = logging.getLogger("tracker.store.quilts")

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


@dataclass(frozen=True)
class DiskFinding:
    """Something that was wrong on the disk and what was done about it. str() is a sentence for a person.

    `kind` is unfinished, mended, restored, put back, unreadable, written again, copies, photo, or
    brought forward; `file` is its name.
    """

    kind: str
    file: str
    sentence: str

    def __str__(self) -> str:
        return self.sentence


def needs_mending(log: Log, copies: Iterable[Path]) -> bool:
    """Whether a file is damaged, or ends earlier than any readable copy does, whatever its date."""
    return not log.sound or any(version > log.version for version in _versions(copies))


def _versions(copies: Iterable[Path]) -> Iterator[int]:
    """What each copy ends with; an unchanged file's copies are one, which is read once."""
    read: set[int] = set()
    for copy in copies:
        with contextlib.suppress(OSError, StoreFault):
            number = copy.stat().st_ino
            if not number or number not in read:
                read.add(number)
                yield read_version(copy)


class Filing:
    """Opens, makes and mends the files of one folder. What had to be done is added to `findings`."""

    def __init__(self, folder: Path, copies: Copies, today: Callable[[], date]) -> None:
        self.folder = folder
        self.findings: list[DiskFinding] = []
        self._copies = copies
        self._today = today

    def find(self, kind: str, name: str, sentence: str) -> None:
        self._add(DiskFinding(kind, name, sentence))

    def _add(self, finding: DiskFinding) -> None:
        self.findings.append(finding)
        logger.warning("found on the disk: %s %s", finding.file, finding.kind)

    def make(self, name: str, made: int, about: Document, taps: list[Document], newer_than: int = 0) -> JournalStorage:
        """A file with these tables, on disk when this returns, of a version greater than one that was seen."""
        tables = {"about": {"1": about}, "taps": {str(number): tap for number, tap in enumerate(taps, 1)}}
        state = FileState(Path(name).stem, made, newer_than, fresh_history(), self._today().isoformat(), {})
        storage = self._storage(name, state)
        storage.write(tables)
        return storage

    def open(self, name: str) -> JournalStorage | None:
        """Read a file, mending it where needed; None where nothing can be read of it."""
        path = self.folder / name
        if not path.is_file() and (path.is_symlink() or path.exists()):
            replace(path, self.aside(path))  # a folder, or a link that leads nowhere
        log = read_log(path) if path.exists() else None
        copies = self._copies.of(name)
        if log is None or log.base is None or needs_mending(log, copies):
            return self._mend(name, log, [*filter(is_plain_file, [self.folder / "former" / name]), *copies])
        state = log.replayed()
        assert state is not None
        older = migrate(state)
        storage = self._storage(name, state)
        if log.torn:
            self._cut_off(name, storage)
            return storage
        storage.found(log.good_size, len(log.entries))
        if older:
            storage.commit()
        storage.compact()
        return storage

    def _cut_off(self, name: str, storage: JournalStorage) -> None:
        """Half a line at the end: whether it is the last of them or others stood behind it, nobody can know."""
        self.find("unfinished", name, _unfinished(storage.state))
        storage.state.version += LEAP
        storage.state.last = fresh_history()
        with contextlib.suppress(StoreFault):  # the disk is full: then it is done before the next change
            storage.commit(keep_former=False)

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

    def _storage(self, name: str, state: FileState) -> JournalStorage:
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


def called(state: FileState) -> str:
    """How a person knows a file."""
    if state.name == "room":
        return "the room's settings"
    title = state.tables.get("about", {}).get("1", {}).get("title")
    return f"“{title}”" if isinstance(title, str) and title else f"quilt {state.name}"


def day_in_words(day: date) -> str:
    """25 November 2026, whatever the system's language."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _unfinished(state: FileState) -> str:
    return (
        f"The last line in the file of {called(state)} is not whole: a change was just being saved when the sewing room"
        " stopped, or the file has lost its end. It was left out; look whether your last taps are there."
    )


def _unreadable(name: str, kept: str) -> str:
    if not kept:
        return f"The file {name} is missing and its copies cannot be read."
    return f"The file {name} could not be read and there is no copy of it; it is kept as {kept}."


def _written_again(state: FileState, kept: str) -> str:
    there = f"; what stood in its place is kept as {kept}" if kept else ""
    return (
        f"The file of {called(state)} was removed or changed by something else and has been written again{there}."
        " Nothing is lost."
    )


def _mended_finding(name: str, mended: Mended, log: Log | None, kept: str) -> DiskFinding:
    whose, state = f"The file of {called(mended.state)}", mended.state
    if log is None:
        as_on = f"it was put back as it was{_on(state.day)}"
        return DiskFinding("put back", name, f"{whose} was missing; {as_on}, {_missing(mended)}.")
    how = f"was damaged at line {log.damaged}" if log.damaged else "had lost its end"
    aside = f"(the damaged file is kept as {kept})"
    if mended.whole:
        means = "each of its lines could be set right" if mended.alone else "it was made whole from its copies"
        return DiskFinding("mended", name, f"{whose} {how}; nothing is lost, {means} {aside}.")
    if not mended.gaps:
        return DiskFinding(
            "restored",
            name,
            f"{whose} {how}; it was restored to how it was{_on(state.day)}, {_missing(mended)} {aside}.",
        )
    return DiskFinding("restored", name, f"{whose} {how}: {_gaps(mended)} {aside}.")


def _missing(mended: Mended) -> str:
    """What is missing at the end, and before it."""
    if mended.gaps:
        return _gaps(mended)
    if not mended.lost or mended.lost >= LEAP:
        return "later changes may be missing"
    return f"at least {mended.lost} later change{'s are' if mended.lost > 1 else ' is'} missing"


def _gaps(mended: Mended) -> str:
    known = [gap.missing for gap in mended.gaps]
    number = None if None in known else sum(gap or 0 for gap in known)
    many = number is None or number > 1
    changes = f"{'some' if number is None else number} change{'s' if many else ''}"
    of_day = _on(mended.gaps[0].until, "of")
    behind = "one after {} was kept" if mended.behind == 1 else f"{mended.behind} after {{}} were kept"
    kept = behind.format("it" if number == 1 else "them")
    said = f"{changes}{of_day} {'are' if many else 'is'} missing from it, and the {kept}"
    if mended.gaps[-1].plan:
        said += "; the plan was edited in what is missing, so it is as it was before: edit it again"
    if 0 < mended.lost < LEAP:
        said += f"; at least {mended.lost} more at the end {'are' if mended.lost > 1 else 'is'} missing"
    return f"{said}; look whether its counts are right"


def _on(day: str, word: str = "on") -> str:
    """On (or of) which day; nothing for what is no day."""
    with contextlib.suppress(ValueError):
        return f" {word} {day_in_words(date.fromisoformat(day))}"
    return ""
