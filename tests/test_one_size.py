"""Bringing blocks to one size: the worked example, what each block needs, the size of least harm, sorted rows."""

from __future__ import annotations

from fractions import Fraction
from itertools import permutations
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from planning import plan_of
from sew_by_lot import READ, carried_out, quilt_by_lot, told_within
from sizing import block_of, lantern_text, length, planned, square_shape, worked_example

from tracker.exact.measure import Measure, exact
from tracker.fitting.block_measures import ACROSS, DOWN, WAYS, BlockMeasures
from tracker.fitting.block_shape import block_shape, points_from_edges, seams_crossed
from tracker.fitting.limits import LIMITS
from tracker.fitting.one_block import findings, lean_read, seam_errors, seam_or_units, seam_verdict
from tracker.fitting.one_size import OneSize
from tracker.fitting.sorting import cost, exchanged_alike, sorted_rows
from tracker.fitting.ways import brought
from tracker.route.compiler import compile_plan
from tracker.words.size_words import SizeWords

SHORT = {"5": "1/8", "6": "1/8", "7": "3/16", "8": "1/16"}


def test_the_worked_example_has_the_shape_of_its_plan() -> None:
    shape = worked_example().shape
    assert shape.planned == (length("10 1/2"),) * 2
    assert shape.seams == (4, 4)
    assert shape.points == (0, 0)
    assert shape.framed_to == length("12 1/2")


def test_the_worked_example_proposes_ten_and_three_eighths() -> None:
    sizes = worked_example()
    assert sizes.proposed == length("10 3/8")
    assert {str(size): f"{float(sizes.at(size).harm):.1f}" for size in sizes.sizes} == {
        "10": "57.0", "81/8": "31.0", "41/4": "21.6", "83/8": "14.8", "21/2": "20.0",
    }  # fmt: skip


def test_at_the_planned_size_four_blocks_are_too_small_and_at_a_quarter_four_lose_an_eighth() -> None:
    sizes = worked_example()
    at_planned = sizes.at(length("10 1/2")).treatments
    assert [n for n, each in enumerate(at_planned, 1) if each.do == "sew again"] == [5, 6, 7, 11]
    at_quarter = sizes.at(length("10 1/4")).treatments
    assert [max(each.points) for each in at_quarter[:4]] == [Fraction(1, 8)] * 2 + [Fraction(7, 48), Fraction(1, 8)]


def test_what_ten_and_three_eighths_costs_each_block() -> None:
    sizes = worked_example()
    size = length("10 3/8")
    does = {block.block: each for block, each in zip(sizes.blocks, sizes.at(size).treatments, strict=True)}
    assert [each.do for each in does.values()] == ["trim"] * 4 + ["ease"] * 4 + ["press"] * 2 + ["sew again", "press"]
    lost = {number: max(does[number].points) for number in "1234"}
    assert lost == {"1": Fraction(1, 16), "2": Fraction(1, 16), "3": Fraction(1, 12), "4": Fraction(1, 16)}
    assert {number: max(does[number].short) for number in SHORT} == {n: length(each) for n, each in SHORT.items()}
    assert [number for number in SHORT if does[number].with_care(size)] == ["5", "6", "7"]
    assert does["11"].per_seam == (Fraction(17, 384), None)


def test_what_its_blocks_say() -> None:
    sizes = worked_example()
    said = {block.block: findings(block, sizes.shape) for block in sizes.blocks}
    assert (said["9"][0], said["10"][0], said["12"]) == ("bowed", "tapering", ("leaning",))
    nine, ten, eleven, twelve = sizes.blocks[8:]
    assert (nine.bow(ACROSS), ten.taper(ACROSS)) == (Fraction(-1, 8), Fraction(3, 16))
    assert [sizes.shape.planned[way] - eleven.mean(way) for way in WAYS] == [Fraction(23, 48), Fraction(1, 8)]
    assert lean_read(twelve, sizes.shape.limits) == exact(Fraction(1, 4))
    assert abs(twelve.largest_square - Fraction(83, 8)) < Fraction(1, 64)


def test_its_makers() -> None:
    makers = worked_example().makers
    assert [f"{float(error):.3f}" for error in makers["second"] if error is not None] == ["0.028", "0.023"]
    assert [seam_verdict(error, LIMITS["in"]) for error in makers["second"] if error is not None] == ["guide"] * 2
    words = SizeWords(worked_example().shape)
    assert "move it that much nearer to the needle" in words.maker("second", makers["second"], 4)


