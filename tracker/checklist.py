"""Compile a plan: picture -> units -> joins -> pressing -> route -> checklist. The passes, in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracker.joins import Node, NotStraight, joining_order, leaves
from tracker.making import Bench
from tracker.measure import Measure, nearest, on_mark
from tracker.plan import Block, Plan
from tracker.pressing import press_directions
from tracker.recipes import RECIPES, Recipe
from tracker.route import BlockRoute
from tracker.units import NoRecipe, Unit, make_units, unit_rows, units_of
from tracker.work import BlockRow, Checklist, Cut, Notice, Piece, Step


class CannotSew(Exception):
    """A plan that reads well but cannot be sewn by straight seams and the known units. `block`, `reason` and `cells`
    (row, column from 1) say where."""

    def __init__(self, block: str, reason: str, cells: tuple[tuple[int, int], ...]) -> None:
        super().__init__(f"block {block}: {reason} at {cells}")
        self.block = block
        self.reason = reason
        self.cells = cells


@dataclass(frozen=True)
class _Ready:
    """A block after its passes."""

    block: Block
    count: int
    root: Node


def compile_plan(plan: Plan, recipes: Sequence[Recipe] = RECIPES) -> Checklist:
    """The checklist of a plan: every pile and step in a workable order, with the lists that follow from them.

    Raises CannotSew where a block has no straight-seam order or a cell no recipe.
    """
    ready = [_ready(plan, block, recipes) for block in plan.blocks.values() if plan.count_of(block.key)]
    needed = _units_needed(ready)
    bench = Bench(plan)
    piles = make_units(bench, list(needed))
    finished: dict[str, int] = {}
    for each in ready:
        route = BlockRoute(bench, each.block, each.root, piles, press_directions(each.root, plan))
        finished[route.write()] = each.count
    times = bench.counted(finished)
    steps = _in_working_order([replace(step, count=times[step.id]) for step in bench.steps.values()])
    units = unit_rows(bench, piles, needed, times)
    return Checklist(bench.piles, steps, units, _pieces(bench, steps), _block_rows(plan, ready), _notices(plan, bench))


def _ready(plan: Plan, block: Block, recipes: Sequence[Recipe]) -> _Ready:
    try:
        root = joining_order(block, units_of(block, plan, recipes))
    except NoRecipe as fault:
        raise CannotSew(block.key, "no way of making", ((fault.cell.row + 1, fault.cell.column + 1),)) from fault
    except NotStraight as fault:
        cells = tuple((unit.row + 1, unit.column + 1) for unit in fault.units)
        raise CannotSew(block.key, "no straight seam", cells) from fault
    return _Ready(block, plan.count_of(block.key), root)


def _units_needed(ready: Sequence[_Ready]) -> dict[Unit, int]:
    """Every kind of unit, in reading order, and how many all blocks need."""
    needed: dict[Unit, int] = {}
    for each in ready:
        for leaf in leaves(each.root):
            unit = leaf.placed.unit
            needed[unit] = needed.get(unit, 0) + each.count
    return needed


def _in_working_order(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Cutting first, cloth by cloth, largest pieces first; then unit by unit; then block by block."""
    cuts = [step for step in steps if isinstance(step.action, Cut)]
    cuts.sort(key=lambda step: (step.topic, _longest_first(step)))
    return tuple(cuts) + tuple(step for step in steps if not isinstance(step.action, Cut))


def _longest_first(step: Step) -> tuple[Measure, Measure]:
    assert isinstance(step.action, Cut)
    return -step.action.width, -step.action.height


def _pieces(bench: Bench, steps: Sequence[Step]) -> tuple[Piece, ...]:
    """The cutting list: like sizes of one cloth and use are one row."""
    return tuple(
        Piece(step.action.fabric, step.action.width, step.action.height, step.count, bench.uses[step.id])
        for step in steps
        if isinstance(step.action, Cut)
    )


def _block_rows(plan: Plan, ready: Sequence[_Ready]) -> tuple[BlockRow, ...]:
    rows = []
    for each in ready:
        inner, outer = each.block.inner_finished, each.block.finished(plan.seam)
        room = 2 * plan.seam
        rows.append(
            BlockRow(
                each.block.key,
                each.count,
                (inner[0] + room, inner[1] + room),
                (outer[0] + room, outer[1] + room),
                outer,
            )
        )
    return tuple(rows)


def _notices(plan: Plan, bench: Bench) -> tuple[Notice, ...]:
    """What a person should know: sizes off the ruler's mark, with the nearest cell size that fits."""
    notices = []
    seen: set[tuple[str, Measure]] = set()
    for block in plan.blocks.values():
        for side in sorted(set(block.columns + block.rows)):
            size = side + 2 * plan.seam
            if not on_mark(size, plan.ruler) and (block.key, side) not in seen:
                seen.add((block.key, side))
                fits = nearest(size, plan.ruler) - 2 * plan.seam
                facts = (("block", block.key), ("finished", side), ("size", size), ("fits", fits))
                notices.append(Notice("off the mark", facts))
    return tuple(notices)
