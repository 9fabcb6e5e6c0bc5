"""Taps: what was done, taken back or settled, and the news of it for every open screen."""

from __future__ import annotations

import re
from typing import Any, cast

from flask import Blueprint, Response, make_response, redirect, request

from tracker.progress import Refused
from tracker.web.clock import stamp
from tracker.web.faults import Fault
from tracker.web.latest import newer_than
from tracker.web.live import rendered, step_named
from tracker.web.opened import Opened, Whole
from tracker.web.pages import Link, is_part, parts
from tracker.web.table import strips_of
from tracker.wording import refusal

LARGEST_TAP = 64 * 1024
MOST_TIMES = 1_000_000
_TAP_ID = re.compile(r"[A-Za-z0-9_-]{8,64}")
_UNREADABLE = {"unknown tap", "unknown pile", "not a count", "no such block", "no text", "no length", "not measured"}

pages = Blueprint("taps", __name__, url_prefix="/quilts/<quilt_id>")


@pages.post("/taps")
def tap(quilt_id: str) -> Response:
    """Keep one tap. Answers when it is on disk (or was already) with the part of the screen that shows it."""
    request.max_content_length = LARGEST_TAP
    if request.form.get("do") == "strip":
        _cut_before(quilt_id)
    with parts().desk.turn(quilt_id) as opened:
        try:
            for given in _taps(opened):
                opened.take(given | {"at": stamp()})
        except Refused as fault:
            status = 400 if fault.kind in _UNREADABLE else 409
            raise Fault(status, refusal(fault, opened.words), Link(_then(quilt_id), "Go back")) from fault
    if not is_part():
        return cast(Response, redirect(_then(quilt_id), 303))
    with parts().desk.quilt(quilt_id) as opened:
        return _shown(opened)


def _cut_before(quilt_id: str) -> Whole:
    """Have the strips of a quilt's cloths found, which takes long the first time, before its turn."""
    with parts().desk.quilt(quilt_id) as opened:
        return opened.compiled.whole


def _shown(opened: Opened) -> Response:
    """The part of the screen that the tap came from; nothing where that screen is there no more: the tap is kept."""
    try:
        return make_response(rendered(opened, request.form.get("view", "")))
    except Fault:
        return Response(status=204)


@pages.get("/changes")
def changes(quilt_id: str) -> Response:
    """The part of a screen, where anything changed since a version; 204 where nothing did."""
    since = request.args.get("since", "")
    if not (since.isascii() and since.isdigit() and len(since) < 20):
        raise Fault(400, "This address asks for news without saying since when; load the page again.")
    if parts().desk.store.quilt(quilt_id).version == int(since):
        return Response(status=204)
    with parts().desk.quilt(quilt_id) as opened:
        return make_response(rendered(opened, request.args.get("view", "")))


def _taps(opened: Opened) -> list[dict[str, Any]]:
    """The tap that a form asks for, or all that it takes back, each with an id that follows from the form's. Fault."""
    tap_id = request.form.get("tap", "")
    if not _TAP_ID.fullmatch(tap_id):
        raise Fault(400, "This tap has no name of its own; load the page again and tap once more.")
    if request.form.get("do") == "take back to":
        back = newer_than(opened, request.form.get("what", ""))
        return [{"id": f"{tap_id}-{what}", "do": "take back", "what": what} for what in back]
    tap = _tap(opened)
    if tap["do"] == "measured" and opened.progress.measured().get(tap["step"]) == tuple(tap["lengths"]):
        return []  # the same once more
    return [{"id": tap_id, **tap}]


def _tap(opened: Opened) -> dict[str, Any]:
    """What one tap says, without its id. Raises Fault."""
    form = request.form
    match form.get("do", ""):
        case "done" | "put back" as do:
            step = step_named(opened, form.get("step", ""))
            what = {"times": _times()} if step.per == "quilt" else _blocks()
            return {"do": do, "step": step.id, **what}
        case "counted":
            return {"do": "counted", "step": step_named(opened, form.get("step", "")).id, "times": _times(least=0)}
        case "measured":
            lengths = [text.strip() for text in form.getlist("length") if text.strip()]
            return {"do": "measured", "step": step_named(opened, form.get("step", "")).id, "lengths": lengths}
        case "spoiled":
            return {"do": "spoiled", "pile": form.get("pile", ""), "times": _times()}
        case "opened" | "stage" as do:
            return {"do": do, "step": step_named(opened, form.get("step", "")).id, "block": _block()}
        case "strip":
            return _strip(opened)
        case "name":
            return {"do": "name", "block": _block(), "text": form.get("text", "")}
        case "note":
            return {"do": "note", "text": form.get("text", "")} | ({"block": _block()} if "block" in form else {})
        case "take back":
            return {"do": "take back", "what": form.get("what", "")}
        case "settle":
            return {"do": "settle", "what": form.get("what", ""), "times": _times(least=0)}
    raise Fault(400, "This tap does not say what was done; load the page again and tap once more.")


def _strip(opened: Opened) -> dict[str, Any]:
    """A strip ticked off, with the pieces that it counts now."""
    cloth, name = request.form.get("cloth", ""), request.form.get("strip", "")
    stands = next((each for each in strips_of(opened, cloth) if each.strip.name == name), None)
    if stands is None:
        raise Refused("unknown strip", cloth=cloth)
    return {"do": "strip", "cloth": cloth, "strip": name, "steps": [list(each) for each in stands.counts]}


def _block() -> int:
    numbers = _numbers(request.form.get("block", ""))
    if len(numbers) != 1:
        raise Fault(400, "This tap does not say which block; load the page again and tap once more.")
    return numbers[0]


def _times(least: int = 1) -> int:
    text = request.form.get("times", "")
    if text == "chain":
        text = request.form.get("chain", "")
    text = text.strip()
    if not (text.isascii() and text.isdigit() and len(text) <= 7 and least <= int(text) <= MOST_TIMES):
        raise Fault(400, f"“{text[:20]}” is no count; type a whole number from {least} to {MOST_TIMES:,}.")
    return int(text)


def _blocks() -> dict[str, Any]:
    """The blocks a tap is for: named, or the first of those that the page offered."""
    named = request.form.get("blocks")
    if named is not None:
        return {"blocks": _numbers(named)}
    times = _times()
    if "offered" not in request.form:
        return {"times": times}
    offered = _numbers(request.form["offered"])
    if len(offered) < times:
        raise Fault(409, f"Only {len(offered)} can be done with what lies ready, not {times}.")
    return {"blocks": offered[:times]}


def _numbers(text: str) -> list[int]:
    words = text.split()
    if not all(word.isascii() and word.isdigit() and len(word) <= 6 for word in words):
        raise Fault(400, f"“{text[:20]}” names no blocks; load the page again and tap once more.")
    return [int(word) for word in words]


def _then(quilt_id: str) -> str:
    """Where a browser without script goes next: the screen it came from, or the quilt."""
    at = f"/quilts/{quilt_id}"
    wanted = request.form.get("then", "")
    if re.fullmatch(re.escape(at) + r"(/[a-z0-9/-]*)?(\?[a-z0-9=&-]*)?", wanted):
        chain = request.form.get("chain", "")
        return f"{wanted}?chain={chain}" if chain.isascii() and chain.isdigit() and "?" not in wanted else wanted
    return at
