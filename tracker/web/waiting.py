"""The one backup that was sent and not agreed to yet."""

from __future__ import annotations

import secrets
import threading

from tracker.safekeeping.backup import Backup


class WaitingBackup:
    """Kept in memory until it is agreed to, or until another is sent."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._key = ""
        self._backup: Backup | None = None

    def keep(self, backup: Backup) -> str:
        """Keep a backup in place of the former; its key."""
        with self._lock:
            self._key, self._backup = secrets.token_hex(8), backup
            return self._key

    def get(self, key: str) -> Backup | None:
        """The backup with this key, where it is there still."""
        with self._lock:
            return self._backup if key == self._key else None

    def forget(self) -> None:
        """Keep none."""
        with self._lock:
            self._key, self._backup = "", None
