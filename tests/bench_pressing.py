"""How long the pressing of quilts takes: beside an integer program on small ones, and alone on large ones.

Run it by hand: python tests/bench_pressing.py [quilts]
"""

from __future__ import annotations

import sys
import time
from random import Random

from planning import joined_blocks
from pressing_oracles import best_by_program, question_of, score
from random_quilts import random_quilt

from tracker.plan.plan_reader import read_plan
from tracker.pressing.quilt_pressing import press_quilt, press_seams

CHEQUERED = ("S", "R")


def compare(quilts: int) -> None:
    """Both on the same seams of random quilts: milliseconds each, the ratio, and how often they disagree (never)."""
    print(f"{'cells':>6} {'places':>7} {'quilts':>7} {'ours ms':>9} {'program ms':>11} {'ratio':>7} {'unlike':>7}")
    total = [0.0, 0.0]
    for cells, places in ((3, 1), (4, 1), (3, 3), (4, 4), (3, 6)):
        ours = theirs = 0.0
        unlike = 0
        for seed in range(quilts):
            plan = random_quilt(Random(seed), cells, places)
            roots = joined_blocks(plan)
            question = question_of(plan, roots)
            start = time.perf_counter()
            pressed = press_seams(plan, question.seams)
            middle = time.perf_counter()
            best = best_by_program(question)
            end = time.perf_counter()
            ours, theirs = ours + middle - start, theirs + end - middle
            unlike += score(plan, pressed) != best
        each = 1000 / quilts
        total = [total[0] + ours, total[1] + theirs]
        print(
            f"{cells:>6} {places:>7} {quilts:>7} {ours * each:>9.2f} {theirs * each:>11.2f} "
            f"{theirs / ours:>7.0f} {unlike:>7}"
        )
    print(f"all together {total[1] / total[0]:.0f} times faster")


def large() -> None:
    """Plain quilts of growing size: milliseconds, and whether the best is proven."""
    print(f"\n{'block':>7} {'quilt':>9} {'turns':>6} {'ms':>8} {'versions':>9} {'turned':>7} {'proven':>7}")
    for side, across, down in ((5, 3, 4), (12, 10, 12), (64, 1, 1), (5, 100, 100), (4, 100, 100), (64, 30, 30)):
        for turns in ("true", "false"):
            picture = "\n".join(" ".join(CHEQUERED[(r + c) % 2] for c in range(side)) for r in range(side))
            plan = read_plan(
                'title = "Large"\n[fabrics.S]\nname = "s"\ntone = 2\n[fabrics.R]\nname = "r"\ntone = 7\n'
                f"[blocks.b]\ncell = 2\npicture = '''\n{picture}\n'''\n"
                f'[quilt]\nblock = "b"\nacross = {across}\ndown = {down}\nhalf_turns = {turns}\n'
            ).plan
            assert plan is not None
            roots = joined_blocks(plan)
            start = time.perf_counter()
            pressed = press_quilt(plan, roots)
            taken = 1000 * (time.perf_counter() - start)
            found = score(plan, pressed)
            print(
                f"{side:>3}x{side:<3} {across:>4}x{down:<4} {turns:>6} {taken:>8.1f} {found.versions:>9} "
                f"{found.turns:>7} {pressed.proven!s:>7}"
            )


if __name__ == "__main__":
    compare(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
    large()
