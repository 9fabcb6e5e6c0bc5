"""What the top measured before a border goes on, and what follows from it. Pure, exact.

Sides first, then top and bottom. Before each pair of strips the top is measured through the middle and near both
edges; both strips are cut to the average, and the top is eased to them. So what was measured, not what was planned, is
the top's length from then on, and later borders follow from it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.geometry import ZERO
from tracker.exact.measure import LengthFault, Measure, nearest, read_length
from tracker.plan.model import Plan
from tracker.progress.changes import Refused
from tracker.quilt.borders import MITRE_ROOM, BindingNeed, binding_round
from tracker.work.steps import About, AddStrips, Checklist, Size, Step
from tracker.work.things import ENDS, SIDES, Kind
from tracker.work.whole_blocks import AddBorder, JoinParts

MOST_FIGURES = 5
"""So many lengths are one measuring, at most."""

EDGES = {SIDES: ("left", "right"), ENDS: ("upper", "lower")}
"""The edges of the top that the strips of a pair are sewn to."""

UNEVEN = {"in": Measure(Fraction(1, 2)), "cm": Measure(Fraction(6, 5))}
"""Figures of one measuring that differ by more say that an edge waves or the top is out of square."""

EASED = Fraction(1, 80)
"""What an edge can usually be eased, for its length: 1/4 in for 20 in (common practice)."""

FAR_OFF = Fraction(1, 20)
"""Further than that from the plan, the figure may have been typed wrongly."""

POSSIBLE = Fraction(1, 2), 2
"""No top measures less or more than so many times what was planned."""


def is_measured(step: Step) -> bool:
    """Whether the top is measured for a step: it cuts a pair of border strips to length."""
    return step.topic.about is About.BORDERS and step.operation == "trim"


@dataclass(frozen=True)
class Figures:
    """Lengths of one measuring in the plan's unit, in order from one edge of the top to the other, and as `typed`."""

    lengths: tuple[Measure, ...]
    typed: tuple[str, ...] = ()

    @property
    def average(self) -> Measure:
        """Exact."""
        return sum(self.lengths, Measure()) / len(self.lengths)

    @property
    def spread(self) -> Measure:
        """How much the longest differs from the shortest."""
        return max(self.lengths) - min(self.lengths)

    def cut(self, mark: Measure) -> Measure:
        """The length to cut both strips: the average, rounded once to the ruler's nearest mark."""
        return nearest(self.average, mark)

    def shape(self, unit: str) -> str:
        """What the figures say of the top: "even", "out of square" (one edge is longer than the other), "edges long"
        or "middle long"; "uneven" where two figures alone do not tell which."""
        if self.spread <= UNEVEN[unit]:
            return "even"
        if len(self.lengths) < 3:
            return "uneven"
        first, *inner, last = self.lengths
        if 2 * abs(first - last) >= self.spread:
            return "out of square"
        between = sum(inner, Measure()) / len(inner)
        return "edges long" if first + last > 2 * between else "middle long"

    def longer_edge(self) -> int:
        """0 where the first edge is the longer one, else 1."""
        return 0 if self.lengths[0] >= self.lengths[-1] else 1


def read_figures(lengths: object, planned: Measure, unit: str) -> Figures:
    """The figures of one measuring, as people write them. Raises Refused, naming the first that cannot be."""
    if not isinstance(lengths, (list, tuple)) or not 1 <= len(lengths) <= MOST_FIGURES:
        raise Refused("no length", why="how many", most=MOST_FIGURES)
    return Figures(tuple(_read(text, planned, unit) for text in lengths), tuple(lengths))


def _read(text: object, planned: Measure, unit: str) -> Measure:
    if not isinstance(text, str):
        raise Refused("no length", why="unreadable", text=str(text), unit=unit)
    try:
        found = read_length(text, unit)
    except LengthFault as fault:
        raise Refused("no length", why=fault.kind, text=text, unit=unit) from fault
    if not POSSIBLE[0] * planned <= found <= POSSIBLE[1] * planned:
        raise Refused("no length", why="impossible", text=text, unit=unit, planned=planned)
    return found


@dataclass(frozen=True)
class BorderPair:
    """Two like strips of a border (numbered from 1): on its "sides", or its "top and bottom".

    `step` cuts both to length, `planned` is that length, `cut` their width. `corners`: cornerstones are sewn to them.
    Where they are mitred `planned` is how long the top is there, and they are cut `mitre` longer, `mitre_room` of it
    beyond the corners.
    """

    step: Step
    border: int
    where: str
    planned: Measure
    cut: Measure
    corners: bool = False
    mitre: Measure = ZERO
    mitre_room: Measure = ZERO

    @property
    def as_before(self) -> bool:
        """Whether they are measured as the top was before this border's sides."""
        return self.corners or (self.where == ENDS and bool(self.mitre))

    @property
    def made_from(self) -> str:
        """The pile of strips that are cut to length."""
        return self.step.takes[0].pile


