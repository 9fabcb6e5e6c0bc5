"""Drawings as inline SVG: every step as its piece lies on the table at that moment, blocks, the quilt, and piles.

A step is drawn from what the sewn trace says lies there, so a drawing can show nothing that the steps do not make.
The rooms of this package, each importing only from those before it:

    canvas, view                    a sheet: lines, figures, letters, arrows; cloth on it, to scale
    signs, arrange                  small pictures of tools; where pictures go
    tile_layout, scene              where every block lies; what a step's drawing is made from
    cutting_steps, unit_steps, pressing_steps, block_steps, round_steps, dotted_steps      a function for each action
    pictures, tiles                 how blocks and the quilt, rows and tops look
    row_steps, top_steps, border_steps, mitred_steps            rows; the top, its borders and layers
    strip_steps                     long strips, panels, triangles, the binding
    piles, layout_map               how what lies on a pile looks; the layout map
    quilt_steps                     which drawing shows which of the whole quilt's steps
    cut_strips                      a strip of cloth and what is cut from it
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tracker.cloth.sewing import StepDone, Trace
from tracker.drawing import (
    block_steps,
    cutting_steps,
    dotted_steps,
    pressing_steps,
    quilt_steps,
    round_steps,
    unit_steps,
)
from tracker.drawing.canvas import Sheet
from tracker.drawing.cut_strips import strip_drawing
from tracker.drawing.layout_map import layout_drawing
from tracker.drawing.pictures import block_drawing, quilt_drawing
from tracker.drawing.piles import pile_drawing
from tracker.drawing.scene import Scene
from tracker.drawing.tile_layout import Layout
from tracker.plan.model import Plan
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.partial_seams import BeginSeam, CloseSeam, SewArm
from tracker.work.steps import (
    AddStrips,
    Checklist,
    Cut,
    CutApart,
    Join,
    LayOut,
    Mark,
    Pair,
    Pin,
    Press,
    PressSeams,
    Sew,
    Step,
    Trim,
)
from tracker.work.things import DIAMOND
from tracker.work.whole_blocks import MeasureBlock

__all__ = ["block_drawing", "layout_drawing", "pile_drawing", "quilt_drawing", "step_drawing", "strip_drawing"]


def step_drawing(plan: Plan, checklist: Checklist, trace: Trace, step: Step, layout: Layout | None = None) -> str:
    """The step as an `svg` element: what lies there while and after it is done, with what to line up and its sizes.

    `trace` is the checklist sewn from its first step to at least this one; what is done with rows and tops is drawn
    without it too. `layout` is that of the quilt, where it is known already.
    """
    done = trace.done.get(step.id, StepDone({}, {}))
    scene = Scene(plan, checklist, step, done, Sheet(plan), layout)
    drawn_by = quilt_steps.DRAWN_BY if step.of_the_quilt else _DRAWN_BY
    height, title = drawn_by[type(step.action)](scene, step.action)
    return scene.sheet.finish(height, title)


def _draw_mark(scene: Scene, action: Mark) -> cutting_steps.Drawn:
    dots = dotted_steps.crosses(action.lines)
    return dotted_steps.draw_dots(scene, action, dots) if dots else unit_steps.draw_mark(scene, action)


def _draw_cut_apart(scene: Scene, action: CutApart) -> cutting_steps.Drawn:
    of_diamonds = scene.made.thing.of == DIAMOND
    return dotted_steps.draw_diamonds(scene, action) if of_diamonds else unit_steps.draw_cut_apart(scene, action)


_DRAWN_BY: dict[type, Callable[[Scene, Any], cutting_steps.Drawn]] = {
    Cut: cutting_steps.draw_cut,
    Mark: _draw_mark,
    Pair: unit_steps.draw_pair,
    Sew: unit_steps.draw_sew,
    CutApart: _draw_cut_apart,
    Press: pressing_steps.draw_press,
    Trim: unit_steps.draw_trim,
    LayOut: block_steps.draw_lay_out,
    Pin: block_steps.draw_pin,
    Join: block_steps.draw_join,
    BeginSeam: round_steps.draw_begin,
    SewArm: round_steps.draw_arm,
    CloseSeam: round_steps.draw_close,
    SewToDots: dotted_steps.draw_to_dots,
    PressAside: dotted_steps.draw_press_aside,
    PressSeams: block_steps.draw_press_seams,
    AddStrips: block_steps.draw_add_strips,
    MeasureBlock: block_steps.draw_measure,
}
