"""Whether the numbers of a checklist agree with its steps: counts of piles, the cutting list, units and blocks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from tracker.cloth.pieces import Content, Piece, Stack
from tracker.cloth.sewing import Counted
from tracker.cloth.sewing_faults import SewingFault, fault
from tracker.exact.measure import Measure
from tracker.plan.model import Plan, Quarters
from tracker.proof.block_picture import cloths_round, difference_from_unit
from tracker.proof.uses import Uses
from tracker.proof.whole_quilt import is_one_block
from tracker.work.steps import AddStrips, Checklist, Cut, LayOut, Pair, Step, UnitRow
from tracker.work.things import BONUS, GOOSE, Kind, Stage
from tracker.work.whole_blocks import CutLengths, JoinParts, JoinUnits, SetBlock

ONE_CELL_KINDS = ("half-square triangle", "quarter-square triangle", "split quarter-square triangle")
"""Units that show one square cell, whose seams all run into its corners."""


def running_out(steps: Iterable[Step]) -> Iterator[SewingFault]:
    """Every pile that gives out when the steps are done one after the other, each as often as it says."""
    given: Counter[str] = Counter()
    taken: Counter[str] = Counter()
    for step in steps:
        for flow in step.takes:
            taken[flow.pile] += step.count * flow.each
            if taken[flow.pile] > given[flow.pile]:
                facts = {"given": given[flow.pile], "taken": taken[flow.pile]}
                yield fault(step.id, "too few", pile=flow.pile, **facts)
        for flow in step.gives:
            given[flow.pile] += step.count * flow.each


def list_faults(
    plan: Plan, checklist: Checklist, lying: Mapping[str, Content], counted: Mapping[str, Counted]
) -> Iterator[SewingFault]:
    """Every number of the lists that is not what the steps make of it."""
    yield from _cutting_list(plan, checklist)
    yield from _unit_list(plan, checklist, lying, counted)
    yield from _block_list(plan, checklist)
    yield from _spares(plan, checklist, counted)
    for pile, content in lying.items():
        # Nobody opens it here, so that nothing else would miss its seam.
        if checklist.piles[pile].thing.of == BONUS and not (isinstance(content, Stack) and len(content.stitches) == 1):
            yield fault("spares", "count", what=f"seams in {pile}", printed=1, found="another number")


def _spares(plan: Plan, checklist: Checklist, counted: Mapping[str, Counted]) -> Iterator[SewingFault]:
    """What the checklist says is left over, against what lies there when the finished blocks are taken away."""
    left = {}
    last = next((step.gives[0].pile for step in reversed(checklist.steps)), "")
    for pile_id, each in counted.items():
        block = checklist.piles[pile_id].block
        finished = plan.count_of(block) if block is not None and not each.taken else 0
        if pile_id == last and not is_one_block(plan):
            finished = 1
        left[pile_id] = each.left - min(each.left, finished)
    for pile_id in dict.fromkeys((*checklist.spares, *left)):
        printed, found = checklist.spares.get(pile_id, 0), left.get(pile_id, 0)
        if printed != found:
            yield fault("spares", "count", what=pile_id, printed=printed, found=found)


def _cutting_list(plan: Plan, checklist: Checklist) -> Iterator[SewingFault]:
    printed: Counter[tuple[str, Measure, Measure, str]] = Counter()
    cut: Counter[tuple[str, Measure, Measure, str]] = Counter()
    for piece in checklist.pieces:
        printed[piece.fabric, piece.width, piece.height, piece.use] += piece.count
    uses = Uses(checklist)
    for step in checklist.steps:
        if isinstance(step.action, Cut):
            (pile,) = (flow.pile for flow in step.gives)
            joined = uses.joined(pile)
            yield from _too_large(plan, step, joined > 0)
            sides, count = (step.action.width, step.action.height), step.count - joined
            use = uses.of_joined(pile) if joined and not count else uses.of(pile)
            if step.count and step.action.use != use:
                yield fault(step.id, "count", what="use", printed=step.action.use, found=use)
            cut[step.action.fabric, max(sides), min(sides), use] += count
            if joined and uses.of_joined(pile) == "binding":
                cut[step.action.fabric, max(sides), min(sides), "binding"] += joined
        elif isinstance(step.action, CutLengths):
            for part in step.action.lengths:
                size, fabrics = checklist.piles[part.pile].size, checklist.piles[part.pile].fabrics
                assert size is not None
                cut[next(iter(fabrics), "no cloth"), max(size), min(size), uses.of(part.pile)] += (
                    step.count * part.count
                )
    for key in dict.fromkeys((*printed, *cut)):
        if printed[key] != cut[key]:
            what = f"{key[0]} {key[1].decimal(4)} by {key[2].decimal(4)} for {key[3]}s"
            yield fault("cutting list", "count", what=what, printed=printed[key], found=cut[key])


def _too_large(plan: Plan, step: Step, joined: bool) -> Iterator[SewingFault]:
    """A piece that its cloth is too narrow for, however it lies; strips to be joined lie across it."""
    assert isinstance(step.action, Cut)
    sides = step.action.width, step.action.height
    fabric = plan.fabrics.get(step.action.fabric)
    if fabric is not None and step.count and (max(sides) if joined else min(sides)) > fabric.usable:
        yield fault(
            step.id, "size", pile=step.gives[0].pile, printed=sides, found=f"cloth {fabric.usable.decimal(4)} wide"
        )


def _laid_out(checklist: Checklist) -> Counter[str]:
    """How many units the blocks take from each pile: as they are laid out, or, being a whole block each, when they are
    framed or laid in the quilt; how many pieced borders take; and how many other units do that they are sewn into."""
    found: Counter[str] = Counter()
    sewn_up = {
        pile.id
        for pile in checklist.piles.values()
        if pile.thing.kind is Kind.UNIT and pile.thing.of in ONE_CELL_KINDS and pile.stage is Stage.TRIMMED
    }
    for step in checklist.steps:
        if step.per != "quilt" and isinstance(step.action, LayOut | AddStrips | SetBlock):
            for flow in step.takes if isinstance(step.action, LayOut) else step.takes[:1]:
                found[flow.pile] += step.count * flow.each
        elif isinstance(step.action, JoinUnits):
            for flow in step.takes:
                found[flow.pile] += step.count * flow.each
        elif isinstance(step.action, Pair):
            for flow in step.takes:
                inner = flow.pile in sewn_up or _is_goose_inside(checklist, flow.pile, step)
                found[flow.pile] += step.count * flow.each if inner else 0
    for pile, count in _alone_in_a_strip(checklist):
        found[pile] += count
    return Counter({pile: count for pile, count in found.items() if count and checklist.piles[pile].block is None})


def _is_goose_inside(checklist: Checklist, pile: str, step: Step) -> bool:
    """Whether a pile holds whole geese that a step sews into another unit."""
    taken, given = checklist.piles[pile].thing, checklist.piles[step.gives[0].pile].thing
    return taken.kind is Kind.UNIT and taken.of == GOOSE and given.of != GOOSE


def _alone_in_a_strip(checklist: Checklist) -> Iterator[tuple[str, int]]:
    """Units that are a whole strip of a pieced border each, and how many of them: sewn on, or first to cornerstones."""
    uses = Uses(checklist)
    for step in checklist.steps:
        pile, each = "", 0
        if isinstance(step.action, AddStrips) and step.action.outward:
            pile, each = step.action.strip, 2
        elif type(step.action) is JoinParts and len(step.action.members) == 3 and uses.of_pieced(step):
            pile, each = step.action.members[1].pile, 1
        thing = checklist.piles[pile].thing if pile in checklist.piles else None
        if thing is not None and (thing.is_patch or thing.kind is Kind.UNIT):
            yield pile, step.count * each


def _unit_list(
    plan: Plan, checklist: Checklist, lying: Mapping[str, Content], counted: Mapping[str, Counted]
) -> Iterator[SewingFault]:
    laid_out = _laid_out(checklist)
    needed: Counter[str] = Counter()
    made: Counter[str] = Counter()
    plain: set[str] = set()
    for row in checklist.units:
        needed[row.pile] += row.needed
        made[row.pile] += row.made
        if row.kind == "plain":
            plain.add(row.pile)
        yield from _unit_row(plan, row, lying.get(row.pile))
        if row.bag != (checklist.piles[row.pile].bag if row.pile in checklist.piles else None):
            yield fault("unit list", "count", what=f"{row.pile}, bag", printed=row.bag, found="another")
    for pile in needed:
        given = counted[pile].given if pile in counted else 0
        if needed[pile] != laid_out[pile]:
            yield _unit_fault(pile, "needed", needed[pile], laid_out[pile])
        # Cut patches may share their pile with squares for other units, which are not in this row.
        if made[pile] != given and (pile not in plain or made[pile] > given):
            yield _unit_fault(pile, "made", made[pile], given)
    # An unwanted mirror image, in a bag of its own, must be listed too.
    bagged = {pile for pile, each in counted.items() if each.left > 0 and checklist.piles[pile].bag is not None}
    for pile in sorted((laid_out.keys() | bagged) - needed.keys()):
        yield _unit_fault(pile, "needed", 0, laid_out[pile])


def _unit_row(plan: Plan, row: UnitRow, content: Content | None) -> Iterator[SewingFault]:
    if row.spare != row.made - row.needed or row.spare < 0:
        yield _unit_fault(row.pile, "spare", row.spare, row.made - row.needed)
    if row.trimmed != tuple(side + 2 * plan.seam for side in row.finished):
        yield fault("unit list", "size", pile=row.pile, printed=row.trimmed, found="its finished size and seams")
    if not isinstance(content, Piece) or content.size != row.trimmed:
        # An unwanted mirror image may be left lying before it is finished.
        if row.needed:
            found = content.size if isinstance(content, Piece) else "no single piece"
            yield fault("unit list", "size", pile=row.pile, printed=row.trimmed, found=found)
    elif row.kind in ONE_CELL_KINDS:
        shown = difference_from_unit(content, plan.unit, plan.seam)
        if shown is not None:
            yield fault("unit list", "unit", pile=row.pile, wanted=shown.wanted, found=shown.found)
        cloths = _read_round(cloths_round(content))
        if cloths != row.fabrics:
            yield fault("unit list", "unit", pile=row.pile, wanted=":".join(row.fabrics), found=":".join(cloths))
        return
    there = sorted(cloths_in(content))
    if there != sorted(row.fabrics):
        yield fault("unit list", "unit", pile=row.pile, wanted=":".join(row.fabrics), found=":".join(there))


def cloths_in(content: Content | None) -> frozenset[str]:
    """Every cloth of what lies on a pile."""
    pieces = (content,) if isinstance(content, Piece) else content.pieces if content is not None else ()
    return frozenset(facet.fabric for piece in pieces for facet in piece.facets)


def _read_round(quarters: Quarters) -> tuple[str, ...]:
    """Cloths clockwise from the least rotation, neighbours alike once."""
    least = min(quarters[turn:] + quarters[:turn] for turn in range(4))
    return tuple(cloth for place, cloth in enumerate(least) if place == 0 or cloth != least[place - 1])


def _unit_fault(pile: str, what: str, printed: int, found: int) -> SewingFault:
    return fault("unit list", "count", what=f"{pile}, {what}", printed=printed, found=found)


def _block_list(plan: Plan, checklist: Checklist) -> Iterator[SewingFault]:
    rows = {row.key: row for row in checklist.blocks}
    for key, times in Counter(row.key for row in checklist.blocks).items():
        if times > 1:
            yield fault("block list", "count", what=f"rows of {key}", printed=times, found=1)
    for block in plan.blocks.values():
        needed, row = plan.count_of(block.key), rows.pop(block.key, None)
        if row is None:
            if needed:
                yield fault("block list", "count", what=block.key, printed=0, found=needed)
            continue
        if row.count != needed:
            yield fault("block list", "count", what=block.key, printed=row.count, found=needed)
        finished, inner = block.finished(plan.seam), block.inner_squared(plan.seam)
        room = 2 * plan.seam
        for printed, found in (
            (row.inner, (inner[0] + room, inner[1] + room)),
            (row.finished, finished),
            (row.unfinished, (finished[0] + room, finished[1] + room)),
        ):
            if printed != found:
                yield fault("block list", "size", pile=block.key, printed=printed, found=found)
    for key in rows:
        yield fault("block list", "count", what=key, printed=rows[key].count, found=0)
