"""A plan edited midway: what of the work is kept under the new plan, what is new, what no longer fits. Pure."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from tracker.progress.changes import CountChange, Measuring
from tracker.progress.ledger import Progress
from tracker.progress.missing_steps import leading_to
from tracker.progress.tap_kinds import CarriedOver
from tracker.work.steps import Step


@dataclass(frozen=True)
class KeptWork:
    """One step's work: how often it was done, and how often of that counts under the new plan."""

    step: Step
    done: int
    kept: int


@dataclass(frozen=True)
class Carried:
    """What becomes of the work. `kept` are steps whose work counts on, in whole or part; `lost` those of which some
    or all no longer fits; `new` steps that the former plan did not have. `unmeasured` are steps whose figures no longer
    fit. `progress` is the state under the new plan."""

    kept: tuple[KeptWork, ...]
    lost: tuple[KeptWork, ...]
    new: tuple[Step, ...]
    progress: Progress
    unmeasured: tuple[Step, ...] = ()

    def tap(self, tap_id: str, at: str | None = None) -> CarriedOver:
        """The tap that records the new beginning."""
        return CarriedOver(
            id=tap_id,
            at=at,
            counts=tuple((step, block, times) for (step, block), times in self.progress.done.items() if times),
            lost=tuple((pile, times) for pile, times in self.progress.lost.items() if times),
            strips=tuple(self.progress.ticked),
            measured=tuple(self.progress.measured().items()) or None,
        )


def carry_over(former: Progress, fresh: Progress, strips: Container[tuple[str, str]] = ()) -> Carried:
    """Bring the work of `former` into `fresh` (nothing done yet, another plan), as far as what was made is the same.

    A step is the same where what it makes is, in the same size; blocks keep their numbers where their kind is the
    same. Pieces that lie finished and still fit count with the steps that now lead to them. Piles decide: what they
    cannot pay for under the new plan is not kept. With another unit of length or another seam nothing is. `strips` are
    those of the new plan (cloth and name): ticks stay on those that were cut already.
    """
    if (former.plan.unit, former.plan.seam) == (fresh.plan.unit, fresh.plan.seam):
        fresh.expect_losses({p: n for p, n in former.lost.items() if n and p in fresh.checklist.piles})
        for step in former.steps.values():
            _bring(former, fresh, step)
        # Blocks first, last step first: they take units that otherwise would lie there.
        for step in reversed(former.steps.values()):
            _bring_blocks(former, fresh, step)
        for step in reversed(former.steps.values()):
            _bring_quilt(former, fresh, step)
        for step in former.steps.values():
            _bring_units(former, fresh, step)
        fresh.forgive_losses()
        fresh.bring(CountChange(strips=tuple((*each, 1) for each in former.ticked if each in strips)))
        _bring_figures(former, fresh)
    done = [(step, former.times_done(step)) for step in former.steps.values()]
    kept = [KeptWork(step, times, _kept(fresh, step, times)) for step, times in done if times]
    return Carried(
        tuple(each for each in kept if each.kept),
        tuple(each for each in kept if each.kept < each.done),
        tuple(step for step_id, step in fresh.steps.items() if step_id not in former.steps),
        fresh,
        tuple(former.steps[step] for step in former.measured() if step not in fresh.measured()),
    )


def _bring_figures(former: Progress, fresh: Progress) -> None:
    """What was measured for steps that are the same."""
    for step_id, lengths in former.measured().items():
        if step_id in fresh.steps and _same_size(former, fresh, former.steps[step_id]):
            fresh.bring(CountChange(measured=((Measuring(step_id, "", lengths), True),)))


def _kept(fresh: Progress, step: Step, done: int) -> int:
    same = fresh.steps.get(step.id)
    return 0 if same is None else min(done, fresh.times_done(same))


def _same_size(former: Progress, fresh: Progress, step: Step) -> bool:
    """Whether what a step gives is the same under both plans."""
    piles = [flow.pile for flow in step.gives]
    theirs = fresh.checklist.piles
    return all(pile in theirs and theirs[pile].size == former.checklist.piles[pile].size for pile in piles)


def _bring_blocks(former: Progress, fresh: Progress, step: Step) -> None:
    """Blocks that have come so far, though their units were cut in another way, with the steps that lead there now."""
    same = fresh.steps.get(step.id)
    if step.per == "quilt" or same is None or not _same_size(former, fresh, step):
        return
    for number in fresh.blocks_of(same):
        if former.times_done(step, number) and not fresh.times_done(same, number):
            _lead_to(fresh, {}, same, number)


def _bring_quilt(former: Progress, fresh: Progress, step: Step) -> None:
    """Rows, the top and its borders as far as they have come, though their strips were cut in another way."""
    same = fresh.steps.get(step.id)
    if not step.of_the_quilt or step.per != "quilt" or same is None or not _same_size(former, fresh, step):
        return
    missing = former.times_done(step) - fresh.times_done(same)
    if missing > 0:
        _lead_to(fresh, {flow.pile: missing * flow.each for flow in same.gives}, None, 0)


def _bring_units(former: Progress, fresh: Progress, step: Step) -> None:
    """Finished units that lie there, in the same way."""
    if step.per != "quilt" or step.operation != "trim" or not _same_size(former, fresh, step):
        return
    for flow in step.gives:
        lacking = former.on_pile(flow.pile) - fresh.on_pile(flow.pile)
        if lacking > 0:
            _lead_to(fresh, {flow.pile: lacking}, None, 0)


def _lead_to(fresh: Progress, pieces: dict[str, int], last: Step | None, number: int) -> None:
    steps = leading_to(fresh, pieces, last, number)
    per = {step_id: fresh.steps[step_id].per for step_id, _ in steps}
    moves = tuple((step_id, 0 if per[step_id] == "quilt" else number, times) for step_id, times in steps)
    if moves:
        # Where the new plan wants fewer there is nothing to count them with: they are told as lost.
        fresh.apply(CountChange(moves))


def _bring(former: Progress, fresh: Progress, step: Step) -> None:
    """Do one step under the new plan as often as it was done, where it is the same and its piles pay."""
    same = fresh.steps.get(step.id)
    if same is None or same.per != step.per or not _same_size(former, fresh, step):
        return
    if step.per == "quilt":
        kept = min(former.times_done(step), fresh.affordable(same))
        moves = [(same.id, 0, kept)] if kept > 0 else []
    else:
        moves = [(same.id, n, 1) for n in fresh.ready_blocks(same) if former.times_done(step, n)]
    fresh.bring(CountChange(tuple(moves)))
