"""How far the print of a cloth is turned by what is done with its pieces, told from the steps alone.

An angle is clockwise, in degrees, as the piece lies; None where it is no multiple of 45: then the print slants.
"""

from __future__ import annotations

from collections.abc import Sequence

from tracker.exact.geometry import (
    XY,
    ZERO,
    Polygon,
    Segment,
    Straight,
    area,
    chord,
    common,
    intersection,
    rectangle,
    split,
)
from tracker.exact.measure import Measure
from tracker.work.steps import Laid, Size

Angle = int | None
"""Degrees clockwise, 0 to 359; None where the print slants otherwise."""


def turned_by(angle: Angle, more: Angle) -> Angle:
    """One turn after another."""
    return None if angle is None or more is None else (angle + more) % 360


def slope_of(segment: Segment) -> Angle:
    """The direction of a line, 0 to 135: 0 is level, 90 upright, 45 falls to the right; None for any other."""
    (x1, y1), (x2, y2) = segment
    across, down = x2 - x1, y2 - y1
    if not down:
        return 0
    if not across:
        return 90
    return {across: 45, -across: 135}.get(down)


def opened_turn(laid: Laid, seam: Segment) -> Angle:
    """How far a piece laid face down is turned once it is folded back over its seam, front up again."""
    if laid.over is not None and Straight.through(*laid.over).is_parallel(Straight.through(*seam)):
        return laid.turn % 360
    slope = slope_of(seam)
    first = 90 if laid.over is None else slope_of(laid.over)
    return None if slope is None or first is None else (laid.turn + 2 * (slope - first)) % 360


def seam_of(laid: Laid, size: Size | None, seams: Sequence[Segment], within: Polygon | None) -> Segment:
    """Which of the seams sewn holds a laid piece, of this size, in a part of a stack: the longest that runs there."""
    if len(seams) == 1 or within is None:
        return seams[0]
    box = None if size is None or laid.over is not None else _box(laid, size)
    room = within if box is None else intersection(within, box)
    return max(seams, key=lambda each: _length_in(each, room or within))


def _box(laid: Laid, size: Size) -> Polygon:
    width, height = size if laid.turn % 180 == 0 else (size[1], size[0])
    return rectangle(laid.x, laid.y, laid.x + width, laid.y + height)


def _length_in(seam: Segment, room: Polygon) -> Measure:
    line = Straight.through(*seam)
    inside = chord(room, line)
    low, high = sorted((line.along(seam[0]), line.along(seam[1])))
    return sum((last - first for first, last in common([(low, high)], [inside] if inside else [])), ZERO) / line.length


def part_of(size: Size | None, lines: Sequence[Segment], inside: XY) -> Polygon | None:
    """The part of a stack, whose base is so large, that a point lies in once it is cut along lines."""
    if size is None:
        return None
    part: Polygon = rectangle(ZERO, ZERO, *size)
    for each in lines:
        cut = Straight.through(*each)
        behind, ahead = split(part, cut)
        kept = ahead if cut.side(inside) > 0 else behind
        part = part if kept is None or not area(kept) else kept
    return part
