"""A pupil's first page: her quilt, where to go on, what the teacher shows, a hand put up, her quilt to take home."""

from __future__ import annotations

from datetime import datetime
from urllib.parse import urlsplit

from flask import Response, g, make_response, render_template, request

from tracker.safekeeping.backup import make_backup
from tracker.safekeeping.pupils import Pupil, SewingClass
from tracker.web.cards import standing
from tracker.web.carried import follow, has_read, news_of
from tracker.web.clock import stamp
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import download, go_to, never_kept, parts, quilt_page
from tracker.web.screen import Facts, Screen

screen = Screen("mine", "/mine")


@screen.get("")
def mine() -> Response:
    """The page; who is no pupil has the quilts instead."""
    if g.pupil is None:
        return go_to("/")
    follow(parts(), g.pupil)
    with parts().desk.quilt(g.pupil.quilt) as opened:
        facts = facts_of(opened, "mine") | {"group": _group(g.pupil), "who": g.pupil.name}
        facts["changed"] = news_of(opened.about)
        return never_kept(quilt_page("mine", "Mine", opened, **facts))


@screen.live
def _mine(opened: Opened, rest: str) -> Facts:
    return {"standing": standing(opened), "hand": bool(opened.about.get("hand"))}


@screen.post("/read")
def read() -> Response:
    """She has read what became of her work when the plan was changed."""
    if g.pupil is not None:
        has_read(parts().desk.store.quilt(g.pupil.quilt), request.form.getlist("said"))
    return go_to("/mine")


@screen.post("/hand")
def hand() -> Response:
    """Put a hand up, or take it down."""
    if g.pupil is not None:
        stored = parts().desk.store.quilt(g.pupil.quilt)
        stored.set_about(hand="" if stored.facts.get("hand") else stamp())
    return go_to("/mine")


@screen.get("/news")
def news() -> Response:
    """What the teacher shows now, for any page of a pupil but that of the very step; and that she changed the plan."""
    changed: list[str] = []
    if g.pupil is not None:
        follow(parts(), g.pupil)
        changed = news_of(parts().desk.store.quilt(g.pupil.quilt).facts)
    showing, path = shown_to(g.pupil), urlsplit(request.headers.get("Referer", "")).path
    facts = {"showing": ("", "") if path == showing[0] else showing, "changed": path != "/mine" and changed}
    return never_kept(make_response(render_template("parts/class_news.html", **facts)))


def shown_to(pupil: Pupil | None) -> tuple[str, str]:
    """The step that a pupil's teacher shows: where it is in her quilt, and its title; empty for none."""
    group = _group(pupil) if pupil else None
    if pupil is None or group is None or not group.shown:
        return "", ""
    with parts().desk.quilt(pupil.quilt) as opened:
        step = opened.step(group.shown)
        if step is None:
            return "", ""
        return f"/quilts/{pupil.quilt}/steps/{group.shown}", opened.compiled.titles[step.id]


@screen.get("/quilt.zip")
def take_home() -> Response:
    """The pupil's quilt as a backup: any sewing room restores it."""
    if g.pupil is None:
        return go_to("/")
    return quilt_file(g.pupil)


def quilt_file(pupil: Pupil) -> Response:
    """A pupil's quilt as a file to be kept."""
    store, now = parts().desk.store, datetime.now()
    data = make_backup(store, now, [store.quilt(pupil.quilt)])
    return never_kept(download(data, "application/zip", f"my-quilt-{now.date().isoformat()}.zip"))


def _group(pupil: Pupil) -> SewingClass | None:
    return parts().pairing.classes.get(pupil.class_id)
