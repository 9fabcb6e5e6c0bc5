"""Which version of its block lies in each place of a quilt, and which way up: the fewest versions, the fewest turns.

Places are filled in reading order. Each place takes a version that is there already, as it is or turned half round, or
a new one; that ties lines of seams of its version to those of its neighbours' versions, which must go opposite ways. A
tie that contradicts what is tied already sends the search back. When every place is filled the ways to press what is
still free are chosen, and the search goes on for something better until there is nothing, or its patience ends.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from tracker.exact.measure import Measure
from tracker.pressing.block_pressing import ChosenWays, SeamLines, Toss, choose_ways
from tracker.pressing.meetings import meeting_ends
from tracker.pressing.ties import Ties

ALL_AT_ONCE = 6
"""Up to so many lines that must lose a meeting have it chosen one by one where they come to a place together."""

MOST_REMEMBERED = 200_000
"""How many places the search writes down, in all, to know again what it has tried."""


@dataclass(frozen=True)
class Neighbours:
    """Two places, by number, the first in reading order before; and which edges of them are sewn to each other."""

    first: int
    second: int
    edges: tuple[str, str]


@dataclass(frozen=True)
class Arranged:
    """Version (from 0) and turn (0 or 1 half turns) of each place; for each kind its versions' ways; `proven`: nothing
    better can be."""

    places: tuple[tuple[int, int], ...]
    ways: tuple[tuple[tuple[int, ...], ...], ...]
    proven: bool


@dataclass(frozen=True)
class _End:
    """A seam that runs out at an edge: the side it is pressed to, where `line` is in its first way (None: always)."""

    line: int | None
    side: int


@dataclass(frozen=True)
class _Link:
    """A meeting of two seams across the edge between two places."""

    first: _End
    second: _End


Tie = tuple[int, int, int, int]
"""Two nodes, whether they differ, and the number of the link."""


def arrange(
    kinds: Sequence[SeamLines],
    places: Sequence[int],
    lie: Sequence[int],
    neighbours: Sequence[Neighbours],
    patience: int,
) -> Arranged:
    """Versions and turns for places, each of the kind with that number, lying in quarter turns that are not chosen.

    A kind may be turned where its `Lines.turned` says how. `patience` is how many places the search may fill for each
    number of versions before it is content with what it has.
    """
    table = _CostTable(kinds, places, lie, neighbours)
    proven = True
    for versions in range(len(set(places)), len(places) + 1):
        search = _VersionSearch(table, versions, max(patience, 4 * len(places)))
        search.run()
        if search.best is not None:
            return search.arranged(proven)
        proven = proven and not search.tired
    raise AssertionError("a version for each place is always possible")


class _CostTable:
    """What does not change during the search: who meets whom, and which meetings must be lost somewhere."""

    def __init__(
        self, kinds: Sequence[SeamLines], places: Sequence[int], lie: Sequence[int], neighbours: Sequence[Neighbours]
    ) -> None:
        self.kinds, self.places, self.lie, self.neighbours = kinds, places, lie, neighbours
        self.edges = {
            (kind, turn): {edge: _ends(kinds[kind], edge, turn) for edge in kinds[kind].block.edges}
            for kind, turn in dict.fromkeys(zip(places, lie, strict=True))
        }
        self._links: dict[tuple[object, ...], tuple[_Link, ...]] = {}
        self.before: list[list[int]] = [[] for _ in places]
        for number, pair in enumerate(neighbours):
            self.before[pair.second].append(number)
        self.losing: dict[tuple[int, int], int] = {}
        self.last_chance: set[tuple[int, int]] = set()
        self._find_losing()
        self.beside = self._beside()
        # Of very large quilts not every state is remembered.
        self.stride = 1 + sum(map(len, self.beside)) // MOST_REMEMBERED

    def links(self, number: int) -> tuple[_Link, ...]:
        """The meetings between two neighbours, the same for all neighbours of those kinds that lie so."""
        pair = self.neighbours[number]
        key = self.neighbours_alike(pair)
        if key not in self._links:
            (one, turn), (other, other_turn) = key[:2]
            first, second = self.edges[one, turn][pair.edges[0]], self.edges[other, other_turn][pair.edges[1]]
            blocks = self.kinds[one].block, self.kinds[other].block
            met = meeting_ends(*blocks, pair.edges, (turn, other_turn))
            self._links[key] = tuple(_Link(first[at], second[at]) for at, _ in met)
        return self._links[key]

    def neighbours_alike(self, pair: Neighbours) -> tuple[tuple[int, int], tuple[int, int], tuple[str, str]]:
        """The kinds of two neighbours, each with how it lies, and their edges."""
        first, second = ((self.places[place], self.lie[place]) for place in (pair.first, pair.second))
        return first, second, pair.edges

    def _beside(self) -> list[tuple[int, ...]]:
        """For each number of places filled, those among them that have a neighbour still to come."""
        last = list(range(len(self.places)))
        for pair in self.neighbours:
            last[pair.first] = max(last[pair.first], pair.second)
        beside: list[tuple[int, ...]] = [()]
        for place in range(len(self.places)):
            beside.append(tuple(p for p in (*beside[-1], place) if last[p] > place))
        return beside

    def _find_losing(self) -> None:
        """Follow every line that begins at a seam pressed already; where it ends at one that does not fit, one of its
        meetings is lost, whichever."""
        if not any(
            end.line is None for edges in self.edges.values() for ends in edges.values() for end in ends.values()
        ):
            return
        onward: dict[tuple[int, int], tuple[int, int]] = {}
        starts = []
        for number, pair in enumerate(self.neighbours):
            for place, link in enumerate(self.links(number)):
                if link.first.line is not None:
                    onward[pair.first, link.first.line] = number, place
                elif link.second.line is not None:
                    starts.append((number, place))
        for start in starts:
            self._follow(start, onward)

    def _follow(self, start: tuple[int, int], onward: Mapping[tuple[int, int], tuple[int, int]]) -> None:
        run, way = [], 0
        at: tuple[int, int] | None = start
        while at is not None:
            run.append(at)
            link = self.links(at[0])[at[1]]
            side = way ^ link.first.side
            if link.second.line is None:
                if side == link.second.side:
                    self.losing.update(dict.fromkeys(run, len(self.losing)))
                    self.last_chance.add(run[-1])
                return
            way = 1 ^ side ^ link.second.side
            at = onward.get((self.neighbours[at[0]].second, link.second.line))


def _ends(lines: SeamLines, edge: str, turn: int) -> dict[Measure, _End]:
    ends = {}
    for at, (seam, over) in lines.block.at_edge(edge, turn).items():
        line, place = lines.place[seam]
        ways = lines.lines[line]
        ends[at] = _End(line if ways.free else None, ways.ways[0][place] ^ over)
    return ends


@dataclass(frozen=True)
class _VersionChoice:
    """What a place takes: version, half turns, and the links that lose their meeting there."""

    version: int
    turn: int
    losses: frozenset[tuple[int, int]] = frozenset()


@dataclass(frozen=True)
class _Best:
    """The best filling so far: how many turns, what its ways cost, and the ways."""

    turns: int
    chosen: ChosenWays
    places: tuple[_VersionChoice, ...]


class _VersionSearch:
    """One search with a given number of versions in all."""

    def __init__(self, table: _CostTable, versions: int, patience: int) -> None:
        self.table, self.versions, self.patience = table, versions, patience
        self.tired = False
        self.best: _Best | None = None
        kinds = len(table.kinds)
        most = versions - len(set(table.places)) + 1
        self.widths = [len(kind.lines) for kind in table.kinds]
        self.bases = [1 + most * sum(self.widths[:kind]) for kind in range(kinds)]
        self.ties = Ties(1 + most * sum(self.widths))
        self.used = [0] * kinds
        self.counts = [[0] * most for _ in range(kinds)]
        self.turns = 0
        self.lost: set[int] = set()
        self.taken: list[_VersionChoice] = []
        self._costs: dict[tuple[tuple[int, int], ...], ChosenWays] = {}
        self._ties_of: dict[tuple[object, ...], tuple[Tie, ...]] = {}
        self._seen: dict[tuple[object, ...], int] = {}

    def run(self) -> None:
        """Fill the places in order, back and forth, keeping the best; `tired` where patience ended it."""
        places = len(self.table.places)
        open_choices: list[Iterator[_VersionChoice]] = [self._choices(0)]
        marks: list[int] = []
        filled = 0
        while open_choices:
            if len(self.taken) == len(open_choices):
                self._take_back(marks.pop())
            choice = next(open_choices[-1], None)
            if choice is None:
                open_choices.pop()
                continue
            mark = len(self.ties.tied)
            if not self._take(choice):
                self.ties.back(mark)
                continue
            marks.append(mark)
            filled += 1
            if filled > self.patience:
                self.tired = True
                return
            if self._can_be_better():
                if len(self.taken) == places:
                    self._keep()
                else:
                    open_choices.append(self._choices(len(self.taken)))

    # choices of one place

    def _choices(self, place: int) -> Iterator[_VersionChoice]:
        kind = self.table.places[place]
        turns = (0, 1) if self.table.kinds[kind].turned is not None else (0,)
        losses = list(self._losses(place))
        there = self.used[kind]
        for turn, version in product(turns, range(there)):
            for lost in losses:
                yield _VersionChoice(version, turn, lost)
        if self._may_be_new(place):
            for turn, lost in product(turns, losses):
                yield _VersionChoice(there, turn, lost)

    def _may_be_new(self, place: int) -> bool:
        kind = self.table.places[place]
        unseen = sum(not used for number, used in enumerate(self.used) if number != kind)
        return sum(self.used) + unseen < self.versions

    def _losses(self, place: int) -> Iterator[frozenset[tuple[int, int]]]:
        """Sets of links that lose their meeting at a place: each line that must lose one does so once."""
        may: list[tuple[int, int]] = []
        must: list[tuple[int, int]] = []
        for number in self.table.before[place]:
            for at in range(len(self.table.links(number)) if self.table.losing else 0):
                line = self.table.losing.get((number, at))
                if line is not None and line not in self.lost:
                    (must if (number, at) in self.table.last_chance else may).append((number, at))
        if len(may) > ALL_AT_ONCE:
            self.tired = True
            yield from (frozenset(must), frozenset(must + may))
            return
        for picks in product((False, True), repeat=len(may)):
            yield frozenset(must + [link for link, picked in zip(may, picks, strict=True) if picked])

    # taking a choice and giving it back

    def _take(self, choice: _VersionChoice) -> bool:
        """Fill the next place. False, with nothing but ties left behind, where it contradicts its neighbours."""
        place = len(self.taken)
        for number in self.table.before[place]:
            pair = self.table.neighbours[number]
            for first, second, differ, at in self._ties_between(number, self.taken[pair.first], choice):
                if (number, at) not in choice.losses and not self.ties.tie(first, second, differ):
                    return False
        kind = self.table.places[place]
        self.taken.append(choice)
        self.counts[kind][choice.version] += 1
        self.turns += choice.turn
        self.used[kind] = max(self.used[kind], choice.version + 1)
        self.lost |= {self.table.losing[link] for link in choice.losses}
        return True

    def _take_back(self, mark: int) -> None:
        choice = self.taken.pop()
        kind = self.table.places[len(self.taken)]
        self.counts[kind][choice.version] -= 1
        self.turns -= choice.turn
        if not self.counts[kind][choice.version]:
            self.used[kind] -= 1
        self.lost -= {self.table.losing[link] for link in choice.losses}
        self.ties.back(mark)

    def _ties_between(self, number: int, one: _VersionChoice, other: _VersionChoice) -> tuple[Tie, ...]:
        pair, places = self.table.neighbours[number], self.table.places
        kinds = places[pair.first], places[pair.second]
        key = (self.table.neighbours_alike(pair), one.version, one.turn, other.version, other.turn)
        if key not in self._ties_of:
            found = []
            for at, link in enumerate(self.table.links(number)):
                if link.first.line is None and link.second.line is None:
                    continue
                (a, x), (b, y) = self._node(kinds[0], one, link.first), self._node(kinds[1], other, link.second)
                found.append((a, b, 1 ^ x ^ y, at))
            self._ties_of[key] = tuple(found)
        return self._ties_of[key]

    def _node(self, kind: int, choice: _VersionChoice, end: _End) -> tuple[int, int]:
        """The node of a seam's end in a place, and the side it is pressed to there while the node is in way 0."""
        if end.line is None:
            return 0, end.side
        if not choice.turn:
            return self._number(kind, choice.version, end.line), end.side
        turned = self.table.kinds[kind].turned
        assert turned is not None
        # Upside down the line begins at its other end, pressed to the other side.
        odd = len(self.table.kinds[kind].lines[end.line].seams) % 2
        return self._number(kind, choice.version, turned[end.line]), end.side ^ odd

    def _number(self, kind: int, version: int, line: int) -> int:
        return self.bases[kind] + version * self.widths[kind] + line

    # judging

    def _can_be_better(self) -> bool:
        """Whether what is filled so far may still become better than the best, and was not tried before."""
        if self.best is not None:
            if self.turns > self.best.turns:
                return False
            if self.turns == self.best.turns and self._chosen().cost >= self.best.chosen.cost:
                return False
        place = len(self.taken)
        if place % self.table.stride:
            return True
        # All that matters for the places to come: who lies beside them, what is tied, what is used and lost.
        beside = tuple((self.taken[p].version, self.taken[p].turn) for p in self.table.beside[place])
        key = place, beside, tuple(self.ties.tied), tuple(self.used), frozenset(self.lost)
        if self._seen.get(key, self.turns + 1) <= self.turns:
            return False
        self._seen[key] = self.turns
        return True

    def _keep(self) -> None:
        self.best = _Best(self.turns, self._chosen(), tuple(self.taken))

    def _chosen(self) -> ChosenWays:
        """The best ways for all versions in use, as they are tied."""
        versions = [(kind, version) for kind, used in enumerate(self.used) for version in range(used)]
        key = tuple(
            self.ties.find(self._number(kind, version, line))
            for kind, version in versions
            for line in range(self.widths[kind])
        )
        if key not in self._costs:
            self._costs[key] = choose_ways([(self.table.kinds[k], self._toss(k, version)) for k, version in versions])
        return self._costs[key]

    def _toss(self, kind: int, version: int) -> Callable[[int], Toss]:
        known, known_differs = self.ties.find(0)

        def toss(line: int) -> Toss:
            root, differs = self.ties.find(self._number(kind, version, line))
            return Toss(0, differs ^ known_differs) if root == known else Toss(root, differs)

        return toss

    def arranged(self, proven: bool) -> Arranged:
        """The best filling. `proven`: no filling has fewer versions."""
        assert self.best is not None
        ways = iter(self.best.chosen.ways)
        by_kind = []
        for kind in range(len(self.table.kinds)):
            own = {c.version for c, k in zip(self.best.places, self.table.places, strict=True) if k == kind}
            by_kind.append(tuple(next(ways) for _ in own))
        places = tuple((choice.version, choice.turn) for choice in self.best.places)
        proven = proven and not self.tired and self.best.chosen.proven
        return Arranged(places, tuple(by_kind), proven)
