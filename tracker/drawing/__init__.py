"""Drawings as inline SVG: every step as its piece lies on the table at that moment, blocks, the quilt, and piles.

A step is drawn from what the sewn trace says lies there, so a drawing can show nothing that the steps do not make.
The rooms of this package, each importing only from those before it:

    canvas              a sheet: lines, figures, letters, arrows
    view                cloth on a sheet, to scale
    signs, arrange      small pictures of tools; where pictures go
    layout, scene       where every block lies; what a step's drawing is made from
    units, blocks       a function for each kind of action
    pictures, tiles     how blocks and the quilt, rows and tops look
    wholes, tops        rows; the top, its borders and layers
    strips              long strips, panels, triangles, the binding
    piles, maps         how what lies on a pile looks; the layout map
    quilts              which drawing shows which of the whole quilt's steps
    cut_strips          a strip of cloth and what is cut from it
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tracker.drawing import blocks, quilts, units
from tracker.drawing.canvas import Sheet
from tracker.drawing.cut_strips import strip_drawing
from tracker.drawing.layout import Layout
from tracker.drawing.maps import layout_drawing
from tracker.drawing.pictures import block_drawing, quilt_drawing
from tracker.drawing.piles import pile_drawing
from tracker.drawing.scene import Scene
from tracker.plan import Plan
from tracker.sewing import Done, Trace
from tracker.work import (
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

__all__ = ["block_drawing", "layout_drawing", "pile_drawing", "quilt_drawing", "step_drawing", "strip_drawing"]


def step_drawing(plan: Plan, checklist: Checklist, trace: Trace, step: Step, layout: Layout | None = None) -> str:
    """The step as an `svg` element: what lies there while and after it is done, with what to line up and its sizes.

    `trace` is the checklist sewn from its first step to at least this one; what is done with rows and tops is drawn
    without it too. `layout` is that of the quilt, where it is known already.
    """
    done = trace.done.get(step.id, Done(step.id, {}, {}))
    scene = Scene(plan, checklist, step, done, Sheet(plan), layout)
    drawn_by = quilts.DRAWN_BY if step.of_the_quilt else _DRAWN_BY
    height, title = drawn_by[type(step.action)](scene, step.action)
    return scene.sheet.finish(height, title)


_DRAWN_BY: dict[type, Callable[[Scene, Any], units.Drawn]] = {
    Cut: units.draw_cut,
    Mark: units.draw_mark,
    Pair: units.draw_pair,
    Sew: units.draw_sew,
    CutApart: units.draw_cut_apart,
    Press: units.draw_press,
    Trim: units.draw_trim,
    LayOut: blocks.draw_lay_out,
    Pin: blocks.draw_pin,
    Join: blocks.draw_join,
    PressSeams: blocks.draw_press_seams,
    AddStrips: blocks.draw_add_strips,
}
