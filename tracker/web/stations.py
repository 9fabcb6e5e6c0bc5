"""What can be done now at one station, in the best order, with how many and a rough time; and what waits for what."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.progress.batches import WaitingStep, Work, by_station, carry_on, waiting_at
from tracker.web.opened import Opened
from tracker.web.views import STATION_MARKS, STATION_NAMES, Way, batch_words, seam_untested, way
from tracker.work.operations import STATIONS


@dataclass(frozen=True)
class Tab:
    """A station to switch to: how many things can be done there now."""

    key: str
    mark: str
    name: str
    count: int
    chosen: bool


@dataclass(frozen=True)
class Doable:
    """Something to do now: the step, how many for the blocks in work, how many with all that lies there, how long."""

    way: Way
    now: int
    ready: int
    time: str


@dataclass(frozen=True)
class Lack:
    """Something that waits: the step, and what it needs; `maker` is the step that makes that."""

    way: Way
    needs: str
    maker: Way | None


@dataclass(frozen=True)
class Now:
    """One station at this moment."""

    tabs: tuple[Tab, ...]
    works: tuple[Doable, ...]
    time: str
    waiting: tuple[Lack, ...]
    walk: Tab | None
    batch: str
    finished: bool
    seam_untested: bool

    @property
    def chosen(self) -> Tab:
        return next(tab for tab in self.tabs if tab.chosen)


def rough_time(seconds: int) -> str:
    """A rough time in words."""
    minutes = -(-seconds // 60)
    if minutes < 2:
        return "a minute"
    if minutes < 90:
        return f"about {minutes if minutes < 10 else -(-minutes // 5) * 5} min"
    halves = -(-minutes // 30)
    return f"about {halves // 2}{'½' if halves % 2 else ''} h"


def best_station(opened: Opened) -> str:
    """Where to carry on."""
    step = carry_on(opened.progress, opened.pace)
    return step.station if step is not None else STATIONS[0]


def now_of(opened: Opened, station: str) -> Now:
    """What there is to do at a station."""
    works = by_station(opened.progress, opened.pace)
    tabs = tuple(Tab(key, STATION_MARKS[key], STATION_NAMES[key], len(works[key]), key == station) for key in STATIONS)
    mine = sorted(works[station], key=lambda work: work.step.id != opened.progress.last_step_id())
    waiting = [_lack(opened, wait) for wait in waiting_at(opened.progress, opened.pace, station)]
    busiest = max((tab for tab in tabs if not tab.chosen), key=lambda tab: tab.count)
    return Now(
        tabs=tabs,
        works=tuple(_doable(opened, work) for work in mine),
        time=rough_time(sum(work.seconds for work in mine)),
        waiting=tuple(waiting),
        walk=busiest if busiest.count else None,
        batch=batch_words(opened),
        finished=opened.progress.finished(),
        seam_untested=seam_untested(opened),
    )


def _doable(opened: Opened, work: Work) -> Doable:
    found = way(opened.compiled, work.step)
    assert found is not None
    return Doable(found, work.now, work.ready, rough_time(work.seconds))


def _lack(opened: Opened, wait: WaitingStep) -> Lack:
    found = way(opened.compiled, wait.step)
    assert found is not None
    # The top that strips are measured by must lie there, though nothing is taken from it.
    each = next((flow.each for flow in wait.step.takes if flow.pile == wait.pile), 0)
    short = max(wait.short, wait.left * each - opened.progress.on_pile(wait.pile))
    return Lack(found, needs(opened, wait.pile, short), way(opened.compiled, opened.compiled.maker.get(wait.pile)))


def needs(opened: Opened, pile_id: str, short: int) -> str:
    """What is short: `needs 6 more trimmed half-square triangles, brick / pale sand`."""
    return f"needs {opened.words.needed(pile_id, short)}"
