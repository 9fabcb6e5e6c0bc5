"""Which steps are missing for something to be there: a stage of a block, or pieces on a pile. Pure."""

from __future__ import annotations

from typing import Any

from tracker.progress.counts import Counts
from tracker.work.steps import Step


def leading_to(counts: Counts, pieces: dict[str, int], last: Step | None = None, number: int = 0) -> list[list[Any]]:
    """Steps and how often ([step id, times], in order) that put so many more `pieces` on piles, or bring a block as
    far as `last`, using first what lies there. Steps of blocks are those of block `number`.
    """
    steps = [step for step in counts.steps.values() if step.per in ("quilt", last.per if last else "quilt")]
    if last is not None:
        steps = steps[: steps.index(last) + 1]
    missing: list[list[Any]] = []
    short = dict(pieces)
    shares = _StepShares(counts)
    for step in reversed(steps):
        own = step.per != "quilt"
        need = max(-(-shares.of(step, flow.pile, short.get(flow.pile, 0)) // flow.each) for flow in step.gives)
        need = max(need, int(step == last))
        need = min(need, 1 - counts.times_done(step, number)) if own else need
        if need <= 0:
            continue
        missing.append([step.id, need])
        for flow in step.gives:
            short[flow.pile] = short.get(flow.pile, 0) - need * flow.each
        for flow in step.takes:
            lying = counts.on_pile(flow.pile, number) if flow.pile not in short else 0
            short[flow.pile] = short.get(flow.pile, 0) + need * flow.each - lying
    return missing[::-1]


class _StepShares:
    """Shares out what a pile lacks among its makers: both hands of a unit may end on one pile."""

    def __init__(self, counts: Counts) -> None:
        self.counts = counts
        self.makers: dict[str, list[Step]] = {}
        for step in counts.steps.values():
            for flow in step.gives:
                self.makers.setdefault(flow.pile, []).append(step)

    def of(self, step: Step, pile: str, short: int) -> int:
        """How much of what is short the step should make; asked of the last maker first.

        What lies halfway to each maker is used before anything new is begun, which gives as many of each hand.
        """
        earlier = self.makers[pile][: self.makers[pile].index(step)]
        if not earlier or short <= 0:
            return short
        lying = self._halfway(step)
        elsewhere = sum(self._halfway(other) for other in earlier)
        fresh = max(short - lying - elsewhere, 0) // (len(earlier) + 1)
        return min(lying + fresh, short)

    def _halfway(self, step: Step) -> int:
        """How often a step could be done with what lies on its pile, and on those before it of the same hand."""
        if len(step.takes) != 1:
            return 0
        flow = step.takes[0]
        before = self.makers.get(flow.pile, [])
        lying = self.counts.on_pile(flow.pile)
        if len(before) == 1 and len(before[0].gives) == 1:
            lying += self._halfway(before[0]) * before[0].gives[0].each
        return lying // flow.each
