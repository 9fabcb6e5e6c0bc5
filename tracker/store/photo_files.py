"""Photos that are kept with quilts: each a file of its own, named by what is in it, and a copy of each.

folder/
    photos/1f0c….jpg
    copies/photos/1f0c….jpg     a real copy: one of the two that is damaged or missing is put back from the other
"""

from __future__ import annotations

import contextlib
import logging
import re
import threading
from collections.abc import Callable, Iterable, Mapping
from hashlib import blake2b
from pathlib import Path
from typing import Any

from tracker.store.disk import StoreFault, disk_faults, is_plain_file, sweep, write_whole

PHOTO_NAME = re.compile(r"[0-9a-f]{32}")

logger = logging.getLogger("tracker.store.quilts")

Found = Callable[[str, str, str], None]
"""What is called where something was wrong: the kind, the quilt's file, a sentence."""


def photo_name(data: bytes) -> str:
    """The name of a photo, which follows from what is in it."""
    return blake2b(data, digest_size=16).hexdigest()


def photos_of(facts: Mapping[str, Any]) -> list[str]:
    """The names of the photos kept with a quilt, by the facts about it; those too that can be taken back."""
    return [str(each.get("name", "")) for each in facts.get("photos", []) if isinstance(each, dict)]


class PhotoFiles:
    """The photos of one folder. Safe between threads: a file is written whole, and never changed."""

    def __init__(self, folder: Path, found: Found) -> None:
        self._places = (folder / "photos", folder / "copies" / "photos")
        self._found = found
        self._told: set[str] = set()
        self.turn = threading.RLock()
        """Held while a photo is kept and a quilt has it, and while it is dropped since none has: never taken by who
        holds a quilt's turn."""

    def keep(self, data: bytes) -> str:
        """Have a photo on the disk, twice, when this returns; its name. StoreFault."""
        name = photo_name(data)
        with self.turn, disk_faults(self._places[0].parent):
            for place in reversed(self._places):
                place.mkdir(parents=True, exist_ok=True, mode=0o700)
                path = self._path(place, name)
                if not (is_plain_file(path) and path.read_bytes() == data):
                    write_whole(path, data)
        self._told.discard(name)
        return name

    def read(self, name: str, quilt_id: str = "") -> bytes | None:
        """A photo as it was kept, of it and its copy the one put back from the other where it is damaged; None where
        neither can be read."""
        if not PHOTO_NAME.fullmatch(name):
            return None
        sound = self._sound(name)
        if len(sound) == 1:
            self._put_back(name)
        if sound:
            return sound[0]
        if quilt_id and name not in self._told:
            self._told.add(name)
            self._found("photo", f"{quilt_id}.quilt", _lost(1))
        return None

    def _sound(self, name: str) -> list[bytes]:
        """What can be read of a photo and its copy, each as it was kept."""
        sound = []
        for place in self._places:
            with contextlib.suppress(OSError):
                data = self._path(place, name).read_bytes()
                sound += [data] * (photo_name(data) == name)
        return sound

    def _put_back(self, name: str) -> None:
        with self.turn, contextlib.suppress(StoreFault):  # the disk is full: then the other is read again
            if sound := self._sound(name):  # it may have been dropped meanwhile
                logger.warning("found on the disk: a photo or its copy was damaged or missing and was put back")
                self.keep(sound[0])

    def look_after(self, wanted: Iterable[tuple[str, Iterable[str]]]) -> None:
        """Sweep what a killed program left, put back what is missing or cut short, and tell which photos are lost; in:
        quilts' ids with their photos."""
        for place in self._places:
            sweep(place)
        for quilt_id, names in wanted:
            lost = []
            for name in names:
                sizes = [self._size(self._path(place, name)) for place in self._places]
                if not any(size >= 0 for size in sizes):
                    lost.append(name)
                elif len(set(sizes)) > 1:  # to read them all would take too long; what reads one finds the rest
                    self.read(name, quilt_id)
            self._told.update(lost)
            if lost:
                self._found("photo", f"{quilt_id}.quilt", _lost(len(lost)))

    def size(self, names: Iterable[str]) -> int:
        """Bytes of these photos together, as far as they are there."""
        return sum(max(0, self._size(self._path(self._places[0], name))) for name in names)

    @staticmethod
    def _size(path: Path) -> int:
        """Bytes of a file, below 0 where there is none."""
        return path.stat().st_size if is_plain_file(path) else -1

    @staticmethod
    def _path(place: Path, name: str) -> Path:
        return place / f"{name}.jpg"

    def drop(self, name: str) -> None:
        """Have a photo no more, for good. StoreFault."""
        if PHOTO_NAME.fullmatch(name):
            with self.turn, disk_faults(self._places[0].parent):
                for place in self._places:
                    self._path(place, name).unlink(missing_ok=True)


def _lost(number: int) -> str:
    which = "A photo that was kept with it is" if number == 1 else f"{number} photos that were kept with it are"
    return f"{which} missing or damaged, with {'its copy' if number == 1 else 'their copies'}; a backup may have it."
