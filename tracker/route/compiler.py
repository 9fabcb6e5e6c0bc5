"""Compile a plan: picture -> units -> joins -> pressing -> route -> checklist. The passes, in order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracker.exact.collecting import collecting_seldom
from tracker.exact.kept import Kept
from tracker.exact.measure import Measure
from tracker.plan.model import Block, Plan
from tracker.pressing.meetings import BlockSeams
from tracker.pressing.quilt_pressing import PressedQuilt, letter, press_quilt, pressing_of
from tracker.quilt.cloth_cutting import joined_runs
from tracker.quilt.setting import set_quilt
from tracker.route.block_ids import name_of_finished
from tracker.route.block_route import BlockRoute, BlockVersion
from tracker.route.border_route import BorderRoute, long_strips
from tracker.route.centre_route import CentreRoute
from tracker.route.cloth_notices import (
    off_the_mark,
    quilt_notices,
    small_middles,
    trimmed_off_the_mark,
    turned_cloths,
    turned_in_blocks,
)
from tracker.route.finishing_route import FinishingRoute
from tracker.route.print_lies import cut_as_they_lie, prints_in_blocks
from tracker.route.strip_units import PiecedStrips, StripsOfUnits, areas_of_strips, laid_out, strips_of_units
from tracker.route.working_order import working_order
from tracker.units.block_units import PlacedUnit, Unit, make_units, unit_rows
from tracker.units.choice import Wanted, Ways
from tracker.units.diagonal_areas import whole_on_point, whole_star, with_diagonals
from tracker.units.joins import Node, NotStraight, joining_order, leaves
from tracker.units.larger_units import UnitArea, combined, each_its_own, patches_of, quarters_cut_up, with_strip_rows
from tracker.units.maker import Bench
from tracker.units.recipes import RECIPES, Recipe
from tracker.units.recipes.cut_up import LEVEL, UPRIGHT
from tracker.units.strip_areas import StripAreas, with_strips
from tracker.work.pressed import Pressing
from tracker.work.steps import BlockRow, Checklist, Cut, CutPiece, Notice, Pile, Step
from tracker.work.whole_blocks import CutLengths, JoinEnds


class CannotSew(Exception):
    """A plan that reads well but cannot be sewn by straight seams and the known units. `block`, `reason` and `cells`
    (row, column from 1) say where."""

    def __init__(self, block: str, reason: str, cells: tuple[tuple[int, int], ...]) -> None:
        super().__init__(f"block {block}: {reason} at {cells}")
        self.block = block
        self.reason = reason
        self.cells = cells


APART: Kept[tuple[UnitArea, ...]] = Kept(1000)
"""Blocks cell by cell, by the picture: what is known of each region is kept with it."""

DIAGONAL: Kept[tuple[UnitArea, ...]] = Kept(1000)
"""Blocks with what is pieced on the diagonal, by the picture, the recipes and the plan's settings."""

COMBINED: Kept[tuple[UnitArea, ...]] = Kept(1000)
"""The larger units of blocks, by the picture, the units that it is drawn in, the recipes and the plan's settings."""


IN_STRIPS: Kept[StripAreas] = Kept(1000)
"""Blocks with lines of strips, by the picture, how many there are, the recipes and the plan's settings."""


Written = tuple[tuple[Pile, ...], tuple[Step, ...], str]
"""Piles, steps and the pile that they end on."""

ROUTES: Kept[Written] = Kept(1000)
"""What is written of a block's versions, by the block, how its units are joined and pressed, the
piles that they lie on and the plan's settings."""

JOINED: Kept[Node] = Kept(1000)
"""The order in which a block's units are joined, by the units."""


@dataclass(frozen=True)
class JoinedBlock:
    """A block after its passes: its areas, then the order of joining its units."""

    block: Block
    count: int
    root: Node


