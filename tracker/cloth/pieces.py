"""Cloth as it lies on the table, exactly: pieces, folded stacks and groups, and how they are turned and cut.

Everything lies front up with its bounding box at (0, 0), x to the right and y down, in the plan's unit. What is
laid face down is kept as it lies, seen through from above. Nothing here knows of steps or piles.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from tracker.exact.geometry import (
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
    clip_segment,
    common,
    greatest,
    intersection,
    least,
    left_of_spans,
    merged,
    rectangle,
    sides_of,
    split,
    turned,
    without,
)
from tracker.exact.measure import Measure, compare

Compass = tuple[int, int]
"""A direction as the signs of its x and y: (1, 0) right, (0, 1) down, (1, -1) up and right. (0, 0) is none."""

OPEN: Compass = (0, 0)
_RING: tuple[Compass, ...] = ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1))


class Remembering:
    """A thing that never changes, with what was worked out of it, by what else that hangs on.

    The same unit lies in many blocks, so that its areas are moved and cut alike again and again.
    """

    @cached_property
    def remembered(self) -> dict[Hashable, Any]:
        return {}


@dataclass(frozen=True)
class Facet(Remembering):
    """One convex area of one cloth, front up in a piece."""

    polygon: Polygon
    fabric: str

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
                self if part is self.polygon else None if part is None else Facet(part, self.fabric)
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
class Painted:
    """Something to paint: `side` is "front" or "back", the side of the cloth that is seen."""

    polygon: Polygon
    fabric: str
    side: str


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

    def painted(self) -> Iterator[Painted]:
        """Its areas, front up, in an order to paint them."""
        for facet in self.facets:
            yield Painted(facet.polygon, facet.fabric, "front")


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

    def painted(self) -> Iterator[Painted]:
        """Its areas in an order to paint them: the base's front, then the backs that lie on it."""
        yield from self.base.painted()
        for piece in self.laid:
            for facet in piece.facets:
                yield Painted(facet.polygon, facet.fabric, "back")


@dataclass(frozen=True)
class Group:
    """Pieces in order, each already turned as it will be sewn, left to right or top down."""

    pieces: tuple[Piece, ...]


Content = Piece | Stack | Group


def _around(boxes: Iterable[Box]) -> Box:
    """The box that just holds boxes."""
    boxes = tuple(boxes)
    left, top = least(each[0] for each in boxes), least(each[1] for each in boxes)
    return left, top, greatest(each[2] for each in boxes), greatest(each[3] for each in boxes)


def patch(fabric: str, width: Measure, height: Measure) -> Piece:
    """A rectangle of new cloth."""
    return Piece((Facet(rectangle(ZERO, ZERO, width, height), fabric),))


# Moving


@dataclass(frozen=True)
class Motion:
    """A movement of the table's plane: what it does to a point and to a compass direction, and whether it flips.

    Motions of one `key` do the same: what they did to an area or a seam is remembered with it.
    """

    point: Callable[[XY], XY]
    compass: Callable[[Compass], Compass]
    key: Hashable
    flips: bool = False
    box: Callable[[Box], Box] | None = None
    """What it does to an upright rectangle, where that stays one without more ado."""

    def segment(self, segment: Segment) -> Segment:
        return self.point(segment[0]), self.point(segment[1])

    def polygon(self, polygon: Polygon) -> Polygon:
        point = self.point
        return tuple([point(corner) for corner in (reversed(polygon) if self.flips else polygon)])

    def piece(self, piece: Piece) -> Piece:
        found = replace(
            piece,
            facets=tuple([self.facet(facet) for facet in piece.facets]),
            seams=tuple([self.seam(seam) for seam in piece.seams]),
            marks=tuple([self.segment(mark) for mark in piece.marks]),
        )
        self._measured(piece, found)
        return found

    def _measured(self, one: Facet | Piece, found: Facet | Piece) -> None:
        """What was measured of one thing holds after the motion too: how much cloth there is, and where it reaches."""
        known = one.__dict__
        if "area" in known:
            found.__dict__["area"] = known["area"]
        if self.box is not None and "bounds" in known:
            found.__dict__["bounds"] = self.box(known["bounds"])

    def facet(self, facet: Facet) -> Facet:
        found: Facet | None = facet.remembered.get(self.key)
        if found is None:
            found = facet.remembered[self.key] = Facet(self.polygon(facet.polygon), facet.fabric)
            self._measured(facet, found)
        return found

    def seam(self, seam: Seam) -> Seam:
        found: Seam | None = seam.remembered.get(self.key)
        if found is None:
            toward = None if seam.toward is None else self.compass(seam.toward)
            found = seam.remembered[self.key] = Seam(self.segment(seam.line), toward, seam.between)
        return found

    def stack(self, stack: Stack) -> Stack:
        return Stack(
            self.piece(stack.base),
            tuple(self.piece(piece) for piece in stack.laid),
            tuple(self.segment(stitch) for stitch in stack.stitches),
        )


def shift(dx: Measure, dy: Measure) -> Motion:
    """The motion that carries every point by dx and dy and turns nothing."""
    across, down = _carried_by(dx), _carried_by(dy)
    return Motion(
        lambda point: (across(point[0]), down(point[1])),
        lambda compass: compass,
        ("shift", dx.p, dx.q, dx.d, dy.p, dy.q, dy.d),
        box=lambda box: (across(box[0]), down(box[1]), across(box[2]), down(box[3])),
    )


