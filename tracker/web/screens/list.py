"""The whole list of steps, in groups."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from flask import Response

from tracker.progress.batches import passes_of
from tracker.route.passes import Pass
from tracker.web.facts import STATION_MARKS, STATION_NAMES
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, NavPlace, Screen
from tracker.words.pass_words import pass_title, section_heading
from tracker.words.thing_words import listed
from tracker.work.steps import Step

screen = Screen("list", "/quilts/<quilt_id>", NavPlace(4, "List", "/steps"))


@dataclass(frozen=True)
class StepRow:
    """A step in the whole list."""

    short: str
    title: str
    station: str
    mark: str
    count: int
    done: int
    ready: int
    waits: str

    @property
    def left(self) -> int:
        return max(self.count - self.done, 0)

    @property
    def state(self) -> str:
        """done, ready or waits."""
        return "done" if not self.left else "ready" if self.ready else "waits"


@dataclass(frozen=True)
class ListedPass:
    """A pass in the whole list, with its steps."""

    title: str
    steps: tuple[StepRow, ...]

    @property
    def first(self) -> StepRow:
        """The step that it is opened at: the first that is not done."""
        return next((row for row in self.steps if row.left), self.steps[0])

    @property
    def done(self) -> int:
        return sum(row.done for row in self.steps)

    @property
    def count(self) -> int:
        return sum(row.count for row in self.steps)

    @property
    def ready(self) -> int:
        """How often its steps can be done now, each by itself."""
        return sum(row.ready for row in self.steps if row.left)

    @property
    def waits(self) -> str:
        return self.first.waits

    @property
    def state(self) -> str:
        """done, ready or waits."""
        return "done" if not any(row.left for row in self.steps) else "ready" if self.ready else "waits"


@screen.get("/steps")
def whole_list(quilt_id: str) -> Response:
    """Every step of a quilt and what of it is done."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("list", "List", opened, **facts_of(opened, "list"))


@screen.live
def _list(opened: Opened, rest: str) -> Facts:
    return {"groups": groups(opened)}


def groups(opened: Opened) -> list[Facts]:
    """The whole list, in order: cutting by cloth, each size of unit, each kind of block, rows, borders, finishing."""
    found = []
    passes = dict.fromkeys(passes_of(opened.counts).values())
    for section, together in groupby(passes, key=lambda each: each.section):
        mine = list(together)
        heading = section_heading(opened.words, section, [step for each in mine for step in each.steps])
        found.append({"heading": heading, "rows": tuple(_listed(opened, each) for each in mine)})
    return found


def _listed(opened: Opened, done: Pass) -> ListedPass:
    return ListedPass(pass_title(opened.words, done), tuple(_row(opened, step) for step in done.steps))


def _row(opened: Opened, step: Step) -> StepRow:
    counts = opened.counts
    ready = counts.ready(step)
    lacks = "" if ready else listed([opened.words.pile(pile, short) for pile, short in counts.waits_for(step)])
    return StepRow(
        opened.compiled.short[step.id],
        opened.compiled.titles[step.id],
        STATION_NAMES[step.station],
        STATION_MARKS[step.station],
        counts.count(step),
        counts.times_done(step),
        ready,
        lacks,
    )
