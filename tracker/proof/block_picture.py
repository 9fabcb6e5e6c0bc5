"""What a finished block must show: the plan's picture with its frames, and where a sewn block differs from it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate

from tracker.cloth.pieces import Content, Facet, Group, Piece
from tracker.exact.geometry import XY, ZERO, Polygon, Straight, area, intersection, locate, rectangle
from tracker.exact.measure import Measure, compare
from tracker.plan.model import Block, Cell, Quarters

CENTRE_MARK = {"in": Fraction(1, 16), "cm": Fraction(1, 10)}
"""A square in a square has a centre whose side is irrational: it is cut to the nearest of these, and not trimmed."""


@dataclass(frozen=True)
class ShownArea:
    """A polygon of the finished block that must show one cloth. `slack` is how far its diagonal may be off."""

    name: str
    polygon: Polygon
    fabric: str
    diagonal: Straight | None = None
    slack: Measure = ZERO


@dataclass(frozen=True)
class ShownDifference:
    """The first place where a block differs from its picture: the cell or strip, the cloth wanted, the cloth found."""

    name: str
    wanted: str
    found: str


def difference_from_picture(piece: Piece, block: Block, unit: str, seam: Measure) -> ShownDifference | None:
    """Where a sewn block first differs from its picture, front up, cell by cell, or None where nothing does.

    The block's own seam allowance lies round the picture; it must be cloth too, which its size and area tell.
    """
    width, height = block.finished(seam)
    size = width + 2 * seam, height + 2 * seam
    if piece.size != size:
        return ShownDifference("the whole block", _size_text(size), _size_text(piece.size))
    if piece.area != size[0] * size[1]:
        return ShownDifference("the whole block", "cloth to its cut edges", "less")
    return _ShownGrid(block, unit, seam).first_difference(piece.facets)


def cloths_cut_off(block: Block, unit: str, seam: Measure) -> set[str]:
    """The cloths of a block's picture of which nothing shows once it is squared: they may lie in its allowances."""
    grid = _ShownGrid(replace(block, frames=()), unit, seam)
    shown = {area.fabric for areas, _ in grid.areas() for area in areas}
    return {cloth for cell in block.cells for cloth in cell.quarters} - shown


def lying_piece(content: Content | None) -> Piece | None:
    """What lies there where it is one piece, one laid out by itself too; else None."""
    if isinstance(content, Group) and len(content.pieces) == 1:
        return content.pieces[0]
    return content if isinstance(content, Piece) else None


def cloths_round(piece: Piece) -> Quarters:
    """The cloths in a square piece above, right of, below and left of its middle."""
    width, height = piece.size
    middle, sixth = (width / 2, height / 2), (width / 6, height / 6)
    points = (
        (middle[0], sixth[1]),
        (width - sixth[0], middle[1]),
        (middle[0], height - sixth[1]),
        (sixth[0], middle[1]),
    )
    top, right, bottom, left = (_cloth_at(piece, point) for point in points)
    return top, right, bottom, left


def _cloth_at(piece: Piece, point: XY) -> str:
    return next((facet.fabric for facet in piece.facets if locate(facet.polygon, point) >= 0), "no cloth")


def difference_from_unit(piece: Piece, unit: str, seam: Measure) -> ShownDifference | None:
    """Where a square unit of one cell differs from what it mostly shows: its seams must run into its corners."""
    finished = piece.size[0] - 2 * seam
    cell = Cell(0, 0, cloths_round(piece))
    return difference_from_picture(piece, Block("", "", (finished,), (finished,), (cell,)), unit, seam)


def _size_text(size: tuple[Measure, Measure]) -> str:
    return f"{size[0].decimal(4)} by {size[1].decimal(4)}"


