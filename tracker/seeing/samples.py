"""The colours that a page has sampled from a photo: those of the four quarters of every cell of a grid."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

MOST_CELLS = 40
"""How many cells a grid may have each way: with more, a photo is too small to tell a cell's quarters apart."""

Colour = tuple[int, int, int]
"""Red, green and blue as a screen shows them, 0 to 255."""

_Quarter = TypeVar("_Quarter")
Cells = Sequence[Sequence[tuple[_Quarter, _Quarter, _Quarter, _Quarter]]]
"""Rows of cells, the quarters of each clockwise from the top."""

_DAMAGED = "What was seen in the photo came damaged: choose the photo once more."


class NoSamples(Exception):
    """What came from a page are no colours of a grid; `words` say what to do."""

    def __init__(self, words: str = _DAMAGED) -> None:
        super().__init__(words)
        self.words = words


@dataclass(frozen=True)
class Samples:
    """The colours of a grid of cells, row by row."""

    cells: tuple[tuple[tuple[Colour, Colour, Colour, Colour], ...], ...]

    @property
    def rows(self) -> int:
        """How many rows of cells there are."""
        return len(self.cells)

    @property
    def columns(self) -> int:
        """How many cells a row has."""
        return len(self.cells[0])

    def turned(self, quarter_turns: int) -> Samples:
        """The same photo so many quarter turns clockwise."""
        cells = self.cells
        for _ in range(quarter_turns % 4):
            cells = turned(cells)
        return Samples(cells)


def turned(
    cells: Cells[_Quarter],
) -> tuple[tuple[tuple[_Quarter, _Quarter, _Quarter, _Quarter], ...], ...]:
    """Cells a quarter turn clockwise."""
    columns = zip(*cells[::-1], strict=True)
    return tuple(tuple((left, top, right, below) for top, right, below, left in column) for column in columns)


def mirrored(
    cells: Cells[_Quarter],
) -> tuple[tuple[tuple[_Quarter, _Quarter, _Quarter, _Quarter], ...], ...]:
    """Cells as a mirror beside them shows them."""
    return tuple(tuple((top, left, below, right) for top, right, below, left in row[::-1]) for row in cells)


def read_samples(text: str, rows: int, columns: int) -> Samples:
    """The samples that a page sends: a JSON list of twelve whole numbers a cell, row by row. Raises NoSamples."""
    try:
        numbers = json.loads(text)
    except (ValueError, RecursionError) as fault:
        raise NoSamples from fault
    if not isinstance(numbers, list) or not 1 <= rows <= MOST_CELLS or not 1 <= columns <= MOST_CELLS:
        raise NoSamples
    whole = all(type(number) is int and 0 <= number <= 255 for number in numbers)
    if not whole or len(numbers) != 12 * rows * columns:
        raise NoSamples
    colours = [(numbers[at], numbers[at + 1], numbers[at + 2]) for at in range(0, len(numbers), 3)]
    cells = [(colours[at], colours[at + 1], colours[at + 2], colours[at + 3]) for at in range(0, len(colours), 4)]
    return Samples(tuple(tuple(cells[row * columns : (row + 1) * columns]) for row in range(rows)))
