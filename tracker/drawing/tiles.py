"""Rows and tops as tiles: each kind of block drawn once and put in its places, sashes and triangles as they are cut.

A tile lies where its seams lie, in the places of `lattice`: finished, rows level. A quilt on point is turned upright
by an eighth of a turn.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

from tracker.cloth import Facet, shift
from tracker.drawing.canvas import INK, Sheet, arrow_shape, closed
from tracker.drawing.pictures import block_once
from tracker.drawing.view import View
from tracker.geometry import XY, ZERO, Box, Polygon, box, least, rectangle
from tracker.lattice import BLOCK, CORNER, CORNERSTONE, SIDE, Row, RowPart, rows_of
from tracker.measure import ROOT2, Measure
from tracker.plan import Plan
from tracker.work import Checklist, PlacePressing, Size

MOST_PICTURES = 5_000
"""Signs of drawing that pictures of blocks may take on a sheet; beyond that tiles are plain."""
MOST_TILES = 300
"""How many tiles are drawn one by one."""
LEAST_NUMBER = 22
"""The least height of a block's number; smaller ones are left out."""
PAPER = "#f4f0e6"


@dataclass(frozen=True)
class Tile:
    """One piece of a row: its shape on the lattice, and its cloth, or the number of its block."""

    kind: str
    polygon: Polygon
    fabric: str | None = None
    block: int | None = None

    @cached_property
    def bounds(self) -> Box:
        return box(self.polygon)

    @property
    def is_triangle(self) -> bool:
        return self.kind in (SIDE, CORNER)

    def moved(self, dx: Measure, dy: Measure = ZERO) -> Tile:
        """The tile shifted."""
        return replace(self, polygon=shift(dx, dy).polygon(self.polygon))

    def mirrored(self) -> Tile:
        """The tile as it lies when the row is turned over, left to right."""
        return replace(self, polygon=tuple((-x, y) for x, y in reversed(self.polygon)))


class Layout:
    """Where all of a quilt's centre lies, and which block, which way up."""

    def __init__(self, plan: Plan, checklist: Checklist) -> None:
        self.plan = plan
        self.rows = rows_of(plan)
        pressed = list(chain.from_iterable(checklist.pressing.places))
        self.places = pressed or [PlacePressing(key, 0, 0) for key in plan.quilt.blocks_in_order()]

    @property
    def is_on_point(self) -> bool:
        return self.plan.quilt.setting == "on point"

    def place(self, block: int) -> PlacePressing:
        """What lies in the place of a block, by its number."""
        return self.places[block - 1]

    def tiles(self, row: Row) -> list[Tile]:
        """The pieces of a row from left to right."""
        last = len(row.parts) - 1
        return [self._tile(row, part, place == 0, place == last) for place, part in enumerate(row.parts)]

    def _tile(self, row: Row, part: RowPart, first: bool, last: bool) -> Tile:
        bottom = row.top + row.height - 2 * self.plan.seam
        if part.kind == BLOCK:
            return Tile(BLOCK, rectangle(part.start, row.top, part.end, bottom), None, part.block)
        if part.kind in (SIDE, CORNER):
            return Tile(part.kind, self._triangle(row, part, first), self.plan.quilt.setting_fabric)
        sash = self.plan.quilt.sash
        assert sash is not None
        start, end = part.start, part.end
        if self.is_on_point and row.kind == "sashes":
            # Ends run on to the quilt's edge: both of a single sash, one of the others.
            on = part.size[0] - (end - start) - 2 * self.plan.seam
            start = start - (on / 2 if first and last else on if first else ZERO)
            end = end + (on / 2 if first and last else on if last else ZERO)
        fabric = sash.cornerstone if part.kind == CORNERSTONE else sash.fabric
        return Tile(part.kind, rectangle(start, row.top, end, bottom), fabric)

    def _triangle(self, row: Row, part: RowPart, first: bool) -> Polygon:
        """A triangle as it is cut, its legs' seam allowances included."""
        seam, (width, height) = self.plan.seam, part.size
        left = row.left if row.kind == "corner" else part.start + seam - width if first else part.end - seam
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


def upright(point: XY) -> XY:
    """A place of the lattice on point in the quilt as it hangs."""
    x, y = point
    return (x - y) / ROOT2, (x + y) / ROOT2


