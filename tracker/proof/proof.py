"""The proof of a checklist: sews it as printed and compares what comes of it with the plan.

It shares with the compiler only exact measures, the plan and the work as plain data. It holds that every step can be
done, that every printed size and cloth is what lies there, that every trim finds cloth on all four sides, that all
seams that meet are named and nest as said, that seams in units and at frames go where the trade presses them, that
finished blocks show their pictures and the quilt its blocks in their places, and that the counts, the lists and the
pressing versions agree with the steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tracker.cloth.pieces import Content, Group, Piece, spans_on
from tracker.cloth.sewing import Counted, StepDone, Trace, flows, sew
from tracker.cloth.sewing_faults import SewingFault, fault
from tracker.exact.collecting import collecting_seldom
from tracker.exact.geometry import ZERO, Straight
from tracker.plan.model import Plan
from tracker.proof.block_picture import cloths_cut_off, difference_from_picture, lying_piece
from tracker.proof.numbers import cloths_in, list_faults, running_out
from tracker.proof.print_faults import print_faults
from tracker.proof.seam_faults import aside_faults, begun_faults, pin_faults, press_faults, press_seams_faults
from tracker.proof.uses import Uses
from tracker.proof.version_faults import per_faults, version_faults
from tracker.proof.whole_quilt import whole_faults
from tracker.work.dotted_seams import PressAside
from tracker.work.partial_seams import BeginSeam
from tracker.work.steps import (
    Checklist,
    Join,
    Pin,
    Press,
    PressSeams,
    Size,
    Step,
)
from tracker.work.whole_blocks import MeasureBlock, SetBlock


@dataclass(frozen=True)
class Verdict:
    """What the proof found: the sewing itself, and every fault, the first step's first. None means that it holds."""

    trace: Trace
    faults: tuple[SewingFault, ...]

    @property
    def holds(self) -> bool:
        """Whether nothing at all is wrong."""
        return not self.faults

    @property
    def first(self) -> SewingFault | None:
        """The fault of the earliest step, or None where the proof holds."""
        return self.faults[0] if self.faults else None


@collecting_seldom()
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
    faults += version_faults(plan, checklist, trace)
    faults += whole_faults(plan, checklist, trace, counted)
    return Verdict(trace, tuple(faults))


# Step by step


def _step_faults(plan: Plan, checklist: Checklist, trace: Trace) -> Iterator[SewingFault]:
    joins = {flow.pile: step for step in checklist.steps if isinstance(step.action, Join) for flow in step.takes}
    uses = Uses(checklist)
    pinned = {pile: step for pile, step in uses.makers.items() if isinstance(step.action, Pin)}
    squared = [block for block in plan.blocks.values() if block.squared is not None]
    cut_off = {cloth for block in squared for cloth in cloths_cut_off(block, plan.unit, plan.seam)}
    for step in checklist.steps:
        if type(step.action).__name__ not in step.kind.actions:
            yield fault(step.id, "wrong operation", operation=step.operation)
        if step.count < 0:
            yield fault(step.id, "below zero", count=step.count)
        yield from per_faults(plan, checklist, step)
        done = trace.done.get(step.id)
        if done is None:
            return
        yield from _size_faults(step, done, checklist, cut_off)
        if isinstance(step.action, BeginSeam):
            yield from begun_faults(plan, step, step.action, done)
        if isinstance(step.action, Press):
            outward = plan.reckoning > 5 and uses.is_round_pieces(step)
            yield from press_faults(plan, step, step.action, done, outward)
        if isinstance(step.action, PressSeams):
            yield from press_seams_faults(plan, uses, step, trace)
        if isinstance(step.action, PressAside):
            yield from aside_faults(plan, step, step.action, uses.makers[step.takes[0].pile], done)
        yield from pin_faults(step, joins, pinned, trace)


def _size_faults(step: Step, done: StepDone, checklist: Checklist, cut_off: set[str]) -> Iterator[SewingFault]:
    """Printed sizes, of the step, of the piles it gives to and of what a block should measure, and their cloths, of
    which those that were `cut_off` may be unsaid; and cloth on every side of a trim."""
    for pile_id, content in done.after.items():
        pile = checklist.piles[pile_id]
        measured = (step.action.size,) if isinstance(step.action, MeasureBlock) else ()
        for printed in (step.size, pile.size, *measured):
            if printed is not None and printed != _size(content) and not _measures(step, content, printed):
                yield fault(step.id, "size", pile=pile_id, printed=printed, found=_size(content) or "no one size")
                break
        there = sorted({*cloths_in(content)} - (cut_off - {*pile.fabrics}))
        if sorted(pile.fabrics) != there:
            facts = {"pile": pile_id, "printed": ", ".join(pile.fabrics), "found": ", ".join(there)}
            yield fault(step.id, "pile cloths", **facts)
    margins = done.margins
    if margins is not None:
        for side in ("left", "top", "right", "bottom"):
            if getattr(margins, side).sign() < 0:
                yield fault(step.id, "no cloth to trim", side=side)


def _size(content: Content) -> Size | None:
    return None if isinstance(content, Group) else content.size


def _measures(step: Step, content: Content, size: Size) -> bool:
    """Whether a unit just pressed open is so large across its middle: of unlike halves one stands out."""
    if not (isinstance(step.action, Press) and isinstance(content, Piece)):
        return False
    left, top, right, bottom = content.bounds
    across, down = (left + right) / 2, (top + bottom) / 2
    lines = Straight.through((left, down), (right, down)), Straight.through((across, top), (across, bottom))
    found = [sum((high - low for low, high in spans_on(content.polygons, line)), ZERO) for line in lines]
    return tuple(found) == size


# The blocks


def _block_faults(
    plan: Plan, checklist: Checklist, trace: Trace, counted: Mapping[str, Counted]
) -> Iterator[SewingFault]:
    """Finished blocks, which are those that no step takes but to set them in the quilt, against their pictures and the
    plan's counts."""
    makers = {flow.pile: step for step in checklist.steps for flow in step.gives}
    taken = {flow.pile for step in checklist.steps if not isinstance(step.action, SetBlock) for flow in step.takes}
    finished: dict[str, dict[str, int]] = {}
    for pile in checklist.piles.values():
        if pile.block is not None and pile.id in counted and pile.id not in taken and pile.id in trace.lying:
            finished.setdefault(pile.block, {})[pile.id] = counted[pile.id].given
    for setting in checklist.steps:
        pile_id = setting.takes[0].pile if setting.takes else ""
        if isinstance(setting.action, SetBlock) and checklist.piles[pile_id].block is None:
            # A block of one piece is a unit until it is laid in its place.
            own = finished.setdefault(setting.per, {})
            own[pile_id] = own.get(pile_id, 0) + setting.count
    for block in plan.blocks.values():
        needed, found = plan.count_of(block.key), 0
        for pile_id, there in finished.get(block.key, {}).items():
            found += there
            step, content = makers[pile_id].id, lying_piece(trace.lying[pile_id])
            if content is None:
                yield fault(step, "not a block", pile=pile_id)
                continue
            shown = difference_from_picture(content, block, plan.unit, plan.seam)
            if shown is not None:
                facts = {"block": block.key, "place": shown.name, "wanted": shown.wanted, "found": shown.found}
                yield fault(step, "picture", **facts)
            else:
                yield from print_faults(plan, block, content, checklist.prints, step)
        if found != needed:
            yield fault("block list", "blocks", block=block.key, found=found, needed=needed)
