"""From a quick answer to the best that can be found: bound, search, and mending of what could not be searched."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations_with_replacement, islice

from tracker.exact.kept import Kept
from tracker.quilt.packing.filling import quick, shelf
from tracker.quilt.packing.question import Cut, Item, Question, height_of, score
from tracker.quilt.packing.relaxed import Relaxed, fewest_strips, least_height, levels_of
from tracker.quilt.packing.search import Field
from tracker.quilt.packing.tidying import tidied

# How many steps a search may take: for the end of an answer, for a whole one, for a few strips of one.
END_STEPS, WHOLE_STEPS, MEND_STEPS = 400, 5000, 300
MENDINGS = 20

MANY_STRIPS = 300
"""Of more strips than this only the last are hunted for; the others are taken from the bound's answer."""

MANY_ITEMS = 12
"""Of more items than this only the plain bound is found, and one answer from it: it wastes little where there is so
much to choose from."""


@dataclass(frozen=True)
class PlacedItem:
    """`count` rectangles of the item with this index side by side in one strip, turned or not."""

    item: int
    turned: bool
    count: int


@dataclass(frozen=True)
class PackedStrip:
    """A way to cut a strip of `height`, used `count` times; `used` of its length is taken up."""

    height: int
    placed: tuple[PlacedItem, ...]
    used: int
    count: int


@dataclass(frozen=True)
class Packing:
    """All strips, highest first. No answer has fewer than `least_strips`; none of as few strips as this one is lower
    than `least_height`."""

    strips: tuple[PackedStrip, ...]
    least_strips: int
    least_height: int

    @cached_property
    def number(self) -> int:
        return sum(strip.count for strip in self.strips)

    @cached_property
    def height(self) -> int:
        return sum(strip.height * strip.count for strip in self.strips)

    @property
    def proven(self) -> bool:
        """Whether nothing better can be."""
        return self.number == self.least_strips and self.height == self.least_height


@dataclass(frozen=True)
class _Answer:
    """Strips and how often each, with the bound of the question."""

    question: Question
    cuts: Counter[Cut]
    least_strips: int
    least_height: int

    @property
    def score(self) -> tuple[int, int]:
        return self.cuts.total(), sum(cut[0] * times for cut, times in self.cuts.items())


PACKED: Kept[Packing] = Kept(500)
"""Answers by what was asked: where one block of a plan is drawn otherwise, most cloths are cut as before."""


def pack(width: int, items: Sequence[Item]) -> Packing:
    """The best answer found, with its bound. Items of count 0 are left out. Raises DoesNotFit."""
    return PACKED.get((width, tuple(items)), lambda: _packed(width, items))


def _packed(width: int, items: Sequence[Item]) -> Packing:
    wanted = [index for index, item in enumerate(items) if item.count]
    if not wanted:
        return Packing((), 0, 0)
    answer = _answer(width, [items[index] for index in wanted])
    cuts = tidied(answer.question, answer.cuts)
    return Packing(_strips(answer.question, cuts, wanted), answer.least_strips, answer.least_height)


def _answer(width: int, items: Sequence[Item]) -> _Answer:
    """First without turning anything; then with turning, in no more height than that."""
    find = _hunted if Question(width, items).own_number <= MANY_STRIPS else _mostly_relaxed
    lying = find(Question(width, [item.lying(width) for item in items]), None)
    if not any(len(item.ways()) > 1 for item in items):
        return lying
    question = Question(width, items, lying.score[1])
    turning = find(question, lying.cuts)
    if turning.score[1] > question.most:
        turning = replace(turning, cuts=Counter(question.settled(list(lying.cuts.elements()))))
    return turning


def _hunted(question: Question, known: Counter[Cut] | None) -> _Answer:
    hunt = _Hunt(question, None if known is None else list(known.elements()))
    hunt.run()
    return _Answer(question, Counter(hunt.best), hunt.least_strips, hunt.least_height)


