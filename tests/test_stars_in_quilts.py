"""Stars of diamonds in quilts: two kinds of one quilt that have the same pairs, and stars that are squared down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from test_diamonds import CLOTHS, LEMOYNE, TEXT, drawn, plan_of, proved, reading_of

from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.printed.compare import compare
from tracker.printed.list_table import read_list
from tracker.proof.proof import prove
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.steps import Flow, Mark, Step

OTHERS = {
    "on another ground": LEMOYNE.replace("L", "K"),
    "half of it the same": drawn(list("KKLL"), list("LLLL"), list("DMDMKKKM")),
    "one pair the same": drawn(list("LKLK"), list("LKLK"), list("DMKKLLKM")),
}


def beside(picture: str, rows: str = '["star", "other"], ["other", "star"]') -> Plan:
    """The star, and another beside it."""
    other = f"[blocks.other]\nsize = \"12\"\ndiamonds = true\npicture = '''\n{picture}\n'''"
    text = TEXT.format(picture=LEMOYNE, size="12", top="", more="", block=other, across=2, down=1)
    quilt = text.replace('block = "star"\nacross = 2\ndown = 1', f"blocks = [{rows}]")
    plan = read_plan(quilt).plan
    assert plan is not None
    return plan


@pytest.mark.parametrize("name", OTHERS)
def test_two_stars_that_have_the_same_pairs_lie_in_one_quilt(name: str) -> None:
    """Each is sewn from its own diamonds: how many come from a strip hangs on how many of the star there are."""
    plan, alone = beside(OTHERS[name]), plan_of()
    checklist = proved(plan)
    titles = [Words(plan, checklist).title(step) for step in checklist.steps]
    assert len({*titles}) == len(titles)
    # What was begun with one star goes on when another comes into the plan.
    before, after = (
        {step.id for step in each.steps if step.operation == "sew to dots"} for each in (proved(alone), checklist)
    )
    assert before < after


@pytest.mark.parametrize(("squared", "least"), [("8 1/8", ""), ("8", "8 1/8 in"), ("7", "8 1/8 in"), ("5", "8 1/8 in")])
def test_a_star_is_squared_no_deeper_than_its_side_triangles_reach(squared: str, least: str) -> None:
    """Cut through them it would have other seams at its edges than its corners'."""
    plan, problems = reading_of(block=f'squared = "{squared}"', down=2)
    if plan is not None:
        proved(plan)
    assert (plan is None) == bool(least)
    assert [f"it can be {least} or more" in each for each in problems] == [True] * bool(least)


# What the proof holds


PAIR, PRESSED = "joined:pair of diamonds:D+M@12", "pressed:pair of diamonds:D+M@12"


def _pairs_left_unpressed(step: Step) -> Step | None:
    """Halves sewn of pairs that nobody pressed; all three seams are pressed afterwards."""
    action = step.action
    if isinstance(action, SewToDots) and action.base == PRESSED:
        pieces = tuple(replace(piece, pile=PAIR) for piece in action.pieces)
        return replace(step, takes=(Flow(PAIR, 2),), action=replace(action, base=PAIR, pieces=pieces))
    if isinstance(action, PressAside) and step.id.startswith("pressed:half star"):
        return replace(step, action=PressAside(("right",) * 3, ("M", "M", "D")))
    return None if step.id == PRESSED else step


def _lines_that_do_not_cross(step: Step) -> Step:
    """Of each dot one line slid along itself, off the other."""
    if not isinstance(step.action, Mark) or "diamond" not in step.id:
        return step
    lines = list(step.action.lines)
    for number in range(1, len(lines), 2):
        (x, y), (across, down) = lines[number]
        by = Measure(3) / 5
        off = (across - x) * by, (down - y) * by
        lines[number] = (x + off[0], y + off[1]), (across + off[0], down + off[1])
    return replace(step, action=Mark(tuple(lines)))


@pytest.mark.parametrize(
    ("change", "kind"), [(_pairs_left_unpressed, "unpressed"), (_lines_that_do_not_cross, "not to the dot")]
)
def test_what_hands_cannot_do_fails_the_proof(change: Callable[[Step], Step | None], kind: str) -> None:
    plan = plan_of()
    checklist = compile_plan(plan)
    steps = tuple(changed for step in checklist.steps if (changed := change(step)) is not None)
    first = prove(plan, replace(checklist, steps=steps)).first
    assert first is not None
    assert first.kind == kind


def test_the_diamonds_of_all_stars_are_compared_as_one_row() -> None:
    """Five stars and one on another ground: their strips are of two lengths, but their diamonds are the same."""
    plan = beside(OTHERS["on another ground"], '["star", "star", "other"], ["star", "star", "star"]')
    checklist = proved(plan)
    squares = "L 20 4 1/4 4 1/4\nK 4 4 1/4 4 1/4\nL 5 squares 6 1/2\nK 1 square 6 1/2\n"
    for number, kinds in ((24, []), (20, ["too few"])):
        rows, faults = read_list(f"{squares}M: {number} diamonds 3\nD: 24 diamonds 3", CLOTHS, "in")
        assert not faults
        assert [found.kind for found in compare(plan, checklist, set_quilt(plan), rows)] == kinds
