"""The layout: every block in its place, how far each has come, which row can be joined, and how all is pressed."""

from __future__ import annotations

from typing import Any

from flask import Response, request

from tracker.drawing.layout_map import FINISHED, PLACED, WAITING, Shown, layout_drawing, pages_of
from tracker.drawing.tile_layout import Layout, Tile
from tracker.progress.block_taps import BlocksLaid
from tracker.progress.laid_blocks import alike
from tracker.quilt.lattice import LatticeRow
from tracker.web import drawings
from tracker.web.asked import block_numbered
from tracker.web.facts import BlockPlace, Way, placed, waits, way
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import go_to, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.words.seam_words import blocks_named
from tracker.words.thing_words import TURNED, upper_edge_lies, upper_edge_sign
from tracker.work.steps import PressSeams, Step
from tracker.work.whole_blocks import JoinParts, SetBlock

screen = Screen("layout", "/quilts/<quilt_id>")

MOST_SAID = 3
"""How many rows are said to be complete."""


@screen.get("/layout")
def layout(quilt_id: str) -> Response:
    """The map of one quilt and its pressing, on screen and on paper."""
    with parts().desk.quilt(quilt_id) as opened:
        facts: dict[str, Any] = facts_of(opened, "layout:" + ":".join(asked for asked in _asked() if asked))
        between = opened.compiled.checklist.pressing.unnested
        return quilt_page("layout", "", opened, versions=_versions(opened), between=between, **facts)


def _asked() -> tuple[str, str]:
    """The block that was tapped, and the one that is to change places with it."""
    return request.args.get("block", ""), request.args.get("with", "")


@screen.get("/pressing")
def pressing(quilt_id: str) -> Response:
    """Where the pressing was found once."""
    with parts().desk.quilt(quilt_id) as opened:
        return go_to(f"/quilts/{opened.id}/layout#pressing", 301)


@screen.live
def _layout(opened: Opened, rest: str) -> Facts:
    numbers = [block_numbered(opened, text) for text in rest.split(":") if text]
    return {"map": map_of(opened, *numbers[:2])}


def map_of(opened: Opened, number: int | None = None, swapping: int | None = None) -> Facts:
    """The map of the quilt, or of its part with the block in question: with a block chosen, or none; `swapping` is one
    that is to change places. KeyError for a number that the quilt does not have.

    `turns` are the arrows of turned blocks with their words. `before` and `after` are blocks of the maps beside this
    one, where a quilt has several. `otherwise`: blocks have changed places with others.
    """
    layout = opened.compiled.layout
    places = {place.number: place for row in placed(opened) for place in row}
    several = len({place.letter for place in places.values()}) > 1
    steps = _setting_steps(opened)
    reached = _reached(opened, steps)
    shown = {
        each: Shown(reached[each], place.letter if several else "", _said(opened, place, reached[each], several))
        for each, place in places.items()
    }
    pages = pages_of(layout)
    first = next((each for each in places if reached[each] != PLACED), 1)
    page = next(i for i, tiles in enumerate(pages) if any(tile.block == (number or first) for tile in tiles))
    address = f"/quilts/{opened.id}/layout?" + (f"with={swapping}&" if swapping else "") + "block="
    drawing = layout_drawing(layout, pages[page], shown, number, lambda each: f"{address}{each}#place-{each}")
    return {
        "drawing": drawing,
        "placed": sum(each == PLACED for each in reached.values()),
        "blocks": len(places),
        "letters": several,
        "turns": tuple(
            (upper_edge_sign(turn, layout.is_on_point), TURNED[turn])
            for turn in sorted({place.turn for place in places.values()} - {0})
        ),
        "complete": tuple(_complete(opened, layout, reached))[:MOST_SAID],
        "carry_on": _carry_on(opened, reached),
        "chosen": None
        if number is None
        else _chosen(opened, places[number], reached[number], steps.get(number), several),
        "swap": None if number is None or swapping is None else _swap(opened, number, swapping),
        "before": _first_block(pages[page - 1]) if page else None,
        "after": _first_block(pages[page + 1]) if page + 1 < len(pages) else None,
        "otherwise": opened.compiled is not opened.planned,
    }


def _first_block(tiles: list[Tile]) -> int | None:
    return next((tile.block for tile in tiles if tile.block is not None), None)


def _setting_steps(opened: Opened) -> dict[int, Step]:
    """For each block the step that lays it in its place; none where the quilt is one block."""
    steps = (step for step in opened.compiled.checklist.steps if isinstance(step.action, SetBlock))
    return {number: step for step in steps for number in opened.counts.blocks_of(step)}


def _reached(opened: Opened, steps: dict[int, Step]) -> dict[int, str]:
    """How far each block has come."""
    counts = opened.counts
    ready = {number for step in dict.fromkeys(steps.values()) for number in counts.ready_blocks(step)}
    found = {}
    for number in counts.block_keys:
        step = steps.get(number)
        if step is None:
            stage = counts.stage(number)
            found[number] = PLACED if stage.done == stage.steps else WAITING
        else:
            found[number] = PLACED if counts.times_done(step, number) else FINISHED if number in ready else WAITING
    return found


