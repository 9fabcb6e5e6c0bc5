"""The board of all blocks, and one block."""

from __future__ import annotations

from flask import Blueprint, Response, request

from tracker.web import drawings
from tracker.web.live import facts_of
from tracker.web.pages import parts, quilt_page

pages = Blueprint("blocks", __name__, url_prefix="/quilts/<quilt_id>/blocks")


@pages.get("")
def board(quilt_id: str) -> Response:
    """The blocks of a quilt and how far each has come."""
    chosen = request.args.get("stage", "")
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("blocks.html", "Blocks", opened, **facts_of(opened, f"blocks:{chosen}"))


@pages.get("/<number>")
def block(quilt_id: str, number: str) -> Response:
    """One block: its picture and its steps."""
    with parts().desk.quilt(quilt_id) as opened:
        facts = facts_of(opened, f"block:{number}")
        drawing = drawings.of_block(opened.compiled, facts["block"].key)
        return quilt_page("block.html", "Blocks", opened, drawing=drawing, **facts)
