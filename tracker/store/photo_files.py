"""Photos that are kept with quilts: each a file of its own, named by what is in it, and a copy of each.

folder/
    photos/1f0c….jpg
    copies/photos/1f0c….jpg     a real copy: a photo that is damaged or missing is put back from it
"""

from __future__ import annotations

import contextlib
import logging
import re
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

    def keep(self, data: bytes) -> str:
        """Have a photo on the disk, twice, when this returns; its name. StoreFault."""
        name = photo_name(data)
        with disk_faults(self._places[0].parent):
            for place in reversed(self._places):
                place.mkdir(parents=True, exist_ok=True, mode=0o700)
                path = self._path(place, name)
                if not (is_plain_file(path) and path.read_bytes() == data):
                    write_whole(path, data)
        self._told.discard(name)
        return name

    def read(self, name: str, quilt_id: str = "") -> bytes | None:
        """A photo as it was kept, put back from its copy where it is damaged; None where neither can be read."""
        if not PHOTO_NAME.fullmatch(name):
            return None
        for place in self._places:
            with contextlib.suppress(OSError):
                data = self._path(place, name).read_bytes()
                if photo_name(data) == name:
                    if place is not self._places[0]:
                        self._put_back(name, data)
                    return data
        if quilt_id and name not in self._told:
            self._told.add(name)
            self._found("photo", f"{quilt_id}.quilt", _lost(1))
        return None

    def _put_back(self, name: str, data: bytes) -> None:
        logger.warning("found on the disk: a photo was damaged or missing and was put back from its copy")
        with contextlib.suppress(StoreFault):  # the disk is full: then the copy is read again
            self.keep(data)

    def look_after(self, wanted: Iterable[tuple[str, Iterable[str]]]) -> None:
        """Sweep what a killed program left, and tell which photos are missing; in: quilts' ids with their photos."""
        for place in self._places:
            sweep(place)
        for quilt_id, names in wanted:
            lost = [name for name in names if not any(is_plain_file(self._path(place, name)) for place in self._places)]
            self._told.update(lost)
            if lost:
                self._found("photo", f"{quilt_id}.quilt", _lost(len(lost)))

    @staticmethod
    def _path(place: Path, name: str) -> Path:
        return place / f"{name}.jpg"

    def drop(self, name: str) -> None:
        """Have a photo no more, for good. StoreFault."""
        if PHOTO_NAME.fullmatch(name):
            with disk_faults(self._places[0].parent):
                for place in self._places:
                    self._path(place, name).unlink(missing_ok=True)


def _lost(number: int) -> str:
    which = "A photo that was kept with it is" if number == 1 else f"{number} photos that were kept with it are"
    return f"{which} missing or damaged, with {'its copy' if number == 1 else 'their copies'}; a backup may have it."
