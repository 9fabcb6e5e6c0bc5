"""What is said of pieces that would be called alike: of how many patches, in which round, how their print lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import cached_property

from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.quilt.cloth_cutting import BLOCK_USES, standing_of
from tracker.quilt.cloth_cutting import listed as listed_as
from tracker.words.thing_words import ROUNDS, listed
from tracker.work.steps import Checklist, Cut, CutPiece, Pair, Pile, Size, Step
from tracker.work.things import PIECED_STRIP, PIECED_TRIANGLE, Kind

PRINT_POINTS = {0: "up", 90: "to the right", 180: "down", 270: "to the left"}
"""Where the upper end of a print points, by how far it is turned."""


def making_of(pile: str) -> str:
    """What stands in the id of a unit's pile for how it is made, whatever its stage and hand."""
    making = pile.partition(":")[2]
    return making[2:] if making[:2] in ("A:", "B:") else making


class ApartNames:
    """One plan and its checklist, and what tells its pieces apart."""

    def __init__(self, plan: Plan, checklist: Checklist) -> None:
        self.plan = plan
        self.checklist = checklist

    @cached_property
    def maker_of(self) -> Mapping[str, Step]:
        """The step that gives to each pile."""
        return {flow.pile: step for step in self.checklist.steps for flow in step.gives}

    @cached_property
    def takers_of(self) -> Mapping[str, list[Step]]:
        """The steps that take from each pile, in order; none of a pile that is the end."""
        found: dict[str, list[Step]] = {}
        for step in self.checklist.steps:
            for flow in step.takes:
                found.setdefault(flow.pile, []).append(step)
        return found

    def patches(self, pile: Pile) -> int:
        """Of how many patches a piece is sewn, as far as it has come."""
        return self._patches[pile.id]

    @cached_property
    def _patches(self) -> Mapping[str, int]:
        found = dict.fromkeys(self.checklist.piles, 1)
        for step in self.checklist.steps:
            match step.action:
                case Pair(base=base, laid=laid):
                    count = found[base] + sum(found[each.pile] for each in laid)
                case _ if len(step.takes) == 1:
                    count = found[step.takes[0].pile]
                case _:
                    continue
            found |= {flow.pile: count for flow in step.gives}
        return found

    def patches_apart(self, pile: Pile) -> str:
        """Of rows and triangles that are pieced of several patches, how many: `, 3 patches`; of one on its way how many
        of them it has: `, 2 of 7 patches`; nothing where all of a plan have as many."""
        many, so_far = self._pieced.get(pile.id, 0), self.patches(pile)
        if not many:
            return ""
        return f", {so_far} patches" if so_far == many else f", {so_far} of {many} patches"

    @cached_property
    def _pieced(self) -> Mapping[str, int]:
        """Of how many patches rows and triangles come to be that are pieced of several, by each pile on the way to one:
        each is a making of its own."""
        makings: dict[str, int] = {}
        piles: dict[str, tuple[str, str]] = {}
        for step in reversed(self.checklist.steps):
            for pile in (self.checklist.piles[flow.pile] for flow in step.gives):
                if pile.thing.of in (PIECED_STRIP, PIECED_TRIANGLE):
                    makings.setdefault(step.topic.of, self.patches(pile))
                    piles[pile.id] = pile.thing.of, step.topic.of
        counts: dict[str, set[int]] = {}
        for of, making in piles.values():
            counts.setdefault(of, set()).add(makings[making])
        told = {of for of, many in counts.items() if len(many) > 1 or of == PIECED_STRIP}
        return {pile: makings[making] for pile, (of, making) in piles.items() if of in told}

    def round_apart(self, pile: Pile) -> str:
        """Of squares that grow from their middle round by round which round is the last, `, round 2`, where several of
        a plan have one name; else nothing."""
        return f", round {self._rounds[pile.id]}" if pile.id in self._rounds else ""

    @cached_property
    def _rounds(self) -> Mapping[str, int]:
        found: dict[str, int] = {}
        named: dict[tuple[str, frozenset[str]], dict[str, int]] = {}
        for step in self.checklist.steps:
            if isinstance(step.action, Pair) or len(step.takes) == 1:
                base = step.action.base if isinstance(step.action, Pair) else step.takes[0].pile
                for pile in (self.checklist.piles[flow.pile] for flow in step.gives):
                    if pile.thing.of in ROUNDS:
                        begins = isinstance(step.action, Pair) and pile.thing.kind is Kind.BEGUN
                        found[pile.id] = found.get(base, 0) + begins
                        named.setdefault((pile.thing.of, frozenset(pile.fabrics)), {})[pile.id] = found[pile.id]
        several = [piles for piles in named.values() if len({*piles.values()}) > 1]
        return {pile: number for piles in several for pile, number in piles.items()}

    def turn_matters(self, step: Step) -> bool:
        """Whether the first two triangles of a round are laid on a middle of several cloths: on its other sides they
        make another picture."""
        made = self.checklist.made(step).thing
        begins = isinstance(step.action, Pair) and made.of in ROUNDS and made.kind is Kind.BEGUN
        return begins and len(self.checklist.taken(step).fabrics) > 1

    def print_in(self, piece: CutPiece) -> str:
        """How the print of a cloth with a direction lies in oblong pieces of the cutting list, along or across them;
        nothing where it does not matter."""
        oblong = self.plan.fabrics[piece.fabric].directional and piece.width != piece.height
        along, count = self._along.get(listed_as(piece), (0, 0))
        if not (oblong and count and piece.use in BLOCK_USES):
            return ""
        return "print along" if along == count else f"print along in {along} of {count}" if along else "print across"

    @cached_property
    def _along(self) -> Mapping[tuple[str, Measure, Measure, str], tuple[int, int]]:
        """Of what a row of the cutting list has, in how many pieces a print lies along the longer side, and of how many
        that is known."""
        found = defaultdict[tuple[str, Measure, Measure, str], tuple[int, int]](lambda: (0, 0))
        for step in self.checklist.steps:
            if isinstance(step.action, Cut) and step.action.prints:
                along, count = found[listed_as(step.action)]
                found[listed_as(step.action)] = along + standing_of(self.checklist, step), count + step.count
        return found

    def print_way(self, cut: Cut) -> str:
        """How the print lies in pieces of a cloth that has to stand, in a word; nothing where that is left open."""
        if not self.plan.fabrics[cut.fabric].upright or len(cut.prints) != 1:
            return ""
        if cut.width == cut.height:
            return PRINT_POINTS[cut.prints[0]].split()[-1]
        return "along" if cut.prints[0] % 180 else "across"

    def print_of(self, pile: Pile) -> str:
        """Of patches of a cloth that has to stand how its print lies, on whatever pile: `, print right`."""
        maker = self.maker_of.get(pile.id)
        while maker is not None and not isinstance(maker.action, Cut) and len(maker.takes) == 1:
            maker = self.maker_of.get(maker.takes[0].pile)
        way = self.print_way(maker.action) if maker is not None and isinstance(maker.action, Cut) else ""
        return way and f", print {way}"

    def print_apart(self, pile: Pile) -> str:
        """Of units that are alike but for how the print of a cloth lies in them, which way it points in their pieces
        as they are laid: `, print right and up`; else nothing."""
        prints = self._prints_apart.get(making_of(pile.id), ())
        return f", print {listed(list(prints))}" if prints else ""

    @cached_property
    def _prints_apart(self) -> Mapping[str, tuple[str, ...]]:
        """How prints lie in the pieces of makings that share their kind, cloths and size with others."""
        alike: dict[tuple[str, tuple[str, ...], Size], dict[str, tuple[str, ...]]] = {}
        for row in self.checklist.units:
            if row.pile and not self.checklist.piles[row.pile].thing.is_patch:
                makings = alike.setdefault((row.kind, row.fabrics, row.finished), {})
                makings[making_of(row.pile)] = tuple(dict.fromkeys(self._prints_in(row.pile)))
        told = (makings for makings in alike.values() if len({*makings.values()}) == len(makings) > 1)
        return {making: prints for makings in told if all(makings.values()) for making, prints in makings.items()}

    def _prints_in(self, pile: str) -> Sequence[str]:
        """Which way the print points in each piece that comes into a pile and whose cloth has to stand."""
        maker = self.maker_of[pile]
        if isinstance(maker.action, Cut):
            cut = maker.action
            stands = self.plan.fabrics[cut.fabric].upright and len(cut.prints) == 1
            return (PRINT_POINTS[cut.prints[0]].split()[-1],) if stands else ()
        return [way for flow in maker.takes for way in self._prints_in(flow.pile)]
