"""The demo: an invented quilt, some weeks on the way, so that every screen has something to show."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from tracker.progress.ledger import Progress
from tracker.progress.tap_kinds import written
from tracker.progress.work_taps import StepsDone
from tracker.quilt.cloth_cutting import BLOCK_USES
from tracker.work.steps import Cut, LayOut
from tracker.work.whole_blocks import SetBlock

PLAN_FILE = Path(__file__).parent / "kingfisher.toml"

UNITS_MADE = Fraction(1, 2)
"""How much of the work on units is done: enough for half of the blocks."""


def demo_plan_text() -> str:
    """The demo's plan file."""
    return PLAN_FILE.read_text(encoding="utf-8")


def demo_taps(progress: Progress) -> Iterator[dict[str, Any]]:
    """Taps for a quilt partly done, recorded on `progress` as they are given.

    All is cut but borders, binding and backing; units are made for half of the blocks. The first block lies in its
    place, the second is finished, the next one squared, one has its rows joined and one is laid out.
    """
    for number, step in enumerate(progress.counts.steps.values()):
        of_blocks = step.action.use in BLOCK_USES if isinstance(step.action, Cut) else not step.of_the_quilt
        if step.per == "quilt" and of_blocks:
            share = 1 if not step.takes else UNITS_MADE
            yield _done(progress, StepsDone(id=f"demo-{number}", step=step.id, times=-(-step.count * share // 1)))
    for block, last in ((1, None), (2, "finished"), (3, "square"), (4, "press"), (5, "lay out")):
        yield from _block_taps(progress, block, last)


def _block_taps(progress: Progress, block: int, last: str | None) -> Iterator[dict[str, Any]]:
    """One block's steps in order, up to the first of operation `last`, or till it is "finished", or all."""
    for number, step in enumerate(progress.counts.block_steps(progress.counts.block_keys[block], block)):
        if last == "finished" and isinstance(step.action, SetBlock):
            return
        yield _done(progress, StepsDone(id=f"demo-block-{block}-{number}", step=step.id, blocks=(block,)))
        if step.operation == last or (last == "lay out" and isinstance(step.action, LayOut)):
            return


def _done(progress: Progress, tap: StepsDone) -> dict[str, Any]:
    progress.record(tap)
    return written(tap)
