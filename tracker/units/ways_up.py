"""The eight ways in which a block's picture may lie: turned by quarters, and the same seen in a mirror."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracker.plan.model import Block, Cell
from tracker.units.region import TURNS, mirrored_quarters, turned_quarters

Place = tuple[int, int, int, int]
"""A rectangle of cells: row, column, down, across."""


@dataclass(frozen=True)
class WayUp:
    """A way to lie: mirrored left to right or not, then turned clockwise."""

    mirrored: bool
    turn: int

    def block(self, block: Block) -> Block:
        """A block's picture as it lies so."""
        lines = len(block.rows), len(block.columns)
        cells = []
        for cell in block.cells:
            row, column, down, across = self.place((cell.row, cell.column, cell.down, cell.across), lines)
            quarters = mirrored_quarters(cell.quarters) if self.mirrored else cell.quarters
            cells.append(Cell(row, column, turned_quarters(quarters, self.turn), down, across))
        columns, rows = block.columns[::-1] if self.mirrored else block.columns, block.rows
        for _ in range(self.turn // 90):
            columns, rows = rows[::-1], columns
        ordered = tuple(sorted(cells, key=lambda cell: (cell.row, cell.column)))
        return replace(block, columns=columns, rows=rows, cells=ordered)

    def place(self, place: Place, lines: tuple[int, int]) -> Place:
        """Where a rectangle of a picture of so many (rows, columns) comes to lie."""
        (row, column, down, across), (height, width) = place, lines
        if self.mirrored:
            column = width - column - across
        for _ in range(self.turn // 90):
            row, column, down, across = column, height - row - down, across, down
            height, width = width, height
        return row, column, down, across


WAYS_UP = tuple(WayUp(mirrored, turn) for mirrored in (False, True) for turn in TURNS)
"""All eight; first as it is drawn."""
