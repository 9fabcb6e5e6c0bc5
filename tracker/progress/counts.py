"""The counts of one quilt: how often each step was done, what lies on each pile, what that makes ready. Pure.

What lies on a pile follows by counting and is never negative. Kept up to date change by change, at a cost that does
not grow with the number of blocks.
"""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import wraps
from typing import Any, Concatenate, ParamSpec, Self, TypeVar

from tracker.exact.kept import reckoned
from tracker.plan.model import Plan
from tracker.progress.changes import CountChange, Refused, ToldBeside
from tracker.progress.laid_blocks import LaidSo, laid_after, places_of, with_places
from tracker.units.times_needed import times_needed
from tracker.work.steps import Checklist, Flow, Step
from tracker.work.whole_blocks import SetBlock

T = TypeVar("T")
More = ParamSpec("More")


def for_steps(reckon: Callable[Concatenate[Counts, More], T]) -> Callable[Concatenate[Counts, More], T]:
    """Has a function of counts reckoned once for the steps there are to do, whatever of them is done."""

    @wraps(reckon)
    def known(counts: Counts, /, *more: More.args, **named: More.kwargs) -> T:
        return counts.once_for_steps((reckon, more, *named.items()), lambda: reckon(counts, *more, **named))

    return known


@dataclass(frozen=True)
class BlockStage:
    """How far one block has come: `done` of `steps` block steps; `last` is the last of them done, in order."""

    number: int
    key: str
    done: int
    steps: int
    last: Step | None


