"""Drawings of long strips, panels, triangles and the binding. Each gives its height and title."""

from __future__ import annotations

from math import floor

from tracker.cloth.moving import turned_piece
from tracker.cloth.pieces import Piece
from tracker.drawing import signs
from tracker.drawing.arrange import SheetRoom, dimension_room, two
from tracker.drawing.block_steps import stitched
from tracker.drawing.canvas import GREY, INK, THREAD, Spot, closed
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene, counted, named, spread
from tracker.drawing.unit_steps import draw_cut_apart
from tracker.exact.geometry import greatest
from tracker.exact.measure import Measure
from tracker.work.steps import CutApart, PressSeams
from tracker.work.whole_blocks import Bind, CutLengths, JoinEnds, JoinParts, JoinUnits

_BROAD = 150
"""How broad strips are drawn that are not to scale."""


def draw_join_ends(scene: Scene, action: JoinEnds) -> Drawn:
    """Two ends over each other at a right angle with the seam across, and the strip opened; not to scale."""
    sheet, fabric = scene.sheet, scene.checklist.piles[scene.taken].fabrics[0]
    strips = sum(flow.each for flow in scene.step.takes)
    _crossed_ends(scene, fabric)
    top = 640
    sheet.cloth([[(60, top), (940, top), (940, top + _BROAD), (60, top + _BROAD)]], fabric)
    sheet.path(f"M60 {top}H940V{top + _BROAD}H60Z", "edge", INK, 7)
    sheet.path(f"M{500 - _BROAD // 2} {top}l{_BROAD} {_BROAD}", "seam", INK, 6)
    sheet.down(top, top + _BROAD, 760, scene.figure(action.width), left=True)
    signs.then(sheet, (500, top - 60), downward=True)
    cloth, how = named(scene.plan, [fabric]), "at a right angle, sewn from corner to corner"
    return top + _BROAD + 50, f"Two ends of {cloth} {how}; so {counted(strips, 'strip')} become one."


def _crossed_ends(scene: Scene, fabric: str) -> None:
    """One strip to the left, the other face down over its end and downward; what is beyond the seam is cut off."""
    sheet, left, top = scene.sheet, 425, 130
    right, bottom = left + _BROAD, top + _BROAD
    sheet.cloth([[(60, top), (right, top), (right, bottom), (60, bottom)]], fabric)
    sheet.path(f"M60 {top}H{right}V{bottom}H60", "edge", INK, 7)
    sheet.cloth([[(left, top), (right, top), (right, bottom + 240), (left, bottom + 240)]], fabric, "back")
    sheet.path(f"M{left} {bottom + 240}V{top}H{right}V{bottom + 240}", "edge", INK, 7)
    off = 34
    waste = [(left + off, top), (right, top), (right, bottom - off)]
    sheet.add(f'<path class="waste" fill="{GREY}" stroke="#6b6b6b" stroke-width="3" d="{closed(waste)}"/>')
    sheet.line(((left + off - 20, top - 20), (right + 20, bottom - off + 20)), "cut-line", INK, 9, "24 10", halo=7)
    sheet.line(((left - 16, top - 16), (right + 16, bottom + 16)), "stitch", THREAD, 9, "26 9 5 9", halo=6)
    for spot in ((left, top), (right, bottom)):
        sheet.ring(spot, 20)
    sheet.text((right + 150, top + 20), f"{scene.figure(scene.plan.seam)} {scene.plan.unit}", 60)
    sheet.line(((right + 60, top + 34), (right - 30, top + 62)), "guide", INK, 5)