def border_pairs(plan: Plan, checklist: Checklist) -> tuple[BorderPair, ...]:
    """The pairs of strips in the order in which they are sewn on."""
    steps = {}
    for step in checklist.steps:
        if is_measured(step):
            thing = checklist.made(step).thing
            steps[thing.number, thing.side] = step
    found = []
    for number, border in enumerate(plan.quilt.borders, 1):
        room = MITRE_ROOM[plan.unit] if border.mitred else Measure()
        more = 2 * (border.cut - 2 * plan.seam) + room if border.mitred else Measure()
        # Pieced strips are as long as they are: the top is cut to them.
        for where in () if border.is_pieced else (SIDES, ENDS):
            step = steps[number, where]
            planned, corners = _length(step, border.cut) - more, where == ENDS and bool(border.corners)
            found.append(BorderPair(step, number, where, planned, border.cut, corners, more, room))
    return tuple(found)


def _length(step: Step, width: Measure) -> Measure:
    """A strip shorter than it is wide lies the other way."""
    assert step.size is not None
    return step.size[0] if step.size[1] == width else step.size[1]


@dataclass(frozen=True)
class Strips:
    """A pair of strips by what was measured so far. `expected`: its length by the plan and by what was measured before;
    `figures`: what was measured for it, None where nothing was; `mark`: the ruler's. `after`: the unfinished size of
    the top once it is sewn on."""

    pair: BorderPair
    expected: Measure
    figures: Figures | None
    mark: Measure
    after: Size

    @property
    def length(self) -> Measure:
        """To what both are cut; the plan's, or what is expected, where nothing was measured."""
        return self.expected if self.figures is None else self.figures.cut(self.mark)

    @property
    def off_plan(self) -> Measure:
        """How much longer than planned (less than 0: shorter)."""
        return self.length - self.pair.planned

    @property
    def far_off(self) -> bool:
        """Whether that is so much that a figure may have been typed wrongly."""
        return abs(self.off_plan) > FAR_OFF * self.pair.planned

    @property
    def eased(self) -> tuple[Measure, ...]:
        """By how much each edge of the top (see EDGES) is longer than its strip (less than 0: shorter); nothing where
        it was measured in fewer than three places."""
        if self.figures is None or len(self.figures.lengths) < 3:
            return ()
        return self.figures.lengths[0] - self.length, self.figures.lengths[-1] - self.length

    @property
    def usual_ease(self) -> Measure:
        """What an edge of this length is usually eased, at most."""
        return EASED * self.length

    @property
    def lacking(self) -> Measure:
        """How much too short the strips are that were cut to the plan; 0 where they are long enough. Half of what a
        mitred strip has beyond its corners may go."""
        lacks = nearest(self.length, self.mark) - self.had
        if self.pair.mitre and lacks <= self.pair.mitre_room / 2:
            return Measure()
        return max(lacks, Measure())

    @property
    def had(self) -> Measure:
        """How long the strips are cut that it is made of: to the plan, off the ruler's marks to the nearest."""
        planned = self.pair.planned
        return planned if planned.is_rational else nearest(planned, self.mark)


def strips_now(plan: Plan, checklist: Checklist, measured: Mapping[str, Sequence[str]]) -> tuple[Strips, ...]:
    """All pairs of strips by what was measured: `measured` has the lengths as typed by the step's id."""
    pairs = border_pairs(plan, checklist)
    if not pairs:
        return ()
    size, found = _before(plan, pairs), []
    for place, pair in enumerate(pairs):
        if pair.where == SIDES and pair.border > 1 and plan.quilt.borders[pair.border - 2].is_pieced:
            # The top was cut to its planned size for the pieced border before.
            size = _before(plan, pairs[place:])
        wide = pair.cut - 2 * plan.seam
        across, down = size
        # With cornerstones the top and bottom are as long as the top was wide before this border's sides.
        expected = down if pair.where == SIDES else across - 2 * wide if pair.corners else across
        typed = measured.get(pair.step.id)
        figures = None if typed is None else read_figures(tuple(typed), pair.planned, plan.unit)
        length = expected if figures is None else figures.cut(plan.ruler)
        if pair.where == SIDES:
            size = across if pair.mitre else across + 2 * wide, length
        else:
            wider = 2 * wide if pair.as_before else Measure()
            size = length + wider, down + 2 * wide
        found.append(Strips(pair, expected, figures, plan.ruler, size))
    return tuple(found)


