"""Drawings of a border with mitred corners: its strips beside the top, the corners folded and sewn, and pressed.

Each gives its height and title.
"""

from __future__ import annotations

from dataclasses import replace

from tracker.cloth.pieces import Facet
from tracker.drawing import signs
from tracker.drawing.arrange import TAG, SheetRoom, alone
from tracker.drawing.border_steps import toward_strips
from tracker.drawing.canvas import INK, THREAD, arrow_shape, closed
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.row_steps import back
from tracker.drawing.scene import Scene
from tracker.drawing.tile_layout import Tile
from tracker.drawing.top_steps import Top, paint_top, top_of
from tracker.drawing.view import ClothView
from tracker.exact.geometry import ZERO, greatest, rectangle
from tracker.exact.measure import Measure
from tracker.quilt.borders import mitred_border
from tracker.work.steps import PressSeams
from tracker.work.things import Kind
from tracker.work.whole_blocks import AddBorder, MitreCorners


def draw_add_border(scene: Scene, action: AddBorder) -> Drawn:
    """The top with a strip beside each edge, stitches from one seam allowance to the other, the ends left loose."""
    size = scene.size_of(scene.given)
    whole = top_of(scene.layout, scene.made.thing, size)
    number, wide = whole.borders, whole.wide(whole.borders - 1)
    bare = replace(whole, borders=number - 1)
    across, down = bare.size
    # So far the ends stand out where the strips do not lie on each other yet.
    gap, more = greatest(bare.size) / 12, min(wide, greatest(bare.size) / 14)
    reach = 2 * (wide + gap)
    view, height = alone(scene.sheet, (across + reach, down + reach), SheetRoom(20, 20, 20, 100), 920, 820)
    inner = view.shifted(view.whole(wide + gap), view.whole(wide + gap))
    paint_top(scene.sheet, inner, scene.layout, bare)
    fabric = scene.plan.quilt.borders[number - 1].fabric
    strips = [rectangle(x, -more, x + wide, down + more) for x in (-gap - wide, across + gap)] + [
        rectangle(-more, y, across + more, y + wide) for y in (-gap - wide, down + gap)
    ]
    inner.areas([Facet(strip, fabric) for strip in strips])
    scene.sheet.path("".join(closed(inner.spots(strip)) for strip in strips), "edge", INK, 6)
    half = gap / 2
    for line in (
        ((-half, ZERO), (-half, down)),
        ((across + half, ZERO), (across + half, down)),
        ((ZERO, -half), (across, -half)),
        ((ZERO, down + half), (across, down + half)),
    ):
        scene.sheet.line(inner.ends(line), "stitch", THREAD, 8, "26 9 5 9", halo=6)
    for x in (ZERO, across):
        for y in (ZERO, down):
            scene.sheet.ring(inner.spot((x, y)), 16)
    scene.sheet.text((scene.sheet.width // 2, height - 60), scene.figures(size), 56)
    return height, (
        f"Strips of border {number} at all four edges, their ends standing out; every seam begins and stops at a ring, "
        f"a seam allowance from the corner; together {scene.figures(size)}."
    )


def draw_press_border(scene: Scene, action: PressSeams) -> Drawn:
    """The top from the back with arrows from all four seams toward the strips."""
    view, height, top, wide = _from_behind(scene)
    scene.sheet.arrows(arrow for sides in (True, False) for arrow in toward_strips(view, top.size, wide, sides))
    scene.sheet.tag()
    signs.folded_back(scene.sheet)
    return height, f"The top seen from the back: the seams of border {top.borders} go toward its strips, on all sides."


def draw_press_corners(scene: Scene, action: PressSeams) -> Drawn:
    """The top from the back with the seams of the corners opened."""
    view, height, top, wide = _from_behind(scene)
    reach, shapes = max(view.whole(wide) // 3, 40), []
    for x, ahead in ((wide / 2, 1), (top.size[0] - wide / 2, -1)):
        for y, below in ((wide / 2, 1), (top.size[1] - wide / 2, -1)):
            left, up = view.spot((x, y))
            aside, up_by = reach * ahead, reach * below
            shapes.append(arrow_shape(((left - aside, up + up_by), (left + aside, up - up_by)), 16, both=True))
    scene.sheet.arrows(shapes)
    scene.sheet.tag()
    return height, f"The top seen from the back: the corner seams of border {top.borders} are pressed open."


def _from_behind(scene: Scene) -> tuple[ClothView, int, Top, Measure]:
    """A view of a top's back with the strips of its last border: the view, its height, the top, the border's width."""
    top = top_of(scene.layout, scene.made.thing, scene.size_of(scene.given))
    wide = top.wide(top.borders - 1)
    view, height = alone(scene.sheet, top.size, SheetRoom(10, TAG + 10, 10, 10), widest=900, highest=800)
    across, down = top.size
    inner = wide, wide, across - wide, down - wide
    strips = mitred_border(*inner, wide)
    back(view, [Tile(Kind.TOP, rectangle(*inner)), *(Tile(Kind.BORDER_STRIP, strip) for strip in strips)])
    return view, height, top, wide


def draw_mitre(scene: Scene, action: MitreCorners) -> Drawn:
    """One corner, the top folded on its diagonal: two strips edge on edge, the line to sew, what is cut off."""
    number = scene.made.thing.number
    fabric = scene.plan.quilt.borders[number - 1].fabric
    sheet = scene.sheet
    left, right, top, seam_y, bottom, height = 90, 910, 90, 330, 640, 720
    inner, allowance = 400, 46
    outer = inner + (seam_y - top)
    # The folded top lies below the strips with its fold at 45 degrees, running out at the inner point.
    sheet.add(
        f'<path class="place" fill="#f4f0e6" stroke="{INK}" stroke-width="6" '
        f'd="M{left} {seam_y}H{inner}L{max(left, inner - (bottom - seam_y))} {bottom}H{left}Z"/>'
    )
    sheet.add(
        f'<rect class="strip" x="{left}" y="{top}" width="{right - left}" height="{seam_y - top}" '
        f'fill="{sheet.colour(fabric, "back")}" stroke="{INK}" stroke-width="6"/>'
    )
    cut = outer + allowance, inner + allowance
    sheet.add(
        f'<path class="waste" fill="#c8c8c8" stroke="#6b6b6b" stroke-width="3" stroke-dasharray="10 6" '
        f'd="M{cut[1]} {seam_y}L{cut[0]} {top}H{right}V{seam_y}Z"/>'
    )
    sheet.line(((left, seam_y), (inner, seam_y)), "stitch", THREAD, 8, "26 9 5 9", halo=6)
    sheet.line(((inner, seam_y), (outer, top)), "stitch", THREAD, 8, "26 9 5 9", halo=6)
    sheet.line(((cut[1], seam_y), (cut[0], top)), "cut-line", INK, 9, "24 10", halo=7)
    sheet.ring((inner, seam_y), 18)
    sheet.arrow(((inner - 70, seam_y - 40), (outer - 110, top + 40)), "way", 16)
    sheet.text((outer + 150, seam_y + 60), "45°", 56)
    return height, (
        f"A corner of border {number}, the top folded on the diagonal: sewn at 45 degrees from the ring, where the "
        f"border's seam ends, to the outer edge; the ends cut off {scene.figure(scene.plan.seam)} beyond."
    )
