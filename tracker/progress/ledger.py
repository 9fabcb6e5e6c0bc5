"""What was tapped, and what it comes to. Pure: taps in, counts out.

A tap that its piles cannot pay for is kept as unsettled and counts nothing until it is settled.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import islice
from typing import Any, Self

from tracker.progress.changes import (
    LONGEST_NAME,
    LONGEST_NOTE,
    LONGEST_STRIP,
    CountChange,
    Measuring,
    Recorded,
    Refused,
    Tap,
    count_of,
    text_of,
)
from tracker.progress.counts import BlockStage, Counts
from tracker.progress.measured_top import border_pairs, is_measured, read_figures
from tracker.progress.missing_steps import leading_to
from tracker.work.steps import Step

__all__ = ["BlockStage", "Progress", "Refused", "Tap"]


Answered = tuple[Recorded, Recorded]
"""A tap that was settled with others: as it was before, and after."""


@dataclass
class Progress(Counts):
    """The counts of one quilt, kept up to date tap by tap."""

    notes: list[tuple[int | None, str]] = field(default_factory=list)
    names: dict[int, str] = field(default_factory=dict)
    _recorded: dict[str, Recorded] = field(default_factory=dict)
    _order: list[str] = field(default_factory=list)
    _unsettled: dict[str, None] = field(default_factory=dict)
    _answered: dict[str, list[Answered]] = field(default_factory=dict)
    _ticks: dict[tuple[str, str], str] = field(default_factory=dict)

    def copy(self) -> Self:
        """The same taps and counts, to go on apart from these."""
        twin = super().copy()
        twin.notes, twin._order = list(self.notes), list(self._order)
        twin.names, twin._recorded = dict(self.names), dict(self._recorded)
        twin._unsettled, twin._ticks = dict(self._unsettled), dict(self._ticks)
        twin._answered = dict(self._answered)
        return twin

    def next_step(self, station: str | None = None, after: str | None = None) -> Step | None:
        """Where to carry on: the step `after` (or of the last tap) while it has work ready, else the first that has."""
        last = self.steps.get(after or self.last_step_id() or "")
        if last is not None and self.ready(last) and station in (None, last.station):
            return last
        for step in self.steps.values():
            if station in (None, step.station) and self.left(step) and self.ready(step):
                return step
        return None

    def last_tap(self) -> Tap | None:
        """The last tap that counts."""
        return next((self._recorded[tap].tap for tap in reversed(self._order) if self._recorded[tap].counts), None)

    def latest(self, most: int) -> list[Recorded]:
        """The last taps that count, or answer several questions, newest first."""
        counting = (self._recorded[tap] for tap in reversed(self._order) if self.counts(tap))
        return list(islice(counting, most))

    def last_step_id(self) -> str | None:
        """The step of the last tap that named one."""
        for tap_id in reversed(self._order):
            kept = self._recorded[tap_id]
            if kept.counts and kept.tap["do"] in ("done", "counted"):
                return str(kept.tap["step"])
        return None

    def unsettled(self) -> list[Tap]:
        """Taps that their piles could not pay for, oldest first, each to be asked about once."""
        return [self._recorded[tap_id].tap for tap_id in self._unsettled]

    def recorded(self, tap_id: str) -> Recorded | None:
        """A tap by its id, as it counts now."""
        return self._recorded.get(tap_id)

    def counts(self, tap_id: str) -> bool:
        """Whether a recorded tap counts, or answers several questions (False: unsettled or taken back)."""
        return tap_id in self._answered or (tap_id in self._recorded and self._recorded[tap_id].counts)

    def tick_of(self, cloth: str, strip: str) -> str | None:
        """The tap that ticked a strip off; None where none did that can be taken back."""
        tap_id = self._ticks.get((cloth, strip))
        return tap_id if tap_id is not None and self.counts(tap_id) else None

    # tapping

    def complete(self, tap: Tap) -> dict[str, Any]:
        """A tap as it should be recorded: blocks that are not named, and steps that lead to a stage, are named now.

        Raises Refused where the tap makes no sense or nothing at all lies ready for it.
        """
        if tap.get("do") == "stage":
            return {**tap, "steps": self._leading_to(self._step(tap), self._number(tap.get("block")))}
        if tap.get("do") == "counted":
            return {**tap, "by": self._counted_by(tap)}
        if tap.get("do") != "done":
            return dict(tap)
        step = self._step(tap)
        if step.per == "quilt" or "blocks" in tap:
            return dict(tap)
        times = count_of(tap.get("times"))
        chosen = self.ready_blocks(step)[:times]
        if len(chosen) < times:
            raise Refused("nothing ready", step=step.id, ready=len(chosen), times=times)
        return {key: value for key, value in tap.items() if key != "times"} | {"blocks": chosen}

    def record(self, tap: Tap) -> bool:
        """Count one tap. True where it is new; False where its id was known already.

        A done tap that cannot be paid for is kept as unsettled. Raises Refused for anything that must not be kept.
        """
        tap_id = tap.get("id")
        if not isinstance(tap_id, str) or not tap_id:
            raise Refused("unknown tap", id=tap_id)
        if tap_id in self._recorded:
            return False
        do = tap.get("do")
        match do:
            case "done" | "stage" | "counted":
                meanings = {"done": self._done_change, "stage": self._stage_change, "counted": self._count_change}
                wanted = meanings[do](tap)
                if any(times < 0 for _, _, times in wanted.moves):
                    self.must_apply(wanted)
                    self._keep(tap_id, tap, wanted, wanted)
                    return True
                self._keep(tap_id, tap, wanted, wanted if self.apply(wanted) is None else CountChange())
            case "put back" | "spoiled" | "opened" | "strip" | "measured":
                others = {
                    "put back": self._back_change,
                    "spoiled": self._lost_change,
                    "opened": self._open_change,
                    "strip": self._strip_change,
                    "measured": self._measured_change,
                }
                wanted = others[do](tap)
                self.must_apply(wanted)
                self._keep(tap_id, tap, wanted, wanted)
            case "take back":
                self._take_back(tap)
                self._keep(tap_id, tap)
            case "settle":
                self._settle(tap)
                self._keep(tap_id, tap)
            case "settle all":
                self._settle_all(tap_id, tap)
                self._keep(tap_id, tap)
            case "note" | "name":
                self._write(tap)
                self._keep(tap_id, tap)
            case "carried":
                self._carry(tap)
                self._keep(tap_id, tap)
            case _:
                raise Refused("unknown tap", do=do)
        return True

    def _keep(
        self, tap_id: str, tap: Tap, wanted: CountChange | None = None, change: CountChange | None = None
    ) -> None:
        self._recorded[tap_id] = Recorded(tap, wanted or CountChange(), change or CountChange())
        self._order.append(tap_id)
        for cloth, strip, _ in self._recorded[tap_id].change.strips:
            self._ticks[cloth, strip] = tap_id
        if self._recorded[tap_id].unsettled:
            self._unsettled[tap_id] = None

    # what taps mean

    def _done_change(self, tap: Tap) -> CountChange:
        step = self._step(tap)
        if step.per == "quilt":
            return CountChange(((step.id, 0, count_of(tap.get("times"))),))
        return CountChange(tuple((step.id, number, 1) for number in self._blocks(step, tap.get("blocks"))))

    def _counted_by(self, tap: Tap) -> int:
        """By how much a number counted differs from what was counted so far."""
        step, times = self._step(tap), tap.get("times")
        if step.per != "quilt":
            raise Refused("unknown step", step=step.id)
        if not isinstance(times, int) or isinstance(times, bool) or times < 0:
            raise Refused("not a count", count=times)
        if times == self.times_done(step):
            raise Refused("counted so", times=times)
        return times - self.times_done(step)

    def _count_change(self, tap: Tap) -> CountChange:
        step, by = self._step(tap), tap.get("by")
        if step.per != "quilt" or not isinstance(by, int) or isinstance(by, bool) or not by:
            raise Refused("not a count", count=by)
        return CountChange(((step.id, 0, by),))

    def _back_change(self, tap: Tap) -> CountChange:
        step = self._step(tap)
        if not step.kind.unpicked:
            raise Refused("cannot be unpicked", step=step.id)
        return self._done_change(tap).undone()

    def _lost_change(self, tap: Tap) -> CountChange:
        pile = tap.get("pile")
        known = self.checklist.piles.get(pile) if isinstance(pile, str) else None
        if known is None or known.block is not None:
            raise Refused("unknown pile", pile=pile)
        if known.id in self.with_blocks:
            raise Refused("blocks in it", pile=known.id)
        return CountChange((), ((known.id, count_of(tap.get("times"))),))

    def _open_change(self, tap: Tap) -> CountChange:
        """The join and every step of the block that was done with what came of it, last first."""
        number, step = self._number(tap.get("block")), self._step(tap)
        if step.operation != "join" or not self.is_for(step, number) or not self.times_done(step, number):
            raise Refused("not joined", block=number, step=step.id)
        undone, given = [step], {flow.pile for flow in step.gives}
        for later in self.block_steps(step.per, number):
            if self.times_done(later, number) and any(flow.pile in given for flow in later.takes):
                undone.append(later)
                given |= {flow.pile for flow in later.gives}
        return CountChange(tuple((each.id, number, -1) for each in reversed(undone)))

    def _measured_change(self, tap: Tap) -> CountChange:
        return CountChange(measured=((self._measuring(self._step(tap), str(tap["id"]), tap.get("lengths")), True),))

    def _measuring(self, step: Step, tap_id: str, lengths: object) -> Measuring:
        """What was measured for a step. Raises Refused."""
        if not is_measured(step):
            raise Refused("not measured", step=step.id)
        pair = next(pair for pair in border_pairs(self.plan, self.checklist) if pair.step.id == step.id)
        return Measuring(step.id, tap_id, read_figures(lengths, pair.planned, self.plan.unit).typed)

    def _stage_change(self, tap: Tap) -> CountChange:
        number = self._number(tap.get("block"))
        moves = []
        steps = tap.get("steps")
        for step_id, times in steps if isinstance(steps, (list, tuple)) else ():
            step = self._step({"step": step_id})
            moves.append((step.id, 0 if step.per == "quilt" else number, count_of(times)))
        if not moves:
            raise Refused("already there", block=number)
        return CountChange(tuple(moves))

    def _strip_change(self, tap: Tap) -> CountChange:
        """A strip ticked off, with the pieces that were not counted before. Steps that are no longer on the route count
        nothing: the strip is cut all the same."""
        cloth, strip = tap.get("cloth"), tap.get("strip")
        if not isinstance(cloth, str) or cloth not in self.plan.fabrics:
            raise Refused("unknown strip", cloth=cloth)
        if not isinstance(strip, str) or not 0 < len(strip) <= LONGEST_STRIP:
            raise Refused("unknown strip", cloth=cloth)
        if (cloth, strip) in self.ticked:
            raise Refused("strip is cut", cloth=cloth)
        steps = tap.get("steps")
        moves = [
            (step_id, 0, count_of(times))
            for step_id, times in (steps if isinstance(steps, (list, tuple)) else ())
            if step_id in self._all_steps and self._all_steps[step_id].operation == "cut"
        ]
        return CountChange(tuple(moves), (), ((cloth, strip, 1),))

    def _leading_to(self, last: Step, number: int) -> list[list[Any]]:
        """Every step missing for a block to have come as far as `last`, with its share of the pool's steps."""
        if not self.is_for(last, number):
            raise Refused("unknown step", step=last.id)
        return leading_to(self, {}, last, number)

    def _take_back(self, tap: Tap) -> None:
        kept = self._named(tap)
        if kept is not None and (answered := self._answered.get(str(tap["what"]))):
            self._ask_again(answered)
            del self._answered[str(tap["what"])]
            return
        if kept is None or not kept.wanted:
            raise Refused(
                "already taken back" if kept and self._was_change(kept) else "unknown tap", id=tap.get("what")
            )
        if kept.change:
            self.must_apply(kept.change.undone())
        self._forget(kept)

    def _forget(self, kept: Recorded) -> None:
        """The tap is known still, but claims nothing."""
        self._recorded[str(kept.tap["id"])] = Recorded(kept.tap, CountChange(), CountChange())
        self._unsettled.pop(str(kept.tap["id"]), None)

    def _settle(self, tap: Tap) -> None:
        kept = self._named(tap)
        if kept is None or not kept.unsettled:
            raise Refused("not unsettled", id=tap.get("what"))
        times = tap.get("times")
        if not isinstance(times, int) or isinstance(times, bool) or times < 0:
            raise Refused("not a count", count=times)
        if times == 0:
            self._forget(kept)
            return
        moves = kept.wanted.moves
        pooled = len(moves) == 1 and moves[0][1] == 0
        settled = CountChange(((moves[0][0], 0, times),) if pooled else moves[:times])
        self.must_apply(settled)
        self._forget(kept)
        self._recorded[str(kept.tap["id"])] = replace(kept, wanted=settled, change=settled)

    def _settle_all(self, tap_id: str, tap: Tap) -> None:
        """Settle every tap that is named and still open, or none of them."""
        what, times = tap.get("what"), tap.get("times")
        if not isinstance(what, list) or not isinstance(times, list) or len(what) != len(times):
            raise Refused("unknown tap", id=None)
        asked = [(str(each), often) for each, often in zip(what, times, strict=True) if str(each) in self._unsettled]
        if not asked:
            raise Refused("not unsettled", id=None)
        done: list[Answered] = []
        try:
            for each, often in asked:
                before = self._recorded[each]
                self._settle({"what": each, "times": often})
                done.append((before, self._recorded[each]))
        except Refused:
            if done:
                self._ask_again(done)
            raise
        self._answered[tap_id] = done

    def _ask_again(self, answered: list[Answered]) -> None:
        """Taps are unsettled again as they were, but for those that were taken back or carried over since."""
        still = [(before, after) for before, after in answered if self._recorded[str(after.tap["id"])] is after]
        if not still:
            raise Refused("already taken back", id=None)
        self.must_apply(
            CountChange(tuple(move for _, after in reversed(still) for move in after.change.undone().moves))
        )
        for before, _ in still:
            self._recorded[str(before.tap["id"])] = before
        self._unsettled = {tap_id: None for tap_id in self._order if self._recorded[tap_id].unsettled}

    def _named(self, tap: Tap) -> Recorded | None:
        what = tap.get("what")
        return self._recorded.get(what) if isinstance(what, str) else None

    @staticmethod
    def _was_change(kept: Recorded) -> bool:
        changes = ("done", "stage", "counted", "put back", "spoiled", "opened", "strip", "measured", "settle all")
        return kept.tap.get("do") in changes

    def _write(self, tap: Tap) -> None:
        block = None if tap.get("block") is None else self._number(tap["block"])
        if tap["do"] == "note":
            self.notes.append((block, text_of(tap.get("text"), LONGEST_NOTE)))
        elif block is not None:
            self.names[block] = text_of(tap.get("text"), LONGEST_NAME)
        else:
            raise Refused("no such block", block=None)

    def _carry(self, tap: Tap) -> None:
        """Begin anew from counts carried over from an earlier plan; earlier taps count no more."""
        counts = tuple((str(step), int(block), int(times)) for step, block, times in tap.get("counts", ()))
        lost = tuple((str(pile), int(times)) for pile, times in tap.get("lost", ()))
        for step_id, block, _ in counts:
            known = self._all_steps.get(step_id)
            if known is None or (self.block_keys.get(block) if block else "quilt") != known.per:
                raise Refused("unknown step", step=step_id)
        if unknown := [pile for pile, _ in lost if pile not in self.checklist.piles]:
            raise Refused("unknown pile", pile=unknown[0])
        strips = dict.fromkeys((str(cloth), str(strip)) for cloth, strip in tap.get("strips", ()))
        measured = tuple(
            (self._measuring(self._step({"step": step}), str(tap["id"]), lengths), True)
            for step, lengths in tap.get("measured", ())
        )
        for kept in list(self._recorded.values()):
            self._forget(kept)
        self._answered.clear()
        self.begin_anew()
        self.must_apply(CountChange(counts, lost, tuple((cloth, strip, 1) for cloth, strip in strips), measured))

    def _step(self, tap: Tap) -> Step:
        step_id = tap.get("step")
        step = self.steps.get(step_id) if isinstance(step_id, str) else None
        if step is None:
            raise Refused("unknown step", step=step_id)
        return step

    def _blocks(self, step: Step, given: object) -> tuple[int, ...]:
        if not isinstance(given, (list, tuple)) or not given or len(set(map(repr, given))) != len(given):
            raise Refused("no such block", block=given)
        for number in given:
            if not self.is_for(step, self._number(number)):
                raise Refused("no such block", block=number)
        return tuple(given)
