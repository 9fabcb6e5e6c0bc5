"""Four quarters, or a half and two quarters, sewn of loose triangles: each unit as it is drawn, none a mirror image.

Small triangles come from squares cut twice, large ones from squares cut once, so that the straight grain lies on the
unit's edge. Two diagonal seams take 2s√2 off the side: the squares cut twice are f + 2s + 2s√2, those cut once
f + 2s + s√2.
"""

from __future__ import annotations

from tracker.exact.measure import Measure, nearest, round_up
from tracker.plan.model import Plan
from tracker.units.maker import AGAIN, TRIANGLES, Bench, Maker, diagonals, line, point, token
from tracker.units.recipes.half_square import RIGHT_ANGLE_UP_RIGHT
from tracker.units.recipes.quarter_square import WAY, fits_quarter_square, fits_split
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region
from tracker.work.steps import Laid
from tracker.work.things import LARGE_TRIANGLE, PIECED_TRIANGLE, QUARTER_SQUARE, SMALL_TRIANGLE, SPLIT


def make_of_four_triangles(maker: Maker, region: Region) -> tuple[str, ...]:
    """Two pieced triangles, of two small ones each, sewn to each other along their long edges."""
    top, right, bottom, left = region.quarters
    side = _cut_twice(maker, region)
    legs = side - maker.diagonal_seam
    first, second = (_pieced(maker.bench, *cloths, side) for cloths in ((top, right), (bottom, left)))
    return (_joined(maker, region, first, (top, right), legs, second, legs, 0),)


def make_of_three_triangles(maker: Maker, region: Region) -> tuple[str, ...]:
    """A large triangle and a pieced one of two small ones."""
    whole, right, bottom, _ = region.quarters
    side = _cut_twice(maker, region)
    legs = side - maker.diagonal_seam
    large = _large_side(legs, region.finished[0] + 2 * maker.seam + maker.diagonal_seam, maker.bench.plan)
    base = _large(maker.bench, whole, large)
    # It is sewn with the whole half up and right.
    return (_joined(maker, region, base, (whole,), large, _pieced(maker.bench, right, bottom, side), legs, 270),)


def _cut_twice(maker: Maker, region: Region) -> Measure:
    """The side of the squares that give four small triangles each."""
    return maker.trimmed_later(region.finished[0] + 2 * maker.seam + 2 * maker.diagonal_seam, room=2)


def _large_side(legs: Measure, least: Measure, plan: Plan) -> Measure:
    """The side of the square whose triangle is as large as a pressed pair, to the nearest mark, never below the
    least."""
    near = nearest(legs, plan.ruler)
    return near if near >= least else round_up(least, plan.ruler)


def small_triangles(bench: Bench, cloth: str, side: Measure, more: int = 0) -> str:
    """Small triangles of one cloth, the long edge up, or turned clockwise by so much `more`."""
    text = f"{SMALL_TRIANGLE}:{cloth}:{token(side)}" + (f":{more}" if more else "")
    maker = Maker(bench, text, SMALL_TRIANGLE, (cloth,))
    near, far, middle = side / 6, side * 5 / 6, side / 2
    parts = [
        (point(middle, near), more, ""),
        (point(far, middle), 270 + more, ""),
        (point(middle, far), 180 + more, ""),
        (point(near, middle), 90 + more, ""),
    ]
    return maker.cut_apart(maker.cut(cloth, side), list(diagonals(side).values()), parts, TRIANGLES)[0]


def _large(bench: Bench, cloth: str, side: Measure) -> str:
    """Large triangles of one cloth, the right angle up and right."""
    maker = Maker(bench, f"{LARGE_TRIANGLE}:{cloth}:{token(side)}", LARGE_TRIANGLE, (cloth,))
    inside = {"upper right": point(side * 3 / 4, side / 4), "lower left": point(side / 4, side * 3 / 4)}
    parts = [(place, RIGHT_ANGLE_UP_RIGHT[corner], "") for corner, place in inside.items()]
    return maker.cut_apart(maker.cut(cloth, side), [diagonals(side)["falling"]], parts, TRIANGLES)[0]


def _pieced(bench: Bench, upper: str, right: str, side: Measure) -> str:
    """Two small triangles sewn along a short edge, the right angle up and right: one cloth up, the other right."""
    maker = Maker(bench, f"{PIECED_TRIANGLE}:{upper}+{right}:{token(side)}", PIECED_TRIANGLE, (upper, right))
    laid = Laid(small_triangles(bench, right, side), 0, Measure(), Measure())
    size = side, side / 2
    pair = maker.pair(small_triangles(bench, upper, side), [laid], size)
    end = side - maker.diagonal_seam
    sewn = maker.sew(pair, [line(end, 0, end / 2, end / 2)])
    dark = bench.plan.darker(upper, right)
    return maker.press(sewn, "base" if dark == upper else "laid", (dark,), (end, end))


def _joined(
    maker: Maker,
    region: Region,
    base: str,
    along: tuple[str, ...],
    base_legs: Measure,
    laid: str,
    laid_legs: Measure,
    turn: int,
) -> str:
    """A triangle laid on another, long edges level and centred, sewn, pressed to the base and trimmed; the base has
    these cloths along its long edge."""
    d, inset = maker.diagonal_seam, (base_legs - laid_legs) / 2
    longer = max(base_legs, laid_legs)
    pair = maker.pair(base, [Laid(laid, 270, inset, inset)], None, AGAIN)
    sewn = maker.sew(pair, [line(d, 0, longer, longer - d)], AGAIN)
    # Opened, the larger one reaches from the seam to two edges of a square in whose middle the seams meet.
    opened = longer - d
    pressed = maker.press(sewn, "base", along, (opened, opened), turn=turn, within=AGAIN)
    unfinished = region.finished[0] + 2 * maker.seam
    return maker.trim(pressed, unfinished, unfinished, point(opened / 2, opened / 2))


RECIPES = (
    Recipe(QUARTER_SQUARE, "triangles", fits_quarter_square, make_of_four_triangles, always(4), way_of=WAY),
    Recipe(SPLIT, "triangles", fits_split, make_of_three_triangles, always(3), way_of=WAY),
)
