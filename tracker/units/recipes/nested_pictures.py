"""Squares that grow from their middle, as a picture shows them: each round's cloths, and what lies in the middle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.exact.measure import Measure
from tracker.plan.model import Plan, Quarters
from tracker.units.recipes.half_pictures import on_equal_cells, patches_shown
from tracker.units.region import Region, cloths_in

TOP, RIGHT, BOTTOM, LEFT = range(4)


@dataclass(frozen=True)
class Nested:
    """What a region shows: the cells in the middle, the first round's cloths (top, right, bottom, left), the second's
    (upper left, upper right, lower right, lower left), and the side of a cell."""

    middle: tuple[tuple[Quarters, ...], ...]
    first: tuple[str, str, str, str]
    second: tuple[str, str, str, str]
    cell: Measure

    @property
    def is_plain(self) -> bool:
        """Whether the middle is one cloth."""
        return len(cloths_in(self.middle)) == 1


def nested_in(region: Region) -> Nested | None:
    """The two rounds that a region of equal cells shows; None where it shows none."""
    count = len(region.rows)
    if not on_equal_cells(region) or count % 4:
        return None
    half, quarter, cells = count // 2, count // 4, region.cells
    first = cells[0][half - 1][1], cells[half - 1][-1][2], cells[-1][half - 1][0], cells[half - 1][0][1]
    second = cells[0][0][0], cells[0][-1][0], cells[-1][-1][2], cells[-1][0][2]
    middle = tuple(row[quarter:-quarter] for row in cells[quarter:-quarter])
    found = Nested(middle, first, second, region.columns[0])
    places = ((r, c) for r in range(count) for c in range(count))
    outside = [(r, c) for r, c in places if not (quarter <= r < count - quarter and quarter <= c < count - quarter)]
    if any(cells[r][c] != _shown(found, count, r, c) for r, c in outside):
        return None
    # A cloth may go on from one round into the next, but each piece must end somewhere.
    rounds_apart = all({first[at], first[at - 1]} != {second[at]} for at in range(4))
    middle_apart = not (found.is_plain and {*first} == {middle[0][0][0]})
    return found if rounds_apart and middle_apart else None


def _shown(nested: Nested, count: int, row: int, column: int) -> Quarters:
    """The quarters of a cell outside the middle."""
    half, quarter = count // 2, count // 4
    if row < quarter:
        ring = nested.first[TOP]
    elif row >= count - quarter:
        ring = nested.first[BOTTOM]
    else:
        ring = nested.first[LEFT if column < quarter else RIGHT]
    low, right = row >= half, column >= half
    corner = nested.second[(3 if low else 0) if not right else (2 if low else 1)]
    inward = (count - 1 - row if low else row) + (count - 1 - column if right else column)
    if inward != half - 1:
        cloth = corner if inward < half - 1 else ring
        return cloth, cloth, cloth, cloth
    # The corner's cloth lies on two of the cell's quarters.
    sides = (BOTTOM if low else TOP), (RIGHT if right else LEFT)
    top, right_one, bottom, left = (corner if side in sides else ring for side in range(4))
    return top, right_one, bottom, left


@dataclass(frozen=True)
class Stood:
    """A square of four cells across that four patches on their points lie in: their cloths (top, right, bottom, left),
    and those of the corners (upper left, upper right, lower right, lower left)."""

    patches: tuple[str, str, str, str]
    corners: tuple[str, str, str, str]


def stood_in(cells: Sequence[Sequence[Quarters]]) -> Stood | None:
    """The four patches on their points that cells show; None where they show none."""
    if len(cells) != 4:
        return None
    corners = cells[0][0][0], cells[0][3][0], cells[3][3][2], cells[3][0][2]
    patches = cells[0][1][1], cells[1][3][2], cells[3][2][3], cells[2][0][0]
    if any(patches[at] == patches[at - 1] or {patches[at], patches[at - 1]} == {corners[at]} for at in range(4)):
        return None
    top, right, bottom, left = patches
    ul, ur, lr, ll = corners

    def rising(above: str, below: str) -> Quarters:
        return above, below, below, above

    def falling(above: str, below: str) -> Quarters:
        return above, above, below, below

    wanted = (
        ((ul,) * 4, rising(ul, top), falling(ur, top), (ur,) * 4),
        (rising(ul, left), falling(top, left), rising(top, right), falling(ur, right)),
        (falling(left, ll), rising(left, bottom), falling(right, bottom), rising(right, lr)),
        ((ll,) * 4, falling(bottom, ll), rising(bottom, lr), (lr,) * 4),
    )
    return Stood(patches, corners) if tuple(map(tuple, cells)) == wanted else None


def patches_of_nested(region: Region) -> int:
    """How many patches show."""
    found = nested_in(region)
    if found is None:
        return 0
    if stood_in(found.middle) is not None:
        return 16
    return 8 + (1 if found.is_plain else sum(patches_shown(quarters) for row in found.middle for quarters in row))


def seams_in_nested(region: Region, plan: Plan) -> tuple[Measure, Measure] | None:
    """From where to where a middle lies that is pieced of cells, in rows."""
    found = nested_in(region)
    assert found is not None
    if found.is_plain or stood_in(found.middle) is not None:
        return None
    return region.finished[0] / 4, region.finished[0] * 3 / 4


def inner_of_nested(region: Region, plan: Plan) -> tuple[Region, ...]:
    """The units of one cell in a middle that is pieced, each as often as it takes it."""
    found = nested_in(region)
    assert found is not None
    side = (found.cell,)
    if stood_in(found.middle) is not None:
        return ()
    cells = [quarters for row in found.middle for quarters in row if len(set(quarters)) > 1]
    return tuple(Region(side, side, ((quarters,),)) for quarters in cells)