def _before(plan: Plan, pairs: Sequence[BorderPair]) -> Size:
    """The planned size of the top before its borders, unfinished."""
    sides, ends = pairs[:2]
    return ends.planned - (0 if ends.as_before else 2 * (sides.cut - 2 * plan.seam)), sides.planned


def sizes_now(plan: Plan, checklist: Checklist, strips: Sequence[Strips]) -> dict[str, Size]:
    """What lies there after each step (by its id) where that is not the planned size, by what was measured, as far as
    the ruler shows it."""
    if all(each.figures is None for each in strips):
        return {}
    planned, found = strips_now(plan, checklist, {})[-1].after, dict[str, Size]()
    by_step, now, size = {each.pair.step.id: each for each in strips}, strips[0], None
    with_corners: set[str] = set()
    ends_pieced = plan.quilt.borders[-1].is_pieced
    for step in checklist.steps:
        if is_measured(step):
            now = by_step[step.id]
        elif _as_planned(plan, step, checklist) or (ends_pieced and step.topic.about is About.FINISHING):
            size = step.size
        elif step.topic.about is About.FINISHING and step.size == planned:
            found[step.id] = strips[-1].after
        elif step.topic.about is About.BORDERS and (
            isinstance(step.action, JoinParts) or step.takes[0].pile in with_corners
        ):
            with_corners.add(step.gives[0].pile)
            found[step.id] = now.length + 2 * (now.pair.cut - 2 * plan.seam), now.pair.cut
        elif step.topic.about is About.BORDERS:
            if isinstance(step.action, AddBorder):
                border = checklist.made(step).thing.number
                size = next(each.after for each in reversed(strips) if each.pair.border == border)
            elif isinstance(step.action, AddStrips):
                size = now.after
            assert size is not None
            found[step.id] = size
    sizes = {step.id: step.size for step in checklist.steps}
    return {step: size for step, size in found.items() if _on_ruler(plan, size) != _on_ruler(plan, sizes[step])}


def _as_planned(plan: Plan, step: Step, checklist: Checklist) -> bool:
    """Whether what lies there is of the planned size, whatever was measured: a pieced border, and a top cut for one."""
    if step.topic.about is not About.BORDERS:
        return False
    thing, borders = checklist.made(step).thing, plan.quilt.borders
    if thing.kind is Kind.TOP:
        return borders[min(thing.number, len(borders) - 1)].is_pieced
    return borders[thing.number - 1].is_pieced


def _on_ruler(plan: Plan, size: Size | None) -> list[Measure]:
    return [nearest(side, plan.ruler) for side in size or ()]


@dataclass(frozen=True)
class BindingNow:
    """A binding by what was measured: what is `needed` now, and how long the strips of the plan are when `joined`."""

    needed: BindingNeed
    planned: BindingNeed
    joined: Measure

    @property
    def lacking(self) -> Measure:
        """How much too short the planned strips are; 0 where they are long enough."""
        return max(self.needed.length - self.joined, Measure())


def binding_now(plan: Plan, checklist: Checklist, strips: Sequence[Strips]) -> BindingNow | None:
    """The binding of a top with these borders; None where the plan has no binding or no border, or nothing was
    measured."""
    if all(each.figures is None for each in strips) or plan.quilt.borders[-1].is_pieced:
        return None
    planned = binding_round(plan, strips_now(plan, checklist, {})[-1].after)
    needed = binding_round(plan, strips[-1].after)
    if planned is None or needed is None:
        return None
    usable = plan.fabrics[planned.fabric].usable
    # Joined on the diagonal, each join takes a strip's width.
    return BindingNow(needed, planned, usable * planned.strips - planned.width * (planned.strips - 1))


@dataclass(frozen=True)
class BordersStanding:
    """Borders and what comes after them by what was measured: the pairs of strips, other sizes than planned by step
    (see sizes_now), and the binding."""

    strips: tuple[Strips, ...]
    sizes: Mapping[str, Size]
    binding: BindingNow | None

    def of(self, step: Step) -> Strips | None:
        """The pair that a step cuts to length."""
        return next((each for each in self.strips if each.pair.step.id == step.id), None)


def standing(plan: Plan, checklist: Checklist, measured: Mapping[str, Sequence[str]]) -> BordersStanding:
    """All that follows from what was measured: `measured` has the lengths as typed by the step's id."""
    strips = strips_now(plan, checklist, measured)
    return BordersStanding(strips, sizes_now(plan, checklist, strips), binding_now(plan, checklist, strips))
