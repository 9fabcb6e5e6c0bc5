"""How far each quilt has come, for the first page: reckoned behind it, the quilt used last first, told once there.

What was reckoned is kept in memory with the quilt's version, so it is never older than the taps.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Sequence
from dataclasses import dataclass

from tracker.looks.preview import PlanFault
from tracker.progress.batches import carry_on
from tracker.progress.pace_of_work import Forecast
from tracker.store.quilts import StoredQuilt
from tracker.units.maker import digest
from tracker.web.clock import here, is_earlier_day
from tracker.web.desk import Desk
from tracker.web.facts import STATION_NAMES, Way, pass_way
from tracker.web.opened import Opened
from tracker.web.shares import told_runs
from tracker.words.time_words import what_is_left

PATIENCE = 250
"""Thousandths of a second for which the first page waits for what is not reckoned yet: in most houses that is all."""

QUIET = 2
"""Seconds after the start until quilts are opened for nobody: who is waiting for the first page has it sooner."""

UNKNOWN = "something went wrong that should not have; the log of the sewing room says what."

log = logging.getLogger("tracker.web")


@dataclass(frozen=True)
class QuiltStanding:
    """How far a quilt has come, in time, and what comes next (None: it is finished), and where; when it was tapped last
    (empty: never)."""

    forecast: Forecast
    blocks_finished: int
    blocks: int
    next: Way | None
    next_words: str
    sewn: str
    tapped_at: str

    @property
    def after_a_day(self) -> bool:
        """Whether she comes back on another day than that of the last tap: then she looks first where she stopped."""
        return is_earlier_day(self.tapped_at, here())

    @property
    def percent(self) -> int:
        """Whole per cents of the time; 100 only when all is done."""
        return self.forecast.remainder.percent

    @property
    def begun(self) -> bool:
        """Whether anything is done."""
        return self.forecast.remainder.done > 0

    @property
    def left(self) -> str:
        """How long what is left takes, and about when it is done, seen from today."""
        today = here().date()
        return what_is_left(self.forecast.seconds_left, self.forecast.day_done(today), today)


def standing(opened: Opened) -> QuiltStanding:
    """How far a quilt has come."""
    counts = opened.counts
    following = carry_on(opened.progress, opened.pace)
    finished = counts.blocks_finished()
    words = "" if following is None else f"at the {STATION_NAMES[following.station].lower()}"
    latest = opened.progress.latest(1)
    tapped = (latest[0].tap.at or "") if latest else ""
    next_way = pass_way(opened, following) if following else None
    return QuiltStanding(opened.forecast, finished, len(counts.block_keys), next_way, words, _sewn(opened), tapped)


MOST_TOLD = 999
"""Letters of an address that tell which blocks are sewn."""


def _sewn(opened: Opened) -> str:
    """The blocks that are sewn, as the address of the quilt's picture tells them: `1-3.7`, `0` for none; nothing where
    the whole quilt is done, or where that would be too long."""
    if opened.counts.finished():
        return ""
    told = told_runs([*filter(opened.counts.is_finished, sorted(opened.counts.block_keys))]) or "0"
    return told if len(told) <= MOST_TOLD else ""


@dataclass(frozen=True)
class QuiltCard:
    """A quilt on the first page; `fault` says why it cannot be opened, where it cannot. Without either, how far it has
    come is being reckoned."""

    id: str
    title: str
    demo: bool
    mark: str
    standing: QuiltStanding | None = None
    fault: str = ""

    @property
    def pending(self) -> bool:
        return self.standing is None and not self.fault


class Cards:
    """The cards of all quilts of a desk. One thread reckons them, as long as there are any to reckon."""

    def __init__(self, desk: Desk, patience: int = PATIENCE) -> None:
        self.patience = patience
        self._desk = desk
        self._turn = threading.Condition()
        self._known: dict[str, tuple[StoredQuilt, int, QuiltCard]] = {}
        self._asked: list[StoredQuilt] = []
        self._working = False

    def begin(self) -> None:
        """Reckon all of them in a moment, though nobody has asked yet: whoever comes finds the quilts opened."""
        later = threading.Timer(QUIET, self._ask_for_all)
        later.daemon = True
        later.start()

    def _ask_for_all(self) -> None:
        self._ask([stored for stored in self._desk.store.quilts() if not stored.facts.get("put_away")])

    def of(self, quilts: Sequence[StoredQuilt]) -> list[QuiltCard]:
        """The cards of these quilts, in their order; some of them pending where they are not there soon."""
        with self._turn:
            self._turn.wait_for(lambda: not self._ask_for_missing(quilts), self.patience / 1000)
        return [self._found(stored) or _bare(stored) for stored in quilts]

    def _found(self, stored: StoredQuilt) -> QuiltCard | None:
        """The card of a quilt as it is now, where it was reckoned."""
        known = self._known.get(stored.id)
        return known[2] if known is not None and known[0] is stored and known[1] == stored.version else None

    def _ask_for_missing(self, quilts: Sequence[StoredQuilt]) -> bool:
        """Whether any is not there; those are asked for, again where a tap came while one was reckoned."""
        missing = [stored for stored in quilts if self._found(stored) is None]
        self._ask(missing)
        return bool(missing)

    def _ask(self, quilts: Sequence[StoredQuilt]) -> None:
        with self._turn:
            self._asked = sorted({*self._asked, *quilts}, key=lambda stored: (last_used(stored), stored.made))
            if self._asked and not self._working:
                self._working = True
                threading.Thread(target=self._work, name="cards", daemon=True).start()

    def _work(self) -> None:
        """Reckon what is asked for, the quilt used last first, until nothing is."""
        while True:
            with self._turn:
                if not self._asked:
                    self._working = False
                    return
                stored = self._asked.pop()
            if self._found(stored) is None:
                version, card = self._reckoned(stored)
                with self._turn:
                    self._known[stored.id] = stored, version, card
                    self._turn.notify_all()

    def _reckoned(self, stored: StoredQuilt) -> tuple[int, QuiltCard]:
        """The card of a quilt, and the version that it is of."""
        bare, version = _bare(stored), stored.version
        try:
            with self._desk.glance(stored) as opened:
                return opened.version, QuiltCard(bare.id, opened.title, bare.demo, bare.mark, standing(opened))
        except PlanFault as fault:
            return version, QuiltCard(bare.id, bare.title, bare.demo, "", fault=fault.sentences[0])
        except Exception:  # whatever it is, the other quilts are to be reckoned
            log.exception("a quilt could not be reckoned")
            return version, QuiltCard(bare.id, bare.title, bare.demo, bare.mark, fault=UNKNOWN)


def _bare(stored: StoredQuilt) -> QuiltCard:
    """What can be said of a quilt without opening it."""
    facts = stored.facts
    return QuiltCard(
        stored.id, str(facts.get("title", "")), bool(facts.get("demo")), digest(str(facts.get("plan", "")))
    )


def last_used(stored: StoredQuilt) -> str:
    """When it was tapped last, or made: texts that stand in the order of time."""
    taps = stored.taps
    return str((taps[-1].get("at") if taps else "") or stored.facts.get("made_at", ""))
