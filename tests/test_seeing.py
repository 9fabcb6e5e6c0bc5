"""What a photo shows: made photos of layouts and drawings, right and wrong ones; colours held to published values."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from effort import by_lot
from hypothesis import given
from hypothesis import strategies as st
from made_photos import FIRST, PLAIN
from photo_lots import QUILT_CORNERS, drawn, laid, looked_at, misread, named, on_point, quilt_on_point

from tracker.exact.geometry import ZERO
from tracker.exact.measure import ROOT2
from tracker.plan.known_blocks import known_block
from tracker.quilt.setting import block_side
from tracker.seeing.colours import colour_of, lab_of, light_of
from tracker.seeing.laid_pieces import grid_of
from tracker.seeing.laid_quilt import NotCheckable, laid_blocks_of
from tracker.seeing.layout_check import check_layout
from tracker.seeing.photo_drawing import guessed_cells
from tracker.seeing.samples import MOST_CELLS, NoSamples, Samples, mirrored, read_samples, turned

COLOURS = st.tuples(*[st.integers(0, 255)] * 3)


@pytest.mark.parametrize(
    ("colour", "lab"),
    [
        # sRGB corners in CIE Lab for D65, rounded: common reference values, from memory.
        ((255, 255, 255), (100.0, 0.0, 0.0)),
        ((255, 0, 0), (53.2, 80.1, 67.2)),
        ((0, 255, 0), (87.7, -86.2, 83.2)),
        ((0, 0, 255), (32.3, 79.2, -107.9)),
        ((119, 119, 119), (50.0, 0.0, 0.0)),
    ],
)
def test_colours_are_those_of_the_reference(colour: tuple[int, int, int], lab: tuple[float, float, float]) -> None:
    assert lab_of(light_of(colour)) == pytest.approx(lab, abs=1)


@given(st.tuples(*[st.integers(30, 255)] * 3))
def test_light_keeps_its_colour(colour: tuple[int, int, int]) -> None:
    assert colour_of(light_of(colour)) == colour


@given(st.lists(st.lists(st.tuples(*[COLOURS] * 4), min_size=3, max_size=3), min_size=1, max_size=4))
def test_four_quarter_turns_are_none_and_two_mirrors_too(cells: list[list[tuple[()]]]) -> None:
    plain = tuple(map(tuple, cells))
    assert turned(turned(turned(turned(plain)))) == plain
    assert mirrored(mirrored(plain)) == plain


@pytest.mark.parametrize(
    ("text", "rows", "columns"),
    [
        ("", 1, 1),
        ("[1, 2", 1, 1),
        ("{}", 1, 1),
        ("[" * 5000, 1, 1),
        (json.dumps([0] * 11), 1, 1),
        (json.dumps([0] * 12), 0, 1),
        (json.dumps([0] * 12), 1, 2),
        (json.dumps([256] * 12), 1, 1),
        (json.dumps([-1] * 12), 1, 1),
        (json.dumps([0.5] * 12), 1, 1),
        (json.dumps([True] * 12), 1, 1),
        (json.dumps(["1"] * 12), 1, 1),
        (json.dumps([0] * 12 * (MOST_CELLS + 1)), MOST_CELLS + 1, 1),
    ],
)
def test_what_are_no_samples_is_said_to_be_damaged(text: str, rows: int, columns: int) -> None:
    with pytest.raises(NoSamples, match="choose the photo once more"):
        read_samples(text, rows, columns)


@pytest.mark.parametrize("seed", by_lot(range(10)))
def test_a_right_layout_is_not_accused(seed: int) -> None:
    _, seen = looked_at(seed, FIRST, 0)
    assert not seen.strange
    assert seen.otherwise == ()


@pytest.mark.parametrize("seed", by_lot(range(20, 30)))
def test_wrong_units_are_named_and_no_others(seed: int) -> None:
    wrong, seen = looked_at(seed, FIRST, 1)
    assert wrong
    assert named(seen) == set(wrong)


def by_itself(name: str) -> tuple[list[list[tuple[str, ...]]], Samples]:
    """The cells of a block, and the samples of a photo without any fault."""
    known = known_block(name)
    assert known is not None
    shades = {key: (40 + 70 * at, 200 - 60 * at, 90 + 40 * at) for at, key in enumerate(known.plan.fabrics)}
    cells = grid_of(known.block)
    return [list(row) for row in cells], Samples(
        tuple(tuple(tuple(shades[key] for key in quarters) for quarters in row) for row in cells)  # type: ignore[misc]
    )


def with_place(samples: Samples, row: int, column: int, cell: tuple[tuple[int, int, int], ...]) -> Samples:
    rows = [list(line) for line in samples.cells]
    rows[row][column] = cell  # type: ignore[call-overload]
    return Samples(tuple(map(tuple, rows)))


@pytest.mark.parametrize("times", [1, 2, 3])
def test_how_far_a_unit_is_turned_is_told(times: int) -> None:
    """The upper left corner of a shoo fly, turned clockwise."""
    _, samples = by_itself("shoo fly")
    cell: tuple[tuple[tuple[tuple[int, int, int], ...], ...], ...] = ((samples.cells[0][0],),)  # type: ignore[assignment]
    for _ in range(times):
        cell = turned(cell)  # type: ignore[arg-type, assignment]
    pieces = laid("shoo fly")
    number = next(at for at, piece in enumerate(pieces) if (piece.row, piece.column) == (0, 0))
    (what,) = check_layout(pieces, with_place(samples, 0, 0, cell[0][0])).otherwise
    assert (what.piece, what.kind, what.turn) == (number, "turned", 90 * times)


def test_a_photo_taken_from_another_side_is_read_all_the_same() -> None:
    pieces = laid("jacob's ladder")
    _, samples = by_itself("jacob's ladder")
    for times in range(4):
        seen = check_layout(pieces, samples.turned(times))
        assert (seen.otherwise, seen.turned) == ((), -times % 4)


def test_a_photo_of_something_else_is_said_to_be_strange() -> None:
    colours = [
        ((row * 83 + column * 47) % 256, (row * 29 + column * 151) % 256, (row * column * 61) % 256)
        for row in range(7)
        for column in range(7)
    ]
    samples = Samples(tuple(tuple((colours[7 * row + column],) * 4 for column in range(7)) for row in range(7)))  # type: ignore[misc]
    assert check_layout(laid("bear's paw"), samples).strange


def test_cloths_that_look_alike_are_beyond_telling() -> None:
    pieces = laid("shoo fly")
    cells, _ = by_itself("shoo fly")
    alike = {"A": (120, 120, 120), "B": (124, 120, 120)}
    keys = sorted({key for row in cells for quarters in row for key in quarters})
    shades = dict(zip(keys, alike.values(), strict=False))
    samples = Samples(tuple(tuple(tuple(shades[key] for key in quarters) for quarters in row) for row in cells))  # type: ignore[misc]
    seen = check_layout(pieces, samples)
    assert seen.otherwise == ()
    assert {(pieces[number].row, pieces[number].column) for number in seen.untold} >= {(0, 0), (0, 2), (2, 0), (2, 2)}


@pytest.mark.parametrize("seed", by_lot(range(5)))
def test_a_drawing_is_read_cell_by_cell(seed: int) -> None:
    cells, read = drawn(seed, PLAIN)
    assert misread(cells, read) == set()
    assert read.doubtful == ()
    cells, read = drawn(seed + 10, FIRST)
    assert len(misread(cells, read)) <= len(cells) * len(cells[0]) // 10


@pytest.mark.parametrize("cells", [2, 3, 4, 5, 7, 8, 12])
def test_cells_are_counted_by_their_seams(cells: int) -> None:
    lines = {round(419 * line / cells) for line in range(1, cells)}
    assert guessed_cells([90 if at in lines else 6 + at % 5 for at in range(419)]) == cells


@pytest.mark.parametrize("steps", [[], [5], [0] * 419, [7] * 419])
def test_where_nothing_changes_nothing_is_counted(steps: list[int]) -> None:
    assert guessed_cells(steps) <= 24


def test_a_quilts_blocks_stand_between_frames_and_sashes() -> None:
    known = known_block("shoo fly")
    assert known is not None
    key = known.block.key
    pieces, cells = laid_blocks_of(known.plan, [[(key, 0), (key, 90)], [(key, 180), (key, 270)]], sashed=False)
    grid = grid_of(known.block)
    assert [(piece.row, piece.column) for piece in pieces] == [(0, 0), (0, 3), (3, 0), (3, 3)]
    assert pieces[1].shown == turned(grid)
    assert pieces[3].shown == turned(turned(turned(grid)))
    assert len(cells.across) == len(cells.down) == 7
    assert cells.marked == (cells.across[-1], cells.down[-1])


def test_the_grid_of_blocks_on_point_hangs_where_they_do() -> None:
    """By hand: three blocks beside each other stand three diagonals wide; the triangles reach a seam farther out, or
    less than a mark more, since their squares are cut up to one."""
    plan, places = quilt_on_point("jacob's ladder", 3, 2)
    plan = replace(plan, trimming="exact")
    side, diagonal = block_side(plan), ROOT2 * block_side(plan)
    _, bare = laid_blocks_of(plan, places, sashed=False, bare=True)
    assert bare.marked == (diagonal * 3, diagonal * 2)
    # The upper left block is the first of the third diagonal row: its upper corner, and its left one.
    upper, _, _, left = bare.cells(12, 0, 6, 6)
    assert (upper, left) == ((diagonal / 2, ZERO), (ZERO, diagonal / 2))
    _, short = laid_blocks_of(plan, places, sashed=False, first=2, last=2, bare=True)
    assert short.marked == (diagonal * 2, diagonal)
    _, whole = laid_blocks_of(plan, places, sashed=False)
    wider, higher = (a - b for a, b in zip(whole.marked, bare.marked, strict=True))
    assert wider == higher
    assert ZERO <= wider - 2 * plan.seam < plan.ruler
    assert whole.across[-1] == whole.down[-1] == side * 4  # diagonal rows, and blocks along them


@pytest.mark.parametrize("seed", [1, 5])
def test_a_wrong_block_on_point_is_named_and_no_right_one(seed: int) -> None:
    limits = replace(FIRST, corners=QUILT_CORNERS)
    assert named(on_point(seed, limits, 0)[1]) == set()
    wrong, seen = on_point(seed, limits, 1)
    assert named(seen) == set(wrong) != set()


def test_blocks_of_unlike_cells_are_checked_one_by_one() -> None:
    one = known_block("shoo fly")
    assert one is not None
    wider = replace(one.block, key="wider", columns=(*one.block.columns[:2], one.block.columns[2] * 2))
    plan = replace(one.plan, blocks={**one.plan.blocks, "wider": wider})
    with pytest.raises(NotCheckable, match="check each block where it is laid out"):
        laid_blocks_of(plan, [[(one.block.key, 0), ("wider", 0)]], sashed=False)
