"""Pictures of finished blocks and of the quilt: how they will look, with the key of each cloth."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from fractions import Fraction
from itertools import accumulate

from tracker.cloth.moving import shift
from tracker.cloth.pieces import Facet
from tracker.drawing.canvas import FIGURE, INK, Sheet, closed
from tracker.drawing.scene import counted, named
from tracker.drawing.tile_layout import Layout, own_corner, upright
from tracker.drawing.view import ClothView, largest_scale
from tracker.exact.geometry import ONE, XY, ZERO, Box, Polygon, intersection, least, rectangle, without
from tracker.exact.kept import Kept
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.border_strips import pieced_border
from tracker.plan.diamond_star import star_pieces
from tracker.plan.model import Block, Cell, Plan, Quilt
from tracker.quilt.borders import mitred_border
from tracker.quilt.lattice import middle_on_point
from tracker.work.steps import Size

_EDGE = 20
_LETTERED = 24
"""The least height of letters inside a quilt's picture; smaller ones are left to the swatches below it."""
_SWATCH = 84
_BARE = 400
"""How large a bare drawing is, in drawing units."""
_PALE = ' opacity="0.3"'
_TILE = 300
"""How large a block is drawn that is then shown as a tile of any size."""

Laid = tuple[Size, list[tuple[str, XY, int]], list[Facet]]
"""The size without borders, each block with its upper left corner and its turn, and the cloth round the blocks."""


# Blocks


def block_drawing(plan: Plan, block: Block) -> str:
    """The picture of a finished block with its frames, each cloth lettered, as an `svg` element."""
    size = block.finished(plan.seam)
    sheet = Sheet(plan)
    view = ClothView(sheet, largest_scale((1000 - 2 * _EDGE, 1400), size), _EDGE, _EDGE)
    facets = list(block_facets(block, plan.seam))
    view.areas(facets)
    _seams(view, facets)
    view.letters(facets)
    sheet.width = view.whole(size[0]) + 2 * _EDGE
    title = f"{block.name}, a block of {named(plan, (facet.fabric for facet in facets))}."
    return sheet.finish(view.whole(size[1]) + 2 * _EDGE, title)


def block_facets(block: Block, seam: Measure) -> Iterator[Facet]:
    """The finished areas of a block, frames and all, its upper left corner at (0, 0)."""
    whole = rectangle(ZERO, ZERO, *block.finished(seam))
    if block.squared is None and block.squared_framed is None:
        yield from _as_sewn(block, seam)
        return
    for facet in _as_sewn(block, seam):
        seen = intersection(facet.polygon, whole)
        if seen is not None:
            yield Facet(seen, facet.fabric)


def _as_sewn(block: Block, seam: Measure) -> Iterator[Facet]:
    """The areas of a block before it is squared with its frames on: what is cut off lies beyond its edges."""
    width, height = block.inner_squared(seam)
    edge = (block.finished(seam)[0] - width) / 2
    kept, off = rectangle(edge, edge, edge + width, edge + height), (block.inner_finished[0] - width) / 2
    for facet in _picture_facets(block, edge - off):
        seen = intersection(facet.polygon, kept) if off else facet.polygon
        if seen is not None:
            yield Facet(seen, facet.fabric)
    left, top, right, bottom = edge, edge, edge + width, edge + height
    for frame in block.frames:
        shown = frame.cut - 2 * seam
        yield Facet(rectangle(left, top - shown, right, top), frame.fabric)
        yield Facet(rectangle(left, bottom, right, bottom + shown), frame.fabric)
        top, bottom = top - shown, bottom + shown
        yield Facet(rectangle(left - shown, top, left, bottom), frame.fabric)
        yield Facet(rectangle(right, top, right + shown, bottom), frame.fabric)
        left, right = left - shown, right + shown


def _picture_facets(block: Block, edge: Measure) -> Iterator[Facet]:
    """The areas of a block's picture, so far from the upper left: its cells', or the pieces of a star of diamonds."""
    if block.diamonds:
        for polygon, fabric in star_pieces(block):
            yield Facet(tuple((x + edge, y + edge) for x, y in polygon), fabric)
        return
    for cell in block.cells:
        yield from _cell_facets(block, cell, edge)


def _cell_facets(block: Block, cell: Cell, edge: Measure) -> Iterator[Facet]:
    x = edge + sum(block.columns[: cell.column], ZERO)
    y = edge + sum(block.rows[: cell.row], ZERO)
    width, height = block.cell_size(cell)
    for polygon, fabric in _quartered(cell):
        yield Facet(tuple((x + width * across, y + height * down) for across, down in polygon), fabric)


