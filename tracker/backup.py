"""All quilts in one file, and back again.

The file is a zip, since every computer can look into one without this program: `plans/` holds the plan files as they
were given. `quilts/` holds each quilt as the store's own files have it, so that what reads, checks and migrates those
reads a backup too. `backup.json` names every file in it with its sha256, and the format. Pairing is not in it: whoever
finds a backup gets no key to the house.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from tracker.disk import write_whole
from tracker.records import Document, State, migrate, parse_log, plain, snapshot
from tracker.shapes import ABOUT, TAP, fits
from tracker.store import QUILT_FILE, Store, StoredQuilt, StoreFault

FORMAT = 1
INDEX = "backup.json"
MOST_FILES = 20_000
LARGEST_CONTENT = 256 * 1024 * 1024
"""Bytes of all files in a backup, unpacked: far more than a household sews, far less than a bomb."""
EARLIEST = (1980, 1, 1, 0, 0, 0)
"""A zip's first day: a fixed date, so that the same quilts give the same file."""


class BackupFault(Exception):
    """A backup that cannot be made or used; the text is one sentence for a person."""


@dataclass(frozen=True)
class SavedQuilt:
    """A quilt as a backup has it."""

    id: str
    version: int
    about: Document
    taps: list[Document]


@dataclass(frozen=True)
class Backup:
    """A backup that was read and checked: when it was made (local time), and its quilts in the order they were made."""

    made_at: datetime
    quilts: tuple[SavedQuilt, ...]


# Making one


def make_backup(store: Store, now: datetime | None = None) -> bytes:
    """All quilts of a store (deleted ones are not among them) as one file. BackupFault where there are too many."""
    files: dict[str, bytes] = {}
    for quilt in store.quilts():
        state = _state(quilt)
        files[f"quilts/{quilt.id}.quilt"] = snapshot(state)
        plan = str(state.tables["about"]["1"].get("plan", ""))
        files[f"plans/{quilt.id}{_slug(state)}.toml"] = plan.encode("utf-8", "replace")
    if sum(map(len, files.values())) > LARGEST_CONTENT or len(files) > MOST_FILES:
        raise BackupFault("These quilts are too many for one backup; copy the folder of the quilts instead.")
    made_at = (now or datetime.now()).isoformat(timespec="seconds")
    index = {
        "format": FORMAT,
        "made_at": made_at,
        "files": [{"name": name, "sha256": sha256(data).hexdigest()} for name, data in files.items()],
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in {INDEX: json.dumps(index, indent=1).encode(), **files}.items():
            archive.writestr(_entry(name), data)
    return packed.getvalue()


def _state(quilt: StoredQuilt) -> State:
    """All of a quilt at one moment."""
    with quilt.turn():
        taps = {str(number): tap for number, tap in enumerate(quilt.taps, 1)}
        tables = {"about": {"1": quilt.about}, "taps": taps}
        return State(quilt.id, quilt.made, quilt.version, "backup", "", tables)


def _slug(state: State) -> str:
    """The title as far as any system takes it in a file's name."""
    given = str(state.tables["about"]["1"].get("title", ""))
    words = re.findall(r"[a-z0-9]+", given.lower())
    return "".join(f"-{word}" for word in words)[:40]


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, EARLIEST)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o600 << 16
    return entry


def write_backup(store: Store, path: Path) -> Backup:
    """Make a backup, write it and read it again from there: what it holds. BackupFault, StoreFault."""
    data = make_backup(store)
    if path.exists():
        raise BackupFault(f"{path} is there already and is not written over; choose another name.")
    try:
        write_whole(path, data)
        return read_backup(path.read_bytes(), path.name)
    except OSError as fault:
        why = fault.strerror or str(fault)
        raise BackupFault(f"The backup could not be written as {path} ({why}); choose another place.") from fault


# Reading one


def read_backup(data: bytes, name: str) -> Backup:
    """A backup read and checked whole, an older one brought up to date. BackupFault, StoreFault "newer"."""
    try:
        files = dict(_unpacked(data, name))
        index = json.loads(files.pop(INDEX))
        _check_format(index, name)
        wanted = {str(file["name"]): str(file["sha256"]) for file in index["files"]}
        made_at = datetime.fromisoformat(index["made_at"])
    except (zipfile.BadZipFile, zipfile.LargeZipFile, KeyError, TypeError, ValueError, RecursionError) as fault:
        raise _damaged(name) from fault
    except (EOFError, NotImplementedError, RuntimeError, OSError, IndexError, AttributeError, zlib.error) as fault:
        # What Python's reader of zip files raises for damage in odd places, and for encrypted ones.
        raise _damaged(name) from fault
    if wanted != {file: sha256(content).hexdigest() for file, content in files.items()}:
        raise _damaged(name)
    states = [_read_state(file, content, name) for file, content in files.items() if file.startswith("quilts/")]
    return Backup(made_at, tuple(_saved(state, name) for state in sorted(states, key=lambda state: state.made)))


def _damaged(name: str) -> BackupFault:
    return BackupFault(
        f"{name} is not a whole backup of a sewing room: it is damaged, or something else. Nothing was changed."
    )