def _mostly_relaxed(question: Question, known: Counter[Cut] | None) -> _Answer:
    """Of very many strips most are taken from the programme's answer, and only the rest is hunted for."""
    few = fewest_strips(question).bound
    low = None
    strips = few
    while low is None:
        low = least_height(question, strips)
        strips += 1
    kept = Counter({cut: times - 2 for cut, times in low.whole if times > 2})
    rest = _remaining(question, kept)
    cuts = Counter(kept)
    if rest is not None:
        hunted = _hunted(rest[0], None)
        for cut, times in hunted.cuts.items():
            cuts[_widened(cut, rest[1], len(question.items))] += times
    if sum(cut[0] * times for cut, times in cuts.items()) > question.own_height:
        cuts = Counter(question.all_own())
    bound = least_height(question, cuts.total())
    return _Answer(question, cuts, few, bound.bound if bound else 0)


def shelves(width: int, depth: int, items: Sequence[Item]) -> Packing:
    """Strips for one piece of stock, `width` by `depth`: the one that wastes least, then the next, while any fits.

    What does not fit is left out. The bound is that of what was taken, so it says nothing of what might have been.
    """
    left = [item.count for item in items]
    cuts: list[Cut] = []
    while True:
        fitting = [
            index
            for index, item in enumerate(items)
            if left[index] and any(length <= width and height <= depth for length, height in item.ways())
        ]
        if not fitting:
            break
        question = Question(width, [replace(items[index], count=left[index]) for index in fitting])
        cut = shelf(question, depth)
        if cut is None:
            break
        wide = _widened(cut, fitting, len(items))
        left = [a - b for a, b in zip(left, wide[1], strict=True)]
        depth -= cut[0]
        cuts.append(wide)
    if not cuts:
        return Packing((), 0, 0)
    held = [sum(counts) for counts in zip(*(cut[1] for cut in cuts), strict=True)]
    taken = [index for index, count in enumerate(held) if count]
    question = Question(width, [replace(items[index], count=held[index]) for index in taken])
    cuts = [(height, tuple(counts[index] for index in taken)) for height, counts in cuts]
    return Packing(_strips(question, Counter(cuts), taken), len(cuts), height_of(cuts))


def _strips(question: Question, cuts: Counter[Cut], indices: Sequence[int]) -> tuple[PackedStrip, ...]:
    return tuple(
        PackedStrip(cut[0], _placed(question, cut, indices), question.used(cut), count)
        for cut, count in sorted(cuts.items(), reverse=True)
    )


def _placed(question: Question, cut: Cut, wanted: Sequence[int]) -> tuple[PlacedItem, ...]:
    lengths = question.lengths[cut[0]]
    held = [i for i, count in enumerate(cut[1]) if count]
    held.sort(key=lambda i: (-min(cut[0], question.items[i].height), -lengths[i], i))
    return tuple(PlacedItem(wanted[i], lengths[i] != question.items[i].length, cut[1][i]) for i in held)


