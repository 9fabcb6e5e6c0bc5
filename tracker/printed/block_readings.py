"""How the squares of one block's cutting list may be meant, where no plan says it.

A square may be sewn in as it is, become triangles, be the middle of a square in a square or a patch of one, or be
flipped onto a corner; a rectangle may be cut in two long triangles. A reading of the list says it of every size at
once: every finished size is so many cells of one grid, and all come to the block's area, but for triangles that are
left over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial
from itertools import count, islice, product, takewhile
from math import isqrt, lcm

from tracker.exact.measure import ROOT2, Measure, nearest, on_mark, round_up
from tracker.plan.defaults import DEFAULTS
from tracker.printed.list_table import ListRow
from tracker.work.steps import Size

CELLS = (*range(1, 25), 32, 48, 96)
"""Across a block; in a finer grid lies whatever is listed."""

_OFF_THE_RULER = (*range(1, 11), 12, 14, 16)
"""So many cells across may be of a size that is on no mark of a ruler."""

_RULER = {"in": Measure(Fraction(1, 16)), "cm": Measure(Fraction(1, 20))}

_COARSE_GRID = 6
"""A grid of fewer cells across is coarse, whatever coarser one has all sizes."""

_ROOM_OF_QUARTERS = {"in": Fraction(1, 4), "cm": Fraction(3, 5)}
"""So much larger are squares for quarter-square triangles at least, where they are cut with room."""

_MOST_ASKED = 2_000
"""In one grid of so many readings the first are asked what they leave over."""

_MOST_SIZES = 40
"""A list of more sizes is of no one block, and is not read as one."""

_MOST_LOOKED = 20_000
"""Of one list so many beginnings of readings are looked at; those that quilters print take some thousands."""

_MOST_SUMS = 50_000
"""So many sums are kept of what is left of a list; where there are more, only the least and the largest."""

_MOST_NEAR = 1_000
"""The same, where none adds up."""

_OVER = {
    "in": {"hst": Fraction(1, 8), "roomy hst": Fraction(5, 16), "qst": Fraction(1, 8), "roomy qst": Fraction(3, 8),
           "hst8": Fraction(3, 8), "hst4": Fraction(3, 8)},
    "cm": {"hst": Fraction(1, 10), "roomy hst": Fraction(2, 5), "qst": Fraction(1, 10), "roomy qst": Fraction(7, 10),
           "hst8": Fraction(7, 10), "hst4": Fraction(4, 10)},
}  # fmt: skip
"""How much larger than it must be a square for triangles is usually cut: to the ruler's mark, or with room to trim."""

_LEAST = {"in": Fraction(3, 4), "cm": Fraction(2)}
"""Units smaller than this are not made eight at a time, nor of quarters."""

_COARSE = {"in": Fraction(1, 4), "cm": Fraction(1, 2)}
"""Finished sizes are seldom off these marks."""

_THREAD = {"in": Fraction(1, 32), "cm": Fraction(1, 20)}
"""So much is lost in rounding to a ruler's mark, at most."""

_CENTRE_MARK = {"in": Fraction(1, 16), "cm": Fraction(1, 10)}
_OVER_SLANT = {"in": Fraction(5, 8), "cm": Fraction(3, 2)}
"""How much larger than it must be a rectangle for long triangles may be: its line begins on a ruler's mark."""

_OVER_ENDS = {"in": (Fraction(1, 16), Fraction(3, 8)), "cm": (Fraction(2, 10), Fraction(9, 10))}
"""The same for a strip across a half: for both ends together, beside what it is wider than it must be."""

TRIANGLES = ("hst", "roomy hst", "qst", "roomy qst", "hst8", "hst4")


@dataclass(frozen=True)
class Meant:
    """What a size is cut for, the finished size of what is made of it, and the area that each piece fills in the block.

    A word of `list_table.SHAPES`, or what no list says: "part of a centre" (the four patches of a middle on point),
    "tall triangle", "side of a tall triangle", "half rectangle", "strip across a half".
    """

    shape: str
    finished: Size
    area: Fraction


