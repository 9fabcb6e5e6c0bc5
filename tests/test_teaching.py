"""What a teacher says at each step: true, and when it can be true; checked by the facts of a step, and read aloud."""

from __future__ import annotations

import re
from functools import cache

import pytest
from freezing import PLANS
from planning import plan_of
from recipe_plans import RECIPE_PLANS, recipe_plan

from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.route.working_order import sections
from tracker.words.step_words import Words
from tracker.words.thing_words import plural
from tracker.work.steps import Cut, CutApart, Press, PressSeams, Sew, Step, Trim
from tracker.work.things import (
    GOOSE,
    HALF_RECTANGLE,
    HALF_SQUARE,
    HALVES,
    IN_SQUARE,
    INNER_SQUARE,
    NESTED,
    ON_POINT,
    PATCHWORK,
    PIECED_TRIANGLE,
    POINTED_OBLONG,
    POINTED_SQUARE,
    QUARTER_SQUARE,
    SPLIT,
    STAR,
    STOOD,
)

UNPRESSED = ("join", "add strip", "sew", "begin seam", "sew round", "close seam", "sew to dots", "set in")
"""What leaves a seam that the iron has not seen: it measures short."""


@cache
def words_of(name: str) -> Words:
    plan = read_plan(PLANS[name].read_bytes(), name).plan
    assert plan is not None
    return Words(plan, compile_plan(plan))


@cache
def unit_words(name: str) -> Words:
    plan = recipe_plan(name)
    return Words(plan, compile_plan(plan))


@pytest.mark.parametrize("name", PLANS)
def test_nothing_is_measured_before_it_is_pressed_and_cool(name: str) -> None:
    words = words_of(name)
    for step in words.checklist.steps:
        said = f"{words.text(step)} {words.check(step)}"
        if step.operation in UNPRESSED:
            assert words.shown_size(step) is None
            assert step.size is None or words.size(step.size) not in said, step.id
            assert "ruler" not in words.check(step), step.id
        elif isinstance(step.action, Press | PressSeams) and "its joins open" not in said:
            assert words.check(step).startswith("Cool and flat"), step.id
            if words.has_no_sides(step):
                assert words.shown_size(step) is None
                continue
            sizes = {words.checklist.piles[flow.pile].size for flow in step.gives}
            triangle = words.checklist.made(step).thing.of == PIECED_TRIANGLE
            told = {size: words.length(size[0]) if triangle else words.size(size) for size in sizes if size is not None}
            assert all(said in words.check(step) for said in told.values()), step.id
            assert (words.shape_of(step) == " along both short edges") == triangle, step.id
            assert words.shown_size(step) == (next(iter(sizes)) if len(sizes) == 1 else None), step.id


@pytest.mark.parametrize("name", PLANS)
def test_whatever_a_seam_goes_toward_lies_on_top_and_is_folded_back(name: str) -> None:
    words = words_of(name)
    stands, told = sections(words.checklist), set()
    for step in words.checklist.steps:
        text = words.text(step)
        if step.count and isinstance(step.action, Press | PressSeams) and " open." not in text:
            assert "on top" in text, step.id
            # How a hand does it is said in full where a part of the work first asks for it.
            first = stands[step.id] not in told
            assert ("fold the upper cloth back over it and press along the fold" in text) == first, step.id
            assert ("seam away from you" in text) == ("as before" not in text) == first, step.id
            told |= {stands[step.id]} if first else set()


