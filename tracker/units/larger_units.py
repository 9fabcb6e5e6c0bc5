"""Which parts of a block's picture are sewn as one unit: each cell its own, or larger parts where that saves seams."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass

from tracker.exact.measure import Measure
from tracker.plan.cutting_up import lies_turned, quarter_of
from tracker.plan.model import Block, Cell
from tracker.plan.picture import covered
from tracker.units.region import Region
from tracker.units.rounds import is_within
from tracker.units.slicing import sliced
from tracker.units.ways_up import WAYS_UP, Place, WayUp


@dataclass(frozen=True)
class UnitArea:
    """A rectangle of a block's cells (top-left from 0) that becomes one unit, and the region it shows.

    `asked` is what the block asks for to have it: "strips" for a row of plain cells that is to be cut from a strip set,
    "diagonal" for what is pieced on the diagonal; else nothing.
    """

    row: int
    column: int
    down: int
    across: int
    region: Region
    asked: str = ""

    @property
    def place(self) -> Place:
        """The rectangle of cells."""
        return self.row, self.column, self.down, self.across


Weigh = Callable[[Region], tuple[int, int] | None]
"""(rank, patches) of the best unit for a region, figures ranking before larger patches; None where no unit shows it."""


def each_its_own(block: Block) -> tuple[UnitArea, ...]:
    """Every cell of the picture as a unit of its own, in reading order."""
    return tuple(_area(block, cell) for cell in block.cells)


def quarters_cut_up(block: Block, asked: tuple[str, str]) -> tuple[UnitArea, ...]:
    """The quarters of a nine-patch that was cut up, as they lie; `asked` is what the one up left is, and the one down
    right, and what the two others are."""
    assert block.before is not None
    drawn, side = block.as_drawn, block.before.side
    rest = sum(block.columns, Measure()) / 2 - side
    (corner, edge), (_, middle) = quarter_of(drawn)
    shown = Region((side, rest), (side, rest), ((corner, edge), (edge, middle)))
    lines = [_half_of(sides, side + rest) for sides in (block.rows, block.columns)]
    areas = []
    for row, turns in enumerate(lies_turned(drawn)):
        for column, turn in enumerate(turns):
            (down, across), (high, wide) = (
                (lines[0] * row, lines[1] * column),
                tuple(each if not place else len(sides) - each for each, place, sides in
                      ((lines[0], row, block.rows), (lines[1], column, block.columns))),
            )  # fmt: skip
            areas.append(UnitArea(down, across, high, wide, shown.turned(turn), asked[(row + column) % 2]))
    return tuple(areas)


def _half_of(sides: Sequence[Measure], half: Measure) -> int:
    """How many of some columns or rows make half of them all."""
    return next(number for number in range(1, len(sides)) if sum(sides[:number], Measure()) == half)


def with_strip_rows(block: Block, fits: Callable[[Region], bool]) -> tuple[UnitArea, ...]:
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
                areas.append(UnitArea(row, 0, 1, len(block.columns), region, "strips"))
                continue
        areas.extend(_area(block, cell) for cell in cells)
    return tuple(areas)


def _area(block: Block, cell: Cell) -> UnitArea:
    width, height = block.cell_size(cell)
    return UnitArea(cell.row, cell.column, cell.down, cell.across, Region((width,), (height,), ((cell.quarters,),)))


def patches_of(areas: Sequence[UnitArea], weigh: Weigh) -> int:
    """How many patches show in all."""
    return sum(found[1] for area in areas if not area.asked and (found := weigh(area.region)))


def combined(block: Block, start: Sequence[UnitArea], weigh: Weigh, reckoning: int) -> tuple[UnitArea, ...]:
    """Areas with fewer patches in all, as long as straight seams still join them; they do not hang on how the picture
    lies.

    `start` are the areas to begin with; those that the block asks for stay as they are. The picture is looked at in
    each way that it may lie, and the fewest patches are taken; of equally few those in the fewest areas. Up to the
    third `reckoning` it was looked at as drawn, and some upright areas were missed.
    """
    upright = reckoning > 3
    seen: _Seen = {}
    found: dict[object, tuple[UnitArea, ...]] = {}
    for way in WAYS_UP if upright else WAYS_UP[:1]:
        picture = _picture(way, block, start)
        if picture not in found:
            found[picture] = _greedy(block, start, weigh, way, seen, upright)
    few = {areas: (patches_of(areas, weigh), len(areas)) for areas in found.values()}
    best = [areas for areas in few if few[areas] == min(few.values())]
    return min(best, key=alike) if len(best) > 1 else best[0]


def _picture(way: WayUp, block: Block, start: Sequence[UnitArea]) -> Hashable:
    """A block, and which areas of it the block asks for, as it lies so."""
    lies, lines = way.block(block), (len(block.rows), len(block.columns))
    strips = frozenset(way.place(area.place, lines) for area in start if area.asked)
    return lies.columns, lies.rows, lies.cells, strips


def alike(areas: Sequence[UnitArea]) -> list[tuple[object, ...]]:
    """What is the same of areas however their picture lies."""
    least = [min((each.least, each.mirrored().least), key=_read) for each in (area.region for area in areas)]
    return sorted(map(_read, least))


def _read(region: Region) -> tuple[object, ...]:
    return region.columns, region.rows, region.cells


def _greedy(
    block: Block, start: Sequence[UnitArea], weigh: Weigh, way: WayUp, seen: _Seen, upright: bool
) -> tuple[UnitArea, ...]:
    """Figures first, then the largest saving, as long as straight seams still join; `upright` as for `_CellGrid`.

    Ties go to the smaller area, then in reading order as the picture lies. Every area taken saves patches, and so
    seams, by itself; what it leaves is looked at again.
    """
    straight = sliced(start, turning=True)
    taken = {place for area in start if area.asked for place in covered(area)}
    apart = _Sums(block, start, weigh)
    while True:
        found = False
        for area in _worthwhile(_CellGrid(block, taken, seen, upright), apart, weigh, way):
            places = set(covered(area))
            if places & taken:
                continue
            attempt = straight.with_one(area) if straight else sliced([*_without(start, places), area])
            if attempt is not None:
                straight, found = attempt, True
                taken |= places
        if not found:
            chosen = straight.parts() if straight else start
            return tuple(sorted(chosen, key=lambda area: (area.row, area.column)))


def _without(areas: Sequence[UnitArea], places: set[tuple[int, int]]) -> list[UnitArea]:
    return [area for area in areas if (area.row, area.column) not in places]


_Seen = dict[tuple[int, int, int, int], UnitArea | None]
"""What rectangles of a block's free cells are as areas, by (row, column, down, across)."""


