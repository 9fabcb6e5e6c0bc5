"""Sample first, then batches: which blocks are in work now, and what that leaves to do at each station. Pure.

What is offered follows the order of the work: patches and units of the whole quilt once the sample is sewn, blocks a
row of the quilt at a time; what only the quilt needs when its turn has come, never before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import dropwhile, pairwise

from tracker.progress.counts import Counts, for_steps
from tracker.progress.ledger import Progress
from tracker.route.passes import Pass, passes
from tracker.route.working_order import BLOCKS, CUTTING, QUILT, UNITS, Section, cut_to_fit, sections
from tracker.units.times_needed import times_needed
from tracker.work.operations import STATIONS
from tracker.work.steps import Step
from tracker.work.whole_blocks import MeasureBlock, SetBlock


@dataclass(frozen=True)
class Pace:
    """How she works: one sample block first or not, and how many blocks at a time, their units too. None: about a row
    of the quilt at a time, and the whole quilt's units before the first."""

    sample_first: bool = True
    batch: int | None = None


@dataclass(frozen=True)
class Work:
    """A step that can be done now: `now` times for the blocks in work, `ready` with all that lies there."""

    step: Step
    now: int
    ready: int


@dataclass(frozen=True)
class WaitingStep:
    """A step of the blocks in work that waits: for what pile, how many pieces short of going on."""

    step: Step
    left: int
    pile: str
    short: int


FAR = 1_000_000
"""Of a step that brings no block to its end: how far it is from there."""

FEW = 4
"""So many blocks at a time are no more than can be kept apart in stacks: practised piecers work at three or four."""


def batches(rows: Sequence[Sequence[int]], pace: Pace, samples: Sequence[int] = (1,)) -> list[list[int]]:
    """Block numbers, given row by row of the quilt, in the order of work: the samples, then batch by batch.

    A row of the quilt is a batch; where rows are shorter than three blocks, or a sample leaves one so short, all that
    is left is shared out as evenly as can be, so that no batch is one block or two that could be three or four.
    """
    numbers = [number for row in rows for number in row]
    sample = [number for number in numbers if number in samples] if pace.sample_first else []
    rest = [number for number in numbers if number not in sample]
    left = [[number for number in row if number not in sample] for row in rows]
    if pace.batch is not None:
        stacks = [rest[i : i + pace.batch] for i in range(0, len(rest), pace.batch)]
    elif all(len(row) >= FEW - 1 for row in left):
        stacks = left
    else:
        stacks = _shared_out(rest, max(FEW, *map(len, rows)))
    return [each for each in (sample, *stacks) if each]


