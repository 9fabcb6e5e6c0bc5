"""The last taps, each in words, so that any of them can be taken back."""

from __future__ import annotations

from flask import Response

from tracker.progress.tap_kinds import CarriedOver
from tracker.web.block_makers import called
from tracker.web.clock import here, when
from tracker.web.facts import MOST_LATEST, said, title_of
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, Screen

screen = Screen("latest", "/quilts/<quilt_id>")


@screen.get("/latest")
def latest(quilt_id: str) -> Response:
    """The last taps, each with its take-back."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("latest", "", opened, **facts_of(opened, "latest"))


@screen.live
def _latest(opened: Opened, rest: str) -> Facts:
    return {"taps": latest_taps(opened), "beginning": beginning_of(opened)}


def beginning_of(opened: Opened) -> Facts | None:
    """What an edited plan began with; none where the plan is the first."""
    carried, titles = opened.progress.carried, opened.compiled.titles
    if not isinstance(carried, CarriedOver):
        return None
    often: dict[str, int] = {}
    for step, _, times in carried.counts:
        often[step] = often.get(step, 0) + times
    done = {step.id: step.kind.done for step in opened.steps}
    lines = ({"title": titles[step], "words": f"{times} {done[step]}"} for step, times in often.items() if step in done)
    aside = bool(carried.aside or carried.strips_aside or carried.measured_aside)
    return {
        "when": when(carried.at or "", here()),
        "carried": tuple(lines),
        "strips": len(carried.strips or ()),
        "aside": aside,
    }


def latest_taps(opened: Opened) -> list[Facts]:
    """The last taps, newest first; each with how many newer ones there are, and whether it can be taken back alone."""
    at, progress = here(), opened.progress
    return [
        {
            "tap_id": kept.tap.id,
            "title": title_of(opened, kept),
            "words": said(opened, kept),
            "when": when(kept.tap.at or "", at),
            "who": called(opened, kept.tap.who or ""),
            "newer": newer,
            "alone": newer > 0 and progress.can_be_taken_back(kept),
        }
        for newer, kept in enumerate(progress.latest(MOST_LATEST))
    ]
