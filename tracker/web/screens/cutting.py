"""The cutting table: the strip to cut next, every strip by cloth and what is left over; the list of sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from flask import Response, request

from tracker.progress.strip_ticks import COUNTED, OPEN, TICKED, ClothStrips, Strip, StripStanding, standing
from tracker.quilt.cloth_cutting import listed
from tracker.web import drawings
from tracker.web.facts import figures_width
from tracker.web.live import facts_of
from tracker.web.measuring import UNIT_WORDS
from tracker.web.opened import MOST_TRIED, Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, NavPlace, Screen
from tracker.words.quilt_summary import (
    FRAMES_WAIT,
    aside_lines,
    is_cut_later,
    is_laid_aside,
    is_long,
    joining_lines,
    left_over,
    measured_before,
    strip_orders,
    strip_text,
    strip_title,
    tick_words,
    use_words,
    wait_line,
)
from tracker.work.operations import BLADE
from tracker.work.steps import Cut, Step

screen = Screen("cutting", "/quilts/<quilt_id>", NavPlace(5, "Cut", "/cutting"))

MOST_AHEAD = 200
"""So many strips can be ticked while the computer is away: more than anybody cuts meanwhile."""


@screen.get("/cutting")
def cutting(quilt_id: str) -> Response:
    """The strip to cut next, all strips, and the list of sizes; on paper a drawing of every kind of strip."""
    chosen = request.args.get("strip", "")[:40]
    with parts().desk.quilt(quilt_id) as opened:
        facts = facts_of(opened, f"cutting:{chosen}" if chosen else "cutting")
        return quilt_page("cutting", "Cut", opened, drawn=list(_drawn(opened)), sheets=sheets(opened), **facts)


def _drawn(opened: Opened) -> Iterator[tuple[str, str]]:
    """Every kind of strip: how many of it and its title, and its drawing."""
    kinds: dict[str, list[Strip]] = {}
    for strip in opened.compiled.whole.strips.values():
        kinds.setdefault(strip.kind, []).append(strip)
    for alike in kinds.values():
        often = f"{len(alike)} × " if len(alike) > 1 else ""
        yield often + strip_title(opened.words, alike[0]), drawings.of_strip(opened.compiled, alike[0])


@screen.live
def _cutting(opened: Opened, chosen: str) -> Facts:
    return {"cloths": cloth_lists(opened), "table": table_of(opened, chosen)}


def cloth_lists(opened: Opened) -> list[Facts]:
    """The cutting list, cloth by cloth, in the order of the list; `short` names the step that counts a size (empty:
    none does yet)."""
    compiled, counts = opened.compiled, opened.counts
    steps: dict[object, list[Step]] = {}
    for step in compiled.checklist.steps:
        if isinstance(step.action, Cut):
            steps.setdefault(listed(step.action), []).append(step)
    rows: dict[str, list[Facts]] = {}
    for piece in compiled.checklist.pieces:
        size = compiled.words.size((piece.width, piece.height))
        alike, use = steps.get(listed(piece), []), use_words(compiled.words, piece)
        if not alike:
            row: Facts = {
                "short": "",
                "size": size,
                "use": use,
                "count": piece.count,
                "done": 0,
            }
        else:
            count, done = sum(map(counts.count, alike)), sum(map(counts.times_done, alike))
            ahead = next((step for step in alike if counts.left(step)), alike[0])
            row = {
                "short": compiled.short[ahead.id],
                "size": size,
                "use": use,
                "count": count,
                "done": done,
            }
        if row["count"]:
            rows.setdefault(piece.fabric, []).append(row)
    fabrics = compiled.plan.fabrics
    return [{"key": key, "name": fabrics[key].name, "rows": tuple(rows[key])} for key in fabrics if key in rows]


def table_of(opened: Opened, chosen: str = "") -> Facts:
    """The cutting table of a quilt. `chosen` names the strip to be cut next, where that is still to be cut.

    `now` is None where all is cut; `fault` says why nothing can be cut. `ahead` are the strips to be cut from now on,
    for the page's script: `cloth name sheet number` of each, parted by semicolons.
    """
    whole = opened.compiled.whole
    standings = {cloth.cloth: standing(opened.counts, cloth) for cloth in whole.cloths}
    to_cut = _to_cut(opened, standings, chosen)
    now = to_cut[0] if to_cut else None
    rows = tuple(_cloth(opened, cloth, standings[cloth.cloth], now) for cloth in whole.cloths)
    return {
        "now": None if now is None else _this(opened, now, standings[now.strip.cloth]),
        "ahead": _ahead(to_cut, standings),
        "cloths": rows,
        "count": sum(cloth["count"] for cloth in rows),
        "done": sum(cloth["done"] for cloth in rows),
        "back": _back(opened),
        "fault": whole.fault,
    }


def _to_cut(opened: Opened, standings: dict[str, list[StripStanding]], chosen: str) -> list[StripStanding]:
    """The strips still to be cut: the one chosen, then those of the cloth that lies on the table, from the strip last
    ticked on, then the others; last those that wait, for a block that measures or for the top."""
    cloth, name = next(reversed(opened.counts.ticked), ("", ""))
    strips = standings.get(cloth, [])
    place = next((i for i, each in enumerate(strips) if each.strip.name == name), 0)
    rest = [each for key, others in standings.items() if key != cloth for each in others]
    to_cut = [each for each in (*strips[place:], *strips[:place], *rest) if each.state == OPEN]
    return sorted(to_cut, key=lambda each: (each.strip.name != chosen, _waits(opened, each.strip)))


FOR_A_BLOCK, FOR_THE_TOP = 1, 2
"""For what strips wait: the first block that measures; the top."""


def _waits(opened: Opened, strip: Strip) -> int:
    """For what a strip waits that is not even laid aside before; 0: for nothing."""
    measures = measured_before(opened.words, strip)
    if measures and not any(map(opened.counts.times_done, measures)):
        return FOR_A_BLOCK
    return FOR_THE_TOP if is_cut_later(strip) and not is_laid_aside(opened.words, strip) else 0


def _wait_words(opened: Opened, strip: Strip) -> str:
    """Why a strip is not cut yet; nothing where it is."""
    waits = _waits(opened, strip)
    if waits == FOR_A_BLOCK:
        return FRAMES_WAIT
    return wait_line(strip) if waits and _makes_blocks(opened) else ""


def _makes_blocks(opened: Opened) -> bool:
    return any(step.per != "quilt" and opened.counts.left(step) for step in opened.compiled.checklist.steps)


def _ahead(to_cut: Sequence[StripStanding], standings: dict[str, list[StripStanding]]) -> str:
    numbers = {each.strip.name: n for strips in standings.values() for n, each in enumerate(strips, 1)}
    told = (each.strip for each in to_cut[:MOST_AHEAD])
    return ";".join(f"{strip.cloth} {strip.name} {_sheet(strip)} {numbers[strip.name]}" for strip in told)


def _sheet(strip: Strip) -> str:
    """What strips are called whose screens are the same but for their number."""
    return f"{strip.kind}-first" if strip.fresh else strip.kind


def sheets(opened: Opened) -> dict[str, Facts]:
    """The screen of every kind of strip as it is when nothing is cut yet, for a page that goes on from memory."""
    found: dict[str, Facts] = {}
    for cloth in opened.compiled.whole.cloths:
        strips = [StripStanding(strip, OPEN, strip.counts) for strip in cloth.strips]
        for each in strips:
            if _sheet(each.strip) not in found:
                found[_sheet(each.strip)] = _this(opened, each, strips)
    return found


def _this(opened: Opened, now: StripStanding, strips: Sequence[StripStanding]) -> Facts:
    """The strip that is cut now. `already`: what of it was counted before; `aside`: it is a length that is laid aside
    first; `wait`: that it is cut later; `figures_width`: in half letters, so that figures are set as large as fits."""
    strip, words = now.strip, opened.words
    figures = ("≈" if words.is_near(strip.width) else "") + words.ruler(strip.width, about=False)
    return {
        "cloth": strip.cloth,
        "name": strip.name,
        "title": strip_title(words, strip),
        "figures": figures,
        "figures_width": figures_width(figures),
        "unit": f"{UNIT_WORDS[words.plan.unit]} {'long' if is_long(words, strip.width) else 'wide'}",
        "number": 1 + next(i for i, each in enumerate(strips) if each.strip.name == strip.name),
        "total": len(strips),
        "orders": tuple(strip_orders(words, strip)),
        "already": _already(now),
        "drawing": drawings.of_strip(opened.compiled, strip),
        "caution": BLADE,
        "aside": is_laid_aside(words, strip),
        "wait": _wait_words(opened, strip),
        "tick": tick_words(words, strip),
    }


def _already(now: StripStanding) -> str:
    """What of a strip's pieces was counted before."""
    known = sum(times for _, times in now.strip.counts)
    before = known - now.pieces
    if not before:
        return ""
    verb = "was" if before == 1 else "were"
    more = f"the tick counts the other {now.pieces}" if now.pieces else "the tick counts none again"
    return f"{before} of its {now.strip.pieces} pieces {verb} counted already; {more}."


