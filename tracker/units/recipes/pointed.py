"""A triangle in a square or rectangle: a tall one, its point in the middle of an edge, between two long triangles.

With w half the finished width, h the height, d = √(w² + h²) and s the seam, the middle triangle is cut h + s + s·d/w
high and in proportion as wide, to the middle of its upper edge, so that its sides have the slope of the seams and are
as long as those of the side pieces. Trimmed, the point lies s below the edge, the lower ends s inside the corners.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import count

from tracker.exact.geometry import XY, ZERO, Polygon, Segment, greatest, turned
from tracker.exact.measure import Measure, on_mark, round_up
from tracker.exact.roots import root_of
from tracker.plan.model import Plan
from tracker.units.maker import AGAIN, LEVEL, ONCE, TRIANGLES, Bench, Maker, Round, point, token
from tracker.units.recipes.half_rectangle import LONGER_BY, Slant, long_triangles
from tracker.units.recipes.laid_open import Flat, folded_over, middle_of, opened, seam_beside, settled
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region
from tracker.work.steps import Laid
from tracker.work.things import POINTED_OBLONG, POINTED_SQUARE, TALL_TRIANGLE


def fits_pointed(region: Region, plan: Plan) -> bool:
    """A triangle that points up, its sides in cells of their own, so steep that pieces as long as its sides cover
    them."""
    if len(region.columns) != 2 or len(region.rows) != 1 or region.columns[0] != region.columns[1]:
        return False
    (left, middle, below, left_again), (right, right_again, low, low_left) = region.cells[0]
    one_middle = middle == below == low == low_left
    halves = left == left_again and right == right_again and middle not in (left, right)
    return one_middle and halves and 3 * region.columns[0] * region.columns[0] <= region.rows[0] * region.rows[0]


def fits_pointed_square(region: Region, plan: Plan) -> bool:
    """The same in a square."""
    return region.is_square and fits_pointed(region, plan)


def fits_pointed_oblong(region: Region, plan: Plan) -> bool:
    """The same in a rectangle that is no square."""
    return not region.is_square and fits_pointed(region, plan)


@dataclass(frozen=True)
class Pointed:
    """What is cut for one: the middle triangle, `high` and `wide`, and the rectangles of its sides as of the left."""

    high: Measure
    wide: Measure
    side: Slant

    @property
    def tip(self) -> XY:
        """The point of the middle triangle, whose box begins at (0, 0)."""
        return self.wide / 2, ZERO

    @property
    def left(self) -> Segment:
        """Its left side, from below; the triangle is on the right hand of who walks along it."""
        return (ZERO, self.high), self.tip

    @property
    def right(self) -> Segment:
        """Its right side, from its tip."""
        return self.tip, (self.wide, self.high)

    def laid(self, left: bool) -> Polygon:
        """A side piece, opened, with its long edge on that side of the middle."""
        cut = self.side if left else self.side.mirrored
        lies = settled(tuple(turned(corner, _turn(left)) for corner in cut.upper))
        x, y = self.corner(left)
        return tuple((x + across, y + down) for across, down in lies)

    def corner(self, left: bool) -> XY:
        """Where the upper left corner of a side piece's box lies then."""
        return (-self.side.beside if left else self.tip[0]), ZERO


def _turn(left: bool) -> int:
    """How side pieces are turned, from lying with their long edge below."""
    return 270 if left else 90


def _sizes(maker: Maker, region: Region) -> Pointed:
    """What is cut: on the ruler's marks, the ends of slanting cuts too where a little more cloth does that."""
    mark, slope = maker.bench.plan.ruler, region.columns[0] / region.rows[0]
    least = maker.trimmed_later(region.rows[0] + maker.seam * (1 + _length(slope) / slope), room=1)
    found = (_with_sides(maker, region, least + more * mark) for more in count())
    tried = [next(each for each in found if each.side.high <= each.side.wide) for _ in range(LONGER_BY + 1)]
    wide = [each for each in tried if on_mark(each.wide, mark)]
    return next((each for each in wide if on_mark(each.side.beside, mark)), (wide or tried)[0])


def _length(slope: Measure) -> Measure:
    return root_of((slope * slope + 1).rational)


