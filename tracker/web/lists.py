"""The whole list, the cutting list, and how far a quilt has come."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.progress.batches import carry_on, now_at
from tracker.web.opened import Opened
from tracker.web.views import STATION_MARKS, STATION_NAMES, Way, way
from tracker.words.names import listed
from tracker.words.quilt_summary import use_words
from tracker.work.steps import Cut, Step, Topic


@dataclass(frozen=True)
class StepRow:
    """A step in the whole list."""

    short: str
    title: str
    station: str
    mark: str
    count: int
    done: int
    ready: int
    waits: str

    @property
    def left(self) -> int:
        return max(self.count - self.done, 0)

    @property
    def state(self) -> str:
        """done, ready or waits."""
        return "done" if not self.left else "ready" if self.ready else "waits"


@dataclass(frozen=True)
class StepGroup:
    """Steps that belong together in the list, under one heading."""

    heading: str
    rows: tuple[StepRow, ...]


def groups(opened: Opened) -> list[StepGroup]:
    """The whole list: cutting by cloth, each unit, each kind of block."""
    topics: dict[Topic, list[Step]] = {}
    for step in opened.steps:
        topics.setdefault(step.topic, []).append(step)
    return [StepGroup(opened.words.heading(steps), tuple(_row(opened, step) for step in steps))
            for steps in topics.values()]  # fmt: skip


def _row(opened: Opened, step: Step) -> StepRow:
    progress = opened.progress
    ready = progress.ready(step)
    lacks = "" if ready else listed([opened.words.pile(pile, short) for pile, short in progress.waits_for(step)])
    return StepRow(
        opened.compiled.short[step.id],
        opened.compiled.titles[step.id],
        STATION_NAMES[step.station],
        STATION_MARKS[step.station],
        progress.count(step),
        progress.times_done(step),
        ready,
        lacks,
    )


@dataclass(frozen=True)
class CutRow:
    """One size to cut from a cloth: how many, for what, how many are cut; `short` names the step that counts them
    (empty: none does yet)."""

    short: str
    size: str
    use: str
    count: int
    done: int


@dataclass(frozen=True)
class ClothCutList:
    """What to cut from one cloth."""

    key: str
    name: str
    rows: tuple[CutRow, ...]


def cutting(opened: Opened) -> list[ClothCutList]:
    """The cutting list, cloth by cloth, in the order of the list."""
    compiled, progress = opened.compiled, opened.progress
    steps = {step.action: step for step in compiled.checklist.steps if isinstance(step.action, Cut)}
    rows: dict[str, list[CutRow]] = {}
    for piece in compiled.checklist.pieces:
        size = compiled.words.size((piece.width, piece.height))
        step = steps.get(Cut(piece.fabric, piece.width, piece.height, piece.use))
        if step is None:
            row = CutRow("", size, use_words(piece), piece.count, 0)
        else:
            count, done = progress.count(step), progress.times_done(step)
            row = CutRow(compiled.short[step.id], size, use_words(piece), count, done)
        if row.count:
            rows.setdefault(piece.fabric, []).append(row)
    fabrics = compiled.plan.fabrics
    return [ClothCutList(key, fabrics[key].name, tuple(rows[key])) for key in fabrics if key in rows]


@dataclass(frozen=True)
class QuiltStanding:
    """How far a quilt has come, and what comes next (None: it is finished)."""

    done: int
    total: int
    blocks_finished: int
    blocks: int
    next: Way | None
    next_words: str

    @property
    def percent(self) -> int:
        """Whole per cents; 100 only when all is done."""
        return self.done * 100 // self.total if self.total else 100


def standing(opened: Opened) -> QuiltStanding:
    """How far a quilt has come."""
    progress = opened.progress
    done, total = progress.shares()
    following = carry_on(progress, opened.pace)
    finished = progress.blocks_finished()
    now = next((work.now for work in now_at(progress, opened.pace) if work.step == following), 0)
    words = "" if following is None else f"{now} now" if now else f"{progress.ready(following)} ready"
    return QuiltStanding(done, total, finished, len(progress.block_keys), way(opened.compiled, following), words)


@dataclass(frozen=True)
class PileStep:
    """A step that takes from a pile or gives to it: how many each time, and how often it can be done now."""

    way: Way
    each: int
    ready: int
    left: int


@dataclass(frozen=True)
class PileView:
    """One pile: what lies on it, how many, the steps that take from it and those that give to it."""

    id: str
    name: str
    lies: int
    takers: tuple[PileStep, ...]
    makers: tuple[PileStep, ...]


def pile_view(opened: Opened, code: str) -> PileView | None:
    """The pile with this code; None where the plan has no such pile."""
    compiled = opened.compiled
    pile = next((pile for pile, known in compiled.pile_codes.items() if known == code), None)
    if pile is None:
        return None
    takers = [_pile_step(opened, step, flow.each) for step in opened.steps for flow in step.takes if flow.pile == pile]
    makers = [_pile_step(opened, step, flow.each) for step in opened.steps for flow in step.gives if flow.pile == pile]
    name = opened.words.pile_alone(pile)
    return PileView(pile, name[0].upper() + name[1:], opened.progress.on_pile(pile), tuple(takers), tuple(makers))


def _pile_step(opened: Opened, step: Step, each: int) -> PileStep:
    compiled, progress = opened.compiled, opened.progress
    there = Way(compiled.short[step.id], compiled.titles[step.id])
    return PileStep(there, each, progress.ready(step), progress.left(step))
