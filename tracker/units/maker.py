"""A maker writes down how a unit is made: piles and steps with exact sizes, identified by what is made.

Recipes call a `Maker`; everything it writes lands on one `Bench`, where equal work from different units falls
together (like squares are cut and marked in one pile). How often each step is done is worked out at the end from
what the blocks need.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from hashlib import sha256

from tracker.exact.geometry import XY, Segment
from tracker.exact.measure import ROOT2, Measure, Number, exact, round_up, write_length
from tracker.plan.model import Plan
from tracker.units.region import Region
from tracker.units.times_needed import times_needed
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.pressed import SeamPress
from tracker.work.steps import (
    About,
    Action,
    Cut,
    CutApart,
    Flow,
    Join,
    Laid,
    LayOut,
    Mark,
    Notice,
    Pair,
    Part,
    Pile,
    Place,
    Press,
    PressSeams,
    Sew,
    Size,
    Step,
    Topic,
    Trim,
)
from tracker.work.things import BONUS, Kind, Stage, Thing, unit_at

ROOM = {"in": Fraction(1, 8), "cm": Fraction(3, 10)}
"""One share of trimming room in each unit (common practice)."""


@dataclass(frozen=True)
class Round:
    """One round of a making that goes several times through the same hands: what ends the ids of its piles, and what
    lies on them: the unit, or a unit but `begun`, or `flat` cloth, cut and not folded, or cut `level`."""

    mark: str = ""
    kind: Kind = Kind.UNIT
    flat: bool = False
    level: bool = False


ONLY, AGAIN = Round(), Round(" again")
ONCE, LEVEL = Round(" once", Kind.BEGUN), Round(" level", Kind.BEGUN, flat=True)
CUT_FLAT = Round("", flat=True)
TRIANGLES = Round(" triangles", Kind.TRIANGLE, flat=True)


def numbered(number: int, last: int) -> Round:
    """A round by its number; the last one has none."""
    return Round(f" {number}", Kind.BEGUN) if number < last else ONLY


def line(x1: Number, y1: Number, x2: Number, y2: Number) -> Segment:
    """The line of an action from (x1, y1) to (x2, y2), in the plan's unit."""
    return point(x1, y1), point(x2, y2)


def point(x: Number, y: Number) -> XY:
    """The point of an action, in the plan's unit."""
    return exact(x), exact(y)


def trim_to(size: Size, lies: Size | None = None, turn: int = 0) -> Trim:
    """The trim to a size out of the middle of a piece; `lies` is how large that is, where not as large already."""
    across, down = lies or size
    return Trim(size[0], size[1], point(across / 2, down / 2), turn)


def digest(text: str) -> str:
    """Eight letters that stand for a long identity."""
    return sha256(text.encode()).hexdigest()[:8]


def token(length: Measure) -> str:
    """A length as it stands in an id: `2_1/2`, `1/2+20r2` where it has a root of two in it."""
    if not length.is_rational:
        return f"{length.rational}+{length.root}r2"
    return write_length(length, "in", plain=True).replace(" ", "_")


class OneIdForTwo(Exception):
    """Two different piles or steps of one id, which says what is made: a fault of the route that wrote them."""