@collecting_seldom()
def compile_plan(plan: Plan, recipes: Sequence[Recipe] = RECIPES) -> Checklist:
    """The checklist of a plan: every pile and step in a workable order, with the lists that follow from them.

    Raises CannotSew where a block has no straight-seam order or a cell no recipe.
    """
    ways = Ways(plan, recipes)
    ready = in_joining_order(plan, ways)
    strips = strips_of_units(plan, ways)
    needed = _units_needed(ready, ways, strips)
    bench = Bench(plan)
    piles = make_units(bench, needed, ways.inner)
    roots = {each.block.key: each.root for each in ready}
    pressed = press_quilt(plan, roots)
    pressing = pressing_of(plan, roots, pressed)
    finished, needed_at_end = _write_blocks(bench, ready, piles, pressed)
    if not _is_one_block(plan):
        known = {
            (key, version): (pile, name_of_finished(plan.blocks[key], roots[key], pile))
            for (key, version), pile in finished.items()
        }
        pieced = {name: laid_out(strip, piles) for name, strip in strips.items()}
        needed_at_end = _write_quilt(bench, pressed, known, needed_at_end, pieced)
    times = bench.counted(needed_at_end)
    steps = working_order(bench.piles, [replace(step, count=times[step.id]) for step in bench.steps.values()])
    steps = tuple(cut_as_they_lie(plan, bench.piles, steps))
    units = unit_rows(bench, piles, needed, times)
    pieces = _pieces(bench, steps)
    told = (*bench.notices, *ways.notices)
    prints = prints_in_blocks(plan, bench.piles, steps, [(key, pile) for (key, _), pile in finished.items()])
    off = off_the_mark(plan, pieces, told)
    notices = (
        *off,
        *trimmed_off_the_mark(plan, units, steps, off),
        *told,
        *_strip_notices(ready, ways),
        *_point_notices(ready, ways),
        *_savings(plan, ready, ways),
        *_pressing_notices(pressing),
        *small_middles(plan, roots),
        *quilt_notices(plan),
        *turned_cloths(plan),
        *turned_in_blocks(plan, bench.piles, units, prints),
    )
    spares = _spares(bench, times, needed_at_end)
    return Checklist(bench.piles, steps, units, pieces, _block_rows(plan, ready), notices, spares, pressing, prints)


def _write_blocks(
    bench: Bench, ready: Sequence[JoinedBlock], piles: dict[Unit, str], pressed: PressedQuilt
) -> tuple[dict[tuple[str, int], str], dict[str, int]]:
    """The steps of every version of every block on the bench; the pile of finished blocks of each kind and version, and
    how many on each pile."""
    finished: dict[tuple[str, int], str] = {}
    counts: dict[str, int] = {}
    for each in ready:
        key = each.block.key
        versions = tuple(
            BlockVersion(letter(number), sides, pressed.blocks(key, number))
            for number, sides in enumerate(pressed.versions[key])
        )
        for number, version in enumerate(versions):
            pile = _write_version(bench, each, piles, pressed.seams[key], versions, version)
            finished[key, number] = pile
            counts[pile] = counts.get(pile, 0) + len(version.blocks)
    return finished, counts


def _write_version(
    bench: Bench,
    ready: JoinedBlock,
    piles: dict[Unit, str],
    seams: BlockSeams,
    versions: tuple[BlockVersion, ...],
    version: BlockVersion,
) -> str:
    """The steps of one version of a block on the bench; its pile. Kept, as of an edited plan most are as they were."""
    block, root, plan = ready.block, ready.root, bench.plan
    own = {leaf.placed.unit: piles[leaf.placed.unit] for leaf in leaves(root)}

    def written() -> Written:
        alone = Bench(plan)
        finished = BlockRoute(alone, block, root, own, seams, versions, version, _is_one_block(plan)).write()
        return tuple(alone.piles.values()), tuple(alone.steps.values()), finished

    # The seams hang on what they are kept by themselves, which is in the key too.
    key = block, root, tuple(own.values()), versions, version, _is_one_block(plan), plan.settings
    made, steps, finished = ROUTES.get(key, written)
    bench.add(made, steps)
    return finished


def _is_one_block(plan: Plan) -> bool:
    """Whether the quilt is nothing but one block."""
    quilt = plan.quilt
    more = (*quilt.borders, quilt.binding, quilt.backing, quilt.batting_beyond)
    return quilt.setting == "straight" and len(list(quilt.blocks_in_order())) == 1 and not any(more)


def _write_quilt(
    bench: Bench,
    pressed: PressedQuilt,
    finished: dict[tuple[str, int], tuple[str, str]],
    blocks: dict[str, int],
    pieced: PiecedStrips,
) -> dict[str, int]:
    """The steps of the whole quilt, from blocks in their places to the binding; the pile of the quilt. `finished` as
    for `CentreRoute`, `pieced` as for `BorderRoute`."""
    setting = set_quilt(bench.plan)
    times = bench.counted(blocks)
    cut = _pieces(bench, [replace(step, count=times[step.id]) for step in bench.steps.values()])
    long = long_strips(bench, joined_runs(bench.plan, cut, setting))
    sashes = {length: pile for (_, length, _, use), pile in long.items() if use == "sash"}
    route = CentreRoute(bench, pressed, finished, sashes, setting.centre)
    centre = route.write()
    top = BorderRoute(bench, long, pieced, route.edges() if pieced else None).write(centre, setting.border_strips)
    return {FinishingRoute(bench).write(top, setting): 1}


