"""What a quilt became, as the shelf, its own page and the label for its back have it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tracker.progress.finished_quilt import TEXTS, FinishedQuilt, finished_quilt
from tracker.quilt.setting import set_quilt
from tracker.store.quilts import StoredQuilt
from tracker.web.opened import Opened
from tracker.web.screen import Facts
from tracker.words import shelf_words as said
from tracker.words.thing_words import listed
from tracker.work.steps import Size


@dataclass(frozen=True)
class ShelvedQuilt:
    """What a quilt became (`found`), her own words by their names, its size, and what is said of it in rows."""

    found: FinishedQuilt
    texts: Mapping[str, str]
    size: str
    rows: tuple[tuple[str, str], ...]


def on_the_shelf(stored: StoredQuilt) -> bool:
    """Whether a quilt stands on the shelf."""
    return bool(kept_of(stored.facts).get("since"))


def kept_of(about: Mapping[str, Any]) -> Mapping[str, Any]:
    """What she keeps with a quilt."""
    kept = about.get("shelf")
    return kept if isinstance(kept, dict) else {}


def photos_kept(about: Mapping[str, Any]) -> list[Facts]:
    """Its photos, in the order in which they came, with her words on each; those taken away too (`removed`), which can
    be taken back."""
    return [
        {"name": each["name"], "words": str(each.get("words", "")), "removed": bool(each.get("removed"))}
        for each in about.get("photos", [])
    ]


def shelved(opened: Opened) -> ShelvedQuilt:
    """What a quilt became."""
    plan, kept = opened.compiled.plan, kept_of(opened.about)
    found = finished_quilt(kept, _size(opened), plan.unit, opened.forecast)
    texts = {key: str(kept.get(key, _known(opened, key))) for key in TEXTS}
    size = said.size_text(found.size, plan.unit, plan.ruler)
    rows = [
        (said.SIZE_NAMES["size"], size),
        ("Begun", said.day_words(found.begun) if found.begun else ""),
        ("Finished", said.day_words(found.finished) if found.finished else ""),
        *((said.NAMES[key], texts[key]) for key in TEXTS if key not in ("hours", "story")),
        ("Washed", said.shrinkage_text(found, plan.unit, plan.ruler)),
        (said.NAMES["hours"], said.hours_text(found, texts["hours"])),
        (said.NAMES["story"], texts["story"]),
    ]
    return ShelvedQuilt(found, texts, size, tuple(row for row in rows if row[1]))


def _size(opened: Opened) -> Size:
    """Its finished size by the plan, or by what the top measured before its borders."""
    plan, strips = opened.compiled.plan, opened.borders.strips
    if strips and any(each.figures is not None for each in strips):
        across, down = strips[-1].after
        return across - 2 * plan.seam, down - 2 * plan.seam
    setting = opened.compiled.whole.setting
    if setting is None:  # a cloth is too narrow for binding or backing, which does not change the size
        setting = set_quilt(replace(plan, quilt=replace(plan.quilt, binding=None, backing=None)))
    return setting.finished


def _known(opened: Opened, key: str) -> str:
    """What is known without her typing it here: the plan's cloths, and what she set up for the quilt."""
    setup = opened.about.get("setup", {})
    match key:
        case "cloths":
            plan = opened.compiled.plan
            return listed(list(dict.fromkeys(fabric.name for fabric in plan.fabrics.values())))
        case "needle":
            return str(setup.get("needle", ""))
        case "settings":
            parts = [("stitch", "stitch length"), ("foot", "foot"), ("guide", "seam guide")]
            return ", ".join(f"{words} {setup[name]}" for name, words in parts if setup.get(name))
    return ""
