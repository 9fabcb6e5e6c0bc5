"""A plan edited midway: what is kept, what is new and what no longer fits is shown before it is used."""

from __future__ import annotations

from typing import Any

from flask import Response, request

from tracker.exact.measure import LengthFault, read_length
from tracker.plan.squared_plan import with_squared, with_wide_frames
from tracker.progress.edited_plan import Carried, KeptWork
from tracker.units.maker import digest
from tracker.web.carried import carried_to, class_of_plan, losing, put_to_use, spread
from tracker.web.clock import here, when
from tracker.web.faults import PageFault
from tracker.web.opened import Compiled, Opened
from tracker.web.pages import Link, download, fresh_id, go_to, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.web.typed_plan import PlanLook, given_text, looked_at, shown

screen = Screen("edit", "/quilts/<quilt_id>/plan")


@screen.get("")
def edit(quilt_id: str) -> Response:
    """The plan's text, to be edited."""
    with parts().desk.quilt(quilt_id) as opened:
        return _page(opened, shown(opened.compiled.text), None)


@screen.post("")
def change(quilt_id: str) -> Response:
    """Show what the edited text changes; use it where that was seen and is wanted.

    All that takes long is done before the quilt's turn, and done again where a tap came meanwhile.
    """
    return _changed(quilt_id, *given_text())


@screen.post("/squared")
def squared(quilt_id: str) -> Response:
    """The same for the plan of now with its blocks squared to a size, as it is chosen where all blocks are measured."""
    key, framed = request.form.get("kind", ""), request.form.get("framed") == "1"
    with parts().desk.quilt(quilt_id) as opened:
        plan, text = opened.compiled.plan, opened.compiled.text
    frames = request.form.get("frames") == "1"
    try:
        size = read_length(request.form.get("size", ""), plan.unit)
        changed = ""
        if key in plan.blocks and size > 0:
            changed = with_wide_frames(text, plan, key, size) if frames else with_squared(text, plan, key, size, framed)
    except LengthFault:
        changed = ""
    if not changed:
        back = Link(f"/quilts/{quilt_id}/sizes", "Back to the sizes")
        raise PageFault(400, "This names no size for a kind of block; choose one once more.", back)
    return _changed(quilt_id, changed, "")


def _changed(quilt_id: str, text: str, doubt: str) -> Response:
    look = looked_at(text) if text.strip() else None
    group = class_of_plan(parts(), quilt_id)
    pupils = losing(parts(), group, look.made) if group and look and look.made else []
    for last in (False, False, True):
        with parts().desk.quilt(quilt_id) as opened:
            if request.form.get("tap", "") and opened.stored.has(request.form["tap"]):
                return _done(opened)  # the same form once more
            doubt = doubt or _against(opened, text, look)
            if doubt or look is None or look.made is None:
                return _page(opened, shown(text), look, doubt, status=422)
            carried = carried_to(opened, look.made)
            changed = _change(opened, look.made, carried) | {"pupils": pupils}
            if request.form.get("do") != "use" or request.form.get("seen") != changed["seen"]:
                return _page(opened, shown(text), look, change=changed)
            if put_to_use(opened, look.made, carried, _tap_id(opened)):
                spread(parts(), quilt_id)
                return _done(opened)
            if last:
                return _page(opened, shown(text), look, BUSY, changed, status=409)
    raise AssertionError(quilt_id)


def _done(opened: Opened) -> Response:
    return go_to(f"/quilts/{opened.id}")


BUSY = "Other devices were tapping just now, so the plan is as it was; use yours once more."


def _against(opened: Opened, text: str, look: PlanLook | None) -> str:
    """What stands against using the text; empty for nothing."""
    if request.form.get("before") not in (None, opened.compiled.mark):
        return (
            "The plan was edited on another device meanwhile. Your text is below; open this page afresh to see the "
            "plan as it is now, or look at what yours changes in it."
        )
    if text == opened.compiled.text:
        return "The text is as it was; change something first."
    if opened.progress.unsettled():
        return "One question about taps is open; answer it on the quilt's page first, so that nothing is dropped."
    return "" if look is None or look.made is None else look.made.unproved


def _tap_id(opened: Opened) -> str:
    """The name of the tap that the form sends. Raises PageFault."""
    tap_id = request.form.get("tap", "")
    if not (tap_id.isascii() and tap_id.isalnum() and 8 <= len(tap_id) <= 64):
        back = Link(f"/quilts/{opened.id}/plan", "Back to the plan")
        raise PageFault(400, "This edit has no name of its own; load the page again and try once more.", back)
    return tap_id


def _page(
    opened: Opened, text: str, look: PlanLook | None, doubt: str = "", change: Facts | None = None, status: int = 200
) -> Response:
    former = opened.about.get("former_plans", [])
    facts: dict[str, Any] = {
        "text": text,
        "look": look.seen if look else None,
        "doubt": doubt,
        "change": change,
        "group": class_of_plan(parts(), opened.id),
        "tap": request.form.get("tap") or fresh_id() + fresh_id(),
        "former": [(number, when(each["until"], here())) for number, each in enumerate(former, 1)],
    }
    return quilt_page("edit", "", opened, status=status, **facts)


@screen.get("/<int:number>.toml")
def former_plan(quilt_id: str, number: int) -> Response:
    """A former plan text of a quilt, numbered from 1, oldest first."""
    with parts().desk.quilt(quilt_id) as opened:
        former = opened.about.get("former_plans", [])
    if not 1 <= number <= len(former):
        back = Link(f"/quilts/{quilt_id}/plan", "Back to the plan")
        raise PageFault(404, "This quilt has no such former plan.", back)
    return download(former[number - 1]["plan"], "text/plain", f"{quilt_id}-{number}.toml")


def _change(opened: Opened, made: Compiled, carried: Carried) -> Facts:
    """What an edited plan does to the work so far. `unlaid`: blocks that changed places lie by their numbers again.
    `seen` names it, so that no other change is used unseen."""
    kept = tuple({"title": _title(opened, each), "words": _kept_words(each)} for each in carried.kept)
    new = tuple({"title": made.titles[step.id], "words": f"{step.count} to do"} for step in carried.new)
    lost = tuple(
        {"title": _title(opened, each), "words": f"{each.done - each.kept} of {each.done}"} for each in carried.lost
    )
    lost += tuple(
        {"title": opened.compiled.titles[step.id], "words": "what was measured"} for step in carried.unmeasured
    )
    seen = digest(repr((made.text, lost, carried.unlaid)))
    return {
        "kept": kept,
        "new": new,
        "lost": lost,
        "unlaid": carried.unlaid,
        "steps_after": len(carried.counts.steps),
        "seen": seen,
    }


def _title(opened: Opened, each: KeptWork) -> str:
    return opened.compiled.titles[each.step.id]


def _kept_words(each: KeptWork) -> str:
    return f"{each.kept} done" if each.kept == each.done else f"{each.kept} of {each.done} done"
