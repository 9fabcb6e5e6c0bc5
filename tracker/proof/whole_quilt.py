"""Whether the quilt comes out as planned: every block in its place, sashes, triangles and borders round them.

Works from the plan and the cloth alone; sizes are worked out here anew.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from tracker.cloth.clipping import clip_piece
from tracker.cloth.moving import settled_piece, shift, turn
from tracker.cloth.pieces import Facet, Piece
from tracker.cloth.sewing import Counted, Trace
from tracker.cloth.sewing_faults import SewingFault, fault
from tracker.exact.geometry import (
    ONE,
    XY,
    ZERO,
    Polygon,
    Segment,
    Straight,
    area,
    box,
    boxes_apart,
    intersection,
    rectangle,
)
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.proof.border_pictures import pieced_strips
from tracker.proof.finishing_faults import WHERE, finishing_faults
from tracker.work.steps import Checklist, Size
from tracker.work.whole_blocks import AddBorder, JoinParts, SetBlock

BEYOND_MITRE = {"in": Measure(2), "cm": Measure(5)}
"""How far each end of a mitred strip is cut beyond the outer corner."""


def is_one_block(plan: Plan) -> bool:
    """Whether the quilt is one block and nothing else, so that nothing is done with it when it is finished."""
    quilt = plan.quilt
    beyond = quilt.borders or quilt.binding or quilt.backing or quilt.batting_beyond is not None
    return quilt.setting == "straight" and sum(map(len, quilt.places)) == 1 and not beyond


def whole_faults(
    plan: Plan, checklist: Checklist, trace: Trace, counted: Mapping[str, Counted]
) -> Iterator[SewingFault]:
    """What is wrong with the quilt as it lies there at the end, of a checklist that can be sewn to the end."""
    if is_one_block(plan):
        return
    yield from _places_faults(plan, checklist)
    set_in_place = checklist.with_blocks()
    left = {pile: each.left for pile, each in counted.items() if each.left > 0 and pile in set_in_place}
    if list(left.values()) != [1]:
        yield fault(WHERE, "not one quilt", found=", ".join(left) or "nothing")
        return
    (pile,) = left
    quilt = trace.lying[pile]
    if not isinstance(quilt, Piece):
        yield fault(WHERE, "not a block", pile=pile)
        return
    yield from _Whole(plan, checklist, trace).faults(quilt)
    yield from finishing_faults(plan, checklist, trace, pile)
    unnested = sum(
        not (nest.nests or nest.one_cloth)
        for step in checklist.steps
        if isinstance(step.action, JoinParts)
        for nests in step.action.nests
        for nest in nests
    )
    if unnested != checklist.pressing.unnested:
        what = "meetings in the quilt that do not nest"
        yield fault("pressing list", "count", what=what, printed=checklist.pressing.unnested, found=unnested)


def _places_faults(plan: Plan, checklist: Checklist) -> Iterator[SewingFault]:
    """Every block is set once, in its row, turned and in the version that are listed for its place."""
    listed = [place for row in checklist.pressing.places for place in row]
    letters = {block.block: [version.letter for version in block.versions] for block in checklist.pressing.blocks}
    rows = _row_numbers(plan)
    found: dict[int, tuple[int, int, str | None]] = {}
    for step in checklist.steps:
        if isinstance(step.action, SetBlock):
            for number in step.blocks or ():
                if number in found:
                    yield fault(step.id, "not each block", count=2, needed=1)
                found[number] = step.action.row, step.action.turn, step.version
    for number, (row, place) in enumerate(zip(rows, listed, strict=False), 1):
        own = letters.get(place.block, [])
        letter = own[place.version] if len(own) > 1 and 0 <= place.version < len(own) else None
        if number not in found:
            yield fault(WHERE, "not each block", count=0, needed=1)
        elif found[number] != (row, place.turn, letter):
            yield fault(WHERE, "not in place", block=number, found=found[number], wanted=(row, place.turn, letter))


def _row_numbers(plan: Plan) -> list[int]:
    """The row (from 1) that each block is joined in: on point its diagonal row, the upper right one first."""
    quilt = plan.quilt
    if quilt.setting == "straight":
        return [row for row, keys in enumerate(quilt.places, 1) for _ in keys]
    return [down + len(quilt.places[0]) for _, down in _on_diagonals(plan)]


def _on_diagonals(plan: Plan) -> Iterator[tuple[int, int]]:
    """How far each block on point, in reading order, lies along and down the diagonal rows: blocks (x, y) half a
    diagonal apart lie (x + y) / 2 along and (y - x) / 2 down."""
    for y, keys in enumerate(plan.quilt.places):
        for x in range(y % 2, 2 * len(keys), 2):
            yield (x + y) // 2, (y - x) // 2


@dataclass(frozen=True)
class _Place:
    """A rectangle of the quilt's centre, in the blocks' rows, that must show one cloth or be one block."""

    name: str
    box: tuple[Measure, Measure, Measure, Measure]
    fabric: str | None = None
    block: int | None = None


class _Whole:
    """The quilt as it must be, in finished places of its centre: on point along the blocks' rows."""

    def __init__(self, plan: Plan, checklist: Checklist, trace: Trace) -> None:
        self.plan, self.checklist, self.trace = plan, checklist, trace
        quilt, seam = plan.quilt, plan.seam
        self.keys = list(quilt.blocks_in_order())
        self.sash = quilt.sash.cut - 2 * seam if quilt.sash is not None else ZERO
        self.wide = [border.cut - 2 * seam for border in quilt.borders]
        self.centre: Size = ZERO, ZERO
        self.set: dict[int, str] = {}
        self.shown: dict[str, list[Facet]] = {}
        self.places = list(self._straight() if quilt.setting == "straight" else self._on_point())

    # what must lie where

    def _straight(self) -> Iterator[_Place]:
        number, top = 0, ZERO
        widths = [self._block_size(key)[0] for key in self.plan.quilt.places[0]]
        whole = sum(widths, self.sash * (len(widths) - 1))
        for row, keys in enumerate(self.plan.quilt.places):
            height, left = self._block_size(keys[0])[1], ZERO
            if row:
                yield from self._between_rows(row, widths, whole, top)
                top = top + self.sash
            for column, width in enumerate(widths):
                if column and self.sash:
                    yield self._sashed(f"sash {column} of row {row + 1}", left, top, self.sash, height)
                    left = left + self.sash
                number += 1
                yield _Place(f"block {number}", (left, top, left + width, top + height), None, number)
                left = left + width
            top = top + height
        self.centre = whole, top

    def _block_size(self, key: str) -> Size:
        return self.plan.blocks[key].finished(self.plan.seam)

    def _sashed(self, name: str, left: Measure, top: Measure, width: Measure, height: Measure) -> _Place:
        sash = self.plan.quilt.sash
        assert sash is not None
        return _Place(name, (left, top, left + width, top + height), sash.fabric)

    def _between_rows(self, row: int, widths: Sequence[Measure], whole: Measure, top: Measure) -> Iterator[_Place]:
        sash = self.plan.quilt.sash
        if sash is None:
            return
        if sash.cornerstone is None:
            yield self._sashed(f"sash below row {row}", ZERO, top, whole, self.sash)
            return
        left = ZERO
        for column, width in enumerate(widths):
            if column:
                box = left, top, left + self.sash, top + self.sash
                yield _Place(f"cornerstone {column} below row {row}", box, sash.cornerstone)
                left = left + self.sash
            yield self._sashed(f"sash {column + 1} below row {row}", left, top, width, self.sash)
            left = left + width

    def _on_point(self) -> Iterator[_Place]:
        side = self._block_size(self.keys[0])[0]
        pitch = side + self.sash
        rows: dict[int, list[int]] = {}
        for number, (along, down) in enumerate(_on_diagonals(self.plan), 1):
            left, top = pitch * along, pitch * down
            yield _Place(f"block {number}", (left, top, left + side, top + side), None, number)
            rows.setdefault(down, []).append(along)
        across, long = len(self.plan.quilt.places[0]), (len(self.plan.quilt.places) + 1) // 2
        round_it = 2 * (self.plan.quilt.floats or ZERO)
        self.centre = ROOT2 * (pitch * (across - 1) + side) + round_it, ROOT2 * (pitch * (long - 1) + side) + round_it
        if self.sash:
            yield from self._sashes_on_point(rows, side, pitch)

    def _sashes_on_point(self, rows: Mapping[int, list[int]], side: Measure, pitch: Measure) -> Iterator[_Place]:
        sash, beyond = self.plan.quilt.sash, ROOT2 * (self.plan.quilt.floats or ZERO)
        assert sash is not None
        for down, line in rows.items():
            for along in sorted(line)[1:]:
                yield self._sashed("sash in a row", pitch * along - self.sash, pitch * down, self.sash, side)
            if down + 1 not in rows:
                continue
            both = line + rows[down + 1]
            for along in range(min(both), max(both) + 1):
                left, top = pitch * along, pitch * down + side
                # The ends of a long sash run as far beyond the blocks as their points float inside the edge.
                before, after = (beyond if along == end else ZERO for end in (min(both), max(both)))
                yield self._sashed("sash between rows", left - before, top, side + before + after, self.sash)
                if along < max(both):
                    box = left + side, top, left + pitch, top + self.sash
                    yield _Place("where sashes cross", box, sash.cornerstone or sash.fabric)

    # what lies there

    def faults(self, quilt: Piece) -> Iterator[SewingFault]:
        """Size, borders, then place by place of the centre."""
        border = sum(self.wide, ZERO)
        seam = self.plan.seam
        size = tuple(side + 2 * (border + seam) for side in self.centre)
        if quilt.size != size:
            yield fault(WHERE, "size", pile="quilt", printed=size, found=quilt.size)
            return
        if quilt.area != size[0] * size[1]:
            yield self._other("a gap", "cloth all over", "the whole")
        yield from self._border_faults(quilt, border + seam)
        yield from self._strip_faults()
        yield from self._centre_faults(self._centre(quilt, border + seam))

    def _border_faults(self, quilt: Piece, edge: Measure) -> Iterator[SewingFault]:
        left, top = edge, edge
        right, bottom = edge + self.centre[0], edge + self.centre[1]
        for number, (border, wide) in enumerate(zip(self.plan.quilt.borders, self.wide, strict=True), 1):
            outer = left - wide, top - wide, right + wide, bottom + wide
            strips = [(outer[0], top, left, bottom), (right, top, outer[2], bottom)]
            ends = (left, right) if border.corners is not None else (outer[0], outer[2])
            strips += [(ends[0], outer[1], ends[1], top), (ends[0], bottom, ends[1], outer[3])]
            wanted = [(rectangle(*box), border.fabric) for box in strips]
            if border.is_pieced:
                wanted = list(pieced_strips(self.plan, border, strips))
            if border.corners is not None:
                wanted += [
                    (rectangle(x, y, x + wide, y + wide), border.corners)
                    for x in (outer[0], right)
                    for y in (outer[1], bottom)
                ]
            for polygon, fabric in wanted:
                if not _shows(quilt.facets, polygon, fabric):
                    yield self._other("another cloth", fabric, f"border {number}")
            if border.mitred:
                inner = left, top, right, bottom
                for at in ((0, 1), (2, 1), (2, 3), (0, 3)):
                    points = (inner[at[0]], inner[at[1]]), (outer[at[0]], outer[at[1]])
                    if not any(_runs(seam.line, *points) for seam in quilt.seams):
                        yield self._other("no seam", "a seam on the diagonal", f"a corner of border {number}")
            left, top, right, bottom = outer

    def _strip_faults(self) -> Iterator[SewingFault]:
        """The strips of mitred borders stand out as far as is usual."""
        wide = [wide for border, wide in zip(self.plan.quilt.borders, self.wide, strict=True) if border.mitred]
        added = [step for step in self.checklist.steps if isinstance(step.action, AddBorder)]
        if len(added) != len(wide):
            yield fault(WHERE, "count", what="mitred borders", printed=len(added), found=len(wide))
        for step, own in zip(added, wide, strict=False):
            assert isinstance(step.action, AddBorder)
            needed = own + BEYOND_MITRE[self.plan.unit]
            if step.action.beyond != needed:
                facts = {"printed": step.action.beyond, "found": needed}
                yield fault(step.id, "size", pile=step.action.sides, **facts)

    def _centre(self, quilt: Piece, edge: Measure) -> Piece:
        """The centre alone, in its own places: (0, 0) at its corner, or on point at that of the upper left block."""
        kept = _within(quilt, edge)
        if self.plan.quilt.setting == "straight":
            return kept
        # The upper left block's own corner is the topmost point of the quilt's first column.
        side, floats = self._block_size(self.keys[0])[0], self.plan.quilt.floats or ZERO
        return turn(315).piece(shift(-side / ROOT2 - floats, -floats).piece(kept))

    def _centre_faults(self, centre: Piece) -> Iterator[SewingFault]:
        """Every place shows its block or its cloth, and what lies in no place the setting cloth."""
        setting = self.plan.quilt.setting_fabric
        shown: dict[int, list[Facet]] = {number: [] for number in range(len(self.places))}
        for facet, over in self._over(centre.facets):
            whole = len(over) == 1 and over[0][1] is facet.polygon
            rest = ZERO if whole else area(facet.polygon)
            for number, part in over:
                shown[number].append(Facet(part, facet.fabric))
                rest = rest if whole else rest - area(part)
            if rest and facet.fabric != setting:
                yield self._other(facet.fabric, str(setting), "what lies round the blocks")
        for number, place in enumerate(self.places):
            if place.block is not None:
                yield from self._block_fault(place, shown[number])
            elif any(facet.fabric != place.fabric for facet in shown[number]):
                yield self._other("another cloth", str(place.fabric), place.name)

    def _other(self, found: str, wanted: str, place: str) -> SewingFault:
        return fault(WHERE, "picture", block=WHERE, place=place, wanted=wanted, found=found)

    def _over(self, facets: Iterable[Facet]) -> Iterator[tuple[Facet, list[tuple[int, Polygon]]]]:
        """Each facet with the places it reaches into, by number, and what of it lies there."""
        columns = sorted({x for place in self.places for x in (place.box[0], place.box[2])})
        rows = sorted({y for place in self.places for y in (place.box[1], place.box[3])})
        lying: dict[tuple[int, int], int] = {}
        for number, (left, top, right, bottom) in enumerate(place.box for place in self.places):
            for row in range(bisect_left(rows, top), bisect_left(rows, bottom)):
                for column in range(bisect_left(columns, left), bisect_left(columns, right)):
                    lying[row, column] = number
        for facet in facets:
            left, top, right, bottom = facet.bounds
            cells = (
                (row, column)
                for row in range(max(bisect_right(rows, top) - 1, 0), bisect_left(rows, bottom))
                for column in range(max(bisect_right(columns, left) - 1, 0), bisect_left(columns, right))
            )
            numbers = dict.fromkeys(lying[cell] for cell in cells if cell in lying)
            parts = ((number, self._inside(facet, number)) for number in numbers)
            yield facet, [(number, part) for number, part in parts if part is not None]

    def _inside(self, facet: Facet, number: int) -> Polygon | None:
        box = self.places[number].box
        bounds = facet.bounds
        if all(own >= edge for own, edge in zip(bounds[:2], box[:2], strict=True)) and all(
            own <= edge for own, edge in zip(bounds[2:], box[2:], strict=True)
        ):
            return facet.polygon
        return intersection(facet.polygon, rectangle(*box))

    def _block_fault(self, place: _Place, parts: Iterable[Facet]) -> Iterator[SewingFault]:
        """A block in its place shows what its finished block shows, turned as it was set."""
        assert place.block is not None
        moved = shift(-place.box[0], -place.box[1])
        shown = [Facet(moved.polygon(facet.polygon), facet.fabric) for facet in parts]
        wanted = self._finished(place.block)
        if {_key(facet) for facet in shown} == {_key(facet) for facet in wanted}:
            return
        for facet in wanted:
            if not _shows(shown, facet.polygon, facet.fabric):
                yield self._other("another cloth", facet.fabric, place.name)
                return

    def _finished(self, number: int) -> list[Facet]:
        """What a block, turned as it was set, shows within its seams."""
        if not self.set:
            for step in self.checklist.steps:
                if isinstance(step.action, SetBlock):
                    self.set.update(dict.fromkeys(step.blocks or (), step.gives[0].pile))
        pile = self.set.get(number, "")
        if pile not in self.shown:
            block = self.trace.lying.get(pile)
            # One that is not set anywhere is told as such.
            self.shown[pile] = list(_within(block, self.plan.seam).facets) if isinstance(block, Piece) else []
        return self.shown[pile]


def _runs(line: Segment, start: XY, end: XY) -> bool:
    """Whether a seam runs from one point to another, or further."""
    straight = Straight.through(*line)
    if straight.side(start) or straight.side(end):
        return False
    low, high = sorted(straight.along(point) for point in line)
    return all(low <= straight.along(point) <= high for point in (start, end))


def _within(piece: Piece, edge: Measure) -> Piece:
    """A piece without so much of it on every side."""
    width, height = piece.size
    for a, b, c in ((ONE, ZERO, edge), (-ONE, ZERO, edge - width), (ZERO, ONE, edge), (ZERO, -ONE, edge - height)):
        piece = clip_piece(piece, Straight(a, b, c))
    return settled_piece(piece)


def _key(facet: Facet) -> tuple[frozenset[tuple[Measure, Measure]], str]:
    return frozenset(facet.polygon), facet.fabric


def _shows(facets: Iterable[Facet], polygon: Polygon, fabric: str) -> bool:
    """Whether a polygon shows one cloth all over."""
    around = box(polygon)
    near = (facet for facet in facets if facet.fabric == fabric and not boxes_apart(facet.bounds, around))
    return sum((facet.shared_with(polygon)[1] for facet in near), ZERO) == area(polygon)
