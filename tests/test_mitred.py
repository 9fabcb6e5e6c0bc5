"""Borders with mitred corners: how long their strips are, what is measured for them, and what the proof finds wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.quilting import inches, quilt_plan
from tracker.cloth.pieces import Piece
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.plan_writer import write_plan
from tracker.progress.measured_top import border_pairs, standing
from tracker.proof.proof import prove
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.measured_words import asked, cloth_note, findings, planned_size, strips_text
from tracker.words.step_words import Words
from tracker.work.operations import BLADE, PEN
from tracker.work.steps import Step, Trim
from tracker.work.things import SIDES
from tracker.work.whole_blocks import AddBorder, MitreCorners

MITRED = """
[[quilt.border]]
fabric = "B"
finished = "{}"
corners = "mitred"
"""


def plan_of(*widths: str, block: tuple[str, str] = ("6", "6"), across: int = 4, down: int = 5, top: str = "") -> Plan:
    return quilt_plan(block, across, down, "".join(map(MITRED.format, widths)), top)


# Lengths: inner finished side, twice the finished width, two seam allowances, and 4 in (10 cm) more: common practice,
# reckoned from the formula, since no published table of them was found.


@pytest.mark.parametrize(
    ("widths", "unit", "sides", "ends"),
    [
        (["2"], "in", ["38 1/2"], ["32 1/2"]),
        (["6"], "in", ["46 1/2"], ["40 1/2"]),
        (["1", "4"], "in", ["36 1/2", "44 1/2"], ["30 1/2", "38 1/2"]),
        (["5"], "cm", ["51 1/2"], ["45 1/2"]),
    ],
)
def test_strips_are_as_long_as_the_quilt_becomes_and_so_much_more(
    widths: list[str], unit: str, sides: list[str], ends: list[str]
) -> None:
    plan = plan_of(*widths, top=f'unit = "{unit}"')
    strips = set_quilt(plan).border_strips
    assert [strip.length for strip in strips[::4]] == [inches(text) for text in sides]
    assert [strip.length for strip in strips[2::4]] == [inches(text) for text in ends]
    assert prove(plan, compile_plan(plan)).holds


def test_a_plan_with_mitred_corners_is_written_as_it_was_read() -> None:
    plan = plan_of("2", "3")
    text = write_plan(plan)
    assert text.count('corners = "mitred"') == 2
    assert read_plan(text).plan == plan


def test_the_corners_are_seams_on_the_diagonal_pressed_open() -> None:
    plan = plan_of("2")
    checklist = compile_plan(plan)
    quilt = prove(plan, checklist).trace.lying[checklist.steps[-1].gives[0].pile]
    assert isinstance(quilt, Piece)
    by = inches("2 1/4")
    across, down = quilt.size
    wanted = {(x, y) for x in (by, across - by) for y in (by, down - by)}
    slanting = [seam for seam in quilt.seams if len({*seam.line[0], *seam.line[1]}) > 1 and _slants(seam.line)]
    assert len(slanting) == 4
    assert {end for seam in slanting for end in seam.line if end in wanted} == wanted
    assert all(seam.toward == (0, 0) for seam in slanting)


def _slants(line: Any) -> bool:
    (x1, y1), (x2, y2) = line
    return x1 != x2 and y1 != y2


OFF = Measure(Fraction(1, 16))

FAULTS: list[tuple[str, Callable[[Step], Any], str]] = [
    ("a strip cut short", lambda step: _trimmed(step, -OFF), "size"),
    ("a strip cut long", lambda step: _trimmed(step, OFF), "too small to trim"),
    ("ends that stand out less", lambda step: _changed(step, AddBorder, beyond=inches("3")), "edges"),
    ("sides and ends exchanged", lambda step: _exchanged(step), "edges"),
    ("a corner sewn past the border", lambda step: _changed(step, MitreCorners, width=inches("2 1/8")), "mark off the"),
    ("a corner of no width", lambda step: _changed(step, MitreCorners, width=Measure()), "too narrow"),
]


def _trimmed(step: Step, by: Measure) -> Step | None:
    if not isinstance(step.action, Trim):
        return None
    return replace(step, action=replace(step.action, width=step.action.width + by))


def _changed(step: Step, kind: type, **values: Measure) -> Step | None:
    return replace(step, action=replace(step.action, **values)) if isinstance(step.action, kind) else None  # type: ignore[arg-type]


def _exchanged(step: Step) -> Step | None:
    action = step.action
    if not isinstance(action, AddBorder):
        return None
    return replace(step, action=replace(action, sides=action.ends, ends=action.sides))


@pytest.mark.parametrize(("what", "change", "kind"), FAULTS)
def test_what_cannot_be_sewn_so_is_found(what: str, change: Callable[[Step], Any], kind: str) -> None:
    plan = plan_of("2")
    checklist = compile_plan(plan)
    steps = []
    for step in checklist.steps:
        trims_sides = isinstance(step.action, Trim) and checklist.made(step).thing.side == SIDES
        steps.append((None if "strip cut" in what and not trims_sides else change(step)) or step)
    assert steps != list(checklist.steps)
    verdict = prove(plan, replace(checklist, steps=tuple(steps)))
    assert verdict.first is not None
    assert verdict.first.kind.startswith(kind), verdict.first


def test_a_straight_border_does_not_pass_for_a_mitred_one() -> None:
    mitred = plan_of("2")
    border = replace(mitred.quilt.borders[0], mitred=False)
    straight = replace(mitred, quilt=replace(mitred.quilt, borders=(border,)))
    assert not prove(mitred, compile_plan(straight)).holds
    assert not prove(straight, compile_plan(mitred)).holds


# What the top measures


def test_both_ways_are_measured_before_a_mitred_border_goes_on() -> None:
    plan = plan_of("2", "3")
    checklist = compile_plan(plan)
    pairs = border_pairs(plan, checklist)
    planned = ["30 1/2", "24 1/2", "34 1/2", "28 1/2"]
    assert [pair.planned for pair in pairs] == [inches(text) for text in planned]
    assert [pair.mitre for pair in pairs] == [inches(text) for text in ("8", "8", "10", "10")]
    found = standing(plan, checklist, {pairs[0].step.id: ["30 3/4"], pairs[1].step.id: ["24 1/4"]})
    expected = ["30 1/2", "24 1/2", "34 3/4", "28 1/4"]
    assert [each.expected for each in found.strips] == [inches(text) for text in expected]
    assert found.strips[-1].after == (inches("34 1/4"), inches("40 3/4"))
    added = [step for step in checklist.steps if isinstance(step.action, AddBorder)]
    assert [found.sizes[step.id] for step in added] == [
        (inches("28 1/4"), inches("34 3/4")),
        (inches("34 1/4"), inches("40 3/4")),
    ]
    words = Words(plan, checklist)
    assert planned_size(found.strips, words) == (inches("34 1/2"), inches("40 1/2"))


@pytest.mark.parametrize(("measured", "lacks"), [("30 1/2", False), ("32 1/2", False), ("32 3/4", True)])
def test_strips_have_room_for_a_top_that_is_longer(measured: str, lacks: bool) -> None:
    plan = plan_of("2")
    checklist = compile_plan(plan)
    pair = border_pairs(plan, checklist)[0]
    strips = standing(plan, checklist, {pair.step.id: [measured]}).strips
    words = Words(plan, checklist)
    assert bool(strips[0].lacking) == lacks
    assert bool(cloth_note(words, strips[0])) == lacks
    said = [each.words for each in findings(words, strips, 0, False, None)]
    assert any("you need 40¾ in" in each for each in said) == lacks
    assert "from it each way" in strips_text(words, strips[0])
    for each in strips:
        assert asked(words, each.pair).startswith("Lay the top flat")


def test_strips_too_long_for_the_cloth_are_joined() -> None:
    plan = plan_of("2", block=("12", "12"))
    checklist = compile_plan(plan)
    assert prove(plan, checklist).holds
    words = Words(plan, checklist)
    titles = [words.title(step) for step in checklist.steps]
    assert "Mitre the corners of border 1" in titles
    assert any(title.startswith("Join strips end to end") for title in titles)
    (cut,) = [step for step in checklist.steps if words.title(step).startswith("Cut strips for border 1")]
    assert "mitred" in words.text(cut)
    # Whichever pair is cut from what, both are measured for, each by its own name.
    assert [pair.where for pair in border_pairs(plan, checklist)] == ["sides", "top and bottom"]


def test_of_several_each_is_mitred_by_itself_and_that_is_said() -> None:
    plan = plan_of("2", "3")
    words = Words(plan, compile_plan(plan))
    said = {words.title(step): words.text(step) for step in words.checklist.steps}
    assert "Border 2 goes on when these corners are mitred." in said["Sew border 1 to all four sides"]
    assert "goes on when" not in said["Sew border 2 to all four sides"]
    assert "runs on" not in said["Mitre the corners of border 1"]
    assert "It runs on straight from the corner of border 1." in said["Mitre the corners of border 2"]


def test_strips_that_are_marked_by_measure_warn_of_the_pen_not_of_the_blade() -> None:
    plan = plan_of("2")
    words = Words(plan, compile_plan(plan))
    (marked, _) = [step for step in words.checklist.steps if words.title(step).endswith("for the measured length")]
    assert words.caution(marked) == PEN
    cut = next(step for step in words.checklist.steps if words.title(step).startswith("Cut"))
    assert words.caution(cut) == BLADE
