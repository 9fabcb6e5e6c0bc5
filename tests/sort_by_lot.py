"""Blocks sorted into rows, beside the best that a general solver proves; `sew_by_lot.py` prints the figures."""

from __future__ import annotations

import time
from collections.abc import Sequence
from random import Random

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from tracker.fitting.sorting import cost, exchanged_alike, sorted_rows


def least_ranges(blocks: Sequence[tuple[int, int]], across: int, alike: Sequence[str]) -> int:
    """The least sum of the ranges of heights in rows and widths in columns, blocks in places of those alike: an integer
    programme, solved to the proven optimum by a general solver that knows nothing of ours."""
    count, rows = len(blocks), len(blocks) // across
    lines = [*((1, [r * across + c for c in range(across)]) for r in range(rows)),
             *((0, [r * across + c for r in range(rows)]) for c in range(across))]  # fmt: skip
    size = count * count + 2 * len(lines)  # block in place; then the most and the least of each row and column
    bound, low, high = [], [], []
    for one in range(count):
        for cells in ([one * count + p for p in range(count)], [b * count + one for b in range(count)]):
            row = np.zeros(size)
            row[cells] = 1
            bound, low, high = [*bound, row], [*low, 1], [*high, 1]
    for number, (way, places) in enumerate(lines):
        for place in places:
            for side, sign in ((0, 1), (1, -1)):
                row = np.zeros(size)
                row[count * count + 2 * number + side] = sign
                for block in range(count):
                    row[block * count + place] = -sign * blocks[block][way]
                bound, low, high = [*bound, row], [*low, 0], [*high, np.inf]
    weights = np.concatenate([np.zeros(count * count), np.tile([1, -1], len(lines))])
    can = [float(alike[block] == alike[place]) for block in range(count) for place in range(count)]
    bounds = Bounds(0, np.concatenate([can, np.full(2 * len(lines), np.inf)]))
    whole = np.concatenate([np.ones(count * count), np.zeros(2 * len(lines))])
    found = milp(weights, constraints=LinearConstraint(np.array(bound), low, high), bounds=bounds, integrality=whole)
    assert found.success
    return round(found.fun)


def print_sorting(chance: Random, tries: int) -> None:
    """How the rows found compare with the best there are, and with blocks as they come."""
    for across, down, versions in ((3, 2, 1), (2, 4, 1), (3, 2, 2), (2, 4, 2), (3, 3, 2)):
        best_found = ours = best = come = 0
        for _ in range(tries):
            blocks = [(chance.randint(-6, 6) + 168, chance.randint(-6, 6) + 168) for _ in range(across * down)]
            alike = ["AB"[(n % across + n // across) % versions] for n in range(len(blocks))]
            rows = sorted_rows(blocks, across) if versions == 1 else exchanged_alike(blocks, across, alike)
            least = least_ranges(blocks, across, alike)
            assert cost(blocks, rows) >= least
            best_found += cost(blocks, rows) == least
            ours, best = ours + cost(blocks, rows), best + least
            come += cost(blocks, [list(range(n, n + across)) for n in range(0, len(blocks), across)])
        print(
            f"sorted {across} by {down}{', two pressings' if versions > 1 else ''}: the solver's best in {best_found} "
            f"of {tries}; ranges {ours / best:.3f} of the best, {ours / come:.3f} of as they come"
        )
    many = [(chance.randint(-6, 6) + 168, chance.randint(-6, 6) + 168) for _ in range(400)]
    turns = ["AB"[(n % 20 + n // 20) % 2] for n in range(400)]
    come = cost(many, [list(range(n, n + 20)) for n in range(0, 400, 20)])
    for name, sort in (
        ("", lambda: sorted_rows(many, 20)),
        (", two pressings", lambda: exchanged_alike(many, 20, turns)),
    ):
        began = time.process_time()
        rows = sort()
        took = time.process_time() - began
        share = cost(many, rows) / come
        print(f"400 blocks sorted{name} in {took:.3f} s of processor time; ranges {share:.3f} of as they come")
