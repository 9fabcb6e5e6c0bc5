"""What actions do to cloth: units made by hand-written steps must come out as a piecer makes them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from handmade import QUARTER, R, Table, at, beside, check_against_reference, covers, line, shows

from tracker.cloth.doing import Margins
from tracker.cloth.pieces import Piece, Stack
from tracker.exact.geometry import XY, ZERO, Segment
from tracker.exact.measure import Measure, Number

S = QUARTER
SIDE = Measure(3)
"""The cut size used for most units below."""


def two_at_a_time(table: Table, dark: str, light: str, side: Measure = SIDE) -> str:
    """Two half-square triangles, pressed and not trimmed: dark upper right, side - s√2."""
    away = table.seam * R
    base = table.cut(dark, side)
    laid = table.mark(table.cut(light, side), line(0, 0, side, side))
    pair = table.pair(base, (laid, 90, 0, 0))
    sewn = table.sew(pair, line(away, 0, side, side - away), line(0, away, side - away, side))
    half = table.apart(
        sewn,
        [line(0, 0, side, side)],
        (at(side * 3 / 4, side / 4), 0, f"{dark}{light} half"),
        (at(side / 4, side * 3 / 4), 180, f"{dark}{light} half"),
    )
    return table.press(half)


@pytest.mark.parametrize("seam", [S, Measure(Fraction(3, 8)), Measure(Fraction(3, 4))])
def test_half_square_two_at_a_time(seam: Measure) -> None:
    table = Table(seam)
    pressed = two_at_a_time(table, "D", "L")
    opened = SIDE - seam * R
    finished = opened - Fraction(1, 8)
    table.trim(pressed, finished, finished, at(opened / 2, opened / 2), "unit")
    trace = table.sewn()
    piece = table.piece(pressed)
    assert piece.size == (opened, opened)
    assert shows(piece, "D", (0, 0), (opened, 0), (opened, opened))
    assert shows(piece, "L", (0, 0), (opened, opened), (0, opened))
    assert [seam.toward for seam in piece.seams] == [(1, -1)]
    unit = table.piece("unit")
    assert unit.size == (finished, finished)
    assert shows(unit, "D", (0, 0), (finished, 0), (finished, finished))
    margins = trace.done["trim:unit"].margins
    assert margins is not None
    assert margins.left == margins.top == margins.right == margins.bottom == Fraction(1, 16)
    for done in trace.done.values():
        for content in done.after.values():
            check_against_reference(content)


def test_half_square_eight_at_a_time() -> None:
    table, side = Table(), Measure(6)
    away, middle = S * R, side / 2
    base = table.cut("D", side)
    laid = table.mark(table.cut("L", side), line(0, 0, side, side), line(0, side, side, 0))
    pair = table.pair(base, (laid, 0, 0, 0))
    sewn = table.sew(
        pair,
        line(away, 0, side, side - away),
        line(0, away, side - away, side),
        line(0, side - away, side - away, 0),
        line(away, side, side, away),
    )
    cuts = [
        line(0, middle, side, middle),
        line(middle, 0, middle, side),
        line(0, 0, side, side),
        line(0, side, side, 0),
    ]
    # The right angle is brought to the upper right.
    turns = {
        (2, 1): 0, (1, 2): 180, (4, 1): 90, (5, 2): 270,
        (5, 4): 0, (4, 5): 180, (2, 5): 270, (1, 4): 90,
    }  # fmt: skip
    half = table.apart(sewn, cuts, *((at(*inside), turn, "half") for inside, turn in turns.items()))
    piece = table.piece(table.press(half))
    opened = middle - away
    assert piece.size == (opened, opened)
    assert shows(piece, "D", (0, 0), (opened, 0), (opened, opened))
    assert table.steps[-2].gives[0].each == 8


def test_half_square_four_at_a_time() -> None:
    table, side = Table(), Measure(5)
    far, middle = side - S, side / 2
    pair = table.pair(table.cut("D", side), (table.cut("L", side), 0, 0, 0))
    sewn = table.sew(pair, line(S, S, far, S), line(far, S, far, far), line(far, far, S, far), line(S, far, S, S))
    parts = [(at(middle, 1), 0), (at(4, middle), 270), (at(middle, 4), 180), (at(1, middle), 90)]
    cuts = [line(0, 0, side, side), line(0, side, side, 0)]
    half = table.apart(sewn, cuts, *((inside, turn, "half") for inside, turn in parts))
    piece = table.piece(table.press(half, "base", 225))
    opened = (side - 2 * S) / R
    assert piece.size == (opened, opened)
    assert shows(piece, "D", (0, 0), (opened, 0), (opened, opened))
    assert [(set(seam.line), seam.toward) for seam in piece.seams] == [({(ZERO, ZERO), (opened, opened)}, (1, -1))]


def crossed(table: Table, base: str, base_side: Measure, laid: str, laid_side: Measure, turn: int) -> None:
    """A half-square triangle laid on a base, sewn each side of the rising diagonal; gives "upper" and "lower"."""
    away = S * R
    seen = table.mark(laid, line(0, laid_side, laid_side, 0))
    pair = table.pair(base, (seen, turn, 0, base_side - laid_side))
    middle = line(0, base_side, base_side, 0)
    sewn = table.sew(pair, beside(middle, -away), beside(middle, away))
    table.apart(
        sewn,
        [middle],
        (at(base_side / 4, base_side / 4), 0, "upper"),
        (at(base_side * 3 / 4, base_side * 3 / 4), 0, "lower"),
    )


def test_quarter_square_gives_mirror_images() -> None:
    table = Table()
    base, laid = two_at_a_time(table, "A", "B"), two_at_a_time(table, "C", "D")
    side = SIDE - S * R
    # Turned so that the dark C lies over the light B: then the allowances lie opposite ways and nest.
    crossed(table, base, side, laid, side, 90)
    upper, lower = table.piece(table.press("upper")), table.piece(table.press("lower"))
    assert upper.size == lower.size == (side - S * R, side - S * R)
    # What lay over the top comes out on the right, what lay over the left at the bottom; and the other way about.
    assert quarters(upper) == "ADCB"
    assert quarters(lower) == "DABC"
    mirrored = quarters(lower)[::-1]
    assert mirrored in [quarters(upper)[k:] + quarters(upper)[:k] for k in range(4)]
    pair = table.sewn().lying[f"{base} paired"]
    assert isinstance(pair, Stack)
    (own,), (other,) = pair.base.seams, pair.laid[0].seams
    assert set(own.line) == set(other.line)
    assert (own.toward, other.toward) == ((1, -1), (-1, 1))


def test_split_quarter_square_on_a_larger_whole_square() -> None:
    table = Table()
    laid = two_at_a_time(table, "C", "D")
    base = table.cut("W", SIDE)
    side = SIDE - S * R
    crossed(table, base, SIDE, laid, side, 90)
    upper = table.press("upper", "base")
    opened = SIDE - S * R
    small = side - S * R
    assert table.piece(upper).size == (opened, opened)
    # The half-square triangle shares the lower left corner: the square unit is found there.
    centre = at(small / 2, opened - small / 2)
    unit = table.piece(table.trim(upper, small, small, centre))
    assert quarters(unit) == "WDCW"
    assert len(unit.facets) == 3
    lower = table.press("lower", "base")
    assert quarters(table.piece(table.trim(lower, small, small, centre))) == "DWWC"


def quarters(piece: Piece) -> str:
    """The cloths of four quarters, clockwise from the top."""
    side = piece.size[0]
    corners: list[tuple[Number, Number]] = [(0, 0), (side, 0), (side, side), (0, side)]
    middle = (side / 2, side / 2)
    return "".join(
        next(
            fabric
            for fabric in sorted({facet.fabric for facet in piece.facets})
            if covers(piece, fabric, corners[k], corners[(k + 1) % 4], middle)
        )
        for k in range(4)
    )


# Stitch and flip


def flipped(table: Table, base: str, small: str, x: Number, y: Number, side: Measure, rising: bool, out: int) -> str:
    """A marked square laid on a corner of the base, sewn on its mark, cut off a seam's width beyond, and pressed.

    `out` is 1 where the corner lies up or left of a rising seam (up or right of a falling one), else -1.
    """
    a, _ = (line(x, y + side, x + side, y), line(x, y, x + side, y + side))[:: 1 if rising else -1]
    sewn = table.sew(table.pair(base, (small, 0, x, y)), a)
    beyond = -out * S * R if rising else out * S * R
    cut = beside(a, beyond)
    long = line(*extended(cut, 20))
    inside, outside = beside(a, -2 * beyond), beside(a, 2 * beyond)
    keep = table.apart(sewn, [long], (middle_of(inside), 0, f"{base} cornered"), (middle_of(outside), 0, None))
    return table.press(keep, "laid")


def middle_of(a: Segment) -> XY:
    (x1, y1), (x2, y2) = a
    return at((x1 + x2) / 2, (y1 + y2) / 2)


def extended(a: Segment, by: int) -> tuple[Measure, Measure, Measure, Measure]:
    (x1, y1), (x2, y2) = a
    dx, dy = (x2 - x1).sign() * by, (y2 - y1).sign() * by
    return x1 - dx, y1 - dy, x2 + dx, y2 + dy


def test_flying_goose_stitch_and_flip() -> None:
    table = Table()
    high = 2 + 2 * S
    wide = 4 + 2 * S
    goose = table.cut("G", wide, high)
    small = table.mark(table.cut("K", high), line(0, 0, high, high))
    first = flipped(table, goose, small, 0, 0, high, rising=True, out=1)
    # The mark falls on the front, so it rises on the back; the second square is turned once.
    table.piece(first)
    second_small = table.cut("K", high, name="K other")
    marked = table.mark(second_small, line(0, high, high, 0))
    second = flipped(table, first, marked, wide - high, 0, high, rising=False, out=1)
    piece = table.piece(second)
    assert piece.size == (wide, high)
    assert shows(piece, "G", (0, high), (wide / 2, S), (wide, high))  # the point lies a seam's width inside the edge
    table.trim(second, wide, high, at(wide / 2, high / 2), "unit")
    assert table.sewn().done["trim:unit"].margins == Margins(ZERO, ZERO, ZERO, ZERO)


def test_snowball_corners_in_one_pressing() -> None:
    table = Table()
    side, corner = 4 + 2 * S, 1 + 2 * S
    base = table.cut("B", side)
    far = side - corner
    small = table.mark(table.cut("K", corner), line(0, 0, corner, corner))
    pair = table.pair(base, (small, 0, 0, 0), (small, 90, far, 0), (small, 0, far, far), (small, 90, 0, far))
    seams = [
        line(0, corner, corner, 0),
        line(far, 0, side, corner),
        line(side, far, far, side),
        line(corner, side, 0, far),
    ]
    sewn = table.sew(pair, *seams)
    reach = corner - S * R
    cuts = [
        line(0, reach, reach, 0),
        line(side - reach, 0, side, reach),
        line(side, side - reach, side - reach, side),
        line(reach, side, 0, side - reach),
    ]
    tip, end = S, side - S
    waste = [(at(tip, tip), 0, None), (at(end, tip), 0, None), (at(end, end), 0, None), (at(tip, end), 0, None)]
    kept = table.apart(sewn, cuts, (at(side / 2, side / 2), 0, "kept"), *waste)
    piece = table.piece(table.press(kept, "laid"))
    assert piece.size == (side, side)
    assert shows(
        piece, "B",
        (corner, 0), (far, 0), (side, corner), (side, far), (far, side), (corner, side), (0, far), (0, corner),
    )  # fmt: skip
    assert {seam.toward for seam in piece.seams} == {(-1, -1), (1, -1), (1, 1), (-1, 1)}


def test_square_in_a_square() -> None:
    table = Table()
    finished = Measure(4)
    centre = finished / R + 2 * S
    cut = finished / 2 + 2 * S + S * R
    middle = table.cut("C", centre)
    triangle = table.apart(
        table.cut("T", cut), [line(0, 0, cut, cut)],
        (at(cut - 1, 1), 0, "triangle"), (at(1, cut - 1), 180, "triangle"),
    )  # fmt: skip
    long = cut * R
    over = (long - centre) / 2
    # A right angle up and right, turned 45 degrees and a half turn, has its long edge on the left after flipping.
    sides = table.pair(middle, (triangle, 225, 0, -over), (triangle, 45, centre - long / 2, -over))
    far = over + centre
    sewn = table.sew(sides, line(S, over, S, far), line(centre - S, over, centre - S, far))
    opened = table.press(sewn, "laid")
    width = table.piece(opened).size[0]
    assert width == centre - 2 * S + 2 * (long / 2 - S)
    # The ears of the first two triangles stick out past the centre's edges by this much.
    left, ear = (width - centre) / 2, over - S
    low = ear + centre
    ends = table.pair(opened, (triangle, 135, left - over, ear), (triangle, 315, left - over, low - long / 2))
    sewn = table.sew(ends, line(0, ear + S, width, ear + S), line(0, low - S, width, low - S))
    whole = table.press(sewn, "laid", 45)
    piece = table.piece(whole)
    size = finished + 2 * S
    unit = table.piece(table.trim(whole, size, size, at(piece.size[0] / 2, piece.size[1] / 2)))
    point, edge = size / 2, size - S
    assert shows(unit, "C", (point, S), (edge, point), (point, edge), (S, point))


def test_flying_geese_four_at_a_time() -> None:
    table = Table()
    high, wide = Measure(2), Measure(4)
    large, small = wide + 2 * S + 2 * S * R, high + 2 * S + S * R
    away, rest = S * R, large - small
    base = table.cut("G", large)
    marked = table.mark(table.cut("K", small), line(0, small, small, 0))
    # The two small squares overlap in the middle of the large one; their marks make one line.
    pair = table.pair(base, (marked, 0, 0, 0), (marked, 0, rest, rest))
    whole = line(0, 0, large, large)
    sewn = table.sew(pair, beside(whole, away), beside(whole, -away))
    parts = [(at(large - 1, 1), 0, "heart"), (at(1, large - 1), 180, "heart")]
    heart = table.press(table.apart(sewn, [line(*extended(whole, 1))], *parts), "laid")
    lying = table.piece(heart)
    # Where the corner of the large square now lies: up and right of the wings.
    right = lying.size[0]
    corner = right - small
    third = table.pair(heart, (marked, 90, corner, 0))
    diagonal = line(corner, small, right, 0)
    sewn = table.sew(third, beside(diagonal, away), beside(diagonal, -away))
    insides = at(right - small / 2, S), at(right - S, small / 2)
    # The two are mirror images and lie on one pile: opened and trimmed they are alike.
    cut_line = line(*extended(diagonal, 20))
    table.apart(sewn, [cut_line], (insides[0], 180, "geese"), (insides[1], 90, "geese"))
    pressed = table.press("geese", "laid")
    goose = [corner for facet in table.piece(pressed).facets if facet.fabric == "G" for corner in facet.polygon]
    tip = min(goose, key=lambda corner: corner[1])
    size = wide + 2 * S, high + 2 * S
    unit = table.trim(pressed, *size, at(tip[0], tip[1] - S + size[1] / 2))
    assert shows(table.piece(unit), "G", (0, size[1]), (size[0] / 2, S), size)
    table.lay_out((unit, 0, "row", 0, 0), (unit, 180, "row", 0, 1))
    table.sewn()
