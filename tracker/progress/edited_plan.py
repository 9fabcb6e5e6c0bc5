"""A plan edited midway: what of the work is kept under the new plan, what is new, what no longer fits. Pure."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Container, Iterable, Mapping
from dataclasses import astuple, dataclass, replace
from typing import Any

from tracker.plan.model import KEPT_FROM, Plan
from tracker.progress.block_taps import laid_before
from tracker.progress.changes import GIVEN, CountChange, Measuring, Refused
from tracker.progress.counts import Counts
from tracker.progress.ledger import Progress, Tap
from tracker.progress.missing_steps import leading_to
from tracker.progress.set_aside import Aside, aside_from, bring_back, payable
from tracker.progress.tap_kinds import CarriedOver, read_tap
from tracker.route.compiler import compile_plan
from tracker.work.steps import Checklist, Cut, LayOut, Press, PressSeams, Step, Trim
from tracker.work.things import Stage

NOTHING_ASIDE = Aside()


@dataclass(frozen=True)
class KeptWork:
    """One step's work: how often it was done, and how often of that counts under the new plan."""

    step: Step
    done: int
    kept: int


@dataclass(frozen=True)
class Carried:
    """What becomes of the work. `kept` are steps whose work counts on, in whole or part; `lost` those of which some
    or all no longer fits; `new` steps that the former plan did not have. `unmeasured` are steps whose figures no longer
    fit. `counts` is the state under the new plan, `former` that under the former one; `aside` is what does not fit now,
    and comes back with a plan that it fits."""

    kept: tuple[KeptWork, ...]
    lost: tuple[KeptWork, ...]
    new: tuple[Step, ...]
    counts: Counts
    former: Counts
    unmeasured: tuple[Step, ...] = ()
    aside: Aside = NOTHING_ASIDE

    @property
    def unlaid(self) -> bool:
        """Whether blocks had changed places and cannot lie so any more: they lie by their numbers again."""
        by_number = tuple(range(1, len(self.former.places) + 1))
        return self.former.places not in (by_number, self.counts.places)

    def tap(self, tap_id: str, at: str | None = None) -> CarriedOver:
        """The tap that records the new beginning."""
        return CarriedOver(
            id=tap_id,
            at=at,
            counts=tuple((step, block, times) for (step, block), times in self.counts.done.items() if times),
            lost=tuple((pile, times) for pile, times in self.counts.lost.items() if times),
            strips=tuple(self.counts.ticked),
            measured=tuple(self.counts.told.measured().items()) or None,
            told=tuple(astuple(each) for each in self.counts.told.of_all()) or None,
            laid=self.counts.places if self.counts.places != tuple(self.counts.block_keys) else None,
            aside=self.aside.work or None,
            strips_aside=self.aside.strips or None,
            measured_aside=self.aside.measured or None,
        )


def carry_over(
    former: Counts, fresh: Counts, strips: Container[tuple[str, str]] = (), before: Aside = NOTHING_ASIDE
) -> Carried:
    """Bring the work of `former` into `fresh` (nothing done yet, another plan), as far as what was made is the same.

    A step is the same where what it makes is, in the same size; blocks keep their numbers where their kind is the
    same. Pieces that lie finished and still fit count with the steps that now lead to them. Piles decide: what they
    cannot pay for under the new plan is not kept. With another unit of length or another seam nothing is. `strips` are
    those of the new plan (cloth and name): ticks stay on those that were cut already. `before` is what earlier edits
    set aside: it comes back where it fits again.
    """
    if (former.plan.unit, former.plan.seam) == (fresh.plan.unit, fresh.plan.seam):
        _bring_all(former, fresh, strips)
    bring_back(before, fresh, strips)
    fresh.forgive_losses()
    heirs = _heirs(former, fresh)
    done = [step for step in former.steps.values() if former.times_done(step)]
    kept = [KeptWork(s, former.times_done(s), _kept(former, fresh, s, heirs.get(s.id, []))) for s in done]
    return Carried(
        tuple(each for each in kept if each.kept),
        tuple(each for each in kept if each.kept < each.done),
        tuple(step for step_id, step in fresh.steps.items() if step_id not in former.steps),
        fresh,
        former,
        tuple(former.steps[step] for step in former.told.measured() if step not in fresh.told.measured()),
        # By other rules of the same plan what no longer fits is told, and its file kept; it never fits again.
        aside_from(former, before, fresh, () if _by_other_rules(former, fresh) else done),
    )