@dataclass(frozen=True)
class SizeGroup:
    """The rows of one cloth and size (and, where the list says it, shape): their lines, and how many pieces."""

    fabric: str
    size: Size
    said: str | None
    lines: tuple[int, ...]
    count: int


Reading = tuple[Meant, ...]
Meanings = Sequence[Sequence[Meant]]
"""What each group is cut for, and may be."""


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


def _root(value: Fraction) -> Fraction:
    """The square root, to a millionth: it is asked for where a piece is cut too large by any of many marks."""
    return Fraction(isqrt((value * 10**12).__floor__()), 10**6)


_ROOT_5 = _root(Fraction(5))


@lru_cache(maxsize=1000)
def _made_of(side: Measure, seam: Measure) -> dict[str, Measure]:
    """The finished side of what triangles' squares of a size make, exactly."""
    room, slant = 2 * seam, ROOT2 * seam
    made = {"hst": side - room - slant, "qst": side - room - 2 * slant, "hst8": side / 2 - room - slant}
    return made | {"hst4": (side - room) / ROOT2 - room}


class Grid:
    """A block of so many cells across, and what pieces of a size can be meant for in it."""

    def __init__(self, block: Size, cells: int, seam: Measure, unit: str, listed: Sequence[SizeGroup]) -> None:
        self.cell, self.seam, self.unit = block[0] / cells, seam, unit
        self.fits = on_mark(block[1], self.cell) and (cells in _OFF_THE_RULER or on_mark(self.cell, _RULER[unit]))
        self.most, self.listed = max(block), listed
        self._found: dict[tuple[Size, str | None], list[Meant]] = {}
        self.plain = {side - 2 * seam for group in listed for side in group.size}

    def meanings(self, group: SizeGroup) -> list[Meant]:
        """All that a group can be meant for, the likeliest first; where the list says it, that alone."""
        if (group.size, group.said) not in self._found:
            width, height = group.size
            found = self._square(width, group.said) if width == height else self._rectangle(width, height)
            self._found[group.size, group.said] = [meant for meant in found if group.said in (None, meant.shape)]
        return self._found[group.size, group.said]

    def _on(self, *sides: Measure) -> bool:
        return all(0 < side <= self.most and on_mark(side, self.cell) for side in sides)

    def _rectangle(self, width: Measure, height: Measure) -> Iterator[Meant]:
        plain = width - 2 * self.seam, height - 2 * self.seam
        if self._on(*plain):
            yield Meant("rectangle", plain, (plain[0] * plain[1]).rational)
            return
        # A side is as long as the middle is high: h + s + s√5, and w + s + 4s/√5 - (what it is too long)/2 wide.
        high = self._floor(width - self.seam * (1 + _ROOT_5))
        wide = high / 2 + self.seam * (1 + 4 / _ROOT_5) - (width - high) / 2 + self.seam * 2
        if self._on(high) and self._a_little(width - high - self.seam * (1 + _ROOT_5), height - wide):
            yield Meant("side of a tall triangle", (high, high), (high * high).rational / 2)
        across, down = map(self._floor, (plain[0], plain[1]))
        if self._on(across, down) and across > down:
            steep = _root((across * across + down * down).rational) / (2 * self.seam)
            if self._a_little(plain[0] - across - down / steep, plain[1] - down - across / steep):
                yield Meant("half rectangle", (across, down), (across * down).rational)
        yield from self._strip_across(width, plain[1])

    def _strip_across(self, length: Measure, high: Measure) -> Iterator[Meant]:
        """A strip of a half, its ends cut along both sides of the block: so far its longer edge reaches on those, and
        how far its seams lie apart there. At each end the cloth goes on past the seam by seam + s√2."""
        step = self._floor(high * ROOT2)
        over = length - 2 * self.seam * (1 + ROOT2)
        legs = self._floor(over / ROOT2)
        generous = _OVER_ENDS[self.unit]
        thick = high - step / ROOT2
        reaches = generous[0] <= over - legs * ROOT2 - 2 * thick <= generous[1]
        if step < legs and self._on(step, legs) and 0 <= thick <= _OVER[self.unit]["hst"] and reaches:
            yield Meant("strip across a half", (legs, step), ((2 * legs - step) * step).rational / 2)

    def _floor(self, side: Measure) -> Measure:
        return self.cell * (side / self.cell).__floor__()

    def _a_little(self, *over: Measure) -> bool:
        return all(0 <= each <= _OVER_SLANT[self.unit] for each in over)

    def _square(self, side: Measure, said: str | None) -> Iterator[Meant]:
        plain, triangles = side - 2 * self.seam, list(self._triangles(side, said))
        # 2 7/8 is a square for triangles of 2, whatever grid 2 3/8 is in.
        coarse = any(on_mark(each.finished[0], _COARSE[self.unit]) for each in triangles) or self._of_halves(side)
        usual = on_mark(plain, _COARSE[self.unit]) or any(
            on_mark(each, plain) for each in self.plain if each > plain > 0
        )
        is_plain = self._on(plain) and bool(said or usual or not coarse)
        if is_plain:
            yield Meant("square", (plain, plain), (plain * plain).rational)
        yield from triangles
        if is_plain:
            yield Meant("flip", (plain, plain), Fraction())
        for shape, share in (("centre", 1), ("part of a centre", 2)):
            whole = nearest(plain * ROOT2 * share, self.cell)
            exact = whole / ROOT2 / share + 2 * self.seam
            cut = {nearest(exact, _CENTRE_MARK[self.unit])}
            if share > 1:  # a middle that is pieced is trimmed
                cut.add(round_up(exact, DEFAULTS[self.unit].ruler))
            if self._on(whole) and side in cut:
                yield Meant(shape, (whole, whole), (whole * whole).rational / (2 * share * share))
        high = self._floor(side - self.seam * (1 + _ROOT_5))
        tall = self._has_sides(high) and self._a_little(side - high - self.seam * (1 + _ROOT_5))
        if not self._on(plain) and tall:
            yield Meant("tall triangle", (high, high), (high * high).rational / 2)

    def _of_halves(self, side: Measure) -> bool:
        """Whether nothing is listed but squares that half-square triangles of a usual size are cut from."""
        made, mark = _made_of(side, self.seam)["hst"], _COARSE[self.unit]
        usual = mark * (made / mark).__floor__()
        return usual > 0 and made - usual <= _THREAD[self.unit] and {g.size for g in self.listed} == {(side, side)}

    def _has_sides(self, high: Measure) -> bool:
        """Whether rectangles of the list may be the sides of tall triangles so high."""
        oblong = (group for group in self.listed if group.size[0] != group.size[1])
        return any(
            each.shape == "side of a tall triangle" and each.finished[0] == high
            for g in oblong
            for each in self.meanings(g)
        )

    def _triangles(self, side: Measure, said: str | None) -> Iterator[Meant]:
        exact = _made_of(side, self.seam)
        scale: dict[str, Measure | int] = {"hst": 1, "qst": 1, "hst8": 2, "hst4": ROOT2}
        for shape, times in (("hst", 1), ("qst", 1), ("hst8", 4), ("hst4", 2)):
            roomy = f"roomy {shape}" if f"roomy {shape}" in _OVER[self.unit] else shape
            if shape == "hst4" and said != "hst4":
                continue
            finished = self._floor(exact[shape])
            # In a fine grid what is cut with room is more than a cell larger; it is taken for what lies beside it.
            odd = {each for each in self.plain if not on_mark(each, _COARSE[self.unit])}
            beside = {each for each in self.plain if each < finished and (finished - self.cell <= each or each in odd)}
            for side_of in (finished, *beside):
                over = (exact[shape] - side_of) * scale[shape]
                named = shape if over <= _OVER[self.unit][shape] else roomy
                has_room = named != "roomy qst" or over >= _ROOM_OF_QUARTERS[self.unit]
                most = (
                    2 * _OVER[self.unit][named] if named == "roomy hst" and side_of in odd else _OVER[self.unit][named]
                )
                large = shape not in ("qst", "hst8") or said or side_of >= _LEAST[self.unit]
                if self._on(side_of) and over <= most and has_room and large:
                    yield Meant(named, (side_of, side_of), times * (side_of * side_of).rational)
        # Round a square on point triangles have their long edge on the grid.
        legs = self._floor(exact["hst"] * ROOT2) / ROOT2
        over = exact["hst"] - legs
        if legs > 0 and self._on(legs * ROOT2) and over <= _OVER[self.unit]["roomy hst"]:
            named = "hst" if over <= _OVER[self.unit]["hst"] else "roomy hst"
            yield Meant(named, (legs, legs), (legs * legs).rational)


