"""What pieced borders must show, worked out from the plan alone: each strip's cells in their places round the quilt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import cycle

from tracker.exact.geometry import ZERO, Box, Polygon
from tracker.exact.measure import Measure
from tracker.plan.model import Border, Plan, Quarters

_TURNS = 270, 90, 0, 180
"""How far the strips at the left, right, top and bottom are turned: the upper edge of the picture lies outward."""


def pieced_strips(plan: Plan, border: Border, strips: Sequence[Box]) -> Iterator[tuple[Polygon, str]]:
    """Polygons and their cloths in the strips (left, right, top, bottom) of a border, cornerstones apart."""
    for box, turn in zip(strips, _TURNS, strict=True):
        left, top, right, bottom = box
        length = bottom - top if turn % 180 else right - left
        at, wide = ZERO, border.cut - 2 * plan.seam
        for long, quarters in _cells(plan, border, turn % 180 == 90, wide):
            if at >= length:
                break
            for triangle, fabric in _quarters(long, wide, quarters):
                yield tuple(_placed((at + x, y), box, turn) for x, y in triangle), fabric
            at = at + long


def _cells(plan: Plan, border: Border, upright: bool, wide: Measure) -> Iterator[tuple[Measure, Quarters]]:
    """The cells of a strip in order, without end where they repeat."""
    if border.picture:
        yield from cycle((wide * cell.across, cell.quarters) for cell in border.picture)
    places, sash, stone = plan.quilt.places, plan.quilt.sash, border.corners
    keys = [row[0] for row in places] if upright else list(places[0])
    for number, key in enumerate(keys):
        if number and sash is not None and stone is not None:
            yield sash.cut - 2 * plan.seam, (stone,) * 4
        yield plan.blocks[key].finished(plan.seam)[int(upright)], (border.fabric,) * 4


def _quarters(long: Measure, wide: Measure, quarters: Quarters) -> Iterator[tuple[Polygon, str]]:
    corners = (ZERO, ZERO), (long, ZERO), (long, wide), (ZERO, wide)
    for number, fabric in enumerate(quarters):
        yield (corners[number], corners[(number + 1) % 4], (long / 2, wide / 2)), fabric


def _placed(point: tuple[Measure, Measure], box: Box, turn: int) -> tuple[Measure, Measure]:
    """A place of a strip that lies above the quilt, in the box that it fills when it is turned."""
    (x, y), (left, top, right, bottom) = point, box
    return {
        0: (left + x, top + y), 90: (right - y, top + x), 180: (right - x, bottom - y), 270: (left + y, bottom - x)
    }[turn]  # fmt: skip
