"""Plans that read well and cannot be used: refused in a sentence each, before the proof would find it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from effort import tries
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from recipe_plans import RECIPE_PLANS, Drawn, drawn_text
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt

from tracker.exact.measure import Measure, read_length
from tracker.looks.preview import PlanFault, compile_whole, hold_to_use, read_whole
from tracker.plan.known_blocks import known_blocks
from tracker.plan.plan_reader import read_plan
from tracker.plan.squared_plan import with_squared
from tracker.proof.proof import prove
from tracker.store.quilts import Store

FRAME = '{ fabric = "G", cut = "1 1/2" }'
NESTED = RECIPE_PLANS["nested square"]
IN_ROWS = Drawn(
    "S R S R S/K\nS R S R/G K\nS R S/G G K\nS R/G G K K\nR/G G K K R", diagonal=True
)  # the rows of a pieced half, each with seams at other places
TWO_ROUNDS = Drawn(
    "S S S S/R R\\S S S S\nS S S/R R R R\\S S S\nS S/R R R R R R\\S S\nS/R R K G S K R R\\S\n"
    "S\\R R G K K S R R/S\nS S\\R R R R R R/S S\nS S S\\R R R R/S S S\nS S S S\\R R/S S S S",
    diagonal=True,
)


def faults_of(text: str) -> list[str]:
    """What stands against using a plan; one against which nothing does is proved."""
    plan = read_whole(text)
    checklist = compile_whole(plan)
    try:
        hold_to_use(text, plan, checklist)
    except PlanFault as fault:
        return list(fault.sentences)
    assert prove(plan, checklist).first is None
    return []


@pytest.mark.parametrize(
    ("drawn", "size", "least"),
    [
        (NESTED, "5", ""),
        (NESTED, "4", "5"),
        (NESTED, "2 1/2", "5"),
        (replace(NESTED, frame=FRAME), "4", ""),
        (TWO_ROUNDS, "9", ""),
        (TWO_ROUNDS, "8", "9"),
        (TWO_ROUNDS, "3", "9"),
        (IN_ROWS, "7", ""),
        (IN_ROWS, "6", "7"),
        (RECIPE_PLANS["four-patch on point"], "2 1/2", ""),
    ],
)
def test_blocks_are_squared_no_deeper_than_their_seams_at_the_edge_reach(drawn: Drawn, size: str, least: str) -> None:
    """Cut into the middle of such a unit, a block has seams at its edges that nobody listed for nesting."""
    text = drawn_text("deep", replace(drawn, squared=f'squared = "{size}"'))
    words = f"block b: squared is {size} in, which cuts too deep; it can be {least} in or more."
    assert [each.partition(", ")[2].partition(", ")[2] for each in faults_of(text)] == [words] * bool(least)


def test_what_lies_beside_no_other_block_may_be_squared_deep() -> None:
    text = drawn_text("deep", replace(NESTED, squared='squared = "4"'))
    assert faults_of(text.replace("across = 2", "across = 1")) == []
    assert faults_of(f'{text}[quilt.sash]\nfabric = "K"\ncut = "1 1/2"\n') == []


UNEVEN = (
    """title = "uneven"
fabrics.S = { name = "sand", tone = 2 }
fabrics.R = { name = "brick", tone = 7 }
[blocks.b]
columns = ["3", "1"]
rows = ["3", "1"]
picture = """
    + "'''\nS R\nR S\n'''"
    + """
