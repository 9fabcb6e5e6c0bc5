"""Drawings of rows: blocks laid in their places, rows joined, pressed, cut level. Each gives its height and title.

Blocks are tiles here, told apart by their numbers: a row may hold hundreds of patches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise, takewhile

from tracker.cloth.pieces import Facet, Piece
from tracker.drawing import signs
from tracker.drawing.arrange import TAG, SheetRoom, dimension_room, lying
from tracker.drawing.canvas import INK, arrow_shape, closed
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene, counted, greyed
from tracker.drawing.tile_layout import Layout, Tile, bounds_of
from tracker.drawing.tiles import MOST_TILES, Tiler
from tracker.drawing.unit_steps import cut_off
from tracker.drawing.view import ClothView, largest_scale
from tracker.exact.geometry import ZERO, Box, box, greatest
from tracker.exact.measure import Measure
from tracker.quilt.lattice import BLOCK, LatticeRow, joined_count, left_end, places_of, upper_edge
from tracker.words.thing_words import upper_edge_lies
from tracker.work.pressed import SeamPress
from tracker.work.steps import PressSeams
from tracker.work.things import Kind, Thing
from tracker.work.whole_blocks import ClipEars, JoinParts, Nest, SetBlock

MOST_SHOWN = 40
"""How many parts of one row are drawn."""
IN_A_LINE = 5
"""How many blocks of a row are drawn in one line, so that their numbers are read on a phone."""


def row_of(layout: Layout, thing: Thing) -> LatticeRow | None:
    """The row that a thing is; None where it is none."""
    return next((row for row in layout.rows if row.thing == thing), None)


def rows_in(layout: Layout, thing: Thing) -> Sequence[LatticeRow]:
    """The rows that are joined in a thing, like `rows 1 to 3`; none in what is no joining of rows."""
    return layout.rows[: joined_count(layout.rows, places_of(layout.rows), thing)]


def _row_made(scene: Scene) -> LatticeRow:
    """The row that a step makes."""
    row = row_of(scene.layout, scene.made.thing)
    assert row is not None
    return row


# Blocks in their places


def draw_set(scene: Scene, action: SetBlock) -> Drawn:
    """The quilt with this step's blocks outlined and what was laid before; below it how a block lies, if turned."""
    layout = scene.layout
    tiles = [tile for row in layout.rows for tile in layout.tiles(row)]
    if len(tiles) > MOST_TILES:
        tiles = layout.tiles(next(row for row in layout.rows if row.kind is Kind.ROW and row.number == action.row))
        tiles = tiles[:MOST_TILES]
    wanted = set(scene.step.blocks or ())
    tiler = Tiler(scene.sheet, layout, hangs=True)
    bounds = box(corner for tile in tiles for corner in tiler.hanging(tile))
    turned = layout.is_on_point or bool(action.turn)
    below = 330 if turned else 0
    view, height = lying(scene.sheet, bounds, SheetRoom(bottom=below), widest=940, highest=540 + below)
    there = wanted | _laid_before(scene)
    others = [tile.block for tile in tiles if tile.block is not None and tile.block not in there]
    tiler.paint(view, tiles, others)
    here = [tile for tile in tiles if tile.block in wanted]
    scene.sheet.path("".join(closed(view.spots(tiler.hanging(tile))) for tile in here), "here", INK, 11, halo=6)
    tiler.numbers(view, here)
    if turned:
        _way_up(scene, layout, action, height - 320)
    lie = "block lies in its place" if len(wanted) == 1 else "blocks lie in their places"
    edge = upper_edge_lies(action.turn, layout.is_on_point)
    return height, f"{len(wanted)} {lie} in row {action.row}, upper edge {edge}."


def _laid_before(scene: Scene) -> set[int]:
    """The blocks that lie in their places before this step, as the list goes."""
    before = takewhile(lambda step: step.id != scene.step.id, scene.checklist.steps)
    return {block for step in before if isinstance(step.action, SetBlock) for block in step.blocks or ()}


