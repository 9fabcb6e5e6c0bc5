"""Who may in: the secret in the QR code, and the devices that have shown it.

Kept among the room's facts: "name" (tells the cookies of two rooms apart), "code" (the secret), and "devices" by id,
each {"name", "hash", "since", "seen"}. A device's own token is never kept, only its hash, and
codes for once are in memory only.
"""

from __future__ import annotations

import contextlib
import logging
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from tracker.safekeeping.logbook import REFUSED
from tracker.safekeeping.pupils import Classes
from tracker.safekeeping.secret_codes import (
    CODE_LENGTH,
    LONGEST_NAME,
    LONGEST_TOKEN,
    WAIT,
    Code,
    Guesses,
    Invitations,
    NotPaired,
    hash_of,
    letters_of,
    plain_code,
    same_code,
    wrong_code,
)
from tracker.store.quilts import Room, StoreFault

MOST_DEVICES = 100

log = logging.getLogger("tracker.safekeeping.pairing")


@dataclass(frozen=True)
class Device:
    """A device that was let in: its id and name, the day it came, and when it was last seen (local, to the minute)."""

    id: str
    name: str
    hash: str
    since: str
    seen: str


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
            room.set_about(name=about.get("name") or letters_of(4), code=about.get("code") or letters_of(CODE_LENGTH))
            about = room.about
        self._name, self._code = str(about["name"]), str(about["code"])
        self._devices = {key: _device(key, facts) for key, facts in about.get("devices", {}).items()}
        self._written = {device.id: device.seen[:10] for device in self._devices.values()}
        self._by_hash = {device.hash: device.id for device in self._devices.values()}

        self.classes = Classes(room, self._guesses, now, clock)

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
            code = letters_of(CODE_LENGTH)
            self._room.set_about(code=code)
            self._code = code
            self._invitations.clear()
        log.info("the pairing code was renewed")

    def check(self, code: str, address: str, own: bool = False) -> None:
        """Whether this is the code, or one for once; slower and slower for who guesses. NotPaired.

        In: the code as it was given; the caller's address, and whether that is this computer's, which never waits.
        """
        given = plain_code(code)
        if self._invitations.holds(given):
            return
        if not own and (wait := self._guesses.wait(address)):
            raise NotPaired(WAIT, wait)
        if not same_code(given, self._code):
            if not own:
                self._guesses.wrong(address)
            log.info("a wrong pairing code from %s", address, extra=REFUSED)
            raise NotPaired(wrong_code(given))

    def pair(self, code: str, name: str, address: str, own: bool = False) -> str:
        """Let a device in that shows the code: its token, which is on disk (as a hash) now. NotPaired, StoreFault."""
        with self._room.turn():
            self.check(code, address, own)
            if len(self._devices) >= MOST_DEVICES:
                raise NotPaired(f"{MOST_DEVICES} devices are in already; remove one under “Devices and backup” first.")
            token = secrets.token_urlsafe(32)
            now = self._minute()
            device = Device(self._fresh_id(), self._free_name(name), hash_of(token), now[:10], now)
            self._write({**self._devices, device.id: device})
            self._invitations.holds(plain_code(code), use=True)
        log.info("device %s was let in, from %s", device.id, address)
        return token

    def knows(self, token: str) -> bool:
        """Whether this is a token of a device that is let in."""
        return 0 < len(token) <= LONGEST_TOKEN and self._by_hash.get(hash_of(token)) in self._devices

    def greet(self, token: str) -> tuple[Device, bool] | None:
        """The device with this token, now seen, and whether for the first time today; None for a stranger.

        The day is kept, as far as the disk allows.
        """
        device_id = self._by_hash.get(hash_of(token)) if 0 < len(token) <= LONGEST_TOKEN else None
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
        while (made := letters_of(6)) in self._devices:
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
