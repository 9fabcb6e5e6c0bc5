"""The proof of a checklist: sews it as printed and compares what comes of it with the plan.

It shares with the compiler only exact measures, the plan and the work as plain data. It holds that every step can be
done, that every printed size is the size that lies there, that every trim finds cloth on all four sides, that seams
said to nest do, that finished blocks show their pictures, and that the counts and the lists agree with the steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tracker.cloth import Content, Group, Piece, Stack, spans_on
from tracker.faults import Fault, fault
from tracker.folding import Fold, folds_of
from tracker.geometry import ZERO, common
from tracker.lists import list_faults, running_out
from tracker.plan import Plan
from tracker.sewing import Counted, Done, Trace, flows, sew
from tracker.wanted import difference_from_picture
from tracker.work import (
    AddStrips,
    Checklist,
    Cut,
    CutApart,
    Join,
    LayOut,
    Mark,
    Nest,
    Pair,
    Pin,
    Press,
    PressSeams,
    Sew,
    Size,
    Step,
    Trim,
)

ACTIONS: Mapping[str, tuple[type, ...]] = {
    "cut": (Cut,),
    "mark": (Mark,),
    "cut apart": (CutApart,),
    "trim": (Trim,),
    "square": (Trim,),
    "pair": (Pair, LayOut),
    "pin": (Pin,),
    "sew": (Sew, Join),
    "join": (Join,),
    "add strip": (AddStrips,),
    "press": (Press, PressSeams),
    "lay out": (LayOut,),
}
"""The actions that each operation may stand for."""


@dataclass(frozen=True)
class Verdict:
    """What the proof found: the sewing itself, and every fault, the first step's first. None means that it holds."""

    trace: Trace
    faults: tuple[Fault, ...]

    @property
    def holds(self) -> bool:
        """Whether nothing at all is wrong."""
        return not self.faults

    @property
    def first(self) -> Fault | None:
        """The fault of the earliest step, or None where the proof holds."""
        return self.faults[0] if self.faults else None


def prove(plan: Plan, checklist: Checklist) -> Verdict:
    """Sew the checklist and compare it with the plan, cell by cell and number by number."""
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    faults = list(_step_faults(plan, checklist, trace))
    if trace.fault is not None:
        return Verdict(trace, (*faults, trace.fault))
    counted = flows(checklist.steps)
    faults += running_out(checklist.steps)
    faults += _block_faults(plan, checklist, trace, counted)
    faults += list_faults(plan, checklist, trace.lying, counted)
    return Verdict(trace, tuple(faults))


# Step by step


def _step_faults(plan: Plan, checklist: Checklist, trace: Trace) -> Iterator[Fault]:
    joins = {step.takes[0].pile: step for step in checklist.steps if isinstance(step.action, Join) and step.takes}
    for step in checklist.steps:
        if not isinstance(step.action, ACTIONS[step.operation]):
            yield fault(step.id, "wrong operation", operation=step.operation)
        if step.count < 0:
            yield fault(step.id, "below zero", count=step.count)
        done = trace.done.get(step.id)
        if done is None:
            return
        yield from _size_faults(step, done, checklist)
        if isinstance(step.action, Press):
            yield from _press_faults(plan, step, step.action, done)
        if isinstance(step.action, Pin) and step.gives[0].pile in joins:
            yield from _nest_faults(step, step.action.nests, joins[step.gives[0].pile], trace)


def _size_faults(step: Step, done: Done, checklist: Checklist) -> Iterator[Fault]:
    """Printed sizes, of the step and of the piles it gives to, against what lies there; and cloth on every side."""
    for pile_id, content in done.after.items():
        pile = checklist.piles[pile_id]
        for printed in (step.size, pile.size):
            if printed is not None and printed != _size(content):
                yield fault(step.id, "size", pile=pile_id, printed=printed, found=_size(content) or "no one size")
                break
    margins = done.margins
    if margins is not None:
        for side in ("left", "top", "right", "bottom"):
            if getattr(margins, side).sign() < 0:
                yield fault(step.id, "no cloth to trim", side=side)


def _size(content: Content) -> Size | None:
    return None if isinstance(content, Group) else content.size


def _press_faults(plan: Plan, step: Step, action: Press, done: Done) -> Iterator[Fault]:
    """The allowance of a seam in a unit lies under the darker cloth, where each side is mostly of one."""
    for content in done.before.values():
        if not isinstance(content, Stack):
            continue
        for piece, fold in zip(content.laid, folds_of(content, plan.seam), strict=True):
            below, above = _main_cloth(content.base, fold), _main_cloth(piece, fold)
            if below is None or above is None or below == above:
                continue
            needed = "base" if plan.darker(below, above) == below else "laid"
            if action.toward != needed:
                yield fault(step.id, "pressed light", found=action.toward, needed=needed)


def _main_cloth(piece: Piece, fold: Fold) -> str | None:
    """The cloth that more than half of a seam runs through, or None."""
    whole = sum((high - low for low, high in fold.spans), ZERO)
    for fabric in sorted({facet.fabric for facet in piece.facets}):
        polygons = [facet.polygon for facet in piece.facets if facet.fabric == fabric]
        own = common(spans_on(polygons, fold.line), fold.spans)
        if 2 * sum((high - low for low, high in own), ZERO) > whole:
            return fabric
    return None


def _nest_faults(pin: Step, nests: tuple[Nest, ...], join: Step, trace: Trace) -> Iterator[Fault]:
    """The meeting seams printed for a pinning, against those that meet when it is joined."""
    done = trace.done.get(join.id)
    if done is None:
        return
    place = [flow.pile for flow in join.takes].index(pin.gives[0].pile)
    (met,) = done.junctions[join.gives[place].pile]
    found = {junction.along: junction.nests for junction in met}
    for nest in nests:
        if found.get(nest.along) != nest.nests:
            is_so = _NESTS[found.get(nest.along)]
            yield fault(pin.id, "nests", along=nest.along, printed=_NESTS[nest.nests], found=is_so)


_NESTS = {True: "nest", False: "do not nest", None: "are not there"}


# The blocks


def _block_faults(plan: Plan, checklist: Checklist, trace: Trace, counted: Mapping[str, Counted]) -> Iterator[Fault]:
    """Finished blocks, which are those that no step takes, against their pictures and the plan's counts."""
    makers = {flow.pile: step for step in checklist.steps for flow in step.gives}
    finished: dict[str, list[str]] = {}
    for pile in checklist.piles.values():
        if pile.block is not None and pile.id in counted and not counted[pile.id].taken and pile.id in trace.lying:
            finished.setdefault(pile.block, []).append(pile.id)
    for block in plan.blocks.values():
        needed, found = plan.count_of(block.key), 0
        for pile_id in finished.get(block.key, ()):
            found += counted[pile_id].given
            step, content = makers[pile_id].id, trace.lying[pile_id]
            if not isinstance(content, Piece):
                yield fault(step, "not a block", pile=pile_id)
                continue
            shown = difference_from_picture(content, block, plan.unit, plan.seam)
            if shown is not None:
                facts = {"block": block.key, "place": shown.name, "wanted": shown.wanted, "found": shown.found}
                yield fault(step, "picture", **facts)
        if found != needed:
            yield fault("block list", "blocks", block=block.key, found=found, needed=needed)