def _bring_all(former: Counts, fresh: Counts, strips: Container[tuple[str, str]]) -> None:
    """What was made, lost, ticked off, measured and told, as far as it fits."""
    lost = ((pile, times) for pile, times in former.lost.items() if times and pile in fresh.checklist.piles)
    fresh.bring(CountChange(lost=tuple(lost)))
    if [*map(len, former.plan.quilt.places)] == [*map(len, fresh.plan.quilt.places)]:
        fresh.bring(CountChange(laid=laid_before(former.places, fresh)))
    heirs = _heirs(former, fresh)
    for step in former.steps.values():
        _bring(former, fresh, step, spares=step.id not in heirs)
    # Blocks first, last step first: they take units that otherwise would lie there.
    for step in reversed(former.steps.values()):
        _bring_blocks(former, fresh, step)
    for step in reversed(former.steps.values()):
        _bring_quilt(former, fresh, step)
    for step in former.steps.values():
        _bring_units(former, fresh, step)
    for step in former.steps.values():
        _bring_cut(former, fresh, step, heirs.get(step.id, []))
    fresh.bring(CountChange(strips=tuple((*each, 1) for each in former.ticked if each in strips)))
    _bring_figures(former, fresh)
    _bring_told(former, fresh)


def _by_other_rules(former: Counts, fresh: Counts) -> bool:
    """Whether the former plan was compiled by rules that no quilt keeps, under which an id meant something else."""
    return former.plan.reckoning != fresh.plan.reckoning and former.plan.reckoning < KEPT_FROM


def _bring_told(former: Counts, fresh: Counts) -> None:
    """What was told of blocks that are of the same kind and planned the same size, whatever they are squared to; and
    whose each block is."""
    same = {
        number
        for number, key in fresh.block_keys.items()
        if former.block_keys.get(number) == key
        and former.plan.blocks[key].inner_finished == fresh.plan.blocks[key].inner_finished
    }
    kept = (each for each in former.told.of_all() if each.block in (fresh.block_keys if each.what == GIVEN else same))
    fresh.bring(CountChange(told=tuple((each, True) for each in kept)))


def _bring_figures(former: Counts, fresh: Counts) -> None:
    """What was measured for steps that are the same."""
    for step_id, lengths in former.told.measured().items():
        if step_id in fresh.steps and _same_size(former, fresh, former.steps[step_id]):
            fresh.bring(CountChange(measured=((Measuring(step_id, "", lengths), True),)))


