"""Bringing all blocks of a quilt to one size: what each needs at a size, and which size costs least. Pure, exact.

Lengths are reckoned as whole numbers of grains, a part of the unit so fine that every figure, mark, mean and half is
one: hundreds of blocks are tried at every mark of the ruler, and again with each tap.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import isqrt, lcm

from tracker.fitting.block_measures import WAYS, BlockMeasures
from tracker.fitting.block_shape import BlockShape
from tracker.fitting.limits import EASED, EASED_WITH_CARE
from tracker.fitting.one_block import EASE, FITS, LEAVE, PRESS, REMAKE, SEW_AGAIN, STRIPS, TRIM, Treatment, seam_errors

SEWN_AGAIN_COSTS, MADE_ANEW_COSTS = 4, 25
"""The harm of a block that is sewn again, and of one with strips round it or made anew; 1 is a point less by 1/16 in,
or an edge eased by all that goes easily."""

Grains = int


@dataclass(frozen=True)
class _AsItLies:
    """A block in grains: the means, least and most of its measures across and down; whether it is crooked, and whether
    it stayed so."""

    mean: tuple[Grains, Grains]
    least: tuple[Grains, Grains]
    most: tuple[Grains, Grains]
    crooked: bool
    stays: bool


@dataclass(frozen=True)
class _Judged:
    do: str
    short: tuple[Grains, Grains]
    points: tuple[Grains, Grains]


@dataclass(frozen=True)
class Tried:
    """All blocks brought to one size: what each needs, in their order, and the harm of it all."""

    size: Fraction
    treatments: tuple[Treatment, ...]
    harm: Fraction


@dataclass(frozen=True)
class StripsRound:
    """Strips sewn round blocks to bring them to a size: how wide all are cut, and the least and most that shows."""

    cut: Fraction
    shows: tuple[Fraction, Fraction]


class OneSize:
    """Blocks of one kind as measured, to be brought to one size. `also`: a size that lies off the ruler's marks."""

    def __init__(self, shape: BlockShape, blocks: Sequence[BlockMeasures], also: Fraction = Fraction(1)) -> None:
        self.shape = shape
        self.blocks = tuple(blocks)
        self._grain = 6 * lcm(also.denominator, *(length.denominator for length in self._lengths()))
        limits = shape.limits
        self._agrees, self._shows, self._let_out = map(self._in_grains, (limits.agrees, limits.shows, limits.let_out))
        self._crooked, self._strip, self._allowed = map(self._in_grains, (limits.crooked, limits.strip, limits.allowed))
        self._points = [None if point is None else self._in_grains(point) for point in shape.points]
        self._oblong = self._in_grains(shape.planned[1] - shape.planned[0])
        self._lying = [self._lies(block) for block in self.blocks]

    def _lengths(self) -> list[Fraction]:
        shape, limits = self.shape, self.shape.limits
        measured = [figure for block in self.blocks for way in block.ways for figure in way]
        slants = [figure for block in self.blocks for figure in block.diagonals or ()]
        own = [limits.agrees, limits.shows, limits.let_out, limits.crooked, limits.strip, limits.allowed]
        points = [point for point in shape.points if point is not None]
        return [*measured, *slants, *own, *points, *shape.planned, shape.mark, shape.least, Fraction(1, 64)]

    def _in_grains(self, length: Fraction) -> Grains:
        grains = length * self._grain
        assert grains.denominator == 1, length
        return grains.numerator

    def _lies(self, block: BlockMeasures) -> _AsItLies:
        ways = [[self._in_grains(figure) for figure in way] for way in block.ways]
        slant = 0
        if block.diagonals is not None:
            slant = abs(self._in_grains(block.diagonals[0]) - self._in_grains(block.diagonals[1]))
        bent = max(max(abs(a - c), abs(2 * b - a - c) // 2) for a, b, c in ways)
        crooked = bent >= self._shows or slant * slant >= 2 * self._shows**2
        # Of a block that leans and stays so, only its largest square counts.
        lost = isqrt(slant * slant // 8) + 1 if block.again and slant * slant >= 2 * self._shows**2 else 0
        return _AsItLies(
            (sum(ways[0]) // 3, sum(ways[1]) // 3),
            (min(ways[0]) - lost, min(ways[1]) - lost),
            (max(ways[0]), max(ways[1])),
            crooked and not block.again,
            block.again and (bent > self._crooked or slant * slant > 2 * self._crooked**2),
        )

    # one block at one size

    def _judged(self, block: _AsItLies, size: Grains) -> _Judged:
        sizes = size, size + self._oblong
        short = max(0, sizes[0] - block.least[0]), max(0, sizes[1] - block.least[1])
        points = self._point_lost(block, 0, size), self._point_lost(block, 1, sizes[1])
        return _Judged(self._do(block, sizes, short, points), short, points)

    def _all_judged(self, size: Grains) -> list[_Judged]:
        return [self._judged(block, size) for block in self._lying]

    def _point_lost(self, block: _AsItLies, way: int, size: Grains) -> Grains:
        point = self._points[way]
        return 0 if point is None else max(0, (block.mean[way] - size) // 2 - point)

    def _do(
        self,
        block: _AsItLies,
        sizes: tuple[Grains, Grains],
        short: tuple[Grains, Grains],
        points: tuple[Grains, Grains],
    ) -> str:
        if block.stays:
            return REMAKE
        if block.crooked:
            return PRESS
        near = self._agrees
        if all(block.least[way] >= sizes[way] - near and block.most[way] <= sizes[way] + near for way in WAYS):
            return LEAVE
        off = [way for way in WAYS if short[way] * EASED_WITH_CARE > sizes[way] or points[way] > self._shows]
        if not off:
            return EASE if any(short) else TRIM
        if all(self._can_be_sewn_again(block, way, sizes[way]) for way in off):
            return SEW_AGAIN
        if all(sizes[way] - block.most[way] >= 2 * self._strip for way in WAYS):
            return STRIPS
        return REMAKE

    def _can_be_sewn_again(self, block: _AsItLies, way: int, size: Grains) -> bool:
        seams = self.shape.seams[way]
        return abs(size - block.mean[way]) * seams.denominator <= 2 * seams.numerator * self._let_out

    # all blocks at one size

    def _harm(self, judged: Sequence[_Judged], size: Grains) -> Fraction:
        squares, eased, more = 0, [0, 0], 0
        for each in judged:
            if each.do == PRESS:
                continue
            if each.do not in FITS:
                more += SEWN_AGAIN_COSTS if each.do == SEW_AGAIN else MADE_ANEW_COSTS
                continue
            squares += max(each.points) ** 2
            sizes = size, size + self._oblong
            worse = 0 if each.short[0] * sizes[1] >= each.short[1] * sizes[0] else 1
            eased[worse] += each.short[worse] ** 2
        return (
            more
            + Fraction(squares, self._allowed**2)
            + sum(Fraction(EASED**2 * eased[way], (size + way * self._oblong) ** 2) for way in WAYS)
        )

    def at(self, size: Fraction) -> Tried:
        """All blocks at a size, which may lie between the ruler's marks, if at no finer part than the figures."""
        if (size * self._grain).denominator != 1:
            return OneSize(self.shape, self.blocks, size).at(size)
        grains = self._in_grains(size)
        judged = self._all_judged(grains)
        treatments = tuple(self._treatment(each, block, size) for each, block in zip(judged, self.blocks, strict=True))
        return Tried(size, treatments, self._harm(judged, grains))

    def _treatment(self, judged: _Judged, block: BlockMeasures, size: Fraction) -> Treatment:
        short = Fraction(judged.short[0], self._grain), Fraction(judged.short[1], self._grain)
        points = Fraction(judged.points[0], self._grain), Fraction(judged.points[1], self._grain)
        sizes = self.shape.whole(size)
        let_out: list[Fraction | None] = [None, None]
        for way in WAYS if judged.do == SEW_AGAIN else ():
            if short[way] * EASED_WITH_CARE > sizes[way] or points[way] > self.shape.limits.shows:
                let_out[way] = (sizes[way] - block.mean(way)) / (2 * self.shape.seams[way])
        return Treatment(judged.do, short, points, (let_out[0], let_out[1]))

    # the common size

    @cached_property
    def smallest(self) -> Fraction:
        """The smallest measure of all, an oblong's heights as if they were widths."""
        return Fraction(min(self._smallest_of(block) for block in self._lying), self._grain)

    @cached_property
    def largest(self) -> Fraction:
        """The largest measure of all, likewise."""
        return Fraction(max(map(self._largest_of, self._lying)), self._grain)

    def _smallest_of(self, block: _AsItLies) -> Grains:
        return min(block.least[0], block.least[1] - self._oblong)

    def _largest_of(self, block: _AsItLies) -> Grains:
        return max(block.most[0], block.most[1] - self._oblong)

    @cached_property
    def sizes(self) -> tuple[Fraction, ...]:
        """The sizes to choose from: the ruler's marks from the smallest measure up to the planned size, and that."""
        planned = self.shape.planned[0]
        return tuple(sorted({planned, *self._marks(max(self.smallest, self.shape.least), planned)}))

    @cached_property
    def larger_sizes(self) -> tuple[Fraction, ...]:
        """The ruler's marks beyond the planned size, as far as any block reaches: to be tried, never proposed."""
        planned = self.shape.planned[0]
        return tuple(size for size in self._marks(planned, self.largest) if size > planned)

    def _marks(self, least: Fraction, most: Fraction) -> Iterator[Fraction]:
        mark = self.shape.mark
        return (number * mark for number in range(-(-least // mark), most // mark + 1))

    @cached_property
    def proposed(self) -> Fraction:
        """The planned size, where every block can be left, trimmed or eased to it; else the one of `sizes` with the
        least harm, the larger of equals."""
        planned = self.shape.planned[0]
        if all(each.do in FITS for each in self._all_judged(self._in_grains(planned))):
            return planned
        grains = {size: self._in_grains(size) for size in self.sizes}
        return min(grains, key=lambda size: (self._harm(self._all_judged(grains[size]), grains[size]), -size))

    @cached_property
    def keeps_it_down(self) -> tuple[str, Fraction] | None:
        """The one block without which the others could be larger, and how large; None where there is no such block."""
        if len(self.blocks) < 2 or self.proposed == self.shape.planned[0]:
            return None
        number = min(range(len(self.blocks)), key=lambda n: self._smallest_of(self._lying[n]))
        others = OneSize(self.shape, [*self.blocks[:number], *self.blocks[number + 1 :]])
        return (self.blocks[number].block, others.proposed) if others.proposed > self.proposed else None

    def strips(self, size: Fraction, frames: bool = False) -> StripsRound | None:
        """Strips all round to reach a size, one width for all that need them: coping strips, up to the ruler's mark, or
        (`frames`) those of a wide frame, round every block. None where no block is helped so."""
        does = [each.do for each in self.at(size).treatments]
        if STRIPS not in does:
            return None
        needing = [block for block, do in zip(self._lying, does, strict=True) if frames or do == STRIPS]
        limits, mark = self.shape.limits, self.shape.mark
        smallest = Fraction(min(map(self._smallest_of, needing)), self._grain)
        largest = Fraction(max(map(self._largest_of, needing)), self._grain)
        shows = (size - largest) / 2, (size - smallest) / 2
        cut, up_to = shows[1] + 2 * self.shape.seam + limits.room, limits.frame_mark if frames else mark
        return StripsRound(-(-cut // up_to) * up_to, shows)

    @cached_property
    def makers(self) -> dict[str, tuple[Fraction | None, Fraction | None]]:
        """The mean seam error of each maker, across and down, in the order in which they come."""
        return {
            maker: self._mean_error([block for block in self.blocks if block.maker == maker])
            for maker in dict.fromkeys(block.maker for block in self.blocks)
        }

    def _mean_error(self, blocks: Sequence[BlockMeasures]) -> tuple[Fraction | None, Fraction | None]:
        found: list[Fraction | None] = []
        for way in WAYS:
            errors = [error for block in blocks if (error := seam_errors(block, self.shape)[way]) is not None]
            found.append(sum(errors, Fraction()) / len(errors) if errors else None)
        return found[0], found[1]
