"""What is asked: a width, and rectangles to be cut from strips across it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Counts = tuple[int, ...]
"""How many of each item."""

Cut = tuple[int, Counts]
"""One strip: its height, and how many of each item are cut from it."""


@dataclass(frozen=True)
class Item:
    """`count` like rectangles, `length` along the strip and `height` across it; `turns`: may be turned by a quarter."""

    length: int
    height: int
    count: int
    turns: bool = False

    def lying(self, width: int) -> Item:
        """The same, never turned: as given where that fits the width, else turned for good."""
        if self.turns and self.length > width:
            return Item(self.height, self.length, self.count)
        return Item(self.length, self.height, self.count)

    def ways(self) -> tuple[tuple[int, int], ...]:
        """(length, height) of each way it may lie."""
        if self.turns and self.length != self.height:
            return (self.length, self.height), (self.height, self.length)
        return ((self.length, self.height),)


class DoesNotFit(ValueError):
    """The item with this index is longer than the width, however it lies."""

    def __init__(self, item: int) -> None:
        super().__init__(f"item {item} is longer than the width")
        self.item = item


class Question:
    """The items and what follows from them.

    `heights` are those that strips can have; `lengths[height][i]` is the least length that item i takes up in a strip
    of that height, 0 where it fits in none. `own_number` and `own_height` are those of strips that hold one item each,
    lying as given where it fits so. `most` is a height that no answer may pass: theirs, if no other is given.
    """

    def __init__(self, width: int, items: Sequence[Item], most: int | None = None) -> None:
        self.width = width
        self.items = tuple(items)
        fitting = [[way for way in item.ways() if way[0] <= width] for item in items]
        for index, ways in enumerate(fitting):
            if not ways:
                raise DoesNotFit(index)
        self.heights = sorted({height for ways in fitting for _, height in ways})
        self.lengths = {
            most: tuple(min((length for length, height in ways if height <= most), default=0) for ways in fitting)
            for most in self.heights
        }
        self.need: Counts = tuple(item.count for item in items)
        self.own_ways = [ways[0] for ways in fitting]
        strips = [-(-item.count // (width // length)) for item, (length, _) in zip(items, self.own_ways, strict=True)]
        self.own_number = sum(strips)
        self.own_height = sum(count * height for count, (_, height) in zip(strips, self.own_ways, strict=True))
        self.most = self.own_height if most is None else most

    def own(self, index: int) -> Cut:
        """The fullest strip that holds nothing but this item."""
        length, height = self.own_ways[index]
        return height, self.only(index, min(self.width // length, self.need[index]))

    def all_own(self) -> list[Cut]:
        """Strips of one item each that hold all."""
        cuts = []
        for index, need in enumerate(self.need):
            height, counts = self.own(index)
            full, over = divmod(need, counts[index])
            cuts += [(height, counts)] * full + [(height, self.only(index, over))] * bool(over)
        return cuts

    def only(self, index: int, count: int) -> Counts:
        """Counts of nothing but this item."""
        return (0,) * index + (count,) + (0,) * (len(self.items) - index - 1)

    def used(self, cut: Cut) -> int:
        """How much of a strip's length is taken up."""
        return sum(count * length for count, length in zip(cut[1], self.lengths[cut[0]], strict=True))

    def lowest(self, counts: Counts) -> int:
        """The least height of a strip that holds these."""
        for height in self.heights:
            lengths = self.lengths[height]
            if (
                all(lengths[i] or not count for i, count in enumerate(counts))
                and self.used((height, counts)) <= self.width
            ):
                return height
        raise ValueError(f"no strip holds {counts}")

    def settled(self, cuts: Sequence[Cut]) -> list[Cut]:
        """Strips that hold at least what is needed, made to hold just that, each as low as it can be; highest first."""
        left = list(self.need)
        kept = []
        for _, counts in sorted(cuts, reverse=True):
            holds = tuple(min(pair) for pair in zip(counts, left, strict=True))
            if any(holds):
                left = [a - b for a, b in zip(left, holds, strict=True)]
                kept.append((self.lowest(holds), holds))
        return sorted(kept, reverse=True)


def height_of(cuts: Sequence[Cut]) -> int:
    """The height of all strips together."""
    return sum(height for height, _ in cuts)


def score(cuts: Sequence[Cut]) -> tuple[int, int]:
    """What is wanted least: strips, then their height together."""
    return len(cuts), height_of(cuts)
