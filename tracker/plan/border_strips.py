"""Pieced borders: what lies beside what along each side of a quilt, and whether that fills the sides exactly.

A strip is told as it lies above the quilt, its pieces from left to right, the quilt's edge above; it goes round
clockwise: at the right it is turned by a quarter, below by a half. All sizes are finished and exact.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, cycle
from math import gcd, lcm

from tracker.exact.geometry import ZERO, Polygon, rectangle
from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Block, Border, Plan, Quarters, Quilt

Size = tuple[Measure, Measure]
SIDES, ENDS = "sides", "top and bottom"
"""The two pairs of opposite edges that strips are sewn to: left and right, upper and lower."""


@dataclass(frozen=True)
class StripPiece:
    """One piece of a strip: its finished length along the quilt's side, and its quarters."""

    length: Measure
    quarters: Quarters


@dataclass(frozen=True)
class Sides:
    """The quilt's blocks, straight, and what is sewn between and round them, as far as their sizes go.

    `blocks` may lack some, as long as those of the first row and column are there.
    """

    quilt: Quilt
    blocks: Mapping[str, Block]
    seam: Measure

    @property
    def sash(self) -> Measure:
        """The width of the sashes; nothing where there are none."""
        return ZERO if self.quilt.sash is None else self.quilt.sash.cut - 2 * self.seam

    def wide(self, border: Border) -> Measure:
        """The width of a border."""
        return border.cut - 2 * self.seam

    def lengths(self) -> dict[str, list[Measure]]:
        """The blocks' sides along a side of the quilt, and along its upper edge."""
        sizes = {key: block.finished(self.seam) for key, block in self.blocks.items()}
        places = self.quilt.places
        return {SIDES: [sizes[row[0]][1] for row in places], ENDS: [sizes[key][0] for key in places[0]]}

    def top(self, number: int) -> dict[str, Measure]:
        """How long the top is, at its sides and across, before a border (from 1) goes on."""
        more = sum((2 * self.wide(border) for border in self.quilt.borders[: number - 1]), ZERO)
        return {where: sum(sides, self.sash * (len(sides) - 1)) + more for where, sides in self.lengths().items()}

    def before(self, number: int) -> dict[str, Measure]:
        """How long the strips of a border (from 1) are: those at the sides, those at top and bottom."""
        own, found = self.quilt.borders[number - 1], self.top(number)
        return found if own.corners else found | {ENDS: found[ENDS] + 2 * self.wide(own)}

    def most_pieces(self, number: int) -> int:
        """How many cells as wide as a border its longer strips have."""
        return (max(self.before(number).values()) / self.wide(self.quilt.borders[number - 1])).__floor__()

    def pieces(self, number: int, where: str) -> tuple[StripPiece, ...] | None:
        """The pieces of a pieced border's strips on its sides, or top and bottom; None where they do not fill it."""
        border = self.quilt.borders[number - 1]
        if border.outer_sash:
            return tuple(self._as_sashes(border, where))
        length, wide, found = self.before(number)[where], self.wide(border), list[StripPiece]()
        for cell in cycle(border.picture):
            if length <= 0:
                break
            found.append(StripPiece(wide * cell.across, cell.quarters))
            length = length - found[-1].length
        return None if length else tuple(found)

    def _as_sashes(self, border: Border, where: str) -> Iterator[StripPiece]:
        """Pieces as long as the blocks, squares where sashes end."""
        assert border.corners is not None
        for place, side in enumerate(self.lengths()[where]):
            if place and self.sash:
                yield StripPiece(self.sash, (border.corners,) * 4)
            yield StripPiece(side, (border.fabric,) * 4)

    def spacer(self, number: int) -> Measure | None:
        """The least width, above the seam, of a plain border before this one with which its cells fill both sides; None
        where there is no such width."""
        wide, found = self.wide(self.quilt.borders[number - 1]), self.before(number)
        lacking = {round_up(length, wide) - length for length in found.values() if length.is_rational}
        even = len(lacking) == 1 and all(length.is_rational for length in found.values())
        if not even:
            return None
        half = lacking.pop() / 2
        # Another half cell on each side is another cell in each strip.
        while half <= self.seam:
            half = half + wide / 2
        return half

    def cell_that_fits(self, number: int) -> Measure | None:
        """The width nearest to this border's, and not wider, whose cells fill its sides as they are."""
        wide, sides = self.wide(self.quilt.borders[number - 1]), self.top(number).values()
        if not all(side.is_rational for side in sides):
            return None
        parts = [Fraction(side.p, side.d) for side in sides]
        common = lcm(*(part.denominator for part in parts))
        whole = Measure(Fraction(gcd(*(int(part * common) for part in parts)), common))
        return whole / max(-((-whole / wide).__floor__()), 1)


def strip_pieces(plan: Plan, number: int, where: str) -> tuple[StripPiece, ...]:
    """The pieces of a strip of a pieced border (from 1) of a plan, which its reader has found to fill its side."""
    found = Sides(plan.quilt, plan.blocks, plan.seam).pieces(number, where)
    assert found is not None
    return found


Shown = tuple[Polygon, str]
"""A polygon and its cloth."""


def pieced_border(plan: Plan, number: int, inner: tuple[Measure, Measure, Measure, Measure]) -> dict[str, list[Shown]]:
    """What the strips of a pieced border (from 1) show round a top with these edges (left, top, right, bottom): on the
    left, right, top and bottom, the cornerstones with the latter two."""
    border = plan.quilt.borders[number - 1]
    left, top, right, bottom = inner
    wide = border.cut - 2 * plan.seam
    out = ZERO if border.corners else wide
    found: dict[str, list[Shown]] = {"left": [], "right": [], "top": [], "bottom": []}
    for polygon, fabric in _strip(strip_pieces(plan, number, SIDES), wide):
        found["left"].append((tuple((left - wide + y, bottom - x) for x, y in polygon), fabric))
        found["right"].append((tuple((right + wide - y, top + x) for x, y in polygon), fabric))
    for polygon, fabric in _strip(strip_pieces(plan, number, ENDS), wide):
        found["top"].append((tuple((left - out + x, top - wide + y) for x, y in polygon), fabric))
        found["bottom"].append((tuple((right + out - x, bottom + wide - y) for x, y in polygon), fabric))
    if border.corners is not None:
        for name, y in (("top", top - wide), ("bottom", bottom)):
            found[name] += [(rectangle(x, y, x + wide, y + wide), border.corners) for x in (left - wide, right)]
    return found


def _strip(pieces: tuple[StripPiece, ...], wide: Measure) -> Iterator[Shown]:
    """A strip lying at (0, 0)."""
    starts = accumulate((piece.length for piece in pieces), initial=ZERO)
    for piece, x in zip(pieces, starts, strict=False):
        yield from cell_polygons(piece.quarters, x, piece.length, wide)


def cell_polygons(quarters: Quarters, x: Measure, width: Measure, height: Measure) -> Iterator[Shown]:
    """What a cell whose upper left corner lies at (x, 0) shows: one cloth, two halves, or four quarters."""
    corners = rectangle(x, ZERO, x + width, height)
    top, right, bottom, left = quarters
    if len(set(quarters)) == 1:
        yield corners, top
    elif top == left and right == bottom:
        yield (corners[0], corners[1], corners[3]), top
        yield corners[1:], right
    elif top == right and bottom == left:
        yield corners[:3], top
        yield (corners[0], corners[2], corners[3]), left
    else:
        middle = x + width / 2, height / 2
        yield from (((corners[n], corners[(n + 1) % 4], middle), quarters[n]) for n in range(4))