@dataclass
class Bench:
    """Everything written down so far for one plan, in order. `count` of the steps is 0 until `counted`."""

    plan: Plan
    piles: dict[str, Pile] = field(default_factory=dict)
    steps: dict[str, Step] = field(default_factory=dict)
    notices: list[Notice] = field(default_factory=list)
    _makers: dict[str, list[str]] = field(default_factory=dict)

    def pile(self, pile: Pile) -> str:
        """Keep a pile and return its id; the same pile twice is one. Raises OneIdForTwo."""
        if self.piles.setdefault(pile.id, pile) != pile:
            raise OneIdForTwo(f"{self.piles[pile.id]} and {pile}")
        return pile.id

    def step(
        self,
        step_id: str,
        operation: str,
        takes: Mapping[str, int],
        gives: Mapping[str, int],
        action: Action,
        topic: Topic,
        size: Size | None = None,
        per: str = "quilt",
        version: str | None = None,
        blocks: tuple[int, ...] | None = None,
        beside: str | None = None,
    ) -> None:
        """Keep a step; the same step twice is one. Raises OneIdForTwo."""
        flows_in = tuple(Flow(pile, each) for pile, each in takes.items())
        flows_out = tuple(Flow(pile, each) for pile, each in gives.items())
        self._keep(Step(step_id, operation, 0, per, flows_in, flows_out, size, action, topic, version, blocks, beside))

    def _keep(self, step: Step) -> None:
        if step.id not in self.steps:
            self.steps[step.id] = step
            for flow in step.gives:
                self._makers.setdefault(flow.pile, []).append(step.id)
        elif self.steps[step.id] != step:
            raise OneIdForTwo(f"{self.steps[step.id]} and {step}")

    def is_free_for(self, piles: Iterable[Pile], steps: Iterable[Step]) -> bool:
        """Whether none of these has the id of another."""
        return all(self.piles.get(pile.id, pile) == pile for pile in piles) and all(
            self.steps.get(step.id, step) == step for step in steps
        )

    def add(self, piles: Iterable[Pile], steps: Iterable[Step], notices: Iterable[Notice] = ()) -> None:
        """Keep what was written on another bench of a like plan, in its order. Raises OneIdForTwo."""
        for pile in piles:
            self.pile(pile)
        for step in steps:
            self._keep(step)
        self.notices += [notice for notice in notices if notice not in self.notices]

    def cut(self, fabric: str, width: Measure, height: Measure, use: str = "unit") -> str:
        """The pile of cut rectangles of one cloth, size and use; the longer side is the width."""
        across, down = max(width, height), min(width, height)
        name = f"{fabric}:{token(across)}x{token(down)}" + ("" if use == "unit" else f":{use}")
        size = across, down
        pile = self.pile(Pile(f"cut:{name}", Thing(_shape(size, use), of=use), Stage.CUT, (fabric,), size))
        self.step(f"cut:{name}", "cut", {}, {pile: 1}, Cut(fabric, *size, use), Topic(About.CUTTING, fabric), size)
        return pile

    def tell(self, kind: str, **facts: object) -> None:
        """Keep a notice, once."""
        self.add((), (), [Notice(kind, tuple(facts.items()))])

    def counted(self, needed: Mapping[str, int]) -> dict[str, int]:
        """How often each step is done so that the piles hold what is `needed` at the end, spares included."""
        return times_needed(list(self.steps.values()), needed)

    def made(self, pile: str, times: Mapping[str, int]) -> int:
        """How many pieces come onto a pile in all."""
        return sum(times[step.id] * flow.each for step in self.makers(pile) for flow in step.gives if flow.pile == pile)

    def makers(self, pile: str) -> list[Step]:
        """The steps that give to a pile."""
        return [self.steps[step_id] for step_id in self._makers[pile]]


def _shape(size: Size, use: str) -> Kind:
    """What people call cut cloth of a size, the longer side first, and use."""
    across, down = size
    if across == down:
        return Kind.SQUARE
    if use in ("frame", "sash", "border", "binding") or across > 6 * down:
        return Kind.STRIP
    return Kind.PANEL if use == "backing" else Kind.RECTANGLE


def diagonals(side: Measure) -> dict[str, Segment]:
    """The two diagonals of a square, as lines on its front."""
    return {"falling": line(0, 0, side, side), "rising": line(0, side, side, 0)}


