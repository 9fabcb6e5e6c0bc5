"""Readings of lists of blocks that lie in no grid: patches on point with triangles along the edge, and a nine-patch
that is cut apart and sewn again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice, product, takewhile

from tracker.exact.measure import ROOT2, Measure, nearest
from tracker.printed.block_readings import Meant, Reading, SizeGroup
from tracker.work.steps import Size

ACROSS_ON_POINT = range(4, 17, 2)
"""So many halves of the smallest patch's diagonal may lie along the side of a block of patches on point."""

_MOST_TRIED = 5_000
"""Of so many readings on point the first are tried."""

_OFF = {"in": Fraction(1, 32), "cm": Fraction(1, 20)}
"""Patches on point are listed by the ruler's mark, and may be so much off the exact size."""

_ROOM = {"in": (Fraction(5, 16), Fraction(1, 2)), "cm": (Fraction(4, 10), Fraction(7, 10))}
"""How much larger than they must be squares are cut for triangles at corners and along edges."""


def other_reading(groups: Sequence[SizeGroup], block: Size, seam: Measure, unit: str) -> Reading | None:
    """What a list means that lies in no grid; None: it is not such a list."""
    if block[0] != block[1]:
        return None
    return _cut_apart(groups, block[0], seam) or next(_on_point(groups, block[0], seam, unit), None)


def _cut_apart(groups: Sequence[SizeGroup], block: Measure, seam: Measure) -> Reading | None:
    """Nine squares of one size, sewn, cut through the middle both ways and sewn again: one seam more each way."""
    (width, height), side = groups[0].size, groups[0].size[0] - 2 * seam
    nine = width == height and {group.size for group in groups} == {(width, height)}
    if not nine or sum(group.count for group in groups) != 9 or 3 * side - 2 * seam != block:
        return None
    share = (block * block).rational / 9
    return tuple(Meant("apart", (side, side), share) for _ in groups)


def _on_point(groups: Sequence[SizeGroup], block: Measure, seam: Measure, unit: str) -> Iterator[Reading]:
    """Readings of patches on point that fill the block: triangles of two squares at its corners, and others of which
    the long sides are the rest of its edge."""
    area = (block * block).rational
    for across in ACROSS_ON_POINT:
        cell = block / across
        meanings = list(takewhile(bool, (list(_meanings(group, cell, seam, unit)) for group in groups)))
        for reading in islice(product(*meanings), _MOST_TRIED) if len(meanings) == len(groups) else ():
            pairs = list(zip(groups, reading, strict=True))
            filled = sum((meant.area * group.count for group, meant in pairs), Fraction())
            if filled == area and _has_its_edge(pairs, block) and _has_its_geese(pairs):
                yield reading


def _meanings(group: SizeGroup, cell: Measure, seam: Measure, unit: str) -> Iterator[Meant]:
    patch, plain = cell * ROOT2, (group.size[0] - 2 * seam, group.size[1] - 2 * seam)
    sides = (patch * nearest(plain[0] / patch, 1), patch * nearest(plain[1] / patch, 1))
    near = all(side > 0 and abs(side - said) <= _OFF[unit] for side, said in zip(sides, plain, strict=True))
    if near and group.said in (None, "square", "rectangle"):
        yield Meant("square" if sides[0] == sides[1] else "rectangle", sides, (sides[0] * sides[1]).rational)
    if group.size[0] != group.size[1]:
        return
    if near and group.said in (None, "flip"):
        yield Meant("flip", sides, Fraction())
    for shape, said, seams, room in (
        ("corner triangle", "hst", 1, _ROOM[unit][0]),
        ("edge triangle", "qst", 2, _ROOM[unit][1]),
    ):
        exact = plain[0] - seams * ROOT2 * seam
        side = cell * (exact / cell).__floor__()
        if side > 0 and exact - side <= room and (group.said or said).removeprefix("roomy ") == said:
            yield Meant(shape, (side, side), (side * side).rational)


def _has_its_edge(pairs: Sequence[tuple[SizeGroup, Meant]], block: Measure) -> bool:
    """Whether four triangles at the corners, and those between them, go once round the block."""
    corners = [(group.count, meant.finished[0]) for group, meant in pairs if meant.shape == "corner triangle"]
    edges = [group.count * meant.finished[0] for group, meant in pairs if meant.shape == "edge triangle"]
    if sum(count for count, _ in corners) != 2 or len({side for _, side in corners}) != 1 or not edges:
        return False
    return 2 * corners[0][1] + sum(edges, Measure()) == block


def _has_its_geese(pairs: Sequence[tuple[SizeGroup, Meant]]) -> bool:
    """Whether flipped squares go two to every oblong twice as long as they are, and are seen on it."""
    for side in {meant.finished[0] for _, meant in pairs if meant.shape == "flip"}:
        flips, geese = Counter[str](), Counter[str]()
        for group, meant in pairs:
            if meant.shape == "flip" and meant.finished[0] == side:
                flips[group.fabric] += group.count
            elif meant.finished == (2 * side, side):
                geese[group.fabric] += group.count
        if flips.total() != 2 * geese.total() or set(flips) & set(geese) - {""}:
            return False
    return True
