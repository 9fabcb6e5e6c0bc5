"""Exact polygons: against hand-computed values, and against a general geometry library."""

from __future__ import annotations

from fractions import Fraction

import pytest
from effort import tries
from handmade import number, shape
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPoint, union_all
from shapely import Point as Dot

from tracker.exact.geometry import (
    XY,
    Polygon,
    Segment,
    Straight,
    area,
    box,
    chord,
    clip_segment,
    common,
    compare,
    difference,
    intersection,
    left_of_spans,
    locate,
    merged,
    rectangle,
    split,
    turned,
    without,
)
from tracker.exact.measure import ROOT2, Measure

HALF = Fraction(1, 2)


def m(rational: int | Fraction, root: int | Fraction = 0) -> Measure:
    return Measure(rational, root)


def xy(x: int | Fraction | Measure, y: int | Fraction | Measure) -> XY:
    return m(0) + x, m(0) + y


def squared_distance(a: XY, b: XY) -> Measure:
    return (a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])


SQUARE = rectangle(m(0), m(0), m(4), m(4))
DIAGONAL = Straight.through(xy(0, 0), xy(4, 4))

coordinates = st.builds(
    Measure, st.fractions(-4, 4, max_denominator=8), st.sampled_from([0, 0, HALF, -HALF, Fraction(1)])
)
points = st.tuples(coordinates, coordinates)


@st.composite
def convex(draw: st.DrawFn) -> Polygon:
    """A square turned by a multiple of 45 degrees, cut down by a few lines."""
    side = draw(st.integers(1, 6))
    turn = draw(st.integers(0, 7)) * 45
    dx, dy = draw(points)
    corners = rectangle(m(0), m(0), m(side), m(side))
    polygon: Polygon = tuple((p[0] + dx, p[1] + dy) for p in (turned(corner, turn) for corner in corners))
    for _ in range(draw(st.integers(0, 2))):
        start, end = draw(points), draw(points)
        if start != end:
            polygon = split(polygon, Straight.through(start, end))[1] or polygon
    return polygon


@pytest.mark.parametrize(
    ("first", "second"),
    [(m(1), m(2)), (m(0, 1), m(HALF * 3)), (m(0, -1), m(-1)), (m(7, -5), m(0)), (m(3), m(3)), (m(0, 2), m(0, 2))],
)
def test_compare_agrees_with_ordering(first: Measure, second: Measure) -> None:
    for a, b in ((first, second), (second, first)):
        assert compare(a, b) == (a > b) - (a < b)


@given(coordinates, coordinates)
def test_compare_is_exact(a: Measure, b: Measure) -> None:
    assert compare(a, b) == (a - b).sign()


def test_split_gives_both_sides() -> None:
    behind, ahead = split(SQUARE, DIAGONAL)
    assert ahead is not None
    assert behind is not None
    # Ahead is the right hand of who walks down to the right: below and left.
    assert set(ahead) == {xy(0, 0), xy(4, 4), xy(0, 4)}
    assert set(behind) == {xy(0, 0), xy(4, 0), xy(4, 4)}
    assert area(ahead) == area(behind) == 8
    assert split(SQUARE, Straight.through(xy(0, 4), xy(4, 4))) == (SQUARE, None)


@pytest.mark.parametrize(
    ("line", "length"),
    [
        (Straight.through(xy(0, 0), xy(0, 3)), m(1)),
        (Straight.through(xy(0, 0), xy(5, 5)), ROOT2),
        (Straight.through(xy(0, 0), xy(3, 4)), m(Fraction(5, 4))),
    ],
)
def test_a_parallel_lies_at_exactly_its_distance(line: Straight, length: Measure) -> None:
    assert line.length == length
    for distance in (m(HALF), m(-2), m(0, 1)):
        other = line.parallel(distance)
        assert line.at_distance(other, distance)
        assert line.turned_about().at_distance(other, distance)
        assert not line.at_distance(other, distance * 2)
        assert line.side(other.point_at(m(0))) == distance.sign()


def test_no_exact_parallel_is_refused() -> None:
    with pytest.raises(ValueError, match="no exact parallel"):
        Straight.through(xy(0, 0), xy(1, 2 + ROOT2)).parallel(m(1))
    with pytest.raises(ValueError, match="equal points"):
        Straight.through(xy(1, 1), xy(1, 1))


@given(points, points, points)
def test_reflection_keeps_distances_and_returns(a: XY, b: XY, point: XY) -> None:
    if a == b:
        return
    line = Straight.through(a, b)
    there = line.reflected(point)
    assert line.reflected(there) == point
    assert line.side(there) == -line.side(point)
    assert squared_distance(there, a) == squared_distance(point, a)


