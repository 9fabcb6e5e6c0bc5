"""Blocks set edge to edge, sorted so that neighbours agree: heights along a row, widths down a column. Pure, exact.

Once it is settled which blocks lie in which row, each row lies best by width: that rows sorted alike give the least sum
of the columns' ranges follows from exchanging two blocks of a row. So only the rows are searched for.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, islice, product
from typing import NamedTuple

Length = int
Block = tuple[Length, Length]
"""A block's width and height, whole numbers of anything."""
Rows = list[list[int]]
"""The numbers of the blocks in each row, from 0."""

MOST_EXACT = 12
"""Up to so many blocks every way of parting them into rows is weighed."""

MOST_WEIGHED = 300_000
"""Of more blocks, so many are weighed in all exchanges together, at most."""


def cost(blocks: Sequence[Block], rows: Rows) -> Length:
    """The sum of the ranges of heights in rows and of widths in columns, as they lie."""
    heights = sum(_range([blocks[n][1] for n in row]) for row in rows)
    return heights + sum(_range([blocks[n][0] for n in column]) for column in zip(*rows, strict=True))


def sorted_rows(blocks: Sequence[Block], across: int) -> Rows:
    """Rows of so many blocks with the least cost, as they come where nothing is better. Exact up to MOST_EXACT blocks;
    of more the best of several orders, bettered by exchanges. Needs as many blocks as fill all rows."""
    assert len(blocks) % across == 0
    come = [list(range(start, start + across)) for start in range(0, len(blocks), across)]
    if len(blocks) <= MOST_EXACT:
        best = _Search(blocks, across).best()
    else:
        found = [come, _by_height(blocks, across), _by_width(blocks, across)]
        best = _Exchanges(blocks, min(found, key=lambda rows: cost(blocks, rows))).better()
    return best if cost(blocks, best) < cost(blocks, come) else come


def exchanged_alike(blocks: Sequence[Block], across: int, alike: Sequence[str], lie: Sequence[int] = ()) -> Rows:
    """Rows bettered by exchanging blocks that may change places: those pressed alike (`alike`: by number, the version
    of each). Begun as they lie now (without `lie`, by their numbers), and with the lower ones of each version first;
    never worse than as they lie."""
    begun = list(lie) or list(range(len(blocks)))
    low = sorted(begun, key=lambda n: blocks[n][1])
    low_first = {each: iter([n for n in low if alike[n] == each]) for each in alike}
    lowest = [next(low_first[alike[n]]) for n in begun]
    found = [_exchanged(blocks, across, alike, each) for each in (begun, lowest)]
    return min(found, key=lambda rows: cost(blocks, rows))


def _exchanged(blocks: Sequence[Block], across: int, alike: Sequence[str], begun: Sequence[int]) -> Rows:
    order, places = list(begun), range(0, len(begun), across)
    least, left, helped = cost(blocks, [order[start : start + across] for start in places]), MOST_WEIGHED, True
    while helped and left > 0:
        helped = False
        pairs = ((one, other) for one, other in combinations(range(len(order)), 2) if alike[one] == alike[other])
        for one, other in pairs:
            left -= len(blocks)
            if left < 0:
                break
            order[one], order[other] = order[other], order[one]
            now = cost(blocks, [order[start : start + across] for start in places])
            if now < least:
                least, helped = now, True
            else:
                order[one], order[other] = order[other], order[one]
    return [order[start : start + across] for start in places]


def _range(lengths: Sequence[Length]) -> Length:
    return max(lengths) - min(lengths)


def _in_order(blocks: Sequence[Block], row: Sequence[int]) -> list[int]:
    return sorted(row, key=lambda n: (blocks[n][0], n))


def _by_height(blocks: Sequence[Block], across: int) -> Rows:
    """Like heights into rows, then by width: what a person does by hand."""
    order = sorted(range(len(blocks)), key=lambda n: (blocks[n][1], n))
    return [_in_order(blocks, order[start : start + across]) for start in range(0, len(order), across)]


def _by_width(blocks: Sequence[Block], across: int) -> Rows:
    """Like widths into columns, then by height."""
    down = len(blocks) // across
    order = sorted(range(len(blocks)), key=lambda n: (blocks[n][0], n))
    columns = [
        sorted(order[start : start + down], key=lambda n: (blocks[n][1], n)) for start in range(0, len(order), down)
    ]
    return [list(row) for row in zip(*columns, strict=True)]


def _column_ranges(widths: Sequence[Sequence[Length]]) -> Length:
    return sum(map(_range, zip(*widths, strict=True)))


class _Row(NamedTuple):
    """Blocks of a row by width, the range of their heights, their widths."""

    blocks: tuple[int, ...]
    height: Length
    widths: tuple[Length, ...]