ERRORS = [
    ("0", "0"), ("1/64", "1/64"), ("-1/40", "-1/50"), ("1/64", "0"), ("0", "-3/64"), ("1/64", "-1/64"),
    ("3/64", "3/64"),    ("1/16", "1/64"), ("1/64", "3/64"), (None, None), ("1/64", None), (None, "-3/64"),
]  # fmt: skip


@pytest.mark.parametrize("errors", ERRORS)
def test_what_is_to_be_done_before_more_is_cut_agrees_with_what_the_seams_say(errors: tuple[str | None, ...]) -> None:
    given = [None if each is None else Fraction(each) for each in errors]
    words = SizeWords(square_shape())
    sample, seams = words.sample(given), words.seams(given)
    assert ("move the guide" in sample) == ("it is the guide: move it" in seams)
    assert ("test the seam" in sample) == ("test the seam" in seams)
    assert ("Cut on: the rest can be like it" in sample) == (
        ("right." in seams and "Only" not in seams) or not any(given)
    )


def test_the_guide_is_not_moved_for_one_block_alone() -> None:
    """One block small and one large by as much: on the whole the seams are right, and no block says otherwise."""
    sizes = OneSize(square_shape(), [block_of(1, "10 3/8"), block_of(2, "10 5/8"), block_of(3, "10 1/2")])
    words = SizeWords(sizes.shape)
    assert list(words.makers(sizes)) == [
        "3 blocks: The seams are right on the whole, but not in every block: leave the guide, and keep to it."
    ]
    for block, much in zip(sizes.blocks, ("much", "little"), strict=False):
        assert f"too {much} here, but not in the others: leave the guide." in words.block(block, sizes)
    alike = OneSize(square_shape(), [block_of(number, "10 3/8") for number in (1, 2, 3)])
    assert "so it is the guide: move it" in words.block(alike.blocks[0], alike)


def test_blocks_that_lie_already_stay_where_rows_are_sorted_about_them() -> None:
    blocks = [(10, n) for n in (1, 4, 2, 3, 1, 4)]
    lie = [3, 1, 2, 0, 4, 5]
    alike = ["A 0", "A", "A", "A", "A", "A"]
    rows = exchanged_alike(blocks, 3, alike, lie)
    assert [n for row in rows for n in row].index(0) == lie.index(0)
    assert cost(blocks, rows) <= cost(blocks, [lie[:3], lie[3:]])


def test_frames_cut_two_wide_reach_twelve_and_a_half() -> None:
    plan, _ = planned(lantern_text())
    done = brought(plan, worked_example(), length("12 1/2"))
    assert done.way == "frames"
    assert done.strips is not None
    assert done.strips.cut == 2 > plan.blocks["lantern"].frames[0].cut
    assert done.strips.shows == (Fraction(29, 32), Fraction(5, 4))


def test_sorted_its_rows_agree_in_height_as_written_and_in_width_no_worse() -> None:
    """Sorted by hand, {6, 5, 7}, {8, 11, 1}, {2, 3, 4} and {12, 9, 10} differ by 1/24, 7/48, 0 and 1/16 in height; of
    the like heights of 2, 3, 4 and 12 the rows that are found lie better by width."""
    plan, _ = planned(lantern_text(frame=False))
    sizes = worked_example(frame=False)
    rows = brought(plan, sizes).rows
    assert rows is not None
    heights = {block.block: block.mean(DOWN) for block in sizes.blocks}
    ranges = [max(heights[n] for n in row) - min(heights[n] for n in row) for row in rows]
    assert ranges == [Fraction(1, 24), Fraction(7, 48), 0, Fraction(1, 16)]
    assert [set(row) for row in rows[:2]] == [{"6", "5", "7"}, {"8", "11", "1"}]
    by_hand = [[7, 5, 6], [11, 8, 1], [4, 2, 3], [12, 10, 9]]
    whole = [(int(48 * block.mean(ACROSS)), int(48 * block.mean(DOWN))) for block in sizes.blocks]
    found = [[int(n) - 1 for n in row] for row in rows]
    assert cost(whole, found) == 62 <= cost(whole, [[n - 1 for n in row] for row in by_hand]) == 63