def draw_press_ends(scene: Scene, action: PressSeams) -> Drawn:
    """A join from the back, its allowance spread to both sides; not to scale."""
    sheet, top, high = scene.sheet, 170, 240
    fabric = scene.checklist.piles[scene.given].fabrics[0]
    sheet.cloth([[(60, top), (940, top), (940, top + high), (60, top + high)]], fabric, "back")
    sheet.path(f"M60 {top}H940M60 {top + high}H940", "edge", INK, 7)
    start: Spot = (380, top)
    sheet.line((start, (start[0] + high, top + high)), "seam", INK, 7)
    for off in (-80, 80):
        x = start[0] + off
        sheet.line(((x, top), (x + high, top + high)), "allowance", INK, 6, "3 11", halo=3)
    sheet.arrow(((430, top + 190), (570, top + 50)), both=True)
    signs.iron(sheet, (790, top + high // 2))
    sheet.tag()
    return top + high + 60, "A join seen from the back, its seam allowance pressed open to both sides."


def draw_cut_lengths(scene: Scene, action: CutLengths) -> Drawn:
    """The strips that a long one is cut into, each length with its number and figure, against each other to scale."""
    sheet, fabric = scene.sheet, scene.checklist.piles[scene.taken].fabrics[0]
    longest = greatest(part.length for part in action.lengths)
    y = 60
    for part in action.lengths:
        long = max(scaled(part.length, longest, 700), 60)
        sheet.text((110, y + 36), f"{part.count} ×", 64)
        box = [(210, y), (210 + long, y), (210 + long, y + 70), (210, y + 70)]
        sheet.cloth([box], fabric)
        sheet.path(closed(box), "edge", INK, 7)
        sheet.line(((210 + long, y - 22), (210 + long, y + 92)), "cut-line", INK, 9, "24 10", halo=7)
        sheet.across(210, 210 + long, y + 124, scene.figure(part.length))
        y += 230
    signs.cutter(sheet, (210 + scaled(action.lengths[0].length, longest, 700), 80))
    parts = ", ".join(f"{part.count} of {scene.figure(part.length)}" for part in action.lengths)
    return y, f"The long strip cut into {parts} {scene.plan.unit}."


def scaled(length: Measure, longest: Measure, most: int) -> int:
    """A length in drawing units, where the longest takes `most`."""
    return floor(length * most / longest)


def draw_panels(scene: Scene, action: JoinParts) -> Drawn:
    """The pieces as they lie beside or below each other, and what they become."""
    pieces = [turned_piece(scene.piece(member.pile), member.turn) for member in action.members]
    size = scene.piece(scene.given).size
    height = _joined(scene, pieces, action.direction, greatest(size) / 12, len(pieces) - 1)
    way = "side by side" if action.direction == "across" else "one below the other"
    return height, f"{counted(len(pieces), 'piece')} joined {way}: together {scene.figures(size)}."


def _joined(scene: Scene, pieces: list[Piece], direction: str, gap: Measure, seams: int) -> int:
    """Pieces with gaps between, and the whole that they become by so many seams; the drawing's height."""
    whole, room = scene.piece(scene.given), SheetRoom(20, 20, 20, 20)
    placed, size = spread(pieces, direction, gap)
    pictures = two(scene.sheet, size, whole.size, room, dimension_room(scene.figure(whole.size[1])))
    pictures.before.pieces(placed)
    stitched(scene, pictures.after, whole, seams)
    return pictures.height


SHOWN = 6
"""How many units of a long strip are drawn one by one."""


def draw_row_of_units(scene: Scene, action: JoinUnits) -> Drawn:
    """The first units of a strip of a pieced border as they lie beside each other, and the whole strip."""
    pieces = [turned_piece(scene.piece(member.pile), member.turn) for member in action.members[:SHOWN]]
    height = _joined(scene, pieces, "across", greatest(pieces[0].size) / 3, len(action.members) - 1)
    many, size = counted(len(action.members), "unit"), scene.figures(scene.piece(scene.given).size)
    return height, f"{many} joined side by side, the first {len(pieces)} one by one: {size}."


def draw_triangles(scene: Scene, action: CutApart) -> Drawn:
    """The square with its cuts from corner to corner, and the triangles."""
    height, _ = draw_cut_apart(scene, action)
    way = "once, from corner to corner" if len(action.lines) == 1 else "twice, from corner to corner both ways"
    triangles = counted(len(action.parts), scene.made.thing.name)
    return height, f"A square of {scene.cloths(scene.given)} cut {way}: {triangles}."


def draw_bind(scene: Scene, action: Bind) -> Drawn:
    """A corner of the quilt with the folded binding on it: where the seam stops, and how the strip is folded up."""
    sheet = scene.sheet
    binding = scene.checklist.piles[action.binding].fabrics[0]
    for left, folded in ((60, False), (560, True)):
        _corner(scene, binding, left, folded)
    signs.then(sheet, (500, 330), downward=False)
    seam = f"{scene.figure(scene.plan.seam)} {scene.plan.unit}"
    return 660, f"The folded binding level with the edge: sewn to {seam} before the corner, folded up, then down again."


def _corner(scene: Scene, binding: str, left: int, folded: bool) -> None:
    """The quilt's upper right corner; the binding on its upper edge ends there, or goes on down the right one."""
    sheet, top, right, bottom, broad = scene.sheet, 230, left + 360, 620, 96
    sheet.add(f'<path class="place" fill="#f4f0e6" d="M{left} {top}H{right}V{bottom}H{left}Z"/>')
    sheet.path(f"M{left} {top}H{right}V{bottom}", "edge", INK, 7)
    strip = [(left, top), (right, top), (right, top + broad), (left, top + broad)]
    sheet.cloth([strip], binding)
    sheet.path(f"M{left} {top}H{right}M{left} {top + broad}H{right - (broad if folded else 0)}", "edge", INK, 6)
    stop = right - 44
    if folded:
        down = [(right - broad, top), (right, top), (right, bottom), (right - broad, bottom)]
        sheet.cloth([down], binding)
        sheet.path(closed(down)[:-1] + f"M{right - broad} {top + broad}L{right} {top}", "edge", INK, 6)
        sheet.line(((stop, top), (stop, bottom)), "stitch", THREAD, 8, "26 9 5 9", halo=6)
        sheet.ring((stop, top), 16)
    else:
        up = [(right - broad, top), (right, top), (right, 60), (right - broad, 60)]
        sheet.path(closed(up), "fold", INK, 5, "12 10")
        sheet.ring((stop, top + 44), 16)
        sheet.text((stop - 60, top + 170), scene.figure(scene.plan.seam), 60)
        sheet.line(((stop - 40, top + 136), (stop - 6, top + 66)), "guide", INK, 5)
        sheet.arrow(((right - broad // 2, top + 40), (right - broad // 2, 80)), "move", 14)
    sheet.line(((left, top + 44), (stop, top + 44)), "stitch", THREAD, 8, "26 9 5 9", halo=6)
