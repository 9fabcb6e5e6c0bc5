"""What some blocks of one kind take: how often each step is done for them, and the cloth they are cut from. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from tracker.plan.model import Plan
from tracker.quilt.buying import ClothNeed, need
from tracker.quilt.cloth_cutting import BLOCK_USES, block_pieces, cut_cloth, listed
from tracker.units.times_needed import times_needed
from tracker.work.steps import Checklist, Cut, CutPiece, LayOut
from tracker.work.whole_blocks import JoinUnits, SetBlock


@dataclass(frozen=True)
class SomeBlocks:
    """So many blocks of one kind: how often each step is done for them, by its id, and what is cut for them."""

    key: str
    count: int
    times: Mapping[str, int]
    pieces: tuple[CutPiece, ...]


def some_blocks_of(checklist: Checklist, key: str, count: int) -> SomeBlocks:
    """What `count` blocks of a kind take, pressed as the first of their versions. What is made two or more at a time
    is made for them alone: the odd one is a spare."""
    pile = finished_pile(checklist, key)
    last = next(number for number, step in enumerate(checklist.steps) if any(flow.pile == pile for flow in step.gives))
    upto = checklist.steps[: last + 1]
    return _some(checklist, key, count, times_needed(upto, {pile: count}))


def border_pieces_of(checklist: Checklist) -> SomeBlocks | None:
    """What the units of all pieced borders take, as one; None where there are none."""
    joins = [step for step in checklist.steps if isinstance(step.action, JoinUnits)]
    wanted: Counter[str] = Counter()
    for step in joins:
        for flow in step.takes:
            wanted[flow.pile] += flow.each * step.count
    if not wanted:
        return None
    upto = checklist.steps[: checklist.steps.index(joins[0])]
    return _some(checklist, "", 1, times_needed(upto, wanted))


def _some(checklist: Checklist, key: str, count: int, times: Mapping[str, int]) -> SomeBlocks:
    upto = [step for step in checklist.steps if times.get(step.id)]
    cut = Counter[object]()
    for step in upto:
        if isinstance(step.action, Cut):
            cut[listed(step.action)] += times[step.id]
    pieces = []
    for piece in checklist.pieces:
        often = cut[listed(piece)]
        if often and piece.use in BLOCK_USES:
            pieces.append(replace(piece, count=often))
    return SomeBlocks(key, count, times, tuple(pieces))


def finished_pile(checklist: Checklist, key: str) -> str:
    """The pile of finished blocks of a kind, in the first of its versions: what is laid in its place in the quilt. Of a
    block that is one patch, that of the patches."""
    mine = [step for step in checklist.steps if step.per == key and not step.of_the_quilt]
    taken = {flow.pile for step in mine for flow in step.takes}
    given = (flow.pile for step in mine for flow in step.gives if flow.pile not in taken)
    laid = (step.takes[0].pile for step in checklist.steps if step.per == key and isinstance(step.action, SetBlock))
    return next(chain(given, laid))


def sewn_kinds(checklist: Checklist) -> list[str]:
    """The kinds of blocks that are sewn, by their keys, also where it is one unit; not those of one patch."""
    uncut = {flow.pile for step in checklist.steps if not isinstance(step.action, Cut) for flow in step.gives}
    return [row.key for row in checklist.blocks if finished_pile(checklist, row.key) in uncut]


def has_strip_sets(checklist: Checklist, wanted: SomeBlocks) -> bool:
    """Whether some of their units are cut from strip sets, which are as long as all the quilt's blocks need."""
    return any(
        step.per == "quilt" and isinstance(step.action, LayOut) and wanted.times.get(step.id)
        for step in checklist.steps
    )


def cloth_for(plan: Plan, checklist: Checklist, wanted: SomeBlocks) -> Sequence[ClothNeed]:
    """How much of each cloth they take, in the order of the plan."""
    steps = tuple(replace(step, count=wanted.times.get(step.id, 0)) for step in checklist.steps)
    pieces = block_pieces(plan, replace(checklist, steps=steps, pieces=wanted.pieces))
    found = []
    for key, fabric in plan.fabrics.items():
        if own := [piece for piece in pieces if piece.fabric == key]:
            found.append(need(plan, cut_cloth(plan, fabric, own)))
    return found
