"""What went wrong at a step: only what can go wrong there is named, and what is done about it. Common practice."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from freezing import PLANS
from test_teaching import words_of

from tracker.words.measures_wrong import measures_wrong, should_measure
from tracker.words.mistakes import mistakes
from tracker.words.quilt_mistakes import KEEP, PRESS, REMAKE, UNPICK
from tracker.work.steps import Cut, Step
from tracker.work.whole_blocks import MeasureBlock

LOCK, SECOND = "Seams lie the same way and do not lock", "Cut before the second side was sewn"


def said(name: str, title: str) -> dict[str, str]:
    """What can go wrong at the first step whose title begins so, and what is done about it."""
    words = words_of(name)
    step = next(each for each in words.checklist.steps if each.count and words.title(each).startswith(title))
    return {each.what: f"{each.do}. {each.how}" for each in mistakes(words, step)}


ONLY_THERE = [
    # what goes wrong, where it can, and where it cannot
    (LOCK, ("kingfisher", "Pair quarter-square"), ("kingfisher", "Pair half-square triangles, river")),
    (LOCK, ("kingfisher", "Pair quarter-square"), ("kingfisher", "Pair split quarter-square")),
    (SECOND, ("kingfisher", "Cut apart half-square"), ("evening_star", "Trim corners off snowballs")),
    (SECOND, ("kingfisher", "Cut apart half-square"), ("islands_on_point", "Cut side triangles")),
    (SECOND, ("kingfisher", "Cut apart half-square"), ("borders_and_corners", "Cut across the strip set")),
    ("Two strips swapped", ("borders_and_corners", "Sew the strip set"), ("kingfisher", "Join row 1")),
    ("Two rows swapped", ("kingfisher", "Lay out Kingfisher"), ("sized_blocks", "Lay out Bars")),
    (
        "Two blocks swapped, or one turned",
        ("kingfisher", "Join row 1 of the quilt"),
        ("kingfisher", "Join row 2 to row 1"),
    ),
    ("A unit is turned, or two swapped", ("toothed_edge", "Join the side strips"), ("kingfisher", "Join row 1")),
    ("The two strips are unequal", ("kingfisher", "Cut the side strips"), ("islands_on_point", "Trim row 1 of the")),
    ("Cut into a block", ("islands_on_point", "Trim row 1 of the quilt"), ("kingfisher", "Square the top")),
    ("The marks do not lie alike", ("mitred_lanes", "Mark the"), ("kingfisher", "Cut the side strips")),
    ("Cut off a point", ("kingfisher", "Square Kingfisher"), ("kingfisher", "Measure Kingfisher")),
]


@pytest.mark.parametrize(("what", "where", "elsewhere"), ONLY_THERE)
def test_only_what_can_go_wrong_at_a_step_is_named_there(
    what: str, where: tuple[str, str], elsewhere: tuple[str, str]
) -> None:
    assert what in said(*where)
    assert what not in said(*elsewhere)


def test_a_border_is_measured_by_the_top_and_a_frame_by_the_block() -> None:
    waves = "The edge waves"
    assert "the middle of the top" in said("kingfisher", "Sew border 1 to the sides")[waves]
    assert "the middle of the block" in said("kingfisher", "Sew the side strips")[waves]
    assert "on average" in said("kingfisher", "Cut the side strips")["The two strips are unequal"]
    assert "block" not in said("kingfisher", "Square the top")["Trimmed too small"]


def test_no_strip_is_cut_to_mend_a_border_that_is_mitred_or_pieced() -> None:
    """Strips of the one are marked, those of the other keep their length; others are cut to the top."""
    mitred, pieced = said("mitred_lanes", "Sew border 1 to all"), said("toothed_edge", "Sew border 1 to the sides")
    assert "cut both" in said("toothed_edge", "Sew border 2 to the sides")["The edge waves"]
    for found in (mitred, pieced):
        assert "The two strips are unequal" not in found
        assert not any("cut it to" in how or "cut both" in how for how in found.values())
    assert "The seam runs past a corner of the top, or stops before it" in mitred
    assert "The wrong edge of a strip lies outward" in pieced
    assert "Cut too short" not in said("mitred_lanes", "Mark the side strips"), "nothing is cut there"


def every_step() -> Iterator[tuple[str, Step]]:
    for name in sorted(PLANS):
        yield from ((name, step) for step in words_of(name).checklist.steps if step.count)


def test_at_every_step_something_is_said_once_and_what_is_done_about_it() -> None:
    for name, step in every_step():
        found = mistakes(words_of(name), step)
        assert found, step.id
        assert len({each.what for each in found}) == len(found), step.id
        assert {each.do for each in found} <= {KEEP, PRESS, UNPICK, REMAKE}


def test_where_a_wrong_measure_is_asked_about_there_is_an_answer() -> None:
    """At the step that measures a block above all; cloth that is cut is no seam's fault."""
    for name, step in every_step():
        words = words_of(name)
        assert bool(should_measure(words, step)) == bool(measures_wrong(words, step)), step.id
        if isinstance(step.action, MeasureBlock):
            assert any("ease it" in each for each in measures_wrong(words, step))
        if isinstance(step.action, Cut):
            assert not should_measure(words, step)