def _kept(former: Counts, fresh: Counts, step: Step, heirs: list[Step]) -> int:
    """How often of what was done a step's work counts on. By other rules of the same plan it is only lost where what
    it made lies there still and is nothing now; a trim, or a layout, that is no more was none."""
    same, done = _same(fresh, step), former.times_done(step)
    kept = min(done, sum(fresh.times_done(each) for each in (same, *heirs) if each is not None))
    if kept == done or not _by_other_rules(former, fresh):
        return kept
    if same is None and isinstance(step.action, Trim | LayOut):
        return done
    lacking = [-(-_lacking(former, fresh, flow.pile, heirs) // flow.each) for flow in step.gives]
    return max(kept, done - max([0, *lacking]))


def _lacking(former: Counts, fresh: Counts, pile: str, heirs: Iterable[Step] = ()) -> int:
    """How many fewer pieces lie on a pile under the new plan, those counted that serve in their stead."""
    piles = {_same_id(pile, fresh.checklist.piles), *(flow.pile for heir in heirs for flow in heir.gives)}
    return former.on_pile(pile) - sum(fresh.on_pile(each) for each in piles if each in fresh.checklist.piles)


def _same(fresh: Counts, step: Step) -> Step | None:
    """A step under the new plan; where two hands share one pile now, that of both."""
    return fresh.steps.get(_same_id(step.id, fresh.steps))


def _same_id(known: str, there: Container[str]) -> str:
    return known if known in there else _HAND.sub(":", known, count=1)


_HAND = re.compile(":[AB]:")
"""Where an id of a pile or step tells hands apart."""


def _same_size(former: Counts, fresh: Counts, step: Step) -> bool:
    """Whether what a step gives is the same under both plans; also where it was reckoned otherwise but is the same."""
    theirs = fresh.checklist.piles
    piles = [(flow.pile, theirs.get(_same_id(flow.pile, theirs))) for flow in step.gives]
    by_other_rules = _by_other_rules(former, fresh)
    return all(
        pile is not None and (by_other_rules or pile.size == former.checklist.piles[pile_id].size)
        for pile_id, pile in piles
    )


def _heirs(former: Counts, fresh: Counts) -> dict[str, list[Step]]:
    """For steps that cut pieces: those that cut what now goes where they went, by other rules of the same plan."""
    found: dict[str, list[Step]] = {}
    if not _by_other_rules(former, fresh):
        return found
    cutting = [{flow.pile: step for step in counts.steps.values() if isinstance(step.action, Cut)
                for flow in step.gives} for counts in (former, fresh)]  # fmt: skip
    for step in former.steps.values():
        same = _same(fresh, step)
        before = [flow.pile for flow in step.takes if flow.pile in cutting[0]]
        now = [] if same is None else [flow.pile for flow in same.takes if flow.pile in cutting[1]]
        for pile in before:
            if pile not in now:
                heirs = found.setdefault(cutting[0][pile].id, [])
                heirs += [cutting[1][each] for each in now if each not in before and cutting[1][each] not in heirs]
    return found


def _bring_cut(former: Counts, fresh: Counts, step: Step, heirs: list[Step]) -> None:
    """Pieces that are cut and lie there, larger or shorter than they would be now, with those that they serve as."""
    for heir in heirs:
        (old,) = step.gives
        lying = _lacking(former, fresh, old.pile, heirs)
        times = min(lying, fresh.left(heir))
        if times > 0:
            fresh.bring(CountChange(((heir.id, 0, times),)))


def _bring_blocks(former: Counts, fresh: Counts, step: Step) -> None:
    """Blocks that have come so far, though their units were cut in another way, with the steps that lead there now."""
    same = fresh.steps.get(step.id)
    if step.per == "quilt" or same is None or not _same_size(former, fresh, step):
        return
    for number in fresh.blocks_of(same):
        if former.times_done(step, number) and not fresh.times_done(same, number):
            _lead_to(fresh, {}, same, number)


def _bring_quilt(former: Counts, fresh: Counts, step: Step) -> None:
    """Rows, the top and its borders as far as they have come, though their strips were cut in another way."""
    same = fresh.steps.get(step.id)
    if not step.of_the_quilt or step.per != "quilt" or same is None or not _same_size(former, fresh, step):
        return
    missing = former.times_done(step) - fresh.times_done(same)
    if missing > 0:
        _lead_to(fresh, {flow.pile: missing * flow.each for flow in same.gives}, None, 0)


def _bring_units(former: Counts, fresh: Counts, step: Step) -> None:
    """Finished units that lie there, in the same way. Of what comes several at a time only as many as come together: no
    more than lie there."""
    last = step.operation == "trim" or former.checklist.made(step).stage is Stage.CUT_ACROSS
    if step.per != "quilt" or not last or not _same_size(former, fresh, step):
        return
    for flow in step.gives:
        pile, lacking = _same_id(flow.pile, fresh.checklist.piles), _lacking(former, fresh, flow.pile)
        same = _same(fresh, step)
        together = 1 if same is None or step.operation == "trim" else same.gives[0].each
        if lacking >= together:
            _lead_to(fresh, {pile: lacking - lacking % together}, None, 0)


def _lead_to(fresh: Counts, pieces: dict[str, int], last: Step | None, number: int) -> None:
    steps = leading_to(fresh, pieces, last, number)
    per = {step_id: fresh.steps[step_id].per for step_id, _ in steps}
    moves = tuple((step_id, 0 if per[step_id] == "quilt" else number, times) for step_id, times in steps)
    if moves:
        # Where the new plan wants fewer there is nothing to count them with: they are told as lost.
        fresh.apply(CountChange(moves))


def _bring(former: Counts, fresh: Counts, step: Step, spares: bool) -> None:
    """Do one step under the new plan as often as it was done, where it is the same and its piles pay. `spares`: pieces
    beyond what the new plan asks for stay; else they are for what serves in their stead."""
    same = _same(fresh, step)
    if same is None or same.per != step.per or not _same_size(former, fresh, step):
        return
    if step.per == "quilt":
        # Pieces beyond what the new plan asks for are spares; nothing of the whole quilt is.
        most = payable(fresh, same) if spares and not same.of_the_quilt else fresh.affordable(same)
        kept = min(_as_often(step, former.times_done(step), same), most)
        moves = [(same.id, 0, kept)] if kept > 0 else []
    else:
        moves = [(same.id, n, 1) for n in fresh.ready_blocks(same) if former.times_done(step, n)]
    fresh.bring(CountChange(tuple(moves)))


def _as_often(step: Step, times: int, same: Step) -> int:
    """How often a step counts as done that gives more, or fewer, than it gave before: never for more than there is."""
    if len(step.gives) != len(same.gives):
        return times
    return min([times, *(times * old.each // new.each for old, new in zip(step.gives, same.gives, strict=True))])


def as_reckoned_before(plan: Plan, reckoning: int, taps: Iterable[Mapping[str, Any]]) -> Progress:
    """The work of a quilt that was begun under an earlier reckoning, as it stood by that. In: the plan as it is
    reckoned today, the earlier number, all taps as they are stored.
    """
    former_plan = replace(plan, reckoning=reckoning)
    progress = Progress(former_plan, compile_plan(former_plan))
    for tap in taps:
        with contextlib.suppress(Refused):  # of a plan that has been edited since
            progress.record(read_tap(tap))
    return progress


def asked_again(former: Progress, fresh: Progress) -> tuple[list[Tap], list[Tap]]:
    """The taps that are asked about: those to be asked about again, as new ones, and those that are asked no more,
    since their step is no more or could be done by now."""
    heirs, trial = _heirs(former.counts, fresh.counts), fresh.copy()
    again: list[Tap] = []
    no_more: list[Tap] = []
    for tap in former.unsettled():
        names = {step: _same_id(step, fresh.counts.steps) for step in tap.steps_named}
        for step, name in names.items():
            if name not in fresh.counts.steps and len(heirs.get(name, ())) == 1:
                names[step] = heirs[name][0].id
        new = replace(tap.renamed(names), id=f"{tap.id}-again")
        try:
            trial.record(new)
        except Refused:
            no_more.append(tap)
            continue
        if trial.counts_still(new.id):
            trial.take_back(new.id)  # it will not be counted: what is asked after it must not rest on it
            no_more.append(tap)
        else:
            again.append(new)
    return again, no_more


def counts_alike(former: Checklist, fresh: Checklist) -> bool:
    """Whether taps mean the same under two reckonings of a plan."""
    return _flows(former) == _flows(fresh)


def pressed_otherwise(former: Counts, fresh: Checklist) -> tuple[Step, ...]:
    """Steps begun whose seams are pressed to other sides now."""
    there = {step.id: step for step in fresh.steps}
    return tuple(
        step
        for step in former.steps.values()
        if isinstance(step.action, Press | PressSeams) and step.id in there
        if there[step.id].action != step.action and former.times_done(step)
    )


def _flows(checklist: Checklist) -> dict[str, tuple[object, ...]]:
    """What counting rests on: for each step what it takes and gives and for which blocks, and the sizes of piles."""
    steps = {step.id: (step.takes, step.gives, step.per, step.blocks, step.beside) for step in checklist.steps}
    return steps | {pile.id: (pile.size, pile.block) for pile in checklist.piles.values()}
