"""What a plan says of a kind of block that is measured: its size, the seams that a ruler crosses, and its points."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import Measure, nearest
from tracker.fitting.limits import LIMITS, SizeLimits
from tracker.plan.model import Block, Plan
from tracker.work.steps import Checklist, LayOut
from tracker.work.things import STRIP_SET

Span = tuple[Measure, Measure, Measure, Measure]
"""A unit's place in the finished picture: left, top, right, bottom."""


@dataclass(frozen=True)
class BlockShape:
    """A kind of block, across and down. `planned`: its unfinished size; `seams`: how many seams each of the three
    measures crosses, their mean; `points`: from the edge to the nearest point, finished, None where no point is near
    any edge; `mark`: the plan's ruler; `least`: what it can be cut to at least; `framed_to`: how wide it is planned
    with its frames on, unfinished, None where it was measured with them or has none. An oblong is named by its width:
    its height is as much less than planned."""

    key: str
    unit: str
    planned: tuple[Fraction, Fraction]
    seams: tuple[Fraction, Fraction]
    points: tuple[Fraction | None, Fraction | None]
    seam: Fraction
    mark: Fraction
    least: Fraction
    framed_to: Fraction | None = None

    @property
    def limits(self) -> SizeLimits:
        """The limits of its unit."""
        return LIMITS[self.unit]

    def whole(self, size: Fraction) -> tuple[Fraction, Fraction]:
        """A size across and down."""
        return size, size + self.planned[1] - self.planned[0]


def block_shape(plan: Plan, checklist: Checklist, key: str, framed: bool = False) -> BlockShape:
    """The shape of a kind of block that the quilt has, before its frames or with them (`framed`), by its picture:
    whatever it is cut to later."""
    block, room = plan.blocks[key], 2 * plan.seam
    across, down = block.inner_finished
    round_it = [frame.cut - room for frame in block.frames] if framed else []
    seams = seams_crossed(plan, checklist, key)
    points = points_from_edges(block)
    inner = min(min(block.cell_size(cell)) for cell in block.cells) + room
    beside, off, outer = sum(round_it, Measure()), Measure(), None
    if framed:
        # Frames go round the block as it was squared.
        off = (across - block.inner_squared(plan.seam)[0]) / 2
        across, down = block.inner_squared(plan.seam)
    elif block.frames:
        outer = across + 2 * sum((frame.cut - room for frame in block.frames), Measure()) + room
    return BlockShape(
        key,
        plan.unit,
        ((across + 2 * beside + room).rational, (down + 2 * beside + room).rational),
        (seams[0] + 2 * len(round_it), seams[1] + 2 * len(round_it)),
        (_further(points[0], beside, off), _further(points[1], beside, off)),
        plan.seam.rational,
        plan.ruler.rational,
        (inner if inner.is_rational else nearest(inner, plan.ruler)).rational,
        None if outer is None else outer.rational,
    )


def planned_size(plan: Plan, key: str, framed: bool) -> tuple[Measure, Measure]:
    """The unfinished size that a kind of block is planned to have when it is measured, across and down."""
    block, room = plan.blocks[key], 2 * plan.seam
    across, down = block.with_frames(plan.seam) if framed else block.inner_finished
    return across + room, down + room


def _further(point: Measure | None, beside: Measure, off: Measure) -> Fraction | None:
    return None if point is None else (max(point - off, Measure()) + beside).rational


def seams_crossed(plan: Plan, checklist: Checklist, key: str) -> tuple[Fraction, Fraction]:
    """How many seams a ruler crosses from side to side and from top to bottom of a block before frames: the mean of
    near one edge, the middle, near the other. What is sewn within a unit that is trimmed true does not count."""
    block = plan.blocks[key]
    spans = list(_spans(plan, checklist, key))
    across, down = block.inner_finished
    return _crossed(spans, 0, across, down), _crossed(spans, 1, across, down)


def _crossed(spans: list[Span], way: int, across: Measure, down: Measure) -> Fraction:
    beside = down if way == 0 else across
    middle = beside / 2
    # Where the middle lies on a seam the ruler lies a little to one side of it or the other.
    first = sum(span[1 - way] == 0 for span in spans) - 1
    last = sum(span[3 - way] == beside for span in spans) - 1
    above = sum(span[1 - way] < middle <= span[3 - way] for span in spans) - 1
    below = sum(span[1 - way] <= middle < span[3 - way] for span in spans) - 1
    return (first + Fraction(above + below, 2) + last) / 3


def _spans(plan: Plan, checklist: Checklist, key: str) -> Iterator[Span]:
    """Where everything lies whose edges are seams that shape the block: units, and the patches of strip sets."""
    block = plan.blocks[key]
    laid = next((step.action for step in checklist.steps if step.per == key and isinstance(step.action, LayOut)), None)
    if not isinstance(laid, LayOut):
        # A block of one piece, taken as it was made.
        yield Measure(), Measure(), *block.inner_finished
        return
    for place in laid.places:
        pile = checklist.piles[place.pile]
        assert pile.size is not None
        width, height = pile.size[::-1] if place.turn % 180 else pile.size
        left, top = sum(block.columns[: place.column], Measure()), sum(block.rows[: place.row], Measure())
        unit = left, top, left + width - 2 * plan.seam, top + height - 2 * plan.seam
        yield from _patches(block, unit) if pile.thing.of == STRIP_SET else [unit]


def _patches(block: Block, unit: Span) -> Iterator[Span]:
    for cell in block.cells:
        left, top = sum(block.columns[: cell.column], Measure()), sum(block.rows[: cell.row], Measure())
        if unit[0] <= left < unit[2] and unit[1] <= top < unit[3]:
            width, height = block.cell_size(cell)
            yield left, top, left + width, top + height


def points_from_edges(block: Block) -> tuple[Measure | None, Measure | None]:
    """The finished distance from the sides, and from top and bottom, to the nearest point: an end of a slanting seam.
    None where the block has none."""
    across, down = block.inner_finished
    points = list(_points(block))
    if not points:
        return None, None
    return min(min(x, across - x) for x, _ in points), min(min(y, down - y) for _, y in points)


def _points(block: Block) -> Iterator[tuple[Measure, Measure]]:
    """Where slanting seams end: the corners of a cell whose quarters differ there."""
    for cell in block.cells:
        if cell.is_plain:
            continue
        left, top = sum(block.columns[: cell.column], Measure()), sum(block.rows[: cell.row], Measure())
        width, height = block.cell_size(cell)
        upper, right, lower, beside = cell.quarters
        corners = (
            (upper != right, left + width, top),
            (right != lower, left + width, top + height),
            (lower != beside, left, top + height),
            (beside != upper, left, top),
        )
        yield from ((x, y) for ends, x, y in corners if ends)
