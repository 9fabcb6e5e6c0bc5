"""A block's picture as text: lines of cells into a grid of Cells with spans, and back."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, product
from typing import Protocol

from tracker.exact.measure import Measure
from tracker.plan.model import Block, Cell, Quarters
from tracker.plan.problems import counted, either, unknown

MOST_ROWS = 64
MOST_COLUMNS = 64

_KEY = "[A-Za-z][A-Za-z0-9]*"
_ONE = re.compile(f"({_KEY})")
_TWO = re.compile(rf"({_KEY})([/\\])({_KEY})")
_FOUR = re.compile(":".join([f"({_KEY})"] * 4))
_STROKES = "/\\:|"
_PAIR = re.compile(f"({_KEY})[:|]({_KEY})")

Place = tuple[int, int]
"""(row, column) of a picture, from 0."""


class Rectangle(Protocol):
    """What covers places of a picture: from its top-left one (`row`, `column`) so many `down` and `across`."""

    @property
    def row(self) -> int: ...
    @property
    def column(self) -> int: ...
    @property
    def down(self) -> int: ...
    @property
    def across(self) -> int: ...


def covered(part: Rectangle) -> Iterator[Place]:
    """The places that it covers, in reading order."""
    rows = range(part.row, part.row + part.down)
    return product(rows, range(part.column, part.column + part.across))


def clear_of_seams(block: Block, size: Measure, seam: Measure) -> Measure:
    """The least width, unfinished, from this one on, that a block can be squared to with no edge between patches within
    a seam's width of where it is sewn: it would lie in the seam."""
    whole, ways = block.inner_finished[0] + 2 * seam, (block.columns, block.rows)
    lines = {line for way in ways for sides in (way, way[::-1]) for line in accumulate(sides)}
    while size < whole and (near := [line for line in lines if abs(whole - size - 2 * line) < 2 * seam]):
        size = whole - 2 * (min(near) - seam)
    return min(size, whole)


@dataclass(frozen=True)
class PictureFault:
    """What is wrong at a place of a picture (from 0; `column` None: the whole row; `row` None: the whole picture)."""

    kind: str
    row: int | None
    column: int | None = None
    read: str = ""
    right: str = ""


@dataclass(frozen=True)
class Drawing:
    """A picture as it was read: its size in places, its cells in reading order, and its faults.

    `lines[r]` is the line of the text (from 0) that holds row r. Where there are faults the cells may be incomplete.
    """

    rows: int
    columns: int
    cells: tuple[Cell, ...]
    faults: tuple[PictureFault, ...]
    lines: tuple[int, ...]


def read_picture(text: str, fabrics: Collection[str]) -> Drawing:
    """The cells drawn in `text`: a line a row, cells parted by blanks, empty lines above and below left out.

    `fabrics` are the known keys. `<` continues the patch on its left, `^` the one above.
    """
    lines, grid, number = _grid(text)
    faults = [*_writing_faults(grid)]
    torn = {fault.row for fault in faults if fault.kind == "torn cell"}
    width = next((len(tokens) for row, tokens in enumerate(grid) if row not in torn and tokens), 0)
    faults += _shape_faults(grid, number, width, torn)
    if any(fault.kind in ("no rows", "too many rows", "too many cells") for fault in faults):
        return Drawing(number, width, (), tuple(faults), lines)
    quarters: dict[Place, Quarters] = {}
    faults += _read_cells([() if row in torn else tokens for row, tokens in enumerate(grid)], fabrics, quarters)
    patches, span_faults = _patches(grid)
    faults += span_faults
    if not faults:
        faults += _odd_shapes(grid, patches)
    cells = tuple(
        Cell(*head, quarters[head], places[-1][0] - head[0] + 1, places[-1][1] - head[1] + 1)
        for head, places in patches.items()
        if head in quarters
    )
    return Drawing(number, width, cells, tuple(faults), lines)


def _writing_faults(grid: list[list[str]]) -> Iterator[PictureFault]:
    """Cells with blanks in them, one to a row, and remarks, which are taken out of the grid."""
    for row, tokens in enumerate(grid):
        remark = next((column for column, token in enumerate(tokens) if token[0] == "#"), None)
        if remark is not None:
            yield PictureFault("remark", row, remark, " ".join(tokens[remark:]))
            del tokens[remark:]
        torn = [column for column, token in enumerate(tokens) if token[0] in _STROKES or token[-1] in _STROKES]
        if torn:
            yield PictureFault("torn cell", row, torn[0], " ".join(tokens[max(torn[0] - 1, 0) : torn[0] + 2]))


def _read_cells(
    grid: Sequence[Sequence[str]], fabrics: Collection[str], quarters: dict[Place, Quarters]
) -> Iterator[PictureFault]:
    """Put the quarters of each place that begins a cell into `quarters`; give the cells that cannot be read."""
    known: dict[str, Quarters | PictureFault] = {}
    for row, tokens in enumerate(grid):
        for column, token in enumerate(tokens):
            if token in ("<", "^"):
                continue
            found = known.get(token)
            if found is None:
                found = known[token] = read_cell(token, fabrics)
            if isinstance(found, PictureFault):
                yield replace(found, row=row, column=column)
            else:
                quarters[row, column] = found


def _grid(text: str) -> tuple[tuple[int, ...], list[list[str]], int]:
    """Line number and tokens of each row (none of them where there are too many), and how many rows there are."""
    above = len(text) - len(text.lstrip())
    first = text.count("\n", 0, above)
    body = text.strip()
    number = body.count("\n") + 1 if body else 0
    if number > MOST_ROWS:
        return tuple(range(first, first + MOST_ROWS + 1)), [], number
    return tuple(range(first, first + number)), [line.split() for line in body.split("\n")[:number]], number


