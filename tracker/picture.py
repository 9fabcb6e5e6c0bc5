"""A block's picture as text: lines of cells into a grid of Cells with spans, and back."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from tracker.plan import Block, Cell, Quarters
from tracker.problems import counted, either

MOST_ROWS = 64
MOST_COLUMNS = 64

_KEY = "[A-Za-z][A-Za-z0-9]*"
_ONE = re.compile(f"({_KEY})")
_TWO = re.compile(rf"({_KEY})([/\\])({_KEY})")
_FOUR = re.compile(":".join([f"({_KEY})"] * 4))
_PAIR = re.compile(f"({_KEY})[:|]({_KEY})")

Place = tuple[int, int]
"""(row, column) of a picture, from 0."""


@dataclass(frozen=True)
class Fault:
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
    faults: tuple[Fault, ...]
    lines: tuple[int, ...]


def read_picture(text: str, fabrics: Collection[str]) -> Drawing:
    """The cells drawn in `text`: a line a row, cells parted by blanks, empty lines above and below left out.

    `fabrics` are the known keys. `<` continues the patch on its left, `^` the one above.
    """
    lines, grid = _grid(text)
    faults = list(_shape_faults(grid))
    width = len(grid[0]) if grid else 0
    if any(fault.kind in ("no rows", "too many rows", "too many cells") for fault in faults):
        return Drawing(len(grid), width, (), tuple(faults), lines)
    quarters: dict[Place, Quarters] = {}
    for row, tokens in enumerate(grid):
        for column, token in enumerate(tokens):
            if token not in ("<", "^"):
                found = read_cell(token, fabrics)
                if isinstance(found, Fault):
                    faults.append(Fault(found.kind, row, column, found.read, found.right))
                else:
                    quarters[row, column] = found
    owners, span_faults = _owners(grid)
    faults.extend(span_faults)
    cells, shape_faults = _cells(grid, owners, quarters, bool(faults))
    return Drawing(len(grid), width, cells, (*faults, *shape_faults), lines)


def _grid(text: str) -> tuple[tuple[int, ...], list[list[str]]]:
    """Line numbers and tokens of each row; one more row than can be is enough to tell that there are too many."""
    numbered = [(number, line.split()) for number, line in enumerate(text.split("\n"))]
    filled = [number for number, tokens in numbered if tokens]
    if not filled:
        return (), []
    rows = numbered[filled[0] : filled[-1] + 1]
    return tuple(number for number, _ in rows), [tokens for _, tokens in rows]


def _shape_faults(grid: Sequence[Sequence[str]]) -> Iterator[Fault]:
    if not grid:
        yield Fault("no rows", None)
        return
    if len(grid) > MOST_ROWS:
        yield Fault("too many rows", MOST_ROWS, None, str(len(grid)), f"at most {MOST_ROWS}")
        return
    width = len(grid[0])
    for row, tokens in enumerate(grid):
        if len(tokens) > MOST_COLUMNS:
            yield Fault("too many cells", row, None, str(len(tokens)), f"at most {MOST_COLUMNS}")
        elif not tokens:
            yield Fault("blank row", row, None, "", str(width))
        elif len(tokens) != width:
            yield Fault("ragged", row, None, counted(len(tokens), "cell"), str(width))


def read_cell(token: str, fabrics: Collection[str]) -> Quarters | Fault:
    r"""The quarters of `S`, `A/B` (A above left), `A\B` (A below left) or `A:B:C:D` (clockwise from the top).

    A Fault has no place in it; the caller knows it.
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
        return Fault("which diagonal", None, None, token, either((f"{a}/{b}", f"{a}\\{b}")))
    else:
        return Fault("cell", None, None, token)
    for key in keys:
        if key not in fabrics:
            return unknown("unknown cloth", "no such cloth", key, fabrics)
    if len(keys) > 1 and len(set(keys)) == 1:
        return Fault("alike", None, None, token, keys[0])
    return quarters


def unknown(near_kind: str, far_kind: str, read: str, known: Collection[str]) -> Fault:
    """The fault of a name that is not known: the nearest known one as what is right, or else all of them."""
    near = nearest_word(read, known)
    return Fault(near_kind if near else far_kind, None, None, read, near or either(tuple(known)) or "none")


def nearest_word(read: str, known: Collection[str]) -> str:
    """The known word most like the one read, or an empty text where none is like it."""
    if len(read) > 60:
        return ""
    for word in known:
        if word.lower() == read.lower():
            return word
    return next(iter(difflib.get_close_matches(read, known, 1, 0.6)), "")


def _owners(grid: Sequence[Sequence[str]]) -> tuple[dict[Place, Place], list[Fault]]:
    """For each place the place where its patch begins, as `<` and `^` say."""
    owners: dict[Place, Place] = {}
    faults = []
    for row, tokens in enumerate(grid):
        for column, token in enumerate(tokens):
            before = (row, column - 1) if token == "<" else (row - 1, column) if token == "^" else None
            if before is None:
                owners[row, column] = (row, column)
            elif before[0] < 0 or before[1] < 0:
                faults.append(Fault("nothing left" if token == "<" else "nothing above", row, column, token))
            elif before in owners:
                owners[row, column] = owners[before]
    return owners, faults


def _cells(
    grid: Sequence[Sequence[str]],
    owners: dict[Place, Place],
    quarters: dict[Place, Quarters],
    faulty: bool,
) -> tuple[tuple[Cell, ...], list[Fault]]:
    """The cells in reading order, and the patches that are no rectangles (not looked for in a faulty grid)."""
    places: dict[Place, list[Place]] = {}
    for place, head in owners.items():
        places.setdefault(head, []).append(place)
    cells, faults = [], []
    for (row, column), own in places.items():
        bottom = max(r for r, _ in own)
        right = max(c for _, c in own)
        inside = [(r, c) for r in range(row, bottom + 1) for c in range(column, right + 1)]
        foreign = [place for place in inside if owners.get(place) != (row, column)]
        if foreign and not faulty:
            r, c = foreign[0]
            faults.append(Fault("not a rectangle", row, column, grid[row][column], f"row {r + 1}, cell {c + 1} too"))
        if (row, column) in quarters:
            down, across = bottom - row + 1, right - column + 1
            cells.append(Cell(row, column, quarters[row, column], down, across))
    return tuple(cells), faults


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
    grid = [["" for _ in block.columns] for _ in block.rows]
    for cell in block.cells:
        for row in range(cell.row, cell.row + cell.down):
            for column in range(cell.column, cell.column + cell.across):
                grid[row][column] = "<" if column > cell.column else "^"
        grid[cell.row][cell.column] = write_cell(cell.quarters)
    widths = [max(len(row[column]) for row in grid) for column in range(len(block.columns))]
    lines = ("  ".join(token.ljust(width) for token, width in zip(row, widths, strict=True)) for row in grid)
    return "".join(line.rstrip() + "\n" for line in lines)
