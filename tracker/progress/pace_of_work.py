"""How far a quilt has come in time, how long what is left takes, and on about what day it is done. Pure; exact numbers.

Steps weigh what they are reckoned to take. Her own pace is that against the time between her taps: it says how long the
rest takes, and leaves how far she has come alone, so that no tap ever takes her back.
"""

from __future__ import annotations

import threading
from bisect import insort
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from fractions import Fraction
from itertools import pairwise

from tracker.progress.counts import Counts
from tracker.progress.ledger import Tap
from tracker.progress.tap_kinds import Settled, SettledTogether, TakenBack
from tracker.work.operations import BY_THE_SQUARE_FOOT
from tracker.work.steps import Checklist, Step

FOOT = {"in": 12, "cm": 30}
"""A foot or so in each unit: a longer edge takes its seconds once for each."""
PAUSE = 20 * 60
"""Seconds without a tap after which she was somewhere else."""
HURRY = 4
"""Nobody is so many times as quick as reckoned: what is tapped sooner was done with what was tapped before it."""
BELIEVED = 30 * 60
"""Reckoned seconds that speak for the table of operations against what her taps show."""
NIGHT = timedelta(hours=4)
"""Who sews past midnight sews on the same day still."""
LONGEST_WAIT = 60 * 24 * 3600
"""Seconds after which a tap that waited on its device is not believed any more."""
DOUBT = 60
"""Seconds by which two taps of one device may lie the wrong way round."""
LATELY = timedelta(days=28)
DAYS_NEEDED = 3
SHARE_NEEDED = Fraction(1, 20)
FARTHEST = 20 * 365
"""Days ahead of which nothing is said."""

_BEGINNING = datetime(1970, 1, 1, tzinfo=UTC)


def seconds_of(step: Step, unit: str) -> int:
    """A rough time for doing a step once, in seconds, with the size of what is made in the plan's `unit`."""
    feet = [max(-(-side / FOOT[unit]).__floor__(), 1) for side in step.size or ()]
    by_area = BY_THE_SQUARE_FOOT.get(type(step.action).__name__)
    if by_area is not None:
        return by_area * (feet[0] * feet[1] if feet else 1)
    return step.kind.seconds * max(feet, default=1)


@dataclass(frozen=True)
class Remainder:
    """Reckoned seconds of all steps together (`total`), of what is left of each operation, and of all of each."""

    total: int
    left: Mapping[str, int]
    whole: Mapping[str, int] = field(default_factory=dict)

    @property
    def done(self) -> int:
        """Reckoned seconds of what is done."""
        return self.total - sum(self.left.values())

    @property
    def percent(self) -> int:
        """Whole per cents; 100 only when all is done."""
        return self.done * 100 // self.total if self.total else 100


def remainder(counts: Counts) -> Remainder:
    """What is left of a quilt by its counts."""
    return counts.once("remainder", lambda: _remainder(counts))


def _remainder(counts: Counts) -> Remainder:
    left, whole = Counter[str](), Counter[str]()
    for step in counts.steps.values():
        seconds = seconds_of(step, counts.plan.unit)
        whole[step.operation] += seconds * counts.count(step)
        left[step.operation] += seconds * counts.left(step)
    return Remainder(whole.total(), left, whole)


@dataclass(frozen=True, order=True)
class TimedTap:
    """Work that was tapped: when (seconds since 1970), the how manieth tap it was, and what it is reckoned to take."""

    when: int
    number: int
    operation: str
    seconds: int


Paces = Mapping[str, tuple[int, int]]
"""For each operation the seconds that it took between taps, and those that it was reckoned to take."""


