"""Nine-patches that are sewn, cut in four through the middle and sewn again: what comes of one, exactly.

Each quarter has a corner patch whole, two sides and the middle cut through: half a patch less the new allowance.
"""

from __future__ import annotations

from dataclasses import replace

from tracker.exact.measure import Measure
from tracker.plan.model import AsDrawn, Block, Cell, Quarters

Corners = tuple[tuple[int, int], tuple[int, int]]
TO_THE_CORNER: Corners = ((0, 90), (270, 180))
"""The turn, clockwise, that brings a quarter whose corner patch is up left to where it lies in the nine-patch."""

Shown = tuple[tuple[Quarters, Quarters], tuple[Quarters, Quarters]]


def is_nine_patch(block: Block) -> bool:
    """Whether a block is nine square patches, the corners of one cloth, the sides of another, the middle not of the
    sides': so that its four quarters show the same."""
    sides = {*block.columns, *block.rows}
    if len(sides) != 1 or len(block.columns) != 3 or len(block.rows) != 3 or len(block.cells) != 9:
        return False
    if not all(cell.is_plain for cell in block.cells):
        return False
    cloths = [cell.quarters[0] for cell in block.cells]
    corners, edges = {cloths[at] for at in (0, 2, 6, 8)}, {cloths[at] for at in (1, 3, 5, 7)}
    return len(corners) == len(edges) == 1 and not edges & {*corners, cloths[4]}


def cut_through(side: Measure, seam: Measure) -> Measure:
    """What is left, finished, of a patch of that finished side that is cut through the middle."""
    return side / 2 - seam


def quarter_of(block: Block) -> Shown:
    """What a quarter of a nine-patch shows, the corner patch up left."""
    corner, edge, middle = (block.cells[at].quarters for at in (0, 1, 4))
    return (corner, edge), (edge, middle)


def after_cutting(block: Block, seam: Measure) -> Block:
    """The block that comes of a nine-patch whose quarters are turned as it says."""
    side = block.columns[0]
    rest = cut_through(side, seam)
    total = lies_turned(block)
    columns = [_lines(side, rest, [total[row][half] in (0, 270) for row in (0, 1)]) for half in (0, 1)]
    rows = [_lines(side, rest, [total[half][column] in (0, 90) for column in (0, 1)]) for half in (0, 1)]
    cells: list[Cell] = []
    for row in (0, 1):
        for column in (0, 1):
            across = _spans(columns[column], side if total[row][column] in (0, 270) else rest)
            down = _spans(rows[row], side if total[row][column] in (0, 90) else rest)
            start = len(columns[0]) * column, len(rows[0]) * row
            shown = turned_shown(quarter_of(block), total[row][column])
            for y, (upper, high) in enumerate(down):
                for x, (left, wide) in enumerate(across):
                    cells.append(Cell(start[1] + upper, start[0] + left, shown[y][x], high, wide))
    return replace(
        block,
        columns=(*columns[0], *columns[1]),
        rows=(*rows[0], *rows[1]),
        cells=tuple(sorted(cells, key=lambda cell: (cell.row, cell.column))),
        before=AsDrawn(side, block.cells),
    )


def lies_turned(block: Block) -> Corners:
    """How far each quarter is turned, of rows from the top, against one whose corner patch is up left."""
    (a, b), (c, d) = (
        tuple((TO_THE_CORNER[row][column] + block.cut_up[row][column]) % 360 for column in (0, 1)) for row in (0, 1)
    )
    return (a, b), (c, d)


def turned_shown(shown: Shown, turn: int) -> Shown:
    """Four plain patches after a clockwise turn."""
    for _ in range(turn // 90):
        (a, b), (c, d) = shown
        shown = (c, a), (d, b)
    return shown


def _lines(side: Measure, rest: Measure, whole_first: list[bool]) -> tuple[Measure, ...]:
    """The widths of the columns (or rows) of two quarters, of which either may have its whole patch first."""
    if len(set(whole_first)) == 1:
        return (side, rest) if whole_first[0] else (rest, side)
    return rest, side - rest, rest


def _spans(lines: tuple[Measure, ...], first: Measure) -> list[tuple[int, int]]:
    """Where the two patches of a quarter begin among those lines, and how many each spans; `first` is the first's
    width."""
    count = 1 if lines[0] == first else 2
    return [(0, count), (count, len(lines) - count)]
