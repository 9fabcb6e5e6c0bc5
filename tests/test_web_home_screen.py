"""The icon on the home screen: what phones fetch for it, and where it leads."""

from __future__ import annotations

import io
import json

from flask import Flask
from PIL import Image
from visitors import Quilt, Visitor


def test_what_phones_fetch_for_an_icon_comes_without_a_cookie(room: Flask) -> None:
    stranger = Visitor(room, paired=False)
    found = json.loads(stranger.get("/static/room.webmanifest").data)
    assert (found["start_url"], found["display"]) == ("/stopped", "browser")
    for icon in found["icons"]:
        answer = stranger.get(icon["src"])
        assert answer.mimetype == icon["type"]
        assert "x".join(map(str, Image.open(io.BytesIO(answer.data)).size)) == icon["sizes"]
    assert stranger.get("/stopped").status_code == 403


def test_it_opens_where_she_stopped(sewing: Quilt) -> None:
    phone = sewing.visitor
    phone.get(sewing.step_path("Mark"))
    sewing.tap("Cut pale sand", 1)
    answer = phone.get("/stopped")
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{sewing.at}/step")


def test_on_another_day_she_sees_first_where_she_stopped(sewing: Quilt) -> None:
    step = sewing.compiled.step(sewing.short("Cut pale sand"))
    assert step is not None
    sewing.stored.append({"id": "old", "do": "done", "step": step.id, "times": 1, "at": "2026-01-05T09:00:00+00:00"})
    assert sewing.visitor.get("/stopped").headers["Location"] == sewing.at


def test_without_any_quilt_it_opens_the_first_page(phone: Visitor) -> None:
    assert phone.get("/stopped").headers["Location"] == "/"
    assert "Add to Home Screen" in phone.text("/home-screen")
