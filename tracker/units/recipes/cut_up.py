"""Quarters of a nine-patch: nine squares sewn as rows, those sewn to each other, and all cut in four.

The four show the same, turned, but their seams do not lie alike: the rows' joins run on through all of the nine-patch,
level in two opposite quarters as they are laid with the corner patch up left, upright in the two others.
"""

from __future__ import annotations

from dataclasses import replace

from tracker.plan.cutting_up import cut_through
from tracker.plan.model import Plan
from tracker.units.maker import CUT_FLAT, Maker, line, point
from tracker.units.recipes.patchwork import patchwork
from tracker.units.recipes.recipe import Ends, Recipe, always
from tracker.units.region import Region
from tracker.work.things import NINE_PATCH, NINE_PATCH_ROW, QUARTER

LEVEL, UPRIGHT = "rows level", "rows upright"


def fits_quarter(region: Region, plan: Plan) -> bool:
    """Four plain patches, the corner whole up left, the others cut through."""
    if len(region.columns) != 2 or region.columns != region.rows:
        return False
    (_, edge), (other, middle) = ((cells[0][0], cells[1][0]) for cells in region.cells)
    plain = all(len(set(quarters)) == 1 for quarters in region.all_quarters())
    side, rest = region.columns
    return plain and edge == other and edge != middle and rest == cut_through(side, plan.seam)


def make_level_quarters(maker: Maker, region: Region) -> tuple[str, ...]:
    """Those that lie up left and down right in the nine-patch."""
    return (_quarters(maker, region)[0],)


def make_upright_quarters(maker: Maker, region: Region) -> tuple[str, ...]:
    """Those up right and down left."""
    return (_quarters(maker, region)[1],)


def _quarters(maker: Maker, region: Region) -> tuple[str, ...]:
    """All four, which come of one nine-patch whichever is asked for; the piles of both kinds."""
    (corner, edge), (_, middle) = region.cells
    rows = ((corner, edge, corner), (edge, middle, edge), (corner, edge, corner))
    kind, rest = maker.making.split(":", 1)
    both = replace(maker, making=f"{kind.removesuffix(f' {LEVEL}').removesuffix(f' {UPRIGHT}')}:{rest}")
    whole = patchwork(both, rows, region.columns[0], (NINE_PATCH_ROW, NINE_PATCH))
    side = whole.size[0]
    near, far, half = side / 4, side * 3 / 4, side / 2
    # Each is turned so that its corner patch lies up left.
    parts = [
        (point(near, near), 0, "A"),
        (point(far, near), 270, "B"),
        (point(near, far), 90, "B"),
        (point(far, far), 180, "A"),
    ]
    lines = [line(half, 0, half, side), line(0, half, side, half)]
    return both.cut_apart(whole.pile, lines, parts, CUT_FLAT, (half, half))


def ends_of_level(region: Region, plan: Plan) -> tuple[Ends, Ends, Ends, Ends]:
    """Where its seams run out: those of the row's join all along it, those within the two rows each as it is."""
    (at, _), outer, inner = region.columns, *_pressed(region, plan)
    return ((at, outer),), ((at, outer),), ((at, inner),), ((at, outer),)


def ends_of_upright(region: Region, plan: Plan) -> tuple[Ends, Ends, Ends, Ends]:
    """The same where it was turned."""
    (at, _), outer, inner = region.columns, *_pressed(region, plan)
    return ((at, outer),), ((at, inner),), ((at, outer),), ((at, outer),)


def _pressed(region: Region, plan: Plan) -> tuple[int, int]:
    """The side that the seams round a corner patch go to, and those round the middle: 0 outward, 1 inward."""
    (corner, edge), (_, middle) = ((cells[0][0], cells[1][0]) for cells in region.cells)
    return int(plan.darker(corner, edge) == edge), int(plan.darker(edge, middle) == middle)


RECIPES = (
    Recipe(QUARTER, None, fits_quarter, make_level_quarters, always(4), asked=LEVEL, ends=ends_of_level),
    Recipe(QUARTER, None, fits_quarter, make_upright_quarters, always(4), asked=UPRIGHT, ends=ends_of_upright),
)
