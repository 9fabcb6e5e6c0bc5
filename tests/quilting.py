"""Plans of whole quilts for tests: a plain block, and what is set round it."""

from __future__ import annotations

from typing import Any

from tracker.exact.measure import Measure, read_length
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.problems import sentence
from tracker.route.compiler import compile_plan
from tracker.work.steps import CutPiece


def plan_from(text: str) -> Plan:
    reading = read_plan(text)
    assert reading.plan is not None, [sentence(problem) for problem in reading.problems]
    return reading.plan


def quilt_plan(
    block: tuple[str, str] = ("6", "6"),
    across: int = 1,
    down: int = 1,
    quilt: str = "",
    top: str = "",
    usable: str = "40",
    cloth: str = "",
) -> Plan:
    """Plain blocks of cloth A. `quilt` is more of the table [quilt], `top` of the plan, `cloth` of the fabric A."""
    return plan_from(
        f"""
title = "Trial"
{top}
[fabrics.A]
name = "amber"
tone = 3
usable = "{usable}"
{cloth}
[fabrics.B]
name = "bark"
tone = 7
usable = "{usable}"
[blocks.b]
columns = ["{block[0]}"]
rows = ["{block[1]}"]
picture = 'A'
[quilt]
block = "b"
across = {across}
down = {down}
{quilt}
"""
    )


def published_plan(row: dict[str, Any]) -> Plan:
    """The plan of a published quilt. A sash round the outside is a border."""
    quilt = ['setting = "on point"', 'setting_fabric = "B"'] if row.get("setting") else []
    borders = list(row["borders"])
    if "sash" in row:
        quilt += ["[quilt.sash]", 'fabric = "B"', f'finished = "{row["sash"]}"']
        borders = [row["sash"], *borders] if row["outer_sash"] else borders
    for width in borders:
        quilt += ["[[quilt.border]]", 'fabric = "B"', f'finished = "{width}"']
    binding = row.get("binding", {}).get("width", "2 1/2")
    quilt += ["[quilt.binding]", 'fabric = "B"', f'cut = "{binding}"']
    quilt += ["[quilt.backing]", 'fabric = "B"', 'beyond = "4"', "[quilt.batting]", 'beyond = "4"']
    top = f'seam = "{row.get("seam", "1/4")}"\ntrimming = "exact"'
    return quilt_plan(row["block"], row["across"], row["down"], "\n".join(quilt), top, row["usable"])


def inches(text: str) -> Measure:
    return read_length(text, "in")


def all_pieces(plan: Plan) -> tuple[CutPiece, ...]:
    """Every piece that the whole quilt takes."""
    return compile_plan(plan).pieces