class Counts:
    """Counts of steps and piles, without taps. Blocks are numbered from 1; 0 stands for the common pool.

    `done` says how often by step and block, `lost` how many pieces by pile; `ticked` are strips ticked off at the
    cutting table, each a cloth and the strip's name, the last at the end; `told` is what was told beside.
    """

    def __init__(self, plan: Plan, checklist: Checklist) -> None:
        self.plan, self.planned = plan, checklist
        self.block_keys = dict(enumerate(self.plan.quilt.blocks_in_order(), 1))
        self._numbers: dict[str, list[int]] = {}
        for number, key in self.block_keys.items():
            self._numbers.setdefault(key, []).append(number)
        self.with_blocks = checklist.with_blocks()
        self._follow(tuple(self.block_keys))
        self.known: dict[Hashable, Any] = {}
        self.lasting: dict[Hashable, Any] = {}
        self.begin_anew()

    def _follow(self, places: tuple[int, ...]) -> None:
        """Blocks lie in these places from now on, and the steps lay them there."""
        self.places = places
        planned = places == tuple(self.block_keys)
        self.checklist = self.planned if planned else with_places(self.planned, places)
        self._all_steps = {step.id: step for step in self.checklist.steps}
        versions = {step.blocks for step in self.checklist.steps if step.blocks is not None}
        self._versions = {blocks: frozenset(blocks) for blocks in versions}
        self._takers: dict[str, list[Step]] = {}
        for step in self.checklist.steps:
            for flow in step.takes:
                self._takers.setdefault(flow.pile, []).append(step)

    def copy(self) -> Self:
        """The same counts, to go on apart from these."""
        twin = copy.copy(self)
        twin.done, twin._total, twin._on_pile = dict(self.done), dict(self._total), dict(self._on_pile)
        twin.lost, twin.ticked = dict(self.lost), dict(self.ticked)
        twin.told = self.told.copy()
        twin._laid = list(self._laid)
        twin._open = {step: set(blocks) for step, blocks in self._open.items()}
        return twin

    def once(self, what: Hashable, reckon: Callable[[], T]) -> T:
        """What follows from the counts, reckoned once as long as they stay as they are; not to be changed."""
        return reckoned(self.known, what, reckon)

    def once_for_steps(self, what: Hashable, reckon: Callable[[], T]) -> T:
        """The same for what follows from the steps there are to do, whatever of them is done."""
        return reckoned(self.lasting, what, reckon)

    def begin_anew(self) -> None:
        """Nothing done, nothing lost, nothing measured."""
        self.done: dict[tuple[str, int], int] = {}
        self.lost: dict[str, int] = {}
        self.ticked: dict[tuple[str, str], None] = {}
        self._on_pile: dict[tuple[str, int], int] = {}
        self.told = ToldBeside()
        self._laid: list[LaidSo] = []
        self._follow(tuple(self.block_keys))
        self._total: dict[str, int] = {}
        self._sum = 0
        self._count_anew()
        self._look_at_all()

    def _look_at_all(self) -> None:
        # For each step of single blocks, the blocks whose own piles pay for it; only those that move are looked at.
        self._open = {step.id: set(self.blocks_of(step)) for step in self.checklist.steps if step.per != "quilt"}
        for step in self.checklist.steps:
            if step.per != "quilt":
                for number in self.blocks_of(step):
                    self._look_at(step, number)

    # looking

    def blocks_of(self, step: Step) -> list[int]:
        """Numbers of the blocks a step is done for; [0] stands for the common pool."""
        if step.blocks is not None:
            return list(step.blocks)
        return [0] if step.per == "quilt" else self._numbers.get(step.per, [])

    def is_for(self, step: Step, block: int) -> bool:
        """Whether a step is done for a block: it is of that kind, and pressed in that version."""
        return step.per == self.block_keys.get(block) and (step.blocks is None or block in self._versions[step.blocks])

    def count(self, step: Step) -> int:
        """How often a step is to be done in all, with what must be made again for pieces lost."""
        return self._times[step.id]

    def times_done(self, step: Step, block: int | None = None) -> int:
        """How often a step was done, over all blocks or for one."""
        return self._total.get(step.id, 0) if block is None else self.done.get((step.id, block), 0)

    def left(self, step: Step, block: int | None = None) -> int:
        """How often it remains to be done."""
        if block is None or step.per == "quilt":
            return max(self.count(step) - self.times_done(step), 0)
        return 1 - self.times_done(step, block)

    def on_pile(self, pile: str, block: int | None = None) -> int:
        """How many pieces lie on a pile: of one block, or of all together."""
        owner = self.checklist.piles[pile].block
        if owner is None:
            return self._on_pile.get((pile, 0), 0)
        numbers = self._numbers.get(owner, []) if block is None else [block]
        return sum(self._on_pile.get((pile, number), 0) for number in numbers)

    def ready_blocks(self, step: Step) -> list[int]:
        """Blocks (0: the pool) for which the step can be done once more now, as many as the piles pay for, in order."""
        if step.per == "quilt":
            return [0] if self.ready(step) else []
        return sorted(self._open[step.id])[: self._shared(step)]

    def open_blocks(self, step: Step) -> set[int]:
        """Blocks whose own piles pay for a step of blocks, whatever the common ones do; not to be changed."""
        return self._open[step.id]

    def ready(self, step: Step) -> int:
        """How often the step can be done now with what lies on its piles."""
        if step.beside is not None and not self.on_pile(step.beside):
            return 0
        if step.per == "quilt":
            return max(self.affordable(step), 0)
        return max(min(len(self._open[step.id]), self._shared(step)), 0)

    def _shared(self, step: Step) -> int:
        """For how many blocks the common piles pay."""
        shared = (self.on_pile(flow.pile) // flow.each for flow in step.takes if self._is_shared(flow))
        return min(shared, default=len(self.block_keys))

    def waits_for(self, step: Step) -> list[tuple[str, int]]:
        """For a step that is not done out and cannot be done now: piles it lacks pieces on, and how many for one go."""
        if not self.left(step) or self.ready(step):
            return []
        open_blocks = [number for number in self.blocks_of(step) if self.left(step, number)]
        lacking = []
        for flow in step.takes:
            short = flow.each - self.on_pile(flow.pile, None if self._is_shared(flow) else open_blocks[0])
            if short > 0:
                lacking.append((flow.pile, short))
        if step.beside is not None and not self.on_pile(step.beside):
            lacking.append((step.beside, 1))
        return lacking

    def finished(self) -> bool:
        """Whether every step is done out."""
        return all(not self.left(step) for step in self.steps.values())

    def shares(self) -> tuple[int, int]:
        """(times done, times in all) over every step."""
        return self.once("shares", self._shares)

    def _shares(self) -> tuple[int, int]:
        # What was done beyond what is asked for is no share of it.
        over = sum(max(self.times_done(step) - self.count(step), 0) for step in self.checklist.steps)
        return self._sum - over, self._goal

    def block_steps(self, key: str, block: int | None = None) -> list[Step]:
        """The steps of one kind of block, in order; of one block only those of its own pressing version."""
        steps = (step for step in self.steps.values() if step.per == key)
        return [step for step in steps if block is None or self.is_for(step, block)]

    def stage(self, number: int) -> BlockStage:
        """How far a block has come. Raises Refused for a number the quilt does not have."""
        steps = self.block_steps(self._block_key(number), number)
        done = [step for step in steps if self.times_done(step, number)]
        return BlockStage(number, self._block_key(number), len(done), len(steps), done[-1] if done else None)

    # counting

    def must_apply(self, change: CountChange) -> None:
        """Count a change or raise Refused, naming what stands in the way."""
        blocked = self.apply(change)
        if blocked is not None:
            raise blocked

    def apply(self, change: CountChange) -> Refused | None:
        """Count a change. Where a pile would become negative or a step be done too often, nothing is changed."""
        if (held := self._held_in_place(change)) is not None:
            return held
        self._move(change)
        blocked = self._blocked(change)
        if blocked is None:
            return None
        self._move(change.undone())
        step, pile, times = blocked
        if step is None:
            return Refused("nothing there", pile=pile)
        if times > 0:
            return Refused("nothing ready", step=step.id, ready=self.ready(step), times=times)
        later = next((each for each in self._takers.get(pile, []) if self.times_done(each)), None)
        if later is None:
            return Refused("nothing there", step=step.id)
        return Refused("rests on it", step=step.id, later=later.id)

    def _held_in_place(self, change: CountChange) -> Refused | None:
        """A block that would change its place though it lies there already."""
        places = places_of(laid_after(self._laid, change.laid), len(self.block_keys)) if change.laid else self.places
        moved = {old for old, new in zip(self.places, places, strict=True) if old != new}
        lies = next((number for number in sorted(moved) if self.lies(number)), None)
        return None if lies is None else Refused("lies already", block=lies)

    def _move(self, change: CountChange) -> None:
        self.known = {}
        if change.laid:
            self._laid = laid_after(self._laid, change.laid)
            self._follow(places_of(self._laid, len(self.block_keys)))
            self._count_anew()
            self._look_at_all()
        for step_id, block, times in change.moves:
            step, key = self._all_steps[step_id], (step_id, block)
            self.done[key] = self.done.get(key, 0) + times
            self._total[step_id] = self._total.get(step_id, 0) + times
            self._sum += times
            for flow in step.takes:
                self._shift(flow, block, -times)
            for flow in step.gives:
                self._shift(flow, block, times)
            if step.per != "quilt":
                self._look_at(step, block)
                for flow in (*step.takes, *step.gives):
                    for taker in self._takers.get(flow.pile, ()):
                        self._look_at(taker, block)
        for pile, times in change.lost:
            self.lost[pile] = self.lost.get(pile, 0) + times
            self._on_pile[pile, 0] = self._on_pile.get((pile, 0), 0) - times
        if change.lost:
            self._count_anew()
        for cloth, strip, times in change.strips:
            self.ticked.pop((cloth, strip), None)
            if times > 0:
                self.ticked[cloth, strip] = None
        self.told.move(change)

    def _look_at(self, step: Step, block: int) -> None:
        """Whether a block's own piles pay for a step of it now."""
        if not self.is_for(step, block):
            return
        own = (flow for flow in step.takes if not self._is_shared(flow))
        if not self.done.get((step.id, block)) and all(self._on_pile.get((f.pile, block), 0) >= f.each for f in own):
            self._open[step.id].add(block)
        else:
            self._open[step.id].discard(block)

    def _shift(self, flow: Flow, block: int, times: int) -> None:
        key = (flow.pile, 0 if self._is_shared(flow) else block)
        self._on_pile[key] = self._on_pile.get(key, 0) + times * flow.each

    def lie_as(self, laid: LaidSo) -> bool:
        """Whether blocks lie as they were laid then: none changed places since."""
        return self._laid[-1:] == [laid]

    def bring(self, change: CountChange) -> None:
        """Count steps known to be payable, or losses that piles owe until steps have put as many there."""
        self._move(change)

    def forgive_losses(self) -> None:
        """Forget losses that their piles still owe."""
        for pile in list(self.lost):
            owed = -min(self._on_pile.get((pile, 0), 0), 0)
            self.lost[pile] -= owed
            self._on_pile[pile, 0] = self._on_pile.get((pile, 0), 0) + owed
        self._count_anew()

    def _count_anew(self) -> None:
        """How often each step is to be done, now that pieces are lost; never less than was planned."""
        self.known, self.lasting = {}, {}
        self._times = {step.id: step.count for step in self.checklist.steps}
        if any(self.lost.values()):
            needed = Counter(self.wanted_at_the_end()) + Counter(self.lost)
            for step_id, times in times_needed(self.checklist.steps, needed).items():
                self._times[step_id] = max(times, self._times[step_id])
        self.steps = {step.id: step for step in self.checklist.steps if self._times[step.id]}
        self._goal = sum(self._times.values())

    def blocks_finished(self) -> int:
        """How many blocks have had their last step."""
        return sum(self.times_done(step) for step in self.last_steps().values())

    def is_finished(self, number: int) -> bool:
        """Whether a block has had its last step, but to be laid in its place."""
        return any(self.times_done(step, number) for step in self.last_steps().values() if self.is_for(step, number))

    def lies(self, number: int) -> bool:
        """Whether a block was laid in its place."""
        setting = (step for step in self.checklist.steps if isinstance(step.action, SetBlock))
        return any(self.times_done(step, number) for step in setting)

    @for_steps
    def last_steps(self) -> dict[str, Step]:
        """Piles of finished blocks, which no step takes from but to set them, and the last step of those on each."""
        made = {flow.pile: step for step in self.checklist.steps if step.per != "quilt" for flow in step.gives}
        found = {
            pile: step
            for pile, step in made.items()
            if self.checklist.piles[pile].block is not None
            and all(isinstance(taker.action, SetBlock) for taker in self._takers.get(pile, ()))
        }
        # A block of one piece has no step of its own but that it is laid in its place.
        sewn = {step.per for step in found.values()}
        return found | {pile: step for pile, step in made.items() if step.per not in sewn}

    @for_steps
    def wanted_at_the_end(self) -> dict[str, int]:
        """The quilt; or, where the steps end with its blocks, how many of them on each pile."""
        if any(isinstance(step.action, SetBlock) for step in self.checklist.steps):
            return {self.checklist.steps[-1].gives[0].pile: 1}
        return {pile: len(self.blocks_of(step)) for pile, step in self.last_steps().items()}

    def _blocked(self, change: CountChange) -> tuple[Step | None, str, int] | None:
        """The first step and pile (or loss) of a change just counted that cannot be, and how often it was meant."""
        for step_id, block, times in change.moves:
            step = self._all_steps[step_id]
            for flow in (*step.takes, *step.gives):
                if self._on_pile.get((flow.pile, 0 if self._is_shared(flow) else block), 0) < 0:
                    return step, flow.pile, times
            often, most = self.done.get((step_id, block), 0), self.count(step) if step.per == "quilt" else 1
            # What was done beyond the plan, since pieces were lost and found again, can still be undone.
            if often < 0 or (times > 0 and often > most and not (change.beyond and not block)):
                return step, step.gives[0].pile, times
        for pile, _ in change.lost:
            if self._on_pile.get((pile, 0), 0) < 0 or self.lost.get(pile, 0) < 0:
                return None, pile, 0
        return None

    def affordable(self, step: Step) -> int:
        """How often a step of the pool can be done now."""
        return min([self.left(step)] + [self.on_pile(flow.pile) // flow.each for flow in step.takes])

    def _is_shared(self, flow: Flow) -> bool:
        return self.checklist.piles[flow.pile].block is None

    def known_step(self, step_id: str) -> Step:
        """The step with this id, where it is one there is to do. Raises Refused."""
        if step_id not in self.steps:
            raise Refused("unknown step", step=step_id)
        return self.steps[step_id]

    def known_block(self, number: int) -> int:
        """The number, where the quilt has such a block. Raises Refused."""
        if number not in self.block_keys:
            raise Refused("no such block", block=number)
        return number

    def is_done_for(self, step_id: str, block: int) -> bool:
        """Whether a step is on the route, and is one for blocks such as this (0: for the pool)."""
        step = self._all_steps.get(step_id)
        return step is not None and step.per == (self.block_keys.get(block) if block else "quilt")

    def _block_key(self, number: int) -> str:
        return self.block_keys[self.known_block(number)]