_CORNERS = ((ZERO, ZERO), (ONE, ZERO), (ONE, ONE), (ZERO, ONE))
_MIDDLE = (Measure(Fraction(1, 2)), Measure(Fraction(1, 2)))


def _quartered(cell: Cell) -> Iterator[tuple[Polygon, str]]:
    """The areas of one cell of side 1: quarters alike that lie side by side are one area."""
    if cell.is_plain:
        yield _CORNERS, cell.quarters[0]
        return
    taken: set[int] = set()
    for i in range(4):
        after = (i + 1) % 4
        if cell.quarters[i] == cell.quarters[after] and not {i, after} & taken:
            taken |= {i, after}
            yield (_CORNERS[i], _CORNERS[after], _CORNERS[(i + 2) % 4]), cell.quarters[i]
    for i in range(4):
        if i not in taken:
            yield (_CORNERS[i], _CORNERS[(i + 1) % 4], _MIDDLE), cell.quarters[i]


def _seams(view: ClothView, facets: Iterable[Facet], width: int = 5) -> None:
    shape = "".join(closed(view.spots(facet.polygon)) for facet in facets)
    if shape:
        view.sheet.path(shape, "seam", INK, width)


# The quilt


def quilt_drawing(plan: Plan, sewn: Collection[int] | None = None, swatches: bool = True) -> str:
    """All blocks of the quilt in their places with sashes, setting triangles and borders, as an `svg` element.

    Below it, if wanted, a swatch of each cloth with its key. With `sewn`, the numbers of blocks, only those are in full
    colour.
    """
    size, places, around = _on_point(plan) if plan.quilt.setting == "on point" else _straight(plan)
    whole = _add_borders(plan, size, around)
    edge = -least([ZERO, *(x for facet in around for x, _ in facet.polygon)])
    sheet = Sheet(plan)
    scale = largest_scale((1000 - 2 * _EDGE, 1400), whole)
    left = (1000 - ClothView(sheet, scale, 0, 0).whole(whole[0])) // 2
    view = ClothView(sheet, scale, left, _EDGE)
    view = view.shifted(view.whole(edge), view.whole(edge))
    pale = "" if sewn is None else _PALE
    sheet.add(f"<g{pale}>")
    view.areas(around)
    _seams(view, around, 3)
    view.letters(around, least=_LETTERED)
    sheet.add("</g>")
    blocks = {key: block_once(view, plan, key) for key in dict.fromkeys(plan.quilt.blocks_in_order())}
    for number, (key, corner, turn) in enumerate(places, 1):
        x, y = view.spot(corner)
        rotated = f" rotate({turn})" if turn else ""
        faint = "" if sewn is None or number in sewn else _PALE
        sheet.add(f'<use class="block"{faint} href="#{blocks[key][0]}" transform="translate({x} {y}){rotated}"/>')
    fabrics = list(dict.fromkeys(key for _, own in blocks.values() for key in own))
    fabrics += [key for key in dict.fromkeys(facet.fabric for facet in around) if key not in fabrics]
    height = view.whole(whole[1]) + 2 * _EDGE
    height = _swatches(sheet, fabrics, height) if swatches else height
    title = f"{plan.title}: {counted(len(places), 'block')} in place, of {named(plan, fabrics)}."
    return sheet.finish(height, title)


def bare_drawing(plan: Plan, title: str) -> str:
    """The blocks of a straight quilt in their places, cloths and seams alone: small, and read at any size."""
    size, places, _ = _straight(plan)
    sheet = Sheet(plan)
    view = ClothView(sheet, largest_scale((_BARE, _BARE), size), 0, 0)
    blocks = {}
    for key in dict.fromkeys(plan.quilt.blocks_in_order()):
        once = Sheet(plan)
        small = ClothView(once, view.scale, 0, 0)
        facets = list(block_facets(plan.blocks[key], plan.seam))
        small.areas(facets)
        _seams(small, facets, 4)
        blocks[key] = sheet.define(f"bare-{key}", f'<g id="{{id}}">{once.body}</g>')
    for key, corner, turn in places:
        x, y = view.spot(corner)
        rotated = f" rotate({turn})" if turn else ""
        sheet.add(f'<use href="#{blocks[key]}" transform="translate({x} {y}){rotated}"/>')
    sheet.width = view.whole(size[0])
    return sheet.finish(view.whole(size[1]), title)


