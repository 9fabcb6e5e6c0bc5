"""Whether what a reading makes of a block's cutting list has room beside each other in the block."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from tracker.exact.measure import Measure
from tracker.printed.block_readings import TRIANGLES, Meant, Reading, SizeGroup
from tracker.work.steps import Size

_UNITS_OF = {"hst": 1, "qst": 1, "hst8": 4, "hst4": 2, "square": 1, "rectangle": 1, "centre": 1, "tall triangle": 1}
"""Of one piece so many units as large as it finishes; of what is not named nothing is asked."""


def crowded(
    groups: Sequence[SizeGroup], reading: Reading, block: Size, is_loose: Callable[[Measure], bool]
) -> int | None:
    """The first group of a size of which so many do not lie beside each other in a block; None: there is room for all.
    `is_loose` says of which sides triangles may be no squares.

    Points are strewn as far apart as one of the sides: a unit covers as many at least as that side goes into it, and
    all together no more than go into the block.
    """
    units = list(_units(groups, reading, block, is_loose))
    for apart in sorted({min(size) for _, size, _ in units}):

        def points(size: Size, apart: Measure = apart) -> int:
            return (size[0] / apart).__floor__() * (size[1] / apart).__floor__()

        if sum(points(size) * count for _, size, count in units) > points(block):
            return next(place for place, size, _ in units if min(size) == apart)
    return None


def _units(
    groups: Sequence[SizeGroup], reading: Reading, block: Size, is_loose: Callable[[Measure], bool]
) -> Iterator[tuple[int, Size, int]]:
    """The units of each size, and the group they are first made of: two squares give two. Where triangles are left over
    there is one less."""
    filled = sum((meant.area * group.count for group, meant in zip(groups, reading, strict=True)), Fraction())
    spare = filled > (block[0] * block[1]).rational
    found: dict[tuple[Size, bool], tuple[int, int]] = {}
    for place, (group, meant) in enumerate(zip(groups, reading, strict=True)):
        triangles = meant.shape in TRIANGLES
        if not (triangles and (is_loose(meant.finished[0]) or _goes_round(meant, reading))):
            first, count = found.get((meant.finished, triangles), (place, 0))
            made = _UNITS_OF.get(meant.shape.removeprefix("roomy "), 0)
            found[meant.finished, triangles] = first, count + made * group.count
    for (size, triangles), (first, count) in found.items():
        yield first, size, count - (1 if triangles and spare else 0)


def _goes_round(meant: Meant, reading: Reading) -> bool:
    """Whether triangles may go round a middle or a goose, or be one: then they are no squares."""
    side = meant.finished[0]
    others = [each for each in reading if each.shape.endswith(("centre", "qst"))]
    geese = meant.shape.endswith("qst") and any(
        each.finished[0] * 2 == side for each in reading if each.shape in TRIANGLES
    )
    return geese or not side.is_rational or any(each.finished[0] == 2 * side for each in others)
