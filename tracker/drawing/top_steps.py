"""Drawings of the top: squared, laid on batting and backing, quilted.

Each gives its height and title.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracker.cloth.pieces import Facet
from tracker.drawing import signs
from tracker.drawing.arrange import SheetRoom, alone, dimension_room
from tracker.drawing.canvas import INK, THREAD, Sheet, closed, text_width
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.pictures import border_facets
from tracker.drawing.scene import Scene
from tracker.drawing.tile_layout import Layout, Tile, upright
from tracker.drawing.tiles import MOST_TILES, Tiler, outline
from tracker.drawing.view import ClothView, figure
from tracker.exact.geometry import ZERO, rectangle
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.quilt.lattice import middle_on_point
from tracker.work.steps import Size, Trim
from tracker.work.things import Kind, Thing
from tracker.work.whole_blocks import Layer, QuiltLayers


@dataclass(frozen=True)
class Top:
    """A top: its centre's finished size, how many borders are on it, and whether the sides of the next are.

    `size` is its finished size.
    """

    plan: Plan
    centre: Size
    borders: int
    sides: bool

    @property
    def size(self) -> Size:
        around = sum((self.wide(number) * 2 for number in range(self.borders)), ZERO)
        beside = self.wide(self.borders) * 2 if self.sides else ZERO
        return self.centre[0] + around + beside, self.centre[1] + around

    def wide(self, number: int) -> Measure:
        """How wide a border (from 0) is, finished."""
        return self.plan.quilt.borders[number].cut - 2 * self.plan.seam

    def strips(self) -> list[Facet]:
        """The cloth of the borders from the inner one on, the centre's upper left corner at (0, 0)."""
        left, top, right, bottom = ZERO, ZERO, *self.centre
        found = []
        for number in range(self.borders + self.sides):
            found += border_facets(self.plan, number + 1, (left, top, right, bottom), number < self.borders)
            wide = self.wide(number)
            left, top, right, bottom = left - wide, top - wide, right + wide, bottom + wide
        return found


def top_of(layout: Layout, thing: Thing, size: Size) -> Top:
    """The top that a thing is, with its borders so far; `size` is its unfinished size."""
    plan, sides = layout.plan, bool(thing.side)
    bare = Top(plan, (ZERO, ZERO), thing.number - sides, sides)
    room = 2 * plan.seam
    return replace(bare, centre=(size[0] - room - bare.size[0], size[1] - room - bare.size[1]))


def whole_top(layout: Layout, size: Size) -> Top:
    """The top with all its borders."""
    return top_of(layout, Thing(Kind.TOP, len(layout.plan.quilt.borders)), size)


def paint_top(sheet: Sheet, view: ClothView, layout: Layout, top: Top, numbers: bool = True) -> None:
    """A top whose upper left corner lies at (0, 0) of a view."""
    dx, dy = (top.size[0] - top.centre[0]) / 2, (top.size[1] - top.centre[1]) / 2
    inner = view.shifted(view.whole(dx), view.whole(dy))
    strips = top.strips()
    inner.areas(strips)
    _paint_centre(sheet, inner, layout, top.centre, numbers)
    edges = "".join(closed(inner.spots(facet.polygon)) for facet in strips)
    if edges:
        sheet.path(edges, "seam", INK, 4)


