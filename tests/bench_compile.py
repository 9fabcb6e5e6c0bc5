"""How long compiling and proving take: times, growth, and the ratio to reading and writing the plan.

Run it by hand: python tests/bench_compile.py [most blocks]
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections.abc import Callable

from tracker.checklist import compile_plan
from tracker.planfile import read_plan
from tracker.proof import prove
from tracker.report import steps_report

KEYS = ("A", "B", "C", "D", "E")
SIDE = 8


def picture(chance: random.Random) -> str:
    """An 8 x 8 picture of plain cells, halves and quarters."""

    def cell() -> str:
        a, b, c, d = (chance.choice(KEYS) for _ in range(4))
        kind = chance.random()
        if kind < 0.5 or len({a, b, c, d}) == 1 or (kind < 0.9 and a == b):
            return a
        return f"{a}{chance.choice('/' + chr(92))}{b}" if kind < 0.9 else f"{a}:{b}:{c}:{d}"

    return "\n".join(" ".join(cell() for _ in range(SIDE)) for _ in range(SIDE))


def plan_text(blocks: int) -> str:
    """A quilt of so many blocks, each different."""
    chance = random.Random(blocks)
    fabrics = "".join(f'[fabrics.{key}]\nname = "cloth {key}"\ntone = {i + 2}\n' for i, key in enumerate(KEYS))
    pictures = "".join(f"[blocks.b{i}]\ncell = \"2\"\npicture = '''\n{picture(chance)}\n'''\n" for i in range(blocks))
    names = ", ".join(f'"b{i}"' for i in range(blocks))
    return f'title = "Benchmark"\n{fabrics}{pictures}[quilt]\nblocks = [[{names}]]\n'


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """The best of a few runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def main(most: int) -> None:
    heads = f"{'blocks':>7} {'compile s':>10} {'prove s':>9} {'µs a cell':>10}"
    print(f"{heads} {'to reading and writing':>23} {'growth from half':>17}")
    taken: dict[int, float] = {}
    for blocks in (1, 10, 50, 100, 200, 400):
        if blocks > most:
            break
        text = plan_text(blocks)
        plan = read_plan(text).plan
        assert plan is not None
        checklist = compile_plan(plan)
        report = steps_report(plan, checklist)
        runs = 3 if blocks <= 100 else 1
        compiled = seconds(lambda plan=plan: compile_plan(plan), runs)
        proved = seconds(lambda plan=plan, checklist=checklist: prove(plan, checklist), runs)
        floor = seconds(lambda text=text, report=report: (read_plan(text), json.dumps(report)), runs)
        whole = compiled + proved
        taken[blocks] = whole
        growth = f"{whole / taken[blocks // 2]:.2f}" if blocks // 2 in taken else ""
        cells = blocks * SIDE * SIDE
        print(
            f"{blocks:7} {compiled:10.3f} {proved:9.3f} {whole / cells * 1e6:10.0f} {whole / floor:23.1f} {growth:>17}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
