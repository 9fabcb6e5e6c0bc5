"""The cloth before it is sewn: how it is cut, strip by strip, and what is bought of it."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Blueprint, Response, request

from tracker.web import drawings
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.shopping import shopping_list
from tracker.web.table import sheets
from tracker.words.quilt_summary import strip_title

pages = Blueprint("cutting", __name__, url_prefix="/quilts/<quilt_id>")


@pages.get("/cutting")
def cutting(quilt_id: str) -> Response:
    """The strip to cut next, all strips, and the list of sizes; on paper a drawing of every kind of strip."""
    chosen = request.args.get("strip", "")[:40]
    with parts().desk.quilt(quilt_id) as opened:
        facts = facts_of(opened, f"cutting:{chosen}" if chosen else "cutting")
        return quilt_page("cutting.html", "", opened, drawn=list(_drawn(opened)), sheets=sheets(opened), **facts)


def _drawn(opened: Opened) -> Iterator[tuple[str, str]]:
    """Every kind of strip: its title, and its drawing."""
    kinds = {strip.kind: strip for strip in opened.compiled.whole.strips.values()}
    for strip in kinds.values():
        yield strip_title(opened.words, strip), drawings.of_strip(opened.compiled, strip)


@pages.get("/shopping")
def shopping(quilt_id: str) -> Response:
    """What to buy, to take to the shop."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("shopping.html", "", opened, shopping=shopping_list(opened))
