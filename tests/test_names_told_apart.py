"""What steps and parts are called: told apart, never twice alike, and read as a teacher says it."""

from __future__ import annotations

import re

import pytest
from freezing import PLANS
from test_teaching import words_of

from tracker.plan.known_blocks import known_block
from tracker.route.compiler import compile_plan
from tracker.route.passes import passes
from tracker.words.pass_words import pass_title
from tracker.words.step_words import Words
from tracker.work.steps import Cut
from tracker.work.things import (
    INNER_SQUARE,
    NESTED,
    PATCHWORK,
    Kind,
)


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
        f"Pair the half-made pieced strip, {strips}, 4 of 5 patches",
        f"Pair the pieced strip, {strips}, 3 patches",
        f"Sew the pieced triangle, {strips}, 9 patches",
    } <= {*titles}
    assert not any(re.search(r"\d of \d$", title) for title in titles)


def test_a_seam_between_pieces_of_the_same_cloths_says_to_which_of_them_it_goes() -> None:
    words = known_words("birds-in-the-air")
    said = {words.title(step): words.text(step) for step in words.checklist.steps}
    strip = "Press the half-made pieced strip, dark / light, 4 of 5 patches"
    assert "Press toward the piece that is dark along the seam" in said[strip]
    assert "Press toward the dark triangle" in said["Press the pieced strip, dark / light, 3 patches"]


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
    assert "Chain them" not in said["Sew the diagonal band, dark / light"]


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
