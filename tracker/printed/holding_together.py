"""Whether what a reading makes of a block's cutting list can be sewn together: squares for triangles are even in number
and of two cloths, flipped squares are as many as the corners they go to, a middle on point has its corners.

Of pieced halves the short edges are loose triangles, as many as the large triangle is cells long: there squares need
not pair up, and of the last square a triangle may be left over.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import combinations

from tracker.exact.measure import ROOT2, Measure, on_mark
from tracker.printed.bare_patches import bare
from tracker.printed.block_readings import CELLS, TRIANGLES, Meant, Reading, SizeGroup
from tracker.printed.room_in_block import crowded
from tracker.work.steps import Size

_MOST_WITH_SPARE = {"hst": 8, "qst": 2}
"""Of more squares than these no unit is left over in a block that anybody prints."""


_FEWEST_SCRAPS = 16
"""A block of fewer pieces has at least two cloths."""


UNPAIRED, NO_CORNER, NO_ROOM, BARE = "unpaired", "no corner", "no room", "bare"


class _Made:
    """What a reading makes of a list, counted over all cloths."""

    def __init__(self, groups: Sequence[SizeGroup], reading: Sequence[Meant], block: Measure) -> None:
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
        if way in ("square", "rectangle"):
            return False
        if way in ("tall triangle", "side of a tall triangle"):
            names = "tall triangle", "side of a tall triangle"
            tall, sides = (self.counts.get((name, side), Counter()) for name in names)
            return tall.total() != sides.total() or bool((set(tall) & set(sides)) - {""})
        if way == "half rectangle":
            return self.count(way, side) % 2 == 1 or not self._paired(way, side)
        if way == "strip across a half":
            return self._across() is None
        if way == "part of a centre":
            one_cloth = len(self.counts[way, side]) == 1 and "" not in self.counts[way, side]
            return one_cloth or self.count(way, side) % 4 > 0 or self.count("hst", side / 2) < self.count(way, side) / 2
        if way == "flip":
            grid = self._of_the_grid(side) and self._shared(side)
            return not (self._trunk(side) or (grid and self._corners(self.count(way, side), side)))
        if way == "centre":
            return self.count("hst", side / 2) < 2 * self.count(way, side)
        if way == "qst" and self._are_geese(side):
            return False
        if way == "hst" and self._is_mixed(side):
            return not self._loose_ones(side)
        if way == "hst" and (self.is_loose(side) or self._ends_half(side)):
            return False
        if way == "qst" and self._is_split(side):
            return False
        if way == "hst" and not side.is_rational:
            return self.count(way, side) % 2 == 1 or not self._rings(side)
        one_cloth = way == "hst" and self._of_one_cloth(side)
        return self.count(way, side) % 2 == 1 or not (one_cloth or self._paired(way, side))

    def _of_one_cloth(self, side: Measure) -> bool:
        """Whether squares cut once can all be of one cloth: corners of a square in a square, two for each; of geese
        four at a time, four for each large square, the rest pairs; whole halves, no more than squares cut twice, whose
        cloths are others where they are more than one unit's."""
        halves, quarters = (self.counts.get((way, side), Counter()) for way in ("hst", "qst"))
        corners = self._middles(2 * side), self.count("qst", 2 * side)
        round_them = int(2 * corners[0])
        rest = halves.total() - round_them
        left = [halves - Counter({cloth: round_them}) for cloth in halves]
        pairs = list(halves) == [""] or any(2 * max(each.values(), default=0) <= rest for each in left)
        other = quarters.total() <= 2 or not set(halves) <= set(quarters) - {""}
        return (
            (corners[0] > 0 and rest >= 0 and (not rest or pairs))
            or (corners[1] > 0 and halves.total() >= 4 * corners[1])
            or (halves.total() <= quarters.total() and other)
        )

    def _are_geese(self, side: Measure) -> bool:
        """Whether squares cut twice are geese made four at a time: of the squares cut once for their corners four for
        each are of one cloth, or all there are of some, and the others pairs, or as few as those cut twice as large."""
        cloths, geese = self.counts.get(("hst", side / 2), Counter()), self.counts["qst", side]
        needed = 4 * geese.total()
        rest = cloths.total() - needed
        if rest <= 0 or list(cloths) == [""]:
            return rest >= 0 and self._seen(cloths, geese)
        some = [{c: cloths[c] for c in each} for n in range(1, len(cloths)) for each in combinations(cloths, n)]
        ways = [{cloth: needed} for cloth in cloths if cloths[cloth] >= needed]
        ways += [each for each in some if sum(each.values()) == needed]
        seen = (way for way in ways if self._seen(way, geese))
        left = [max(count - way.get(cloth, 0) for cloth, count in cloths.items()) for way in seen]
        return any(2 * most <= rest or rest <= self.count("qst", side / 2) for most in left)

    @staticmethod
    def _seen(corners: Mapping[str, int], geese: Counter[str]) -> bool:
        """Whether corners of every cloth can go on geese of others."""
        return all(not c or count <= 4 * (geese.total() - geese[c]) for c, count in corners.items())

    def _is_mixed(self, side: Measure) -> bool:
        """Whether of the squares cut once for a size some are cut with room to trim, some without."""
        shapes = {meant.shape for meant in self.reading if _way(meant) == "hst" and meant.finished[0] == side}
        return len(shapes) > 1

    def _loose_ones(self, side: Measure) -> bool:
        """Whether the squares without room are as many as the loose triangles of pieced halves need, and the others
        are pairs."""
        ways: dict[str, Counter[str]] = {"hst": Counter(), "roomy hst": Counter()}
        for group, each in zip(self.groups, self.reading, strict=True):
            if each.finished[0] == side and each.shape in ways:
                ways[each.shape][group.fabric] += group.count
        paired = list(ways["roomy hst"].values())
        return 2 * max(paired) <= sum(paired) and any(
            squares == ways["hst"].total()
            for small, large in self._halves()
            if small == side
            for _, squares, _ in self._loose(small, large)
        )

    def _is_split(self, side: Measure) -> bool:
        """Whether triangles of a size may be loose, for units of three cloths: of each there are squares cut once
        and cut twice (or the ones and the others are of different cloths), of none more than twice as many as of
        another, and what there is least of cut twice is of two cloths."""
        halves, quarters = (self.counts.get((way, side), Counter()) for way in ("hst", "qst"))
        alike = set(halves) == set(quarters) or not set(halves) & set(quarters)
        even = all(2 * min(each.values(), default=0) >= max(each.values(), default=1) for each in (halves, quarters))
        return len(quarters) > 2 and alike and even and sorted(quarters.values())[0] == sorted(quarters.values())[1]

    def no_squares(self, side: Measure) -> bool:
        """Whether triangles of this finished side may be sewn otherwise than two to a square."""
        return self.is_loose(side) or self._ends_half(side) or self._is_split(side)

    def _across(self) -> tuple[Measure, Measure, int] | None:
        """Of halves made of strips: how large the triangle in the corner is and the one that is the other half, and how
        many halves; where every half has every strip once, each as much longer as its neighbour as it is wide."""
        strips = sorted({meant.finished for meant in self.reading if meant.shape == "strip across a half"})
        counts = {self.count("strip across a half", legs) for legs, _ in strips}
        if len(counts) != 1 or len({step for _, step in strips}) != 1:
            return None
        (halves,), (first, step) = counts, strips[0]
        rising = all(legs == first + step * place for place, (legs, _) in enumerate(strips))
        small, large = first - step, strips[-1][0]
        squares = -(-halves // 2)
        ends = self.count("hst", small) == self.count("hst", large) == squares
        return (small, large, halves) if rising and ends else None

    def _ends_half(self, side: Measure) -> bool:
        """Whether triangles of this size are the ends of halves made of strips."""
        across = self._across()
        return across is not None and side in across[:2]

    def _middles(self, whole: Measure) -> Fraction:
        """How many middles on point there are, whole or pieced, for a square in a square of this finished side."""
        plain = sum(self.count(way, whole / ROOT2) for way in ("square", "flip")) if not whole.is_rational else 0
        of_rings = Fraction(self.count("hst", whole / 2 / ROOT2), 2)
        return self.count("centre", whole) + Fraction(self.count("part of a centre", whole), 4) + of_rings + plain

    def _rings(self, legs: Measure) -> bool:
        """Whether triangles whose long edge is on the grid go round as many middles, two squares for each, and larger
        ones round what comes of it, which is not on the grid."""
        middles, squares = self._middles(2 * legs), self.count("hst", legs)
        # What looks like a smaller ring may be the corners of other units.
        alone = middles - Fraction(self.count("hst", legs / ROOT2), 2)
        return squares in (2 * middles, 2 * alone) and squares <= self.count("hst", legs * ROOT2)

    def is_loose(self, side: Measure) -> bool:
        """Whether triangles of this finished side may be parts of pieced halves."""
        return any(side in sizes for sizes in self._halves())

    def _halves(self) -> list[tuple[Measure, Measure]]:
        """The finished sides of small and of large triangles that may make halves: the one goes into the other, the
        large ones are no pairs, and small ones are cut without room, since nobody trims a loose triangle."""
        sides = sorted(side for way, side in self.counts if way == "hst" and side.is_rational)
        exact = {meant.finished[0] for meant in self.reading if meant.shape == "hst"}
        alone = [
            side
            for side in sides
            if (self.count("hst", side) % 2 or not self._paired("hst", side)) and not self.count("square", side)
        ]
        both = ((small, large) for large in alone for small in sides if small < large and small in exact)
        return [pair for pair in both if on_mark(pair[1], pair[0]) and any(self._loose(*pair))]

    def _loose(self, small: Measure, large: Measure) -> Iterator[tuple[int, int, int]]:
        """If all large triangles make halves, or all but one: how many are left of the large ones, how many squares
        give the loose small ones, and how many triangles are left of those; where those are of one cloth, or as many of
        each of two, and the other squares are pairs."""
        cloths, cells = self.counts["hst", small], (large / small).__floor__()
        for odd in (0, 1):
            triangles = (2 * self.count("hst", large) - odd) * cells
            squares = -(-triangles // 2)
            paired = cloths.total() - squares
            seen = Counter(
                {cloth: count for cloth, count in cloths.items() if {cloth} != set(self.counts["hst", large])}
            )
            taken = map(Counter, self._of_one_or_two(seen if "" not in cloths else cloths, squares))
            pairs = any(2 * max((cloths - loose).values(), default=0) <= paired for loose in taken)
            if paired >= 0 and paired % 2 == 0 and pairs:
                yield odd, squares, 2 * squares - triangles

    @staticmethod
    def _of_one_or_two(cloths: Counter[str], squares: int) -> Iterator[dict[str, int]]:
        """So many squares taken of one cloth, or half of them of each of two."""
        ways: list[dict[str, int]] = [{cloth: squares} for cloth in cloths]
        if squares % 2 == 0:
            ways += [{first: squares // 2, second: squares // 2} for first, second in combinations(cloths, 2)]
        return (way for way in ways if all(cloths[cloth] >= count for cloth, count in way.items()))

    def left_over(self) -> set[Fraction]:
        """What areas of triangles may be left over: of one pair of squares one unit, or what pieced halves leave."""
        found = {Fraction()}
        for way, side in self.counts:
            count = self.count(way, side)
            few = way in _MOST_WITH_SPARE and count % 2 == 0 and count <= _MOST_WITH_SPARE[way]
            if few and side.is_rational and self._with_one_ground(way, side):
                found.add((side * side).rational)
        return found | self._of_halves() | self._of_split_units()

    def _with_one_ground(self, way: str, side: Measure) -> bool:
        """Whether half of the squares are of one cloth, and the others all go with it."""
        cloths = self.counts[way, side]
        return list(cloths) == [""] or 2 * max(cloths.values()) == cloths.total()

    def _of_split_units(self) -> set[Fraction]:
        """Units of three or four cloths are made by one of each, and of what their squares give up to half is left."""
        found: set[Fraction] = set()
        for side in {side for way, side in self.counts if way == "qst" and self._is_split(side)}:
            squares = self.count("qst", side) + self.count("hst", side)
            if side.is_rational:
                found.update((side * side).rational * quarters / 4 for quarters in range(1, 2 * squares + 1))
        return found

    def _of_halves(self) -> set[Fraction]:
        """Of large triangles one may be left over; of the small ones, as many for each half as it is long, one, and one
        unit of a pair."""
        found = set()
        across = self._across()
        if across is not None and across[2] % 2:
            found.add((across[0] * across[0] + across[1] * across[1]).rational / 2)
        for small, large in self._halves():
            for odd, squares, rest in self._loose(small, large):
                for units in (0, 2) if self.count("hst", small) > squares else (0,):
                    found.add((odd * large * large + (rest + units) * small * small).rational / 2)
        return found

    def _paired(self, way: str, side: Measure) -> bool:
        """Whether every square can lie on one of another cloth; where no cloths are named that is not asked."""
        cloths = self.counts[way, side]
        return list(cloths) == [""] or 2 * max(cloths.values()) <= cloths.total()

    def _of_the_grid(self, side: Measure) -> bool:
        """Whether a flipped square is so many cells of the grid of all the others, or a half of one; where all are of
        one size also a third or thereabouts (of a snowball a quarter)."""
        cell = self._cell or side
        alone = sum(way == "flip" for way, _ in self.counts) == 1
        parts = (cell / 2, *(cell * part for part in (Fraction(1, 3), Fraction(2, 3), Fraction(3, 4)) if alone))
        return on_mark(side, cell) or side in parts or (cell == self.block and side == cell / 4)

    @cached_property
    def _cell(self) -> Measure | None:
        """The largest cell of which all but flipped squares are so many."""
        others = (each for meant in self.reading if meant.shape != "flip" for each in meant.finished)
        sides = {each for each in others if each.is_rational}
        cells = (self.block / across for across in CELLS)
        return next((cell for cell in cells if all(on_mark(each, cell) for each in sides)), None)

    def _trunk(self, side: Measure) -> bool:
        """Whether flipped squares make a trunk or a stem: two of one cloth beside it and one across its end, each of so
        many halves of a cell and larger than half of the square they cover."""
        cell, cloths = self._cell, sorted(self.counts["flip", side].values())
        if cell is None or len(cloths) != 2 or cloths[1] != 2 * cloths[0] or not on_mark(side, cell / 2):
            return False
        covered = (
            group.count
            for group, meant in zip(self.groups, self.reading, strict=True)
            if meant.shape == "square" and side < meant.finished[0] < 2 * side
        )
        return sum(covered) == cloths[0]

    def _shared(self, side: Measure) -> bool:
        """Whether flipped squares of a size are two at least, of no cloth many more than of another, and of each larger
        pieces are of another cloth."""
        cloths = self.counts["flip", side]
        bases = {
            group.fabric
            for group, meant in zip(self.groups, self.reading, strict=True)
            if meant.shape in ("square", "rectangle", "centre") and self._is_larger(meant, side)
        }
        visible = all(not cloth or bases - {cloth} for cloth in cloths)
        return visible and cloths.total() > 1 and max(cloths.values()) <= 3 * min(cloths.values())

    @staticmethod
    def _is_larger(meant: Meant, side: Measure) -> bool:
        return max(meant.finished) > side and min(meant.finished) >= side

    def _corners(self, flips: int, side: Measure) -> bool:
        """Whether flipped squares are as many for each piece of a larger size, or of one cloth of it, on which they are
        seen. Where oblongs may be geese, but no flips are half of one, smaller ones are a slip."""
        bases: dict[Size, Counter[str]] = {}
        for group, meant in zip(self.groups, self.reading, strict=True):
            if meant.shape in ("square", "rectangle", "centre") and self._is_larger(meant, side):
                bases.setdefault(meant.finished, Counter())[group.fabric] += group.count
        geese = any(
            min(size) > side and max(size) == 2 * min(size) and not self.count("flip", min(size)) for size in bases
        )
        cloths = {*self.counts["flip", side]} - {""}
        return not geese and any(
            flips == times * count
            for size, each in bases.items()
            for times in self._at_once(side, size)
            for count in self._counts_of(each, side, size)
            if all(set(each) - {cloth} for cloth in cloths)
        )

    @staticmethod
    def _counts_of(cloths: Counter[str], side: Measure, base: Size) -> set[int]:
        """How many pieces of a size may have flipped squares: all, or those of one cloth; where these are half of an
        oblong, all; where they are larger than half of their square, all, or one for a stem."""
        if min(base) == side:
            return {cloths.total()} if max(base) == 2 * side else {*cloths.values(), cloths.total()}
        return {cloths.total(), 1} if 2 * side > min(base) else {*cloths.values(), cloths.total()}

    def _at_once(self, side: Measure, base: Size) -> tuple[int, ...]:
        """How many flipped squares a piece may have: where they are half of an oblong, two, as geese are made, or four,
        and on such an oblong go no smaller ones; two where they are larger than half of their square, with which go no
        smaller ones; four on the one piece of a block."""
        if min(base) == side:
            return (2, 4) if max(base) == 2 * side else (1,) if max(base) == side else (1, 2)
        if 2 * side == max(base) == min(base) and self.count("square", side):
            return 1, 2
        if max(base) == 2 * min(base):
            return ()
        if min(base) == self.block:
            return (4,)
        if 2 * side > min(base):
            smallest = all(side <= meant.finished[0] for meant in self.reading if meant.shape == "flip")
            oblong = any(meant.shape == "rectangle" and meant.finished[1] == side for meant in self.reading)
            return ((1, 2) if oblong else (2,)) if smallest else ()
        return 1, 2, 4


def _way(meant: Meant) -> str:
    return meant.shape.removeprefix("roomy ")


def left_over(groups: Sequence[SizeGroup], reading: Sequence[Meant]) -> frozenset[Fraction]:
    """How much more area than the block a reading may come to, since triangles are left over."""
    return frozenset(_Made(groups, reading, Measure()).left_over())


def odd_one(groups: Sequence[SizeGroup], reading: Reading, block: Size) -> tuple[int, str] | None:
    """The first group that does not hold together with the others, and how: triangles' squares that do not pair up;
    corners of a square in a square that are too few, flips for no corner; more of a size than have room. None: all do.
    """
    fabrics = {group.fabric for group in groups}
    made = _Made(groups, reading, block[0])
    if len(fabrics) == 1 and "" not in fabrics:
        # Scraps may have one name; but nobody makes units of one cloth.
        scraps = sum(group.count for group in groups) >= _FEWEST_SCRAPS
        places = (n for n, meant in enumerate(reading) if not scraps or meant.shape not in ("square", "rectangle"))
    else:
        places = (place for place, pair in enumerate(zip(groups, reading, strict=True)) if made.wrong(*pair))
    odd = next(places, None)
    astray = bare(groups, reading, block[0]) if odd is None else None
    if astray is not None:
        return astray, BARE if reading[astray].shape == "square" else NO_CORNER
    if odd is not None:
        return odd, UNPAIRED if reading[odd].shape in TRIANGLES else NO_CORNER
    over = crowded(groups, reading, block, made.no_squares)
    return None if over is None else (over, NO_ROOM)
