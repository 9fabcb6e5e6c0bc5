"""A square with corners flipped that reach over several cells, as far as past its middle: stems, bands, blades.

Each corner is sewn, trimmed and opened by itself where its square would lie on another's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from tracker.exact.measure import Measure
from tracker.plan.model import Plan, Quarters
from tracker.units.maker import Maker
from tracker.units.recipes.attaching import mostly
from tracker.units.recipes.corners import Corner, flip_corners
from tracker.units.recipes.half_pictures import on_equal_cells
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import TURNS, Region
from tracker.work.things import BAND

CORNERS = ((False, False), (True, False), (True, True), (False, True))
"""(right, low) of each corner, clockwise from the upper left."""

Flips = tuple[str, list[tuple[bool, bool, str, int]]]
"""The cloth of the whole, and its corners: right, low, cloth, and how many cells they reach along the edges."""


def band_in(region: Region) -> Flips | None:
    """The corners of a square of equal cells, one of them larger than a cell; None where it shows none such."""
    if not on_equal_cells(region):
        return None
    for base in region.cloths():
        corners = []
        for turn, (right, low) in zip((0, 270, 180, 90), CORNERS, strict=True):
            cells = region.turned(turn).cells
            cloth, reach = cells[0][0][0], _ends(cells[0])
            if cloth != base and reach:
                corners.append((right, low, cloth, reach))
        if _shows(region, base, corners):
            return base, corners
    return None


def _shows(region: Region, base: str, corners: list[tuple[bool, bool, str, int]]) -> bool:
    """Whether a region shows just these corners, one larger than a cell, none as large as the whole."""
    count = len(region.rows)
    most = max((reach for *_, reach in corners), default=0)
    # Two corners at one edge lie clear of each other.
    beside = ((one, other) for one, other in combinations(corners, 2) if one[0] == other[0] or one[1] == other[1])
    clear = all(one[3] + other[3] <= count for one, other in beside)
    return 1 < most < count and clear and region.cells == _painted(count, base, corners)


@dataclass(frozen=True)
class Trunk:
    """A band from one corner to a larger piece flipped over its other end: how far a region is turned so that this lies
    upper left, its cloth and how many cells it reaches, and the band with the corners beside it."""

    turn: int
    cloth: str
    reach: int
    band: Flips


def trunk_in(region: Region) -> Trunk | None:
    """The trunk that a square of equal cells shows; None where it shows none."""
    if not on_equal_cells(region):
        return None
    for turn, turned in zip(TURNS, region.all_turns(), strict=True):
        cells, count = turned.cells, len(turned.rows)
        cloth, right, left, base = cells[0][0][0], cells[0][-1][0], cells[-1][0][2], cells[-1][-1][1]
        column, row = [line[-1] for line in cells], list(cells[-1])
        reaches = _ends(cells[0]), _ends(column), _ends(row)
        reach, beside, below = reaches
        # The corners beside the band reach past the edge of what lies over them.
        if (
            0 in reaches
            or base in (cloth, right, left)
            or not all(count - each < reach < count for each in reaches[1:])
        ):
            continue
        corners = [(True, False, right, beside), (False, True, left, below)]
        if cells == _painted(count, base, [*corners, (False, False, cloth, reach)]):
            return Trunk(turn, cloth, reach, (base, corners))
    return None


def _ends(line: Sequence[Quarters]) -> int:
    """How many cells of a line reach to the first that is not of one cloth; 0 where there is none."""
    return next((at for at, quarters in enumerate(line, 1) if len(set(quarters)) > 1), 0)


def _painted(count: int, base: str, corners: Sequence[tuple[bool, bool, str, int]]) -> tuple[tuple[Quarters, ...], ...]:
    """A square of so many cells of one cloth with corners laid over it, one after the other."""

    def cloth_at(across: int, down: int) -> str:
        # In sixths of a cell.
        found = base
        for right, low, cloth, reach in corners:
            x, y = (6 * count - across if right else across), (6 * count - down if low else down)
            found = cloth if x + y < 6 * reach else found
        return found

    def quarters(row: int, column: int) -> Quarters:
        x, y = 6 * column + 3, 6 * row + 3
        return cloth_at(x, y - 2), cloth_at(x + 2, y), cloth_at(x, y + 2), cloth_at(x - 2, y)

    return tuple(tuple(quarters(row, column) for column in range(count)) for row in range(count))


def fits_trunk(region: Region, plan: Plan) -> bool:
    """A trunk whose other end is covered upper left. In the first four reckonings it was made in pieces."""
    found = trunk_in(region) if plan.reckoning > 4 else None
    return found is not None and found.turn == 0


def make_trunk(maker: Maker, region: Region) -> tuple[str, ...]:
    """A square with the corners beside the band flipped, one after the other, and over both the one at its end."""
    found = trunk_in(region)
    assert found is not None
    cloth, corners = found.band
    (*_, right, beside), (*_, left, below) = corners
    whole, room = region.finished[0], 2 * maker.seam
    side, reach = whole + room, _side(region, found.reach) + room
    ends = whole - _side(region, below), whole - _side(region, beside)
    # Along the seam of what is flipped last, by how far it runs through each cloth.
    under = mostly(((left, reach - ends[0]), (cloth, ends[0] + ends[1]), (right, reach - ends[1])))
    flips = [Corner(low_right, low, key, _side(region, each) + room) for low_right, low, key, each in corners]
    flips.append(Corner(False, False, found.cloth, reach, under))
    return (flip_corners(maker, maker.cut(cloth, side), cloth, (side, side), flips),)


def fits_band(region: Region, plan: Plan) -> bool:
    """A square with corners larger than a cell, in the one of its rotations that comes first."""
    return band_in(region) is not None and region.comes_first


def patches_of_band(region: Region) -> int:
    """How many patches show."""
    found = band_in(region)
    return 1 + len(found[1]) if found else 0


def make_band(maker: Maker, region: Region) -> tuple[str, ...]:
    """A square with a square sewn corner to corner on each corner, the largest first."""
    found = band_in(region)
    assert found is not None
    cloth, corners = found
    side, room = region.finished[0] + 2 * maker.seam, 2 * maker.seam
    largest_first = sorted(corners, key=lambda corner: -corner[-1])
    flips = [Corner(right, low, key, _side(region, reach) + room) for right, low, key, reach in largest_first]
    return (flip_corners(maker, maker.cut(cloth, side), cloth, (side, side), flips),)


def _side(region: Region, reach: int) -> Measure:
    return region.columns[0] * reach


RECIPES = (
    Recipe(BAND, "flip", fits_band, make_band, patches_of_band, asked="diagonal"),
    Recipe(BAND, "flip", fits_trunk, make_trunk, always(4), asked="diagonal"),
)
