"""How the prints of cloths with a direction lie in each block, reckoned from the turns that the steps give them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate

from tracker.exact.geometry import Polygon, Segment
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.quilt.cloth_cutting import stands_upright
from tracker.units.print_turns import Angle, opened_turn, part_of, seam_of, turned_by
from tracker.work.dotted_seams import SewToDots
from tracker.work.partial_seams import BeginSeam, CloseSeam, SewArm
from tracker.work.prints import PrintLie
from tracker.work.steps import (
    AddStrips,
    Cut,
    CutApart,
    Laid,
    LayOut,
    Pair,
    Pile,
    Place,
    Press,
    Sew,
    Size,
    Step,
    Trim,
)
from tracker.work.whole_blocks import JoinParts

Lies = Mapping[str, frozenset[Angle]]
"""Of each cloth with a direction every way that its print lies."""


def cut_as_they_lie(plan: Plan, piles: Mapping[str, Pile], steps: Sequence[Step]) -> list[Step]:
    """The steps, of which those that cut a cloth with a direction say how the print lies: upright, but for patches and
    frame strips that stand with their longer side upright in the block."""
    uses: dict[str, set[int]] = {}
    for step in steps:
        if isinstance(step.action, LayOut) and step.per != "quilt":
            for place in step.action.places:
                uses.setdefault(place.pile, set()).add(-place.turn % 180 and 270)
        elif isinstance(step.action, AddStrips) and step.per != "quilt":
            upright = stands_upright(piles, step, step.action)
            uses.setdefault(step.action.strip, set()).add(270 if upright else 0)
        else:
            for flow in step.takes:
                uses.setdefault(flow.pile, set()).add(0)
    found = []
    for step in steps:
        action = step.action
        if isinstance(action, Cut) and plan.fabrics[action.fabric].directional and not action.prints:
            prints = tuple(sorted(uses.get(step.gives[0].pile, {0})))
            step = replace(step, action=replace(action, prints=prints))
        found.append(step)
    return found


@dataclass
class _Stack:
    """Pieces face to face: how the base's print lies, the pieces on it, and the seams sewn through them."""

    base: Lies
    laid: Sequence[tuple[Laid, Lies]]
    size: Size | None
    seams: list[Segment] = field(default_factory=list)


def prints_in_blocks(
    plan: Plan, piles: Mapping[str, Pile], steps: Sequence[Step], finished: Sequence[tuple[str, str]]
) -> tuple[PrintLie, ...]:
    """How every print lies in every place of every kind of block, where a cloth has a direction. `finished`: blocks
    and the piles of finished ones, of which one may be of several."""
    if not any(fabric.directional for fabric in plan.fabrics.values()):
        return ()
    return _Turning(plan, piles).through(steps, finished)


