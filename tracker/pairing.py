"""Who may in: the secret in the QR code, and the devices that have shown it.

Kept among the room's facts: "name" (tells the cookies of two rooms apart), "code" (the secret), and "devices" by id,
each {"name", "hash", "since", "seen"}. A device's own token is never kept, only its hash.
"""

from __future__ import annotations

import contextlib
import hmac
import logging
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256

from tracker.store import ID_LETTERS, Room, StoreFault

CODE_LENGTH = 12
"""Letters of the secret: 57 bits, and still short enough to type."""
MOST_DEVICES = 100
LONGEST_NAME = 40
LONGEST_TOKEN = 200

log = logging.getLogger("tracker.pairing")


class NotPaired(Exception):
    """A device that is not let in. `wait`: seconds until it may try again (0: at once); the text is a sentence."""

    def __init__(self, sentence: str, wait: int = 0) -> None:
        super().__init__(sentence)
        self.wait = wait


@dataclass(frozen=True)
class Device:
    """A device that was let in: its id and name, the day it came, and when it was last seen (local, to the minute)."""

    id: str
    name: str
    hash: str
    since: str
    seen: str


class Guesses:
    """Wrong codes of the last minute. Beyond a few nobody's code is looked at, right or wrong."""

    WINDOW = 60
    FROM_ONE = 5
    FROM_ALL = 30
    """However many addresses a guesser has: at 30 a minute, half of all codes take seven thousand million years."""

    def __init__(self, clock: Callable[[], int]) -> None:
        self._clock = clock
        self._wrong: deque[tuple[int, str]] = deque()
        self._lock = threading.Lock()

    def wait(self, address: str) -> int:
        """How many seconds this address has to wait before a code of its is looked at."""
        with self._lock:
            now = self._clock()
            while self._wrong and now - self._wrong[0][0] >= self.WINDOW:
                self._wrong.popleft()
            own = [at for at, who in self._wrong if who == address]
            waits = [own[-self.FROM_ONE]] if len(own) >= self.FROM_ONE else []
            waits += [self._wrong[0][0]] if len(self._wrong) >= self.FROM_ALL else []
            return max(waits) + self.WINDOW - now if waits else 0

    def wrong(self, address: str) -> None:
        """Remember a wrong code."""
        with self._lock:
            self._wrong.append((self._clock(), address))


