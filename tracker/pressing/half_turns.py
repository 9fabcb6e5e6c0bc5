"""Which seam of a block comes to lie where, when it is turned half round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.exact.measure import Measure
from tracker.plan.model import Block, Plan
from tracker.pressing.meetings import BlockSeam
from tracker.units.joins import Node, leaves


@dataclass(frozen=True)
class SeamLies:
    """Where a seam lies in the block: along the line `at`, from `start` to `end` (finished)."""

    direction: str
    at: Measure
    start: Measure
    end: Measure


def half_turn(
    block: Block, root: Node, plan: Plan, seams: Sequence[BlockSeam], lies: Sequence[SeamLies]
) -> tuple[int, ...] | None:
    """For each seam the one that comes to lie there, or None where the turned block is not the same."""
    if not _looks_the_same(block, root, plan):
        return None
    width, height = block.inner_finished
    number_of = {own: number for number, own in enumerate(lies)}
    turned = []
    for seam, own in zip(seams, lies, strict=True):
        across, along = (width, height) if own.direction == "across" else (height, width)
        there = number_of.get(SeamLies(own.direction, across - own.at, along - own.end, along - own.start))
        if there is None:
            return None
        other = seams[there].fixed
        if (seam.fixed is None) != (other is None) or (other is not None and seam.fixed == other):
            return None
        turned.append(there)
    return tuple(turned)


def _looks_the_same(block: Block, root: Node, plan: Plan) -> bool:
    """Whether every unit has its like, upside down, in the place opposite, and no cloth has a direction."""
    found = {(leaf.placed.row, leaf.placed.column): leaf.placed for leaf in leaves(root)}
    for placed in found.values():
        row = len(block.rows) - placed.row - placed.down
        column = len(block.columns) - placed.column - placed.across
        other = found.get((row, column))
        if other is None or other.unit.recipe is not placed.unit.recipe:
            return False
        if other.finished_turned != placed.finished_turned.turned(180):
            return False
    cloths = {key for placed in found.values() for key in placed.unit.region.cloths()}
    cloths |= {frame.fabric for frame in block.frames}
    return not any(plan.fabrics[key].directional for key in cloths)
