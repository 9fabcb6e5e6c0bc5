"""A triangle in a square or rectangle: sizes worked by hand, proved at every slope that it fits, taken whole, told."""

from __future__ import annotations

from fractions import Fraction
from math import hypot

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from planning import plan_of

from tracker.exact.measure import Measure, read_length
from tracker.plan.known_blocks import known_block
from tracker.plan.model import Plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words
from tracker.work.steps import Checklist

UP, DOWN = "S/R R\\S", "R\\S S/R"


def pointed(half: object, height: object, picture: str = UP, trimming: str = "exact") -> Plan:
    block = f'columns = ["{half}", "{half}"]\nrows = ["{height}"]\ncombine = true'
    return plan_of(picture, top=f'trimming = "{trimming}"', block=block)


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    assert prove(plan, checklist).faults == ()
    return checklist


def kinds(checklist: Checklist) -> set[str]:
    return {row.kind for row in checklist.units}


# Finished half width and height -> the middle's rectangle, and that of a side; exact, seam 1/4. By hand, with d their
# diagonal: h + 1/4 (1 + d/w) high and in proportion as wide, to the eighth; then longer until all ticks fall on one.
WORKED = {
    ("1 1/2", "3"): (("4", "4"), ("4", "2 1/2")),  # 3.809; with 4 the side is cut 1/4 beside its corners
    ("1", "4"): (("5 1/2", "2 3/4"), ("5 1/2", "2 1/8")),  # 5.281
    ("3", "4"): None,  # flatter than 60 degrees: two half-rectangle triangles
}


@pytest.mark.parametrize("finished", WORKED)
def test_cloth_is_cut_as_worked_by_hand(finished: tuple[str, str]) -> None:
    checklist = proved(pointed(*finished))
    cut = {piece.fabric: (piece.width, piece.height) for piece in checklist.pieces}
    worked = WORKED[finished]
    if worked is None:
        assert kinds(checklist) == {"half-rectangle triangle"}
        return
    middle, side = ((read_length(a, "in"), read_length(b, "in")) for a, b in worked)
    assert cut == {"R": middle, "S": side}
    assert kinds(checklist) == {"triangle in a square" if finished[0] == "1 1/2" else "triangle in a rectangle"}


halves = st.fractions(Fraction(1, 2), 4, max_denominator=8)


@settings(max_examples=tries(30))
@given(halves, st.fractions(Fraction(7, 4), 4, max_denominator=6), st.sampled_from([UP, DOWN, "S/R R\\K", "R/S S\\R"]))
def test_it_is_proved_at_every_slope_and_hardly_larger_than_it_must_be(
    half: Fraction, steep: Fraction, picture: str
) -> None:
    height = half * steep
    checklist = proved(pointed(half, height, picture, "roomy"))
    assert kinds(checklist) == {"triangle in a square" if steep == 2 else "triangle in a rectangle"}
    longest = max(float(max(piece.width, piece.height).rational) for piece in checklist.pieces)
    least = float(height) + 1 / 8 + (1 + hypot(float(half), float(height)) / float(half)) / 4
    assert least - 1e-9 <= longest < max(least, 2 * least / float(steep)) + 3 / 4 + 1 / 8


def test_uncombined_it_is_two_half_rectangles_and_the_saving_is_advice() -> None:
    plan = plan_of(UP, block='columns = ["1", "1"]\nrows = ["2"]')
    checklist = proved(plan)
    assert kinds(checklist) == {"half-rectangle triangle"}
    (notice,) = [each for each in checklist.notices if each.kind == "combine would save"]
    assert "sewn with 1 triangle in a square has 1 seam fewer" in Words(plan, checklist).notice(notice)


@pytest.mark.parametrize("picture", ["S/R\nS\\R", "R\\S\nR/S"])
def test_it_may_point_sideways(picture: str) -> None:
    plan = plan_of(picture, block='columns = ["4"]\nrows = ["2", "2"]\ncombine = true')
    assert kinds(proved(plan)) == {"triangle in a square"}


def test_what_is_said_of_it() -> None:
    plan = pointed("1 1/2", "3")
    checklist = compile_plan(plan)
    words = Words(plan, checklist)
    said = " ".join(f"{words.title(step)}. {words.text(step)} {words.check(step)}" for step in checklist.steps)
    assert "Tick the middle of its upper edge; cut from there to both lower corners" in said
    assert "Cut off the ear that stands out at the point, level with the other side of the tall triangle." in said
    assert "Trim the triangle in a square" in said
    assert "the point lies ¼ in below the edge, in the middle" in said


def test_fifty_four_forty_is_made_of_four_patches_and_triangles_in_squares() -> None:
    known = known_block("54-40 or fight")
    assert known is not None
    rows = {row.kind: row.needed for row in compile_plan(known.plan).units if row.kind != "plain"}
    assert rows == {"triangle in a square": 4}
    assert known.plan.blocks[known.key].inner_finished == (Measure(9), Measure(9))
