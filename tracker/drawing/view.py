"""Cloth on a sheet, to scale: pieces and stacks as they are seen, with their seams, pencil marks and stitches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import atan2, degrees, floor

from tracker.cloth.clipping import facets_without, segments_inside
from tracker.cloth.pieces import OPEN, Compass, Facet, Piece, Seam, Stack
from tracker.drawing.canvas import (
    INK,
    THREAD,
    Lettered,
    Sheet,
    Spot,
    Stretch,
    away,
    clear_spot,
    inner_radius,
    letter_size,
    stroke,
    text_width,
)
from tracker.exact.geometry import XY, Polygon, Segment, Straight, rectangle
from tracker.exact.measure import Measure, nearest, on_mark, write_length
from tracker.plan.model import Plan
from tracker.work.steps import Size

THICKNESS = 9
"""How far the lower layer of a stack peeps out, so that one sees there are two."""

_LEAST_RADIUS = 9
"""Areas smaller than this all round, like dog-ears, are not lettered."""
_HALF = Fraction(1, 2)
_Drawn = list[tuple[str, list[Spot]]]


@dataclass(frozen=True)
class ClothView:
    """Cloth on a sheet: drawing units for one unit of length, and where the cloth's (0, 0) lies."""

    sheet: Sheet
    scale: Fraction
    left: int
    top: int

    # places

    def whole(self, length: Measure) -> int:
        """A length in drawing units, to the nearest."""
        if not length.is_rational:
            return floor(length * self.scale + _HALF)
        over, under = self.scale.numerator, self.scale.denominator * length.d
        return (2 * length.p * over + under) // (2 * under)

    def spot(self, point: XY) -> Spot:
        return self.left + self.whole(point[0]), self.top + self.whole(point[1])

    def spots(self, polygon: Polygon) -> list[Spot]:
        return [self.spot(corner) for corner in polygon]

    def ends(self, segment: Segment) -> Stretch:
        return self.spot(segment[0]), self.spot(segment[1])

    def corners(self, piece: Piece) -> Stretch:
        """Where a piece's bounding box has its upper left and lower right corners."""
        left, top, right, bottom = piece.bounds
        return self.spot((left, top)), self.spot((right, bottom))

    def middle(self, piece: Piece) -> Spot:
        (left, top), (right, bottom) = self.corners(piece)
        return (left + right) // 2, (top + bottom) // 2

    def shifted(self, dx: int, dy: int) -> ClothView:
        return replace(self, left=self.left + dx, top=self.top + dy)

    # cloth

    def piece(self, piece: Piece, side: str = "front", avoid: Sequence[Stretch] = (), letters: bool = True) -> None:
        """One thickness of cloth as it is seen, its letters off the lines to avoid."""
        self.pieces([piece], side, avoid, letters)

    def pieces(
        self, pieces: Sequence[Piece], side: str = "front", avoid: Sequence[Stretch] = (), letters: bool = True
    ) -> None:
        """Several pieces that do not overlap, in few elements."""
        drawn = self._drawn(facet for piece in pieces for facet in piece.facets)
        self._areas(drawn, side)
        self._directions(facet for piece in pieces for facet in piece.facets)
        self._edges(pieces)
        if letters:
            self.sheet.letters(_lettered(drawn, avoid))

    def areas(self, facets: Iterable[Facet], side: str = "front") -> None:
        self._areas(self._drawn(facets), side)

    def letters(self, facets: Iterable[Facet], avoid: Sequence[Stretch] = (), least: int = 0) -> None:
        """The keys of cloths in their areas; with `least`, only where they can be that high."""
        drawn = self._drawn(facets)
        self.sheet.letters(each for each in _lettered(drawn, avoid) if each[2] >= least)

    def _edges(self, pieces: Sequence[Piece]) -> None:
        """Seams thin, then the cloth's outline strong."""
        seams = "".join(stroke(self.ends(seam.line)) for piece in pieces for seam in piece.seams)
        if seams:
            self.sheet.path(seams, "seam", INK, 4)
        outline = "".join(map(self._outline, pieces))
        self.sheet.add(
            f'<path class="edge" fill="none" stroke="{INK}" stroke-width="7" stroke-linecap="square" d="{outline}"/>'
        )

    def _outline(self, piece: Piece) -> str:
        if not is_rectangle(piece):
            return "".join(stroke(self.ends(edge)) for edge in piece.outline)
        (left, top), (right, bottom) = self.corners(piece)
        return f"M{left} {top}H{right}V{bottom}H{left}Z"

    def stack(self, stack: Stack, avoid: Sequence[Stretch] = ()) -> None:
        """A base and what lies face down on it, with pencil marks and stitches."""
        under = self.shifted(THICKNESS, THICKNESS) if stack.laid else self
        under.piece(stack.base, letters=False)
        for piece in stack.laid:
            self.piece(piece, "back", letters=False)
        for mark in stack.marks:
            self.pencil(mark)
        cloth = [polygon for piece in stack.pieces for polygon in piece.polygons]
        for stitch in stack.stitches:
            self.stitches(segments_inside([stitch], cloth))
        covers = [polygon for piece in stack.laid for polygon in piece.polygons]
        lines = [*map(self.ends, (*stack.marks, *stack.stitches)), *avoid]
        seen = under._drawn(facets_without(stack.base.facets, covers))
        self.sheet.letters(_lettered([each for each in seen if inner_radius(each[1]) > 20], lines))
        for piece in stack.laid:
            self.letters(piece.facets, lines)

    def _drawn(self, facets: Iterable[Facet]) -> _Drawn:
        return [(facet.fabric, self.spots(facet.polygon)) for facet in facets]

    def _areas(self, drawn: _Drawn, side: str) -> None:
        by_fabric: dict[str, list[list[Spot]]] = {}
        for fabric, polygon in drawn:
            by_fabric.setdefault(fabric, []).append(polygon)
        for fabric, polygons in by_fabric.items():
            self.sheet.cloth(polygons, fabric, side)

    def _directions(self, facets: Iterable[Facet]) -> None:
        """Small peaks on cloth that has a direction, toward its upper end."""
        ways: dict[int, list[list[Spot]]] = {}
        for facet in facets:
            if facet.ups and self.sheet.plan.fabrics[facet.fabric].directional:
                x, y = (self.whole(length * 1000) for length in facet.ups[0])
                ways.setdefault(round(degrees(atan2(x, -y))) % 360, []).append(self.spots(facet.polygon))
        for way, polygons in ways.items():
            self.sheet.peaks(polygons, way)

    # lines on cloth

    def pencil(self, mark: Segment) -> None:
        self.sheet.line(self.ends(mark), "pencil", INK, 7, "22 12", halo=5)

    def stitches(self, seam: Iterable[Segment]) -> None:
        """One seam's stitches, along the parts of its line where there is cloth."""
        shape = "".join(stroke(self.ends(part)) for part in seam)
        if shape:
            self.sheet.path(shape, "stitch", THREAD, 8, "26 9 5 9", halo=6)

    def allowances(self, piece: Piece, seams: Iterable[Seam], seam: Measure) -> None:
        """Dotted lines along the edge of each pressed allowance, where it lies under (or on) the cloth."""
        cloth = (rectangle(*piece.bounds),) if is_rectangle(piece) else piece.polygons
        edges = [edge for each in seams for edge in _allowance_edges(each, seam)]
        shape = "".join(stroke(self.ends(part)) for part in segments_inside(edges, cloth))
        if shape:
            self.sheet.path(shape, "allowance", INK, 5, "3 11", halo=3)

    def pressed_way(self, seam: Seam, length: int) -> Stretch:
        """Where an arrow of that length goes, across the middle of a pressed seam toward its allowance."""
        (x1, y1), (x2, y2) = self.ends(seam.line)
        spot = ((x1 + x2) // 2, (y1 + y2) // 2)
        compass, line = seam.toward or OPEN, Straight.through(*seam.line)
        if compass == OPEN:
            compass = (line.a.sign(), line.b.sign())
        if line.a and line.b and abs(line.b) != 1:
            # At other slopes than 45 degrees a compass direction is not square to the seam.
            ahead = 1 if compass == (line.a.sign(), line.b.sign()) else -1
            dx, dy = self.whole(line.a * 1000), self.whole(line.b * 1000)
            compass = (dx * ahead, dy * ahead)
        return toward(spot, compass, -length // 2), toward(spot, compass, length // 2)

    def dimensions(self, size: Size, below: int = 50, beside: int = 46, left: bool = False) -> None:
        """Width below and height beside a piece of that size lying at (0, 0)."""
        right, bottom = self.spot(size)
        self.sheet.across(self.left, right, bottom + below, figure(size[0], self.sheet.plan))
        x = self.left - beside if left else right + beside
        self.sheet.down(self.top, bottom, x, figure(size[1], self.sheet.plan), left)


def _allowance_edges(seam: Seam, width: Measure) -> Iterator[Segment]:
    """The far edges of a seam's allowance: one, two where it is pressed open, none where it is not pressed."""
    line = Straight.through(*seam.line)
    for side in (1, -1):
        if seam.toward in ((line.a.sign() * side, line.b.sign() * side), OPEN):
            edge = line.parallel(width * side)
            yield edge.point_at(edge.along(seam.line[0])), edge.point_at(edge.along(seam.line[1]))


def is_rectangle(piece: Piece) -> bool:
    """Whether the cloth fills its bounding box."""
    width, height = piece.size
    return piece.area == width * height


def _lettered(drawn: _Drawn, avoid: Sequence[Stretch]) -> list[Lettered]:
    """Where the letters of areas go; areas too small to hold any have none."""
    letters = []
    for fabric, polygon in drawn:
        if inner_radius(polygon) < _LEAST_RADIUS:
            continue
        size = letter_size(fabric, polygon)
        room = max(size * 3 // 5, text_width(fabric, size) // 2)
        letters.append((fabric, clear_spot(polygon, avoid, room), size))
    return letters


def toward(spot: Spot, compass: Compass, distance: int) -> Spot:
    """The spot moved by a distance in a compass direction."""
    return away(spot, (spot[0] - compass[0], spot[1] - compass[1]), distance)


def figure(length: Measure, plan: Plan) -> str:
    """A length as the ruler shows it: `2½`, or `≈2⅝` where it lies off the ruler's mark. The seam is never rounded."""
    if length == plan.seam or on_mark(length, plan.ruler):
        return write_length(length, plan.unit)
    return "≈" + write_length(nearest(length, plan.ruler), plan.unit)


def largest_scale(room: tuple[int, int], size: Size) -> Fraction:
    """Drawing units for one unit of length so that a size just fits a room; in steps of 1/64, and above 0."""
    steps = min(floor(Measure(64 * room[0]) / size[0]), floor(Measure(64 * room[1]) / size[1]))
    return Fraction(max(steps, 1), 64)
