"""Cloth turned, carried, folded and flipped on the table."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace

from tracker.cloth.pieces import OPEN, Compass, Content, Facet, Group, HalfSewn, Piece, Seam, Stack
from tracker.exact.geometry import XY, ZERO, Box, Polygon, Segment, Straight, turned
from tracker.exact.measure import Measure, compare

_RING: tuple[Compass, ...] = ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1))


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
    turns: bool = True

    def ways(self, ways: tuple[XY, ...]) -> tuple[XY, ...]:
        """What it does to directions."""
        if not ways or not self.turns:
            return ways
        left, top = self.point((ZERO, ZERO))
        return tuple([(x - left, y - top) for x, y in map(self.point, ways)])

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
            found = facet.remembered[self.key] = Facet(self.polygon(facet.polygon), facet.fabric, self.ways(facet.ups))
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
        ("shift", dx, dy),
        box=lambda box: (across(box[0]), down(box[1]), across(box[2]), down(box[3])),
        turns=False,
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
    if isinstance(content, Group):
        return Group(tuple(settled_piece(flip().piece(piece)) for piece in content.pieces))
    over, back = flip(), shift(content.size[0], ZERO)
    start, end = back.segment(over.segment(content.open))
    hidden = tuple(back.facet(over.facet(facet)) for facet in content.hidden)
    level = "left" if content.level == "right" else "right"
    return HalfSewn(settled_piece(over.piece(content.piece)), (end, start), hidden, content.between, level)
