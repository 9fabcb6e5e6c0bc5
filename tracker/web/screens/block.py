"""One block: its steps, how far its rows are, what is next for it, what can be taken back."""

from __future__ import annotations

from dataclasses import replace

from flask import Response

from tracker.progress.block_taps import maker_of
from tracker.progress.work_taps import PassDone, StageReached
from tracker.web import drawings
from tracker.web.asked import block_numbered
from tracker.web.block_makers import makers_of
from tracker.web.facts import TakeBack, lacking, take_back, title_of, waits, way
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.web.screens.blocks import card_of, pressed
from tracker.work.steps import Step
from tracker.work.things import Stage

screen = Screen("block", "/quilts/<quilt_id>/blocks")


@screen.get("/<number>")
def block(quilt_id: str, number: str) -> Response:
    """One block: its picture and its steps."""
    with parts().desk.quilt(quilt_id) as opened:
        facts = facts_of(opened, f"block:{number}")
        drawing = drawings.of_block(opened.compiled, facts["block"]["key"])
        return quilt_page("block", "Blocks", opened, drawing=drawing, **facts)


@screen.live
def _block(opened: Opened, number: str) -> Facts:
    return {"block": block_view(opened, block_numbered(opened, number))}


def block_view(opened: Opened, number: int) -> Facts:
    """Everything about one block; `seen` is the name under which it was given to its maker."""
    counts, compiled = opened.counts, opened.compiled
    stage = counts.stage(number)
    steps = counts.block_steps(stage.key, number)
    undone = next((step for step in steps if not counts.times_done(step, number)), None)
    missing = [] if undone is None else lacking(counts, undone, number)
    return {
        "card": card_of(
            opened, number, _place(opened, number), not stage.done and not missing, pressed(opened)[number]
        ),
        "key": stage.key,
        "steps": tuple(_block_step(opened, step, number, stage.last) for step in steps),
        "next": way(compiled, undone) if undone else None,
        "waits": tuple(waits(opened, missing)),
        "take_back": _take_back(opened, stage.last, number),
        "rows": _rows(opened, steps, number),
        "notes": tuple(text for block, text in opened.progress.notes if block == number),
        "previous": number - 1 if number > 1 else None,
        "following": number + 1 if number < len(counts.block_keys) else None,
        "seen": maker_of(counts, number),
        "makers": tuple(maker.name for maker in makers_of(opened)),
    }


def _place(opened: Opened, number: int) -> tuple[int, int]:
    """Row and place of a block, from 1."""
    place = opened.counts.places.index(number) + 1
    for row, keys in enumerate(opened.compiled.plan.quilt.places, 1):
        if place <= len(keys):
            return row, place
        place -= len(keys)
    raise AssertionError(number)


def _block_step(opened: Opened, step: Step, number: int, last: Step | None) -> Facts:
    """A step of one block. `undo`: how it can be undone, "opened" (a join), "put back" (its last step) or nothing."""
    done = bool(opened.counts.times_done(step, number))
    undo = ""
    if done and step.operation == "join":
        undo = "opened"
    elif done and step == last and step.kind.unpicked:
        undo = "put back"
    return {"way": way(opened.compiled, step), "done": done, "undo": undo}


def _rows(opened: Opened, steps: list[Step], number: int) -> list[Facts]:
    """The rows that a block is joined from, each with its last state (empty: not begun); done when it is joined."""
    piles = opened.compiled.checklist.piles
    states: dict[str, Stage | None] = {}
    for step in steps:
        for pile in (piles[flow.pile] for flow in step.gives):
            if pile.thing.is_row_of_block:
                states.setdefault(pile.thing.name, None)
                if opened.counts.times_done(step, number):
                    states[pile.thing.name] = pile.stage
    return [
        {"name": name, "state": stage.value if stage else "", "done": stage not in (None, Stage.LAID_OUT)}
        for name, stage in states.items()
    ]


def _take_back(opened: Opened, last: Step | None, number: int) -> TakeBack | None:
    """The last tap for a block, named by its step, since several steps of a block are pressed or trimmed; or by all
    that it counted, which goes back with it."""
    back = None if last is None else take_back(opened, last, number)
    kept = None if back is None else opened.progress.recorded(back.tap_id)
    if last is None or back is None or kept is None or isinstance(kept.tap, StageReached):
        return back
    title = title_of(opened, kept) if isinstance(kept.tap, PassDone) else opened.compiled.titles[last.id]
    return replace(back, words=title if back.times == 1 else f"{title}: {back.words}")
