"""Which drawing shows which of the whole quilt's own steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tracker.assembling import (
    Bind,
    ClipEars,
    CutLengths,
    JoinEnds,
    JoinParts,
    Layer,
    QuiltLayers,
    SetBlock,
)
from tracker.drawing import blocks, strips, tops, wholes
from tracker.drawing.layout import Layout
from tracker.drawing.scene import Scene
from tracker.drawing.units import Drawn
from tracker.things import Kind, Stage
from tracker.work import AddStrips, CutApart, PressSeams, Trim


def _join(scene: Scene, action: JoinParts) -> Drawn:
    layout, thing = scene.layout, scene.made.thing
    if wholes.row_of(layout, thing) is not None and action.direction == "across":
        return wholes.draw_join_row(scene, action)
    if wholes.rows_in(layout, thing):
        return wholes.draw_join_rows(scene, action)
    return strips.draw_panels(scene, action)


def _press(scene: Scene, action: PressSeams) -> Drawn:
    layout, thing, seams = (
        Layout(scene.plan, scene.checklist),
        scene.made.thing,
        action.seams[0],
    )
    if not seams:
        return strips.draw_press_ends(scene, action)
    if wholes.row_of(layout, seams[0].between[1]) is not None:
        return wholes.draw_press_rows(scene, seams[0])
    if wholes.row_of(layout, thing) is not None:
        return wholes.draw_press_row(scene, action)
    if thing.kind is Kind.BORDERED:
        return tops.draw_press_borders(scene, action)
    return blocks.draw_press_seams(scene, action)


def _trim(scene: Scene, action: Trim) -> Drawn:
    if scene.made.stage is Stage.MEASURED:
        return tops.draw_measured(scene, action)
    return tops.draw_square(scene, action)


DRAWN_BY: dict[type, Callable[[Scene, Any], Drawn]] = {
    SetBlock: wholes.draw_set,
    JoinParts: _join,
    PressSeams: _press,
    ClipEars: wholes.draw_clip_ears,
    JoinEnds: strips.draw_join_ends,
    CutLengths: strips.draw_cut_lengths,
    CutApart: strips.draw_triangles,
    Trim: _trim,
    AddStrips: tops.draw_add_borders,
    Layer: tops.draw_layers,
    QuiltLayers: tops.draw_quilting,
    Bind: strips.draw_bind,
}
"""A function for each kind of action."""
