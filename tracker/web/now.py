"""What can be done now, station by station."""

from __future__ import annotations

from flask import Blueprint, Response, request

from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.pages import YEAR, Link, parts, quilt_page
from tracker.web.stations import best_station
from tracker.work.operations import STATIONS

pages = Blueprint("now", __name__, url_prefix="/quilts/<quilt_id>/now")


@pages.get("")
def at_a_station(quilt_id: str) -> Response:
    """What can be done now at the station asked for, else at the one last looked at here, else where to carry on."""
    with parts().desk.quilt(quilt_id) as opened:
        station = request.args.get("at") or request.cookies.get("station", "")
        if station not in STATIONS:
            if "at" in request.args:
                link = Link(f"/quilts/{quilt_id}/now", "To the stations")
                raise PageFault(404, "There is no such station; choose one.", link)
            station = best_station(opened)
        response = quilt_page("now.html", "Now", opened, **facts_of(opened, f"now:{station}"))
        if "at" in request.args:
            at = f"/quilts/{quilt_id}"
            response.set_cookie("station", station, max_age=YEAR, path=at, samesite="Lax", httponly=True)
        return response
