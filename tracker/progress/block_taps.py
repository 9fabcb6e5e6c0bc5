"""Taps about sewn blocks: what one measures, and what was done to bring it to size, and where it
is to lie. They change no count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.fitting.block_measures import DIAGONALS, NAMES, BlockMeasures, Doubtful, read_measures
from tracker.fitting.block_shape import planned_size
from tracker.progress.changes import DONE_WITH, MEASURED, BlockTold, CountChange, Refused
from tracker.progress.counts import Counts
from tracker.progress.laid_blocks import LaidSo, can_lie_so
from tracker.progress.work_taps import WorkTap

LONGEST_MAKER = 40

Told = tuple[int, str, str, tuple[str, ...], str, int]
"""What was told of a block as an edited plan carries it over: the fields of BlockTold."""


@dataclass(frozen=True, kw_only=True)
class BlockMeasured(WorkTap, do="block measured"):
    """What a sewn block measures: three widths, three heights, and both diagonals where they were taken, as typed; who
    sewed it; `framed` 1: with its frames on."""

    block: int
    lengths: tuple[str, ...]
    maker: str = ""
    framed: int = 0

    def wanted(self, counts: Counts) -> CountChange:
        number, framed = counts.known_block(self.block), int(bool(self.framed))
        measures_as_typed(counts, number, self.lengths, bool(framed))
        maker = " ".join(self.maker.split())[:LONGEST_MAKER]
        return CountChange(told=((BlockTold(number, self.id, MEASURED, self.lengths, maker, framed), True),))


@dataclass(frozen=True, kw_only=True)
class BlockBrought(WorkTap, do="block brought"):
    """What was done with a block to bring it to size: one of DONE_WITH."""

    block: int
    how: str

    def wanted(self, counts: Counts) -> CountChange:
        number = counts.known_block(self.block)
        if self.how not in DONE_WITH:
            raise Refused("unknown tap", id=self.id)
        return CountChange(told=((BlockTold(number, self.id, self.how), True),))


@dataclass(frozen=True, kw_only=True)
class BlocksLaid(WorkTap, do="blocks laid"):
    """Which block is to lie in which place: numbers in the order of the places, row by row; none: as they are
    numbered. Blocks change places only with those of their kind that are pressed alike, and while they do not lie.
    `swapped`: the two that changed places, where she did that by hand."""

    places: tuple[int, ...]
    swapped: tuple[int, ...] | None = None

    def wanted(self, counts: Counts) -> CountChange:
        if self.places and not can_lie_so(counts.planned, self.places):
            raise Refused("not alike")
        return CountChange(laid=((LaidSo(self.id, self.places), True),))


def laid_before(carried: Sequence[int], counts: Counts) -> tuple[tuple[LaidSo, bool], ...]:
    """How blocks lay under the plan before, where they can lie so."""
    places = tuple(carried)
    return ((LaidSo("", places), True),) if places and can_lie_so(counts.planned, places) else ()


def told_before(carried: Sequence[Told], counts: Counts) -> tuple[tuple[BlockTold, bool], ...]:
    """What was told of the blocks that the quilt has, under the plan before."""
    return tuple((BlockTold(*each), True) for each in carried if each[0] in counts.block_keys)


def measures_as_typed(counts: Counts, block: int, lengths: tuple[str, ...], framed: bool) -> BlockMeasures:
    """A block's measures as they were typed. Raises Refused with the question that a figure asks."""
    plan = counts.plan
    figures = dict(zip((*NAMES, *DIAGONALS), lengths, strict=False))
    try:
        return read_measures(str(block), figures, planned_size(plan, counts.block_keys[block], framed), plan.unit)
    except Doubtful as doubt:
        raise Refused("doubtful", name=doubt.name, question=doubt.question(plan.unit)) from doubt
