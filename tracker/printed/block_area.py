"""A printed list without a plan: whether the finished areas of its pieces add up to the block's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import ROOT2, Measure, nearest
from tracker.plan.defaults import DEFAULTS
from tracker.printed.block_readings import TRIANGLES, Reading, SizeGroup, groups_of, odd_one, readings
from tracker.printed.list_table import ListRow
from tracker.work.steps import Size

_TRIMMING_ROOM = {"in": Fraction(1, 8), "cm": Fraction(3, 10)}
"""What a square is usually cut larger for each seam along its diagonal, where it is trimmed."""

UNFINISHED, UNPAIRED, NO_CORNER, AREA = "unfinished", "unpaired", "no corner", "area"


@dataclass(frozen=True)
class AreaFinding:
    """What does not agree: the list fits a block that is `unfinished` as large as was said; squares for triangles that
    are `unpaired`; flipped squares for `no corner`, or the middle of a square in a square without its corners; or the
    `area`. `line` is the first that it is about, if it is about one, `shape` what its pieces seem to be for."""

    kind: str
    line: int | None = None
    shape: str = ""


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
    odd: tuple[Reading, int] | None = None
    for reading in readings(groups, finished, seam, unit):
        place = odd_one(groups, reading, finished[0])
        if place is None:
            return AreaCheck(block, block, _shapes(rows, groups, reading))
        odd = odd or (reading, place)
    room = 2 * seam
    inner = finished[0] - room, finished[1] - room
    fits_unfinished = min(inner) > 0 and any(
        odd_one(groups, reading, inner[0]) is None for reading in readings(groups, inner, seam, unit)
    )
    findings = [AreaFinding(UNFINISHED)] if fits_unfinished else []
    if odd is not None:
        meant, group = odd[0][odd[1]], groups[odd[1]]
        kind = UNPAIRED if meant.shape in TRIANGLES else NO_CORNER
        findings.append(AreaFinding(kind, group.lines[0], meant.shape))
        return AreaCheck(block, block, _shapes(rows, groups, odd[0]), tuple(findings))
    shapes = tuple(row.shape or likeliest((row.width, row.height), unit) for row in rows)
    areas = (row.count * finished_area(row, shape, seam, unit) for row, shape in zip(rows, shapes, strict=True))
    return AreaCheck(sum(areas, Fraction()), block, shapes, (*findings, AreaFinding(AREA)))


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
    spare = _TRIMMING_ROOM[unit]
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
