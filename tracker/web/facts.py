"""What several screens say, put together from counts and words; knows nothing of requests."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tracker.progress.batches import in_work, passes_of, samples_of
from tracker.progress.block_taps import BlockBrought, BlockGiven, BlockMeasured, BlocksLaid
from tracker.progress.counts import Counts
from tracker.progress.ledger import Recorded, Tap
from tracker.progress.pass_work import PassShare
from tracker.progress.strip_ticks import StripStanding, standing
from tracker.progress.tap_kinds import SettledTogether
from tracker.progress.work_taps import (
    BlockSpoiled,
    CountedInAll,
    JoinOpened,
    NotDone,
    PassDone,
    PutBack,
    Spoiled,
    SpoiledWithin,
    StageReached,
    StepTap,
    StripCut,
    TopMeasured,
)
from tracker.web.block_makers import called
from tracker.web.opened import Compiled, Opened
from tracker.words.pass_words import done_words, part_label, pass_title, some_blocks
from tracker.words.quilt_summary import strip_title
from tracker.words.seam_words import blocks_named
from tracker.words.thing_words import listed, plural
from tracker.work.steps import Join, Step
from tracker.work.whole_blocks import MeasureBlock

STATION_NAMES = {"table": "Cutting table", "machine": "Machine", "iron": "Iron", "wall": "Layout wall"}

STATION_MARKS = {"table": "T", "machine": "M", "iron": "I", "wall": "W"}


@dataclass(frozen=True)
class Way:
    """A link to a step: its short name and its title."""

    short: str
    title: str


@dataclass(frozen=True)
class TakeBack:
    """The tap that a take-back would undo, how many it was, what in words, and for which blocks."""

    tap_id: str
    times: int
    words: str
    blocks: tuple[int, ...] = ()


@dataclass(frozen=True)
class BlockPlace:
    """One place of the quilt, its row and place in it from 1: the number of the block that lies there, its pressing
    version's letter, how far it is turned (clockwise)."""

    number: int
    letter: str
    turn: int
    row: int
    place: int


def way(compiled: Compiled, step: Step) -> Way:
    """Where a step is found and what it is called."""
    return Way(compiled.short[step.id], compiled.titles[step.id])


def pass_way(opened: Opened, step: Step) -> Way:
    """Where a step is found, by what the pass is called that it is done in."""
    return Way(opened.compiled.short[step.id], pass_title(opened.words, passes_of(opened.counts)[step.id]))


def block_list(numbers: tuple[int, ...] | list[int], most: int = 12) -> str:
    """`block 3`, `blocks 3, 4 and 7`; long lists cut short."""
    words = [str(number) for number in numbers[:most]]
    if len(numbers) > most:
        words[-1:] = [f"{len(numbers) - most + 1} more"]
    return f"{plural('block', len(numbers))} {listed(words)}"


def batch_words(opened: Opened) -> str:
    """The blocks in work: `Sample first: block 1`, `Now blocks 2 to 5 of 12`, but for those of them that are finished;
    nothing when all is done."""
    blocks, count = in_work(opened.counts, opened.pace), len(opened.counts.block_keys)
    if not blocks:
        return "" if opened.counts.finished() else "The blocks are done: now the quilt"
    if opened.pace.sample_first and blocks == samples_of(opened.counts) and count > 1:
        return f"{plural('Sample', len(blocks))} first: {blocks_named(blocks)}"
    left = [block for block in blocks if not opened.counts.is_finished(block)]
    if len(left) == count:
        return f"All {count} blocks together" if count > 1 else "The one block"
    return f"Now {some_blocks(left)} of {count}"


def where_short(step: Step) -> str:
    """What stands before the way to the seam test where a block is measured; nothing at any other step."""
    return "If it is short:" if isinstance(step.action, MeasureBlock) else ""


def seam_untested(opened: Opened) -> bool:
    """Whether nothing was sewn yet, and the seam not tested."""
    counts = opened.counts
    if any(step.kind.seams and counts.times_done(step) for step in counts.steps.values()):
        return False
    return not (opened.about.get("seam_test") or opened.about.get("seam_tests"))


