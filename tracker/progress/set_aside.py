"""Work that does not fit an edited plan is set aside with the edit, and comes back with a plan that it fits. Pure."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass

from tracker.progress.changes import CountChange, Measuring
from tracker.progress.counts import Counts
from tracker.units.maker import digest, token
from tracker.work.steps import Step

Figures = tuple[str, tuple[str, ...]]
"""A step, and what was measured for it, as typed."""
Work = tuple[str, int, int, int, str]
"""A step done for a block (0: the pool): how often more than counts now, of how often in all, and a mark of what it
was, since another plan may give the id to something else."""


@dataclass(frozen=True)
class Aside:
    """What is set aside: steps done, strips ticked off (cloth and name), and what was measured."""

    work: tuple[Work, ...] = ()
    strips: tuple[tuple[str, str], ...] = ()
    measured: tuple[Figures, ...] = ()


def mark_of(counts: Counts, step: Step) -> str:
    """A mark of what a step is: the same in another plan where it takes and gives the same, in the same sizes."""
    piles = counts.checklist.piles
    told = [counts.plan.unit, token(counts.plan.seam)]
    for flow in (*step.takes, *step.gives):
        size = piles[flow.pile].size
        told.append(f"{flow.pile} {flow.each} {'' if size is None else ' '.join(map(token, size))}")
    return digest("; ".join(told))


def bring_back(aside: Aside, fresh: Counts, strips: Container[tuple[str, str]]) -> None:
    """Count in `fresh` what was set aside and fits again, as far as its piles pay; `strips` are those of the plan."""
    by_step: dict[str, list[Work]] = {}
    for work in aside.work:
        by_step.setdefault(work[0], []).append(work)
    for step in fresh.steps.values():
        for _, block, missing, of, mark in by_step.get(step.id, ()):
            if mark == mark_of(fresh, step):
                own = step.per != "quilt"
                most = int(block in fresh.ready_blocks(step)) if own else payable(fresh, step)
                times = min(missing, of - fresh.times_done(step, block), most)
                if times > 0:
                    fresh.bring(CountChange(((step.id, block, times),)))
    again = [each for each in aside.strips if each in strips and each not in fresh.ticked]
    fresh.bring(CountChange(strips=tuple((*each, 1) for each in again)))
    known = fresh.told.measured()
    for step_id, lengths in aside.measured:
        if step_id in fresh.steps and step_id not in known:
            fresh.bring(CountChange(measured=((Measuring(step_id, "", lengths), True),)))


def payable(counts: Counts, step: Step) -> int:
    """How often the piles pay for a step of the pool, whether the plan asks for it so often or not."""
    if not step.takes:
        return MOST
    return min(counts.on_pile(flow.pile) // flow.each for flow in step.takes)


MOST = 10_000_000
"""More than anybody cuts."""


def aside_from(former: Counts, before: Aside, fresh: Counts, done: Iterable[Step]) -> Aside:
    """What of the work does not count in `fresh`, with what was set aside before and still does not. `done` are the
    steps of `former` that were done."""
    work = {(entry[0], entry[1], entry[4]): entry for entry in before.work}
    for step in done:
        mark = mark_of(former, step)
        for block in former.blocks_of(step):
            if times := former.times_done(step, block):
                key = (step.id, block, mark)
                of = max(times, work[key][3] if key in work else 0)
                work[key] = (step.id, block, of, of, mark)
    left: list[Work] = []
    for step_id, block, missing, of, mark in work.values():
        now = fresh.steps.get(step_id)
        counted = fresh.times_done(now, block) if now is not None and mark_of(fresh, now) == mark else 0
        if (missing := min(missing, of - counted)) > 0:
            left.append((step_id, block, missing, of, mark))
    ticked = dict.fromkeys((*before.strips, *former.ticked))
    figures = dict(before.measured) | former.told.measured()
    return Aside(
        tuple(left),
        tuple(each for each in ticked if each not in fresh.ticked),
        tuple((step, lengths) for step, lengths in figures.items() if step not in fresh.told.measured()),
    )
