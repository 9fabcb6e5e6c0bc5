"""What was found on the disk, told until it has been read: kept among the room's facts, whatever is stopped meanwhile.

"notices" there is a list of {"id", "day", "file", "said"}.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from tracker.store.disk import StoreFault
from tracker.store.mending import DiskFinding
from tracker.store.records import Document

MOST_KEPT = 300
"""More than the files of any room; what is found beyond them is told in this run only."""
NOT_KEPT = ("copies",)
"""Kinds that are found again every day, as long as they last."""


class Facts(Protocol):
    """The room, as far as notices need it."""

    @property
    def about(self) -> Document: ...

    def set_about(self, **changes: Any) -> None: ...

    def turn(self) -> AbstractContextManager[None]: ...


@dataclass(frozen=True)
class DiskNotice:
    """A sentence for a person. `id` marks it as read (empty: it cannot be, and is gone with this run)."""

    id: str
    file: str
    said: str


class Notices:
    """The notices of one room. Safe between threads."""

    def __init__(self, room: Facts, findings: Sequence[DiskFinding]) -> None:
        """In: the room's facts, and what is found, which may grow."""
        self._room = room
        self._findings = findings
        self._seen = 0
        self._told: list[DiskNotice] = []

    def keep(self, day: date) -> None:
        """Keep what has been found since the last time; where the disk refuses, it is told in this run only."""
        if self._seen == len(self._findings):
            return
        with self._room.turn():
            fresh = self._findings[self._seen :]
            self._seen += len(fresh)
            about = self._room.about.get("notices", [])
            kept = [each for each in fresh if each.kind not in NOT_KEPT][: max(0, MOST_KEPT - len(about))]
            self._told += [DiskNotice("", each.file, str(each)) for each in fresh if each not in kept]
            if not kept:
                return
            facts = [
                {"id": secrets.token_hex(4), "day": day.isoformat(), "file": each.file, "said": str(each)}
                for each in kept
            ]
            try:
                self._room.set_about(notices=[*about, *facts])
            except StoreFault:
                self._told += [DiskNotice("", each.file, str(each)) for each in kept]

    def all(self) -> list[DiskNotice]:
        """All that has not been read yet, the oldest first."""
        kept = [DiskNotice(each["id"], each["file"], each["said"]) for each in self._room.about.get("notices", [])]
        return kept + self._told

    def read(self, notice_id: str) -> None:
        """This has been read ("all": all have been) and is not told again. StoreFault."""
        with self._room.turn():
            about = self._room.about.get("notices", [])
            left = [each for each in about if notice_id not in ("all", each["id"])]
            if len(left) < len(about):
                self._room.set_about(notices=left)
