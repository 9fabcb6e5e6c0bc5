"""How the squares of one block's cutting list may be meant, where no plan says it.

A square may be sewn in as it is, become triangles, be the middle of a square in a square, or be flipped onto a corner.
A reading of the list says it of every size at once, and holds together: every finished size is so many cells of one
grid, squares for triangles are even in number and of two cloths, flipped squares are as many as the corners they go to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from tracker.exact.measure import ROOT2, Measure, nearest, on_mark
from tracker.printed.list_table import ListRow
from tracker.work.steps import Size

CELLS = (*range(1, 25), 32, 48, 96)
"""Across a block; in a finer grid lies whatever is listed."""

_MOST_TRIED = 20_000
"""Of so many readings of one list the first are tried."""

_OVER = {
    "in": {"hst": Fraction(1, 8), "roomy hst": Fraction(5, 16), "qst": Fraction(1, 8), "roomy qst": Fraction(3, 8),
           "hst8": Fraction(3, 8), "hst4": Fraction(3, 8)},
    "cm": {"hst": Fraction(1, 10), "roomy hst": Fraction(2, 5), "qst": Fraction(1, 10), "roomy qst": Fraction(7, 10),
           "hst8": Fraction(7, 10), "hst4": Fraction(4, 10)},
}  # fmt: skip
"""How much larger than it must be a square for triangles is usually cut: to the ruler's mark, or with room to trim."""

_CENTRE_MARK = {"in": Fraction(1, 16), "cm": Fraction(1, 10)}
TRIANGLES = ("hst", "roomy hst", "qst", "roomy qst", "hst8", "hst4")


@dataclass(frozen=True)
class Meant:
    """What a size is cut for: a word of `list_table.SHAPES`, the finished size of what is made of it, and the area that
    each piece fills in the block. `spare`: of the units that one or two pairs of squares give one is left over."""

    shape: str
    finished: Size
    area: Fraction
    spare: bool = False


@dataclass(frozen=True)
class SizeGroup:
    """The rows of one cloth and size (and, where the list says it, shape): their lines, and how many pieces."""

    fabric: str
    size: Size
    said: str | None
    lines: tuple[int, ...]
    count: int


Reading = tuple[Meant, ...]
"""What each group is cut for."""


def groups_of(rows: Sequence[ListRow]) -> list[SizeGroup]:
    """The rows of a list by cloth and size, largest first."""
    found: dict[tuple[Size, str, str | None], list[ListRow]] = {}
    for row in rows:
        found.setdefault(((row.width, row.height), row.fabric, row.shape), []).append(row)
    groups = [
        SizeGroup(fabric, size, said, tuple(row.line for row in same), sum(row.count for row in same))
        for (size, fabric, said), same in found.items()
    ]
    return sorted(groups, key=lambda group: (*group.size, group.lines), reverse=True)


