"""What a teacher says at each step: true, and when it can be true; checked by the facts of a step, and read aloud."""

from __future__ import annotations

import re
from functools import cache

import pytest
from freezing import PLANS
from planning import plan_of
from recipe_plans import RECIPE_PLANS, recipe_plan

from tracker.plan.known_blocks import known_block
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.route.passes import passes
from tracker.route.working_order import sections
from tracker.words.pass_words import pass_title
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
    STOOD,
    Kind,
)

UNPRESSED = ("join", "add strip", "sew", "begin seam", "sew round", "close seam")
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
        "Cut brick squares, 3 in",
        "From a strip of brick 3 in wide, or what a wider one leaves, cut across",
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


@pytest.mark.parametrize("name", ["pieced_lanes", "harbour_lights", "north_wind_metric"])
def test_parts_that_are_no_rows_are_named_by_what_is_seen_and_no_two_alike(name: str) -> None:
    words = words_of(name)
    for key, parts in words.parts.items():
        assert len(set(parts.values())) == len(parts), key
        assert not any(re.search(r"row \d+ column|unit in row", part) for part in parts.values())
    titles = [words.title(step) for step in words.checklist.steps]
    assert not any(re.search(r"row \d+ column|unit in row", title) for title in titles)


def test_border_strips_say_which_border_and_no_two_steps_of_the_quilt_are_called_alike() -> None:
    words = words_of("tall_trees")
    steps = [step for step in words.checklist.steps if step.of_the_quilt and step.count]
    titles = [words.title(step) for step in steps]
    assert len(set(titles)) == len(titles)
    assert "Square the top with its borders" in titles
    assert any(title.startswith("Join strips end to end for border 1") for title in titles)
    (cut,) = [words.text(step) for step in steps if words.title(step) == "Cut strips for border 1 to length"]
    assert "longer where it reaches: what the top measures is cut from them next." in cut


@pytest.mark.parametrize("name", ["harbour_lights", "tall_trees"])
def test_only_border_strips_that_are_not_joined_are_cut_longer_than_planned(name: str) -> None:
    words = words_of(name)
    cuts = [step for step in words.checklist.steps if isinstance(step.action, Cut) and step.action.use == "border"]
    assert cuts
    for step in cuts:
        joined = any(taker.operation == "join" for taker in words.takers_of[step.gives[0].pile])
        assert ("longer" in words.text(step)) != joined, step.id


@pytest.mark.parametrize("name", PLANS)
def test_nothing_is_said_twice_over(name: str) -> None:
    words = words_of(name)
    for step in words.checklist.steps:
        if step.count:
            said = " ".join((words.title(step), words.text(step), words.check(step), words.tip(step) or ""))
            assert not re.search(r"\b(\w{3,}) \1\b|all 2 |\bthe the\b|  |\.\.", said), said
            assert not re.search(r"[Ss]quare (?:\w+ )+to [^,.:;]* square\b|\binner half|\bsashes \d", said), said


KNOWN_MANY_PARTS = (
    "bears-paw",
    "birds-in-the-air",
    "delectable-mountains",
    "double-nine-patch",
    "jacobs-ladder",
    "kansas-dugout",
    "log-cabin",
    "ocean-waves",
    "snails-trail",
)


def known_words(name: str) -> Words:
    known = known_block(name)
    assert known is not None
    return Words(known.plan, compile_plan(known.plan))


@pytest.mark.parametrize("name", [*PLANS, *KNOWN_MANY_PARTS])
def test_no_two_steps_and_no_two_passes_are_called_alike(name: str) -> None:
    words = known_words(name) if name in KNOWN_MANY_PARTS else words_of(name)
    titles = [words.title(step) for step in words.checklist.steps if step.count]
    assert [title for title in titles if titles.count(title) > 1] == []
    named = [pass_title(words, done) for done in passes(words.checklist)]
    assert [title for title in named if named.count(title) > 1] == []


@pytest.mark.parametrize(("name", "line"), [("delectable-mountains", "column"), ("kansas-dugout", "row")])
def test_a_block_is_joined_of_columns_or_rows_by_their_numbers(name: str, line: str) -> None:
    words = known_words(name)
    other = {"row": "column", "column": "row"}[line]
    said = [f"{words.title(step)} {words.text(step)}" for step in words.checklist.steps if step.per != "quilt"]
    assert not any(re.search(rf"\b{other}s?\b|pieces at the|snowball", each) for each in said)
    titles = [words.title(step) for step in words.checklist.steps]
    assert {f"Pin {line} 2 to {line} 1", f"Pin {line} 3 to {line}s 1 and 2"} <= {*titles}
    named = [pass_title(words, done) for done in passes(words.checklist)]
    assert any(title.startswith(f"Pin and join the {line}s of ") for title in named)


