"""A printed list without a plan: whether the finished areas of its pieces add up to the block's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from tracker.exact.measure import ROOT2, Measure, nearest
from tracker.plan.defaults import DEFAULTS
from tracker.printed.block_readings import TRIANGLES, Reading, SizeGroup, groups_of, nearest_reading, readings
from tracker.printed.holding_together import left_over, odd_one
from tracker.printed.list_table import ListRow
from tracker.printed.other_blocks import other_reading
from tracker.units.maker import ROOM
from tracker.work.steps import Size

UNFINISHED, AREA, DIAMONDS = "unfinished", "area", "diamonds"


@dataclass(frozen=True)
class AreaFinding:
    """What does not agree: the list fits a block that is `unfinished` as large as was said; squares for triangles that
    are `unpaired`; flipped squares for `no corner`, or the middle of a square in a square without its corners; units
    that have `no room` beside each other; patches that lie `bare`, where others belong on them; or the `area`. Of a
    list with `diamonds`, which no grid holds, nothing is reckoned. `line` is the first that it is about, if it is about
    one, `shape` what its pieces seem to be for, `count` how many there are, `size` how they are cut."""

    kind: str
    line: int | None = None
    shape: str = ""
    count: int = 0
    size: Size | None = None


@dataclass(frozen=True)
class AreaCheck:
    """Finished area of all the pieces of a list, against that of the block; `shapes` is how each row was taken. What
    does not agree is never without a finding."""

    pieces: Fraction
    block: Fraction
    shapes: tuple[str, ...]
    findings: tuple[AreaFinding, ...] = ()

    @property
    def difference(self) -> Fraction:
        """More than 0: the pieces are too large."""
        return self.pieces - self.block

    @property
    def agrees(self) -> bool:
        """Whether the list can be sewn to the block, as far as can be told without a plan."""
        return not self.findings


def check_areas(rows: Sequence[ListRow], finished: Size, seam: Measure, unit: str) -> AreaCheck:
    """Whether a list can be sewn to a block. Where it does not say what is made of its squares, a reading that holds
    together and adds up is taken; where none does, each is taken as its fraction suggests."""
    block, groups = (finished[0] * finished[1]).rational, groups_of(rows)
    if any(row.shape == "diamond" for row in rows):
        said = next(row for row in rows if row.shape == "diamond")
        shapes = tuple(row.shape or "not reckoned" for row in rows)
        return AreaCheck(block, block, shapes, (AreaFinding(DIAMONDS, said.line, "diamond", said.count),))
    odd: tuple[Reading, tuple[int, str]] | None = None
    spare = partial(left_over, groups)
    for coarsest, reading in readings(groups, finished, seam, unit, spare):
        wrong = odd_one(groups, reading, finished)
        if wrong is None:
            return AreaCheck(block, block, _shapes(rows, groups, reading))
        # In a finer grid triangles can be read that nobody means.
        likely = coarsest or not any(meant.shape in TRIANGLES for meant in reading)
        odd = odd or ((reading, wrong) if likely else None)
    other = other_reading(groups, finished, seam, unit)
    if other is not None:
        return AreaCheck(block, block, _shapes(rows, groups, other))
    room = 2 * seam
    inner = finished[0] - room, finished[1] - room
    fits_unfinished = min(inner) > 0 and any(
        odd_one(groups, reading, inner) is None for _, reading in readings(groups, inner, seam, unit, spare)
    )
    findings = [AreaFinding(UNFINISHED)] if fits_unfinished else []
    if odd is not None:
        reading, (place, kind) = odd
        count = _count(groups, reading, place)
        odd_ones = groups[place]
        findings.append(AreaFinding(kind, odd_ones.lines[0], reading[place].shape, count, odd_ones.size))
        return AreaCheck(block, block, _shapes(rows, groups, reading), tuple(findings))
    findings.append(AreaFinding(AREA))
    near = nearest_reading(groups, finished, seam, unit, lambda reading: odd_one(groups, reading, finished) is None)
    if near is not None:
        area = sum((meant.area * group.count for group, meant in zip(groups, near, strict=True)), Fraction())
        return AreaCheck(area, block, _shapes(rows, groups, near), tuple(findings))
    shapes = tuple(row.shape or likeliest((row.width, row.height), unit) for row in rows)
    areas = (row.count * finished_area(row, shape, seam, unit) for row, shape in zip(rows, shapes, strict=True))
    return AreaCheck(sum(areas, Fraction()), block, shapes, tuple(findings))


def _count(groups: Sequence[SizeGroup], reading: Reading, place: int) -> int:
    """How many pieces are taken for the same as those of a group, in its size."""
    alike = zip(groups, reading, strict=True)
    return sum(group.count for group, meant in alike if (meant, group.size) == (reading[place], groups[place].size))


def _shapes(rows: Sequence[ListRow], groups: Sequence[SizeGroup], reading: Reading) -> tuple[str, ...]:
    of_line = {line: meant.shape for group, meant in zip(groups, reading, strict=True) for line in group.lines}
    return tuple(of_line[row.line] for row in rows)


def likeliest(size: Size, unit: str) -> str:
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
    spare = ROOM[unit]
    if shape == "centre":
        side = nearest((row.width - room) * ROOT2, DEFAULTS[unit].ruler)
        return (side * side).rational / 2
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
