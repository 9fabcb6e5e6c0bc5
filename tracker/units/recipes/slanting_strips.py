"""Strips along the long edge of a half: of triangles, every other one turned about, or of one cloth.

A strip of triangles is sewn from end to end and cut straight on both long edges before it is sewn to what lies within;
a plain one is sewn on and then cut to the half's edges.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.geometry import ZERO
from tracker.exact.measure import ROOT2, Measure, round_up
from tracker.units.maker import Maker, Round, line, numbered, point, token
from tracker.units.recipes.attaching import Edge, SewnCloth, sewn_on, triangle
from tracker.units.recipes.half_pictures import SLANTING, Half
from tracker.units.recipes.recipe import Ends
from tracker.work.things import PIECED_STRIP, PIECED_TRIANGLE

LEVEL_STRIP, TO_SIZE = Round(" straight", level=True), Round(" to size", level=True)
"""A strip of triangles with both long edges cut straight; a half whose plain strip is cut to its edges."""


def long_edge(half: Half, seam: Measure) -> Edge:
    """The cloths along the long edge's seam, in lengths along a short edge."""
    cells = [(row[-1][0], half.cell) for row in half.cells]
    return ((cells[0][0], seam), *cells, (cells[-1][0], seam))


def with_slanting_strip(maker: Maker, half: Half, inner: SewnCloth, over: Measure) -> tuple[SewnCloth, Ends, Ends]:
    """A half sewn of what lies inside and a strip along its long edge, and where seams of the strip run out at its
    upper and its left edge. `over` is how far what lies inside reaches beyond the half's allowance at the short
    edges."""
    own = maker.of_part(PIECED_TRIANGLE, half.text, half.cloths, SLANTING if maker.apart else "")
    if len(set(half.slanting)) == 1:
        return _with_plain_strip(own, half, inner, over), (), ()
    return _with_triangles(own, half, inner, over)


def _reach(maker: Maker, half: Half) -> Measure:
    """Where the seam to what lies inside meets the short edges."""
    return (half.count - 1) * half.cell + 2 * maker.seam


def _with_triangles(maker: Maker, half: Half, inner: SewnCloth, over: Measure) -> tuple[SewnCloth, Ends, Ends]:
    s, cell, reach = maker.seam, half.cell, _reach(maker, half)
    strip, begins, ends = _Strip(maker, half).sewn()
    out = cell + maker.diagonal_seam
    first, last = half.slanting[0], half.slanting[-1]
    beyond = ((first, s), *((cloth, cell) for cloth in half.slanting[1::2]), (last, s))
    seam = (reach + over, over), (over, reach + over)
    laid = SewnCloth(strip.pile, 180, strip.size)
    legs = reach + cell + maker.diagonal_seam + over
    along = long_edge(half.rest_within, s), beyond
    sewn = sewn_on(maker, inner, laid, (over - out, over - out), seam, along, (legs, legs), "laid")
    at = (half.count - 1) * cell
    # The strip begins at the lower end, where what was sewn on comes first, and ends at the upper one.
    return sewn, ((at, ends),), ((at, 1 - begins),)


def _with_plain_strip(maker: Maker, half: Half, inner: SewnCloth, over: Measure) -> SewnCloth:
    """The strip is cut a little too wide and too long, and what stands out is cut off."""
    s, reach, plan = maker.seam, _reach(maker, half), maker.bench.plan
    cloth = half.slanting[0]
    width = round_up(half.cell / ROOT2 + 2 * s, plan.ruler)
    legs, rim = reach + half.cell + maker.diagonal_seam, reach + (width - s) * ROOT2
    long = round_up((rim + 2 * over) * ROOT2 + plan.ruler, plan.ruler)
    box, end = (long + width) / ROOT2, long / ROOT2
    # The strip's middle lies half its width within the edge that it is laid on.
    corner = over + (reach + maker.diagonal_seam - width / ROOT2 - box) / 2
    laid = SewnCloth(maker.cut(cloth, long, width), 45, (box, box))
    seam = (reach + 2 * over, ZERO), (ZERO, reach + 2 * over)
    along = long_edge(half.rest_within, s), ((cloth, reach),)
    # Opened, the ends of the strip stand out at both short edges.
    out = (end - reach) / 2
    whole = (rim + end) / 2 + out
    opened = sewn_on(maker, inner, laid, (corner, corner), seam, along, (whole, whole), "laid", told=False)

    def at(total: Measure, apart: Measure) -> tuple[Measure, Measure]:
        return point((total + apart) / 2 + out, (total - apart) / 2 + out)

    sides = reach + half.cell / 2, (legs + rim) / 2
    off = [at(total, way * (total + 2 * over + end) / 2) for total in sides for way in (1, -1)]
    parts = [(at(reach / 2, ZERO), 0, ""), *((place, 0, None) for place in (at(sides[1], ZERO), *off))]
    edge = out - over
    cuts = [line(legs + 2 * out, 0, 0, legs + 2 * out), line(edge, 0, edge, whole), line(0, edge, whole, edge)]
    size = legs + 2 * over, legs + 2 * over
    return SewnCloth(maker.cut_apart(opened.pile, cuts, parts, TO_SIZE, size)[0], 0, size)


