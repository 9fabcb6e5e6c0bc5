"""Half-square triangles: the darker cloth is the base and comes out upper right, the seam falling to the right.

With f the finished side, s the seam and u = f + 2s, a diagonal seam takes s√2 off the side of its square: two at a time
need squares of u + s√2, eight at a time twice that, four at a time √2·u + 2s.
"""

from __future__ import annotations

from tracker.exact.geometry import Segment
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.units.maker import Maker, diagonals, line, point, token
from tracker.units.recipes.corners import Corner, flip_corners
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region
from tracker.work.steps import Laid
from tracker.work.things import HALF_SQUARE, INNER

RIGHT_ANGLE_UP_RIGHT = {"upper left": 90, "upper right": 0, "lower right": 270, "lower left": 180}
"""The turn that brings a triangle's right angle from that corner to the upper right, where like halves all lie."""


def fits_half_square(region: Region, plan: Plan) -> bool:
    """A falling diagonal in a square, the darker cloth above it."""
    top, right, bottom, left = region.quarters
    falling = top == right and bottom == left and top != left
    return falling and region.is_one_cell and region.is_square and plan.darker(top, left) == top


def _marked_pair(maker: Maker, dark: str, light: str, side: Measure, *marks: str) -> str:
    """A light square, marked on its back, laid on a dark one."""
    base, laid = maker.cut(dark, side), maker.mark(maker.cut(light, side), *marks)
    return maker.pair(base, [Laid(laid, 90, Measure(), Measure())], (side, side))


def either_side(middle: Segment, seam: Measure) -> tuple[Segment, Segment]:
    """The two sewing lines, a seam's width each side of a marked diagonal, out to the edges of its square."""
    away = seam * ROOT2
    (x1, y1), (x2, y2) = middle
    if y2 > y1:
        return line(x1 + away, y1, x2, y2 - away), line(x1, y1 + away, x2 - away, y2)
    return line(x1, y1 - away, x2 - away, y2), line(x1 + away, y1, x2, y2 + away)


def _press_and_trim(maker: Maker, half: str, opened: Measure, trimmed: Measure, turn: int = 0) -> tuple[str, ...]:
    pressed = maker.press(half, "base", maker.fabrics[:1], (opened, opened), turn)
    return (maker.trim(pressed, trimmed, trimmed, point(opened / 2, opened / 2)),)


def _cut_apart(maker: Maker, dark: str, light: str, side: Measure) -> str:
    """Two squares to two folded halves."""
    mark = diagonals(side)["falling"]
    pair = _marked_pair(maker, dark, light, side, "falling")
    sewn = maker.sew(pair, either_side(mark, maker.seam))
    parts = [(point(side * 3 / 4, side / 4), 0, ""), (point(side / 4, side * 3 / 4), 180, "")]
    return maker.cut_apart(sewn, [mark], parts)[0]


def make_half_square_two(maker: Maker, region: Region) -> tuple[str, ...]:
    """One marked square on another, sewn a seam each side of the mark and cut on it."""
    top, _, _, left = region.quarters
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(unfinished + maker.diagonal_seam, room=1)
    half = _cut_apart(maker, top, left, side)
    return _press_and_trim(maker, half, side - maker.diagonal_seam, unfinished)


def make_half_square_one(maker: Maker, region: Region) -> tuple[str, ...]:
    """One square flipped over the diagonal of another: each by itself, so that no print is turned with its like."""
    top, _, _, left = region.quarters
    unfinished = region.finished[0] + 2 * maker.seam
    flipped = Corner(False, True, left, unfinished)
    return (flip_corners(maker, maker.cut(top, unfinished), top, (unfinished, unfinished), [flipped]),)


def make_half_square_four(maker: Maker, region: Region) -> tuple[str, ...]:
    """Sewn all round the edge, cut on both diagonals: the outer edges of the units are bias."""
    top, _, _, left = region.quarters
    s = maker.seam
    unfinished = region.finished[0] + 2 * s
    side = maker.trimmed_later(ROOT2 * unfinished + 2 * s, room=2)
    far, middle = side - s, side / 2
    pair = maker.pair(maker.cut(top, side), [Laid(maker.cut(left, side), 0, Measure(), Measure())], (side, side))
    sewn = maker.sew(pair, [line(s, s, far, s), line(far, s, far, far), line(far, far, s, far), line(s, far, s, s)])
    parts = [
        (point(middle, side / 4), 0, ""),
        (point(side * 3 / 4, middle), 270, ""),
        (point(middle, side * 3 / 4), 180, ""),
        (point(side / 4, middle), 90, ""),
    ]
    (half,) = maker.cut_apart(sewn, list(diagonals(side).values()), parts)
    # Opened, it stands on its point with the base below the seam.
    return _press_and_trim(maker, half, (side - 2 * s) / ROOT2, unfinished, turn=225)


def make_half_square_eight(maker: Maker, region: Region) -> tuple[str, ...]:
    """Both diagonals marked, a seam each side of both; cut across, down, and on both diagonals."""
    top, _, _, left = region.quarters
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(2 * (unfinished + maker.diagonal_seam), room=2)
    marks, middle = diagonals(side), side / 2
    sewn = maker.sew(
        _marked_pair(maker, top, left, side, "falling", "rising"),
        [each for mark in marks.values() for each in either_side(mark, maker.seam)],
    )
    cuts = [line(0, middle, side, middle), line(middle, 0, middle, side), *marks.values()]
    near, far = side / 8, side * 3 / 8
    corners = {"upper left": (0, 0), "upper right": (1, 0), "lower right": (1, 1), "lower left": (0, 1)}
    parts = [
        (
            point(right * middle + (far if across else near), low * middle + (far if down else near)),
            RIGHT_ANGLE_UP_RIGHT[corner],
            "",
        )
        for right, low in corners.values()
        for corner, (across, down) in corners.items()
        # A quarter is cut in two on its diagonal through the middle: the right angles lie at its other two corners.
        if (across == right) != (down == low)
    ]
    (half,) = maker.cut_apart(sewn, cuts, parts)
    return _press_and_trim(maker, half, side / 2 - maker.diagonal_seam, unfinished)


def inner_half_square(maker: Maker, first: str, second: str, side: Measure) -> str:
    """A half-square triangle that goes into another unit: pressed, not trimmed; pooled by cloths and cut size."""
    plan = maker.bench.plan
    dark = plan.darker(first, second)
    light = second if dark == first else first
    inner = Maker(maker.bench, f"{INNER}:{dark}+{light}:{token(side)}", INNER, (dark, light))
    opened = side - maker.diagonal_seam
    return inner.press(_cut_apart(inner, dark, light, side), "base", (dark,), (opened, opened))


WAY = "half_square"
"""The plan's setting that chooses among ways."""

RECIPES = (
    Recipe(HALF_SQUARE, "two", fits_half_square, make_half_square_two, always(2), way_of=WAY),
    Recipe(HALF_SQUARE, "four", fits_half_square, make_half_square_four, always(2), way_of=WAY, bias=True),
    Recipe(HALF_SQUARE, "eight", fits_half_square, make_half_square_eight, always(2), way_of=WAY),
    Recipe(HALF_SQUARE, "one", fits_half_square, make_half_square_one, always(2), way_of=WAY, alone=True),
)