def _with_sides(maker: Maker, region: Region, high: Measure) -> Pointed:
    """A middle so high, with side pieces as long as its sides and wide enough to reach the unit's edge when opened."""
    half, s, mark = region.columns[0], maker.seam, maker.bench.plan.ruler
    slope = half / region.rows[0]
    beside = greatest((ZERO, half + s + 2 * s / _length(slope) - high * slope))
    wide = maker.trimmed_later(high * slope + 2 * beside, room=1)
    tried = [Slant(high, wide + more * mark, slope, True) for more in range(LONGER_BY + 1)]
    side = next((each for each in tried if on_mark(each.beside, mark)), tried[0])
    return Pointed(high, 2 * slope * high, side)


def make_pointed(maker: Maker, region: Region) -> tuple[str, ...]:
    """The left side sewn on, pressed, its ear cut off level with the middle; then the right side, and trimmed."""
    (left, middle, _, _), (right, _, _, _) = region.cells[0]
    cut = _sizes(maker, region)
    triangle = _middle(maker.bench, middle, cut)
    sides = [long_triangles(maker, *each) for each in ((left, cut.side), (right, cut.side.mirrored))]
    start = Flat((((ZERO, cut.high), cut.tip, (cut.wide, cut.high)),))
    one, pile = _sewn_on(maker, start, (triangle, sides[0]), cut, True, (middle, left), ONCE)
    level, ears = one.parted(cut.right)
    inside = one.place((cut.wide / 2, cut.high * 2 / 3))
    parts: list[tuple[XY, int, str | None]] = [(inside, 0, ""), (one.place(middle_of(ears.polygons[0])), 0, None)]
    (pile,) = maker.cut_apart(pile, [one.line(cut.right)], parts, LEVEL)
    both, pile = _sewn_on(maker, level, (pile, sides[1]), cut, False, (middle, right), AGAIN)
    width, height = (side + 2 * maker.seam for side in region.finished)
    # The seams meet in a point as far below the tip as they are beside the edges there.
    slope = region.columns[0] / region.rows[0]
    meet = maker.seam * _length(slope) / slope
    return (maker.trim(pile, width, height, both.place((cut.wide / 2, meet - maker.seam + height / 2))),)


def _middle(bench: Bench, cloth: str, cut: Pointed) -> str:
    """Tall triangles of one cloth, their tips up."""
    whole = round_up(cut.wide, bench.plan.ruler)
    size = f"{token(whole)}x{token(cut.high)}:{token(cut.wide)}"
    own = Maker(bench, f"{TALL_TRIANGLE}:{cloth}:{size}", TALL_TRIANGLE, (cloth,))
    beside = (whole - cut.wide) / 2
    upright = whole < cut.high

    def at(across: Measure, down: Measure) -> XY:
        # Cloth lies with its longer side across.
        return point(cut.high - down, across) if upright else point(across, down)

    tip = at(whole / 2, ZERO)
    lines = [(at(beside, cut.high), tip), (tip, at(whole - beside, cut.high))]
    scraps = [(at(whole * share / 16, cut.high / 8), 0, None) for share in (1, 15)]
    parts = [(at(whole / 2, cut.high * 3 / 4), 270 if upright else 0, ""), *scraps]
    return own.cut_apart(own.cut(cloth, whole, cut.high), lines, parts, TRIANGLES)[0]


def _sewn_on(
    maker: Maker, base: Flat, piles: tuple[str, str], cut: Pointed, left: bool, cloths: tuple[str, str], within: Round
) -> tuple[Flat, str]:
    """A side piece laid on that side of what is there, sewn and pressed to the darker cloth; the piles and cloths are
    those of what is there, and of the side."""
    edge = cut.left if left else cut.right
    laid = folded_over(cut.laid(left), edge)
    lies = Laid(piles[1], _turn(left), *base.place(cut.corner(left)), over=base.line(edge))
    pair = maker.pair(piles[0], [lies], None, within)
    seam = seam_beside(base, laid, edge, maker.seam)
    sewn = maker.sew(pair, [base.with_laid([laid]).line(seam)], within)
    whole, dark = opened(base, [laid], [seam]), maker.bench.plan.darker(*cloths)
    return whole, maker.press(sewn, "base" if dark == cloths[0] else "laid", (dark,), whole.size, within=within)


RECIPES = (
    Recipe(POINTED_SQUARE, None, fits_pointed_square, make_pointed, always(3), figure=True),
    Recipe(POINTED_OBLONG, None, fits_pointed_oblong, make_pointed, always(3), figure=True),
)
