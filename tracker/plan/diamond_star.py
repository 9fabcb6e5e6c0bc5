"""Eight-pointed stars of 45 degree diamonds: drawn in four rows of four cells, and what that looks like, exactly.

A star drawn of half-squares says which cloth is where. Of diamonds with sides s the block is s(2 + √2) wide: from its
edge to the wide corners of the diamonds it is s/√2 where a side triangle lies, s where a corner square does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from tracker.exact.geometry import ZERO, Polygon, rectangle
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import AsDrawn, Block, Cell, Quarters
from tracker.plan.picture import covered

Grid = tuple[tuple[Quarters, ...], ...]


@dataclass(frozen=True)
class DiamondStar:
    """Which cloth each piece of a star is of.

    `corners` and `sides` go round anticlockwise, from the upper left corner and from the upper side; the `diamonds`
    clockwise, the first below the right hand's side, each from one eighth of a turn to the next.
    """

    corners: tuple[str, ...]
    sides: tuple[str, ...]
    diamonds: tuple[str, ...]


def diamond_side(width: Measure) -> Measure:
    """The finished side of the diamonds, and of the corner squares, of a star that is so wide when finished."""
    return width * (1 - ROOT2 / 2)


def star_in(grid: Grid) -> DiamondStar | None:
    """The star that is drawn in four rows of four cells, or that shows in six rows of six; None where there is none."""
    half = len(grid) // 2
    if half not in (2, 3) or any(len(row) != len(grid) for row in (*grid, grid)):
        return None
    corners, sides = [], []
    diamonds = [""] * 8
    lying, last = grid, half - 1
    for turn in range(4):
        # A quarter of the star as it lies up left after so many quarter turns clockwise.
        corners.append(lying[0][0][0])
        sides.append(lying[0][last][0])
        diamonds[5 - 2 * turn], diamonds[4 - 2 * turn] = lying[0][last][2], lying[last][0][0]
        lying = _turned(lying)
    star = DiamondStar(tuple(corners), tuple(sides), tuple(diamonds))
    return star if _grid_of(star, half) == grid else None


def drawn_grid(block: Block) -> Grid:
    """The quarters of a block's cells, row by row."""
    grid = [[("",) * 4] * len(block.columns) for _ in block.rows]
    for cell in block.cells:
        plain = cell.down == cell.across == 1 or cell.is_plain
        for row, column in covered(cell):
            grid[row][column] = cell.quarters if plain else ("",) * 4
    return tuple(map(tuple, grid))


def of_diamonds(block: Block) -> Block:
    """The block that is sewn where a star is drawn that is of diamonds: the same cloths, its lines where theirs are."""
    star, width = star_in(drawn_grid(block)), sum(block.columns, Measure())
    assert star is not None
    near, rest = width * (ROOT2 - 1) / 2, width * (Fraction(3, 2) - ROOT2)
    lines = (near, rest, near, near, rest, near)
    grid = _grid_of(star, 3)
    corners = {(row, column) for row in (0, 4) for column in (0, 4)}
    covered = {(row + down, column + across) for row, column in corners for down in (0, 1) for across in (0, 1)}
    cells = tuple(
        Cell(row, column, quarters, 2, 2) if (row, column) in corners else Cell(row, column, quarters)
        for row, line in enumerate(grid)
        for column, quarters in enumerate(line)
        if (row, column) in corners or (row, column) not in covered
    )
    before = AsDrawn(block.columns[0], block.cells)
    return replace(block, columns=lines, rows=lines, cells=cells, before=before)


def star_pieces(block: Block) -> Iterator[tuple[Polygon, str]]:
    """The pieces that a star of diamonds is sewn of, where they lie when finished, and their cloths."""
    star, width = star_in(drawn_grid(block)), sum(block.columns, ZERO)
    assert star is not None
    side, near, half = diamond_side(width), block.columns[0], width / 2
    for turn in range(4):
        inner, middle = (side, side), (half, half)
        lying: tuple[tuple[Polygon, str], ...] = (
            (rectangle(ZERO, ZERO, side, side), star.corners[turn]),
            (((side, ZERO), (width - side, ZERO), (half, near)), star.sides[turn]),
            (((side, ZERO), (half, near), middle, inner), star.diamonds[5 - 2 * turn]),
            (((ZERO, side), inner, middle, (near, half)), star.diamonds[4 - 2 * turn]),
        )
        for polygon, cloth in lying:
            # They lie so once the star is turned clockwise: back by as much.
            for _ in range(turn):
                polygon = tuple((y, width - x) for x, y in polygon)
            yield polygon, cloth


def _grid_of(star: DiamondStar, half: int) -> Grid:
    """How a star is drawn in twice as many rows of cells as `half` (2), or shows in them (3)."""
    quarters: list[Grid] = []
    for turn in range(4):
        corner, side, other = star.corners[turn], star.sides[turn], star.sides[(turn + 1) % 4]
        high, low = star.diamonds[5 - 2 * turn], star.diamonds[4 - 2 * turn]
        lying = [[(corner,) * 4] * half for _ in range(half)]
        lying[0][-1], lying[-1][0] = (side, side, high, high), (low, low, other, other)
        lying[-1][-1] = high, high, low, low
        if half == 3:
            lying[1][2], lying[2][1] = (high,) * 4, (low,) * 4
        quarter = tuple(map(tuple, lying))
        for _ in range((4 - turn) % 4):
            quarter = _turned(quarter)
        quarters.append(quarter)
    up_left, low_left, low_right, up_right = quarters
    return (*_beside(up_left, up_right), *_beside(low_left, low_right))


def _beside(left: Sequence[tuple[Quarters, ...]], right: Sequence[tuple[Quarters, ...]]) -> Grid:
    return tuple((*one, *other) for one, other in zip(left, right, strict=True))


def _turned(grid: Grid) -> Grid:
    """A quarter turn clockwise."""
    columns = zip(*grid[::-1], strict=True)
    return tuple(tuple((left, top, right, bottom) for top, right, bottom, left in column) for column in columns)
