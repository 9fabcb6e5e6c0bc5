"""What one block's measures say, and what brings it to a size. Pure, exact."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import Measure, exact, nearest
from tracker.fitting.block_measures import WAYS, BlockMeasures
from tracker.fitting.block_shape import BlockShape
from tracker.fitting.limits import EASED, SizeLimits

LEAVE, TRIM, EASE = "leave", "trim", "ease"
PRESS, SEW_AGAIN, STRIPS, REMAKE = "press", "sew again", "strips", "remake"
"""What can be done with a block: `press` is to press and measure again, `strips` are sewn all round."""

FITS = (LEAVE, TRIM, EASE)
"""What brings a block to a size as it is."""

AS_PLANNED, SMALL, LARGE = "as planned", "small", "large"
TAPERING, BOWED, LEANING = "tapering", "bowed", "leaning"


def seam_errors(block: BlockMeasures, shape: BlockShape) -> tuple[Fraction | None, Fraction | None]:
    """How much too wide each seam is that its widths, and that its heights cross (less than 0: too narrow); None where
    they cross none."""
    across, down = (
        (shape.planned[way] - block.mean(way)) / (2 * shape.seams[way]) if shape.seams[way] else None for way in WAYS
    )
    return across, down


def seam_verdict(error: Fraction, limits: SizeLimits) -> str:
    """What a seam's error asks for: "right", "guide" (move it) or "test" (stop, and test the seam)."""
    if abs(error) < limits.right:
        return "right"
    return "guide" if abs(error) <= limits.guide else "test"


def findings(block: BlockMeasures, shape: BlockShape) -> tuple[str, ...]:
    """What its measures say, in order: crooked ways first, then its size; "as planned" where there is nothing else."""
    limits = shape.limits
    found = []
    if any(abs(block.taper(way)) >= limits.shows for way in WAYS):
        found.append(TAPERING)
    if any(abs(block.bow(way)) >= limits.shows for way in WAYS):
        found.append(BOWED)
    if block.lean is not None and block.lean >= limits.shows:
        found.append(LEANING)
    over = [block.mean(way) - shape.planned[way] for way in WAYS]
    if min(over) < -limits.agrees:
        found.append(SMALL)
    if max(over) > limits.agrees:
        found.append(LARGE)
    return tuple(found) or (AS_PLANNED,)


def lean_read(block: BlockMeasures, limits: SizeLimits) -> Measure | None:
    """Its lean as it is said: to the nearest 1/32 in or 0.1 cm."""
    return None if block.lean is None else nearest(block.lean, exact(limits.lean))


@dataclass(frozen=True)
class SeamOrUnits:
    """Whether seams or units are off, from two more figures: `seam` is each seam's error, `unit` the error of the units
    as they were made."""

    seam: Fraction
    unit: Fraction


def seam_or_units(inner: Fraction, end: Fraction, finished: Fraction, seam: Fraction) -> SeamOrUnits:
    """From an inner cell measured seam to seam, an end cell measured from the raw edge to its first seam, the cell's
    finished size and the seam allowance."""
    error = end - inner - seam
    return SeamOrUnits(error, inner - finished + 2 * error)


@dataclass(frozen=True)
class Treatment:
    """What brings a block to a size. `short`: by how much it is too small, across and down; `points`: how much of a
    point goes on a side; `per_seam`: by how much each seam is let out (less than 0: taken in), None where a direction
    needs it not."""

    do: str
    short: tuple[Fraction, Fraction]
    points: tuple[Fraction, Fraction]
    per_seam: tuple[Fraction | None, Fraction | None] = (None, None)

    def with_care(self, size: Fraction) -> bool:
        """Whether it is eased by more than goes easily."""
        return self.do == EASE and max(self.short) * EASED > size
