"""The shelf: every finished quilt, with its picture or a photo, its size and its days."""

from __future__ import annotations

from contextlib import suppress

from flask import render_template

from tracker.looks.preview import PlanFault
from tracker.store.quilts import StoredQuilt
from tracker.units.maker import digest
from tracker.web.pages import nav_links, parts
from tracker.web.screen import Facts, Screen
from tracker.web.shelved import on_the_shelf, photos_kept, shelved
from tracker.words.shelf_words import days_text

screen = Screen("shelf", "/shelf")


@screen.get("")
def shelf() -> str:
    """All that stand there, the one that was put there last first."""
    there = [stored for stored in parts().desk.store.quilts() if on_the_shelf(stored)]
    there.sort(key=lambda stored: str(stored.facts["shelf"]["since"]), reverse=True)
    return render_template("pages/shelf.html", nav=nav_links(), quilts=[_on_shelf(stored) for stored in there])


def _on_shelf(stored: StoredQuilt) -> Facts:
    facts, whom = stored.facts, ""
    words: tuple[str, ...] = ("Its plan cannot be read any more.",)
    with suppress(PlanFault), parts().desk.glance(stored) as opened:
        became = shelved(opened)
        days, whom = days_text(became.found), became.texts["for"]
        words = tuple(each for each in (became.size, days) if each)
    photos = [photo["name"] for photo in photos_kept(facts) if not photo["removed"]]
    mark = digest(str(facts.get("plan", "")))
    return {
        "id": stored.id,
        "title": str(facts.get("title", "")),
        "whom": whom,
        "words": words,
        "photo": photos[0] if photos else "",
        "mark": mark,
    }
