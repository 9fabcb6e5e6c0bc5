"""The layout map: every block of the quilt in its place, as far as it has come, each of them a link."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from tracker.drawing import signs
from tracker.drawing.canvas import INK, Sheet, arrow_shape, closed
from tracker.drawing.tile_layout import Layout, Tile
from tracker.drawing.tiles import PAPER, Tiler, upper_edge_arrow
from tracker.drawing.view import ClothView, largest_scale
from tracker.exact.geometry import box, least
from tracker.exact.measure import Measure

WAITING, FINISHED, PLACED = "waiting", "finished", "placed"
"""How far a block has come: not finished yet, finished, in its place."""
PICTURED = "pictured"
"""Of a block that is shown where it will lie, however far it has come."""

MOST_PARTS = 600
"""How many pieces are on one map; larger quilts have several."""
SIDE = 100
"""How large the smallest block is, in drawing units."""
EDGE = 14
REM = 32
"""Drawing units for one letter's height: a block is three letters wide at least, so that a finger hits it."""
YELLOW = "#ffd23f"


@dataclass(frozen=True)
class Shown:
    """A block on the map: how far it has come, the letter of its version (empty where all are alike), what is said."""

    reached: str
    letter: str
    words: str


def pages_of(layout: Layout) -> list[list[Tile]]:
    """The quilt's tiles, row after row, in as many maps as are needed."""
    pages: list[list[Tile]] = [[]]
    for row in layout.rows:
        tiles = layout.tiles(row)
        for start in range(0, len(tiles), MOST_PARTS):
            part = tiles[start : start + MOST_PARTS]
            if pages[-1] and len(pages[-1]) + len(part) > MOST_PARTS:
                pages.append([])
            pages[-1] += part
    return pages


def layout_drawing(
    layout: Layout,
    tiles: Sequence[Tile],
    shown: Mapping[int, Shown],
    chosen: int | None = None,
    link: Callable[[int], str] | None = None,
) -> str:
    """One map as an `svg` element: placed blocks as pictures, others plain; `link` is where a block leads to."""
    sheet = Sheet(layout.plan)
    tiler = Tiler(sheet, layout, hangs=True)
    left, top, right, bottom = box(corner for tile in tiles for corner in tiler.hanging(tile))
    blocks = sorted((tile for tile in tiles if tile.block is not None), key=_number)
    side = least(_side(tile) for tile in blocks) if blocks else bottom - top
    view = ClothView(sheet, largest_scale((SIDE, SIDE), (side, side)), EDGE, EDGE)
    view = view.shifted(-view.whole(left), -view.whole(top))
    others = [tile for tile in tiles if tile.block is None]
    by = {reached: [tile for tile in blocks if _of(tile, shown).reached == reached] for reached in _ALL}
    tiler.paint(view, [*others, *blocks])
    _plain(view, tiler, by)
    _marked(view, tiler, blocks, shown)
    here = [tile for tile in blocks if tile.block == chosen]
    if here:
        sheet.path(closed(view.spots(tiler.hanging(here[0]))), "chosen", INK, 11, halo=9)
    if link is not None:
        for tile in blocks:
            _link(view, tiler, tile, shown, link)
    sheet.width, height = view.spot((right, bottom))[0] + EDGE, view.spot((right, bottom))[1] + EDGE
    if link is None:
        return sheet.finish(height, "Every block in its place.")
    counts = ", ".join(f"{len(by[reached])} {words}" for reached, words in _ALL.items())
    title = f"The blocks in their places: {counts}."
    return sheet.finish(height, title, "group", f"{-(-sheet.width // REM)}rem")


_ALL = {PLACED: "in place", FINISHED: "finished", WAITING: "not finished yet"}


def _number(tile: Tile) -> int:
    assert tile.block is not None
    return tile.block


def _of(tile: Tile, shown: Mapping[int, Shown]) -> Shown:
    return shown[_number(tile)]


def _side(tile: Tile) -> Measure:
    left, top, right, bottom = tile.bounds
    return least((right - left, bottom - top))


def _plain(view: ClothView, tiler: Tiler, by: Mapping[str, Sequence[Tile]]) -> None:
    """Blocks that do not lie yet: sewn ones in a strong yellow edge, to be laid; others pale, with a broken edge."""
    for reached, fill, line in (
        (WAITING, f'{PAPER}" fill-opacity="0.8', 'stroke="#6b6b6b" stroke-width="4" stroke-dasharray="10 8"'),
        (FINISHED, f'{YELLOW}" fill-opacity="0', f'stroke="{YELLOW}" stroke-width="11"'),
    ):
        shape = "".join(closed(view.spots(tiler.hanging(tile))) for tile in by[reached])
        if shape:
            view.sheet.add(f'<path class="{reached}" fill="{fill}" {line} d="{shape}"/>')


def _marked(view: ClothView, tiler: Tiler, blocks: Sequence[Tile], shown: Mapping[int, Shown]) -> None:
    """Numbers, letters of versions, arrows to where turned blocks' tops lie, ticks on those that lie."""
    numbers, letters, arrows = [], [], []
    for tile in blocks:
        assert tile.block is not None
        own, turn = _of(tile, shown), tiler.layout.place(tile.block).turn
        x, y = view.spot(tiler.middle(tile))
        lower = bool(own.letter or turn)
        numbers.append((str(tile.block), (x, y - 16 if lower else y), 44 if tile.block < 1000 else 32))
        if own.letter:
            letters.append((own.letter, (x - 16 if turn else x, y + 24), 34))
        if turn:
            middle = (x + 18 if own.letter else x, y + 24)
            arrows.append(arrow_shape(upper_edge_arrow(middle, 18, turn, tiler.upright), 9))
        if own.reached == PLACED:
            signs.junction(view.sheet, (x, y - 46) if tiler.upright else (x + 34, y - 34), True, 13)
    view.sheet.letters(numbers, "numbers")
    view.sheet.letters(letters, "versions")
    view.sheet.arrows(arrows, "turned")


def _link(view: ClothView, tiler: Tiler, tile: Tile, shown: Mapping[int, Shown], link: Callable[[int], str]) -> None:
    """What is touched: the whole tile."""
    assert tile.block is not None
    shape = closed(view.spots(tiler.hanging(tile)))
    view.sheet.add(
        f'<a id="place-{tile.block}" class="place" href="{escape(link(tile.block))}" '
        f'aria-label="{escape(_of(tile, shown).words)}"><path fill="#fff" fill-opacity="0" d="{shape}"/></a>'
    )
