"""A region of a block's picture: a rectangle of cells, small enough to be one unit, that can be turned round."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from tracker.exact.geometry import ZERO
from tracker.exact.measure import Measure
from tracker.plan.model import Quarters
from tracker.work.steps import Size

TURNS = (0, 90, 180, 270)


def turned_quarters(quarters: Quarters, turn: int) -> Quarters:
    """A cell's quarters after a clockwise turn: what was on the left is then on top."""
    for _ in range(turn // 90):
        quarters = (quarters[3], quarters[0], quarters[1], quarters[2])
    return quarters


def mirrored_quarters(quarters: Quarters) -> Quarters:
    """A cell's quarters seen in a mirror, left and right changed."""
    top, right, bottom, left = quarters
    return top, left, bottom, right


def least_turn(quarters: Quarters) -> Quarters:
    """The rotation that comes first in the alphabet, by which like units are known."""
    return min(turned_quarters(quarters, turn) for turn in TURNS)


@dataclass(frozen=True)
class Region:
    """Finished column widths, row heights, and the quarters of each cell, row by row."""

    columns: tuple[Measure, ...]
    rows: tuple[Measure, ...]
    cells: tuple[tuple[Quarters, ...], ...]

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        # Regions are looked up again and again, and measuring one up takes as long as hundreds of look-ups.
        return hash((self.columns, self.rows, self.cells))

    @cached_property
    def finished(self) -> Size:
        """Finished (width, height)."""
        return sum(self.columns, ZERO), sum(self.rows, ZERO)

    @property
    def quarters(self) -> Quarters:
        """The quarters of a region of one cell."""
        return self.cells[0][0]

    @property
    def is_one_cell(self) -> bool:
        """Whether it is a single cell of the picture."""
        return len(self.columns) == 1 and len(self.rows) == 1

    @property
    def is_square(self) -> bool:
        """Whether it is as wide as high when finished."""
        width, height = self.finished
        return width == height

    def turned(self, turn: int) -> Region:
        """The region after a clockwise turn of 0, 90, 180 or 270 degrees."""
        region = self
        for _ in range(turn // 90):
            cells = tuple(
                tuple([(left, top, right, bottom) for top, right, bottom, left in column])
                for column in zip(*region.cells[::-1], strict=True)
            )
            region = Region(region.rows[::-1], region.columns, cells)
        return region

    def all_turns(self) -> tuple[Region, Region, Region, Region]:
        """The region itself, then after each quarter turn clockwise."""
        return self, *self._turned

    @property
    def comes_first(self) -> bool:
        """Whether it is the one of its rotations that comes first in the alphabet."""
        return self.cells == min(turned.cells for turned in self.all_turns())

    @cached_property
    def least(self) -> Region:
        """The rotation that stands for all four."""
        return min(self.all_turns(), key=lambda r: (r.columns, r.rows, r.cells))

    def mirrored(self) -> Region:
        """The region seen in a mirror, left and right changed."""
        cells = tuple(tuple(map(mirrored_quarters, row[::-1])) for row in self.cells)
        return Region(self.columns[::-1], self.rows, cells)

    @cached_property
    def _turned(self) -> tuple[Region, Region, Region]:
        once = self.turned(90)
        twice = once.turned(90)
        return once, twice, twice.turned(90)

    def all_quarters(self) -> Iterator[Quarters]:
        """The quarters of every cell, in reading order."""
        for row in self.cells:
            yield from row

    def cloths(self) -> tuple[str, ...]:
        """Every cloth in it, in reading order, each once."""
        return cloths_in(self.cells)


def cloths_in(cells: Iterable[Iterable[Quarters]]) -> tuple[str, ...]:
    """Every cloth in rows of cells, in reading order, each once."""
    return tuple(dict.fromkeys(key for row in cells for quarters in row for key in quarters))
