"""The order of the work, as piecers keep it; list, paper, numbers of steps and what is offered next follow it.

Patches and frame strips cloth by cloth, of a cloth last the strips that are cut to the length of a block: not before
the first of it measures; units of one size together whatever their kinds and cloths; blocks, kind by
kind; rows of the quilt; one border after another; backing and layers; binding. What is made for the quilt alone
(sashes, setting triangles, border strips, backing, binding) stands with the work that first needs it. Within each of
these, what can be done standing at one station is done before walking to another, one kind of work after the other;
nobody walks to a station for work of which more will come there without it. Pure.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import groupby
from typing import TypeVar

from tracker.exact.geometry import ZERO
from tracker.exact.measure import Measure
from tracker.quilt.cloth_cutting import BLOCK_USES
from tracker.work.steps import About, AddStrips, Checklist, Cut, Pile, Size, Step
from tracker.work.whole_blocks import AddBorder, Bind, Layer, MeasureBlock, SetBlock

Named = TypeVar("Named", bound=Hashable)

CUTTING, UNITS, BLOCKS, PLACES, QUILT = range(5)
"""The parts of the work: patches, units, blocks, blocks laid in their places, the quilt."""


@dataclass(frozen=True, order=True)
class Section:
    """Steps that stand together in the order: a `part` of the work, and which of that part, from 0 (a cloth, a size of
    unit, a kind of block, a row of blocks; of the quilt: rows, each pair of border strips, layers, binding)."""

    part: int
    number: int = 0


def cut_to_fit(steps: Iterable[Step]) -> dict[str, tuple[Step, ...]]:
    """Frame strips that are cut to the length of their block, with nothing to trim, by the ids of the steps that cut
    them: the steps that measure such blocks. None is cut before one of these is done."""
    measures: dict[str, list[Step]] = {}
    cuts: dict[str, Step] = {}
    fitted: dict[str, dict[str, None]] = {}
    for step in steps:
        if isinstance(step.action, MeasureBlock):
            measures.setdefault(step.per, []).append(step)
        elif isinstance(step.action, Cut) and step.action.use == "frame":
            cuts[step.gives[0].pile] = step
        elif isinstance(step.action, AddStrips) and not step.of_the_quilt and not step.action.beyond:
            fitted.setdefault(step.action.strip, {})[step.per] = None
    found = {cuts[pile].id: [step for key in own for step in measures.get(key, ())] for pile, own in fitted.items()}
    return {cut: tuple(own) for cut, own in found.items() if own}


class _Work:
    """Steps by what they make and take, and the section of each. `steps` stand as written, makers before takers."""

    def __init__(self, piles: Mapping[str, Pile], steps: Sequence[Step]) -> None:
        self.piles, self.steps = piles, steps
        self.makers: dict[str, list[Step]] = {}
        self.takers: dict[str, list[Step]] = {}
        for step in steps:
            for flow in step.gives:
                self.makers.setdefault(flow.pile, []).append(step)
            for flow in step.takes:
                self.takers.setdefault(flow.pile, []).append(step)
        self.to_fit = cut_to_fit(steps)
        self.sections = self._sections(self._parts())

    def before(self, step: Step) -> list[Step]:
        """The steps that make what a step takes, and what must lie beside it."""
        piles = [flow.pile for flow in step.takes] + ([step.beside] if step.beside else [])
        return [maker for pile in piles for maker in self.makers.get(pile, ())]

    def _parts(self) -> dict[str, int]:
        """The part of the work of each step; none for what is made to serve a later step."""
        found: dict[str, int] = {}
        with_blocks: set[str] = set()
        for step in self.steps:
            if isinstance(step.action, SetBlock):
                found[step.id] = PLACES
            elif any(flow.pile in with_blocks for flow in step.takes):
                found[step.id] = QUILT
            elif step.topic.about is About.BLOCK:
                found[step.id] = BLOCKS
            elif step.topic.about is About.UNIT:
                found[step.id] = UNITS
            elif isinstance(step.action, Cut) and step.action.use in BLOCK_USES:
                found[step.id] = CUTTING
            if found.get(step.id) in (PLACES, QUILT):
                with_blocks.update(flow.pile for flow in step.gives)
        return found

    def _sections(self, parts: Mapping[str, int]) -> dict[str, Section]:
        """The section of each step; what serves others stands in that of the first of them."""
        found: dict[str, Section] = {}
        numbers = self._numbers(parts)
        for step in self.steps:
            if step.id in parts:
                found[step.id] = Section(parts[step.id], numbers[step.id])
        for step in reversed(self.steps):
            if step.id not in found:
                served = [found[taker.id] for flow in step.gives for taker in self.takers.get(flow.pile, ())]
                found[step.id] = min(served, default=Section(QUILT))
        return found

    def _numbers(self, parts: Mapping[str, int]) -> dict[str, int]:
        """The number of each step's section within its part."""
        found: dict[str, int] = {}
        cloths = _numbered(sorted({step.topic.of for step in self.steps if parts.get(step.id) == CUTTING}))
        kinds, sizes, stretch = self._kinds(parts), self._chains(), 0
        for step in self.steps:
            part = parts.get(step.id)
            if part == CUTTING:
                found[step.id] = cloths[step.topic.of]
            elif part == UNITS:
                found[step.id] = sizes[step.topic.of]
            elif part == BLOCKS:
                found[step.id] = kinds[step.per]
            elif isinstance(step.action, SetBlock):
                found[step.id] = step.action.row
            elif part == QUILT:
                stretch += isinstance(step.action, AddStrips | AddBorder | Layer | Bind)
                found[step.id] = stretch
        return found

    def _kinds(self, parts: Mapping[str, int]) -> dict[str, int]:
        """Kinds of block, numbered as they first lie in the quilt, else as written."""
        first: dict[str, int] = {}
        for step in self.steps:
            if isinstance(step.action, SetBlock) and step.blocks:
                first[step.per] = min(first.get(step.per, step.blocks[0]), *step.blocks)
        keys = dict.fromkeys(step.per for step in self.steps if parts.get(step.id) == BLOCKS)
        return _numbered(sorted(keys, key=lambda key: first.get(key, 0)))

    def _chains(self) -> dict[str, int]:
        """What is made of units, numbered by the size of the unit that it ends as: what is made for another unit is
        made with that."""
        steps = [step for step in self.steps if step.topic.about is About.UNIT]
        last: dict[str, Step] = {}
        for step in reversed(steps):
            last.setdefault(step.topic.of, step)
        sizes: dict[str, Size | None] = {}
        for made, step in last.items():  # what is made for another is at its end before that
            takers = (taker for flow in step.gives for taker in self.takers.get(flow.pile, ()))
            serves = (sizes[taker.topic.of] for taker in takers if taker.topic.about is About.UNIT)
            sizes[made] = next(serves, step.size)
        return _numbered_by(sizes, list(dict.fromkeys(step.topic.of for step in steps)))

    def in_order(self, steps: Sequence[Step]) -> list[Step]:
        """The steps of one section: those that can be done standing at a station, then those at the next."""
        depths = self._depths(steps)
        keys = {step.id: (depths[step.id], *_longest_first(step), place) for place, step in enumerate(steps)}
        lacks = {step.id: len({each.id for each in self.before(step) if each.id in keys}) for step in steps}
        later: dict[str, dict[str, Step]] = {step.id: {} for step in steps}
        for step in steps:
            for each in self.before(step):
                later.get(each.id, {})[step.id] = step
        by_place = dict(enumerate(steps))
        ready: dict[tuple[str, Hashable], list[tuple[int, Measure, Measure, int]]] = {}
        at: tuple[str, Hashable] = "table", None  # where the last section ended: at the cutting, or a trimming
        fresh, ordered = [step for step in steps if not lacks[step.id]], list[Step]()
        while fresh or ready:
            for step in fresh:
                heappush(ready.setdefault((step.station, kind_of_work(step)), []), keys[step.id])
            if at not in ready:
                done_ids = {step.id for step in ordered}
                left = [step for step in steps if step.id not in done_ids]
                waiting = {there: [by_place[key[-1]] for key in ready[there]] for there in ready}
                too_early = _too_early(waiting, later, left)
                at = min(ready, key=lambda there: (there[0] != at[0], there[0] in too_early, ready[there][0]))
            done = by_place[heappop(ready[at])[-1]]
            if not ready[at]:
                del ready[at]
            ordered.append(done)
            for taker in later[done.id].values():
                lacks[taker.id] -= 1
            fresh = [taker for taker in later[done.id].values() if not lacks[taker.id]]
        return ordered

    def _depths(self, steps: Sequence[Step]) -> dict[str, int]:
        """How many of these steps come one after another before each; one before what is cut to fit a block."""
        found = {step.id: int(step.id in self.to_fit) for step in steps}
        for step in steps:
            before = (found[each.id] + 1 for each in self.before(step) if each.id in found)
            found[step.id] = max(before, default=found[step.id])
        return found


