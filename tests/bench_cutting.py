"""Cutting against the proven optimum of a general solver: 300 random and 20 real lists, in one run.

Run as `python tests/bench_cutting.py [LISTS]`. It prints how often strips and length are as good as can be, how much
faster ours is, and what it saves against a strip for every size. Lists for which the solver finds no proof within a
minute are left out, and counted.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.cloth_lists import REAL, random_list, real_list
from tests.milp import habit, optimum
from tracker.quilt.packing import Item, pack


def lists(number: int) -> Iterator[tuple[str, int, list[Item]]]:
    for name in REAL:
        yield name, *real_list(name)
    for seed in range(number):
        yield f"random {seed}", *random_list(seed)


def main(number: int) -> int:
    proven = equal = worst = unproven = 0
    theirs = ours = 0.0
    saved = [0, 0]
    whole = [0, 0]
    for name, width, items in lists(number):
        began = time.perf_counter()
        best = optimum(width, items)
        between = time.perf_counter()
        packing = pack(width, items)
        ended = time.perf_counter()
        if best is None:
            unproven += 1
            continue
        found, usual = (packing.number, packing.height), habit(width, items)
        theirs, ours = theirs + between - began, ours + ended - between
        proven, equal, worst = proven + 1, equal + (found == best), max(worst, found[0] - best[0])
        assert best <= found, f"{name}: {found} is better than the optimum {best}"
        assert found[0] <= usual[0], f"{name}: {found} is worse than the habit {usual}"
        assert found[1] <= usual[1], f"{name}: {found} is worse than the habit {usual}"
        saved = [saved[0] + usual[0] - found[0], saved[1] + usual[1] - found[1]]
        whole = [whole[0] + usual[0], whole[1] + usual[1]]
        if found != best:
            print(f"{name}: {found[0]} strips, {found[1] / 8} in; the best is {best[0]} strips, {best[1] / 8} in")
    print(f"{proven} lists, {unproven} left out without a proof")
    print(f"as good as can be: {equal} ({equal / proven:.1%}); at most {worst} strips over")
    print(f"time: ours {ours:.2f} s, the solver {theirs:.1f} s: {theirs / ours:.0f} times faster")
    print(
        f"against a strip for every size: {saved[0]} of {whole[0]} strips and {saved[1] / 8} of {whole[1] / 8} in saved"
    )
    return 0 if equal >= 0.95 * proven and worst <= 1 and theirs >= 50 * ours else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 300))
