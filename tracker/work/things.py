"""What lies on a pile, as data: what it is, how far it has come. Words are made from this, and never read back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from tracker.plan.border_strips import ENDS as ENDS
from tracker.plan.border_strips import SIDES as SIDES

INNER = "inner half-square triangle"
"""A half-square triangle that goes into another unit."""

SMALL_TRIANGLE, LARGE_TRIANGLE, PIECED_TRIANGLE = "small triangle", "large triangle", "pieced triangle"
"""Loose triangles: cut from squares cut twice and once, and several pieces sewn to one."""

BONUS = "bonus half-square"
"""What is sewn of the corners that are cut off where squares are flipped."""

TRIANGLE, PIECED_STRIP = "triangle", "pieced strip"
"""Of a half that is pieced: triangles cut from squares cut once, and rows that end in one."""

INNER_SQUARE, PATCHWORK = "inner square", "patchwork square"
"""Of nested squares: the first round with what is in it, and a middle of several patches."""

HALVES, NESTED, BAND = "pieced half-square", "nested square", "diagonal band"
STOOD = "four-patch on point"
QUARTER, NINE_PATCH, NINE_PATCH_ROW = "quarter of a nine-patch", "nine-patch", "row of a nine-patch"
ON_POINT, PART_ON_POINT = "on-point patchwork", "pieced part"
"""Units that are made whole only where a block says so; and several patches of the last, sewn upright."""

DIAMOND, DIAMOND_PAIR, HALF_STAR, STAR = "diamond", "pair of diamonds", "half star", "star of diamonds"

LONG_TRIANGLE = "long triangle"
"""Half of a rectangle cut along a slanting line, its ends a little blunt."""

FALLING, RISING = "falling", "rising"
"""The two hands of what is made of rectangles: how the seam runs, from the left, when the longer side lies across."""

TALL_TRIANGLE = "tall triangle"
"""The middle of a unit that comes to a point, cut to the middle of an edge."""

POINTED_SQUARE, POINTED_OBLONG = "triangle in a square", "triangle in a rectangle"
HALF_RECTANGLE = "half-rectangle triangle"
HALF_SQUARE, QUARTER_SQUARE, SPLIT = "half-square triangle", "quarter-square triangle", "split quarter-square triangle"
GOOSE, IN_SQUARE, SNOWBALL, STRIP_SET = "flying goose", "square in a square", "snowball", "strip set"
"""Units that have checks of their own: what `of` says of them."""


class Kind(Enum):
    """What a thing is. The value is its plain name, where nothing else has to be said of it."""

    # Cloth as it is cut; `of` is its use.
    SQUARE = "square"
    RECTANGLE = "rectangle"
    STRIP = "strip"
    PANEL = "panel"
    # Units; `of` is the recipe's name for them.
    UNIT = "unit"
    BEGUN = "begun unit"
    TRIANGLE = "triangle"
    # Blocks. Of a block `number` counts the frames that are sewn on, or begun: then `side` says how far.
    PART = "part of a block"
    BLOCK = "block"
    FRAME_STRIP = "strip of a frame"
    # The quilt. A row has a `number` of its own kind; of rows joined it is that of the last row of blocks.
    PLACED = "block in its place"
    ROW_BLOCK = "block of a row"
    ROW = "row"
    SASHES = "sashes"
    CORNER_ROW = "corner"
    ROWS = "rows"
    SASH = "sash"
    CORNERSTONE = "cornerstone"
    SIDE_TRIANGLE = "side triangle"
    CORNER_TRIANGLE = "corner triangle"
    # Tops have a `number` of borders. A border strip has the number of its border.
    TOP = "top"
    BORDERED = "top with a border"
    BORDER_STRIP = "border strip"
    CORNERED_STRIP = "border strip with cornerstones"
    PIECED_STRIP = "pieced border strip"
    STRIP_PIECE = "piece of a border"
    MITRED = "top with a mitred border"
    LONG_STRIP = "long strip"
    CUT_STRIP = "strip cut from a long one"
    BINDING = "binding"
    BACKING = "backing"
    QUILT = "quilt"


PATCHES = frozenset({Kind.SQUARE, Kind.RECTANGLE, Kind.STRIP, Kind.PANEL})
"""Cloth as it is cut."""

OF_BLOCKS = frozenset({Kind.PART, Kind.BLOCK})
OF_UNITS = frozenset({Kind.UNIT, Kind.BEGUN, Kind.TRIANGLE})


class Stage(Enum):
    """How far a pile has come. The value is what people say, and what stands in ids."""

    CUT = "cut"
    MARKED = "marked"
    SET_OUT = "set out"
    PAIRED = "paired"
    SEWN = "sewn"
    CUT_APART = "cut apart"
    CUT_ACROSS = "cut across"
    PRESSED = "pressed"
    TRIMMED = "trimmed"
    LAID_OUT = "laid out"
    PINNED = "pinned"
    JOINED = "joined"
    SQUARED = "squared"
    IN_PLACE = "in place"
    LEVEL = "level"
    MEASURED = "measured"
    CUT_TO_LENGTH = "cut to length"
    LAYERED = "layered"
    QUILTED = "quilted"
    BOUND = "bound"


@dataclass(frozen=True)
class Thing:
    """What a piece is: its kind, and what tells it from others of the kind.

    A part of a block is the unit at a `cell` (row and column from 1), or lies in `lines`, from the block inward: the
    second row is ("down", 2), its first column ("across", 1), the first side round a middle ("round", 1) and the middle
    ("round", 0); of it only the `first` so many of a direction where no
    more is joined yet. `more` is what rows joined have with them: sashes and their number, or corners and how many.
    """

    kind: Kind
    number: int = 0
    side: str = ""
    of: str = ""
    cell: tuple[int, int] | None = None
    lines: tuple[tuple[str, int], ...] = ()
    first: tuple[str, int] | None = None
    more: tuple[Kind, int] | None = None

    @property
    def is_patch(self) -> bool:
        """Whether it is cloth as it was cut."""
        return self.kind in PATCHES

    @property
    def is_row_of_block(self) -> bool:
        """Whether it is a whole row of a block."""
        return self.line_of_block == "row"

    @property
    def line_of_block(self) -> str:
        """`row` or `column`, where it is a whole one of a block; else nothing."""
        whole = self.first is None and len(self.lines) == 1
        return _LINE[self.lines[0][0]] if whole else ""

    @property
    def is_in_row_of_block(self) -> bool:
        """Whether it is a row of a block, or joined within one."""
        return bool(self.lines) and self.lines[0][0] == "down"

    @property
    def of_the_quilt(self) -> bool:
        """Whether it is made of whole blocks, or for them: cloth apart."""
        return not (self.is_patch or self.kind in OF_BLOCKS or self.kind in OF_UNITS)

    @property
    def name(self) -> str:
        """What it is called, in lists for machines and in ids too: r2c3, row 2, rows 1 to 3, border 1 strip, sides."""
        says = _NAMES.get(self.kind)
        return self.kind.value if says is None else says(self)


def unit_at(row: int, column: int) -> Thing:
    """The unit of a block with this top-left cell, rows and columns counted from 1."""
    return Thing(Kind.PART, cell=(row, column))


def in_lines(*lines: tuple[str, int]) -> Thing:
    """What lies in these lines of a block, from the block inward; the block where there are none."""
    return Thing(Kind.PART, lines=lines) if lines else Thing(Kind.BLOCK)


def _part(thing: Thing) -> str:
    if thing.cell is not None:
        return f"r{thing.cell[0]}c{thing.cell[1]}"
    lines = [f"{_LINE[line]} {number}" if number else "middle" for line, number in thing.lines]
    said = [" ".join(lines)] if lines else []
    if thing.first is not None:
        line, number = thing.first
        said.append(f"{_LINE[line]}{'s 1 to' if number > 1 else ''} {number}")
    return ", ".join(said)


_LINE = {"down": "row", "across": "column", "round": "side"}


def _rows(thing: Thing) -> str:
    name = f"rows 1 to {thing.number}" if thing.number > 1 else "row 1"
    if thing.more is None:
        return name
    kind, number = thing.more
    if kind is Kind.SASHES:
        return f"{name} with sashes {number}"
    return f"{name} with {'both corners' if number == 2 else 'a corner'}"


def _numbered(thing: Thing) -> str:
    return f"{thing.kind.value} {thing.number}"


def _border_strip(thing: Thing) -> str:
    if not thing.number:
        return f"{thing.side} border strip".strip()
    return f"border {thing.number} strip, {thing.side}"


_NAMES: Mapping[Kind, Callable[[Thing], str]] = {
    Kind.UNIT: lambda thing: f"{thing.side} {thing.of}".strip(),
    Kind.BEGUN: lambda thing: f"half-made {thing.of}",
    Kind.TRIANGLE: lambda thing: (
        f"{thing.side} {thing.of}".strip()
        if thing.of in (BONUS, SMALL_TRIANGLE, LARGE_TRIANGLE, LONG_TRIANGLE, TALL_TRIANGLE, DIAMOND)
        else thing.kind.value
    ),
    Kind.PART: _part,
    Kind.PANEL: lambda thing: f"panel {thing.number}" if thing.number else "panel",
    Kind.FRAME_STRIP: lambda thing: f"{thing.side} strip",
    Kind.PLACED: lambda thing: f"block {thing.number}",
    Kind.ROW_BLOCK: lambda thing: f"block of row {thing.number}",
    Kind.ROW: _numbered,
    Kind.SASHES: _numbered,
    Kind.CORNER_ROW: _numbered,
    Kind.ROWS: _rows,
    Kind.CORNERSTONE: lambda thing: f"{thing.side} cornerstone".strip(),
    Kind.BORDERED: lambda thing: f"top with {f'the {thing.side} of ' if thing.side else ''}border {thing.number}",
    Kind.BORDER_STRIP: _border_strip,
    Kind.MITRED: lambda thing: f"top with mitred border {thing.number}",
    Kind.PIECED_STRIP: lambda thing: f"pieced strip of border {thing.number}, {thing.side}",
    Kind.STRIP_PIECE: _numbered,
    Kind.CORNERED_STRIP: lambda thing: f"border {thing.number} strip with cornerstones",
    Kind.LONG_STRIP: lambda thing: f"long {thing.of} strip",
    Kind.CUT_STRIP: lambda thing: f"{thing.of} strip",
}
"""Names of kinds that say more than the kind."""
