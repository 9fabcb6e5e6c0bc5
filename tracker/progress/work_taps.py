"""Taps of work: what was done, counted, spoiled, put back or measured, and how the counts change by it.

A kind of tap is added by writing its class: fields, what it claims, and what is left for the counts to tell.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import ClassVar, Self

from tracker.progress.changes import MADE_AGAIN, BlockTold, CountChange, Measuring, Refused, count_of
from tracker.progress.counts import Counts
from tracker.progress.ledger import NOTHING, Often, Progress, Recorded, Tap
from tracker.progress.measured_top import border_pairs, is_measured, read_figures
from tracker.progress.missing_steps import leading_to
from tracker.progress.unpicking import comes_apart, moves_of, opened_for, taken_by
from tracker.work.steps import Cut, Step

LONGEST_STRIP = 40

RECKONED = {"reckoned": True}
"""Marks a field that is told by the counts, where the tap itself does not say it."""


@dataclass(frozen=True, kw_only=True)
class WorkTap(Tap):
    """A tap that changes the counts. Where its piles cannot pay it is refused; `waits`: or kept, to be asked about."""

    waits: ClassVar[bool] = False
    can_be_taken_back = True

    @abstractmethod
    def wanted(self, counts: Counts) -> CountChange:
        """What it claims. Raises Refused where it makes no sense."""

    def count_on(self, progress: Progress) -> Recorded:
        wanted = self.wanted(progress.counts)
        if not self.waits or any(times < 0 for _, _, times in wanted.moves):
            progress.counts.must_apply(wanted)
            return Recorded(self, wanted, wanted)
        return Recorded(self, wanted, wanted if progress.counts.apply(wanted) is None else NOTHING)


@dataclass(frozen=True, kw_only=True)
class StepTap(WorkTap):
    """A tap at a step."""

    step: str

    @property
    def steps_named(self) -> tuple[str, ...]:
        return (self.step,)

    def renamed(self, names: Mapping[str, str]) -> Self:
        return replace(self, step=names.get(self.step, self.step))


@dataclass(frozen=True, kw_only=True)
class StepsDone(StepTap, do="done"):
    """A step done: so many times for the common pool, or once for each of some blocks, numbered from 1."""

    times: int | None = None
    blocks: tuple[int, ...] | None = None
    waits = True

    @property
    def worked_at(self) -> str:
        return self.step

    @property
    def work_said(self) -> Often:
        return ((self.step, len(self.blocks) if self.blocks is not None else self.times or 0),)

    def completed(self, counts: Counts) -> StepsDone:
        """Blocks that are not named are the first of those that lie ready."""
        step = counts.known_step(self.step)
        if step.per == "quilt" or self.blocks is not None:
            return self
        times = count_of(self.times)
        chosen = tuple(counts.ready_blocks(step)[:times])
        if len(chosen) < times:
            raise Refused("nothing ready", step=step.id, ready=len(chosen), times=times)
        return replace(self, times=None, blocks=chosen)

    def wanted(self, counts: Counts) -> CountChange:
        return _done(counts, self.step, self.times, self.blocks)


@dataclass(frozen=True, kw_only=True)
class PassDone(WorkTap, do="pass"):
    """Several steps of one pass done, in their order: each so many times for the common pool (then no blocks are
    named), or once for each of some blocks. All of it counts, or nothing."""

    work: tuple[tuple[str, int, tuple[int, ...]], ...]
    waits = True

    @property
    def worked_at(self) -> str | None:
        return self.work[-1][0] if self.work else None

    @property
    def work_said(self) -> Often:
        return tuple((step, len(blocks) or times) for step, times, blocks in self.work)

    @property
    def steps_named(self) -> tuple[str, ...]:
        return tuple(step for step, _, _ in self.work)

    def renamed(self, names: Mapping[str, str]) -> Self:
        return replace(self, work=tuple((names.get(step, step), times, blocks) for step, times, blocks in self.work))

    def wanted(self, counts: Counts) -> CountChange:
        steps = [step for step, _, _ in self.work]
        if not steps or len(set(steps)) < len(steps):
            raise Refused("not a count", count=len(steps))
        changes = (_done(counts, step, times, blocks) for step, times, blocks in self.work)
        return CountChange(tuple(move for change in changes for move in change.moves))


@dataclass(frozen=True, kw_only=True)
class PutBack(StepTap, do="put back"):
    """A seam unpicked, so that its pieces lie on the piles before it again."""

    times: int | None = None
    blocks: tuple[int, ...] | None = None

    def wanted(self, counts: Counts) -> CountChange:
        step = counts.known_step(self.step)
        if not step.kind.unpicked:
            raise Refused("cannot be unpicked", step=step.id)
        return _done(counts, self.step, self.times, self.blocks).undone()


@dataclass(frozen=True, kw_only=True)
class CountedInAll(StepTap, do="counted"):
    """She counted: a step of the pool was done so many times in all, which is so many more (or fewer) than before, and
    perhaps so many more than the plan asks for: those are spares."""

    times: int
    by: int | None = field(default=None, metadata=RECKONED)
    spare: int | None = field(default=None, metadata=RECKONED)
    waits = True

    @property
    def worked_at(self) -> str:
        return self.step

    @property
    def work_said(self) -> Often:
        return ((self.step, self.by or 0),)

    def completed(self, counts: Counts) -> CountedInAll:
        step = counts.known_step(self.step)
        if step.per != "quilt":
            raise Refused("unknown step", step=step.id)
        if self.times < 0:
            raise Refused("not a count", count=self.times)
        if self.times == counts.times_done(step):
            raise Refused("counted so", times=self.times)
        spare = max(self.times - counts.count(step), 0) or None
        return replace(self, by=self.times - counts.times_done(step), spare=spare)

    def wanted(self, counts: Counts) -> CountChange:
        step = counts.known_step(self.step)
        if step.per != "quilt" or not self.by:
            raise Refused("not a count", count=self.by)
        return CountChange(((step.id, 0, self.by),), beyond=bool(self.spare))


@dataclass(frozen=True, kw_only=True)
class StageReached(StepTap, do="stage"):
    """A block has come as far as a step; `steps` are all that lead there, with its share of the pool's."""

    block: int
    steps: Often | None = field(default=None, metadata=RECKONED)
    waits = True

    def completed(self, counts: Counts) -> StageReached:
        step, number = counts.known_step(self.step), counts.known_block(self.block)
        if not counts.is_for(step, number):
            raise Refused("unknown step", step=step.id)
        return replace(self, steps=tuple((step, times) for step, times in leading_to(counts, {}, step, number)))

    def wanted(self, counts: Counts) -> CountChange:
        number, moves = counts.known_block(self.block), []
        for step_id, times in self.steps or ():
            step = counts.known_step(step_id)
            moves.append((step.id, 0 if step.per == "quilt" else number, count_of(times)))
        if not moves:
            raise Refused("already there", block=number)
        return CountChange(tuple(moves))


