"""The whole quilt sewn by the proof: in every setting it comes out as planned, and what is not as planned is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from effort import tries
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from plan_strategies import whole_quilts
from test_conservation import played
from test_whole_quilt import BLOCKS, CLOTHS, SETTINGS, sewn

from tests.quilting import plan_from, quilt_plan
from tracker.cloth.folding import cut_stack, press_open, sew_lines
from tracker.cloth.moving import flip, settled_piece, shift, turn
from tracker.cloth.pieces import Piece, Stack, patch
from tracker.cloth.uniting import join_ends
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.plan_writer import write_plan
from tracker.progress.counts import Counts
from tracker.progress.edited_plan import carry_over
from tracker.progress.ledger import Progress, Refused
from tracker.progress.tap_kinds import read_tap
from tracker.proof.proof import prove
from tracker.quilt.borders import CannotCut, TooLarge
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.quilt_summary import cannot_make
from tracker.words.refusals import refusal
from tracker.work.steps import About, AddStrips, Checklist, CutApart, PressSeams, Step, Trim
from tracker.work.whole_blocks import Bind, CutLengths, JoinEnds, JoinParts, JoinUnits, Layer, SetBlock

FEW = settings(
    max_examples=tries(60), deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
OFF = Measure(Fraction(1, 16))


def quilt_of(plan: Plan, checklist: Checklist) -> Piece:
    verdict = prove(plan, checklist)
    assert verdict.holds, verdict.first
    quilt = verdict.trace.lying[checklist.steps[-1].gives[0].pile]
    assert isinstance(quilt, Piece)
    return quilt


@pytest.mark.parametrize("setting", SETTINGS)
def test_a_quilt_of_every_setting_is_as_large_as_is_said(setting: str) -> None:
    plan, checklist, _, _ = sewn(setting)
    assert quilt_of(plan, checklist).size == set_quilt(plan).unfinished


@given(whole_quilts())
@FEW
def test_random_quilts_are_proved(plan: Plan) -> None:
    try:
        checklist = compile_plan(plan)
    except CannotCut:
        assume(False)
    if checklist.steps[-1].per == "quilt":
        assert quilt_of(plan, checklist).size == set_quilt(plan).unfinished
    assert all(piece.width.is_rational and piece.height.is_rational for piece in checklist.pieces)
    if any(border.is_pieced for border in plan.quilt.borders):
        assert read_plan(write_plan(plan)).plan == plan
    pieces = {(p.fabric, p.width, p.height, p.use): p.count for p in checklist.pieces}
    for part in set_quilt(plan).pieces:
        sides = part.width, part.height
        found = pieces.get((part.fabric, max(sides), min(sides), part.use), 0)
        assert found >= part.count, part


@given(whole_quilts(most=1), st.integers(0, 9))
@FEW
def test_in_whatever_order_the_quilt_is_finished(plan: Plan, seed: int) -> None:
    try:
        checklist = compile_plan(plan)
    except CannotCut:
        assume(False)
    progress = Progress(plan, checklist)
    for _ in played(progress, Random(seed)):
        pass
    assert progress.counts.finished()
    assert (
        progress.counts.on_pile(checklist.steps[-1].gives[0].pile, None if checklist.steps[-1].per == "quilt" else 1)
        == 1
    )


# Taps that would break the counts


def test_what_holds_blocks_is_never_said_to_be_spoiled() -> None:
    plan, checklist, _, words = sewn("borders")
    progress = Progress(plan, checklist)
    for _ in played(progress, Random(1)):
        pass
    assert progress.counts.on_pile(checklist.steps[-1].gives[0].pile) == 1
    for pile in (checklist.steps[-1].gives[0].pile, *sorted(progress.counts.with_blocks)):
        with pytest.raises(Refused) as refused:
            progress.record(read_tap({"id": "spoiled", "do": "spoiled", "pile": pile, "times": 1}))
        assert "no count makes them again" in refusal(refused.value, words)
    assert progress.counts.finished()


def test_borders_that_are_sewn_on_stay_when_their_cloth_is_cut_in_another_way() -> None:
    """Another border of the cloth makes its strips another run; what was sewn is the same."""
    narrow = SETTINGS["straight"].replace("across = 3", "across = 9") + '\n[[quilt.border]]\nfabric = "K"\ncut = "3"'
    plan, other = (
        plan_from(f'title = "Edited"\n{CLOTHS}{BLOCKS}{text}')
        for text in (narrow, narrow + '\n[[quilt.border]]\nfabric = "K"\ncut = "3"')
    )
    progress = Progress(plan, compile_plan(plan))
    for _ in played(progress, Random(2)):
        pass
    carried = carry_over(progress.counts, Counts(other, compile_plan(other))).counts
    sewn_on = [step for step in progress.counts.steps.values() if step.operation == "add strip"]
    assert sewn_on
    assert all(carried.times_done(carried.steps[step.id]) == 1 for step in sewn_on)


@pytest.mark.parametrize(
    ("quilt", "use"),
    [
        ('setting = "on point"\nsetting_fabric = "B"', "setting triangles"),
        ('[[quilt.border]]\nfabric = "B"\ncut = "41"\nlengthwise = true', "borders"),
    ],
)
def test_a_piece_larger_than_its_cloth_is_refused(quilt: str, use: str) -> None:
    plan = quilt_plan(("30", "30"), 2, 1, quilt)
    with pytest.raises(TooLarge) as refused:
        compile_plan(plan)
    assert f"a piece for {use} is larger than that both ways" in cannot_make(refused.value, plan)


# What is not as planned


def changed(
    checklist: Checklist, kind: type, change: Callable[[Any], Any], wanted: Callable[[Step], bool] = lambda step: True
) -> Checklist:
    """The checklist with the first such action changed."""
    place = next(n for n, step in enumerate(checklist.steps) if isinstance(step.action, kind) and wanted(step))
    step = checklist.steps[place]
    steps = (*checklist.steps[:place], replace(step, action=change(step.action)), *checklist.steps[place + 1 :])
    return replace(checklist, steps=steps)


def backwards(action: JoinParts) -> JoinParts:
    return replace(action, members=action.members[::-1])


def exchanged(action: JoinParts) -> JoinParts:
    first, second, *others = action.members
    return replace(action, members=(second, first, *others))


def shifted(action: JoinParts) -> JoinParts:
    last = action.members[-1]
    return replace(action, members=(*action.members[:-1], replace(last, along=last.along + 16 * OFF)))


def longer(action: CutLengths) -> CutLengths:
    first, *others = action.lengths
    return replace(action, lengths=(replace(first, length=first.length * 3), *others))


def tight(action: Trim) -> Trim:
    return replace(action, width=action.width - 2, height=action.height - 2)


def off_centre(action: Trim) -> Trim:
    return replace(action, centre=(action.centre[0] + OFF, action.centre[1] + OFF))


def first_member_turned(action: JoinUnits) -> JoinUnits:
    first, *others = action.members
    return replace(action, members=(replace(first, turn=(first.turn + 90) % 360), *others))


def first_turned(action: CutApart) -> CutApart:
    first, *others = action.parts
    return replace(action, parts=(replace(first, turn=(first.turn + 90) % 360), *others))


def other_side(action: PressSeams) -> PressSeams:
    first, *others = action.seams[0]
    toward = next(name for name in first.between if name != first.toward)
    return replace(action, seams=((replace(first, toward=toward), *others), *action.seams[1:]))


def of_rows(step: Step) -> bool:
    return step.topic.about is About.ROWS


def of_borders(step: Step) -> bool:
    return step.topic.about is About.BORDERS


def to_pieced(step: Step) -> bool:
    return of_borders(step) and step.operation == "square"


def next_row(step: Step) -> bool:
    return isinstance(step.action, JoinParts) and ":rows 1 to 2 " in step.id


def down(step: Step) -> bool:
    return isinstance(step.action, JoinParts) and step.action.direction == "down"


FAULTS: list[tuple[str, str, type, Callable[[Any], Any], Callable[[Step], bool], str]] = [
    ("a block turned", "straight", SetBlock, lambda a: replace(a, turn=180 - a.turn), of_rows, "not in place"),
    ("a block turned otherwise", "turned", SetBlock, lambda a: replace(a, turn=270), of_rows, "not in place"),
    (
        "two kinds exchanged",
        "two kinds",
        JoinParts,
        lambda a: replace(a, members=(a.members[1], a.members[0], a.members[2])),
        of_rows,
        "picture",
    ),
    ("two rows exchanged", "two kinds", JoinParts, backwards, down, "picture"),
    ("a triangle out of place", "on point", JoinParts, shifted, of_rows, "too small to trim"),
    ("a row out of place", "on point", JoinParts, shifted, next_row, "too small to trim"),
    ("points that do not float", "on point, floating", Trim, tight, of_rows, "size"),
    ("points cut unevenly", "on point, floating", Trim, off_centre, of_rows, "picture"),
    ("a unit of a border turned", "pieced", JoinUnits, first_member_turned, of_borders, "picture"),
    ("units of a border exchanged", "pieced twice", JoinUnits, exchanged, of_borders, "picture"),
    ("a pieced border inside out", "pieced", AddStrips, lambda a: replace(a, outward=False), of_borders, "picture"),
    ("a border's meetings left out", "pieced", AddStrips, lambda a: replace(a, nests=((), ())), of_borders, "nests"),
    ("a border's seams the other way", "pieced", PressSeams, other_side, of_borders, "pressed light"),
    ("an outer sash's seams the other way", "outer sashes", PressSeams, other_side, of_borders, "pressed light"),
    ("a top not cut to the pieced border", "pieced twice", Trim, tight, to_pieced, "edges"),
    ("meetings left out", "straight", JoinParts, lambda a: replace(a, nests=((),) * len(a.nests)), down, "nests"),
    ("a border cut short", "borders", Trim, lambda a: replace(a, width=a.width - OFF), of_borders, "edges"),
    ("a sash pressed to the block", "sashes", PressSeams, other_side, of_rows, "pressed light"),
    ("a border pressed to the top", "borders", PressSeams, other_side, of_borders, "pressed light"),
    ("more cut than there is", "all round", CutLengths, longer, bool, "too small to trim"),
    (
        "a small batting",
        "all round",
        Layer,
        lambda a: replace(a, batting=(a.batting[0] - OFF, a.batting[1])),
        bool,
        "edges",
    ),
    ("no backing", "all round", Layer, lambda a: replace(a, backing=None), bool, "wrong takes"),
    ("the wrong way about", "all round", Bind, lambda a: Bind(a.binding, a.quilt), bool, "edges"),
    ("a triangle turned", "on point", CutApart, first_turned, bool, "unlike"),
    ("sides last", "borders", AddStrips, lambda a: replace(a, edges="top and bottom"), of_borders, "edges"),
]


@pytest.mark.parametrize(
    ("setting", "kind", "change", "wanted", "found"), [each[1:] for each in FAULTS], ids=[each[0] for each in FAULTS]
)
def test_what_is_not_as_planned_is_found(
    setting: str, kind: type, change: Callable[[Any], Any], wanted: Callable[[Step], bool], found: str
) -> None:
    plan, checklist, _, _ = sewn(setting)
    verdict = prove(plan, changed(checklist, kind, change, wanted))
    assert found in {fault.kind for fault in verdict.faults}, [fault.sentence() for fault in verdict.faults]
    assert verdict.first is not None
    assert verdict.first.sentence(plan.unit)


def test_another_cloth_round_the_blocks_is_found() -> None:
    """Cut of another cloth, named so in every list, and still not what the plan shows."""
    for setting, use in (
        ("sashes", ":sash"),
        ("cornerstones", ":cornerstone"),
        ("on point", ":setting"),
        ("borders", ":border"),
    ):
        plan, checklist, _, _ = sewn(setting)
        place, step = next((n, s) for n, s in enumerate(checklist.steps) if s.id.endswith(use))
        action = replace(step.action, fabric="R" if step.action.fabric != "R" else "T")  # type: ignore[union-attr, call-arg]
        steps = (*checklist.steps[:place], replace(step, action=action), *checklist.steps[place + 1 :])
        verdict = prove(plan, replace(checklist, steps=steps))
        assert "picture" in {fault.kind for fault in verdict.faults}, setting


def test_a_join_on_the_diagonal_takes_the_strip_s_width_off() -> None:
    """Two ends laid at a right angle, sewn from corner to corner and opened, by cloth: the same as is reckoned."""
    width, seam = Measure(Fraction(5, 2)), Measure(Fraction(1, 4))
    first, second = patch("S", Measure(20), width), patch("S", Measure(13), width)
    start, end = (Measure(20) - width, Measure()), (Measure(20), width)
    over = shift(*start).piece(settled_piece(flip().piece(turn(90).piece(second))))
    stack = sew_lines(Stack(first, (replace(over, marks=((start, end),)),)), [(start, end)], seam)
    beyond = seam * ROOT2
    line = (start[0] + beyond, start[1]), (end[0], end[1] - beyond)
    inside, corner = (Measure(1), Measure(1)), (end[0] - OFF, OFF)
    opened = press_open(cut_stack(stack, [line], [inside, corner])[0], "open", 0, seam)
    assert opened.size == (Measure(33) - width, width)
    assert opened.area == opened.size[0] * opened.size[1]
    assert join_ends([first, second], JoinEnds(width)).size == opened.size
