"""Steps read aloud by a teacher who has the piece in her hand: which piece it is, how it lies, what comes after what."""

from __future__ import annotations

from functools import cache

import pytest
from test_names_told_apart import known_words

from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.route.passes import passes
from tracker.words.pass_words import pass_title
from tracker.words.step_words import Words

STANDING = """
title = "Birds on a wire"
geese = "flip"

[fabrics.L]
name = "birds"
tone = 2
directional = true
upright = true

[fabrics.D]
name = "navy"
tone = 8

[blocks.wire]
cell = "2"
combine = true
picture = '''
D/L L\\D D
D   L   L/D
L   L/D D\\L
'''

[quilt]
block = "wire"
across = 2
down = 1
"""
"""A goose and half-squares of a cloth whose print has to stand."""


@cache
def standing() -> Words:
    plan = read_plan(STANDING.encode(), "standing").plan
    assert plan is not None
    return Words(plan, compile_plan(plan))


def test_pieces_whose_print_has_to_stand_are_told_by_how_it_lies() -> None:
    words = standing()
    titles = [words.title(step) for step in words.checklist.steps if step.count]
    birds = [title for title in titles if "birds square" in title]
    assert birds
    assert all(", print " in title for title in birds), birds
    assert not any(title.endswith((" of 2", " of 3", " of 4")) for title in titles), titles
    for step in words.checklist.steps:
        if step.count and step.operation in ("mark", "pair") and "birds square" in words.text(step):
            assert "as drawn" in words.text(step), words.text(step)


READ = [
    ("snails-trail", "Pair the half-made inner square, dark / light, round 1", "the middle turned as drawn."),
    ("snails-trail", "Pair the half-made inner square, light / dark, round 2", "round 1, right side up. On it lay 2"),
    ("snails-trail", "Trim the inner square, light / dark, round 2", "Trim to about 9 in square"),
    ("square-in-a-square", "Pair the half-made square in a square, light / dark", "together and the edges level."),
    ("lemoyne-star", "Sew pairs of diamonds, dark / medium", "Lay one on the other, as drawn, right sides together"),
    ("lemoyne-star", "Sew pairs of diamonds, dark / medium", "the star's middle toward you, dark lies on the left."),
    ("lemoyne-star", "Sew half stars, dark / medium", "Beside it both allowances are loose."),
]
"""Of a step of a known block what is said to do and to check."""


@pytest.mark.parametrize(("name", "title", "told"), READ)
def test_a_step_says_which_piece_it_is_and_how_it_lies(name: str, title: str, told: str) -> None:
    words = known_words(name)
    said = {words.title(step): f"{words.text(step)} {words.check(step)}" for step in words.checklist.steps}
    assert told in said[title]


def test_rounds_of_one_name_are_told_apart_in_passes_and_only_there() -> None:
    words = known_words("snails-trail")
    named = [pass_title(words, done) for done in passes(words.checklist)]
    assert "Pair and sew the half-made inner square, light / dark, round 2" in named
    one_round = known_words("economy")
    assert not any(", round " in one_round.title(step) for step in one_round.checklist.steps)


@pytest.mark.parametrize(("name", "state"), [("snails-trail", "sewn"), ("pinwheel", "sewn, not cut apart")])
def test_only_what_is_cut_apart_next_is_called_not_cut_apart(name: str, state: str) -> None:
    words = known_words(name)
    sewn = next(step for step in words.checklist.steps if step.operation == "sew" and step.count)
    assert words.makes(sewn).endswith(f", {state}")
