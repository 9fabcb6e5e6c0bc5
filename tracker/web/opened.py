"""Quilts as the screens need them: compiled once for each plan text, counted tap by tap."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cached_property
from heapq import merge
from itertools import islice
from typing import Any, Generic, TypeVar, cast

from tracker.cloth.sewing import Trace, sew
from tracker.drawing.tile_layout import Layout
from tracker.looks.preview import compile_whole, read_whole, unproved
from tracker.pattern.block_sheet import PassCard
from tracker.plan.model import Plan
from tracker.progress.batches import Pace
from tracker.progress.counts import Counts
from tracker.progress.laid_blocks import with_places
from tracker.progress.ledger import Progress, Recorded, Refused, Tap
from tracker.progress.measured_top import BordersStanding, standing
from tracker.progress.pace_of_work import Forecast, Timeline
from tracker.progress.strip_ticks import ClothStrips, Strip, strips_by_cloth
from tracker.progress.tap_kinds import read_tap, written
from tracker.quilt.borders import CannotCut
from tracker.quilt.cloth_cutting import cut_quilt
from tracker.quilt.setting import Setting, set_quilt
from tracker.store.quilts import Moment, StoredQuilt
from tracker.units.maker import digest
from tracker.words.quilt_summary import cannot_cut
from tracker.words.step_words import Words
from tracker.work.steps import About, Checklist, Step

MOST_TRIED = 12
"""So many taps of a step are tried, newest first, to find one on which nothing rests."""

MOST_SEWN = 2000
"""Quilts of so many cells are sewn whole to be drawn."""

T = TypeVar("T")

WHOLE = (About.ROWS, About.BORDERS, About.FINISHING)
"""Topics of the steps that handle the whole quilt."""


@dataclass(frozen=True)
class Whole:
    """A plan's quilt and the strips of its cloths; where a cloth is too narrow there are none, and `fault` says so."""

    setting: Setting | None
    cloths: tuple[ClothStrips, ...]
    fault: str

    @cached_property
    def strips(self) -> dict[tuple[str, str], Strip]:
        """Every strip by its cloth and name."""
        return {(strip.cloth, strip.name): strip for cloth in self.cloths for strip in cloth.strips}


class once(Generic[T]):
    """A property that is reckoned when it is first asked for; who asks meanwhile, in another thread, waits for it."""

    def __init__(self, reckon: Callable[[Any], T]) -> None:
        self._reckon = reckon
        self.__doc__ = reckon.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    def __get__(self, instance: object, owner: type) -> T:
        known = vars(instance)
        if self._name not in known:
            with known.setdefault(f"_{self._name} is being reckoned", threading.RLock()):
                if self._name not in known:
                    known[self._name] = self._reckon(instance)
        return cast(T, known[self._name])


class Compiled:
    """Everything that follows from a plan text alone; never changes."""

    def __init__(self, text: str, plan: Plan, checklist: Checklist, laid: tuple[int, ...] = ()) -> None:
        self.text = text
        self.mark = digest(text)
        self.plan = plan
        self.checklist = checklist
        self.words = Words(plan, checklist, laid)
        self.short = _short_names([step.id for step in checklist.steps])
        self._by_short = {self.short[step.id]: step for step in checklist.steps}
        self.pile_codes = _short_names(list(checklist.piles))
        self.maker = {flow.pile: step for step in checklist.steps for flow in step.gives}
        self.titles = {step.id: self.words.title(step) for step in checklist.steps}
        self.drawings: dict[str, str] = {}
        self.cards: dict[str, list[PassCard]] = {}
        self._own_places = laid
        self.places = laid or tuple(range(1, len(list(plan.quilt.blocks_in_order())) + 1))
        self._laid: Compiled | None = None

    def laid(self, places: tuple[int, ...]) -> Compiled:
        """The same with blocks in these places (their numbers, row by row), kept until others are asked for."""
        if places == self.places:
            return self
        found = self._laid
        if found is None or found.places != places:
            found = LaidOtherwise(self, places)
            self._laid = found
        return found

    @once
    def layout(self) -> Layout:
        """Where every block, sash and triangle lies."""
        return Layout(self.plan, self.checklist, self._own_places)

    def step(self, short: str) -> Step | None:
        """The step with this short name (as addresses and forms have it)."""
        return self._by_short.get(short)

    def step_by_id(self, step_id: str) -> Step | None:
        """The step with this id."""
        return self._by_short.get(self.short.get(step_id, ""))

    @once
    def unproved(self) -> str:
        """What the proof finds wrong with the checklist, in one sentence; empty where it holds."""
        return unproved(self.plan, self.checklist)

    @once
    def whole(self) -> Whole:
        """The quilt round its blocks, and how its cloths are cut."""
        try:
            setting = set_quilt(self.plan)
            cuttings = cut_quilt(self.plan, self.checklist, setting)
        except CannotCut as fault:
            return Whole(None, (), cannot_cut(fault, self.plan))
        return Whole(setting, strips_by_cloth(self.plan, self.checklist, cuttings), "")

    @once
    def trace(self) -> Trace:
        """The checklist sewn, from which steps are drawn; of a large quilt only its blocks, for it would take long."""
        patches = sum(len(self.plan.blocks[key].cells) for key in self.plan.quilt.blocks_in_order())
        steps = self.checklist.steps
        if patches > MOST_SEWN:
            steps = without_rows(self.checklist)
        return sew(self.checklist.piles, steps, self.plan.seam)


