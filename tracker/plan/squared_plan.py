"""A plan's text with the size that blocks are squared to, set or taken out; the rest stays as she wrote it."""

from __future__ import annotations

from tracker.exact.measure import Measure, write_length
from tracker.plan.model import Plan
from tracker.plan.plan_text import rewritten
from tracker.plan.toml_text import parse

SQUARED, SQUARED_FRAMED = "squared", "squared_framed"


def kinds_alike(plan: Plan, key: str, framed: bool) -> tuple[str, ...]:
    """The kinds of block of the quilt that are planned as large as this one at that stage, itself included: they go
    side by side, so one size is for all of them."""
    kinds = dict.fromkeys(plan.quilt.blocks_in_order())
    return tuple(each for each in kinds if _planned(plan, each, framed) == _planned(plan, key, framed))


def _planned(plan: Plan, key: str, framed: bool) -> tuple[Measure, Measure]:
    block = plan.blocks[key]
    return block.with_frames(plan.seam) if framed and block.frames else block.inner_finished


def with_wide_frames(text: str, plan: Plan, key: str, cut: Measure) -> str:
    """The text of a plan with the last frame of blocks like this one cut so wide that every block reaches what was
    planned with it, and squared to that."""
    table, problem = parse(text, "plan")
    assert problem is None, problem
    for each in kinds_alike(plan, key, framed=False):
        block = plan.blocks[each]
        if block.frames:
            frame = table["blocks"][each]["frame"][-1]
            frame.pop("finished", None)
            frame["cut"] = write_length(cut, plan.unit, plain=True)
            planned = block.finished(plan.seam)[0] + 2 * plan.seam
            table["blocks"][each][SQUARED_FRAMED] = write_length(planned, plan.unit, plain=True)
    return rewritten(text, table)


def with_squared(text: str, plan: Plan, key: str, size: Measure, framed: bool) -> str:
    """The text of a plan with blocks like this one squared to an unfinished width before frames, or with them
    (`framed`). Where that is what is planned, the key is taken out."""
    table, problem = parse(text, "plan")
    assert problem is None, problem
    for each in kinds_alike(plan, key, framed):
        name = SQUARED_FRAMED if framed and plan.blocks[each].frames else SQUARED
        block = table["blocks"][each]
        if size == _planned(plan, each, framed)[0] + 2 * plan.seam:
            block.pop(name, None)
        else:
            block[name] = write_length(size, plan.unit, plain=True)
    return rewritten(text, table)