TRIMMED = {
    HALF_SQUARE: ("the ruler's 45° line on the seam", "the seam runs exactly into both corners"),
    HALF_RECTANGLE: (
        "the ruler's lines ¼ in inside cross on the seam at two corners",
        "at two corners the seam is ¼ in inside both edges",
    ),
    POINTED_SQUARE: (
        "the point on the ruler's middle line, ¼ in below its upper edge",
        "the point lies ¼ in below the edge, in the middle",
    ),
    POINTED_OBLONG: (
        "the point on the ruler's middle line, ¼ in below its upper edge",
        "the point lies ¼ in below the edge, in the middle",
    ),
    QUARTER_SQUARE: ("both 45° lines on the seams, which meet {half} in from each edge", "the seams meet {half} in"),
    SPLIT: ("both 45° lines on the seams, which meet {half} in from each edge", "the seams meet {half} in"),
    GOOSE: ("a 45° line on each seam, the point ¼ in from the edge", "the point ¼ in from the edge"),
    **dict.fromkeys(
        (IN_SQUARE, NESTED, STOOD, INNER_SQUARE),
        ("the design in the middle, ¼ in beyond every point", "¼ in of cloth beyond each of the four points"),
    ),
    ON_POINT: (
        "the ruler's 45° line along a long seam, the design in the middle, ¼ in beyond the points",
        "¼ in of cloth beyond every point",
    ),
    STAR: (
        "both 45° lines on the seams that run to the corner squares, the middle {half} in from each edge",
        "¼ in of cloth beyond all eight points",
    ),
    HALVES: ("the ruler's 45° line on the seam", "the seam runs exactly into both corners"),
    PATCHWORK: (
        "lines of the ruler on both seams, {half} in from each edge",
        "the seams meet {half} in from every edge",
    ),
}
"""How the ruler lies on a unit, and what one sees when it is trimmed true."""


@pytest.mark.parametrize("name", RECIPE_PLANS)
def test_each_unit_is_trimmed_by_its_own_seams(name: str) -> None:
    words = unit_words(name)
    for step in words.checklist.steps:
        made = words.checklist.made(step)
        if not isinstance(step.action, Trim) or made.block is not None or step.of_the_quilt:
            continue
        lies, seen = (said.format(half=words.ruler(step.action.width / 2)) for said in TRIMMED[made.thing.of])
        assert f": {lies}. Cut two sides, turn it half round, lay the size's lines on the" in words.text(step)
        assert seen in words.check(step)
        assert words.check(step).endswith("Too small: do not cut, measure all first.")


@pytest.mark.parametrize("name", [name for name in RECIPE_PLANS if "snowball" in name or "flip" in name])
def test_flips_are_sewn_beside_the_line_and_folded_over_before_they_are_cut(name: str) -> None:
    words = unit_words(name)
    flips = [step for step in words.checklist.steps if isinstance(step.action, Sew) and words.is_on_the_marks(step)]
    assert flips
    for step in flips:
        assert "a thread to the corner's side of " in words.text(step)
        many = isinstance(step.action, Sew) and len(step.action.lines) > 1
        assert words.check(step).startswith(f"Before cutting, fold {'each' if many else 'the'} corner over")
        (cut,) = words.takers_of[step.gives[0].pile]
        assert isinstance(cut.action, CutApart)


def test_a_size_off_the_ruler_is_never_exact() -> None:
    words = words_of("single_row")
    checks = [words.check(step) for step in words.checklist.steps if isinstance(step.action, Trim)]
    assert any(check.startswith("About 4⅝ in square") for check in checks)
    assert not any(re.search("exactly about", check, re.IGNORECASE) for check in checks)


