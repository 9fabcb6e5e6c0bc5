"""Drawings of diamonds and of seams that end at dots: cut, dots marked, pieces sewn to them and set in, and pressed.

Each gives its height and title.
"""

from __future__ import annotations

from tracker.drawing import signs
from tracker.drawing.arrange import TAG, SheetRoom, alone
from tracker.drawing.block_steps import draw_behind, newly_pressed
from tracker.drawing.canvas import GREY, INK, Spot, between, closed
from tracker.drawing.cutting_steps import Drawn, draw_torn
from tracker.drawing.scene import Scene, counted, from_behind, halfway
from tracker.drawing.unit_steps import heading
from tracker.exact.geometry import XY, Segment
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.steps import CutApart, Mark

_TOP, _HIGH, _APART = 130, 260, 368
"""Where a strip's upper edge lies, how broad it is drawn, and so how far apart slanting cuts meet an edge: √2 times."""


def draw_diamonds(scene: Scene, action: CutApart) -> Drawn:
    """A strip's left end cut off at 45 degrees and the next two cuts; how far apart they are, as far as it is wide."""
    sheet, fabric, wide = scene.sheet, scene.made.fabrics[0], min(scene.size_of(scene.taken))
    left, right, bottom = 190, 930, _TOP + _HIGH
    cuts = [((x, _TOP), (x + _HIGH, bottom)) for x in (left + 40, left + 40 + _APART)]
    (first, first_end), (second, second_end) = cuts
    torn = [(right + 24 * (at % 2), _TOP + _HIGH * at // 8) for at in range(9)]
    draw_torn(sheet, fabric, [(left, _TOP), *torn, (left, bottom)])
    sheet.cloth([[first, second, second_end, first_end]], fabric)
    sheet.path(closed([first, second, second_end, first_end]), "edge", INK, 7)
    end = closed([(left, _TOP), first, first_end, (left, bottom)])
    sheet.add(f'<path class="waste" fill="{GREY}" stroke="#6b6b6b" stroke-width="3" d="{end}"/>')
    for over, under in cuts:
        beyond = (over[0] - 26, over[1] - 26), (under[0] + 26, under[1] + 26)
        sheet.line(beyond, "cut-line", INK, 9, "24 10", halo=7)
    signs.cutter(sheet, between(second, second_end, 9, 10), heading((second_end, second)))
    # The angle between the ruler's line, along the edge, and its own edge, along the cut.
    reach, slant = 130, 92
    sheet.path(
        f"M{first[0] + reach} {_TOP}A{reach} {reach} 0 0 1 {first[0] + slant} {_TOP + slant}", "angle", INK, 8, halo=8
    )
    sheet.text((first[0] + reach + 20, _TOP - 60), "45°", 96)
    foot = between(first, first_end, 4, 5)
    head = foot[0] + _APART // 2, foot[1] - _APART // 2
    sheet.arrow((foot, head), "apart", 12, both=True)
    sheet.text((head[0] - 14, foot[1] - 40), scene.figure(wide), 96)
    sheet.letters([(fabric, (right - 90, _TOP + 60), 60)])
    sheet.down(_TOP, bottom, left - 46, scene.figure(wide), left=True)
    each = counted(sum(part.pile is not None for part in action.parts), "diamond")
    return bottom + 76, (
        f"A strip of {scene.cloths(scene.given)} cut across at 45°, every {scene.figure(wide)} {scene.plan.unit}, as "
        f"far apart as it is wide: {each}."
    )


def crosses(marks: tuple[Segment, ...]) -> list[XY]:
    """The middles of short lines that cross there, two by two; none where lines run from corner to corner."""
    middles = [halfway(mark) for mark in marks]
    return [first for first, second in zip(middles[::2], middles[1::2], strict=False) if first == second]


def draw_dots(scene: Scene, action: Mark, dots: list[XY]) -> Drawn:
    """The back of the piece with its dots, ringed, and how far they are from an edge."""
    piece = from_behind(scene.piece(scene.given))
    view, height = alone(scene.sheet, piece.size, SheetRoom(40, TAG + 40, 90, 40), highest=480)
    marks = piece.marks[-len(action.lines) :]
    view.piece(piece, "back", [view.ends(mark) for mark in marks])
    for mark in marks:
        view.pencil(mark)
    rings = [view.spot(dot) for dot in crosses(marks)]
    for ring in rings:
        scene.sheet.ring(ring, 22)
    signs.pencil(scene.sheet, min(rings, key=lambda spot: spot[1] - spot[0]))
    scene.sheet.tag()
    where = f"{scene.figure(scene.plan.seam)} {scene.plan.unit} from both edges"
    return height, f"The back of the piece of {scene.cloths(scene.given)}, with {counted(len(dots), 'dot')} {where}."


def draw_to_dots(scene: Scene, action: SewToDots) -> Drawn:
    """What is sewn, opened: the new seams as stitches, rings at the dots where they end, arrows as they are sewn."""
    whole = scene.piece(scene.given)
    view, height = alone(scene.sheet, whole.size, SheetRoom(30, 30, 30, 30), widest=888, highest=788)
    seams = [seam.line for seam in whole.unpressed]
    lines = [view.ends(seam) for seam in seams]
    view.piece(whole, avoid=lines)
    for seam in seams:
        view.stitches([seam])
    ends = [spot for line in lines for spot in line]
    set_in = any(piece.is_set_in for piece in action.pieces)
    dots = _dots(ends, lines, set_in)
    for dot in dots:
        scene.sheet.ring(dot, 20)
    for start, end in lines if set_in else lines[:1]:
        scene.sheet.arrow((between(start, end, 5, 20), between(start, end, 15, 20)), "feed", 12)
    # From dot to dot the seam runs through the middle, where both parts of it begin.
    first = lines[0] if set_in or len(lines) == 1 else lines[0][::-1]
    signs.needle(scene.sheet, between(*first, 1, 5), heading(first))
    if set_in:
        return height, (
            f"{counted(len(action.pieces), 'piece')} set in, each sewn twice from the ringed dot outward; no stitch "
            "beyond it."
        )
    return height, f"Sewn edge on edge; the stitches stop at {counted(len(dots), 'ringed dot')}, none beyond."


def _dots(ends: list[Spot], lines: list[tuple[Spot, Spot]], set_in: bool) -> list[Spot]:
    """Where stitches begin that go outward from a dot; else where they end."""
    return list(dict.fromkeys(line[0 if set_in else 1] for line in lines)) if ends else []


def draw_press_aside(scene: Scene, action: PressAside) -> Drawn:
    """The piece from the back, with an arrow for each seam just sewn."""
    piece = from_behind(scene.piece(scene.taken))
    view, height = alone(scene.sheet, piece.size, SheetRoom(top=TAG), widest=888, highest=782)
    draw_behind(view, [piece], [newly_pressed(scene, scene.taken, scene.given)], scene.plan.seam)
    scene.sheet.tag()
    signs.folded_back(scene.sheet)
    count = len(action.sides)
    return height, f"Seen from the back: {counted(count, 'seam')}, with an arrow to the side each allowance goes to."
