"""Cloth reckoned as polygons while a slanting unit is made: laid on an edge, sewn beside it, opened, cut level.

So that a recipe can say where a seam runs and how large a piece is then, whatever the slope.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.exact.geometry import (
    XY,
    ZERO,
    Polygon,
    Segment,
    Straight,
    area,
    box,
    chord,
    common,
    greatest,
    least,
    merged,
    split,
)
from tracker.exact.measure import Measure
from tracker.work.steps import Size


@dataclass(frozen=True)
class Flat:
    """A piece of areas as it lies, its bounding box wherever it may be."""

    polygons: tuple[Polygon, ...]

    @property
    def size(self) -> Size:
        """How far it reaches."""
        left, top, right, bottom = box(corner for polygon in self.polygons for corner in polygon)
        return right - left, bottom - top

    def place(self, point: XY) -> XY:
        """A point as it lies once the piece is moved so that its bounding box begins at (0, 0)."""
        left, top, _, _ = box(corner for polygon in self.polygons for corner in polygon)
        return point[0] - left, point[1] - top

    def line(self, segment: Segment) -> Segment:
        """A line likewise."""
        return self.place(segment[0]), self.place(segment[1])

    def with_laid(self, laid: Sequence[Polygon]) -> Flat:
        """All that lies there when pieces lie on it."""
        return Flat((*self.polygons, *laid))

    def parted(self, edge: Segment) -> tuple[Flat, Flat]:
        """What is left of it on the right hand of who walks along an edge, and what is cut off on the left."""
        parts = [split(polygon, Straight.through(*edge)) for polygon in self.polygons]
        kept = tuple(ahead for _, ahead in parts if ahead is not None)
        return Flat(kept), Flat(tuple(behind for behind, _ in parts if behind is not None))


def settled(polygon: Polygon) -> Polygon:
    """A polygon moved so that its box begins at (0, 0)."""
    left, top, _, _ = box(polygon)
    return tuple((x - left, y - top) for x, y in polygon)


def middle_of(polygon: Polygon) -> XY:
    """A point inside a polygon."""
    count = len(polygon)
    return sum((x for x, _ in polygon), ZERO) / count, sum((y for _, y in polygon), ZERO) / count


def folded_over(polygon: Polygon, edge: Segment) -> Polygon:
    """Where a polygon comes to lie when it is folded over a line."""
    line = Straight.through(*edge)
    return tuple(line.reflected(corner) for corner in reversed(polygon))


def seam_beside(base: Flat, laid: Polygon, edge: Segment, seam: Measure) -> Segment:
    """The seam that holds a folded polygon on a base, a seam's width on the right hand of who walks along the edge: as
    far as both lie there."""
    line = Straight.through(*edge).parallel(seam)
    under = merged(span for polygon in base.polygons if (span := chord(polygon, line)) is not None)
    over = chord(laid, line)
    spans = common(under, [over] if over else [])
    ends = [end for span in spans for end in span]
    first, last = line.point_at(least(ends)), line.point_at(greatest(ends))
    return (first, last) if _along(edge, first, last) else (last, first)


def _along(edge: Segment, first: XY, last: XY) -> bool:
    """Whether one comes from the first to the last point in the direction of the edge."""
    ways = [(end[0] - start[0], end[1] - start[1]) for start, end in (edge, (first, last))]
    return ways[0][0] * ways[1][0] + ways[0][1] * ways[1][1] > 0


def opened(base: Flat, laid: Sequence[Polygon], seams: Sequence[Segment]) -> Flat:
    """The piece with each laid polygon folded back over its seam; what lies behind the seams is not seen."""
    lines = [Straight.through(*seam) for seam in seams]
    seen = list(base.polygons)
    for line in lines:
        seen = [part for polygon in seen if (part := split(polygon, line)[1]) is not None]
    for polygon, seam, line in zip(laid, seams, lines, strict=True):
        kept = split(polygon, line)[1]
        assert kept is not None
        seen.append(folded_over(kept, seam))
    assert all(area(polygon) > 0 for polygon in seen)
    return Flat(tuple(seen))
