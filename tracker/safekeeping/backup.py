"""All quilts in one file, and back again.

The file is a zip, since every computer can look into one without this program: `plans/` holds the plan files as they
were given. `quilts/` holds each quilt as the store's own files have it, so that what reads, checks and migrates those
reads a backup too. `photos/` holds the photos that quilts name, each once. `backup.json` names every file in it with
its sha256, and the format. Pairing is not in it: whoever finds a backup gets no key to the house.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from tracker.plan.problems import shown
from tracker.safekeeping.shapes import ABOUT, fits, is_moment, is_tap
from tracker.safekeeping.small_photos import is_small_photo
from tracker.store.disk import write_whole
from tracker.store.photo_files import PHOTO_NAME, photo_name, photos_of
from tracker.store.quilts import QUILT_FILE, Store, StoredQuilt, StoreFault
from tracker.store.records import Document, FileState, migrate, parse_log, plain, snapshot

FORMAT = 1
INDEX = "backup.json"
MOST_FILES = 20_000
LARGEST_CONTENT = 256 * 1024 * 1024
"""Bytes of all files in a backup, unpacked: far more than a household sews, far less than a bomb."""
LARGEST_FILE = LARGEST_CONTENT + 16 * 1024 * 1024
"""Bytes of a backup's file: what cannot be packed at all, and the names of what is in it."""
MOST_FOR_ITS_SIZE = 200
"""Bytes unpacked for one of the file, beyond ROOM_AT_ONCE: plans and taps are packed to a tenth or so."""
ROOM_AT_ONCE = 8 * 1024 * 1024
LARGEST_INDEX = 8 * 1024 * 1024
MOST_VALUES = 12_000_000
MOST_LISTS = 4_000_000
"""Values, and lists and tables among them, in all quilts: what LARGEST_CONTENT of taps may have, and no more."""
HIGHEST_VERSION = 10**15
"""Beyond it browsers would not tell one version from the next."""
EARLIEST = (1980, 1, 1, 0, 0, 0)
"""A zip's first day: a fixed date, so that the same quilts give the same file."""


class BackupFault(Exception):
    """A backup that cannot be made or used; the text is one sentence for a person."""


@dataclass(frozen=True)
class SavedQuilt:
    """A quilt as a backup has it, with those of its photos that are in it, by name."""

    id: str
    version: int
    about: Document
    taps: list[Document]
    photos: Mapping[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True)
class Backup:
    """A backup that was read and checked: when it was made (local time), and its quilts in the order they were made."""

    made_at: datetime
    quilts: tuple[SavedQuilt, ...]


# Making one

OF_A_CLASS = ("hand", "plan_news")
"""Facts about a quilt that stay with its class."""


def make_backup(store: Store, now: datetime | None = None, quilts: Iterable[StoredQuilt] | None = None) -> bytes:
    """All quilts of a store (deleted ones are not among them), or these, as one file. BackupFault where there are too
    many."""
    files: dict[str, bytes] = {}
    for quilt in store.quilts() if quilts is None else quilts:
        state = _state(quilt)
        files[f"quilts/{quilt.id}.quilt"] = snapshot(state)
        plan = str(state.tables["about"]["1"].get("plan", ""))
        files[f"plans/{quilt.id}{_slug(state)}.toml"] = plan.encode("utf-8", "replace")
        photos = {name: store.photos.read(name, quilt.id) for name in photos_of(state.tables["about"]["1"])}
        files |= {f"photos/{name}.jpg": photo for name, photo in photos.items() if photo is not None}
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


def _state(quilt: StoredQuilt) -> FileState:
    """All of a quilt at one moment."""
    with quilt.turn():
        taps = {str(number): tap for number, tap in enumerate(quilt.taps, 1)}
        about = {key: value for key, value in quilt.about.items() if key not in OF_A_CLASS}
        tables = {"about": {"1": about}, "taps": taps}
        return FileState(quilt.id, quilt.made, quilt.version, "backup", "", tables)


