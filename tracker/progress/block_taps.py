"""Taps about blocks: whose one is, what it measures, what was done to bring it to size, and where it is to lie. They
change no count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.fitting.block_measures import DIAGONALS, NAMES, BlockMeasures, Doubtful, read_measures
from tracker.fitting.block_shape import planned_size
from tracker.progress.changes import DONE_WITH, GIVEN, MEASURED, BlockTold, CountChange, Refused
from tracker.progress.counts import Counts
from tracker.progress.laid_blocks import LaidSo, can_lie_so
from tracker.progress.ledger import Progress, Recorded
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
        maker = one_line(self.maker)
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
class BlockGiven(WorkTap, do="given"):
    """A block is given to a maker (empty: to nobody any more). `seen` is whose it was where this was tapped: where
    another device has given it to somebody else meanwhile, it is asked about."""

    block: int
    maker: str = ""
    seen: str = ""
    waits = True

    def wanted(self, counts: Counts) -> CountChange:
        maker = one_line(self.maker)
        return CountChange(told=((BlockTold(counts.known_block(self.block), self.id, GIVEN, (), maker), True),))

    def count_on(self, progress: Progress) -> Recorded:
        wanted = self.wanted(progress.counts)
        maker, now = wanted.told[0][0].maker, maker_of(progress.counts, self.block)
        if now not in (maker, one_line(self.seen)) and not self._follows(progress):
            return Recorded(self, wanted)
        progress.counts.must_apply(wanted)
        return Recorded(self, wanted, wanted)

    def _follows(self, progress: Progress) -> bool:
        """Whether what stands was said on this very device, so that this is her later word."""
        given = [told.tap for told in progress.counts.told.of(self.block) if told.what == GIVEN]
        last = progress.recorded(given[-1]) if given else None
        return last is not None and self.device is not None and last.tap.device == self.device


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


def maker_of(counts: Counts, block: int) -> str:
    """Whose a block is: to whom it was given last, or else who sewed it as it was measured; empty for nobody."""
    told = counts.told.of(block)
    given = [each.maker for each in told if each.what == GIVEN]
    measured = [each.maker for each in told if each.what == MEASURED and each.maker]
    return (given or measured or [""])[-1]


def one_line(name: str) -> str:
    """A maker's name as it is kept."""
    return " ".join(name.split())[:LONGEST_MAKER].strip()


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