def paces_of(taps: Sequence[TimedTap]) -> Paces:
    """What the taps of one day, in the order of time, say of her pace. Nothing does the first, or one after a pause."""
    found: dict[str, tuple[int, int]] = {}
    for before, group in _groups(taps):
        gap, work = group[0].when - before, sum(tap.seconds for tap in group)
        if gap > PAUSE or gap * HURRY < work:
            continue
        for tap in group:
            took, reckoned = found.get(tap.operation, (0, 0))
            # Of what was tapped together each has its share; the last second is nobody's.
            found[tap.operation] = took + gap * tap.seconds // work, reckoned + tap.seconds
    return found


def _groups(taps: Sequence[TimedTap]) -> list[tuple[int, list[TimedTap]]]:
    """Taps with those that follow too soon for their work, and the moment of the tap before them."""
    found: list[tuple[int, list[TimedTap]]] = []
    for before, tap in pairwise(taps):
        if (tap.when - before.when) * HURRY >= tap.seconds:
            found.append((before.when, [tap]))
        elif found:
            found[-1][1].append(tap)
    return found


@dataclass(frozen=True)
class Forecast:
    """How far she is (`remainder`), how her pace stands against what is reckoned, and the reckoned seconds of work that
    she did on each day."""

    remainder: Remainder
    paces: Paces
    days: Mapping[date, int]

    @property
    def seconds_left(self) -> int:
        """How long what is left takes her, in seconds of work; at what she has done little of, by her pace in all."""
        return self._at_her_pace(self.remainder.left)

    @property
    def seconds_sewn(self) -> int:
        """How long what is done took her, in seconds of work: where her taps do not tell, as reckoned."""
        left = self.remainder.left
        return self._at_her_pace({each: whole - left.get(each, 0) for each, whole in self.remainder.whole.items()})

    def _at_her_pace(self, work: Mapping[str, int]) -> int:
        took = sum(each for each, _ in self.paces.values())
        reckoned = sum(each for _, each in self.paces.values())
        in_all = Fraction(BELIEVED + took, BELIEVED + reckoned)
        seconds = Fraction(0)
        for operation, much in work.items():
            own, usual = self.paces.get(operation, (0, 0))
            seconds += much * (BELIEVED * in_all + own) / (BELIEVED + usual)
        return -(-seconds.numerator // seconds.denominator)

    def day_done(self, today: date) -> date | None:
        """The day on which all is done at her rhythm; None while too little is known of it, or nothing is left."""
        days = sorted(day for day in self.days if day <= today)
        left, done = sum(self.remainder.left.values()), self.remainder.done
        if not left or len(days) < DAYS_NEEDED or done < self.remainder.total * SHARE_NEEDED:
            return None
        lately = [day for day in days if day >= days[-1] - LATELY]
        if len(lately) < DAYS_NEEDED:
            lately = days[-DAYS_NEEDED:]
        # From one day of work to the next: what the first of them brought took a time that nobody knows.
        over = (lately[-1] - lately[0]).days
        work = sum(self.days[day] for day in lately[1:])
        more = -(-left * over // work)
        if more > FARTHEST:
            return None
        widest = max(later - day for day, later in pairwise(lately))
        return max(max(lately[-1], today - widest) + timedelta(days=more), today)


@dataclass
class _OneDay:
    """The work tapped on a day, in the order of time, and what it says of her pace (None: to be looked at)."""

    taps: list[TimedTap] = field(default_factory=list)
    paces: Paces | None = None


class Timeline:
    """The taps of one quilt in the order in which they were tapped, brought up to date tap by tap.

    A new tap costs what its day holds. May be used from several threads. `zone` is hers (None: this computer's).
    """

    def __init__(self, checklist: Checklist, unit: str, zone: tzinfo | None = None) -> None:
        self._work = {step.id: (step.operation, seconds_of(step, unit)) for step in checklist.steps}
        self._zone = zone
        self._lock = threading.Lock()
        self._seen = 0
        self._days: dict[date, _OneDay] = {}
        self._placed: dict[str, tuple[date, TimedTap]] = {}
        self._newest: dict[str, tuple[int, str]] = {}

    def forecast(self, counts: Counts, taps: Mapping[int, Tap], until: int) -> Forecast:
        """Where a quilt stands by its counts, with its taps by their number, up to `until`; those that are
        missing could not be read."""
        with self._lock:
            for number in range(self._seen, until):
                if number in taps:
                    self._take(number, taps[number])
            self._seen = max(self._seen, until)
            done_on = {date: sum(tap.seconds for tap in day.taps) for date, day in self._days.items() if day.taps}
            return Forecast(remainder(counts), self._paces(), done_on)

    def _paces(self) -> Paces:
        found: dict[str, tuple[int, int]] = {}
        for day in self._days.values():
            if day.paces is None:
                day.paces = paces_of(day.taps)
            for operation, (took, reckoned) in day.paces.items():
                before = found.get(operation, (0, 0))
                found[operation] = before[0] + took, before[1] + reckoned
        return found

    def _take(self, number: int, tap: Tap) -> None:
        """Place a tap that says that work was done, or that an earlier one did not say so."""
        if tap.work_said:
            work, moment = self._said(tap), self._moment(tap)
            if work is not None and moment is not None:
                self._place(tap.id, moment[1], TimedTap(moment[0], number, *work))
        elif isinstance(tap, TakenBack):
            self._remove(tap.what)
        elif isinstance(tap, Settled):
            self._settle(tap.what, tap.times)
        elif isinstance(tap, SettledTogether):
            for what, times in zip(tap.what, tap.times, strict=False):
                self._settle(what, times)

    def _said(self, tap: Tap) -> tuple[str, int] | None:
        """The operation of a tap and its reckoned seconds; None where its steps are not known (any more). Of a pass all
        is taken for its last operation: nobody knows how long each of them took."""
        operation, seconds = "", 0
        for step, times in tap.work_said:
            if step in self._work:
                operation, each = self._work[step]
                seconds += each * times
        return (operation, seconds) if seconds > 0 else None

    def _moment(self, tap: Tap) -> tuple[int, date] | None:
        """When it was tapped, and on which day. None where a clock jumped: it cannot be known, or lies before what the
        same device tapped before; then that is left out as well, for either may be the wrong one."""
        device = tap.device or ""
        found = tapped_at(tap, self._zone)
        if found is None:
            return None
        former, self._newest[device] = self._newest.get(device), (found[0], tap.id)
        if former is not None and found[0] < former[0] - DOUBT:
            self._remove(former[1])
            return None
        return found

    def _place(self, name: str, day: date, tap: TimedTap) -> None:
        self._placed[name] = day, tap
        held = self._days.setdefault(day, _OneDay())
        insort(held.taps, tap)
        held.paces = None

    def _remove(self, name: str) -> tuple[date, TimedTap] | None:
        placed = self._placed.pop(name, None)
        if placed is not None:
            held = self._days[placed[0]]
            held.taps.remove(placed[1])
            held.paces = None
        return placed

    def _settle(self, name: str, times: int) -> None:
        """So often it did happen. How often it was meant does not matter: most questions are all or nothing."""
        if times == 0:
            self._remove(name)


def tapped_at(tap: Tap, zone: tzinfo | None) -> tuple[int, date] | None:
    """When a tap was tapped (seconds since 1970), and the day that was there; None where that cannot be known.

    `at` says when it was kept; `waited` how many seconds before that it was tapped, by the clock of its device, so that
    it does not matter whether that is right, as long as it runs.
    """
    waited = tap.waited or 0
    if tap.at is None or not 0 <= waited <= LONGEST_WAIT:
        return None
    try:
        kept = datetime.fromisoformat(tap.at)
        moment = (kept if kept.tzinfo else kept.replace(tzinfo=UTC)) - timedelta(seconds=waited)
        return (moment - _BEGINNING) // timedelta(seconds=1), (moment.astimezone(zone) - NIGHT).date()
    except (ValueError, OverflowError):
        return None
