"""Where all of a quilt's centre lies: each block, sash and triangle of each row as a tile.

A tile lies where its seams lie, in the places of `lattice`: finished, rows level. A quilt on point is turned upright
by an eighth of a turn.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

from tracker.cloth.moving import shift
from tracker.exact.geometry import XY, ZERO, Box, Polygon, box, rectangle
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.quilt.lattice import BLOCK, CORNER, CORNERSTONE, SIDE, TRIANGLES, LatticeRow, RowPart, rows_of
from tracker.work.pressed import PlacePressing
from tracker.work.steps import Checklist
from tracker.work.things import Kind


@dataclass(frozen=True)
class Tile:
    """One piece of a row: its shape on the lattice, and its cloth, or the number of its block."""

    kind: Kind
    polygon: Polygon
    fabric: str | None = None
    block: int | None = None

    @cached_property
    def bounds(self) -> Box:
        return box(self.polygon)

    @property
    def is_triangle(self) -> bool:
        return self.kind in TRIANGLES

    def moved(self, dx: Measure, dy: Measure = ZERO) -> Tile:
        """The tile shifted."""
        return replace(self, polygon=shift(dx, dy).polygon(self.polygon))

    def mirrored(self) -> Tile:
        """The tile as it lies when the row is turned over, left to right."""
        return replace(self, polygon=tuple((-x, y) for x, y in reversed(self.polygon)))


class Layout:
    """Where all of a quilt's centre lies, and which block, which way up (as drawn, where there is no checklist yet).
    `laid`: the blocks' numbers in the order of the places, where they are not numbered so."""

    def __init__(self, plan: Plan, checklist: Checklist | None = None, laid: Sequence[int] = ()) -> None:
        self.plan = plan
        self.rows = rows_of(plan, laid)
        self._place_of = {number: place for place, number in enumerate(laid)}
        pressed = list(chain.from_iterable(checklist.pressing.places)) if checklist is not None else []
        quilt = plan.quilt
        wanted = zip(quilt.blocks_in_order(), quilt.turns_in_order(), strict=True)
        self.places = pressed or [PlacePressing(key, 0, turn) for key, turn in wanted]

    @property
    def is_on_point(self) -> bool:
        return self.plan.quilt.setting == "on point"

    def place(self, block: int) -> PlacePressing:
        """What lies in the place of a block, by its number."""
        return self.places[self._place_of.get(block, block - 1)]

    def tiles(self, row: LatticeRow) -> list[Tile]:
        """The pieces of a row from left to right."""
        last = len(row.parts) - 1
        return [self._tile(row, part, place == 0, place == last) for place, part in enumerate(row.parts)]

    def _tile(self, row: LatticeRow, part: RowPart, first: bool, last: bool) -> Tile:
        bottom = row.top + row.height - 2 * self.plan.seam
        if part.kind == BLOCK:
            return Tile(BLOCK, rectangle(part.start, row.top, part.end, bottom), None, part.block)
        if part.kind in TRIANGLES:
            return Tile(part.kind, self._triangle(row, part, first), self.plan.quilt.setting_fabric)
        sash = self.plan.quilt.sash
        assert sash is not None
        start, end = part.start, part.end
        if self.is_on_point and row.kind is Kind.SASHES:
            # Ends run on to the quilt's edge: both of a single sash, one of the others.
            on = part.size[0] - (end - start) - 2 * self.plan.seam
            start = start - (on / 2 if first and last else on if first else ZERO)
            end = end + (on / 2 if first and last else on if last else ZERO)
        fabric = sash.cornerstone if part.kind == CORNERSTONE else sash.fabric
        return Tile(part.kind, rectangle(start, row.top, end, bottom), fabric)

    def _triangle(self, row: LatticeRow, part: RowPart, first: bool) -> Polygon:
        """A triangle as it is cut, its legs' seam allowances included."""
        seam, (width, height) = self.plan.seam, part.size
        left = row.left if row.kind is Kind.CORNER_ROW else part.start + seam - width if first else part.end - seam
        top = row.top - seam + part.drop
        right, bottom, x, y = left + width, top + height, left + width / 2, top + height / 2
        corners = {
            SIDE: {0: "BCD", 90: "ACD", 180: "ABD", 270: "ABC"},
            CORNER: {0: "MBC", 90: "TCD", 180: "ANd", 270: "ABU"},
        }[part.kind][part.turn]
        spots = {
            "A": (left, top), "B": (right, top), "C": (right, bottom), "D": (left, bottom), "d": (left, bottom),
            "M": (left, y), "N": (right, y), "T": (x, top), "U": (x, bottom),
        }  # fmt: skip
        return tuple(spots[name] for name in corners)


def bounds_of(tiles: Iterable[Tile]) -> Box:
    """The box round several tiles."""
    return box(corner for tile in tiles for corner in (tile.bounds[:2], tile.bounds[2:]))


def own_corner(bounds: Box, turn: int) -> XY:
    """Where the upper left corner of what lies in a box comes to lie, turned clockwise by so many degrees."""
    left, top, right, bottom = bounds
    return {0: (left, top), 90: (right, top), 180: (right, bottom), 270: (left, bottom)}[turn]


def upright(point: XY) -> XY:
    """A place of the lattice on point in the quilt as it hangs."""
    x, y = point
    return (x - y) / ROOT2, (x + y) / ROOT2