def _pressing_notices(pressing: Pressing) -> list[Notice]:
    """Blocks that are pressed in several versions, and seams that meet and cannot nest."""
    notices = []
    for block in pressing.blocks:
        if len(block.versions) > 1:
            versions = tuple((version.letter, version.blocks) for version in block.versions)
            notices.append(Notice("versions", (("block", block.block), ("versions", versions))))
        unnested = max(version.unnested for version in block.versions)
        if unnested:
            notices.append(Notice("not nested", (("block", block.block), ("count", unnested))))
    if pressing.unnested:
        notices.append(Notice("not nested between", (("count", pressing.unnested),)))
    return notices


def in_joining_order(plan: Plan, ways: Ways) -> list[JoinedBlock]:
    """The blocks that the quilt needs, each with its units in the order in which they are joined. Raises CannotSew."""
    blocks = [block for block in plan.blocks.values() if plan.count_of(block.key)]
    areas = {block.key: _areas(block, ways) for block in blocks}
    counts: dict[Wanted, int] = {}
    for block in blocks:
        ways.count(areas[block.key], plan.count_of(block.key), counts)
    ways.count(areas_of_strips(plan), 2, counts)
    ways.choose(counts)
    return [JoinedBlock(block, plan.count_of(block.key), _joined(block, areas[block.key], ways)) for block in blocks]


def _areas(block: Block, ways: Ways) -> tuple[UnitArea, ...]:
    areas = _cell_by_cell(block, ways)
    return _combined(block, areas, ways) if block.combine else areas


def _combined(block: Block, apart: tuple[UnitArea, ...], ways: Ways) -> tuple[UnitArea, ...]:
    """The larger units of a block. Kept, since of an edited plan all blocks but one are as they were."""
    key = block.columns, block.rows, block.cells, apart, ways.settings
    return COMBINED.get(key, lambda: combined(block, apart, ways.weigh, ways.plan.reckoning))


def _cell_by_cell(block: Block, ways: Ways) -> tuple[UnitArea, ...]:
    """The units as drawn: every cell its own, but for what is pieced on the diagonal and for lines of strips, where the
    block asks for such. In the first three reckonings strips were whole rows."""
    if block.diamonds:
        return whole_star(block)
    if block.before is not None:
        return quarters_cut_up(block, (LEVEL, UPRIGHT))
    if block.on_point and (whole := whole_on_point(block, ways.weigh_diagonal)) is not None:
        return (whole,)
    if block.diagonal:
        return DIAGONAL.get(
            (block.columns, block.rows, block.cells, ways.settings),
            lambda: with_diagonals(block, ways.weigh_diagonal, ways.weigh),
        )
    if block.strips and ways.plan.reckoning < 4:
        return with_strip_rows(block, ways.fits_strips)
    if block.strips:
        return _strips(block, ways).areas
    return APART.get((block.columns, block.rows, block.cells), lambda: each_its_own(block))


def _strips(block: Block, ways: Ways) -> StripAreas:
    blocks = ways.plan.count_of(block.key)
    key = block.columns, block.rows, block.cells, block.combine, blocks, ways.settings
    return IN_STRIPS.get(key, lambda: with_strips(block, blocks, ways.can_be_strips))


def _strip_notices(ready: Sequence[JoinedBlock], ways: Ways) -> list[Notice]:
    """Blocks that were to have strip sets, and why there are none; lines that their cloth is too narrow for."""
    notices = []
    for block in (each.block for each in ready if each.block.strips and ways.plan.reckoning > 3):
        found = _strips(block, ways)
        notices += [ways.no_strips(region) for region in found.narrow]
        if found.lacking:
            notices.append(Notice("no strip sets", (("block", block.key), ("why", found.lacking))))
    return notices


def _point_notices(ready: Sequence[JoinedBlock], ways: Ways) -> list[Notice]:
    """Blocks that were to have patches on their points, and show none that can be made so."""
    asked = (each.block for each in ready if each.block.on_point)
    none = [block.key for block in asked if whole_on_point(block, ways.weigh_diagonal) is None]
    return [Notice("none on point", (("block", key),)) for key in none]