def _way_up(scene: Scene, layout: Layout, action: SetBlock, top: int) -> None:
    """A block as it was made, a bar along its upper edge, and as it is to lie."""
    sheet, key = scene.sheet, scene.step.per
    size = scene.plan.blocks[key].finished(scene.plan.seam)
    view = ClothView(sheet, largest_scale((190, 190), size), 0, 0)
    tiler = Tiler(sheet, layout)
    width, high = view.whole(size[0]), view.whole(size[1])
    picture = tiler.picture(key, view)
    body = f'<use transform="{picture.lstrip()}/>' if picture else ""
    body += f'<path fill="none" stroke="{INK}" stroke-width="5" d="M0 0H{width}V{high}H0Z"/>'
    body += f'<path class="upper-edge" stroke="{INK}" stroke-width="22" d="M0 0H{width}"/>'
    angle = action.turn + (45 if layout.is_on_point else 0)
    for x, turn in ((290, 0), (710, angle)):
        where = f"translate({x} {top + 150}) rotate({turn}) translate({-width // 2} {-high // 2})"
        sheet.add(f'<g class="way-up" transform="{where}">{body}</g>')
    signs.then(sheet, (500, top + 150), downward=False)


# A row, part by part


@dataclass(frozen=True)
class RowLines:
    """The parts of a row in lines below one another, with gaps: each part's tile, and where its line begins.

    `seams` are where the seams after each part lie: x, and the line's top.
    """

    tiles: tuple[Tile, ...]
    seams: tuple[tuple[Measure, Measure], ...]
    lines: tuple[Measure, ...]
    bounds: Box


def in_lines(tiles: Sequence[Tile], gap: Measure, between: Measure) -> RowLines:
    """Tiles from left to right, broken into lines of at most IN_A_LINE blocks, `between` apart."""
    _, top, _, bottom = bounds_of(tiles)
    chunks = _chunks(tiles)
    placed, seams, tops = [], [], []
    drop = ZERO
    for chunk in chunks:
        start = chunk[0].bounds[0]
        tops.append(drop)
        for number, tile in enumerate(chunk):
            moved = tile.moved(gap * number - start, drop)
            placed.append(moved)
            seams.append((tile.bounds[2] + gap * number - start + gap / 2, drop))
        drop = drop + (bottom - top) + between
    return RowLines(tuple(placed), tuple(seams), tuple(tops), bounds_of(placed))