def waits(opened: Opened, lacking: list[tuple[str, int]]) -> Iterator[dict[str, Any]]:
    """What is lacking, in words, with the steps that make it."""
    for pile, short in lacking:
        maker = opened.compiled.maker.get(pile)
        yield {"words": opened.words.pile(pile, short), "maker": way(opened.compiled, maker) if maker else None}


def lacking(counts: Counts, step: Step, block: int) -> list[tuple[str, int]]:
    """What one block lacks for a step: piles, and how many pieces."""
    short = []
    for flow in step.takes:
        own = counts.checklist.piles[flow.pile].block is not None
        missing = flow.each - counts.on_pile(flow.pile, block if own else None)
        if missing > 0:
            short.append((flow.pile, missing))
    return short


def take_back(opened: Opened, step: Step, block: int | None = None) -> TakeBack | None:
    """What taking back would undo: the newest tap of the step's pass (of the step, for one block) that can be taken
    back; None where there is none."""
    steps = passes_of(opened.counts)[step.id].steps if block is None else (step,)
    last = opened.last_tap(steps, block)
    if last is None:
        return None
    touched = {step_id for step_id, _, _ in last.change.moves} | {each.step for each, _ in last.change.measured}
    if step.id not in touched:
        return TakeBack(last.tap.id, 0, _of_another(opened, last, step))
    moves = [(block, often) for step_id, block, often in last.change.moves if step_id == step.id]
    blocks = tuple(block for block, _ in moves if block)
    times = sum(often for _, often in moves)
    return TakeBack(last.tap.id, times, said(opened, last, step), blocks)


def _of_another(opened: Opened, kept: Recorded, step: Step) -> str:
    """A tap at another step of a pass in words; with its pieces where the same is done with them."""
    words, other = said(opened, kept), opened.compiled.step_by_id(kept.tap.worked_at or "")
    label = part_label(opened.words, other) if other is not None and other.kind == step.kind else ""
    return f"{words}: {label}" if label and isinstance(kept.tap, StepTap) else words


def not_back(opened: Opened) -> tuple[list[str], list[str]]:
    """Of the newest taps, by their ids: those that were taken back, and those on which something rests."""
    progress = opened.progress
    latest = progress.latest(MOST_HELD, MOST_LOOKED_AT)
    held = [kept.tap.id for kept in latest if kept.change and not progress.can_be_taken_back(kept)]
    return progress.taken_back(MOST_LOOKED_AT), held


MOST_LOOKED_AT, MOST_HELD = 60, 6
"""So many of the newest taps are looked at: a page remembers the 30 that it sent (`static/room.js`)."""


def said(opened: Opened, kept: Recorded, step: Step | None = None) -> str:
    """A tap in a few words: how many, and what was done with them; of a step where only that is meant."""
    tap = kept.tap
    match tap:
        case SettledTogether():
            return f"{len(tap.what)} questions answered"
        case Spoiled():
            return f"spoiled: {opened.words.pile(tap.pile, tap.times)}"
        case SpoiledWithin():
            where = f"block {tap.block}" if tap.block else "the quilt"
            return f"spoiled in {where}: {opened.words.pile(tap.pile, tap.times)}"
        case BlockMeasured():
            return f"block {tap.block} measured"
        case BlockBrought():
            return f"block {tap.block}: {tap.how}"
        case BlockGiven():
            maker = called(opened, tap.maker)
            return f"block {tap.block} given to {maker}" if maker else f"block {tap.block} given to nobody any more"
        case BlocksLaid():
            if tap.swapped:
                return f"blocks {listed([str(number) for number in tap.swapped])} changed places"
            return "blocks sorted by size" if tap.places else "blocks laid by their numbers again"
        case BlockSpoiled():
            return f"block {tap.block} given up, to be made anew"
        case JoinOpened():
            where = f"block {tap.block}" if tap.block else "the quilt"
            return f"unpicked in {where}"
        case StageReached():
            return f"block {tap.block} as far as “{opened.compiled.titles[tap.step]}”"
        case PassDone():
            return done_words(opened.words, _shares(opened, kept))  # taken back as one
        case TopMeasured():
            return f"measured {listed(list(tap.lengths))}"
        case StripCut() if step is None:
            strip = opened.compiled.whole.strips.get((tap.cloth, tap.strip))
            return f"{strip_title(opened.words, strip)}, cut" if strip is not None else "a strip cut"
    step = step or (opened.compiled.step_by_id(tap.step) if isinstance(tap, StepTap) else None)
    return f"{_how_many(kept, step)}{_row_of(opened, step)} {_did(tap, step)}" if step is not None else tap.do


