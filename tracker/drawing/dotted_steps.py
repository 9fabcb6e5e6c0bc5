"""Drawings of seams that end at dots: dots marked, pieces sewn to them and set in, and pressed.

Each gives its height and title.
"""

from __future__ import annotations

from tracker.drawing import signs
from tracker.drawing.arrange import HAND, TAG, SheetRoom, alone
from tracker.drawing.block_steps import draw_behind, newly_pressed
from tracker.drawing.canvas import Spot, between
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene, counted, from_behind, halfway
from tracker.drawing.unit_steps import heading
from tracker.exact.geometry import XY, Segment
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.steps import Mark


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
    view, height = alone(scene.sheet, whole.size, SheetRoom(30, 30, 30, 30), widest=760, highest=620)
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
    view, height = alone(scene.sheet, piece.size, SheetRoom(top=TAG), widest=760, highest=620)
    draw_behind(view, [piece], [newly_pressed(scene, scene.taken, scene.given)], scene.plan.seam)
    scene.sheet.tag()
    signs.folded_back(scene.sheet, HAND)
    count = len(action.sides)
    return height, f"Seen from the back: {counted(count, 'seam')}, with an arrow to the side each allowance goes to."
