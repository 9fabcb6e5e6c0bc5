"""The units that pieced borders are made of: the same as those of blocks, and made with them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tracker.exact.measure import Measure
from tracker.plan.border_strips import strip_pieces
from tracker.plan.model import Plan
from tracker.units.block_units import Unit
from tracker.units.choice import Ways
from tracker.units.larger_units import UnitArea
from tracker.units.region import Region
from tracker.work.things import ENDS, SIDES
from tracker.work.whole_blocks import Member

StripName = tuple[int, str]
"""The number of a border (from 1), and which of its strips: on its sides, or top and bottom."""

StripsOfUnits = Mapping[StripName, Sequence[tuple[Unit, int]]]
"""The units of each strip of pieced borders from left to right, each with its turn; there are two of each strip."""

PiecedStrips = Mapping[StripName, Sequence[tuple[Member, Measure]]]
"""The same by their piles, each with its finished length."""


def _areas(plan: Plan) -> Iterator[tuple[StripName, tuple[UnitArea, ...]]]:
    for number, border in enumerate(plan.quilt.borders, 1):
        wide = border.cut - 2 * plan.seam
        for where in (SIDES, ENDS) if border.is_pieced else ():
            pieces = strip_pieces(plan, number, where)
            regions = [Region((piece.length,), (wide,), ((piece.quarters,),)) for piece in pieces]
            yield (number, where), tuple(UnitArea(0, place, 1, 1, region) for place, region in enumerate(regions))


def areas_of_strips(plan: Plan) -> tuple[UnitArea, ...]:
    """Every piece of one of each two strips of pieced borders."""
    return tuple(area for _, areas in _areas(plan) for area in areas)


def strips_of_units(plan: Plan, ways: Ways) -> StripsOfUnits:
    """The units of every strip, once their ways are chosen."""
    found: dict[StripName, list[tuple[Unit, int]]] = {}
    for name, areas in _areas(plan):
        units = [ways.unit(area) for area in areas]
        # A cell of a border is plain or a square, and every such can be made.
        found[name] = [unit for unit in units if unit is not None]
    return found


def laid_out(strip: Sequence[tuple[Unit, int]], piles: Mapping[Unit, str]) -> list[tuple[Member, Measure]]:
    """A strip by the piles of its units."""
    return [(Member(piles[unit], turn), unit.region.all_turns()[turn // 90].finished[0]) for unit, turn in strip]
