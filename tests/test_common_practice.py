"""Sizes every piecer knows, with no source but common practice."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tracker.exact.measure import read_length
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.work.steps import AddStrips, Checklist, Step, Trim, UnitRow


def compiled(picture: str, grid: str, top: str = "", block: str = "") -> Checklist:
    """The checklist of one block of four cloths, S, R, T and B."""
    text = f"""title = "common practice"
{top}
fabrics.S = {{ name = "sand", tone = 2 }}
fabrics.R = {{ name = "rust", tone = 7 }}
fabrics.T = {{ name = "thyme", tone = 5 }}
fabrics.B = {{ name = "bramble", tone = 8 }}
quilt = {{ block = "one", across = 1, down = 1 }}
[blocks.one]
name = "one"
{grid}
picture = '''
{picture}
'''
{block}"""
    reading = read_plan(text)
    assert reading.plan is not None, reading.problems
    return compile_plan(reading.plan)


def square(text: str, unit: str = "in") -> object:
    return (read_length(text, unit),) * 2


def size(width: str, height: str) -> object:
    return read_length(width, "in"), read_length(height, "in")


def unit_of(checklist: Checklist, kind: str) -> UnitRow:
    return next(unit for unit in checklist.units if unit.kind == kind and unit.needed)


def steps(checklist: Checklist, operation: str) -> list[Step]:
    return [step for step in checklist.steps if step.operation == operation and step.count]


@pytest.mark.parametrize(
    ("kind", "picture", "cuts", "trimmed"),
    [
        ("half-square triangle", "S/R", ["3"], "2 1/2"),
        ("quarter-square triangle", "S:R:S:R", ["3 1/2"], "2 1/2"),
        ("split quarter-square triangle", "S:R:T:S", ["3 1/2", "3 1/8"], "2 1/2"),
    ],
)
def test_squares_of_the_usual_size_give_units_trimmed_to_two_and_a_half(
    kind: str, picture: str, cuts: list[str], trimmed: str
) -> None:
    checklist = compiled(picture, 'cell = "2"')
    assert {(piece.width, piece.height) for piece in checklist.pieces} == set(map(square, cuts))
    assert unit_of(checklist, kind).trimmed == square(trimmed)
    assert {step.size for step in steps(checklist, "trim")} == {square(trimmed)}


def test_five_cells_make_a_row_and_a_block_of_ten_and_a_half() -> None:
    checklist = compiled("\n".join(["S R S R S"] * 5), 'cell = "2"')
    assert {(piece.width, piece.height) for piece in checklist.pieces} == {square("2 1/2")}
    rows = [step.size for step in steps(checklist, "join") if step.size and step.size[1] == read_length("2 1/2", "in")]
    assert rows == [size("10 1/2", "2 1/2")] * 5
    assert [step.size for step in steps(checklist, "square")] == [square("10 1/2")]
    assert checklist.blocks[0].unfinished == square("10 1/2")


FRAME = '[[blocks.one.frame]]\nfabric = "B"\ncut = "1 1/2"'


LONGER = {"roomy": 1, "exact": 0}
"""Inches that a frame's strips are cut longer: the two schools."""


@pytest.mark.parametrize("trimming", LONGER)
def test_strips_of_one_and_a_half_bring_ten_and_a_half_to_twelve_and_a_half(trimming: str) -> None:
    checklist = compiled("\n".join(["S R S R S"] * 5), 'cell = "2"', f'trimming = "{trimming}"', block=FRAME)
    (block,) = checklist.blocks
    assert (block.inner, block.unfinished, block.finished) == (square("10 1/2"), square("12 1/2"), square("12"))
    frame = [
        (piece.fabric, piece.width, piece.height, piece.count) for piece in checklist.pieces if piece.use == "frame"
    ]
    across, more = read_length("1 1/2", "in"), LONGER[trimming]
    assert sorted(frame, key=lambda strip: strip[1]) == [
        ("B", read_length("10 1/2", "in") + more, across, 2),
        ("B", read_length("12 1/2", "in") + more, across, 2),
    ]


@pytest.mark.parametrize("trimming", LONGER)
def test_top_and_bottom_strips_go_on_before_the_sides(trimming: str) -> None:
    """Roomy, their ends stand out and one trim evens them, those of the sides as the block is squared; exact, nothing
    is trimmed before."""
    checklist = compiled("\n".join(["S R S R S"] * 5), 'cell = "2"', f'trimming = "{trimming}"', block=FRAME)
    more, twelve = LONGER[trimming], read_length("12 1/2", "in")
    ends, across = read_length("10 1/2", "in"), read_length("1 1/2", "in")
    added = [step for step in checklist.steps if isinstance(step.action, AddStrips)]
    assert [(step.action.edges, step.size) for step in added if isinstance(step.action, AddStrips)] == [
        ("top and bottom", (ends + more, twelve)),
        ("sides", (twelve, twelve + more)),
    ]
    strip_of = {
        step.action.edges: checklist.piles[step.action.strip].size
        for step in added
        if isinstance(step.action, AddStrips)
    }
    assert strip_of == {"top and bottom": (ends + more, across), "sides": (twelve + more, across)}
    trims = [(step.operation, step.size) for step in checklist.steps if isinstance(step.action, Trim)]
    assert trims == [("trim", (ends, twelve))] * more + [("square", (twelve, twelve))]


