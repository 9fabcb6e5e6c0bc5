"""Passes: what one does at one station with the same pieces before putting them down. Pure.

Steps that follow each other in the order of the work, at one station and in one section, are one pass: pair and sew;
all rows of a block; pin and join them; like units of all cloths. A cloth's patches are one pass of cutting.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from tracker.route.working_order import Section, sections
from tracker.work.steps import Checklist, Step


@dataclass(frozen=True)
class Pass:
    """Steps done together, in order; the same `station`, the same `section` of the order."""

    steps: tuple[Step, ...]
    section: Section

    @property
    def id(self) -> str:
        """That of its first step, told from it: it stays as long as what is made first does."""
        return f"pass:{self.steps[0].id}"

    @property
    def station(self) -> str:
        """Where it is done."""
        return self.steps[0].station


def passes(checklist: Checklist) -> tuple[Pass, ...]:
    """The passes of all steps that are to be done, in the order of the work; every such step is in one."""
    found = sections(checklist)
    doing = [step for step in checklist.steps if step.count]
    together = groupby(doing, key=lambda step: (found[step.id], step.station))
    return tuple(Pass(tuple(steps), section) for (section, _), steps in together)
