"""Which way the joins of a block are pressed: lines of meeting seams alternate; for the rest, the habits of the trade.

Seams that meet one after another lie in a line, so their sides take turns: one choice settles the whole line, and a
seam that is pressed already (inside a unit, or a frame) leaves none. Between two that are pressed already and do not
fit, one meeting cannot nest; the only choice is which. A seam pressed open nests nothing, so it never helps.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from tracker.pressing.meetings import BlockSeams
from tracker.pressing.solver import Cheapest, Network, cheapest

STEP = 28
"""Bits between the weights of two habits: no number of seams against the lesser weighs as much as one against the
greater."""

Sides = tuple[int, ...]
"""For each seam of a block the side that it is pressed to: 0 the first (left or upper) part, 1 the other."""


@dataclass(frozen=True)
class SeamLine:
    """Seams that meet one after another, from the top or left, and the ways to press them: the sides in each.

    `free` where both ways are possible because none of them is pressed already.
    """

    seams: tuple[int, ...]
    ways: tuple[Sides, ...]
    free: bool = False


@dataclass(frozen=True)
class SeamLines:
    """All seams of a block in lines."""

    block: BlockSeams
    lines: tuple[SeamLine, ...]

    @cached_property
    def place(self) -> tuple[tuple[int, int], ...]:
        """For each seam its line and its place in it."""
        found = {seam: (i, j) for i, line in enumerate(self.lines) for j, seam in enumerate(line.seams)}
        return tuple(found[seam] for seam in range(len(found)))

    @cached_property
    def turned(self) -> tuple[int, ...] | None:
        """For each line the one that comes to lie there after half a turn."""
        if self.block.turned is None:
            return None
        return tuple(self.place[self.block.turned[line.seams[0]]][0] for line in self.lines)

    def sides(self, ways: Sequence[int]) -> Sides:
        """The side of each seam where each line is pressed in one of its ways."""
        return tuple(self.lines[line].ways[ways[line]][at] for line, at in self.place)


def lines_of(block: BlockSeams) -> SeamLines:
    """The seams of a block in lines."""
    onward = {meeting.first: meeting.second for meeting in block.meetings}
    inner = set(onward.values())
    lines: list[SeamLine] = []
    for first in range(len(block.seams)):
        if first in inner:
            continue
        run = [first]
        while run[-1] in onward:
            run.append(onward[run[-1]])
        fixed = [i for i, seam in enumerate(run) if block.seams[seam].fixed is not None]
        if not fixed:
            ways = tuple(tuple((i + start) % 2 for i in range(len(run))) for start in (0, 1))
            lines.append(SeamLine(tuple(run), ways, free=True))
            continue
        lines += _between_fixed(block, run, fixed)
    return SeamLines(block, tuple(lines))


def _between_fixed(block: BlockSeams, run: Sequence[int], fixed: Sequence[int]) -> list[SeamLine]:
    """The lines of a run in which some seams are pressed already."""
    known: dict[int, int] = {}
    for i in fixed:
        known[i] = block.seams[run[i]].fixed or 0
    for i in range(fixed[0] - 1, -1, -1):
        known[i] = 1 - known[i + 1]
    for i in range(fixed[-1] + 1, len(run)):
        known[i] = 1 - known[i - 1]
    lines = []
    for start, end in pairwise(fixed):
        count = end - start - 1
        forth = [(known[start] + i) % 2 for i in range(1, count + 1)]
        back = [(known[end] + count + 1 - i) % 2 for i in range(1, count + 1)]
        fits = (known[start] + end - start) % 2 == known[end]
        if fits:
            known.update(zip(range(start + 1, end), forth, strict=True))
        elif count:
            ways = tuple(tuple(forth[:lost_at] + back[lost_at:]) for lost_at in range(count + 1))
            lines.append(SeamLine(tuple(run[start + 1 : end]), ways))
    sure = sorted(known)
    lines.append(SeamLine(tuple(run[i] for i in sure), (tuple(known[i] for i in sure),)))
    return lines


# What a choice costs


@dataclass(frozen=True)
class Toss:
    """The way of a free line: that of the common choice `root`, or the other one (`flip`). Root 0 is known: way 0."""

    root: int
    flip: int


@dataclass(frozen=True)
class ChosenWays:
    """The best ways of every version's lines, and what they cost."""

    ways: tuple[tuple[int, ...], ...]
    cost: int
    proven: bool


def choose_ways(versions: Sequence[tuple[SeamLines, Callable[[int], Toss]]]) -> ChosenWays:
    """The cheapest ways to press several versions of blocks together.

    Each version brings its lines and, for each free line by number, the common choice that it hangs on.
    """
    network = _PressWays()
    asked = [[network.way(lines, number, toss) for number in range(len(lines.lines))] for lines, toss in versions]
    for (lines, _), own in zip(versions, asked, strict=True):
        network.charge(lines, own)
    found = network.cheapest()
    ways = tuple(tuple(way.read(found.values) for way in own) for own in asked)
    return ChosenWays(ways, found.cost, found.proven)


@dataclass(frozen=True)
class _Way:
    """The way of one line as a variable of the network, or as its other value where `flip` is 1."""

    variable: int
    flip: int
    values: int

    def read(self, values: Sequence[int]) -> int:
        return values[self.variable] ^ self.flip

    def in_order(self, of_ways: Sequence[int]) -> list[int]:
        """Something known for each way, for each value of the variable."""
        return [of_ways[value ^ self.flip] for value in range(self.values)]


class _PressWays:
    def __init__(self) -> None:
        self.network = Network()
        self.roots = {0: self.network.variable([0])}

    def way(self, lines: SeamLines, number: int, toss: Callable[[int], Toss]) -> _Way:
        line = lines.lines[number]
        if not line.free:
            return _Way(self.network.variable([0] * len(line.ways)), 0, len(line.ways))
        hung = toss(number)
        if hung.root not in self.roots:
            self.roots[hung.root] = self.network.variable([0, 0])
        return _Way(self.roots[hung.root], hung.flip, 1 if hung.root == 0 else 2)

    def charge(self, lines: SeamLines, ways: Sequence[_Way]) -> None:
        """Add what one version costs."""
        block = lines.block
        weights = [1 << STEP * (block.habits - 1 - habit) for habit in range(block.habits)]
        for number, seam in enumerate(block.seams):
            way, sides = self._sides(lines, ways, number)
            if seam.fixed is None:
                costs = [sum(w * each[side] for w, each in zip(weights, seam.against, strict=True)) for side in (0, 1)]
                self.network.alone(way.variable, [costs[side] for side in sides])
        for habit, row in block.rows:
            members = [(way.variable, sides) for way, sides in (self._sides(lines, ways, n) for n in row)]
            self.network.agree(members, weights[habit])

    def _sides(self, lines: SeamLines, ways: Sequence[_Way], seam: int) -> tuple[_Way, list[int]]:
        line, at = lines.place[seam]
        return ways[line], ways[line].in_order([sides[at] for sides in lines.lines[line].ways])

    def cheapest(self) -> Cheapest:
        found = cheapest(self.network)
        assert found is not None, "every way is allowed"
        return found