class Pairing:
    """The code and the devices of one room. Safe to use from several threads."""

    def __init__(
        self,
        room: Room,
        now: Callable[[], datetime] = datetime.now,
        clock: Callable[[], int] = lambda: int(time.monotonic()),
    ) -> None:
        """In: the room's facts, the wall clock (for people), and seconds that never run back (for waiting).

        StoreFault where a first code cannot be kept.
        """
        self._room = room
        self._now = now
        self._guesses = Guesses(clock)
        about = room.about
        if not about.get("code") or not about.get("name"):
            room.set_about(name=about.get("name") or _letters(4), code=about.get("code") or _letters(CODE_LENGTH))
            about = room.about
        self._name, self._code = str(about["name"]), str(about["code"])
        self._devices = {key: _device(key, facts) for key, facts in about.get("devices", {}).items()}
        self._written = {device.id: device.seen[:10] for device in self._devices.values()}
        self._by_hash = {device.hash: device.id for device in self._devices.values()}

    @property
    def cookie(self) -> str:
        """The name of the cookie: by room and not by port, so that another port lets the same devices in."""
        return f"sewing-room-{self._name}"

    @property
    def code(self) -> str:
        """The secret, in groups as a person types it."""
        return " ".join(self._code[at : at + 4] for at in range(0, CODE_LENGTH, 4))

    @property
    def path(self) -> str:
        """What the QR code says after the address."""
        return f"/pair/{self._code}"

    def renew(self) -> None:
        """A new code; the old one lets nobody in any more. Devices that are in stay in. StoreFault."""
        with self._room.turn():
            code = _letters(CODE_LENGTH)
            self._room.set_about(code=code)
            self._code = code
        log.info("the pairing code was renewed")

    def check(self, code: str, address: str) -> None:
        """Whether this is the code; slower and slower for who guesses. NotPaired."""
        if wait := self._guesses.wait(address):
            raise NotPaired(
                "Too many wrong codes came in the last minute, so no code is looked at now; wait a minute, then scan"
                " the code on the computer again.",
                wait,
            )
        given = "".join(code.lower().split()).replace("-", "")
        if not hmac.compare_digest(given.encode("utf-8", "replace"), self._code.encode()):
            self._guesses.wrong(address)
            log.info("a wrong pairing code from %s", address)
            raise NotPaired(
                "This code is not (or no longer) the right one; scan or type the one that the computer shows now."
            )

    def pair(self, code: str, name: str, address: str) -> str:
        """Let a device in that shows the code: its token, which is on disk (as a hash) now. NotPaired, StoreFault."""
        self.check(code, address)
        with self._room.turn():
            if len(self._devices) >= MOST_DEVICES:
                raise NotPaired(f"{MOST_DEVICES} devices are in already; remove one under “Devices and backup” first.")
            token = secrets.token_urlsafe(32)
            now = self._minute()
            device = Device(self._fresh_id(), self._free_name(name), _hash(token), now[:10], now)
            self._write({**self._devices, device.id: device})
        log.info("device %s was let in, from %s", device.id, address)
        return token

    def knows(self, token: str) -> bool:
        """Whether this is a token of a device that is let in."""
        return 0 < len(token) <= LONGEST_TOKEN and self._by_hash.get(_hash(token)) in self._devices

    def greet(self, token: str) -> tuple[Device, bool] | None:
        """The device with this token, now seen, and whether for the first time today; None for a stranger.

        The day is kept, as far as the disk allows.
        """
        device_id = self._by_hash.get(_hash(token)) if 0 < len(token) <= LONGEST_TOKEN else None
        found = self._devices.get(device_id or "")
        now = self._minute()
        if found is None or found.seen == now:
            return None if found is None else (found, False)
        with self._room.turn():
            if found.id not in self._devices:  # removed this moment
                return None
            fresh = replace(found, seen=now)
            self._devices[found.id] = fresh
            first = self._written.get(found.id) != now[:10]
            if first:
                self._written[found.id] = now[:10]
                # Being seen must never stop anybody from working.
                with contextlib.suppress(StoreFault):
                    self._write(self._devices)
        return fresh, first

    def devices(self) -> list[Device]:
        """All devices that are let in, last seen first."""
        with self._room.turn():
            return sorted(self._devices.values(), key=lambda device: (device.seen, device.id), reverse=True)

    def remove(self, device_id: str) -> None:
        """Let this device in no more; nothing where it is not in. StoreFault."""
        with self._room.turn():
            if device_id in self._devices:
                self._write({key: device for key, device in self._devices.items() if key != device_id})
                log.info("device %s was removed", device_id)

    def _write(self, devices: dict[str, Device]) -> None:
        """Keep these devices: on the disk first, then here. StoreFault."""
        facts = {
            device.id: {"name": device.name, "hash": device.hash, "since": device.since, "seen": device.seen}
            for device in devices.values()
        }
        self._room.set_about(devices=facts)
        self._devices = dict(devices)
        self._written = {device.id: device.seen[:10] for device in devices.values()}
        self._by_hash = {device.hash: device.id for device in devices.values()}

    def _minute(self) -> str:
        return self._now().isoformat(timespec="minutes")[:16]

    def _fresh_id(self) -> str:
        while (made := _letters(6)) in self._devices:
            pass
        return made

    def _free_name(self, wanted: str) -> str:
        """The name as one line of text; a number after it where another device has it."""
        shown = "".join(sign if sign.isprintable() else " " for sign in wanted)
        base = " ".join(shown.split())[:LONGEST_NAME].strip() or "Device"
        taken = {device.name for device in self._devices.values()}
        name, number = base, 1
        while name in taken:
            number += 1
            name = f"{base[: LONGEST_NAME - 4]} {number}"
        return name


def _device(device_id: str, facts: dict[str, str]) -> Device:
    return Device(device_id, *(facts.get(key, "") for key in ("name", "hash", "since", "seen")))


def _letters(number: int) -> str:
    return "".join(secrets.choice(ID_LETTERS) for _ in range(number))


def _hash(token: str) -> str:
    # A token has 256 random bits: nothing to be guessed from a fast hash.
    return sha256(token.encode("utf-8", "replace")).hexdigest()