def test_rows_are_sorted_only_edge_to_edge_and_when_all_are_measured() -> None:
    plan, _ = planned(lantern_text(frame=False, more='[quilt.sash]\nfabric = "R"\ncut = "2"\n'))
    assert brought(plan, worked_example(frame=False)).rows is None
    plan, _ = planned(lantern_text(frame=False))
    sizes = worked_example(frame=False)
    assert brought(plan, OneSize(sizes.shape, sizes.blocks[:-1])).rows is None


# One block at one size, 10 in: a 96th is 0.104, a 48th 0.208.
TEN = square_shape("10")
DOES = [
    ("as planned", "10", "", "", "leave"),
    ("within a thirty-second", "10 1/32,10,9 31/32", "", "", "leave"),
    ("large", "10 1/16", "", "", "trim"),
    ("large, points to the limit", "10 1/4", "", "", "trim"),
    ("large, points beyond it", "10 9/32", "", "", "sew again"),
    ("small", "9 15/16", "", "", "ease"),
    ("small, by a forty-eighth", "9 19/24", "", "", "ease"),
    ("small one way, large the other", "9 15/16", "10 1/8", "", "ease"),
    ("small one way, too large the other", "9 15/16", "10 3/8", "", "sew again"),
    ("too small to ease", "9 1/2", "10", "", "sew again"),
    ("too small to let out", "9 7/16", "", "", "remake"),
    ("small enough for strips", "9 1/4", "", "", "strips"),
    ("too large to take in", "10 9/16", "", "", "remake"),
    ("tapering", "10,10,10 1/8", "", "", "press"),
    ("bowed", "10,9 7/8,10", "", "", "press"),
    ("leaning", "10", "", "14 1/4,14", "press"),
    ("hardly leaning", "10", "", "14 1/4,14 1/8", "leave"),
]


@pytest.mark.parametrize(("name", "across", "down", "slants", "do"), DOES, ids=[row[0] for row in DOES])
def test_what_one_block_needs(name: str, across: str, down: str, slants: str, do: str) -> None:
    sizes = OneSize(TEN, [block_of(1, across, down, slants)])
    assert sizes.at(Fraction(10)).treatments[0].do == do


STAYS = [("10,10,10 1/8", "trim"), ("10,10,10 1/4", "trim"), ("10,10,10 5/16", "remake")]


@pytest.mark.parametrize(("across", "do"), STAYS)
def test_a_block_that_was_pressed_again_is_taken_as_it_lies_unless_it_stays_too_crooked(across: str, do: str) -> None:
    block = block_of(1, across, "10")
    again = BlockMeasures(block.block, block.across, block.down, again=True)
    assert OneSize(TEN, [block]).at(Fraction(10)).treatments[0].do == "press"
    assert OneSize(TEN, [again]).at(Fraction(10)).treatments[0].do == do


def test_points_that_lie_inside_are_lost_later() -> None:
    sizes = OneSize(square_shape("10", points="1/8"), [block_of(1, "10 1/2")])
    assert sizes.at(Fraction(10)).treatments[0].points == (Fraction(1, 8),) * 2
    assert OneSize(square_shape("10", points=None), [block_of(1, "10 1/2")]).at(Fraction(10)).treatments[0].do == "trim"


def test_metric_limits_stand_for_those_of_inches() -> None:
    shape = square_shape("26.5", unit="cm", mark="0.1")
    tapers = [OneSize(shape, [block_of(1, f"26.5,26.5,26.{end}", "26.5", unit="cm")]) for end in ("7", "8")]
    assert [sizes.at(length("26.5", "cm")).treatments[0].do for sizes in tapers] == ["trim", "press"]
    limits = LIMITS["cm"]
    assert [float(each) for each in (limits.right, limits.guide, limits.allowed, limits.shows, limits.crooked)] == [
        0.04, 0.08, 0.15, 0.3, 0.6,
    ]  # fmt: skip


def test_one_block_alone_keeps_the_size_down() -> None:
    blocks = [block_of(n, "10 1/2") for n in range(1, 5)] + [block_of(5, "10 1/8"), block_of(6, "10")]
    sizes = OneSize(square_shape(points="1"), blocks)
    assert sizes.proposed < length("10 1/2")
    alone = OneSize(square_shape(points="1"), [block_of(n, "10 1/2") for n in range(1, 5)] + [block_of(5, "10")])
    assert alone.keeps_it_down == ("5", length("10 1/2"))


