"""The last taps, each in words, so that any of them can be taken back."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response

from tracker.web.clock import here, when
from tracker.web.facts import MOST_LATEST, said, title_of
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, Screen

screen = Screen("latest", "/quilts/<quilt_id>")


@dataclass(frozen=True)
class Latest:
    """A tap that counts: its id, what it was, when; and how many newer ones have to be taken back with it."""

    tap_id: str
    title: str
    words: str
    when: str
    newer: int


@screen.get("/latest")
def latest(quilt_id: str) -> Response:
    """The last taps, each with its take-back."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("latest", "", opened, **facts_of(opened, "latest"))


@screen.live
def _latest(opened: Opened, rest: str) -> Facts:
    return {"taps": latest_taps(opened)}


def latest_taps(opened: Opened) -> list[Latest]:
    """The last taps, newest first."""
    at = here()
    return [
        Latest(kept.tap.id, title_of(opened, kept), said(opened, kept), when(kept.tap.at or "", at), newer)
        for newer, kept in enumerate(opened.progress.latest(MOST_LATEST))
    ]
