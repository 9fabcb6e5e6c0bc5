"""Search to the end among strips of little excess.

An answer of given strips and height spends the difference to the bound, its *slack*: on the excess of its strips and on
rectangles that are cut too many. So only strips whose excess is within the slack can be part of it, and these are few
where the bound is close. The same holds for the number of strips, with a slack of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import mul

from tracker.quilt.packing.question import Counts, Cut, Question
from tracker.quilt.packing.relaxed import Relaxed, densest_first, densest_from

MOST_CHOICES, MOST_LOOKS = 4000, 40_000
"""So many kinds of strip are kept, and so many contents tried for them; beyond that no search counts as complete."""


@dataclass(frozen=True)
class Outcome:
    """`found` is an answer within the limits; if it is None and `complete`, there is none. `steps`: what it took."""

    found: list[Cut] | None
    complete: bool
    steps: int


@dataclass(frozen=True, slots=True)
class _StripChoice:
    """A kind of strip: its cost and its excess, in height and in number."""

    low_excess: int
    few_excess: int
    low_cost: int
    few_cost: int
    cut: Cut
    counts: Counts


class Field:
    """Where to search for answers of at most `strips`: `low` is the programme's answer for their height, `few` for
    their number. The kinds of strip are listed once and kept, as far as they were wanted."""

    def __init__(self, question: Question, low: Relaxed, few: Relaxed, strips: int) -> None:
        self.question, self.low, self.few, self.strips = question, low, few, strips
        self.few_slack = strips * few.scale - few.total
        self._choices: list[_StripChoice] = []
        self._listed = -1
        self._all = True

    def search(self, height: int, most_steps: int) -> Outcome:
        """An answer of at most this height."""
        slack = height * self.low.scale - self.low.total
        if slack < 0 or self.few_slack < 0:
            return Outcome(None, True, 0)
        if slack > self._listed:
            self._list(slack)
        choices = [choice for choice in self._choices if choice.low_excess <= slack]
        found = _StripSearch(self.question, self.low, self.few, choices, most_steps)
        outcome = found.run(self.strips, height, slack, self.few_slack)
        return outcome if self._all else Outcome(outcome.found, False, outcome.steps)

    def _list(self, slack: int) -> None:
        """Every full strip with an excess up to `slack`, but no two that hold the same; the least excess first."""
        low, few = self.low, self.few
        few_cost = few.costs[self.question.heights[-1]]
        seen: set[Counts] = set()
        choices: list[_StripChoice] = []
        looks = MOST_LOOKS
        for height in self.question.heights:
            cost = low.costs[height]
            contents = _Contents(self.question, height, low.values, cost - slack, looks)
            for counts, worth in contents.all():
                few_excess = few_cost - _worth(few.values, counts)
                if few_excess <= self.few_slack and counts not in seen:
                    seen.add(counts)
                    choices.append(_StripChoice(cost - worth, few_excess, cost, few_cost, (height, counts), counts))
                if len(choices) >= MOST_CHOICES:
                    break
            looks = contents.looks
        self._choices = sorted(choices, key=lambda choice: (choice.low_excess, choice.cut))
        self._listed, self._all = slack, len(choices) < MOST_CHOICES and looks > 0


class _Contents:
    """What a strip of this height can hold that is worth at least `least`, where nothing more fits in; as far as
    `looks` reach."""

    def __init__(self, question: Question, height: int, values: Sequence[int], least: int, looks: int) -> None:
        self.width, self.need, self.lengths = question.width, question.need, question.lengths[height]
        self.values, self.least, self.looks = values, least, looks
        fitting = [i for i, length in enumerate(self.lengths) if length]
        self.order = densest_first(fitting, values, self.lengths)
        self.denser = densest_from(self.order, values, self.lengths)
        self.shortest = min(self.lengths[i] for i in fitting)
        self.counts = [0] * len(values)

    def all(self) -> Iterator[tuple[Counts, int]]:
        """Every such content: (counts, worth)."""
        return self._fill(0, self.width, 0)

    def _fill(self, place: int, room: int, worth: int) -> Iterator[tuple[Counts, int]]:
        self.looks -= 1
        if self.looks <= 0:
            return
        i = self.order[place]
        length, value = self.lengths[i], self.values[i]
        most = min(self.need[i], room // length)
        if place == len(self.order) - 1:
            self.counts[i] = most
            if worth + most * value >= self.least and self._full(room - most * length):
                yield tuple(self.counts), worth + most * value
        else:
            # What is left is worth at most as much by length as the densest item that follows.
            most_worth, size = self.denser[place + 1]
            for count in range(most, -1, -1):
                rest, sum_ = room - count * length, worth + count * value
                if (sum_ - self.least) * size + rest * most_worth < 0:
                    if value * size >= most_worth * length:
                        break
                    continue
                self.counts[i] = count
                yield from self._fill(place + 1, rest, sum_)
        self.counts[i] = 0

    def _full(self, room: int) -> bool:
        """Whether nothing that is needed fits in what is left."""
        return room < self.shortest or not any(
            self.lengths[i] <= room and self.counts[i] < self.need[i] for i in self.order
        )


class _StripSearch:
    """Depth first: the item with the fewest choices next, its choices by excess, each kind only once in every order."""

    def __init__(
        self, question: Question, low: Relaxed, few: Relaxed, choices: Sequence[_StripChoice], most_steps: int
    ) -> None:
        items = range(len(question.items))
        self.low, self.few = low.values, few.values
        self.need = question.need
        self.holding = [[choice for choice in choices if choice.counts[i]] for i in items]
        self.most = [max((choice.counts[i] for choice in self.holding[i]), default=0) for i in items]
        self.order = sorted(items, key=lambda i: (len(self.holding[i]), -low.values[i], i))
        self.failed: dict[tuple[Counts, int, int], tuple[int, int, int]] = {}
        self.steps = 0
        self.most_steps = most_steps

    def run(self, strips: int, height: int, slack: int, few_slack: int) -> Outcome:
        found = self._fill(self.need, strips, height, slack, few_slack, 0, 0)
        return Outcome(found, found is not None or self.steps <= self.most_steps, self.steps)

    def _fill(
        self, left: Counts, strips: int, height: int, slack: int, few_slack: int, place: int, first: int
    ) -> list[Cut] | None:
        """Strips for what is left; `first` is the first choice still open for the item at this place in the order."""
        while place < len(self.order) and not left[self.order[place]]:
            place, first = place + 1, 0
        if place == len(self.order):
            return []
        if any(left[i] > self.most[i] * strips for i in self.order[place:]):
            return None
        key = left, strips, first
        failed = self.failed.get(key)
        if failed is not None and failed[0] >= slack and failed[1] >= few_slack and failed[2] >= height:
            return None
        choices = self.holding[self.order[place]]
        left_low, left_few = _worth(self.low, left), _worth(self.few, left)
        for index in range(first, len(choices)):
            choice = choices[index]
            if choice.low_excess > slack:
                break
            if choice.few_excess > few_slack or choice.cut[0] > height:
                continue
            self.steps += 1
            if self.steps > self.most_steps:
                return None
            rest = tuple([a - b if a > b else 0 for a, b in zip(left, choice.counts)])  # noqa: B905
            # What is cut too many spends its value.
            slack_after = slack - choice.low_cost + left_low - _worth(self.low, rest)
            few_after = few_slack - choice.few_cost + left_few - _worth(self.few, rest)
            if slack_after >= 0 and few_after >= 0:
                height_after = height - choice.cut[0]
                found = self._fill(rest, strips - 1, height_after, slack_after, few_after, place, index)
                if found is not None:
                    return [choice.cut, *found]
        self.failed[key] = slack, few_slack, height
        return None


def _worth(values: Sequence[int], counts: Sequence[int]) -> int:
    return sum(map(mul, values, counts))
