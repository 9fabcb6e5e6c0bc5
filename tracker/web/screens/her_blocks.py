"""One maker: which blocks are hers. A touch on a block gives it to her, another gives it back."""

from __future__ import annotations

from flask import Response

from tracker.progress.block_taps import maker_of
from tracker.web.block_makers import called
from tracker.web.facts import placed
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.web.screens.makers import maker_of_key, maker_standing

screen = Screen("her_blocks", "/quilts/<quilt_id>/makers")


@screen.get("/<key>")
def blocks_to_give(quilt_id: str, key: str) -> Response:
    """The blocks of the quilt, row by row, to be given to one maker."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("her_blocks", "", opened, **facts_of(opened, f"her_blocks:{key}"))


@screen.live
def _her_blocks(opened: Opened, key: str) -> Facts:
    chosen = maker_of_key(opened, key)
    rows = [[_block(opened, place.number, chosen.name) for place in row] for row in placed(opened)]
    return {"maker": chosen, "rows": rows, "standing": maker_standing(opened, chosen)}


def _block(opened: Opened, number: int, name: str) -> Facts:
    """A block in its place: whose it is now, and by the name it was given under (`seen`); whether it is hers."""
    seen = maker_of(opened.counts, number)
    now = called(opened, seen)
    return {"number": number, "whose": now, "seen": seen, "hers": now == name}
