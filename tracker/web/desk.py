"""The desk: every quilt opened once to take taps, in turn, and as often as needed to be read, by nobody's leave.

A turn lasts for deciding and writing alone. Whoever reads has counts of their own, brought up to date by the taps they
lack, so that no tap waits for a page: nothing is compiled, proved, cut, drawn or rendered in a turn.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import Any

from tracker.progress.ledger import Progress
from tracker.progress.pace_of_work import Timeline
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.forward import bring_forward
from tracker.web.opened import Compiled, Opened, compile_text

PLANS_KEPT = 32
"""How many compiled plans stay in memory: a household's quilts, and the one being typed."""

QUILTS_KEPT = 100
"""How many quilts stay opened, those of a whole class among them; others are opened again when they are asked for."""

COPIES_KEPT = 3
"""How many copies of a quilt's counts wait for the next reader."""

MOST_BEHIND = 200
"""A copy that lacks more taps than these is not brought up to date: a fresh one is quicker."""


class Shelf:
    """One quilt: its counts that taps are taken into, and copies of them to be read."""

    def __init__(self, store: Store, stored: StoredQuilt, compiled: Callable[[str], Compiled]) -> None:
        self.store, self.stored = store, stored
        self._compiled = compiled
        self._opening = threading.Lock()
        self._first: Opened | None = None
        self._idle: list[Opened] = []
        self._known: tuple[int, dict[Hashable, Any]] = (-1, {})

    def _text(self) -> str:
        return str(self.stored.facts.get("plan", ""))

    def _current(self) -> Opened | None:
        """The counts that taps are taken into, where they are those of the plan as it is now."""
        first = self._first
        return None if first is None or first.ahead_of_disk or first.compiled.text != self._text() else first

    def open(self) -> None:
        """Compile and count, where that is not done yet; out of turn, since it takes its time. Raises PlanFault."""
        if self._current() is not None:
            return
        with self._opening:
            if self._current() is not None:
                return
            compiled = bring_forward(self.store, self.stored, self._compiled(self._text()), self._compiled)
            moment = self.stored.moment()
            progress = Progress(compiled.plan, compiled.checklist)
            timeline = Timeline(compiled.checklist, compiled.plan.unit)
            opened = Opened(self.stored, compiled, progress, moment, timeline)
            opened.catch_up(moment)
            with self.stored.turn():
                self._first, self._idle = opened, []

    @contextmanager
    def turn(self) -> Iterator[Opened]:
        """The counts that taps are taken into, while nobody else takes any."""
        while True:
            self.open()
            with self.stored.turn():
                first = self._current()
                if first is not None:  # else the plan was edited meanwhile
                    first.catch_up(self.stored.moment())
                    yield first
                    return

    @contextmanager
    def read(self) -> Iterator[Opened]:
        """Counts as they are now, for the caller alone."""
        lent = self._lend()
        try:
            yield lent
        finally:
            self._put_back(lent)

    def _lend(self) -> Opened:
        while True:
            self.open()
            with self.stored.turn():
                first, moment = self._current(), self.stored.moment()
                if first is None:
                    continue  # the plan was edited meanwhile
                lent = self._idle.pop() if self._idle else None
                if lent is None or lent.behind(moment) > MOST_BEHIND:
                    lent = first.copy()
            lent.catch_up(moment)
            self._share(lent)
            return lent

    def _share(self, lent: Opened) -> None:
        """What is reckoned of one version is reckoned once, whoever reads it."""
        version, known = self._known
        if version == lent.version:
            lent.counts.known = known
        elif version < lent.version:
            self._known = (lent.version, lent.counts.known)

    def _put_back(self, lent: Opened) -> None:
        """Counts that are not read any more: the next reader brings them up to date."""
        with self.stored.turn():
            first = self._first
            if first is not None and lent.planned is first.planned and len(self._idle) < COPIES_KEPT:
                self._idle.append(lent)


class Desk:
    """All quilts of a store, opened as they are asked for."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._lock = threading.Lock()
        self._plans: dict[str, Compiled] = {}
        self._compiling: dict[str, threading.Lock] = {}
        self._shelves: dict[str, Shelf] = {}

    @contextmanager
    def quilt(self, quilt_id: str) -> Iterator[Opened]:
        """A quilt to be read, with its counts as they are now: the caller's own, whatever is tapped meanwhile.

        Raises StoreFault "unknown", PlanFault where its plan cannot be read any more.
        """
        with self._shelf(quilt_id).read() as lent:
            yield lent

    @contextmanager
    def glance(self, stored: StoredQuilt) -> Iterator[Opened]:
        """As `quilt`, for a look in passing: it puts no quilt away that is open. Raises PlanFault."""
        with self._lock:
            shelf = self._shelves.get(stored.id)
            if shelf is None and len(self._shelves) < QUILTS_KEPT:
                shelf = Shelf(self.store, stored, self.compiled)
                self._shelves = {stored.id: shelf, **self._shelves}  # the first to be put away
        if shelf is None or shelf.stored is not stored:
            shelf = Shelf(self.store, stored, compile_text)
        with shelf.read() as lent:
            yield lent

    @contextmanager
    def turn(self, quilt_id: str) -> Iterator[Opened]:
        """A quilt with its counts up to date, in its turn: nobody else changes it meanwhile. Others wait, so nothing
        but deciding and keeping belongs here. Raises as `quilt` does.
        """
        with self._shelf(quilt_id).turn() as opened:
            yield opened

    def _shelf(self, quilt_id: str) -> Shelf:
        stored = self.store.quilt(quilt_id)
        with self._lock:
            shelf = self._shelves.pop(quilt_id, None)
            if shelf is None or shelf.stored is not stored:
                shelf = Shelf(self.store, stored, self.compiled)
            self._shelves[quilt_id] = shelf
            while len(self._shelves) > QUILTS_KEPT:
                del self._shelves[next(iter(self._shelves))]
            return shelf

    def ready(self, text: str) -> Compiled | None:
        """A plan text compiled, where it is so already."""
        with self._lock:
            return self._plans.get(text)

    def compiled(self, text: str) -> Compiled:
        """A plan text compiled, once as long as it is in use; who asks meanwhile waits for it: after a start a whole
        class asks for one plan at the same moment. Raises PlanFault."""
        with self._lock:
            found = self._plans.pop(text, None)
            if found is not None:
                self._plans[text] = found
                return found
            compiling = self._compiling.setdefault(text, threading.Lock())
        with compiling:
            made = self.ready(text)
            try:
                made = made or compile_text(text)
            finally:
                with self._lock:
                    self._compiling.pop(text, None)
                    if made is not None:
                        self._plans[text] = made
                    while len(self._plans) > PLANS_KEPT:
                        del self._plans[next(iter(self._plans))]
        return made
