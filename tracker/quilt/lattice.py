"""Where every piece of the quilt's centre lies: blocks, sashes, cornerstones and setting triangles, row by row.

Rows lie level, in the order in which they are joined. On point these are the blocks' diagonal rows, falling to the
right, with the upper right corner of the quilt on top; an eighth of a turn clockwise brings them upright. Places
are finished: x to the right, y down, (0, 0) at the first row's (or, on point, the upper left block's) corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from tracker.exact.geometry import ZERO
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.quilt.setting import (
    HalfBlocks,
    block_side,
    cut_triangles,
    diagonal_rows,
    sash_between,
    sash_on_point,
    sash_spans,
)
from tracker.work.steps import Size
from tracker.work.things import Kind, Thing

BLOCK, SASH, CORNERSTONE = Kind.PLACED, Kind.SASH, Kind.CORNERSTONE
SIDE, CORNER = Kind.SIDE_TRIANGLE, Kind.CORNER_TRIANGLE
TRIANGLES = (SIDE, CORNER)

LEVEL, TOP, BOTTOM = "level", "top", "bottom"
"""Where the left end of a row stands out farthest."""


@dataclass(frozen=True)
class RowPart:
    """One piece of a row: what it is, the number of its block, its turn, and its seam lines: `start` and `end`.

    `size` is its bounding box as it lies, cut edges included; `drop` how far that begins below the row's cut upper edge
    (less than 0: it stands out above).
    """

    kind: Kind
    start: Measure
    end: Measure
    size: Size
    block: int | None = None
    turn: int = 0
    drop: Measure = ZERO


@dataclass(frozen=True)
class LatticeRow:
    """A row of the centre, of blocks, sashes, or a corner's triangle alone: `number` counts those of its `kind` from 1.

    `top` is its upper seam line, `height` its cut height. `left` is the left end of its bounding box once it is level,
    `stands_out` where that is: elsewhere it is farther right by as much as it is higher or lower.
    """

    kind: Kind
    number: int
    parts: tuple[RowPart, ...]
    top: Measure
    height: Measure
    left: Measure
    stands_out: str = LEVEL

    @property
    def thing(self) -> Thing:
        """What it is: row 2, sashes 1."""
        return Thing(self.kind, self.number)

    @property
    def name(self) -> str:
        """`row 2`, `sashes 1`."""
        return self.thing.name

    @property
    def is_level(self) -> bool:
        """Whether nothing of it stands out above or below."""
        return all(not part.drop and part.size[1] == self.height for part in self.parts)

    def left_when_joined(self, seam: Measure, above: bool, below: bool) -> Measure:
        """Its left end when its upper, or lower, seam is sewn: an end that stands out there goes with the allowance."""
        taken = (self.stands_out == TOP and above) or (self.stands_out == BOTTOM and below)
        return self.left + seam if taken else self.left


def rows_of(plan: Plan, laid: Sequence[int] = ()) -> tuple[LatticeRow, ...]:
    """The rows of the quilt's centre in the order of joining; `laid` are the blocks' numbers in the order of the
    places, where they are not numbered so."""
    rows = tuple(_straight(plan) if plan.quilt.setting == "straight" else _on_point(plan))
    if not laid:
        return rows
    return tuple(replace(row, parts=tuple(_numbered(part, laid) for part in row.parts)) for row in rows)


def _numbered(part: RowPart, laid: Sequence[int]) -> RowPart:
    return part if part.block is None else replace(part, block=laid[part.block - 1])


def joined_thing(rows: Sequence[LatticeRow], count: int) -> Thing:
    """The first `count` rows joined: no two joinings are one thing."""
    first, last = rows[0], rows[count - 1]
    if count == 1:
        return first.thing
    # Asked for at every joining: looked at from the end, where the last row of blocks is near.
    number = next(rows[at].number for at in range(count - 1, -1, -1) if rows[at].kind is Kind.ROW)
    # A corner is the first of all rows, or the last.
    corners, more = (first.kind is Kind.CORNER_ROW) + (last.kind is Kind.CORNER_ROW), None
    if last.kind is Kind.SASHES:
        more = Kind.SASHES, last.number
    elif corners:
        more = Kind.CORNER_ROW, corners
    return Thing(Kind.ROWS, number, more=more)


def places_of(rows: Sequence[LatticeRow]) -> dict[Thing, int]:
    """How many rows are joined when this one is the last of them."""
    return {row.thing: count for count, row in enumerate(rows, 1)}


def joined_count(rows: Sequence[LatticeRow], places: Mapping[Thing, int], thing: Thing) -> int:
    """How many rows, from the first on, are joined in a thing; 0 in what is no joining of rows.

    `places` are those of `places_of`.
    """
    if thing.kind not in (Kind.ROWS, Kind.ROW, Kind.SASHES, Kind.CORNER_ROW):
        return 0
    last = Thing(Kind.ROW, thing.number)
    if thing.more is not None and thing.more[0] is Kind.SASHES:
        last = Thing(*thing.more)
    elif thing.more == (Kind.CORNER_ROW, 2):
        last = rows[-1].thing
    count = places.get(last, 0)
    return count if count and joined_thing(rows, count) == thing else 0


def upper_edge(row: LatticeRow, seam: Measure) -> Measure:
    """Where a row begins while it is joined, from its cut upper edge: a point that stands out there has lost the seam
    allowance."""
    return min(row.parts[0].drop + seam, ZERO)


def left_end(rows: Sequence[LatticeRow], seam: Measure) -> Measure:
    """Where the bounding box of rows joined begins, on the lattice; the last of them is still free below."""
    last = len(rows) - 1
    return min(row.left_when_joined(seam, number > 0, number < last) for number, row in enumerate(rows))


def middle_on_point(plan: Plan) -> tuple[Measure, Measure]:
    """The middle of a quilt on point."""
    side, pitch = block_side(plan), block_side(plan) + sash_between(plan)
    right, down = 2 * (len(plan.quilt.places[0]) - 1), len(plan.quilt.places) - 1
    return pitch * (right + down) / 4 + side / 2, pitch * (down - right) / 4 + side / 2


# Straight


def _straight(plan: Plan) -> Iterator[LatticeRow]:
    sizes = {key: block.finished(plan.seam) for key, block in plan.blocks.items()}
    widths = [sizes[key][0] for key in plan.quilt.places[0]]
    between, number, top = sash_between(plan), 0, ZERO
    for row, keys in enumerate(plan.quilt.places, 1):
        if row > 1 and plan.quilt.sash is not None:
            yield _level(plan, Kind.SASHES, row - 1, _sash_row(plan, widths), top, plan.quilt.sash.cut)
            top = top + between
        height = sizes[keys[0]][1]
        parts: list[RowPart] = []
        start = ZERO
        for width in widths:
            if parts and plan.quilt.sash is not None:
                parts.append(_upright_sash(plan, start, height))
                start = start + between
            number += 1
            parts.append(RowPart(BLOCK, start, start + width, _cut(plan, width, height), number))
            start = start + width
        yield _level(plan, Kind.ROW, row, parts, top, height + 2 * plan.seam)
        top = top + height


def _level(plan: Plan, kind: Kind, number: int, parts: list[RowPart], top: Measure, height: Measure) -> LatticeRow:
    return LatticeRow(kind, number, tuple(parts), top, height, parts[0].start - plan.seam)


def _cut(plan: Plan, width: Measure, height: Measure) -> Size:
    return width + 2 * plan.seam, height + 2 * plan.seam


def _upright_sash(plan: Plan, start: Measure, height: Measure) -> RowPart:
    between = sash_between(plan)
    return RowPart(SASH, start, start + between, _cut(plan, between, height))


def _sash_row(plan: Plan, widths: list[Measure]) -> list[RowPart]:
    """One long sash, or short ones with cornerstones between them."""
    sash, between = plan.quilt.sash, sash_between(plan)
    assert sash is not None
    if sash.cornerstone is None:
        whole = sum(widths, between * (len(widths) - 1))
        return [RowPart(SASH, ZERO, whole, _cut(plan, whole, between))]
    parts: list[RowPart] = []
    start = ZERO
    for width in widths:
        if parts:
            parts.append(RowPart(CORNERSTONE, start, start + between, _cut(plan, between, between)))
            start = start + between
        parts.append(RowPart(SASH, start, start + width, _cut(plan, width, between)))
        start = start + width
    return parts


# On point


def _on_point(plan: Plan) -> Iterator[LatticeRow]:
    """The triangle of the upper right corner, rows of blocks with sash rows between them, the lower left corner."""
    side, pitch = block_side(plan), block_side(plan) + sash_between(plan)
    lines = diagonal_rows(plan)
    spans = sash_spans(lines) if plan.quilt.sash is not None else []
    first = -(len(plan.quilt.places[0]) - 1)
    yield _corner_row(plan, 1, lines[0][0].along * pitch, first * pitch, on_top=True)
    for number, line in enumerate(lines, 1):
        top = (first + number - 1) * pitch
        if number > 1 and plan.quilt.sash is not None:
            parts = list(_sashes_on_point(plan, *spans[number - 2]))
            left = parts[0].end + plan.seam - parts[0].size[0] if len(parts) > 1 else _centred(parts[0])
            yield LatticeRow(Kind.SASHES, number - 1, tuple(parts), top - sash_between(plan), plan.quilt.sash.cut, left)
        yield _block_row(plan, number, line, top)
    yield _corner_row(plan, 2, lines[-1][0].along * pitch, (first + len(lines) - 1) * pitch + side, on_top=False)


def _centred(part: RowPart) -> Measure:
    return (part.start + part.end - part.size[0]) / 2


def _block_row(plan: Plan, number: int, line: Sequence[HalfBlocks], top: Measure) -> LatticeRow:
    side, pitch, room = block_side(plan), block_side(plan) + sash_between(plan), 2 * plan.seam
    parts: list[RowPart] = []
    for block in line:
        start = block.along * pitch
        if parts and plan.quilt.sash is not None:
            parts.append(_upright_sash(plan, start - sash_between(plan), side))
        parts.append(RowPart(BLOCK, start, start + side, _cut(plan, side, side), block.number))
    before, after = _left_end(plan, line[0], parts[0]), _right_end(plan, line[-1], parts[-1])
    left = before.end + plan.seam - before.size[0]
    stands_out = LEVEL if before.kind == CORNER else TOP if before.turn == 270 else BOTTOM
    return LatticeRow(Kind.ROW, number, (before, *parts, after), top, side + room, left, stands_out)


def _left_end(plan: Plan, block: HalfBlocks, first: RowPart) -> RowPart:
    """The triangle before a row: on the quilt's upper edge it continues the lower edge of the row, on its left edge the
    upper one; in the corner it lies centred."""
    upper = block.y == 0
    kind = CORNER if upper and block.x == 0 else SIDE
    turn = 270 if kind == SIDE and not upper else 0
    return RowPart(kind, first.start, first.start, *_end(plan, kind, upper, first.size[1], turn))


def _right_end(plan: Plan, block: HalfBlocks, last: RowPart) -> RowPart:
    """The triangle after a row, likewise on the quilt's right edge, its lower edge, and in the corner of both."""
    right, bottom = block.x == 2 * (len(plan.quilt.places[0]) - 1), block.y == len(plan.quilt.places) - 1
    kind = CORNER if right and bottom else SIDE
    turn = 90 if kind == SIDE and right else 180
    return RowPart(kind, last.end, last.end, *_end(plan, kind, right, last.size[1], turn))


