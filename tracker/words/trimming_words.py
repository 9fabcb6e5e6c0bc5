"""How units are trimmed: which lines of the ruler lie on which seams, and what one sees when it is true."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tracker.words.names import Names
from tracker.words.slanting_words import trimmed_half_rectangle, trimmed_to_a_point
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
    return _TRIMMED.get(made.thing.of, _design_in_the_middle)(names, size)


def _half_square(names: Names, size: Size) -> tuple[str, str]:
    return "the ruler's 45° line on the seam", "the seam runs exactly into both corners"


def _crossed(names: Names, size: Size) -> tuple[str, str]:
    half = names.length(size[0] / 2)
    return f"both 45° lines on the seams, which meet {half} from each edge", f"the seams meet {half} from every edge"


def _goose(names: Names, size: Size) -> tuple[str, str]:
    point = f"the point {names.seam()} from the edge"
    return f"a 45° line on each seam, {point}", f"{point}, both seams running into the corners"


def _in_square(names: Names, size: Size) -> tuple[str, str]:
    return (
        f"the design in the middle, {names.seam()} beyond every point",
        f"{names.seam()} of cloth beyond each of the four points",
    )


def _on_point(names: Names, size: Size) -> tuple[str, str]:
    return (
        f"the ruler's 45° line along a long seam, the design in the middle, {names.seam()} beyond the points",
        f"{names.seam()} of cloth beyond every point, on all four sides",
    )


def _star(names: Names, size: Size) -> tuple[str, str]:
    half = names.length(size[0] / 2)
    return (
        f"both 45° lines on the seams that run to the corner squares, the middle {half} from each edge",
        f"{names.seam()} of cloth beyond all eight points",
    )


def _patchwork(names: Names, size: Size) -> tuple[str, str]:
    half = names.length(size[0] / 2)
    return f"lines of the ruler on both seams, {half} from each edge", f"the seams meet {half} from every edge"


def _design_in_the_middle(names: Names, size: Size) -> tuple[str, str]:
    line = "the ruler's 45° line on the seam" if size[0] == size[1] else "the ruler's lines on the points"
    return f"{line}, the design in the middle", f"{names.seam()} of cloth beyond every point"


_TRIMMED: Mapping[str, Callable[[Names, Size], tuple[str, str]]] = {
    HALF_RECTANGLE: trimmed_half_rectangle,
    POINTED_OBLONG: trimmed_to_a_point,
    POINTED_SQUARE: trimmed_to_a_point,
    HALF_SQUARE: _half_square,
    QUARTER_SQUARE: _crossed,
    SPLIT: _crossed,
    GOOSE: _goose,
    IN_SQUARE: _in_square,
    HALVES: _half_square,
    NESTED: _in_square,
    STOOD: _in_square,
    INNER_SQUARE: _in_square,
    ON_POINT: _on_point,
    STAR: _star,
    PATCHWORK: _patchwork,
}
"""By what a unit is; others, such as a recipe added later, have their design in the middle."""