def _paint_centre(sheet: Sheet, view: ClothView, layout: Layout, size: Size, numbers: bool) -> None:
    tiles = all_tiles(layout)
    right, bottom = view.spot(size)
    if not tiles:
        sheet.add(f'<path class="place" fill="#f4f0e6" d="M{view.left} {view.top}H{right}V{bottom}H{view.left}Z"/>')
        outline(view, size)
        return
    tiler = Tiler(sheet, layout, hangs=True)
    if not layout.is_on_point:
        tiler.paint(view, tiles)
        if numbers:
            tiler.numbers(view, tiles)
    else:
        x, y = upright(middle_on_point(layout.plan))
        moved = view.shifted(view.whole(size[0] / 2 - x), view.whole(size[1] / 2 - y))
        shape = f'<rect x="{view.left}" y="{view.top}" width="{right - view.left}" height="{bottom - view.top}"/>'
        clip = sheet.define(f"centre-{view.left}-{view.top}", f'<clipPath id="{{id}}">{shape}</clipPath>')
        sheet.add(f'<g clip-path="url(#{clip})">')
        tiler.paint(moved, tiles)
        sheet.add("</g>")
        if numbers:
            tiler.numbers(moved, tiles)
    outline(view, size)


def all_tiles(layout: Layout) -> list[Tile]:
    """All tiles of the centre, or none where they are too many to be drawn one by one."""
    if sum(len(row.parts) for row in layout.rows) > MOST_TILES:
        return []
    return [tile for row in layout.rows for tile in layout.tiles(row)]


# Squaring


def draw_square(scene: Scene, action: Trim) -> Drawn:
    """The top (or quilt, or backing) with the lines that it is cut along, and its size."""
    layout = scene.layout
    thing = scene.made.thing
    size = action.width, action.height
    room = replace(dimension_room(scene.figure(size[1]), 60, 66), left=70, top=60)
    view, height = alone(scene.sheet, size, room, highest=700)
    seam = scene.plan.seam
    inside = view.shifted(view.whole(seam), view.whole(seam))
    if thing.kind is Kind.BACKING:
        view.areas([Facet(rectangle(ZERO, ZERO, *size), _fabric(scene))], "back")
    elif thing.kind is Kind.TOP and action.turn:
        _turned_centre(scene, inside, layout, size)
    else:
        quilted = thing.kind is Kind.QUILT
        top = whole_top(layout, size) if quilted else top_of(layout, thing, size)
        _under(scene, view, size, quilted)
        paint_top(scene.sheet, inside, layout, top)
    _cut_round(scene, view, size)
    words = {Kind.QUILT: "The quilt, batting and backing cut level with the top", Kind.BACKING: "The backing squared"}
    said = words.get(thing.kind, "The top squared")
    if action.turn and thing.kind is Kind.TOP:
        beyond = scene.figure(seam + (scene.plan.quilt.floats or ZERO))
        said += f", turned so that blocks stand on their points, {beyond} beyond every point"
    return height, f"{said}: {scene.figures(size)}."


def _fabric(scene: Scene) -> str:
    return scene.checklist.piles[scene.given].fabrics[0]


def _turned_centre(scene: Scene, view: ClothView, layout: Layout, size: Size) -> None:
    """The rows turned upright, with the triangles' edges that stand out beyond the lines to cut."""
    tiles = all_tiles(layout)
    finished = size[0] - 2 * scene.plan.seam, size[1] - 2 * scene.plan.seam
    if not tiles:
        _paint_centre(scene.sheet, view, layout, finished, True)
        return
    x, y = upright(middle_on_point(scene.plan))
    moved = view.shifted(view.whole(finished[0] / 2 - x), view.whole(finished[1] / 2 - y))
    tiler = Tiler(scene.sheet, layout, hangs=True)
    tiler.paint(moved, tiles)
    tiler.numbers(moved, tiles)


def _under(scene: Scene, view: ClothView, size: Size, layers: bool) -> None:
    """What stands out beyond the edge: layers to be cut off, or a little of the seam allowance."""
    by = 44 if layers else 0
    right, bottom = view.spot(size)
    scene.sheet.add(
        f'<path class="waste" fill="#c8c8c8" stroke="#6b6b6b" stroke-width="3" stroke-dasharray="10 6" '
        f'd="M{view.left - by} {view.top - by}H{right + by}V{bottom + by}H{view.left - by}Z"/>'
    )