class Tiler:
    """Paints tiles on a sheet, their blocks as pictures while those are few and simple enough.

    With `hangs`, as they lie in the quilt that hangs: a quilt on point is turned upright.
    """

    def __init__(self, sheet: Sheet, layout: Layout, hangs: bool = False) -> None:
        self.sheet, self.layout, self.plan = sheet, layout, layout.plan
        self.upright = hangs and layout.is_on_point
        self.drawn = 0

    def hung(self, spot: XY) -> XY:
        """Where a place of the lattice lies in the view."""
        return upright(spot) if self.upright else spot

    def hanging(self, tile: Tile) -> Polygon:
        """A tile's shape as it lies in the view."""
        return tuple(map(self.hung, tile.polygon))

    def middle(self, tile: Tile) -> XY:
        """The middle of a tile as it lies in the view."""
        left, top, right, bottom = tile.bounds
        return self.hung(((left + right) / 2, (top + bottom) / 2))

    def paint(self, view: View, tiles: Sequence[Tile], plain: Iterable[int] = ()) -> None:
        """Tiles in a view. The blocks numbered in `plain` are outlines only."""
        # What a triangle has beyond its seams lies under what is beside it.
        self._cloth(view, [tile for tile in tiles if tile.is_triangle])
        self._cloth(view, [tile for tile in tiles if not tile.is_triangle and tile.block is None])
        blocks = [tile for tile in tiles if tile.block is not None]
        self._blocks(view, blocks, set(plain))
        self._edges(view, blocks)

    def _cloth(self, view: View, tiles: Sequence[Tile]) -> None:
        """Pieces of one cloth each."""
        view.areas([Facet(self.hanging(tile), tile.fabric) for tile in tiles if tile.fabric is not None])
        self._edges(view, tiles)

    def _edges(self, view: View, tiles: Sequence[Tile]) -> None:
        shape = "".join(closed(view.spots(self.hanging(tile))) for tile in tiles)
        if shape:
            self.sheet.path(shape, "seam", INK, 4)

    def _blocks(self, view: View, tiles: Sequence[Tile], blank: set[int]) -> None:
        plain = []
        for tile in tiles:
            assert tile.block is not None
            place = self.layout.place(tile.block)
            picture = None if tile.block in blank else self.picture(view, place.block)
            if picture is None:
                plain.append(tile)
                continue
            # The picture hangs from the block's upper left corner, which lies lower right once it is turned.
            x, y = view.spot(self.hung(tile.bounds[2:] if place.turn else tile.bounds[:2]))
            turn = place.turn + (45 if self.upright else 0)
            rotated = f" rotate({turn})" if turn else ""
            self.sheet.add(f'<use class="block" href="#{picture}" transform="translate({x} {y}){rotated}"/>')
        shape = "".join(closed(view.spots(self.hanging(tile))) for tile in plain)
        if shape:
            self.sheet.add(f'<path class="place" fill="{PAPER}" d="{shape}"/>')

    def picture(self, view: View, key: str) -> str | None:
        """The id of a block's picture, or None where pictures have become too much."""
        if self.drawn > MOST_PICTURES:
            return None
        before = self.sheet.defined
        picture, _ = block_once(view, self.plan, key, letters=False)
        self.drawn += self.sheet.defined - before
        return picture

    def numbers(self, view: View, tiles: Iterable[Tile], upper: bool = True) -> None:
        """The number of each block where there is room, and under it an arrow to where a turned block's top lies."""
        words, arrows = [], []
        for tile in tiles:
            if tile.block is None:
                continue
            left, top, right, bottom = tile.bounds
            side = view.whole(least((right - left, bottom - top)))
            size = min(side * 9 // 20, side * 8 // (5 * len(str(tile.block))), 60)
            if size < LEAST_NUMBER:
                continue
            x, y = view.spot(self.middle(tile))
            turned = upper and bool(self.layout.place(tile.block).turn)
            words.append((str(tile.block), (x, y - size // 3 if turned else y), size))
            if turned:
                tail, tip = (x, y + size // 8), (x, y + size)
                if self.upright:
                    tail, tip = (x + size // 3, y + size // 4), (x - size // 3, y + size * 9 // 10)
                arrows.append(arrow_shape((tail, tip), max(size // 6, 6)))
        self.sheet.letters(words, "numbers")
        self.sheet.arrows(arrows, "turned")


def outline(view: View, size: Size) -> None:
    """A strong edge round a rectangle lying at (0, 0)."""
    right, bottom = view.spot(size)
    shape = f"M{view.left} {view.top}H{right}V{bottom}H{view.left}Z"
    view.sheet.path(shape, "edge", INK, 7)