def _unpacked(data: bytes, name: str) -> Iterator[tuple[str, bytes]]:
    """Each file in it, by name, in memory: nothing is ever written where a name in it says."""
    left = LARGEST_CONTENT
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()
        if len(entries) > MOST_FILES or len({entry.filename for entry in entries}) < len(entries):
            raise _damaged(name)
        for entry in entries:
            if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise _damaged(name)
            with archive.open(entry) as file:
                content = file.read(left + 1)
            left -= len(content)
            if left < 0:
                raise BackupFault(f"{name} holds more than any sewing room's backup does. Nothing was changed.")
            yield entry.filename, content


def _check_format(index: dict[str, Any], name: str) -> None:
    found = index["format"]
    if type(found) is not int or found < 1:
        raise _damaged(name)
    if found > FORMAT:
        raise StoreFault("newer", path=name, found=found, known=FORMAT)


def _read_state(file: str, content: bytes, name: str) -> State:
    path = Path(file)
    log = parse_log(content, Path(f"{path.stem}.quilt"))
    if log.base is None or not log.sound or log.torn or not QUILT_FILE.fullmatch(path.name):
        raise _damaged(name)
    for entry in log.entries:
        log.base.apply(entry)
    migrate(log.base)
    return log.base


def _saved(state: State, name: str) -> SavedQuilt:
    """The quilt, held to what the store would take."""
    try:
        about = plain(state.tables["about"]["1"])
        taps = [plain(tap) for tap in state.tables["taps"].values()]
    except (AttributeError, KeyError, TypeError, StoreFault) as fault:
        raise _damaged(name) from fault
    if not fits(about, ABOUT) or type(state.version) is not int or type(state.made) is not int:
        raise _damaged(name)
    if not all(fits(tap, TAP) and tap["id"] for tap in taps) or len({tap["id"] for tap in taps}) < len(taps):
        raise _damaged(name)
    return SavedQuilt(state.name, state.version, about, taps)


# Back again


@dataclass(frozen=True)
class Return:
    """What restoring one quilt would do.

    `kind`: add, same, or replace. `here` and `there`: the taps here and in the backup that the other does not have.
    `deleted`: one of this id is among the deleted here.
    """

    quilt: SavedQuilt
    kind: str
    here: int = 0
    there: int = 0
    other_facts: bool = False
    deleted: bool = False

    @property
    def title(self) -> str:
        """How a person knows the quilt."""
        title = self.quilt.about.get("title")
        return f"“{title}”" if isinstance(title, str) and title else f"quilt {self.quilt.id}"

    @property
    def only_older(self) -> bool:
        """Whether the one here has everything that the backup has, and more."""
        return self.kind == "replace" and self.here > 0 and not self.there

    @property
    def sentence(self) -> str:
        """What would be done, in words."""
        taps = _counted(len(self.quilt.taps), "tap")
        if self.kind == "same":
            return f"{self.title} is here just as in the backup; nothing is to be done."
        if self.kind == "add":
            beside = " One of the same number lies among the deleted quilts; it stays there." if self.deleted else ""
            return f"{self.title} is not here; it would be added, with {taps}.{beside}"
        differences = [f"{_counted(self.here, 'tap')} here that {_are(self.here)} not in the backup"] * (self.here > 0)
        differences += [f"{_counted(self.there, 'tap')} in the backup that {_are(self.there)} not here"] * (
            self.there > 0
        )
        differences += ["another plan or other facts"] * self.other_facts
        differences = differences or ["the order of their taps"]
        return (
            f"{self.title} is here already and would be replaced by the backup's. They differ in"
            f" {' and '.join(differences)}. The one here would be kept among the deleted quilts."
        )


def _counted(number: int, word: str) -> str:
    return f"{number:,} {word}{'' if number == 1 else 's'}"


def _are(number: int) -> str:
    return "is" if number == 1 else "are"


def compare(store: Store, backup: Backup) -> list[Return]:
    """What restoring each quilt of a backup would do, in the backup's order. Changes nothing."""
    here = {quilt.id: quilt for quilt in store.quilts()}
    deleted = {quilt.id for quilt in store.deleted()}
    return [_compared(here.get(saved.id), saved, saved.id in deleted) for saved in backup.quilts]


def _compared(here: StoredQuilt | None, saved: SavedQuilt, deleted: bool) -> Return:
    if here is None:
        return Return(saved, "add", deleted=deleted)
    with here.turn():
        about, taps = here.about, list(here.taps)
    ours, theirs = ({str(tap["id"]): tap for tap in each} for each in (taps, saved.taps))
    other_facts = about != saved.about
    if not other_facts and taps == saved.taps:
        return Return(saved, "same")
    more = sum(theirs.get(key) != tap for key, tap in ours.items())
    less = sum(ours.get(key) != tap for key, tap in theirs.items())
    return Return(saved, "replace", more, less, other_facts)


@dataclass(frozen=True)
class Done:
    """A quilt that was restored, and the id under which the former one can be taken back (None: there was none)."""

    title: str
    kept: str | None


def restore(store: Store, returns: Iterable[Return]) -> list[Done]:
    """Restore these quilts, one after another; those that are the same are left. StoreFault.

    Each is on the disk before the next is begun; a fault leaves the rest as they were.
    """
    return [
        Done(each.title, store.put(each.quilt.id, each.quilt.about, each.quilt.taps, each.quilt.version))
        for each in returns
        if each.kind != "same"
    ]


def read_file(path: Path) -> Backup:
    """A backup in a file. BackupFault, StoreFault "newer"."""
    try:
        data = path.read_bytes()
    except OSError as fault:
        raise BackupFault(f"{path} cannot be read ({fault.strerror or fault}); name a backup's file.") from fault
    return read_backup(data, path.name)
