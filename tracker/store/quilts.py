"""The quilts on disk: one file for each, one for the room; every tap there before it is called saved.

folder/
    sewing-room.lock        one sewing room at a time
    room.facts              what concerns all quilts
    k3f9p2.quilt            a quilt: its plan and the like ("about"), and its taps in order
    former/                 each file as it was before it was last written anew
    copies/2026-11-25/      each file as it was that day
    deleted/                quilts that can be taken back
    set-aside/              damaged files, as they were found
    photos/                 photos of quilts, each named by what is in it (see `photo_files`)
"""

from __future__ import annotations

import contextlib
import re
import secrets
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from types import TracebackType

import filelock
import platformdirs

from tracker.store.copies import Copies
from tracker.store.disk import StoreFault, disk_faults, replace, sweep, sync_folder, write_whole
from tracker.store.disk_notices import DiskNotice, Notices
from tracker.store.histories import LEAP
from tracker.store.mending import DiskFinding, Filing, day_in_words
from tracker.store.one_file import Moment, Room, StoredQuilt, fresh_taps
from tracker.store.photo_files import PhotoFiles, photos_of
from tracker.store.records import Document, FileState, fresh_history, plain, read_first_line, read_log, snapshot

__all__ = [
    "DeletedQuilt",
    "DiskFinding",
    "DiskNotice",
    "Moment",
    "Room",
    "Store",
    "StoreFault",
    "StoredQuilt",
    "default_folder",
]

ID_LETTERS = "bcdfghjkmnpqrstvwxyz23456789"
"""No vowels and nothing easily misread: an id stands on printed labels."""
ID_LENGTH = 6
QUILT_FILE = re.compile(rf"[a-z0-9]{{{ID_LENGTH}}}\.quilt")
ROOM_FILE = "room.facts"
FOLDERS = ("former", "deleted", "set-aside", "copies")


def default_folder() -> Path:
    """Where this platform keeps a program's data for one person."""
    return Path(platformdirs.user_data_dir("sewing-room", appauthor=False))


@dataclass(frozen=True)
class DeletedQuilt:
    """A quilt that can be taken back. `about` is empty where its file cannot be read."""

    id: str
    about: Document


