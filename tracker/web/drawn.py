"""A drawn plan as it comes from a page, and the page that it is drawn on."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime

from flask import render_template, request

from tracker.plan.drawn_plan import NoSheet, Sheet, plan_text, read_sheet
from tracker.web import beside
from tracker.web.opened import Opened
from tracker.web.pages import fresh_id, nav_links, parts
from tracker.words.colour_names import COLOURS


def given_sheet() -> tuple[str, str]:
    """The text of the plan that was drawn, and what stands against using it (empty: nothing)."""
    former = request.form.get("former", "").replace("\r\n", "\n")  # as browsers part the lines of a form
    try:
        return plan_text(read_sheet(request.form.get("sheet", "")), former), ""
    except NoSheet as fault:
        return "", fault.words


def blank_sheet(today: datetime) -> Sheet:
    """Where a new drawing begins: squared paper of three by three, two cloths, three blocks across and four down."""
    return {
        "head": {"title": f"Quilt of {today.day} {today:%B}"},
        "cloths": [
            {"key": "A", "name": "pale sand", "colour": "#e4dccb"},
            {"key": "B", "name": "deep brick", "colour": "#a34d33"},
        ],
        "blocks": [{"key": "block1", "name": "Main block", "cell": "2", "picture": [["A"] * 3] * 3}],
        "quilt": {"block": "block1", "across": 3, "down": 4},
        "rest": {},
    }


def drawing_page(
    sheet: Sheet, former: str = "", opened: Opened | None = None, doubtful: Sequence[tuple[int, int]] = ()
) -> str:
    """The page that a plan is drawn on: a new one, or that of a quilt. `doubtful`: the cells (row, column) of its first
    block that are to be looked at."""
    facts = {
        "sheet": json.dumps(sheet),
        "former": former,
        "wanted": fresh_id(),
        "doubtful": json.dumps([list(cell) for cell in doubtful]),
        "colours": json.dumps(COLOURS),
        "quilt": opened,
        "demo_only": opened is None and beside.demo_only(parts().desk.store),
    }
    return render_template("pages/draw.html", nav=nav_links("", opened.id if opened else None), **facts)
