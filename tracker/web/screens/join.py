"""How a pupil comes to her class: the page behind its QR code, where she types her name; a code that is typed."""

from __future__ import annotations

import re

from flask import Response, g, make_response, render_template, request

from tracker.plan.model import RECKONING
from tracker.safekeeping.pupils import ClassDoor, ClassFault, SewingClass
from tracker.safekeeping.secret_codes import NotPaired
from tracker.web import gate
from tracker.web.clock import stamp
from tracker.web.pages import go_to, never_kept, parts
from tracker.web.screen import Screen
from tracker.web.screens.pair import caller, stranger

screen = Screen("join", "/join")

LARGEST_FORM = 16 * 1024


@screen.get("/<code>")
def link(code: str) -> Response:
    """What the QR code opens. Opening it lets nobody in: previews of links open pages too."""
    return _page() if g.known or g.pupil else _page(_door(code), code)


@screen.get("")
def typed() -> Response:
    """The same for a code that is typed."""
    return _page()


@screen.post("")
def join() -> Response:
    """Let a pupil's device in, where the code is right; its cookie comes with the answer."""
    request.max_content_length = LARGEST_FORM
    code, name, sent = (request.form.get(key, "") for key in ("code", "name", "sent"))
    if g.known or g.pupil:
        return _page()
    if not name and "sent" not in request.form:
        return _page(_door(code), code)
    sent = sent if re.fullmatch(r"[0-9a-f]{16}", sent) else ""
    classes = parts().pairing.classes
    try:
        token = classes.join(code, name, sent, pupils_quilt, caller())
    except NotPaired as fault:
        raise stranger(fault, code, to_class=True) from fault
    except ClassFault as fault:
        return _page(_door(code), code, name, str(fault), 409)
    response = go_to("/mine")
    gate.let_in(response, classes.cookie, token)
    return never_kept(response)


def _door(code: str) -> ClassDoor:
    try:
        return parts().pairing.classes.check(code, *caller())
    except NotPaired as fault:
        raise stranger(fault, code, to_class=True) from fault


def _page(door: ClassDoor | None = None, code: str = "", name: str = "", said: str = "", status: int = 200) -> Response:
    facts = {"door": door, "code": code, "name": name, "said": said, "inside": bool(g.known), "pupil_here": g.pupil}
    return never_kept(make_response(render_template("pages/join.html", **facts), status))


def pupils_quilt(group: SewingClass, name: str) -> str:
    """The id of a new quilt for a pupil, with the plan of her class, of which nothing is done. StoreFault."""
    store = parts().desk.store
    about = store.quilt(group.quilt).facts
    title = f"{name}: {group.title}"[:80]
    facts = {"title": title, "plan": about["plan"], "demo": False, "made_at": stamp()}
    return store.add({**facts, "reckoning": about.get("reckoning", RECKONING), "pace": about.get("pace", {})}).id
