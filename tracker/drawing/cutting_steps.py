"""Drawings of cutting cloth: a piece from a strip, or what goes from selvage to selvage, where no end is cut off."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor

from tracker.cloth.pieces import patch
from tracker.drawing import signs
from tracker.drawing.arrange import SheetRoom, alone
from tracker.drawing.canvas import INK, Sheet, Spot, closed, text_width
from tracker.drawing.scene import Scene, named
from tracker.drawing.view import largest_scale
from tracker.exact.geometry import ONE
from tracker.exact.measure import exact
from tracker.work.steps import Cut

Drawn = tuple[int, str]
"""The height of a drawing and its title."""

LARGEST_RULER = {"in": (24, 16), "cm": (60, 40)}
"""The longest and the broadest ruler there is, in each unit."""

_TOP = 190
_LOW, _HIGH = 150, 520
"""Least and greatest height of what is cut: narrow strips are drawn broader than they are, so that they can be read."""


def draw_cut(scene: Scene, action: Cut) -> Drawn:
    """A strip of cloth with the ruler on the piece wanted, the blade along the ruler's edge, the rest to the right.

    A piece larger than any ruler has one along the cut only, to be moved on."""
    sheet, size = scene.sheet, (action.width, action.height)
    if scene.plan.fabrics[action.fabric].usable in size:
        return _draw_across(scene, action)
    room = SheetRoom(64 + text_width(scene.figure(action.height)), 60, 150, 130)
    view, height = alone(sheet, size, room, highest=480)
    left, top = view.left, view.top
    right, bottom = view.spot(size)
    count = 8 if bottom - top > 240 else 4
    torn = [(right + 120 - 24 * (i % 2), top + (bottom - top) * i // count) for i in range(count + 1)]
    draw_torn(sheet, action.fabric, [(right, top), *torn, (right, bottom)])
    long, broad = (view.whole(exact(most)) for most in LARGEST_RULER[scene.plan.unit])
    edges = (max(left - 18, right - broad), max(top - 34, bottom + 34 - long), right, bottom + 34)
    along = "along the ruler's edge" if edges[1] == top - 34 else "along the ruler, moved on along the cut"
    signs.ruler_ground(sheet, *edges)
    stands = scene.plan.fabrics[action.fabric].upright and len(action.prints) == 1
    view.piece(patch(action.fabric, *size, action.prints if stands else ()))
    signs.ruler(sheet, *edges, view.whole(ONE))
    sheet.path(f"M{right} {bottom + 34}V{top - 34}", "cut-line", INK, 8, "20 12", halo=6)
    signs.cutter(sheet, (right, bottom + 6))
    view.dimensions(size, below=80, beside=40, left=True)
    return height, f"A piece of {named(scene.plan, [action.fabric])}, {scene.figures(size)}, cut {along}."


def _draw_across(scene: Scene, action: Cut) -> Drawn:
    """The cloth from selvage to selvage, the ruler on what is cut from its end, the blade along the ruler, the rest of
    the cloth beyond."""
    sheet, usable = scene.sheet, scene.plan.fabrics[action.fabric].usable
    wide = action.height if usable == action.width else action.width
    left = 120 + text_width(scene.figure(wide))
    scale = largest_scale((940 - left, _HIGH), (usable, wide))
    right, bottom = left + floor(usable * scale), _TOP + max(floor(wide * scale), _LOW)
    torn = [(right - (right - left) * i // 8, _TOP - 110 - 24 * (i % 2)) for i in range(9)]
    draw_torn(sheet, action.fabric, [(left, _TOP), (right, _TOP), *torn])
    sheet.cloth([[(left, _TOP), (right, _TOP), (right, bottom), (left, bottom)]], action.fabric)
    sheet.path(f"M{left} {_TOP}H{right}V{bottom}H{left}Z", "edge", INK, 7)
    for x in (left, right):
        sheet.line(((x, _TOP - 110), (x, bottom)), "selvage", INK, 9, "4 12")
    long, broad = (floor(exact(most) * scale) for most in LARGEST_RULER[scene.plan.unit])
    signs.ruler(sheet, right - long, _TOP, right + 16, min(bottom + 18, _TOP + broad), floor(ONE * scale))
    sheet.line(((left - 30, _TOP), (right + 30, _TOP)), "cut-line", INK, 8, "20 12", halo=6)
    signs.cutter(sheet, (right - long // 3, _TOP), 270)
    sheet.letters([(action.fabric, ((left + right - long) // 2, (_TOP + bottom) // 2), 60)])
    sheet.down(_TOP, bottom, left - 46, scene.figure(wide), left=True)
    sheet.across(left, right, bottom + 60, scene.figure(usable))
    return bottom + 110, (
        f"{scene.figure(wide)} {scene.plan.unit} of {named(scene.plan, [action.fabric])} cut across the whole cloth, "
        "selvage to selvage, along the ruler, moved on along the cut."
    )


def draw_torn(sheet: Sheet, fabric: str, corners: Sequence[Spot]) -> None:
    """The rest of a cloth, pale, torn where more of it follows."""
    sheet.add(
        f'<path class="rest" fill="{sheet.colour(fabric, "front")}" fill-opacity="0.45" stroke="{INK}" '
        f'stroke-width="4" d="{closed(corners)}"/>'
    )