class _Turning:
    """The steps gone through in order: what lies on each pile, and what of it came into the blocks."""

    def __init__(self, plan: Plan, piles: Mapping[str, Pile]) -> None:
        self.plan, self.piles = plan, piles
        self.flat: dict[str, Lies] = {}
        self.stacks: dict[str, _Stack] = {}
        self.found: dict[tuple[str, tuple[int, int, int, int] | None], tuple[str, Lies]] = {}

    def through(self, steps: Sequence[Step], finished: Sequence[tuple[str, str]]) -> tuple[PrintLie, ...]:
        for step in steps:
            self._do(step)
        for key, pile in finished:
            self._whole(key, pile)
        return tuple(
            PrintLie(block, area, pile, cloth, tuple(sorted(ways, key=lambda way: (way is None, way or 0))))
            for (block, area), (pile, lies) in self.found.items()
            for cloth, ways in lies.items()
        )

    def _do(self, step: Step) -> None:
        match step.action:
            case Cut(fabric=cloth, prints=prints):
                self._put(step.gives[0].pile, {cloth: frozenset(prints)} if prints else {})
            case Pair() as pair:
                laid = [(each, self.flat[each.pile]) for each in pair.laid]
                size = self.piles[pair.base].size
                self.stacks[step.gives[0].pile] = _Stack(self.flat[pair.base], laid, size)
            case Sew(lines=lines):
                stack = self.stacks[step.takes[0].pile]
                self.stacks[step.gives[0].pile] = replace(stack, seams=[*stack.seams, *lines])
            case CutApart() as cut:
                self._cut_apart(step, cut)
            case Press(turn=turn) | Trim(turn=turn):
                self._put(step.gives[0].pile, turned(self._lying(step.takes[0].pile), turn))
            case LayOut():
                for place in step.action.places:
                    self._put(place.group, self._laid_out(step, place))
            case AddStrips() as strips if step.per != "quilt":
                self._frame(step, strips)
            case JoinParts(members=members):
                for member in members:
                    self._put(step.gives[0].pile, turned(self._lying(member.pile), member.turn))
            case SewToDots(base=base, pieces=pieces):
                self._put(step.gives[0].pile, self._lying(base))
                for piece in pieces:
                    self._put(step.gives[0].pile, turned(self._lying(piece.pile), piece.turn))
            case BeginSeam() | SewArm() | CloseSeam():
                for flow in step.takes:
                    self._put(step.gives[0].pile, self._lying(flow.pile))
            case _:
                self._others(step)

    def _others(self, step: Step) -> None:
        """What turns nothing: side by side, or all that is taken to all that is given."""
        if len(step.takes) == len(step.gives):
            for take, give in zip(step.takes, step.gives, strict=True):
                if take.pile in self.stacks:
                    self.stacks[give.pile] = self.stacks[take.pile]
                else:
                    self._put(give.pile, self._lying(take.pile))
            return
        for give in step.gives:
            for take in step.takes:
                self._put(give.pile, self._lying(take.pile))

    def _lying(self, pile: str) -> Lies:
        """What lies on a pile, stacks opened."""
        stack = self.stacks.get(pile)
        return self.flat.get(pile, {}) if stack is None else _opened(stack, self.piles, None)

    def _put(self, pile: str, lies: Lies) -> None:
        self.flat[pile] = merged(self.flat.get(pile, {}), lies)

    def _cut_apart(self, step: Step, cut: CutApart) -> None:
        taken = step.takes[0].pile
        stack = self.stacks.get(taken)
        for part in cut.parts:
            if part.pile is None:
                continue
            if stack is None:
                lies = self._lying(taken)
            else:
                lies = _opened(stack, self.piles, part_of(stack.size, cut.lines, part.inside))
            self._put(part.pile, turned(lies, part.turn))

    def _laid_out(self, step: Step, place: Place) -> Lies:
        lies = turned(self._lying(place.pile), place.turn)
        if step.per == "quilt":
            return lies
        lies = _chosen(lies) if self.piles[place.pile].thing.is_patch else lies
        self.found.setdefault((step.per, self._area(step.per, place)), (place.pile, lies))
        return lies

    def _area(self, block: str, place: Place) -> tuple[int, int, int, int]:
        """The cells that a finished unit covers: as many as its size takes."""
        size = self.piles[place.pile].size
        assert size is not None
        across, down = size if place.turn % 180 == 0 else size[::-1]
        own, room = self.plan.blocks[block], 2 * self.plan.seam
        return (
            place.row,
            place.column,
            _lines_in(own.rows[place.row :], down - room),
            _lines_in(own.columns[place.column :], across - room),
        )

    def _whole(self, block: str, pile: str) -> None:
        """A block of one unit is laid out by nobody: it is what lies there."""
        if not any(key == block and area is not None for key, area in self.found):
            own = self.plan.blocks[block]
            self.found[block, (0, 0, len(own.rows), len(own.columns))] = pile, self._lying(pile)

    def _frame(self, step: Step, strips: AddStrips) -> None:
        turn = 90 if stands_upright(self.piles, step, strips) else 0
        lies = _chosen(turned(self._lying(strips.strip), turn))
        key = step.per, None
        self.found[key] = strips.strip, merged(self.found[key][1] if key in self.found else {}, lies)
        self._whole(step.per, strips.base)
        self._put(step.gives[0].pile, merged(self._lying(strips.base), lies))


def turned(lies: Lies, turn: Angle) -> Lies:
    """The same, all turned."""
    return {cloth: frozenset(turned_by(way, turn) for way in ways) for cloth, ways in lies.items()} if turn else lies


def merged(first: Lies, second: Lies) -> Lies:
    """Every way that lies in either."""
    return {cloth: first.get(cloth, frozenset()) | second.get(cloth, frozenset()) for cloth in {**first, **second}}


def _lines_in(sides: Sequence[Measure], length: Measure) -> int:
    """How many rows or columns of a grid a length takes."""
    return next(number for number, reach in enumerate(accumulate(sides), 1) if reach >= length)


def _chosen(lies: Lies) -> Lies:
    """Of patches cut both ways those are taken that stand upright."""
    return {cloth: frozenset({0}) if len(ways) > 1 and 0 in ways else ways for cloth, ways in lies.items()}


def _opened(stack: _Stack, piles: Mapping[str, Pile], part: Polygon | None) -> Lies:
    """A stack, or a part of it, once it is pressed open."""
    whole = stack.base
    for laid, lies in stack.laid:
        if not lies:
            continue
        over = opened_turn(laid, seam_of(laid, piles[laid.pile].size, stack.seams, part))
        whole = merged(whole, {cloth: frozenset(turned_by(way, over) for way in ways) for cloth, ways in lies.items()})
    return whole
