"""What a block's layout should show, cell by cell: its pieces as a step lays them out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.exact.geometry import XY, Polygon
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Block, Plan, Quarters
from tracker.seeing.layout_check import LaidPiece, Shown
from tracker.work.steps import Checklist, LayOut, Size, Step

_MIDDLES = ((0, -2), (2, 0), (0, 2), (-2, 0))
"""Where a quarter's middle lies from that of its cell, across and down, in sixths of its side."""


@dataclass(frozen=True)
class CellGrid:
    """The cells of a layout: the lines between them across and down, from 0, finished. On point they slant: `slanted`
    are where their upper left corner lies in the upright box whose corners are marked in a photo, and its size."""

    across: Sequence[Measure]
    down: Sequence[Measure]
    slanted: tuple[XY, Size] | None = None

    @property
    def marked(self) -> Size:
        """The size of what is marked in a photo by its corners."""
        return (self.across[-1], self.down[-1]) if self.slanted is None else self.slanted[1]

    def hanging(self, point: XY) -> XY:
        """Where a place between the lines lies in what is marked."""
        if self.slanted is None:
            return point
        (left, top), (x, y) = self.slanted[0], point
        return left + (x - y) / ROOT2, top + (x + y) / ROOT2

    def cells(self, row: int, column: int, down: int, across: int) -> Polygon:
        """The corners of so many cells as they hang, from their own upper left one on."""
        left, right = self.across[column], self.across[column + across]
        top, below = self.down[row], self.down[row + down]
        return tuple(self.hanging(corner) for corner in ((left, top), (right, top), (right, below), (left, below)))


def grid_of(block: Block) -> Shown:
    """What every place of a block's picture shows, patches over several places cut up."""
    grid: dict[tuple[int, int], Quarters] = {}
    for cell in block.cells:
        for down in range(cell.down):
            for across in range(cell.across):
                found = [_shown(cell.quarters, cell.down, cell.across, down, across, each) for each in range(4)]
                grid[cell.row + down, cell.column + across] = found[0], found[1], found[2], found[3]
    return tuple(tuple(grid[row, column] for column in range(len(block.columns))) for row in range(len(block.rows)))


def _shown(quarters: Quarters, high: int, wide: int, down: int, across: int, number: int) -> str:
    """The cloth in the middle of a place's quarter, in a patch of so many places."""
    right, below = _MIDDLES[number]
    x = (6 * across + 3 + right) * high * 2 - 6 * wide * high
    y = (6 * down + 3 + below) * wide * 2 - 6 * wide * high
    if abs(y) >= abs(x):
        return quarters[0 if y < 0 else 2]
    return quarters[1 if x > 0 else 3]


def laid_pieces(plan: Plan, checklist: Checklist, step: Step) -> tuple[LaidPiece, ...]:
    """The pieces that a step of laying out lays, in its order. ValueError for any other step."""
    if not isinstance(step.action, LayOut) or step.per not in plan.blocks:
        raise ValueError(f"{step.id} lays out no block")
    block = plan.blocks[step.per]
    grid = grid_of(block)
    found = []
    for place in step.action.places:
        size = checklist.piles[place.pile].size
        assert size is not None, place.pile
        width, height = (size[0] - 2 * plan.seam, size[1] - 2 * plan.seam)
        if place.turn % 180:
            width, height = height, width
        across = _places(block.columns, place.column, width)
        down = _places(block.rows, place.row, height)
        shown = tuple(row[place.column : place.column + across] for row in grid[place.row : place.row + down])
        found.append(LaidPiece(place.row, place.column, shown))
    return tuple(found)


def _places(sizes: Sequence[Measure], first: int, whole: Measure) -> int:
    """How many places from the first one a finished length fills."""
    reached, number = sizes[first], 1
    while reached < whole:
        reached, number = reached + sizes[first + number], number + 1
    return number


def lines_of(block: Block) -> CellGrid:
    """The cells of a block, without its frames."""
    return CellGrid(added_up(block.columns), added_up(block.rows))


def added_up(sizes: Sequence[Measure]) -> list[Measure]:
    """The lines between so large cells, from 0."""
    lines = [Measure()]
    for size in sizes:
        lines.append(lines[-1] + size)
    return lines