squared = "3"
[quilt]
block = "b"
across = 2
down = 2
"""
)


@pytest.mark.parametrize(("size", "least"), [("2 1/4", "3"), ("2 1/2", "3"), ("2 7/8", "3"), ("3", ""), ("3 1/2", "")])
def test_blocks_are_squared_beside_seams_at_every_edge(size: str, least: str) -> None:
    """By hand: the seams lie 1 in from the right and lower edge, so at most 3/4 in may come off: 4 1/2 less 1 1/2."""
    words = (
        f"plan, line 11, block b: squared is {size} in, which puts the block's edge on a seam inside it; leave a "
        f"seam's width beside it, as {least} in."
    )
    found = faults_of(UNEVEN.replace('squared = "3"', f'squared = "{size}"'))
    assert found == [words] * bool(least)


# Each plan with its block's finished width; its own size or cutting is left out.
KNOWN = {known.key: (known.text, known.block.key, known.size[0]) for known in known_blocks()}
DRAWN = {
    name: drawn_text(name, replace(drawn, squared="diamonds = true" if "star" in name else ""))
    for name, drawn in {**RECIPE_PLANS, "rows of a half": IN_ROWS, "two rounds": TWO_ROUNDS}.items()
}
PLANS = KNOWN | {name: (text, "b", read_whole(text).blocks["b"].inner_finished[0]) for name, text in DRAWN.items()}


@settings(max_examples=tries(200))
@given(st.sampled_from(sorted(PLANS)), st.integers(1, 80))
def test_whatever_a_block_is_squared_to_is_proved_or_refused(name: str, eighths: int) -> None:
    text, key, width = PLANS[name]
    size = width + Measure(Fraction(1, 2)) - Measure(Fraction(eighths, 8))
    assume(size > 1)
    squared = with_squared(text, read_whole(text), key, size, framed=False)
    assume(read_plan(squared).plan is not None)
    # What nothing stands against was proved.
    assert all("cuts too deep" in each or "on a seam" in each for each in faults_of(squared))


@settings(max_examples=tries(100))
@given(st.sampled_from(sorted(PLANS)), st.integers(1, 80))
def test_a_size_that_is_named_for_a_block_is_one_that_it_can_be_squared_to(name: str, eighths: int) -> None:
    """A nine-patch of 9 in squared to 3 1/4 was told that it can be 3 1/2, where its edge would lie on a seam."""
    text, key, width = PLANS[name]
    plan, size = read_whole(text), width + Measure(Fraction(1, 2)) - Measure(Fraction(eighths, 8))
    assume(size > 1)
    read = read_plan(with_squared(text, plan, key, size, framed=False))
    named = [problem.right.split(" in")[0] for problem in read.problems if problem.kind.startswith("squared")]
    if not named:
        return
    again = read_plan(with_squared(text, plan, key, read_length(named[0], "in"), framed=False))
    own = [each for each in again.problems if each.kind.startswith("squared") and key in each.path]
    assert not own


STAR = drawn_text("star", RECIPE_PLANS["star of diamonds"])


@pytest.mark.parametrize(("unit", "seam", "least"), [("in", "1/8", ""), ("in", "0.01", "1/8"), ("cm", "0.1", "0.2")])
def test_a_seam_is_no_smaller_than_one_that_holds(unit: str, seam: str, least: str) -> None:
    """An eighth of an inch, or 2 mm: common practice, as small as seams of patchwork in miniature are."""
    found = faults_of(f'unit = "{unit}"\nseam = "{seam}"\n{STAR}')
    words = f"plan, line 2: seam is {read_as(seam)} {unit}, too little to hold; a seam is {least} {unit} or more."
    assert found == [words] * bool(least)


def read_as(seam: str) -> str:
    return {"0.01": "1/100"}.get(seam, seam)


@pytest.mark.parametrize(
    ("head", "cell"),
    [
        ('seam = "1/8"', "1 2/3"),
        ('seam = "1/8"\nruler = "1/4"', "2"),
        ('unit = "cm"\nseam = "0.2"', "3"),
        ('unit = "cm"\nseam = "0.2"\nruler = "0.5"', "3"),
    ],
)
def test_patches_on_their_points_are_sewn_with_narrow_seams_too(head: str, cell: str) -> None:
    """Their edge triangles, cut large to be trimmed, stood out behind such a seam by more than twice its width."""
    text = drawn_text("narrow", RECIPE_PLANS["on point"]).replace('cell = "2"', f'cell = "{cell}"')
    assert faults_of(f"{head}\n{text}") == []


@pytest.mark.parametrize("usable", ["2", "3", "4 1/2", "5"])
def test_a_cloth_too_narrow_for_a_star_is_told(usable: str) -> None:
    """A side of its pieces that is on no mark of the ruler is told by the next one: it ended in a traceback."""
    found = faults_of(STAR.replace("tone = 2", f'tone = 2, usable = "{usable}"'))
    assert bool(found) == (usable != "5")
    assert all(f"larger than that cloth, which is {usable} in wide" in each for each in found)


def test_a_quilt_with_such_a_plan_opens_all_the_same(phone: Visitor, store: Store) -> None:
    for text in (
        SMALL_PLAN.replace("[fabrics", 'seam = "1/100"\n[fabrics', 1),
        drawn_text("deep", replace(NESTED, squared='squared = "4"')),
        STAR.replace("tone = 2", 'tone = 2, usable = "3"'),
    ):
        assert faults_of(text)
        quilt = Quilt(phone, add_quilt(store, text))
        assert phone.get(quilt.at).status_code == 200
