"""Blocks sewn by lot with the errors of real hands, measured with a ruler, and brought to one size: how near the seam
is told, and whether the advice, carried out on exact cloth, does what it says. Run by hand it prints the figures.

A block has five units a side, so four seams each way. A maker's seam is wrong by up to 3/64 in, every seam by 1/64 more
or less (standard deviation), every unit likewise; a block leans by up to 1/4. The ruler shows sixteenths.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

from sizing import square_shape

from tracker.fitting.block_measures import WAYS, BlockMeasures
from tracker.fitting.limits import EASED_WITH_CARE
from tracker.fitting.one_block import REMAKE, SEW_AGAIN, STRIPS, TRIM, Treatment, seam_errors
from tracker.fitting.one_size import OneSize

SHAPE = square_shape("10 1/2", seams="4", points="0")
PLANNED = SHAPE.planned[0]
SIDE = 5
GRAIN, MARK = 4096, Fraction(1, 16)
READ = MARK / 2
"""A measure is read so near."""


@dataclass(frozen=True)
class SewnBlock:
    """A block as it truly is: three widths and heights, its lean along the diagonals, and the mean error of the seams
    that each way's measures cross."""

    ways: tuple[tuple[Fraction, ...], tuple[Fraction, ...]]
    slant: Fraction
    seams: tuple[Fraction, Fraction]
    maker: str

    def measured(self, number: int, again: bool = False) -> BlockMeasures:
        """What a ruler shows of it."""
        across, down = (tuple(map(_read, way)) for way in self.ways)
        diagonal = _read(PLANNED * Fraction(14142, 10000))
        slants = diagonal, _read(diagonal + self.slant)
        return BlockMeasures(str(number), across, down, slants, self.maker, again)  # type: ignore[arg-type]


def _read(length: Fraction) -> Fraction:
    return round(length / MARK) * MARK


def _about(chance: Random, deviation: Fraction) -> Fraction:
    return Fraction(round(chance.gauss(0, float(deviation)) * GRAIN), GRAIN)


