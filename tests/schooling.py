"""A class of pupils, each with a quilt and a phone of her own, as the tests of classes use it."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from flask import Flask
from visitors import Quilt, Visitor, add_quilt, words_of

from tracker.safekeeping.pupils import Classes, Pupil, SewingClass
from tracker.store.quilts import Store, StoredQuilt


@dataclass
class School:
    """A room with a class of two, seen by its teacher and by a pupil; and a quilt that is the teacher's alone."""

    store: Store
    room: Flask
    teacher: Visitor
    own: StoredQuilt
    group_id: str

    @property
    def classes(self) -> Classes:
        found = self.room.extensions["sewing-room"].pairing.classes
        assert isinstance(found, Classes)
        return found

    @property
    def group(self) -> SewingClass:
        found = self.classes.get(self.group_id)
        assert found is not None
        return found

    @property
    def at(self) -> str:
        return f"/classes/{self.group_id}"

    def pupil(self, name: str) -> Pupil:
        return next(each for each in self.group.pupils if each.name == name)

    def phone(self, name: str, code: str = "", address: str = "192.168.1.40") -> Visitor:
        """A phone with which a pupil has come in."""
        phone = Visitor(self.room, address=address, paired=False)
        answer = phone.post("/join", {"code": code or self.group.code, "name": name, "sent": ""})
        assert (answer.status_code, answer.headers.get("Location")) == (303, "/mine"), words_of(answer)
        return phone

    def quilt(self, name: str, phone: Visitor) -> Quilt:
        return Quilt(phone, self.store.quilt(self.pupil(name).quilt))


@pytest.fixture
def school(store: Store, room: Flask, phone: Visitor) -> School:
    own = add_quilt(store)
    answer = phone.post("/classes", {"title": "Saturday beginners", "quilt": own.id})
    assert answer.status_code == 303
    return School(store, room, phone, own, answer.headers["Location"].rpartition("/")[2])


def standing(school: School) -> list[object]:
    """All that is on the disk."""
    return [school.store.room.state.version, *((quilt.id, quilt.version) for quilt in school.store.quilts())]
