"""Units joined: what lies in a row, how seams meet, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from handmade import Table, at, check_against_reference, covers, line, shows
from test_sewing import SIDE, S, two_at_a_time

from tracker.cloth.pieces import Stack
from tracker.cloth.sewing import flows
from tracker.exact.geometry import ZERO
from tracker.exact.measure import Number


def plain(table: Table, fabric: str, width: Number = 2 + 2 * S, height: Number | None = None) -> str:
    return table.cut(fabric, width, height)


def nine_patch(table: Table, directions: tuple[str, str, str]) -> str:
    """Three rows of three, each row pressed to the "left" or "right", then joined from the top."""
    dark, light = plain(table, "D"), plain(table, "L")
    places = [
        (dark if (row + column) % 2 == 0 else light, 0, f"row {row + 1}", row, column)
        for row in range(3)
        for column in range(3)
    ]
    table.lay_out(*places)
    rows = []
    for row, way in enumerate(directions, 1):
        joined = table.join("across", f"row {row}")
        names = [f"r{row}c{column}" for column in (1, 2, 3)]
        pairs = pairwise(names)
        rows.append(table.press_seams(joined, *((a, b, a if way == "left" else b) for a, b in pairs)))
    two = table.join("down", table.pin(rows[0], rows[1]))
    three = table.join("down", table.pin(two, rows[2]))
    return table.press_seams(three, ("row 1", "row 2", "row 2"), ("row 2", "row 3", "open"))


@pytest.mark.parametrize(
    ("directions", "nested"),
    [(("left", "right", "left"), (True, True)), (("left", "left", "right"), (False, True))],
)
def test_rows_joined_to_a_block(directions: tuple[str, str, str], nested: tuple[bool, bool]) -> None:
    table = Table()
    block = nine_patch(table, directions)
    trace = table.sewn()
    piece = table.piece(block)
    assert piece.size == (6 + 2 * S, 6 + 2 * S)
    edges = [ZERO, 2 + S, 4 + S, 6 + 2 * S]
    for row in range(3):
        for column in range(3):
            left, top, right, bottom = edges[column], edges[row], edges[column + 1], edges[row + 1]
            fabric = "D" if (row + column) % 2 == 0 else "L"
            assert covers(piece, fabric, (left, top), (right, top), (right, bottom), (left, bottom))
    met = [trace.done[step.id].junctions for step in table.steps if step.operation == "join"][-2:]
    for junctions, wanted in zip(met, nested, strict=True):
        ((across,),) = junctions.values()
        assert [junction.along for junction in across] == [2 + S, 4 + S]
        assert {junction.nests for junction in across} == {wanted}
    upright = {seam.line[0]: seam.toward for seam in piece.seams if seam.line[0][0] == seam.line[1][0]}
    ways = {"left": (-1, 0), "right": (1, 0)}
    assert upright[2 + S, ZERO] == ways[directions[0]]
    assert [seam.toward for seam in piece.seams if seam.line[0][1] == seam.line[1][1]] == [(0, 1), (0, 0)]
    check_against_reference(piece)


def test_frame_strips() -> None:
    table = Table()
    block = plain(table, "B", 4 + 2 * S)
    strip = table.cut("F", 4 + 2 * S, Fraction(3, 2), name="short")
    long = table.cut("F", 6 + 2 * S, Fraction(3, 2), name="long")
    orders = [("top strip", "block", "top strip"), ("block", "bottom strip", "bottom strip")]
    framed = table.press_seams(table.add_strips(block, strip, "top and bottom"), *orders)
    sides = [("left strip", "block", "left strip"), ("block", "right strip", "block")]
    framed = table.press_seams(table.add_strips(framed, long, "sides"), *sides)
    piece = table.piece(framed)
    assert piece.size == (6 + 2 * S, 6 + 2 * S)
    low, high = 1 + S, 5 + S
    assert shows(piece, "B", (low, low), (high, low), (high, high), (low, high))
    assert [seam.toward for seam in piece.seams] == [(-1, 0), (0, -1), (0, 1), (-1, 0)]


def test_strip_set() -> None:
    table = Table()
    table.cut("D", 20, 2, name="dark")
    table.cut("L", 20, 2, name="light")
    joined = table.press_seams(table.join("down", table.pin("dark", "light")), ("light", "dark", "dark"))
    cuts = [line(2, 0, 2, 3 + S * 2), line(4, 0, 4, 4)]
    table.apart(joined, cuts, (at(1, 1), 0, "two"), (at(3, 1), 0, "two"), (at(5, 1), 0, None))
    piece = table.piece("two")
    assert piece.size == (2, 2 * 2 - 2 * S)
    assert shows(piece, "D", (0, 0), (2, 0), (2, 2 - S), (0, 2 - S))


def test_flows_count_over_the_whole_quilt() -> None:
    table = Table()
    half = two_at_a_time(table, "D", "L")
    table.steps = [replace(step, count=3) for step in table.steps]
    counted = flows(table.steps)
    assert (counted["D patch"].given, counted["D patch"].taken, counted["D patch"].left) == (3, 3, 0)
    assert (counted["DL half"].given, counted["DL half"].taken, counted["DL half"].left) == (6, 3, 3)
    assert counted[half].left == 3


def test_a_pair_is_stitched_twice_and_its_mark_is_seen() -> None:
    table = Table()
    two_at_a_time(table, "D", "L")
    sewn = table.sewn().lying["D patch paired sewn"]
    assert isinstance(sewn, Stack)
    assert [piece.facets[0].fabric for piece in sewn.pieces] == ["D", "L"]
    assert len(sewn.stitches) == 2
    # Turned once before it is flipped, the falling mark falls again.
    (mark,) = sewn.marks
    assert set(mark) == {(ZERO, ZERO), (SIDE, SIDE)}