@dataclass(frozen=True, kw_only=True)
class NotDone(StepTap, do="not done"):
    """Tapped, but not done: blocks that a step was counted for by mistake."""

    blocks: tuple[int, ...]

    def wanted(self, counts: Counts) -> CountChange:
        if counts.known_step(self.step).per == "quilt":
            raise Refused("no such block", block=list(self.blocks))
        return _done(counts, self.step, None, self.blocks).undone()


@dataclass(frozen=True, kw_only=True)
class JoinOpened(StepTap, do="opened"):
    """A seam of a block (0: of the quilt) is unpicked, with all that rests on it."""

    block: int

    def wanted(self, counts: Counts) -> CountChange:
        """The step and every one that was done with what came of it, last first."""
        number = self.block and counts.known_block(self.block)
        step = counts.known_step(self.step)
        its_own = counts.is_for(step, number) if number else step.per == "quilt" and step.of_the_quilt
        if its_own and not step.kind.unpicked:
            raise Refused("cannot be unpicked", step=step.id)
        if not its_own or not counts.times_done(step, number):
            raise Refused("not joined", block=number, step=step.id)
        return CountChange(moves_of(counts, comes_apart(counts, [step], number), number))


@dataclass(frozen=True, kw_only=True)
class SpoiledWithin(StepTap, do="spoiled within"):
    """Pieces of a common pile are spoiled that lie in a block (0: in the quilt) already; `step` sewed or laid them.
    `undone` is what is opened for it."""

    pile: str
    times: int
    block: int
    undone: Often | None = field(default=None, metadata=RECKONED)

    def completed(self, counts: Counts) -> SpoiledWithin:
        step, times = counts.known_step(self.step), count_of(self.times)
        if step.per != "quilt" and not counts.is_for(step, counts.known_block(self.block)):
            raise Refused("no such block", block=self.block)
        if self.block and step.per == "quilt":
            raise Refused("no such block", block=self.block)
        return replace(self, undone=opened_for(counts, step, self.pile, times, self.block))

    def wanted(self, counts: Counts) -> CountChange:
        if self.pile not in counts.checklist.piles:
            raise Refused("unknown pile", pile=self.pile)
        return CountChange(_undone(counts, self.undone, self.block), ((self.pile, count_of(self.times)),))


