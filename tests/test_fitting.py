"""The seam test: what a measured middle strip says, and what a wrong seam costs over a block."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path

import pytest
from planning import plan_of

from tracker.exact.measure import Measure, exact, read_length
from tracker.fitting.seam_test import Advice, SeamTest, Unlikely, advise, seam_test, seams_of, sentence
from tracker.route.compiler import compile_plan

ROWS = tomllib.loads((Path(__file__).parent / "published" / "units.toml").read_text("utf-8"))["strips"]
INCHES = SeamTest("in", Measure(Fraction(3, 2)), Measure(Fraction(1, 4)))
METRIC = SeamTest("cm", Measure(4), Measure(Fraction(3, 4)))


def test_the_published_test_is_ours() -> None:
    """Three strips cut 1 1/2: the centre reads exactly 1, the whole 3 1/2 (quilted-connections.com)."""
    row = next(row for row in ROWS if row["count"] == 3 and "seam test" in row.get("note", ""))
    test = seam_test(plan_of("S R"))
    assert (test.strip, test.whole) == (read_length(row["strip"], "in"), read_length(row["unfinished"], "in"))
    assert test.middle == 1
    assert test == INCHES


def test_the_metric_test_leaves_two_and_a_half() -> None:
    test = seam_test(plan_of("S R", cell="5", top='unit = "cm"'))
    assert test == METRIC
    assert (test.middle, test.whole) == (exact(Fraction(5, 2)), exact(9))


def test_strips_are_cut_wider_where_the_seam_is_wide() -> None:
    assert seam_test(plan_of("S R", top='seam = "1/2"')).strip == 3


MEASURED = [
    (INCHES, "1", "right", Fraction(0)),
    (INCHES, "15/16", "wide", Fraction(1, 32)),
    (INCHES, "1 1/16", "narrow", Fraction(-1, 32)),
    (INCHES, "3/4", "wide", Fraction(1, 8)),
    (INCHES, "63/64", "right", Fraction(1, 128)),
    (METRIC, "2.5", "right", Fraction(0)),
    (METRIC, "2,4 cm", "wide", Fraction(1, 20)),
    (METRIC, "26 mm", "narrow", Fraction(-1, 20)),
]


@pytest.mark.parametrize(("test", "middle", "verdict", "error"), MEASURED)
def test_the_middle_says_by_how_much_each_seam_is_off(
    test: SeamTest, middle: str, verdict: str, error: Fraction
) -> None:
    advice = advise(test, middle)
    assert (advice.verdict, advice.error) == (verdict, exact(error))
    assert advice.test.strip - 2 * advice.seam == advice.middle


def test_an_eighth_at_four_seams_is_half_an_inch_across() -> None:
    """1/8 in all told at each of four seams is 1/2 in (quilted-connections.com): 1/16 on either side of a seam."""
    advice = Advice(INCHES, Measure(Fraction(7, 8)), Measure(Fraction(5, 16)), Measure(Fraction(1, 16)))
    assert advise(INCHES, "7/8") == advice
    assert advice.cost(1) == exact(Fraction(1, 8))
    assert advice.cost(4) == exact(Fraction(1, 2))


@pytest.mark.parametrize(
    ("text", "kind"),
    [("", "unreadable"), ("one", "unreadable"), ("0", "nothing"), ("-1", "nothing"), ("1 1/2", "too wide"),
     ("25", "too wide"), ("1/0", "unreadable"), ("1 ell", "unreadable")],
)  # fmt: skip
def test_what_no_middle_strip_can_measure(text: str, kind: str) -> None:
    with pytest.raises(Unlikely) as unlikely:
        advise(INCHES, text)
    assert unlikely.value.kind == kind
    assert text in sentence(unlikely.value, INCHES)


BLOCKS = [
    ("five cells have four seams", "S R S R S\n" * 5, "", (4, 4)),
    ("rows of different lengths", "S R\nS S", "", (1, 1)),
    ("half-squares are trimmed true", "S/R R\\S\nS R", "", (1, 1)),
    ("patches over several cells", "S < R\nR S R", "", (2, 1)),
    ("a frame adds two each way", "S R\nR S", '[[blocks.b.frame]]\nfabric = "T"\ncut = "1 1/2"', (3, 3)),
]


@pytest.mark.parametrize(("name", "picture", "frames", "expected"), BLOCKS, ids=[block[0] for block in BLOCKS])
def test_seams_one_after_another_in_a_block(name: str, picture: str, frames: str, expected: tuple[int, int]) -> None:
    assert seams_of(compile_plan(plan_of(picture.strip(), frames=frames)), "b") == expected


def test_strip_sets_have_their_seams_too() -> None:
    picture = "S R S\nR S R\nS R S"
    assert seams_of(compile_plan(plan_of(picture, block="strips = true")), "b") == (2, 2)