def _cut_round(scene: Scene, view: ClothView, size: Size) -> None:
    right, bottom = view.spot(size)
    shape = f"M{view.left} {view.top}H{right}V{bottom}H{view.left}Z"
    scene.sheet.path(shape, "cut-line", INK, 9, "24 10", halo=7)
    signs.cutter(scene.sheet, (right, bottom - (bottom - view.top) // 5))
    scene.sheet.across(view.left, right, bottom + 80, scene.figure(size[0]))
    scene.sheet.down(view.top, bottom, right + 66, scene.figure(size[1]))


# Layers


def draw_layers(scene: Scene, action: Layer) -> Drawn:
    """The top in the middle of the layers under it, which stand out on every side."""
    layout = scene.layout
    size = scene.size_of(action.top)
    names = [name for name, there in (("backing", action.backing), ("batting", action.batting)) if there is not None]
    room = SheetRoom(120, 120, 120, 120)
    view, height = alone(scene.sheet, size, room, highest=840)
    right, bottom = view.spot(size)
    for name, by in zip(names, (100, 50) if len(names) == 2 else (80,), strict=True):
        _layer(scene, name, action, (view.left - by, view.top - by, right + by, bottom + by))
    seam = scene.plan.seam
    paint_top(scene.sheet, view.shifted(view.whole(seam), view.whole(seam)), layout, whole_top(layout, size))
    beyond = figure(action.beyond, scene.plan)
    outer = 100 if len(names) == 2 else 80
    y = (view.top + bottom) // 2
    scene.sheet.arrow(((right, y), (right + outer, y)), "gauge", 12, both=True)
    spot = (right + outer // 2, y - 60)
    scene.sheet.text((min(spot[0], scene.sheet.width - text_width(beyond) // 2 - 8), spot[1]), beyond)
    under = " and ".join(names)
    return height, f"The top face up in the middle of the {under}: {beyond} {scene.plan.unit} more on every side."


def _layer(scene: Scene, name: str, action: Layer, edges: tuple[int, int, int, int]) -> None:
    """Backing, its back up, or batting, white with dots; its name on its upper edge."""
    left, top, right, bottom = edges
    fill = "#fff"
    if name == "backing":
        assert action.backing is not None
        fill = scene.sheet.colour(scene.checklist.piles[action.backing].fabrics[0], "back")
    shape = f"M{left} {top}H{right}V{bottom}H{left}Z"
    scene.sheet.add(f'<path class="layer" fill="{fill}" stroke="{INK}" stroke-width="6" d="{shape}"/>')
    scene.sheet.text((left + 16, top + 26), name, 40, "layer-name", "start")


def draw_quilting(scene: Scene, action: QuiltLayers) -> Drawn:
    """The quilt with lines of stitches over it, from the middle outward."""
    layout = scene.layout
    size = scene.size_of(scene.given)
    view, height = alone(scene.sheet, size, SheetRoom(20, 20, 20, 20), highest=800)
    seam = scene.plan.seam
    inside = view.shifted(view.whole(seam), view.whole(seam))
    paint_top(scene.sheet, inside, layout, whole_top(layout, size), numbers=False)
    right, bottom = view.spot(size)
    wide, high = right - view.left, bottom - view.top
    shape = ""
    for share in range(1, 8):
        x = view.left + wide * share // 8
        bend = wide // 30 * (1 if share % 2 else -1)
        half = high // 4
        shape += f"M{x} {view.top}q{bend} {half // 2} 0 {half}t0 {half}t0 {half}t0 {half}"
    scene.sheet.path(shape, "quilting", THREAD, 7, "20 8", halo=6)
    middle = (view.left + right) // 2, (view.top + bottom) // 2
    for way in (-1, 1):
        x, y = middle
        scene.sheet.arrow(((x + way * 40, y), (x + way * min(200, wide // 3), y)), "way", 18)
    scene.sheet.ring(middle, 24)
    return height, "Lines of stitches through all layers, from the middle outward."
