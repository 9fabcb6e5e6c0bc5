"""The whole list of steps, in groups."""

from __future__ import annotations

from itertools import groupby

from flask import Response

from tracker.progress.batches import passes_of
from tracker.route.passes import Pass
from tracker.web.facts import STATION_MARKS, STATION_NAMES
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, NavPlace, Screen
from tracker.words.pass_words import pass_title, section_heading
from tracker.words.thing_words import listed
from tracker.work.steps import Step

screen = Screen("list", "/quilts/<quilt_id>", NavPlace(4, "List", "/steps"))


@screen.get("/steps")
def whole_list(quilt_id: str) -> Response:
    """Every step of a quilt and what of it is done."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("list", "List", opened, **facts_of(opened, "list"))


@screen.live
def _list(opened: Opened, rest: str) -> Facts:
    return {"groups": groups(opened)}


def groups(opened: Opened) -> list[Facts]:
    """The whole list, in order: cutting by cloth, each size of unit, each kind of block, rows, borders, finishing."""
    found = []
    passes = dict.fromkeys(passes_of(opened.counts).values())
    for section, together in groupby(passes, key=lambda each: each.section):
        mine = list(together)
        heading = section_heading(opened.words, section, [step for each in mine for step in each.steps])
        found.append({"heading": heading, "rows": tuple(_listed(opened, each) for each in mine)})
    return found


def _listed(opened: Opened, done: Pass) -> Facts:
    """A pass with its `steps`; `first` is the one that it is opened at: that which is not done; `ready`: how often its
    steps can be done now, each by itself."""
    steps = tuple(_row(opened, step) for step in done.steps)
    left = [row for row in steps if row["left"]]
    first, ready = (left or steps)[0], sum(row["ready"] for row in left)
    return {
        "title": pass_title(opened.words, done),
        "steps": steps,
        "first": first,
        "done": sum(row["done"] for row in steps),
        "count": sum(row["count"] for row in steps),
        "ready": ready,
        "waits": first["waits"],
        "state": _state(bool(left), ready),
    }


def _row(opened: Opened, step: Step) -> Facts:
    counts = opened.counts
    count, done, ready = counts.count(step), counts.times_done(step), counts.ready(step)
    lacks = [] if ready else [opened.words.pile(pile, short) for pile, short in counts.waits_for(step)]
    return {
        "short": opened.compiled.short[step.id],
        "title": opened.compiled.titles[step.id],
        "station": STATION_NAMES[step.station],
        "mark": STATION_MARKS[step.station],
        "count": count,
        "done": done,
        "left": done < count,
        "ready": ready,
        "waits": listed(lacks) if lacks else "",
        "state": _state(done < count, ready),
    }


def _state(left: bool, ready: int) -> str:
    return "done" if not left else "ready" if ready else "waits"
