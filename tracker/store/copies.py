"""Dated copies of the store's files: one folder for each day in use, the newest days kept."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path

from tracker.store.disk import is_plain_file, is_plain_folder, replace, sync_folder, temporary, write_whole

DAYS_KEPT = 14


class Copies:
    """The folder of dated copies: one folder for each day in use, a copy of every file in it."""

    def __init__(self, folder: Path, today: Callable[[], date]) -> None:
        self.folder = folder
        self._today = today

    def days(self) -> list[Path]:
        """The folders, newest date first; behind them those of days after today, which a wrong clock has dated: it is
        not known when they were made. Anything else that lies there, links too, is left alone."""
        found = []
        with contextlib.suppress(FileNotFoundError):
            for path in self.folder.iterdir():
                with contextlib.suppress(ValueError):
                    if date.fromisoformat(path.name).isoformat() == path.name and is_plain_folder(path):
                        found.append(path)
        today = self._today().isoformat()
        return sorted(found, key=lambda path: (path.name <= today, path.name), reverse=True)

    def of(self, name: str) -> list[Path]:
        """All copies of the file with this name, in the order of `days`."""
        return [day / name for day in self.days() if is_plain_file(day / name)]

    def take(self, paths: Iterable[Path]) -> None:
        """Copy the files for today and drop the oldest copies. An unchanged file costs a second name. OSError."""
        day = self.folder / self._today().isoformat()
        day.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not is_plain_folder(day):
            raise OSError("a link stands in the place of their folder")
        for path in paths:
            # A file may be deleted while we are at it; then there is nothing to copy.
            with contextlib.suppress(FileNotFoundError):
                self._take(path, day / path.name)
        sync_folder(day)
        self._thin()

    def _take(self, path: Path, target: Path) -> None:
        like = _likeness(path)
        if is_plain_file(target) and _likeness(target) == like:
            return
        earlier = next((copy for copy in self.of(path.name) if _likeness(copy) == like), None)
        if earlier is not None:
            unfinished = temporary(target)
            with contextlib.suppress(OSError):
                os.link(earlier, unfinished)
                replace(unfinished, target)
                return
        # Read without waiting for the file's turn: what is added meanwhile is at worst an unfinished last line.
        write_whole(target, path.read_bytes())
        os.utime(target, ns=(like[1], like[1]))

    def _thin(self) -> None:
        """Keep the newest days. Days after today come from a clock that was wrong: they do not push out real ones."""
        today = self._today().isoformat()
        days = self.days()
        past = [day for day in days if day.name <= today]
        future = [day for day in days if day.name > today]
        for day in past[DAYS_KEPT:] + future[DAYS_KEPT:]:
            for path in day.iterdir():
                if path.is_symlink() or path.is_file():
                    path.unlink()  # of a link, the link alone
            with contextlib.suppress(OSError):  # something else lies there
                day.rmdir()

    def forget(self, name: str) -> None:
        """Take a deleted file out of the newest copies, so that it is not taken for one that went missing."""
        today = self._today().isoformat()
        for day in self.days():
            if day.name >= today or day == self.days()[0]:
                (day / name).unlink(missing_ok=True)

    def newest_names(self) -> set[str]:
        """Names of the files in the newest day's folder that has any."""
        names = ({path.name for path in day.iterdir() if is_plain_file(path)} for day in self.days())
        return next(filter(None, names), set())


def _likeness(path: Path) -> tuple[int, int]:
    found = path.stat()
    return found.st_size, found.st_mtime_ns
