"""A quilt drawn by touch, a new one or one that is there: on squared paper, with its cloths, and what it comes to."""

from __future__ import annotations

from flask import jsonify, make_response, request
from werkzeug import Response

from tracker.looks.looking import DONE, UNDER_WAY
from tracker.looks.preview import DRAWN, DRAWN_SEEN, PROOF, UNPROVED
from tracker.plan.drawn_plan import drawn_plan
from tracker.plan.problems import sentence
from tracker.web.clock import here
from tracker.web.drawn import blank_sheet, drawing_page, given_sheet
from tracker.web.faults import PageFault
from tracker.web.pages import Link, parts
from tracker.web.screen import Screen
from tracker.web.typed_plan import looked_at, looker, made_quilt, seen_so_far

screen = Screen("draw")

QUICKLY = 1500
"""Milliseconds for which the page waits before it is told that the look takes longer."""


@screen.get("/draw")
def blank() -> str:
    """Squared paper for a new quilt."""
    parts().looking.warm()
    return drawing_page(blank_sheet(here()))


@screen.get("/quilts/<quilt_id>/draw")
def of_quilt(quilt_id: str) -> str:
    """The plan of a quilt, to be drawn on."""
    parts().looking.warm()
    with parts().desk.quilt(quilt_id) as opened:
        sheet, problems = drawn_plan(opened.compiled.text)
        if sheet is None:
            words = f"This plan cannot be drawn as it is written. {sentence(problems[0])}"
            raise PageFault(409, words, Link(f"/quilts/{quilt_id}/plan", "To its text"))
        return drawing_page(sheet, opened.compiled.text, opened)


@screen.post("/draw/look")
def look() -> Response:
    """What is drawn comes to: the quilt's picture first, then its figures, or every fault at its place."""
    text, doubt = given_sheet()
    if doubt:
        return make_response(jsonify(state="faulty", faults=[{"words": doubt}]), 422)
    found = parts().looking.look(looker(), DRAWN, text, QUICKLY)
    if found.state == UNDER_WAY and request.form.get("again") == ("picture" if found.answer else "nothing"):
        return Response(status=204)
    return jsonify(seen_so_far(found, DRAWN_SEEN))


@screen.post("/draw/proof")
def proof() -> Response:
    """Whether what is drawn is proved: asked for when she rests."""
    text, _ = given_sheet()
    found = parts().looking.look(looker(), PROOF, text, QUICKLY)
    return jsonify(state=found.state, **(found.answer if found.state == DONE else UNPROVED))


@screen.post("/draw/make")
def make() -> Response:
    """Make a quilt of what is drawn, once; its address, or what stands against it."""
    text, doubt = given_sheet()
    seen = None if doubt else looked_at(text)
    if seen is not None and seen.made is None:
        doubt = " ".join(fault.words for fault in seen.places)
    elif seen is not None and seen.made is not None:
        doubt = seen.made.unproved
    if doubt or seen is None or seen.made is None:
        return make_response(jsonify(doubt=doubt), 422)
    return jsonify(at=f"/quilts/{made_quilt(seen.made, request.form.get('wanted', ''))}")
