"""Where pictures go on a sheet: one picture with room for its dimensions, or two with an arrow between."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor

from tracker.drawing.canvas import FIGURE, Sheet, Spot, text_width
from tracker.drawing.signs import then
from tracker.drawing.view import ClothView, largest_scale
from tracker.exact.geometry import Box
from tracker.work.steps import Size

HIGHEST = 900
"""The greatest height of a drawing, so that a phone shows it with its words."""
EDGE = 26
TAG = 66
"""Height of the line that names the side of the cloth."""
GAP = 110
"""Between two pictures, with the arrow from one to the next in it."""


@dataclass(frozen=True)
class SheetRoom:
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


def dimension_room(figure: str, beside: int = 46, below: int = 50, top: int = 0) -> SheetRoom:
    """Room for a dimension on the right with that figure, and one below."""
    return SheetRoom(0, top, beside + 24 + text_width(figure), below + FIGURE)


def alone(
    sheet: Sheet, size: Size, room: SheetRoom | None = None, widest: int = 640, highest: int = 640
) -> tuple[ClothView, int]:
    """A view of one picture in the middle of the sheet, and the height of the whole drawing."""
    room = room or SheetRoom()
    most = min(widest, sheet.width - 2 * EDGE - room.across), min(highest, HIGHEST - 2 * EDGE - room.down)
    scale = largest_scale(most, size)
    width, height = floor(size[0] * scale), floor(size[1] * scale)
    left = (sheet.width - width - room.across) // 2 + room.left
    return ClothView(sheet, scale, left, EDGE + room.top), height + room.down + 2 * EDGE


def lying(
    sheet: Sheet, bounds: Box, room: SheetRoom | None = None, widest: int = 950, highest: int = 848
) -> tuple[ClothView, int]:
    """As `alone`, of what lies in a box, wherever that is."""
    left, top, right, bottom = bounds
    view, height = alone(sheet, (right - left, bottom - top), room, widest, highest)
    return view.shifted(-view.whole(left), -view.whole(top)), height


@dataclass(frozen=True)
class Two:
    """Two views at one scale, one after the other; the middle of the arrow between; and the drawing's height.

    `sign` is where a tool's picture has room beside that arrow, where the gap is wide enough.
    """

    before: ClothView
    after: ClothView
    sign: Spot
    height: int


def two(
    sheet: Sheet,
    first: Size,
    second: Size,
    own: SheetRoom | None = None,
    other: SheetRoom | None = None,
    gap: int = GAP,
) -> Two:
    """Two pictures, with `own` and `other` room around them, beside or below one another, whichever is larger."""
    rooms = own or SheetRoom(), other or SheetRoom()
    across = sheet.width - 2 * EDGE - rooms[0].across - rooms[1].across - gap
    down = HIGHEST - 2 * EDGE - max(rooms[0].down, rooms[1].down)
    beside = largest_scale((across, min(down, 560)), (first[0] + second[0], max(first[1], second[1])))
    down = HIGHEST - 2 * EDGE - rooms[0].down - rooms[1].down - gap
    below = min(
        largest_scale((sheet.width - 2 * EDGE - room.across, down), (size[0], first[1] + second[1]))
        for size, room in zip((first, second), rooms, strict=True)
    )
    if beside >= below:
        return _beside(sheet, (first, second), rooms, beside, gap)
    return _below(sheet, (first, second), rooms, below, gap)


def _beside(
    sheet: Sheet, sizes: tuple[Size, Size], rooms: tuple[SheetRoom, SheetRoom], scale: Fraction, gap: int
) -> Two:
    own, other = rooms
    widths, heights = [floor(size[0] * scale) for size in sizes], [floor(size[1] * scale) for size in sizes]
    spare = sheet.width - sum(widths) - own.across - other.across - gap
    left = spare // 2 + own.left
    middle = EDGE + max(own.top + heights[0] // 2, other.top + heights[1] // 2)
    right = left + widths[0] + own.right + gap + other.left
    arrow = (left + widths[0] + own.right + gap // 2, middle)
    then(sheet, arrow, downward=False)
    tops = [middle - height // 2 for height in heights]
    height = max(top + high + room.bottom for top, high, room in zip(tops, heights, rooms, strict=True)) + EDGE
    sign = arrow[0], arrow[1] - 96
    return Two(ClothView(sheet, scale, left, tops[0]), ClothView(sheet, scale, right, tops[1]), sign, height)


def _below(
    sheet: Sheet, sizes: tuple[Size, Size], rooms: tuple[SheetRoom, SheetRoom], scale: Fraction, gap: int
) -> Two:
    own, other = rooms
    widths, heights = [floor(size[0] * scale) for size in sizes], [floor(size[1] * scale) for size in sizes]
    lefts = [(sheet.width - width - room.across) // 2 + room.left for width, room in zip(widths, rooms, strict=True)]
    top = EDGE + own.top
    arrow = (sheet.width // 2, top + heights[0] + own.bottom + gap // 2)
    low = arrow[1] + gap // 2 + other.top
    then(sheet, arrow, downward=True)
    views = ClothView(sheet, scale, lefts[0], top), ClothView(sheet, scale, lefts[1], low)
    return Two(*views, (arrow[0] - 120, arrow[1]), low + heights[1] + other.bottom + EDGE)
