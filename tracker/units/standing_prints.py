"""A making written anew so that the print of some cloths stands upright where the unit comes to lie.

Each piece is cut with its print turned as far as the making will turn it back, and pieces that differ so lie on piles
of their own. Where one making turns two parts of one piece differently, or by no quarter turn, it cannot be done.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tracker.exact.geometry import Polygon, Segment
from tracker.units.print_turns import opened_turn, part_of, seam_of
from tracker.work.steps import Cut, CutApart, Flow, Laid, LayOut, Pair, Pile, Press, Sew, Step, Trim


class Turned(Exception):
    """A making that turns a print whatever one does."""


@dataclass
class Standing:
    """A making, by its piles and the steps that give to them, and those of them written anew.

    `cloths` are those whose print has to stand. A pile is wanted `turn` degrees before its print stands.
    """

    cloths: Collection[str]
    old: Mapping[str, Pile]
    steps: Sequence[Step]
    piles: dict[str, Pile] = field(default_factory=dict)
    _written: dict[str, tuple[int, Step]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.makers: dict[str, Step] = {flow.pile: step for step in self.steps for flow in step.gives}
        self.takers = {flow.pile: step for step in self.steps for flow in step.takes}

    def pile(self, pile: str, turn: int) -> str:
        """The pile of such pieces that stand once they are turned so; written with all that leads to it."""
        turn = turn % 360 if self._has_to_stand(pile) else 0
        name = _name(pile, turn)
        if name not in self.piles:
            self.piles[name] = replace(self.old[pile], id=name)
            if pile in self.makers:
                self._write(self.makers[pile], pile, turn)
        return name

    @property
    def written(self) -> tuple[Step, ...]:
        """The steps in the order in which they stood, makers before takers."""
        return tuple(step for _, step in sorted(self._written.values(), key=lambda each: each[0]))

    def _write(self, step: Step, pile: str, turn: int) -> None:
        """The step that gives to a pile, so that what it gives stands once turned."""
        before, gives, action = turn, {flow.pile: flow.each for flow in step.gives}, step.action
        named = {_name(own, turn): own for own in gives}
        match action:
            case Cut() if action.fabric in self.cloths:
                if turn % 90:
                    raise Turned
                action = replace(action, prints=(-turn % 360,))
            case Pair():
                action = self._pair(step, action, turn)
            case LayOut():
                places = (
                    replace(each, pile=self.pile(each.pile, turn + each.turn), group=_name(each.group, turn))
                    for each in action.places
                )
                action = LayOut(tuple(places))
            case CutApart() if self._has_to_stand(pile):
                before, action, named = self._cut_apart(step, action, pile, turn)
            case Press() | Trim():
                before = turn + action.turn
        takes = _taken(action) or tuple(Flow(self.pile(flow.pile, before), flow.each) for flow in step.takes)
        for name, own in named.items():
            self.piles.setdefault(name, replace(self.old[own], id=name))
        given = action.parts if isinstance(action, CutApart) else ()
        counts = {name: sum(part.pile == name for part in given) or gives[own] for name, own in named.items()}
        flows = tuple(Flow(*each) for each in counts.items())
        made = _name(step.id, before if isinstance(action, CutApart) else turn)
        self._written[made] = self.steps.index(step), replace(step, id=made, takes=takes, gives=flows, action=action)

    def _pair(self, step: Step, action: Pair, turn: int) -> Pair:
        stack = step.gives[0].pile
        size = self.old[action.base].size
        seams: list[Segment] = []
        within: Polygon | None = None
        while (after := self.takers.get(stack)) is not None and not isinstance(after.action, Press):
            if isinstance(after.action, Sew):
                seams += after.action.lines
            if isinstance(after.action, CutApart):
                inside = next(part.inside for part in after.action.parts if part.pile == after.gives[0].pile)
                within = part_of(size, after.action.lines, inside)
            stack = after.gives[0].pile
        return Pair(self.pile(action.base, turn), tuple(self._laid(each, turn, seams, within) for each in action.laid))

    def _laid(self, laid: Laid, turn: int, seams: Sequence[Segment], within: Polygon | None) -> Laid:
        if not self._has_to_stand(laid.pile):
            return replace(laid, pile=self.pile(laid.pile, 0))
        over = opened_turn(laid, seam_of(laid, self.old[laid.pile].size, seams, within))
        if over is None:
            raise Turned
        return replace(laid, pile=self.pile(laid.pile, turn + over))

    def _cut_apart(self, step: Step, action: CutApart, pile: str, turn: int) -> tuple[int, CutApart, dict[str, str]]:
        """How far the whole is turned before its print stands, and the piles that its parts go to. Parts of one
        thickness lie apart by their prints; in those of a stack each piece is turned by its own seam."""
        own = [part for part in action.parts if part.pile == pile]
        turns = {part.turn for part in own}
        hands = {part.pile for part in action.parts if part.pile is not None and self.old[part.pile].bag}
        if (len(turns) > 1 or len(hands) > 1) and self._is_stack(step.takes[0].pile):
            raise Turned
        before = min((turn + each) % 360 for each in turns)
        parts = tuple(
            part if part.pile is None else replace(part, pile=_name(part.pile, (before - part.turn) % 360))
            for part in action.parts
        )
        old = zip(parts, action.parts, strict=True)
        named = {part.pile: own.pile for part, own in old if part.pile is not None and own.pile is not None}
        return before, replace(action, parts=parts), named

    def _has_to_stand(self, pile: str) -> bool:
        return not set(self.old[pile].fabrics).isdisjoint(self.cloths)

    def _is_stack(self, pile: str) -> bool:
        while (step := self.makers.get(pile)) is not None:
            if isinstance(step.action, Pair):
                return True
            if isinstance(step.action, Press | Cut | LayOut | Trim):
                return False
            pile = step.takes[0].pile
        return False


def _name(pile: str, turn: int) -> str:
    return f"{pile}:print {-turn % 360}" if turn else pile


def _taken(action: object) -> tuple[Flow, ...]:
    """What an action that names its piles takes."""
    if isinstance(action, Pair):
        piles = [action.base, *(laid.pile for laid in action.laid)]
    elif isinstance(action, LayOut):
        piles = [place.pile for place in action.places]
    else:
        return ()
    return tuple(Flow(pile, piles.count(pile)) for pile in dict.fromkeys(piles))
