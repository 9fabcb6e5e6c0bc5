"""Exact lengths: the laws of a field, order against decimals of 50 digits, reading, writing and rounding."""

from __future__ import annotations

import operator
from collections.abc import Callable
from decimal import Decimal, localcontext
from fractions import Fraction
from math import floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.exact.measure import (
    ROOT2,
    UNITS,
    LengthFault,
    Measure,
    convert,
    exact,
    nearest,
    on_mark,
    read_length,
    round_up,
    write_length,
)

fractions = st.fractions(min_value=-1000, max_value=1000, max_denominator=1000)
measures = st.builds(Measure, fractions, fractions)
numbers = st.one_of(measures, fractions, st.integers(-1000, 1000))
marks = st.sampled_from([Fraction(1, n) for n in (1, 2, 4, 8, 10, 16)])


def decimal_of(number: Measure) -> Decimal:
    """To 50 digits; far more than tells any two of these numbers apart."""
    a = Decimal(number.rational.numerator) / number.rational.denominator
    b = Decimal(number.root.numerator) / number.root.denominator
    return a + b * Decimal(2).sqrt()


# The field


@given(measures, measures, measures)
def test_sums_and_products_obey_the_laws(x: Measure, y: Measure, z: Measure) -> None:
    assert x + y == y + x
    assert x * y == y * x
    assert (x + y) + z == x + (y + z)
    assert (x * y) * z == x * (y * z)
    assert x * (y + z) == x * y + x * z
    assert x + 0 == x * 1 == x
    assert x - x == 0
    assert x - y == -(y - x)


@given(measures, measures)
def test_division_undoes_multiplication(x: Measure, y: Measure) -> None:
    if y:
        assert x * y / y == x
        assert y / y == 1
        assert 1 / y * y == 1
    else:
        with pytest.raises(ZeroDivisionError):
            x / y


@given(measures)
def test_the_parts_make_the_whole(x: Measure) -> None:
    assert x.rational + x.root * ROOT2 == x
    assert x.is_rational == (x.root == 0)
    assert abs(x) == (x if x >= 0 else -x)


def test_the_root_of_two_squared_is_two() -> None:
    assert ROOT2 * ROOT2 == 2


@given(measures, fractions)
def test_fractions_mix_from_both_sides(x: Measure, y: Fraction) -> None:
    assert x + y == y + x == x + Measure(y)
    assert x - y == -(y - x) == x - Measure(y)
    assert x * y == y * x == x * Measure(y)
    if y:
        assert x / y == x * (1 / y)
    if x:
        assert y / x == Measure(y) / x


# Order


@given(numbers, numbers)
def test_order_is_that_of_decimals_with_50_digits(x: Measure | Fraction | int, y: Measure | Fraction | int) -> None:
    a, b = exact(x), exact(y)
    with localcontext() as context:
        context.prec = 50
        left, right = decimal_of(a), decimal_of(b)
        if a == b:
            assert abs(left - right) < Decimal("1e-40")
        else:
            assert (a < b) == (left < right)
            assert (a > b) == (left > right)


@given(st.integers(1, 60))
def test_neighbours_of_the_root_of_two_are_told_apart(steps: int) -> None:
    """Its continued fraction gives the rationals hardest to tell from it, by turns below and above."""
    over, under = 1, 1
    for _ in range(steps):
        over, under = over + 2 * under, over + under
    assert (exact(Fraction(over, under)) < ROOT2) == (steps % 2 == 0)
    assert (Measure(over) - under * ROOT2).sign() == (-1 if steps % 2 == 0 else 1)


@given(measures)
def test_floor_is_the_whole_number_below(x: Measure) -> None:
    assert floor(x) <= x < floor(x) + 1


# Equality, and what is refused


@given(fractions)
def test_a_rational_measure_equals_and_hashes_like_its_fraction(x: Fraction) -> None:
    assert Measure(x) == x
    assert hash(Measure(x)) == hash(x)
    assert {x: "found"}[Measure(x)] == "found"
    if x.denominator == 1:
        assert Measure(x) == int(x)
        assert hash(Measure(x)) == hash(int(x))


@given(measures, measures)
def test_equal_measures_hash_alike(x: Measure, y: Measure) -> None:
    again = x + y - y
    assert again == x
    assert hash(again) == hash(x)
    assert (x == y) == (x.rational == y.rational and x.root == y.root)


