"""What she keeps with a quilt: pace, settings, its name; copied, put away, deleted and taken back."""

from __future__ import annotations

import re
from typing import cast

from flask import Blueprint, Response, redirect, request

from tracker.store.quilts import Store, StoreFault
from tracker.web.clock import stamp
from tracker.web.faults import HOME, PageFault
from tracker.web.pages import Link, parts
from tracker.web.returning import LONGEST_SETTING, SETTINGS

pages = Blueprint("keeping", __name__)

LONGEST_TITLE = 80
MOST_AT_A_TIME = 10_000


def _back(quilt_id: str) -> Response:
    return cast(Response, redirect(f"/quilts/{quilt_id}", 303))


def _link(quilt_id: str) -> Link:
    return Link(f"/quilts/{quilt_id}", "Back to the quilt")


@pages.post("/quilts/<quilt_id>/pace")
def pace(quilt_id: str) -> Response:
    """How she works from now on. Changing it midway changes nothing of what is done."""
    text = request.form.get("batch", "").strip()
    batch = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else None
    if text and (batch is None or not 1 <= batch <= MOST_AT_A_TIME):
        words = f"“{text[:20]}” is no number of blocks; type a whole number from 1, or nothing for all at once."
        raise PageFault(400, words, _link(quilt_id))
    kept = {"sample_first": request.form.get("sample") == "yes", "batch": batch}
    parts().desk.store.quilt(quilt_id).set_about(pace=kept)
    return _back(quilt_id)


@pages.post("/quilts/<quilt_id>/setup")
def setup(quilt_id: str) -> Response:
    """What to set up for this quilt, in her own words."""
    given = {key: " ".join(request.form.get(key, "").split()) for key in SETTINGS}
    for key, text in given.items():
        if len(text) > LONGEST_SETTING:
            words = f"{SETTINGS[key]}: that is {len(text)} characters long; keep it to {LONGEST_SETTING}."
            raise PageFault(400, words, _link(quilt_id))
    parts().desk.store.quilt(quilt_id).set_about(setup=given)
    return _back(quilt_id)


@pages.post("/quilts/<quilt_id>/title")
def rename(quilt_id: str) -> Response:
    """Another name for a quilt; its plan text stays as it is."""
    parts().desk.store.quilt(quilt_id).set_about(title=_title(_link(quilt_id)))
    return _back(quilt_id)


def _title(back: Link) -> str:
    title = " ".join(request.form.get("title", "").split())
    if not title or len(title) > LONGEST_TITLE or not title.isprintable():
        raise PageFault(400, f"A quilt's name is from 1 to {LONGEST_TITLE} characters; type one.", back)
    return title


@pages.post("/quilts/<quilt_id>/copy")
def copy(quilt_id: str) -> Response:
    """A second quilt with the same plan, begun anew or as far as this one is."""
    store = parts().desk.store
    stored, title = store.quilt(quilt_id), _title(_link(quilt_id))
    wanted = request.form.get("wanted", "")
    if any(other.id == wanted and other.about.get("title") == title for other in store.quilts()):
        return _back(wanted)  # the same form once more
    with stored.turn():
        about = stored.about | {"title": title, "demo": False, "made_at": stamp(), "put_away": False}
        taps = list(stored.taps) if request.form.get("with") == "taps" else []
    if not taps:
        about.pop("former_plans", None)
    made = store.add(about, taps, wanted_id=wanted if re.fullmatch(r"[a-z0-9]{6}", wanted) else None)
    return _back(made.id)


@pages.post("/quilts/<quilt_id>/away")
def put_away(quilt_id: str) -> Response:
    """Out of sight on the first page, or back; nothing else changes."""
    parts().desk.store.quilt(quilt_id).set_about(put_away=request.form.get("away") == "yes")
    return cast(Response, redirect("/", 303))


@pages.post("/quilts/<quilt_id>/delete")
def delete(quilt_id: str) -> Response:
    """Delete a quilt; the first page offers to take that back."""
    store = parts().desk.store
    if quilt_id not in {gone.id for gone in store.deleted()} or _is_there(store, quilt_id):
        store.delete(quilt_id)
    return cast(Response, redirect("/", 303))


@pages.post("/deleted/<quilt_id>/restore")
def restore(quilt_id: str) -> Response:
    """Take a deleted quilt back as it was."""
    store = parts().desk.store
    if not _is_there(store, quilt_id):
        try:
            store.restore_deleted(quilt_id)
        except StoreFault as fault:
            if fault.kind == "unknown":
                raise PageFault(404, "There is no such deleted quilt to take back.", HOME) from fault
            raise
    return _back(quilt_id)


def _is_there(store: Store, quilt_id: str) -> bool:
    return any(stored.id == quilt_id for stored in store.quilts())
