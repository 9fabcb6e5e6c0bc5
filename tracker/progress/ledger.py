"""What was tapped, and what it comes to. Pure: taps in, counts out.

A tap that its piles cannot pay for is kept as unsettled and counts nothing until it is settled.
"""

from __future__ import annotations

import copy
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import islice
from typing import ClassVar, Self

from tracker.plan.model import Plan
from tracker.progress.changes import CountChange, Refused
from tracker.progress.counts import BlockStage, Counts
from tracker.progress.set_aside import Aside
from tracker.work.steps import Checklist, Step

__all__ = ["BlockStage", "Progress", "Refused", "Tap"]

NOTHING = CountChange()

Often = tuple[tuple[str, int], ...]
"""Steps or piles by their ids, each with how often."""


@dataclass(frozen=True, kw_only=True)
class Tap(ABC):
    """What a person recorded, never changed once it is. `at`: when (ISO text, UTC); None where it was not said.
    Where its device said so, `waited` is how many seconds it had kept the tap before, by its clock, `device` a name of
    its own, and `who` whoever held it.

    Each kind is a class (see `tap_kinds`) that gives the word it is known by in files, as `do`.
    """

    id: str
    at: str | None = None
    waited: int | None = None
    device: str | None = None
    who: str | None = None

    do: ClassVar[str] = ""
    can_be_taken_back: ClassVar[bool] = False
    KINDS: ClassVar[dict[str, type[Tap]]] = {}

    def __init_subclass__(cls, do: str = "") -> None:
        if do:
            cls.do = do
            Tap.KINDS[do] = cls

    @abstractmethod
    def count_on(self, progress: Progress) -> Recorded:
        """Have it counted, once. Raises Refused, with nothing changed, where it must not be kept."""

    def completed(self, counts: Counts) -> Tap:
        """As it should be recorded: what it leaves to the counts is told by them now. Raises Refused where it makes no
        sense, or nothing at all lies ready for it."""
        return self

    @property
    def concerns(self) -> tuple[str, ...]:
        """The taps whose changes it is about: its own, or those that it settles."""
        return (self.id,)

    @property
    def worked_at(self) -> str | None:
        """The step that was worked at, so that she carries on there."""
        return None

    @property
    def work_said(self) -> Often:
        """The steps of which it says that they were done, in order, and how often each."""
        return ()

    @property
    def steps_named(self) -> tuple[str, ...]:
        """The steps that it was made at, by their ids."""
        return ()

    def renamed(self, names: Mapping[str, str]) -> Self:
        """The same, made at steps that have other ids now."""
        return self


@dataclass(frozen=True)
class Recorded:
    """A tap as it counts now. `wanted` is what it claims; `change` what it did, empty while it is unsettled."""

    tap: Tap
    wanted: CountChange = NOTHING
    change: CountChange = NOTHING

    @property
    def counts(self) -> bool:
        """Whether it changed anything."""
        return bool(self.change)

    @property
    def unsettled(self) -> bool:
        """Whether it claims what could not be paid for at its turn."""
        return bool(self.wanted) and not self.change


Answered = tuple[Recorded, Recorded]
"""A tap that was settled with others: as it was before, and after."""


def _asked_again(answered: list[Answered]) -> CountChange:
    """What has taps asked about again that were settled."""
    return CountChange(tuple(move for _, after in reversed(answered) for move in after.change.undone().moves))


