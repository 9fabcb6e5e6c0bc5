"""A square in two halves along its diagonal, as a picture shows it, and with how few patches each half is sewn.

A half begins with its first row or column, with a strip along its long edge, or is one triangle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from tracker.exact.measure import Measure
from tracker.plan.model import Plan, Quarters
from tracker.units.maker import token
from tracker.units.region import Region, cloths_in

ROW, COLUMN, SLANTING, WHOLE = "row", "column", "slanting", "whole"
"""How a half is begun: its first row or column by itself, a strip along its long edge, or all of it one triangle."""


@dataclass(frozen=True)
class Half:
    """The half of a region above its rising diagonal, the right angle upper left."""

    cells: tuple[tuple[Quarters, ...], ...]
    cell: Measure

    @classmethod
    def of(cls, region: Region) -> Half:
        """The upper left half of a square region of equal cells."""
        last = len(region.rows) - 1
        kept = tuple(tuple(row[: last - number + 1]) for number, row in enumerate(region.cells))
        # Of a cell on the diagonal only the upper left is of this half.
        ends = tuple((row[-1][0],) * 4 for row in kept)
        return cls(tuple((*row[:-1], end) for row, end in zip(kept, ends, strict=True)), region.columns[0])

    @property
    def count(self) -> int:
        """How many cells its short edges are long."""
        return len(self.cells)

    @cached_property
    def cloths(self) -> tuple[str, ...]:
        """Every cloth in it, each once."""
        return cloths_in(self.cells)

    @property
    def is_plain(self) -> bool:
        """Whether it is one cloth."""
        return len(self.cloths) == 1

    @cached_property
    def rest_below(self) -> Half:
        """What is left without the first row."""
        return Half(self.cells[1:], self.cell)

    @cached_property
    def rest_beside(self) -> Half:
        """What is left without the first column."""
        return Half(tuple(row[1:] for row in self.cells[:-1]), self.cell)

    @cached_property
    def rest_within(self) -> Half:
        """What is left without the strip along the long edge."""
        rows = self.cells[:-1]
        ends = tuple((row[-2][0],) * 4 for row in rows)
        return Half(tuple((*row[:-2], end) for row, end in zip(rows, ends, strict=True)), self.cell)

    @cached_property
    def slanting(self) -> tuple[str, ...]:
        """The triangles of the strip along the long edge, from its lower to its upper end, every other one outside."""
        found = [self.cells[-1][-1][0]]
        for row in reversed(self.cells[:-1]):
            found += [row[-2][2], row[-1][0]]
        return tuple(found)

    @cached_property
    def in_rows(self) -> tuple[int, str]:
        """(patches, how): how it is begun with fewest patches where its edges must be clean: by rows where it makes no
        difference."""
        if self.is_plain:
            return 1, WHOLE
        row = sum(count for _, count in runs(self.cells[0][:-1])) + 1
        column = sum(patches_shown(row[0]) for row in self.cells[:-1]) + 1
        ways = (row + self.rest_below.in_rows[0], ROW), (column + self.rest_beside.in_rows[0], COLUMN)
        return min(ways, key=lambda each: each[0])

    @cached_property
    def begun(self) -> tuple[int, str]:
        """The same for a whole half, where a strip along the long edge may save patches."""
        # A strip along the long edge has no cell inside that edge which another diagonal cuts.
        cut = any(row[-2][0] != row[-2][3] or row[-2][1] != row[-2][2] for row in self.cells[:-1])
        if self.is_plain or cut:
            return self.in_rows
        strip = 1 if len(set(self.slanting)) == 1 else len(self.slanting)
        return min(self.in_rows, (strip + self.rest_within.begun[0], SLANTING), key=lambda each: each[0])

    @cached_property
    def inner(self) -> tuple[Quarters, ...]:
        """The cells in it that are units by themselves, each as often as it is sewn."""
        return self.rest_within.inner if self.begun[1] == SLANTING else self._inner_in_rows

    @cached_property
    def _inner_in_rows(self) -> tuple[Quarters, ...]:
        _, how = self.in_rows
        if how == WHOLE:
            return ()
        rest = self.rest_below if how == ROW else self.rest_beside
        first = self.cells[0][:-1] if how == ROW else tuple(row[0] for row in self.cells[:-1])
        return (*(quarters for quarters in first if len(set(quarters)) > 1), *rest._inner_in_rows)

    @cached_property
    def text(self) -> str:
        """All of it in one text, for ids."""
        return text_of_cells(self.cells, self.cell)


def text_of_cells(cells: Sequence[Sequence[Quarters]], cell: Measure) -> str:
    """Rows of cells of one size in one text, for ids."""
    return f"{'|'.join(','.join(map(_cell_text, row)) for row in cells)}@{token(cell)}"


def _cell_text(quarters: Quarters) -> str:
    return quarters[0] if len(set(quarters)) == 1 else ":".join(quarters)


def patches_shown(quarters: Quarters) -> int:
    """How many patches a cell shows."""
    return sum(quarters[i] != quarters[i - 1] for i in range(4)) or 1


def runs(cells: tuple[Quarters, ...]) -> list[tuple[int, int]]:
    """Cells of a row as they are sewn, like plain neighbours as one: how many cells each takes, and its patches."""
    found: list[tuple[int, int]] = []
    for number, quarters in enumerate(cells):
        plain = len(set(quarters)) == 1
        if plain and number and cells[number - 1] == quarters:
            found[-1] = found[-1][0] + 1, 1
        else:
            found.append((1, 1 if plain else patches_shown(quarters)))
    return found


def fits_halves(region: Region, plan: Plan) -> bool:
    """A square of equal cells whose rising diagonal parts two halves, the upper left one pieced; where both are, the
    one of its two rotations that comes first."""
    if not on_equal_cells(region) or not is_parted(region):
        return False
    upper, lower = Half.of(region), Half.of(region.turned(180))
    if upper.is_plain:
        return False
    return lower.is_plain or region.cells <= region.turned(180).cells


def on_equal_cells(region: Region) -> bool:
    """Whether it is a square of several cells, all of one size."""
    return len(region.rows) == len(region.columns) > 1 and len({*region.rows, *region.columns}) == 1


def is_parted(region: Region) -> bool:
    """Whether its rising diagonal parts two cloths in every cell."""
    last = len(region.rows) - 1
    for number in range(last + 1):
        top, right, bottom, left = region.cells[number][last - number]
        if top != left or right != bottom or top == right:
            return False
    return True


def patches_of_halves(region: Region) -> int:
    """How many patches show."""
    upright = region if is_parted(region) else region.turned(90)
    return sum(Half.of(each).begun[0] for each in (upright, upright.turned(180)))


def inner_of_halves(region: Region, plan: Plan) -> tuple[Region, ...]:
    """The units of one cell that it is sewn of, each as often as it takes it."""
    side = region.columns[:1]
    halves = Half.of(region), Half.of(region.turned(180))
    return tuple(Region(side, side, ((quarters,),)) for half in halves for quarters in half.inner)
