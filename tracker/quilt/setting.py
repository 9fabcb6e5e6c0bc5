"""The quilt round its blocks: its size, and every piece that is cut for it beyond the blocks themselves.

All sizes are exact, in the plan's unit. *Finished* is without, *unfinished* with the outer seam allowance. Blocks set
on point are counted along their own diagonal rows; the figures follow from the blocks' lattice, not from a table.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from tracker.exact.geometry import ZERO
from tracker.exact.measure import ROOT2, Measure, round_up
from tracker.plan.model import Plan, Sash
from tracker.quilt.borders import (
    MITRE_ROOM,
    BackingNeed,
    BindingNeed,
    BorderStrip,
    backing_under,
    binding_round,
    border_lengths,
    border_pieces,
    cut_for_finishing,
    grown,
    on_marks,
)
from tracker.work.steps import CutPiece, Size

_ROOMY_TRIANGLE = {"in": Measure(Fraction(1, 2)), "cm": Measure(Fraction(6, 5))}
"""What is added to the squares of setting triangles where trimming is roomy."""


@dataclass(frozen=True)
class Setting:
    """The whole quilt: finished size of its `centre` (blocks and sashes), then with borders; what is cut for it.

    `batting` is None where the plan has none.
    """

    centre: Size
    finished: Size
    unfinished: Size
    blocks: int
    pieces: tuple[CutPiece, ...]
    border_strips: tuple[BorderStrip, ...]
    binding: BindingNeed | None
    backing: BackingNeed | None
    batting: Size | None


def set_quilt(plan: Plan) -> Setting:
    """The plan's quilt. Raises CannotCut where a cloth is too narrow to be joined at all."""
    quilt = plan.quilt
    centre = _straight_size(plan) if quilt.setting == "straight" else _size_on_point(plan)
    pieces = list(_sashes(plan) if quilt.setting == "straight" else _sashes_on_point(plan))
    if quilt.setting != "straight":
        pieces += _triangles(plan)
    size = grown(centre, 2 * plan.seam)
    strips: list[BorderStrip] = []
    for number, border in enumerate(quilt.borders, 1):
        more = MITRE_ROOM[plan.unit] if border.mitred else None
        sides, ends, size = border_lengths(size, border.cut, plan.seam, border.corners is not None, more)
        for side, length in (("left", sides), ("right", sides), ("top", ends), ("bottom", ends)):
            strips.append(BorderStrip(number, side, border.fabric, length, border.cut))
        if border.corners is not None:
            pieces.append(CutPiece(border.corners, border.cut, border.cut, 4, "cornerstone"))
    pieces += border_pieces(plan, strips)
    binding, backing = binding_round(plan, size), backing_under(plan, size)
    pieces += cut_for_finishing(plan, binding, backing)
    return Setting(
        centre,
        grown(size, -2 * plan.seam),
        size,
        sum(map(len, quilt.places)),
        tuple(pieces),
        tuple(strips),
        binding,
        backing,
        None if quilt.batting_beyond is None else on_marks(plan, grown(size, 2 * quilt.batting_beyond)),
    )


# Straight settings


def _straight_grid(plan: Plan) -> tuple[list[Measure], list[Measure]]:
    """Finished widths of the columns of blocks, and heights of the rows."""
    sizes = {key: block.finished(plan.seam) for key, block in plan.blocks.items()}
    return [sizes[key][0] for key in plan.quilt.places[0]], [sizes[row[0]][1] for row in plan.quilt.places]


def sash_between(plan: Plan) -> Measure:
    """Finished width of the sashes; nothing where there are none."""
    return plan.quilt.sash.cut - 2 * plan.seam if plan.quilt.sash else Measure()


def _straight_size(plan: Plan) -> Size:
    columns, rows = _straight_grid(plan)
    sash = sash_between(plan)
    return sum(columns, sash * (len(columns) - 1)), sum(rows, sash * (len(rows) - 1))


def _sashes(plan: Plan) -> Iterator[CutPiece]:
    """Short sashes stand between the blocks of a row; between rows lie long ones, or short ones and cornerstones."""
    sash = plan.quilt.sash
    if sash is None:
        return
    columns, rows = _straight_grid(plan)
    room = 2 * plan.seam
    turned = plan.fabrics[sash.fabric].directional
    if len(columns) > 1:
        for height in rows:
            yield _strip(sash, height + room, len(columns) - 1, upright=turned)
    if len(rows) == 1:
        return
    if sash.cornerstone is None:
        yield _strip(sash, _straight_size(plan)[0] + room, len(rows) - 1, joined=True)
        return
    for width in columns:
        yield _strip(sash, width + room, len(rows) - 1)
    corners = (len(columns) - 1) * (len(rows) - 1)
    if corners:
        yield CutPiece(sash.cornerstone, sash.cut, sash.cut, corners, "cornerstone")


def _strip(sash: Sash, length: Measure, count: int, upright: bool = False, joined: bool = True) -> CutPiece:
    across, along = (sash.cut, length) if upright else (length, sash.cut)
    return CutPiece(sash.fabric, across, along, count, "sash", joined=joined)


# Settings on point


def block_side(plan: Plan) -> Measure:
    """Finished side of the blocks of a quilt on point, which are square and all alike in size."""
    return plan.blocks[plan.quilt.places[0][0]].finished(plan.seam)[0]


