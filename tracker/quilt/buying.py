"""How much of each cloth to buy: what is cut, an allowance for shrinkage and mistakes, and what is there already."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Plan
from tracker.quilt.cloth_cutting import ClothCutting

SOLD_BY = {"in": Measure(Fraction(9, 2)), "cm": Measure(10)}
"""Cloth is bought by the eighth of a yard, or by ten centimetres."""


@dataclass(frozen=True)
class ClothNeed:
    """What one cloth takes, in the plan's unit.

    `length` is what the cutting takes, `allowance` what is added for shrinkage and mistakes, `buy` both, up to the next
    length that is sold. `have` is what is in the cupboard (None: not said), `short` what is still to be bought. Fat
    quarters are counted apart: `fat_quarters` are used.
    """

    fabric: str
    length: Measure
    allowance: Measure
    buy: Measure
    have: Measure | None
    short: Measure
    fat_quarters: int


def needs(plan: Plan, cuttings: Iterable[ClothCutting]) -> tuple[ClothNeed, ...]:
    """What every cloth takes, in the order of the cuttings."""
    return tuple(need(plan, cutting) for cutting in cuttings)


def need(plan: Plan, cutting: ClothCutting) -> ClothNeed:
    """What one cloth takes."""
    have = plan.fabrics[cutting.fabric].have
    step = SOLD_BY[plan.unit]
    allowance = round_up(cutting.length * plan.allowance, plan.ruler)
    whole = cutting.length + allowance
    missing = max(whole - have, Measure()) if have is not None else whole
    return ClothNeed(
        cutting.fabric,
        cutting.length,
        allowance,
        round_up(whole, step),
        have,
        round_up(missing, step),
        cutting.fat_quarters,
    )