class Store:
    """All quilts of one folder. Make one with Store.open."""

    room: Room

    def __init__(self, folder: Path, today: Callable[[], date]) -> None:
        self.folder = folder
        self._today = today
        self._copies = Copies(folder / "copies", today)
        self._filing = Filing(folder, self._copies, today)
        self.photos = PhotoFiles(folder, self._filing.find)
        self._quilts: dict[str, StoredQuilt] = {}
        # Taken after a quilt's own turn where both are needed, never before it.
        self._lock = threading.RLock()
        self._copied_on: date | None = None
        self._closed = False
        self.opening = secrets.token_hex(4)
        """A mark of this opening. Under another one versions may be smaller: the folder may have been put back."""
        self._file_lock = filelock.FileLock(folder / "sewing-room.lock", timeout=0, thread_local=False)

    @classmethod
    def open(cls, folder: Path, today: Callable[[], date] = date.today) -> Store:
        """Open the folder, making it where needed, and mend what is damaged: see `findings`.

        StoreFault "in use", "not writable", "newer" (then nothing was changed), "full", "gone" or "failed".
        """
        folder = Path(folder).absolute()
        store = cls(folder, today)
        store._take_lock()
        try:
            with disk_faults(folder):
                store._load()
        except BaseException:
            store._file_lock.release()
            raise
        return store

    def _take_lock(self) -> None:
        with disk_faults(self.folder):
            try:
                self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
                self._file_lock.acquire()
            except filelock.Timeout as error:
                raise StoreFault("in use", folder=self.folder) from error
            except (FileExistsError, NotADirectoryError) as error:
                why = "a file stands in its place"
                raise StoreFault("not writable", folder=self.folder, why=why) from error

    def _files(self) -> list[Path]:
        """The room's file and those of the quilts, as far as they are there."""
        paths = [path for path in self.folder.iterdir() if _is_ours(path.name)]
        return sorted(path for path in paths if path.is_file())

    def _load(self) -> None:
        for path in self._files():
            read_first_line(path)  # a file of a newer format stops us before anything is changed
        for name in FOLDERS:
            (self.folder / name).mkdir(exist_ok=True, mode=0o700)
        for folder in (self.folder, *map(self.folder.joinpath, FOLDERS), *self._copies.days()):
            sweep(folder)
        rooms = [self._filing.open(name) for name in self._names() if name == ROOM_FILE]
        room = rooms[0] if rooms else None
        self.room = Room(room or self._filing.make(ROOM_FILE, 0, {}, []), self._copy_daily)
        for name in self._names() - {ROOM_FILE}:
            storage = self._filing.open(name)
            if storage is not None:
                self._quilts[storage.state.name] = StoredQuilt(storage, self._copy_daily)
        self._copy_now()
        self.photos.look_after((quilt.id, photos_of(quilt.facts)) for quilt in self.quilts())
        self._notices = Notices(self.room, self._filing.findings)
        self._notices.keep(self._today())

    def _names(self) -> set[str]:
        """The files that are there, and those that are missing: copied not long ago, and not deleted."""
        there = {path.name for path in self._files()}
        copied = self._copies.newest_names() | {path.name for path in (self.folder / "former").iterdir()}
        deleted = {path.name for path in (self.folder / "deleted").iterdir()}
        return there | {name for name in copied - deleted if _is_ours(name)}

    @property
    def findings(self) -> list[DiskFinding]:
        """What was wrong on the disk and what was done about it, since the store was opened; str() is a sentence."""
        return list(self._filing.findings)

    def notices(self) -> list[DiskNotice]:
        """What was wrong on the disk, in this run or an earlier one, and was not read yet."""
        self._notices.keep(self._today())
        return self._notices.all()

    def tell(self, quilt_id: str, sentence: str) -> None:
        """A sentence about a quilt that is shown until it has been read."""
        self._filing.find("brought forward", f"{quilt_id}.quilt", sentence)

    def keep_as_it_is(self, quilt_id: str, why: str) -> None:
        """Lay a copy of a quilt's file aside, as it is on disk now, under the quilt's name and a word. StoreFault."""
        name = f"{quilt_id}.quilt"
        with disk_faults(self.folder):
            write_whole(self.folder / "set-aside" / f"{name}.{why}", (self.folder / name).read_bytes())

    def read_notice(self, notice_id: str) -> None:
        """A notice ("all": every one) has been read, and is not told again. StoreFault."""
        self._notices.read(notice_id)

    def drop_photo(self, name: str) -> None:
        """Have a photo no more, for good, unless a quilt has it still, a deleted one too. StoreFault."""
        with self.photos.turn, self._lock:
            facts = [*(quilt.facts for quilt in self.quilts()), *(quilt.about for quilt in self.deleted())]
            if not any(name in photos_of(each) for each in facts):
                self.photos.drop(name)

    # Copies

    def _copy_daily(self) -> None:
        """Called before each change: the first one of a day copies every file."""
        if self._copied_on != self._today():
            self._copy_now()

    def _copy_now(self) -> None:
        with self._lock:
            self._copied_on = self._today()
            try:
                self._copies.take(self._files())
            except OSError as error:
                # The copies are a second net; without them saving still goes on.
                why = error.strerror or str(error)
                day = day_in_words(self._today())
                self._filing.find("copies", "", f"The copies of {day} could not be made: {why}.")

    # Quilts

    def quilts(self) -> list[StoredQuilt]:
        """All quilts, in the order in which they were made."""
        with self._lock:
            return sorted(self._quilts.values(), key=lambda quilt: (quilt.made, quilt.id))

    def quilt(self, quilt_id: str) -> StoredQuilt:
        """The quilt with this id; StoreFault "unknown"."""
        try:
            return self._quilts[quilt_id]
        except KeyError as error:
            raise StoreFault("unknown", quilt=quilt_id) from error

    def add(self, about: Document, taps: Iterable[Document] = (), wanted_id: str | None = None) -> StoredQuilt:
        """A new quilt with these facts (and taps, for one that was begun elsewhere); on disk when this returns.

        Its id is the one wanted, where that is an id and free, or a fresh one. StoreFault.
        """
        facts = plain(about, "about")
        begun = fresh_taps(taps)
        with self._lock:
            if self._closed:
                raise StoreFault("closed")
            quilt_id = wanted_id if wanted_id and self._is_free(wanted_id) else self._fresh_id()
            made = max((quilt.made for quilt in self._quilts.values()), default=0) + 1
            storage = self._filing.make(f"{quilt_id}.quilt", made, facts, list(begun.values()))
            quilt = self._quilts[quilt_id] = StoredQuilt(storage, self._copy_daily)
            self._copy_now()
        return quilt

    def _is_free(self, quilt_id: str) -> bool:
        name = f"{quilt_id}.quilt"
        places = [self.folder, self.folder / "deleted", self.folder / "former"]
        return QUILT_FILE.fullmatch(name) is not None and not any((place / name).exists() for place in places)

    def _fresh_id(self) -> str:
        while True:
            quilt_id = "".join(secrets.choice(ID_LETTERS) for _ in range(ID_LENGTH))
            if self._is_free(quilt_id) and not self._copies.of(f"{quilt_id}.quilt"):
                return quilt_id

    def delete(self, quilt_id: str) -> None:
        """Put a quilt away, so that it can be taken back. StoreFault "unknown" and those of writing."""
        quilt = self.quilt(quilt_id)
        name = f"{quilt_id}.quilt"
        with quilt.turn(), self._lock, disk_faults(self.folder):
            self.quilt(quilt_id)  # another thread may have been quicker
            replace(self.folder / name, self.folder / "deleted" / name)
            quilt.close(StoreFault("unknown", quilt=quilt_id))
            del self._quilts[quilt_id]
            sync_folder(self.folder)
            (self.folder / "former" / name).unlink(missing_ok=True)
            self._copies.forget(name)

    def deleted(self) -> list[DeletedQuilt]:
        """The quilts that can be taken back."""
        found = []
        for path in sorted((self.folder / "deleted").glob("*.quilt")):
            about: Document = {}
            with contextlib.suppress(OSError, StoreFault):
                state = read_log(path).replayed()
                about = state.tables.get("about", {}).get("1", {}) if state else {}
            found.append(DeletedQuilt(path.stem, about))
        return found

    def restore_deleted(self, quilt_id: str) -> StoredQuilt:
        """Take a deleted quilt back as it was. StoreFault "unknown" and those of writing."""
        name = f"{quilt_id}.quilt"
        source = self.folder / "deleted" / name
        with self._lock, disk_faults(self.folder):
            if not QUILT_FILE.fullmatch(name) or not source.exists() or quilt_id in self._quilts:
                raise StoreFault("unknown", quilt=quilt_id)
            replace(source, self.folder / name)
            sync_folder(self.folder)
            storage = self._filing.open(name)
            if storage is None:
                raise StoreFault("unknown", quilt=quilt_id)
            quilt = self._quilts[quilt_id] = StoredQuilt(storage, self._copy_daily)
            self._copy_now()
            return quilt

    def put(self, quilt_id: str, about: Document, taps: Iterable[Document], newer_than: int = 0) -> str | None:
        """Have the quilt of this id be just so, on disk when this returns. StoreFault; then the one there stays.

        What was there under the id, deleted or not, is kept among the deleted under an id of its own, which is given.
        `newer_than` is a version that pages may have seen.
        """
        name, facts, begun = f"{quilt_id}.quilt", plain(about, "about"), list(fresh_taps(taps).values())
        if not QUILT_FILE.fullmatch(name):
            raise StoreFault("unknown", quilt=quilt_id)
        there = self._quilts.get(quilt_id)
        with there.turn() if there else contextlib.nullcontext(), self._lock, disk_faults(self.folder):
            if self._closed or self._quilts.get(quilt_id) is not there:
                raise StoreFault("closed" if self._closed else "replaced")
            kept = self._keep_former(there.state) if there else self._make_way(name)
            made = there.made if there else max((quilt.made for quilt in self._quilts.values()), default=0) + 1
            seen = max(newer_than, there.version if there else 0) + LEAP
            try:
                storage = self._filing.make(name, made, facts, begun, seen)
            except BaseException:
                if there and kept:
                    (self.folder / "deleted" / f"{kept}.quilt").unlink(missing_ok=True)
                raise
            if there:
                # Who waits for the turn of the former one must not write into this one with the former's taps in mind.
                there.close(StoreFault("replaced"))
            self._quilts[quilt_id] = StoredQuilt(storage, self._copy_daily)
            self._copy_now()
            return kept

    def _keep_former(self, state: FileState) -> str:
        """Write a state among the deleted quilts under a fresh id, the day in its title; gives the id."""
        kept = self._fresh_id()
        about = dict(state.tables.get("about", {}).get("1", {}))
        about["title"] = f"{about.get('title') or kept} (until {day_in_words(self._today())})"
        tables = {**state.tables, "about": {"1": about}}
        former = FileState(kept, state.made, state.version + 1, fresh_history(), state.day, tables)
        write_whole(self.folder / "deleted" / f"{kept}.quilt", snapshot(former))
        return kept

    def _make_way(self, name: str) -> str | None:
        """Give a deleted quilt of this name a fresh id; None where there is none that can be read."""
        path = self.folder / "deleted" / name
        if not path.exists():
            return None
        log = read_log(path)
        state = log.replayed()
        kept = self._keep_former(state) if state else None
        if log.sound:
            path.unlink()
        else:
            replace(path, self._filing.aside(path))
        return kept

    def close(self) -> None:
        """Finish: no change is taken any more, today's copies are brought up to date, the folder is free again."""
        with self._lock:
            if self._closed:
                return
            self._closed = True
        self._notices.keep(self._today())
        for facts in (self.room, *self.quilts()):
            with facts.turn():
                facts.close()
        self._copy_now()
        self._file_lock.release()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _is_ours(name: str) -> bool:
    return name == ROOM_FILE or QUILT_FILE.fullmatch(name) is not None
