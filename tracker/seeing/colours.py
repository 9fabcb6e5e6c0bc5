"""Colours by how far apart they look, and the light that falls on them. Floats: nothing here is cut or sewn.

CIE Lab (1976) for a screen's colours (sRGB, white D65), as published by the CIE (15:2004) and in IEC 61966-2-1.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from tracker.seeing.samples import Colour

Light = tuple[float, float, float]
"""Natural logarithms of how much red, green and blue light comes back: where light halves, each sinks alike."""

Lab = tuple[float, float, float]

_LEAST = 0.0004
"""Darker than this a photo tells nothing apart."""

_WHITE = (0.95047, 1.0, 1.08883)
_TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))


def _linear(value: int) -> float:
    part = value / 255
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


_LIGHT = [math.log(max(_linear(value), _LEAST)) for value in range(256)]


def light_of(colour: Colour) -> Light:
    """The light of a colour."""
    red, green, blue = colour
    return _LIGHT[red], _LIGHT[green], _LIGHT[blue]


def lab_of(light: Light, shade: float = 0) -> Lab:
    """How light looks where nothing shades it; `shade` is the logarithm by which it was dimmed."""
    linear = [math.exp(channel - shade) for channel in light]
    ratios = (sum(part * channel for part, channel in zip(row, linear, strict=True)) for row in _TO_XYZ)
    x, y, z = (_root(ratio / white) for ratio, white in zip(ratios, _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _root(ratio: float) -> float:
    return ratio ** (1 / 3) if ratio > 216 / 24389 else (24389 / 27 * ratio + 16) / 116


def colour_of(light: Light) -> Colour:
    """A colour as a screen shows it."""
    red, green, blue = (min(255, max(0, round(255 * _shown(math.exp(channel))))) for channel in light)
    return red, green, blue


def _shown(linear: float) -> float:
    return 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055


def apart(one: Lab, other: Lab) -> float:
    """How far two colours look apart, squared (the CIE's difference of 1976)."""
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 + (one[2] - other[2]) ** 2


def median(values: Iterable[float]) -> float:
    """The middle one. ValueError for none."""
    ordered = sorted(values)
    if not ordered:
        raise ValueError("none of nothing is in the middle")
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def middle(lights: Sequence[Light]) -> Light:
    """The middle of several, each colour by itself."""
    red, green, blue = (median(light[channel] for light in lights) for channel in range(3))
    return red, green, blue
