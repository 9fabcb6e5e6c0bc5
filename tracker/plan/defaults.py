"""What a plan means where it says nothing, by unit; the reader fills it in, the writer leaves it out."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

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


def tone_of_colour(colour: str) -> int:
    """The tone, 1 (lightest) to 9 (darkest), of a colour such as `#e4dccb`, by its perceived lightness.

    Lightness is L* of the CIE (1976), of the colour's luminance in sRGB (IEC 61966-2-1): 90 and more is tone 1, every
    ten less one tone more, below 20 it is 9. So a grey of `colour_of_tone` has its own tone. Reckoned in whole numbers
    to the 10^-12 part of full light, where no colour lies nearer than 10^-9 to a limit between two tones.
    """
    red, green, blue = (_light(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
    luminance = Fraction(2126 * red + 7152 * green + 722 * blue, 10_000 * _FULL_LIGHT)
    return 9 - sum(luminance >= Fraction(lightness + 16, 116) ** 3 for lightness in range(20, 100, 10))


_FULL_LIGHT = 10**12


@cache
def _light(value: int) -> int:
    """How much light one of sRGB's values (0 to 255) gives, of _FULL_LIGHT, rounded down."""
    if value <= 10:
        return value * 100 * _FULL_LIGHT // (255 * 1292)
    # ((value / 255 + 0.055) / 1.055) ^ (12 / 5): the fifth root of a twelfth power.
    power = _FULL_LIGHT**5 * (1000 * value + 14_025) ** 12 // 269_025**12
    low, high = 0, _FULL_LIGHT + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if middle**5 <= power else (low, middle)
    return low
