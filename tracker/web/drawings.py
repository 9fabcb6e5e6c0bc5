"""Drawings, made once for each compiled plan."""

from __future__ import annotations

from collections.abc import Callable

from tracker.drawing import block_drawing, pile_drawing, quilt_drawing, step_drawing
from tracker.web.opened import Compiled
from tracker.work import Step


def _once(compiled: Compiled, key: str, draw: Callable[[], str]) -> str:
    found = compiled.drawings.get(key)
    if found is None:
        found = compiled.drawings[key] = draw()
    return found


def of_quilt(compiled: Compiled) -> str:
    """All blocks in place, as SVG."""
    return _once(compiled, "quilt", lambda: quilt_drawing(compiled.plan))


def of_block(compiled: Compiled, key: str) -> str:
    """One kind of block with its frames, as SVG."""
    return _once(compiled, f"block {key}", lambda: block_drawing(compiled.plan, compiled.plan.blocks[key]))


def of_pile(compiled: Compiled, pile: str) -> str:
    """One piece of a pile as it lies there, as SVG; empty for a pile that the sewing could not reach."""
    if pile not in compiled.trace.lying:
        return ""
    return _once(
        compiled,
        f"pile {pile}",
        lambda: pile_drawing(compiled.plan, compiled.checklist, compiled.trace, pile),
    )


def of_step(compiled: Compiled, step: Step) -> str:
    """The piece as it lies on the table, as SVG; empty for a step that the sewing could not reach."""
    if step.id not in compiled.trace.done:
        return ""
    return _once(
        compiled,
        f"step {step.id}",
        lambda: step_drawing(compiled.plan, compiled.checklist, compiled.trace, step),
    )