def sewn(chance: Random, maker: str, seam: Fraction) -> SewnBlock:
    """A block by a maker whose every seam is too wide by `seam`, more or less."""
    scatter, units = Fraction(1, 64), Fraction(1, 64)
    inside = [[seam + _about(chance, scatter) for _ in range(SIDE - 1)] for _ in range(SIDE)]
    long = [seam + _about(chance, scatter) for _ in range(SIDE - 1)]
    wide = [[_about(chance, units) for _ in range(SIDE)] for _ in range(SIDE)]
    high = [[_about(chance, units) for _ in range(SIDE)] for _ in range(SIDE)]
    lines = (0, SIDE // 2, SIDE - 1)
    across = tuple(PLANNED + sum(wide[row]) - 2 * sum(inside[row]) for row in lines)
    down = tuple(PLANNED + sum(row[column] for row in high) - 2 * sum(long) for column in lines)
    crossed = [error for row in lines for error in inside[row]]
    slant = Fraction(round(chance.uniform(-1, 1) * GRAIN * 0.25 * 1.41421), GRAIN)
    return SewnBlock((across, down), slant, (sum(crossed) / len(crossed), sum(long) / len(long)), maker)


def a_seam(chance: Random) -> Fraction:
    """How much too wide a maker sews."""
    return Fraction(chance.randint(-3 * GRAIN // 64, 3 * GRAIN // 64), GRAIN)


# How near the seam is told


def told_within(chance: Random, makers: int, blocks: int = 12) -> dict[str, tuple[int, int, int]]:
    """For single blocks and for makers of so many: how many times in all, and within 1/64 and 1/128 of the truth."""
    found: dict[str, list[Fraction]] = {"single blocks": [], "makers": []}
    for number in range(makers):
        seam = a_seam(chance)
        made = [sewn(chance, str(number), seam) for _ in range(blocks)]
        sizes = OneSize(SHAPE, [block.measured(n) for n, block in enumerate(made, 1)])
        for way in WAYS:
            for block, measures in zip(made, sizes.blocks, strict=True):
                error = seam_errors(measures, SHAPE)[way]
                assert error is not None
                found["single blocks"].append(abs(error - block.seams[way]))
            mean = sizes.makers[str(number)][way]
            assert mean is not None
            found["makers"].append(abs(mean - sum(block.seams[way] for block in made) / blocks))
    return {
        name: (len(off), sum(each <= Fraction(1, 64) for each in off), sum(each <= Fraction(1, 128) for each in off))
        for name, off in found.items()
    }


# The advice carried out


@dataclass
class CarriedOut:
    """What came of a quilt's blocks: how often each thing was done, how short the worst stayed beyond what easing
    allows, how much larger than the size any is left, and how much more of a point is gone than was said."""

    size: Fraction
    done: Counter[str]
    short: Fraction
    over: Fraction
    points: Fraction


def carried_out(chance: Random, blocks: Sequence[SewnBlock]) -> CarriedOut:
    """Bring blocks to the proposed size on exact cloth: pressed and measured again, sewn again, made again, trimmed."""
    size = OneSize(SHAPE, [block.measured(n) for n, block in enumerate(blocks, 1)]).proposed
    result = CarriedOut(size, Counter(), Fraction(), Fraction(), Fraction())
    for block in blocks:
        _bring(chance, block, size, result)
    return result


def _bring(chance: Random, block: SewnBlock, size: Fraction, result: CarriedOut) -> None:
    again = False
    for _ in range(4):
        each = OneSize(SHAPE, [block.measured(1, again)]).at(size).treatments[0]
        result.done[each.do] += 1
        if each.do == "press":
            # Pressed well it lies square; its cloth stays as it was cut and sewn.
            block, again = replace(block, slant=Fraction()), True
        elif each.do == SEW_AGAIN:
            block = _sewn_again(block, each)
        elif each.do in (STRIPS, REMAKE):
            block = replace(sewn(chance, block.maker, Fraction()), slant=Fraction())
        else:
            _finish(block, each, size, result)
            return
    # What will not come right in so many goes is made of new cloth with care.
    _finish(SewnBlock(((size,) * 3, (size,) * 3), Fraction(), (Fraction(),) * 2, block.maker), each, size, result)


def _sewn_again(block: SewnBlock, each: Treatment) -> SewnBlock:
    ways = tuple(
        tuple(length + 2 * SHAPE.seams[way] * (each.per_seam[way] or 0) for length in block.ways[way]) for way in WAYS
    )
    return replace(block, ways=ways)


def _finish(block: SewnBlock, each: Treatment, size: Fraction, result: CarriedOut) -> None:
    for way, lengths in enumerate(block.ways):
        mean = sum(lengths) / 3
        if each.do != "leave" and (each.do == TRIM or not each.short[way]):
            result.points = max(result.points, (mean - size) / 2 - each.points[way])
            lengths = [min(length, size) for length in lengths]
        result.short = max(result.short, size - min(lengths) - size / EASED_WITH_CARE)
        result.over = max(result.over, max(lengths) - size if each.do == "leave" else Fraction())


def quilt_by_lot(chance: Random, makers: int = 3, each: int = 4) -> list[SewnBlock]:
    """The blocks of several makers."""
    return [
        sewn(chance, str(maker), seam)
        for maker, seam in enumerate([a_seam(chance) for _ in range(makers)])
        for _ in range(each)
    ]


def main() -> None:
    """`sew_by_lot.py [MAKERS] [SEED]`."""
    makers, seed = int(sys.argv[1]) if len(sys.argv) > 1 else 500, int(sys.argv[2]) if len(sys.argv) > 2 else 1
    chance = Random(seed)
    for name, (tries, within_64th, within_128th) in told_within(chance, makers).items():
        print(
            f"seam of {name}: within 1/64 in {within_64th / tries:.1%}, "
            f"within 1/128 in {within_128th / tries:.1%} of {tries}"
        )
    results = [carried_out(chance, quilt_by_lot(chance)) for _ in range(makers)]
    done = sum((each.done for each in results), Counter())
    print("done with", makers * 12, "blocks:", ", ".join(f"{do} {times}" for do, times in done.most_common()))
    print(f"shorter than easing allows by at most {float(max(each.short for each in results)):.4f} in")
    print(f"left larger than the size by at most {float(max(each.over for each in results)):.4f} in")
    print(f"more of a point gone than said by at most {float(max(each.points for each in results)):.4f} in")
    many = [block.measured(n) for n, block in enumerate(quilt_by_lot(chance, 40, 10), 1)]
    began = time.process_time()
    sizes = OneSize(SHAPE, many)
    sizes.at(sizes.proposed)
    print(f"400 blocks reckoned in {time.process_time() - began:.3f} s of processor time")
    from sort_by_lot import print_sorting  # its solver is slow to load, and tests import this module

    print_sorting(chance, 20)


if __name__ == "__main__":
    main()
