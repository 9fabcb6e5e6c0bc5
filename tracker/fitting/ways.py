"""The ways of bringing a quilt's blocks to agree, and the one that is taken. Pure, exact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from tracker.fitting.block_measures import ACROSS, DOWN
from tracker.fitting.limits import EASED, EASED_WITH_CARE
from tracker.fitting.one_block import PRESS, REMAKE
from tracker.fitting.one_size import OneSize, StripsRound, Tried
from tracker.fitting.sorting import exchanged_alike, sorted_rows
from tracker.plan.model import Plan

KEEP, SMALLER, STRIPS_ROUND, FRAMES, SORTED = "keep", "smaller", "strips", "frames", "sorted"
"""Keep the plan's size; one smaller size; strips all round; wide frames cut to reach; blocks sorted as they are."""


@dataclass(frozen=True)
class Brought:
    """All blocks brought to a size: what each needs, in which way, strips to cut where the way is strips or frames, and
    the blocks' numbers in sorted rows where they lie edge to edge."""

    sizes: OneSize
    tried: Tried
    way: str
    strips: StripsRound | None
    rows: tuple[tuple[str, ...], ...] | None


def brought(plan: Plan, sizes: OneSize, asked: Fraction | None = None, framed: bool = False) -> Brought:
    """Blocks at the size that is asked for, or proposed."""
    rows = rows_sorted(plan, sizes, framed)
    size = sizes.proposed if asked is None else asked
    tried, planned = sizes.at(size), sizes.shape.planned[0]
    if size > planned:
        way = FRAMES if sizes.shape.framed_to is not None else STRIPS_ROUND
    elif size == planned:
        way = KEEP
    else:
        way = SMALLER
        if asked is None and rows is not None and _harm_sorted(sizes, rows, tried.harm):
            way = SORTED
    strips = sizes.strips(size, way == FRAMES) if way in (STRIPS_ROUND, FRAMES) else None
    return Brought(sizes, tried, way, strips, rows)


def lies_edge_to_edge(plan: Plan, key: str, framed: bool) -> bool:
    """Whether all blocks are of this kind, and touch as they were measured: no sashes, nor frames still to come."""
    quilt = plan.quilt
    alone = set(quilt.blocks_in_order()) == {key} and (framed or not plan.blocks[key].frames)
    return alone and quilt.setting == "straight" and quilt.sash is None


def rows_sorted(
    plan: Plan, sizes: OneSize, framed: bool = False, versions: Sequence[str] = (), lie: Sequence[int] = ()
) -> tuple[tuple[str, ...], ...] | None:
    """The blocks' numbers in rows, so that heights agree along rows and widths down columns; None where blocks do not
    lie edge to edge, or not all of them are measured. `versions`: how each is pressed, where blocks are to change
    places only with those pressed alike, so that seams nest as planned; `lie`: the numbers as they lie now."""
    places = [len(row) for row in plan.quilt.places]
    wanted = {str(number) for number in range(1, sum(places) + 1)}
    if not lies_edge_to_edge(plan, sizes.shape.key, framed) or len(sizes.blocks) != len(wanted):
        return None
    if {block.block for block in sizes.blocks} != wanted:
        return None
    blocks = sorted(sizes.blocks, key=lambda block: int(block.block))
    means = [(block.mean(ACROSS), block.mean(DOWN)) for block in blocks]
    grain = lcm(*(mean.denominator for pair in means for mean in pair))
    whole = [(int(across * grain), int(down * grain)) for across, down in means]
    apart = len(set(versions)) > 1
    rows = exchanged_alike(whole, places[0], versions, [n - 1 for n in lie]) if apart else sorted_rows(whole, places[0])
    return tuple(tuple(blocks[n].block for n in row) for row in rows)


def _harm_sorted(sizes: OneSize, rows: Sequence[Sequence[str]], least: Fraction) -> bool:
    """Whether sorted blocks, left as they are, agree by easing alone, with less harm than the size costs."""
    blocks = {block.block: block for block in sizes.blocks}
    at_planned = sizes.at(sizes.shape.planned[0]).treatments
    if any(each.do in (PRESS, REMAKE) for each in at_planned):
        return False
    highest = [max(blocks[name].mean(DOWN) for name in row) for row in rows]
    widest = [max(blocks[name].mean(ACROSS) for name in column) for column in zip(*rows, strict=True)]
    harm = Fraction()
    for row, high in zip(rows, highest, strict=True):
        for name, wide in zip(row, widest, strict=True):
            eased = max((high - blocks[name].mean(DOWN)) / high, (wide - blocks[name].mean(ACROSS)) / wide)
            if eased * EASED_WITH_CARE > 1:
                return False
            harm += (eased * EASED) ** 2
    return harm < least