class _Begun(NamedTuple):
    """Some rows, and what they come to: the sum of their ranges of heights, and the least and most of each column."""

    rows: tuple[_Row, ...]
    heights: Length
    least: tuple[Length, ...]
    most: tuple[Length, ...]


Cost = tuple[Length, Length]
"""What rows come to, and of that the heights, which decide among equals."""


class _Search:
    """Every way of parting a few blocks into rows, given up where it can be no better than the best so far."""

    def __init__(self, blocks: Sequence[Block], across: int) -> None:
        self._blocks, self._across = blocks, across
        self._best: tuple[_Row, ...] = ()
        self._least: Cost = (sum(map(sum, blocks)) + 1, 0)
        low_first = sorted(range(len(blocks)), key=lambda n: (blocks[n][1], n))
        self._high = {n: blocks[n][1] for n in low_first}
        self._rows = {chosen: self._row(chosen) for chosen in combinations(low_first, across)}

    def _row(self, chosen: tuple[int, ...]) -> _Row:
        blocks = tuple(_in_order(self._blocks, chosen))
        heights = [self._blocks[n][1] for n in blocks]
        return _Row(blocks, _range(heights), tuple(self._blocks[n][0] for n in blocks))

    def best(self) -> Rows:
        """The rows of least cost, the lower ones first, each by width."""
        self._go_on(None, tuple(self._high))
        middle = {row.blocks: sum(self._high[n] for n in row.blocks) for row in self._best}
        return [list(row) for row in sorted(middle, key=lambda row: (middle[row], row))]

    def _go_on(self, begun: _Begun | None, left: tuple[int, ...]) -> None:
        for others in combinations(left[1:], self._across - 1):
            row = self._rows[left[0], *others]
            if begun is None:
                more = _Begun((row,), row.height, row.widths, row.widths)
            else:
                least, most = tuple(map(min, begun.least, row.widths)), tuple(map(max, begun.most, row.widths))
                more = _Begun((*begun.rows, row), begun.heights + row.height, least, most)
            chosen = {*others, left[0]}
            rest = tuple([n for n in left if n not in chosen])
            can = self._can_come_to(more, rest)
            if can < self._least:
                if rest:
                    self._go_on(more, rest)
                else:
                    self._best, self._least = more.rows, can

    def _can_come_to(self, begun: _Begun, rest: tuple[int, ...]) -> Cost:
        """The least that rows may come to with the rest: its heights lie best in order, and widths only add."""
        heights, high, across = begun.heights, self._high, self._across
        for start in range(0, len(rest), across):
            heights += high[rest[start + across - 1]] - high[rest[start]]
        return heights + sum(begun.most) - sum(begun.least), heights


class _Exchanges:
    """Rows bettered by exchanging blocks of different rows, as long as that helps, or as long as there is time."""

    def __init__(self, blocks: Sequence[Block], rows: Rows) -> None:
        self._blocks = blocks
        self.rows = [_in_order(blocks, row) for row in rows]
        self._widths = [self._width(row) for row in self.rows]
        self._heights = [self._height(row) for row in self.rows]
        self._least = sum(self._heights) + _column_ranges(self._widths)

    def _width(self, row: Sequence[int]) -> list[Length]:
        return [self._blocks[n][0] for n in row]

    def _height(self, row: Sequence[int]) -> Length:
        return _range([self._blocks[n][1] for n in row])

    def better(self) -> Rows:
        """The rows at last."""
        left, helped = MOST_WEIGHED // len(self._blocks), True
        while helped and left > 0:
            helped = False
            places = range(len(self.rows[0]))
            pairs = combinations(range(len(self.rows)), 2)
            for (one, other), first, second in islice(product(pairs, places, places), left):
                left -= 1
                helped = self._exchange(one, other, first, second) or helped
        return self.rows

    def _exchange(self, one: int, other: int, first: int, second: int) -> bool:
        """Exchange the block at a place of one row with that of another, where that helps."""
        here, there = self.rows[one], self.rows[other]
        changed = (
            _in_order(self._blocks, [*here[:first], *here[first + 1 :], there[second]]),
            _in_order(self._blocks, [*there[:second], *there[second + 1 :], here[first]]),
        )
        widths = [*self._widths]
        widths[one], widths[other] = map(self._width, changed)
        heights = [*self._heights]
        heights[one], heights[other] = map(self._height, changed)
        total = sum(heights) + _column_ranges(widths)
        if total >= self._least:
            return False
        self.rows[one], self.rows[other] = changed
        self._widths, self._heights, self._least = widths, heights, total
        return True