@dataclass(frozen=True, kw_only=True)
class BlockSpoiled(WorkTap, do="block spoiled"):
    """A block is given up, to be made anew: its steps are undone, and all that was taken for it is lost."""

    block: int
    undone: Often | None = field(default=None, metadata=RECKONED)
    lost: Often | None = field(default=None, metadata=RECKONED)

    def completed(self, counts: Counts) -> BlockSpoiled:
        number = counts.known_block(self.block)
        steps = counts.block_steps(counts.block_keys[number], number)
        undone = comes_apart(counts, [step for step in steps if counts.times_done(step, number)], number)
        lost: dict[str, int] = {}
        for pile, times in taken_by(counts, undone):
            lost[pile] = lost.get(pile, 0) + times
        return replace(self, undone=undone, lost=tuple(lost.items()))

    def wanted(self, counts: Counts) -> CountChange:
        number = counts.known_block(self.block)
        if not self.undone:
            raise Refused("not begun", block=number)
        if unknown := [pile for pile, _ in self.lost or () if pile not in counts.checklist.piles]:
            raise Refused("unknown pile", pile=unknown[0])
        lost = tuple((pile, count_of(times)) for pile, times in self.lost or ())
        told = ((BlockTold(number, self.id, MADE_AGAIN), True),)
        return CountChange(_undone(counts, self.undone, number), lost, told=told)


@dataclass(frozen=True, kw_only=True)
class TopMeasured(StepTap, do="measured"):
    """What the top measures for a border: 1 to 5 lengths from edge to edge, as typed."""

    lengths: tuple[str, ...]

    def wanted(self, counts: Counts) -> CountChange:
        return CountChange(measured=((measuring_of(counts, self.step, self.id, self.lengths), True),))


@dataclass(frozen=True, kw_only=True)
class Spoiled(WorkTap, do="spoiled"):
    """Pieces of the common pool are lost."""

    pile: str
    times: int

    def wanted(self, counts: Counts) -> CountChange:
        known = counts.checklist.piles.get(self.pile)
        if known is None or known.block is not None:
            raise Refused("unknown pile", pile=self.pile)
        if known.id in counts.with_blocks:
            raise Refused("blocks in it", pile=known.id)
        return CountChange((), ((known.id, count_of(self.times)),))


@dataclass(frozen=True, kw_only=True)
class StripCut(WorkTap, do="strip"):
    """A strip ticked off, with the pieces that were not counted before. Steps that are no longer on the route count
    nothing: the strip is cut all the same."""

    cloth: str
    strip: str
    steps: Often | None = None

    @property
    def work_said(self) -> Often:
        return self.steps or ()

    def wanted(self, counts: Counts) -> CountChange:
        if self.cloth not in counts.plan.fabrics or not 0 < len(self.strip) <= LONGEST_STRIP:
            raise Refused("unknown strip", cloth=self.cloth)
        if (self.cloth, self.strip) in counts.ticked:
            raise Refused("strip is cut", cloth=self.cloth)
        cuts = {step.id for step in counts.checklist.steps if isinstance(step.action, Cut)}
        moves = [(step_id, 0, count_of(times)) for step_id, times in self.steps or () if step_id in cuts]
        return CountChange(tuple(moves), (), ((self.cloth, self.strip, 1),))


# What several kinds need


def _done(counts: Counts, step_id: str, times: int | None, blocks: tuple[int, ...] | None) -> CountChange:
    """A step done for the pool or for blocks. Raises Refused."""
    step = counts.known_step(step_id)
    if step.per == "quilt":
        return CountChange(((step.id, 0, count_of(times)),))
    return CountChange(tuple((step.id, number, 1) for number in _blocks(counts, step, blocks or ())))


def _blocks(counts: Counts, step: Step, blocks: tuple[int, ...]) -> tuple[int, ...]:
    if not blocks or len(set(blocks)) != len(blocks):
        raise Refused("no such block", block=list(blocks))
    for number in blocks:
        if not counts.is_for(step, counts.known_block(number)):
            raise Refused("no such block", block=number)
    return blocks


def _undone(counts: Counts, undone: Often | None, block: int) -> tuple[tuple[str, int, int], ...]:
    """Steps undone as they are counted. Raises Refused."""
    return moves_of(counts, tuple((step, count_of(times)) for step, times in undone or ()), block)


def measuring_of(counts: Counts, step_id: str, tap_id: str, lengths: tuple[str, ...]) -> Measuring:
    """What was measured for a step. Raises Refused."""
    step = counts.known_step(step_id)
    if not is_measured(step):
        raise Refused("not measured", step=step.id)
    pair = next(pair for pair in border_pairs(counts.plan, counts.checklist) if pair.step.id == step.id)
    return Measuring(step.id, tap_id, read_figures(lengths, pair.planned, counts.plan.unit).typed)