@pytest.mark.parametrize(("trimming", "length"), [("roomy", "14"), ("exact", "11.5")])
def test_in_centimetres_a_frame_s_strips_are_two_and_a_half_longer(trimming: str, length: str) -> None:
    frame = FRAME.replace("1 1/2", "4")
    checklist = compiled("S R", 'cell = "5"', f'unit = "cm"\ntrimming = "{trimming}"', block=frame)
    assert {piece.width for piece in checklist.pieces if piece.use == "frame"} == {read_length(length, "cm")}


def test_three_strips_of_one_and_a_half_measure_three_and_a_half() -> None:
    """The seam test: the middle strip shows exactly 1."""
    checklist = compiled("S R S", 'columns = ["1", "1", "1"]\nrows = ["3"]')
    assert {(piece.width, piece.height) for piece in checklist.pieces} == {size("3 1/2", "1 1/2")}
    assert checklist.blocks[0].unfinished == square("3 1/2")


@pytest.mark.parametrize("cells", [2, 5, 8])
def test_a_seam_that_is_wider_takes_twice_its_error_at_every_seam(cells: int) -> None:
    """Cells cut for 1/4 in seams and sewn 1/32 wider: four seams take 1/4 in off a block of five."""
    error = Fraction(1, 32)
    picture, grid = " ".join("SR"[number % 2] for number in range(cells)), 'cell = "2"'
    meant = compiled(picture, grid)
    finished = f'columns = [{", ".join([f"{chr(34)}{2 - 2 * error}{chr(34)}"] * cells)}]\nrows = ["{2 - 2 * error}"]'
    sewn = compiled(picture, finished, f'seam = "{Fraction(1, 4) + error}"')
    assert {piece.width for piece in meant.pieces} == {piece.width for piece in sewn.pieces}
    lost = meant.blocks[0].unfinished[0] - sewn.blocks[0].unfinished[0]
    assert lost == 2 * error * (cells - 1)


@pytest.mark.parametrize(
    ("trimming", "kind", "picture", "cuts"),
    [
        ("exact", "half-square triangle", "S/R", ["7.6"]),  # 5 + 2.5607
        ("roomy", "half-square triangle", "S/R", ["7.9"]),  # and 0.3
        ("exact", "quarter-square triangle", "S:R:S:R", ["8.7"]),  # 5 + 3.6213
        ("roomy", "quarter-square triangle", "S:R:S:R", ["9.3"]),  # and twice 0.3
        ("exact", "split quarter-square triangle", "S:R:T:S", ["8.7", "7.6"]),
        ("roomy", "split quarter-square triangle", "S:R:T:S", ["9.3", "8.2"]),
        ("exact", "plain", "S", ["6.5"]),
        ("roomy", "plain", "S", ["6.5"]),
    ],
)
def test_metric_units_have_three_quarters_of_a_centimetre_for_their_seams(
    trimming: str, kind: str, picture: str, cuts: list[str]
) -> None:
    checklist = compiled(picture, 'cell = "5"', f'unit = "cm"\ntrimming = "{trimming}"')
    assert {(piece.width, piece.height) for piece in checklist.pieces} == {square(cut, "cm") for cut in cuts}
    assert unit_of(checklist, kind).trimmed == square("6.5", "cm")


@pytest.mark.parametrize(("ruler", "cut"), [("0.1", "7.6"), ("0.25", "7.75"), ("0.5", "8")])
def test_a_trimmed_piece_is_cut_up_to_the_next_mark_of_the_ruler(ruler: str, cut: str) -> None:
    top = f'unit = "cm"\ntrimming = "exact"\nruler = "{ruler}"'
    checklist = compiled("S/R", 'cell = "5"', top)
    assert {(piece.width, piece.height) for piece in checklist.pieces} == {square(cut, "cm")}


@pytest.mark.parametrize("needed", [1, 2, 3, 7, 8, 9])
@pytest.mark.parametrize(("way", "makes"), [("two", 2), ("four", 4), ("eight", 8)])
def test_the_odd_ones_of_a_process_are_spares(way: str, makes: int, needed: int) -> None:
    """For N units, N over the yield, up: what is over is made up, counted and stated."""
    checklist = compiled(" ".join(["S/R"] * needed), 'cell = "2"', f'half_square = "{way}"')
    unit = unit_of(checklist, "half-square triangle")
    sets = -(-needed // makes)
    assert (unit.needed, unit.made, unit.spare) == (needed, sets * makes, sets * makes - needed)
    assert [piece.count for piece in checklist.pieces] == [sets, sets]


def test_a_wrong_hand_is_a_spare_and_never_serves_for_the_other() -> None:
    checklist = compiled("S:R:T:S S:R:T:S", 'cell = "2"')
    hands = [unit for unit in checklist.units if unit.kind.startswith("split")]
    assert sorted((unit.needed, unit.made, unit.spare) for unit in hands) == [(0, 2, 2), (2, 2, 0)]
    assert len({unit.bag for unit in hands}) == len({unit.pile for unit in hands}) == 2


def test_either_hand_serves_where_the_quarter_repeats_the_cloth_of_the_half() -> None:
    checklist = compiled("S:R:S:S S:S:R:S", 'cell = "2"')
    (unit,) = checklist.units
    assert (unit.needed, unit.made, unit.spare, unit.bag) == (2, 2, 0, None)
