"""Who may in: the secret in the QR code, and the devices that have shown it.

Kept among the room's facts: "name" (tells the cookies of two rooms apart), "code" (the secret), and "devices" by id,
each {"name", "hash", "since", "seen"}. A device's own token is never kept, only its hash, and
codes for once are in memory only.
"""

from __future__ import annotations

import contextlib
import hmac
import logging
import secrets
import threading
import time
from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256

from tracker.safekeeping.callers import network_of
from tracker.safekeeping.logbook import REFUSED
from tracker.store.quilts import ID_LETTERS, Room, StoreFault

CODE_LENGTH = 12
"""Letters of the secret: 57 bits, and still short enough to type."""
MOST_DEVICES = 100
LONGEST_NAME = 40
LONGEST_TOKEN = 200

WAIT = "Too many wrong codes came in the last minute, so this one is not looked at now."
WRONG = "This code is not (or no longer) the right one; scan or type the one that the computer shows now."

log = logging.getLogger("tracker.safekeeping.pairing")


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


@dataclass(frozen=True)
class Code:
    """A code that lets a device in: its letters, and whether it lets in one device only, for some minutes."""

    letters: str
    once: bool = False

    @property
    def typed(self) -> str:
        """In groups, as a person types it."""
        return " ".join(self.letters[at : at + 4] for at in range(0, CODE_LENGTH, 4))

    @property
    def path(self) -> str:
        """What a QR code says after the address."""
        return f"/pair/{self.letters}"


class Guesses:
    """Wrong codes of the last minute. Beyond a few the code is not looked at, right or wrong."""

    WINDOW = 60
    FROM_ONE = 5
    FROM_ALL = 30
    """However many addresses a guesser has: at 30 a minute, half of all codes take seven thousand million years."""

    def __init__(self, clock: Callable[[], int]) -> None:
        self._clock = clock
        self._wrong: deque[tuple[int, str]] = deque()
        self._lock = threading.Lock()

    def wait(self, address: str) -> int:
        """How many seconds this address, or its network, has to wait before a code of its is looked at."""
        with self._lock:
            now = self._fresh()
            own = [at for at, who in self._wrong if who == network_of(address)]
            waits = [own[-self.FROM_ONE]] if len(own) >= self.FROM_ONE else []
            waits += [self._wrong[0][0]] if len(self._wrong) >= self.FROM_ALL else []
            return max(waits) + self.WINDOW - now if waits else 0

    def wrong(self, address: str) -> None:
        """Remember a wrong code."""
        with self._lock:
            self._wrong.append((self._clock(), network_of(address)))

    def anybody_waits(self) -> bool:
        """Whether some address has to wait now."""
        with self._lock:
            self._fresh()
            most = max(Counter(who for _, who in self._wrong).values(), default=0)
            return most >= self.FROM_ONE or len(self._wrong) >= self.FROM_ALL

    def _fresh(self) -> int:
        """The time now, after what is too old was forgotten."""
        now = self._clock()
        while self._wrong and now - self._wrong[0][0] >= self.WINDOW:
            self._wrong.popleft()
        return now