def test_two_more_figures_part_seams_from_units() -> None:
    """A cell of 2 in, sewn with 9/32 instead of 1/4 and its units right, shows 1 15/16 inside and 2 7/32 at the end."""
    seams = seam_or_units(length("1 15/16"), length("2 7/32"), Fraction(2), Fraction(1, 4))
    assert (seams.seam, seams.unit) == (Fraction(1, 32), 0)
    units = seam_or_units(length("1 15/16"), length("2 3/16"), Fraction(2), Fraction(1, 4))
    assert (units.seam, units.unit) == (0, Fraction(-1, 16))


def test_a_seam_error_is_none_where_a_ruler_crosses_no_seam() -> None:
    shape = square_shape(seams="0")
    assert seam_errors(block_of(1, "10"), shape) == (None, None)
    assert "no seams to blame" in SizeWords(shape).block(block_of(1, "10"))


SHAPES = [
    ("five cells", "S R S R S\n" * 5, "", (Fraction(4), Fraction(4)), (None, None)),
    ("rows of different lengths", "S <\nR S", "", (Fraction(1, 2), Fraction(1)), (None, None)),
    ("a half-square at the edge", "S R/S S\nS S S\nS S S", "", (Fraction(2), Fraction(2)), (Measure(2), Measure(0))),
    ("three rows, one whole", "S < <\nS R S\nS < <", "", (Fraction(2, 3), Fraction(2)), (None, None)),
    ("strips", "S R S\nR S R\nS R S", "strips = true", (Fraction(2), Fraction(2)), (None, None)),
    ("points inside", "S S S\nS R/S S\nS S S", "", (Fraction(2), Fraction(2)), (Measure(2), Measure(2))),
    ("geese made whole", "S/R S\\R\nS S", "combine = true", None, (Measure(0), Measure(0))),
]  # fmt: skip


@pytest.mark.parametrize(("name", "picture", "block", "seams", "points"), SHAPES, ids=[row[0] for row in SHAPES])
def test_seams_a_ruler_crosses_and_points(
    name: str, picture: str, block: str, seams: tuple[Fraction, Fraction] | None,
    points: tuple[Measure | None, Measure | None],
) -> None:  # fmt: skip
    plan = plan_of(picture.strip(), block=block)
    if seams is not None:
        assert seams_crossed(plan, compile_plan(plan), "b") == seams
    assert points_from_edges(plan.blocks["b"]) == points


def test_a_frame_adds_its_seams_and_moves_points_inward() -> None:
    plan, checklist = planned(lantern_text())
    shape = block_shape(plan, checklist, "lantern", framed=True)
    assert (shape.planned, shape.seams, shape.points) == ((length("12 1/2"),) * 2, (6, 6), (1, 1))


# Laws and oracles

AROUND = st.tuples(st.integers(-20, 12), *[st.sampled_from((-1, 0, 0, 1, 2))] * 3).map(
    lambda off: tuple(length("10 1/2") + Fraction(2 * off[0] + each, 32) for each in off[1:])
)
"""Three measures near each other, somewhere near the planned size."""
BLOCKS = st.lists(st.tuples(AROUND, AROUND), min_size=1, max_size=6)


def _plainly(block: BlockMeasures, size: Fraction) -> tuple[str, Fraction]:
    """What a block needs and its harm, as the rules read, for points at the edge and four seams, in fractions alone."""
    if any(abs(block.taper(way)) >= Fraction(1, 8) or abs(block.bow(way)) >= Fraction(1, 8) for way in WAYS):
        return "press", Fraction(0)
    near = all(abs(figure - size) <= Fraction(1, 32) for way in block.ways for figure in way)
    do = "leave" if near else ""
    short = [max(Fraction(0), size - min(way)) for way in block.ways]
    lost = [max(Fraction(0), (block.mean(way) - size) / 2) for way in WAYS]
    bad = [way for way in WAYS if short[way] > size / 48 or lost[way] > Fraction(1, 8)]
    if not do and not bad:
        do = "ease" if any(short) else "trim"
    if do:
        return do, (max(lost) * 16) ** 2 + (max(short) / (size / 96)) ** 2
    if all(abs(size - block.mean(way)) / 8 <= Fraction(1, 16) for way in bad):
        return "sew again", Fraction(4)
    if all((size - max(way)) / 2 >= Fraction(3, 8) for way in block.ways):
        return "strips", Fraction(25)
    return "remake", Fraction(25)