LeftOver = Callable[[Sequence[Meant]], frozenset[Fraction]]
"""How much area a reading may have more than the block: that of triangles which can be left over, or nothing."""


def readings(
    groups: Sequence[SizeGroup], block: Size, seam: Measure, unit: str, left_over: LeftOver
) -> Iterator[tuple[bool, Reading]]:
    """Every reading of a list whose sizes are cells of one grid, coarse grids first, and whether that is the coarsest
    that has them all. Whether it holds together otherwise is not asked here."""
    coarsest, looked = 0, count()
    for cells in CELLS if _is_of_a_block(groups) else ():
        grid = Grid(block, cells, seam, unit, groups)
        if not grid.fits:
            continue
        meanings = list(takewhile(bool, map(grid.meanings, groups)))
        if len(meanings) == len(groups):
            coarsest = coarsest or cells
            # In a much finer grid can be read what nobody means: there nothing is left over.
            spare = left_over if cells < max(2 * coarsest, _COARSE_GRID) else None
            for reading in _adding_up(groups, meanings, (block[0] * block[1]).rational, spare, looked):
                yield cells == coarsest, reading


def nearest_reading(
    groups: Sequence[SizeGroup], block: Size, seam: Measure, unit: str, holds: Callable[[Reading], bool]
) -> Reading | None:
    """Of the readings in the coarsest grid that has all sizes, and that hold together, the one whose area is nearest to
    the block's. None: there is no such grid, or none of the first that were tried holds."""
    for cells in CELLS if _is_of_a_block(groups) else ():
        grid = Grid(block, cells, seam, unit, groups)
        meanings = list(takewhile(bool, map(grid.meanings, groups))) if grid.fits else []
        if len(meanings) == len(groups):
            found = (reading for reading in islice(product(*meanings), _MOST_NEAR) if holds(reading))
            return min(found, key=partial(_apart, groups, (block[0] * block[1]).rational), default=None)
    return None