class _ShownGrid:
    """The block's areas by row and column; frames are further rows and columns around the picture's own."""

    def __init__(self, block: Block, unit: str, seam: Measure) -> None:
        self.columns, self._lefts = lines_of(block, seam, 0)
        self.rows, self._tops = lines_of(block, seam, 1)
        self._block, self._ring = block, len(block.frames)
        self._slack = Measure(CENTRE_MARK[unit] / 4)
        self._on_point = _cells_on_point(block) if block.combine else set()

    def first_difference(self, facets: Sequence[Facet]) -> ShownDifference | None:
        over = self._facets_by_place(facets)
        for areas, places in self.areas():
            own = {id(facet): facet for place in places for facet in over.get(place, ())}
            for wanted in areas:
                found = _difference_in(wanted, own.values())
                if found is not None:
                    return found
        return None

    def _facets_by_place(self, facets: Sequence[Facet]) -> dict[tuple[int, int], list[Facet]]:
        """The facets that reach into each place of the grid (row, column)."""
        over: dict[tuple[int, int], list[Facet]] = {}
        for facet in facets:
            left, top, right, bottom = facet.bounds
            for row in range(bisect_right(self.rows, top) - 1, bisect_left(self.rows, bottom)):
                for column in range(bisect_right(self.columns, left) - 1, bisect_left(self.columns, right)):
                    over.setdefault((row, column), []).append(facet)
        return over

    def areas(self) -> Iterator[tuple[list[ShownArea], list[tuple[int, int]]]]:
        """All areas in reading order of the picture, then the frames, inner first; each with its places."""
        ring = self._ring
        for cell in self._block.cells:
            top, left = cell.row + ring, cell.column + ring
            bottom, right = top + cell.down, left + cell.across
            kept = self._corners(top, left, bottom, right)
            sewn = rectangle(
                self._lefts[cell.column],
                self._tops[cell.row],
                self._lefts[cell.column + cell.across],
                self._tops[cell.row + cell.down],
            )
            yield list(_kept(self._cell_areas(cell, sewn), sewn, kept)), _places(top, left, bottom, right)
        for number, frame in enumerate(self._block.frames, 1):
            first, last_row = ring - number, len(self.rows) - 1 - (ring - number)
            last_column = len(self.columns) - 1 - (ring - number)
            for side, (top, left, bottom, right) in {
                "top": (first, first + 1, first + 1, last_column - 1),
                "bottom": (last_row - 1, first + 1, last_row, last_column - 1),
                "left": (first, first, last_row, first + 1),
                "right": (first, last_column - 1, last_row, last_column),
            }.items():
                name = f"frame {number}, {side}"
                strip = ShownArea(name, self._corners(top, left, bottom, right), frame.fabric)
                yield [strip], _places(top, left, bottom, right)

    def _corners(self, top: int, left: int, bottom: int, right: int) -> Polygon:
        return rectangle(self.columns[left], self.rows[top], self.columns[right], self.rows[bottom])

    def _cell_areas(self, cell: Cell, corners: Polygon) -> list[ShownArea]:
        name = f"r{cell.row + 1}c{cell.column + 1}"
        if cell.is_plain:
            return [ShownArea(name, corners, cell.quarters[0])]
        upper_left, upper_right, lower_right, lower_left = corners
        middle = (upper_left[0] + lower_right[0]) / 2, (upper_left[1] + lower_right[1]) / 2
        slack = self._slack if (cell.row, cell.column) in self._on_point else ZERO
        top, right, bottom, left = cell.quarters
        if top == left and right == bottom:
            diagonal = Straight.through(lower_left, upper_right)
            return [
                ShownArea(name, (upper_left, upper_right, lower_left), top, diagonal, slack),
                ShownArea(name, (upper_right, lower_right, lower_left), bottom, diagonal, slack),
            ]
        if top == right and bottom == left:
            diagonal = Straight.through(upper_left, lower_right)
            return [
                ShownArea(name, (upper_left, upper_right, lower_right), top, diagonal, slack),
                ShownArea(name, (upper_left, lower_right, lower_left), bottom, diagonal, slack),
            ]
        return [
            ShownArea(name, (start, end, middle), fabric)
            for start, end, fabric in zip(corners, _next(corners), cell.quarters, strict=True)
        ]


def lines_of(block: Block, seam: Measure, way: int) -> tuple[list[Measure], list[Measure]]:
    """The lines of a block's grid across (0) or down (1), as far as it is kept when it is squared, and those of its
    picture as it was sewn; both from the cut edge."""
    frames = [frame.cut - 2 * seam for frame in block.frames]
    whole, kept = block.inner_finished[way], block.inner_squared(seam)[way]
    framed, finished = block.with_frames(seam)[way], block.finished(seam)[way]
    inner = seam + sum(frames, ZERO) - (framed - finished) / 2
    sewn = [inner - (whole - kept) / 2 + line for line in accumulate([ZERO, *(block.columns, block.rows)[way]])]
    lines = list(accumulate([inner - sum(frames, ZERO), *reversed(frames)]))
    lines += [min(max(line, inner), inner + kept) for line in sewn[1:]]
    lines += list(accumulate([inner + kept, *frames]))[1:]
    return [min(max(line, seam), seam + finished) for line in lines], sewn


def _kept(areas: Iterable[ShownArea], sewn: Polygon, kept: Polygon) -> Iterator[ShownArea]:
    """What is left of areas where their cell was cut."""
    for each in areas:
        polygon = each.polygon if sewn == kept else intersection(each.polygon, kept)
        if polygon is not None:
            yield replace(each, polygon=polygon)


def _next(corners: Polygon) -> tuple[XY, ...]:
    return (*corners[1:], corners[0])


def _places(top: int, left: int, bottom: int, right: int) -> list[tuple[int, int]]:
    return [(row, column) for row in range(top, bottom) for column in range(left, right)]


def _difference_in(wanted: ShownArea, facets: Iterable[Facet]) -> ShownDifference | None:
    """The first other cloth in an area, or bare ground; slivers along a diagonal that has slack are let pass."""
    covered = ZERO
    for facet in facets:
        shared, extent = facet.shared_with(wanted.polygon)
        if shared is None:
            continue
        if facet.fabric != wanted.fabric and not _is_sliver(shared, wanted):
            return ShownDifference(wanted.name, wanted.fabric, facet.fabric)
        covered = covered + extent
    if covered != area(wanted.polygon):
        return ShownDifference(wanted.name, wanted.fabric, "no cloth")
    return None


def _is_sliver(polygon: Polygon, wanted: ShownArea) -> bool:
    if wanted.diagonal is None or not wanted.slack:
        return False
    most = wanted.slack * wanted.diagonal.length
    return all(compare(abs(wanted.diagonal.value(corner)), most) <= 0 for corner in polygon)


def _cells_on_point(block: Block) -> set[tuple[int, int]]:
    """The cells of every square on its point: four half-square cells of one size and two cloths around one corner."""
    squares = (cell for cell in block.cells if len({*block.cell_size(cell)}) == 1)
    cells = {(cell.row, cell.column): cell for cell in squares if cell.down == cell.across == 1}
    found: set[tuple[int, int]] = set()
    for row, column in cells:
        four = [(row, column), (row, column + 1), (row + 1, column), (row + 1, column + 1)]
        if all(place in cells for place in four) and _is_on_point([cells[place].quarters for place in four]):
            found.update(four)
    return found


def _is_on_point(four: Sequence[Quarters]) -> bool:
    outer, inner = four[0][0], four[0][1]
    return outer != inner and list(four) == [
        (outer, inner, inner, outer),
        (outer, outer, inner, inner),
        (inner, inner, outer, outer),
        (inner, outer, outer, inner),
    ]