def _joined(block: Block, areas: Sequence[UnitArea], ways: Ways) -> Node:
    placed = []
    for area in areas:
        found = ways.unit(area)
        if found is None:
            raise CannotSew(block.key, "no way of making", ((area.row + 1, area.column + 1),))
        placed.append(PlacedUnit(found[0], area.row, area.column, area.down, area.across, found[1]))
    try:
        return JOINED.get(tuple(placed), lambda: joining_order(placed))
    except NotStraight as fault:
        cells = tuple((unit.row + 1, unit.column + 1) for unit in fault.units)
        raise CannotSew(block.key, "no straight seam", cells) from fault


def _savings(plan: Plan, ready: Sequence[JoinedBlock], ways: Ways) -> list[Notice]:
    """What larger units save, or would save, in patches (and as many seams), for one block and the whole quilt."""
    notices = []
    for each in ready:
        block = each.block
        apart = _cell_by_cell(block, ways)
        together = _combined(block, apart, ways)
        saved = patches_of(apart, ways.weigh) - patches_of(together, ways.weigh)
        if saved:
            smaller = set(apart)
            larger = [area for area in together if area not in smaller]
            facts = (
                ("block", block.key),
                ("saved", saved),
                ("quilt", saved * each.count),
                ("units", _kinds(larger, ways)),
            )
            notices.append(Notice("combined" if block.combine else "combine would save", facts))
    return notices


def _kinds(areas: Sequence[UnitArea], ways: Ways) -> tuple[tuple[str, int], ...]:
    """Kinds of larger unit, and how many of each a block has."""
    counts: dict[str, int] = {}
    for area in areas:
        recipe = ways.fewest_patches(area.region)
        if recipe is not None:
            kind = "larger patch" if recipe.kind == "plain" else recipe.kind
            counts[kind] = counts.get(kind, 0) + 1
    return tuple(counts.items())


def _spares(bench: Bench, times: dict[str, int], finished: dict[str, int]) -> dict[str, int]:
    """What is left on each pile when everything is done, the finished blocks apart."""
    left = {pile: bench.made(pile, times) - finished.get(pile, 0) for pile in bench.piles}
    for step in bench.steps.values():
        for flow in step.takes:
            left[flow.pile] -= times[step.id] * flow.each
    return {pile: count for pile, count in left.items() if count}


def _units_needed(ready: Sequence[JoinedBlock], ways: Ways, strips: StripsOfUnits) -> dict[Unit, int]:
    """Every kind of unit, in reading order, and how many all blocks and pieced borders need; after each what is sewn
    into it."""
    needed: dict[Unit, int] = {}
    blocks = [(leaf.placed.unit, each.count) for each in ready for leaf in leaves(each.root)]
    for unit, times in (*blocks, *((unit, 2) for strip in strips.values() for unit, _ in strip)):
        needed[unit] = needed.get(unit, 0) + times
        for own, count in ways.sewn_into(unit).items():
            needed[own] = needed.get(own, 0) + count * times
    return needed


def _pieces(bench: Bench, steps: Sequence[Step]) -> tuple[CutPiece, ...]:
    """The cutting list: like sizes of one cloth and use are one row. What is cut from a long strip made of several is
    listed, not the strips it is made of; a binding is listed as its strips."""
    counts: Counter[tuple[str, Measure, Measure, str]] = Counter()
    joined: Counter[str] = Counter()
    for step in steps:
        if isinstance(step.action, JoinEnds):
            joined.update({flow.pile: step.count * flow.each for flow in step.takes})
    for step in steps:
        if isinstance(step.action, Cut):
            use = step.action.use
            count = step.count - (joined[step.id] if use != "binding" else 0)
            counts[step.action.fabric, step.action.width, step.action.height, use] += count
        elif isinstance(step.action, CutLengths):
            for part in step.action.lengths:
                size = bench.piles[part.pile].size
                assert size is not None
                fabric = bench.piles[part.pile].fabrics[0]
                counts[fabric, max(size), min(size), bench.piles[part.pile].thing.of] += step.count * part.count
    return tuple(CutPiece(*key[:3], count, key[3]) for key, count in counts.items() if count)


def _block_rows(plan: Plan, ready: Sequence[JoinedBlock]) -> tuple[BlockRow, ...]:
    rows = []
    for each in ready:
        inner, outer = each.block.inner_squared(plan.seam), each.block.finished(plan.seam)
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
