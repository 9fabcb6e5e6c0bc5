"""Four parts that turn round a middle: where no straight seam parts a region, but a seam begun and left open does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from tracker.plan.picture import Rectangle

Part = TypeVar("Part", bound=Rectangle)
Lines = tuple[int, int, int, int]
"""The lines round something, of the grid: top, left, bottom, right."""


@dataclass(frozen=True)
class TurningParts(Generic[Part]):
    """The parts of a `middle`, and of the four `arms` round it in the order in which they are sewn: the upper one, then
    that on the `level` side ("right" or "left"), where the upper one is level with the middle, and on."""

    level: str
    middle: list[Part]
    arms: tuple[list[Part], list[Part], list[Part], list[Part]]


def rounds(parts: Sequence[Part]) -> list[TurningParts[Part]]:
    """Every way in which the parts of a rectangle turn round a middle: those first whose arms have the fewest parts,
    since straight seams join a middle of many as rows."""
    return sorted(_rounds(parts), key=lambda each: sum(map(len, each.arms)))


def _rounds(parts: Sequence[Part]) -> Iterator[TurningParts[Part]]:
    grid = _Grid(parts)
    for level in ("right", "left"):
        for top, left, bottom, right in grid.middles(level):
            upper, lower, first, last = grid.lines[0], grid.lines[2], grid.lines[1], grid.lines[3]
            if level == "right":
                boxes = (
                    (upper, first, top, right), (upper, right, bottom, last),
                    (bottom, left, lower, last), (top, first, lower, left),
                )  # fmt: skip
            else:
                boxes = (
                    (upper, left, top, last), (upper, first, bottom, left),
                    (bottom, first, lower, right), (top, right, lower, last),
                )  # fmt: skip
            first_arm, second, third, fourth = ([part for part in parts if is_within(part, each)] for each in boxes)
            middle = [part for part in parts if is_within(part, (top, left, bottom, right))]
            yield TurningParts(level, middle, (first_arm, second, third, fourth))


def lines_round(*parts: Rectangle) -> Lines:
    """The lines round some parts."""
    return (
        min(part.row for part in parts),
        min(part.column for part in parts),
        max(part.row + part.down for part in parts),
        max(part.column + part.across for part in parts),
    )


def is_within(part: Rectangle, lines: Lines) -> bool:
    """Whether it reaches over none of these lines."""
    top, left, bottom, right = lines
    down, across = part.row + part.down, part.column + part.across
    return top <= part.row and down <= bottom and left <= part.column and across <= right


class _Grid:
    """How far each line of a region runs between its parts, from either end, before a part lies across it."""

    def __init__(self, parts: Sequence[Rectangle]) -> None:
        top, left, bottom, right = self.lines = lines_round(*parts)
        # Of each line: up to where it runs from the left (or top), and down to where from the other end.
        self.rows = dict.fromkeys(range(top + 1, bottom), (right, left))
        self.columns = dict.fromkeys(range(left + 1, right), (bottom, top))
        for part in parts:
            for line in range(part.row + 1, part.row + part.down):
                start, end = self.rows[line]
                self.rows[line] = min(start, part.column), max(end, part.column + part.across)
            for line in range(part.column + 1, part.column + part.across):
                start, end = self.columns[line]
                self.columns[line] = min(start, part.row), max(end, part.row + part.down)

    def middles(self, level: str) -> Iterator[Lines]:
        """The lines round every middle that arms can turn round."""
        for top, (from_left, from_right) in self.rows.items():
            for one, (from_top, _) in self.columns.items():
                # The second arm reaches from the upper edge down to the third, along the line where the first one ends.
                if from_top <= top or (from_left < one if level == "right" else from_right > one):
                    continue
                for bottom, (lower_left, lower_right) in self.rows.items():
                    if not top < bottom <= from_top:
                        continue
                    for other, (_, from_bottom) in self.columns.items():
                        if from_bottom > top:
                            continue
                        if level == "right" and lower_right <= other < one:
                            yield top, other, bottom, one
                        elif level == "left" and one < other <= lower_left:
                            yield top, one, bottom, other