_WORDS = {PLACED: "in its place", FINISHED: "finished, to be laid", WAITING: "not finished yet"}


def _said(opened: Opened, place: BlockPlace, reached: str, several: bool) -> str:
    """A block on the map, in words."""
    name = opened.compiled.plan.blocks[opened.counts.block_keys[place.number]].name
    version = f", version {place.letter}" if several else ""
    turned = f", {TURNED[place.turn]}" if place.turn else ""
    return f"Block {place.number}, {name}{version}{turned}, row {place.row}, place {place.place}: {_WORDS[reached]}"


def _chosen(opened: Opened, place: BlockPlace, reached: str, step: Step | None, several: bool) -> Facts:
    """The block that was tapped. `joined`: its row is joined, so that it is taken up no more. `others`: those that it
    may change places with, in words."""
    on_point = opened.compiled.plan.quilt.setting == "on point"
    turned = f"{TURNED[place.turn]}: " if place.turn else ""
    lies = f"row {place.row}, place {place.place}; {turned}upper edge {upper_edge_lies(place.turn, on_point)}"
    name = opened.compiled.plan.blocks[opened.counts.block_keys[place.number]].name
    stage = opened.counts.stage(place.number)
    return {
        "number": place.number,
        "name": f"{name}, version {place.letter}" if several else name,
        "lies": lies,
        "reached": reached,
        "words": opened.words.stage(stage),
        "step": way(opened.compiled, step) if step else None,
        "joined": step is not None and bool(_joined(opened, step)),
        "others": blocks_named(others) if (others := _others(opened, place.number)) else "",
    }


def _others(opened: Opened, number: int) -> list[int]:
    """The blocks that a block may change places with: alike, and none of them in its place."""
    lies = opened.counts.lies
    return [] if lies(number) else [each for each in alike(opened.compiled.checklist, number) if not lies(each)]


def _swap(opened: Opened, number: int, swapping: int) -> Facts:
    """A block that is to change places: with the one chosen (`can`: whether that may be; `done`: the tap that has just
    done it), or, where it is chosen itself, with one yet to be tapped."""
    last = next((kept.tap for kept in opened.progress.latest(1)), None)
    done = isinstance(last, BlocksLaid) and set(last.swapped or ()) == {number, swapping}
    other = None if number == swapping else number
    return {
        "number": swapping,
        "other": other,
        "can": number in _others(opened, swapping),
        "done": last.id if last and done else "",
    }


def _joined(opened: Opened, step: Step) -> bool:
    """Whether the pieces that a step has given to its pile were all taken on: their row is joined."""
    return bool(opened.counts.times_done(step)) and not opened.counts.on_pile(step.gives[0].pile)


def _complete(opened: Opened, layout: Layout, reached: dict[int, str]) -> list[Facts]:
    """Rows whose blocks all lie and that are not joined yet, first rows first."""
    counts, found = opened.counts, []
    joins = {
        opened.compiled.checklist.made(step).thing: step
        for step in counts.steps.values()
        if isinstance(step.action, JoinParts) and step.action.direction == "across"
    }
    for row in layout.rows:
        step = joins.get(row.thing)
        if step is None or not _blocks(row) or not counts.left(step):
            continue
        if all(reached[number] == PLACED for number in _blocks(row)):
            lacks = tuple(waits(opened, counts.waits_for(step)))
            found.append({"name": row.name.capitalize(), "join": way(opened.compiled, step), "waits": lacks})
    return found


def _blocks(row: LatticeRow) -> list[int]:
    return [part.block for part in row.parts if part.block is not None]


def _carry_on(opened: Opened, reached: dict[int, str]) -> Way | None:
    """Once all blocks lie: the next step of the quilt that can be done."""
    if any(each != PLACED for each in reached.values()):
        return None
    steps = (step for step in opened.counts.steps.values() if step.per == "quilt")
    step = next((step for step in steps if opened.counts.left(step) and opened.counts.ready(step)), None)
    return way(opened.compiled, step) if step else None


def _versions(opened: Opened) -> list[Facts]:
    plan, found = opened.compiled.plan, []
    for block in opened.compiled.checklist.pressing.blocks:
        several = len(block.versions) > 1
        for version in block.versions:
            steps = opened.counts.block_steps(block.block, version.blocks[0])
            pressings = tuple(_pressed(opened, step) for step in steps if isinstance(step.action, PressSeams))
            numbers = ", ".join(map(str, version.blocks)) if several else ""
            name = plan.blocks[block.block].name
            found.append(
                {
                    "name": name,
                    "letter": version.letter if several else "",
                    "blocks": numbers,
                    "unnested": version.unnested,
                    "pressings": pressings,
                }
            )
    return found


def _pressed(opened: Opened, step: Step) -> Facts:
    words = opened.words
    return {"title": words.title(step), "text": words.text(step), "drawing": drawings.of_step(opened, step)}
