"""Which lines of plain cells in a block's picture are cut from strip sets: whole rows or columns, and shorter lines, as
in four-patches and nine-patches, where several are alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from tracker.plan.model import Block, Cell
from tracker.plan.picture import covered
from tracker.units.larger_units import UnitArea, alike, each_its_own
from tracker.units.region import Region
from tracker.units.slicing import sliced
from tracker.units.ways_up import WAYS_UP, Place, WayUp

Fits = Callable[[Region], bool]
"""Whether a line of plain cells can be cut from strips at all."""

NO_LINE, ONE_ALONE, NOT_STRAIGHT = "no line", "one alone", "not straight"
"""Why a block has no strip sets: no plain cells of two cloths lie in a line; such a line is needed but once; or what
would be left can be joined by no straight seams."""


@dataclass(frozen=True)
class StripAreas:
    """A block's areas, lines for strip sets among them. Where there are none, `lacking` says why; `narrow` are lines
    that the cloth is too narrow for: whole ones, and where there are no others the longest."""

    areas: tuple[UnitArea, ...]
    lacking: str = ""
    narrow: tuple[Region, ...] = ()


def with_strips(block: Block, blocks: int, fits: Fits) -> StripAreas:
    """Lines of plain cells as one area each, the others cell by cell. `blocks` is how many of the block are made.

    Whole rows and columns always; shorter lines of two cloths where at least two alike are needed. The picture is
    looked at in each way that it may lie, and what leaves the fewest pieces to join is taken; of equally few the fewest
    kinds of set, then what is the same however it lies.
    """
    start, size = each_its_own(block), (len(block.rows), len(block.columns))
    lines = list(_lines(block))
    able = {region: fits(region) for region in {line.region.least for line in lines}}
    usable = [line for line in lines if able[line.region.least]]
    found: dict[tuple[object, ...], tuple[UnitArea, ...]] = {}
    ways: dict[tuple[object, ...], list[WayUp]] = {}
    for way in WAYS_UP:
        picture = _picture(way.block(block))
        ways.setdefault(picture, []).append(way)
        if picture not in found:
            found[picture] = _greedy(start, usable, blocks, size, way)
    least = ways[min(ways)]

    def order(areas: tuple[UnitArea, ...]) -> tuple[object, ...]:
        # Where more is made of the rest, that must not hang on where the lines lie.
        where = min(_places(areas, way, size) for way in least) if block.combine else []
        return _cost(areas), alike(areas), where

    best = min(found.values(), key=order)
    wide = [line for line in lines if not able[line.region.least] and _reaches(line, size)]
    if any(area.asked for area in best):
        return StripAreas(best, narrow=_regions(wide))
    if usable:
        alone = all(number * blocks < 2 for number in Counter(line.region.least for line in usable).values())
        return StripAreas(best, ONE_ALONE if alone else NOT_STRAIGHT, _regions(wide))
    longest = max(lines, default=None, key=lambda line: line.down * line.across)
    return StripAreas(best, "" if lines else NO_LINE, _regions(wide or [longest] if longest else []))


def _picture(block: Block) -> tuple[object, ...]:
    cells = tuple((cell.row, cell.column, cell.down, cell.across, cell.quarters) for cell in block.cells)
    return block.columns, block.rows, cells


def _places(areas: Sequence[UnitArea], way: WayUp, size: tuple[int, int]) -> list[Place]:
    return sorted(way.place(area.place, size) for area in areas)


def _regions(lines: Sequence[UnitArea]) -> tuple[Region, ...]:
    return tuple(dict.fromkeys(line.region for line in lines))


def _cost(areas: Sequence[UnitArea]) -> tuple[int, int, int]:
    """Pieces to join in a block, kinds of set, and strips in them."""
    sets = {area.region.least for area in areas if area.asked}
    return len(areas), len(sets), sum(len(region.rows) * len(region.columns) for region in sets)


def _lines(block: Block) -> Iterator[UnitArea]:
    """Every line of plain cells side by side or one below the other that is whole, or of two cloths at least and
    nowhere of one cloth twice running where larger units are made of such."""
    at = {(cell.row, cell.column): cell for cell in block.cells if cell.is_plain}
    for first in at.values():
        for level in (True, False):
            line = [first]
            while (cell := _next(at, line[-1], level)) is not None:
                line.append(cell)
                if _worth(block, line, level):
                    yield _area(block, line, level)


def _next(at: dict[tuple[int, int], Cell], cell: Cell, level: bool) -> Cell | None:
    """The plain cell that goes on from one in its line."""
    if level:
        found = at.get((cell.row, cell.column + cell.across))
        return found if found is not None and found.down == cell.down else None
    found = at.get((cell.row + cell.down, cell.column))
    return found if found is not None and found.across == cell.across else None


def _worth(block: Block, line: Sequence[Cell], level: bool) -> bool:
    if _is_whole(block, line, level):
        return True
    cloths = [cell.quarters[0] for cell in line]
    twice = any(first == second for first, second in pairwise(cloths))
    return len(set(cloths)) > 1 and not (block.combine and twice)


def _is_whole(block: Block, line: Sequence[Cell], level: bool) -> bool:
    """Whether a line reaches over the whole block, a row or column of it wide."""
    if level:
        return sum(cell.across for cell in line) == len(block.columns) and line[0].down == 1
    return sum(cell.down for cell in line) == len(block.rows) and line[0].across == 1


def _area(block: Block, line: Sequence[Cell], level: bool) -> UnitArea:
    sizes, cells = [block.cell_size(cell) for cell in line], tuple(cell.quarters for cell in line)
    down, across = (line[0].down, sum(c.across for c in line)) if level else (sum(c.down for c in line), line[0].across)
    if level:
        region = Region(tuple(width for width, _ in sizes), (sizes[0][1],), (cells,))
    else:
        region = Region((sizes[0][0],), tuple(height for _, height in sizes), tuple((each,) for each in cells))
    return UnitArea(line[0].row, line[0].column, down, across, region, "strips")


def _greedy(
    start: tuple[UnitArea, ...], lines: Sequence[UnitArea], blocks: int, size: tuple[int, int], way: WayUp
) -> tuple[UnitArea, ...]:
    """Whole lines first, then the longest, those of the commonest kind before others; ties in reading order as the
    picture lies, level lines before upright ones. What is needed but once is left in patches."""
    left = list(lines)
    while True:
        chosen = _taken(start, left, size, way)
        kinds = Counter(area.region.least for area in chosen if area.asked)
        alone = {kind for kind, number in kinds.items() if number * blocks < 2}
        once = [area for area in chosen if area.asked and area.region.least in alone and not _reaches(area, size)]
        if not once:
            return chosen
        gone = {area.region.least for area in once}
        left = [area for area in left if area.region.least not in gone or _reaches(area, size)]


def _reaches(area: UnitArea, size: tuple[int, int]) -> bool:
    """Whether an area is a whole row or column."""
    return (area.down, area.across) in ((1, size[1]), (size[0], 1))


def _taken(
    start: tuple[UnitArea, ...], lines: Sequence[UnitArea], size: tuple[int, int], way: WayUp
) -> tuple[UnitArea, ...]:
    common = Counter(area.region.least for area in lines)

    def order(area: UnitArea) -> tuple[int, ...]:
        row, column, down, across = way.place(area.place, size)
        cells = len(area.region.rows) * len(area.region.columns)
        return not _reaches(area, size), -cells, -common[area.region.least], down > across, row, column

    straight = sliced(start, turning=True)
    taken: set[tuple[int, int]] = set()
    for area in sorted(lines, key=order) if straight is not None else ():
        places = set(covered(area))
        attempt = None if places & taken or straight is None else straight.with_one(area)
        if attempt is not None:
            straight, taken = attempt, taken | places
    parts = start if straight is None else straight.parts()
    return tuple(sorted(parts, key=lambda area: (area.row, area.column)))
