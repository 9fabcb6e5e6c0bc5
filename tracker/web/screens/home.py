"""The first page: every quilt, what was found on the disk, and on this computer the code for a phone."""

from __future__ import annotations

import re

from flask import Response, g, render_template, request

from tracker.web import beside
from tracker.web.gate import is_this_computer
from tracker.web.pages import go_to, nav_links, parts
from tracker.web.screen import NavPlace, Screen
from tracker.web.screens.device import door_of
from tracker.web.shelved import on_the_shelf

screen = Screen("home", "", NavPlace(1, "Quilts", "/", of_quilt=False))


@screen.get("/")
def quilts() -> str | Response:
    """Every quilt but those of classes, and on this computer the address and code for a phone."""
    if g.pupil is not None:
        return go_to("/mine")
    store, of_classes = parts().desk.store, parts().pairing.classes.quilts()
    all_own = [stored for stored in store.quilts() if stored.id not in of_classes]
    quilts = [stored for stored in all_own if not on_the_shelf(stored)]
    cards = parts().cards.of([stored for stored in quilts if not stored.facts.get("put_away")])
    away = [(stored.id, str(stored.facts.get("title", ""))) for stored in quilts if stored.facts.get("put_away")]
    gone = [(each.id, str(each.about.get("title", "")) or "A quilt that cannot be read") for each in store.deleted()]
    door = door_of() if is_this_computer() else None
    facts = {"cards": cards, "away": away, "gone": gone, "door": door, "found": store.notices()}
    facts["shelved"] = len(all_own) - len(quilts)
    facts |= {"demo_only": beside.demo_only(store), "with_demo": beside.own_with_the_demo(store)}
    return render_template("pages/home.html", nav=nav_links("Quilts"), **facts)


@screen.post("/notices/<notice_id>/read")
def read(notice_id: str) -> Response:
    """What was found on the disk has been read, and is not told again; "all" is all of it."""
    parts().desk.store.read_notice(notice_id)
    from_quilt = request.form.get("quilt", "")
    return go_to(f"/quilts/{from_quilt}" if re.fullmatch(r"[a-z0-9]{6}", from_quilt) else "/")


@screen.get("/cards")
def cards() -> str:
    """News for a first page: those of the quilts named that have been reckoned now, and what asks for the others."""
    wanted = set(request.args.get("wait", "").split("-"))
    found = parts().cards.of([stored for stored in parts().desk.store.quilts() if stored.id in wanted])
    return render_template("parts/cards_news.html", cards=found)