def tile_picture(sheet: Sheet, plan: Plan, key: str) -> tuple[str, Fraction]:
    """Keep one kind of block as its cloths alone in the definitions; its id, and drawing units for a unit of length.

    It is the same in all drawings of a plan, so that many of them are packed well together.
    """
    block, once = plan.blocks[key], Sheet(plan)
    view = ClothView(once, largest_scale((_TILE, _TILE), block.finished(plan.seam)), 0, 0)
    view.areas(block_facets(block, plan.seam))
    return sheet.define(f"tile-{key}", f'<g id="{{id}}">{once.body}</g>'), view.scale


ONCE: Kept[tuple[str, list[str]]] = Kept(200)
"""Blocks as they are drawn into a quilt's picture, by all that they hang on: while a quilt is drawn, one changes."""


def block_once(view: ClothView, plan: Plan, key: str) -> tuple[str, list[str]]:
    """Draw one kind of block into the definitions, lettered where there is room; its id and its cloths."""
    block = plan.blocks[key]
    hangs_on = block, plan.seam, view.scale, tuple(plan.fabrics.values())
    body, cloths = ONCE.get(hangs_on, lambda: _drawn_once(view, plan, block))
    return view.sheet.define(f"block-{key}", f'<g id="{{id}}">{body}</g>'), cloths


def _drawn_once(view: ClothView, plan: Plan, block: Block) -> tuple[str, list[str]]:
    """What one block looks like on a sheet of its own, and its cloths."""
    once = Sheet(plan)
    small = ClothView(once, view.scale, 0, 0)
    facets = list(block_facets(block, plan.seam))
    small.areas(facets)
    _seams(small, facets, 3)
    small.letters(facets, least=_LETTERED)
    return once.body, [facet.fabric for facet in facets]


