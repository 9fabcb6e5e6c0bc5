"""The question without whole numbers: a linear programme over all strips, solved exactly.

Its answer is the bound, and its dual values price every strip: what a strip costs beyond the value of what it holds is
its *excess*, never below 0. The programme has a row for each item, one for each *level* (so many strips must be so
high), and one that limits either the height or the number of strips. Columns are found when they are wanted, a knapsack
each. All numbers are whole: the inverse of the basis is kept over one common denominator, so nothing is ever rounded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import prod

from tracker.quilt.packing.question import Counts, Cut, Question

Cost = Callable[[int], int]
"""What a strip of a height counts for."""


Level = tuple[int, int]
"""(height, number): at least so many strips are so high."""


@dataclass(frozen=True)
class Relaxed:
    """The answer of the programme, over the denominator `scale`: its `total`, the value of one rectangle of each item,
    and the cost of a strip of each height. `whole`: each strip used, rounded down to whole times."""

    total: int
    values: tuple[int, ...]
    costs: dict[int, int]
    scale: int
    whole: tuple[tuple[Cut, int], ...]

    @property
    def bound(self) -> int:
        """The least whole number that an answer can have."""
        return -(-self.total // self.scale)


def fewest_strips(question: Question, most: int | None = None, levels: Sequence[Level] = ()) -> Relaxed:
    """The fewest strips, of no more than `most` height together, if that is given."""
    if most is not None:
        over = max(question.own_height - most, 0)
        programme = _Programme(question, levels, lambda height: height, most + over)
        if over:
            programme.solve(lambda height: height)
            if not programme.tighten(over):
                raise ValueError(f"no strips of {most} height together hold all")
        return programme.solve(lambda height: 1)
    programme = _Programme(question, (), lambda height: 0, 0)
    programme.heights = question.heights[-1:]  # the highest strips hold most
    return programme.solve(lambda height: 1)


def least_height(question: Question, strips: int, levels: Sequence[Level] = ()) -> Relaxed | None:
    """The least height of at most so many strips; None where that is too few."""
    over = max(question.own_number - strips, 0)
    programme = _Programme(question, levels, lambda height: 1, strips + over)
    if over:
        programme.solve(lambda height: 1)
        if not programme.tighten(over):
            return None
    return programme.solve(lambda height: height)


def levels_of(question: Question) -> list[Level]:
    """How many strips must reach each height, by the rectangles that fit in no lower one; the greatest height first."""
    lowest = [min(height for length, height in item.ways() if length <= question.width) for item in question.items]
    levels: list[Level] = []
    for height in sorted(set(lowest), reverse=True):
        high = [item for item, least in zip(question.items, lowest, strict=True) if least >= height]
        number = fewest_strips(Question(question.width, high)).bound
        if not levels or number > levels[-1][1]:
            levels.append((height, number))
    return levels


MOST_LOOKS = 2000
"""So many contents of a strip are tried one by one before all lengths are gone through."""


def knapsack(question: Question, height: int, values: Sequence[int], above: int) -> tuple[int, Counts] | None:
    """A content of a strip of this height that is worth more than `above`: (worth, counts), or None if there is none.
    It is the most valuable, unless that is hard to find."""
    lengths = question.lengths[height]
    some = densest_first([i for i, value in enumerate(values) if value > 0 and lengths[i]], values, lengths)
    denser = densest_from(some, values, lengths)
    held = [0] * len(values)
    best: Counts | None = None
    looks = 0

    def fill(place: int, room: int, worth: int) -> None:
        nonlocal best, above, looks
        looks += 1
        if worth > above:
            above, best = worth, tuple(held)
        if place == len(some) or looks > MOST_LOOKS:
            return
        i = some[place]
        value, length = values[i], lengths[i]
        most, size = denser[place + 1]
        for count in range(min(question.need[i], room // length), -1, -1):
            rest, sum_ = room - count * length, worth + count * value
            if (sum_ - above) * size + rest * most <= 0:
                # Fewer of a denser item never make up for it; of a less dense one they may.
                if value * size >= most * length:
                    break
                continue
            held[i] = count
            fill(place + 1, rest, sum_)
        held[i] = 0

    fill(0, question.width, 0)
    if best is None and looks > MOST_LOOKS:
        return _by_length(question, lengths, values, some, above)
    return None if best is None else (above, best)


def _by_length(
    question: Question, lengths: Counts, values: Sequence[int], some: Sequence[int], above: int
) -> tuple[int, Counts] | None:
    """The same by going through all lengths that can be filled, and what they can be worth at most."""
    worths: dict[int, int] = {0: 0}
    steps: list[tuple[int, int, dict[int, int]]] = []
    for i in some:
        left, batch = min(question.need[i], question.width // lengths[i]), 1
        while left:
            number = min(batch, left)
            steps.append((i, number, worths))
            more = dict(worths)
            for used, worth in worths.items():
                longer, sum_ = used + number * lengths[i], worth + number * values[i]
                if longer <= question.width and more.get(longer, -1) < sum_:
                    more[longer] = sum_
            worths, left, batch = more, left - number, 2 * batch
    used, worth = max(worths.items(), key=lambda entry: (entry[1], -entry[0]))
    if worth <= above:
        return None
    counts, rest = [0] * len(values), worth
    for i, number, before in reversed(steps):
        if before.get(used) != rest:
            counts[i] += number
            used, rest = used - number * lengths[i], rest - number * values[i]
    return worth, tuple(counts)


def densest_first(some: Sequence[int], values: Sequence[int], lengths: Sequence[int]) -> list[int]:
    """Items by their worth for the length they take up, nearly: the greatest first."""
    return sorted(some, key=lambda i: (-(values[i] << 16) // lengths[i], i))


def densest_from(some: Sequence[int], values: Sequence[int], lengths: Sequence[int]) -> list[tuple[int, int]]:
    """For each place, (worth, length) of the item that is worth most for its length among those from there on."""
    best = [(0, 1)]
    for i in reversed(some):
        worth, length = best[-1]
        best.append((values[i], lengths[i]) if values[i] * length > worth * lengths[i] else (worth, length))
    return best[::-1]


class _Programme:
    """The simplex method. Rows: of each item at least what is needed; at each level at least so many strips; and a
    limit on all strips together, of which a strip takes up `share(height)`.

    `rows` is the inverse of the basis with the amounts of its columns behind it, all over `scale`. It starts from
    strips of one item each, which `limit` must allow; what these lack at a level is made good by a dear stand-in.
    """

    def __init__(self, question: Question, levels: Sequence[Level], share: Cost, limit: int) -> None:
        self.question, self.share, self.levels = question, share, levels
        self.heights = list(question.heights)
        items = range(len(question.items))
        first = [question.own(i) for i in items]
        self.scale = prod(cut[1][i] for i, cut in enumerate(first))
        one = [self.scale // cut[1][i] for i, cut in enumerate(first)]
        size = len(items) + len(levels) + 1
        self.columns: list[_Column] = [*first]
        self.rows = [[0] * size + [question.need[i] * one[i]] for i in items]
        for i in items:
            self.rows[i][i] = one[i]
        for place, (height, number) in enumerate(levels, len(items)):
            row = [one[i] if first[i][0] >= height else 0 for i in items] + [0] * (len(levels) + 2)
            row[place], row[-1] = -self.scale, self._amount(row, -number)
            lacking = row[-1] < 0
            self.rows.append([-part for part in row] if lacking else row)
            self.columns.append(_StandIn(place) if lacking else _Surplus(place))
        row = [-share(first[i][0]) * one[i] for i in items] + [0] * (len(levels) + 2)
        row[-2], row[-1] = self.scale, self._amount(row, limit)
        self.rows.append(row)
        self.columns.append(_Room())

    def _amount(self, row: Sequence[int], plus: int) -> int:
        return plus * self.scale + sum(a * b for a, b in zip(row, self.question.need, strict=False))

    def solve(self, cost: Cost) -> Relaxed:
        """The least cost, from the present basis on."""
        while True:
            costs = [self._cost(column, cost) for column in self.columns]
            values = [
                sum(c * row[i] for c, row in zip(costs, self.rows, strict=True) if c) for i in range(len(self.rows))
            ]
            prices = self._prices(values, cost)
            column = self._entering(values, prices)
            if column is None:
                total = sum(c * row[-1] for c, row in zip(costs, self.rows, strict=True))
                each = tuple(values[: len(self.question.items)])
                return Relaxed(total, each, prices, self.scale, tuple(self._whole()))
            self._exchange(column)

    def tighten(self, by: int) -> bool:
        """Take `by` off the limit; False where this basis leaves no room for that."""
        for row in self.rows:
            row[-1] -= by * row[-2]
        return all(row[-1] >= 0 for row in self.rows)

    def _cost(self, column: _Column, cost: Cost) -> int:
        if isinstance(column, tuple):
            return cost(column[0])
        return self.question.most + self.question.own_number if isinstance(column, _StandIn) else 0

    def _prices(self, values: Sequence[int], cost: Cost) -> dict[int, int]:
        """What a strip of each height costs, less what it does for the levels and with what it takes of the limit."""
        worth = values[len(self.question.items) : -1]
        prices = {}
        for height in self.heights:
            reached = sum(value for value, level in zip(worth, self.levels, strict=True) if level[0] <= height)
            prices[height] = cost(height) * self.scale - values[-1] * self.share(height) - reached
        return prices

    def _entering(self, values: Sequence[int], prices: dict[int, int]) -> _Column | None:
        """A column that lowers the cost, if there is one."""
        for place, value in enumerate(values[:-1]):
            if value < 0:
                return _Surplus(place)
        if values[-1] > 0:
            return _Room()
        each = values[: len(self.question.items)]
        for turn, height in enumerate(self.heights):
            found = knapsack(self.question, height, each, prices[height])
            if found is not None:
                # The next search begins where this one was lucky.
                self.heights = self.heights[turn:] + self.heights[:turn]
                return height, found[1]
        return None

    def _exchange(self, column: _Column) -> None:
        """Bring a column into the basis in place of the first that would fall below 0."""
        entry = self._entry(column)
        falls = [sum(a * b for a, b in zip(row, entry, strict=False) if b) for row in self.rows]
        out = self._first_out([i for i, fall in enumerate(falls) if fall > 0], falls)
        pivot, pivot_row = falls[out], self.rows[out]
        for i, (fall, row) in enumerate(zip(falls, self.rows, strict=True)):
            if i != out:
                self.rows[i] = [(pivot * a - fall * b) // self.scale for a, b in zip(row, pivot_row, strict=True)]
        self.columns[out] = column
        self.scale = pivot

    def _entry(self, column: _Column) -> list[int]:
        if isinstance(column, tuple):
            height, counts = column
            return [*counts, *(int(level[0] <= height) for level in self.levels), self.share(height)]
        entry = [0] * len(self.rows)
        entry[-1 if isinstance(column, _Room) else column.place] = 1 if isinstance(column, _Room) else -1
        return entry

    def _first_out(self, some: list[int], falls: Sequence[int]) -> int:
        """The row whose amount reaches 0 first; of several the first by the rest of the row, so that no basis comes
        twice."""
        size = len(self.rows)
        for place in (size, size - 1, *range(size - 1)):
            ratios = [Fraction(self.rows[i][place], falls[i]) for i in some]
            least = min(ratios)
            some = [i for i, ratio in zip(some, ratios, strict=True) if ratio == least]
            if len(some) == 1:
                break
        return some[0]

    def _whole(self) -> Iterator[tuple[Cut, int]]:
        for column, row in zip(self.columns, self.rows, strict=True):
            if isinstance(column, tuple) and row[-1] >= self.scale:
                yield column, row[-1] // self.scale


@dataclass(frozen=True)
class _Surplus:
    """More than is needed in the row at this place."""

    place: int


@dataclass(frozen=True)
class _StandIn:
    """What is lacking in the row at this place."""

    place: int


@dataclass(frozen=True)
class _Room:
    """What is left of the limit."""


_Column = Cut | _Surplus | _StandIn | _Room
