"""Pieces sewn to each other edge to edge as they lie in a picture: one laid face down on another, sewn, pressed open.

A seam goes to the darker cloth where either side is mostly one cloth, as seams in units do; else to the side asked for.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.geometry import XY, ZERO, Segment
from tracker.exact.measure import Measure
from tracker.plan.model import Plan, Quarters
from tracker.units.maker import ONLY, TRIANGLES, Bench, Maker, Round, diagonals, line, point, token
from tracker.units.recipes.half_square import RIGHT_ANGLE_UP_RIGHT
from tracker.work.steps import Laid, Size
from tracker.work.things import TRIANGLE

Edge = tuple[tuple[str, Measure], ...]
"""The cloths that a seam along an edge runs through, in order, and how far through each."""


@dataclass(frozen=True)
class SewnCloth:
    """Cloth as it lies in a picture: its pile, the clockwise turn that brings it there, its size there, and which side
    its last seam is pressed to: 0 what it was sewn to, 1 what was sewn on."""

    pile: str
    turn: int
    size: Size
    pressed: int = 0


def within(edge: Edge, start: Measure, end: Measure) -> Edge:
    """What of an edge lies between two places along it."""
    found, at = [], ZERO
    for cloth, length in edge:
        low, high = max(at, start), min(at + length, end)
        if low < high:
            found.append((cloth, high - low))
        at = at + length
    return tuple(found)


def cell_edge(quarters: Quarters, side: int, cell: Measure, seam: Measure) -> Edge:
    """The cloths along a side (0 top, 1 right, 2 bottom, 3 left) of a square cell, left to right or top to bottom, with
    its allowance at both ends: there the seam has crossed whatever runs into the corner."""
    before, own, after = quarters[side - 1], quarters[side], quarters[(side + 1) % 4]
    first, last = (before, after) if side < 2 else (after, before)
    return (first, seam), (own, cell), (last, seam)


def mostly(edge: Edge) -> tuple[str, ...]:
    """The cloth that more than half of an edge runs through; all of them where there is none."""
    lengths: dict[str, Measure] = {}
    for cloth, length in edge:
        lengths[cloth] = lengths.get(cloth, ZERO) + length
    whole = sum(lengths.values(), ZERO)
    return tuple(cloth for cloth, length in lengths.items() if 2 * length > whole) or tuple(lengths)


def pressed_toward(plan: Plan, base: Edge, laid: Edge, otherwise: str) -> tuple[str, tuple[str, ...]]:
    """Which way a seam is pressed, "base" or "laid", and the cloths along it there."""
    sides = {"base": mostly(base), "laid": mostly(laid)}
    own, other = sides.values()
    toward = otherwise
    if len(own) == len(other) == 1 and own != other:
        toward = "base" if plan.darker(own[0], other[0]) == own[0] else "laid"
    return toward, sides[toward]


def attached(
    maker: Maker,
    base: SewnCloth,
    laid: SewnCloth,
    way: str,
    raw: Measure,
    along: tuple[Edge, Edge],
    size: Size,
    during: Round = ONLY,
) -> SewnCloth:
    """Sew `laid` to the right edge of `base` ("across") or below it ("down"), upper or left ends level.

    `raw` is where that edge of the base lies, `along` what the seam runs through in the base and in what is laid on it,
    from its upper or left end, `size` what comes of it. It lies as in the picture.
    """
    s, (width, height) = maker.seam, laid.size
    long = min(sum((length for _, length in edge), ZERO) for edge in along)
    if way == "across":
        corner, seam, face_down = (raw - width, ZERO), ((raw - s, ZERO), (raw - s, long)), laid.turn
    else:
        corner, seam, face_down = (ZERO, raw - height), ((ZERO, raw - s), (long, raw - s)), laid.turn + 180
    on, over = (within(edge, ZERO, long) for edge in along)
    return sewn_on(
        maker, base, SewnCloth(laid.pile, face_down, laid.size), corner, seam, (on, over), size, during=during
    )


def sewn_on(
    maker: Maker,
    base: SewnCloth,
    laid: SewnCloth,
    corner: XY,
    seam: Segment,
    along: tuple[Edge, Edge],
    size: Size,
    otherwise: str = "base",
    during: Round = ONLY,
    told: bool = True,
    then: int = 0,
) -> SewnCloth:
    """Sew a piece to a base and press it open, as both lie in the picture, `then` turned clockwise.

    `laid` lies face down: turned so, flipped left to right, its box at `corner` of the base's box. The `seam` runs in
    the base's box too, through the cloths `along` it. Of what comes of it `size` is the box, `told` where
    that is worth measuring.
    """
    # All that in the base's own frame, as its pile lies.
    back = -base.turn % 360
    far = corner[0] + laid.size[0], corner[1] + laid.size[1]
    corners, ends = ([turned_about(at, base.size, back) for at in each] for each in ((corner, far), seam))
    x, y = (min(at[axis] for at in corners) for axis in (0, 1))
    # A stack begins at its left and upper edge, so what stands out there moves the rest.
    over_x, over_y = max(-x, ZERO), max(-y, ZERO)
    (x1, y1), (x2, y2) = ends
    pair = maker.pair(base.pile, [Laid(laid.pile, (laid.turn + base.turn) % 360, x, y)], None, during)
    sewn = maker.sew(pair, [line(x1 + over_x, y1 + over_y, x2 + over_x, y2 + over_y)], during)
    toward, cloths = pressed_toward(maker.bench.plan, *along, otherwise)
    pressed = maker.press(sewn, toward, cloths, size if told else None, turn=(base.turn + then) % 360, within=during)
    return SewnCloth(pressed, 0, size, int(toward == "laid"))


def turned_about(at: XY, size: Size, turn: int) -> XY:
    """A point of a piece of that size after the piece is turned clockwise."""
    (x, y), (width, height) = at, size
    for _ in range(turn // 90):
        x, y, width, height = height - y, x, height, width
    return x, y


def triangle(bench: Bench, cloth: str, side: Measure) -> str:
    """Triangles of one cloth from squares cut once, the right angle up and right."""
    maker = Maker(bench, f"{TRIANGLE}:{cloth}:{token(side)}", TRIANGLE, (cloth,))
    inside = {"upper right": point(side * 3 / 4, side / 4), "lower left": point(side / 4, side * 3 / 4)}
    parts = [(place, RIGHT_ANGLE_UP_RIGHT[corner], "") for corner, place in inside.items()]
    return maker.cut_apart(maker.cut(cloth, side), [diagonals(side)["falling"]], parts, TRIANGLES, (side, side))[0]