def _chunks(tiles: Sequence[Tile]) -> list[list[Tile]]:
    blocks = sum(tile.block is not None for tile in tiles) or len(tiles)
    lines = -(-blocks // IN_A_LINE)
    most = -(-len(tiles) // lines)
    return [list(tiles[i : i + most]) for i in range(0, len(tiles), most)]


def draw_join_row(scene: Scene, action: JoinParts) -> Drawn:
    """The parts of a row in order with the seams to sew between them, and a sign where seams meet."""
    layout, row = scene.layout, _row_made(scene)
    tiles = layout.tiles(row)[:MOST_SHOWN]
    side = _side(tiles)
    widest = greatest(tile.bounds[2] - tile.bounds[0] for tile in tiles)
    gap = greatest((side * Fraction(3, 10), widest / 6))
    lines = in_lines(tiles, gap, greatest((side, gap)) / 3)
    whole = scene.checklist.piles[scene.given].size
    view, height = lying(scene.sheet, lines.bounds, SheetRoom(20, 10, 60, 20))
    tiler = Tiler(scene.sheet, layout)
    tiler.paint(view, lines.tiles)
    tiler.numbers(view, lines.tiles)
    bottom = row.top + row.height - 2 * scene.plan.seam
    upper = row.top - scene.plan.seam + upper_edge(row, scene.plan.seam)
    for nests, (x, drop) in zip(action.nests, lines.seams, strict=False):
        view.stitches([((x, row.top + drop), (x, bottom + drop))])
        _meetings(view, [((x, upper + nest.along + drop), nest) for nest in nests], axis=1)
    parts = counted(len(row.parts), "part")
    size = f", together {scene.figures(whole)}" if whole is not None else ""
    return height, f"{parts} of {row.name} in order, with a seam between every two{size}{_nest_words(action.nests)}."


def _begun(name: str) -> str:
    """A row's name at the beginning of a sentence."""
    return name[0].upper() + name[1:]


def _side(tiles: Sequence[Tile]) -> Measure:
    """The height of a row's blocks, or of its sashes."""
    blocks = [tile for tile in tiles if tile.kind == BLOCK] or list(tiles)
    _, top, _, bottom = blocks[0].bounds
    return bottom - top


def _meetings(view: ClothView, found: Sequence[tuple[tuple[Measure, Measure], Nest]], axis: int) -> None:
    """A sign where seams meet: each one while there is room, else the ones that do not nest, or one tick for all."""
    if not found:
        return
    spots = [view.spot(place) for place, _ in found]
    apart = min((abs(b[axis] - a[axis]) for a, b in pairwise(spots)), default=99)
    if apart >= 30:
        for spot, (_, nest) in zip(spots, found, strict=True):
            signs.junction(view.sheet, spot, nest.nests, min(apart // 2 - 2, 22))
        return
    for spot, (_, nest) in zip(spots, found, strict=True):
        if not nest.nests:
            signs.junction(view.sheet, spot, nest.nests, 13)
    if all(nest.nests for _, nest in found):
        signs.junction(view.sheet, spots[len(spots) // 2], True, 22)


def _nest_words(nests: Sequence[Sequence[Nest]]) -> str:
    found = [nest for own in nests for nest in own]
    if not found:
        return ""
    good = sum(nest.nests for nest in found)
    words = f"; where seams meet, {good} of {len(found)} nest (a tick)"
    return words if good == len(found) else words + ", the others do not (a triangle)"


def draw_press_row(scene: Scene, action: PressSeams) -> Drawn:
    """A row from the back, and so mirrored, with an arrow for each seam."""
    layout, row = scene.layout, _row_made(scene)
    tiles = [tile.mirrored() for tile in reversed(layout.tiles(row))][:MOST_SHOWN]
    side = _side(tiles)
    lines = in_lines(tiles, ZERO, side / 3)
    view, height = lying(scene.sheet, lines.bounds, SheetRoom(10, TAG + 10, 10, 10))
    back(view, lines.tiles)
    Tiler(scene.sheet, layout).numbers(view, lines.tiles, upper=False)
    middle = row.top + side * (Fraction(4, 5) if row.kind is Kind.ROW else Fraction(1, 2))
    reach = min(max(view.whole(side) // 3, 30), 70)
    shapes = []
    for seam, (x, drop) in zip(reversed(action.seams[0]), lines.seams, strict=False):
        at, y = view.spot((x, middle + drop))
        way = -reach if seam.toward == seam.between[1] else reach
        shapes.append(arrow_shape(((at - way // 4, y), (at + way, y)), reach // 4))
    scene.sheet.arrows(reversed(shapes))
    scene.sheet.tag()
    signs.folded_back(scene.sheet)
    words = f"{_begun(row.name)} seen from the back: {counted(len(action.seams[0]), 'seam')}"
    return height, f"{words}, with an arrow to the side each allowance goes to."


def back(view: ClothView, tiles: Sequence[Tile]) -> None:
    """Tiles as their backs are seen: hatched, whatever cloth they are of."""
    hatch = view.sheet.define(
        "back",
        '<pattern id="{id}" width="24" height="24" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<rect width="24" height="24" fill="#f1efe9"/><path d="M2 0V24" stroke="#999" stroke-width="3"/></pattern>',
    )
    # What a triangle has beyond its seams lies under the blocks and sashes beside it.
    for own in ([tile for tile in tiles if tile.is_triangle], [tile for tile in tiles if not tile.is_triangle]):
        shape = "".join(closed(view.spots(tile.polygon)) for tile in own)
        if shape:
            line = f'stroke="{INK}" stroke-width="5" d="{shape}"'
            view.sheet.add(f'<path class="cloth back" fill="url(#{hatch})" {line}/>')


# Rows to each other


def draw_join_rows(scene: Scene, action: JoinParts) -> Drawn:
    """The lower edge of what is joined so far, the next row below it, and the seam between them."""
    layout = scene.layout
    rows = rows_in(layout, scene.made.thing)
    above, below = _upper_and_new(layout, rows)
    gap = _gap(above, below)
    new = [tile.moved(ZERO, gap) for tile in below]
    view, height = lying(scene.sheet, bounds_of([*above, *new]), SheetRoom(10, 40, 10, 20))
    tiler = Tiler(scene.sheet, layout)
    for tiles in (above, new):
        tiler.paint(view, tiles)
        tiler.numbers(view, tiles)
    y = rows[-1].top + gap / 2
    start, _, end, _ = _common(bounds_of(above), bounds_of(new))
    view.stitches([((start, y), (end, y))])
    origin = left_end(rows[:-1], scene.plan.seam)
    _meetings(view, [((nest.along + origin, y), nest) for nest in action.nests[0]], axis=0)
    whole = scene.checklist.piles[scene.given].size
    size = f"; together {scene.figures(whole)}" if whole is not None else ""
    hidden = len(rows) - 1 > 2
    seen = "The lower edge of what is joined so far" if hidden else "What is joined so far"
    return height, f"{seen} and {rows[-1].name} below it, with the seam between them{size}{_nest_words(action.nests)}."


def _upper_and_new(layout: Layout, rows: Sequence[LatticeRow]) -> tuple[list[Tile], list[Tile]]:
    """Tiles of the last rows joined so far, and of the new one; of very long rows the first."""
    before = [tile for row in rows[-3:-1] for tile in layout.tiles(row)[:MOST_TILES]]
    return before, layout.tiles(rows[-1])[:MOST_TILES]


def _gap(above: Sequence[Tile], below: Sequence[Tile]) -> Measure:
    """Room for a seam and its signs between two rows; points of triangles that stand out do not reach into it."""
    blocks = [tile for tile in (*above, *below) if tile.kind == BLOCK]
    side = _side(blocks or list(above))
    return side / 3


def _common(first: Box, second: Box) -> Box:
    """What two boxes have in common across."""
    left = first[0] if first[0] > second[0] else second[0]
    right = first[2] if first[2] < second[2] else second[2]
    return left, first[1], right, first[3]


def draw_press_rows(scene: Scene, seam: SeamPress) -> Drawn:
    """The last rows from the back, with arrows from their seam to the side its allowance goes to."""
    layout = scene.layout
    rows = rows_in(layout, scene.made.thing)
    above, below = ([tile.mirrored() for tile in tiles] for tiles in _upper_and_new(layout, rows))
    view, height = lying(scene.sheet, bounds_of([*above, *below]), SheetRoom(10, TAG + 10, 10, 10))
    back(view, [*above, *below])
    Tiler(scene.sheet, layout).numbers(view, [*above, *below], upper=False)
    start, _, end, _ = _common(bounds_of(above), bounds_of(below))
    y = rows[-1].top
    scene.sheet.line(view.ends(((start, y), (end, y))), "new-seam", INK, 12)
    way = 1 if seam.toward == seam.between[1] else -1
    shapes = []
    for share in (Fraction(1, 6), Fraction(1, 2), Fraction(5, 6)):
        x, at = view.spot((start + (end - start) * share, y))
        shapes.append(arrow_shape(((x, at - way * 50), (x, at + way * 60)), 20))
    scene.sheet.arrows(shapes)
    scene.sheet.tag()
    signs.folded_back(scene.sheet)
    where = "down" if way == 1 else "up"
    return height, f"Seen from the back: the seam between {rows[-1].name} and what was joined before goes {where}."


# Ears


def draw_clip_ears(scene: Scene, action: ClipEars) -> Drawn:
    """A row with what stands out above and below in grey, the ruler's edge along it."""
    layout, row = scene.layout, _row_made(scene)
    tiles = _ends_of(layout.tiles(row))
    bounds = bounds_of(tiles)
    left, _, right, _ = bounds
    upper, lower = row.top - scene.plan.seam, row.top + row.height - scene.plan.seam
    room = dimension_room(scene.figure(row.height), 60)
    view, height = lying(scene.sheet, bounds, replace(room, top=70, left=70), widest=640, highest=700)
    tiler = Tiler(scene.sheet, layout)
    tiler.paint(view, tiles)
    waste: list[Facet] = []
    for tile in tiles:
        if tile.fabric is not None:
            piece = Piece((Facet(tile.polygon, tile.fabric),))
            waste += cut_off(piece, (left, upper), (right, lower))[1]
    greyed(view, waste)
    tiler.numbers(view, tiles)
    for y in (upper, lower):
        (x1, at), (x2, _) = view.ends(((left, y), (right, y)))
        scene.sheet.line(((x1 - 40, at), (x2 + 40, at)), "cut-line", INK, 9, "24 10", halo=7)
    x, at = view.spot((right, upper))
    signs.cutter(scene.sheet, (x - 60, at), 90)
    scene.sheet.down(view.spot((left, upper))[1], view.spot((left, lower))[1], x + 60, scene.figure(row.height))
    return height, f"{_begun(row.name)} cut level, {scene.figure(row.height)} high; grey is cut off."


def _ends_of(tiles: Sequence[Tile]) -> list[Tile]:
    """A row, or of a long one both its ends, moved together with a gap."""
    if len(tiles) <= 9:
        return list(tiles)
    first, last = list(tiles[:4]), list(tiles[-4:])
    back_by = last[0].bounds[0] - first[-1].bounds[2] - _side(tiles) / 2
    return [*first, *(tile.moved(-back_by) for tile in last)]
