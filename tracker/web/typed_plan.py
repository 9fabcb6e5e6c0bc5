"""A plan text as it comes in a form, and what it makes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from flask import request

from tracker.looks.figures import PlaceFault
from tracker.looks.looker import Frame
from tracker.looks.looking import DONE, Found
from tracker.looks.preview import PlanFault, drawn, faults_seen, hold_to_use, worked_out
from tracker.plan.model import RECKONING
from tracker.web import drawings
from tracker.web.clock import stamp
from tracker.web.drawn import given_sheet
from tracker.web.opened import Compiled
from tracker.web.pages import fresh_id, parts


@dataclass(frozen=True)
class PlanLook:
    """A plan text looked at (see SEEN), compiled where it is to be used, and what is wrong with it as a drawing."""

    seen: Frame
    made: Compiled | None = None
    places: tuple[PlaceFault, ...] = ()


def given_plan() -> str:
    """The text that is being typed."""
    return request.form.get("plan", "").replace("\r\n", "\n")


def looker() -> str:
    """The page that asks: of its looks only the newest goes on."""
    named = request.form.get("looker", "")
    return named if re.fullmatch(r"[a-z0-9]{1,40}", named) else fresh_id()


def seen_so_far(found: Found, nothing: Frame) -> Frame:
    """What a look in another process has seen, `nothing` at first; its state says whether it is all."""
    seen = found.answer or nothing
    return seen if found.state == DONE else {**seen, "state": found.state}


def given_text() -> tuple[str, str]:
    """The text to use, and what stands against using it (empty: nothing)."""
    if "sheet" in request.form:
        return given_sheet()
    typed = request.form.get("plan", "").replace("\r\n", "\n")
    upload = request.files.get("file")
    sent = upload.read() if upload is not None else b""
    if not sent.strip():
        return typed, "" if typed.strip() else "There is no plan yet; type one, paste one or choose a file."
    try:
        text = sent.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        return typed, "The file is not text in UTF-8; save the plan as plain text in UTF-8 and choose it again."
    if typed.strip() and typed.strip() != text.strip():
        return typed, "There is text in the box and a file as well; empty the box to use the file."
    return text, ""


def shown(text: str) -> str:
    """The text as a page can carry it: control characters cannot be typed again anyway."""
    return "".join(c if c in "\n\t" or c >= " " else "\N{REPLACEMENT CHARACTER}" for c in text)


def looked_at(text: str) -> PlanLook:
    """What a plan text makes, compiled to be used, or every fault of it beside its line."""
    text = text.replace("\r\n", "\n")
    try:
        made = parts().desk.compiled(text)
        hold_to_use(text, made.plan, made.checklist)
    except PlanFault as fault:
        return PlanLook(faults_seen(text, fault), places=fault.places(text))
    seen = worked_out(drawn(made.plan, drawings.of_quilt(made)), made.checklist, made.words)
    return PlanLook(seen, made)


def made_quilt(made: Compiled, wanted: str) -> str:
    """The id of a new quilt with a plan that is proved; sent once more under the id `wanted`, it is the same one."""
    store = parts().desk.store
    for stored in store.quilts():
        if stored.id == wanted and stored.about.get("plan") == made.text:
            return stored.id
    about = {"title": made.plan.title, "plan": made.text, "demo": False, "made_at": stamp(), "reckoning": RECKONING}
    return store.add(about, wanted_id=wanted).id