class Progress:
    """What was tapped for one quilt, with the `counts` that it comes to, kept up to date tap by tap; and the `notes`
    (each with the number of its block, None: the quilt) and the `names` that were given to blocks. `carried` is the tap
    that all began anew with under the plan of now, where that was edited; `aside` what no longer fitted then."""

    def __init__(self, plan: Plan, checklist: Checklist) -> None:
        self.counts = Counts(plan, checklist)
        self.notes: list[tuple[int | None, str]] = []
        self.names: dict[int, str] = {}
        self._recorded: dict[str, Recorded] = {}
        self._order: list[str] = []
        self._unsettled: dict[str, None] = {}
        self._answered: dict[str, list[Answered]] = {}
        self._ticks: dict[tuple[str, str], str] = {}
        self.carried: Tap | None = None
        self.aside = Aside()
        self._trial: tuple[object, Counts] | None = None

    def copy(self) -> Self:
        """The same taps and counts, to go on apart from these."""
        twin = copy.copy(self)
        twin.counts = self.counts.copy()
        twin.notes, twin._order = list(self.notes), list(self._order)
        twin.names, twin._recorded = dict(self.names), dict(self._recorded)
        twin._unsettled, twin._ticks = dict(self._unsettled), dict(self._ticks)
        twin._answered, twin._trial = dict(self._answered), None
        return twin

    def next_step(self) -> Step | None:
        """Where to carry on: the step of the last tap while it has work ready, else the first that has."""
        last = self.counts.steps.get(self.last_step_id() or "")
        if last is not None and self.counts.ready(last):
            return last
        steps = self.counts.steps.values()
        return next((step for step in steps if self.counts.left(step) and self.counts.ready(step)), None)

    def latest(self, most: int, newest: int = 0) -> list[Recorded]:
        """The last taps that count, or answer several questions, newest first; of so many of the newest (0: of all)."""
        counting = (self._recorded[tap] for tap in reversed(self._order[-newest:]) if self.counts_still(tap))
        return list(islice(counting, most))

    def taken_back(self, newest: int) -> list[str]:
        """The ids of those of the newest taps that counted once, or were asked about, and do no more."""
        found = []
        for tap_id in self._order[-newest:]:
            kept = self._recorded[tap_id]
            if not kept.wanted and kept.tap.can_be_taken_back and tap_id not in self._answered:
                found.append(tap_id)
        return found

    def can_be_taken_back(self, kept: Recorded) -> bool:
        """Whether nothing rests on what a tap that counts has changed, or has settled with others."""
        undone = self._undone(kept)
        if undone is None or (kept.change.laid and not self.counts.lie_as(kept.change.laid[-1][0])):
            return False
        if self._trial is None or self._trial[0] is not self.counts.known:
            self._trial = self.counts.known, self.counts.copy()
        trial = self._trial[1]
        if trial.apply(undone) is not None:
            return False
        trial.bring(undone.undone())
        return True

    def _undone(self, kept: Recorded) -> CountChange | None:
        """What takes a tap back; of one that settled others what has those asked again, None where none is left."""
        if (answered := self._answered.get(kept.tap.id)) is None:
            return kept.change.undone()
        still = self._still(answered)
        return _asked_again(still) if still else None

    def last_done(self) -> Tap | None:
        """The last tap that counts and names what was done."""
        for tap_id in reversed(self._order):
            kept = self._recorded[tap_id]
            if kept.counts and kept.tap.worked_at is not None:
                return kept.tap
        return None

    def last_step_id(self) -> str | None:
        """The step of the last tap that named one."""
        last = self.last_done()
        return None if last is None else last.worked_at

    def unsettled(self) -> list[Tap]:
        """Taps that their piles could not pay for, oldest first, each to be asked about once."""
        return [self._recorded[tap_id].tap for tap_id in self._unsettled]

    def recorded(self, tap_id: str) -> Recorded | None:
        """A tap by its id, as it counts now."""
        return self._recorded.get(tap_id)

    def counts_still(self, tap_id: str) -> bool:
        """Whether a recorded tap counts, or answers several questions (False: unsettled or taken back)."""
        return tap_id in self._answered or (tap_id in self._recorded and self._recorded[tap_id].counts)

    def tick_of(self, cloth: str, strip: str) -> str | None:
        """The tap that ticked a strip off; None where none did that can be taken back."""
        tap_id = self._ticks.get((cloth, strip))
        return tap_id if tap_id is not None and self.counts_still(tap_id) else None

    # tapping

    def record(self, tap: Tap) -> bool:
        """Count one tap. True where it is new; False where its id was known already.

        One that waits for its piles and cannot be paid for is kept as unsettled. Raises Refused for what must not be
        kept.
        """
        if tap.id in self._recorded:
            return False
        self._keep(tap.count_on(self))
        return True

    def _keep(self, kept: Recorded) -> None:
        tap_id = kept.tap.id
        self._recorded[tap_id] = kept
        self._order.append(tap_id)
        for cloth, strip, _ in kept.change.strips:
            self._ticks[cloth, strip] = tap_id
        if kept.unsettled:
            self._unsettled[tap_id] = None

    # what taps do to earlier ones

    def take_back(self, what: str) -> None:
        """Undo a tap, or have what it answered asked again. Raises Refused."""
        kept = self._recorded.get(what)
        if kept is not None and (answered := self._answered.get(what)):
            self._ask_again(answered)
            del self._answered[what]
            return
        if kept is None or not kept.wanted:
            raise Refused("already taken back" if kept and kept.tap.can_be_taken_back else "unknown tap", id=what)
        if kept.change:
            self.counts.must_apply(kept.change.undone())
        self._forget(kept)

    def _forget(self, kept: Recorded) -> None:
        """The tap is known still, but claims nothing."""
        self._recorded[kept.tap.id] = Recorded(kept.tap)
        self._unsettled.pop(kept.tap.id, None)

    def settle(self, what: str, times: int) -> None:
        """Count so many of what an unsettled tap claims (0: none). Raises Refused."""
        kept = self._recorded.get(what)
        if kept is None or not kept.unsettled:
            raise Refused("not unsettled", id=what)
        if times < 0:
            raise Refused("not a count", count=times)
        if times == 0:
            self._forget(kept)
            return
        moves = kept.wanted.moves
        pooled = len(moves) == 1 and moves[0][1] == 0
        settled = CountChange(((moves[0][0], 0, times),) if pooled else moves[:times], told=kept.wanted.told)
        self.counts.must_apply(settled)
        self._forget(kept)
        self._recorded[what] = replace(kept, wanted=settled, change=settled)

    def settle_all(self, tap_id: str, answers: list[tuple[str, int]]) -> None:
        """Settle every tap that is named and still open, or none of them; `tap_id` is the tap that answers. Raises
        Refused."""
        asked = [(what, times) for what, times in answers if what in self._unsettled]
        if not asked:
            raise Refused("not unsettled", id=None)
        done: list[Answered] = []
        try:
            for what, times in asked:
                before = self._recorded[what]
                self.settle(what, times)
                done.append((before, self._recorded[what]))
        except Refused:
            if done:
                self._ask_again(done)
            raise
        self._answered[tap_id] = done

    def _ask_again(self, answered: list[Answered]) -> None:
        """Taps are unsettled again as they were, but for those that were taken back or carried over since."""
        still = self._still(answered)
        if not still:
            raise Refused("already taken back", id=None)
        self.counts.must_apply(_asked_again(still))
        for before, _ in still:
            self._recorded[before.tap.id] = before
        self._unsettled = {tap_id: None for tap_id in self._order if self._recorded[tap_id].unsettled}

    def _still(self, answered: list[Answered]) -> list[Answered]:
        return [(before, after) for before, after in answered if self._recorded[after.tap.id] is after]

    def begin_from(self, change: CountChange) -> None:
        """Begin anew from counts carried over from an earlier plan; earlier taps count no more. Raises Refused."""
        for kept in list(self._recorded.values()):
            self._forget(kept)
        self._answered.clear()
        self.counts.begin_anew()
        self.counts.must_apply(change)
