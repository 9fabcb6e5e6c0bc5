"""What to buy: of each cloth how much, why, and what is there already; the batting too."""

from __future__ import annotations

from flask import Response

from tracker.progress.strip_ticks import ClothStrips
from tracker.quilt.buying import ClothNeed, need
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.words.quilt_summary import cloth_length, have_text
from tracker.words.thing_words import listed, plural

screen = Screen("shopping", "/quilts/<quilt_id>")

_ROUND_THE_TOP = ("border", "binding", "backing")


@screen.get("/shopping")
def shopping(quilt_id: str) -> Response:
    """What to buy, to take to the shop."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("shopping", "", opened, shopping=shopping_list(opened))


def shopping_list(opened: Opened) -> Facts:
    """The shopping list of a quilt."""
    whole = opened.compiled.whole
    lines = [_cloth(opened, cloth) for cloth in whole.cloths]
    if whole.setting is not None and whole.setting.batting is not None:
        across, down = whole.setting.batting
        size = opened.words.size((across, down))
        lines.append(
            {
                "name": "Batting",
                "key": "",
                "colour": "",
                "buy": size,
                "short": True,
                "why": ("one piece, or joined of several",),
            }
        )
    return {
        "short": tuple(line for line in lines if line["short"]),
        "there": tuple(line for line in lines if not line["short"]),
        "fault": whole.fault,
    }


def _cloth(opened: Opened, cloth: ClothStrips) -> Facts:
    plan, wanted = opened.compiled.plan, need(opened.compiled.plan, cloth.cutting)
    fabric = plan.fabrics[cloth.cloth]
    more = " more" if wanted.have else ""
    buy = f"{cloth_length(wanted.short, plan)}{more}" if wanted.short else "enough"
    return {
        "name": fabric.name,
        "key": fabric.key,
        "colour": fabric.colour,
        "buy": buy,
        "short": bool(wanted.short),
        "why": tuple(_why(opened, cloth, wanted)),
    }


def _why(opened: Opened, cloth: ClothStrips, wanted: ClothNeed) -> list[str]:
    """What is cut, what is added to it, and what is there."""
    words, plan = opened.words, opened.compiled.plan
    found = []
    uses = {use for strip in cloth.strips for part in strip.parts for use in part.uses}
    parts = ["blocks"] if uses & {"unit", "frame"} else []
    parts += ["setting triangles"] if "setting" in uses else []
    parts += ["sashes"] if "sash" in uses else []
    parts += ["cornerstones"] if "cornerstone" in uses else []
    borders = sum(border.fabric == cloth.cloth for border in plan.quilt.borders)
    parts += [plural(use, borders) if use == "border" else use for use in _ROUND_THE_TOP if use in uses]
    found.append(f"for {listed(parts)}")
    if wanted.length:
        found.append(f"{words.length(wanted.length)} to cut")
        found.append(f"{words.length(wanted.allowance)} more for shrinkage and mistakes")
    if wanted.fat_quarters:
        found.append(f"{wanted.fat_quarters} {plural('fat quarter', wanted.fat_quarters)} from the cupboard")
    if wanted.have is not None:
        found.append(have_text(words, wanted))
    if wanted.length:
        wide = words.length(plan.fabrics[cloth.cloth].usable)
        found.append(f"at least {wide} wide between the selvages")
    return found
