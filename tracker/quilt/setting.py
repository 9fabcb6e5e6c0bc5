"""The quilt round its blocks: its size, and every piece that is cut for it beyond the blocks themselves.

All sizes are exact, in the plan's unit. *Finished* is without, *unfinished* with the outer seam allowance. Blocks set
on point are counted along their own diagonal rows; the figures follow from the blocks' lattice, not from a table.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from tracker.exact.geometry import Polygon
from tracker.exact.measure import ROOT2, Measure, exact, round_up
from tracker.plan.model import Plan, Sash
from tracker.work.steps import CutPiece, Size

DIAGONAL, STRAIGHT = "diagonal", "straight"

_BINDING_EXTRA = {"in": Measure(10), "cm": Measure(25)}
MITRE_ROOM = {"in": Measure(4), "cm": Measure(10)}
"""How much longer the strips of a mitred border are than its corners need (common practice)."""

_ROOMY_TRIANGLE = {"in": Measure(Fraction(1, 2)), "cm": Measure(Fraction(6, 5))}
"""What is added to the squares of setting triangles where trimming is roomy."""


class CannotCut(Exception):
    """Cloth that is too narrow for a part of the quilt: `part` (as a piece's use), `fabric` (its key)."""

    def __init__(self, part: str, fabric: str) -> None:
        super().__init__(f"{part} from {fabric}")
        self.part = part
        self.fabric = fabric


class TooLarge(CannotCut):
    """A piece that cannot be cut whole from its cloth, and is not joined of several."""


@dataclass(frozen=True)
class BorderStrip:
    """One strip of a border (numbered from 1, inner first) on one side: left, right, top or bottom."""

    border: int
    side: str
    fabric: str
    length: Measure
    width: Measure


@dataclass(frozen=True)
class BindingNeed:
    """Double-fold binding: `length` to have when joined, from `strips` of the cloth's usable width."""

    fabric: str
    length: Measure
    strips: int
    width: Measure


@dataclass(frozen=True)
class BackingNeed:
    """A backing of `size`, pieced of `panels` cut from `length` of cloth; `seams` run "down" or "across" the quilt."""

    fabric: str
    size: Size
    length: Measure
    panels: tuple[Size, ...]
    runs: str

    @property
    def seams(self) -> int:
        return len(self.panels) - 1


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
    size = _grown(centre, 2 * plan.seam)
    strips: list[BorderStrip] = []
    for number, border in enumerate(quilt.borders, 1):
        more = MITRE_ROOM[plan.unit] if border.mitred else None
        sides, ends, size = border_lengths(size, border.cut, plan.seam, border.corners is not None, more)
        for side, length in (("left", sides), ("right", sides), ("top", ends), ("bottom", ends)):
            strips.append(BorderStrip(number, side, border.fabric, length, border.cut))
        if border.corners is not None:
            pieces.append(CutPiece(border.corners, border.cut, border.cut, 4, "cornerstone"))
    pieces += _border_pieces(plan, strips)
    binding, backing = binding_round(plan, size), _backing(plan, size)
    pieces += _finishing(plan, binding, backing)
    return Setting(
        centre,
        _grown(size, -2 * plan.seam),
        size,
        sum(map(len, quilt.places)),
        tuple(pieces),
        tuple(strips),
        binding,
        backing,
        None if quilt.batting_beyond is None else _on_marks(plan, _grown(size, 2 * quilt.batting_beyond)),
    )


def _on_marks(plan: Plan, size: Size) -> Size:
    """A size up to the ruler's next marks, for what is larger than it must be and cut level later."""
    return round_up(size[0], plan.ruler), round_up(size[1], plan.ruler)


def _grown(size: Size, by: Measure) -> Size:
    return size[0] + by, size[1] + by


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
    return ROOT2 * (pitch * (across - 1) + side), ROOT2 * (pitch * (down - 1) + side)


def setting_squares(side: Measure, seam: Measure) -> tuple[Measure, Measure]:
    """Squares for a block of finished `side`: the one cut twice into four side triangles, the one cut once into two
    corner triangles. Exact; so cut, no bias lies on the quilt's edge."""
    room = 2 * seam
    return ROOT2 * (side + room) + room, side / ROOT2 + room + ROOT2 * seam


def cut_triangles(plan: Plan) -> tuple[Measure, Measure]:
    """The squares as they are cut, up to the next mark: their triangles are trimmed with the quilt's edge."""
    roomy = _ROOMY_TRIANGLE[plan.unit] if plan.trimming == "roomy" else Measure()
    sides, corners = setting_squares(block_side(plan), plan.seam)
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
    return round_up(length + open_ends * ROOT2 * plan.seam, plan.ruler) if open_ends else length


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


# Borders, binding, backing


def mitred_border(left: Measure, top: Measure, right: Measure, bottom: Measure, wide: Measure) -> list[Polygon]:
    """What each strip of a mitred border of finished width shows round a top with these edges: upper, right, lower,
    left."""
    inner = (left, top), (right, top), (right, bottom), (left, bottom)
    outer = (
        (left - wide, top - wide),
        (right + wide, top - wide),
        (right + wide, bottom + wide),
        (left - wide, bottom + wide),
    )
    return [(outer[n], outer[(n + 1) % 4], inner[(n + 1) % 4], inner[n]) for n in range(4)]


def border_lengths(
    size: Size, cut: Measure, seam: Measure, corners: bool, mitre_room: Measure | None = None
) -> tuple[Measure, Measure, Size]:
    """A border round a top of unfinished `size`: cut length of its sides, of its top and bottom, and the size after.

    The sides go on first; with cornerstones (sewn to its ends) the top is as long as the quilt was wide before. Mitred
    (`mitre_room` is there), each strip is as long as the quilt becomes, and so much more.
    """
    added = 2 * (cut - 2 * seam)
    after = _grown(size, added)
    if mitre_room is not None:
        return after[1] + mitre_room, after[0] + mitre_room, after
    return size[1], size[0] if corners else after[0], after


def _border_pieces(plan: Plan, strips: list[BorderStrip]) -> Iterator[CutPiece]:
    for strip in strips[::2]:
        border = plan.quilt.borders[strip.border - 1]
        # A cloth with a direction stands upright in the quilt, whichever way the border is cut.
        directional = plan.fabrics[strip.fabric].directional
        lying = strip.side != "left" if directional else not border.lengthwise
        length = round_up(strip.length, plan.ruler)
        across, along = (length, strip.width) if lying else (strip.width, length)
        yield CutPiece(strip.fabric, across, along, 2, "border", fixed=not lying, joined=lying)


def join_loss(width: Measure, seam: Measure, join: str) -> Measure:
    """What joining two strips of cut `width` end to end takes off their length: "diagonal" its width, "straight"
    both allowances."""
    return width if join == DIAGONAL else 2 * seam


def strips_to_join(length: Measure, usable: Measure, loss: Measure) -> int:
    """How many strips of `usable` length, each join losing `loss`, make at least `length`. Needs usable > loss."""
    if length <= usable:
        return 1
    return -((-(length - loss) / (usable - loss)).__floor__())


def binding_round(plan: Plan, size: Size) -> BindingNeed | None:
    """What goes round a top of unfinished `size`: its perimeter and what turning the corners and joining the ends take.

    None where the plan has no binding. Raises CannotCut where its cloth is too narrow to be joined at all."""
    binding = plan.quilt.binding
    if binding is None:
        return None
    length = 2 * (size[0] + size[1]) + _BINDING_EXTRA[plan.unit]
    usable, loss = plan.fabrics[binding.fabric].usable, join_loss(binding.cut, plan.seam, DIAGONAL)
    if usable <= loss:
        raise CannotCut("binding", binding.fabric)
    return BindingNeed(binding.fabric, length, strips_to_join(length, usable, loss), binding.cut)


def panels(width: Measure, height: Measure, usable: Measure, seam: Measure) -> list[Size]:
    """Panels, side by side, that piece a `width` x `height`: all of the usable width but the last. Needs usable >
    two seams."""
    number = strips_to_join(width, usable, 2 * seam)
    last = width + (2 * seam - usable) * (number - 1)
    return [(usable, height)] * (number - 1) + [(last, height)]


def _backing(plan: Plan, size: Size) -> BackingNeed | None:
    """Panels down the quilt or across it, whichever takes less cloth, then fewer seams; a cloth with a direction only
    down."""
    backing = plan.quilt.backing
    if backing is None:
        return None
    fabric = plan.fabrics[backing.fabric]
    if fabric.usable <= 2 * plan.seam:
        raise CannotCut("backing", backing.fabric)
    width, height = _on_marks(plan, _grown(size, 2 * backing.beyond))
    ways = {"down": panels(width, height, fabric.usable, plan.seam)}
    if not fabric.directional:
        ways["across"] = panels(height, width, fabric.usable, plan.seam)
    needs = [
        BackingNeed(fabric.key, (width, height), cut[0][1] * len(cut), tuple(cut), runs) for runs, cut in ways.items()
    ]
    return min(needs, key=lambda need: (need.length, need.seams))


def _finishing(plan: Plan, binding: BindingNeed | None, backing: BackingNeed | None) -> Iterator[CutPiece]:
    """Binding strips and backing panels as they are cut."""
    if binding is not None:
        usable = plan.fabrics[binding.fabric].usable
        yield CutPiece(binding.fabric, usable, binding.width, binding.strips, "binding", fixed=True)
    for size in dict.fromkeys(backing.panels) if backing else ():
        assert backing is not None
        count = backing.panels.count(size)
        yield CutPiece(backing.fabric, exact(size[0]), exact(size[1]), count, "backing", fixed=True)