READ_ALOUD = {
    ("kingfisher", "Press half-square triangles, river teal / pale sand"): (
        "Press toward river teal. With that on top and the seam away from you, set the seam, fold the upper cloth back "
        "over it and press along the fold. Lift and lower, do not drag.",
        "Cool and flat, not stretched: about 2⅝ in square before trimming.",
    ),
    ("kingfisher", "Trim quarter-square triangles, brick / river teal / pale sand"): (
        "Trim to 2½ in square: both 45° lines on the seams, which meet 1¼ in from each edge. Cut two sides, turn it "
        "half round, lay the size's lines on the cut sides, cut the other two. Clip the dog-ears.",
        "Exactly 2½ in square: the seams meet 1¼ in from every edge. Too small: do not cut, measure all first.",
    ),
    ("kingfisher", "Press the rows of Kingfisher"): (
        "What a seam goes toward lies on top, the seam away from you: set it, fold the upper cloth back over it and "
        "press along the fold. Seen from the back as it lies: rows 1, 3 and 5 all to the right; rows 2 and 4 all to "
        "the left.",
        "Cool and flat, no folds beside the seams: each 10½ × 2½ in. If one is not, unpick now rather than at the end.",
    ),
    ("snow_fence", "Sew snowballs, ash / berry"): (
        "Sew a thread to the corner's side of each line, from corner to corner. Chain them: feed one after another, "
        "cut the threads after.",
        "Before cutting, fold each corner over its seam: it reaches the edges beneath it.",
    ),
}
"""Whole sentences of a few steps: what to do, and what to check."""


@pytest.mark.parametrize(("name", "title"), READ_ALOUD)
def test_read_aloud(name: str, title: str) -> None:
    words = words_of(name)
    said = {words.title(step): (words.text(step), words.check(step)) for step in _done(words)}
    assert said[title] == READ_ALOUD[name, title]


HALF_MADE = [
    (
        "geese four",
        "Pair half-made",
        "in opposite corners: they overlap in the middle, and their lines run on into one.",
    ),
    ("geese four", "Press half-made", "Cool and flat, not stretched: it looks like a heart."),
    ("geese four", "Pair flying", "in the corner of sand that is whole, its line running out between the two small"),
    ("goose flip", "Pair half-made", "marked side up, at one end."),
    ("goose flip", "Pair half-made", "edges level, the line across the corner, not into it."),
    ("goose flip", "Pair flying", "marked side up, at the other end."),
    ("goose flip", "Sew half-made", "fold the corner over the seam"),
    ("square in a square", "Cut sand squares, 3 in, once", "The cut ran straight, into both corners."),
    ("square in a square", "Pair half-made", "on opposite sides: long edges level with its edges, middle on middle."),
    ("square in a square", "Press half-made", "Cool and flat, not stretched. No size"),
    ("square in a square", "Pair squares", "on the other two sides: long edges level with its edges"),
    (
        "half-square two",
        "Cut the brick square, 3 in",
        "From a strip of brick 3 in wide, or what a wider one leaves, cut one, 3 in long. Measure it both ways;",
    ),
]
"""What a teacher says of a unit on its way: part of what is said."""


@pytest.mark.parametrize(("name", "title", "told"), HALF_MADE)
def test_units_on_their_way_are_read_aloud(name: str, title: str, told: str) -> None:
    words = unit_words(name)
    step = next(step for step in _done(words) if words.title(step).startswith(title))
    assert told in f"{words.text(step)} {words.check(step)} {words.shown_size(step) or 'No size'}"


def _done(words: Words) -> list[Step]:
    return [step for step in words.checklist.steps if step.count]


MANY = {
    "patch": "patches",
    "Nine patch": "Nine patches",
    "half-made flying goose": "half-made flying geese",
    "Wild goose": "Wild geese",
    "half-made square in a square": "half-made squares in squares",
    "Churn dash": "Churn dashes",
    "Box": "Boxes",
    "Maple leaf": "Maple leaves",
    "Lily": "Lilies",
    "Bay": "Bays",
    "Four winds": "Four winds",
    "Cross": "Crosses",
    "Flying geese": "Flying geese",
    "half-square triangle": "half-square triangles",
    "half-square triangle for a quarter-square": "half-square triangles for quarter-squares",
    "whirl": "whirls",
}


@pytest.mark.parametrize("name", MANY)
def test_many_of_a_thing_are_english(name: str) -> None:
    assert plural(name, 1) == name
    assert plural(name, 2) == MANY[name]


