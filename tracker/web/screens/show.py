"""A step shown to the whole class, on a tablet that stands for all; every pupil's phone offers it."""

from __future__ import annotations

from typing import Any

from flask import Response, make_response, render_template, request

from tracker.progress.batches import passes_of
from tracker.safekeeping.pupils import SewingClass
from tracker.web import drawings
from tracker.web.facts import pass_way
from tracker.web.opened import Opened
from tracker.web.pages import go_to, is_part, nav_links, parts
from tracker.web.screen import Screen
from tracker.web.screens.step import passes_in_order, step_view
from tracker.web.screens.teach import class_named, pupils_now

screen = Screen("show", "/classes/<class_id>/show")


@screen.get("")
def show(class_id: str) -> Response:
    """The step that is shown; asked for as news, nothing where it is the one that stands there."""
    group = class_named(class_id)
    if is_part() and request.args.get("now", "") == group.shown:
        return Response(status=204)
    template = "parts/shown_step.html" if is_part() else "pages/show.html"
    with parts().desk.quilt(group.quilt) as opened:
        response = make_response(render_template(template, nav=nav_links(), group=group, **_facts(opened, group)))
    response.vary.update(("HX-Request", "HX-Request-Type"))
    return response


def _facts(opened: Opened, group: SewingClass) -> dict[str, Any]:
    every = [pass_way(opened, each.steps[0]) for each in passes_in_order(opened)]
    step = opened.step(group.shown)
    if step is None:
        return {"quilt": opened, "every": every, "shown": None, "place": -1, "hands": 0}
    drawing = drawings.of_step(opened, step)
    first = passes_of(opened.counts)[step.id].steps[0]
    place = [each.short for each in every].index(opened.compiled.short[first.id])
    return {
        "quilt": opened,
        "every": every,
        "shown": step_view(opened, step),
        # What stands there for all to read is no place to type: the top is measured at the step itself.
        "to_measure": f"/quilts/{opened.id}/steps/{opened.compiled.short[step.id]}#measuring",
        "drawing": drawing,
        "cloths": drawings.cloths_in(opened.compiled, drawing),
        "place": place,
        "hands": sum(bool(each.hand) for each in pupils_now(group)),
    }


@screen.post("")
def choose(class_id: str) -> Response:
    """Show a step to all, or (an empty name) none any more."""
    group = class_named(class_id)
    with parts().desk.quilt(group.quilt) as opened:
        step = opened.step(request.form.get("step", ""))
        short = opened.compiled.short[step.id] if step is not None else ""
    parts().pairing.classes.change(group, shown=short)
    return go_to(f"/classes/{class_id}/show")
