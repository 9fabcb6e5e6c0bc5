"""How much of each cloth to buy: what is cut, an allowance for shrinkage and mistakes, and what is there already.

The allowance is a share of the cloth itself: what is left when it is gone must do. What is in the cupboard is a piece
of its own, from which strips and panels come whole, as they do from the new piece.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Plan
from tracker.quilt.cloth_cutting import ClothCutting, CutStrip

SOLD_BY = {"in": Measure(Fraction(9, 2)), "cm": Measure(10)}
"""Cloth is bought by the eighth of a yard, or by ten centimetres."""


_PARTS = {"in": 64, "cm": 20}
"""Into so many parts the unit is divided to fill the piece in the cupboard; strips are taken up to the next."""


Widths = tuple[tuple[Measure, int], ...]
"""Strips by their width, and how many of each."""


@dataclass(frozen=True)
class ClothNeed:
    """What one cloth takes, in the plan's unit.

    `length` is what the cutting takes, `allowance` what is added for shrinkage and mistakes, `buy` both, up to the next
    length that is sold, if nothing is there. `have` is what is in the cupboard (None: not said), `from_have` the
    strips that are cut from it, as (width, count) with the widest first, `short` what is still to be bought for the
    others. Fat quarters are counted apart: `fat_quarters` are used.
    """

    fabric: str
    length: Measure
    allowance: Measure
    buy: Measure
    have: Measure | None
    from_have: Widths
    short: Measure
    fat_quarters: int


def needs(plan: Plan, cuttings: Iterable[ClothCutting]) -> tuple[ClothNeed, ...]:
    """What every cloth takes, in the order of the cuttings."""
    return tuple(need(plan, cutting) for cutting in cuttings)


def need(plan: Plan, cutting: ClothCutting) -> ClothNeed:
    """What one cloth takes."""
    have = plan.fabrics[cutting.fabric].have
    step = SOLD_BY[plan.unit]
    whole = missing = with_allowance(plan, cutting.length)
    from_have: Widths = ()
    if have is not None and whole <= have:
        from_have, missing = _like(strip.width for strip in _each(cutting)), Measure()
    elif have is not None:
        from_have = _like(_filling(plan, cutting, have * _left(plan) - cutting.squaring))
        taken = sum((width * count for width, count in from_have), Measure())
        missing = with_allowance(plan, cutting.length - taken)
    return ClothNeed(
        cutting.fabric,
        cutting.length,
        round_up(whole - cutting.length, plan.ruler),
        round_up(whole, step),
        have,
        from_have,
        round_up(missing, step),
        cutting.fat_quarters,
    )


def _left(plan: Plan) -> Fraction:
    """What is left of cloth when the allowance is gone. An allowance of all of it, which plans could once ask for, is
    taken as it was then: as much again as is cut."""
    return 1 - plan.allowance if plan.allowance < 1 else Fraction(1, 2)


def with_allowance(plan: Plan, length: Measure) -> Measure:
    """A length of cloth of which so much is left when the allowance is gone."""
    return length / _left(plan)


def _each(cutting: ClothCutting) -> Iterator[CutStrip]:
    """The strips from the length of cloth one by one."""
    for strip in cutting.strips:
        yield from [strip] * strip.count


def _filling(plan: Plan, cutting: ClothCutting, room: Measure) -> Iterator[Measure]:
    """Widths of the strips that take up the most of a length of cloth: every sum that strips come to is a bit."""
    parts = _PARTS[plan.unit]
    widths = [(strip.width, -(-strip.width * parts).__floor__()) for strip in _each(cutting)]
    most = max((room * parts).__floor__(), 0)
    within = (1 << (most + 1)) - 1
    sums = [1]
    for _, width in widths:
        sums.append((sums[-1] | sums[-1] << width) & within)
    left = sums[-1].bit_length() - 1
    for (strip, width), before in zip(reversed(widths), reversed(sums[:-1]), strict=True):
        if not before >> left & 1:
            left -= width
            yield strip


def _like(widths: Iterable[Measure]) -> Widths:
    """Like widths counted, the widest first."""
    return tuple(sorted(Counter(widths).items(), reverse=True))