class Grid:
    """A block of so many cells across, and what pieces of a size can be meant for in it."""

    def __init__(self, block: Size, cells: int, seam: Measure, unit: str) -> None:
        self.cell, self.seam, self.unit = block[0] / cells, seam, unit
        self.fits = on_mark(block[1], self.cell)
        self.most = max(block)

    def meanings(self, group: SizeGroup) -> list[Meant]:
        """All that a group can be meant for, the likeliest first; where the list says it, that alone."""
        width, height = group.size
        plain = tuple(side - 2 * self.seam for side in (width, height))
        if width != height:
            found = (
                [Meant("rectangle", (plain[0], plain[1]), (plain[0] * plain[1]).rational)] if self._on(*plain) else []
            )
        else:
            found = list(self._square(width, group.said))
        if group.count in (1, 2):
            needed = Fraction(2 * group.count - 1, 2 * group.count)
            found += [
                replace(meant, area=meant.area * needed, spare=True) for meant in found if meant.shape in TRIANGLES[:4]
            ]
        return [meant for meant in found if group.said in (None, meant.shape)]

    def _on(self, *sides: Measure) -> bool:
        return all(0 < side <= self.most and on_mark(side, self.cell) for side in sides)

    def _square(self, side: Measure, said: str | None) -> Iterator[Meant]:
        plain = side - 2 * self.seam
        if self._on(plain):
            yield Meant("square", (plain, plain), (plain * plain).rational)
        yield from self._triangles(side, said)
        if self._on(plain):
            yield Meant("flip", (plain, plain), Fraction())
        whole = nearest(plain * ROOT2, self.cell)
        if self._on(whole) and nearest(whole / ROOT2 + 2 * self.seam, _CENTRE_MARK[self.unit]) == side:
            yield Meant("centre", (whole, whole), (whole * whole).rational / 2)

    def _triangles(self, side: Measure, said: str | None) -> Iterator[Meant]:
        room, slant = 2 * self.seam, ROOT2 * self.seam
        exact = {"hst": side - room - slant, "qst": side - room - 2 * slant, "hst8": side / 2 - room - slant}
        exact["hst4"] = (side - room) / ROOT2 - room
        scale: dict[str, Measure | int] = {"hst": 1, "qst": 1, "hst8": 2, "hst4": ROOT2}
        for shape, times in (("hst", 1), ("qst", 1), ("hst8", 4), ("hst4", 2)):
            finished = self.cell * (exact[shape] / self.cell).__floor__()
            over = (exact[shape] - finished) * scale[shape]
            roomy = f"roomy {shape}" if f"roomy {shape}" in _OVER[self.unit] else shape
            if shape == "hst4" and said != "hst4":
                continue
            if self._on(finished) and over <= _OVER[self.unit][roomy]:
                named = shape if over <= _OVER[self.unit][shape] else roomy
                yield Meant(named, (finished, finished), times * (finished * finished).rational)


def readings(groups: Sequence[SizeGroup], block: Size, seam: Measure, unit: str) -> Iterator[Reading]:
    """Every reading of a list whose sizes are cells of one grid, coarse grids first. Whether it holds together
    otherwise, and adds up, is not asked here."""
    tried = 0
    for cells in CELLS:
        grid = Grid(block, cells, seam, unit)
        if not grid.fits:
            continue
        meanings = [grid.meanings(group) for group in groups]
        if all(meanings):
            for reading in _adding_up(groups, meanings, (block[0] * block[1]).rational):
                tried += 1
                if tried > _MOST_TRIED:
                    return
                yield reading


def _adding_up(groups: Sequence[SizeGroup], meanings: Sequence[list[Meant]], area: Fraction) -> Iterator[Reading]:
    """The readings that come to an area; branches that cannot reach it are left."""
    fills = [[meant.area * group.count for meant in each] for group, each in zip(groups, meanings, strict=True)]
    least, most = [Fraction()], [Fraction()]
    for each in reversed(fills):
        least.append(least[-1] + min(each))
        most.append(most[-1] + max(each))
    least.reverse()
    most.reverse()
    chosen: list[Meant] = []

    def further(place: int, left: Fraction) -> Iterator[Reading]:
        if not least[place] <= left <= most[place]:
            return
        if place == len(groups):
            yield tuple(chosen)
            return
        for meant, fill in zip(meanings[place], fills[place], strict=True):
            if place and groups[place].size == groups[place - 1].size and not _together(meant, chosen[-1]):
                continue
            if not _one_school(chosen, meant):
                continue
            chosen.append(meant)
            yield from further(place + 1, left - fill)
            chosen.pop()

    yield from further(0, area)


def _together(first: Meant, second: Meant) -> bool:
    """Whether one list has squares of one size for both: those for triangles are all for the same."""
    if first.shape == second.shape:
        return first.spare == second.spare
    return not {first.shape, second.shape} & set(TRIANGLES)


def _one_school(chosen: Sequence[Meant], meant: Meant) -> bool:
    """Whether all squares for triangles are cut with room to trim, or none."""
    rooms = {each.shape.startswith("roomy") for each in (*chosen, meant) if each.shape in TRIANGLES[:4]}
    return len(rooms) < 2


