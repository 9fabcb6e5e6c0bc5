"""The steps ahead, loaded behind an open page so that it goes on through all of them while the computer is away.

Two answers: the steps as they stand in the plan (kept by the browser until the plan or these pages change), and the
counts of now. With both, the page reckons for itself what lies ready after the taps that are not saved yet.
"""

from __future__ import annotations

import gzip
import json
import re
import zlib
from hashlib import sha256
from typing import Any

from flask import Blueprint, Response, jsonify, render_template, request

from tracker.progress.batches import coming, is_sample, passes_of, targets, to_fit, to_the_end, turns
from tracker.progress.changes import CountChange
from tracker.web import drawings
from tracker.web.facts import not_back, take_back
from tracker.web.opened import Opened
from tracker.web.pages import kept_while, never_kept, parts
from tracker.web.screen import Facts
from tracker.web.screens.step import OneTap, count_of, in_turn, passes_in_order, step_view
from tracker.web.shares import runs_of
from tracker.web.unbroken import unbroken, unbroken_page
from tracker.words.pass_words import made_words, part_label, pass_title
from tracker.work.steps import Cut, Pile, Step
from tracker.work.whole_blocks import SetBlock

MOST_PACKED = 15 * 1024
"""Bytes of packed screens sent at once: what a first visit bears. The page asks for more while it stands open."""

MOST_BARS = 250
"""Steps that are sent with the part of their screen that changes."""

MOST_BATCHES = 3
"""So many batches of blocks, from that in work on, the page knows what they need: it goes on from one to the next."""

_ITSELF = "\0"
"""Stands for a step's own short name in the part of its screen that changes: a dozen names by chance in each cannot be
packed."""

_TAP_NAME = re.compile(r'<input type="hidden" name="tap" value="[0-9a-f]*">\n?')

pages = Blueprint("ahead", __name__, url_prefix="/quilts/<quilt_id>")


@pages.get("/ahead.json")
def ahead(quilt_id: str) -> Response:
    """Every step of a quilt, from the step `from` on (else from the first), as far as fits."""
    with parts().desk.quilt(quilt_id) as opened:
        mark, told = mark_of(opened), _in_order(opened, request.args.get("from", ""))
        steps = [step for step, _, _ in told]
        facts: dict[str, Any] = json.loads(unbroken(json.dumps(plan_of(opened, steps), ensure_ascii=False))) | {
            "bars": [live for _, _, live in told],  # like stands beside like, so that it is packed well
            "screens": _screens(opened, steps),
        }
    return _kept(json.dumps(facts, ensure_ascii=False), request.args.get("v") == mark)


def plan_of(opened: Opened, steps: list[Step]) -> dict[str, Any]:
    """What stands in the plan, as `static/reckoning.js` reads it: steps (all of them, from any on; `first` is the place
    of the list's first), piles, and blocks by their kind."""
    first = opened.steps[0] if steps else None
    return {
        "steps": [_told(opened, step) for step in steps],
        "first": steps.index(first) if first else 0,
        "piles": [_pile(opened, pile) for pile in opened.compiled.checklist.piles.values()],
        "passes": [pass_title(opened.words, each) for each in passes_in_order(opened)],
        "kinds": {_blocks_named(step): opened.counts.blocks_of(step) for step in steps if step.per != "quilt"},
    }


def _in_order(opened: Opened, first: str) -> list[tuple[Step, Facts, str]]:
    """Every step with its counts and the part that changes, a named step first."""
    told = []
    steps = list(opened.steps)
    start = next((i for i, step in enumerate(steps) if opened.compiled.short[step.id] == first), 0)
    for place, step in enumerate(steps[start:] + steps[:start]):
        count = _resting(opened, step)
        facts = {"quilt": opened, "view": f"step:{count['short']}", "question": None, "count": count, "ahead": True}
        # Names of taps are given by the script; random letters cannot be packed. More steps than these never fit.
        live = _TAP_NAME.sub("", unbroken_page(render_template("live/step.html", **facts))) if place < MOST_BARS else ""
        told.append((step, count, live.replace(count["short"], _ITSELF)))
    return told


def _screens(opened: Opened, steps: list[Step]) -> list[str]:
    """Each step's drawing and words, as many as fit."""
    made: list[str] = []
    packer, packed = zlib.compressobj(9), 0
    for step in steps:
        drawing = drawings.of_step(opened, step)
        cloths, screen = drawings.cloths_in(opened.compiled, drawing), step_view(opened, step)
        page = render_template("parts/step_article.html", shown=screen, drawing=drawing, cloths=cloths)
        page = _TAP_NAME.sub("", unbroken_page(page))
        packed += len(packer.compress(page.encode()) + packer.flush(zlib.Z_SYNC_FLUSH))
        if made and packed > MOST_PACKED:
            break
        made.append(page)
    return made


def _resting(opened: Opened, step: Step) -> Facts:
    """A step's counts without what changes from tap to tap."""
    blocks = tuple(opened.counts.blocks_of(step)[:1]) if step.per != "quilt" else ()
    at_rest: Facts = {"waits": (), "take_back": None, "not_back": ([], []), "carry_on": None, "now": 0, "batch": ""}
    at_rest |= {"blocks": blocks, "blocks_in_turn": in_turn(blocks), "together": OneTap(), "seam_untested": False}
    return count_of(opened, step) | at_rest


