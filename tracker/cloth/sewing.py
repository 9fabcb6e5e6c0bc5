"""Sews a list of steps, exactly, to see what comes of it.

All pieces of a pile are alike, so one of each is enough: every step is done once, in order, with what lies on the
piles it takes from. What is given to one pile must lie exactly alike. Only of units, where either hand may serve,
mirror images may lie together until they are opened and trimmed; then they must show the same cloth, though their
seams lie differently. The first thing that cannot be done as printed is a Fault, and ends the sewing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tracker.cloth.alike import difference_between, either_hand, open_alike, prints_together
from tracker.cloth.doing import ActionResult, Margins, do
from tracker.cloth.joining import Junction
from tracker.cloth.moving import mirrored
from tracker.cloth.pieces import Content, Piece
from tracker.cloth.sewing_faults import Impossible, SewingFault
from tracker.exact.measure import Measure
from tracker.work.steps import CutApart, Mark, Pile, Press, Sew, Step, Trim

EITHER_HAND = (Mark, Sew, CutApart, Press, Trim)
"""What can be done with a pile of mirror images that lie together."""


@dataclass(frozen=True)
class StepDone:
    """One step as it was done: what lay on each pile it took from, and what came to lie on each it gives to.

    `margins` is there for a trim. `junctions` holds for each pile given by a join (or strips) and each of its new
    seams, in order, the places where other seams meet across it.
    """

    before: Mapping[str, Content]
    after: Mapping[str, Content]
    margins: Margins | None = None
    junctions: Mapping[str, tuple[tuple[Junction, ...], ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Trace:
    """All steps done, by id, up to the first fault; and one representative of what lies on each pile."""

    done: Mapping[str, StepDone]
    lying: Mapping[str, Content]
    fault: SewingFault | None = None


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
    table = _SewingTable(piles, seam)
    done: dict[str, StepDone] = {}
    for step in steps:
        try:
            done[step.id] = table.do(step)
        except Impossible as trouble:
            return Trace(done, table.first_of_each(), trouble.in_step(step.id))
    return Trace(done, table.first_of_each())


@dataclass(frozen=True)
class _Lying:
    """One content of a pile. `mirrored`: it is the mirror image of the pile's first, and is handled as such."""

    content: Content
    mirrored: bool = False


class _SewingTable:
    """What lies on each pile: one content; or several, where either hand serves, until they are alike."""

    def __init__(self, piles: Mapping[str, Pile], seam: Measure) -> None:
        self._piles, self._seam = piles, seam
        self._lying: dict[str, list[_Lying]] = {}

    def first_of_each(self) -> dict[str, Content]:
        return {pile: lying[0].content for pile, lying in self._lying.items()}

    def do(self, step: Step) -> StepDone:
        """The step done with all that may lie on its piles. Raises Impossible."""
        for flow in (*step.takes, *step.gives):
            if flow.pile not in self._piles:
                raise Impossible("unknown pile", pile=flow.pile)
        for flow in step.takes:
            if flow.pile not in self._lying:
                raise Impossible("empty pile", pile=flow.pile)
            if len(self._lying[flow.pile]) > 1 and not isinstance(step.action, EITHER_HAND):
                raise Impossible("two hands", pile=flow.pile)
        before = {flow.pile: self._lying[flow.pile][0].content for flow in step.takes}
        first = do(step, before, self._seam)
        results = [first, *self._other_hands(step)]
        for result in results:
            for pile, contents in result.after.items():
                for content in contents:
                    self._put(pile, content)
        margins = _least_margins([result.margins for result in results if result.margins is not None])
        after = {pile: contents[0] for pile, contents in first.after.items()}
        return StepDone(before, after, margins, first.junctions)

    def _other_hands(self, step: Step) -> Iterable[ActionResult]:
        """The step done with the other contents of a pile; with a mirror image everything is done mirrored."""
        for flow in step.takes:
            for other in self._lying[flow.pile][1:]:
                lying = mirrored(other.content) if other.mirrored else other.content
                result = do(step, {flow.pile: lying}, self._seam)
                if other.mirrored:
                    after = {pile: [mirrored(each) for each in given] for pile, given in result.after.items()}
                    result = ActionResult(after, result.margins)
                yield result

    def _put(self, pile: str, content: Content) -> None:
        lying = self._lying.setdefault(pile, [])
        handed = self._piles[pile].block is None
        what = None
        for place, other in enumerate(lying):
            first = other.content
            what = difference_between(first, content, self._seam)
            if what is None:
                lying[place] = replace(other, content=prints_together(first, content))
                return
            if handed and what == "the seams" and isinstance(first, Piece) and isinstance(content, Piece):
                lying[place] = replace(other, content=prints_together(either_hand(first, content), content))
                return
        if not lying:
            lying.append(_Lying(content))
        elif handed and difference_between(lying[0].content, mirrored(content), self._seam) is None:
            lying.append(_Lying(content, mirrored=True))
        elif handed and open_alike(lying[0].content, content, self._seam):
            lying.append(_Lying(content))
        else:
            raise Impossible("unlike", pile=pile, what=what)


def _least_margins(found: Sequence[Margins]) -> Margins | None:
    if not found:
        return None
    return Margins(
        min(each.left for each in found),
        min(each.top for each in found),
        min(each.right for each in found),
        min(each.bottom for each in found),
    )
