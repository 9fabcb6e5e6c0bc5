"""Attacks, each tried against a running server and refused: nothing told, nothing changed, everybody else served on."""

from __future__ import annotations

import logging
import socket
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import COOKIE, HOST, TOKEN
from house import House
from visitors import SMALL_PLAN, add_quilt

from tracker.safekeeping.pairing import Pairing

EVIL = SMALL_PLAN.replace("Lantern cushion", '<script>alert(1)</script>\\" onload=alert(2) x=').replace(
    "lamp red", "<img src=x onerror=alert(3)>"
)
FORM = "application/x-www-form-urlencoded"


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """One room for the whole table; each attack has to leave it as it was."""
    opened = House(tmp_path_factory.mktemp("attacked") / "data")
    add_quilt(opened.store)
    add_quilt(opened.store, EVIL)
    opened.ask("GET", "/")
    yield opened
    opened.stop()


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def send(house: House, raw: bytes, patience: int = 10) -> bytes:
    """What the server answers to these bytes, until it closes or has answered whole."""
    with socket.create_connection(("127.0.0.1", house.port), patience) as line:
        line.sendall(raw)
        line.shutdown(socket.SHUT_WR)
        answer = b""
        while more := line.recv(65536):
            answer += more
        return answer


def request(
    house: House, method: str, path: str, body: str = "", paired: bool = True, kind: str = FORM, **headers: str
) -> bytes:
    """A request as a browser of the house sends it, with these headers changed (empty: left out)."""
    own = {"Host": f"{HOST}:{house.port}", "Connection": "close"}
    if method != "GET":
        own |= {"Origin": house.address, "Content-Type": kind, "Content-Length": str(len(body.encode()))}
    if paired:
        own["Cookie"] = f"{COOKIE}={TOKEN}"
    own |= {name.replace("_", "-"): value for name, value in headers.items()}
    lines = [f"{method} {path} HTTP/1.1", *(f"{name}: {value}" for name, value in own.items() if value)]
    return ("\r\n".join(lines) + "\r\n\r\n" + body).encode("latin-1", "replace")


TAP = "tap=12345678&do=done&step=STEP&times=1"
CHUNKS = f"{66_000:x}\r\n{'x' * 66_000}\r\n0\r\n\r\n"
NOT_OURS, OTHER_SITE, NOT_PAIRED = "none of this sewing room", "from another site", "is not paired with this sewing"