def _slug(state: FileState) -> str:
    """The title as far as any system takes it in a file's name."""
    given = str(state.tables["about"]["1"].get("title", ""))
    words = re.findall(r"[a-z0-9]+", given.lower())
    return "".join(f"-{word}" for word in words)[:40]


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, EARLIEST)
    entry.compress_type = zipfile.ZIP_STORED if name.startswith("photos/") else zipfile.ZIP_DEFLATED
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
    """A backup read and checked whole, an older one brought up to date. BackupFault, StoreFault "newer".

    What it would take to unpack and to build is looked at before that is done, one quilt after another.
    """
    # Each entry has this mark; without them a list of a million names would be built to be counted.
    if data.count(b"PK\x01\x02") > MOST_FILES * 2:
        raise _damaged(name)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _read(archive, len(data), name)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, KeyError, TypeError, ValueError, RecursionError) as fault:
        raise _damaged(name) from fault
    except (EOFError, NotImplementedError, RuntimeError, OSError, IndexError, AttributeError, zlib.error) as fault:
        # What Python's reader of zip files raises for damage in odd places, and for encrypted ones.
        raise _damaged(name) from fault


def _read(archive: zipfile.ZipFile, size: int, name: str) -> Backup:
    entries = _entries(archive, size, name)
    index = json.loads(_content(archive, entries.pop(INDEX)))
    _check_format(index, name)
    wanted = {str(file["name"]): str(file["sha256"]) for file in index["files"]}
    if wanted.keys() != entries.keys() or not is_moment(index["made_at"]):
        raise _damaged(name)
    room = [MOST_VALUES, MOST_LISTS]
    quilts: list[tuple[int, SavedQuilt]] = []
    photos: dict[str, bytes] = {}
    for file, entry in entries.items():
        content = _content(archive, entry)
        if sha256(content).hexdigest() != wanted[file]:
            raise _damaged(name)
        if file.startswith("quilts/"):
            _make_sure_of_room(content, room, name)
            quilts.append(_read_quilt(file, content, name))
        elif file.startswith("photos/"):
            photos[_photo(file, content, name)] = content
    ordered = [_with_photos(quilt, photos) for _, quilt in sorted(quilts, key=lambda each: each[0])]
    return Backup(datetime.fromisoformat(index["made_at"]), tuple(ordered))


def _photo(file: str, content: bytes, name: str) -> str:
    """The name of a photo in a backup, held to what the store would have written."""
    photo = file.removeprefix("photos/").removesuffix(".jpg")
    if not PHOTO_NAME.fullmatch(photo) or photo_name(content) != photo or not is_small_photo(content):
        raise _damaged(name)
    return photo


def _with_photos(quilt: SavedQuilt, there: Mapping[str, bytes]) -> SavedQuilt:
    return replace(quilt, photos={name: there[name] for name in photos_of(quilt.about) if name in there})


def _damaged(name: str) -> BackupFault:
    return BackupFault(
        f"{name} is not a whole backup of a sewing room: it is damaged, or something else. Nothing was changed."
    )


def too_large(name: str) -> BackupFault:
    """What is said of a file that no sewing room has written, by its size."""
    return BackupFault(
        f"{name} is not a whole backup of a sewing room: it holds more than any sewing room's backup does. Nothing was"
        " changed."
    )


def _entries(archive: zipfile.ZipFile, size: int, name: str) -> dict[str, zipfile.ZipInfo]:
    """What is in it by name, held to sizes that it says itself; `size` is that of the file."""
    entries = archive.infolist()
    found = {entry.filename: entry for entry in entries}
    if len(entries) > MOST_FILES or len(found) < len(entries):
        raise _damaged(name)
    if any(entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for entry in entries):
        raise _damaged(name)
    most = min(LARGEST_CONTENT, ROOM_AT_ONCE + MOST_FOR_ITS_SIZE * size)
    if sum(entry.file_size for entry in entries) > most or found[INDEX].file_size > LARGEST_INDEX:
        raise too_large(name)
    return found


