"""Which squares of a block's picture are pieced on the diagonal as one unit, where the block asks for that."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from tracker.exact.measure import Measure
from tracker.plan.diamond_star import drawn_grid
from tracker.plan.model import Block, Cell, Quarters
from tracker.plan.picture import Place, covered
from tracker.units.larger_units import UnitArea, Weigh, each_its_own
from tracker.units.region import Region
from tracker.units.rounds import is_within, lines_round
from tracker.units.slicing import sliced

MOST_CELLS = 16
"""How many cells such a unit may be wide."""


def with_diagonals(block: Block, on_the_diagonal: Callable[[Region], int | None], weigh: Weigh) -> tuple[UnitArea, ...]:
    """The block cell by cell but for squares of cells that are fewer patches as one unit pieced on the diagonal.

    The largest first, then what saves most, then in reading order, as long as straight seams still join all.
    `on_the_diagonal` gives the patches of such a unit, None where none shows a region. A square of two cloths parted by
    one diagonal is one half-square.
    """
    chosen = {(area.row, area.column): area for area in each_its_own(block)}
    patches = {place: (weigh(area.region) or (0, 0))[1] for place, area in chosen.items()}
    found: list[tuple[int, int, UnitArea]] = []
    for square in _Squares(block).likely():
        area, count = square.area(on_the_diagonal), square.count
        saved = sum(patches.get(place, 0) for place in covered(square)) - (area[1] if area else 0)
        if area is not None and saved > 0:
            found.append((count, saved, area[0]))
    taken: set[Place] = set()
    for _, _, unit in sorted(found, key=lambda each: (-each[0], -each[1])):
        places = set(covered(unit))
        attempt = {place: own for place, own in chosen.items() if place not in places}
        attempt[unit.row, unit.column] = unit
        if not places & taken and sliced(list(attempt.values())) is not None:
            chosen = attempt
            taken |= places
    return tuple(sorted(chosen.values(), key=lambda each: (each.row, each.column)))


def whole_on_point(block: Block, weigh: Callable[[Region, str], int | None]) -> UnitArea | None:
    """All of a block as patches on their points; None where it shows none such, or cells with a diagonal span several
    places."""
    count = len(block.rows)
    if count != len(block.columns):
        return None
    square = _Squares(block).whole(count)
    if not square.is_whole or weigh(square.region, "on point") is None:
        return None
    return UnitArea(0, 0, count, count, square.region, "on point")


def whole_star(block: Block) -> tuple[UnitArea, ...]:
    """All of a block that is a star of diamonds."""
    count = len(block.rows)
    return (UnitArea(0, 0, count, count, Region(block.columns, block.rows, drawn_grid(block)), "diamonds"),)


class _Squares:
    """The squares of a block's cells."""

    def __init__(self, block: Block) -> None:
        self.block = block
        self.cells = {place: cell for cell in block.cells for place in covered(cell)}

    def whole(self, count: int) -> _CellSquare:
        """All of a block that is so many cells wide and high."""
        return _CellSquare(self.block, self.cells, 0, 0, count)

    def likely(self) -> Iterator[_CellSquare]:
        """Those of several cells, all as wide as high, that may be such a unit by their edges and diagonals."""
        rows, columns = self.block.rows, self.block.columns
        down, across = _alike_onward(rows), _alike_onward(columns)
        for count in range(2, min(len(rows), len(columns), MOST_CELLS) + 1):
            for row in range(len(rows) - count + 1):
                for column in range(len(columns) - count + 1):
                    if min(down[row], across[column]) >= count and rows[row] == columns[column]:
                        square = _CellSquare(self.block, self.cells, row, column, count)
                        if square.is_likely and square.is_whole:
                            yield square


def _alike_onward(sides: Sequence[Measure]) -> list[int]:
    """For each of some sides how many from there on are as long."""
    found = [1] * len(sides)
    for at in reversed(range(len(sides) - 1)):
        found[at] = found[at + 1] + 1 if sides[at] == sides[at + 1] else 1
    return found


