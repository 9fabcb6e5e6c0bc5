"""What hands do where four rectangles turn round a middle: the first seam is begun and left open, the others are sewn
round, and the first is closed at the end. Plain frozen data."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.measure import Measure
from tracker.work.whole_blocks import Nest


@dataclass(frozen=True)
class BeginSeam:
    """Lay `arm` on the upper edge of `base`, right sides together, their ends level at the `level` side ("right" or
    "left"), and sew from there for `sewn`. The rest of the seam stays open; beyond the base the arm stands out.
    """

    base: str
    arm: str
    level: str
    sewn: Measure
    nests: tuple[Nest, ...] = ()


@dataclass(frozen=True)
class SewArm:
    """Sew `arm` along the whole `edge` ("right", "bottom" or "left") of `base`, what is still open folded out of the
    way."""

    base: str
    arm: str
    edge: str
    nests: tuple[Nest, ...] = ()


@dataclass(frozen=True)
class CloseSeam:
    """Sew the seam that was begun, from the end of its stitches to the outer edge."""

    nests: tuple[Nest, ...] = ()


PartialSeams = BeginSeam | SewArm | CloseSeam

EDGES_ROUND = {"right": ("top", "right", "bottom", "left"), "left": ("top", "left", "bottom", "right")}
"""The edges of the middle in the order in which arms are sewn to them, by the side where the first is level."""
