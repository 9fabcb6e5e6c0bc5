"""Drawings, made once for each compiled plan."""

from __future__ import annotations

from collections.abc import Callable, Collection

from tracker.drawing import block_drawing, pile_drawing, quilt_drawing, step_drawing, strip_drawing
from tracker.plan.model import Fabric
from tracker.plan.plan_reader import read_plan
from tracker.progress.strip_ticks import Strip
from tracker.web.desk import Desk
from tracker.web.measuring import as_measured
from tracker.web.opened import WHOLE, Compiled, Opened
from tracker.work.steps import Step


def cloths_in(compiled: Compiled, drawing: str) -> list[Fabric]:
    """The cloths that a drawing shows, in the order of the plan."""
    return [cloth for key, cloth in compiled.plan.fabrics.items() if f'data-cloth="{key}"' in drawing]


def _once(compiled: Compiled, key: str, draw: Callable[[], str]) -> str:
    found = compiled.drawings.get(key)
    if found is None:
        found = compiled.drawings[key] = draw()
    return found


def of_quilt(compiled: Compiled) -> str:
    """All blocks in place, as SVG."""
    return _once(compiled, "quilt", lambda: quilt_drawing(compiled.plan))


def of_progress(desk: Desk, text: str, sewn: Collection[int]) -> str:
    """All blocks of a plan text in place, those sewn in full colour, the rest pale, as SVG. Raises PlanFault."""
    plan = read_plan(text, "plan").plan
    return of_text(desk, text) if plan is None else quilt_drawing(plan, sewn)


def of_text(desk: Desk, text: str) -> str:
    """All blocks of a plan text in place, as SVG, without compiling it. Raises PlanFault."""
    ready, plan = desk.ready(text), None if desk.ready(text) else read_plan(text, "plan").plan
    return of_quilt(ready or desk.compiled(text)) if plan is None else quilt_drawing(plan)


def of_block(compiled: Compiled, key: str) -> str:
    """One kind of block with its frames, as SVG."""
    return _once(compiled, f"block {key}", lambda: block_drawing(compiled.plan, compiled.plan.blocks[key]))


def of_pile(compiled: Compiled, pile: str) -> str:
    """One piece of a pile as it lies there, as SVG; empty for a pile that the sewing could not reach."""
    return _once(
        compiled,
        f"pile {pile}",
        lambda: pile_drawing(compiled.plan, compiled.checklist, compiled.trace, pile, compiled.layout),
    )


def of_step(opened: Opened, step: Step) -> str:
    """The piece as it lies on the table, as SVG; empty for a step that the sewing could not reach."""
    compiled, step = opened.compiled, as_measured(opened, step)
    if step.id not in compiled.trace.done and step.topic.about not in WHOLE:
        return ""
    return _once(
        compiled,
        f"step {step.id} {step.size}",
        lambda: step_drawing(compiled.plan, compiled.checklist, compiled.trace, step, compiled.layout),
    )


def of_strip(compiled: Compiled, strip: Strip) -> str:
    """A strip with what is cut from it, as SVG."""
    return _once(compiled, f"strip {strip.kind}", lambda: strip_drawing(compiled.plan, strip))
