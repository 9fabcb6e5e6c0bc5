"""How long compiling and proving take, as ratios measured in one run: to half as many blocks, to a former version.

Run it by hand: python tests/bench_compile.py [most blocks [checkout of a former version]]

Times are the processor's, of processes of their own, in turns, so that whatever else runs weighs on all alike.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve()
KEYS = ("A", "B", "C", "D", "E")
SIDE = 8

MEASURED = """
import sys, time
try:
    from tracker.route.compiler import compile_plan
    from tracker.plan.plan_reader import read_plan
    from tracker.proof.proof import prove
except ImportError:  # a version whose modules lay in one folder
    from tracker.checklist import compile_plan
    from tracker.planfile import read_plan
    from tracker.proof import prove

def compiled(text):
    plan = read_plan(text).plan
    return plan, compile_plan(plan)

*before, last = sys.stdin.read().split("\\0")
for text in before:
    compiled(text)
began = time.process_time()
plan, checklist = compiled(last)
middle = time.process_time()
if sys.argv[1] == "prove":
    assert prove(plan, checklist).holds
print(middle - began, time.process_time() - middle)
"""
"""Compiles the texts given, and measures the last: seconds to compile it, and to prove it where that is asked."""

DRAWN = """
import sys, time
from tracker.looks import looker, preview

looker.collect_rarely()
drawn = preview.plan_work()[preview.DRAWN]
*before, last = sys.stdin.read().split("\\0")
for text in before:
    list(drawn(text))
began = time.process_time()
seen = list(drawn(last))[-1]
print(time.process_time() - began, 0)
assert seen["figures"]["cloths"]
"""
"""Looks at the texts given as the page of a drawn plan does, and measures the last: all but the proof."""


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
    names = ", ".join(f'"b{i}"' for i in range(blocks))
    return _text([picture(chance) for _ in range(blocks)], f"blocks = [[{names}]]")


def usual_text(edits: int = 0) -> str:
    """A usual quilt, 12 blocks of 4 kinds, the first cell of one of which was changed so often."""
    chance = random.Random(4)
    pictures = [picture(chance) for _ in range(4)]
    pictures[1] = KEYS[edits % len(KEYS)] + pictures[1][pictures[1].index(" ") :]
    rows = ", ".join('["b0", "b1", "b2", "b3"]' for _ in range(3))
    return _text(pictures, f"blocks = [{rows}]")


def long_text(down: int) -> str:
    """One column of so many blocks."""
    return _text(["A B\\A A\nA/B B B/A\nA A\\B A"], f'block = "b0"\nacross = 1\ndown = {down}')


def _text(pictures: list[str], quilt: str) -> str:
    fabrics = "".join(f'[fabrics.{key}]\nname = "cloth {key}"\ntone = {i + 2}\n' for i, key in enumerate(KEYS))
    blocks = "".join(f"[blocks.b{i}]\ncell = \"2\"\npicture = '''\n{each}\n'''\n" for i, each in enumerate(pictures))
    return f'title = "Benchmark"\n{fabrics}{blocks}[quilt]\n{quilt}\n'


def seconds(checkout: Path, *texts: str, prove: bool = False, script: str = MEASURED) -> tuple[float, float]:
    """Processor seconds to compile the last of the texts by a checkout, and to prove it."""
    found = subprocess.run(
        [sys.executable, "-c", script, "prove" if prove else ""],
        input="\0".join(texts),
        cwd=checkout,
        env={**os.environ, "PYTHONPATH": str(checkout)},
        capture_output=True,
        text=True,
        check=True,
    )
    compiling, proving = map(float, found.stdout.split())
    return compiling, proving


def main(most: int, former: Path | None) -> None:
    checkout = HERE.parent.parent
    half, whole = (seconds(checkout, plan_text(blocks), prove=True) for blocks in (most // 2, most))
    print(f"{most} blocks: compiled in {whole[0]:.2f} s, proved in {whole[1]:.2f} s")
    print(f"to half as many: {sum(whole) / sum(half):.2f} times")
    if former is not None:
        before = seconds(former, plan_text(most), prove=True)
        print(f"the former version takes {sum(before) / sum(whole):.2f} times as long "
              f"(to compile {before[0] / whole[0]:.2f}, to prove {before[1] / whole[1]:.2f})")  # fmt: skip
    short, long = (seconds(checkout, long_text(down))[0] for down in (1000, 10_000))
    print(f"10,000 blocks down to 1,000, compiled: {long / short:.1f} times")
    cold = min(seconds(checkout, usual_text())[0] for _ in range(3))
    warm = min(seconds(checkout, usual_text(), usual_text(1))[0] for _ in range(3))
    print(f"a usual quilt compiled: {1000 * cold:.0f} ms; after one cell is changed: {1000 * warm:.0f} ms")
    look = min(seconds(checkout, usual_text(), usual_text(1), script=DRAWN)[0] for _ in range(5))
    print(
        f"picture, size, pieces, cloth, passes and time after one cell is changed: {1000 * look:.0f} ms (of at most 50)"
    )


if __name__ == "__main__":
    given = sys.argv[1:]
    main(int(given[0]) if given else 400, Path(given[1]).resolve() if len(given) > 1 else None)