class Invitations:
    """Codes for one device each, as hard to guess as the code, which are looked at even while others guess."""

    SHOWN, VALID = 600, 1200
    """Seconds for which one is shown, and for which it lets a device in."""

    def __init__(self, clock: Callable[[], int]) -> None:
        self._clock = clock
        self._made: dict[str, int] = {}
        self._lock = threading.Lock()

    def newest(self) -> str:
        """One that lets a device in."""
        with self._lock:
            now = self._fresh()
            letters = next(reversed(self._made), "")
            if not letters or now - self._made[letters] >= self.SHOWN:
                letters = _letters(CODE_LENGTH)
                self._made[letters] = now
            return letters

    def holds(self, given: str, use: bool = False) -> bool:
        """Whether this is one. `use`: it is none from now on."""
        with self._lock:
            self._fresh()
            found = [letters for letters in self._made if _same(given, letters)]
            if use:
                self._made = {letters: at for letters, at in self._made.items() if letters not in found}
            return bool(found)

    def clear(self) -> None:
        """None of them lets anybody in any more."""
        with self._lock:
            self._made.clear()

    def _fresh(self) -> int:
        now = self._clock()
        self._made = {letters: at for letters, at in self._made.items() if now - at < self.VALID}
        return now


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
        self._guesses, self._invitations = Guesses(clock), Invitations(clock)
        about = room.about
        if not about.get("code") or not about.get("name"):
            room.set_about(name=about.get("name") or _letters(4), code=about.get("code") or _letters(CODE_LENGTH))
            about = room.about
        self._name, self._code = str(about["name"]), str(about["code"])
        self._devices = {key: _device(key, facts) for key, facts in about.get("devices", {}).items()}
        self._written = {device.id: device.seen[:10] for device in self._devices.values()}
        self._by_hash = {device.hash: device.id for device in self._devices.values()}

    @property
    def room(self) -> str:
        """What tells this room from others: no secret, and the same for as long as the folder is."""
        return self._name

    @property
    def cookie(self) -> str:
        """The name of the cookie: by room and not by port, so that another port lets the same devices in."""
        return f"sewing-room-{self._name}"

    @property
    def code(self) -> str:
        """The secret, in groups as a person types it."""
        return Code(self._code).typed

    @property
    def path(self) -> str:
        """What the QR code in the terminal says after the address."""
        return Code(self._code).path

    @property
    def guessed(self) -> bool:
        """Whether so many wrong codes came in the last minute that the code of some device is not looked at."""
        return self._guesses.anybody_waits()

    def to_show(self) -> Code:
        """What a person who is in shows to the next device: the secret, or a code for once while somebody guesses."""
        once = self.guessed
        return Code(self._invitations.newest() if once else self._code, once)

    def renew(self) -> None:
        """A new code; the old one lets nobody in any more. Devices that are in stay in. StoreFault."""
        with self._room.turn():
            code = _letters(CODE_LENGTH)
            self._room.set_about(code=code)
            self._code = code
            self._invitations.clear()
        log.info("the pairing code was renewed")

    def check(self, code: str, address: str, own: bool = False) -> None:
        """Whether this is the code, or one for once; slower and slower for who guesses. NotPaired.

        In: the code as it was given; the caller's address, and whether that is this computer's, which never waits.
        """
        given = _plain(code)
        if self._invitations.holds(given):
            return
        if not own and (wait := self._guesses.wait(address)):
            raise NotPaired(WAIT, wait)
        if not _same(given, self._code):
            if not own:
                self._guesses.wrong(address)
            log.info("a wrong pairing code from %s", address, extra=REFUSED)
            raise NotPaired(WRONG)

    def pair(self, code: str, name: str, address: str, own: bool = False) -> str:
        """Let a device in that shows the code: its token, which is on disk (as a hash) now. NotPaired, StoreFault."""
        with self._room.turn():
            self.check(code, address, own)
            if len(self._devices) >= MOST_DEVICES:
                raise NotPaired(f"{MOST_DEVICES} devices are in already; remove one under “Devices and backup” first.")
            token = secrets.token_urlsafe(32)
            now = self._minute()
            device = Device(self._fresh_id(), self._free_name(name), _hash(token), now[:10], now)
            self._write({**self._devices, device.id: device})
            self._invitations.holds(_plain(code), use=True)
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


def _plain(code: str) -> str:
    """A code as it was typed, without case and groups."""
    return "".join(code.lower().split()).replace("-", "")


def _same(given: str, letters: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "replace"), letters.encode())


def _hash(token: str) -> str:
    # A token has 256 random bits: nothing to be guessed from a fast hash.
    return sha256(token.encode("utf-8", "replace")).hexdigest()