def _worthwhile(grid: _CellGrid, apart: _Sums, weigh: Weigh, way: WayUp) -> list[UnitArea]:
    """Areas free of what is taken that save patches, the best first."""
    found: list[tuple[tuple[int, ...], UnitArea]] = []
    for area in grid.areas():
        whole = weigh(area.region)
        if whole is not None:
            saved = apart.inside(area) - whole[1]
            if saved > 0:
                row, column, down, across = way.place(area.place, (grid.rows, grid.columns))
                found.append(((whole[0], -saved, down * across, row, column, down), area))
    return [area for _, area in sorted(found, key=lambda each: each[0])]


class _Sums:
    """How many patches the areas within any rectangle have, that reach nowhere beyond it."""

    def __init__(self, block: Block, areas: Sequence[UnitArea], weigh: Weigh) -> None:
        counts = {(a.row, a.column): (weigh(a.region) or (0, 0))[1] for a in areas if not a.asked}
        self.upto = [[0] * (len(block.columns) + 1)]
        for row in range(len(block.rows)):
            line, above = [0], self.upto[-1]
            for column in range(len(block.columns)):
                line.append(line[-1] + above[column + 1] - above[column] + counts.get((row, column), 0))
            self.upto.append(line)

    def inside(self, area: UnitArea) -> int:
        """Patches within an area."""
        top, bottom, left, right = area.row, area.row + area.down, area.column, area.column + area.across
        return self.upto[bottom][right] - self.upto[top][right] - self.upto[bottom][left] + self.upto[top][left]


