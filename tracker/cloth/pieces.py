"""Cloth as it lies on the table, exactly: pieces, folded stacks and groups.

Everything lies front up with its bounding box at (0, 0), x to the right and y down, in the plan's unit. What is
laid face down is kept as it lies, seen through from above. Nothing here knows of steps or piles.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from tracker.exact.geometry import (
    ONE,
    XY,
    ZERO,
    Box,
    Polygon,
    Segment,
    Span,
    Straight,
    area,
    box,
    chord,
    greatest,
    intersection,
    least,
    left_of_spans,
    merged,
    rectangle,
    sides_of,
    split,
    turned,
)
from tracker.exact.measure import Measure, compare

Compass = tuple[int, int]
"""A direction as the signs of its x and y: (1, 0) right, (0, 1) down, (1, -1) up and right. (0, 0) is none."""

OPEN: Compass = (0, 0)


UP: XY = (ZERO, -ONE)
"""The direction of cloth that lies upright."""


class Remembering:
    """A thing that never changes, with what was worked out of it, by what else that hangs on.

    The same unit lies in many blocks, so that its areas are moved and cut alike again and again.
    """

    @cached_property
    def remembered(self) -> dict[Hashable, Any]:
        return {}


@dataclass(frozen=True)
class Facet(Remembering):
    """One convex area of one cloth, front up in a piece. `ups` is where the upper end of its print lies, seen from its
    other; several where like pieces lie on one pile whose prints lie differently, none where the cloth has none."""

    polygon: Polygon
    fabric: str
    ups: tuple[XY, ...] = field(default=(), compare=False)

    @cached_property
    def bounds(self) -> Box:
        return box(self.polygon)

    @cached_property
    def area(self) -> Measure:
        return area(self.polygon)

    def shared_with(self, polygon: Polygon) -> tuple[Polygon | None, Measure]:
        """What lies in a polygon, None where that has no area; and its area."""
        found: tuple[Polygon | None, Measure] | None = self.remembered.get(polygon)
        if found is None:
            shared = intersection(self.polygon, polygon)
            found = self.remembered[polygon] = shared, ZERO if shared is None else area(shared)
        return found

    def parted(self, line: Straight) -> tuple[Facet | None, Facet | None]:
        """The parts behind and ahead of a line, None where there is no area."""
        side = line.box_side(self.bounds)
        if side:
            return (None, self) if side > 0 else (self, None)
        key = line.key
        found: tuple[Facet | None, Facet | None] | None = self.remembered.get(key)
        if found is None:
            behind, ahead = (
                self if part is self.polygon else None if part is None else Facet(part, self.fabric, self.ups)
                for part in split(self.polygon, line)
            )
            found = self.remembered[key] = behind, ahead
        return found


Cells = tuple[tuple[int, int], ...]
"""Places (row, column) in a block's picture."""


@dataclass(frozen=True)
class Seam(Remembering):
    """A seam as seen from the front. `toward` is the side its allowance lies on, OPEN, or None while unpressed.

    `between` is what the pieces joined there cover, left (or upper) first, for as long as the seam is unpressed.
    """

    line: Segment
    toward: Compass | None
    between: tuple[Cells, Cells] | None = None


@dataclass(frozen=True)
class Piece(Remembering):
    """A single thickness seen from the front: areas that do not overlap, seams, and pencil marks on its back.

    `cells` are the places (row, column) in a block's picture that it covers, as far as it has been laid out; unpressed
    seams are kept left to right (or top down).
    """

    facets: tuple[Facet, ...]
    seams: tuple[Seam, ...] = ()
    marks: tuple[Segment, ...] = ()
    cells: Cells = ()

    @cached_property
    def bounds(self) -> Box:
        return _around(facet.bounds for facet in self.facets)

    @cached_property
    def size(self) -> tuple[Measure, Measure]:
        left, top, right, bottom = self.bounds
        return right - left, bottom - top

    @cached_property
    def area(self) -> Measure:
        return sum((facet.area for facet in self.facets), ZERO)

    @property
    def polygons(self) -> tuple[Polygon, ...]:
        return tuple(facet.polygon for facet in self.facets)

    @cached_property
    def unpressed(self) -> tuple[Seam, ...]:
        return tuple(seam for seam in self.seams if seam.toward is None)

    def covering(self, cells: Cells) -> Piece:
        """The same cloth laid out in other places of the picture."""
        laid = replace(self, cells=cells)
        # What is remembered of a piece's cloth hangs on no places.
        laid.__dict__.update(bounds=self.bounds, size=self.size, remembered=self.remembered)
        return laid

    @cached_property
    def outline(self) -> tuple[Segment, ...]:
        """Every edge of the cloth, in no order; seams between areas left out."""
        return tuple(_outline(self.polygons))