class _Hunt:
    """The best answer so far, and the bound so far."""

    def __init__(self, question: Question, known: Sequence[Cut] | None = None) -> None:
        self.question = question
        self.few = fewest_strips(question)
        self.best = question.settled(known or question.all_own())
        self._take(quick(question))
        self.many = len(question.items) > MANY_ITEMS
        self.levels = [] if self.many else levels_of(question)
        self.least_strips = (self.few if self.many else fewest_strips(question, question.most, self.levels)).bound
        self.least_height = 0

    def run(self) -> None:
        """Try numbers of strips from the least on, until one has an answer."""
        for strips in range(self.least_strips, len(self.best) + 1):
            low = least_height(self.question, strips, self.levels)
            if low is None or low.bound > self.question.most:
                self._exclude(strips)
                continue
            self.least_height = low.bound
            if score(self.best) == (strips, low.bound):
                return
            self._end_from(low, strips)
            if self.many or len(self.best) < strips:
                break
            if self._search_whole(Field(self.question, low, self.few, strips)):
                return
            if len(self.best) <= strips:
                break
        if self.many or len(self.best) < strips:
            low = least_height(self.question, len(self.best))
            self.least_height = low.bound if low else 0
        if not self.many:
            self._mend()

    def _exclude(self, strips: int) -> None:
        if strips == self.least_strips:
            self.least_strips += 1

    def _ceiling(self, strips: int) -> int:
        """The height that an answer of so many strips must not pass to be better than the best."""
        return height_of(self.best) - 1 if len(self.best) == strips else self.question.most

    def _take(self, cuts: Sequence[Cut]) -> None:
        settled = self.question.settled(cuts)
        if height_of(settled) <= self.question.most:
            self.best = min(self.best, settled, key=score)

    def _end_from(self, low: Relaxed, strips: int) -> None:
        """Keep the whole strips of the programme's answer, then all but one of each kind, and search for the rest."""
        for spared in (0,) if self.many else (0, 1):
            kept = [cut for cut, times in low.whole for _ in range(times - spared)]
            self._complete(kept, strips - len(kept), self._ceiling(strips) - height_of(kept), END_STEPS)

    def _search_whole(self, field: Field) -> bool:
        """Search below the best, again and again, then from the bound on. True where that settles it."""
        steps = WHOLE_STEPS
        outcome = field.search(self._ceiling(field.strips), steps // 2)
        while outcome.found is not None:
            self._take(outcome.found)
            if len(self.best) < field.strips:
                return False  # of fewer strips than were sought, which no search for so many can better
            outcome = field.search(self._ceiling(field.strips), steps // 2)
        if outcome.complete:
            if len(self.best) == field.strips:
                self.least_height = height_of(self.best)
                return True
            self._exclude(field.strips)
            return False
        for height in range(self.least_height, self._ceiling(field.strips) + 1):
            outcome = field.search(height, steps)
            if outcome.found is not None:
                self._take(outcome.found)
                return True
            steps -= outcome.steps
            if not outcome.complete or steps <= 0:
                break
            self.least_height = height + 1
        return False

    def _mend(self) -> None:
        """Take two or three strips out and cut what they held anew, as long as that helps."""
        tried: set[tuple[Cut, ...]] = set()
        again = True
        while again and len(tried) < MENDINGS:
            again = False
            for out in islice(_some_of(self.best), MENDINGS):
                if out in tried or len(tried) >= MENDINGS:
                    continue
                tried.add(out)
                if self._cut_anew(out):
                    again = True
                    break

    def _cut_anew(self, out: tuple[Cut, ...]) -> bool:
        kept = list((Counter(self.best) - Counter(out)).elements())
        return self._complete(kept, len(out), height_of(out) - 1, MEND_STEPS)

    def _complete(self, kept: Sequence[Cut], strips: int, ceiling: int, steps: int) -> bool:
        """Search for what these strips leave to be cut. True where that made the best better."""
        rest = _remaining(self.question, Counter(kept))
        if rest is None:
            self._take(kept)
            return False
        question, indices = rest
        low = least_height(question, strips) if strips > 0 else None
        if low is None or low.bound > ceiling:
            return False
        field = Field(question, low, fewest_strips(question), strips)
        better = False
        while ceiling >= low.bound and (found := field.search(ceiling, steps).found) is not None:
            self._take([*kept, *(_widened(cut, indices, len(self.question.items)) for cut in found)])
            better, ceiling = True, height_of(question.settled(found)) - 1
        return better


def _remaining(question: Question, cuts: Counter[Cut]) -> tuple[Question, list[int]] | None:
    """What is still to be cut after these strips, and the indices of its items; None where nothing is."""
    held = [sum(cut[1][i] * times for cut, times in cuts.items()) for i in range(len(question.items))]
    left = {i: item.count - held[i] for i, item in enumerate(question.items) if item.count > held[i]}
    if not left:
        return None
    items = [replace(question.items[i], count=count) for i, count in left.items()]
    return Question(question.width, items), list(left)


def _widened(cut: Cut, indices: Sequence[int], items: int) -> Cut:
    """A strip of some of the items as one of all of them."""
    counts = [0] * items
    for index, count in zip(indices, cut[1], strict=True):
        counts[index] = count
    return cut[0], tuple(counts)


def _some_of(cuts: Sequence[Cut]) -> Iterator[tuple[Cut, ...]]:
    """Every two and every three of the strips, but alike ones only once."""
    times = Counter(cuts)
    for number in (2, 3):
        for out in combinations_with_replacement(sorted(times), number):
            if all(count <= times[cut] for cut, count in Counter(out).items()):
                yield out
