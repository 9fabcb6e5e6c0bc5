"""Blocks to be brought to one size, for tests: the worked example, and blocks from a few figures."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path

from tracker.exact.measure import exact, read_length
from tracker.fitting.block_measures import BlockMeasures
from tracker.fitting.block_shape import BlockShape, block_shape
from tracker.fitting.measures_table import read_table
from tracker.fitting.one_size import OneSize
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.work.steps import Checklist

MEASURES = Path(__file__).parent / "measures"
LANTERN, WORKED = MEASURES / "lantern.toml", MEASURES / "one-size.csv"
"""The worked example: twelve blocks of three makers. Its figures are invented; what follows from them was reckoned by
hand, and stands in `test_one_size`."""


def lantern_text(frame: bool = True, more: str = "") -> str:
    """Its plan, with its frame or without, and with more lines at the end."""
    text = LANTERN.read_text("utf-8")
    begin, end = text.index("[[blocks.lantern.frame]]"), text.index("[quilt]")
    return (text if frame else text[:begin] + text[end:]) + more


@cache
def planned(text: str) -> tuple[Plan, Checklist]:
    """A plan and its checklist."""
    plan = read_plan(text).plan
    assert plan is not None
    return plan, compile_plan(plan)


def worked_example(frame: bool = True) -> OneSize:
    """Its blocks, of its plan's shape."""
    plan, checklist = planned(lantern_text(frame))
    shape = block_shape(plan, checklist, "lantern")
    numbers = [str(number) for number in range(1, 13)]
    blocks, faults = read_table(WORKED.read_text("utf-8"), numbers, [exact(each) for each in shape.planned], "in")
    assert not faults
    return OneSize(shape, blocks)


def length(text: str, unit: str = "in") -> Fraction:
    """A length as people write it."""
    return read_length(text, unit).rational


def square_shape(
    planned: str = "10 1/2", seams: str = "4", points: str | None = "0", unit: str = "in", mark: str = "1/8"
) -> BlockShape:
    """A square block, alike both ways; its lengths as people write them."""
    size, point = length(planned, unit), None if points is None else length(points, unit)
    crossed, seam = Fraction(seams), Fraction(1, 4) if unit == "in" else Fraction(3, 4)
    return BlockShape("b", unit, (size,) * 2, (crossed,) * 2, (point,) * 2, seam, length(mark, unit), size / 4)


def block_of(number: int, across: str, down: str = "", diagonals: str = "", maker: str = "", unit: str = "in") -> (
    BlockMeasures
):  # fmt: skip
    """A block from three lengths (or one for all three) across and down, parted by commas."""
    ways = []
    for text in (across, down or across):
        figures = [length(each, unit) for each in text.split(",")]
        a, b, c = figures if len(figures) == 3 else figures * 3
        ways.append((a, b, c))
    slants = [length(each, unit) for each in diagonals.split(",")] if diagonals else []
    return BlockMeasures(str(number), ways[0], ways[1], (slants[0], slants[1]) if slants else None, maker)