@pytest.mark.parametrize(
    "operation",
    [operator.add, operator.sub, operator.mul, operator.truediv, operator.lt, operator.ge],
    ids=lambda operation: operation.__name__,
)
def test_a_float_is_refused_on_either_side(operation: Callable[[object, object], object]) -> None:
    with pytest.raises(TypeError):
        operation(Measure(1), 0.5)
    with pytest.raises(TypeError):
        operation(0.5, Measure(1))


def test_a_float_makes_no_measure() -> None:
    for make in (Measure, exact, lambda value: Measure(0, value)):
        with pytest.raises(TypeError):
            make(0.5)
    assert Measure(Fraction(1, 2)) != 0.5


def test_a_measure_never_changes() -> None:
    with pytest.raises(AttributeError):
        Measure(1).p = 2


# Rounding


@given(measures, marks)
def test_round_up_is_the_least_mark_not_below(x: Measure, mark: Fraction) -> None:
    up = round_up(x, mark)
    assert on_mark(up, mark)
    assert up - mark < x <= up


@given(measures, marks)
def test_nearest_is_no_further_than_half_a_mark(x: Measure, mark: Fraction) -> None:
    near = nearest(x, mark)
    assert on_mark(near, mark)
    assert -mark / 2 < near - x <= mark / 2


@given(st.integers(-1000, 1000), marks)
def test_what_lies_on_a_mark_stays(times: int, mark: Fraction) -> None:
    value = times * mark
    assert on_mark(value, mark)
    assert round_up(value, mark) == nearest(value, mark) == value
    assert not on_mark(value + mark / 3, mark)
    assert not on_mark(value + ROOT2, mark)


def test_a_half_goes_up() -> None:
    assert nearest(Fraction(1, 2), 1) == 1
    assert nearest(Fraction(-1, 2), 1) == 0


@given(measures, st.integers(0, 6))
def test_decimal_is_the_nearest_with_that_many_places(x: Measure, places: int) -> None:
    written = x.decimal(places)
    assert abs(Fraction(written) - x) <= Fraction(1, 2 * 10**places)
    assert len(written.partition(".")[2]) <= places
    assert not ("." in written and written.endswith("0"))
    assert written != "-0"


DECIMALS = [
    (ROOT2, 2, "1.41"),
    (ROOT2, 0, "1"),
    (-ROOT2, 3, "-1.414"),
    (Measure(Fraction(5, 2)), 3, "2.5"),
    (Measure(100), 3, "100"),
    (Measure(Fraction(-1, 10_000)), 3, "0"),
    (Measure(Fraction(1, 50)), 3, "0.02"),
]


@pytest.mark.parametrize(("number", "places", "written"), DECIMALS)
def test_decimals(number: Measure, places: int, written: str) -> None:
    assert number.decimal(places) == written


@given(measures)
def test_units_convert_there_and_back(x: Measure) -> None:
    for unit in ("cm", "mm", "m", "yd", "ft"):
        assert convert(convert(x, "in", unit), unit, "in") == x
    assert convert(x, "yd", "in") == 36 * x
    assert convert(x, "in", "mm") == x * Fraction(254, 10)


# The folklore of the trade follows from the seam: two at a time adds 7/8, a quarter-square 1 1/4.


@pytest.mark.parametrize(
    ("added", "exactly", "rounded"),
    [
        ("two at a time", Measure(Fraction(1, 2), Fraction(1, 4)), "7/8"),
        ("quarter-square", Measure(Fraction(1, 2), Fraction(1, 2)), "1 1/4"),
    ],
)
def test_constants_of_the_trade(added: str, exactly: Measure, rounded: str) -> None:
    assert write_length(round_up(exactly, Fraction(1, 8)), "in", plain=True) == rounded, added


# Reading and writing


@given(fractions, st.sampled_from(UNITS), st.booleans())
def test_what_is_written_reads_back(x: Fraction, unit: str, plain: bool) -> None:
    written = write_length(x, unit, plain=plain)
    assert read_length(written, unit) == x
    assert read_length(f"{written} {unit}", unit) == x
    if plain:
        assert written.isascii()


@given(fractions)
def test_a_length_reads_the_same_in_either_unit(x: Fraction) -> None:
    written = write_length(x, "in", plain=True) + " in"
    assert read_length(written, "cm") == convert(x, "in", "cm")


