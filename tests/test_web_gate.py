"""Who may ask, and what every answer carries."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from flask import Flask
from visitors import Quilt, Visitor, words_of

from tracker import assets
from tracker.store.quilts import StoredQuilt

NOT_OURS = "This address is none of this sewing room's; open the one that the computer shows."
OTHER_SITE = "This came from another site's page, so nothing was changed; use the pages here."


@pytest.mark.parametrize("host", ["sewing.test:8642", "localhost:8642", "192.168.1.20:8642", "[::1]:8642"])
def test_our_own_names_and_addresses_are_answered(host: str, room: Flask) -> None:
    assert Visitor(room, host).get("/").status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "sewing.test", "sewing.test:80", "sewing.test:8642.evil.example", "10.9.8.7:8642", "", "["]
)
def test_a_foreign_name_for_our_address_is_refused(host: str, room: Flask) -> None:
    answer = Visitor(room, host).get("/")
    assert answer.status_code == 403
    assert NOT_OURS in words_of(answer)


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://sewing.test:8642"}, 303),
        ({"Origin": "HTTP://SEWING.TEST:8642"}, 303),
        ({"Origin": ""}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "https://sewing.test:8642"}, 403),
        ({"Origin": "http://localhost:8642"}, 403),
        ({"Origin": "http://sewing.test:8642.evil.example"}, 403),
    ],
)
def test_a_tap_from_another_site_s_page_changes_nothing(headers: dict[str, str], status: int, sewing: Quilt) -> None:
    answer = sewing.visitor.post(
        f"{sewing.at}/taps",
        {"tap": "12345678", "do": "done", "step": sewing.short("Cut lamp red"), "times": "1"},
        **headers,
    )
    assert answer.status_code == status
    assert len(sewing.stored.taps) == (1 if status == 303 else 0)
    assert (OTHER_SITE in words_of(answer)) == (status == 403)


@pytest.mark.parametrize(
    ("referrer", "status"), [("http://sewing.test:8642/quilts", 303), ("http://sewing.test:86420/", 403), ("", 403)]
)
def test_an_old_browser_that_sends_no_origin_is_known_by_where_it_came_from(
    referrer: str, status: int, sewing: Quilt
) -> None:
    data = {"tap": "12345678", "do": "done", "step": sewing.short("Cut lamp red"), "times": "1"}
    headers = {"Host": "sewing.test:8642"} | ({"Referer": referrer} if referrer else {})
    assert sewing.visitor.client.post(f"{sewing.at}/taps", data=data, headers=headers).status_code == status


def test_every_answer_carries_the_headers(phone: Visitor, quilt: StoredQuilt) -> None:
    for path in ("/", f"/quilts/{quilt.id}/steps", "/new", "/static/room.css", "/nowhere", "/quilts/zzz"):
        headers = phone.get(path).headers
        policy = headers["Content-Security-Policy"]
        assert "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:" in policy
        assert "unsafe" not in policy
        assert headers["Referrer-Policy"] == "same-origin"
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"


def test_no_page_holds_a_script_or_a_style_of_its_own(phone: Visitor, quilt: StoredQuilt) -> None:
    at = f"/quilts/{quilt.id}"
    for path in ("/", at, f"{at}/steps", f"{at}/cutting", f"{at}/blocks", f"{at}/blocks/1", "/new", "/device"):
        page = phone.get(path).get_data(as_text=True)
        assert "<style" not in page
        assert " style=" not in page
        assert " onclick" not in page
        assert page.count("<script") == page.count("<script src=")


def test_pages_are_packed_for_browsers_that_can_unpack_them(phone: Visitor, quilt: StoredQuilt) -> None:
    path = f"/quilts/{quilt.id}/steps"
    plain, packed = phone.get(path), phone.get(path, Accept_Encoding="gzip")
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed.headers["Vary"]
    assert len(packed.data) < len(plain.data) / 2
    assert b"</html>" in gzip.decompress(packed.data)
    refused = phone.get(path, Accept_Encoding="gzip;q=0")
    assert "Content-Encoding" not in refused.headers


def test_files_are_kept_by_browsers_until_they_change(phone: Visitor) -> None:
    page = phone.get("/new").get_data(as_text=True)
    path = page.partition('rel="stylesheet" href="')[2].partition('"')[0]
    assert "immutable" in phone.get(path).headers["Cache-Control"]
    assert phone.get("/static/room.css?v=old").headers["Cache-Control"] == "no-cache"
    for file in assets.folder("static").rglob("*"):
        shown, of_readme = phone.get(f"/static/{file.relative_to(assets.folder('static'))}"), "pictures" in file.parts
        assert shown.status_code == 404 if of_readme else shown.data.splitlines() == as_sent(file), file


def as_sent(file: Path) -> list[bytes]:
    """The lines of a static file as browsers get them: of our scripts and styles without comments and indents, parts
    in their places."""
    lines = file.read_bytes().splitlines()
    if file.name.endswith(".min.js") or file.suffix not in (".js", ".css"):
        return lines
    bare = [line.lstrip() for line in lines]
    if file.suffix == ".js":
        return [b"" if line.startswith(b"//") else line for line in bare]
    bare = [line.partition(b"/*")[0] + line.partition(b"*/")[2] for line in bare]
    parts = {line: as_sent(file.with_name(line.decode().split('"')[1])) for line in bare if b"@import" in line}
    return [each for line in bare for each in parts.get(line, [line])]


def test_a_first_visit_is_small(phone: Visitor, quilt: StoredQuilt, sewing: Quilt) -> None:
    """All that a phone loads for its first step, even unpacked, is at most 100 KB; the page itself 14 KB packed."""
    path = sewing.step_path("Cut lamp red squares, 3 in")
    page = phone.get(path)
    files = ("room.css", "room.js", "htmx.min.js", "icon.svg")
    assert len(page.data) + sum(len(phone.get(f"/static/{name}").data) for name in files) <= 100_000
    for step in sewing.compiled.checklist.steps:
        packed = phone.get(f"{sewing.at}/steps/{sewing.compiled.short[step.id]}", Accept_Encoding="gzip")
        assert len(packed.data) <= 14_000