@dataclass(frozen=True)
class Maker:
    """Writes the steps of one making on the bench. `making` is the id of what is made, `unit` the kind of unit,
    `needed` how many of it all blocks take (0: not known), `side` the hand, where the two are made apart, `units` the
    piles of the units that are sewn into it, and the turn of each, by what it shows there, `apart` whether another unit
    has its parts' ids."""

    bench: Bench
    making: str
    unit: str
    fabrics: tuple[str, ...]
    needed: int = 0
    side: str = ""
    units: Mapping[Region, tuple[str, int]] = field(default_factory=dict)
    apart: bool = False

    @property
    def seam(self) -> Measure:
        """The plan's seam allowance."""
        return self.bench.plan.seam

    @property
    def diagonal_seam(self) -> Measure:
        """What a diagonal seam takes off the side of a square."""
        return self.seam * ROOT2

    @property
    def topic(self) -> Topic:
        """That of its steps."""
        return Topic(About.UNIT, self.making)

    def of_part(self, kind: str, text: str, cloths: Iterable[str], way: str = "") -> Maker:
        """A maker of a part of the unit: its kind (and which way it is made), a text that stands for it, its cloths."""
        making = f"{kind} {way}:{text}" if way else f"{kind}:{text}"
        return replace(self, making=making, unit=kind, fabrics=tuple(dict.fromkeys(cloths)))

    def trimmed_later(self, size: Measure, room: int) -> Measure:
        """The cut size of a piece trimmed later: up to the mark, with `room` shares more if the plan is roomy."""
        plan = self.bench.plan
        if plan.trimming == "roomy":
            size = size + room * ROOM[plan.unit]
        return round_up(size, plan.ruler)

    def cut(self, fabric: str, width: Measure, height: Measure | None = None) -> str:
        """The pile of rectangles of one cloth cut for units; squares where no height is given."""
        return self.bench.cut(fabric, width, width if height is None else height)

    def mark(self, square: str, *which: str) -> str:
        """Mark diagonals ("falling", "rising", and one "beside" the falling one, two seams away) of a pile of cut
        squares; like squares marked alike are one pile."""
        pile = self.bench.piles[square]
        assert pile.size is not None
        side, away = pile.size[0], 2 * self.diagonal_seam
        known = diagonals(side) | {"beside": line(away, 0, side, side - away)}
        lines = tuple(known[name] for name in which)
        name = f"{square.removeprefix('cut:')}:{'+'.join(which)}"
        marked = self.bench.pile(Pile(f"marked:{name}", pile.thing, Stage.MARKED, pile.fabrics, pile.size))
        topic = Topic(About.CUTTING, pile.fabrics[0])
        self.bench.step(f"mark:{name}", "mark", {square: 1}, {marked: 1}, Mark(lines), topic, pile.size)
        return marked

    def mark_unit(self, pile: str, lines: Sequence[Segment]) -> str:
        """Mark lines on the back of sewn pieces, for this making."""
        kept = self.bench.piles[pile]
        marked = self.bench.pile(Pile(f"marked:{self.making}", kept.thing, Stage.MARKED, kept.fabrics, kept.size))
        self.bench.step(marked, "mark", {pile: 1}, {marked: 1}, Mark(tuple(lines)), self.topic, kept.size)
        return marked

    def pair(self, base: str, laid: Iterable[Laid], size: Size | None, within: Round = ONLY) -> str:
        """Lay pieces face down on a base, as `laid` says; the pile of stacks. `size` is None where it tells nothing."""
        laid = tuple(laid)
        takes = Counter([base, *(each.pile for each in laid)])
        return self._write("pair", Stage.PAIRED, takes, Pair(base, laid), size, within)

    def sew(self, pile: str, lines: Sequence[Segment], within: Round = ONLY) -> str:
        """Sew stacks along lines, through all layers; the pile of sewn stacks."""
        return self._one(pile, "sew", Stage.SEWN, Sew(tuple(lines)), self.bench.piles[pile].size, within)

    def cut_apart(
        self,
        pile: str,
        lines: Sequence[Segment],
        parts: Sequence[tuple[XY, int, str | None]],
        within: Round = ONLY,
        size: Size | None = None,
        extra: Mapping[str, str] | None = None,
    ) -> tuple[str, ...]:
        """Cut stacks apart. A part is (a point inside it, turn, hand); hand None is thrown away. `size`: that of each
        part, where it is worth measuring. `extra` has the piles of what is kept beside, by a hand's name.

        Returns the pile of each hand, in order of first mention.
        """
        hands = list(dict.fromkeys(hand for _, _, hand in parts if hand is not None))
        fabrics = self.bench.piles[pile].fabrics
        others = extra or {}
        piles = {hand: others.get(hand) or self._pile(Stage.CUT_APART, size, hand, fabrics, within) for hand in hands}
        gives = {piles[hand]: sum(h == hand for _, _, h in parts) for hand in hands}
        action = CutApart(
            tuple(lines),
            tuple(Part(inside, turn, None if hand is None else piles[hand]) for inside, turn, hand in parts),
        )
        step_id = self._id(Stage.CUT_APART, within)
        self.bench.step(step_id, "cut apart", {pile: 1}, gives, action, self.topic)
        return tuple(piles.values())

    def left_over(self, name: str, cloths: tuple[str, ...], within: Round) -> str:
        """The pile of what is cut off and can be used for something else: nothing here takes it."""
        pile = f"{Stage.CUT_APART.value}{within.mark} bonus {name}:{self.making}"
        thing = Thing(Kind.TRIANGLE, of=BONUS)
        return self.bench.pile(Pile(pile, thing, Stage.CUT_APART, cloths, None))

    def cut_across(
        self, pile: str, lines: Sequence[Segment], parts: Sequence[tuple[XY, int, str | None]], size: Size
    ) -> tuple[str, ...]:
        """Cut a flat piece into like pieces of a known size, which are finished units."""
        (made,) = self.cut_apart(pile, lines, parts)
        kept = self.bench.piles[made]
        self.bench.piles[made] = replace(kept, stage=Stage.CUT_ACROSS, size=size)
        step = self.bench.steps[made]
        self.bench.steps[made] = replace(step, size=size)
        return (made,)

    def sew_strips(self, strips: Sequence[str], size: Size) -> str:
        """Lay strips in order, the first on top, and sew each to the next. One wider than the set is long, which was
        cut with that as its longer side, is turned."""
        turns = [0 if (self.bench.piles[strip].size or size)[0] == size[0] else 90 for strip in strips]
        made = self._id(Stage.SET_OUT)
        places = tuple(Place(strip, turns[row], made, row, 0) for row, strip in enumerate(strips))
        laid = self._write("pair", Stage.SET_OUT, Counter(strips), LayOut(places), None)
        return self._one(laid, "sew", Stage.SEWN, Join("down"), size)

    def press_strips(self, pile: str, toward_next: Sequence[bool], size: Size) -> str:
        """Press the seams of a strip set, each toward the strip before it or the next."""
        seams = []
        for i, onward in enumerate(toward_next, 1):
            between = unit_at(i, 1), unit_at(i + 1, 1)
            seams.append(SeamPress(between, between[onward]))
        return self._one(pile, "press", Stage.PRESSED, PressSeams((tuple(seams),)), size)

    def press(
        self,
        pile: str,
        toward: str,
        cloths: tuple[str, ...],
        size: Size | None,
        turn: int = 0,
        within: Round = ONLY,
    ) -> str:
        """Open stacks and press their seams toward "base" or "laid", where `cloths` lie along the seam."""
        return self._one(pile, "press", Stage.PRESSED, Press(toward, turn, cloths), size, within)

    def trim(self, pile: str, width: Measure, height: Measure, centre: XY, either_hand: bool = False) -> str:
        """Trim to size. With `either_hand` both hands end on one pile, since either serves."""
        hand = self.bench.piles[pile].bag
        action, size = Trim(width, height, centre), (width, height)
        made = self._pile(Stage.TRIMMED, size, None if either_hand else hand, self.bench.piles[pile].fabrics)
        self.bench.step(self._id(Stage.TRIMMED, hand=hand), "trim", {pile: 1}, {made: 1}, action, self.topic, size)
        return made

    def sew_to_dots(self, operation: str, action: SewToDots, within: Round = ONLY) -> str:
        """Sew pieces to another along seams that may end at dots ("sew to dots", "set in")."""
        takes = Counter([action.base, *(each.pile for each in action.pieces)])
        return self._write(operation, Stage.JOINED, takes, action, None, within)

    def press_aside(self, pile: str, action: PressAside, size: Size | None, within: Round = ONLY) -> str:
        """Press what was so sewn."""
        return self._one(pile, "press", Stage.PRESSED, action, size, within)

    def _one(
        self, pile: str, operation: str, stage: Stage, action: Action, size: Size | None, within: Round = ONLY
    ) -> str:
        return self._write(operation, stage, {pile: 1}, action, size, within, self.bench.piles[pile].bag)

    def _write(
        self,
        operation: str,
        stage: Stage,
        takes: Mapping[str, int],
        action: Action,
        size: Size | None,
        within: Round = ONLY,
        hand: str | None = None,
    ) -> str:
        held = {key for pile in takes for key in self.bench.piles[pile].fabrics}
        made = self._pile(stage, size, hand, tuple(key for key in self.fabrics if key in held), within)
        self.bench.step(self._id(stage, within, hand), operation, takes, {made: 1}, action, self.topic, size)
        return made

    def _pile(
        self, stage: Stage, size: Size | None, hand: str | None, fabrics: tuple[str, ...], within: Round = ONLY
    ) -> str:
        lies = Stage.LEVEL if within.level else Stage.CUT if within.flat else stage
        thing = Thing(within.kind, side=self.side, of=self.unit)
        return self.bench.pile(Pile(self._id(stage, within, hand), thing, lies, fabrics, size, hand or None))

    def _id(self, stage: Stage, within: Round = ONLY, hand: str | None = None) -> str:
        return f"{stage.value}{within.mark}{':' + hand if hand else ''}:{self.making}"