class LaidOtherwise(Compiled):
    """What follows where blocks have changed places with others alike: the same cloth and the same proof, but other
    numbers in the rows."""

    def __init__(self, planned: Compiled, places: tuple[int, ...]) -> None:
        super().__init__(planned.text, planned.plan, with_places(planned.checklist, places), places)
        self._planned = planned
        self.mark = digest(f"{planned.text} {places}")

    @once
    def unproved(self) -> str:
        """As planned."""
        return self._planned.unproved

    @once
    def whole(self) -> Whole:
        """As planned."""
        return self._planned.whole

    @once
    def trace(self) -> Trace:
        """As planned."""
        return self._planned.trace


def without_rows(checklist: Checklist) -> tuple[Step, ...]:
    """Steps but those that are done with whole blocks, or with anything they have become part of."""
    whole = checklist.with_blocks()
    return tuple(step for step in checklist.steps if not any(flow.pile in whole for flow in step.gives))


def _short_names(step_ids: list[str]) -> dict[str, str]:
    """A short name for each step or pile: the same when the plan is edited; told apart where two fall together."""
    short: dict[str, str] = {}
    taken: set[str] = set()
    for step_id in step_ids:
        name, salt = digest(step_id), 0
        while name in taken:
            salt += 1
            name = digest(f"{step_id}#{salt}")
        taken.add(name)
        short[step_id] = name
    return short


def compile_text(text: str, file: str = "plan") -> Compiled:
    """Compile a plan text. Raises PlanFault with everything that is wrong with it."""
    plan = read_whole(text, file)
    return Compiled(text, plan, compile_whole(plan))


