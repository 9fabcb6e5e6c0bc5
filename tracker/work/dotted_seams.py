"""What hands do with seams that end at dots, inside the cloth, so that pieces can be set into the corners between them.
Plain frozen data.

A dot is where the seam lines along two edges of a piece cross: two short pencil lines on its back.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.geometry import Segment, Straight
from tracker.exact.measure import Measure


@dataclass(frozen=True)
class DottedPiece:
    """A piece sewn on: taken from `pile`, turned by `turn`, its bounding box at (x, y) of the base's as it lies opened.

    `seams` are its stitches, each from where it begins: along one line, or along two that begin at one dot.
    """

    pile: str
    turn: int
    x: Measure
    y: Measure
    seams: tuple[Segment, ...]

    @property
    def is_set_in(self) -> bool:
        """Whether it is set into a corner: its seams do not run on in one line."""
        lines = [Straight.through(*each) for each in self.seams]
        return not all(line.same_line(lines[0]) for line in lines)


@dataclass(frozen=True)
class SewToDots:
    """Sew pieces to `base`, right sides together, edges level, one after another: each seam to the dot, and no stitch
    beyond it; where there is no dot, off the edge. Two seams of a piece set it into a corner."""

    base: str
    pieces: tuple[DottedPiece, ...]


@dataclass(frozen=True)
class PressAside:
    """Press the seams just sewn, in order, each to one of its `sides` as seen from the front, walking as it was sewn:
    "right" or "left"; `cloths` are those that lie there."""

    sides: tuple[str, ...]
    cloths: tuple[str, ...]


DottedSeams = SewToDots | PressAside