@given(points, points, points)
def test_positions_along_a_line(a: XY, b: XY, point: XY) -> None:
    if a == b:
        return
    line = Straight.through(a, b)
    for end in (a, b):
        assert line.point_at(line.along(end)) == end
        assert line.side(end) == 0
    assert line.along(line.reflected(point)) == line.along(point)


def test_turns_are_clockwise_and_exact() -> None:
    assert turned(xy(1, 0), 90) == xy(0, 1)
    assert turned(xy(1, 0), 45) == (ROOT2 / 2, ROOT2 / 2)
    point = xy(3, HALF)
    for _ in range(8):
        point = turned(point, 45)
    assert point == xy(3, HALF)
    with pytest.raises(ValueError, match="45"):
        turned(point, 30)


@settings(max_examples=tries(150))
@given(convex(), convex())
def test_areas_unions_and_overlaps_agree_with_the_reference(first: Polygon, second: Polygon) -> None:
    own, other = shape(first), shape(second)
    assert number(area(first)) == pytest.approx(own.area)
    shared = intersection(first, second)
    assert number(area(shared) if shared else m(0)) == pytest.approx(own.intersection(other).area, abs=1e-9)
    left = difference(first, second)
    assert number(sum((area(part) for part in left), m(0))) == pytest.approx(own.difference(other).area, abs=1e-9)
    # Exactly: what is shared and what is left make up the whole.
    assert sum((area(part) for part in left), area(shared) if shared else m(0)) == area(first)
    assert union_all([shape(part) for part in left], grid_size=1e-9).area == pytest.approx(
        own.difference(other).area, abs=1e-6
    )


@given(convex(), points)
def test_locate_agrees_with_the_reference(polygon: Polygon, point: XY) -> None:
    found = locate(polygon, point)
    dot = Dot(number(point[0]), number(point[1]))
    distance = shape(polygon).exterior.distance(dot)
    if found == 0:
        assert distance < 1e-9
    elif distance > 1e-9:
        assert (found > 0) == shape(polygon).contains(dot)
    assert all(locate(polygon, corner) == 0 for corner in polygon)


@given(convex(), points, points)
def test_a_chord_is_what_the_reference_cuts(polygon: Polygon, a: XY, b: XY) -> None:
    if a == b:
        return
    line = Straight.through(a, b)
    found = chord(polygon, line)
    behind, ahead = split(polygon, line)
    if behind and ahead:
        assert found is not None
        ends = {line.point_at(found[0]), line.point_at(found[1])}
        assert ends == set(behind) & set(ahead)
    elif found is not None:
        assert {line.point_at(found[0]), line.point_at(found[1])} <= set(polygon)


@pytest.mark.parametrize(
    ("segment", "kept"),
    [
        ((xy(0, 4), xy(1, 4)), (xy(0, 4), xy(1, 4))),
        ((xy(4, 0), xy(5, 0)), None),
        ((xy(0, 2), xy(4, 2)), (xy(0, 2), xy(2, 2))),
        ((xy(4, 2), xy(0, 2)), (xy(2, 2), xy(0, 2))),
        ((xy(1, 1), xy(4, 0)), None),
    ],
)
def test_segments_are_clipped_to_the_side_ahead(segment: Segment, kept: Segment | None) -> None:
    assert clip_segment(segment, DIAGONAL) == kept


def test_without_several_holes() -> None:
    holes = [rectangle(m(1), m(1), m(2), m(2)), rectangle(m(2), m(2), m(6), m(6))]
    left = without([SQUARE], holes)
    assert sum((area(part) for part in left), m(0)) == 16 - 1 - 4
    assert not without([SQUARE], [rectangle(m(-1), m(-1), m(5), m(5))])


def test_box_of_points() -> None:
    assert box([xy(1, 5), xy(0, 1), (ROOT2, m(2))]) == (m(0), m(1), ROOT2, m(5))
    corners = MultiPoint([(0, 0), (4, 4)]).bounds
    assert tuple(map(number, box(SQUARE))) == corners


SPANS = [(m(0), m(2)), (m(4), m(6)), (m(1), m(3))]


@pytest.mark.parametrize(
    ("found", "wanted"),
    [
        (merged(SPANS), [(0, 3), (4, 6)]),
        (merged([(m(0), m(1)), (m(1), m(2))]), [(0, 2)]),
        (common(SPANS, [(m(2), m(5))]), [(2, 3), (4, 5)]),
        (common(SPANS, [(m(3), m(4))]), []),
        (left_of_spans(SPANS, [(m(2), m(5))]), [(0, 2), (5, 6)]),
        (left_of_spans(SPANS, [(m(1), m(2))]), [(0, 1), (2, 3), (4, 6)]),
        (left_of_spans(SPANS, [(m(0), m(6))]), []),
    ],
)
def test_spans(found: list[tuple[Measure, Measure]], wanted: list[tuple[int, int]]) -> None:
    assert found == wanted