def _shared_out(numbers: Sequence[int], most: int) -> list[list[int]]:
    """Numbers in order, in as few stacks of up to `most` as can be, the larger first."""
    count = max(1, -(-len(numbers) // most))
    ends = [-(-len(numbers) * end // count) for end in range(count + 1)]
    return [list(numbers[start:end]) for start, end in pairwise(ends)]


@for_steps
def samples_of(counts: Counts) -> list[int]:
    """The blocks that are sewn and measured before anything more is cut: the first of each kind that is sewn from
    pieces and comes again; where none comes again, the first."""
    sewn = {step.per for step in counts.checklist.steps if isinstance(step.action, MeasureBlock)}
    numbers: dict[str, list[int]] = {}
    for number, key in counts.block_keys.items():
        numbers.setdefault(key, []).append(number)
    return [own[0] for key, own in numbers.items() if key in sewn and len(own) > 1] or [1]


def rows_of_blocks(counts: Counts) -> list[list[int]]:
    """The numbers of the blocks, row by row of the quilt."""
    numbers = iter(counts.block_keys)
    return [[next(numbers) for _ in row] for row in counts.checklist.pressing.places]


@for_steps
def turns(counts: Counts) -> dict[str, int]:
    """When the turn of each step comes, by its id: 0 up to the last block, then one after another what the quilt needs:
    its rows, each pair of border strips, layers, binding."""
    stands = _sections(counts).items()
    return {step: 1 + section.number if section.part == QUILT else 0 for step, section in stands}


@for_steps
def _sections(counts: Counts) -> dict[str, Section]:
    return sections(counts.checklist)


@for_steps
def to_the_end(counts: Counts) -> dict[str, int]:
    """How many steps bring a block to its end after the pass of each step of blocks, by its id; nothing for others."""
    found, after = dict[str, int](), dict[str, int]()
    for each in dict.fromkeys(reversed(passes_of(counts).values())):
        if each.section.part != BLOCKS:
            continue
        found |= {step.id: after.get(step.per, 0) for step in each.steps}
        for step in each.steps:
            after[step.per] = after.get(step.per, 0) + 1
    return found


@for_steps
def passes_of(counts: Counts) -> dict[str, Pass]:
    """The pass that each step there is to do is done in, by its id, in the order of the work."""
    found = (
        replace(each, steps=tuple(step for step in each.steps if step.id in counts.steps))
        for each in passes(counts.checklist, spare=True)
    )
    return {step.id: each for each in found for step in each.steps}


def in_work(counts: Counts, pace: Pace) -> list[int]:
    """The blocks of the first batch that is not finished; all blocks before it are. Empty when all blocks are."""
    return counts.once(("in work", pace), lambda: next(iter(_to_come(counts, pace)), []))


def is_sample(counts: Counts, pace: Pace, batch: Sequence[int]) -> bool:
    """Whether these blocks are the sample, sewn before anything is cut for others."""
    return pace.sample_first and list(batch) == samples_of(counts) and len(counts.block_keys) > 1


def _to_come(counts: Counts, pace: Pace) -> list[list[int]]:
    """The batch in work and all that come after it."""
    last = [step for step in counts.last_steps().values() if counts.times_done(step)]
    finished = {n for step in last for n in counts.blocks_of(step) if counts.times_done(step, n)}
    return list(dropwhile(finished.issuperset, _batches(counts, pace)))


@for_steps
def _batches(counts: Counts, pace: Pace) -> list[list[int]]:
    return batches(rows_of_blocks(counts), pace, samples_of(counts))


def coming(counts: Counts, pace: Pace, most: int) -> list[tuple[list[int], dict[str, int]]]:
    """The batch in work and those after it, `most` in all, each with how often steps are to be done up to its end, as
    `targets` says it when its turn has come."""
    return [(batch, _targets_of(counts, pace, batch)) for batch in _to_come(counts, pace)[:most]]


def targets(counts: Counts, pace: Pace) -> dict[str, int]:
    """How often each step is to be done for every block up to the end of the batch in work, losses included: until the
    blocks are in their places, and with the last of them until the quilt is done. Patches and units, where it is the
    quilt's rows that make the batches, for the whole quilt once the sample is sewn; frame strips that are cut to fit a
    block not before one measures."""
    return counts.once(("targets", pace), lambda: _targets_now(counts, pace))


def _targets_now(counts: Counts, pace: Pace) -> dict[str, int]:
    found = _made_again(counts, _targets_of(counts, pace, in_work(counts, pace)))
    too_early = {step for step, measures in to_fit(counts).items() if not any(map(counts.times_done, measures))}
    return {step: 0 if step in too_early else times for step, times in found.items()}


@for_steps
def to_fit(counts: Counts) -> dict[str, tuple[Step, ...]]:
    """The steps that measure the blocks which frame strips are cut to fit, by the ids of the steps that cut these."""
    return cut_to_fit(counts.checklist.steps)


def _made_again(counts: Counts, found: dict[str, int]) -> dict[str, int]:
    """What is made again for pieces lost is asked for at once where all that was planned of it is done, whatever the
    blocks in work have: else it is made with the rest."""
    if not any(counts.lost.values()):
        return found
    again = {
        step.id: counts.count(step)
        for step in counts.steps.values()
        if step.count <= counts.times_done(step) and counts.left(step)
    }
    return {step: max(found.get(step, 0), again.get(step, 0)) for step in {**found, **again}}


def _targets_of(counts: Counts, pace: Pace, batch: list[int]) -> dict[str, int]:
    return counts.once(("targets of", pace, *batch), lambda: _targets(counts, pace, batch))


def _targets(counts: Counts, pace: Pace, current: list[int]) -> dict[str, int]:
    order = _batches(counts, pace)
    if not current or current == order[-1]:
        return _wanted(counts, counts.wanted_at_the_end())
    begun = order[: order.index(current) + 1]
    blocks = frozenset(number for batch in begun for number in batch)
    found = _wanted(counts, _in_place(counts, blocks))
    if pace.batch is not None or (pace.sample_first and len(begun) == 1):
        return found
    whole = _wanted(counts, counts.wanted_at_the_end())
    return counts.once_for_steps(("units first", blocks), lambda: _units_first(counts, whole, found))


def _units_first(counts: Counts, whole: dict[str, int], part: dict[str, int]) -> dict[str, int]:
    """How often each step is to be done for patches and units of the whole quilt, and the rest of a part of it."""
    stands, early = _sections(counts), (CUTTING, UNITS)
    units = {step: times for step, times in whole.items() if stands[step].part in early}
    return units | {step: times for step, times in part.items() if stands[step].part not in early}


def _wanted(counts: Counts, piles: dict[str, int]) -> dict[str, int]:
    """How often each step is to be done for these piles to be there, and what is lost to be made again."""
    needed = Counter(piles)
    needed.update({pile: times for pile, times in counts.lost.items() if times})
    return _times(counts, tuple(needed.items()))


@for_steps
def _times(counts: Counts, needed: tuple[tuple[str, int], ...]) -> dict[str, int]:
    """How often each step is to be done for what is needed at the end, as far as it is to be done at all."""
    wanted = times_needed(counts.checklist.steps, dict(needed))
    return {step_id: min(times, counts.count(counts.steps[step_id])) for step_id, times in wanted.items() if times}


@for_steps
def _in_place(counts: Counts, blocks: frozenset[int]) -> dict[str, int]:
    """Piles of blocks that lie in their places when these blocks do, and how many on each."""
    setting = [step for step in counts.checklist.steps if isinstance(step.action, SetBlock)]
    ends = {step.gives[0].pile: step for step in setting} or counts.last_steps()
    return {pile: len(blocks.intersection(counts.blocks_of(step))) for pile, step in ends.items()}


def now_at(counts: Counts, pace: Pace) -> list[Work]:
    """What can be done now for the blocks in work, in order."""
    return counts.once(("works", pace), lambda: _works(counts, pace))


def _works(counts: Counts, pace: Pace) -> list[Work]:
    """Of what can be done only what comes first: nothing that the quilt needs later."""
    found, turn = [], turns(counts)
    for step_id, target in targets(counts, pace).items():
        step = counts.steps[step_id]
        ready = counts.ready(step)
        now = min(ready, target - counts.times_done(step))
        if now > 0:
            found.append(Work(step, now, ready))
    nearest = min((turn[work.step.id] for work in found), default=0)
    order = _places(counts)
    mine = [work for work in found if turn[work.step.id] == nearest]
    return sorted(mine, key=lambda work: order[work.step.id])


@for_steps
def _places(counts: Counts) -> dict[str, int]:
    return {step: place for place, step in enumerate(counts.steps)}


def waiting_at(counts: Counts, pace: Pace, station: str | None = None) -> list[WaitingStep]:
    """What has to wait at a station, and for what: the first pile that is short for each step."""
    found, order = [], _places(counts)
    for step_id, target in targets(counts, pace).items():
        step = counts.steps[step_id]
        left = target - counts.times_done(step)
        if left > 0 and station in (None, step.station) and not counts.ready(step):
            for pile, short in counts.waits_for(step)[:1]:
                found.append(WaitingStep(step, left, pile, short))
    return sorted(found, key=lambda wait: order[wait.step.id])


def sample_just_finished(progress: Progress, pace: Pace) -> Step | None:
    """The last step of the sample, from when it is done until anything else is begun; None at any other time, and where
    no sample is sewn first."""
    counts, samples = progress.counts, samples_of(progress.counts)
    if not is_sample(counts, pace, samples) or counts.blocks_finished() != len(samples):
        return None
    done = counts.steps.get(progress.last_step_id() or "")
    mine = done is not None and done in counts.last_steps().values()
    return done if mine and all(counts.is_finished(number) for number in samples) else None


def carry_on(progress: Progress, pace: Pace) -> Step | None:
    """The step to go on with: the last one while the batch has work for it, then one of its pass, then one at the same
    station (a batch before a walk; but blocks laid out are sewn before one is laid in its row), then what brings a
    block nearest to its end, then the first that is ready; when the batch has nothing ready, whatever lies ready.

    After a step of a block that holds at its station too: there the block that has come farthest stays the first,
    before other blocks and units, so that nobody loses her place between them."""
    counts, works = progress.counts, now_at(progress.counts, pace)
    last = counts.steps.get(progress.last_step_id() or "")
    if last is None or not works:
        return works[0].step if works else progress.next_step()
    together, left = passes_of(counts), to_the_end(counts)

    def leads_away(step: Step) -> tuple[bool, bool, bool, int]:
        here = step.station == last.station and isinstance(step.action, SetBlock) <= isinstance(last.action, SetBlock)
        far = 0 if here and last.per == "quilt" else left.get(step.id, FAR)
        return step != last, together[step.id] != together[last.id], not here, far

    return min((work.step for work in works), key=leads_away)  # the first of equals


def by_station(counts: Counts, pace: Pace) -> dict[str, list[Work]]:
    """What can be done now, for each station in turn."""
    works = now_at(counts, pace)
    return {station: [work for work in works if work.step.station == station] for station in STATIONS}
