"""Which drawing shows which of the whole quilt's own steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tracker.drawing import block_steps, border_steps, mitred_steps, row_steps, strip_steps, top_steps
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene
from tracker.work.steps import AddStrips, CutApart, PressSeams, Trim
from tracker.work.things import Kind, Stage
from tracker.work.whole_blocks import (
    AddBorder,
    Bind,
    ClipEars,
    CutLengths,
    JoinEnds,
    JoinParts,
    JoinUnits,
    Layer,
    MitreCorners,
    QuiltLayers,
    SetBlock,
)


def _join(scene: Scene, action: JoinParts) -> Drawn:
    layout, thing = scene.layout, scene.made.thing
    if row_steps.row_of(layout, thing) is not None and action.direction == "across":
        return row_steps.draw_join_row(scene, action)
    if row_steps.rows_in(layout, thing):
        return row_steps.draw_join_rows(scene, action)
    return strip_steps.draw_panels(scene, action)


def _press(scene: Scene, action: PressSeams) -> Drawn:
    layout, thing, seams = scene.layout, scene.made.thing, action.seams[0]
    if not seams:
        return strip_steps.draw_press_ends(scene, action)
    if row_steps.row_of(layout, seams[0].between[1]) is not None:
        return row_steps.draw_press_rows(scene, seams[0])
    if row_steps.row_of(layout, thing) is not None:
        return row_steps.draw_press_row(scene, action)
    if thing.kind is Kind.MITRED:
        return mitred_steps.draw_press_corners(scene, action)
    if thing.kind is Kind.BORDERED and scene.plan.quilt.borders[thing.number - 1].mitred:
        return mitred_steps.draw_press_border(scene, action)
    if thing.kind is Kind.BORDERED:
        return border_steps.draw_press_borders(scene, action)
    return block_steps.draw_press_seams(scene, action)


def _trim(scene: Scene, action: Trim) -> Drawn:
    if scene.made.stage is Stage.MEASURED:
        return border_steps.draw_measured(scene, action)
    return top_steps.draw_square(scene, action)


DRAWN_BY: dict[type, Callable[[Scene, Any], Drawn]] = {
    SetBlock: row_steps.draw_set,
    JoinParts: _join,
    JoinUnits: strip_steps.draw_row_of_units,
    PressSeams: _press,
    ClipEars: row_steps.draw_clip_ears,
    JoinEnds: strip_steps.draw_join_ends,
    CutLengths: strip_steps.draw_cut_lengths,
    CutApart: strip_steps.draw_triangles,
    Trim: _trim,
    AddStrips: border_steps.draw_add_borders,
    AddBorder: mitred_steps.draw_add_border,
    MitreCorners: mitred_steps.draw_mitre,
    Layer: top_steps.draw_layers,
    QuiltLayers: top_steps.draw_quilting,
    Bind: strip_steps.draw_bind,
}
"""A function for each kind of action."""