def _swatches(sheet: Sheet, fabrics: list[str], top: int) -> int:
    """A lettered square of each cloth in lines; the height of all that is drawn."""
    in_a_line = (sheet.width - 2 * _EDGE) // (_SWATCH + 12)
    for number, fabric in enumerate(fabrics):
        x = _EDGE + number % in_a_line * (_SWATCH + 12)
        y = top + number // in_a_line * (_SWATCH + 12)
        sheet.add(
            f'<rect class="swatch" x="{x}" y="{y}" width="{_SWATCH}" height="{_SWATCH}" '
            f'fill="{sheet.colour(fabric, "front")}" stroke="{INK}" stroke-width="5"/>'
        )
        size = min(FIGURE, _SWATCH * 16 // (10 * len(fabric)))
        sheet.letters([(fabric, (x + _SWATCH // 2, y + _SWATCH // 2), size)])
    return top + -(-len(fabrics) // in_a_line) * (_SWATCH + 12) + _EDGE - 12


def _straight(plan: Plan) -> Laid:
    quilt, seam = plan.quilt, plan.seam
    sash = ZERO if quilt.sash is None else quilt.sash.cut - 2 * seam
    sizes = {key: plan.blocks[key].finished(seam) for key in set(quilt.blocks_in_order())}
    widths = [sizes[key][0] for key in quilt.places[0]]
    heights = [sizes[row[0]][1] for row in quilt.places]
    lefts, tops = (
        list(accumulate(sides[:-1], lambda edge, side: edge + side + sash, initial=ZERO)) for sides in (widths, heights)
    )
    boxes = (
        (left, top, left + width, top + height)
        for top, height in zip(tops, heights, strict=True)
        for left, width in zip(lefts, widths, strict=True)
    )
    lying = zip(quilt.blocks_in_order(), boxes, quilt.turns_in_order(), strict=True)
    places = [(key, own_corner(box, turn), turn) for key, box, turn in lying]
    size = lefts[-1] + widths[-1], tops[-1] + heights[-1]
    across = list(zip(lefts, widths, strict=True))
    down = list(zip(tops, heights, strict=True))
    return size, places, list(_sashes(quilt, sash, across, down))


def _sashes(
    quilt: Quilt, sash: Measure, across: list[tuple[Measure, Measure]], down: list[tuple[Measure, Measure]]
) -> Iterator[Facet]:
    """Short sashes within each row; above each further row one long sash, or short ones with cornerstones between.

    `across` are the left edges and widths of columns of blocks, `down` the top edges and heights of rows.
    """
    if quilt.sash is None:
        return
    fabric, corner = quilt.sash.fabric, quilt.sash.cornerstone
    for top, height in down:
        for left, _ in across[1:]:
            yield Facet(rectangle(left - sash, top, left, top + height), fabric)
    right = across[-1][0] + across[-1][1]
    for top, _ in down[1:]:
        if corner is None:
            yield Facet(rectangle(ZERO, top - sash, right, top), fabric)
            continue
        for left, width in across:
            yield Facet(rectangle(left, top - sash, left + width, top), fabric)
        for left, _ in across[1:]:
            yield Facet(rectangle(left - sash, top - sash, left, top), corner)


def _on_point(plan: Plan) -> Laid:
    """Blocks standing on their points over the setting triangles' cloth; sashes lie beside their edges."""
    quilt = plan.quilt
    side = plan.blocks[quilt.places[0][0]].finished(plan.seam)[0]
    sash = ZERO if quilt.sash is None else quilt.sash.cut - 2 * plan.seam
    diagonal = (side + sash) * ROOT2
    # From the first block's point to the edge, less half a sash that no block has outside.
    floats = quilt.floats or ZERO
    edge = sash * ROOT2 / 2 - floats
    size = diagonal * len(quilt.places[0]) - 2 * edge, diagonal * ((len(quilt.places) + 1) // 2) - 2 * edge
    places: list[tuple[str, XY, int]] = []
    turns = quilt.turns_in_order()
    for row, keys in enumerate(quilt.places):
        for column, key in enumerate(keys):
            # A block turned by 45 degrees hangs from its upper corner, if it is not turned further.
            turn = next(turns)
            x, y = upright(own_corner((ZERO, ZERO, side, side), turn))
            left, top = diagonal * column + diagonal / 2 * (1 + row % 2) - edge, diagonal / 2 * row + floats
            places.append((key, (left + x, top + y), 45 + turn))
    return size, places, list(_round_slanting_blocks(plan, size))


def _round_slanting_blocks(plan: Plan, size: Size) -> Iterator[Facet]:
    """The triangles, sashes and cornerstones of a quilt on point, as far as they lie inside its centre."""
    layout, whole = Layout(plan), rectangle(ZERO, ZERO, *size)
    x, y = upright(middle_on_point(plan))
    moved = shift(size[0] / 2 - x, size[1] / 2 - y)
    rows = [layout.tiles(row) for row in layout.rows]
    for number, own in enumerate(rows):
        near = [tile for row in rows[max(number - 1, 0) : number + 2] for tile in row]
        for tile in (tile for tile in own if tile.fabric is not None):
            # What a triangle has beyond its seams lies under what is beside it.
            over = [other.polygon for other in near if not other.is_triangle] if tile.is_triangle else []
            over += [other.polygon for other in near[: near.index(tile)] if other.is_triangle and tile.is_triangle]
            for polygon in without([tile.polygon], over):
                seen = intersection(moved.polygon(tuple(map(upright, polygon))), whole)
                if seen is not None:
                    assert tile.fabric is not None
                    yield Facet(seen, tile.fabric)


def _add_borders(plan: Plan, size: Size, around: list[Facet]) -> Size:
    """Add borders to the cloth round the blocks, inner first, sides before top and bottom; the size with them."""
    left, top, right, bottom = ZERO, ZERO, *size
    for number, border in enumerate(plan.quilt.borders, 1):
        around += border_facets(plan, number, (left, top, right, bottom))
        wide = border.cut - 2 * plan.seam
        left, top, right, bottom = left - wide, top - wide, right + wide, bottom + wide
    return right - left, bottom - top


def border_facets(plan: Plan, number: int, inner: Box, ends: bool = True) -> list[Facet]:
    """The cloth of a border (from 1) round a box, sides before top and bottom; without `ends` its sides alone."""
    border, (left, top, right, bottom) = plan.quilt.borders[number - 1], inner
    wide = border.cut - 2 * plan.seam
    if border.mitred:
        return [Facet(each, border.fabric) for each in mitred_border(*inner, wide)]
    if border.is_pieced:
        strips = pieced_border(plan, number, inner)
        return [Facet(*each) for name in (strips if ends else ("left", "right")) for each in strips[name]]
    found = [Facet(rectangle(x, top, x + wide, bottom), border.fabric) for x in (left - wide, right)]
    if ends:
        begin, end = (left - wide, right + wide) if border.corners is None else (left, right)
        found += [Facet(rectangle(begin, y, end, y + wide), border.fabric) for y in (top - wide, bottom)]
    if ends and border.corners is not None:
        places = [(x, y) for y in (top - wide, bottom) for x in (left - wide, right)]
        found += [Facet(rectangle(x, y, x + wide, y + wide), border.corners) for x, y in places]
    return found