class _Made:
    """What a reading makes of a list, counted over all cloths."""

    def __init__(self, groups: Sequence[SizeGroup], reading: Reading, block: Measure) -> None:
        self.groups, self.reading, self.block = groups, reading, block
        self.counts: dict[tuple[str, Measure], Counter[str]] = {}
        for group, meant in zip(groups, reading, strict=True):
            self.counts.setdefault((_way(meant), meant.finished[0]), Counter())[group.fabric] += group.count

    def count(self, way: str, side: Measure) -> int:
        """How many pieces there are for units of this way and finished side."""
        return self.counts.get((way, side), Counter()).total()

    def wrong(self, group: SizeGroup, meant: Meant) -> bool:
        """Whether a group does not hold together with the others."""
        way, side = _way(meant), meant.finished[0]
        if meant.spare and self.count(way, side) != 2 * group.count:
            return True
        if way in ("square", "rectangle"):
            return False
        if way == "flip":
            return not (self._of_the_grid(side) and self._corners(self.count(way, side), side))
        if way == "centre":
            return self.count("hst", side / 2) < 2 * self.count(way, side)
        if way == "qst" and self.count("hst", side / 2) >= 4 * self.count(way, side):
            return False
        one_cloth = way == "hst" and self._of_one_cloth(side)
        return self.count(way, side) % 2 == 1 or not (one_cloth or self._paired(way, side))

    def _of_one_cloth(self, side: Measure) -> bool:
        """Whether squares cut once can all be of one cloth: corners of a square in a square, two for each; of geese
        four at a time, four for each large square; whole halves, no more than squares cut twice."""
        halves = self.count("hst", side)
        corners = self.count("centre", 2 * side), self.count("qst", 2 * side)
        return (
            (corners[0] > 0 and halves >= 2 * corners[0])
            or (corners[1] > 0 and halves >= 4 * corners[1])
            or halves <= self.count("qst", side)
        )

    def _paired(self, way: str, side: Measure) -> bool:
        """Whether every square can lie on one of another cloth; where no cloths are named that is not asked."""
        cloths = self.counts[way, side]
        return list(cloths) == [""] or 2 * max(cloths.values()) <= cloths.total()

    def _of_the_grid(self, side: Measure) -> bool:
        """Whether a flipped square is so many cells of the grid of all the others, or a half or a third of one (of a
        snowball a quarter)."""
        sides = {each for meant in self.reading if meant.shape != "flip" for each in meant.finished}
        cell = next(
            (self.block / cells for cells in CELLS
             if all(on_mark(each, self.block / cells) for each in sides)), side
        )  # fmt: skip
        return on_mark(side, cell) or side in (cell / 2, cell / 3) or (cell == self.block and side == cell / 4)

    def _corners(self, flips: int, side: Measure) -> bool:
        """Whether flipped squares are one, two or four for each piece of a larger size, or of one cloth of it: two or
        four where they are half of an oblong twice as long as wide, as geese are made."""
        bases: dict[Size, list[int]] = {}
        for group, meant in zip(self.groups, self.reading, strict=True):
            larger = max(meant.finished) > side and min(meant.finished) >= side
            if meant.shape in ("square", "rectangle", "centre") and larger:
                bases.setdefault(meant.finished, []).append(group.count)
        return any(
            flips == times * count
            for size, each in bases.items()
            for times in ((2, 4) if min(size) == side and max(size) == 2 * side else (1, 2, 4))
            for count in {*each, sum(each)}
        )


def _way(meant: Meant) -> str:
    return meant.shape.removeprefix("roomy ")


def odd_one(groups: Sequence[SizeGroup], reading: Reading, block: Measure) -> int | None:
    """The first group that does not hold together with the others: triangles' squares that do not pair up, corners of a
    square in a square that are too few, flips for no corner. None: all do."""
    fabrics = {group.fabric for group in groups}
    if len(fabrics) == 1 and "" not in fabrics:
        return 0  # nobody pieces a block of one cloth
    made = _Made(groups, reading, block)
    wrong = (place for place, pair in enumerate(zip(groups, reading, strict=True)) if made.wrong(*pair))
    return next(wrong, None)