def _content(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """A file in memory: nothing is ever written where its name says. ValueError where it is of another size."""
    with archive.open(entry) as file:
        content = file.read(entry.file_size + 1)
    if len(content) != entry.file_size:
        raise ValueError
    return content


def _make_sure_of_room(content: bytes, room: list[int], name: str) -> None:
    """Take what a quilt would need from what is left: a list of nothing takes many times its letters."""
    lists = content.count(b"[") + content.count(b"{")
    room[0] -= content.count(b",") + lists
    room[1] -= lists
    if min(room) < 0:
        raise too_large(name)


def _check_format(index: dict[str, Any], name: str) -> None:
    found = index["format"]
    if type(found) is not int or found < 1:
        raise _damaged(name)
    if found > FORMAT:
        raise StoreFault("newer", path=name, found=shown(str(found)), known=FORMAT)


def _read_quilt(file: str, content: bytes, name: str) -> tuple[int, SavedQuilt]:
    """(its place among the others, the quilt)."""
    quilt_file = file.removeprefix("quilts/")
    if not QUILT_FILE.fullmatch(quilt_file):
        raise _damaged(name)
    log = parse_log(content, Path(quilt_file))
    state = log.replayed() if log.sound and not log.torn else None
    if state is None:
        raise _damaged(name)
    migrate(state)
    return state.made, _saved(state, name)


def _saved(state: FileState, name: str) -> SavedQuilt:
    """The quilt, held to what the store would take and pages can show."""
    try:
        about = plain(state.tables["about"]["1"])
        taps = [plain(tap) for tap in state.tables["taps"].values()]
        _encodable(about)
        _encodable(taps)
    except (AttributeError, KeyError, TypeError, UnicodeEncodeError, StoreFault) as fault:
        raise _damaged(name) from fault
    if not fits(about, ABOUT) or not 0 <= state.version <= HIGHEST_VERSION:
        raise _damaged(name)
    if not all(is_tap(tap) and tap["id"] for tap in taps) or len({tap["id"] for tap in taps}) < len(taps):
        raise _damaged(name)
    return SavedQuilt(state.name, state.version, about, taps)


def _encodable(value: object) -> None:
    """UnicodeEncodeError where a text in a JSON value holds half a character, which no page can show."""
    json.dumps(value, ensure_ascii=False).encode("utf-8")


# Back again


@dataclass(frozen=True)
class Return:
    """What restoring one quilt would do.

    `kind`: add, same, replace, or photos (the same, but for photos that are missing here). `here` and `there`: the
    taps here and in the backup that the other does not have.
    `deleted`: one of this id is among the deleted here. `photos`: how many of its photos are missing here.
    """

    quilt: SavedQuilt
    kind: str
    here: int = 0
    there: int = 0
    other_facts: bool = False
    deleted: bool = False
    photos: int = 0

    @property
    def title(self) -> str:
        """How a person knows the quilt."""
        title = self.quilt.about.get("title")
        return f"“{shown(title)}”" if isinstance(title, str) and title else f"quilt {self.quilt.id}"

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
        if self.kind == "photos":
            missing = f"{_counted(self.photos, 'photo')} that {_are(self.photos)} missing here"
            return f"{self.title} is here just as in the backup, but for {missing} and would be put back."
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
    return [_with_missing(store, _compared(here.get(each.id), each, each.id in deleted)) for each in backup.quilts]


def _with_missing(store: Store, found: Return) -> Return:
    if found.kind != "same":
        return found
    missing = sum(store.photos.read(name) is None for name in found.quilt.photos)
    return replace(found, kind="photos", photos=missing) if missing else found


def _compared(here: StoredQuilt | None, saved: SavedQuilt, deleted: bool) -> Return:
    if here is None:
        return Return(saved, "add", deleted=deleted)
    with here.turn():
        about, taps = here.about, list(here.taps)
    ours, theirs = ({str(tap["id"]): tap for tap in each} for each in (taps, saved.taps))
    other_facts = {**about, **dict.fromkeys(OF_A_CLASS)} != {**saved.about, **dict.fromkeys(OF_A_CLASS)}
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
    return [_restored(store, each) for each in returns if each.kind != "same"]


def _restored(store: Store, found: Return) -> Done:
    quilt = found.quilt
    with store.photos.turn:
        for photo in quilt.photos.values():
            store.photos.keep(photo)
        there = found.kind == "photos"
        return Done(found.title, None if there else store.put(quilt.id, quilt.about, quilt.taps, quilt.version))
