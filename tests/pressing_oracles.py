"""The best pressing of small quilts found in two other ways: by a general integer program, and by trying everything.

Both start from the seams of each block and know nothing of lines, ties or versions counted up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.pressing.meetings import BlockSeams
from tracker.pressing.quilt_pressing import PressedQuilt, neighbours, quilt_seams, unnested_between
from tracker.units.joins import Node


@dataclass(frozen=True, order=True)
class Score:
    """What the pressing of a quilt costs, in order of weight, less being better: of two the lesser is better.

    `against` counts, for each habit in the plan's order, the seams and rows of the versions that go against it.
    """

    inside: int
    between: int
    versions: int
    turns: int
    against: tuple[int, ...]


def score(plan: Plan, pressed: PressedQuilt) -> Score:
    """What a pressing costs, counted afresh."""
    versions = [(pressed.seams[key], sides) for key, own in pressed.versions.items() for sides in own]
    inside = sum(
        pressed.seams[key].unnested(pressed.versions[key][version])
        for key, (version, _) in zip(pressed.keys, pressed.places, strict=True)
    )
    return Score(
        inside,
        unnested_between(plan, pressed),
        len(versions),
        sum(turn for _, turn in pressed.places),
        tuple(map(sum, zip(*(_charge(seams, own) for seams, own in versions), strict=True))),
    )


@dataclass(frozen=True)
class Question:
    """A quilt as both oracles see it: the kind of each place, the seams of each kind, the meetings between places, with
    1 where two seams that meet nest when their sides are alike, as their blocks are turned."""

    keys: tuple[str, ...]
    seams: Mapping[str, BlockSeams]
    between: tuple[tuple[tuple[int, int], tuple[int, int], int], ...]


def question_of(plan: Plan, roots: Mapping[str, Node]) -> Question:
    """Place and seam of both sides of each meeting between blocks."""
    keys = tuple(plan.quilt.blocks_in_order())
    seams = {key: quilt_seams(plan, key, roots[key]) for key in dict.fromkeys(keys)}
    between = []
    turns = list(plan.quilt.turns_in_order())
    for pair in neighbours(plan):
        one, other = seams[keys[pair.first]], seams[keys[pair.second]]
        if one.frame is not None and one.frame == other.frame:
            continue  # a cloth that meets itself
        first = _turned_edge(plan, one, keys[pair.first], turns[pair.first], pair.edges[0])
        second = _turned_edge(plan, other, keys[pair.second], turns[pair.second], pair.edges[1])
        for at in first:
            if at in second:
                (seam, over), (there, over_there) = first[at], second[at]
                between.append(((pair.first, seam), (pair.second, there), over ^ over_there))
    return Question(keys, seams, tuple(between))


SPOTS = {"top": (0, -1), "right": (1, 0), "bottom": (0, 1), "left": (-1, 0)}
"""Where an edge lies, seen from the middle of its block."""


def _turned_edge(plan: Plan, seams: BlockSeams, key: str, turn: int, edge: str) -> dict[Measure, tuple[int, int]]:
    """Each seam that runs out at an edge of a block turned by so many degrees, by its place from the left or top; and 1
    where its second side lies to the left or above. Every end is turned about the middle, one quarter after another."""
    width, height = plan.blocks[key].finished(plan.seam)
    found = {}
    for own, ends in seams.edges.items():
        for at, seam in ends.items():
            upright = own in ("top", "bottom")
            spot = SPOTS[own]
            end = (2 * at - width, height * spot[1]) if upright else (width * spot[0], 2 * at - height)
            second = (1, 0) if upright else (0, 1)
            for _ in range(turn // 90):
                spot, end, second = (-spot[1], spot[0]), (-end[1], end[0]), (-second[1], second[0])
            if spot == SPOTS[edge]:
                along = end[0] if edge in ("top", "bottom") else end[1]
                found[(along + (width if edge in ("top", "bottom") else height)) / 2] = seam, int(sum(second) < 0)
    return found


# Trying everything


def best_by_trying(question: Question) -> Score:
    """The best over all sides of all seams in all places; blocks pressed alike, or alike when turned, are a version."""
    places = [list(_all_sides(question.seams[key])) for key in question.keys]
    return min(_score(question, sides) for sides in product(*places))


def _all_sides(seams: BlockSeams) -> Iterator[tuple[int, ...]]:
    yield from product(*((0, 1) if seam.fixed is None else (seam.fixed,) for seam in seams.seams))


def _score(question: Question, sides: Sequence[tuple[int, ...]]) -> Score:
    inside = sum(question.seams[key].unnested(own) for key, own in zip(question.keys, sides, strict=True))
    between = sum(sides[p][a] == sides[q][b] ^ over for (p, a), (q, b), over in question.between)
    versions: dict[tuple[str, tuple[int, ...]], list[int]] = {}
    for key, own in zip(question.keys, sides, strict=True):
        seams = question.seams[key]
        over = own if seams.turned is None else seams.upside_down(own)
        counts = versions.setdefault((key, min(own, over)), [0, 0])
        counts[own > over] += 1
    charged = [_charge(question.seams[key], own) for key, own in versions]
    turns = sum(min(counts) for counts in versions.values())
    return Score(inside, between, len(versions), turns, tuple(map(sum, zip(*charged, strict=True))))


def _charge(seams: BlockSeams, sides: tuple[int, ...]) -> list[int]:
    """How often each habit is gone against."""
    charge = [0] * seams.habits
    for seam, side in zip(seams.seams, sides, strict=True):
        if seam.fixed is None:
            charge = [sum_ + each[side] for sum_, each in zip(charge, seam.against, strict=True)]
    for habit, row in seams.rows:
        charge[habit] += len({sides[seam] for seam in row}) > 1
    return charge


# An integer program

Terms = dict[int, int]
"""Variables with their factors."""


@dataclass
class Program:
    """An integer program put together row by row: variables 0 to 1, and bounds of sums of them."""

    count: int = 0
    rows: list[tuple[Terms, float, float]] = field(default_factory=list)
    fixed: dict[int, int] = field(default_factory=dict)

    def variable(self, value: int | None = None) -> int:
        if value is not None:
            self.fixed[self.count] = value
        self.count += 1
        return self.count - 1

    def bound(self, terms: Terms, least: float = -np.inf, most: float = np.inf) -> None:
        self.rows.append((terms, least, most))

    def equal_where(self, first: int, second: int, where: int, differ: bool) -> None:
        """Two variables are equal (or differ) where a third is 1."""
        if differ:
            self.bound({first: 1, second: 1, where: 1}, most=2)
            self.bound({first: 1, second: 1, where: -1}, least=0)
        else:
            self.bound({first: 1, second: -1, where: 1}, most=1)
            self.bound({second: 1, first: -1, where: 1}, most=1)

    def least(self, costs: Terms) -> int:
        """The least of a sum, kept from then on."""
        if not costs:
            return 0
        objective = np.zeros(self.count)
        for variable, factor in costs.items():
            objective[variable] = factor
        entries = [(row, v, f) for row, (terms, _, _) in enumerate(self.rows) for v, f in terms.items()]
        number, column, factor = (list(each) for each in zip(*entries, strict=True)) if entries else ([], [], [])
        matrix = coo_array((factor, (number, column)), shape=(len(self.rows), self.count)).tocsr()
        lower, upper = np.zeros(self.count), np.ones(self.count)
        for variable, value in self.fixed.items():
            lower[variable] = upper[variable] = value
        found = milp(
            objective,
            integrality=np.ones(self.count),
            bounds=Bounds(lower, upper),
            constraints=LinearConstraint(matrix, [row[1] for row in self.rows], [row[2] for row in self.rows])
            if self.rows
            else None,
            options={"mip_rel_gap": 0},
        )
        assert found.success, found.message
        value = round(found.fun)
        self.bound(dict(costs), most=value)
        return value


def best_by_program(question: Question) -> Score:
    """The best score by mixed-integer programming, one law after the other."""
    return _Pressed(question).best()


class _Pressed:
    """The program: a side for each seam of each place, versions to choose from, and what each law counts."""

    def __init__(self, question: Question) -> None:
        self.question, self.program = question, Program()
        self.inside: list[int] = []
        self.between: list[int] = []
        self.used: list[int] = []
        self.turned: list[int] = []
        self.against: list[list[int]] = [[] for _ in range(next(iter(question.seams.values())).habits)]
        self.sides = [self._sides(question.seams[key]) for key in question.keys]
        for key, own in zip(question.keys, self.sides, strict=True):
            meetings = question.seams[key].meetings
            self.inside += [self._unnested(own[each.first], own[each.second]) for each in meetings]
        for (p, a), (q, b), over in question.between:
            unnested = self._nested_alike if over else self._unnested
            self.between.append(unnested(self.sides[p][a], self.sides[q][b]))
        for key, seams in question.seams.items():
            self._versions(seams, [place for place, own in enumerate(question.keys) if own == key])

    def _sides(self, seams: BlockSeams) -> list[int]:
        return [self.program.variable(seam.fixed) for seam in seams.seams]

    def _unnested(self, first: int, second: int) -> int:
        """1 where two sides are the same."""
        lost = self.program.variable()
        self.program.bound({first: 1, second: 1, lost: -1}, most=1)
        self.program.bound({first: 1, second: 1, lost: 1}, least=1)
        return lost

    def _nested_alike(self, first: int, second: int) -> int:
        """1 where two sides differ, of seams that are alike when they nest."""
        lost = self.program.variable()
        self.program.bound({first: 1, second: -1, lost: -1}, most=0)
        self.program.bound({second: 1, first: -1, lost: -1}, most=0)
        return lost

    def _versions(self, seams: BlockSeams, places: Sequence[int]) -> None:
        """As many versions to choose from as there are places; each place takes one, as it is or turned."""
        program = self.program
        takes: dict[int, list[int]] = {place: [] for place in places}
        for _ in places:
            used, sides = program.variable(), self._sides(seams)
            self.used.append(used)
            for place in places:
                as_is = program.variable()
                self._takes(as_is, used, sides, self.sides[place])
                takes[place].append(as_is)
                if seams.turned is not None:
                    over = program.variable()
                    self.turned.append(over)
                    program.bound({over: 1, used: -1}, most=0)
                    for seam, there in enumerate(seams.turned):
                        program.equal_where(self.sides[place][seam], sides[there], over, differ=True)
                    takes[place].append(over)
            self._charge(seams, used, sides)
        for chosen in takes.values():
            program.bound(dict.fromkeys(chosen, 1), least=1, most=1)

    def _takes(self, takes: int, used: int, version: Sequence[int], place: Sequence[int]) -> None:
        self.program.bound({takes: 1, used: -1}, most=0)
        for one, other in zip(version, place, strict=True):
            self.program.equal_where(one, other, takes, differ=False)

    def _charge(self, seams: BlockSeams, used: int, sides: Sequence[int]) -> None:
        """What a version costs where it is used."""
        for habit, row in seams.rows:
            mixed = self.program.variable()
            self.against[habit].append(mixed)
            for one, other in pairwise(row):
                for a, b in ((one, other), (other, one)):
                    self.program.bound({sides[a]: 1, sides[b]: -1, used: 1, mixed: -1}, most=1)
        for seam, side in zip(seams.seams, sides, strict=True):
            for costs, counted in zip(seam.against, self.against, strict=False):
                if seam.fixed is None and any(costs):
                    cost = self.program.variable()
                    counted.append(cost)
                    # 1 where the seam goes to the side that costs something.
                    factor, wanted = (1, 1) if costs[1] else (-1, 0)
                    self.program.bound({side: factor, used: 1, cost: -1}, most=wanted)

    def best(self) -> Score:
        lost = self._least(self.inside, self.between)
        chosen = self._least(self.used, self.turned)
        return Score(*lost, *chosen, tuple(self._least(*self.against)))

    def _least(self, *counted: list[int]) -> list[int]:
        """The least of several counts, the first weighing more than all after it."""
        costs: Terms = {}
        weights = []
        weight = 1
        for each in reversed(counted):
            weights.append(weight)
            costs.update(dict.fromkeys(each, weight))
            weight *= len(each) + 1
        total = self.program.least(costs)
        found = []
        for weight in reversed(weights):
            found.append(total // weight)
            total %= weight
        return found
