"""Blocks that were measured, by what was told of them: what counts of it now, and what all of them come to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from tracker.fitting.block_measures import BlockMeasures
from tracker.fitting.block_shape import BlockShape, block_shape
from tracker.fitting.one_size import OneSize
from tracker.progress.block_taps import measures_as_typed
from tracker.progress.changes import GIVEN, MADE_AGAIN, MEASURED, PRESSED_AGAIN, BlockTold
from tracker.progress.ledger import Refused
from tracker.web.block_makers import called
from tracker.web.opened import Opened


@dataclass(frozen=True)
class BlockNow:
    """What is known of one block: what was told last with figures, the measures that count (None: it waits to be
    measured, or measured again), and what was done with it since (empty: nothing)."""

    number: int
    told: BlockTold | None
    measures: BlockMeasures | None
    since: BlockTold | None

    @property
    def maker(self) -> str:
        """Who sewed it, as far as that was said."""
        return self.told.maker if self.told else ""


def block_now(opened: Opened, number: int, framed: bool) -> BlockNow:
    """What is known of a block before its frames, or with them."""
    last: BlockTold | None = None
    since: BlockTold | None = None
    again = False
    for told in opened.counts.told.of(number):
        if told.what == GIVEN:
            continue
        if told.what == MEASURED:
            if bool(told.framed) == framed:
                last, since = replace(told, maker=called(opened, told.maker)), None
            continue
        since = told
        again = told.what != MADE_AGAIN and (again or told.what == PRESSED_AGAIN)
        if told.what == MADE_AGAIN:
            last = None
    measures = None
    if last is not None and since is None:
        try:
            measures = measures_as_typed(opened.counts, number, last.lengths, framed)
        except Refused:
            last = None  # of a plan that has been edited since
        else:
            measures = BlockMeasures(
                measures.block, measures.across, measures.down, measures.diagonals, last.maker if last else "", again
            )
    return BlockNow(number, last, measures, since)


def measured_words(opened: Opened, number: int) -> str:
    """Whether a block is measured, or waits to be measured again; empty where it never was."""
    if not opened.counts.told.of(number):
        return ""
    states = [block_now(opened, number, framed) for framed in (has_frames_on(opened, number), False)]
    if any(state.measures for state in states):
        return "measured"
    return "measure again" if any(state.since for state in states) else ""


@dataclass(frozen=True)
class KindNow:
    """The blocks of one kind: those measured, brought to one size (None where none is), and the others' numbers."""

    shape: BlockShape
    sizes: OneSize | None
    unmeasured: tuple[int, ...]

    @property
    def measured(self) -> int:
        """How many are measured."""
        return len(self.sizes.blocks) if self.sizes else 0


def kind_now(opened: Opened, key: str, framed: bool) -> KindNow:
    """What is known of the blocks of a kind; reckoned once for the counts as they are."""
    return opened.counts.once(("sizes", key, framed), lambda: _kind_now(opened, key, framed))


def _kind_now(opened: Opened, key: str, framed: bool) -> KindNow:
    shape = opened.counts.once_for_steps(
        ("shape", key, framed), lambda: block_shape(opened.compiled.plan, opened.compiled.checklist, key, framed)
    )
    numbers = [number for number, each in opened.counts.block_keys.items() if each == key]
    now = [block_now(opened, number, framed) for number in numbers]
    measured = [each.measures for each in now if each.measures is not None]
    sizes = OneSize(shape, measured) if measured else None
    return KindNow(shape, sizes, tuple(each.number for each in now if each.measures is None))


def has_frames_on(opened: Opened, number: int) -> bool:
    """Whether a block's last frame is sewn on, as counted."""
    counts = opened.counts
    strips = [step for step in counts.block_steps(counts.block_keys[number], number) if step.operation == "add strip"]
    return bool(strips) and bool(counts.times_done(strips[-1], number))


def marks_to_tap(shape: BlockShape) -> tuple[Fraction, ...]:
    """The marks of a ruler that a block's sides come out at, mostly: from a half inch less than planned to a quarter
    more."""
    limits = shape.limits
    planned, mark = shape.planned[0], limits.reading
    first = -(-(planned - 2 * limits.crooked) // mark)
    return tuple(number * mark for number in range(first, (planned + limits.crooked) // mark + 1))
