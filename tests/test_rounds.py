"""Seams begun, left open and closed at the end: four pieces that turn round a middle, either way, pieced or plain."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from time import process_time
from typing import Any

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_strategies import KEYS, Grid, quarters, turning_spans
from planning import plan_of

from tracker.exact.measure import Measure
from tracker.fitting.seam_test import seams_of
from tracker.plan.model import Cell, Plan
from tracker.proof.proof import prove
from tracker.route.compiler import CannotSew, compile_plan
from tracker.words.step_words import Words
from tracker.work.partial_seams import BeginSeam, CloseSeam, PartialSeams, SewArm
from tracker.work.steps import Action, Checklist, PressSeams, Step

PINWHEEL = "R < T\nM S ^\n^ K <"
OTHER_WAY = "T R <\n^ S M\nK < ^"
PIECED = "S < R T K\nR T K S ^\n^ K S < ^\n^ S < < <"
"""Above the middle the lines between its pieces run on, one across the part that is begun, one across what is open."""


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    verdict = prove(plan, checklist)
    assert verdict.holds, verdict.first
    return checklist


def turning(checklist: Checklist) -> list[Any]:
    return [step.action for step in checklist.steps if isinstance(step.action, PartialSeams)]


# picture -> the side where the first is level, how much of its seam is begun, the edges in order, sizes after each.
WAYS: dict[str, tuple[str, str, str, list[str], list[str]]] = {
    "clockwise": (PINWHEEL, "right", "5/4", ["right", "bottom", "left"], ["9/2 9/2", "13/2 9/2", "13/2 13/2"]),
    "the other way": (OTHER_WAY, "left", "5/4", ["left", "bottom", "right"], ["9/2 9/2", "13/2 9/2", "13/2 13/2"]),
    "a middle of pieces": (
        PIECED, "right", "13/4", ["right", "bottom", "left"], ["17/2 13/2", "21/2 13/2", "21/2 17/2"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", WAYS)
def test_the_first_seam_is_begun_the_others_go_round_and_it_is_closed(name: str) -> None:
    picture, level, sewn, edges, sizes = WAYS[name]
    checklist = proved(plan_of(picture))
    begun, *arms, closed = turning(checklist)
    assert (type(begun), begun.level, str(begun.sewn.rational)) == (BeginSeam, level, sewn)
    assert [(type(arm), arm.edge) for arm in arms] == [(SewArm, edge) for edge in edges]
    assert isinstance(closed, CloseSeam)
    grown = [step.size for step in checklist.steps if isinstance(step.action, PartialSeams) and step.size]
    assert [f"{across.rational} {down.rational}" for across, down in grown[:3]] == sizes
    assert grown[3] == grown[4] == grown[2]


def test_all_seams_go_away_from_the_middle_whatever_the_cloths() -> None:
    for picture in (PINWHEEL, OTHER_WAY, PINWHEEL.replace("S", "K").replace("R", "S")):
        plan = plan_of(picture)
        checklist = proved(plan)
        (version,) = checklist.pressing.blocks[0].versions
        assert len(version.seams) == 4
        assert all(seam.toward is not None and seam.toward.cell != (2, 2) for seam in version.seams)
        pressed = [step for step in checklist.steps if isinstance(step.action, PressSeams)]
        assert len(pressed) == 5


def test_what_meets_across_the_first_seam_is_named_when_that_part_is_sewn() -> None:
    begun, right, bottom, left, closed = turning(proved(plan_of(PIECED)))
    assert [(nest.along, nest.seams) for nest in begun.nests] == [(Measure(25) / 4, (2, 2))]
    assert [(nest.along, nest.seams) for nest in closed.nests] == [(Measure(17) / 4, (1, 2))]
    assert not any(arm.nests for arm in (right, bottom, left))


@settings(max_examples=tries(60, 12), deadline=None)
@given(st.data())
def test_whatever_turns_round_whatever_is_proved(data: st.DataObject) -> None:
    down, across = data.draw(st.integers(3, 6)), data.draw(st.integers(3, 6))
    side = st.sampled_from([Measure(1), Measure(2), Measure(3) / 2])
    grid = Grid(*(tuple(data.draw(st.lists(side, min_size=n, max_size=n))) for n in (across, down)))
    plan = plan_of("S", top="".join(f'fabrics.{key} = {{ name = "{key}", tone = 5 }}\n' for key in KEYS))
    cells = tuple(
        Cell(row, column, data.draw(quarters(KEYS, grid.is_square((row, column, high, wide)))), high, wide)
        for row, column, high, wide in sorted(data.draw(turning_spans((0, 0, down, across))))
    )
    block = replace(
        plan.blocks["b"], columns=grid.columns, rows=grid.rows, cells=cells, combine=data.draw(st.booleans())
    )
    proved(replace(plan, blocks={"b": block}))


def test_a_round_lies_in_a_row_in_a_middle_and_beside_frames() -> None:
    nested = "R < < < T\nM S < K ^\n^ T R ^ ^\n^ ^ M < ^\n^ K < < <"
    row = "R < T S\nM S ^ ^\n^ K < ^\nT < < <"
    for picture, begun in ((nested, 2), (row, 1)):
        checklist = proved(plan_of(picture, blocks=2, frames='[[blocks.b.frame]]\nfabric = "K"\ncut = "1 1/2"\n'))
        assert sum(isinstance(action, BeginSeam) for action in turning(checklist)) == begun


def test_one_by_one_cells_stay_rows_and_like_neighbours_within_a_round_become_one() -> None:
    assert not turning(proved(plan_of("S R S\nR S R\nS R S", block="combine = true")))
    checklist = proved(plan_of("R < < T\nM S S ^\n^ S S ^\n^ K < <", block="combine = true"))
    assert turning(checklist)
    assert sum(row.needed for row in checklist.units) == 5


# What must not pass


def without(checklist: Checklist, kind: type) -> Checklist:
    """The checklist without the steps of a kind, what they make being taken for made."""
    made = {s.gives[0].pile: s.takes[0].pile for s in checklist.steps if isinstance(s.action, kind)}

    def kept(step: Step) -> Step:
        return replace(step, takes=tuple(replace(flow, pile=made.get(flow.pile, flow.pile)) for flow in step.takes))

    return replace(checklist, steps=tuple(kept(s) for s in checklist.steps if not isinstance(s.action, kind)))


def changed(checklist: Checklist, kind: type, **facts: object) -> Checklist:
    def other(action: Action) -> Action:
        return replace(action, **facts) if isinstance(action, kind) else action

    return replace(checklist, steps=tuple(replace(step, action=other(step.action)) for step in checklist.steps))


@pytest.mark.parametrize("picture", [PINWHEEL, OTHER_WAY], ids=["clockwise", "the other way"])
def test_a_seam_left_open_sewn_to_its_end_or_sewn_twice_fails_the_proof(picture: str) -> None:
    plan = plan_of(picture)
    checklist = proved(plan)
    wrong = {
        "never closed": without(checklist, CloseSeam),
        "a quarter": changed(checklist, BeginSeam, sewn=Measure(5) / 8),
        "to its end": changed(checklist, BeginSeam, sewn=Measure(5) / 2),
        "not begun": changed(checklist, BeginSeam, sewn=Measure(0)),
        "from the other end": changed(
            checklist, BeginSeam, level={"right": "left", "left": "right"}[turning(checklist)[0].level]
        ),
    }
    for name, each in wrong.items():
        verdict = prove(plan, each)
        assert verdict.first is not None, name
        assert verdict.first.sentence(plan.unit)


def test_closing_before_the_last_is_sewn_fails_the_proof() -> None:
    """The last arm is taken for sewn and pressed when it is not: the cloth that closing needs is not there."""
    plan = plan_of(PINWHEEL)
    checklist = proved(plan)
    closing = next(step for step in checklist.steps if isinstance(step.action, CloseSeam))
    before = [step for step in checklist.steps if isinstance(step.action, PressSeams)][2]
    early = replace(closing, takes=(replace(closing.takes[0], pile=before.gives[0].pile),))
    steps = tuple(early if step is closing else step for step in checklist.steps)
    verdict = prove(plan, replace(checklist, steps=steps))
    assert verdict.first is not None
    assert verdict.first.kind == "ragged edge"


# What is said


def test_what_is_said_of_it() -> None:
    plan = plan_of(PINWHEEL)
    checklist = proved(plan)
    words = Words(plan, checklist)
    steps = {type(step.action): step for step in reversed(checklist.steps)}
    begun = words.text(steps[BeginSeam])
    assert "on the upper edge of the middle, right sides together, right ends level; its left end stands out" in begun
    assert "From the level end sew 1¼ in, then back two stitches. Leave the rest open." in begun
    assert words.check(steps[BeginSeam]) == "The stitches end 1¼ in from the right edge; all the rest is open."
    assert "on the right edge of what is sewn" in words.text(steps[SewArm])
    last = next(step for step in checklist.steps if isinstance(step.action, SewArm) and step.action.edge == "left")
    assert "Fold the brick rectangle at the upper left well out of the way." in words.text(last)
    assert "over the edge that is still open" in words.text(steps[CloseSeam])
    pressed = [words.text(step) for step in checklist.steps if isinstance(step.action, PressSeams)]
    assert "Only as far as it is sewn." in pressed[0]
    assert all("Press toward the" in text for text in pressed)
    titles = [words.title(step) for step in checklist.steps]
    assert len(set(titles)) == len(titles)
    assert seams_of(checklist, "b") == (2, 2)


def turned_round(core: list[list[str]]) -> list[list[str]]:
    """A picture with four strips round it."""
    inside = [["^", *row, "^"] for row in core]
    inside[0][0] = "S"
    return [["R", *["<"] * len(core), "T"], *inside, ["^", "K", *["<"] * len(core)]]


@pytest.mark.parametrize(("columns", "told"), [(("2", "3/4", "2"), True), (("2", "1", "2"), False)])
def test_a_middle_too_small_to_leave_its_seam_open_is_said(columns: tuple[str, ...], told: bool) -> None:
    plan = plan_of(PINWHEEL)
    block = replace(plan.blocks["b"], columns=tuple(Measure(Fraction(side)) for side in columns))
    plan = replace(plan, blocks={"b": block})
    checklist = proved(plan)
    said = [Words(plan, checklist).notice(each) for each in checklist.notices if each.kind == "small middle"]
    assert len(said) == told
    assert all("is ¾ in wide, finished" in each and "⅜ in is little" in each for each in said)


def test_a_picture_that_nothing_joins_is_refused_soon() -> None:
    """Two middles in each other, and twelve rounds round them, each of which could be sewn."""
    core = [row.split() for row in ("S < R <", "T K ^ ^", "^ ^ M S", "^ R < ^")]
    for _ in range(12):
        core = turned_round(core)
    plan, start = plan_of("\n".join(map(" ".join, core))), process_time()
    with pytest.raises(CannotSew) as refused:
        compile_plan(plan)
    assert refused.value.reason == "no straight seam"
    assert len(refused.value.cells) == 7
    assert process_time() - start < 5
