"""Where pictures go on a sheet: one picture with room for its dimensions, or two with an arrow between."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor

from tracker.drawing.canvas import FIGURE, Sheet, View, largest_scale, text_width
from tracker.measure import Measure
from tracker.drawing.signs import then
from tracker.work import Size

HIGHEST = 900
"""The greatest height of a drawing, so that a phone shows it with its words."""
EDGE = 26
_GAP = 110
"""Between two pictures, with the arrow from one to the next in it."""
TAG = 66
"""Height of the line that names the side of the cloth."""


@dataclass(frozen=True)
class Room:
    """Drawing units kept free around a picture."""

    left: int = 0
    top: int = 0
    right: int = 0
    bottom: int = 0

    @property
    def across(self) -> int:
        return self.left + self.right

    @property
    def down(self) -> int:
        return self.top + self.bottom


def dimension_room(figure: str, beside: int = 46, below: int = 50) -> Room:
    """Room for a dimension on the right with that figure, and one below."""
    return Room(0, 0, beside + 24 + text_width(figure), below + FIGURE)


def alone(
    sheet: Sheet, size: Size, room: Room | None = None, widest: int = 640, highest: int = 640
) -> tuple[View, int]:
    """A view of one picture in the middle of the sheet, and the height of the whole drawing."""
    room = room or Room()
    most = min(widest, sheet.width - 2 * EDGE - room.across), min(highest, HIGHEST - 2 * EDGE - room.down)
    scale = largest_scale(most, size)
    width, height = floor(size[0] * scale), floor(size[1] * scale)
    left = (sheet.width - width - room.across) // 2 + room.left
    return View(sheet, scale, left, EDGE + room.top), height + room.down + 2 * EDGE


def two(sheet: Sheet, first: Size, second: Size, rooms: tuple[Room, Room]) -> tuple[View, View, int]:
    """Views of two pictures at one scale, beside or below one another, whichever is larger; and the drawing's height."""
    own, other = rooms
    across = sheet.width - 2 * EDGE - own.across - other.across - _GAP
    down = HIGHEST - 2 * EDGE - max(own.down, other.down)
    beside = largest_scale((across, min(down, 560)), (first[0] + second[0], max(first[1], second[1])))
    across = sheet.width - 2 * EDGE - max(own.across, other.across)
    down = HIGHEST - 2 * EDGE - own.down - other.down - _GAP
    below = largest_scale((min(across, 760), down), (max(first[0], second[0]), first[1] + second[1]))
    if beside >= below:
        return _beside(sheet, first, second, rooms, beside)
    return _below(sheet, first, second, rooms, below)


def _beside(
    sheet: Sheet, first: Size, second: Size, rooms: tuple[Room, Room], scale: Fraction
) -> tuple[View, View, int]:
    own, other = rooms
    widths, heights = _drawn(first, second, scale)
    spare = sheet.width - sum(widths) - own.across - other.across - _GAP
    left = spare // 2 + own.left
    tallest = max(heights)
    top = EDGE + max(own.top, other.top)
    middle = top + tallest // 2
    right = left + widths[0] + own.right + _GAP + other.left
    then(sheet, (left + widths[0] + own.right + _GAP // 2, middle), downward=False)
    return (
        View(sheet, scale, left, middle - heights[0] // 2),
        View(sheet, scale, right, middle - heights[1] // 2),
        top + tallest + max(own.bottom, other.bottom) + EDGE,
    )


def _below(
    sheet: Sheet, first: Size, second: Size, rooms: tuple[Room, Room], scale: Fraction
) -> tuple[View, View, int]:
    own, other = rooms
    widths, heights = _drawn(first, second, scale)
    lefts = [(sheet.width - width - room.across) // 2 + room.left for width, room in zip(widths, rooms, strict=True)]
    top = EDGE + own.top
    arrow = top + heights[0] + own.bottom + _GAP // 2
    low = arrow + _GAP // 2 + other.top
    then(sheet, (sheet.width // 2, arrow), downward=True)
    return (
        View(sheet, scale, lefts[0], top),
        View(sheet, scale, lefts[1], low),
        low + heights[1] + other.bottom + EDGE,
    )


def _drawn(first: Size, second: Size, scale: Fraction) -> tuple[tuple[int, int], tuple[int, int]]:
    """Widths and heights of both in drawing units."""

    def units(length: Measure) -> int:
        return floor(length * scale)

    return (units(first[0]), units(second[0])), (units(first[1]), units(second[1]))
