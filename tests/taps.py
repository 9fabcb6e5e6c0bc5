"""Taps and walks of a quilt that is followed by what is offered, by passes and step by step: python tests/taps.py.

The sample is counted from when its pieces are cut to its last squaring, the measuring and the way on included.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from walks import PACES, PLANS

from tracker.plan.plan_reader import read_plan
from tracker.progress.batches import Pace, carry_on, in_work, is_sample, passes_of
from tracker.progress.ledger import Progress
from tracker.progress.pass_work import PassShare, needed_now
from tracker.progress.work_taps import PassDone, StepsDone
from tracker.route.compiler import compile_plan

Tap = tuple[str, bool, bool]
"""Where it was made, whether for the sample, whether at the cutting of its patches."""


def by_passes(progress: Progress, pace: Pace) -> Iterator[Tap]:
    """One tap for what the blocks in work need of a pass."""
    while step := carry_on(progress, pace):
        shares = needed_now(progress.counts, pace, passes_of(progress.counts)[step.id].steps)
        work = tuple((each.step.id, 0 if each.blocks else each.times, each.blocks) for each in shares)
        yield _tapped(progress, pace, PassDone(id=str(progress.counts.shares()[0]), work=work), shares[0])


def by_steps(progress: Progress, pace: Pace) -> Iterator[Tap]:
    """One tap for what they need of a step, and one more to turn to the next, as it was before there were passes."""
    before = None
    while step := carry_on(progress, pace):
        share = next(each for each in needed_now(progress.counts, pace, [step]))
        done = {"blocks": share.blocks} if share.blocks else {"times": share.times}
        tap = StepsDone(id=str(progress.counts.shares()[0]), step=step.id, **done)  # type: ignore[arg-type]
        told = _tapped(progress, pace, tap, share)
        if before not in (None, step):
            yield told
        yield told
        before = step


def _tapped(progress: Progress, pace: Pace, tap: PassDone | StepsDone, first: PassShare) -> Tap:
    sample = is_sample(progress.counts, pace, in_work(progress.counts, pace))
    progress.record(tap)
    return first.step.station, sample, first.step.operation == "cut"


def told(taps: list[Tap], passes: bool) -> str:
    """How many taps, for the sample and in all, and how many walks."""
    ends = 1 if passes and any(sample for _, sample, _ in taps) else 0  # to leave the sample is a tap of its own
    sample = sum(1 for _, sample, cut in taps if sample and not cut) + ends
    return f"{sample:7} {len(taps) + ends:5} {sum(1 for _ in groupby(station for station, _, _ in taps)) - 1:6}"


def main() -> None:
    for title, pace in PACES:
        print(f"{title:30} steps | by passes: sample, all, walks | by steps: sample, all, walks")
        for name, text in PLANS.items():
            plan = read_plan(text).plan
            assert plan is not None
            checklist = compile_plan(plan)
            steps = sum(1 for step in checklist.steps if step.count)
            found = [list(way(Progress(plan, checklist), pace)) for way in (by_passes, by_steps)]
            print(f"{name:30} {steps:5} |   {told(found[0], True)}        |   {told(found[1], False)}")


if __name__ == "__main__":
    main()