def test_pieced_rows_and_triangles_are_told_apart_by_their_patches() -> None:
    words = known_words("birds-in-the-air")
    titles = [words.title(step) for step in words.checklist.steps if step.count]
    strips = "dark / light"
    assert {
        f"Pair half-made pieced strips, {strips}, 4 of 5 patches",
        f"Pair pieced strips, {strips}, 3 patches",
        f"Sew pieced triangles, {strips}, 9 patches",
    } <= {*titles}
    assert not any(re.search(r"\d of \d$", title) for title in titles)


def test_a_seam_between_pieces_of_the_same_cloths_says_to_which_of_them_it_goes() -> None:
    words = known_words("birds-in-the-air")
    said = {words.title(step): words.text(step) for step in words.checklist.steps}
    strip = "Press half-made pieced strips, dark / light, 4 of 5 patches"
    assert "Press toward the piece that is dark along the seam" in said[strip]
    assert "Press toward the dark triangle" in said["Press pieced strips, dark / light, 3 patches"]


@pytest.mark.parametrize("name", ["economy", "snails-trail"])
def test_nested_squares_say_where_triangles_lie_and_show_no_size_with_their_ears(name: str) -> None:
    words = known_words(name)
    pairs = [step for step in words.checklist.steps if step.count and step.operation == "pair"]
    rounds = [step for step in pairs if words.checklist.made(step).thing.of in (INNER_SQUARE, NESTED)]
    assert rounds
    for step in rounds:
        sides = "opposite sides" if words.checklist.made(step).thing.kind is Kind.BEGUN else "the other two sides"
        assert f"on {sides}: long edges level with its edges, middle on middle." in words.text(step)
    for step in words.checklist.steps:
        thing = words.checklist.made(step).thing
        if step.operation == "press" and thing.kind is Kind.BEGUN and thing.of != PATCHWORK:
            assert words.shown_size(step) is None
            assert words.check(step) == "Cool and flat, not stretched."


def test_one_alone_is_not_chained() -> None:
    words = known_words("maple-leaf")
    said = {words.title(step): words.text(step) for step in words.checklist.steps}
    assert "Chain them" in said["Sew half-square triangles, dark / light"]
    assert "Chain them" not in said["Sew diagonal bands, dark / light"]


def test_strips_say_how_they_are_cut() -> None:
    words = words_of("star_kinds")
    said = {words.title(step): words.text(step) for step in words.checklist.steps}
    frame = said["Cut ink strips, 9½ × 1½ in, for frames"]
    assert frame.startswith("From a strip of ink 1½ in wide, or what a wider one leaves, cut lengths of 9½ in: 4 from")
    down = [text for title, text in said.items() if title.startswith("Cut madder strips") and "border 3" in title]
    assert down
    assert all(text.startswith("Cut them down the length of madder, beside the selvage, 5 in wide.") for text in down)
    fence = words_of("snow_fence")
    (binding,) = [
        fence.text(step)
        for step in fence.checklist.steps
        if fence.title(step).endswith("for the binding") and isinstance(step.action, Cut)
    ]
    assert binding == "Cut across the whole width of berry, from selvage to selvage, every 2½ in."


def test_blocks_are_laid_row_by_row_of_the_quilt() -> None:
    words = words_of("star_kinds")
    laid = [done for done in passes(words.checklist) if done.station == "wall" and done.steps[0].of_the_quilt]
    titles = [pass_title(words, done) for done in laid]
    assert titles[:4] == [
        "Lay row 1: Star, Rest, Inner star",
        "Lay row 2: Inner star, Star, Rest",
        "Lay row 3: Rest, Inner star, Star",
        "Lay row 4: Star, Rest, Inner star",
    ]
    assert [len(done.steps) for done in laid[:4]] == [3] * 4


def test_a_hand_that_no_block_takes_is_said_to_be_spare() -> None:
    words = words_of("whirl_on_point")
    cuts = [words.text(step) for step in words.checklist.steps if step.operation == "cut apart" and step.count]
    assert [cut for cut in cuts if cut.endswith("Those of bag B are spares: no block takes them.")]


def test_points_are_spoken_of_only_where_they_lie_along_the_edge() -> None:
    words = words_of("snow_fence")
    said = {words.title(step): (words.text(step), words.check(step)) for step in words.checklist.steps}
    text, check = said["Square the top"]
    assert "beyond the points" in text
    assert check.endswith("beyond every point.")
    text, check = said["Square the top with its borders"]
    assert "point" not in text
    assert check.endswith("opposite sides equally long, corners square.")