def _too_early(
    ready: Mapping[tuple[str, Hashable], Sequence[Step]], later: Mapping[str, Mapping[str, Step]], left: Sequence[Step]
) -> set[str]:
    """The stations to which it is too early to walk: of all work that waits there more will come without it being done
    first, and then all is done in one walk. `left` are the steps that are not done yet."""
    worth = set()
    for there, waiting in ready.items():
        reached, fresh = {step.id for step in waiting}, [*waiting]
        while fresh:
            found = [each for each in later[fresh.pop().id].values() if each.id not in reached]
            reached |= {each.id for each in found}
            fresh += found
        if all(step.id in reached for step in left if (step.station, kind_of_work(step)) == there):
            worth.add(there[0])
    return {station for station, _ in ready} - worth


def _numbered(things: Iterable[Named]) -> dict[Named, int]:
    """Different things numbered as they come, from 0."""
    return {thing: number for number, thing in enumerate(dict.fromkeys(things))}


def _numbered_by(sizes: Mapping[str, Size | None], order: Sequence[str]) -> dict[str, int]:
    """Names numbered by their sizes, as these come in an order of the names."""
    numbers = _numbered(sizes[name] for name in order)
    return {name: numbers[sizes[name]] for name in order}


def kind_of_work(step: Step) -> Hashable:
    """What steps have in common that hands do one after the other without thinking anew: the operation, and where a
    ruler is laid to what was sewn, the size."""
    size = step.size if step.operation == "trim" else None
    return step.kind.one_with or step.operation, size


def _longest_first(step: Step) -> tuple[Measure, Measure]:
    return (-step.action.width, -step.action.height) if isinstance(step.action, Cut) else (ZERO, ZERO)


def working_order(piles: Mapping[str, Pile], steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps in the order of the work. `steps` stand as written, makers before takers, and so do those returned."""
    work = _Work(piles, steps)
    by_section = sorted(steps, key=lambda step: work.sections[step.id])
    ordered: dict[str, Step] = {}
    for _, together in groupby(by_section, key=lambda step: work.sections[step.id]):
        for step in work.in_order(list(together)):
            _with_what_it_needs(work, step, ordered)
    return tuple(ordered.values())


def _with_what_it_needs(work: _Work, step: Step, ordered: dict[str, Step]) -> None:
    """Put a step down behind all that it takes from."""
    waiting = [step]
    while waiting:
        missing = [each for each in work.before(waiting[-1]) if each.id not in ordered]
        if missing:
            waiting.append(missing[0])
        else:
            done = waiting.pop()
            ordered[done.id] = done


def sections(checklist: Checklist) -> dict[str, Section]:
    """The section of the order that each step stands in, by its id."""
    return _Work(checklist.piles, checklist.steps).sections
