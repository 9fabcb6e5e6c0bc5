"""A new quilt: the plan typed, pasted or uploaded, drawn as it is typed, every error beside its line."""

from __future__ import annotations

from flask import Response, make_response, render_template, request

from tracker.looks.looker import Frame
from tracker.looks.looking import DONE, UNDER_WAY
from tracker.looks.preview import LOOK, PROOF, SEEN, PlanFault, faults_seen
from tracker.plan.drawn_plan import drawn_plan
from tracker.web import beside
from tracker.web.drawn import drawing_page
from tracker.web.pages import fresh_id, go_to, nav_links, parts
from tracker.web.screen import Screen
from tracker.web.typed_plan import given_plan, given_text, looked_at, looker, made_quilt, seen_so_far, shown

screen = Screen("new", "/new")

EXAMPLE = """\
title = "Lantern cushion"

[fabrics.S]
name = "pale sand"
tone = 2
colour = "#e4dccb"

[fabrics.R]
name = "lamp red"
tone = 7
colour = "#b23a33"

[blocks.lantern]
name = "Lantern"
cell = "2"
picture = '''
S     R\\S   S
S/R   R     R/S
S     S\\R   S
'''

[quilt]
block = "lantern"
across = 2
down = 2
"""
"""A small plan that works as it stands."""

QUICKLY = 1500
"""Milliseconds for which the page that is typed in waits before it is told that the look takes longer."""

AT_LEISURE = 20_000
"""Milliseconds for which a browser without script waits, since it cannot ask again by itself."""


@screen.get("")
def blank() -> str:
    """The form for a new quilt, empty."""
    parts().looking.warm()
    return _form("", None)


@screen.post("/look")
def look() -> Response:
    """What the text makes or what is wrong with it, for the page it is being typed in."""
    seen = _seen_elsewhere(given_plan(), QUICKLY)
    if seen["state"] == UNDER_WAY and request.form.get("again") == ("picture" if seen["drawing"] else "nothing"):
        return Response(status=204)
    return make_response(render_template("parts/look.html", look=seen, swap=True))


@screen.post("/proof")
def proof() -> Response:
    """Whether the text that was looked at is proved, for the page it is typed in: asked for when she rests."""
    found = parts().looking.look(looker(), PROOF, given_plan(), QUICKLY)
    if found.state == UNDER_WAY and "again" in request.form:
        return Response(status=204)
    proved = found.answer if found.state == DONE else None
    return make_response(render_template("parts/proof.html", state=found.state, proved=proved))


@screen.post("")
def make() -> Response:
    """Make the quilt, or show the form again with everything that was typed."""
    return made_from(*given_text())


def made_from(text: str, doubt: str) -> Response:
    """What is done with a plan's text, as the form says: a quilt made of it, or the text shown, looked at or not."""
    if request.form.get("do") == "draw" and not doubt:
        sheet, problems = drawn_plan(text)
        if sheet is not None:
            return make_response(drawing_page(sheet, text))
        doubt = "What is wrong with its pictures is put right here; then it can be drawn."
        return make_response(_form(shown(text), faults_seen(text, PlanFault(problems, ())), doubt), 422)
    if request.form.get("do") == "text" and not doubt:
        return make_response(_form(text, None))
    if request.form.get("do") == "look" and not doubt:
        return make_response(_form(shown(text), _seen_elsewhere(text, AT_LEISURE)))
    look = looked_at(text) if text.strip() else None
    if look is not None and look.made is not None:
        doubt = doubt or look.made.unproved
    if doubt or look is None or look.made is None:
        return make_response(_form(shown(text), look.seen if look else None, doubt), 422)
    quilt_id = made_quilt(look.made, request.form.get("wanted", ""))
    return go_to(f"/quilts/{quilt_id}")


def _form(text: str, seen: Frame | None, doubt: str = "") -> str:
    facts: dict[str, object] = {"text": text, "look": seen, "doubt": doubt, "example": EXAMPLE, "wanted": fresh_id()}
    facts["demo_only"] = beside.demo_only(parts().desk.store)
    return render_template("pages/new.html", nav=nav_links(), **facts)


def _seen_elsewhere(text: str, milliseconds: int) -> Frame:
    """What can be seen of a text within that time, in a process of its own."""
    return seen_so_far(parts().looking.look(looker(), LOOK, text, milliseconds), SEEN)
