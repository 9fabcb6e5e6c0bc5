"""Exact flat geometry: points, straight lines and convex polygons with `Measure` coordinates.

x runs to the right and y down, as cloth lies on the table. A point is a pair (x, y), a polygon the tuple of
its corners in clockwise order as seen, without repeated or needless corners, and every polygon here is
convex. Nothing is approximate: a point is on a line or it is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache

from tracker.exact.measure import Measure, compare
from tracker.exact.roots import Rooted, root_of

XY = tuple[Measure, Measure]
Polygon = tuple[XY, ...]
Segment = tuple[XY, XY]
Span = tuple[Measure, Measure]
"""An interval of positions along a straight line."""
Box = tuple[Measure, Measure, Measure, Measure]
"""left, top, right, bottom"""

ZERO = Measure(0)
ONE = Measure(1)
_SIGNS = (ZERO, ONE, Measure(-1))
_HALF_ROOT = Measure(0, Fraction(1, 2))
_TURNS = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}


def least(values: Iterable[Measure]) -> Measure:
    """The smallest of one or more numbers."""
    found, *rest = values
    for value in rest:
        if compare(value, found) < 0:
            found = value
    return found


def greatest(values: Iterable[Measure]) -> Measure:
    """The largest of one or more numbers."""
    found, *rest = values
    for value in rest:
        if compare(value, found) > 0:
            found = value
    return found


class Straight:
    """The endless line a*x + b*y = c, with (a, b) the direction that its *ahead* side lies in.

    Scaled so that the first of a, b that is not zero is 1 or -1: lines at 0, 45 and 90 degrees have whole ones.
    """

    __slots__ = ("_forward", "_place", "_upright", "a", "b", "c")

    def __init__(self, a: Measure, b: Measure, c: Measure) -> None:
        scale = abs(a) if a else abs(b)
        if not scale:
            raise ValueError("two equal points give no line")
        if scale != ONE:
            a, b, c = a / scale, b / scale, c / scale
        self.a, self.b, self.c = a, b, c
        # Most lines run along the grid: for them the side of a point is one comparison of its x (1) or y (2).
        self._upright = 1 if not b else 2 if not a else 0
        self._forward = (a.p or b.p) > 0
        self._place = c if self._forward or not self._upright else -c

    @property
    def key(self) -> tuple[object, ...]:
        """The same for lines of the same points and ahead side, and for no others."""
        a, b, c = self.a, self.b, self.c
        if c.__class__ is Rooted:
            return a, b, c
        return a.p, a.q, a.d, b.p, b.q, b.d, c.p, c.q, c.d

    @classmethod
    def through(cls, start: XY, end: XY) -> Straight:
        """The line from start to end; ahead is on the right hand of who walks along it (y runs down)."""
        a, b = start[1] - end[1], end[0] - start[0]
        up, along = a.sign(), b.sign()
        # Along the grid and at 45 degrees, where nearly all lines run, there is nothing to divide.
        if not along or not up or a == b or a == -b:
            x, y = (ZERO, start[0], -start[0])[up], (ZERO, start[1], -start[1])[along]
            return cls(_SIGNS[up], _SIGNS[along], x + y)
        return cls(a, b, a * start[0] + b * start[1])

    def value(self, point: XY) -> Measure:
        """Positive ahead of the line, negative behind, 0 on it: the distance times `length`."""
        a, b = self.a, self.b
        if a.p == 0 and a.q == 0:
            return point[1] - self.c if b.p > 0 else -point[1] - self.c
        across = point[0] if a.p > 0 else -point[0]
        if b.q == 0 and b.d == 1:
            if b.p == 0:
                return across - self.c
            if b.p == 1:
                return across + point[1] - self.c
            if b.p == -1:
                return across - point[1] - self.c
        return across + b * point[1] - self.c

    def side(self, point: XY) -> int:
        """1 ahead, 0 on the line, -1 behind."""
        if self._upright:
            ahead = compare(point[0] if self._upright == 1 else point[1], self._place)
            return ahead if self._forward else -ahead
        return self.value(point).sign()

    def box_side(self, bounds: Box) -> int:
        """1 or -1 where a whole box lies ahead of or behind the line (or on it), 0 where it lies across or may."""
        if not self._upright:
            return 0
        low, high = (bounds[0], bounds[2]) if self._upright == 1 else (bounds[1], bounds[3])
        if compare(low, self._place) >= 0:
            return 1 if self._forward else -1
        if compare(high, self._place) <= 0:
            return -1 if self._forward else 1
        return 0

    def crossing(self, start: XY, end: XY) -> XY:
        """Where the line meets the segment between two points on different sides of it."""
        if self._upright:
            own, other = self._upright - 1, 2 - self._upright
            along, across = end[own] - start[own], end[other] - start[other]
            # Most sides run along the grid or at 45 degrees: no quotient is needed for them.
            if not across:
                there = start[other]
            elif across == along:
                there = start[other] + (self._place - start[own])
            else:
                there = start[other] + across * ((self._place - start[own]) / along)
            return (self._place, there) if own == 0 else (there, self._place)
        first, second = self.value(start), self.value(end)
        share = first / (first - second)
        return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share

    @property
    def squared(self) -> Measure:
        """The square of `length`."""
        return self.a * self.a + self.b * self.b

    @property
    def length(self) -> Measure:
        """How long the direction (a, b) is: 1 for lines along the grid, √2 at 45 degrees, another root at other slopes.

        ValueError where the slope is not rational.
        """
        if self._upright:
            return ONE
        squared = self.squared
        if not squared.is_rational:
            raise ValueError("this line has no exact parallel at a given distance")
        return root_of(squared.rational)

    def parallel(self, distance: Measure) -> Straight:
        """The line that lies `distance` ahead (behind, where it is negative). ValueError as for `length`."""
        return Straight(self.a, self.b, self.c + distance * self.length)

    def turned_about(self) -> Straight:
        """The same line with ahead and behind exchanged."""
        return Straight(-self.a, -self.b, -self.c)

    def is_parallel(self, other: Straight) -> bool:
        return self.a * other.b == self.b * other.a

    def at_distance(self, other: Straight, distance: Measure) -> bool:
        """True where both are parallel, `distance` apart on either side."""
        if not self.is_parallel(other):
            return False
        same = self.a == other.a and self.b == other.b
        apart = self.c - other.c if same else self.c + other.c
        return apart * apart == distance * distance * self.squared

    def same_line(self, other: Straight) -> bool:
        """True where both hold the same points, whichever side is ahead."""
        return self.at_distance(other, ZERO)

    def along(self, point: XY) -> Measure:
        """The position of a point along the line: the distance from a fixed point on it times `length`."""
        if self._upright:
            place = point[2 - self._upright]
            return place if self._forward == (self._upright == 2) else -place
        return self.b * point[0] - self.a * point[1]

    def point_at(self, along: Measure) -> XY:
        """The point on the line at that position."""
        if self._upright:
            place = along if self._forward == (self._upright == 2) else -along
            return (self._place, place) if self._upright == 1 else (place, self._place)
        squared = self.squared
        return (self.a * self.c + self.b * along) / squared, (self.b * self.c - self.a * along) / squared

    def reflected(self, point: XY) -> XY:
        """The point as far on the other side."""
        twice = self.value(point) * 2 / self.squared
        return point[0] - self.a * twice, point[1] - self.b * twice

    def __repr__(self) -> str:
        return f"Straight({self.a!r}, {self.b!r}, {self.c!r})"


def rectangle(left: Measure, top: Measure, right: Measure, bottom: Measure) -> Polygon:
    """The upright rectangle with those sides."""
    return (left, top), (right, top), (right, bottom), (left, bottom)


def area(polygon: Polygon) -> Measure:
    """The area, positive for corners in clockwise order as seen."""
    # Measured from the first corner, so that small pieces far from the origin keep small numbers.
    x0, y0 = polygon[0]
    twice = ZERO
    before = (polygon[1][0] - x0, polygon[1][1] - y0)
    for x, y in polygon[2:]:
        now = (x - x0, y - y0)
        twice = twice + before[0] * now[1] - now[0] * before[1]
        before = now
    return twice / 2


def box(points: Iterable[XY]) -> Box:
    """The upright rectangle that just holds the points."""
    (left, top), *rest = points
    right, bottom = left, top
    for x, y in rest:
        if compare(x, left) < 0:
            left = x
        elif compare(x, right) > 0:
            right = x
        if compare(y, top) < 0:
            top = y
        elif compare(y, bottom) > 0:
            bottom = y
    return left, top, right, bottom


def boxes_apart(a: Box, b: Box) -> bool:
    """True where two boxes share no area."""
    return compare(a[2], b[0]) <= 0 or compare(b[2], a[0]) <= 0 or compare(a[3], b[1]) <= 0 or compare(b[3], a[1]) <= 0


def split(polygon: Polygon, line: Straight) -> tuple[Polygon | None, Polygon | None]:
    """The parts of a polygon behind and ahead of a line, None where there is no area."""
    sides = [line.side(corner) for corner in polygon]
    if max(sides) <= 0:
        return polygon, None
    if min(sides) >= 0:
        return None, polygon
    behind: list[XY] = []
    ahead: list[XY] = []
    for index, corner in enumerate(polygon):
        here, before = sides[index], sides[index - 1]
        if here * before < 0:
            crossing = line.crossing(polygon[index - 1], corner)
            behind.append(crossing)
            ahead.append(crossing)
        if here <= 0:
            behind.append(corner)
        if here >= 0:
            ahead.append(corner)
    return tuple(behind), tuple(ahead)


def sides_of(polygon: Polygon) -> list[Segment]:
    """The sides, each from one corner to the next."""
    return [(polygon[index - 1], corner) for index, corner in enumerate(polygon)]


@lru_cache(maxsize=4096)
def _inward(polygon: Polygon) -> tuple[Straight, ...]:
    """The lines along the sides, the polygon ahead of each: kept, since one polygon is held against many."""
    return tuple(Straight.through(start, end) for start, end in sides_of(polygon))


def intersection(first: Polygon, second: Polygon) -> Polygon | None:
    """What two polygons share, None where that has no area."""
    if boxes_apart(box(first), box(second)):
        return None
    if len(first) == len(second) and set(first) == set(second):
        return first
    rest = first
    for line in _inward(second):
        inside = split(rest, line)[1]
        if inside is None:
            return None
        rest = inside
    return rest


def difference(first: Polygon, second: Polygon) -> list[Polygon]:
    """What is left of the first without the second, as polygons that share no area."""
    if boxes_apart(box(first), box(second)):
        return [first]
    left: list[Polygon] = []
    rest = first
    for line in _inward(second):
        outside, inside = split(rest, line)
        if inside is None:
            return [first]
        if outside is not None:
            left.append(outside)
        rest = inside
    return left


def without(polygons: Sequence[Polygon], holes: Iterable[Polygon]) -> list[Polygon]:
    """What is left of all polygons without any of the holes."""
    left = list(polygons)
    for hole in holes:
        left = [part for polygon in left for part in difference(polygon, hole)]
    return left


def locate(polygon: Polygon, point: XY) -> int:
    """1 where the point is inside the polygon, 0 on its edge, -1 outside."""
    return min(line.side(point) for line in _inward(polygon))


def turned(point: XY, degrees: int) -> XY:
    """The point turned clockwise round (0, 0) by a multiple of 45 degrees."""
    if degrees % 45:
        raise ValueError(f"pieces are turned by multiples of 45 degrees, not by {degrees}")
    x, y = point
    if degrees % 90:
        x, y = (x - y) * _HALF_ROOT, (x + y) * _HALF_ROOT
    cosine, sine = _TURNS[degrees // 90 * 90 % 360]
    if sine:
        return (-y, x) if sine > 0 else (y, -x)
    return (x, y) if cosine > 0 else (-x, -y)


def chord(polygon: Polygon, line: Straight) -> Span | None:
    """The positions along the line between which it runs in the polygon or on its side, None for a touch."""
    sides = [line.side(corner) for corner in polygon]
    met = [line.along(corner) for corner, side in zip(polygon, sides, strict=True) if side == 0]
    for index, corner in enumerate(polygon):
        if sides[index] * sides[index - 1] < 0:
            met.append(line.along(line.crossing(polygon[index - 1], corner)))
    if len(met) < 2:
        return None
    low, high = least(met), greatest(met)
    return (low, high) if low != high else None


def clip_segment(segment: Segment, line: Straight) -> Segment | None:
    """The part of a segment ahead of or on a line, None where that has no length."""
    start, end = line.side(segment[0]), line.side(segment[1])
    if start >= 0 and end >= 0:
        return segment
    if start <= 0 and end <= 0:
        return None
    crossing = line.crossing(segment[0], segment[1])
    return (segment[0], crossing) if start > 0 else (crossing, segment[1])


# Spans: sets of positions along one line, as lists of intervals.


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same positions as ordered intervals that do not touch."""
    rest = sorted(spans, key=lambda span: span[0])
    joined: list[Span] = []
    for low, high in rest:
        if joined and compare(low, joined[-1][1]) <= 0:
            if compare(high, joined[-1][1]) > 0:
                joined[-1] = joined[-1][0], high
        else:
            joined.append((low, high))
    return joined


def common(first: Iterable[Span], second: Iterable[Span]) -> list[Span]:
    """The positions in both, as ordered intervals."""
    second = list(second)
    found: list[Span] = []
    for low, high in first:
        for from_, to in second:
            start, end = greatest((low, from_)), least((high, to))
            if compare(start, end) < 0:
                found.append((start, end))
    return merged(found)


def left_of_spans(spans: Iterable[Span], taken: Iterable[Span]) -> list[Span]:
    """The positions in the first that are not in the second, as ordered intervals."""
    left = merged(spans)
    for low, high in merged(taken):
        kept: list[Span] = []
        for start, end in left:
            if compare(high, start) <= 0 or compare(end, low) <= 0:
                kept.append((start, end))
                continue
            if compare(start, low) < 0:
                kept.append((start, low))
            if compare(high, end) < 0:
                kept.append((high, end))
        left = kept
    return left
