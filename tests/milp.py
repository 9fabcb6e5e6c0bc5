"""The packing question put to a general solver: integer programmes over all strips there can be, solved to the proven
optimum by scipy's HiGHS. Slow, but it knows nothing of ours."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from tracker.quilt.packing import Item

Pattern = tuple[int, tuple[int, ...]]


def habit(width: int, items: list[Item]) -> tuple[int, int]:
    """(strips, height) with strips of its own for every item, lying as given: the habit of the trade."""
    strips = height = 0
    for item in items:
        length, high = (item.length, item.height) if item.length <= width else (item.height, item.length)
        own = -(-item.count // (width // length))
        strips, height = strips + own, height + own * high
    return strips, height


def patterns(width: int, items: list[Item]) -> list[Pattern]:
    """Every strip that holds as much as it can, as (height, counts): the lowest for the same counts."""
    ways = [[way for way in item.ways() if way[0] <= width] for item in items]
    lowest: dict[tuple[int, ...], int] = {}
    for high in sorted({height for each in ways for _, height in each}):
        lengths = [min((length for length, height in each if height <= high), default=0) for each in ways]
        for counts in _contents(width, items, lengths):
            lowest.setdefault(counts, high)
    return [(high, counts) for counts, high in lowest.items()]


def _contents(width: int, items: list[Item], lengths: list[int]) -> Iterator[tuple[int, ...]]:
    order = sorted((i for i in range(len(items)) if lengths[i]), key=lambda i: -lengths[i])
    counts = [0] * len(items)

    def fill(place: int, room: int) -> Iterator[tuple[int, ...]]:
        if place == len(order):
            if not any(lengths[i] <= room and counts[i] < items[i].count for i in order):
                yield tuple(counts)
            return
        i = order[place]
        for count in range(min(room // lengths[i], items[i].count), -1, -1):
            counts[i] = count
            yield from fill(place + 1, room - count * lengths[i])
        counts[i] = 0

    return fill(0, width)


def optimum(width: int, items: list[Item], seconds: float = 60) -> tuple[int, int] | None:
    """The proven (strips, height): fewest strips within the habit's height, then the least height; turning only within
    the height that not turning takes. None where the time did not suffice for a proof."""
    best = _optimum(width, [item.lying(width) for item in items], habit(width, items)[1], seconds)
    if best is None or not any(item.turns for item in items):
        return best
    return _optimum(width, items, best[1], seconds)


def _optimum(width: int, items: list[Item], most: int, seconds: float) -> tuple[int, int] | None:
    found = patterns(width, items)
    holds = np.array([counts for _, counts in found], float).T
    heights = np.array([height for height, _ in found], float)
    need = np.array([item.count for item in items], float)
    enough = LinearConstraint(holds, need, np.inf)
    low = LinearConstraint(heights[None, :], -np.inf, most)
    common = {"integrality": np.ones(len(found)), "bounds": Bounds(0, np.inf)}
    options = {"time_limit": seconds, "mip_rel_gap": 0}
    first = milp(np.ones(len(found)), constraints=[enough, low], options=options, **common)
    if first.status != 0:
        return None
    strips = round(first.fun)
    few = LinearConstraint(np.ones((1, len(found))), -np.inf, strips)
    second = milp(heights, constraints=[enough, few, low], options=options, **common)
    return (strips, round(second.fun)) if second.status == 0 else None