class _CellGrid:
    """A block's cells place by place; a spanned cell stands at each place that it covers, a taken place is None.

    `upright`: areas as wide as their upper left cell are found whatever lies beside that.
    """

    def __init__(self, block: Block, taken: set[tuple[int, int]], seen: _Seen, upright: bool) -> None:
        self.block, self.seen, self.upright = block, seen, upright
        self.rows, self.columns = len(block.rows), len(block.columns)
        self.cells = {place: None if place in taken else cell for cell in block.cells for place in covered(cell)}
        free = [(place, cell) for place, cell in self.cells.items() if cell is not None]
        self.grounds = {place: cell.quarters[0] for place, cell in free if cell.is_plain}
        self.runs = self._plain_runs()

    def _plain_runs(self) -> dict[tuple[int, int], int]:
        """For each place, the column where plain cells of its cloth end to the right of it."""
        runs: dict[tuple[int, int], int] = {}
        for row in range(self.rows):
            for column in reversed(range(self.columns)):
                same = self._ground(row, column) is not None and self._ground(row, column) == self._ground(
                    row, column + 1
                )
                runs[row, column] = runs[row, column + 1] if same else column + 1
        return runs

    def _ground(self, row: int, column: int) -> str | None:
        """The cloth of a plain cell, None for others and beyond the block."""
        return self.grounds.get((row, column))

    def areas(self) -> Iterator[UnitArea]:
        """Every rectangle of cells that could be one unit and cannot grow by like plain cells on any side.

        Its plain cells are of one cloth, and only its corners have a diagonal.
        """
        for row in range(self.rows):
            for column in range(self.columns):
                sizes = dict.fromkeys(self._sizes_from(row, column))
                if self.upright:
                    sizes |= dict.fromkeys(self._narrow_from(row, column))
                for down, across in sizes:
                    if not self._can_grow(row, column, down, across) and self._is_whole(row, column, down, across):
                        area = self._remembered(row, column, down, across)
                        if area is not None:
                            yield area

    def _remembered(self, row: int, column: int, down: int, across: int) -> UnitArea | None:
        """The area of a rectangle; remembered where all of it is free, since it is the same whatever else is taken."""
        place = row, column, down, across
        if place in self.seen:
            return self.seen[place]
        area = self.area(row, column, down, across)
        if all(self.cells[r, c] is not None for r in range(row, row + down) for c in range(column, column + across)):
            self.seen[place] = area
        return area

    def _sizes_from(self, row: int, column: int) -> Iterator[tuple[int, int]]:
        """(down, across) of rectangles with this upper left place, for each depth the one or two widths that matter."""
        ground: str | None = None
        ends: list[int] = []
        corner = self.cells[row, column]
        for bottom in range(row, self.rows):
            cell = self.cells[bottom, column]
            if cell is None or cell.column != column:
                return
            first = column if cell.is_plain else column + cell.across
            cloth = self._ground(bottom, first)
            ground = ground or cloth
            ends.append(self.runs[bottom, first] if cloth is not None and cloth == ground else first)
            end = min(ends)
            # Where the left edge is but diagonals, as in a goose on its side, they may be all.
            widths = {end, end + self._diagonal_from(row, bottom, end), min(first, end)} - {column}
            for width in sorted(widths):
                yield bottom - row + 1, width - column
            if cell.is_plain and cloth != ground:
                return
            # A diagonal on the left edge is the upper corner, or it ends the rectangle.
            if not cell.is_plain and cell is not corner and cell.row + cell.down == bottom + 1:
                return

    def _narrow_from(self, row: int, column: int) -> Iterator[tuple[int, int]]:
        """(down, across) of rectangles as wide as the cell in this upper left place."""
        corner = self.cells[row, column]
        if corner is None:
            return
        for bottom in range(row, self.rows):
            cell = self.cells[bottom, column]
            if cell is None or (cell.column, cell.across) != (column, corner.across):
                return
            yield bottom - row + 1, corner.across
            # A diagonal below the corner is the lower corner, and ends the rectangle.
            if not cell.is_plain and cell is not corner and cell.row + cell.down == bottom + 1:
                return

    def _diagonal_from(self, top: int, bottom: int, column: int) -> int:
        """How wide a cell with a diagonal is that begins there in the top or bottom row; 0 where there is none."""
        for row in (top, bottom):
            cell = self.cells.get((row, column))
            if cell is not None and not cell.is_plain and cell.column == column:
                return cell.across
        return 0

    def _is_whole(self, row: int, column: int, down: int, across: int) -> bool:
        """Whether the rectangle is of several cells, all free, and none reaches over its edge."""
        if down * across == 1 or column + across > self.columns:
            return False
        places = [(r, c) for r in range(row, row + down) for c in (column, column + across - 1)]
        places += [(r, c) for r in (row, row + down - 1) for c in range(column, column + across)]
        lines = row, column, row + down, column + across
        return all(cell is not None and is_within(cell, lines) for cell in map(self.cells.get, places))

    def _can_grow(self, row: int, column: int, down: int, across: int) -> bool:
        """Whether a line of plain cells beside a plain edge would make it larger, and so better."""
        right, bottom = column + across - 1, row + down - 1
        return (
            self._goes_on((row, column), (row, column - 1), (1, 0), down)
            or self._goes_on((row, right), (row, right + 1), (1, 0), down)
            or self._goes_on((row, column), (row - 1, column), (0, 1), across)
            or self._goes_on((bottom, column), (bottom + 1, column), (0, 1), across)
        )

    def _goes_on(self, edge: tuple[int, int], beside: tuple[int, int], step: tuple[int, int], count: int) -> bool:
        """Whether two lines of so many cells, from their first ones on, are all plain and of one cloth."""
        grounds = self.grounds
        ground = grounds.get(edge)
        if ground is None or ground != grounds.get(beside):
            return False
        for on in range(1, count):
            for row, column in (edge, beside):
                if grounds.get((row + on * step[0], column + on * step[1])) != ground:
                    return False
        return True

    def area(self, row: int, column: int, down: int, across: int) -> UnitArea | None:
        """The rectangle as one region, on the lines that its cells leave; None where it is but one cell, or where
        such a line would run through a cell with a diagonal."""
        found = {id(cell): cell for cell in self._cells_in(row, column, down, across)}
        inside = list(found.values())
        if len(inside) == 1:
            return None
        rows = sorted({cell.row for cell in inside} | {row + down})
        columns = sorted({cell.column for cell in inside} | {column + across})
        for cell in inside:
            if not cell.is_plain and not (
                _one_span(rows, cell.row, cell.down) and _one_span(columns, cell.column, cell.across)
            ):
                return None
        at = {(r, c): self.cells[r, c] for r in rows[:-1] for c in columns[:-1]}
        free = {place: kept.quarters for place, kept in at.items() if kept is not None}
        if len(free) < len(at):
            return None
        cells = tuple(tuple(free[r, c] for c in columns[:-1]) for r in rows[:-1])
        region = Region(_sums(self.block.columns, columns), _sums(self.block.rows, rows), cells)
        if len(set(region.all_quarters())) == 1 and inside[0].is_plain:
            # Like neighbours are one patch.
            width, height = region.finished
            region = Region((width,), (height,), ((cells[0][0],),))
        return UnitArea(row, column, down, across, region)

    def _cells_in(self, row: int, column: int, down: int, across: int) -> Iterator[Cell]:
        for r in range(row, row + down):
            for c in range(column, column + across):
                cell = self.cells[r, c]
                if cell is not None:
                    yield cell


def _one_span(lines: Sequence[int], start: int, length: int) -> bool:
    """Whether no line lies within a span."""
    return not any(start < line < start + length for line in lines)


def _sums(sides: Sequence[Measure], lines: Sequence[int]) -> tuple[Measure, ...]:
    """Sides between lines, each the sum of those it spans."""
    return tuple(sum(sides[a:b], Measure()) for a, b in itertools.pairwise(lines))
