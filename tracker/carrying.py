"""A plan edited midway: what of the work is kept under the new plan, what is new, what no longer fits. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tracker.changes import Change
from tracker.progress import Progress
from tracker.work import Step


@dataclass(frozen=True)
class Kept:
    """One step's work: how often it was done, and how often of that counts under the new plan."""

    step: Step
    done: int
    kept: int


@dataclass(frozen=True)
class Carried:
    """What becomes of the work. `kept` are steps whose work counts on, in whole or part; `lost` those of which some
    or all no longer fits; `new` steps that the former plan did not have. `progress` is the state under the new plan."""

    kept: tuple[Kept, ...]
    lost: tuple[Kept, ...]
    new: tuple[Step, ...]
    progress: Progress

    def tap(self, tap_id: str) -> dict[str, Any]:
        """The tap that records the new beginning."""
        counts = [[step, block, times] for (step, block), times in self.progress.done.items() if times]
        lost = [[pile, times] for pile, times in self.progress.lost.items() if times]
        return {"id": tap_id, "do": "carried", "counts": counts, "lost": lost}


def carry_over(former: Progress, fresh: Progress) -> Carried:
    """Bring the work of `former` into `fresh` (nothing done yet, another plan), as far as steps are the same.

    A step is the same where what it makes is; blocks keep their numbers where their kind is the same. Piles decide:
    what they cannot pay for under the new plan is not kept.
    """
    fresh.expect_losses({p: n for p, n in former.lost.items() if n and p in fresh.checklist.piles})
    kept: list[Kept] = []
    for step in former.steps.values():
        done = former.times_done(step)
        if done:
            kept.append(Kept(step, done, _bring(former, fresh, step)))
    fresh.forgive_losses()
    return Carried(
        tuple(each for each in kept if each.kept),
        tuple(each for each in kept if each.kept < each.done),
        tuple(step for step_id, step in fresh.steps.items() if step_id not in former.steps),
        fresh,
    )


def _bring(former: Progress, fresh: Progress, step: Step) -> int:
    """Do one step under the new plan as often as it was done, where it is the same and its piles pay; how often."""
    same = fresh.steps.get(step.id)
    if same is None or same.per != step.per:
        return 0
    if step.per == "quilt":
        kept = min(former.times_done(step), fresh.affordable(same))
        moves = [(same.id, 0, kept)] if kept > 0 else []
    else:
        moves = [(same.id, n, 1) for n in fresh.ready_blocks(same) if former.times_done(step, n)]
    fresh.bring(Change(tuple(moves)))
    return sum(times for _, _, times in moves)