def _shape_faults(
    grid: Sequence[Sequence[str]], number: int, width: int, torn: Collection[int | None]
) -> Iterator[PictureFault]:
    """Whether there are rows, not too many, and all as wide as the first (torn ones cannot be counted)."""
    if number == 0:
        yield PictureFault("no rows", None)
    if number > MOST_ROWS:
        yield PictureFault("too many rows", MOST_ROWS, None, str(number), f"at most {MOST_ROWS}")
    for row, tokens in enumerate(grid):
        if row in torn:
            continue
        if len(tokens) > MOST_COLUMNS:
            yield PictureFault("too many cells", row, None, str(len(tokens)), f"at most {MOST_COLUMNS}")
        elif not tokens:
            yield PictureFault("blank row", row, None, "", str(width))
        elif len(tokens) != width <= MOST_COLUMNS:
            yield PictureFault("ragged", row, None, counted(len(tokens), "cell"), str(width))


def read_cell(token: str, fabrics: Collection[str]) -> Quarters | PictureFault:
    r"""The quarters of `S`, `A/B` (A above left), `A\B` (A below left) or `A:B:C:D` (clockwise from the top).

    `fabrics` are the known keys (none: any will do). A Fault has no place in it; the caller knows it.
    """
    if _ONE.fullmatch(token):
        keys = [token]
        quarters = (token, token, token, token)
    elif two := _TWO.fullmatch(token):
        a, stroke, b = two.groups()
        keys = [a, b]
        quarters = (a, b, b, a) if stroke == "/" else (b, b, a, a)
    elif four := _FOUR.fullmatch(token):
        a, b, c, d = keys = list(four.groups())
        quarters = (a, b, c, d)
    elif pair := _PAIR.fullmatch(token):
        a, b = pair.groups()
        return PictureFault("which diagonal", None, None, token, either((f"{a}/{b}", f"{a}\\{b}")))
    else:
        return PictureFault("cell", None, None, token)
    for key in keys:
        if fabrics and key not in fabrics:
            return _unknown_cloth(key, fabrics)
    if len(keys) > 1 and len(set(keys)) == 1:
        return PictureFault("alike", None, None, token, keys[0])
    return quarters


def _unknown_cloth(read: str, fabrics: Collection[str]) -> PictureFault:
    kind, near = unknown("cloth", read, fabrics)
    return PictureFault(kind, None, None, read, near)


def _patches(grid: Sequence[Sequence[str]]) -> tuple[dict[Place, list[Place]], list[PictureFault]]:
    """The places of each patch in reading order, by the place where it begins, as `<` and `^` say."""
    heads: dict[Place, Place] = {}
    patches: dict[Place, list[Place]] = {}
    faults = []
    for row, tokens in enumerate(grid):
        for column, token in enumerate(tokens):
            place = head = (row, column)
            if token in ("<", "^"):
                before = (row, column - 1) if token == "<" else (row - 1, column)
                if min(before) < 0:
                    faults.append(PictureFault("nothing left" if token == "<" else "nothing above", row, column, token))
                head = heads.get(before, place)
            heads[place] = head
            patches.setdefault(head, []).append(place)
    return patches, faults


def _odd_shapes(grid: Sequence[Sequence[str]], patches: dict[Place, list[Place]]) -> Iterator[PictureFault]:
    """The patches that are no rectangles, each with the first place that it would need."""
    for (row, column), places in patches.items():
        if len(places) == 1:
            continue
        bottom, right = places[-1][0], max(c for _, c in places)
        own = set(places)
        for r in range(row, bottom + 1):
            needed = [c for c in range(column, right + 1) if (r, c) not in own]
            if needed:
                right_too = f"row {r + 1}, cell {needed[0] + 1} too"
                yield PictureFault("not a rectangle", row, column, grid[row][column], right_too)
                break


def write_cell(quarters: Quarters) -> str:
    """The shortest text that `read_cell` reads as these quarters."""
    top, right, bottom, left = quarters
    if top == right == bottom == left:
        return top
    if top == left and right == bottom:
        return f"{top}/{right}"
    if top == right and bottom == left:
        return f"{bottom}\\{top}"
    return ":".join(quarters)


def write_picture(block: Block) -> str:
    """The block's picture, columns in line: text that `read_picture` reads as the same cells. Ends with a line end."""
    return aligned(picture_rows(block.cells, len(block.columns), len(block.rows)))


def picture_rows(cells: Iterable[Cell], columns: int, rows: int) -> list[list[str]]:
    """The cells of a picture as they are written, a list for each row."""
    grid = [["" for _ in range(columns)] for _ in range(rows)]
    for cell in cells:
        for row, column in covered(cell):
            grid[row][column] = "<" if column > cell.column else "^"
        grid[cell.row][cell.column] = write_cell(cell.quarters)
    return grid


def aligned(grid: Sequence[Sequence[str]]) -> str:
    """Rows of written cells as the lines of a picture, columns in line."""
    across = max((len(row) for row in grid), default=0)
    widths = [max((len(row[column]) for row in grid if column < len(row)), default=0) for column in range(across)]
    lines = ("  ".join(token.ljust(width) for token, width in zip(row, widths, strict=False)) for row in grid)
    return "".join(line.rstrip() + "\n" for line in lines)
