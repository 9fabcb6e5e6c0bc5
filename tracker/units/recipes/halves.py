"""A square in two halves along its diagonal, one of them pieced of squares, triangle squares and triangles, or both.

A pieced half is sewn in rows (or columns) that end in a triangle, or in strips along its long edge; where all that is
left of it is one cloth, it is one triangle. Triangles are cut from squares of f + 2s + s√2 cut once, so that the
straight grain lies along rows and edges. The long edge of a half in rows is cut straight, a seam beyond the
points, before the other half is sewn to it.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.geometry import ZERO
from tracker.exact.measure import ROOT2, Measure, round_up
from tracker.plan.model import Plan, Quarters
from tracker.units.maker import AGAIN, Bench, Maker, Round, line, numbered, point
from tracker.units.recipes.attaching import Edge, SewnCloth, attached, cell_edge, pressed_toward, triangle
from tracker.units.recipes.half_pictures import (
    ROW,
    SLANTING,
    WHOLE,
    Half,
    fits_halves,
    inner_of_halves,
    patches_of_halves,
    runs,
    text_of_cells,
)
from tracker.units.recipes.recipe import Ends, Recipe
from tracker.units.recipes.slanting_strips import long_edge, with_slanting_strip
from tracker.units.region import Region, cloths_in
from tracker.work.steps import Laid, Pile
from tracker.work.things import HALVES, PIECED_STRIP, PIECED_TRIANGLE, Kind, Stage, Thing

NO_CLOTH = SewnCloth("", 0, (ZERO, ZERO))

STRAIGHT = Round(" straight", level=True)
"""A pieced half whose long edge is cut straight."""


def make_halves(maker: Maker, region: Region) -> tuple[str, ...]:
    """The pieced half, its long edge straight; the other one laid on it, sewn along that edge, opened, trimmed."""
    half, other = Half.of(region), Half.of(region.turned(180))
    s, reach = maker.seam, region.finished[0] + 2 * maker.seam
    legs = reach + maker.diagonal_seam
    banded = _banded(region)
    upper = _straight(maker, half, legs, banded)
    base, base_over = upper.lying, upper.over
    if other.is_plain:
        side = maker.trimmed_later(legs, room=1)
        # Its right angle is cut up and right.
        laid, turn, over = triangle(maker.bench, other.cloths[0], side), 0, (side - legs) / 2
    else:
        lower = _straight(maker, other, legs, banded)
        laid, turn, over = lower.lying.pile, 90, lower.over
    most = max(over, base_over)
    pair = maker.pair(base.pile, [Laid(laid, turn, base_over - over, base_over - over)], None, AGAIN)
    sewn = maker.sew(pair, [line(reach + 2 * most, 0, 0, reach + 2 * most)], AGAIN)
    along = long_edge(half, s), long_edge(other, s)
    toward, cloths = pressed_toward(maker.bench.plan, *along, "laid" if other.is_plain else "base")
    # What each reaches beyond the square: at its right angle, and at its tips where no strip of triangles ends there.
    before = max(base_over, _at_tips(other, over))
    opened = before + reach + max(over, _at_tips(half, base_over))
    pressed = maker.press(sewn, toward, cloths, (opened, opened), within=AGAIN)
    middle = before + reach / 2
    return (maker.trim(pressed, reach, reach, point(middle, middle)),)


def ends_of_halves(region: Region, plan: Plan) -> tuple[Ends, Ends, Ends, Ends]:
    """Where seams run out straight at the upper, right, lower and left edge, as it comes out of the making."""
    inner = {each: (f"{number}", 0) for number, each in enumerate(inner_of_halves(region, plan))}
    bench = Bench(plan)
    for each, (name, _) in inner.items():
        bench.pile(Pile(name, Thing(Kind.UNIT), Stage.TRIMMED, each.cloths()))
    maker, legs = Maker(bench, "", "", (), units=inner), region.finished[0] + 2 * plan.seam + plan.seam * ROOT2
    banded, found = _banded(region), list[Ends]()
    for half in (Half.of(region), Half.of(region.turned(180))):
        sewn = _Straight(NO_CLOTH) if half.is_plain else _straight(maker, half, legs, banded)
        found += [sewn.top, sewn.left]
    top, left, bottom, right = found
    whole = region.finished[0]
    # The lower half lies turned half round.
    right, bottom = (tuple((whole - at, 1 - side) for at, side in reversed(ends)) for ends in (right, bottom))
    return top, right, bottom, left


def beyond_ends_of_halves(region: Region, plan: Plan) -> tuple[Measure, Measure] | None:
    """Deeper than the cells along its edges there are the seams of others; where all slant there is none."""
    return (region.columns[0], region.finished[0]) if any(ends_of_halves(region, plan)) else None


def _at_tips(half: Half, over: Measure) -> Measure:
    """How far a half that reaches so far beyond its allowance does so at the ends of its long edge."""
    return ZERO if half.begun[1] == SLANTING and len(set(half.slanting)) > 1 else over


@dataclass(frozen=True)
class _Straight:
    """A half with its long edge straight, a seam beyond the points; how far it reaches beyond the square's allowance at
    its short edges; and where seams run out at the upper and the left one."""

    lying: SewnCloth
    over: Measure = ZERO
    top: Ends = ()
    left: Ends = ()


def _banded(region: Region) -> frozenset[str]:
    """The texts of the halves in it that are begun with a strip along their long edge: as a corner of another half the
    same is sewn by rows, and is another thing."""
    found = set()
    for half in (Half.of(region), Half.of(region.turned(180))):
        while half.begun[1] == SLANTING:
            found.add(half.text)
            half = half.rest_within
    return frozenset(found)


def _straight(maker: Maker, half: Half, legs: Measure, banded: frozenset[str]) -> _Straight:
    if half.begun[1] == SLANTING:
        inner, short = half.rest_within, legs - half.cell
        if inner.is_plain:
            side = round_up(short, maker.bench.plan.ruler)
            cut = SewnCloth(triangle(maker.bench, inner.cloths[0], side), 270, (side, side))
            within = _Straight(cut, (side - short) / 2)
        else:
            within = _straight(maker, inner, short, banded)
        lying, top, left = with_slanting_strip(maker, half, within.lying, within.over)
        return _Straight(lying, within.over, within.top + top, within.left + left)
    own = maker.of_part(PIECED_TRIANGLE, half.text, half.cloths)
    built = _Piecing(maker, banded).corner(half)
    width = built.lying.size[0]
    # A point of the thread-wide waste, at the upper end of the long edge.
    low = (width - legs) / 4
    parts = [(point(legs / 4, legs / 4), 0, ""), (point((width + legs) / 2 - low, low), 0, None)]
    (made,) = own.cut_apart(built.lying.pile, [line(legs, 0, 0, legs)], parts, STRAIGHT, (legs, legs))
    return _Straight(SewnCloth(made, 0, (legs, legs)), ZERO, built.top_ends, built.left_ends)


@dataclass(frozen=True)
class _Built:
    """A corner of a half as it was sewn, with the cloths along its upper and left seam, and where seams run out
    there."""

    lying: SewnCloth
    top: Edge
    left: Edge
    top_ends: Ends = ()
    left_ends: Ends = ()


@dataclass(frozen=True)
class _Piecing:
    """Sews the corners of a half."""

    maker: Maker
    banded: frozenset[str]

    def corner(self, half: Half) -> _Built:
        """All of a corner: one triangle, or its first row or column and the rest."""
        maker, s = self.maker, self.maker.seam
        _, how = half.in_rows
        if how == WHOLE:
            return self._triangle(half)
        other_way = half.text in self.banded or (maker.apart and half.begun[1] == SLANTING)
        own = maker.of_part(PIECED_TRIANGLE, half.text, half.cloths, how if other_way else "")
        strip, end, ends = self._strip(half, how)
        rest = self.corner(half.rest_below if how == ROW else half.rest_beside)
        # Along the strip, first its cells, then as much of its last triangle as lies above or beside the seam.
        inner = _inner_edge(half, how, s, end.size[0])
        way, beyond = ("down", rest.top) if how == ROW else ("across", rest.left)
        across, down = strip.size
        grown, kept = half.cell, half.cell + 2 * s
        size = (across, rest.lying.size[1] + grown) if how == ROW else (rest.lying.size[0] + grown, down)
        lying = attached(own, strip, rest.lying, way, kept, (inner, beyond), size)
        outer = _outer_edge(half, how, s, end.size[0])
        first = half.cells[0][0]
        other = rest.left if how == ROW else rest.top
        begun = cell_edge(first, 3 if how == ROW else 0, half.cell, s)[:2]
        beside = (*begun, *_without(other, s))
        out = rest.left_ends if how == ROW else rest.top_ends
        below = ((half.cell, lying.pressed), *((at + half.cell, side) for at, side in out))
        if how == ROW:
            return _Built(lying, outer, beside, ends, below)
        return _Built(lying, beside, outer, below, ends)

    def _triangle(self, half: Half) -> _Built:
        s = self.maker.seam
        legs = half.count * half.cell + 2 * s + self.maker.diagonal_seam
        side = round_up(legs, self.maker.bench.plan.ruler)
        (cloth,) = half.cloths
        edge = ((cloth, side - s),)
        return _Built(SewnCloth(triangle(self.maker.bench, cloth, side), 270, (side, side)), edge, edge)

    def _strip(self, half: Half, how: str) -> tuple[SewnCloth, SewnCloth, Ends]:
        """The first row or column, sewn from its first cell to the triangle at its end; that triangle; and where the
        seams between them run out."""
        s = self.maker.seam
        cells = half.cells[0][:-1] if how == ROW else tuple(row[0] for row in half.cells[:-1])
        last = half.cells[0][-1] if how == ROW else half.cells[-1][0]
        end = self._triangle(Half(((last,),), half.cell)).lying
        # In a column each is a square by itself, for a rectangle lies with its longer side across.
        parts = runs(cells) if how == ROW else [(1, 1)] * len(cells)
        text = text_of_cells([(*cells, last)], half.cell)
        own = self.maker.of_part(PIECED_STRIP, text, cloths_in([(*cells, last)]), how)
        way, side = ("across", 1) if how == ROW else ("down", 2)
        lying, at, ends = self._cells(cells[0], parts[0][0], half.cell), parts[0][0], []
        for number, count in enumerate([*(count for count, _ in parts[1:]), 0], 1):
            laid = self._cells(cells[at], count, half.cell) if count else end
            edge = cell_edge(cells[at - 1], side, half.cell, s)
            beyond = cell_edge(cells[at], (side + 2) % 4, half.cell, s) if count else ((last[0], end.size[0] - s),)
            along = lying.size[0] if how == ROW else lying.size[1]
            # Of the triangle at the end its tip stands out, as far as it is seen beside the seam.
            high = max(half.cell + 2 * s, ZERO if count else end.size[0] - s)
            grown = along + (laid.size[0] if how == ROW else laid.size[1]) - 2 * s
            size = (grown, high) if how == ROW else (high, grown)
            begun = numbered(number, len(parts))
            lying = attached(own, lying, laid, way, along, (edge, beyond), size, begun)
            ends.append((at * half.cell, lying.pressed))
            at += count
        return lying, end, tuple(ends)

    def _cells(self, quarters: Quarters, count: int, cell: Measure) -> SewnCloth:
        """Like plain cells as one patch, or a unit of one cell."""
        s = self.maker.seam
        size = count * cell + 2 * s, cell + 2 * s
        if len(set(quarters)) == 1:
            return SewnCloth(self.maker.cut(quarters[0], *size), 0, size)
        pile, turn = self.maker.units[Region((cell,), (cell,), ((quarters,),))]
        return SewnCloth(pile, turn, size)


def _inner_edge(half: Half, how: str, seam: Measure, end: Measure) -> Edge:
    """What the seam runs through between the first row (or column) and the rest."""
    edge = _cells_along(half, how, 2 if how == ROW else 1, seam)
    last = half.cells[0][-1] if how == ROW else half.cells[-1][0]
    return (*edge, (last[0], end - half.cell - 2 * seam))


def _outer_edge(half: Half, how: str, seam: Measure, end: Measure) -> Edge:
    """The same along the outer side of the first row or column."""
    edge = _cells_along(half, how, 0 if how == ROW else 3, seam)
    last = half.cells[0][-1] if how == ROW else half.cells[-1][0]
    return (*edge, (last[0], end - 2 * seam))


def _cells_along(half: Half, how: str, side: int, seam: Measure) -> Edge:
    cells = half.cells[0][:-1] if how == ROW else tuple(row[0] for row in half.cells[:-1])
    first = cell_edge(cells[0], side, half.cell, seam)[0]
    return (first, *((quarters[side], half.cell) for quarters in cells))


def _without(edge: Edge, length: Measure) -> Edge:
    """An edge without so much at its beginning, which a seam has taken up."""
    (cloth, first), *rest = edge
    return ((cloth, first - length), *rest) if first > length else tuple(rest)


RECIPES = (
    Recipe(
        HALVES,
        None,
        fits_halves,
        make_halves,
        patches_of_halves,
        asked="diagonal",
        inner=inner_of_halves,
        ends=ends_of_halves,
        beyond=beyond_ends_of_halves,
    ),
)
