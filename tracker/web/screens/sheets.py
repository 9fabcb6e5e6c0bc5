"""Pattern sheets to print or to hand out: a title, a date and a name over them, as a page and as one file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from flask import Response, request

from tracker.pattern.block_sheet import SewnPlan
from tracker.pattern.handout import Handout, Heading, handout, one_file
from tracker.pattern.handout_command import MOST_BLOCKS
from tracker.web.faults import PageFault
from tracker.web.opened import Compiled, Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Screen

screen = Screen("sheets", "/quilts/<quilt_id>/sheets")

LONGEST = 80
"""So many letters a title, a date or a name may have."""


@dataclass(frozen=True)
class Typed:
    """What stands over the sheets as she typed it, and for how many blocks (0: as in the plan)."""

    heading: Heading
    blocks: int


@screen.get("")
def sheets(quilt_id: str) -> Response:
    """The sheets as they are printed, below the form that says what stands over them."""
    with parts().desk.quilt(quilt_id) as opened:
        typed = _typed(opened)
        found = _handout(opened, typed)
        return quilt_page("sheets", "", opened, sheets=found, typed=typed, longest=LONGEST)


@screen.get("/<name>.html")
def one_for_all(quilt_id: str, name: str) -> Response:
    """The same as one file, to be kept; whatever the address calls it, it is named after the quilt."""
    with parts().desk.quilt(quilt_id) as opened:
        found = _handout(opened, _typed(opened))
    response = Response(one_file(found), mimetype="text/html")
    response.headers["Content-Disposition"] = f'attachment; filename="{quilt_id}-sheets.html"'
    return response


def _typed(opened: Opened) -> Typed:
    """What the address says; the quilt's title and today where it says nothing."""
    today = datetime.now().astimezone()
    asked = request.args.get
    words = [
        asked("title", opened.title),
        asked("date", f"{today.day} {today:%B %Y}"),
        asked("name", ""),
    ]
    if any(len(each) > LONGEST for each in words):
        raise PageFault(400, f"A title, a date or a name has {LONGEST} letters at most; go back and shorten it.")
    count = asked("blocks", "").strip()
    if count and not (count.isascii() and count.isdigit() and len(count) <= 5 and 1 <= int(count) <= MOST_BLOCKS):
        raise PageFault(400, f"How many blocks is a whole number from 1 to {MOST_BLOCKS}; go back and type one.")
    return Typed(Heading(*(each.strip() for each in words)), int(count or 0))


def _handout(opened: Opened, typed: Typed) -> Handout:
    compiled = opened.compiled
    cuttings = [cloth.cutting for cloth in compiled.whole.cloths]
    return handout(sewn_of(compiled), typed.heading, not compiled.unproved, typed.blocks, cuttings)


def sewn_of(compiled: Compiled) -> SewnPlan:
    """What sheets are made from, as the screens have it."""
    return SewnPlan(compiled.plan, compiled.checklist, compiled.words, compiled.trace, compiled.layout)
