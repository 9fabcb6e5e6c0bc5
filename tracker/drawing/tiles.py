"""Rows and tops painted as tiles: each kind of block drawn once and put in its places."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracker.cloth.pieces import Facet
from tracker.drawing.canvas import INK, Sheet, Spot, Stretch, arrow_shape, closed
from tracker.drawing.pictures import tile_picture
from tracker.drawing.tile_layout import Layout, Tile, own_corner, upright
from tracker.drawing.view import ClothView
from tracker.exact.geometry import XY, Polygon, least
from tracker.work.steps import Size

MOST_PICTURES = 5_000
"""Signs of drawing that pictures of blocks may take on a sheet; beyond that tiles are plain."""
MOST_TILES = 300
"""How many tiles are drawn one by one."""
LEAST_NUMBER = 22
"""The least height of a block's number; smaller ones are left out."""
PAPER = "#f4f0e6"


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

    def paint(self, view: ClothView, tiles: Sequence[Tile], plain: Iterable[int] = ()) -> None:
        """Tiles in a view. The blocks numbered in `plain` are outlines only."""
        # What a triangle has beyond its seams lies under what is beside it.
        self._cloth(view, [tile for tile in tiles if tile.is_triangle])
        self._cloth(view, [tile for tile in tiles if not tile.is_triangle and tile.block is None])
        blocks = [tile for tile in tiles if tile.block is not None]
        self._blocks(view, blocks, set(plain))
        self._edges(view, blocks)

    def _cloth(self, view: ClothView, tiles: Sequence[Tile]) -> None:
        """Pieces of one cloth each."""
        view.areas([Facet(self.hanging(tile), tile.fabric) for tile in tiles if tile.fabric is not None])
        self._edges(view, tiles)

    def _edges(self, view: ClothView, tiles: Sequence[Tile]) -> None:
        shape = "".join(closed(view.spots(self.hanging(tile))) for tile in tiles)
        if shape:
            self.sheet.path(shape, "seam", INK, 4)

    def _blocks(self, view: ClothView, tiles: Sequence[Tile], blank: set[int]) -> None:
        plain = []
        for tile in tiles:
            assert tile.block is not None
            place = self.layout.place(tile.block)
            picture = None if tile.block in blank else self.picture(place.block, view)
            if picture is None:
                plain.append(tile)
                continue
            # The picture hangs from the block's own upper left corner, wherever that lies once it is turned.
            x, y = view.spot(self.hung(own_corner(tile.bounds, place.turn)))
            turn = place.turn + (45 if self.upright else 0)
            rotated = f" rotate({turn})" if turn else ""
            self.sheet.add(f'<use class="block" transform="translate({x} {y}){rotated}{picture}/>')
        shape = "".join(closed(view.spots(self.hanging(tile))) for tile in plain)
        if shape:
            self.sheet.add(f'<path class="place" fill="{PAPER}" d="{shape}"/>')

    def picture(self, key: str, view: ClothView) -> str | None:
        """The end of a `use` that shows a block as large as it is in a view; None where pictures have become too much.

        A transformation is open in it: ` scale(...)" href="..."`.
        """
        if self.drawn > MOST_PICTURES:
            return None
        before = self.sheet.defined
        picture, scale = tile_picture(self.sheet, self.plan, key)
        self.drawn += self.sheet.defined - before
        shown = view.scale * 10_000 // scale
        return f' scale({shown // 10_000}.{shown % 10_000:04})" href="#{picture}"'

    def numbers(self, view: ClothView, tiles: Iterable[Tile], upper: bool = True) -> None:
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
            turn = self.layout.place(tile.block).turn if upper else 0
            words.append((str(tile.block), (x, y - size // 3 if turn else y), size))
            if turn:
                ends = upper_edge_arrow((x, y + size * 9 // 16), size * 7 // 16, turn, self.upright)
                arrows.append(arrow_shape(ends, max(size // 6, 6)))
        self.sheet.letters(words, "numbers")
        self.sheet.arrows(arrows, "turned")


def upper_edge_arrow(middle: Spot, reach: int, turn: int, upright: bool) -> Stretch:
    """An arrow about a spot, pointing to where the upper edge of a turned block lies; `upright` on point."""
    dx, dy = {0: (0, -1), 90: (1, 0), 180: (0, 1), 270: (-1, 0)}[turn]
    if upright:
        # An eighth of a turn more; a slanting arrow reaches as far each way by three quarters.
        dx, dy, reach = dx - dy, dx + dy, reach * 3 // 4
    (x, y), far, high = middle, dx * reach, dy * reach
    return (x - far, y - high), (x + far, y + high)


def outline(view: ClothView, size: Size) -> None:
    """A strong edge round a rectangle lying at (0, 0)."""
    right, bottom = view.spot(size)
    shape = f"M{view.left} {view.top}H{right}V{bottom}H{view.left}Z"
    view.sheet.path(shape, "edge", INK, 7)
