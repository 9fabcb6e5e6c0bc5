"""The board of all blocks: where each lies, and how far it has come."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response, request

from tracker.progress.ledger import BlockStage
from tracker.web.asked import blocks_link
from tracker.web.block_makers import makers_of, whose
from tracker.web.facts import placed
from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.measured_blocks import measured_words
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, NavPlace, Screen
from tracker.words.thing_words import TURNED
from tracker.work import operations
from tracker.work.whole_blocks import SetBlock

screen = Screen("blocks", "/quilts/<quilt_id>/blocks", NavPlace(6, "Blocks", "/blocks"))


@dataclass(frozen=True)
class Reached:
    """How far blocks have come, coarsely: a short name for addresses, its mark (a path in a field of 24 by 24), its
    words."""

    name: str
    mark: str
    words: str


WAITING = Reached("waiting", "M4 8V4h4M16 4h4v4M20 16v4h-4M8 20H4v-4", "not begun")
"""Four corners of what is not there yet."""

TRIMMED = Reached("trimmed", "M3 10h11v11H3zM6.500 10V6.500h11V17H14M10 6.500V3h11v10.500h-3.500", "pieces trimmed")
"""A pile."""

LAID_OUT = Reached(
    operations.LAID_OUT, "M3 3h7v7H3zM14 3h7v7h-7zM3 14h7v7H3zM14 14h7v7h-7zM14 10l7-7M3 21l7-7", "laid out"
)
"""Pieces apart."""

JOINED = Reached(operations.JOINED, "M3 3h18v7.500H3zM12 3v7.500M3 14h18v7H3zM12 14v7", "joining")
"""Two rows."""

SQUARED = Reached(operations.SQUARED, "M8 3h13v13H8zM14.500 3v13M8 9.500h13M3 3v18h18", "squared")
"""Whole, a ruler at its corner."""

FRAMED = Reached("framed", "M3 3h18v18H3zM8 8h8v8H8z", "framing")

FINISHED = Reached("finished", "M3 3h18v18H3zM7 12l4 4 6.500-8", "finished")

PLACED = Reached("placed", "M3 3h18v18H3zM9 3v18M15 3v18M3 9h18M3 15h18M10 10l4 4M14 10l-4 4", "in its place")
"""Among the others."""

BY = "by-"
"""What the choice of a maker begins with, among the stages."""

ALL_REACHED = (WAITING, TRIMMED, LAID_OUT, JOINED, SQUARED, FRAMED, FINISHED, PLACED)


@dataclass(frozen=True)
class Card:
    """One block on the board. `row` and `place` count from 1 in the quilt; `measured` says
    what of its measures counts (empty: none were taken), `whose` the maker it is given to (empty: nobody)."""

    number: int
    name: str
    row: int
    place: int
    reached: Reached
    words: str
    done: int
    steps: int
    own_name: str
    pressed: str
    measured: str
    whose: str


@screen.get("")
def board(quilt_id: str) -> Response:
    """The blocks of a quilt and how far each has come."""
    chosen = request.args.get("stage", "")
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("blocks", "Blocks", opened, **facts_of(opened, f"blocks:{chosen}"))


@screen.live
def _blocks(opened: Opened, chosen: str) -> Facts:
    found, makers = cards(opened), {f"{BY}{maker.key}": maker.name for maker in makers_of(opened)}
    if chosen and chosen not in makers and chosen not in {reached.name for reached in ALL_REACHED}:
        raise PageFault(404, "There is no such stage; choose one above the blocks.", blocks_link(opened))
    shown = [card for card in found if chosen in ("", card.reached.name) or card.whose == makers.get(chosen)]
    kinds = len({card.name for card in found})
    by_maker = [
        {
            "name": key,
            "mark": "",
            "words": name,
            "count": sum(card.whose == name for card in found),
            "chosen": chosen == key,
        }
        for key, name in makers.items()
    ]
    return {"cards": shown, "filters": filters(found, chosen), "by_maker": by_maker, "kinds": kinds}


def cards(opened: Opened) -> list[Card]:
    """Every block in reading order, as they lie."""
    counts, plan = opened.counts, opened.compiled.plan
    can_begin: set[int] = set()
    for key in plan.blocks:
        steps = counts.block_steps(key)
        can_begin.update(counts.ready_blocks(steps[0]) if steps else ())
    places = [(row, place) for row, keys in enumerate(plan.quilt.places, 1) for place in range(1, len(keys) + 1)]
    ways = pressed(opened)
    return [
        card_of(opened, number, place, number in can_begin, ways[number])
        for number, place in zip(counts.places, places, strict=True)
    ]


def pressed(opened: Opened) -> dict[int, str]:
    """For each block by its number, how it is pressed and lies; empty where all of the quilt are alike."""
    places = [place for row in placed(opened) for place in row]
    several, some_turned = len({place.letter for place in places}) > 1, any(place.turn for place in places)
    words = {}
    for place in places:
        said = [f"version {place.letter}"] if several else []
        said += [TURNED[place.turn]] if some_turned else []
        words[place.number] = ", ".join(said)
    return words


def card_of(opened: Opened, number: int, place: tuple[int, int], can_begin: bool, how: str) -> Card:
    """A block's card: its row and place, whether it can be begun, and how it is pressed and lies."""
    stage = opened.counts.stage(number)
    reached = reached_by(opened, stage, can_begin)
    words = TRIMMED.words if reached is TRIMMED else opened.words.stage(stage)
    name = opened.compiled.plan.blocks[stage.key].name
    own_name = opened.progress.names.get(number, "")
    measured = measured_words(opened, number)
    maker = whose(opened, number)
    return Card(number, name, *place, reached, words, stage.done, stage.steps, own_name, how, measured, maker)


def reached_by(opened: Opened, stage: BlockStage, can_begin: bool) -> Reached:
    """How far a block has come. `can_begin`: all its pieces lie ready."""
    if stage.last is None:
        return TRIMMED if can_begin else WAITING
    steps = opened.counts.block_steps(stage.key, stage.number)
    if isinstance(stage.last.action, SetBlock):
        return PLACED
    before = steps[: steps.index(stage.last) + 1]
    if not [step for step in steps[len(before) :] if not isinstance(step.action, SetBlock)]:
        return FINISHED
    if any(step.operation == "add strip" for step in before):
        return FRAMED
    return next(each for each in ALL_REACHED if each.name == stage.last.kind.reaches)


def filters(found: list[Card], chosen: str) -> list[Facts]:
    """All (without a name), and every stage that some block is at (or that is chosen)."""
    rows = [{"name": "", "mark": "", "words": "All", "count": len(found), "chosen": chosen == ""}]
    for reached in ALL_REACHED:
        count = sum(card.reached is reached for card in found)
        if count or reached.name == chosen:
            rows.append(
                {
                    "name": reached.name,
                    "mark": reached.mark,
                    "words": reached.words,
                    "count": count,
                    "chosen": reached.name == chosen,
                }
            )
    return rows
