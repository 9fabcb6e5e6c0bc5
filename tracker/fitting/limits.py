"""What is right, what is seen and what is too much, in inches and in centimetres (common practice).

A centimetre ruler has marks of its own, so each limit has a round figure there that stands for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

METRIC = {
    Fraction(1, 64): Fraction(4, 100),
    Fraction(1, 32): Fraction(8, 100),
    Fraction(1, 16): Fraction(15, 100),
    Fraction(1, 8): Fraction(3, 10),
    Fraction(1, 4): Fraction(6, 10),
    Fraction(3, 8): Fraction(1),
    Fraction(3, 4): Fraction(2),
}
"""Centimetres that stand for a fraction of an inch."""

EASED, EASED_WITH_CARE = 96, 48
"""What an edge is eased: a 96th of its length easily, a 48th with care; 1/8 and 1/4 in on 12."""


@dataclass(frozen=True)
class SizeLimits:
    """Lengths in one unit. `right`: a seam that no block notices; `guide`: up to there the guide is moved; `agrees`:
    a block that is left as it is; `allowed`: of a point that may go; `shows`: what is seen, and what says that a block
    is crooked; `crooked`: too crooked to stay; `strip`: the least of a coping strip that shows; `let_out`: what one
    seam may be moved; `room`: added to strips that are trimmed; `reading`: how fine a block is measured;
    `frame_mark`: what strips of a frame that must reach are rounded up to; `differs`: how much frames may differ from
    side to side before it is said."""

    right: Fraction
    guide: Fraction
    agrees: Fraction
    allowed: Fraction
    shows: Fraction
    crooked: Fraction
    strip: Fraction
    let_out: Fraction
    room: Fraction
    frame_mark: Fraction
    differs: Fraction
    reading: Fraction
    lean: Fraction


def _limits(unit: str, reading: Fraction, lean: Fraction) -> SizeLimits:
    def own(inches: Fraction) -> Fraction:
        return inches if unit == "in" else METRIC[inches]

    eighth, quarter = own(Fraction(1, 8)), own(Fraction(1, 4))
    return SizeLimits(
        right=own(Fraction(1, 64)),
        guide=own(Fraction(1, 32)),
        agrees=own(Fraction(1, 32)),
        allowed=own(Fraction(1, 16)),
        shows=eighth,
        crooked=quarter,
        strip=own(Fraction(3, 8)),
        let_out=own(Fraction(1, 16)),
        room=eighth,
        frame_mark=quarter,
        differs=own(Fraction(3, 8)),
        reading=reading,
        lean=lean,
    )


LIMITS = {
    "in": _limits("in", Fraction(1, 16), Fraction(1, 32)),
    "cm": _limits("cm", Fraction(1, 10), Fraction(1, 10)),
}
