"""Walks between stations and taps from the first cut to the last stitch, following what is offered; to be compared with
a former version: python tests/walks.py, with its folder as PYTHONPATH.

A tap counts what one step needs now; what one tap for each pass would come to is printed too.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from tracker.demo import demo_plan_text
from tracker.plan.plan_reader import read_plan
from tracker.progress.batches import Pace, carry_on, in_work, now_at
from tracker.progress.ledger import Progress
from tracker.progress.work_taps import StepsDone
from tracker.route.compiler import compile_plan
from tracker.route.passes import passes
from tracker.work.steps import Checklist, Step

KEYS = "ABCDEFGHIJKL"


def plan_text(cloths: str, block: str, quilt: str) -> str:
    """A plan of one kind of block."""
    fabrics = "".join(f'[fabrics.{key}]\nname = "cloth {key.lower()}"\ntone = {3 + ord(key) % 5}\n' for key in cloths)
    return f'title = "Walks"\n{fabrics}[blocks.b]\n{block}\n[quilt]\nblock = "b"\n{quilt}\n'


SCRAPPY = "cell = \"2\"\npicture = '''\nS/A S/B S/C S/D\nS/E S/F S/G S/H\nS/I S/J S/K S/L\n'''"
STAR = "cell = \"2\"\npicture = '''\nS R\\S S\nS/R R R/S\nS S\\R S\n'''"
LOGS = "cell = \"1\"\npicture = '''\nK S < < M\n^ K S M ^\n^ ^ R ^ ^\n^ ^ T < ^\n^ T < < <\n'''"
END = '[quilt.backing]\nfabric = "S"\n[quilt.batting]\nbeyond = "4"\n[quilt.binding]\nfabric = "R"'
BORDERS = '[[quilt.border]]\nfabric = "R"\ncut = "2"\n[[quilt.border]]\nfabric = "S"\ncut = "4 1/2"\n'
SASH = '[quilt.sash]\nfabric = "R"\ncut = "2"\ncornerstone = "S"\n'
POINT = 'setting = "on point"\nsetting_fabric = "S"\n'

PLANS = {
    "the demo": demo_plan_text(),
    "12 cloths": plan_text(KEYS + "SR", SCRAPPY, "across = 3\ndown = 4\n" + END),
    "on point, sashes, two borders": plan_text("SR", STAR, f"across = 3\ndown = 3\n{POINT}{SASH}{BORDERS}{END}"),
    "log cabin": plan_text("KSMRT", LOGS, "across = 3\ndown = 4\n" + END),
}


def offered(progress: Progress, pace: Pace) -> list[tuple[Step, tuple[int, ...]]]:
    """Steps as they are offered and done, one for each tap, with the blocks in work at that moment."""
    found: list[tuple[Step, tuple[int, ...]]] = []
    while step := carry_on(progress, pace):
        works = [work for work in now_at(progress.counts, pace) if work.step == step]
        times = works[0].now if works else progress.counts.ready(step)
        found.append((step, tuple(in_work(progress.counts, pace))))
        progress.record(StepsDone(id=str(len(found)), step=step.id, times=times).completed(progress.counts))
    assert progress.counts.finished()
    return found


def walks(steps: Iterable[Step]) -> int:
    """How often one goes from one station to another."""
    return sum(1 for _ in groupby(steps, key=lambda step: step.station)) - 1


def passes_of(checklist: Checklist) -> dict[str, str]:
    """The pass of each step, by ids."""
    return {step.id: each.id for each in passes(checklist) for step in each.steps}


PACES = (("a row at a time", Pace()), ("all left at once", Pace(batch=10_000)))
"""The usual pace, and that which walks least."""


def main() -> None:
    for title, pace in PACES:
        print(f"{title:30} steps passes | walks: list, offered, sample | taps: all, sample | by passes: all, sample")
        for name, text in PLANS.items():
            print(line(name, text, pace))


def line(name: str, text: str, pace: Pace) -> str:
    """What one plan takes at a pace."""
    reading = read_plan(text)
    assert reading.plan is not None, reading.problems
    checklist = compile_plan(reading.plan)
    taps = offered(Progress(reading.plan, checklist), pace)
    sample = [tap for tap in taps if tap[1] == (1,)]
    named = passes_of(checklist)
    together = (groupby(some, key=lambda tap: (named[tap[0].id], tap[1])) for some in (taps, sample))
    by_pass = [sum(1 for _ in each) for each in together]
    steps = [step for step in checklist.steps if step.count]
    walked = [walks(each) for each in (steps, [step for step, _ in taps], [step for step, _ in sample])]
    return (
        f"{name:30} {len(steps):5} {len(set(named.values())):6} | {walked[0]:11} {walked[1]:8} {walked[2]:7} | "
        f"{len(taps):9} {len(sample):7} | {by_pass[0]:14} {by_pass[1]:7}"
    )


if __name__ == "__main__":
    main()
