"""Classes: pupils who are let in to one quilt each, by a code that opens nothing else.

Each class is one of the room's facts, "class-" and its id: {"title", "quilt" (the class's own, with the plan), "code",
"made", "open" (whether new pupils are let in), "ended", "shown" (a step's short name), "pupils" by id: {"name", "was"
(her name before), "quilt", "ended", "devices": [{"hash", "since", "ended"}]}}. Nothing is ever taken out, so that all
can be taken back. Of a device's token only the hash is kept.
"""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from tracker.safekeeping.logbook import REFUSED
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
from tracker.store.quilts import Room

MOST_PUPILS = 60
MOST_CLASSES = 50
KEY = "class-"
JOINED_LATELY = 100
"""So many joins are remembered, so that a form that is sent twice makes one pupil."""

log = logging.getLogger("tracker.safekeeping.pupils")


class ClassFault(Exception):
    """What cannot be done with a class; the text is one sentence for a person."""


@dataclass(frozen=True)
class PupilDevice:
    """A pupil's device: the hash of its token, since when (local, to the minute), whether it is let in no more."""

    hash: str
    since: str
    ended: bool = False


@dataclass(frozen=True)
class Pupil:
    """A pupil: her name and the one before (empty: none), her quilt, whether she is let in no more, her devices."""

    id: str
    class_id: str
    name: str
    quilt: str
    was: str = ""
    ended: bool = False
    devices: tuple[PupilDevice, ...] = ()


@dataclass(frozen=True)
class SewingClass:
    """A class as it stands; see above."""

    id: str
    title: str
    quilt: str
    code: str
    made: str
    open: bool = True
    ended: bool = False
    shown: str = ""
    pupils: tuple[Pupil, ...] = ()

    def pupil(self, pupil_id: str) -> Pupil | None:
        """The pupil with this id."""
        return next((each for each in self.pupils if each.id == pupil_id), None)


@dataclass(frozen=True)
class ClassDoor:
    """What a code opens: a class, and the pupil who goes on by it (None: whoever comes)."""

    group: SewingClass
    pupil: Pupil | None = None