class _CellSquare:
    def __init__(self, block: Block, cells: Mapping[Place, Cell], row: int, column: int, count: int) -> None:
        self.block, self.cells = block, cells
        self.row, self.column, self.count = row, column, count
        self.down = self.across = count

    def at(self, row: int, column: int) -> Quarters:
        """The quarters of one of its cells, rows and columns from 0."""
        return self.cells[self.row + row, self.column + column].quarters

    @property
    def is_likely(self) -> bool:
        """Whether it has a line of diagonals from corner to corner, or corners that reach over several cells."""
        return self._is_parted(True) or self._is_parted(False) or self._is_cornered()

    def _is_parted(self, rising: bool) -> bool:
        """Whether a diagonal parts it, and something in it is larger than a triangle of one cell."""
        last = self.count - 1
        cells = [self.at(at, last - at if rising else at) for at in range(self.count)]
        if any(len(set(quarters)) == 1 or (quarters[0] == quarters[3]) != rising for quarters in cells):
            return False
        if any(quarters[1 if rising else 3] != quarters[2] for quarters in cells):
            return False
        return self._has_plain_strip(rising) or any(self.cells[place].is_plain for place in covered(self))

    def _has_plain_strip(self, rising: bool) -> bool:
        """Whether a strip along the diagonal begins with two triangles of one cloth."""
        last = self.count - 1

        def above_below(row: int, column: int) -> tuple[str, str]:
            quarters = self.at(row, column if rising else last - column)
            return quarters[0], quarters[2]

        for at in range(1, self.count):
            if above_below(0, at)[0] == above_below(0, at - 1)[1]:
                return True
            if above_below(last, last - at)[1] == above_below(last, last - at + 1)[0]:
                return True
        return False

    def _is_cornered(self) -> bool:
        """Whether each edge has two diagonals at most, and a corner's cloth reaches as far along both its edges."""
        last = self.count - 1
        lines = (
            [self.at(0, at) for at in range(self.count)],
            [self.at(at, last) for at in range(self.count)],
            [self.at(last, last - at) for at in range(self.count)],
            [self.at(last - at, 0) for at in range(self.count)],
        )
        if any(sum(len(set(quarters)) > 1 for quarters in line) > 2 for line in lines):
            return False
        if any(1 < _reach(lines[at]) == _reach(lines[at - 1][::-1]) < self.count for at in range(4)):
            return True
        # Where a cloth goes on from one round of a nested square into the next, its corner reaches farther one way.
        return self.count % 4 == 0 and all(len(set(line[0])) == 1 for line in lines)

    @property
    def is_whole(self) -> bool:
        """Whether no cell reaches over its edge, and none with a diagonal spans several places."""
        lines, cells = lines_round(self), (self.cells[place] for place in covered(self))
        return all(is_within(cell, lines) and (cell.is_plain or cell.down == cell.across == 1) for cell in cells)

    @property
    def region(self) -> Region:
        """What it shows."""
        row, column, count = self.row, self.column, self.count
        shown = tuple(tuple(self.at(r, c) for c in range(count)) for r in range(count))
        return Region(self.block.columns[column : column + count], self.block.rows[row : row + count], shown)

    def area(self, on_the_diagonal: Callable[[Region], int | None]) -> tuple[UnitArea, int] | None:
        """It as one area and its patches; None where no unit shows it."""
        row, column, count, region = self.row, self.column, self.count, self.region
        half = _half_square(region)
        if half is not None:
            return UnitArea(row, column, count, count, half), 2
        patches = on_the_diagonal(region)
        return None if patches is None else (UnitArea(row, column, count, count, region, "diagonal"), patches)


def _reach(line: list[Quarters]) -> int:
    """How many cells of a line, the first of them plain, reach to the first diagonal; 0 where there is none."""
    for at, quarters in enumerate(line, 1):
        if len(set(quarters)) > 1:
            return at
        if quarters != line[0]:
            return 0
    return 0


def _half_square(region: Region) -> Region | None:
    """A square whose halves are one cloth each as one cell."""
    last = len(region.rows) - 1
    for turn in (0, 90):
        upright = region.turned(turn)
        upper, lower = upright.cells[0][0][0], upright.cells[last][last][2]
        cloth = {-1: (upper,) * 4, 0: (upper, lower, lower, upper), 1: (lower,) * 4}
        wanted = tuple(tuple(cloth[(r + c > last) - (r + c < last)] for c in range(last + 1)) for r in range(last + 1))
        if upper != lower and upright.cells == wanted:
            whole = Region((region.finished[0],), (region.finished[1],), (((upper, lower, lower, upper),),))
            return whole.turned((360 - turn) % 360)
    return None
