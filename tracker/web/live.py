"""The part of a screen that changes with the counts: what is shown, and the one question where taps do not add up.

Each screen names its part by a view, such as `step:1f3a9c07`, `list`, `blocks:joined` or `block:7`; a tap's answer
and the news asked for every few seconds are that part alone, rendered by the very template the page uses.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask import render_template

from tracker.progress.ledger import Refused
from tracker.progress.measured_top import is_measured
from tracker.web import board, drawings, lists, places, table, views
from tracker.web.faults import PageFault
from tracker.web.latest import latest
from tracker.web.mends import mend_view
from tracker.web.opened import Opened
from tracker.web.pages import Link
from tracker.web.questions import question_of
from tracker.web.returning import coming_back
from tracker.web.stations import now_of
from tracker.work.operations import STATIONS
from tracker.work.steps import Step

Facts = dict[str, Any]


@dataclass(frozen=True)
class LivePart:
    """A part that changes: the template that renders it, and what finds its facts (given the rest of its name)."""

    template: str
    facts: Callable[[Opened, str], Facts]


def step_named(opened: Opened, short: str) -> Step:
    """The step with this short name. Raises Fault."""
    step = opened.step(short)
    if step is None:
        words = "There is no such step in this quilt; its plan may have been edited. Choose one from the list."
        raise PageFault(404, words, Link(f"/quilts/{opened.id}/steps", "To the list"))
    return step


def _step(opened: Opened, short: str) -> Facts:
    step = step_named(opened, short)
    facts: Facts = {"count": views.count_of(opened, step), "fresh": None}
    if is_measured(step):
        # What is measured changes more of the screen than its counts.
        facts |= {"fresh": views.step_view(opened, step), "drawing": drawings.of_step(opened, step)}
    return facts


def _list(opened: Opened, rest: str) -> Facts:
    return {"groups": lists.groups(opened)}


def _cutting(opened: Opened, chosen: str) -> Facts:
    return {"cloths": lists.cutting(opened), "table": table.table_of(opened, chosen)}


def _blocks(opened: Opened, chosen: str) -> Facts:
    found = board.cards(opened)
    if chosen and chosen not in {reached.name for reached in board.ALL_REACHED}:
        raise PageFault(404, "There is no such stage; choose one above the blocks.", _blocks_link(opened))
    shown = [card for card in found if chosen in ("", card.reached.name)]
    kinds = len({card.name for card in found})
    return {"cards": shown, "filters": board.filters(found, chosen), "kinds": kinds}


def _block(opened: Opened, number: str) -> Facts:
    try:
        return {"block": board.block_view(opened, int(number) if number.isascii() and number.isdigit() else 0)}
    except (Refused, ValueError) as fault:
        raise _no_such_block(opened, number) from fault


def _no_such_block(opened: Opened, number: str) -> PageFault:
    count = len(opened.progress.block_keys)
    words = f"There is no block {number[:20]} in this quilt; its blocks are numbered from 1 to {count}."
    return PageFault(404, words, _blocks_link(opened))


def _blocks_link(opened: Opened) -> Link:
    return Link(f"/quilts/{opened.id}/blocks", "To the blocks")


def _layout(opened: Opened, number: str) -> Facts:
    if not number:
        return {"map": places.map_of(opened, None)}
    if not (number.isascii() and number.isdigit() and int(number[:7]) in opened.progress.block_keys):
        raise _no_such_block(opened, number)
    return {"map": places.map_of(opened, int(number))}


def _pile(opened: Opened, code: str) -> Facts:
    found = lists.pile_view(opened, code)
    if found is None:
        words = (
            f"The plan of {opened.title} has no such pile any more: it was edited after this label was printed. "
            "What lies in this bag can be looked for in the list."
        )
        raise PageFault(410, words, Link(f"/quilts/{opened.id}/steps", "To the list"))
    return {"pile": found}


def _quilt(opened: Opened, rest: str) -> Facts:
    return {"standing": lists.standing(opened), "back": coming_back(opened)}


def _now(opened: Opened, station: str) -> Facts:
    if station not in STATIONS:
        raise PageFault(
            404, "There is no such station; choose one.", Link(f"/quilts/{opened.id}/now", "To the stations")
        )
    return {"now": now_of(opened, station)}


def _latest(opened: Opened, rest: str) -> Facts:
    return {"taps": latest(opened)}


def _mend(opened: Opened, short: str) -> Facts:
    return {"mend": mend_view(opened, step_named(opened, short))}


VIEWS = {
    "step": LivePart("live/step.html", _step),
    "list": LivePart("live/list.html", _list),
    "cutting": LivePart("live/cutting.html", _cutting),
    "blocks": LivePart("live/blocks.html", _blocks),
    "block": LivePart("live/block.html", _block),
    "layout": LivePart("live/layout.html", _layout),
    "pile": LivePart("live/pile.html", _pile),
    "quilt": LivePart("live/quilt.html", _quilt),
    "now": LivePart("live/now.html", _now),
    "latest": LivePart("live/latest.html", _latest),
    "mend": LivePart("live/mend.html", _mend),
}


def facts_of(opened: Opened, view: str) -> Facts:
    """Everything the template of a view needs. Raises Fault for a view or a thing in it that is not there."""
    kind, _, rest = view.partition(":")
    if kind not in VIEWS:
        raise PageFault(404, "There is no such screen; go back to the quilts.")
    return {"quilt": opened, "view": view, "question": question_of(opened)} | VIEWS[kind].facts(opened, rest)


def rendered(opened: Opened, view: str) -> str:
    """The part alone."""
    facts = facts_of(opened, view)
    return render_template(VIEWS[view.partition(":")[0]].template, swap=True, **facts)
