"""Finds the cheapest way to give each of many things one of a few values: complete and always the same.

A `Network` holds variables with values 0, 1, 2, ... and what they cost: each value alone, the values of two variables
together, or a group that does not agree. Costs are whole numbers from 0, or FORBIDDEN. `cheapest` finds values whose
costs add up to the least: it takes out every variable that has few neighbours or follows from another, parts what hangs
together by nothing, and branches on the rest, leaving out what cannot become cheaper than what it has.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field

FORBIDDEN = 1 << 160
"""A cost that no sum of others reaches: not allowed at all."""

Costs = tuple[int, ...]
Table = tuple[Costs, ...]
"""Costs of two variables together: a row for each value of the first."""
Labelled = tuple[int, Sequence[Hashable]]
"""A variable and what each of its values means to a group."""


@dataclass(frozen=True)
class Cheapest:
    """The value of every variable, in order, and what they cost. `proven` is false where the search was cut short."""

    values: tuple[int, ...]
    cost: int
    proven: bool = True


class Network:
    """Variables and their costs, put together piece by piece."""

    def __init__(self) -> None:
        self._alone: list[list[int]] = []
        self._pairs: dict[tuple[int, int], list[list[int]]] = {}
        self._groups: dict[Hashable, int] = {}
        self._asked: list[int] = []

    def variable(self, costs: Sequence[int]) -> int:
        """A new variable with a value for each cost; its number."""
        self._alone.append(list(costs))
        self._asked.append(len(self._alone) - 1)
        return len(self._asked) - 1

    def alone(self, variable: int, costs: Sequence[int]) -> None:
        """More costs for each value of one variable."""
        own = self._alone[self._asked[variable]]
        for value, cost in enumerate(costs):
            own[value] += cost

    def pair(self, first: int, second: int, table: Sequence[Sequence[int]]) -> None:
        """Costs for the values of two different variables together: a row for each value of the first."""
        self._pair(self._asked[first], self._asked[second], table)

    def agree(self, members: Sequence[Labelled], cost: int) -> None:
        """A cost unless all members mean the same: each is a variable and a label for each of its values."""
        meant: dict[int, list[Hashable | None]] = {}
        for variable, labels in members:
            own = self._asked[variable]
            known = meant.setdefault(own, list(labels))
            meant[own] = [a if a == b else None for a, b in zip(known, labels, strict=True)]
        order = sorted(meant)
        seen: dict[Hashable | None, int] = {}
        for own in order:
            for label in meant[own]:
                if label is not None:
                    seen.setdefault(label, len(seen))
        # Groups that differ only in the names of their labels are one.
        key = tuple((own, tuple(None if label is None else seen[label] for label in meant[own])) for own in order)
        if key not in self._groups:
            self._groups[key] = len(self._alone)
            self._alone.append([0] * len(seen) + [0])
            for own, labels_of in key:
                rows = [[0 if label == wanted else FORBIDDEN for label in labels_of] for wanted in range(len(seen))]
                self._pair(self._groups[key], own, [*rows, [0] * len(labels_of)])
        self._alone[self._groups[key]][-1] += cost

    def _pair(self, first: int, second: int, table: Sequence[Sequence[int]]) -> None:
        if first == second:
            raise ValueError("a pair needs two different variables")
        if first > second:
            first, second, table = second, first, list(zip(*table, strict=True))
        known = self._pairs.get((first, second))
        if known is None:
            self._pairs[first, second] = [list(row) for row in table]
            return
        for own, row in zip(known, table, strict=True):
            for value, cost in enumerate(row):
                own[value] += cost

    def state(self) -> ThingState:
        """All costs as the search takes them."""
        alone = {number: tuple(costs) for number, costs in enumerate(self._alone)}
        beside: dict[int, dict[int, Table]] = {number: {} for number in alone}
        for (first, second), rows in self._pairs.items():
            table = tuple(map(tuple, rows))
            beside[first][second] = table
            beside[second][first] = _flipped(table)
        return ThingState(alone, beside)

    def values(self, found: dict[int, int]) -> tuple[int, ...]:
        """The values of the variables that were asked for."""
        return tuple(found[own] for own in self._asked)


def cheapest(network: Network, limit: int = 200_000) -> Cheapest | None:
    """Values of least cost, or None where all are forbidden. Of equal ones, always the same.

    After `limit` branchings the search is cut short and takes what it finds first; the answer then says so.
    """
    search = _CheapestSearch(limit)
    best = search.best(network.state(), FORBIDDEN)
    if best is None:
        return None
    cost, found = best
    return Cheapest(network.values(found), cost, search.branchings <= limit)


@dataclass
class ThingState:
    """What is still open: costs of each variable, tables beside its neighbours (kept from both sides), costs for sure.

    `taken_out` says how to give values to variables that were taken out, last one first.
    """

    alone: dict[int, Costs]
    beside: dict[int, dict[int, Table]]
    sure: int = 0
    taken_out: list[TakenOut] = field(default_factory=list)

    def bound(self) -> int:
        """What it costs at least."""
        tables = sum(
            min(min(row) for row in table)
            for first, near in self.beside.items()
            for second, table in near.items()
            if first < second
        )
        return self.sure + sum(min(costs) for costs in self.alone.values()) + tables

    def restricted(self, part: Sequence[int]) -> ThingState:
        """The variables of one part by themselves."""
        return ThingState({v: self.alone[v] for v in part}, {v: dict(self.beside[v]) for v in part})

    def given(self, variable: int, value: int) -> ThingState:
        """A copy in which one variable has only one value left."""
        alone = dict(self.alone)
        alone[variable] = tuple(cost if each == value else FORBIDDEN for each, cost in enumerate(self.alone[variable]))
        return ThingState(alone, {v: dict(near) for v, near in self.beside.items()})


@dataclass(frozen=True)
class TakenOut:
    """A variable and its best value for each choice of values of the variables that it hung on."""

    variable: int
    hung_on: tuple[int, ...]
    best: dict[tuple[int, ...], int]


class _CheapestSearch:
    def __init__(self, limit: int) -> None:
        self.limit = limit
        self.branchings = 0

    def best(self, state: ThingState, below: int) -> tuple[int, dict[int, int]] | None:
        """The cheapest values that cost less than `below`, or None. Uses the state up."""
        if not _reduce(state) or state.bound() >= below:
            return None
        found: dict[int, int] = {}
        cost = state.sure
        parts = [state.restricted(part) for part in _parts(state)]
        bounds = [part.bound() for part in parts]
        for number, part in enumerate(parts):
            best = self._branch(part, below - cost - sum(bounds[number + 1 :]))
            if best is None:
                return None
            cost += best[0]
            found.update(best[1])
        for out in reversed(state.taken_out):
            found[out.variable] = out.best[tuple(found[v] for v in out.hung_on)]
        return cost, found

    def _branch(self, state: ThingState, below: int) -> tuple[int, dict[int, int]] | None:
        """Try every value of the variable with most neighbours, the most promising first."""
        variable = max(state.beside, key=lambda v: (len(state.beside[v]), v))
        self.branchings += 1
        best = None
        for promise, value in sorted(_promises(state, variable)):
            if promise >= below:
                break
            found = self.best(state.given(variable, value), below)
            if found is not None:
                best, below = found, found[0]
                if self.branchings > self.limit:
                    break
        return best


def _promises(state: ThingState, variable: int) -> Iterator[tuple[int, int]]:
    """For each value what that variable and its neighbours cost at least, and the value."""
    for value, own in enumerate(state.alone[variable]):
        near = state.beside[variable].items()
        yield own + sum(min(map(int.__add__, table[value], state.alone[other])) for other, table in near), value


def _parts(state: ThingState) -> Iterator[list[int]]:
    """Variables that hang together, part by part."""
    left = dict.fromkeys(state.alone)
    while left:
        first = next(iter(left))
        del left[first]
        part = [first]
        for variable in part:
            for other in state.beside[variable]:
                if other in left:
                    del left[other]
                    part.append(other)
        yield sorted(part)


# Taking variables out


def _reduce(state: ThingState) -> bool:
    """Take out all variables that can be without branching. False where everything left is forbidden."""
    waiting = dict.fromkeys(sorted(state.alone))
    while waiting:
        variable = next(iter(waiting))
        del waiting[variable]
        if variable not in state.alone:
            continue
        near = list(state.beside[variable])
        open_values = _drop_forbidden(state, variable)
        if not open_values:
            return False
        if len(open_values) == 1:
            _settle(state, variable, open_values[0])
        elif len(near) <= 2:
            _eliminate(state, variable, near)
        elif (leader := _leader(state, variable)) is not None:
            _follow(state, variable, leader)
            near = [leader, *state.beside[leader]]
        elif len(open_values) == len(state.alone[variable]):
            continue
        else:
            near = [other for other in near if _lost_value(state, other, variable)]
        waiting.update(dict.fromkeys(near))
    return True


def _drop_forbidden(state: ThingState, variable: int) -> list[int]:
    """The values that are open: allowed, and beside some value of each neighbour. Others become forbidden."""
    costs = list(state.alone[variable])
    for other, table in state.beside[variable].items():
        far = state.alone[other]
        for value, row in enumerate(table):
            if costs[value] < FORBIDDEN and all(a + b >= FORBIDDEN for a, b in zip(row, far, strict=True)):
                costs[value] = FORBIDDEN
    state.alone[variable] = tuple(costs)
    return [value for value, cost in enumerate(costs) if cost < FORBIDDEN]


def _lost_value(state: ThingState, variable: int, beside: int) -> bool:
    """Whether some value of a variable is no longer open because of one neighbour."""
    before = state.alone[variable]
    table, far = state.beside[variable][beside], state.alone[beside]
    return any(
        cost < FORBIDDEN and all(a + b >= FORBIDDEN for a, b in zip(row, far, strict=True))
        for cost, row in zip(before, table, strict=True)
    )


def _settle(state: ThingState, variable: int, value: int) -> None:
    """Take out a variable with one open value."""
    for other, table in state.beside[variable].items():
        state.alone[other] = tuple(map(int.__add__, state.alone[other], table[value]))
        del state.beside[other][variable]
    state.sure += state.alone[variable][value]
    state.taken_out.append(TakenOut(variable, (), {(): value}))
    del state.alone[variable], state.beside[variable]


def _eliminate(state: ThingState, variable: int, near: Sequence[int]) -> None:
    """Take out a variable with at most two neighbours: for each choice of theirs only its best value counts."""
    own = state.alone[variable]
    best: dict[tuple[int, ...], int] = {}
    costs: dict[tuple[int, ...], int] = {}
    for choice in _choices([len(state.alone[other]) for other in near]):
        sums = list(own)
        for other, value in zip(near, choice, strict=True):
            for mine, row in enumerate(state.beside[variable][other]):
                sums[mine] += row[value]
        costs[choice] = min(sums)
        best[choice] = sums.index(costs[choice])
    for other in near:
        del state.beside[other][variable]
    del state.alone[variable], state.beside[variable]
    state.taken_out.append(TakenOut(variable, tuple(near), best))
    if not near:
        state.sure += costs[()]
    elif len(near) == 1:
        state.alone[near[0]] = tuple(cost + costs[value,] for value, cost in enumerate(state.alone[near[0]]))
    else:
        first, second = near
        rows = tuple(
            tuple(costs[a, b] for b in range(len(state.alone[second]))) for a in range(len(state.alone[first]))
        )
        _add_table(state, first, second, rows)


def _choices(sizes: Sequence[int]) -> Iterator[tuple[int, ...]]:
    if not sizes:
        yield ()
        return
    for first in range(sizes[0]):
        for rest in _choices(sizes[1:]):
            yield (first, *rest)


def _leader(state: ThingState, variable: int) -> int | None:
    """A neighbour whose every value leaves only one value of this variable."""
    for other, table in state.beside[variable].items():
        allowed = [0] * len(state.alone[other])
        for own, row in zip(state.alone[variable], table, strict=True):
            for value, cost in enumerate(row):
                allowed[value] += own + cost < FORBIDDEN
        if max(allowed) <= 1:
            return other
    return None


def _follow(state: ThingState, variable: int, leader: int) -> None:
    """Take out a variable whose value follows from its leader's: what it costs, the leader's values cost."""
    columns = state.beside[leader][variable]
    own = state.alone[variable]
    follows = []
    costs = list(state.alone[leader])
    for value, column in enumerate(columns):
        sums = list(map(int.__add__, column, own))
        follows.append(sums.index(min(sums)))
        costs[value] += min(sums)
    state.alone[leader] = tuple(costs)
    near = {other: table for other, table in state.beside[variable].items() if other != leader}
    for other in state.beside[variable]:
        del state.beside[other][variable]
    del state.alone[variable], state.beside[variable]
    best: dict[tuple[int, ...], int] = {(value,): mine for value, mine in enumerate(follows)}
    state.taken_out.append(TakenOut(variable, (leader,), best))
    for other, table in near.items():
        _add_table(state, leader, other, tuple(table[mine] for mine in follows))


def _add_table(state: ThingState, first: int, second: int, table: Table) -> None:
    known = state.beside[first].get(second)
    if known is not None:
        table = tuple(tuple(map(int.__add__, a, b)) for a, b in zip(known, table, strict=True))
    if not any(cost for row in table for cost in row):
        state.beside[first].pop(second, None)
        state.beside[second].pop(first, None)
        return
    state.beside[first][second] = table
    state.beside[second][first] = _flipped(table)


def _flipped(table: Table) -> Table:
    return tuple(zip(*table, strict=True))
