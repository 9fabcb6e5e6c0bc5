"""Drawings as they are printed: of a size in millimetres, their figures large enough to be read on paper."""

from __future__ import annotations

import re
from fractions import Fraction

TEN_POINTS = Fraction(127, 36)
"""In millimetres: no figure is smaller on paper."""
LEAST_LETTERS = Fraction(2)
"""In millimetres: letters of cloths that would be smaller are left out."""
MOST_LARGER = Fraction(3, 2)
"""Figures are not drawn larger than this times their size: there is no room for them; their size stands beside."""

_BOX = re.compile(r'viewBox="0 0 (\d+) (\d+)"')
_TEXT = re.compile(r'<text( class="([a-z]+)")?( [^>]*?)font-size="(\d+)"([^>]*)>([^<]*)</text>')
_DIMENSION = re.compile(r'<path class="dimension"[^>]*/>')
_SIDE = re.compile(r'<g class="tag".*?</g>|<text class="side".*?</text>')
"""What says that the back of the cloth is seen, which a line says on paper."""


def in_print(drawing: str, width: int, height: int) -> str:
    """A drawing to be printed within `width` × `height` millimetres."""
    found = _BOX.search(drawing)
    if found is None:
        return drawing
    across, down = int(found[1]), int(found[2])
    scale = min(Fraction(width, across), Fraction(height, down))
    least = -(-TEN_POINTS // scale)
    without = least > MOST_LARGER * 64

    def text(match: re.Match[str]) -> str:
        mark, kind, before, size, after, words = match.groups()
        if kind != "figure":
            return match[0] if int(size) * scale >= LEAST_LETTERS else ""
        if without:
            return ""
        return f'<text{mark}{before}font-size="{max(int(size), least)}"{after}>{words}</text>'

    smaller = _TEXT.sub(text, _SIDE.sub("", drawing))
    if without:
        smaller = _DIMENSION.sub("", smaller)
    size = f' width="{_tenths(across * scale)}mm" height="{_tenths(down * scale)}mm"'
    return smaller.replace(found[0], found[0] + size, 1)


def _tenths(length: Fraction) -> str:
    tenths = int(length * 10)
    return f"{tenths // 10}.{tenths % 10}"


def sides(drawing: str) -> tuple[int, int]:
    """A drawing's breadth and height, in drawing units; (0, 0) for none."""
    found = _BOX.search(drawing)
    return (0, 0) if found is None else (int(found[1]), int(found[2]))
