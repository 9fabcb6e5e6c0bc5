"""An icon on the phone's home screen: how to put it there, and the address that it opens: where she stopped."""

from __future__ import annotations

from flask import Response, g, render_template

from tracker.web.cards import standing
from tracker.web.pages import go_to, last_opened, nav_links, never_kept, parts
from tracker.web.screen import Screen

screen = Screen("home_screen")


@screen.get("/home-screen")
def how() -> str:
    """How to put the icon there. The page's script gives it the address that the icon is to open."""
    return render_template("pages/home_screen.html", nav=nav_links())


@screen.get("/stopped")
def stopped() -> Response:
    """Where she stopped: the step of the quilt used last on this device; on another day first that quilt's own page."""
    quilt_id = g.pupil.quilt if g.pupil else last_opened()
    if quilt_id is None:
        return go_to("/")
    with parts().desk.quilt(quilt_id) as opened:
        later = standing(opened).after_a_day
    return never_kept(go_to(f"/quilts/{quilt_id}{'' if later else '/step'}"))