def _told(opened: Opened, step: Step) -> dict[str, Any]:
    """A step as the pages' script reads it; piles by their number in `piles`."""
    numbers = {pile: number for number, pile in enumerate(opened.compiled.checklist.piles)}
    short, title = opened.compiled.short[step.id], opened.compiled.titles[step.id]
    told: dict[str, Any] = {"short": short, "title": title, "station": step.station}
    told["takes"] = [[numbers[flow.pile], flow.each] for flow in step.takes]
    told["gives"] = [[numbers[flow.pile], flow.each] for flow in step.gives]
    if step.beside is not None:
        told["beside"] = numbers[step.beside]
    if measures := to_fit(opened.counts).get(step.id):
        told["to fit"] = [opened.compiled.short[each.id] for each in measures]
    if turn := turns(opened.counts)[step.id]:
        told["turn"] = turn
    if (left := to_the_end(opened.counts).get(step.id)) is not None:
        told["to the end"] = left
    if isinstance(step.action, SetBlock):
        told["places"] = True
    if step in opened.counts.last_steps().values():
        told["last"] = True
    if not step.kind.unpicked:
        told["stays"] = True
    told["pass"] = _pass_place(opened)[passes_of(opened.counts)[step.id].id]
    told["made"] = made_words(opened.words, step)
    if label := part_label(opened.words, step):
        told["label"] = label
    if isinstance(step.action, Cut):
        told["cloth"] = step.action.fabric
    if step.per != "quilt":
        told["per"] = _blocks_named(step)
    return told


def _pass_place(opened: Opened) -> dict[str, int]:
    """The place of each pass in the order of the work, by its id."""
    return {each.id: place for place, each in enumerate(passes_in_order(opened))}


def _blocks_named(step: Step) -> str:
    """A name for the blocks of a step: their kind, with the pressing version or the places where those matter."""
    if isinstance(step.action, SetBlock):
        return step.id
    return step.per if step.version is None else f"{step.per}, version {step.version}"


def _kept(text: str, current: bool) -> Response:
    """Packed as small as can be: it is sent once and kept for long."""
    response = Response(text, mimetype="application/json")
    if request.accept_encodings["gzip"] > 0:
        response.set_data(gzip.compress(text.encode(), 9, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
    return kept_while(response, current)


def mark_of(opened: Opened) -> str:
    """A mark that changes with the plan, the steps there are to do, what was measured, and with these pages."""
    steps = " ".join(opened.compiled.short[step.id] for step in opened.steps)
    files = " ".join(file.mark for file in parts().files.values())
    measured = repr(opened.counts.told.measured())
    return sha256(f"{opened.compiled.mark} {steps} {measured} {files}".encode()).hexdigest()[:12]


@pages.get("/counts.json")
def counts(quilt_id: str) -> Response:
    """Where every step stands, and what lies on the common piles."""
    with parts().desk.quilt(quilt_id) as opened:
        return never_kept(jsonify(counts_of(opened)))


def counts_of(opened: Opened) -> dict[str, Any]:
    """The counts as the pages' script reads them: steps by short name, common piles by their number."""
    counts, compiled = opened.counts, opened.compiled
    batches = coming(counts, opened.pace, MOST_BATCHES) or [([], targets(counts, opened.pace))]
    steps, moves = {}, dict[str, list[list[Any]]]()
    for step in opened.steps:
        told: dict[str, Any] = {"count": counts.count(step), "done": counts.times_done(step)}
        goals = [needed.get(step.id, 0) for _, needed in batches]
        if any(goal != told["count"] for goal in goals):
            told["goals"] = goals
            if step.count < told["count"]:
                told["planned"] = step.count
        if step.per != "quilt":
            told["blocks"] = runs_of([n for n in counts.blocks_of(step) if counts.times_done(step, n)])
        back = take_back(opened, step)
        if back is not None:
            told["back"] = {"id": back.tap_id, "times": back.times, "words": back.words, "blocks": list(back.blocks)}
            if back.tap_id not in moves:
                moves |= _more_moves(opened, step, back.tap_id)
        steps[compiled.short[step.id]] = told
    piles = enumerate(compiled.checklist.piles.values())
    lies = {number: counts.on_pile(pile.id) for number, pile in piles if pile.block is None}
    address = f"/quilts/{opened.id}/ahead.json?v={mark_of(opened)}"
    opening = parts().desk.store.opening
    counted: dict[str, Any] = {"version": opened.version, "opening": opening, "ahead": address, "steps": steps}
    counted |= {"lies": lies, "moves": moves, "batches": [runs_of(blocks) for blocks, _ in batches]}
    counted["gone"], counted["held"] = not_back(opened)
    if is_sample(counts, opened.pace, batches[0][0]):
        counted["sample"] = True
    if (last := opened.progress.last_done()) is not None and last.worked_at is not None:
        counted["last"] = {"id": last.id, "step": compiled.short[last.worked_at]}
    if unsettled := [opened.progress.recorded(tap.id) for tap in opened.progress.unsettled()]:
        counted["open"] = {kept.tap.id: _moves(opened, kept.wanted) for kept in unsettled if kept}
    return counted


def _more_moves(opened: Opened, step: Step, tap_id: str) -> dict[str, Any]:
    """What a tap changed, by its id, where it changed more than one step."""
    kept = opened.progress.recorded(tap_id)
    if kept is None or all(step_id == step.id for step_id, _, _ in kept.change.moves):
        return {}
    return {tap_id: _moves(opened, kept.change)}


def _moves(opened: Opened, change: CountChange) -> list[list[Any]]:
    """Steps by short name, done so often, for a block (0: the pool)."""
    return [[opened.compiled.short[step_id], block, times] for step_id, block, times in change.moves]


def _pile(opened: Opened, pile: Pile) -> dict[str, Any]:
    """A pile in words, for one piece and for more, and the step that makes it."""
    told: dict[str, Any] = {"id": pile.id, "one": opened.words.pile(pile.id, 1), "more": opened.words.pile(pile.id, 2)}
    if pile.block is not None:
        told["block"] = True
    maker = opened.compiled.maker.get(pile.id)
    return told if maker is None else told | {"maker": opened.compiled.short[maker.id]}
