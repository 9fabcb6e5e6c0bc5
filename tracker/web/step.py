"""One step that fills the screen, and the whole list."""

from __future__ import annotations

from typing import cast

from flask import Blueprint, Response, redirect, request

from tracker.progress.batches import carry_on
from tracker.web import drawings, views
from tracker.web.faults import PageFault
from tracker.web.live import facts_of, step_named
from tracker.web.opened import Opened
from tracker.web.pages import YEAR, parts, quilt_page
from tracker.work.steps import Step

pages = Blueprint("steps", __name__, url_prefix="/quilts/<quilt_id>")


@pages.get("/step")
def where_she_stopped(quilt_id: str) -> Response:
    """The step last looked at on this device while it has work left, else the one to carry on with."""
    with parts().desk.quilt(quilt_id) as opened:
        step = _carry_on(opened)
        if step is None:
            return cast(Response, redirect(f"/quilts/{quilt_id}", 303))
        return cast(Response, redirect(f"/quilts/{quilt_id}/steps/{opened.compiled.short[step.id]}", 303))


def _carry_on(opened: Opened) -> Step | None:
    looked_at = opened.step(request.cookies.get("step", ""))
    if looked_at is not None and opened.progress.left(looked_at):
        return looked_at
    return carry_on(opened.progress, opened.pace)


@pages.get("/steps")
def whole_list(quilt_id: str) -> Response:
    """Every step of a quilt and what of it is done."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("list.html", "List", opened, **facts_of(opened, "list"))


@pages.get("/steps/<short>")
def one_step(quilt_id: str, short: str) -> Response:
    """One step, filling the screen."""
    with parts().desk.quilt(quilt_id) as opened:
        step = step_named(opened, short)
        facts = {"drawing": drawings.of_step(opened, step)} | facts_of(opened, f"step:{short}")
        response = quilt_page(
            "step.html",
            "Step",
            opened,
            shown=views.step_view(opened, step),
            cloths=drawings.cloths_in(opened.compiled, facts["drawing"]),
            chain=_chain(),
            **facts,
        )
        response.set_cookie("step", short, max_age=YEAR, path=f"/quilts/{quilt_id}", samesite="Lax", httponly=True)
        return response


def _chain() -> int | None:
    """How many a chain is: as asked for in the address (where no script remembers it); None where nothing is."""
    text = request.args.get("chain")
    if text is None:
        return None
    if not (text.isascii() and text.isdigit() and len(text) <= 6 and int(text)):
        raise PageFault(400, "A chain is a whole number from 1; go back and type one.")
    return int(text)
