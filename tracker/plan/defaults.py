"""What a plan means where it says nothing, by unit; the reader fills it in, the writer leaves it out."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import Measure


@dataclass(frozen=True)
class Defaults:
    """Lengths in the unit they belong to; `allowance` is a share."""

    seam: Measure
    ruler: Measure
    usable: Measure
    beyond: Measure
    binding: Measure
    allowance: Fraction = Fraction(1, 20)


DEFAULTS = {
    "in": Defaults(
        seam=Measure(Fraction(1, 4)),
        ruler=Measure(Fraction(1, 8)),
        usable=Measure(40),
        beyond=Measure(4),
        binding=Measure(Fraction(5, 2)),
    ),
    "cm": Defaults(
        seam=Measure(Fraction(3, 4)),
        ruler=Measure(Fraction(1, 10)),
        usable=Measure(100),
        beyond=Measure(10),
        binding=Measure(Fraction(13, 2)),
    ),
}

# An even scale of greys with a little warmth, so that a plan without colours still shows light and dark.
_TONE_COLOURS = (
    "#f6f2ea", "#e3ddd2", "#cbc4b8", "#b0a99e", "#948d84", "#78726b", "#5c5752", "#413e3b", "#282624",
)  # fmt: skip


def colour_of_tone(tone: int) -> str:
    """The colour of a cloth that has none in the plan, by its tone (1 to 9)."""
    return _TONE_COLOURS[tone - 1]
