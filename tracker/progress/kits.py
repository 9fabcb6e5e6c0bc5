"""What is cut for some blocks alone: the pieces of a kit. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracker.progress.counts import Counts
from tracker.progress.missing_steps import leading_to
from tracker.work.steps import Cut, Step


@dataclass(frozen=True)
class KitPart:
    """Pieces of one bag: the step that cuts them, the pile they make, how many the blocks need."""

    step: Step
    pile: str
    count: int


def kit_of(planned: Counts, blocks: Iterable[int]) -> list[KitPart]:
    """What is cut for these blocks, in the order of the work, down to whole makings: units made several at a time give
    spares. `planned` are counts of which nothing is done; sashes, borders and what finishes the quilt are not in it."""
    pieces: dict[str, int] = {}
    for number in blocks:
        for step in planned.block_steps(planned.block_keys[number], number):
            for flow in step.takes:
                if planned.checklist.piles[flow.pile].block is None:
                    pieces[flow.pile] = pieces.get(flow.pile, 0) + flow.each
    cut = ((planned.steps[step_id], times) for step_id, times in leading_to(planned, pieces))
    return [
        KitPart(step, flow.pile, times * flow.each)
        for step, times in cut
        if isinstance(step.action, Cut)
        for flow in step.gives
    ]
