"""Classes: all of them, and a new one on a quilt's plan."""

from __future__ import annotations

from flask import Response, render_template, request

from tracker.plan.model import RECKONING
from tracker.safekeeping.pupils import ClassFault
from tracker.web.clock import stamp
from tracker.web.faults import PageFault
from tracker.web.pages import Link, go_to, nav_links, parts
from tracker.web.screen import Screen

screen = Screen("classes", "/classes")

LONGEST_TITLE = 60
HERE = Link("/classes", "To the classes")


@screen.get("")
def classes() -> str:
    """All classes, those that have ended last."""
    store, found = parts().desk.store, parts().pairing.classes
    quilts = [quilt for quilt in store.quilts() if quilt.id not in found.quilts() and not quilt.facts.get("put_away")]
    facts = {
        "groups": sorted(found.all(), key=lambda group: group.ended),
        "quilts": [(quilt.id, str(quilt.facts.get("title", ""))) for quilt in quilts],
        "chosen": request.args.get("quilt", ""),
        "longest": LONGEST_TITLE,
    }
    return render_template("pages/classes.html", nav=nav_links(), **facts)


@screen.post("")
def begin() -> Response:
    """A class on a quilt's plan as it is now: the class has a copy of its own."""
    store, title = parts().desk.store, title_of_class(HERE)
    stored = store.quilt(request.form.get("quilt", ""))
    facts = {"title": title, "plan": stored.facts.get("plan", ""), "demo": False, "made_at": stamp()}
    kept = {"reckoning": stored.facts.get("reckoning", RECKONING), "pace": stored.facts.get("pace", {})}
    with parts().desk.quilt(stored.id):  # a plan that can be used
        pass
    try:
        group = parts().pairing.classes.begin(title, store.add(facts | kept).id)
    except ClassFault as fault:
        raise PageFault(409, str(fault), HERE) from fault
    return go_to(f"/classes/{group.id}")


def title_of_class(back: Link) -> str:
    """The title that the form gives. Raises PageFault."""
    title = " ".join(request.form.get("title", "").split())
    if not title or len(title) > LONGEST_TITLE or not title.isprintable():
        raise PageFault(400, f"A class's name is from 1 to {LONGEST_TITLE} characters; type one.", back)
    return title
