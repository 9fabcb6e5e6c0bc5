"""Half-rectangle triangles: sizes worked by hand, both hands, every slope proved, and what she reads at the ruler."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import hypot

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from planning import plan_of

from tracker.exact.measure import Measure, on_mark, read_length
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words
from tracker.work.steps import Checklist, CutApart, Laid, LayOut, Pair, Step
from tracker.work.things import FALLING, HALF_RECTANGLE, RISING


def oblong(width: object, height: object, picture: str = "S/R", top: str = 'trimming = "exact"') -> Plan:
    return plan_of(picture, top=top, block=f'columns = ["{width}"]\nrows = ["{height}"]')


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    assert prove(plan, checklist).faults == ()
    return checklist


def sizes(checklist: Checklist) -> set[tuple[Measure, Measure]]:
    return {(piece.width, piece.height) for piece in checklist.pieces}


# Finished width and height -> rectangle, and how far beside its corners it is cut; exact. By hand, seam 1/4: with
# D the diagonal, W + 1/2 (1 + H/D) by H + 1/2 (1 + W/D), up to the eighth; then longer until the tick falls
# on one.
WORKED = {
    ("4", "3"): ("5", "4", "1/8"),  # D 5: 4.8 by 3.9; (4 - 5 · 3/4) / 2
    ("12", "5"): ("12 3/4", "6", "11/32"),  # D 13: 12.692 by 5.962; no length up to 13 1/4 brings the tick to an eighth
    ("2", "1"): ("3", "2", "1/4"),  # D √5: 2.724 by 1.947
    ("3", "2"): ("4 1/8", "3", "1/8"),  # D √13: 3.777 by 2.916
    ("3", "1"): ("3 3/4", "2", "3/8"),  # D √10: 3.658 by 1.974
}


@pytest.mark.parametrize("finished", WORKED)
def test_rectangles_are_as_large_as_worked_by_hand(finished: tuple[str, str]) -> None:
    wide, high, beside = (read_length(text, "in") for text in WORKED[finished])
    checklist = proved(oblong(*finished))
    assert sizes(checklist) == {(wide, high)}
    cuts = [step.action for step in checklist.steps if isinstance(step.action, CutApart)]
    assert {cut.lines[0][0][1] for cut in cuts} == {beside}
    assert {cut.lines[0][1][1] for cut in cuts} == {high - beside}


sides = st.fractions(Fraction(1, 2), 12, max_denominator=16)


@settings(max_examples=tries(40))
@given(sides, sides, st.sampled_from(["S/R", "R/S", "S\\R", "R\\S"]), st.sampled_from(["exact", "roomy"]))
def test_at_every_slope_the_unit_is_proved_and_hardly_larger_than_it_must_be(
    width: Fraction, height: Fraction, picture: str, trimming: str
) -> None:
    if width == height:
        return
    checklist = proved(oblong(width, height, picture, f'trimming = "{trimming}"'))
    ((wide, high),) = sizes(checklist)
    across, down = max(width, height), min(width, height)
    diagonal = hypot(across, down)
    room = 1 / 8 if trimming == "roomy" else 0
    over_across = float(wide.rational) - (across + (1 + down / diagonal) / 2 + room)
    over_down = float(high.rational) - (down + (1 + across / diagonal) / 2 + room)
    assert -1e-9 < over_across < 1 + 1e-9
    assert -1e-9 < over_down < 1 / 2
    assert on_mark(wide, Fraction(1, 8))
    assert on_mark(high, Fraction(1, 8))


def test_the_published_inch_is_enough_at_every_slope() -> None:
    """A quilt blog's page, 2012, adds 1 in both ways for 2 to 1; it does for every slope, since 1/2 (1 + H/D) < 1."""
    for across, down in ((9, 1), (5, 3), (7, 6)):
        ((wide, high),) = sizes(proved(oblong(across, down, top='trimming = "exact"\nruler = "1/16"')))
        assert high <= down + 1 + Fraction(1, 16)
        assert wide <= across + 1 + Fraction(4, 16)


# The hands


def hands(checklist: Checklist) -> list[tuple[str, int, int, int]]:
    rows = [row for row in checklist.units if row.kind == HALF_RECTANGLE]
    return [(checklist.piles[row.pile].thing.side, row.needed, row.made, row.spare) for row in rows]