def _carried_by(distance: Measure) -> Callable[[Measure], Measure]:
    """What adds a distance to places. Corners share their places, so each is added to once."""
    if not distance:
        return lambda place: place
    known: dict[int, tuple[Measure, Measure]] = {}

    def carried(place: Measure) -> Measure:
        # By identity; the place is kept as well, since an identity is only its own as long as it lives.
        found = known.get(id(place))
        if found is None:
            found = known[id(place)] = place, place + distance
        return found[1]

    return carried


def turn(degrees: int) -> Motion:
    """Clockwise round (0, 0), by a multiple of 45 degrees."""
    key = "turn", degrees
    return Motion(lambda point: turned(point, degrees), lambda compass: turned_compass(compass, degrees), key)


def flip() -> Motion:
    """Left to right, about the line x = 0."""
    return Motion(lambda point: (-point[0], point[1]), lambda compass: (-compass[0], compass[1]), ("flip",), flips=True)


def fold(line: Straight) -> Motion:
    """Over a line, to the other side."""

    def compass(direction: Compass) -> Compass:
        if direction == OPEN:
            return OPEN
        origin = line.reflected((ZERO, ZERO))
        x, y = line.reflected((Measure(direction[0]), Measure(direction[1])))
        return compare(x, origin[0]), compare(y, origin[1])

    return Motion(line.reflected, compass, ("fold", line.key), flips=True)


def turned_compass(compass: Compass, degrees: int) -> Compass:
    """A compass direction after a clockwise turn of whole eighths; open stays open."""
    return compass if compass == OPEN else _RING[(_RING.index(compass) + degrees // 45) % 8]


def ahead_of(line: Straight) -> Compass:
    """The compass direction of a line's ahead side."""
    return line.a.sign(), line.b.sign()


def settled_piece(piece: Piece) -> Piece:
    """The piece shifted so that its bounding box starts at (0, 0)."""
    left, top, _, _ = piece.bounds
    return shift(-left, -top).piece(piece) if left or top else piece


def settled(stack: Stack) -> Stack:
    """The stack shifted so that its bounding box starts at (0, 0)."""
    left, top, _, _ = stack.bounds
    return shift(-left, -top).stack(stack) if left or top else stack


def turned_piece(piece: Piece, degrees: int) -> Piece:
    """The piece turned clockwise, its bounding box at (0, 0) again."""
    if not degrees % 360:
        return piece
    found: Piece | None = piece.remembered.get(("turned", degrees))
    if found is None:
        found = piece.remembered["turned", degrees] = settled_piece(turn(degrees).piece(piece))
    return found.covering(piece.cells) if found.cells != piece.cells else found


def mirrored(content: Content) -> Content:
    """The mirror image, left for right, its bounding box at (0, 0)."""
    if isinstance(content, Piece):
        return settled_piece(flip().piece(content))
    if isinstance(content, Stack):
        return settled(flip().stack(content))
    return Group(tuple(settled_piece(flip().piece(piece)) for piece in content.pieces))


# Cutting


def clip_piece(piece: Piece, line: Straight, beyond: list[Facet] | None = None) -> Piece:
    """The part of a piece ahead of a line. Areas that fall away are added to `beyond`. May be without facets."""
    seams = tuple(_clipped_seams(piece.seams, line))
    marks = tuple(
        [left for mark in piece.marks if (left := clip_segment(mark, line)) is not None and not _lies_on(left, line)]
    )
    if piece.facets and line.box_side(piece.bounds) > 0:
        same = seams == piece.seams and marks == piece.marks
        return piece if same else replace(piece, seams=seams, marks=marks)
    kept: list[Facet] = []
    for facet in piece.facets:
        behind, ahead = facet.parted(line)
        if ahead is not None:
            kept.append(ahead)
        if behind is not None and beyond is not None:
            beyond.append(behind)
    return replace(piece, facets=tuple(kept), seams=seams, marks=marks)


def _clipped_seams(seams: Iterable[Seam], line: Straight) -> Iterator[Seam]:
    for seam in seams:
        start, end = line.side(seam.line[0]), line.side(seam.line[1])
        if start >= 0 and end >= 0 and (start or end):
            yield seam
        elif start > 0 or end > 0:
            left = clip_segment(seam.line, line)
            if left is not None:
                yield replace(seam, line=left)


def clip_stack(stack: Stack, line: Straight) -> Stack | None:
    """The part of a stack ahead of a line, None where nothing lies there. A piece not reaching there is left out."""
    base = clip_piece(stack.base, line)
    laid = [clipped for piece in stack.laid if (clipped := clip_piece(piece, line)).facets]
    if not base.facets and not laid:
        return None
    stitches = [left for stitch in stack.stitches if (left := clip_segment(stitch, line)) is not None]
    return Stack(base, tuple(laid), tuple(stitches))


def _lies_on(segment: Segment, line: Straight) -> bool:
    return line.side(segment[0]) == 0 and line.side(segment[1]) == 0


def facets_without(facets: Iterable[Facet], holes: Iterable[Polygon]) -> tuple[Facet, ...]:
    """What is left of areas that others lie in front of."""
    holes = list(holes)
    return tuple(Facet(part, facet.fabric) for facet in facets for part in without([facet.polygon], holes))


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


def segments_inside(segments: Iterable[Segment], polygons: Iterable[Polygon]) -> list[Segment]:
    """The parts of segments that run in or on the polygons."""
    polygons = list(polygons)
    found = []
    for segment in segments:
        line = Straight.through(*segment)
        for span in common([span_of(segment, line)], spans_on(polygons, line)):
            found.append(segment_on(line, span))
    return found


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
