"""How much cloth to buy: up to what is sold, the allowance apart, against what is there."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.quilting import inches, quilt_plan
from tracker.exact.measure import Measure
from tracker.quilt.buying import SOLD_BY, need
from tracker.quilt.cloth_cutting import cut_cloth
from tracker.route.compiler import compile_plan
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
        # 4 strips of 5 and the squaring, 5 % up to the next eighth; sold by 4 1/2
        ("5", 32, None, "20 1/2", "1 1/8", "22 1/2", "22 1/2"),
        ("5", 32, "1/2 yd", "20 1/2", "1 1/8", "22 1/2", "4 1/2"),
        ("5", 32, "1 yd", "20 1/2", "1 1/8", "22 1/2", "0"),
        ("5", 32, "21 5/8", "20 1/2", "1 1/8", "22 1/2", "0"),
        ("5", 32, "21 1/2", "20 1/2", "1 1/8", "22 1/2", "4 1/2"),
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
    assert bought("5", 32, more='[buying]\nallowance = "10 %"')[1:3] == (inches("2 1/8"), inches("27"))


def test_in_centimetres_cloth_is_sold_by_ten() -> None:
    plan = quilt_plan(("12", "12"), top='unit = "cm"', usable="100")
    piece = CutPiece("A", Measure(13), Measure(13), 20, "unit")
    found = need(plan, cut_cloth(plan, plan.fabrics["A"], [piece]))
    # 3 strips of 13 and 1.5 to square the end; 5 % is 2.025, up to the next millimetre
    assert (found.length, found.allowance, found.buy) == (Measure(Fraction(81, 2)), Measure(Fraction(21, 10)), 50)


def test_cloth_from_fat_quarters_alone_needs_nothing_bought() -> None:
    assert bought("5", 9, "fat_quarters = 1") == (0, 0, 0, 0)


@given(st.integers(1, 30), st.integers(1, 200), st.integers(0, 400))
def test_what_is_bought_is_enough_and_no_step_more(side: int, count: int, have: int) -> None:
    cloth = f'have = "{Fraction(have, 8)}"' if have else ""
    length, allowance, buy, short = bought(str(side), count, cloth)
    step = SOLD_BY["in"]
    whole = length + allowance
    assert whole <= buy < whole + step
    there = Fraction(have, 8)
    assert there + short >= whole
    assert short == 0 or there + short < whole + step


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
        ('have = "1/2 yd"', "you have 18 in: buy ⅛ yd more"),
        ('have = "1 yd"', "you have 36 in: enough"),
    ):
        plan = quilt_plan(cloth=cloth)
        piece = CutPiece("A", Measure(5), Measure(5), 32, "unit")
        found = need(plan, cut_cloth(plan, plan.fabrics["A"], [piece]))
        text = need_text(Words(plan, compile_plan(plan)), found)
        assert text == f"20½ in to cut, 1⅛ in more for shrinkage and mistakes; {said}."