def _cloth(opened: Opened, cloth: ClothStrips, strips: Sequence[StripStanding], now: StripStanding | None) -> Facts:
    kinds: dict[str, list[StripStanding]] = {}
    for each in strips:
        kinds.setdefault(each.strip.kind, []).append(each)
    rows = tuple(_row(opened, alike, now) for alike in kinds.values())
    return {
        "key": cloth.cloth,
        "name": opened.words.fabric(cloth.cloth),
        "rows": rows,
        "count": len(strips),
        "done": sum(row["done"] + row["counted"] for row in rows),
        "joining": (*aside_lines(opened.words, cloth.cutting), *joining_lines(opened.words, cloth.cutting)),
        "left": tuple(left_over(opened.words, cloth)),
    }


def _row(opened: Opened, alike: Sequence[StripStanding], now: StripStanding | None) -> Facts:
    """Like strips of a cloth, with the first of them that is not cut (empty: none)."""
    strip = alike[0].strip
    words = strip_text(opened.words, replace(strip, count=len(alike)))
    return {
        "words": f"From a fat quarter: {words}" if strip.source == "fat quarter" else words,
        "count": len(alike),
        "done": sum(each.state == TICKED for each in alike),
        "counted": sum(each.state == COUNTED for each in alike),
        "open": next((each.strip.name for each in alike if each.state == OPEN), ""),
        "here": now is not None and now.strip.kind == strip.kind,
    }


def _back(opened: Opened) -> Facts | None:
    """The strip ticked last of which nothing is sewn yet, so that its tick can be taken back; None where none is."""
    progress = opened.progress
    for ticked in islice(reversed(opened.counts.ticked), MOST_TRIED):
        kept = progress.recorded(progress.tick_of(*ticked) or "")
        if kept is not None and progress.can_be_taken_back(kept):
            strip = opened.compiled.whole.strips.get(ticked)
            return {"tap_id": kept.tap.id, "words": strip_title(opened.words, strip) if strip else "the last strip"}
    return None
