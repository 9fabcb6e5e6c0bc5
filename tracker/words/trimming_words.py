"""How units are trimmed: which lines of the ruler lie on which seams, and what one sees when it is true."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.words.names import Names
from tracker.work.steps import Pile, Size, Step
from tracker.work.things import (
    GOOSE,
    HALF_RECTANGLE,
    HALF_SQUARE,
    HALVES,
    IN_SQUARE,
    INNER_SQUARE,
    NESTED,
    ON_POINT,
    PATCHWORK,
    POINTED_OBLONG,
    POINTED_SQUARE,
    QUARTER_SQUARE,
    SPLIT,
    STAR,
    STOOD,
)


def trim_text(names: Names, step: Step, size: Size) -> str:
    """What to do: what the ruler lies on, and the four cuts."""
    lines, _ = trim_lines(names, names.checklist.made(step), size)
    return (
        f"Trim to {names.size(size)}: {lines}. Cut two sides, turn it half round, lay the size's lines on the cut "
        "sides, cut the other two. Clip the dog-ears."
    )


def trim_lines(names: Names, made: Pile, size: Size) -> tuple[str, str]:
    """Where the ruler lies to trim a unit, and what is seen then."""
    line = "the ruler's 45° line on the seam" if size[0] == size[1] else "the ruler's lines on the points"
    others = f"{line}, the design in the middle", "{seam} of cloth beyond every point"
    lines, seen = _TRIMMED.get(made.thing.of, others)
    lengths = {"seam": names.seam(), "half": names.length(size[0] / 2)}
    return lines.format(**lengths), seen.format(**lengths)


_HALF_SQUARE = "the ruler's 45° line on the seam", "the seam runs exactly into both corners"

_CROSSED = "both 45° lines on the seams, which meet {half} from each edge", "the seams meet {half} from every edge"

_IN_SQUARE = ("the design in the middle, {seam} beyond every point", "{seam} of cloth beyond each of the four points")

_TO_A_POINT = (
    "the point on the ruler's middle line, {seam} below its upper edge",
    "the point lies {seam} below the edge, in the middle; at both lower corners a seam is {seam} inside both edges",
)

_TRIMMED: Mapping[str, tuple[str, str]] = {
    HALF_RECTANGLE: (
        "the ruler's lines {seam} inside cross on the seam at two corners",
        "at two corners the seam is {seam} inside both edges",
    ),
    POINTED_OBLONG: _TO_A_POINT,
    POINTED_SQUARE: _TO_A_POINT,
    HALF_SQUARE: _HALF_SQUARE,
    QUARTER_SQUARE: _CROSSED,
    SPLIT: _CROSSED,
    GOOSE: (
        "a 45° line on each seam, the point {seam} from the edge",
        "the point {seam} from the edge, both seams running into the corners",
    ),
    IN_SQUARE: _IN_SQUARE,
    HALVES: _HALF_SQUARE,
    NESTED: _IN_SQUARE,
    STOOD: _IN_SQUARE,
    INNER_SQUARE: _IN_SQUARE,
    ON_POINT: (
        "the ruler's 45° line along a long seam, the design in the middle, {seam} beyond the points",
        "{seam} of cloth beyond every point, on all four sides",
    ),
    STAR: (
        "both 45° lines on the seams that run to the corner squares, the middle {half} from each edge",
        "{seam} of cloth beyond all eight points",
    ),
    PATCHWORK: ("lines of the ruler on both seams, {half} from each edge", "the seams meet {half} from every edge"),
}
"""By what a unit is, with the `seam` allowance and `half` of its width; others, such as a recipe added later, have
their design in the middle."""