@dataclass(frozen=True, eq=False)
class Stack(Remembering):
    """A base, front up, and pieces face down on it in the order they were laid, with the stitches through all.

    Each is only equal to itself: whether two lie alike is asked of `likeness`.
    """

    base: Piece
    laid: tuple[Piece, ...]
    stitches: tuple[Segment, ...] = ()

    @cached_property
    def bounds(self) -> Box:
        return _around(piece.bounds for piece in self.pieces)

    @property
    def size(self) -> tuple[Measure, Measure]:
        left, top, right, bottom = self.bounds
        return right - left, bottom - top

    @property
    def pieces(self) -> tuple[Piece, ...]:
        return (self.base, *self.laid)

    @property
    def marks(self) -> tuple[Segment, ...]:
        """The pencil marks that can be seen: those on the backs of the pieces laid face down."""
        return tuple(mark for piece in self.laid for mark in piece.marks)


@dataclass(frozen=True)
class Group:
    """Pieces in order, each already turned as it will be sewn, left to right or top down."""

    pieces: tuple[Piece, ...]


@dataclass(frozen=True, eq=False)
class HalfSewn(Remembering):
    """Pieces joined but for a part of one level seam, which is `open`: `piece` lies as if that were sewn too, without
    the allowances along it. Those are there all the same, and unsewn: `hidden`.

    The seam joins what covers the cells `between`; where it was begun its pieces lie level at the side `level`.
    """

    piece: Piece
    open: Segment
    hidden: tuple[Facet, ...]
    between: tuple[Cells, Cells]
    level: str

    @property
    def size(self) -> tuple[Measure, Measure]:
        return self.piece.size

    @property
    def pieces(self) -> tuple[Piece, ...]:
        return (self.piece,)


Content = Piece | Stack | Group | HalfSewn


def _around(boxes: Iterable[Box]) -> Box:
    """The box that just holds boxes."""
    boxes = tuple(boxes)
    left, top = least(each[0] for each in boxes), least(each[1] for each in boxes)
    return left, top, greatest(each[2] for each in boxes), greatest(each[3] for each in boxes)


def patch(fabric: str, width: Measure, height: Measure, prints: tuple[int, ...] = ()) -> Piece:
    """A rectangle of new cloth, its print turned so."""
    ups = tuple(turned(UP, degrees) for degrees in prints)
    return Piece((Facet(rectangle(ZERO, ZERO, width, height), fabric, ups),))


def spans_on(polygons: Iterable[Polygon], line: Straight) -> list[Span]:
    """Where the line runs through the polygons, as ordered intervals of positions along it."""
    return merged(span for polygon in polygons if (span := chord(polygon, line)) is not None)


def span_of(segment: Segment, line: Straight) -> Span:
    """The positions of a segment's ends along a line, the lower first."""
    start, end = line.along(segment[0]), line.along(segment[1])
    return (start, end) if compare(start, end) <= 0 else (end, start)


def segment_on(line: Straight, span: Span) -> Segment:
    """The two ends of a span along a straight line."""
    return line.point_at(span[0]), line.point_at(span[1])


def _outline(polygons: tuple[Polygon, ...]) -> Iterator[Segment]:
    sides: dict[tuple[Measure, Measure, Measure], tuple[list[Span], list[Span]]] = {}
    lines: dict[tuple[Measure, Measure, Measure], Straight] = {}
    for polygon in polygons:
        for side in sides_of(polygon):
            line = Straight.through(*side)
            forward = (line.a.sign() or line.b.sign()) > 0
            line = line if forward else line.turned_about()
            key = (line.a, line.b, line.c)
            lines.setdefault(key, line)
            sides.setdefault(key, ([], []))[forward].append(span_of(side, line))
    for key, (back, forth) in sides.items():
        for own, other in ((back, forth), (forth, back)):
            for span in left_of_spans(own, other):
                yield segment_on(lines[key], span)