@dataclass
class Opened:
    """One quilt with its counts, as it was at one moment. Whoever has it has it alone (see Desk)."""

    stored: StoredQuilt
    planned: Compiled
    progress: Progress
    moment: Moment
    timeline: Timeline
    ahead_of_disk: bool = False
    _borders: tuple[dict[str, tuple[str, ...]], BordersStanding] | None = None
    _seen: int = 0
    _read: dict[int, Tap] = field(default_factory=dict)
    """Taps by their number, as far as any copy has read them: all copies have one and the same."""
    _remembered: int = 0
    _by_step: dict[str, list[tuple[int, str]]] = field(default_factory=dict)
    _by_block: dict[tuple[str, int], list[tuple[int, str]]] = field(default_factory=dict)

    def copy(self) -> Opened:
        """The same, to go on apart from this one."""
        by_step = {step: list(taps) for step, taps in self._by_step.items()}
        by_block = {key: list(taps) for key, taps in self._by_block.items()}
        return replace(self, progress=self.progress.copy(), _by_step=by_step, _by_block=by_block)

    @property
    def id(self) -> str:
        return self.stored.id

    @property
    def compiled(self) -> Compiled:
        """What follows from its plan, and from where its blocks lie."""
        return self.planned.laid(self.counts.places)

    @property
    def counts(self) -> Counts:
        """What its taps come to."""
        return self.progress.counts

    @property
    def about(self) -> Mapping[str, Any]:
        """The facts about it; not to be changed."""
        return self.moment.facts

    @property
    def version(self) -> int:
        return self.moment.version

    @property
    def title(self) -> str:
        """Its name: her own, or that of its plan."""
        return str(self.about.get("title", "")) or self.compiled.plan.title

    @property
    def demo(self) -> bool:
        return bool(self.about.get("demo"))

    @property
    def pace(self) -> Pace:
        """How she works: a sample first or not, how many blocks at a time."""
        kept = self.about.get("pace", {})
        batch = kept.get("batch")
        return Pace(bool(kept.get("sample_first", True)), batch if isinstance(batch, int) and batch > 0 else None)

    @property
    def words(self) -> Words:
        return self.compiled.words

    @property
    def steps(self) -> list[Step]:
        """Every step there is to do (or was), in order."""
        return list(self.counts.steps.values())

    @property
    def borders(self) -> BordersStanding:
        """The borders by what was measured; reckoned anew where that has changed."""
        measured = self.counts.told.measured()
        if self._borders is None or self._borders[0] != measured:
            self._borders = measured, standing(self.compiled.plan, self.compiled.checklist, measured)
        return self._borders[1]

    @property
    def forecast(self) -> Forecast:
        """How far the quilt has come in time, and how long the rest takes; reckoned once for a version, out of turn."""
        counts = self.counts
        return counts.once("forecast", lambda: self.timeline.forecast(counts, self._read, self._seen))

    def step(self, short: str) -> Step | None:
        """The step with this short name, where it is one there is to do."""
        step = self.compiled.step(short)
        return step if step is not None and step.id in self.counts.steps else None

    def catch_up(self, moment: Moment) -> None:
        """Count the taps that were stored up to a moment and are not counted yet."""
        taps = self.stored.taps
        while self._seen < moment.taps:
            number, self._seen = self._seen, self._seen + 1
            with suppress(Refused):  # of a plan that has been edited since
                if number not in self._read:
                    self._read[number] = read_tap(taps[number])
                self._count(self._read[number])
        self.moment = moment

    def behind(self, moment: Moment) -> int:
        """How many taps were stored up to a moment and are not counted here yet."""
        return moment.taps - self._seen

    def take(self, tap: Tap) -> None:
        """Count a tap and keep it. When this returns it is on disk; when it raises, nothing is counted.

        Raises Refused where the tap must not be kept, StoreFault where it could not be: the counts here are then
        ahead of the disk, and the desk opens the quilt afresh. Only in the quilt's turn.
        """
        if self.stored.has(tap.id):
            return
        complete = tap.completed(self.counts)
        self._count(complete)
        self.ahead_of_disk = True
        self.stored.append(written(complete))
        self.ahead_of_disk = False
        self._kept([complete])

    def take_all(self, taps: Iterable[Tap]) -> None:
        """Count several taps and keep them as one: all or none. Raises as `take` does."""
        complete: list[Tap] = []
        for tap in taps:
            if self.stored.has(tap.id) or self.progress.recorded(tap.id) is not None:
                continue  # said twice
            complete.append(tap.completed(self.counts))
            self._count(complete[-1])
            self.ahead_of_disk = True  # until all of them are there
        self.stored.append_all(map(written, complete))
        self.ahead_of_disk = False
        self._kept(complete)

    def _kept(self, taps: Sequence[Tap]) -> None:
        """These are on disk now, the last of all."""
        self._read.update(enumerate(taps, self._seen))
        self._seen += len(taps)
        self.moment = self.stored.moment()

    def _count(self, tap: Tap) -> None:
        """Count a tap, and remember it as the last of the steps and blocks that it changed."""
        if not self.progress.record(tap):
            return
        for tap_id in tap.concerns:
            self._remember(tap_id)

    def _remember(self, changed: str) -> None:
        """A tap is the last of what it changed."""
        kept = self.progress.recorded(changed)
        if kept is None:
            return
        self._remembered += 1
        last = self._remembered, changed
        for step_id, block, _ in kept.change.moves:
            self._by_step.setdefault(step_id, []).append(last)
            self._by_block.setdefault((step_id, block), []).append(last)
        for measuring, _ in kept.change.measured:
            self._by_step.setdefault(measuring.step, []).append(last)

    def last_tap(self, steps: Iterable[Step], block: int | None = None) -> Recorded | None:
        """The newest tap that changed any of some steps (for one block), still counts and can be taken back as things
        stand: nothing rests on it."""
        standing = islice(self._standing(steps, block), MOST_TRIED)
        return next((kept for kept in standing if self.progress.can_be_taken_back(kept)), None)

    def _standing(self, steps: Iterable[Step], block: int | None) -> Iterator[Recorded]:
        """The taps that changed any of some steps (for one block) and still count, newest first."""
        lists = [
            self._by_step.get(step.id, []) if block is None else self._by_block.get((step.id, block), [])
            for step in steps
        ]
        for taps in lists:
            while taps and not self.progress.counts_still(taps[-1][1]):
                taps.pop()
        seen = set[str]()
        for _, tap_id in merge(*map(reversed, lists), reverse=True):
            kept = self.progress.recorded(tap_id)
            if kept is not None and kept.counts and tap_id not in seen:
                seen.add(tap_id)
                yield kept
