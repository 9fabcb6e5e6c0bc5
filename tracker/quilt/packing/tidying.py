"""Among strips that are as few and as low: those with the fewest second trims, then the largest leftover in one piece.

A second trim takes what stands lower than its strip down to its size; rectangles of one item side by side are trimmed
by one cut. Two strips at a time share what they hold anew, as long as that helps.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations_with_replacement, islice

from tracker.quilt.packing.question import Counts, Cut, Question

MOST_KINDS, MOST_LOOKS, MOST_WAYS = 12, 4000, 600
"""Of more kinds of strip than this nothing is shared anew; nor are more ways than this tried, in all and for two
strips."""

Worth = tuple[int, int, int]
"""Second trims, rectangles that are trimmed, and the largest leftover in one piece with a minus: the least is best."""


def second_trims(question: Question, cut: Cut) -> tuple[int, int]:
    """How many cuts trim what is lower than its strip, and how many rectangles they trim."""
    trims = pieces = 0
    for item, length, count in zip(question.items, question.lengths[cut[0]], cut[1], strict=True):
        high = item.height if length == item.length else item.length
        if count and high < cut[0]:
            trims, pieces = trims + 1, pieces + count
    return trims, pieces


def leftover(question: Question, cut: Cut) -> int:
    """The cloth that remains at the end of a strip."""
    return cut[0] * (question.width - question.used(cut))


def tidied(question: Question, cuts: Counter[Cut]) -> Counter[Cut]:
    """The same rectangles in as many strips, no higher, cut with the least trouble that is found."""
    best, looks = cuts, MOST_LOOKS
    again = 1 < len(cuts) <= MOST_KINDS
    while again:
        again = False
        for first, second in combinations_with_replacement(sorted(best, reverse=True), 2):
            if first == second and best[first] < 2:
                continue
            others = best - Counter((first, second))
            largest = max((leftover(question, cut) for cut in others), default=0)
            least, found = _worth(question, (first, second), largest), None
            for pair in islice(_shared_anew(question, first, second), min(looks, MOST_WAYS)):
                looks -= 1
                if pair is not None and (worth := _worth(question, pair, largest)) < least:
                    least, found = worth, pair
            if found is not None:
                best, again = others + Counter(found), looks > 0
                break
    return best


def _worth(question: Question, pair: tuple[Cut, Cut], largest: int) -> Worth:
    """Of two strips, where the largest leftover of the others is given."""
    (trims, pieces), (more_trims, more_pieces) = (second_trims(question, cut) for cut in pair)
    left = max(largest, *(leftover(question, cut) for cut in pair))
    return trims + more_trims, pieces + more_pieces, -left


def _shared_anew(question: Question, first: Cut, second: Cut) -> Iterator[tuple[Cut, Cut] | None]:
    """Every way in which two strips of these heights, or lower ones, hold together what these hold; None for one that
    was tried in vain."""
    whole = tuple(a + b for a, b in zip(first[1], second[1], strict=True))
    for counts in _parts(question, first[0], whole, 0, question.width):
        rest = tuple(a - b for a, b in zip(whole, counts, strict=True))
        if any(counts) and any(rest) and _fits(question, second[0], rest):
            pair = (question.lowest(counts), counts), (question.lowest(rest), rest)
            yield pair if pair[0][0] + pair[1][0] <= first[0] + second[0] else None
        else:
            yield None


def _parts(question: Question, height: int, whole: Counts, place: int, room: int) -> Iterator[Counts]:
    """What of the whole, from this item on, lies in a strip of a height with this room."""
    if place == len(whole):
        yield ()
        return
    length = question.lengths[height][place]
    most = min(whole[place], room // length) if length else 0
    for count in range(most, -1, -1):
        for others in _parts(question, height, whole, place + 1, room - count * length):
            yield (count, *others)


def _fits(question: Question, height: int, counts: Counts) -> bool:
    lengths = question.lengths[height]
    lie = all(length or not count for length, count in zip(lengths, counts, strict=True))
    return lie and question.used((height, counts)) <= question.width