def _long_rows(plan: Plan) -> tuple[int, int]:
    """Blocks across and down as they are counted on point: in the long rows, and how many long rows."""
    return len(plan.quilt.places[0]), (len(plan.quilt.places) + 1) // 2


def _size_on_point(plan: Plan) -> Size:
    side = block_side(plan)
    pitch = side + sash_between(plan)
    across, down = _long_rows(plan)
    points = ROOT2 * (pitch * (across - 1) + side), ROOT2 * (pitch * (down - 1) + side)
    return grown(points, 2 * floating(plan))


def floating(plan: Plan) -> Measure:
    """How far the points of a quilt on point lie inside its finished edge."""
    return plan.quilt.floats or Measure()


def setting_squares(side: Measure, seam: Measure, floats: Measure = ZERO) -> tuple[Measure, Measure]:
    """Squares for a block of finished `side`: the one cut twice into four side triangles, the one cut once into two
    corner triangles. Exact; so cut, no bias lies on the quilt's edge.

    Where the points lie `floats` inside the edge, a side triangle is higher by that, so its long edge longer by twice
    as much; a corner triangle's corner lies so much farther out both ways, so its short edges are longer by the same.
    """
    room = 2 * (seam + floats)
    return ROOT2 * (side + 2 * seam) + room, side / ROOT2 + room + ROOT2 * seam


def cut_triangles(plan: Plan) -> tuple[Measure, Measure]:
    """The squares as they are cut, up to the next mark: their triangles are trimmed with the quilt's edge."""
    roomy = _ROOMY_TRIANGLE[plan.unit] if plan.trimming == "roomy" else Measure()
    sides, corners = setting_squares(block_side(plan), plan.seam, floating(plan))
    return round_up(sides + roomy, plan.ruler), round_up(corners + roomy, plan.ruler)


def _triangles(plan: Plan) -> Iterator[CutPiece]:
    """Squares for the side and corner triangles."""
    fabric = plan.quilt.setting_fabric
    assert fabric is not None
    sides, corners = cut_triangles(plan)
    across, down = _long_rows(plan)
    number = 2 * (across - 1) + 2 * (down - 1)
    if number:
        yield CutPiece(fabric, sides, sides, -(-number // 4), "setting")
    yield CutPiece(fabric, corners, corners, 2, "setting")


def sash_on_point(plan: Plan, span: int, open_ends: int = 2) -> Measure:
    """Cut length of a sash beside `span` blocks, as many of its ends running on to the edge of a quilt on point."""
    length = block_side(plan) * span + sash_between(plan) * (span - 1) + 2 * plan.seam
    slant = ROOT2 * (plan.seam + floating(plan))
    return round_up(length + open_ends * slant, plan.ruler) if open_ends else length


@dataclass(frozen=True)
class HalfBlocks:
    """A block on point: its number in reading order, and its column and row in half blocks from the upper left one."""

    number: int
    x: int
    y: int

    @property
    def along(self) -> int:
        """Its place in its diagonal row; the same place in two rows lies side by side across a sash."""
        return (self.y + self.x) // 2

    @property
    def row(self) -> int:
        """Its diagonal row: 0 is that of the upper left block, less than 0 those above it to the right."""
        return (self.y - self.x) // 2


def diagonal_rows(plan: Plan) -> list[list[HalfBlocks]]:
    """The blocks of each diagonal row on point, along rows that fall to the right, the upper right row first."""
    rows: dict[int, list[HalfBlocks]] = {}
    number = 0
    for y, row in enumerate(plan.quilt.places):
        for column in range(len(row)):
            number += 1
            block = HalfBlocks(number, 2 * column + y % 2, y)
            rows.setdefault(block.row, []).append(block)
    return [rows[row] for row in sorted(rows)]


def sash_spans(rows: Sequence[Sequence[HalfBlocks]]) -> list[tuple[int, int]]:
    """First and last place of the sashes between each two diagonal rows."""
    return [
        (min(above[0].along, below[0].along), max(above[-1].along, below[-1].along)) for above, below in pairwise(rows)
    ]


def _sashes_on_point(plan: Plan) -> Iterator[CutPiece]:
    """Sashes within diagonal rows, and between them, running on beside the side triangles to the quilt's edge.

    A sash that ends at the edge is cut off there at 45 degrees with the triangles: it gets what the slant takes.
    """
    sash = plan.quilt.sash
    if sash is None:
        return
    rows = diagonal_rows(plan)
    spans = [last - first + 1 for first, last in sash_spans(rows)]
    within = sum(len(row) - 1 for row in rows)
    if sash.cornerstone is None:
        if within:
            yield _strip(sash, sash_on_point(plan, 1, 0), within)
        for span in spans:
            yield _strip(sash, sash_on_point(plan, span), 1)
        return
    whole = within + sum(max(span - 2, 0) for span in spans)
    ends = sum(2 for span in spans if span > 1)
    for number, open_ends in ((whole, 0), (ends, 1), (len(spans) - ends // 2, 2)):
        if number:
            yield _strip(sash, sash_on_point(plan, 1, open_ends), number)
    corners = sum(span - 1 for span in spans)
    if corners:
        yield CutPiece(sash.cornerstone, sash.cut, sash.cut, corners, "cornerstone")