ATTACKS: list[tuple[str, str, str, str, dict[str, str], bool, int, str]] = [
    # what it is, method, path, body, headers, paired, status, words
    ("rebinding", "GET", "QUILT/plan.toml", "", {"Host": "evil.example:PORT"}, True, 403, NOT_OURS),
    ("rebinding without a port", "GET", "/", "", {"Host": "evil.example"}, True, 403, NOT_OURS),
    ("rebinding to write", "POST", "QUILT/taps", TAP, {"Host": "evil.example:PORT"}, True, 403, NOT_OURS),
    ("a name beginning like ours", "GET", "/", "", {"Host": "sewing.test.evil.example:PORT"}, True, 403, NOT_OURS),
    ("no name", "GET", "/", "", {"Host": ""}, True, 403, NOT_OURS),
    ("two names in one", "GET", "/", "", {"Host": "sewing.test:PORT, evil.example"}, True, 403, NOT_OURS),
    ("a cross-site form", "POST", "QUILT/taps", TAP, {"Origin": "http://evil.example"}, True, 403, OTHER_SITE),
    ("a form from nowhere", "POST", "QUILT/taps", TAP, {"Origin": "null"}, True, 403, OTHER_SITE),
    ("a form that says no origin", "POST", "QUILT/taps", TAP, {"Origin": ""}, True, 403, OTHER_SITE),
    (
        "another port of this computer",
        "POST",
        "QUILT/taps",
        TAP,
        {"Origin": "http://sewing.test:1"},
        True,
        403,
        OTHER_SITE,
    ),
    (
        "a cross-site htmx request",
        "POST",
        "QUILT/taps",
        TAP,
        {"Origin": "http://evil.example", "HX_Request": "true", "HX_Request_Type": "partial"},
        True,
        403,
        OTHER_SITE,
    ),
    ("a cross-site deletion", "POST", "QUILT/delete", "", {"Origin": "http://evil.example"}, True, 403, OTHER_SITE),
    ("a cross-site new code", "POST", "/room/code", "", {"Origin": "http://evil.example"}, True, 403, OTHER_SITE),
    (
        "pairing from another site",
        "POST",
        "/pair",
        "code=CODE",
        {"Origin": "http://evil.example"},
        False,
        403,
        OTHER_SITE,
    ),
    ("a change by opening an address", "GET", "QUILT/taps?tap=12345678&do=done", "", {}, True, 405, ""),
    ("a method hidden in a form", "POST", "QUILT", "_method=DELETE", {}, True, 405, ""),
    ("a method hidden in a header", "POST", "QUILT", "", {"X_HTTP_Method_Override": "DELETE"}, True, 405, ""),
    ("reading without pairing", "GET", "QUILT/plan.toml", "", {}, False, 403, NOT_PAIRED),
    ("tapping without pairing", "POST", "QUILT/taps", TAP, {}, False, 403, NOT_PAIRED),
    ("a backup without pairing", "GET", "/room/backup", "", {}, False, 403, NOT_PAIRED),
    ("a made-up token", "GET", "/", "", {"Cookie": f"{COOKIE}=let-me-in"}, False, 403, NOT_PAIRED),
    ("the token's hash as a token", "GET", "/", "", {"Cookie": f"{COOKIE}=HASH"}, False, 403, NOT_PAIRED),
    ("many tokens", "GET", "/", "", {"Cookie": "; ".join(f"{COOKIE}=x{n}" for n in range(99))}, False, 403, NOT_PAIRED),
    (
        "the computer's name from elsewhere",
        "GET",
        "/",
        "",
        {"Host": "localhost:PORT", "Via": "1.1 x"},
        False,
        403,
        NOT_PAIRED,
    ),
    ("a forwarded address", "GET", "/", "", {"X_Forwarded_For": "127.0.0.1"}, False, 403, NOT_PAIRED),
    ("a label's code without pairing", "GET", "/l/ID/b1", "", {}, False, 403, NOT_PAIRED),
    ("a label of another quilt", "GET", "/l/zzzzzz/b1", "", {}, True, 404, "There is no quilt"),
    ("a label's number that is none", "GET", "/l/ID/b999999", "", {}, True, 410, ""),
    ("a path out of the files", "GET", "/static/../pyproject.toml", "", {}, True, 404, ""),
    ("a path out, written in code", "GET", "/static/..%2f..%2f..%2fetc%2fpasswd", "", {}, True, 404, ""),
    ("a path out, with a zero byte", "GET", "/static/room.css%00.toml", "", {}, True, 404, ""),
    ("a path out of the quilts", "GET", "/quilts/..%2froom.facts/plan.toml", "", {}, True, 404, ""),
    ("the folder's own file", "GET", "/quilts/room/plan.toml", "", {}, True, 404, ""),
    ("an address of another server", "GET", "http://evil.example/", "", {}, True, 200, "Quilts"),
    ("an address that is none", "GET", "http://[::1", "", {}, True, 400, "Bad Request"),
    ("a cookie that is no text", "GET", "/", "", {"Cookie": f"x=\xff\xfe; {COOKIE}={TOKEN}"}, True, 200, "Quilts"),
    ("the same of a stranger", "GET", "/", "", {"Cookie": "x=\xff\xfe"}, False, 403, NOT_PAIRED),
    ("a huge form", "POST", "/new", "plan=" + "x" * 4_300_000, {}, True, 413, "too large"),
    ("a huge tap", "POST", "QUILT/taps", "tap=12345678&text=" + "x" * 70_000, {}, True, 413, "too large"),
    ("a huge pairing", "POST", "/pair", "code=" + "x" * 20_000, {}, False, 413, "too large"),
    ("a length beyond any", "POST", "/new", "", {"Content_Length": "99999999999"}, True, 413, ""),
    ("a stranger's large body", "POST", "/room/restore", "", {"Content_Length": "70000"}, False, 413, ""),
    ("a stranger's large body in pieces", "POST", "/pair", CHUNKS, {"Transfer_Encoding": "chunked"}, False, 413, ""),
    ("a length below zero", "POST", "/new", "", {"Content_Length": "-1"}, True, 400, ""),
    ("huge headers", "GET", "/", "", {"X_Long": "x" * 64_000}, True, 431, ""),
    ("a line smuggled into a header", "GET", "QUILT/steps?%0d%0aSet-Cookie:%20x=1", "", {}, True, 200, ""),
    ("two lengths in one", "POST", "QUILT/taps", "0\r\n\r\n" + TAP, {"Transfer_Encoding": "chunked"}, True, 400, ""),
    ("a file that is no backup", "POST", "/room/restore", "PK", {}, True, 400, "There is no file yet"),
    ("agreeing to a backup never sent", "POST", "/room/restore/0", "quilt=ID", {}, True, 404, "not at hand any more"),
    (
        "going on to another site",
        "POST",
        "/pair",
        "code=CODE&then=//evil.example",
        {"Origin": ""},
        False,
        403,
        OTHER_SITE,
    ),
]


