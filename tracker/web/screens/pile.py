"""What is shown where a label is scanned: the pile, or the block."""

from __future__ import annotations

from flask import Response

from tracker.web import drawings
from tracker.web.facts import way
from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import Link, go_to, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.work.steps import Step

screen = Screen("pile")


@screen.get("/l/<quilt_id>/<code>")
def scanned(quilt_id: str, code: str) -> Response:
    """The pile or block that a label stands for. Raises Fault where the plan has it no more."""
    with parts().desk.quilt(quilt_id) as opened:
        if code[:1] == "b" and code[1:].isdecimal() and len(code) < 8:
            return _block(opened, int(code[1:]))
        facts = facts_of(opened, f"pile:{code}")
        drawing = drawings.of_pile(opened.compiled, facts["pile"]["id"])
        return quilt_page("pile", "", opened, drawing=drawing, **facts)


def _block(opened: Opened, number: int) -> Response:
    if number not in opened.counts.block_keys:
        words = (
            f"The plan of {opened.title} has no block {number} any more: it was edited after this label was printed."
        )
        raise PageFault(410, words, Link(f"/quilts/{opened.id}/blocks", "To the blocks"))
    return go_to(f"/quilts/{opened.id}/blocks/{number}")


@screen.live
def _pile(opened: Opened, code: str) -> Facts:
    found = pile_view(opened, code)
    if found is None:
        words = (
            f"The plan of {opened.title} has no such pile any more: it was edited after this label was printed. "
            "What lies in this bag can be looked for in the list."
        )
        raise PageFault(410, words, Link(f"/quilts/{opened.id}/steps", "To the list"))
    return {"pile": found}


def pile_view(opened: Opened, code: str) -> Facts | None:
    """The pile with this code; None where the plan has no such pile."""
    compiled = opened.compiled
    pile = next((pile for pile, known in compiled.pile_codes.items() if known == code), None)
    if pile is None:
        return None
    takers = [_pile_step(opened, step, flow.each) for step in opened.steps for flow in step.takes if flow.pile == pile]
    makers = [_pile_step(opened, step, flow.each) for step in opened.steps for flow in step.gives if flow.pile == pile]
    name = opened.words.pile_alone(pile)
    return {
        "id": pile,
        "name": name[0].upper() + name[1:],
        "lies": opened.counts.on_pile(pile),
        "takers": tuple(takers),
        "makers": tuple(makers),
    }


def _pile_step(opened: Opened, step: Step, each: int) -> Facts:
    there, counts = way(opened.compiled, step), opened.counts
    return {"way": there, "each": each, "ready": counts.ready(step), "left": counts.left(step)}
