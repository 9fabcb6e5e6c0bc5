"""What the top measured, in words, and in quilts of other kinds."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from measuring import FERRY_PLAN
from test_measured import CM_PLAN, TIGHT, Sewing, length

from tracker.exact.measure import Measure, write_length
from tracker.progress.measured_top import (
    standing,
)


@pytest.mark.parametrize(
    ("lengths", "cut", "kind", "words"),
    [
        (["48 1/2"], False, "fact", "You measured 48½ in. That is as planned."),
        (["48 3/8", "48 5/8"], False, "fact", "You measured 48⅜ and 48⅝ in: 48½ in on average. That is as planned."),
        (["49", "48 1/2", "48 1/4"], False, "fact",
         "You measured 49, 48½ and 48¼ in: about 48⅝ in on average. That is ⅛ in more than planned."),
        (["48 1/2"], False, "mind", "Measure in all three places: what the middle does not show, the edges do."),
        (["48 1/2", "48 3/8", "48 1/2"], False, "good", "The figures agree to within ⅛ in: the top lies true."),
        (["48 1/2"] * 3, False, "good", "The figures agree: the top lies true."),
        (["49", "48 1/2", "48 1/4"], False, "mind", "The left edge is ¾ in longer than the right: the top is out of"),
        (["48 1/4", "48 1/2", "49"], False, "mind", "The right edge is ¾ in longer than the left: the top is out of"),
        (["49", "48 1/4", "49"], False, "mind", "The edges are up to ¾ in longer than the middle: they have stretched"),
        (["48 1/4", "49", "48 1/4"], False, "mind", "The middle is up to ¾ in longer than the edges. Press the top"),
        (["48", "49"], False, "mind", "The two figures differ by 1 in. Measure in a third place,"),
        (["49", "48 1/2", "48 1/4"], False, "good",
         "The left edge is ⅜ in longer and the right edge is ⅜ in shorter than their strips. Pin the ends and the "
         "middle, and ease the top to the strip between them. Common practice is up to about ¼ in for each 20 in, up "
         "to ½ in here."),
        (["50", "48 1/2", "48 1/2"], False, "mind",
         "The left edge is 1 in longer and the right edge is ½ in shorter than their strips. That is much to ease."),
        (["48 5/8", "48 1/2", "48 7/8"], False, "good", "The right edge is ¼ in longer than its strip. Pin the ends"),
        (["48 7/8"], False, "mind", "The plan cuts these strips 48½ in, but you need 48⅞ in: cut them longer."),
        (["48 7/8"], True, "mind",
         "The strips were cut 48½ in; you need 48⅞ in: join a piece on, or cut them anew."),
        (["483/8"], False, "mind", "That is 11⅞ in more than planned. Look whether the figures stand as you"),
        (["48"], False, "fact",
         "For the top and bottom strips of border 1 expect 52½ in, as planned. Measure again then."),
        (["48"], False, "fact",
         "For the side strips of border 2 expect about 52 in; planned was 52½ in. Measure again then."),
        (["48"], False, "fact", "The top comes out about 59½ × 59 in; planned was 59½ in square."),
    ],
)  # fmt: skip
def test_what_is_said_of_a_measuring(lengths: list[str], cut: bool, kind: str, words: str) -> None:
    sewing = Sewing()
    sewing.measure(0, *lengths)
    said = sewing.said(0, cut)
    assert [found for found, sentence in said if sentence.startswith(words)] == [kind], said


def test_what_is_right_is_not_worried_about() -> None:
    sewing = Sewing()
    sewing.measure(0, "48 1/2", "48 1/2", "48 1/2")
    assert [kind for kind, _ in sewing.said(0)] == ["fact", "good", "fact"]


def test_in_centimetres_it_is_said_in_centimetres() -> None:
    sewing = Sewing(CM_PLAN)
    sewing.measure(0, "130,5", "129.5", "51 in")
    said = [words for _, words in sewing.said(0)]
    average = "You measured 130.5, 129.5 and about 129.5 cm: about 129.8 cm on average. "
    assert said[0] == average + "That is 0.3 cm more than planned."
    assert any("0.6 cm for each 50 cm, up to 1.6 cm here." in words for words in said), said


def test_the_last_pair_says_what_becomes_of_the_binding() -> None:
    sewing = Sewing(TIGHT)
    sewing.measure(3, "53")
    assert (
        "mind",
        "The binding needs about 249 in by what you measured, but its 7 strips joined give 248⅜ in: cut 8.",
    ) in sewing.said(3)


# Other quilts

ON_POINT = FERRY_PLAN.replace("down = 4\n", 'down = 4\nsetting = "on point"\nsetting_fabric = "S"\n')
SHORT = FERRY_PLAN.replace("across = 4\ndown = 4", "across = 1\ndown = 1").replace('cut = "2 1/2"', 'cut = "14"', 1)
"""A block of 12 in with a border that is wider than its sides are long."""


def test_on_point_the_planned_length_is_about_and_the_measured_one_is_not() -> None:
    sewing = Sewing(ON_POINT)
    strips = sewing.standing().strips
    assert not strips[0].pair.planned.is_rational
    assert sewing.compiled.words.ruler(strips[0].pair.planned) == "about 68⅜"
    sewing.measure(0, "68 3/8", "68 3/8", "68 3/8")
    mine = sewing.standing().strips[0]
    assert (mine.length, mine.lacking) == (length("68 3/8"), Measure())
    assert "That is as planned." in sewing.said(0)[0][1]
    assert sewing.standing().sizes == {}


def test_a_strip_shorter_than_it_is_wide_is_measured_along_its_length() -> None:
    sewing = Sewing(SHORT)
    pair = sewing.pairs[0]
    assert (pair.planned, pair.cut, pair.step.size) == (
        length("12 1/2"),
        length("14"),
        (length("14"), length("12 1/2")),
    )
    sewing.measure(0, "12 3/4")
    assert sewing.standing().strips[0].length == length("12 3/4")


FERRY = Sewing()


@given(st.lists(st.integers(-8, 8), min_size=4, max_size=4), st.permutations(range(4)))
def test_the_top_is_what_its_borders_were_measured_to_whatever_their_order(more: list[int], order: list[int]) -> None:
    """Each pair measured so many eighths more than expected: the top grows by the last of each direction."""
    compiled = FERRY.compiled
    pairs = FERRY.pairs
    lengths = [pair.planned + Measure(Fraction(eighths, 8)) for pair, eighths in zip(pairs, more, strict=True)]
    typed = {pairs[at].step.id: [write_length(lengths[at], "in", plain=True)] for at in order}
    now = standing(compiled.plan, compiled.checklist, typed)
    across, down = now.strips[-1].after
    assert (across, down) == (lengths[3] + 7, lengths[2] + 7)
    assert all(each.off_plan == Measure(Fraction(eighths, 8)) for each, eighths in zip(now.strips, more, strict=True))
    assert bool(now.sizes) == any(more)
