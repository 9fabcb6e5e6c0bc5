"""Plans for tests from a few lines: a picture, and what differs from the usual."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.problems import sentence
from tracker.progress.ledger import Progress, Refused
from tracker.progress.tap_kinds import read_tap, written
from tracker.route.compiler import in_joining_order
from tracker.units.choice import Ways
from tracker.units.joins import Node
from tracker.units.recipes import RECIPES
from tracker.work.steps import Checklist

FABRICS = (("S", "pale sand", 2), ("R", "brick", 6), ("T", "teal", 7), ("K", "ink", 9), ("M", "moss", 6))
"""Key, name and tone; R and M are of equal tone."""


def plan_of(
    picture: str, *, cell: str = "2", blocks: int = 1, block: str = "", top: str = "", frames: str = ""
) -> Plan:
    """A plan of one kind of block. `block` and `top` are more lines for the block and for the whole plan."""
    fabrics = "".join(f'[fabrics.{key}]\nname = "{name}"\ntone = {tone}\n' for key, name, tone in FABRICS)
    sizes = "" if "columns" in block else f'cell = "{cell}"\n'
    text = (
        f"title = \"Trial\"\n{top}\n{fabrics}\n[blocks.b]\n{sizes}{block}\npicture = '''\n{picture}\n'''\n"
        f'{frames}\n[quilt]\nblock = "b"\nacross = {blocks}\ndown = 1\n'
    )
    reading = read_plan(text)
    assert reading.plan is not None, [sentence(problem) for problem in reading.problems]
    return reading.plan


def replayed(plan: Plan, checklist: Checklist, taps: Iterable[Mapping[str, Any]]) -> Progress:
    """The counts after recorded taps. A tap whose step is no longer on the route counts nothing."""
    progress = Progress(plan, checklist)
    for tap in taps:
        try:
            progress.record(read_tap(tap))
        except Refused:
            continue
    return progress


def tapped(progress: Progress, tap: Mapping[str, Any]) -> dict[str, Any]:
    """A tap counted as a screen has it counted; gives it as it is stored."""
    complete = read_tap(tap).completed(progress.counts)
    progress.record(complete)
    return written(complete)


def joined_blocks(plan: Plan) -> dict[str, Node]:
    """The units of every block that the quilt needs, in the order in which they are joined."""
    return {each.block.key: each.root for each in in_joining_order(plan, Ways(plan, RECIPES))}
