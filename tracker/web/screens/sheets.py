"""Pattern sheets to print or to hand out: a title, a date and a name over them, as a page and as one file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from flask import Response, request

from tracker.pattern.block_sheet import SewnPlan
from tracker.pattern.handout import Handout, Heading, handout, one_file
from tracker.pattern.handout_command import MOST_BLOCKS
from tracker.web.asked import whole_number
from tracker.web.faults import NotKept
from tracker.web.opened import Compiled, Opened
from tracker.web.pages import download, parts, quilt_page
from tracker.web.screen import Screen

screen = Screen("sheets", "/quilts/<quilt_id>/sheets")

LONGEST = 80
"""So many letters a title, a date or a name may have."""


@dataclass(frozen=True)
class Typed:
    """What stands over the sheets as she typed it, for how many blocks (0: as in the plan), and what she typed for
    that."""

    heading: Heading
    blocks: int
    count: str


@screen.get("")
def sheets(quilt_id: str) -> Response:
    """The sheets as they are printed, below the form that says what stands over them."""
    with parts().desk.quilt(quilt_id) as opened:
        return _page(opened)


def _page(opened: Opened) -> Response:
    """The page; where what was typed cannot be used, the form says so, and the sheets are as they were."""
    typed = _typed(opened)
    wrong = _wrong(typed)
    found = _handout(opened, Typed(Heading(opened.title, "", ""), 0, "") if wrong else typed)
    status = 400 if wrong else 200
    return quilt_page("sheets", "", opened, status=status, sheets=found, typed=typed, longest=LONGEST, wrong=wrong)


@screen.get("/<name>.html")
def one_for_all(quilt_id: str, name: str) -> Response:
    """The same as one file, to be kept; whatever the address calls it, it is named after the quilt."""
    with parts().desk.quilt(quilt_id) as opened:
        typed = _typed(opened)
        if _wrong(typed):
            return _page(opened)
        found = _handout(opened, typed)
    return download(one_file(found), "text/html", f"{quilt_id}-sheets.html")


def _typed(opened: Opened) -> Typed:
    """What the address says; the quilt's title and today where it says nothing."""
    today = datetime.now().astimezone()
    asked = request.args.get
    words = [asked("title", opened.title), asked("date", f"{today.day} {today:%B %Y}"), asked("name", "")]
    count = asked("blocks", "").strip()
    return Typed(Heading(*(each.strip() for each in words)), whole_number(count, 5), count)


def _wrong(typed: Typed) -> NotKept | None:
    """The first field of which nothing can be made."""
    for key, text in vars(typed.heading).items():
        if len(text) > LONGEST:
            words = f"A title, a date or a name has {LONGEST} letters at most; this one has {len(text)}."
            return NotKept(key, words)
    if typed.count and not 1 <= typed.blocks <= MOST_BLOCKS:
        words = f"“{typed.count[:20]}” is no number of blocks; type a whole number from 1 to {MOST_BLOCKS}, or nothing."
        return NotKept("blocks", words)
    return None


def _handout(opened: Opened, typed: Typed) -> Handout:
    compiled = opened.compiled
    cuttings = [cloth.cutting for cloth in compiled.whole.cloths]
    return handout(sewn_of(compiled), typed.heading, not compiled.unproved, typed.blocks, cuttings)


def sewn_of(compiled: Compiled) -> SewnPlan:
    """What sheets are made from, as the screens have it."""
    return SewnPlan(compiled.plan, compiled.checklist, compiled.words, compiled.trace, compiled.layout)