@pytest.mark.parametrize("attack", ATTACKS, ids=lambda attack: attack[0])
def test_an_attack_is_refused(
    attack: tuple[str, str, str, str, dict[str, str], bool, int, str],
    house: House,
    caplog: pytest.LogCaptureFixture,
) -> None:
    _, method, path, body, headers, paired, status, words = attack
    quilt = house.quilts()[0]
    pairing = Pairing(house.store.room)
    device = next(device for device in pairing.devices() if device.name == "Phone")
    for sign, meant in (
        ("QUILT", quilt.at),
        ("ID", quilt.stored.id),
        ("CODE", pairing.path[6:]),
        ("STEP", quilt.short("Cut lamp red")),
    ):
        path, body = path.replace(sign, meant), body.replace(sign, meant)
    headers = {
        name: value.replace("PORT", str(house.port)).replace("HASH", device.hash) for name, value in headers.items()
    }
    before = contents(house.folder)
    answer = send(house, request(house, method, path, body, paired, **headers))
    head, _, page = answer.partition(b"\r\n\r\n")
    assert head.split()[1] == str(status).encode(), answer[:600]
    assert words in page.decode()
    assert b"Traceback" not in page
    assert b"Set-Cookie: sewing-room" not in head
    assert b"evil.example" not in head
    assert contents(house.folder) == before
    assert house.ask("GET", "/")[0] == 200
    assert [record.getMessage() for record in caplog.records if record.levelno >= logging.ERROR] == []


def test_stored_script_is_shown_as_text_on_every_page(house: House) -> None:
    evil = house.quilts()[1]
    assert "script" in evil.stored.about["title"]
    evil.stored.append({"id": "evil-note", "do": "note", "text": "<script>alert(4)</script>", "block": 1})
    evil.stored.append({"id": "evil-name", "do": "name", "text": "<script>alert(5)</script>", "block": 1})
    pages = (
        "",
        "/steps",
        "/blocks",
        "/blocks/1",
        "/cutting",
        "/now",
        "/labels",
        "/edit",
        "/picture.svg",
        "/ahead.json",
    )
    step = evil.compiled.checklist.steps[0]
    seen = 0
    for path in ("/", "/room", *(evil.at + page for page in pages), f"{evil.at}/steps/{evil.compiled.short[step.id]}"):
        answer = send(house, request(house, "GET", path))
        head, _, page = answer.partition(b"\r\n\r\n")
        assert b"script-src 'self'" in head
        assert b"nosniff" in head
        if b"application/json" not in head:
            assert b"<script>" not in page, path
            assert b"<img src=x" not in page, path
            seen += b"alert(" in page
    assert seen > 5, "the words are there, as text"


def test_slow_bodies_hold_nobody_up(house: House) -> None:
    """Forty devices begin a form and never end it; a tap goes through at once all the same."""
    head = request(house, "POST", "/new", "x" * 5_000)[:-5_000]
    lines = [socket.create_connection(("127.0.0.1", house.port), 5) for _ in range(40)]
    try:
        for line in lines:
            line.sendall(head + b"plan=")
        began = time.monotonic()
        assert house.ask("GET", "/")[0] == 200
        for line in lines:
            line.sendall(b"x")
        assert house.ask("GET", "/")[0] == 200
        assert time.monotonic() - began < 20  # held up, it would be a minute
    finally:
        for line in lines:
            line.close()


def test_guessing_codes_is_stopped_after_a_few_while_devices_that_are_in_go_on(house: House) -> None:
    answers = [
        send(house, request(house, "POST", "/pair", f"code=guess{number}", paired=False)).split()[1]
        for number in range(20)
    ]
    assert answers.count(b"403") <= 5
    assert answers[-1] == b"429"
    assert house.ask("GET", "/")[0] == 200
