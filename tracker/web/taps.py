"""Taps: what was done, taken back or settled, and the news of it for every open screen."""

from __future__ import annotations

import logging
import re
from typing import Any

from flask import Blueprint, Response, g, make_response, request

from tracker.progress.block_taps import BlockGiven, one_line
from tracker.progress.ledger import Refused
from tracker.progress.tap_kinds import TakenBack
from tracker.progress.work_taps import BlockSpoiled, Spoiled, SpoiledWithin, StripCut, TopMeasured
from tracker.store.quilts import StoreFault
from tracker.web.block_makers import holder
from tracker.web.clock import stamp
from tracker.web.faults import PageFault
from tracker.web.live import rendered
from tracker.web.opened import Opened, Whole
from tracker.web.pages import ROOM, Link, go_to, is_part, parts
from tracker.web.tap_forms import back_to, blocks_given, onward, tap_told, then
from tracker.words.refusals import refusal

LARGEST_TAP = 64 * 1024
_TAP_ID = re.compile(r"[A-Za-z0-9_-]{8,64}")
_WAITED = re.compile(r"-?[0-9]{1,12}")
TAP = "Sewing-Room-Tap"
"""The header that names a tap: in what a page's script sends, and in the answer behind what became of it.

    kept     it is on the disk
    refused  it asks for what cannot be; the answer says why, and nothing is left to keep
    unplaced there is no place for it as things stand: its step is gone, say, or a number is not what she saw
    gone     its quilt is not here, or this is another room

An answer that does not name it (the disk is full, the device is not let in, another program answers) leaves it open.
"""
SEEN = "Sewing-Room-Seen"
"""With an unplaced tap: the number that stands now, to be sent as seen where she wants hers all the same."""
FINAL = {
    "already taken back", "already there", "blocks in it", "cannot be unpicked", "counted so", "doubtful",
    "lies already", "no length", "not a count", "not alike", "not joined", "not measured", "not unsettled",
    "nothing there", "rests on it", "strip is cut",
}  # fmt: skip
"""Why a tap is refused for good: it says what is known, or asks for what her next tap can ask better."""
HAPPENED = {Spoiled.do, SpoiledWithin.do, BlockSpoiled.do}
"""What is so, wherever the piece is counted: it waits aside where there is no place for it."""
_UNPLACED = {400, 404, 409, 410, 413}
_UNREADABLE = {
    "unknown tap", "unknown pile", "not a count", "no such block", "no text", "no length", "not measured", "doubtful",
}  # fmt: skip

pages = Blueprint("taps", __name__, url_prefix="/quilts/<quilt_id>")
log = logging.getLogger("tracker.web")


@pages.post("/taps")
def tap(quilt_id: str) -> Response:
    """Keep one tap. Answers when it is on disk (or was already) with the part of the screen that shows it."""
    request.max_content_length = LARGEST_TAP
    if request.headers.get(ROOM, parts().pairing.room) != parts().pairing.room:
        # A quilt may have the same id here, and another past.
        g.became = "gone"
        raise PageFault(409, "This was tapped in another sewing room than the one that runs now, with another folder.")
    try:
        if request.form.get("do") == StripCut.do:
            _cut_before(quilt_id)
        with parts().desk.turn(quilt_id) as opened:
            _keep_or_refuse(opened)
    except StoreFault as fault:
        if fault.kind == "unknown":
            g.became = "gone"
        raise
    g.became = "kept"
    return _shown(quilt_id) if is_part() else go_to(onward(quilt_id))


def _cut_before(quilt_id: str) -> Whole:
    """Have the strips of a quilt's cloths found, which takes long the first time, before its turn."""
    with parts().desk.quilt(quilt_id) as opened:
        return opened.compiled.whole


def _keep_or_refuse(opened: Opened) -> None:
    """Keep the tap of the form, or say why not: Fault, StoreFault."""
    try:
        _keep(opened)
    except Refused as fault:
        g.became = "refused" if fault.kind in FINAL and request.form.get("do") not in HAPPENED else "unplaced"
        status = 400 if fault.kind in _UNREADABLE else 409
        raise PageFault(status, refusal(fault, opened.words), Link(then(opened.id), "Go back")) from fault


def _keep(opened: Opened) -> None:
    """Keep what the form says; nothing to do where it is kept already, whatever became of its step. Fault, Refused."""
    tap_id = request.form.get("tap", "")
    if not _TAP_ID.fullmatch(tap_id):
        raise PageFault(400, "This tap has no name of its own; load the page again and tap once more.")
    if opened.stored.has(tap_id):
        return
    made = {"at": stamp()} | _by_the_device()
    if request.form.get("do") == "take back to":
        opened.take_all(TakenBack(id=f"{tap_id}-{what}", what=what, **made) for what in back_to(opened))
        return
    if request.form.get("do") == BlockGiven.do:
        opened.take_all(blocks_given(tap_id, made))
        return
    tap = tap_told(opened, {"id": tap_id} | made)
    if isinstance(tap, TopMeasured) and opened.counts.told.measured().get(tap.step) == tap.lengths:
        return  # the same once more
    opened.take(tap)


def _by_the_device() -> dict[str, Any]:
    """What its device says of a tap: how many seconds it waited there by its clock (left out where none; below zero
    where that jumped), a name that tells the device from others of the room, and who held it."""
    waited, device = request.form.get("waited", ""), request.form.get("device", "")
    said: dict[str, Any] = {}
    if _WAITED.fullmatch(waited) and int(waited):
        said["waited"] = int(waited)
    if _TAP_ID.fullmatch(device):
        said["device"] = device
    if who := one_line(request.form.get("who", "")) or holder():
        said["who"] = who
    return said


@pages.after_request
def say_what_became(response: Response) -> Response:
    """Name the tap, so that the page that sent it knows that it was this room that answered, and about this tap."""
    name = request.headers.get(TAP, "")
    if request.endpoint == "taps.tap" and _TAP_ID.fullmatch(name):
        became = g.get("became") or ("unplaced" if response.status_code in _UNPLACED else "")
        if became == "kept" or (became and response.status_code in _UNPLACED):
            response.headers[TAP] = f"{became} {name}"
        if "stands" in g:
            response.headers[SEEN] = str(g.stands)
    return response


def _shown(quilt_id: str) -> Response:
    """The part of the screen that the tap came from; nothing where it cannot be drawn (any more): the tap is kept."""
    try:
        with parts().desk.quilt(quilt_id) as opened:
            return make_response(rendered(opened, request.form.get("view", "")))
    except (PageFault, StoreFault):
        pass
    except Exception:
        log.exception("a tap is kept, but its screen could not be drawn")
    return Response(status=204)


@pages.get("/changes")
def changes(quilt_id: str) -> Response:
    """The part of a screen, where anything changed since a version; 204 where nothing did."""
    since = request.args.get("since", "")
    if not (since.isascii() and since.isdigit() and len(since) < 20):
        raise PageFault(400, "This address asks for news without saying since when; load the page again.")
    store = parts().desk.store
    same = request.args.get("opening", store.opening) == store.opening
    if store.quilt(quilt_id).version == int(since) and same:
        return Response(status=204)
    with parts().desk.quilt(quilt_id) as opened:
        return make_response(rendered(opened, request.args.get("view", "")))
