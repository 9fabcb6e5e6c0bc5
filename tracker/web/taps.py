"""Taps: what was done, taken back or settled, and the news of it for every open screen."""

from __future__ import annotations

import re
from typing import Any, cast

from flask import Blueprint, Response, make_response, redirect, request

from tracker.progress import Refused
from tracker.web.faults import Fault
from tracker.web.live import rendered, step_named
from tracker.web.opened import Opened
from tracker.web.pages import Link, is_part, parts
from tracker.wording import refusal

LARGEST_TAP = 64 * 1024
MOST_TIMES = 1_000_000
_TAP_ID = re.compile(r"[A-Za-z0-9_-]{8,64}")
_UNREADABLE = {"unknown tap", "not a count", "no such block"}

pages = Blueprint("taps", __name__, url_prefix="/quilts/<quilt_id>")


@pages.post("/taps")
def tap(quilt_id: str) -> Response:
    """Keep one tap. Answers when it is on disk (or was already) with the part of the screen that shows it."""
    request.max_content_length = LARGEST_TAP
    with parts().desk.quilt(quilt_id) as opened:
        given = _tap(opened)
        try:
            opened.take(given)
        except Refused as fault:
            status = 400 if fault.kind in _UNREADABLE else 409
            raise Fault(status, refusal(fault, opened.words), Link(_then(quilt_id), "Go back")) from fault
        return _shown(opened) if is_part() else cast(Response, redirect(_then(quilt_id), 303))


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


def _tap(opened: Opened) -> dict[str, Any]:
    """The tap that a form asks for. Raises Fault."""
    form = request.form
    tap_id = form.get("tap", "")
    if not _TAP_ID.fullmatch(tap_id):
        raise Fault(400, "This tap has no name of its own; load the page again and tap once more.")
    match form.get("do", ""):
        case "done":
            step = step_named(opened, form.get("step", ""))
            given: dict[str, Any] = {"id": tap_id, "do": "done", "step": step.id}
            if step.per == "quilt":
                return given | {"times": _times()}
            return given | _blocks()
        case "take back":
            return {"id": tap_id, "do": "take back", "what": form.get("what", "")}
        case "settle":
            return {"id": tap_id, "do": "settle", "what": form.get("what", ""), "times": _times(least=0)}
    raise Fault(400, "This tap does not say what was done; load the page again and tap once more.")


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