READABLE = [
    ("2 1/2", "in", Fraction(5, 2)),
    ("2½", "in", Fraction(5, 2)),
    ("2 ½", "in", Fraction(5, 2)),
    ("½", "in", Fraction(1, 2)),
    ("2.5", "in", Fraction(5, 2)),
    ("2,5", "in", Fraction(5, 2)),
    (".5", "in", Fraction(1, 2)),
    ("0,125", "in", Fraction(1, 8)),
    ("2-1/2", "in", Fraction(5, 2)),
    ("2 1⁄2", "in", Fraction(5, 2)),
    ("5/2", "in", Fraction(5, 2)),
    ("10/4", "in", Fraction(5, 2)),
    (" 3 ", "in", Fraction(3)),
    ("3 in", "in", Fraction(3)),
    ("3in.", "in", Fraction(3)),
    ("3 Inches", "in", Fraction(3)),
    ('2 1/2"', "in", Fraction(5, 2)),
    ("2½″", "in", Fraction(5, 2)),
    ("6.4 cm", "cm", Fraction(32, 5)),
    ("64 mm", "cm", Fraction(32, 5)),
    ("1 m", "cm", Fraction(100)),
    ("1 in", "cm", Fraction(127, 50)),
    ("2.54cm", "in", Fraction(1)),
    ("1 1/2 yd", "in", Fraction(54)),
    ("2 ft", "in", Fraction(24)),
    ("-1/4", "in", Fraction(-1, 4)),
    ("−1", "in", Fraction(-1)),
    ("+1", "in", Fraction(1)),
    ("0", "in", Fraction(0)),
]


@pytest.mark.parametrize(("text", "unit", "length"), READABLE)
def test_readable_lengths(text: str, unit: str, length: Fraction) -> None:
    assert read_length(text, unit) == length


UNREADABLE = [
    ("", "empty"),
    ("   ", "empty"),
    ("two", "unreadable"),
    ("in", "unreadable"),
    ("1/2/3", "unreadable"),
    ("2 1", "unreadable"),
    ("1//2", "unreadable"),
    ("--1", "unreadable"),
    ("½½", "unreadable"),
    ("2.5.1", "unreadable"),
    ("1e3", "unit"),
    ("3 hands", "unit"),
    ("2 in 1", "unit"),
    ("5'", "unit"),
    ("5 ?", "unreadable"),
    ("nan", "unreadable"),
    ("1,000", "thousands"),
    ("12,345", "thousands"),
    ("1/0", "zero below"),
    ("2 1/0", "zero below"),
    ("9" * 100, "unreadable"),
    ("٣", "unreadable"),
]


@pytest.mark.parametrize(("text", "kind"), UNREADABLE)
def test_unreadable_lengths(text: str, kind: str) -> None:
    with pytest.raises(LengthFault) as fault:
        read_length(text, "in")
    assert (fault.value.kind, fault.value.text) == (kind, text)


@given(st.text())
def test_any_text_is_a_length_or_a_fault(text: str) -> None:
    try:
        read = read_length(text, "cm")
    except LengthFault as fault:
        kind = fault.kind
    else:
        kind = "read" if isinstance(read, Measure) else "nothing"
    assert kind in ("read", "empty", "unreadable", "unit", "thousands", "zero below")


WRITTEN = [
    (Fraction(5, 2), "in", "2½", "2 1/2"),
    (Fraction(1, 2), "in", "½", "1/2"),
    (Fraction(33, 16), "in", "2 1⁄16", "2 1/16"),
    (Fraction(3), "in", "3", "3"),
    (Fraction(-5, 2), "in", "-2½", "-2 1/2"),
    (Fraction(0), "in", "0", "0"),
    (Fraction(32, 5), "cm", "6.4", "6.4"),
    (Fraction(1, 3), "cm", "⅓", "1/3"),
    (Fraction(12), "cm", "12", "12"),
]


@pytest.mark.parametrize(("length", "unit", "shown", "plain"), WRITTEN)
def test_written_lengths(length: Fraction, unit: str, shown: str, plain: str) -> None:
    assert write_length(length, unit) == shown
    assert write_length(length, unit, plain=True) == plain


def test_what_no_ruler_shows_is_not_written() -> None:
    with pytest.raises(ValueError, match="round it first"):
        write_length(ROOT2, "in")