def _end(
    plan: Plan, kind: Kind, level_below: bool, height: Measure, turn: int
) -> tuple[Size, int | None, int, Measure]:
    """Bounding box of a triangle at the end of a row of this height, no block, its turn and its drop."""
    sides, corners = cut_triangles(plan)
    if kind == CORNER:
        return (corners / ROOT2, corners * ROOT2), None, turn, (height - corners * ROOT2) / 2
    leg = sides / ROOT2
    return (leg, leg), None, turn, height - leg if level_below else ZERO


def _corner_row(plan: Plan, number: int, start: Measure, seam_line: Measure, on_top: bool) -> LatticeRow:
    """The corner triangle above the first row or below the last, centred on its only block."""
    _, corners = cut_triangles(plan)
    size = corners * ROOT2, corners / ROOT2
    left = start + (block_side(plan) - size[0]) / 2
    top = seam_line + 2 * plan.seam - size[1] if on_top else seam_line
    part = RowPart(CORNER, start, start + block_side(plan), size, None, 90 if on_top else 270)
    return LatticeRow(Kind.CORNER_ROW, number, (part,), top, size[1], left, BOTTOM if on_top else TOP)


def _sashes_on_point(plan: Plan, first: int, last: int) -> Iterator[RowPart]:
    """The sash row between two diagonal rows, over places `first` to `last` of them; ends run on to the edge."""
    side, between = block_side(plan), sash_between(plan)
    sash = plan.quilt.sash
    assert sash is not None
    pitch = side + between
    if sash.cornerstone is None:
        length = sash_on_point(plan, last - first + 1)
        yield RowPart(SASH, first * pitch, last * pitch + side, (length, sash.cut))
        return
    for place in range(first, last + 1):
        length = sash_on_point(plan, 1, (place == first) + (place == last))
        yield RowPart(SASH, place * pitch, place * pitch + side, (length, sash.cut))
        if place < last:
            corner = place * pitch + side
            yield RowPart(CORNERSTONE, corner, corner + between, (sash.cut, sash.cut))
