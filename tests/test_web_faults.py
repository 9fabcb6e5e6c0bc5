"""Whatever is asked, the answer is one plain sentence, a way back and the right status."""

from __future__ import annotations

import logging

import pytest
from flask import Flask
from visitors import Quilt, Visitor, words_of

from tracker.store.quilts import StoredQuilt
from tracker.web.desk import Desk

NO_PAGE = "There is no page at this address; go back to the quilts and follow the buttons."
NO_QUILT = "There is no quilt "
NO_STEP = "There is no such step in this quilt; its plan may have been edited. Choose one from the list."
NOT_SO = "This address is not opened in that way; go back to the quilts and follow the buttons."

BAD_ADDRESSES = [
    ("GET", "/nowhere", 404, NO_PAGE),
    ("GET", "/favicon.ico", 404, NO_PAGE),
    ("GET", "/static/", 404, NO_PAGE),
    ("GET", "/static/nothing.css", 404, "There is no such file here."),
    ("GET", "/static/../pyproject.toml", 404, ""),
    ("GET", "/static/..%2f..%2fetc%2fpasswd", 404, ""),
    ("GET", "/quilts", 404, NO_PAGE),
    ("GET", "/quilts/zzzzzz", 404, NO_QUILT),
    ("GET", "/quilts/zzzzzz/steps", 404, NO_QUILT),
    ("POST", "/quilts/two%0Alines/plan", 404, NO_QUILT),
    ("GET", "/quilts/two%0Alines/pressing", 404, NO_QUILT),
    ("GET", "/quilts/zzzzzz/changes?since=0", 404, NO_QUILT),
    ("GET", "/quilts/%00%ff/blocks", 404, NO_QUILT),
    ("GET", "/quilts/" + "x" * 5000, 404, NO_QUILT),
    ("GET", "/quilts/<script>alert(1)", 404, NO_QUILT),
    ("GET", "QUILT/steps/nothing", 404, NO_STEP),
    ("GET", "QUILT/steps/%00", 404, NO_STEP),
    ("GET", "QUILT/steps/" + "a" * 3000, 404, NO_STEP),
    ("GET", "QUILT/blocks?stage=purple", 404, "There is no such stage; choose one above the blocks."),
    ("GET", "QUILT/taps", 405, NOT_SO),
    ("GET", "/new/look", 405, NOT_SO),
    ("POST", "/", 405, NOT_SO),
    ("POST", "QUILT/steps", 405, NOT_SO),
    ("PUT", "QUILT", 405, NOT_SO),
    ("DELETE", "QUILT", 405, NOT_SO),
    ("PATCH", "/new", 405, NOT_SO),
    ("TRACE", "/", 405, NOT_SO),
    ("BREW", "/", 405, NOT_SO),
]


@pytest.mark.parametrize(("method", "path", "status", "words"), BAD_ADDRESSES)
def test_a_bad_address_is_answered_in_a_sentence(
    method: str, path: str, status: int, words: str, room: Flask, quilt: StoredQuilt
) -> None:
    headers = {"Host": "sewing.test:8642", "Origin": "http://sewing.test:8642"}
    address = path.replace("QUILT", f"/quilts/{quilt.id}")
    answer = Visitor(room).client.open(address, method=method, headers=headers)
    assert (answer.status_code, words in words_of(answer)) == (status, True), words_of(answer)
    assert "Traceback" not in answer.text
    assert "<script>alert" not in answer.text
    assert '<a class="big" href="/' in answer.text
    if status == 405:
        assert answer.headers["Allow"]


def test_where_only_a_part_was_asked_for_the_sentence_comes_alone(phone: Visitor) -> None:
    answer = phone.get("/nowhere", HX_Request_Type="partial")
    assert answer.text.strip() == f'<p class="fault">{NO_PAGE}</p>'


def test_a_part_is_asked_of_every_page_in_vain_or_not(phone: Visitor, sewing: Quilt, room: Flask) -> None:
    """Where a page cannot be had without what stands round it, it comes whole."""
    rules = [rule.rule for rule in room.url_map.iter_rules() if "GET" in (rule.methods or ())]
    short = sewing.short("Cut lamp red")
    for rule in rules:
        path = rule.replace("<quilt_id>", sewing.stored.id).replace("<short>", short).replace("<int:number>", "1")
        answer = phone.get(path.replace("<number>", "1"), HX_Request_Type="partial")
        assert answer.status_code < 500, path


def test_the_last_resort_is_a_sentence_too(
    phone: Visitor, sewing: Quilt, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(self: Desk, quilt_id: str) -> None:
        raise ZeroDivisionError("a slip of ours")

    monkeypatch.setattr(Desk, "quilt", fail)
    with caplog.at_level(logging.ERROR, "tracker.web"):
        answer = phone.get(f"{sewing.at}/steps")
    assert answer.status_code == 500
    assert "Something went wrong in the sewing room; what was saved is still saved." in words_of(answer)
    assert "ZeroDivisionError" not in answer.text
    assert "a slip of ours" in caplog.text


@pytest.mark.parametrize(
    ("path", "body", "kind"),
    [
        ("/new", b"\xff\xfe=\x00&plan=%ff%fe", "application/x-www-form-urlencoded"),
        ("/new", b"--x\r\nnonsense", "multipart/form-data; boundary=x"),
        ("/new", b"--x", "multipart/form-data"),
        ("/new", b'{"plan": 1}', "application/json"),
        ("/new/look", b"plan=" + b"%00" * 1000, "application/x-www-form-urlencoded"),
        ("/new/look", b"plan=" + b"[" * 100_000, "application/x-www-form-urlencoded"),
        ("QUILT/taps", b"\xff" * 1000, "application/x-www-form-urlencoded"),
        ("QUILT/taps", b"&" * 5000, "application/x-www-form-urlencoded"),
        ("QUILT/taps", b"", "text/plain"),
    ],
)
def test_any_body_is_answered(path: str, body: bytes, kind: str, room: Flask, quilt: StoredQuilt) -> None:
    headers = {"Host": "sewing.test:8642", "Origin": "http://sewing.test:8642"}
    address = path.replace("QUILT", f"/quilts/{quilt.id}")
    answer = Visitor(room).client.post(address, data=body, content_type=kind, headers=headers)
    assert answer.status_code in (200, 400, 413, 422)
    assert words_of(answer)
    assert not quilt.taps


def test_a_body_beyond_any_plan_is_refused(phone: Visitor) -> None:
    answer = phone.post("/new", {"plan": "#" * 5_000_000})
    assert (answer.status_code, "a plan has at most 1 MB" in words_of(answer)) == (413, True)
