"""What a teacher adds to a step: one sentence at most, where it helps, and once in each part of the work."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from freezing import PLANS
from planning import plan_of
from recipe_plans import RECIPE_PLANS, recipe_plan
from test_teaching import words_of
from visitors import SMALL_PLAN

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.route.working_order import sections
from tracker.words.step_words import Words
from tracker.words.tips import eight_meet


def said(plan: Plan) -> dict[str, str]:
    """The sentences of a plan's steps, by their titles."""
    words = Words(plan, compile_plan(plan))
    return {words.title(step): tip for step in words.checklist.steps if (tip := words.tip(step))}


@pytest.mark.parametrize("name", PLANS)
def test_it_is_one_sentence_other_than_the_check_and_said_once_in_each_part_of_the_work(name: str) -> None:
    words = words_of(name)
    stands = sections(words.checklist)
    tips = [(stands[step.id], tip, step) for step in words.checklist.steps if (tip := words.tip(step))]
    assert tips
    assert max(Counter((section, tip) for section, tip, _ in tips).values()) == 1
    for _, tip, step in tips:
        assert re.fullmatch(r"[A-Z].{20,150}\.", tip), tip
        assert tip not in words.check(step)
        assert tip not in words.text(step)


WHERE = {
    "half-square two": [("Mark", "sandpaper"), ("Sew", "down one side of the line, turn"), ("Trim", "with tape")],
    "half-square four": [
        ("Cut apart", "outer edges are on the bias now"),
        ("Join the pieces", "on the bias: pin them"),
    ],
    "square in a square": [("Sew", "on the bias: turn the piece over")],
    "goose flip": [("Sew", "on a scrap of cloth")],
    "rows": [("Lay out", "Put a pin in the first piece of each row"), ("Join row 2", "lay it below: the feed")],
    "strip set": [("Sew the strip set", "shorter stitch")],
    "frame": [("Sew the top and bottom strips", "Press the strips before")],
}


@pytest.mark.parametrize("name", [name for name in RECIPE_PLANS if name in WHERE])
def test_it_stands_where_it_helps(name: str) -> None:
    found = said(recipe_plan(name))
    for title, tip in WHERE[name]:
        assert any(step.startswith(title) and tip in words for step, words in found.items()), (title, found)


@pytest.mark.parametrize(
    ("picture", "meet"),
    [
        ("S\\R S/R\nS/R S\\R", True),
        ("S/R S\\R\nS\\R S/R", False),
        ("S S/R\nR\\S S", False),
        ("S:R:S:R S:R:S:R\nS:R:S:R S:R:S:R", True),
    ],
)
def test_seams_are_fanned_where_eight_points_meet(picture: str, meet: bool) -> None:
    plan = plan_of(picture)
    assert eight_meet(plan.blocks["b"]) == meet
    assert any("fan the seams" in tip for tip in said(plan).values()) == meet


def test_bias_edges_are_pinned_in_the_row_that_has_them() -> None:
    found = {title for title, tip in said(words_of("pieced_lanes").plan).items() if "on the bias: pin them" in tip}
    assert found == {"Join the 2 pieces at the left of Lane"}, "not in row 1, which is of squares and rectangles"


def test_what_lies_above_so_that_its_points_are_seen_is_not_to_be_laid_below() -> None:
    words = words_of("toothed_edge")
    tips = {words.title(step): words.tip(step) or "" for step in words.checklist.steps}
    assert tips["Sew border 3 to the sides"] == ""
    assert "lay it below" in tips["Sew border 2 to the sides"]


def test_borders_that_share_a_length_of_strip_are_named_once() -> None:
    """The upper strips of one border are as long as the side strips of the next; not `for border 1, for borders 1 and
    2`."""
    border = '[[quilt.border]]\nfabric = "R"\nfinished = "2"\n'
    plan = read_plan(f'{SMALL_PLAN}{2 * border}[quilt.binding]\nfabric = "R"\n'.replace("down = 1", "down = 2")).plan
    assert plan is not None
    (aside,) = (tip for tip in said(plan).values() if "lay aside" in tip)
    assert "what of it is for borders 1 and 2 and for the binding:" in aside


def test_of_cloth_that_is_needed_later_its_length_is_laid_aside_first() -> None:
    words = words_of("kingfisher")
    cuts = [step for step in words.checklist.steps if step.operation == "cut" and step.count]
    first = {step.action.fabric: step for step in reversed(cuts)}  # type: ignore[union-attr]
    aside = {key: words.tip(step) or "" for key, step in first.items() if "lay aside" in (words.tip(step) or "")}
    said_first = (
        "Before you cut, lay aside, whole and uncut, what of it is for border 1: the cutting list says how much."
    )
    assert aside["T"] == said_first
    assert "for the binding" in aside["K"]
    assert set(aside) == {"T", "K"}
