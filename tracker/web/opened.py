"""Quilts as the screens need them: compiled once for each plan text, counted tap by tap, safe between threads."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from tracker.checklist import CannotSew, compile_plan
from tracker.plan import Plan
from tracker.planfile import read_plan
from tracker.problems import Problem, sentence
from tracker.progress import Progress, Refused, Tap
from tracker.route import digest
from tracker.sewing import Trace, sew
from tracker.store import Store, StoredQuilt
from tracker.wording import Words, cannot_sew
from tracker.work import Checklist, Step

PLANS_KEPT = 32
"""How many compiled plans stay in memory: a household's quilts, and the one being typed."""


class PlanFault(Exception):
    """A plan text that cannot be used. `problems` are its faults with their places; `sentences` say them all."""

    def __init__(self, problems: tuple[Problem, ...], sentences: tuple[str, ...]) -> None:
        super().__init__("\n".join(sentences))
        self.problems = problems
        self.sentences = sentences


class Compiled:
    """Everything that follows from a plan text alone; never changes."""

    def __init__(self, text: str, plan: Plan, checklist: Checklist) -> None:
        self.text = text
        self.mark = digest(text)
        self.plan = plan
        self.checklist = checklist
        self.words = Words(plan, checklist)
        self.steps = tuple(step for step in checklist.steps if step.count)
        self.short = _short_names([step.id for step in self.steps])
        self._by_short = {self.short[step.id]: step for step in self.steps}
        self._number = {step.id: number for number, step in enumerate(self.steps)}
        self.maker = {flow.pile: step for step in self.steps for flow in step.gives}
        self.titles = {step.id: self.words.title(step) for step in self.steps}
        self.drawings: dict[str, str] = {}

    def step(self, short: str) -> Step | None:
        """The step with this short name (as addresses and forms have it)."""
        return self._by_short.get(short)

    def number(self, step: Step) -> int:
        """Which step of the list it is, from 1."""
        return self._number[step.id] + 1

    def beside(self, step: Step, by: int) -> Step | None:
        """The step before (-1) or after (1) it in the list, where there is one."""
        number = self._number[step.id] + by
        return self.steps[number] if 0 <= number < len(self.steps) else None

    @cached_property
    def trace(self) -> Trace:
        """The checklist sewn, from which steps are drawn."""
        return sew(self.checklist.piles, self.steps, self.plan.seam)


def _short_names(step_ids: list[str]) -> dict[str, str]:
    """A short name for each step that stays the same when the plan is edited; told apart where two fall together."""
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
    reading = read_plan(text, file)
    if reading.plan is None:
        raise PlanFault(reading.problems, tuple(sentence(problem) for problem in reading.problems))
    try:
        return Compiled(text, reading.plan, compile_plan(reading.plan))
    except CannotSew as fault:
        raise PlanFault((), (cannot_sew(fault, reading.plan),)) from fault


@dataclass(frozen=True)
class Counted:
    """A tap that was counted: how many times of its step, or for which blocks."""

    tap_id: str
    step: Step
    times: int
    blocks: tuple[int, ...]


@dataclass
class Opened:
    """One quilt with its counts. Use it only inside its turn (see Desk.quilt)."""

    stored: StoredQuilt
    compiled: Compiled
    progress: Progress
    demo: bool
    ahead_of_disk: bool = False
    _seen: int = 0
    _questions: dict[str, Tap] = field(default_factory=dict)
    _by_step: dict[str, list[Counted]] = field(default_factory=dict)
    _by_block: dict[tuple[str, int], list[Counted]] = field(default_factory=dict)

    @property
    def id(self) -> str:
        return self.stored.id

    @property
    def title(self) -> str:
        return self.compiled.plan.title

    @property
    def words(self) -> Words:
        return self.compiled.words

    @property
    def version(self) -> int:
        return self.stored.version

    def catch_up(self) -> None:
        """Count the stored taps that are not counted yet."""
        taps = self.stored.taps
        while self._seen < len(taps):
            tap = taps[self._seen]
            self._seen += 1
            try:
                self._count(tap)
            except Refused:
                continue  # of a plan that has been edited since

    def take(self, tap: dict[str, Any]) -> None:
        """Count a tap and keep it. When this returns it is on disk; when it raises, nothing is counted.

        Raises Refused where the tap must not be kept, StoreFault where it could not be: the counts here are then
        ahead of the disk, and the desk opens the quilt afresh.
        """
        if self.stored.has(tap["id"]):
            return
        complete = self.progress.complete(tap)
        self._count(complete)
        self.ahead_of_disk = True
        self.stored.append(complete)
        self.ahead_of_disk = False
        self._seen += 1

    def _count(self, tap: Tap) -> None:
        if not self.progress.record(tap):
            return
        match tap["do"]:
            case "done" if self.progress.counts(tap["id"]):
                self._note(tap, tap.get("times", 0), tuple(tap.get("blocks", ())))
            case "done":
                self._questions[tap["id"]] = tap
            case "settle":
                asked = self._questions.pop(tap["what"])
                if tap["times"]:
                    self._note(asked, tap["times"], tuple(asked.get("blocks", ()))[: tap["times"]])

    def _note(self, tap: Tap, times: int, blocks: tuple[int, ...]) -> None:
        """Remember which tap was the last of its step and of its blocks."""
        counted = Counted(tap["id"], self.progress.steps[tap["step"]], len(blocks) or times, blocks)
        self._by_step.setdefault(tap["step"], []).append(counted)
        for block in blocks:
            self._by_block.setdefault((tap["step"], block), []).append(counted)

    def question(self) -> Tap | None:
        """The oldest unsettled tap, to be asked about."""
        return next(iter(self._questions.values()), None)

    def last_counted(self, step: Step, block: int | None = None) -> Counted | None:
        """The last tap of a step (for one block) that still counts."""
        kept = self._by_step.get(step.id, []) if block is None else self._by_block.get((step.id, block), [])
        while kept and not self.progress.counts(kept[-1].tap_id):
            kept.pop()
        return kept[-1] if kept else None


class Desk:
    """All quilts of a store, opened as they are asked for."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._lock = threading.Lock()
        self._plans: dict[str, Compiled] = {}
        self._opened: dict[str, Opened] = {}

    @contextmanager
    def quilt(self, quilt_id: str) -> Iterator[Opened]:
        """A quilt with its counts up to date, in its turn: nobody else changes it meanwhile.

        Raises StoreFault "unknown", PlanFault where its plan cannot be read any more.
        """
        stored = self.store.quilt(quilt_id)
        with stored.turn():
            yield self._current(stored)

    def _current(self, stored: StoredQuilt) -> Opened:
        opened = self._opened.get(stored.id)
        text = str(stored.about.get("plan", ""))
        fresh = opened is None or opened.stored is not stored or opened.ahead_of_disk
        if opened is None or fresh or opened.compiled.text != text:
            compiled = self.compiled(text)
            progress = Progress(compiled.plan, compiled.checklist)
            opened = Opened(stored, compiled, progress, bool(stored.about.get("demo")))
            self._opened[stored.id] = opened
        opened.catch_up()
        return opened

    def compiled(self, text: str) -> Compiled:
        """A plan text compiled, once as long as it is in use. Raises PlanFault."""
        with self._lock:
            found = self._plans.pop(text, None)
            if found is not None:
                self._plans[text] = found
                return found
        made = compile_text(text)
        with self._lock:
            made = self._plans.setdefault(text, made)
            while len(self._plans) > PLANS_KEPT:
                del self._plans[next(iter(self._plans))]
        return made
