"""Patches that a reading sews in as they are, where nobody would cut them so: what belongs to them has gone astray."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction

from tracker.exact.measure import Measure
from tracker.printed.block_readings import Meant, SizeGroup

_Pairs = Sequence[tuple[SizeGroup, Meant]]


def bare(groups: Sequence[SizeGroup], reading: Sequence[Meant], block: Measure) -> int | None:
    """The first group that would lie bare; None: there is none."""
    pairs = list(zip(groups, reading, strict=True))
    rules = {"square": (_of_geese, _cornerstones, _round_a_middle), "rectangle": (_without_its_twin,)}
    patches = ((place, rules.get(meant.shape, ())) for place, (_, meant) in enumerate(pairs))
    return next((place for place, wrong in patches if any(rule(pairs, place, block) for rule in wrong)), None)


def _oblongs(pairs: _Pairs, high: Measure) -> Iterator[tuple[SizeGroup, Meant]]:
    """Rectangles so high."""
    return ((group, meant) for group, meant in pairs if meant.shape == "rectangle" and meant.finished[1] == high)


def _of_geese(pairs: _Pairs, place: int, block: Measure) -> bool:
    """Whether squares are two for each of four oblongs or more of another cloth, twice as long as they are: geese are
    made of those."""
    squares, side = pairs[place][0], pairs[place][1].finished[0]
    oblongs = [(group, meant) for group, meant in _oblongs(pairs, side) if meant.finished[0] == 2 * side]
    alone = sum(meant.finished == (side, side) for _, meant in pairs) == 1
    return alone and len(oblongs) == 1 and _flipped(oblongs[0][0], squares)


def _flipped(oblongs: SizeGroup, squares: SizeGroup) -> bool:
    """Whether squares are two for each oblong, and are seen on it."""
    return oblongs.count >= 4 and squares.count == 2 * oblongs.count and oblongs.fabric != squares.fabric


def _cornerstones(pairs: _Pairs, place: int, block: Measure) -> bool:
    """Whether four squares are the corners of a frame whose four strips are of the same cloth: it would be cut as
    strips alone, unless something is flipped on them."""
    squares, side = pairs[place][0], pairs[place][1].finished[0]
    if squares.count != 4 or not squares.fabric or any(m.shape == "flip" and m.finished[0] <= side for _, m in pairs):
        return False
    return any(
        group.count == 4 and group.fabric == squares.fabric and _filled(pairs, meant.finished[0], (squares, group))
        for group, meant in _oblongs(pairs, side)
        if meant.finished[0] > side
    )


def _filled(pairs: _Pairs, inner: Measure, frame: tuple[SizeGroup, SizeGroup]) -> bool:
    """Whether a square, or all that is no larger than it but for its frame, fills what a frame goes round."""
    within = [(g, m) for g, m in pairs if g not in frame and max(m.finished) <= inner]
    area = sum((meant.area * group.count for group, meant in within), Fraction())
    return area == (inner * inner).rational or any(meant.finished == (inner, inner) for _, meant in within)


def _without_its_twin(pairs: _Pairs, place: int, block: Measure) -> bool:
    """Whether strips as long as the block are odd in number, round one square on point: that lies in the middle."""
    middles = sum(group.count for group, meant in pairs if meant.shape == "centre")
    alike = sum(group.count for group, meant in pairs if meant.finished == pairs[place][1].finished)
    return middles == 1 and pairs[place][1].finished[0] == block and alike % 2 == 1


def _round_a_middle(pairs: _Pairs, place: int, block: Measure) -> bool:
    """Whether eight squares of one cloth and four of another go round a square twice as large: two of one cloth side by
    side would be cut as one, and are flipped on what is missing."""
    squares, side = pairs[place][0], pairs[place][1].finished[0]
    round_it, middle = Counter[str](), 0
    for group, meant in pairs:
        if meant.shape == "square":
            round_it[group.fabric] += group.count if meant.finished[0] == side else 0
            middle += group.count if meant.finished[0] == 2 * side else 0
    counts = sorted(count for count in round_it.values() if count)
    return block == 4 * side and middle == 1 and squares.count == 8 and counts == [4, 8]
