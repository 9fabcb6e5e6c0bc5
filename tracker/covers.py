"""Which parts of a block's picture are sewn as one unit: each cell its own, or larger parts where that saves seams."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from tracker.measure import Measure
from tracker.plan import Block, Cell
from tracker.region import Region


@dataclass(frozen=True)
class Area:
    """A rectangle of a block's cells (top-left from 0) that becomes one unit, and the region it shows.

    `strips` is true for a row of plain cells that is to be cut from a strip set.
    """

    row: int
    column: int
    down: int
    across: int
    region: Region
    strips: bool = False


Weigh = Callable[[Region], tuple[int, int] | None]
"""(rank, patches) of the best unit for a region, figures ranking before larger patches; None where no unit shows it."""

Sliceable = Callable[[Sequence[Area]], bool]
"""Whether straight seams can join these areas."""


def each_its_own(block: Block) -> tuple[Area, ...]:
    """Every cell of the picture as a unit of its own, in reading order."""
    return tuple(_area(block, cell) for cell in block.cells)


def with_strip_rows(block: Block, fits: Callable[[Region], bool]) -> tuple[Area, ...]:
    """Rows that are all plain cells as one area each (they are sewn by strip sets), the others cell by cell.

    `fits(region)` says whether such a row can be cut from strips at all.
    """
    areas = []
    for row in range(len(block.rows)):
        cells = [cell for cell in block.cells if cell.row == row]
        whole = sum(cell.across for cell in cells) == len(block.columns)
        if whole and len(cells) > 1 and all(cell.is_plain and cell.down == 1 for cell in cells):
            sides = tuple(block.cell_size(cell)[0] for cell in cells)
            region = Region(sides, (block.rows[row],), (tuple(cell.quarters for cell in cells),))
            if fits(region):
                areas.append(Area(row, 0, 1, len(block.columns), region, strips=True))
                continue
        areas.extend(_area(block, cell) for cell in cells)
    return tuple(areas)


def _area(block: Block, cell: Cell) -> Area:
    width, height = block.cell_size(cell)
    return Area(cell.row, cell.column, cell.down, cell.across, Region((width,), (height,), ((cell.quarters,),)))


def patches_of(areas: Sequence[Area], weigh: Weigh) -> int:
    """How many patches show in all."""
    return sum(found[1] for area in areas if not area.strips and (found := weigh(area.region)))


def combined(block: Block, start: Sequence[Area], weigh: Weigh, sliceable: Sliceable) -> tuple[Area, ...]:
    """Areas with fewer patches in all: figures first, then the largest saving, as long as straight seams still join.

    `start` are the areas to begin with; those that are rows of strips stay as they are. Ties go to the smaller area,
    then in reading order. Every area taken saves patches, and so seams, by itself.
    """
    chosen = list(start)
    taken = {place for area in start if area.strips for place in _places(area)}
    for area in _worthwhile(block, start, taken, weigh):
        places = set(_places(area))
        if places & taken:
            continue
        attempt = [part for part in chosen if (part.row, part.column) not in places]
        attempt.append(area)
        if sliceable(attempt):
            chosen = attempt
            taken |= places
    return tuple(sorted(chosen, key=lambda area: (area.row, area.column)))


def _worthwhile(block: Block, start: Sequence[Area], taken: set[tuple[int, int]], weigh: Weigh) -> list[Area]:
    """Areas that save patches, the best first."""
    known: dict[Region, tuple[int, int] | None] = {}
    found: list[tuple[tuple[int, ...], Area]] = []
    for area in _candidates(block):
        if area.region not in known:
            known[area.region] = weigh(area.region)
        whole = known[area.region]
        if whole is None or (taken and not taken.isdisjoint(_places(area))):
            continue
        saved = patches_of(_inside(start, area), weigh) - whole[1]
        if saved > 0:
            found.append(((whole[0], -saved, area.down * area.across, area.row, area.column), area))
    return [area for _, area in sorted(found, key=lambda each: each[0])]


def _inside(areas: Sequence[Area], whole: Area) -> list[Area]:
    places = set(_places(whole))
    return [area for area in areas if (area.row, area.column) in places]


def _places(area: Area) -> Iterator[tuple[int, int]]:
    for row in range(area.row, area.row + area.down):
        for column in range(area.column, area.column + area.across):
            yield row, column


def _candidates(block: Block) -> Iterator[Area]:
    """Every rectangle of two cells and more that could be one unit: its inside is all of one cloth."""
    grid = _Grid(block)
    for row in range(grid.rows):
        for column in range(grid.columns):
            yield from grid.grown_from(row, column)


class _Grid:
    """A block's cells place by place; a spanned cell stands at each place that it covers."""

    def __init__(self, block: Block) -> None:
        self.block = block
        self.rows, self.columns = len(block.rows), len(block.columns)
        self.cells: dict[tuple[int, int], Cell] = {}
        for cell in block.cells:
            for row in range(cell.row, cell.row + cell.down):
                for column in range(cell.column, cell.column + cell.across):
                    self.cells[row, column] = cell

    def grown_from(self, row: int, column: int) -> Iterator[Area]:
        """Rectangles with this upper left place, as wide and deep as they can be one unit.

        Only corner cells of a unit have a diagonal, and its plain cells are of one cloth, so a rectangle that breaks
        this is the last of its row.
        """
        widest = self.columns - column
        for down in range(1, self.rows - row + 1):
            across = 0
            for across in range(1, widest + 1):
                cloths = self._plain_cloths(row, column, down, across)
                if len(cloths) > 1:
                    across -= 1
                    break
                if across * down > 1 and self._is_whole(row, column, down, across):
                    area = self.area(row, column, down, across)
                    if area is not None:
                        yield area
                if not self._goes_on(row, column, down, across):
                    break
            widest = self._goes_down(row, column, down, min(widest, across))
            if not widest:
                return

    def _plain_cloths(self, row: int, column: int, down: int, across: int) -> set[str]:
        """Cloths of plain cells in the last row and column of a rectangle, and of its first cell."""
        places = [(row + down - 1, c) for c in range(column, column + across)]
        places += [(r, column + across - 1) for r in range(row, row + down)] + [(row, column)]
        return {self.cells[place].quarters[0] for place in places if self.cells[place].is_plain}

    def _is_whole(self, row: int, column: int, down: int, across: int) -> bool:
        """Whether no cell reaches over the edge of the rectangle."""
        places = [(r, c) for r in range(row, row + down) for c in (column, column + across - 1)]
        places += [(r, c) for r in (row, row + down - 1) for c in range(column, column + across)]
        for place in places:
            cell = self.cells[place]
            if cell.row < row or cell.column < column:
                return False
            if cell.row + cell.down > row + down or cell.column + cell.across > column + across:
                return False
        return True

    def _goes_on(self, row: int, column: int, down: int, across: int) -> bool:
        """Whether a wider one may be one unit: no diagonal ends at its right edge but one that begins at its left."""
        edge = (self.cells[r, column + across - 1] for r in range(row, row + down))
        right = column + across
        return all(cell.is_plain or cell.column == column or cell.column + cell.across > right for cell in edge)

    def _goes_down(self, row: int, column: int, down: int, across: int) -> int:
        """How wide, up to `across`, a deeper one may be: no diagonal ends at its lower edge but one from its upper."""
        for width in range(across):
            cell = self.cells[row + down - 1, column + width]
            if not (cell.is_plain or cell.row == row or cell.row + cell.down > row + down):
                return width
        return across

    def area(self, row: int, column: int, down: int, across: int) -> Area | None:
        """The rectangle as one region, on the lines that its cells leave; None where it is but one cell, or where
        such a line would run through a cell with a diagonal."""
        inside = list({id(cell): cell for cell in self._cells_in(row, column, down, across)}.values())
        if len(inside) == 1:
            return None
        rows = sorted({cell.row for cell in inside} | {row + down})
        columns = sorted({cell.column for cell in inside} | {column + across})
        for cell in inside:
            if not cell.is_plain and not (
                _one_span(rows, cell.row, cell.down) and _one_span(columns, cell.column, cell.across)
            ):
                return None
        cells = tuple(tuple(self.cells[r, c].quarters for c in columns[:-1]) for r in rows[:-1])
        region = Region(_sums(self.block.columns, columns), _sums(self.block.rows, rows), cells)
        if len(set(region.all_quarters())) == 1 and inside[0].is_plain:
            # Like neighbours are one patch.
            width, height = region.finished
            region = Region((width,), (height,), ((cells[0][0],),))
        return Area(row, column, down, across, region)

    def _cells_in(self, row: int, column: int, down: int, across: int) -> Iterator[Cell]:
        for r in range(row, row + down):
            for c in range(column, column + across):
                yield self.cells[r, c]


def _one_span(lines: Sequence[int], start: int, length: int) -> bool:
    """Whether no line lies within a span."""
    return not any(start < line < start + length for line in lines)


def _sums(sides: Sequence[Measure], lines: Sequence[int]) -> tuple[Measure, ...]:
    """Sides between lines, each the sum of those it spans."""
    return tuple(sum(sides[a:b], Measure()) for a, b in itertools.pairwise(lines))
