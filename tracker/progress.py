"""What was done, what lies on each pile, what can be done now. Pure: taps in, counts out.

A tap is a plain dictionary (what is stored and sent), never changed once it is recorded:

    {"id": "...", "do": "done", "step": step id, "times": n}                    a step of the common pool
    {"id": "...", "do": "done", "step": step id, "blocks": [3, 4]}              a step of single blocks, numbered from 1
    {"id": "...", "do": "take back", "what": id of an earlier tap}
    {"id": "...", "do": "settle", "what": id of an unsettled tap, "times": n}   n of it did happen (0: none)

State is how often each step was done; what lies on a pile follows by counting. Nothing is ever negative: a tap that
its piles cannot pay for is kept as unsettled and counts nothing until it is settled.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tracker.plan import Plan
from tracker.work import Checklist, Flow, Step

Tap = Mapping[str, Any]


class Refused(Exception):
    """A tap that is not recorded. `kind` is one of "unknown step", "unknown tap", "not a count", "no such block",
    "already taken back", "rests on it", "nothing ready", "not unsettled"; `facts` says about what."""

    def __init__(self, kind: str, **facts: Any) -> None:
        super().__init__(f"{kind}: {facts}")
        self.kind = kind
        self.facts = facts


@dataclass
class _Recorded:
    """A tap as it counts now: `times` for the pool, or `blocks`."""

    tap: Tap
    step: Step
    times: int
    blocks: tuple[int, ...]
    counts: bool


@dataclass(frozen=True)
class Stage:
    """How far one block has come: `done` of `steps` block steps; `last` is the last of them done, in order."""

    number: int
    key: str
    done: int
    steps: int
    last: Step | None


@dataclass
class Progress:
    """The counts of one quilt, kept up to date tap by tap."""

    plan: Plan
    checklist: Checklist
    done: dict[tuple[str, int], int] = field(default_factory=dict)
    _on_pile: dict[tuple[str, int], int] = field(default_factory=dict)
    _recorded: dict[str, _Recorded] = field(default_factory=dict)
    _order: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.steps = {step.id: step for step in self.checklist.steps if step.count}
        self.block_keys = dict(enumerate(self.plan.quilt.blocks_in_order(), 1))
        self._numbers: dict[str, list[int]] = {}
        for number, key in self.block_keys.items():
            self._numbers.setdefault(key, []).append(number)
        self._takers: dict[str, list[Step]] = {}
        for step in self.steps.values():
            for flow in step.takes:
                self._takers.setdefault(flow.pile, []).append(step)

    @classmethod
    def replay(cls, plan: Plan, checklist: Checklist, taps: Iterable[Tap]) -> Progress:
        """The state after recorded taps. A tap whose step is no longer on the route counts nothing."""
        progress = cls(plan, checklist)
        for tap in taps:
            try:
                progress.record(tap)
            except Refused:
                continue
        return progress

    # looking

    def blocks_of(self, step: Step) -> list[int]:
        """Numbers of the blocks a step is done for; [0] stands for the common pool."""
        return [0] if step.per == "quilt" else self._numbers.get(step.per, [])

    def times_done(self, step: Step, block: int | None = None) -> int:
        """How often a step was done, over all blocks or for one."""
        numbers = self.blocks_of(step) if block is None else [block]
        return sum(self.done.get((step.id, number), 0) for number in numbers)

    def left(self, step: Step, block: int | None = None) -> int:
        """How often it remains to be done."""
        if block is None or step.per == "quilt":
            return step.count - self.times_done(step)
        return 1 - self.times_done(step, block)

    def on_pile(self, pile: str, block: int | None = None) -> int:
        """How many pieces lie on a pile: of one block, or of all together."""
        if self.checklist.piles[pile].block is None:
            return self._on_pile.get((pile, 0), 0)
        if block is not None:
            return self._on_pile.get((pile, block), 0)
        numbers = self._numbers.get(self.checklist.piles[pile].block or "", [])
        return sum(self._on_pile.get((pile, number), 0) for number in numbers)

    def ready_blocks(self, step: Step) -> list[int]:
        """Blocks (0: the pool) for which the step can be done once more now, as many as the piles pay for, in order."""
        if step.per == "quilt":
            return [0] if self._affordable(step, 0) else []
        shared = min(
            (self.on_pile(flow.pile) // flow.each for flow in step.takes if self._is_shared(flow)), default=step.count
        )
        own = [flow for flow in step.takes if not self._is_shared(flow)]
        ready: list[int] = []
        for number in self.blocks_of(step):
            if len(ready) == shared:
                break
            if self.left(step, number) and all(self.on_pile(f.pile, number) >= f.each for f in own):
                ready.append(number)
        return ready

    def ready(self, step: Step) -> int:
        """How often the step can be done now with what lies on its piles."""
        return self._affordable(step, 0) if step.per == "quilt" else len(self.ready_blocks(step))

    def waits_for(self, step: Step) -> list[tuple[str, int]]:
        """For a step that is not done out and cannot be done now: piles it lacks pieces on, and how many for one go."""
        if not self.left(step) or self.ready(step):
            return []
        open_blocks = [number for number in self.blocks_of(step) if self.left(step, number)]
        lacking = []
        for flow in step.takes:
            block = None if self._is_shared(flow) else open_blocks[0]
            short = flow.each - self.on_pile(flow.pile, block)
            if short > 0:
                lacking.append((flow.pile, short))
        return lacking

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
        """The last tap that still counts."""
        for tap_id in reversed(self._order):
            if self._recorded[tap_id].counts:
                return self._recorded[tap_id].tap
        return None

    def last_step_id(self) -> str | None:
        tap = self.last_tap()
        return None if tap is None else str(tap["step"])

    def unsettled(self) -> list[Tap]:
        """Taps that their piles could not pay for, oldest first, each to be asked about once."""
        return [
            kept.tap
            for tap_id in self._order
            if not (kept := self._recorded[tap_id]).counts and (kept.times or kept.blocks)
        ]

    def finished(self) -> bool:
        return all(not self.left(step) for step in self.steps.values())

    def shares(self) -> tuple[int, int]:
        """(times done, times in all) over every step."""
        return sum(self.done.values()), sum(step.count for step in self.steps.values())

    def block_steps(self, key: str) -> list[Step]:
        return [step for step in self.steps.values() if step.per == key]

    def stage(self, number: int) -> Stage:
        """How far a block has come. Raises Refused for a number the quilt does not have."""
        key = self._block_key(number)
        steps = self.block_steps(key)
        done = [step for step in steps if self.times_done(step, number)]
        return Stage(number, key, len(done), len(steps), done[-1] if done else None)

    # tapping

    def complete(self, tap: Tap) -> dict[str, Any]:
        """A tap as it should be recorded: for a block step without blocks named, the first ready ones are named now.

        Raises Refused where the tap makes no sense or nothing at all lies ready for it.
        """
        if tap.get("do") != "done":
            return dict(tap)
        step = self._step(tap)
        if step.per == "quilt" or "blocks" in tap:
            return dict(tap)
        times = _count(tap.get("times"))
        chosen = self.ready_blocks(step)[:times]
        if len(chosen) < times:
            raise Refused("nothing ready", step=step.id, ready=len(chosen), times=times)
        named = {key: value for key, value in tap.items() if key != "times"}
        return named | {"blocks": chosen}

    def record(self, tap: Tap) -> bool:
        """Count one tap. True where something changed; False where its id was known already.

        A done tap that cannot be paid for is kept as unsettled. Raises Refused for anything that must not be kept.
        """
        tap_id = tap.get("id")
        if not isinstance(tap_id, str) or not tap_id:
            raise Refused("unknown tap", id=tap_id)
        if tap_id in self._recorded:
            return False
        match tap.get("do"):
            case "done":
                self._record_done(tap_id, tap)
            case "take back":
                self._take_back(tap_id, tap)
            case "settle":
                self._settle(tap_id, tap)
            case other:
                raise Refused("unknown tap", do=other)
        return True

    def counts(self, tap_id: str) -> bool:
        """Whether a recorded tap counts (False: unsettled or taken back)."""
        return tap_id in self._recorded and self._recorded[tap_id].counts

    def _record_done(self, tap_id: str, tap: Tap) -> None:
        step = self._step(tap)
        pooled = step.per == "quilt"
        times = _count(tap.get("times")) if pooled else 0
        blocks = () if pooled else self._blocks(step, tap.get("blocks"))
        payable = self._affordable(step, 0) >= times if step.per == "quilt" else self._can_do(step, blocks)
        kept = _Recorded(tap, step, times, blocks, payable)
        if payable:
            self._move(kept, 1)
        self._recorded[tap_id] = kept
        self._order.append(tap_id)

    def _take_back(self, tap_id: str, tap: Tap) -> None:
        what = tap.get("what")
        kept = self._recorded.get(what) if isinstance(what, str) else None
        if kept is None or kept.tap.get("do") != "done":
            raise Refused("unknown tap", id=what)
        if not kept.counts:
            raise Refused("already taken back", id=what)
        rests = self._rests_on(kept)
        if rests is not None:
            raise Refused("rests on it", step=kept.step.id, later=rests.id)
        self._move(kept, -1)
        kept.counts, kept.times, kept.blocks = False, 0, ()
        self._note(tap_id, tap, kept.step)

    def _settle(self, tap_id: str, tap: Tap) -> None:
        what = tap.get("what")
        kept = self._recorded.get(what) if isinstance(what, str) else None
        if kept is None or kept.counts or not (kept.times or kept.blocks):
            raise Refused("not unsettled", id=what)
        times = tap.get("times")
        if not isinstance(times, int) or isinstance(times, bool) or times < 0:
            raise Refused("not a count", count=times)
        if times == 0:
            kept.times, kept.blocks = 0, ()
        else:
            times_now, blocks_now = (times, ()) if kept.step.per == "quilt" else (0, kept.blocks[:times])
            payable = (
                self._affordable(kept.step, 0) >= times_now
                if kept.step.per == "quilt"
                else self._can_do(kept.step, blocks_now)
            )
            if not payable:
                raise Refused("nothing ready", step=kept.step.id, ready=self.ready(kept.step), times=times)
            kept.times, kept.blocks, kept.counts = times_now, blocks_now, True
            self._move(kept, 1)
        self._note(tap_id, tap, kept.step)

    def _note(self, tap_id: str, tap: Tap, step: Step) -> None:
        """Remember that this id was applied; it counts nothing itself."""
        self._recorded[tap_id] = _Recorded(tap, step, 0, (), False)

    def _move(self, kept: _Recorded, sign: int) -> None:
        """Move pieces from the piles taken to the piles given, or back."""
        step = kept.step
        rounds = [(0, kept.times)] if step.per == "quilt" else [(number, 1) for number in kept.blocks]
        for number, times in rounds:
            key = (step.id, number)
            self.done[key] = self.done.get(key, 0) + sign * times
            for flow in step.takes:
                self._shift(flow, number, -sign * times)
            for flow in step.gives:
                self._shift(flow, number, sign * times)

    def _shift(self, flow: Flow, block: int, times: int) -> None:
        key = (flow.pile, 0 if self._is_shared(flow) else block)
        self._on_pile[key] = self._on_pile.get(key, 0) + times * flow.each

    def _rests_on(self, kept: _Recorded) -> Step | None:
        """A later step that has used what this tap made, so that it cannot be taken back."""
        rounds = [(0, kept.times)] if kept.step.per == "quilt" else [(number, 1) for number in kept.blocks]
        for number, times in rounds:
            for flow in kept.step.gives:
                if self._on_pile.get((flow.pile, 0 if self._is_shared(flow) else number), 0) < times * flow.each:
                    takers = self._takers.get(flow.pile, [])
                    return next((step for step in takers if self.times_done(step)), kept.step)
        return None

    def _affordable(self, step: Step, block: int) -> int:
        """How often a step of the pool can be done now."""
        return min([self.left(step)] + [self.on_pile(flow.pile) // flow.each for flow in step.takes])

    def _can_do(self, step: Step, blocks: tuple[int, ...]) -> bool:
        if any(not self.left(step, number) for number in blocks):
            return False
        for flow in step.takes:
            if self._is_shared(flow):
                if self.on_pile(flow.pile) < flow.each * len(blocks):
                    return False
            elif any(self.on_pile(flow.pile, number) < flow.each for number in blocks):
                return False
        return True

    def _is_shared(self, flow: Flow) -> bool:
        return self.checklist.piles[flow.pile].block is None

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
            if not isinstance(number, int) or isinstance(number, bool) or self.block_keys.get(number) != step.per:
                raise Refused("no such block", block=number)
        return tuple(given)

    def _block_key(self, number: int) -> str:
        if number not in self.block_keys:
            raise Refused("no such block", block=number)
        return self.block_keys[number]


def _count(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 1:
        raise Refused("not a count", count=value)
    return value
