"""Pages where counts are put right: those of one step, and the last taps of a quilt."""

from __future__ import annotations

from flask import Blueprint, Response

from tracker.web.live import facts_of
from tracker.web.pages import parts, quilt_page

pages = Blueprint("recounts", __name__, url_prefix="/quilts/<quilt_id>")


@pages.get("/steps/<short>/mend")
def mend(quilt_id: str, short: str) -> Response:
    """One step's counts: the exact number, spoiled, put back."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("mend.html", "Step", opened, **facts_of(opened, f"mend:{short}"))


@pages.get("/latest")
def latest(quilt_id: str) -> Response:
    """The last taps, each with its take-back."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("latest.html", "", opened, **facts_of(opened, "latest"))
