"""What is pieced on the diagonal: found where a block asks for it, proved however it is drawn, cut as pages cut it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from planning import plan_of

from tracker.exact.measure import Measure, read_length
from tracker.plan.known_blocks import begun, known_block
from tracker.plan.model import Block, Plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.units.region import Region
from tracker.work.steps import Checklist, CutApart, Trim
from tracker.work.things import PIECED_TRIANGLE, Stage

CLOTHS = "SRTK"


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    assert prove(plan, checklist).faults == ()
    return checklist


def kinds(checklist: Checklist) -> dict[str, int]:
    found: Counter[str] = Counter()
    for row in checklist.units:
        found[row.kind] += row.needed
    return dict(found)


# Where a block asks for it: picture -> kinds of unit and their number; and without, how many patches more.
FOUND = {
    "a half in rows": ("R/S R/S R/T\nR/S R/T T\nR/T T T", {"pieced half-square": 1, "half-square triangle": 3}),
    "a half of strips": ("S/R R/T T/K\nR/T T/K K\nT/K K K", {"pieced half-square": 1}),
    "strips of triangles": ("S S/R S/K\nS/R S/K K\nS/K K K", {"pieced half-square": 1}),
    "two plain halves": ("S S S/T\nS S/T T\nS/T T T", {"half-square triangle": 1}),
    "nested squares": ("S S/R R\\S S\nS/R K K R\\S\nS\\R K K R/S\nS S\\R R/S S", {"nested square": 1}),
    "a band": ("S S S/R R\nS S/R R R/S\nS/R R R/S S\nR R/S S S", {"diagonal band": 1}),
    "a unit in its place among others": (
        "K K K K\nK R/S R/T K\nK R/T T K\nK K K K",
        {"plain": 12, "pieced half-square": 1, "half-square triangle": 1},
    ),
    "nothing of the kind": ("S R\nR S", {"plain": 4}),
    "a half that would save nothing": ("R/S R/T\nR/T K/T", {"half-square triangle": 4}),
}


@pytest.mark.parametrize("name", FOUND)
def test_what_is_pieced_on_the_diagonal_is_found_where_a_block_asks_for_it(name: str) -> None:
    picture, expected = FOUND[name]
    assert kinds(proved(plan_of(picture, block="diagonal = true"))) == expected
    assert not set(kinds(compile_plan(plan_of(picture)))) & {"pieced half-square", "nested square", "diagonal band"}


@pytest.mark.parametrize("turn", [90, 180, 270])
@pytest.mark.parametrize("name", ["a half in rows", "strips of triangles", "nested squares", "a band"])
def test_turned_pictures_are_made_of_the_same_units(name: str, turn: int) -> None:
    plan = plan_of(FOUND[name][0], block="diagonal = true")
    turned = replace(plan, blocks={key: turned_block(block, turn) for key, block in plan.blocks.items()})
    ids = [{step.id for step in proved(each).steps if step.per == "quilt"} for each in (plan, turned)]
    assert ids[0] == ids[1]


def turned_block(block: Block, turn: int) -> Block:
    count = len(block.rows)
    cells = {(cell.row, cell.column): cell.quarters for cell in block.cells}
    rows = tuple(tuple(cells[r, c] for c in range(count)) for r in range(count))
    whole = Region(block.columns, block.rows, rows).turned(turn)
    return replace(
        block,
        cells=tuple(replace(cell, quarters=whole.cells[cell.row][cell.column]) for cell in block.cells),
    )


def test_a_unit_sewn_into_another_lies_on_the_pile_of_its_like() -> None:
    """Five triangle squares, three of them within the half: made and counted together, one of six over."""
    picture = "R/S R/S R/T K\nR/S R/T T R/S\nR/T T T R/S\nK K K K"
    checklist = proved(plan_of(picture, block="diagonal = true"))
    (row,) = [row for row in checklist.units if row.kind == "half-square triangle"]
    assert (row.needed, row.made, row.spare) == (5, 6, 1)


CELLS = st.sampled_from(CLOTHS)


@st.composite
def halves(draw: st.DrawFn) -> Plan:
    """A square whose rising diagonal parts two halves, the upper left one pieced anyhow, in any of four turns."""
    count = draw(st.integers(2, 4))
    slanting = draw(st.booleans())
    bands = draw(st.lists(CELLS, min_size=2 * count, max_size=2 * count))
    lower = draw(CELLS)
    plain = draw(st.booleans())
    rows = []
    for r in range(count):
        row = []
        for c in range(count):
            at = r + c
            above, below = (
                (bands[at], bands[at + 1]) if slanting and draw(st.integers(0, 5)) else draw(st.tuples(CELLS, CELLS))
            )
            if at == count - 1:
                below = lower if plain or below == above else below
                above = above if above != below else CLOTHS[CLOTHS.index(above) - 1]
            elif at > count - 1 and plain:
                above = below = lower
            falling = at < count - 1 and not slanting and draw(st.booleans())
            row.append((below, below, above, above) if falling else (above, below, below, above))
        rows.append(tuple(row))
    side = draw(st.sampled_from([Fraction(3, 4), Fraction(1), Fraction(13, 12), Fraction(2), Fraction(5, 2)]))
    plan = plan_of("\n".join(" ".join("S" * count) for _ in range(count)), block="diagonal = true", blocks=2)
    (block,) = plan.blocks.values()
    turn = draw(st.sampled_from([0, 90, 180, 270]))
    sides = (Measure(side),) * count
    cells = Region(sides, sides, tuple(rows)).turned(turn).cells
    drawn = replace(
        block,
        columns=sides,
        rows=sides,
        cells=tuple(replace(cell, quarters=cells[cell.row][cell.column]) for cell in block.cells),
    )
    return replace(plan, blocks={block.key: drawn}, trimming=draw(st.sampled_from(["roomy", "exact"])))


@given(halves())
@settings(max_examples=tries(100, 20))
def test_any_halves_are_proved(plan: Plan) -> None:
    proved(plan)


ONE_TRIANGLE_TWO_WAYS = {
    "in one unit": ("S/R R/S S S/R\nR/S S S/R R/S\nS S/R S R/S\nS/R R/S S S",),
    "in two": ("S/R R/S S S/K\nR/S S S/K K\nS S/K K K\nS/K K K K", "S S S/R R/K\nS/R S R/K K\nS/R R/K K K\nR/K K K K"),
}
"""A half begun with a strip along its long edge, and the same as a corner of another half, sewn there by rows."""


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("name", ONE_TRIANGLE_TWO_WAYS)
def test_a_half_that_is_sewn_in_two_ways_is_two_things(name: str, turned: bool) -> None:
    pictures = ONE_TRIANGLE_TWO_WAYS[name][:: -1 if turned else 1]
    plans = [plan_of(picture, block="diagonal = true", cell="3/4") for picture in pictures]
    blocks = {f"b{number}": replace(plan.blocks["b"], key=f"b{number}") for number, plan in enumerate(plans)}
    plan = replace(plans[0], blocks=blocks, quilt=replace(plans[0].quilt, places=(tuple(blocks),)))
    checklist = proved(plan)
    assert sum("pieced triangle" in step.id and ":S:R:R:S,R|R@3/4" in step.id for step in checklist.steps) > 1


def test_the_long_edge_is_cut_straight_before_the_other_half_is_sewn_on() -> None:
    checklist = proved(plan_of("R/S R/S R/T\nR/S R/T T\nR/T T T", block="diagonal = true"))
    straight = [pile for pile in checklist.piles.values() if pile.stage is Stage.LEVEL]
    assert [pile.thing.of for pile in straight] == [PIECED_TRIANGLE]
    (cut,) = [step for step in checklist.steps if step.gives[0].pile == straight[0].id]
    assert isinstance(cut.action, CutApart)
    (taker,) = [step for step in checklist.steps if straight[0].id in [flow.pile for flow in step.takes]]
    assert "pieced half-square" in taker.id


def test_each_round_of_a_nested_square_is_trimmed_so_that_all_is_exact() -> None:
    checklist = proved(plan_of(FOUND["nested squares"][0], block="diagonal = true"))
    trims = [step.action.width for step in checklist.steps if isinstance(step.action, Trim)]
    assert trims[:2] == [Measure(Fraction(1, 2), 4), Measure(Fraction(17, 2))]


# What pages cut: (known block, finished width, blocks, {(cloth, side): pieces}), the source beside.
PUBLISHED = {
    # 42quilts.com, 2012: for 6 in three of 2 7/8 of one cloth, three triangles (1 1/2 squares) of the other, half a
    # square of 6 7/8; they cut all triangles loose, so two blocks come to the same.
    "birds in the air": ("birds in the air", 6, 2, {("D", "2 7/8"): 6, ("L", "2 7/8"): 3, ("A", "6 7/8"): 1}),
    # allpeoplequilt.com, Ocean Waves: for 10 in eight of 2 7/8 of each blue, one of 6 7/8.
    "ocean waves": ("ocean waves", 10, 1, {("L", "2 7/8"): 8, ("D", "2 7/8"): 8, ("A", "6 7/8"): 1}),
    # ladybugthreads.com, Snail Trail: for 12 in of each cloth one of 6 7/8, 5 1/8 and 3 7/8, two of 2 5/8.
    "snail's trail": (
        "snail's trail",
        12,
        1,
        {(cloth, side): 2 if side == "2 5/8" else 1 for cloth in "DL" for side in ("6 7/8", "5 1/8", "3 7/8", "2 5/8")},
    ),
    # catbirdquilts.wordpress.com, 2014: middle f/2 + 1/2; triangles from middle/1.414 + 7/8, so 3, and f/2 + 7/8.
    "economy": ("economy", 6, 1, {("A", "3 1/2"): 1, ("D", "3"): 2, ("L", "3 7/8"): 2}),
    # generations-quilt-patterns.com, Indian Hatchet: for 8 in four of 4 1/2, corners three quarters as large.
    "Indian hatchet": ("Indian hatchet", 8, 1, {("L", "4 1/2"): 4, ("A", "3 1/2"): 8}),
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_a_block_on_the_diagonal_is_cut_as_pages_say(name: str) -> None:
    block, width, blocks, wanted = PUBLISHED[name]
    known = known_block(block)
    assert known is not None
    plan = replace(begun(known, Measure(width), {}, blocks, 1), trimming="exact")
    found: Counter[tuple[str, Measure]] = Counter()
    for piece in proved(plan).pieces:
        assert piece.width == piece.height
        found[piece.fabric, piece.width] += piece.count
    assert found == {(cloth, read_length(side, "in")): count for (cloth, side), count in wanted.items()}
