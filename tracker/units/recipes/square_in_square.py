"""Square in a square: a centre on its point, and a triangle sewn to each of its four sides.

Centre f/√2 + 2s, rounded to the nearest 1/16 in (0.1 cm); triangles from squares f/2 + 2s + s√2 cut once. The long
edges of the triangles are sewn, so that no bias lies on the outer edge.
"""

from __future__ import annotations

from fractions import Fraction

from tracker.exact.measure import ROOT2, Measure, nearest
from tracker.plan.model import Plan
from tracker.units.maker import AGAIN, LEVEL, ONCE, TRIANGLES, Bench, Maker, diagonals, line, point
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region
from tracker.work.steps import Laid
from tracker.work.things import IN_SQUARE

CENTRE_MARK = {"in": Fraction(1, 16), "cm": Fraction(1, 10)}
"""What the centre square is rounded to, to the nearest: it is not trimmed."""


def fits_square_in_square(region: Region, plan: Plan) -> bool:
    """Four half-squares of two cloths around one centre."""
    if len(region.columns) != 2 or len(region.rows) != 2:
        return False
    if not region.columns[0] == region.columns[1] == region.rows[0] == region.rows[1]:
        return False
    outer, inner = region.cells[0][0][:2]
    wanted = (
        ((outer, inner, inner, outer), (outer, outer, inner, inner)),
        ((inner, inner, outer, outer), (inner, outer, outer, inner)),
    )
    return outer != inner and region.cells == wanted and _tips_lie_clear(region, plan)


def _tips_lie_clear(region: Region, plan: Plan) -> bool:
    """Whether the tips of two triangles laid face to face with the centre stay out of each other's seams."""
    centre, side = _cut_sides(Maker(Bench(plan), "", "", ()), region.finished[0])
    return side / ROOT2 <= centre - plan.seam


def _cut_sides(maker: Maker, finished: Measure) -> tuple[Measure, Measure]:
    """The cut sides of the centre and of the squares that give the triangles."""
    s = maker.seam
    centre = nearest(finished / ROOT2 + 2 * s, CENTRE_MARK[maker.bench.plan.unit])
    # Where the centre was rounded down the triangles make good what it lacks.
    needed = (ROOT2 * (finished + 2 * s) - centre + 4 * s) / ROOT2
    return centre, maker.trimmed_later(max(finished / 2 + 2 * s + maker.diagonal_seam, needed), room=1)


def make_square_in_square(maker: Maker, region: Region) -> tuple[str, ...]:
    """Triangles sewn to two opposite sides of the centre, then to the two others, and trimmed."""
    outer, inner = region.cells[0][0][:2]
    plan, s = maker.bench.plan, maker.seam
    finished = region.finished[0]
    unfinished = finished + 2 * s
    centre, side = _cut_sides(maker, finished)
    exact = finished / ROOT2 + 2 * s
    maker.bench.tell("centre rounded", fabric=inner, finished=finished, rounded=centre, over=centre - exact)
    square = diagonals(side)["falling"]
    parts = [(point(side * 3 / 4, side / 4), 0, ""), (point(side / 4, side * 3 / 4), 180, "")]
    (triangle,) = maker.cut_apart(maker.cut(outer, side), [square], parts, TRIANGLES)
    darker = plan.darker(outer, inner)
    toward = "laid" if darker == outer else "base"

    long_edge, deep = side * ROOT2, side / ROOT2
    over = (centre - long_edge) / 2
    # Right angle down on the top edge, up on the bottom edge, before each is flipped onto its face.
    first = [Laid(triangle, 135, over, Measure()), Laid(triangle, 315, over, centre - deep)]
    lines = [line(over, s, centre - over, s), line(over, centre - s, centre - over, centre - s)]
    paired = maker.pair(maker.cut(inner, centre), first, None, ONCE)
    grown = centre + 2 * (deep - 2 * s)
    pressed = maker.press(maker.sew(paired, lines, ONCE), toward, (darker,), (long_edge - 2 * s, grown), within=ONCE)
    level = _without_ears(maker, pressed, centre, long_edge / 2 - s, grown)

    over = (grown - long_edge) / 2
    second = [Laid(triangle, 225, Measure(), over), Laid(triangle, 45, centre - deep, over)]
    lines = [line(s, over, s, grown - over), line(centre - s, over, centre - s, grown - over)]
    sewn = maker.sew(maker.pair(level, second, None, AGAIN), lines, AGAIN)
    whole = grown / ROOT2
    opened = maker.press(sewn, toward, (darker,), (whole, whole), turn=45, within=AGAIN)
    return (maker.trim(opened, unfinished, unfinished, point(whole / 2, whole / 2)),)


def _without_ears(maker: Maker, pressed: str, centre: Measure, half_width: Measure, grown: Measure) -> str:
    """Cut off the ears of the first two triangles, level with the sides of the centre."""
    left, right = half_width - centre / 2, half_width + centre / 2
    # An ear is a small triangle above the seam, which lies as deep as half the width of the piece.
    low, inset = half_width - left * 3 / 8, left * 3 / 4
    parts = [
        (point(half_width, grown / 2), 0, ""),
        (point(inset, low), 0, None),
        (point(2 * half_width - inset, low), 0, None),
    ]
    (level,) = maker.cut_apart(pressed, [line(left, 0, left, grown), line(right, 0, right, grown)], parts, LEVEL)
    return level


RECIPES = (Recipe(IN_SQUARE, None, fits_square_in_square, make_square_in_square, always(5), figure=True),)