class Classes:
    """All classes of one room. Safe to use from several threads."""

    def __init__(self, room: Room, guesses: Guesses, now: Callable[[], datetime], clock: Callable[[], int]) -> None:
        """In: the room's facts, wrong codes of any kind, the wall clock, seconds that never run back."""
        self._room, self._guesses, self._now, self._clock = room, guesses, now, clock
        self._once: dict[tuple[str, str], Invitations] = {}
        self._joined: dict[str, str] = {}
        found = {key: facts for key, facts in room.about.items() if key.startswith(KEY) and isinstance(facts, dict)}
        self._classes = {key.removeprefix(KEY): _class(key.removeprefix(KEY), facts) for key, facts in found.items()}
        self._find()

    def _find(self) -> None:
        """Find devices by their hashes, pupils by their quilts."""
        pupils = [(group, pupil) for group in self._classes.values() for pupil in group.pupils]
        self._by_hash = {device.hash: (group, pupil, device) for group, pupil in pupils for device in pupil.devices}
        self._quilts = {pupil.quilt for _, pupil in pupils} | {group.quilt for group in self._classes.values()}

    @property
    def cookie(self) -> str:
        """The name of a pupil's cookie: another than that of paired devices."""
        return f"sewing-class-{self._room.facts['name']}"

    # Looking

    def all(self) -> list[SewingClass]:
        """All classes, the newest first."""
        return sorted(self._classes.values(), key=lambda group: (group.made, group.id), reverse=True)

    def get(self, class_id: str) -> SewingClass | None:
        """The class with this id."""
        return self._classes.get(class_id)

    def quilts(self) -> set[str]:
        """The quilts of classes and their pupils."""
        return self._quilts

    def pupil_of(self, token: str) -> Pupil | None:
        """The pupil whose device this is; None where it is let in no more, or never was."""
        found = self._by_hash.get(hash_of(token)) if 0 < len(token) <= LONGEST_TOKEN else None
        if found is None:
            return None
        group, pupil, device = found
        return None if group.ended or pupil.ended or device.ended else pupil

    def was_pupil(self, token: str) -> bool:
        """Whether this is a pupil's token, whatever has been ended since."""
        return 0 < len(token) <= LONGEST_TOKEN and hash_of(token) in self._by_hash

    # Codes

    def to_show(self, group: SewingClass, pupil: Pupil | None = None) -> Code:
        """The code that the teacher shows: to whoever comes, or to one pupil, for once, to go on with a new device.
        While somebody guesses, to whoever comes as well a code for once."""
        if pupil is None and not self._guesses.anybody_waits():
            return Code(group.code)
        target = group.id, pupil.id if pupil else ""
        with self._room.turn():
            return Code(self._once.setdefault(target, Invitations(self._clock)).newest(), True)

    def opens(self, code: str, address: str, own: bool = False) -> ClassDoor | None:
        """What a code opens; None where it is none, which is not counted as a guess: what is asked next counts it.

        In: as `Pairing.check`. Where the caller has to wait only codes for once are looked at.
        """
        given = plain_code(code)
        for (class_id, pupil_id), invitations in list(self._once.items()):
            group = self._classes[class_id]
            if invitations.holds(given) and not group.ended:
                return ClassDoor(group, group.pupil(pupil_id))
        if not own and self._guesses.wait(address):
            return None
        found = [group for group in self._classes.values() if same_code(given, group.code)]
        return ClassDoor(found[0]) if found and not found[0].ended else None

    def check(self, code: str, address: str, own: bool = False) -> ClassDoor:
        """The same; a wrong code is counted. NotPaired."""
        wait = 0 if own else self._guesses.wait(address)
        door = self.opens(code, address, own)
        if door is None and wait:
            raise NotPaired(WAIT, wait)
        if door is None:
            if not own:
                self._guesses.wrong(address)
            log.info("a wrong class code from %s", address, extra=REFUSED)
            raise NotPaired(wrong_code(plain_code(code)))
        return door

    def join(
        self, code: str, name: str, sent: str, make_quilt: Callable[[SewingClass, str], str], caller: tuple[str, bool]
    ) -> str:
        """Let a pupil's device in: its token, which is on disk (as a hash) now.

        In: the code; her name (one who goes on by a code of her own keeps hers); a name of this form, so that sent
        twice it lets in once; what makes her quilt, from the class and her name; the caller, as `check` has it.
        NotPaired, ClassFault, StoreFault.
        """
        with self._room.turn():
            if sent and sent in self._joined:
                return self._joined[sent]
            door = self.check(code, *caller)
            token = secrets.token_urlsafe(32)
            device = PupilDevice(hash_of(token), self._now().isoformat(timespec="minutes")[:16])
            if door.pupil is not None:
                # Whoever has the former device now goes on with nothing.
                former = tuple(replace(each, ended=True) for each in door.pupil.devices)
                self._put_pupil(replace(door.pupil, devices=(*former, device), ended=False))
            else:
                self._new_pupil(door.group, self._free_name(door.group, name), device, make_quilt)
            for invitations in self._once.values():
                invitations.holds(plain_code(code), use=True)
            if sent:
                self._joined[sent] = token
                for old in list(self._joined)[:-JOINED_LATELY]:
                    del self._joined[old]
        log.info("a pupil's device was let in to class %s", door.group.id)
        return token

    def _new_pupil(
        self, group: SewingClass, name: str, device: PupilDevice, make_quilt: Callable[[SewingClass, str], str]
    ) -> None:
        if not group.open:
            raise ClassFault("This class takes nobody more now; ask your teacher to open its door.")
        if len(group.pupils) >= MOST_PUPILS:
            raise ClassFault(f"This class has {MOST_PUPILS} pupils, which is all that it takes.")
        quilt = make_quilt(group, name)
        self._put_pupil(Pupil(letters_of(6), group.id, name, quilt, devices=(device,)))

    def _free_name(self, group: SewingClass, given: str, but: str = "") -> str:
        """A name as one line, which no other pupil of the class has. ClassFault."""
        shown = "".join(sign if sign.isprintable() else " " for sign in given)
        name = " ".join(shown.split())
        if not name:
            raise ClassFault("Type your name, so that your teacher knows whose quilt it is.")
        if len(name) > LONGEST_NAME:
            raise ClassFault(f"A name has {LONGEST_NAME} letters at most, and this one has {len(name)}; shorten it.")
        if any(each.name.casefold() == name.casefold() for each in group.pupils if each.id != but):
            raise ClassFault(
                f"There is {name} in this class already. If that is you, ask your teacher for the code with which you"
                " go on; if not, add a letter to your name."
            )
        return name

    # Changing

    def begin(self, title: str, quilt_id: str) -> SewingClass:
        """A new class on a quilt of the teacher's. ClassFault, StoreFault."""
        with self._room.turn():
            if len(self._classes) >= MOST_CLASSES:
                raise ClassFault(f"There are {MOST_CLASSES} classes, which is all that is kept.")
            while (made := letters_of(6)) in self._classes:
                pass
            at = self._now().isoformat(timespec="minutes")[:16]
            group = SewingClass(made, title, quilt_id, letters_of(CODE_LENGTH), at)
            self._put(group)
        log.info("class %s was begun", group.id)
        return group

    def change(self, group: SewingClass, **facts: Any) -> None:
        """Set some of a class's facts: title, open, ended, shown. StoreFault."""
        with self._room.turn():
            self._put(replace(self._classes[group.id], **facts))
        log.info("class %s was changed: %s", group.id, ", ".join(facts))

    def renew(self, group: SewingClass) -> None:
        """A new code for a class; pupils who are in stay in. StoreFault."""
        self.change(group, code=letters_of(CODE_LENGTH))
        self._once.pop((group.id, ""), None)

    def rename(self, pupil: Pupil, name: str) -> None:
        """Another name for a pupil; the former one can be taken back. ClassFault, StoreFault."""
        with self._room.turn():
            free = self._free_name(self._classes[pupil.class_id], name, pupil.id)
            if free != pupil.name:
                self._put_pupil(replace(self._fresh(pupil), name=free, was=pupil.name))

    def end_pupil(self, pupil: Pupil, ended: bool) -> None:
        """Let a pupil in no more, or again. StoreFault."""
        with self._room.turn():
            self._put_pupil(replace(self._fresh(pupil), ended=ended))

    def end_device(self, pupil: Pupil, number: int, ended: bool) -> None:
        """Let one of a pupil's devices (by its place, from 0) in no more, or again. StoreFault."""
        with self._room.turn():
            fresh = self._fresh(pupil)
            devices = tuple(
                replace(each, ended=ended) if place == number else each for place, each in enumerate(fresh.devices)
            )
            self._put_pupil(replace(fresh, devices=devices))

    def _fresh(self, pupil: Pupil) -> Pupil:
        return self._classes[pupil.class_id].pupil(pupil.id) or pupil

    def _put_pupil(self, pupil: Pupil) -> None:
        group = self._classes[pupil.class_id]
        there = group.pupil(pupil.id) is not None
        pupils = tuple(pupil if each.id == pupil.id else each for each in group.pupils)
        self._put(replace(group, pupils=pupils if there else (*pupils, pupil)))

    def _put(self, group: SewingClass) -> None:
        """Keep a class: on the disk first, then here. StoreFault."""
        facts = asdict(group)
        facts.pop("id")
        facts["pupils"] = {each.pop("id"): each for each in facts["pupils"]}
        for each in facts["pupils"].values():
            each.pop("class_id")
        self._room.set_about(**{f"{KEY}{group.id}": facts})
        self._classes = {**self._classes, group.id: group}
        self._find()


def _class(class_id: str, facts: dict[str, Any]) -> SewingClass:
    """A class as it is kept; facts of later versions are let be."""
    pupils = tuple(_pupil(class_id, pupil_id, each) for pupil_id, each in facts.get("pupils", {}).items())
    known = {key: facts[key] for key in ("title", "quilt", "code", "made", "open", "ended", "shown") if key in facts}
    return SewingClass(class_id, **known, pupils=pupils)


def _pupil(class_id: str, pupil_id: str, facts: dict[str, Any]) -> Pupil:
    devices = tuple(
        PupilDevice(each["hash"], each.get("since", ""), bool(each.get("ended"))) for each in facts.get("devices", [])
    )
    known = {key: facts[key] for key in ("name", "quilt", "was", "ended") if key in facts}
    return Pupil(pupil_id, class_id, **known, devices=devices)
