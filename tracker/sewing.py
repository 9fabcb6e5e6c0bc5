"""Sews a list of steps, exactly, to see what comes of it.

All pieces of a pile are alike, so one of each is enough: every step is done once, in order, with what lies on the
piles it takes from. Where two steps give to one pile, what they give must lie exactly alike; only of units whose
either hand serves the seams may lie differently, under the same cloth. The first thing that cannot be done as printed
is a Fault, and ends the sewing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tracker.actions import Margins, Result, do
from tracker.cloth import Content, Piece, Stack
from tracker.faults import Fault, Impossible
from tracker.joining import Junction
from tracker.likeness import difference_between, either_hand, open_alike
from tracker.measure import Measure
from tracker.work import Pile, Step


@dataclass(frozen=True)
class Done:
    """One step as it was done: what lay on each pile it took from, and what came to lie on each it gives to.

    `margins` is there for a trim. `junctions` holds for each pile given by a join (or strips) and each of its new
    seams, in order, the places where other seams meet across it.
    """

    step: str
    before: Mapping[str, Content]
    after: Mapping[str, Content]
    margins: Margins | None = None
    junctions: Mapping[str, tuple[tuple[Junction, ...], ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Trace:
    """All steps done, by id, up to the first fault; and one representative of what lies on each pile."""

    done: Mapping[str, Done]
    lying: Mapping[str, Content]
    fault: Fault | None = None


@dataclass(frozen=True)
class Counted:
    """Over the whole quilt: how many pieces are put on a pile, and how many are taken from it."""

    given: int
    taken: int

    @property
    def left(self) -> int:
        """Spare pieces; negative where there are too few."""
        return self.given - self.taken


def flows(steps: Iterable[Step]) -> dict[str, Counted]:
    """What is given to and taken from each pile when every step is done as often as it says."""
    given: Counter[str] = Counter()
    taken: Counter[str] = Counter()
    for step in steps:
        for flow in step.gives:
            given[flow.pile] += step.count * flow.each
        for flow in step.takes:
            taken[flow.pile] += step.count * flow.each
    return {pile: Counted(given[pile], taken[pile]) for pile in given | taken}


def sew(piles: Mapping[str, Pile], steps: Sequence[Step], seam: Measure) -> Trace:
    """Do every step once, in order, with the plan's seam allowance."""
    table = _Table(piles, seam)
    done: dict[str, Done] = {}
    for step in steps:
        try:
            done[step.id] = table.do(step)
        except Impossible as trouble:
            return Trace(done, table.first_of_each(), trouble.in_step(step.id))
    return Trace(done, table.first_of_each())


class _Table:
    """What lies on each pile: one content, or several where mirror images lie together until they are opened."""

    def __init__(self, piles: Mapping[str, Pile], seam: Measure) -> None:
        self._piles, self._seam = piles, seam
        self._lying: dict[str, list[Content]] = {}

    def first_of_each(self) -> dict[str, Content]:
        return {pile: contents[0] for pile, contents in self._lying.items()}

    def do(self, step: Step) -> Done:
        """The step done with all that may lie on its piles. Raises Impossible."""
        for flow in (*step.takes, *step.gives):
            if flow.pile not in self._piles:
                raise Impossible("unknown pile", pile=flow.pile)
        for flow in step.takes:
            if flow.pile not in self._lying:
                raise Impossible("empty pile", pile=flow.pile)
        taken = {flow.pile: list(self._lying[flow.pile]) for flow in step.takes}
        rounds = max((len(contents) for contents in taken.values()), default=1)
        results = []
        for number in range(rounds):
            before = {pile: contents[min(number, len(contents) - 1)] for pile, contents in taken.items()}
            results.append((before, do(step, before, self._seam)))
        for _, result in results:
            self._put(result)
        before, first = results[0]
        margins = _least_margins([result.margins for _, result in results if result.margins is not None])
        after = {pile: contents[0] for pile, contents in first.after.items()}
        return Done(step.id, before, after, margins, first.junctions)

    def _put(self, result: Result) -> None:
        for pile, contents in result.after.items():
            for content in contents:
                self._put_one(pile, content)

    def _put_one(self, pile: str, content: Content) -> None:
        lying = self._lying.setdefault(pile, [])
        what = None
        for place, other in enumerate(lying):
            what = difference_between(other, content, self._seam)
            if what is None:
                return
            if what == "the seams" and isinstance(other, Piece) and isinstance(content, Piece) and self._handed(pile):
                lying[place] = either_hand(other, content)
                return
        if lying and not (self._handed(pile) and self._open_alike(lying[0], content)):
            raise Impossible("unlike", pile=pile, what=what)
        lying.append(content)

    def _handed(self, pile: str) -> bool:
        """Only of units, which belong to no single block, may either hand serve."""
        return self._piles[pile].block is None

    def _open_alike(self, first: Content, second: Content) -> bool:
        return isinstance(first, Stack) and isinstance(second, Stack) and open_alike(first, second, self._seam)


def _least_margins(found: Sequence[Margins]) -> Margins | None:
    if not found:
        return None
    return Margins(
        min(each.left for each in found),
        min(each.top for each in found),
        min(each.right for each in found),
        min(each.bottom for each in found),
    )