def _is_of_a_block(groups: Sequence[SizeGroup]) -> bool:
    return len({group.size for group in groups}) <= _MOST_SIZES


def _apart(groups: Sequence[SizeGroup], area: Fraction, reading: Reading) -> Fraction:
    """How far what a reading fills is from an area."""
    return abs(sum((meant.area * group.count for meant, group in zip(reading, groups, strict=True)), -area))


def _adding_up(
    groups: Sequence[SizeGroup], meanings: Meanings, area: Fraction, left_over: LeftOver | None, looked: Iterator[int]
) -> Iterator[Reading]:
    """The readings that come to an area, or to what may be left over more; branches that cannot reach it are left.
    `looked` counts the beginnings that were looked at."""
    parts = lcm(area.denominator, *(meant.area.denominator for each in meanings for meant in each))

    def whole(area: Fraction) -> int:
        return area.numerator * (parts // area.denominator)

    fills = [[whole(meant.area) * group.count for meant in each] for group, each in zip(groups, meanings, strict=True)]
    slack = whole(_most_left_over(groups, meanings, area)) if left_over else 0
    sums = _sums(fills, whole(area))
    bounds = [tuple(sum(map(edge, fills[place:])) for edge in (min, max)) for place in range(len(fills) + 1)]
    chosen, asked = list[Meant](), 0

    def may_be_left(over: int) -> bool:
        """Whether so much is a number of half or quarter units, and such as the reading leaves over."""
        units = (whole(meant.area) for meant in chosen if meant.shape in TRIANGLES)
        return (
            left_over is not None
            and any(4 * over % unit == 0 for unit in units)
            and Fraction(over, parts) in left_over(chosen)
        )

    def further(place: int, left: int) -> Iterator[Reading]:
        nonlocal asked
        room, (least, most), rest = slack if asked < _MOST_ASKED else 0, bounds[place], sums[place]
        if not (least - room <= left <= most and (room or rest is None or left in rest)) or next(looked) > _MOST_LOOKED:
            return
        if place == len(groups):
            asked += left < 0
            if left == 0 or may_be_left(-left):
                yield tuple(chosen)
            return
        for meant, fill in zip(meanings[place], fills[place], strict=True):
            if place and groups[place].size == groups[place - 1].size and not _together(meant, chosen[-1]):
                continue
            if not _one_school(chosen, meant) or not _one_cut(groups, chosen, meant):
                continue
            chosen.append(meant)
            yield from further(place + 1, left - fill)
            chosen.pop()

    yield from further(0, whole(area))


def _sums(fills: Sequence[list[int]], area: int) -> list[set[int] | None]:
    """What the fills from each place on can come to, up to an area; the last is behind all. None: too many to keep."""
    sums: list[set[int] | None] = [{0}]
    for each in reversed(fills):
        rest = sums[-1]
        found = None if rest is None else {more for fill in {*each} for other in rest if (more := fill + other) <= area}
        sums.append(None if found is None or len(found) > _MOST_SUMS else found)
    return sums[::-1]


def _most_left_over(groups: Sequence[SizeGroup], meanings: Meanings, area: Fraction) -> Fraction:
    """Of triangles two of the largest units at most are left over, or of units of three cloths a good deal."""
    pairs = zip(groups, meanings, strict=True)
    quarters = {group.fabric for group, each in pairs for meant in each if meant.shape in TRIANGLES[2:4]}
    largest = max((meant.area for each in meanings for meant in each if meant.shape in TRIANGLES), default=Fraction())
    return area if len(quarters) > 2 else 2 * largest


def _together(first: Meant, second: Meant) -> bool:
    """Whether one list has squares of one size for both: those for triangles are all for the same, but for corners
    round a square on point, which may be as large as it, and tall triangles, which may be as high as they are."""
    on_point = not (first.finished[0].is_rational and second.finished[0].is_rational)
    tall = first.finished == second.finished and "tall triangle" in (first.shape, second.shape)
    return on_point or tall or first.shape == second.shape or not {first.shape, second.shape} & set(TRIANGLES)


def _one_cut(groups: Sequence[SizeGroup], chosen: Sequence[Meant], meant: Meant) -> bool:
    """Whether all that are meant for the same are cut in one size, but for halves of split units, which are fitted."""
    size = groups[len(chosen)].size
    if meant.shape in TRIANGLES[:2] and any(each.shape in TRIANGLES[2:4] for each in chosen):
        return True
    return all(each != meant or group.size == size for each, group in zip(chosen, groups, strict=False))


def _one_school(chosen: Sequence[Meant], meant: Meant) -> bool:
    """Whether all squares for triangles are cut with room to trim, or none; loose triangles are not trimmed, and follow
    the roomy ones they are as large as, or the strips of a half that they end."""
    triangles = [each for each in (*chosen, meant) if each.shape in TRIANGLES[:4]]
    roomy = {each.finished for each in triangles if each.shape.startswith("roomy")}
    exact = (each for each in triangles if not each.shape.startswith("roomy"))
    ends = {each.finished[0] - each.finished[1] for each in chosen if each.shape == "strip across a half"}
    return not roomy or all(
        each.shape == "hst" and (each.finished in roomy or each.finished[0] in ends) for each in exact
    )
