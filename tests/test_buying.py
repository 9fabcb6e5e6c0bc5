"""How much cloth to buy: up to what is sold, the allowance apart, against what is there."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.quilting import inches, quilt_plan
from tracker.exact.measure import Measure
from tracker.quilt.buying import SOLD_BY, need
from tracker.quilt.cloth_cutting import cut_cloth
from tracker.route.compiler import compile_plan
from tracker.words.plan_notices import notice_sentence
from tracker.words.quilt_summary import cloth_length, need_text
from tracker.words.step_words import Words
from tracker.work.steps import CutPiece


def bought(side: str, count: int, cloth: str = "", top: str = "", more: str = "") -> tuple[Measure, ...]:
    """(length, allowance, buy, short) for so many squares."""
    plan = quilt_plan(quilt=more, top=top, cloth=cloth)
    piece = CutPiece("A", inches(side), inches(side), count, "unit")
    found = need(plan, cut_cloth(plan, plan.fabrics["A"], [piece]))
    return found.length, found.allowance, found.buy, found.short


@pytest.mark.parametrize(
    ("side", "count", "have", "length", "allowance", "buy", "short"),
    [
        # 4 strips of 5 and the squaring; 20 1/2 / 0.95 is 21.58, sold by 4 1/2
        ("5", 32, None, "20 1/2", "1 1/8", "22 1/2", "22 1/2"),
        # from 18 in, of which 17.1 are left, come 3 strips; the fourth and its squaring are 5 1/2 / 0.95
        ("5", 32, "1/2 yd", "20 1/2", "1 1/8", "22 1/2", "9"),
        ("5", 32, "1 yd", "20 1/2", "1 1/8", "22 1/2", "0"),
        ("5", 32, "21 5/8", "20 1/2", "1 1/8", "22 1/2", "0"),
        ("5", 32, "21 1/2", "20 1/2", "1 1/8", "22 1/2", "9"),
        ("5", 32, "5", "20 1/2", "1 1/8", "22 1/2", "22 1/2"),
        ("5", 1, None, "5 1/2", "3/8", "9", "9"),
    ],
)
def test_what_is_bought(
    side: str, count: int, have: str | None, length: str, allowance: str, buy: str, short: str
) -> None:
    cloth = f'have = "{have}"' if have else ""
    assert bought(side, count, cloth) == tuple(inches(text) for text in (length, allowance, buy, short))


def test_the_allowance_is_the_plans() -> None:
    assert bought("5", 32, more='[buying]\nallowance = "0 %"')[1:3] == (0, inches("22 1/2"))
    assert bought("5", 32, more='[buying]\nallowance = "10 %"')[1:3] == (inches("2 3/8"), inches("27"))
    # A quarter of 36 is gone, and 27 are left: 20 1/2 need 27 1/3.
    assert bought("5", 32, more='[buying]\nallowance = "25 %"')[1:3] == (inches("6 7/8"), inches("31 1/2"))


def test_an_allowance_of_all_the_cloth_is_taken_as_it_once_was_and_told() -> None:
    more = '[buying]\nallowance = "100 %"'
    assert bought("5", 32, more=more)[:3] == (inches("20 1/2"), inches("20 1/2"), inches("45"))
    plan = quilt_plan(quilt=more)
    (told,) = [notice for notice in compile_plan(plan).notices if notice.kind == "allowance of all"]
    assert "Write a share below 100 %" in notice_sentence(Words(plan, compile_plan(plan)), told)


def test_panels_come_whole_from_the_cupboard_or_from_the_new_piece() -> None:
    # Two panels of 77 with 72 there: none of them comes from it, and two have to be bought; from 84 one does.
    for have, from_have, short in (
        ("72", (), "166 1/2"),
        ("84", (("77", 1),), "85 1/2"),
        ("160", (("77", 1),), "85 1/2"),
    ):
        plan = quilt_plan(cloth=f'have = "{have}"', usable="40")
        panels = CutPiece("A", inches("38"), inches("77"), 2, "backing", fixed=True)
        found = need(plan, cut_cloth(plan, plan.fabrics["A"], [panels]))
        assert found.from_have == tuple((inches(width), count) for width, count in from_have)
        assert found.short == inches(short)


def test_in_centimetres_cloth_is_sold_by_ten() -> None:
    plan = quilt_plan(("12", "12"), top='unit = "cm"', usable="100")
    piece = CutPiece("A", Measure(13), Measure(13), 20, "unit")
    found = need(plan, cut_cloth(plan, plan.fabrics["A"], [piece]))
    # 3 strips of 13 and 1.5 to square the end; / 0.95 is 2.13 more, up to the next millimetre
    assert (found.length, found.allowance, found.buy) == (Measure(Fraction(81, 2)), Measure(Fraction(22, 10)), 50)


def test_cloth_from_fat_quarters_alone_needs_nothing_bought() -> None:
    assert bought("5", 9, "fat_quarters = 1") == (0, 0, 0, 0)


@given(st.integers(1, 30), st.integers(1, 200), st.integers(0, 400))
def test_what_is_bought_is_enough_and_no_step_more(side: int, count: int, have: int) -> None:
    cloth = f'have = "{Fraction(have, 8)}"' if have else ""
    plan = quilt_plan(cloth=cloth)
    piece = CutPiece("A", inches(str(side)), inches(str(side)), count, "unit")
    cutting = cut_cloth(plan, plan.fabrics["A"], [piece])
    found, step, left, there = need(plan, cutting), SOLD_BY["in"], Fraction(19, 20), Fraction(have, 8)
    assert found.length <= found.buy * left < found.length + step
    widths = [strip.width for strip in cutting.strips for _ in range(strip.count)]
    kept = [width for width, number in found.from_have for _ in range(number)]
    taken = sum(kept, Measure())
    if not found.short:
        assert Counter(kept) == Counter(widths)
        assert found.length <= there * left
        return
    # The strips that are bought for are the others; none of them would fit as well, and nothing too much is bought.
    assert not Counter(kept) - Counter(widths)
    assert not kept or taken + cutting.squaring <= there * left
    rest = Counter(widths) - Counter(kept)
    assert all(taken + width + cutting.squaring > there * left - Fraction(1, 32) for width in rest)
    assert found.length - taken <= found.short * left < found.length - taken + step


@pytest.mark.parametrize(
    ("length", "unit", "said"),
    [
        ("49 1/2", "in", "1⅜ yd"),
        ("4 1/2", "in", "⅛ yd"),
        ("36", "in", "1 yd"),
        ("140", "cm", "1.4 m"),
        ("30", "cm", "0.3 m"),
    ],
)
def test_lengths_as_a_shop_cuts_them(length: str, unit: str, said: str) -> None:
    assert cloth_length(inches(length), quilt_plan(top=f'unit = "{unit}"')) == said


def test_what_is_short_is_said_plainly() -> None:
    for cloth, said in (
        ("", "buy ⅝ yd"),
        ('have = "1/2 yd"', "you have ½ yd, for 3 strips 5 in wide: buy ¼ yd more"),
        ('have = "5"', "you have 5 in, which is too short for a whole strip: buy ⅝ yd more"),
        ('have = "1 yd"', "you have 1 yd: enough"),
    ):
        plan = quilt_plan(cloth=cloth)
        piece = CutPiece("A", Measure(5), Measure(5), 32, "unit")
        found = need(plan, cut_cloth(plan, plan.fabrics["A"], [piece]))
        text = need_text(Words(plan, compile_plan(plan)), found)
        assert text == f"20½ in to cut, 1⅛ in more for shrinkage and mistakes; {said}."
