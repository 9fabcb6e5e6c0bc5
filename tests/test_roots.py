"""Numbers with the roots of any slope: the laws of a field, order against decimals of 200 digits, and rounding."""

from __future__ import annotations

from decimal import Decimal, localcontext
from fractions import Fraction
from functools import reduce
from math import floor, isqrt

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.exact.geometry import Straight
from tracker.exact.measure import ROOT2, Measure, compare, nearest, on_mark, round_up
from tracker.exact.roots import Rooted, root_of

few = settings(max_examples=tries(60))
fractions = st.fractions(-50, 50, max_denominator=40)
parts = st.lists(st.tuples(st.sampled_from([1, 2, 5, 10, 13, 21, 61]), fractions), max_size=4)


def number(found: list[tuple[int, Fraction]]) -> Measure:
    return reduce(lambda so_far, part: so_far + root_of(part[0]) * part[1], found, Measure())


def decimal_of(found: list[tuple[int, Fraction]]) -> Decimal:
    return sum((Decimal(c.numerator) / c.denominator * Decimal(n).sqrt() for n, c in found), Decimal(0))


numbers = st.builds(number, parts)


@few
@given(numbers, numbers, numbers)
def test_sums_and_products_obey_the_laws(x: Measure, y: Measure, z: Measure) -> None:
    assert x + y == y + x
    assert (x + y) + z == x + (y + z)
    assert x * y == y * x
    assert (x * y) * z == x * (y * z)
    assert x * (y + z) == x * y + x * z
    assert x - y == -(y - x)
    assert hash(x + y) == hash(y + x)
    assert (x - x).__class__ is Measure


@few
@given(numbers, numbers)
def test_division_undoes_multiplication(x: Measure, y: Measure) -> None:
    if y:
        assert x / y * y == x
        assert 1 / y * y == 1
        assert Fraction(3, 7) / y == Fraction(3, 7) * (1 / y)


@few
@given(parts, parts)
def test_order_and_whole_part_are_those_of_long_decimals(
    first: list[tuple[int, Fraction]], second: list[tuple[int, Fraction]]
) -> None:
    x, y = number(first), number(second)
    with localcontext() as context:
        context.prec = 200
        apart = decimal_of(first) - decimal_of(second)
        sign = 0 if abs(apart) < Decimal("1e-150") else 1 if apart > 0 else -1
        assert (x - y).sign() == compare(x, y) == (x > y) - (x < y) == sign
        assert (x == y) == (sign == 0)
        if not x.is_rational:
            assert x.__floor__() == floor(decimal_of(first))


@given(st.integers(1, 10**9), st.integers(1, 10**6))
def test_a_root_squared_is_its_number(over: int, under: int) -> None:
    value = Fraction(over, under)
    root = root_of(value)
    assert root * root == value
    assert root.is_rational == (
        isqrt(value.numerator) ** 2 == value.numerator and isqrt(value.denominator) ** 2 == value.denominator
    )


def test_a_number_with_less_than_a_hair_to_a_mark_is_not_taken_for_it() -> None:
    """(9 + 4√5)^n comes ever closer to a whole number, and never is one."""
    power = Measure(1)
    for _ in range(60):
        power = power * (9 + 4 * root_of(5))
    above = round_up(power, 1)
    assert not on_mark(power, 1)
    assert 0 < above - power < Fraction(1, 10**70)
    assert round_up(above, 1) == above
    assert nearest(power, 1) == above
    assert isinstance(power, Rooted)


def test_roots_of_two_slopes_stand_in_one_number() -> None:
    both = root_of(5) + root_of(Fraction(13, 4)) + ROOT2
    assert both - root_of(13) / 2 - ROOT2 == root_of(5)
    assert both.decimal(6) == "5.453057"


@given(st.integers(1, 60), st.integers(1, 60), fractions)
def test_a_parallel_lies_as_far_away_as_asked(over: int, under: int, distance: Fraction) -> None:
    line = Straight.through((Measure(), Measure(1)), (Measure(over), Measure(1 + under)))
    assert line.at_distance(line.parallel(Measure(distance)), Measure(distance))
    if distance:
        assert not line.at_distance(line.parallel(Measure(distance)), Measure(2 * distance))


def test_no_root_of_less_than_nothing() -> None:
    with pytest.raises(ValueError, match="has no square root"):
        root_of(-1)
