"""Roots beside √2: exact numbers for seams at any slope.

A seam across a rectangle with sides in whole proportions p and q has parallels at a given distance by √(p² + q²): a
root of its own for each slope. Such numbers are sums of rational multiples of roots of whole numbers without a square
in them. Those roots are independent, so a sum is 0 only where all its parts are; any other is told from 0, and from
every whole number, by reckoning whole bounds closer and closer, which always ends. Nothing is rounded on the way.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import lru_cache
from math import gcd, isqrt, lcm

from tracker.exact.measure import Measure, Number, exact


class Rooted(Measure):
    """The exact number Σ c√n with rational c, at least one n neither 1 nor 2. It mixes with every exact number; what
    comes out without such a root is a plain Measure again."""

    __slots__ = ("terms",)
    terms: tuple[tuple[int, Fraction], ...]
    """(n, c) by growing n; no n has a square in it, no c is 0."""

    def __new__(cls, terms: tuple[tuple[int, Fraction], ...]) -> Rooted:
        made = object.__new__(cls)
        object.__setattr__(made, "terms", terms)
        return made

    @property
    def is_rational(self) -> bool:
        return False

    @property
    def rational(self) -> Fraction:
        """The part without a root."""
        return dict(self.terms).get(1, Fraction(0))

    @property
    def root(self) -> Fraction:
        """How often it holds √2."""
        return dict(self.terms).get(2, Fraction(0))

    def _bounds(self, scale: int) -> tuple[int, int]:
        """Whole numbers that the number times `scale` lies between."""
        low = high = 0
        for n, c in self.terms:
            over, under = c.numerator * scale, c.denominator
            size = isqrt(over * over * n // (under * under))
            low, high = (low + size, high + size + 1) if over > 0 else (low - size - 1, high - size)
        return low, high

    def sign(self) -> int:
        scale = 1 << 32
        while True:
            low, high = self._bounds(scale)
            if low > 0 or high < 0:
                return 1 if low > 0 else -1
            scale *= scale

    def __floor__(self) -> int:
        scale = 1 << 32
        while True:
            low, high = (bound // scale for bound in self._bounds(scale))
            if low == high:
                return low
            scale *= scale

    def __add__(self, other: Number) -> Measure:
        return _sum((*self.terms, *_terms(other)))

    __radd__ = __add__

    def __neg__(self) -> Measure:
        return Rooted(tuple((n, -c) for n, c in self.terms))

    def __sub__(self, other: Number) -> Measure:
        return _sum((*self.terms, *((n, -c) for n, c in _terms(other))))

    def __rsub__(self, other: Number) -> Measure:
        return -(self - other)

    def __mul__(self, other: Number) -> Measure:
        # √m √n is g √(mn/g²), g being what both can be divided by.
        return _sum((m * n // gcd(m, n) ** 2, a * b * gcd(m, n)) for m, a in self.terms for n, b in _terms(other))

    __rmul__ = __mul__

    def __truediv__(self, other: Number) -> Measure:
        return self * _inverse(exact(other))

    def __rtruediv__(self, other: Number) -> Measure:
        return other * _inverse(self)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Rooted) and self.terms == other.terms

    def __hash__(self) -> int:
        return hash(self.terms)

    def __bool__(self) -> bool:
        return True

    def __lt__(self, other: Number) -> bool:
        return (self - other).sign() < 0

    def __gt__(self, other: Number) -> bool:
        return (self - other).sign() > 0

    def __le__(self, other: Number) -> bool:
        return (self - other).sign() <= 0

    def __ge__(self, other: Number) -> bool:
        return (self - other).sign() >= 0

    def __repr__(self) -> str:
        return "Rooted(" + " + ".join(f"{c}√{n}" for n, c in self.terms) + ")"


def root_of(value: Fraction | int) -> Measure:
    """The exact square root of a rational number that is not below 0."""
    number = Fraction(value)
    if number < 0:
        raise ValueError(f"{number} has no square root")
    if not number:
        return Measure()
    (over, n), (under, d) = _without_squares(number.numerator), _without_squares(number.denominator)
    return _sum([(n * d, Fraction(over, under * d))])


def _terms(value: Number) -> Iterable[tuple[int, Fraction]]:
    number = exact(value)
    if isinstance(number, Rooted):
        return number.terms
    return (1, number.rational), (2, number.root)


def _sum(terms: Iterable[tuple[int, Fraction]]) -> Measure:
    """The number of these parts, as a plain Measure where it holds no root but √2."""
    total: dict[int, Fraction] = {}
    for n, c in terms:
        total[n] = total.get(n, Fraction(0)) + c
    kept = {n: c for n, c in total.items() if c}
    if all(n <= 2 for n in kept):
        return Measure(kept.get(1, 0), kept.get(2, 0))
    return Rooted(tuple(sorted(kept.items())))


def _inverse(number: Measure) -> Measure:
    """1 over a number: made free of one prime of its roots after the other."""
    if not isinstance(number, Rooted):
        return 1 / number
    terms: Mapping[int, Fraction] = dict(number.terms)
    prime = _first_prime(lcm(*(n for n in terms if n > 2)))
    turned = _sum((n, -c if n % prime == 0 else c) for n, c in terms.items())
    return turned * _inverse(number * turned)


@lru_cache(maxsize=1024)
def _without_squares(number: int) -> tuple[int, int]:
    """(a, n) with a²n the number, and no square in n."""
    outside, n, divisor = 1, number, 2
    # What is left when all divisors up to its cube root are out has at most two: it is a square, or has none in it.
    while divisor**3 <= n:
        while n % divisor**2 == 0:
            n //= divisor**2
            outside *= divisor
        if n % divisor == 0:
            rest, more = _without_squares(n // divisor)
            return outside * rest, divisor * more
        divisor += 1
    whole = isqrt(n)
    return (outside * whole, 1) if whole * whole == n else (outside, n)


def _first_prime(number: int) -> int:
    """The least prime that divides a number above 1."""
    divisor = 2
    while divisor * divisor <= number:
        if number % divisor == 0:
            return divisor
        divisor += 1
    return number
