"""Pieced borders: they fill their sides or say what would, nest with the top, and are made with its blocks' units."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from effort import tries
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.quilting import inches, quilt_plan
from tracker.exact.measure import Measure
from tracker.plan.border_strips import ENDS, SIDES, strip_pieces
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.plan_writer import write_plan
from tracker.progress.measured_top import border_pairs, standing
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.names import Names
from tracker.words.plan_notices import notice_sentence
from tracker.words.step_words import Words
from tracker.work.steps import AddStrips, Checklist, Step
from tracker.work.whole_blocks import JoinUnits

SASH = '[quilt.sash]\nfabric = "B"\nfinished = "1"\ncornerstone = "A"\n'
OUTER = '[[quilt.border]]\nfabric = "B"\nfinished = "1"\ncorners = "A"\nouter_sash = true\n'


def border(finished: str, *more: str) -> str:
    return "\n".join(("[[quilt.border]]", f'finished = "{finished}"', *more, ""))


def teeth(finished: str, *more: str) -> str:
    return border(finished, "picture = 'A/B'", *more)


def added(checklist: Checklist) -> list[AddStrips]:
    return [step.action for step in checklist.steps if isinstance(step.action, AddStrips) and step.action.outward]


def lengths(plan: Plan, number: int, where: str) -> Measure:
    return sum((piece.length for piece in strip_pieces(plan, number, where)), Measure())


def test_teeth_are_made_and_counted_with_the_half_squares_of_the_blocks() -> None:
    """By hand: 14 by 12 in, teeth of 2 in with corner squares: 6 on each side, 7 above and below; two strips each."""
    plan = quilt_plan(("14", "12"), 1, 1, teeth("2", 'corners = "B"'))
    checklist = compile_plan(plan)
    assert [(unit.kind, unit.needed) for unit in checklist.units][1:] == [("half-square triangle", 26)]
    joins = [step for step in checklist.steps if isinstance(step.action, JoinUnits)]
    assert [(len(step.action.members), step.count) for step in joins if isinstance(step.action, JoinUnits)] == [
        (6, 2),
        (7, 2),
    ]
    assert set_quilt(plan).finished == (Measure(18), Measure(16))


def test_without_corners_the_teeth_at_top_and_bottom_run_through() -> None:
    plan = quilt_plan(("14", "12"), 1, 1, teeth("2"))
    assert [len(strip_pieces(plan, 1, where)) for where in (SIDES, ENDS)] == [6, 9]


def test_an_outer_sash_has_pieces_as_long_as_the_blocks_and_every_seam_of_it_nests() -> None:
    plan = quilt_plan(("7", "5"), 3, 2, SASH + OUTER)
    ends = [piece.length for piece in strip_pieces(plan, 1, ENDS)]
    assert ends == [Measure(n) for n in (7, 1, 7, 1, 7)]
    assert [piece.length for piece in strip_pieces(plan, 1, SIDES)] == [Measure(n) for n in (5, 1, 5)]
    met = [nest for action in added(compile_plan(plan)) for nests in action.nests for nest in nests]
    # Two sashes at each side; four, and the seams of two corners, above and below.
    assert len(met) == 2 * 2 + 2 * (4 + 2)
    assert all(nest.nests for nest in met)


@settings(max_examples=tries(40), deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(8, 160), st.integers(8, 160), st.sampled_from(("1", "1 1/4", "2", "3")), st.booleans())
def test_what_does_not_fill_its_sides_is_told_what_would(across: int, down: int, wide: str, corners: bool) -> None:
    """The width, or the plain border before it, that is named for a top of quarters of an inch is right."""
    more = ('corners = "A"',) if corners else ()
    text = write_plan(quilt_plan((f"{across}/4", f"{down}/4"), 1, 1))
    reading = read_plan(text + "\n" + teeth(wide, *more))
    if reading.plan is not None:
        top = {SIDES: Measure(Fraction(down, 4)), ENDS: Measure(Fraction(across, 4))}
        own = {SIDES: Measure(), ENDS: Measure() if corners else 2 * inches(wide)}
        assert all(lengths(reading.plan, 1, where) == top[where] + own[where] for where in (SIDES, ENDS))
        return
    (problem,) = reading.problems
    assert problem.kind == "pieced border"
    ways = problem.right.partition(": ")[2].split(", or ")
    for way in ways if "no width on the ruler" not in problem.right else ():
        length = next(word for word in (way.partition("shows ")[2], way.partition("of ")[2]) if word)
        width = length.partition(" in ")[0]
        tried = border(width, 'fabric = "A"') + "\n" + teeth(wide, *more) if "shows" in way else teeth(width, *more)
        assert read_plan(text + "\n" + tried).plan is not None, (problem.right, way)


@pytest.mark.parametrize(
    ("quilt", "kind"),
    [
        (SASH + border("1", 'fabric = "B"') + OUTER, "pieced border"),
        (OUTER, "pieced border"),
        (teeth("2", "outer_sash = true"), "either"),
        (teeth("1/100"), "seam too wide"),
        (teeth("1/4"), "seam too wide"),
    ],
)
def test_what_cannot_be_pieced_is_refused(quilt: str, kind: str) -> None:
    text = write_plan(quilt_plan(("14", "12"), 1, 1))
    assert kind in [problem.kind for problem in read_plan(text + "\n" + quilt).problems]


@pytest.mark.parametrize(
    ("top", "right"),
    [
        ("15 7/8", "no width on the ruler's mark fits"),
        ("15 3/4", "a plain border before it that shows 1 1/8 in makes them fit"),
    ],
)
def test_no_width_is_advised_that_no_ruler_shows_or_no_hand_sews(top: str, right: str) -> None:
    """By hand, of cells of 2 in: 1/16 or 1/8 in is lacking on each side, with a cell more 1 in more."""
    text = write_plan(quilt_plan((top, top), 1, 1))
    (problem,) = read_plan(text + "\n" + teeth("2", 'corners = "B"')).problems
    assert right in problem.right


def test_a_width_is_advised_only_where_the_picture_comes_out_even_with_it() -> None:
    """By hand: sides of 8 in take four cells of 2 in, but an oblong of two, one of one and an oblong are five."""
    text = write_plan(quilt_plan(("8", "8"), 1, 1))
    oblong = border("2 1/2", "picture = 'A < B'", 'corners = "B"')
    (problem,) = read_plan(f"{text}\n{oblong}").problems
    assert "no width on the ruler's mark fits" in problem.right
    (problem,) = read_plan(f"{text}\n{oblong.replace('A <', 'A')}").problems
    assert "cells of 2 in fit" in problem.right


def test_what_was_measured_before_a_pieced_border_ends_there() -> None:
    """The top is cut to the pieced border, so the next plain one is as long as planned, whatever was measured."""
    plan = quilt_plan(("12", "10"), 1, 1, border("1", 'fabric = "B"') + teeth("2") + border("3", 'fabric = "B"'))
    checklist = compile_plan(plan)
    pairs = border_pairs(plan, checklist)
    assert [pair.border for pair in pairs] == [1, 1, 3, 3]
    now = standing(plan, checklist, {pairs[0].step.id: ["10", "10", "10"]})
    assert [each.expected == each.pair.planned for each in now.strips] == [True, True, True, True]
    assert now.strips[0].length == Measure(10)
    sized = {step: size for step, size in now.sizes.items() if checklist_step(checklist, step).operation == "square"}
    assert sized == {}
    later = standing(plan, checklist, {pairs[2].step.id: ["15", "15", "15"]})
    assert later.strips[2].off_plan < 0
    assert later.strips[3].expected == later.strips[3].pair.planned


def checklist_step(checklist: Checklist, step_id: str) -> Step:
    return next(step for step in checklist.steps if step.id == step_id)


def test_the_top_is_squared_to_a_pieced_border_and_the_plain_one_before_it_pays() -> None:
    plan = quilt_plan(("12", "10"), 1, 1, border("1", 'fabric = "B"') + teeth("2"))
    checklist = compile_plan(plan)
    words = Words(plan, checklist)
    (step,) = (step for step in checklist.steps if words.title(step) == "Square the top to the length of border 2")
    assert step.size == (inches("14 1/2"), inches("12 1/2"))
    assert "what it is larger comes off border 1, as much on both sides" in words.text(step)


@pytest.mark.parametrize(
    ("quilt", "number"), [(SASH + OUTER, 1), (teeth("2"), 1), (border("2", 'fabric = "A"') + teeth("2"), 2)]
)
def test_cloth_with_a_direction_is_said_to_lie_turned(quilt: str, number: int) -> None:
    plan = quilt_plan(("12", "12"), 1, 1, quilt)
    plan = replace(plan, fabrics={key: replace(each, directional=key == "B") for key, each in plan.fabrics.items()})
    checklist = compile_plan(plan)
    (said,) = (each for each in checklist.notices if each.kind == "cloth turned in a border")
    assert notice_sentence(Names(plan, checklist), said).startswith(
        f"Border {number} goes round the quilt: bark, which has a direction, comes to lie turned"
    )
