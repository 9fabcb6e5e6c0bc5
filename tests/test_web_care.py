"""Devices and backup on the screen: seen before it is done, and nothing done that was not seen."""

from __future__ import annotations

import io
import re

import pytest
from flask import Flask
from schooling import School
from visitors import Quilt, Visitor, add_quilt, words_of
from werkzeug.test import TestResponse

from tracker.safekeeping.backup import make_backup, read_backup
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.screens import care, restore


def sent(visitor: Visitor, data: bytes, name: str = "quilts.zip") -> TestResponse:
    return visitor.post("/room/restore", {"file": (io.BytesIO(data), name)})


def agree(visitor: Visitor, page: TestResponse, *quilts: str) -> TestResponse:
    """Press the button of the page that says what would be done, with these quilts marked."""
    shown = page.get_data(as_text=True)
    path, seen = re.search(r'action="(/room/restore/\w+)"', shown), re.search(r'name="seen" value="(\w+)"', shown)
    assert path is not None
    assert seen is not None
    return visitor.post(path[1], {"seen": seen[1], "quilt": list(quilts)})


def test_a_backup_is_downloaded_whole(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut lamp red")
    answer = phone.get("/room/backup")
    assert answer.mimetype == "application/zip"
    assert re.search(r'attachment; filename="sewing-room-\d{4}-\d\d-\d\d\.zip"', answer.headers["Content-Disposition"])
    assert answer.headers["Cache-Control"] == "no-store"
    (saved,) = read_backup(answer.data, "b.zip").quilts
    assert (saved.id, len(saved.taps)) == (sewing.stored.id, 1)


def test_what_would_be_done_is_shown_first_and_only_what_is_marked_is_done(
    phone: Visitor, sewing: Quilt, store: Store
) -> None:
    other = add_quilt(store)
    data = phone.get("/room/backup").data
    sewing.tap("Cut lamp red")
    store.delete(other.id)
    version = (sewing.stored.version, len(store.quilts()))
    page = sent(phone, data)
    text = words_of(page)
    assert page.status_code == 200
    assert "Nothing has been changed yet" in text
    assert "is here already and would be replaced by the backup's. They differ in 1 tap here" in text
    assert "The one here has all of the backup and more." in text
    assert "is not here; it would be added, with 0 taps. One of the same number lies among the deleted" in text
    assert len(re.findall(r'value="\w{6}" checked', page.text)) == 1, "only what takes nothing away is marked"
    assert (sewing.stored.version, len(store.quilts())) == version
    done = agree(phone, page, other.id)
    assert "✓ Restored" in words_of(done)
    assert len(store.quilts()) == 2
    assert len(store.quilt(sewing.stored.id).taps) == 1
    assert agree(phone, page, other.id).status_code == 404, "a backup that was restored is not at hand any more"


def test_a_quilt_that_was_replaced_is_among_the_deleted_and_can_be_taken_back(
    phone: Visitor, sewing: Quilt, store: Store
) -> None:
    data = phone.get("/room/backup").data
    sewing.tap("Cut lamp red")
    phone.text(sewing.step_path("Cut lamp red"))
    done = agree(phone, sent(phone, data), sewing.stored.id)
    assert "The former one is kept among the deleted quilts on the first page" in words_of(done)
    assert sewing.count("Cut lamp red").startswith("0 of"), "also where the quilt was open"
    (former,) = store.deleted()
    assert phone.post(f"/deleted/{former.id}/restore", {}).status_code == 303
    assert sorted(len(quilt.taps) for quilt in store.quilts()) == [0, 1]
    assert "(until " in phone.text("/")
    again = Quilt(phone, store.quilt(sewing.stored.id))
    assert again.tap("Cut lamp red", tap_id="after-the-restore").status_code == 303


def test_where_something_was_tapped_meanwhile_it_is_shown_again(phone: Visitor, sewing: Quilt, store: Store) -> None:
    data = phone.get("/room/backup").data
    sewing.tap("Cut lamp red")
    page = sent(phone, data)
    sewing.tap("Cut lamp red")
    again = agree(phone, page, sewing.stored.id)
    assert "Something was changed here meanwhile, so nothing was restored. Look again." in words_of(again)
    assert "They differ in 2 taps here" in words_of(again)
    assert len(store.quilt(sewing.stored.id).taps) == 2
    assert "✓ Restored" in words_of(agree(phone, again, sewing.stored.id))


def test_nothing_marked_changes_nothing(phone: Visitor, sewing: Quilt) -> None:
    data = phone.get("/room/backup").data
    page = sent(phone, data)
    assert "is here just as in the backup; nothing is to be done" in words_of(page)
    assert "<button" not in page.text.partition("<main")[2]
    sewing.tap("Cut lamp red")
    answer = agree(phone, sent(phone, data), "zzzzzz")
    assert (answer.status_code, "No quilt was chosen" in words_of(answer)) == (400, True)


@pytest.mark.parametrize(
    ("data", "name", "status", "words"),
    [
        (b"", "b.zip", 400, "There is no file yet; choose a backup's file."),
        (b"nothing", "<b>holiday.zip", 400, "<b>holiday.zip is not a whole backup of a sewing room"),
        (b"PK\x03\x04" + bytes(200), "", 400, "is not a whole backup"),
        (b"x" * 1_100_000, "film.mp4", 413, "a larger backup is restored by the command `sewing-room restore`"),
    ],
)
def test_what_is_no_backup_is_said(
    data: bytes, name: str, status: int, words: str, phone: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(restore, "LARGEST_BODY", 1_000_000)  # one with photos may be so large that it is slow
    answer = sent(phone, data, name)
    assert (answer.status_code, words in words_of(answer)) == (status, True), words_of(answer)
    assert "<b>holiday" not in answer.text


def test_a_backup_too_large_for_the_page_is_said_where_it_is_made(
    phone: Visitor, sewing: Quilt, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "A file of 64 MB or more is restored by the command sewing-room restore FILE" in phone.text("/room")
    sewing.stored.set_about(photos=[{"name": store.photos.keep(b"x" * 10)}])
    for beside, said in ((10, False), (9, True)):
        monkeypatch.setattr(care, "ROOM_BESIDE", care.LARGEST_BODY - beside)
        assert ("too large to be restored on this page" in phone.text("/room")) == said


def test_a_backup_of_a_newer_room_is_refused_clearly(
    phone: Visitor, quilt: StoredQuilt, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr("tracker.safekeeping.backup.FORMAT", 2)
        data = make_backup(store)
    answer = sent(phone, data)
    assert answer.status_code == 409
    assert "was written by a newer sewing room" in words_of(answer)


def test_odd_taps_in_a_backup_cannot_close_the_room(phone: Visitor, sewing: Quilt, store: Store) -> None:
    """A backup made by hand may hold taps and facts of the right shape that make no sense."""
    counts = [0, 1, -1, 10**18]
    words = ["", "x", next(iter(sewing.compiled.checklist.piles)), sewing.compiled.checklist.steps[0].id, "tap-1"]
    kinds = (
        "done",
        "put back",
        "spoiled",
        "opened",
        "stage",
        "note",
        "name",
        "take back",
        "settle",
        "counted",
        "carried",
    )
    taps = [
        {"id": f"odd-{do}-{word}-{count}", "do": do, "times": count, "block": count, "blocks": [count, count]}
        | dict.fromkeys(("step", "text", "what", "pile", "at"), word)
        | {"steps": [[word, count]], "counts": [[word, count, count]], "lost": [[word, count]]}
        for do in (*kinds, "")
        for word in words
        for count in counts
    ]
    about = {**sewing.stored.about, "pace": {"batch": -3}, "setup": {"x": ""}, "seam_test": {"middle": "", "at": ""}}
    store.put(sewing.stored.id, {**about, "former_plans": [{"plan": "?", "until": "?"}]}, taps)
    data = phone.get("/room/backup").data
    assert words_of(agree(phone, sent(phone, data[:-1] + data[-1:]), sewing.stored.id)).startswith("To the work")
    sewing.stored = store.quilt(sewing.stored.id)
    for path in ("", "/steps", "/step", "/blocks", "/blocks/1", "/now", "/seam", "/edit", "/latest", "/ahead.json"):
        assert phone.get(sewing.at + path).status_code in (200, 302, 303, 404), path
    assert phone.get("/").status_code == 200


def test_the_log_can_be_had(computer: Visitor, room: Flask) -> None:
    answer = computer.get("/room/log")
    assert answer.mimetype == "text/plain"
    assert answer.data == b"Nothing has been logged yet.\n"


@pytest.mark.parametrize(
    ("own", "pupils", "words"),
    [
        (1, "", "your quilt and that of one class"),
        (2, "Ilse", "both quilts and those of one class and its one pupil"),
        (1, "Ilse Marit", "your quilt and those of one class and its 2 pupils"),
        (0, "Ilse Marit", "the quilts of one class and its 2 pupils"),
    ],
)
def test_whose_quilts_are_in_a_backup_is_said(school: School, own: int, pupils: str, words: str) -> None:
    for name in pupils.split():
        school.phone(name)
    if not own:
        school.store.delete(school.own.id)
    for _ in range(own - 1):
        add_quilt(school.store)
    assert f"One file with {words}: plans, what is done, notes." in school.teacher.text("/room")