HANDS = {
    "a wide one that rises": ("S/R <", 1, [(RISING, 1, 1, 0)]),
    "turned half round it rises too": ("R/S <", 2, [(RISING, 2, 2, 0)]),
    "upright, the same hand falls": ("S\\R\n^", 1, [(RISING, 1, 1, 0)]),
    "a wide one that falls": ("S\\R <", 3, [(FALLING, 3, 3, 0)]),
    "both hands, of which no turn makes one the other": ("S/R < S\\R <", 3, [(RISING, 3, 3, 0), (FALLING, 3, 3, 0)]),
}


@pytest.mark.parametrize("name", HANDS)
def test_hands_are_told_apart(name: str) -> None:
    picture, blocks, expected = HANDS[name]
    checklist = proved(plan_of(picture, blocks=blocks))
    assert hands(checklist) == expected


def test_a_half_left_over_is_a_spare_and_no_unit_is() -> None:
    checklist = proved(plan_of("S/R <", blocks=3))
    assert [row.spare for row in checklist.units] == [0]
    halves = {checklist.piles[pile].thing.of: count for pile, count in checklist.spares.items()}
    assert halves == {"long triangle": 1}
    assert sum(checklist.spares.values()) == 2  # one of each cloth


def test_a_unit_of_the_other_hand_in_its_place_fails_the_proof() -> None:
    plan = plan_of("S/R < S\\R <")
    checklist = compile_plan(plan)
    trimmed = [row.pile for row in checklist.units]

    def other(step: Step) -> Step:
        if not isinstance(step.action, LayOut):
            return step
        exchanged = dict(zip(trimmed, reversed(trimmed), strict=True))
        return replace(step, action=LayOut(tuple(replace(p, pile=exchanged[p.pile]) for p in step.action.places)))

    changed = replace(checklist, steps=tuple(map(other, checklist.steps)))
    assert not prove(plan, changed).holds


def test_halves_of_one_cut_lie_end_to_end_on_each_other() -> None:
    checklist = compile_plan(plan_of("S/R <"))
    (pair,) = [step.action for step in checklist.steps if isinstance(step.action, Pair)]
    (laid,) = pair.laid
    assert isinstance(laid, Laid)
    assert laid.over is not None
    assert pair.base != laid.pile


# A block of two slopes

KITE = """
title = "Kite"
fabrics.S = { name = "sand", tone = 2 }
fabrics.R = { name = "brick", tone = 7 }
[blocks.kite]
name = "kite"
columns = ["2", "2"]
rows = ["3", "5"]
picture = '''
S/R  R\\S
S\\R  R/S
'''
[quilt]
block = "kite"
across = 2
down = 2
setting = "on point"
setting_fabric = "S"
"""


def test_a_kite_of_two_slopes_is_sewn_with_straight_seams_and_refused_where_it_is_no_square() -> None:
    reading = read_plan(KITE.replace('setting = "on point"\nsetting_fabric = "S"\n', ""))
    assert reading.plan is not None
    checklist = proved(reading.plan)
    assert sorted(hands(checklist)) == [(FALLING, 4, 4, 0)] * 2 + [(RISING, 4, 4, 0)] * 2
    assert read_plan(KITE).plan is None


def test_a_square_block_of_two_slopes_stands_on_its_point() -> None:
    square = KITE.replace('["3", "5"]', '["1", "3"]')
    reading = read_plan(square)
    assert reading.plan is not None, reading.problems
    proved(reading.plan)


def test_metric_rectangles_are_on_the_ruler_too() -> None:
    checklist = proved(oblong("9", "4.5", top='unit = "cm"\ntrimming = "exact"'))
    # 9 + 1.5 (1 + 1/√5) and 4.5 + 1.5 (1 + 2/√5): 11.171 by 7.342, up to a millimetre, and the tick on one
    assert sizes(checklist) == {(Measure(Fraction(112, 10)), Measure(Fraction(74, 10)))}


# Words


def said(picture: str, operation: str) -> str:
    plan = plan_of(picture)
    checklist = compile_plan(plan)
    words = Words(plan, checklist)
    step = next(step for step in checklist.steps if step.operation == operation)
    return f"{words.title(step)}. {words.text(step)} {words.check(step)}"


def test_the_cut_is_told_by_ticks_and_the_trim_by_crossings() -> None:
    cut = said("S\\R <", "cut apart")
    assert "right side up, not folded" in cut
    assert "¼ in below the upper left corner and ¼ in above the lower right one" in cut
    assert "below the upper right corner" in said("S/R <", "cut apart")
    trim = said("S\\R <", "trim")
    assert "falling half-rectangle triangle, " in trim
    assert "lines ¼ in inside cross on the seam at two corners" in trim
    assert "at two corners the seam is ¼ in inside both edges" in trim
    assert "rising" in said("S/R <", "trim")
