"""Half-rectangle triangles: a rectangle of two cloths, parted by a seam from corner to corner, at any slope.

The seam of the trimmed unit does not run into its cut corners: it runs through the points a seam allowance inside two
of them, and so off the short edges. The rectangles are cut apart along such a line as well, a little beside their
corners, which makes all edges of the unit straight grain and lets both sides of a rectangle be cut on the ruler's
marks. With W and H finished, D = √(W² + H²), s the seam: sewn end to end, the halves lie 2s·H/D and 2s·W/D out of line
with each other across and down, so the rectangles are W + 2s + 2s·H/D by H + 2s + 2s·W/D.

The two hands are cut along lines that fall or rise, and no turn makes one of the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tracker.exact.geometry import XY, ZERO, Polygon, Segment, greatest
from tracker.exact.measure import Measure, Number, on_mark
from tracker.exact.roots import root_of
from tracker.plan.model import Plan
from tracker.units.maker import TRIANGLES, Maker, point, token
from tracker.units.recipes.laid_open import Flat, folded_over, opened, seam_beside
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region
from tracker.work.steps import Laid
from tracker.work.things import FALLING, HALF_RECTANGLE, LONG_TRIANGLE, RISING

LONGER_BY = 4
"""How many marks a rectangle may be cut longer so that the line to cut along begins on a mark of the ruler."""


def fits_half_rectangle(region: Region, plan: Plan) -> bool:
    """A diagonal in a rectangle with its longer side across, the darker cloth above it."""
    top, right, bottom, left = region.quarters
    width, height = region.finished
    diagonal = top in (left, right) and bottom in (left, right) and top != bottom and left != right
    return region.is_one_cell and diagonal and width > height and plan.darker(top, bottom) == top


@dataclass(frozen=True)
class Slant:
    """A rectangle to cut in two along a line that falls, or rises, from edge to edge: `wide` and `high` as it is cut,
    the line beginning `beside` its corner. `slope` is how far the line falls for each length across."""

    wide: Measure
    high: Measure
    slope: Measure
    falls: bool

    @property
    def beside(self) -> Measure:
        """How far beside the corners the line begins and ends, on the short edges."""
        return (self.high - self.wide * self.slope) / 2

    @property
    def length(self) -> Measure:
        """How long the line is for each length across."""
        return root_of((self.slope * self.slope + 1).rational)

    def at(self, across: Number, down: Number) -> XY:
        """A point of the rectangle, told as if the line fell."""
        return point(across if self.falls else self.wide - across, down)

    @property
    def mirrored(self) -> Slant:
        """The same for the other hand."""
        return replace(self, falls=not self.falls)

    @property
    def cut(self) -> Segment:
        """The line to cut along, from its upper end."""
        return self.at(0, self.beside), self.at(self.wide, self.high - self.beside)

    @property
    def edge(self) -> Segment:
        """The same, the upper half on the right hand of who walks along it."""
        return self.cut[::-1] if self.falls else self.cut

    @property
    def upper(self) -> Polygon:
        """The half above the line."""
        corners = (self.at(0, 0), self.at(self.wide, 0), *reversed(self.cut))
        return _clockwise(corners if self.beside else corners[1:], self.falls)

    @property
    def lower(self) -> Polygon:
        """The half below it."""
        corners = (*self.cut, self.at(self.wide, self.high), self.at(0, self.high))
        return _clockwise(corners if self.beside else (*corners[:2], corners[3]), self.falls)


def _clockwise(corners: Polygon, already: bool) -> Polygon:
    return corners if already else corners[::-1]


def slant(maker: Maker, region: Region) -> Slant:
    """The rectangles for a unit: on the ruler's marks, and the line's ends too where a little more length does that."""
    width, height = region.finished
    mark, falls = maker.bench.plan.ruler, region.quarters[0] == region.quarters[1]
    slope = height / width
    out_of_line = 2 * maker.seam / Slant(width, height, slope, falls).length
    wide = maker.trimmed_later(width + 2 * maker.seam + out_of_line * slope, room=1)
    high = maker.trimmed_later(height + 2 * maker.seam + out_of_line, room=1)
    while Slant(wide, high, slope, falls).beside < 0:
        high = high + mark
    wide = greatest((wide, high))

    def tried() -> Iterator[Slant]:
        for higher in (ZERO, mark):
            for longer in range(LONGER_BY + 1):
                yield Slant(wide + longer * mark, high + higher, slope, falls)

    fitting = (each for each in tried() if each.wide >= each.high and each.beside >= 0 and on_mark(each.beside, mark))
    return next(fitting, Slant(wide, high, slope, falls))


def long_triangles(maker: Maker, cloth: str, cut: Slant) -> str:
    """The halves of rectangles of one cloth and hand, as they lie above the line."""
    side = FALLING if cut.falls else RISING
    size = f"{token(cut.wide)}x{token(cut.high)}:{side}:{token(cut.beside)}"
    own = Maker(maker.bench, f"{LONG_TRIANGLE}:{cloth}:{size}", LONG_TRIANGLE, (cloth,), side=side)
    inside = cut.at(cut.wide * 3 / 4, cut.high / 4), cut.at(cut.wide / 4, cut.high * 3 / 4)
    parts = [(inside[0], 0, ""), (inside[1], 180, "")]
    return own.cut_apart(own.cut(cloth, cut.wide, cut.high), [cut.cut], parts, TRIANGLES)[0]


def make_half_rectangle(maker: Maker, region: Region) -> tuple[str, ...]:
    """Long triangles of both cloths sewn along their long edges, end to end, pressed and trimmed."""
    s, cut = maker.seam, slant(maker, region)
    maker = replace(maker, side=FALLING if cut.falls else RISING)
    dark, light = region.quarters[0], region.quarters[2]
    upper, lower = (long_triangles(maker, cloth, cut) for cloth in (dark, light))
    base, edge = Flat((cut.upper,)), cut.edge
    laid = folded_over(cut.lower, edge)
    pair = maker.pair(upper, [Laid(lower, 180, ZERO, cut.beside, over=cut.cut)], None)
    seam = seam_beside(base, laid, edge, s)
    sewn = maker.sew(pair, [base.with_laid([laid]).line(seam)])
    size = opened(base, [laid], [seam]).size
    pressed = maker.press(sewn, "base", (dark,), size)
    width, height = (side + 2 * s for side in region.finished)
    return (maker.trim(pressed, width, height, point(size[0] / 2, size[1] / 2)),)


RECIPES = (Recipe(HALF_RECTANGLE, None, fits_half_rectangle, make_half_rectangle, always(2)),)
