"""Measures of blocks as they stand in a file: CSV with a heading, a line a block."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import LengthFault, Measure, exact, read_length, write_length
from tracker.fitting.block_measures import DIAGONALS, NAMES, BlockMeasures, Doubtful, read_measures
from tracker.fitting.block_shape import BlockShape
from tracker.plan.problems import either, shown

MOST_MEASURED = 10_000
_HEADING = ("block", *NAMES)
_MORE = (*DIAGONALS, "maker")


@dataclass(frozen=True)
class TableFault:
    """What is wrong with a line, in a whole sentence."""

    line: int
    sentence: str


def read_table(
    text: str, numbers: Sequence[str], planned: Sequence[Measure], unit: str
) -> tuple[list[BlockMeasures], list[TableFault]]:
    """The blocks of a table in its order, and all that is wrong with it. `numbers` are those that the quilt has of this
    kind, `planned` is their unfinished size."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip(" ,;\t")]
    if not lines:
        return [], [TableFault(1, "The table is empty; it begins with block,w1,w2,w3,h1,h2,h3.")]
    cells = list(csv.reader(line for _, line in lines))
    heading = [cell.strip().lower() for cell in cells[0]]
    if fault := _heading_fault(heading):
        return [], [TableFault(lines[0][0], fault)]
    if len(lines) - 1 > MOST_MEASURED:
        return [], [TableFault(lines[MOST_MEASURED + 1][0], f"A table has at most {MOST_MEASURED:,} blocks.")]
    if len(lines) == 1:
        return [], [TableFault(lines[0][0], "The table has a heading and no blocks under it.")]
    found: dict[str, BlockMeasures] = {}
    faults = []
    for (number, _), row in zip(lines[1:], cells[1:], strict=False):
        figures = dict(zip(heading, (cell.strip() for cell in row), strict=False))
        block = figures.get("block", "")
        if fault := _row_fault(row, heading, block, found, numbers):
            faults.append(TableFault(number, fault))
            continue
        try:
            found[block] = read_measures(block, figures, planned, unit)
        except Doubtful as doubt:
            faults.append(TableFault(number, f"Block {block}: {doubt.question(unit)}"))
    return list(found.values()), faults


def _heading_fault(heading: Sequence[str]) -> str:
    """What is wrong with a heading; nothing where it is right."""
    missing = [name for name in _HEADING if name not in heading]
    if missing:
        return f"The heading lacks {', '.join(missing)}; it is block,w1,w2,w3,h1,h2,h3 and, if there are, d1,d2,maker."
    strange = [name for name in heading if name not in _HEADING + _MORE]
    if strange:
        return f"Read “{shown(strange[0])}” in the heading; beside block,w1,w2,w3,h1,h2,h3 there can be d1,d2,maker."
    twice = [name for name in heading if heading.count(name) > 1]
    return f"The heading has {twice[0]} twice; say it once." if twice else ""


def _row_fault(
    row: Sequence[str], heading: Sequence[str], block: str, found: Mapping[str, BlockMeasures], numbers: Sequence[str]
) -> str:
    if len(row) > len(heading):
        return f"The line has {len(row)} figures where the heading has {len(heading)}; within a length write a point."
    if block in found:
        return f"Block {block} stands twice; a block has one line."
    if block in numbers:
        return ""
    known = either(tuple(numbers), quoted=False)
    return f"Read “{shown(block)}” as a block's number; the blocks of this kind in the quilt are {known}."


def read_size_asked(text: str, shape: BlockShape) -> Fraction:
    """A size to bring blocks to, as it was written. Raises ValueError with a whole sentence: one that no strips reach,
    or that cuts into the middle, is asked about."""
    unit, least, most = shape.unit, shape.least, 2 * max(shape.planned)
    try:
        found = read_length(text, unit)
    except LengthFault:
        example = "10 3/8" if unit == "in" else "26.5"
        raise ValueError(f"Read “{shown(text)}” as the size of the blocks; a length is written as {example}.") from None
    if not least <= found <= most:
        limits = [write_length(exact(limit), unit, plain=True) for limit in (least, most)]
        can_be = f"it can be from {limits[0]} to {limits[1]} {unit} unfinished"
        raise ValueError(f"Read “{shown(text)}” as the size of the blocks; {can_be}.")
    return found.rational
