"""What a master stops at when the steps are read aloud: hand and sign of pressing, one and many, short titles."""

from __future__ import annotations

from dataclasses import replace

import pytest
from freezing import PLANS
from test_names_told_apart import KNOWN_MANY_PARTS, known_words
from test_teaching import words_of

from tracker.plan.known_blocks import known_block
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.route.passes import passes
from tracker.words.pass_words import pass_title
from tracker.words.step_words import Words
from tracker.work.steps import Press, Step
from tracker.work.things import PATCHWORK


def done_of(words: Words) -> list[Step]:
    return [step for step in words.checklist.steps if step.count]


@pytest.mark.parametrize("name", ["economy", "snails-trail"])
def test_triangles_round_what_is_pieced_are_pressed_outward(name: str) -> None:
    words = known_words(name)
    for step in words.checklist.steps:
        pair = words.pair_before(step)
        if not isinstance(step.action, Press) or pair is None or len(pair.laid) < 2:
            continue
        base = words.checklist.piles[pair.base]
        if base.thing.of == PATCHWORK or len(base.fabrics) > 1:
            assert step.action.toward == "laid", step.id
            assert " triangles" in words.text(step).partition(".")[0], step.id


def test_one_piece_just_trimmed_is_not_squared_again() -> None:
    words = known_words("economy")
    assert [step.operation for step in words.checklist.steps if step.count][-2:] == ["trim", "lay out"]
    known = known_block("economy")
    assert known is not None
    before = replace(known.plan, reckoning=5)
    words = Words(before, compile_plan(before))
    assert "was cut or trimmed to 6½ in square just now" in words.text(words.checklist.steps[-1])


SAID_OF = [
    ("economy", "Cut the accent square, 3½ in", "cut one, 3½ in long. Measure it both ways; its corners are square."),
    ("economy", "Sew the half-made inner square, accent / dark", "from the edge on both sides, all the way along"),
    ("card-trick", "Cut the first card square, 4⅛ in, once", "Cut the first card square, 4⅛ in, once, from corner"),
    ("half-square", "Cut apart half-square triangles, dark / light", "Cut on the line: 2 pieces. The cut"),
    ("pine-tree", "Mark the green square, 5½ in", "On the back of the green square, 5½ in, draw"),
    ("pine-tree", "Pin part 2 of row 3 to part 1 of row 3", "These 2 nest"),
    ("pine-tree", "Join the diagonal band at the lower right to the 6 pieces at the lower left of Pine tree", "pinned"),
    (
        "pine-tree",
        "Trim the corner off the half-made diagonal band, light / dark, 2 patches",
        "The triangle cut off is a",
    ),
    ("bears-paw", "Press the 4 parts of row 1 of Bear's paw", "parts 1 and 5 of row 1 all up; parts 2 and 4 of row 1"),
    ("carpenters-wheel", "Join row 1", "seams. So many go straighter in pairs: sew 1 to 2, 3 to 4 and so on, then"),
    ("ohio-star", "Join row 1", "from left to right, ¼ in seams. Put the row back in its place."),
    ("bright-hopes", "Press the begun seam of Bright hopes", "away from the middle: each lies flat where the next"),
    (
        "disappearing-nine-patch",
        "Press the half-made nine-patch, light / medium / dark",
        "the row of a nine-patch, medium /",
    ),
    (
        "disappearing-nine-patch",
        "Pair the nine-patch, light / medium / dark",
        "wrong side up; pin where their seams meet.",
    ),
    ("ohio-star", "Measure Ohio star", "find the part that is short. All six measures agree to the ruler's mark."),
]
"""Of a step of a known block part of what is said to do and to check."""


@pytest.mark.parametrize(("name", "title", "told"), SAID_OF)
def test_known_blocks_are_read_aloud(name: str, title: str, told: str) -> None:
    words = known_words(name)
    said = {words.title(step): f"{words.text(step)} {words.check(step)}" for step in done_of(words)}
    assert told in said[title]


PASSES = [
    ("kingfisher", "Lay row 1: 3 Kingfishers"),
    ("kingfisher", "Cut river teal for border 1 and brick for cornerstones"),
    ("kites_and_points", "Cut rectangles, 4⅛ × 3¼ in, into long triangles, 2 cloths"),
    ("kites_and_points", "Trim half-rectangle triangles, deep brick / pale sand, 3 × 2 finished"),
    ("wide_geese", "Trim corners off flying geese, alder / birch"),
    ("evening_star", "Trim corners off snowballs; cut apart half-made flying geese"),
]


@pytest.mark.parametrize(("name", "title"), PASSES)
def test_passes_are_called_in_few_words(name: str, title: str) -> None:
    words = words_of(name)
    assert title in [pass_title(words, done) for done in passes(words.checklist)]


@pytest.mark.parametrize("name", [*PLANS, *KNOWN_MANY_PARTS])
def test_titles_stand_on_three_lines_of_a_phone(name: str) -> None:
    words = known_words(name) if name in KNOWN_MANY_PARTS else words_of(name)
    done = passes(words.checklist)
    titles = [*map(words.title, done_of(words)), *(pass_title(words, each) for each in done)]
    for block in words.plan.blocks.values():
        titles = [title.removesuffix(f" of {block.name}") for title in titles]
    assert [title for title in titles if len(title) > LONGEST_TITLE] == []


LONGEST_TITLE = 99


def test_needles_and_folds() -> None:
    words = words_of("kingfisher")
    for step in done_of(words):
        if step.station == "machine" and step.operation not in ("pair", "pin"):
            assert "no pin under it" in step.kind.caution, step.id
    assert words.check(next(step for step in done_of(words) if words.title(step) == "Lay the layers")).endswith("pins.")
    # Pressed where she stands at the iron, and no more at the machine.
    assert "wrong sides together" not in words.text(done_of(words)[-1])
    (pressed,) = [step for step in done_of(words) if words.title(step) == "Press the joins of the binding"]
    assert words.text(pressed).endswith("Then press the strip in half lengthwise, wrong sides together.")


BESIDE = """
title = "Two frames"
fabrics.S = { name = "sand", tone = 2 }
fabrics.R = { name = "brick", tone = 7 }
fabrics.G = { name = "moss", tone = 5 }
[blocks.a]
cell = "2"
picture = "S/R"
frame = [{ fabric = "S", cut = "1 1/2" }]
[blocks.b]
cell = "2"
picture = "S/R"
frame = [{ fabric = "G", cut = "1 1/2" }]
[quilt]
setting = "on point"
setting_fabric = "S"
blocks = [["a", "b"], ["b"], ["a", "a"]]
"""


def test_of_a_frame_whose_sides_nest_one_seam_may_go_to_the_block() -> None:
    """Frames of two cloths meet at their sides: there one seam goes toward its strip, the other toward the block."""
    plan = read_plan(BESIDE).plan
    assert plan is not None
    words = Words(plan, compile_plan(plan))
    said = [words.text(step) for step in words.checklist.steps]
    assert any("(seams from the left) 1 toward the strip, 2 to the left" in text for text in said)
