"""Passes: what one does at one station with the same pieces before putting them down. Pure.

Steps of one kind of work that follow each other, at one station and in one section of the order, are one pass: pair
and sew; all rows of a block; pin and join them; like units of all cloths; the blocks laid in a row of the quilt. A
cloth's patches are one pass of cutting, frame strips that are cut to fit a block another.
What is trimmed in one pass is trimmed to one size; what is cut as the top measures is a pass by itself.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from itertools import groupby

from tracker.route.working_order import Section, cut_to_fit, kind_of_work, sections
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


def passes(checklist: Checklist, spare: bool = False) -> tuple[Pass, ...]:
    """The passes of all steps that are to be done, in the order of the work; every such step is in one. With `spare`,
    of those too that are done only where pieces are lost."""
    found, to_fit = sections(checklist), cut_to_fit(checklist.steps)
    doing = [step for step in checklist.steps if step.count or spare]
    together = groupby(doing, key=lambda step: (_together(step, found[step.id]), step.id in to_fit))
    groups = [tuple(steps) for _, steps in together]
    return tuple(Pass(steps, found[steps[0].id]) for steps in groups)


def _together(step: Step, section: Section) -> Hashable:
    """What is alike in all steps of a pass."""
    return section, step.station, kind_of_work(step), step.id if step.beside else None
