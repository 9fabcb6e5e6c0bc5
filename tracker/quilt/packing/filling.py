"""Quick answers: the highest rectangle left opens a strip, and the strip is filled."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import chain
from operator import itemgetter

from tracker.quilt.packing.question import Cut, Question, score
from tracker.quilt.packing.relaxed import knapsack

MODES = ("fullest", "opener first", "greedy")

Batch = tuple[int, int, int]
"""(height of the strip it may open, item, count): rectangles of one item that stand or lie alike."""


def quick(question: Question) -> list[Cut]:
    """The best of several passes, that choose by turns which items open strips turned."""
    turned = [0] * len(question.items)
    best = question.all_own()
    own = score(best)
    here = (len(best) + 1, 0)
    changed = True
    while changed:
        changed = False
        for index, number in chain([(0, 0)], _choices(question)):
            trial = [*turned[:index], number, *turned[index + 1 :]]
            if trial == turned and here <= own:
                continue
            cuts = _best_pass(question, trial)
            if cuts is not None and score(cuts) < here:
                turned, here, changed = trial, score(cuts), True
                best = min(best, cuts, key=score)
    return best


def _choices(question: Question) -> list[tuple[int, int]]:
    """(item, how many of it open strips turned): none, full strips of it, or all."""
    choices = []
    for index, item in enumerate(question.items):
        if len(item.ways()) == 2 and max(item.length, item.height) <= question.width:
            full = item.count - item.count % (question.width // item.height)
            choices += [(index, number) for number in sorted({0, full, item.count})]
    return choices


def _best_pass(question: Question, turned: Sequence[int]) -> list[Cut] | None:
    """The best of the modes that stays within the height allowed."""
    batches = []
    for index, item in enumerate(question.items):
        upright = item.count if item.length > question.width else turned[index]
        batches += [(item.length, index, upright)] * bool(upright)
        batches += [(item.height, index, item.count - upright)] * (upright < item.count)
    lengths = [item.length for item in question.items]
    batches.sort(key=lambda batch: (-batch[0], -lengths[batch[1]], batch[1]))
    passes = (_pass(question, batches, mode) for mode in MODES)
    return min((cuts for cuts in passes if score(cuts)[1] <= question.most), key=score, default=None)


def _pass(question: Question, batches: Sequence[Batch], mode: str) -> list[Cut]:
    left = [count for _, _, count in batches]
    cuts: list[Cut] = []
    for opener, (height, _, _) in enumerate(batches):
        while left[opener]:
            held = _fill(question, batches, left, height, mode)
            times = min(left[index] // count for index, count in held.items())
            counts = [0] * len(question.items)
            for index, count in held.items():
                counts[batches[index][1]] += count
                left[index] -= count * times
            cuts += [(height, tuple(counts))] * times
    return cuts


def _fill(question: Question, batches: Sequence[Batch], left: Sequence[int], height: int, mode: str) -> dict[int, int]:
    """What one strip holds, by index of batch; the first batch that is left opens it."""
    lengths = question.lengths[height]
    some = [
        (index, lengths[batch[1]], min(left[index], question.width // lengths[batch[1]]))
        for index, batch in enumerate(batches)
        if left[index] and lengths[batch[1]]
    ]
    held: dict[int, int] = {}
    room = question.width
    if mode == "greedy":
        for index, length, most in some:
            count = min(most, room // length)
            room -= count * length
            held |= {index: count} if count else {}
        return held
    reach = _reachable(some, question.width)
    index, length, most = some[0]
    if mode == "fullest":
        fills = [(number, number * length + _most(reach[1], room - number * length)) for number in range(most, 0, -1)]
        most = max(fills, key=itemgetter(1))[0]
    held[index] = most
    target = _most(reach[1], room - most * length)
    for (index, length, most), after in zip(some[1:], reach[2:], strict=True):
        count = min(most, target // length)
        while not after >> (target - count * length) & 1:
            count -= 1
        target -= count * length
        held |= {index: count} if count else {}
    return held


def _reachable(some: Sequence[tuple[int, int, int]], width: int) -> list[int]:
    """For each place in the list, the lengths that what stands from there on can fill, as bits of a number."""
    reach = [1]
    for _, length, most in reversed(some):
        bits, step = reach[-1], 1
        while most > 0:
            bits |= bits << length * min(step, most)
            most, step = most - step, 2 * step
        reach.append(bits & ((1 << width + 1) - 1))
    return reach[::-1]


def _most(reach: int, room: int) -> int:
    """The greatest length up to `room` that can be filled."""
    return (reach & ((1 << room + 1) - 1)).bit_length() - 1


def shelf(question: Question, depth: int) -> Cut | None:
    """The strip no higher than `depth` that wastes the least share of itself; of several the highest."""
    areas = [item.length * item.height for item in question.items]
    best: tuple[Fraction, int, Cut] | None = None
    for height in question.heights:
        found = knapsack(question, height, areas, 0) if height <= depth else None
        if found is not None:
            cut = (question.lowest(found[1]), found[1])
            share = Fraction(found[0], cut[0] * question.width)
            if best is None or (share, cut[0]) > best[:2]:
                best = share, cut[0], cut
    return best[2] if best else None
