"""What one tap counts: of a whole pass all that the blocks in work need now, each step with what the steps before it in
the pass have made. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracker.progress.batches import Pace, targets
from tracker.progress.counts import Counts
from tracker.work.steps import Flow, Step


@dataclass(frozen=True)
class PassShare:
    """A step's part in a pass: `times` for the common pool, or once for each of some `blocks`."""

    step: Step
    times: int
    blocks: tuple[int, ...] = ()


def needed_now(counts: Counts, pace: Pace, steps: Iterable[Step]) -> tuple[PassShare, ...]:
    """Of the steps of a pass, in order, what the blocks in work need now and what lies ready (or will, from the step
    before) pays for. Nothing is counted."""
    table, wanted, found = _Table(counts), targets(counts, pace), []
    for step in steps:
        asked = wanted.get(step.id, 0) - counts.times_done(step)
        share = table.share(step, asked)
        if share.times > 0:
            table.do(share)
            found.append(share)
    return tuple(found)


class _Table:
    """Piles as they will lie after some shares of a pass, beside the counts that stay as they are."""

    def __init__(self, counts: Counts) -> None:
        self.counts = counts
        self._by: dict[tuple[str, int], int] = {}
        self._blocks: set[int] = set()

    def share(self, step: Step, asked: int) -> PassShare:
        """How much of a step can be done, of so much that is asked for."""
        if asked <= 0 or (step.beside is not None and self._lies(step.beside, 0) < 1):
            return PassShare(step, 0)
        common = [self._lies(flow.pile, 0) // flow.each for flow in step.takes if self._is_common(flow)]
        if step.per == "quilt":
            return PassShare(step, min(asked, self.counts.left(step), *common))
        able = sorted(n for n in self.counts.open_blocks(step) | self._blocks if self._pays(step, n))
        blocks = tuple(able[: max(0, min(asked, *common))]) if common else tuple(able[:asked])
        return PassShare(step, len(blocks), blocks)

    def do(self, share: PassShare) -> None:
        """Have a share done here."""
        for block in share.blocks or (0,):
            times = 1 if share.blocks else share.times
            for flow in share.step.takes:
                self._shift(flow, block, -times)
            for flow in share.step.gives:
                self._shift(flow, block, times)
        self._blocks.update(share.blocks)

    def _pays(self, step: Step, block: int) -> bool:
        counts, own = self.counts, (flow for flow in step.takes if not self._is_common(flow))
        is_open = counts.is_for(step, block) and not counts.times_done(step, block)
        return is_open and all(self._lies(flow.pile, block) >= flow.each for flow in own)

    def _is_common(self, flow: Flow) -> bool:
        return self.counts.checklist.piles[flow.pile].block is None

    def _lies(self, pile: str, block: int) -> int:
        return self.counts.on_pile(pile, block or None) + self._by.get((pile, block), 0)

    def _shift(self, flow: Flow, block: int, times: int) -> None:
        key = flow.pile, 0 if self._is_common(flow) else block
        self._by[key] = self._by.get(key, 0) + times * flow.each