@pytest.mark.parametrize("name", [name for name in PLANS if "metric" in name])
def test_a_metric_plan_has_no_inches(name: str) -> None:
    words = words_of(name)
    for step in words.checklist.steps:
        said = " ".join((words.title(step), words.text(step), words.check(step)))
        assert not re.search(r"\binch|[¼½¾⅛⅜⅝⅞] in\b|\d in(?: square| wide|[.,;:)]|$)", said), said


@pytest.mark.parametrize("name", PLANS)
def test_cloth_is_told_apart_by_what_it_is_for(name: str) -> None:
    """No two steps of cutting are called alike, and cloth for the quilt's own parts says which."""
    words = words_of(name)
    cuts = [step for step in words.checklist.steps if isinstance(step.action, Cut)]
    titles = [words.title(step) for step in cuts]
    assert len(set(titles)) == len(titles)
    for step in cuts:
        assert isinstance(step.action, Cut)
        assert (" for " in words.title(step)) == (step.action.use != "unit")


CABIN = "M M M M M\nT R R R M\nT S K R M\nT S S R M\nT T T T M"


def test_logs_of_a_log_cabin_go_by_number_and_side() -> None:
    plan = plan_of(CABIN, block="combine = true")
    words = Words(plan, compile_plan(plan))
    steps = [step for step in words.checklist.steps if step.per == "b"]
    titles = [words.title(step) for step in steps]
    assert not any(re.search(r"column|unit in row|row \d", title) for title in titles)
    assert [title for title in titles if title.startswith("Sew log")] == [
        "Sew log 2, pale sand, to the left of b",
        "Sew log 3, brick, to the right of b",
        "Sew log 4, brick, to the top of b",
        "Sew log 5, teal, to the bottom of b",
        "Sew log 6, teal, to the left of b",
        "Sew log 7, moss, to the right of b",
        "Sew log 8, moss, to the top: b is whole",
    ]
    said = {words.title(step): words.text(step) for step in steps}
    assert said["Sew log 4, brick, to the top of b"].startswith("Sew log 4, brick, 6½ × 2½ in, to the top, ¼ in from")
    piles = words.checklist.piles
    named = {words.pile(flow.pile, 1) for step in steps for flow in step.takes if piles[flow.pile].block}
    assert {"log 8, moss of b, laid out", "the centre with 7 logs of b, pressed"} <= named


@pytest.mark.parametrize("picture", ["S R S\nR S R\nS R S", "S S\nR R\nM M", "S R\nM M\nT T\nK K"])
def test_rows_are_no_log_cabin(picture: str) -> None:
    plan = plan_of(picture, block="combine = true")
    assert Words(plan, compile_plan(plan)).cabins == {}


def test_rows_are_joined_to_rows_until_the_block_is_whole() -> None:
    words = words_of("kingfisher")
    titles = [words.title(step) for step in words.checklist.steps if step.operation == "join"]
    joins = [title for title in titles if title.startswith("Join row") and "Kingfisher" in title]
    assert joins == [
        "Join row 2 to row 1 of Kingfisher",
        "Join row 3 to rows 1 and 2 of Kingfisher",
        "Join row 4 to rows 1 to 3 of Kingfisher",
        "Join row 5: Kingfisher is whole",
    ]


def test_rows_pressed_alike_on_both_sides_are_said_as_a_teacher_says_it() -> None:
    words = Words(plan := plan_of("S R S\nR S R\nS R S"), compile_plan(plan))
    pressed = [words.text(step) for step in words.checklist.steps if words.title(step) == "Press the rows of b"]
    assert len(pressed) == 1
    assert pressed[0].endswith("rows 1 and 3 inward, to the middle; row 2 outward, to the ends.")


def test_a_version_is_named_before_the_block_is_whole() -> None:
    words = words_of("checker_versions")
    titles = [words.title(step) for step in words.checklist.steps if "is whole" in words.title(step)]
    assert all(title.endswith(" is whole") for title in titles)
    assert any(", version A, is whole" in title for title in titles)
