"""Exact lengths: numbers a + b√2 with rational a and b, read and written as people read a ruler.

Every length cut at 0, 45 or 90 degrees on a square grid has this form, and sums, differences, products
and quotients keep it (`roots` has those of other slopes). Nothing here is a float; rounding happens only in `round_up`
and `nearest`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from math import gcd, isqrt

UNITS = ("in", "cm")

# Everything in inches: 1 in = 2.54 cm exactly.
_IN_INCHES = {
    "in": Fraction(1),
    "cm": Fraction(50, 127),
    "mm": Fraction(5, 127),
    "m": Fraction(5000, 127),
    "yd": Fraction(36),
    "ft": Fraction(12),
}
UNIT_WORDS = {
    "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "”": "in", "''": "in",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "yd": "yd", "yds": "yd", "yard": "yd", "yards": "yd",
    "ft": "ft", "foot": "ft", "feet": "ft",
}  # fmt: skip
"""How people write each unit after a number, in small letters."""
_GLYPHS = {
    "½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4),
    "⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8),
    "⅓": Fraction(1, 3), "⅔": Fraction(2, 3),
    "⅕": Fraction(1, 5), "⅖": Fraction(2, 5), "⅗": Fraction(3, 5), "⅘": Fraction(4, 5),
    "⅙": Fraction(1, 6), "⅚": Fraction(5, 6),
}  # fmt: skip
_GLYPH_OF = {value: glyph for glyph, value in _GLYPHS.items()}

_LONGEST_TEXT = 60
_LENGTH = re.compile(
    r"""(?P<sign>[-−+]?)\s*
        (?: (?P<whole>[0-9]+)(?:\s*-\s*|\s+)(?P<over>[0-9]+)\s*[/⁄]\s*(?P<under>[0-9]+)
          | (?P<over1>[0-9]+)\s*[/⁄]\s*(?P<under1>[0-9]+)
          | (?P<wholeg>[0-9]*)\s*(?P<glyph>[½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚])
          | (?P<decimal>[0-9]*[.,][0-9]+|[0-9]+)
        )\s*(?P<unit>[A-Za-z].*|["″”']+)?""",
    re.VERBOSE,
)


class LengthFault(ValueError):
    """A text that is no length. `kind` is one of empty, unreadable, unit, thousands, zero below."""

    def __init__(self, kind: str, text: str) -> None:
        super().__init__(f"{kind}: {text!r}")
        self.kind = kind
        self.text = text


class _Parts:
    """What a number is until it is finished: its parts can be set as quickly as Python can."""

    __slots__ = ("d", "p", "q")
    p: int
    q: int
    d: int


class Measure(_Parts):
    """The exact number (p + q√2) / d, with whole p, q and d > 0 in lowest terms.

    Mixes with int and Fraction in arithmetic and comparison, hashes like them where q = 0, and refuses float.
    """

    __slots__ = ()

    def __new__(cls, rational: int | Fraction = 0, root: int | Fraction = 0) -> Measure:
        if rational.__class__ is int and root.__class__ is int:
            return _made(rational, root, 1)
        if isinstance(rational, float) or isinstance(root, float):
            raise TypeError("a Measure is exact: give whole numbers or Fractions, never a float")
        a, b = Fraction(rational), Fraction(root)
        return _made(a.numerator * b.denominator, b.numerator * a.denominator, a.denominator * b.denominator)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError("a Measure never changes")

    @property
    def rational(self) -> Fraction:
        """The a of a + b√2."""
        return Fraction(self.p, self.d)

    @property
    def root(self) -> Fraction:
        """The b of a + b√2."""
        return Fraction(self.q, self.d)

    @property
    def is_rational(self) -> bool:
        """True where there is no √2 in it, so that it can be written as a fraction."""
        return self.q == 0

    def sign(self) -> int:
        """-1, 0 or 1, decided without any approximation."""
        p, q = self.p, self.q
        if q == 0 or (p > 0) == (q > 0):
            return _sign(p or q)
        if p == 0:
            return _sign(q)
        return _sign(p) if p * p > 2 * q * q else _sign(q)

    def __add__(self, other: Number) -> Measure:
        o = other if other.__class__ is Measure else _measure(other)
        if o is None:
            return NotImplemented
        d = self.d
        if d == o.d:
            return _made(self.p + o.p, self.q + o.q, d)
        return _made(self.p * o.d + o.p * d, self.q * o.d + o.q * d, d * o.d)

    __radd__ = __add__

    def __neg__(self) -> Measure:
        return _made(-self.p, -self.q, self.d)

    def __abs__(self) -> Measure:
        return -self if self.sign() < 0 else self

    def __sub__(self, other: Number) -> Measure:
        o = other if other.__class__ is Measure else _measure(other)
        if o is None:
            return NotImplemented
        d = self.d
        if d == o.d:
            return _made(self.p - o.p, self.q - o.q, d)
        return _made(self.p * o.d - o.p * d, self.q * o.d - o.q * d, d * o.d)

    def __rsub__(self, other: Number) -> Measure:
        return -self + other

    def __mul__(self, other: Number) -> Measure:
        o = other if other.__class__ is Measure else _measure(other)
        if o is None:
            return NotImplemented
        if self.q == 0 == o.q:
            return _made(self.p * o.p, 0, self.d * o.d)
        return _made(self.p * o.p + 2 * self.q * o.q, self.p * o.q + self.q * o.p, self.d * o.d)

    __rmul__ = __mul__

    def __truediv__(self, other: Number) -> Measure:
        o = other if other.__class__ is Measure else _measure(other)
        if o is None:
            return NotImplemented
        norm = o.p * o.p - 2 * o.q * o.q
        if norm == 0:
            raise ZeroDivisionError("division of a Measure by zero")
        p, q, d = (self.p * o.p - 2 * self.q * o.q) * o.d, (self.q * o.p - self.p * o.q) * o.d, self.d * norm
        return _made(-p, -q, -d) if d < 0 else _made(p, q, d)

    def __rtruediv__(self, other: Number) -> Measure:
        o = _measure(other)
        return NotImplemented if o is None else o / self

    def __eq__(self, other: object) -> bool:
        o = other if other.__class__ is Measure else _measure(other)
        return NotImplemented if o is None else self.p == o.p and self.q == o.q and self.d == o.d

    def __lt__(self, other: Number) -> bool:
        o = other if other.__class__ is Measure else _measure(other)
        return NotImplemented if o is None else compare(self, o) < 0

    def __gt__(self, other: Number) -> bool:
        o = other if other.__class__ is Measure else _measure(other)
        return NotImplemented if o is None else compare(self, o) > 0

    def __le__(self, other: Number) -> bool:
        o = other if other.__class__ is Measure else _measure(other)
        return NotImplemented if o is None else compare(self, o) <= 0

    def __ge__(self, other: Number) -> bool:
        o = other if other.__class__ is Measure else _measure(other)
        return NotImplemented if o is None else compare(self, o) >= 0

    def __hash__(self) -> int:
        if self.q:
            return hash((self.p, self.q, self.d))
        return hash(self.p) if self.d == 1 else _fraction_hash(self.p, self.d)

    def __bool__(self) -> bool:
        return self.p != 0 or self.q != 0

    def __floor__(self) -> int:
        # floor((p + q√2)/d) from the whole part of q√2; isqrt is exact.
        whole = isqrt(2 * self.q * self.q)
        if self.q < 0:
            whole = -whole - 1
        return (self.p + whole) // self.d

    def __repr__(self) -> str:
        return f"Measure({self.rational})" if self.q == 0 else f"Measure({self.rational}, {self.root})"

    def decimal(self, places: int = 3) -> str:
        """The nearest decimal with that many places, as drawings need it: Measure(0, 1).decimal(2) is '1.41'."""
        scaled = (self * 10**places + Fraction(1, 2)).__floor__()
        digits = str(abs(scaled)).rjust(places + 1, "0")
        whole, part = digits[: len(digits) - places], digits[len(digits) - places :].rstrip("0")
        return ("-" if scaled < 0 else "") + whole + ("." + part if part else "")


_new = object.__new__


def _made(p: int, q: int, d: int) -> Measure:
    """(p + q√2) / d in lowest terms, for d > 0: one plain function, since all arithmetic ends in it."""
    if d != 1:
        common = gcd(p, q, d)
        if common != 1:
            p, q, d = p // common, q // common, d // common
    made = _new(_Parts)
    made.p = p
    made.q = q
    made.d = d
    # From here on it never changes.
    made.__class__ = Measure
    return made  # type: ignore[return-value]


@lru_cache(maxsize=4096)
def _fraction_hash(p: int, d: int) -> int:
    """The hash of a fraction, so that equal numbers hash alike; the few hundred sizes of a plan are asked for often."""
    return hash(Fraction(p, d))


def compare(a: Measure, b: Measure) -> int:
    """-1, 0 or 1 as a is below, equal to or above b: comparing them without making a new number."""
    try:
        if a.d == b.d:
            p, q = a.p - b.p, a.q - b.q
        else:
            p, q = a.p * b.d - b.p * a.d, a.q * b.d - b.q * a.d
    except AttributeError:
        # Numbers with other roots than √2 have no such parts.
        return (a - b).sign()
    if q == 0 or (p >= 0) == (q > 0):
        return (p > 0) - (p < 0) or (q > 0) - (q < 0)
    if p * p > 2 * q * q:
        return 1 if p > 0 else -1
    return 1 if q > 0 else -1


Number = Measure | Fraction | int


def _sign(number: int) -> int:
    return (number > 0) - (number < 0)


def _measure(value: object) -> Measure | None:
    if isinstance(value, Measure):
        return value
    if isinstance(value, (int, Fraction)):
        return _made(value.numerator, 0, value.denominator)
    return None


ROOT2 = Measure(0, 1)


def exact(value: Number) -> Measure:
    """The Measure of a whole number, Fraction or Measure."""
    found = _measure(value)
    if found is None:
        raise TypeError(f"not an exact number: {value!r}")
    return found


def round_up(value: Number, mark: Number) -> Measure:
    """The least whole multiple of `mark` that is not below `value`: how a piece is cut that is trimmed later."""
    return exact(mark) * -((-exact(value) / mark).__floor__())


def nearest(value: Number, mark: Number) -> Measure:
    """The whole multiple of `mark` nearest to `value` (a half goes up): how a size is read off the ruler."""
    return exact(mark) * ((exact(value) / mark + Fraction(1, 2)).__floor__())


def on_mark(value: Number, mark: Number) -> bool:
    """True where `value` is a whole multiple of `mark`, so that the ruler shows it."""
    times = exact(value) / mark
    return times.is_rational and times.d == 1


def convert(value: Number, unit: str, to: str) -> Measure:
    """`value` in `unit` as exactly the same length in `to` (in, cm, mm, m, yd or ft)."""
    return exact(value) * (_IN_INCHES[unit] / _IN_INCHES[to])


def read_length(text: str, unit: str) -> Measure:
    """The exact length a person wrote, in `unit`: `2 1/2`, `2½`, `2.5`, `2,5`, `2 1/2 in`, `6.4 cm`, `64 mm`.

    A number without a unit is in `unit` ("in" or "cm"); one with a unit is converted exactly. Negative
    numbers and zero are read as such: whether they fit is for the caller. Raises LengthFault.
    """
    stripped = text.strip()
    if not stripped:
        raise LengthFault("empty", text)
    found = _LENGTH.fullmatch(stripped) if len(stripped) <= _LONGEST_TEXT else None
    if found is None:
        raise LengthFault("unreadable", text)
    word = (found["unit"] or "").strip().rstrip(".").lower()
    if word and word not in UNIT_WORDS:
        raise LengthFault("unit", text)
    number = _number(found, text)
    if found["sign"] in ("-", "−"):
        number = -number
    return convert(number, UNIT_WORDS[word], unit) if word else exact(number)


def _number(found: re.Match[str], text: str) -> Fraction:
    if found["decimal"]:
        decimal = found["decimal"]
        if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", decimal):
            raise LengthFault("thousands", text)
        return Fraction(decimal.replace(",", "."))
    if found["glyph"]:
        return int(found["wholeg"] or 0) + _GLYPHS[found["glyph"]]
    over, under = int(found["over"] or found["over1"]), int(found["under"] or found["under1"])
    if under == 0:
        raise LengthFault("zero below", text)
    return int(found["whole"] or 0) + Fraction(over, under)


def write_length(value: Number, unit: str, plain: bool = False) -> str:
    """`value` as a ruler is read, without the unit: `2½` or `2 1⁄16` in inches, `6.4` in centimetres.

    With `plain` only ASCII (`2 1/2`), as JSON and plan files write it. What no finite decimal can say is
    written as a fraction in centimetres too. Reading the text again gives exactly `value`. A value with √2 in it
    has no such text: round it first (ValueError).
    """
    measure = exact(value)
    if not measure.is_rational:
        raise ValueError(f"{measure!r} is off every ruler's mark: round it first")
    number = measure.rational
    if number < 0:
        return "-" + write_length(-number, unit, plain)
    if unit != "in" and _is_decimal(number):
        return _decimal_text(number)
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    if not plain and rest in _GLYPH_OF:
        return (str(whole) if whole else "") + _GLYPH_OF[rest]
    fraction = f"{rest.numerator}{'/' if plain else '⁄'}{rest.denominator}"
    return f"{whole} {fraction}" if whole else fraction


def _is_decimal(number: Fraction) -> bool:
    rest = number.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    return rest == 1


def _decimal_text(number: Fraction) -> str:
    places = 0
    while (number * 10**places).denominator != 1:
        places += 1
    return exact(number).decimal(places)
