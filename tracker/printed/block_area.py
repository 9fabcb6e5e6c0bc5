"""A printed list without a plan: whether the finished areas of its pieces add up to the block's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from tracker.exact.measure import ROOT2, Measure, nearest
from tracker.plan.defaults import DEFAULTS
from tracker.printed.list_table import ListRow
from tracker.work.steps import Size

MOST_SQUARES = 6
"""Of so many sizes of squares every way of taking them is tried."""

_TRIMMING_ROOM = {"in": Fraction(1, 8), "cm": Fraction(3, 10)}
"""What a square is usually cut larger for each seam along its diagonal, where it is trimmed."""


@dataclass(frozen=True)
class AreaCheck:
    """Finished area of all the pieces of a list, against that of the block; `shapes` is how each row was taken."""

    pieces: Fraction
    block: Fraction
    shapes: tuple[str, ...]

    @property
    def difference(self) -> Fraction:
        return self.pieces - self.block


def check_areas(rows: Sequence[ListRow], finished: Size, seam: Measure, unit: str) -> AreaCheck:
    """Add up the finished areas. Where the list does not say what is made of its squares, a way of taking them that
    adds up is taken; where none does, each is taken as its fraction suggests."""
    block = (finished[0] * finished[1]).rational
    counts: dict[Size, int] = {}
    for row in rows:
        if not row.shape:
            counts[row.width, row.height] = counts.get((row.width, row.height), 0) + row.count
    said = sum((row.count * finished_area(row, row.shape, seam, unit) for row in rows if row.shape), Fraction())
    areas = {
        (size, shape): counts[size] * finished_area(ListRow(0, "", 1, *size), shape, seam, unit)
        for size in counts
        for shape in {*_readings(size), _reading(size, unit)}
    }
    taken = {size: _reading(size, unit) for size in counts}
    if sum(width == height for width, height in counts) <= MOST_SQUARES:
        for choice in product(*map(_readings, counts)):
            if said + sum(map(areas.__getitem__, zip(counts, choice, strict=True))) == block:
                taken = dict(zip(counts, choice, strict=True))
                break
    pieces = said + sum(areas[each] for each in taken.items())
    return AreaCheck(pieces, block, tuple(row.shape or taken[row.width, row.height] for row in rows))


def _readings(size: Size) -> list[str]:
    return ["square", "hst", "qst", "roomy hst", "roomy qst"] if size[0] == size[1] else ["rectangle"]


def _reading(size: Size, unit: str) -> str:
    """What a size is most likely for, by its fraction: 2 7/8 for half, 5 1/4 for quarter-square triangles."""
    if size[0] != size[1]:
        return "rectangle"
    if unit == "cm" or not size[0].is_rational:
        return "square"
    return {8: "hst", 4: "qst"}.get(size[0].rational.denominator, "square")


def finished_area(row: ListRow, shape: str, seam: Measure, unit: str) -> Fraction:
    """The area that one piece fills in the block; a corner flipped onto another piece fills nothing more, nor does what
    is no larger than its seams."""
    room, slant = 2 * seam, ROOT2 * seam
    if shape == "flip" or row.height <= room:
        return Fraction()
    if shape in ("rectangle", "square"):
        return ((row.width - room) * (row.height - room)).rational
    spare = _TRIMMING_ROOM[unit]
    exact = {
        "hst": row.width - room - slant,
        "roomy hst": row.width - room - slant - spare,
        "roomy qst": row.width - room - 2 * (slant + spare),
        "qst": row.width - room - 2 * slant,
        "hst8": row.width / 2 - room - slant,
        "hst4": (row.width - room) / ROOT2 - room,
    }[shape]
    # Squares for triangles are cut a little generously: their size is meant for the mark below.
    side = max(nearest(exact, DEFAULTS[unit].ruler), Measure())
    times = {"hst8": 4, "hst4": 2}.get(shape, 1)
    return times * (side * side).rational
