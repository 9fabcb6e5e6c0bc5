"""One pupil, for her teacher: her name, her devices, the code for a new phone, her quilt; all of it taken back."""

from __future__ import annotations

from datetime import datetime

from flask import Response, make_response, render_template, request

from tracker.safekeeping.pupils import ClassFault, Pupil, SewingClass
from tracker.store.mending import day_in_words
from tracker.web.faults import PageFault
from tracker.web.pages import go_to, nav_links, parts
from tracker.web.screen import Screen
from tracker.web.screens.mine import quilt_file
from tracker.web.screens.teach import class_named, join_door, link_to

screen = Screen("pupil", "/classes/<class_id>/pupils/<pupil_id>")


@screen.get("")
def pupil(class_id: str, pupil_id: str) -> str:
    """The pupil; her code is shown where it is asked for."""
    return _page(class_named(class_id), _pupil(class_id, pupil_id))


def _page(group: SewingClass, found: Pupil, typed: str = "", wrong: str = "") -> str:
    """The page, with the name that was `typed` where something is `wrong` with it."""
    devices = [(place, _day(device.since), device.ended) for place, device in enumerate(found.devices)]
    door = join_door(group, found) if request.args.get("code") == "show" else None
    facts = {"group": group, "each": found, "devices": devices, "door": door, "typed": typed, "wrong": wrong}
    return render_template("pages/pupil.html", nav=nav_links(), **facts)


def _day(text: str) -> str:
    try:
        return f"{day_in_words(datetime.fromisoformat(text).date())} at {text[11:]}"
    except ValueError:
        return ""


def _pupil(class_id: str, pupil_id: str) -> Pupil:
    group = class_named(class_id)
    found = group.pupil(pupil_id)
    if found is None:
        raise PageFault(404, "There is no such pupil in this class; choose one from the list.", link_to(group))
    return found


@screen.post("/name")
def rename(class_id: str, pupil_id: str) -> Response:
    """Another name, or the one before."""
    found = _pupil(class_id, pupil_id)
    name = request.form.get("name", "")
    try:
        parts().pairing.classes.rename(found, name)
    except ClassFault as fault:
        return make_response(_page(class_named(class_id), found, name, str(fault)), 409)
    return _back(found)


@screen.post("/end")
def end(class_id: str, pupil_id: str) -> Response:
    """Let her in no more, or again; her quilt stays."""
    found = _pupil(class_id, pupil_id)
    parts().pairing.classes.end_pupil(found, request.form.get("end") == "yes")
    return _back(found)


@screen.post("/devices/<int:place>/end")
def end_device(class_id: str, pupil_id: str, place: int) -> Response:
    """Let one of her devices in no more, or again."""
    found = _pupil(class_id, pupil_id)
    parts().pairing.classes.end_device(found, place, request.form.get("end") == "yes")
    return _back(found)


@screen.post("/helped")
def helped(class_id: str, pupil_id: str) -> Response:
    """Her hand is down again: she was helped."""
    found = _pupil(class_id, pupil_id)
    parts().desk.store.quilt(found.quilt).set_about(hand="")
    return go_to(f"/classes/{class_id}")


@screen.get("/quilt.zip")
def take_home(class_id: str, pupil_id: str) -> Response:
    """Her quilt as a backup, where her own phone cannot keep one."""
    return quilt_file(_pupil(class_id, pupil_id))


def _back(found: Pupil) -> Response:
    return go_to(f"/classes/{found.class_id}/pupils/{found.id}")
