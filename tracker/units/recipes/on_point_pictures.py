"""A square of patches on their points, as a picture shows it: read upright, and parted by straight seams.

The picture is cells of one size, an even number each way, with half diagonals of the patches as sides. Turned back
by an eighth of a turn the patches stand upright in rows; those at the picture's edges are cut off by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from tracker.exact.geometry import Polygon, Straight, area, rectangle, split
from tracker.exact.measure import Measure
from tracker.plan.model import Quarters
from tracker.units.recipes.half_pictures import on_equal_cells, patches_shown
from tracker.units.region import Region, turned_quarters

NONE = ""
"""What stands for a quarter of a patch that lies outside the picture."""

Cells = tuple[tuple[Quarters, ...], ...]
MOST_ACROSS = 12
"""How many cells of a picture are looked at."""


@dataclass(frozen=True)
class Upright:
    """A part of the patches as they stand upright, in rows: each by its quarters, `NONE` where the picture ends."""

    cells: Cells

    @property
    def across(self) -> int:
        return len(self.cells[0])

    @property
    def down(self) -> int:
        return len(self.cells)

    def turned(self) -> Upright:
        """After a quarter turn clockwise."""
        columns = zip(*self.cells[::-1], strict=True)
        return Upright(tuple(tuple(turned_quarters(quarters, 90) for quarters in row) for row in columns))

    @cached_property
    def least(self) -> tuple[Upright, int]:
        """The rotation by which like parts are known, and the clockwise turn that brings it here."""
        ways = [(self, 0)]
        for back in (270, 180, 90):
            ways.append((ways[-1][0].turned(), back))
        return min(ways, key=lambda each: (each[0].down, each[0].cells))

    @cached_property
    def cloths(self) -> tuple[str, ...]:
        """Every cloth in it, each once."""
        found = (key for row in self.cells for quarters in row for key in quarters)
        return tuple(key for key in dict.fromkeys(found) if key != NONE)

    @cached_property
    def shape(self) -> Polygon:
        """What of it lies in the picture, patches being 1 wide."""
        corners = [corner for triangle in self._triangles() for corner in triangle]
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        shape = rectangle(min(xs), min(ys), max(xs), max(ys))
        one = Measure(1)
        for a, b in ((one, one), (one, -one), (-one, one), (-one, -one)):
            line = Straight(a, b, min(a * x + b * y for x, y in corners))
            inside = split(shape, line)[1]
            assert inside is not None
            shape = inside
        return shape

    def _triangles(self) -> Iterator[Polygon]:
        for row, cells in enumerate(self.cells):
            for column, quarters in enumerate(cells):
                corners = rectangle(Measure(column), Measure(row), Measure(column + 1), Measure(row + 1))
                middle = Measure(column) + Measure(1) / 2, Measure(row) + Measure(1) / 2
                for at, cloth in enumerate(quarters):
                    if cloth != NONE:
                        yield corners[at], corners[(at + 1) % 4], middle

    @cached_property
    def is_patch(self) -> bool:
        """Whether it is one patch: of one cloth, a rectangle or a triangle."""
        if len(self.cloths) != 1:
            return False
        return len(self.shape) == 3 or (len(self.shape) == 4 and area(self.shape) == self.across * self.down)

    @cached_property
    def is_unit(self) -> bool:
        """Whether it is one patch pieced as a unit, or two that are a goose."""
        if any(NONE in quarters for row in self.cells for quarters in row):
            return False
        if self.across * self.down == 1:
            return len(self.cloths) > 1
        return self.across * self.down == 2 and any(map(_is_goose, self._in_rows()))

    def _in_rows(self) -> Iterator[Upright]:
        way = self
        for _ in range(4):
            if way.down == 1:
                yield way
            way = way.turned()

    def region(self, side: Measure) -> Region:
        """It as a region, the patches so wide."""
        return Region((side,) * self.across, (side,) * self.down, self.cells)

    def part(self, way: str, start: int, end: int) -> Upright:
        """Its columns ("across") or rows ("down") from start to end, without empty ones at its edges."""
        rows = self.cells[start:end] if way == "down" else tuple(row[start:end] for row in self.cells)
        return Upright(_trimmed(rows)[0])

    def offset(self, way: str, start: int, end: int) -> tuple[int, int]:
        """How far that part begins from its left and upper edge."""
        rows = self.cells[start:end] if way == "down" else tuple(row[start:end] for row in self.cells)
        left, top = _trimmed(rows)[1]
        return (left, top + start) if way == "down" else (left + start, top)

    @cached_property
    def text(self) -> str:
        """All of it in one text, for ids."""
        return "|".join(
            ",".join(q[0] if len(set(q)) == 1 else ":".join(key or "-" for key in q) for q in row) for row in self.cells
        )


def _trimmed(rows: Cells) -> tuple[Cells, tuple[int, int]]:
    """Cells without the empty rows and columns at their edges, and how many went at the left and the top."""
    full = [number for number, row in enumerate(rows) if any(map(any, row))]
    columns = [number for number, column in enumerate(zip(*rows, strict=True)) if any(map(any, column))]
    left, right, top, bottom = columns[0], columns[-1] + 1, full[0], full[-1] + 1
    return tuple(row[left:right] for row in rows[top:bottom]), (left, top)


def _is_goose(part: Upright) -> bool:
    """Two patches beside each other whose halves are one goose that points up."""
    (left, goose, below, left_again), (right, right_again, low, low_left) = part.cells[0]
    return (
        goose == below == low == low_left and left == left_again and right == right_again and goose not in (left, right)
    )


@lru_cache(maxsize=5000)
def upright_of(region: Region) -> Upright | None:
    """The patches on point that a region shows; None where it shows none such, or only one."""
    count = len(region.rows)
    if not on_equal_cells(region) or count % 2 or not 4 <= count <= MOST_ACROSS:
        return None
    if all(len(set(quarters)) == 1 for quarters in region.all_quarters()):
        return None
    for odd in (0, 1):
        found = _upright(region, odd)
        if found is not None and cheapest(found)[0] is not None:
            return found
    return None


def _upright(region: Region, odd: int) -> Upright | None:
    """The same where the patches' middles lie on the corners of cells whose row and column add up to an even or `odd`
    number."""
    count = len(region.rows)
    quarters: dict[tuple[int, int], list[str]] = {}
    corners: dict[tuple[int, int], list[str]] = {}

    def give(column: int, row: int, at: int, cloth: str) -> None:
        # A corner (column, row) of the picture's grid lies so far along and down as the patches stand upright.
        along, below = (column + row - odd) // 2, (row - column + count - odd) // 2
        corners.setdefault((column, row), quarters.setdefault((below, along), [NONE] * 4))[at] = cloth

    for row, cells in enumerate(region.cells):
        for column, (top, right, bottom, left) in enumerate(cells):
            if (row + column) % 2 == odd:
                if top != left or right != bottom:
                    return None
                give(column, row, 1, top)
                give(column + 1, row + 1, 3, bottom)
            else:
                if top != right or left != bottom:
                    return None
                give(column + 1, row, 2, top)
                give(column, row + 1, 0, bottom)
    if any(_runs_out(found, place, count) for place, found in corners.items()):
        return None
    size = count + 1 - odd
    rows: list[tuple[Quarters, ...]] = []
    for below in range(size):
        found = [quarters.get((below, along), [NONE] * 4) for along in range(size)]
        rows.append(tuple((top, right, bottom, left) for top, right, bottom, left in found))
    return Upright(_trimmed(tuple(rows))[0])


def _runs_out(quarters: Sequence[str], middle: tuple[int, int], count: int) -> bool:
    """Whether a seam within a patch runs straight out at the picture's edge, where it would meet a neighbour's."""
    top, right, bottom, left = quarters
    column, row = middle
    seams = (column == count - 1, top, right), (row == count - 1, right, bottom), (column == 1, bottom, left)
    return any(there and one != other for there, one, other in (*seams, (row == 1, left, top)) if one and other)


Found = tuple[int | None, str, tuple[int, ...]]
"""How few patches a part is sewn of, None where straight seams cannot; and by which of them, "across" between columns
or "down" between rows; none where it is one piece."""


@lru_cache(maxsize=5000)
def cheapest(part: Upright) -> Found:
    """That of a part."""
    return _Parting(part.cells).found(0, 0, part.down, part.across)


class _Parting:
    """Looks for the fewest patches of every rectangle of some cells, each once."""

    def __init__(self, cells: Cells) -> None:
        self.cells = cells
        self.full = [[any(quarters) for quarters in row] for row in cells]
        self.known: dict[tuple[int, int, int, int], Found] = {}

    def found(self, top: int, left: int, bottom: int, right: int) -> Found:
        """Of the rows from top to bottom and the columns from left to right, without empty ones at its edges."""
        rows = [r for r in range(top, bottom) if any(self.full[r][left:right])]
        columns = [c for c in range(left, right) if any(self.full[r][c] for r in range(top, bottom))]
        if not rows:
            return None, "", ()
        place = rows[0], columns[0], rows[-1] + 1, columns[-1] + 1
        if place not in self.known:
            self.known[place] = self._found(*place)
        return self.known[place]

    def _found(self, top: int, left: int, bottom: int, right: int) -> Found:
        cloths = {key for row in self.cells[top:bottom] for quarters in row[left:right] for key in quarters} - {NONE}
        if len(cloths) == 1 or (bottom - top) * (right - left) <= 2:
            part = Upright(tuple(row[left:right] for row in self.cells[top:bottom]))
            if part.is_patch:
                return 1, "", ()
            if part.is_unit:
                return patches_shown(part.cells[0][0]) if part.across == part.down else 3, "", ()
        best: tuple[int, str, tuple[int, ...]] | None = None
        down = ((r, (top, left, r, right), (r, left, bottom, right)) for r in range(top + 1, bottom))
        across = ((c, (top, left, bottom, c), (top, c, bottom, right)) for c in range(left + 1, right))
        for way, start, cuts in (("down", top, down), ("across", left, across)):
            for at, one, other in cuts:
                first, second = self.found(*one)[0], self.found(*other)[0]
                if first is None or second is None:
                    continue
                if best is None or first + second < best[0]:
                    best = first + second, way, (at - start,)
                elif first + second == best[0] and way == best[1]:
                    best = best[0], way, (*best[2], at - start)
        return best or (None, "", ())


def parts_of(part: Upright) -> tuple[str, list[tuple[Upright, tuple[int, int]]], list[int]]:
    """By which seams a part is parted, each piece of it and where it begins, and the lines between them."""
    count, way, cuts = cheapest(part)
    length = part.down if way == "down" else part.across
    for chosen in (cuts, cuts[:1]):
        spans = list(zip([0, *chosen], [*chosen, length], strict=True))
        pieces = [part.part(way, *span) for span in spans]
        if sum(cheapest(piece.least[0])[0] or 0 for piece in pieces) == count:
            break
    return way, [(piece, part.offset(way, *span)) for piece, span in zip(pieces, spans, strict=True)], list(chosen)