def _shares(opened: Opened, kept: Recorded) -> list[PassShare]:
    """What a tap at a pass counts, or claims, as far as its steps are known."""
    found: dict[str, list[tuple[int, int]]] = {}
    for step_id, block, times in kept.wanted.moves:
        found.setdefault(step_id, []).append((block, times))
    steps = opened.compiled.checklist.steps
    return [
        PassShare(step, sum(times for _, times in found[step.id]), tuple(block for block, _ in found[step.id] if block))
        for step in steps
        if step.id in found
    ]


def _how_many(kept: Recorded, step: Step) -> str:
    """Of what a tap did to a step: a number, or the blocks."""
    if isinstance(kept.tap, CountedInAll):
        return f"counted {kept.tap.times}"
    moves = [(block, times) for step_id, block, times in kept.change.moves if step_id == step.id]
    blocks = [block for block, _ in moves if block]
    return block_list(blocks) if blocks else str(abs(sum(times for _, times in moves)))


def _did(tap: Tap, step: Step) -> str:
    match tap:
        case StripCut():
            return "cut from a strip"
        case PutBack():
            return f"to be {step.kind.done} again" if step.operation == "press" else "put back"
        case NotDone():
            return f"not {step.kind.done} after all"
    return step.kind.done


def _row_of(opened: Opened, step: Step) -> str:
    """The row of each block that a step joins, as `: row 1`; nothing of other steps."""
    thing = opened.compiled.checklist.piles[step.gives[0].pile].thing
    joins_row = step.per != "quilt" and isinstance(step.action, Join) and thing.line_of_block
    return f": {opened.words.part(step.per, thing)}" if joins_row else ""


def title_of(opened: Opened, kept: Recorded) -> str:
    """The title of the step or pass that a tap was made at; empty where it was at none that is left."""
    if isinstance(kept.tap, PassDone):
        done = passes_of(opened.counts).get(kept.tap.work[0][0])
        return "" if done is None else pass_title(opened.words, done)
    return opened.compiled.titles.get(kept.tap.step, "") if isinstance(kept.tap, StepTap) else ""


MOST_LATEST = 12


def newer_than(opened: Opened, tap_id: str) -> list[str]:
    """The ids of a tap that counts and of all that came after it, newest first; none where it does not count."""
    found = []
    for kept in opened.progress.latest(MOST_LATEST):
        found.append(kept.tap.id)
        if found[-1] == tap_id:
            return found
    return []


def asked_of(opened: Opened, pile: str) -> int:
    """How many pieces of a pile the steps that remain will take."""
    counts = opened.counts
    return sum(counts.left(step) * flow.each for step in opened.steps for flow in step.takes if flow.pile == pile)


def strips_of(opened: Opened, cloth: str) -> list[StripStanding]:
    """How the strips of a cloth stand; none for a cloth that is not cut."""
    found = next((each for each in opened.compiled.whole.cloths if each.cloth == cloth), None)
    return [] if found is None else standing(opened.counts, found)


def placed(opened: Opened) -> list[list[BlockPlace]]:
    """The quilt row by row: which version lies where, and which way up."""
    pressing = opened.compiled.checklist.pressing
    letters = {block.block: [version.letter for version in block.versions] for block in pressing.blocks}
    numbers = iter(opened.counts.places)
    return [
        [
            BlockPlace(next(numbers), letters[place.block][place.version], place.turn, line, column)
            for column, place in enumerate(row, 1)
        ]
        for line, row in enumerate(pressing.places, 1)
    ]


def figures_width(figures: str) -> int:
    """How wide figures are, in half letters (2 to 26)."""
    tenths = sum(_TENTHS.get(sign, 11 if sign > "~" else 7) for sign in figures)
    return min(26, max(2, -(-tenths // 5)))


_TENTHS = {" ": 4, ".": 4, "/": 4, "×": 9}
"""Widths of figures in tenths of a letter's height; a digit has 7, a fraction in one sign 11."""
