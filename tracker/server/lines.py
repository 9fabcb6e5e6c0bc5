"""The lines that callers hold to the server: how many, for how long, and which goes when there is no place left.

Knows no socket. A line is *proven* while the newest request on it is this computer's own or a paired device's. Times
are whole milliseconds.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum

from tracker.safekeeping.callers import is_loopback, network_of

SECOND = 1000
MOST_REMEMBERED = 200


class LineStage(IntEnum):
    """What is under way on a line; where a place is wanted, the earlier ones go first."""

    ASKING = 0
    """No whole head of a request has come since the line was opened, or since the last answer was sent."""
    BODY = 1
    ANSWER = 2


@dataclass(frozen=True)
class Share:
    """How many lines a kind of callers may hold: all of them, and each."""

    total: int
    each: int


@dataclass(frozen=True)
class Limits:
    """How many lines, and how long each stage may last in all: for a stranger, and for who is proven."""

    home: Share = Share(64, 64)
    known: Share = Share(240, 40)
    """A class of thirty; several phones may share an address (a router, a container's port), and a browser holds up to
    six lines."""
    strangers: Share = Share(40, 12)
    asking: tuple[int, int] = (15 * SECOND, 30 * SECOND)
    body: tuple[int, int] = (15 * SECOND, 180 * SECOND)
    """A photo of 16 MB, by a Wi-Fi that carries 90 KB a second; the largest backup by one that carries 360."""
    answer: tuple[int, int] = (30 * SECOND, 300 * SECOND)
    lately: int = 12 * 60 * 60 * SECOND
    """For so long after a paired device asked from an address, that address has a share of its own."""


class Line:
    """One line: who holds it, whether proven, whether its place is another's now, and what is under way since when."""

    def __init__(self, address: str, now: int) -> None:
        self.address = address
        self.proven = False
        self.sent_away = False
        self.stage = LineStage.ASKING
        self.since = now


class Lines:
    """All open lines. Used by one thread, but for `gone`."""

    def __init__(
        self,
        limits: Limits | None = None,
        clock: Callable[[], int] = lambda: time.monotonic_ns() // 1_000_000,
        home: Callable[[str], bool] = is_loopback,
    ) -> None:
        """In: the limits, a clock that never runs back, and whether an address is this computer's own."""
        self._limits = limits or Limits()
        self._clock, self._home = clock, home
        self._open: dict[Line, None] = {}  # the oldest first
        self._shown: dict[str, int] = {}

    def come(self, address: str) -> Line | None:
        """A new line from this address; None where there is no place for it.

        Where its caller holds all it may, the least of that caller's lines goes; where all are taken, the least of
        whoever holds most. Only a line on which a proven caller's answer is under way stays in any case.
        """
        line = Line(address, self._clock())
        share, caller = self._share_of(line)
        peers = [(each, who) for each in list(self._open) for kind, who in [self._share_of(each)] if kind is share]
        held = Counter(who for _, who in peers)
        full = caller if held[caller] >= share.each else None
        if full is None and len(peers) >= share.total:
            full = held.most_common(1)[0][0]
        if full is not None:
            least = min((each for each, who in peers if who == full), key=_worth)
            if least.proven and least.stage is LineStage.ANSWER:
                return None
            self._open.pop(least, None)
            least.sent_away = True
        self._open[line] = None
        return line

    def gone(self, line: Line) -> None:
        """This line was closed."""
        self._open.pop(line, None)

    def heard(self, line: Line, known: bool) -> None:
        """The whole head of a request has come, from a known caller or a stranger."""
        line.proven, line.stage, line.since = known, LineStage.BODY, self._clock()
        if known:
            self._shown.pop(line.address, None)
            self._shown[line.address] = line.since
            if len(self._shown) > MOST_REMEMBERED:
                del self._shown[next(iter(self._shown))]

    def must_end(self, line: Line, stage: LineStage) -> bool:
        """Whether a line on which this is under way has lost its place or has had its time."""
        now = self._clock()
        if stage is not line.stage:
            line.stage, line.since = stage, now
        limits = self._limits
        stranger, proven = (limits.asking, limits.body, limits.answer)[stage]
        return line.sent_away or now - line.since > (proven if line.proven else stranger)

    def _share_of(self, line: Line) -> tuple[Share, str]:
        """Of which share a line takes, and for whom."""
        if self._home(line.address):
            return self._limits.home, ""
        shown = self._shown.get(line.address)
        if line.proven or (shown is not None and self._clock() - shown < self._limits.lately):
            return self._limits.known, line.address
        return self._limits.strangers, network_of(line.address)


def _worth(line: Line) -> tuple[bool, LineStage, int]:
    return line.proven, line.stage, line.since
