"""Stars of diamonds in quilts: two kinds of one quilt that have the same pairs, and stars that are squared down."""

from __future__ import annotations

import pytest
from test_diamonds import LEMOYNE, TEXT, drawn, plan_of, proved, reading_of

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.words.step_words import Words

OTHERS = {
    "on another ground": LEMOYNE.replace("L", "K"),
    "half of it the same": drawn(list("KKLL"), list("LLLL"), list("DMDMKKKM")),
    "one pair the same": drawn(list("LKLK"), list("LKLK"), list("DMKKLLKM")),
}


def beside(picture: str) -> Plan:
    """The star, and another beside it."""
    other = f"[blocks.other]\nsize = \"12\"\ndiamonds = true\npicture = '''\n{picture}\n'''"
    text = TEXT.format(picture=LEMOYNE, size="12", top="", more="", block=other, across=2, down=1)
    quilt = text.replace('block = "star"\nacross = 2\ndown = 1', 'blocks = [["star", "other"], ["other", "star"]]')
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