@dataclass(frozen=True)
class _Strip:
    """A strip of triangles as it lies when the half is turned a quarter clockwise: from the upper left to the lower
    right, those outside with their right angle up and right, those inside with it down and left."""

    maker: Maker
    half: Half

    def sewn(self) -> tuple[SewnCloth, int, int]:
        """All of it, both long edges cut straight; and which piece its first and its last seam are pressed to, 0 the
        one before."""
        s, u = self.maker.seam, self.half.cell
        q = round_up(u + 2 * s + self.maker.diagonal_seam, self.maker.bench.plan.ruler)
        cloths = self.half.slanting
        piles = [triangle(self.maker.bench, cloth, q) for cloth in cloths]
        own = self.maker.of_part(PIECED_STRIP, f"{','.join(cloths)}@{token(u)}", cloths, "slanting")
        lying, top, ear = SewnCloth(piles[0], 0, (q, q)), ZERO, q - u - 2 * s
        pressed = []
        for number in range(1, len(cloths)):
            at, inside = (number - 1) // 2 * u, number % 2 == 1
            before = ((cloths[number - 2], ear),) if number > 1 else ()
            if inside:
                # Sewn to the right, its upper tip above the one before.
                upper = u + 3 * s - q
                corner, seam = (at, at - ear), ((at + q - s, at + upper if at else ZERO), (at + q - s, at + u + 2 * s))
                on = (*before, (cloths[number - 1], u + (s if at else 2 * s)))
                end = at + 2 * q - 2 * s, at + q - s
            else:
                upper = top
                corner, seam = (at + u, at - ear), ((at + u + s, at + u + s), (at + u + q, at + u + s))
                on = (*before, (cloths[number - 1], u + s))
                end = at + 2 * q - 3 * s, at + u + q
            laid = SewnCloth(piles[number], 180, (q, q))
            moved = tuple((x, y - top) for x, y in (corner, *seam))
            size, begun = (end[0], end[1] - upper), numbered(number, len(cloths) - 1)
            edges = on, ((cloths[number], u),)
            lying = sewn_on(own, lying, laid, moved[0], (moved[1], moved[2]), edges, size, during=begun, told=False)
            pressed.append(lying.pressed)
            top = upper
        return self._straight(own, lying, q, top), pressed[0], pressed[-1]

    def _straight(self, own: Maker, lying: SewnCloth, q: Measure, top: Measure) -> SewnCloth:
        """Cut straight, a seam beyond the points on both sides. `top` is how far its box reaches above its first
        cell."""
        s, u, count = own.seam, self.half.cell, self.half.count
        # Along both cuts the place down less the one across is the same; what is cut off is as wide as the rounding.
        out, inner = u + 2 * s - q + own.diagonal_seam, 2 * s - q - own.diagonal_seam
        width, height = lying.size
        cuts = []
        for along in (out, inner):
            start, end = max(ZERO, top - along), min(width, height + top - along)
            cuts.append(line(start, start + along - top, end, end + along - top))

        def at(x: Measure, along: Measure) -> tuple[Measure, Measure]:
            return point(x, x + along - top)

        parts = [
            (at(q / 2, (out + inner) / 2), 0, ""),
            (at(q / 2, out / 2), 0, None),
            (at(q * 3 / 2 - 2 * s, inner + out / 2), 0, None),
        ]
        side = count * u + s + 2 * own.diagonal_seam
        return SewnCloth(own.cut_apart(lying.pile, cuts, parts, LEVEL_STRIP, (side, side))[0], 0, (side, side))
