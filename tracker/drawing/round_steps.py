"""Drawings of what is sewn round a middle: a seam begun, the others meanwhile, and the first one closed."""

from __future__ import annotations

from dataclasses import replace

from tracker.cloth.pieces import HalfSewn, Piece
from tracker.drawing import signs
from tracker.drawing.arrange import alone, dimension_room
from tracker.drawing.block_steps import stitched
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene
from tracker.drawing.unit_steps import heading
from tracker.drawing.view import ClothView, figure
from tracker.work.partial_seams import BeginSeam, CloseSeam, SewArm


def _view(scene: Scene, whole: Piece) -> tuple[ClothView, int]:
    room = dimension_room(scene.figure(whole.size[1]), top=10)
    return alone(scene.sheet, whole.size, replace(room, left=30), widest=700, highest=600)


def draw_begin(scene: Scene, action: BeginSeam) -> Drawn:
    """The first arm above the middle: the seam as far as it is sewn, how far that is, and what stays open."""
    half = scene.done.after[scene.given]
    assert isinstance(half, HalfSewn)
    view, height = _view(scene, half.piece)
    (seam,) = half.piece.unpressed
    sewn = view.ends(seam.line)
    end = sewn[0] if action.level == "right" else sewn[1]
    view.piece(half.piece, avoid=[sewn, view.ends(half.open)])
    signs.left_open(scene.sheet, view.ends(half.open))
    view.stitches([seam.line])
    signs.needle(scene.sheet, end, heading(sewn if action.level == "left" else sewn[::-1]))
    _, bottom = view.spot(half.size)
    scene.sheet.across(sewn[0][0], sewn[1][0], bottom + 50, figure(action.sewn, scene.plan))
    return height, f"The first seam sewn for {scene.figure(action.sewn)} from the {action.level} end; the rest is open."


def draw_arm(scene: Scene, action: SewArm) -> Drawn:
    """One arm more, its seam as stitches, and what is still open of the first."""
    half = scene.done.after[scene.given]
    assert isinstance(half, HalfSewn)
    view, height = _view(scene, half.piece)
    stitched(scene, view, half.piece, 1)
    signs.left_open(scene.sheet, view.ends(half.open))
    return height, f"One piece more sewn to the {action.edge}, from end to end; the first seam is still open."


def draw_close(scene: Scene, action: CloseSeam) -> Drawn:
    """All four arms, with the part of the first seam that is sewn now as stitches."""
    whole = scene.piece(scene.given)
    view, height = _view(scene, whole)
    stitched(scene, view, whole, 1)
    return height, f"The first seam sewn to its end: together {scene.figures(whole.size)}."
