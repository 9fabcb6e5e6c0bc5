"""Putting right what was counted or sewn, on every step: each kind of mistake with what is done about it."""

from __future__ import annotations

from flask import Response, request

from tracker.web.asked import step_named
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.put_right import MOST_BLOCKS, mend_view
from tracker.web.screen import Facts, Screen

screen = Screen("mend", "/quilts/<quilt_id>")


@screen.get("/steps/<short>/mend")
def mend(quilt_id: str, short: str) -> Response:
    """What of a step can be put right. `unpick` in the address asks about one block (0: the quilt)."""
    asked = request.args.get("unpick", "")
    view = f"mend:{short}" + (f":{asked}" if _is_number(asked) else "")
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("mend", "Step", opened, **facts_of(opened, view))


@screen.live
def _mend(opened: Opened, rest: str) -> Facts:
    short, _, asked = rest.partition(":")
    step = step_named(opened, short)
    return {"mend": mend_view(opened, step, int(asked) if _is_number(asked) else None), "most_blocks": MOST_BLOCKS}


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 6
