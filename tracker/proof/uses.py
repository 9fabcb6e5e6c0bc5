"""What pieces of cloth are used for, told from what is done with them, and from nothing that is said of them."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.work.steps import AddStrips, Checklist, Cut, CutApart, Pair, Press, PressSeams, Sew, Step, Trim
from tracker.work.whole_blocks import Bind, CutLengths, JoinEnds, JoinParts, JoinUnits, Layer, Member


class Uses:
    """What pieces of cloth are used for, by what is done with them."""

    def __init__(self, checklist: Checklist) -> None:
        self.takers: dict[str, list[Step]] = {}
        self.makers = {flow.pile: step for step in checklist.steps for flow in step.gives}
        for step in checklist.steps:
            for flow in step.takes:
                self.takers.setdefault(flow.pile, []).append(step)

    def joined(self, pile: str) -> int:
        """How many strips of a pile are joined end to end."""
        joins = [step for step in self.takers.get(pile, ()) if isinstance(step.action, JoinEnds)]
        return sum(step.count * flow.each for step in joins for flow in step.takes if flow.pile == pile)

    def of_joined(self, pile: str) -> str:
        """The use of strips of a pile that are joined end to end."""
        joins = [step for step in self.takers[pile] if isinstance(step.action, JoinEnds)]
        if any(self.goes_to(step, Bind) for step in joins):
            return "binding"
        cuts = [taker for step in joins for taker in self._after(step) if isinstance(taker.action, CutLengths)]
        return self.of(cuts[0].gives[0].pile) if cuts else "unit"

    def _after(self, step: Step) -> Iterator[Step]:
        """What is done next with what a step gives, pressing apart."""
        for taker in self.takers.get(step.gives[0].pile, ()):
            yield from self._after(taker) if isinstance(taker.action, PressSeams) else (taker,)

    def of(self, pile: str) -> str:
        """The use of cut pieces, as the cutting list names it."""
        for step in self.takers.get(pile, ()):
            match step.action:
                case JoinEnds():
                    continue
                case AddStrips(base=base) if base == pile:
                    continue
                case AddStrips(outward=True):
                    return "unit"
                case AddStrips():
                    return "border" if step.per == "quilt" else "frame"
                case Bind():
                    return "binding"
                case CutApart() if self.goes_to(step, JoinParts):
                    return "setting"
                case Trim() if step.per == "quilt" and self._is_cut(pile):
                    return "backing" if self.goes_to(step, Layer) else "border"
                case JoinUnits():
                    return "unit"
                case JoinParts(members=members) if self.goes_to(step, AddStrips, strip=True):
                    if pile in (members[0].pile, members[-1].pile):
                        return "cornerstone"
                    return "unit" if self.of_pieced(step) else "border"
                case JoinParts(members=members) if self.goes_to(step, Layer, backing=True):
                    return "backing"
                case JoinParts(members=members):
                    crossing = [member.pile for member in members[1::2]]
                    return "cornerstone" if pile in crossing and self.is_sash_row(members) else "sash"
        return "unit"

    def is_sash_row(self, members: tuple[Member, ...]) -> bool:
        """Whether a row of the quilt has no block in it: of cut cloth alone."""
        return all(self._is_cut(member.pile) for member in members)

    def _is_cut(self, pile: str) -> bool:
        """Whether nothing was done with a piece but to cut it from cloth."""
        maker = self.makers.get(pile)
        return maker is not None and isinstance(maker.action, Cut | CutLengths)

    def is_round_pieces(self, pressed: Step) -> bool:
        """Whether a press opens triangles that go round what is pieced: two on opposite sides of it, and two more on
        the other sides when the ears of the first are cut off."""
        pair = self._round_of(pressed)
        cut = None if pair is None else self.makers.get(pair.base)
        if cut is not None and isinstance(cut.action, CutApart) and len(cut.gives) == 1:
            pair = self._round_of(self.makers.get(cut.takes[0].pile)) or pair
        return pair is not None and not self._is_cut(pair.base)

    def _round_of(self, pressed: Step | None) -> Pair | None:
        """How two triangles that were cut from squares were laid, where it is they that are pressed."""
        if pressed is None or not isinstance(pressed.action, Press):
            return None
        sewn = self.makers.get(pressed.takes[0].pile)
        paired = self.makers.get(sewn.takes[0].pile) if sewn is not None and isinstance(sewn.action, Sew) else None
        if paired is None or not isinstance(paired.action, Pair) or len(paired.action.laid) != 2:
            return None
        cuts = [self.makers.get(laid.pile) for laid in paired.action.laid]
        loose = all(cut and isinstance(cut.action, CutApart) and self._is_cut(cut.takes[0].pile) for cut in cuts)
        return paired.action if loose else None

    def of_pieced(self, joined: Step) -> bool:
        """Whether what a step joins is a strip of a pieced border, with its cornerstones."""
        strips = [taker.action for taker in self._after(joined) if isinstance(taker.action, AddStrips)]
        return any(action.outward for action in strips)

    def ends_with_sashes(self, pile: str) -> bool:
        """Whether the last row of rows joined, or the one row, is of sashes."""
        maker = self.makers.get(pile)
        while maker is not None and isinstance(maker.action, PressSeams):
            pile = maker.takes[0].pile
            maker = self.makers.get(pile)
        if maker is None or not isinstance(maker.action, JoinParts):
            return self._is_cut(pile)
        if maker.action.direction == "down":
            return self.ends_with_sashes(maker.action.members[-1].pile)
        return self.is_sash_row(maker.action.members)

    def goes_to(self, step: Step, kind: type, strip: bool = False, backing: bool = False) -> bool:
        """Whether what a step gives comes to such an action next, pressing apart: as a `strip` or the `backing`."""
        for taker in self.takers.get(step.gives[0].pile, ()):
            if isinstance(taker.action, kind):
                if strip and isinstance(taker.action, AddStrips):
                    return taker.action.strip == step.gives[0].pile
                if backing and isinstance(taker.action, Layer):
                    return taker.action.backing == step.gives[0].pile
                return True
            if isinstance(taker.action, PressSeams) and self.goes_to(taker, kind, strip, backing):
                return True
        return False
