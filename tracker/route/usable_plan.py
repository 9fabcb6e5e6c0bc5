"""What a plan that reads well must keep to besides, to be used: its seam holds, blocks are squared beside seams, not on
them, and no deeper than the seams at their edges are those that they are pressed and pinned by.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import accumulate

from tracker.exact.measure import Measure, write_length
from tracker.plan.fields import Report
from tracker.plan.model import Block, Plan
from tracker.plan.picture import clear_of_seams
from tracker.plan.problems import Problem
from tracker.plan.toml_text import read_text
from tracker.route.compiler import in_joining_order
from tracker.units.block_units import PlacedUnit
from tracker.units.choice import Ways
from tracker.units.joins import leaves
from tracker.units.recipes import RECIPES

LEAST_SEAM = {"in": Measure(Fraction(1, 8)), "cm": Measure(Fraction(1, 5))}
"""The narrowest seam of a plan (common practice: patchwork in miniature has an eighth of an inch, or 2 to 3 mm)."""


def least_squared(plan: Plan) -> dict[str, Measure]:
    """The least size, unfinished, of blocks that are squared too deep, by key: into seams within a unit that are not at
    its edge. Those that have frames, sashes or no block beside them have nothing to nest there."""
    if plan.quilt.sash is not None or sum(1 for _ in plan.quilt.blocks_in_order()) < 2:
        return {}
    if not any(block.squared is not None and not block.frames for block in plan.blocks.values()):
        return {}
    found: dict[str, Measure] = {}
    for joined in in_joining_order(plan, Ways(plan, RECIPES)):
        block = joined.block
        if block.squared is None or block.frames:
            continue
        spans = [span for leaf in leaves(joined.root) for span in _beyond(block, leaf.placed, plan)]
        off = (block.inner_finished[0] - block.inner_squared(plan.seam)[0]) / 2
        if any(start < off < end for start, end in spans):
            most = min(start for start, _ in spans) - plan.seam
            size = block.inner_finished[0] - 2 * most + 2 * plan.seam
            found[block.key] = clear_of_seams(block, size, plan.seam)
    return found


def _beyond(block: Block, placed: PlacedUnit, plan: Plan) -> Iterator[tuple[Measure, Measure]]:
    """From where to where, off the block's edges, other seams of a unit run out than at its own edges."""
    recipe, region = placed.unit.recipe, placed.unit.region
    depths = recipe.beyond(region, plan)
    if depths is None:
        return
    for sides, first, count in ((block.columns, placed.column, placed.across), (block.rows, placed.row, placed.down)):
        lines = [Measure(), *accumulate(sides)]
        for edge in (lines[first], lines[-1] - lines[first + count]):
            yield edge + depths[0], edge + depths[1]


def _on_seams(plan: Plan) -> dict[str, Measure]:
    """Of blocks that are squared where a seam lies, at any edge, by key, the least size from theirs on that is clear of
    seams."""
    found = dict[str, Measure]()
    for key, block in plan.blocks.items():
        fits = block.squared and clear_of_seams(block, block.squared, plan.seam)
        if fits and fits != block.squared:
            found[key] = fits
    return found


def usability_problems(plan: Plan, text: str | bytes, file: str) -> tuple[Problem, ...]:
    """What of this is wrong with a plan, as problems of the text that it was read from, each with its line."""
    least = LEAST_SEAM[plan.unit]
    on_seams = _on_seams(plan)
    squared = least_squared(plan) if plan.seam >= least and not on_seams else {}
    if plan.seam >= least and not squared and not on_seams:
        return ()
    plain, _ = read_text(text, file)
    report = Report(file, plain)

    def written(length: Measure) -> str:
        return f"{write_length(length, plan.unit, plain=True)} {plan.unit}"

    def add(kind: str, key: str, right: str) -> None:
        now = plan.blocks[key].squared
        assert now is not None
        report.add(kind, ("blocks", key, "squared"), written(now), right)

    if plan.seam < least:
        report.add("seam too small", ("seam",), written(plan.seam), written(least))
    for key, size in on_seams.items():
        add("squared on a seam", key, written(size))
    for key, size in squared.items():
        add("squared too small", key, f"{written(size)} or more")
    return report.problems()