@given(BLOCKS)
def test_the_common_size_is_that_of_an_exhaustive_search(rows: list[tuple[tuple[Fraction, ...], ...]]) -> None:
    blocks = [BlockMeasures(str(n), across, down) for n, (across, down) in enumerate(rows, 1)]  # type: ignore[arg-type]
    sizes, smallest = OneSize(square_shape(), blocks), min(min(way) for row in rows for way in row)
    marks = [mark for eighths in range(1, 85) if (mark := Fraction(eighths, 8)) >= smallest]
    harms = {size: sum(_plainly(block, size)[1] for block in blocks) for size in {*marks, length("10 1/2")}}
    for size, harm in harms.items():
        tried = sizes.at(size)
        assert [each.do for each in tried.treatments] == [_plainly(block, size)[0] for block in blocks]
        assert tried.harm == harm
    kept = all(_plainly(block, length("10 1/2"))[0] in ("leave", "trim", "ease") for block in blocks)
    best = length("10 1/2") if kept else max(size for size, harm in harms.items() if harm == min(harms.values()))
    assert sizes.proposed == best


SIZED = st.tuples(st.integers(160, 170), st.integers(160, 170))


@given(st.sampled_from([(2, 2), (2, 3), (3, 2), (1, 4), (4, 1)]), st.data())
def test_sorted_rows_equal_the_best_of_all_orders(grid: tuple[int, int], data: st.DataObject) -> None:
    across, down = grid
    blocks = data.draw(st.lists(SIZED, min_size=across * down, max_size=across * down))
    orders = permutations(range(len(blocks)))
    best = min(cost(blocks, [list(order[n : n + across]) for n in range(0, len(order), across)]) for order in orders)
    rows = sorted_rows(blocks, across)
    assert sorted(n for row in rows for n in row) == list(range(len(blocks)))
    assert cost(blocks, rows) == best


@given(st.sampled_from([(3, 3), (4, 3), (4, 4), (5, 6)]), st.data())
def test_sorted_rows_are_never_worse_than_as_they_come(grid: tuple[int, int], data: st.DataObject) -> None:
    across, down = grid
    blocks = data.draw(st.lists(SIZED, min_size=across * down, max_size=across * down))
    rows = sorted_rows(blocks, across)
    come = [list(range(n, n + across)) for n in range(0, len(blocks), across)]
    assert sorted(n for row in rows for n in row) == list(range(len(blocks)))
    assert cost(blocks, rows) <= cost(blocks, come)
    by_height = sorted(range(len(blocks)), key=lambda n: blocks[n][1])
    by_hand = [sorted(by_height[n : n + across], key=lambda m: blocks[m][0]) for n in range(0, len(blocks), across)]
    assert cost(blocks, rows) <= cost(blocks, by_hand)


@given(st.sampled_from([(2, 3), (3, 4), (4, 4)]), st.data())
def test_blocks_change_places_only_with_those_pressed_alike_and_never_for_the_worse(
    grid: tuple[int, int], data: st.DataObject
) -> None:
    across, down = grid
    blocks = data.draw(st.lists(SIZED, min_size=across * down, max_size=across * down))
    alike = ["AB"[(n // across + n % across) % 2] for n in range(len(blocks))]
    rows = exchanged_alike(blocks, across, alike)
    order = [n for row in rows for n in row]
    assert sorted(order) == list(range(len(blocks)))
    assert [alike[n] for n in order] == alike
    come = [list(range(n, n + across)) for n in range(0, len(blocks), across)]
    assert cost(blocks, rows) <= cost(blocks, come)


# Blocks sewn by lot (more of them by `sew_by_lot.py`, which prints the figures)


def test_a_makers_seam_is_told_within_a_hundred_and_twenty_eighth() -> None:
    found = told_within(Random(7), 30)
    tries, _, within = found["makers"]
    assert within >= Fraction(95, 100) * tries
    assert found["single blocks"][1] >= Fraction(95, 100) * found["single blocks"][0]


def test_the_advice_carried_out_makes_blocks_agree_and_takes_no_more_of_a_point_than_said() -> None:
    chance = Random(7)
    for _ in range(15):
        result = carried_out(chance, quilt_by_lot(chance))
        assert result.short <= READ
        assert result.over <= LIMITS["in"].agrees + READ
        assert result.points <= READ / 2
