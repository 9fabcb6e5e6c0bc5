"""A square that grows from its middle: four triangles sewn to its sides, trimmed, and four more, each of its own cloth.

The first round stands on its point in the block, the second squares it again. Round a middle of finished side f lie
triangles from squares f/√2 + 2s + s√2 cut once; each round is trimmed to s beyond its points, so that all is exact.
"""

from __future__ import annotations

from tracker.exact.measure import ROOT2, Measure, round_up
from tracker.plan.model import Plan
from tracker.units.maker import Bench, Maker, point, token
from tracker.units.recipes.attaching import Edge
from tracker.units.recipes.half_pictures import on_equal_cells, text_of_cells
from tracker.units.recipes.nested_pictures import (
    Nested,
    Stood,
    inner_of_nested,
    nested_in,
    patches_of_nested,
    seams_in_nested,
    stood_in,
)
from tracker.units.recipes.patchwork import along_cells, patchwork
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.recipes.triangle_rounds import TriangleRound, triangle_side
from tracker.units.region import Region, cloths_in
from tracker.work.things import INNER_SQUARE, NESTED, PATCHWORK, STOOD


def fits_nested(region: Region, plan: Plan) -> bool:
    """Two rounds round a middle, in the one of its rotations that comes first."""
    found = nested_in(region)
    if found is None or not region.comes_first:
        return False
    side, stood = region.finished[0] / 2, stood_in(found.middle) is not None
    return _clear(plan, side) and _clear(plan, side * ROOT2) and (not stood or _clear(plan, side / ROOT2))


def _clear(plan: Plan, side: Measure) -> bool:
    """Whether the tips of triangles round a middle of this finished side, laid face to face on it, stay out of each
    other's seams."""
    return triangle_side(Maker(Bench(plan), "", "", ()), side) / ROOT2 <= side + plan.seam


def make_nested(maker: Maker, region: Region) -> tuple[str, ...]:
    """The middle, four triangles round it, trimmed on its point; four more, and trimmed again."""
    found = nested_in(region)
    assert found is not None
    s, finished = maker.seam, region.finished[0] / 2
    middle, edges = _middle(maker, found)
    text = f"{text_of_cells(found.middle, found.cell)}+{','.join(found.first)}"
    own = maker.of_part(INNER_SQUARE, text, (*cloths_in(found.middle), *found.first))
    stood, whole = TriangleRound(own, middle, finished, edges, found.first, not found.is_plain).sewn(45)
    side = finished * ROOT2 + 2 * s
    trimmed = own.trim(stood, side, side, point(whole / 2, whole / 2))
    # Turned so, each side of it is two triangles' short edges.
    top, right, bottom, left = found.first
    around = _halves_of_sides((left, top, right, bottom), side / 2)
    squared, whole = TriangleRound(maker, trimmed, finished * ROOT2, around, found.second).sewn(315)
    side = region.finished[0] + 2 * s
    return (maker.trim(squared, side, side, point(whole / 2, whole / 2)),)


def fits_stood(region: Region, plan: Plan) -> bool:
    """Four patches on their points in a square, in the one of its rotations that comes first."""
    if not on_equal_cells(region) or stood_in(region.cells) is None:
        return False
    return region.comes_first and _clear(plan, region.columns[0] * 2 * ROOT2)


def make_stood(maker: Maker, region: Region) -> tuple[str, ...]:
    """The four patches sewn and trimmed to one square, four triangles round it, trimmed again."""
    found = stood_in(region.cells)
    assert found is not None
    return (_stood(maker, found, region.columns[0], maker),)


def _stood(maker: Maker, found: Stood, cell: Measure, own: Maker | None = None) -> str:
    s, plan = maker.seam, maker.bench.plan
    finished = 2 * cell * ROOT2
    cut = round_up(cell * ROOT2 + 2 * s, plan.ruler)
    # As it is sewn it lies upright: the patch at the top comes to lie there by an eighth of a turn.
    top, right, bottom, left = found.patches
    rows = ((top,) * 4, (right,) * 4), ((left,) * 4, (bottom,) * 4)
    upright = patchwork(maker, rows, cut - 2 * s)
    across = finished + 2 * s
    text = f"{','.join(found.patches)}@{token(cell)}"
    four = maker.of_part(PATCHWORK, text, found.patches, "on point")
    middle = upright.size[0] / 2
    trimmed = four.trim(upright.pile, across, across, point(middle, middle))
    if own is None:
        text = f"{text}+{','.join(found.corners)}"
        own = maker.of_part(INNER_SQUARE, text, (*found.patches, *found.corners))
    ul, ur, lr, ll = found.corners
    edges = _halves_of_sides((top, right, bottom, left), across / 2)
    squared, whole = TriangleRound(own, trimmed, finished, edges, (ur, lr, ll, ul)).sewn(45)
    side = 4 * cell + 2 * s
    return own.trim(squared, side, side, point(whole / 2, whole / 2))


def _halves_of_sides(corners: tuple[str, str, str, str], half: Measure) -> tuple[Edge, ...]:
    """The cloths along the four sides of a square with these corners, each half a side long."""
    ul, ur, lr, ll = corners
    return tuple(((one, half), (other, half)) for one, other in ((ul, ur), (ur, lr), (ll, lr), (ul, ll)))


def _middle(maker: Maker, nested: Nested) -> tuple[str, tuple[Edge, ...]]:
    """The pile of middles, and the cloths along their four sides."""
    s, cell = maker.seam, nested.cell
    on_point = stood_in(nested.middle)
    if on_point is not None:
        return _stood(maker, on_point, cell), _halves_of_sides(on_point.corners, 2 * cell + s)
    if nested.is_plain:
        cloth, side = nested.middle[0][0][0], len(nested.middle) * cell + 2 * s
        edge: Edge = ((cloth, side),)
        return maker.cut(cloth, side), (edge, edge, edge, edge)
    rows = nested.middle
    columns = tuple(zip(*rows, strict=True))
    edges = tuple(
        along_cells(cells, at, cell, s) for at, cells in enumerate((rows[0], columns[-1], rows[-1], columns[0]))
    )
    return patchwork(maker, rows, cell).pile, edges


RECIPES = (
    Recipe(STOOD, None, fits_stood, make_stood, always(8), asked="diagonal"),
    Recipe(
        NESTED,
        None,
        fits_nested,
        make_nested,
        patches_of_nested,
        asked="diagonal",
        inner=inner_of_nested,
        beyond=seams_in_nested,
    ),
)
