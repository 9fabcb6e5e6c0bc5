"""Drawings of borders: measured for, sewn on side by side with the top, pressed. Each gives its height and title."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tracker.cloth.moving import shift
from tracker.cloth.pieces import Facet
from tracker.drawing import signs
from tracker.drawing.arrange import TAG, SheetRoom, alone
from tracker.drawing.canvas import INK, THREAD, Spot, arrow_shape, closed
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.row_steps import back
from tracker.drawing.scene import Scene
from tracker.drawing.tile_layout import Tile
from tracker.drawing.top_steps import Top, paint_top, top_of
from tracker.drawing.view import ClothView
from tracker.exact.geometry import ZERO, greatest, rectangle
from tracker.exact.measure import Measure
from tracker.plan.border_strips import pieced_border
from tracker.quilt.borders import MITRE_ROOM
from tracker.work.steps import AddStrips, PressSeams, Size, Trim
from tracker.work.things import SIDES, Kind, Thing
from tracker.work.whole_blocks import AddBorder


def draw_measured(scene: Scene, action: Trim) -> Drawn:
    """The top with the three places to measure it, and the strip that is cut to it."""
    layout = scene.layout
    thing = scene.made.thing
    number, sides = thing.number, thing.side == SIDES
    border = scene.plan.quilt.borders[number - 1]
    length = action.height if action.width == border.cut else action.width
    size = _before_border(scene, number, sides)
    before = Thing(Kind.TOP, number - 1) if sides or border.mitred else Thing(Kind.BORDERED, number, SIDES)
    top = top_of(layout, before, size)
    room = SheetRoom(60, 30, 60, 190)
    view, height = alone(scene.sheet, top.size, room, widest=760, highest=790)
    paint_top(scene.sheet, view, layout, top, numbers=False)
    spots = _measures(view, top, sides, border.corners is not None)
    scene.sheet.arrows((arrow_shape(spot, 14, both=True) for spot in spots), "measure")
    y = height - 150
    fill = scene.sheet.colour(border.fabric, "front")
    scene.sheet.add(
        f'<rect class="strip" x="120" y="{y}" width="760" height="44" fill="{fill}" stroke="{INK}" stroke-width="6"/>'
    )
    if border.mitred:
        return height, _marked_strip(scene, y, length, sides)
    scene.sheet.across(120, 880, y + 90, scene.figure(length))
    way = "from top to bottom" if sides else "from side to side"
    planned = "planned " if scene.checklist.piles[scene.given].size == (action.width, action.height) else ""
    strip = f"the strip is cut to the average, {planned}{scene.figure(length)} {scene.plan.unit}"
    return height, f"The top measured {way} in three places; {strip}."


def _marked_strip(scene: Scene, y: int, length: Measure, sides: bool) -> str:
    """The marks on a strip for a mitred border, at its middle and where the corners of the top come; the title."""
    border = scene.plan.quilt.borders[scene.made.thing.number - 1]
    between = length - 2 * (border.cut - 2 * scene.plan.seam) - MITRE_ROOM[scene.plan.unit]
    ends = 760 * (1 - between / length) / 2
    inset = min(max((ends if isinstance(ends, int) else ends.__floor__()), 60), 300)
    shape = "".join(f"M{x} {y - 12}V{y + 56}" for x in (120 + inset, 500, 880 - inset))
    scene.sheet.path(shape, "pencil", INK, 7, "22 12", halo=5)
    scene.sheet.across(120 + inset, 880 - inset, y + 90, scene.figure(between))
    way = "from top to bottom" if sides else "from side to side"
    return (
        f"The top measured {way} in three places; marks on the strip at its middle and as far apart as the average, "
        f"planned {scene.figure(between)} {scene.plan.unit}, of {scene.figure(length)} in all."
    )


def _before_border(scene: Scene, number: int, sides: bool) -> Size:
    """The unfinished size of the top to which strips of a border are sewn, from the step that does it."""
    thing = Thing(Kind.BORDERED, number, SIDES if sides else "")
    if scene.plan.quilt.borders[number - 1].mitred:
        thing = Thing(Kind.BORDERED, number)
    for step in scene.checklist.steps:
        if isinstance(step.action, AddStrips | AddBorder):
            pile = scene.checklist.made(step)
            if pile.thing == thing and pile.size is not None:
                wide = 2 * (scene.plan.quilt.borders[number - 1].cut - 2 * scene.plan.seam)
                width, height = pile.size
                if isinstance(step.action, AddBorder):
                    return width - wide, height - wide
                return (width - wide, height) if sides else (width, height - wide)
    raise AssertionError(thing)


def _measures(view: ClothView, top: Top, sides: bool, cornered: bool) -> list[tuple[Spot, Spot]]:
    """Where to measure: through the middle and near both edges; between the side strips where corners follow."""
    (left, up), (right, down) = view.spot((ZERO, ZERO)), view.spot(top.size)
    if sides:
        return [((x, up), (x, down)) for x in (left + 34, (left + right) // 2, right - 34)]
    inset = view.whole(top.wide(top.borders)) if cornered else 0
    ends = left + inset, right - inset
    return [((ends[0], y), (ends[1], y)) for y in (up + 34, (up + down) // 2, down - 34)]


def draw_add_borders(scene: Scene, action: AddStrips) -> Drawn:
    """The top with the two strips beside the edges they are sewn to, pinned at the middle and the ends."""
    layout = scene.layout
    sides = action.edges == SIDES
    size = scene.size_of(scene.given)
    whole = top_of(layout, scene.made.thing, size)
    number = whole.borders + sides
    bare = replace(whole, sides=not sides, borders=number - 1)
    wide = whole.wide(number - 1)
    gap = greatest(bare.size) / 12
    reach = 2 * (wide + gap)
    shown = (bare.size[0] + reach, bare.size[1]) if sides else (bare.size[0], bare.size[1] + reach)
    view, height = alone(scene.sheet, shown, SheetRoom(20, 20, 20, 100), widest=920, highest=820)
    move = view.whole(wide + gap)
    inner = view.shifted(move if sides else 0, 0 if sides else move)
    paint_top(scene.sheet, inner, layout, bare)
    strips = _strips_beside(bare, number, gap, sides)
    inner.areas(strips)
    edges = "".join(closed(inner.spots(facet.polygon)) for facet in strips)
    scene.sheet.path(edges, "edge", INK, 6)
    for after in (False, True):
        _pinned_edge(scene, inner, inner.spot(bare.size), inner.whole(gap), sides, after)
    scene.sheet.text((scene.sheet.width // 2, height - 60), scene.figures(size), 56)
    where = "at both sides" if sides else "at top and bottom"
    return height, (
        f"Strips of border {number} {where}, pinned at the middle and the ends first; together {scene.figures(size)}."
    )


def _strips_beside(bare: Top, number: int, gap: Measure, sides: bool) -> list[Facet]:
    """The cloth of two strips that lie a gap away from the edges of a top at (0, 0)."""
    border, wide, (across, down) = bare.plan.quilt.borders[number - 1], bare.wide(number - 1), bare.size
    found = []
    if border.is_pieced:
        # The top and bottom lie where they will; there the sides are on.
        inner = (ZERO, ZERO, across, down) if sides else (wide, ZERO, across - wide, down)
        shown = pieced_border(bare.plan, number, inner)
        ways = {"left": (-gap, ZERO), "right": (gap, ZERO)} if sides else {"top": (ZERO, -gap), "bottom": (ZERO, gap)}
        for name, (dx, dy) in ways.items():
            found += [Facet(shift(dx, dy).polygon(polygon), fabric) for polygon, fabric in shown[name]]
        return found
    for near in (-gap - wide, (across if sides else down) + gap):
        if sides:
            found.append(Facet(rectangle(near, ZERO, near + wide, down), border.fabric))
            continue
        found.append(Facet(rectangle(ZERO, near, across, near + wide), border.fabric))
        if border.corners is not None:
            lefts = ZERO, across - wide
            found += [Facet(rectangle(x, near, x + wide, near + wide), border.corners) for x in lefts]
    return found


def _pinned_edge(scene: Scene, inner: ClothView, far: Spot, gap: int, sides: bool, after: bool) -> None:
    """A seam beside one edge with pins across it, at both ends and in the middle."""
    low, high = (inner.top, far[1]) if sides else (inner.left, far[0])
    edge = (far[0] if after else inner.left) if sides else (far[1] if after else inner.top)
    at = edge + (gap // 2 if after else -(gap // 2))
    line = ((at, low), (at, high)) if sides else ((low, at), (high, at))
    scene.sheet.line(line, "stitch", THREAD, 8, "26 9 5 9", halo=6)
    reach = gap // 2 + 24
    for along in (low + 24, (low + high) // 2, high - 24):
        ends = ((at - reach, along), (at + reach, along)) if sides else ((along, at - reach), (along, at + reach))
        signs.pin(scene.sheet, *(ends if after else ends[::-1]))


def draw_press_borders(scene: Scene, action: PressSeams) -> Drawn:
    """The top from the back with an arrow from each border seam toward its strip."""
    layout = scene.layout
    top = top_of(layout, scene.made.thing, scene.size_of(scene.given))
    sides = top.sides
    number = top.borders + sides
    wide = top.wide(number - 1)
    view, height = alone(scene.sheet, top.size, SheetRoom(10, TAG + 10, 10, 10), widest=900, highest=800)
    across, down = top.size
    rest = rectangle(wide, ZERO, across - wide, down) if sides else rectangle(ZERO, wide, across, down - wide)
    edges = [ZERO, across - wide] if sides else [ZERO, down - wide]
    strips = [rectangle(x, ZERO, x + wide, down) if sides else rectangle(ZERO, x, across, x + wide) for x in edges]
    back(view, [Tile(Kind.TOP, rest), *(Tile(Kind.BORDER_STRIP, strip) for strip in strips)])
    scene.sheet.arrows(toward_strips(view, top.size, wide, sides))
    scene.sheet.tag()
    signs.folded_back(scene.sheet)
    return height, f"The top seen from the back: the seams of border {number} go toward its strips."


def toward_strips(view: ClothView, size: Size, wide: Measure, sides: bool) -> Iterator[str]:
    """Three arrows over each of the two seams of a border so wide, toward its strips: those of its sides, or others."""
    across, along = size if sides else size[::-1]
    length = max(view.whole(wide), 60) // 2
    for place, reach in ((wide, -length), (across - wide, length)):
        for share in (1, 3, 5):
            x, y = view.spot((place, along * share / 6) if sides else (along * share / 6, place))
            ends = ((x - reach, y), (x + reach, y)) if sides else ((x, y - reach), (x, y + reach))
            yield arrow_shape(ends, 18)
