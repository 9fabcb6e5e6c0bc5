"""Eight-pointed stars of 45 degree diamonds: pairs, halves and the star sewn to dots, triangles and squares set in.

Of diamonds with finished sides t each is t/√2 high: strips of t/√2 + 2s are cut across at 45 degrees, as far apart as
they are wide. Corner squares are t + 2s, side triangles come from squares of t√2 + 2s + 2s√2 cut twice; both a little
large, and trimmed with the whole star.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from tracker.exact.geometry import (
    XY,
    ZERO,
    Polygon,
    Segment,
    Straight,
    box,
    chord,
    common,
    merged,
    rectangle,
    split,
    turned,
    without,
)
from tracker.exact.measure import ROOT2, Measure, nearest, round_up
from tracker.plan.diamond_star import DiamondStar, diamond_side, star_in
from tracker.plan.model import Plan
from tracker.units.maker import ONLY, TRIANGLES, Maker, Round, digest, line, point, token
from tracker.units.recipes.loose_triangles import small_triangles
from tracker.units.recipes.recipe import Ends, Recipe, always
from tracker.units.region import Region
from tracker.work.dotted_seams import DottedPiece, PressAside, SewToDots
from tracker.work.steps import Size
from tracker.work.things import DIAMOND, DIAMOND_PAIR, HALF_STAR, STAR, Kind

FIRST_CUT = {"in": Fraction(1, 2), "cm": Fraction(1)}
"""How much longer a strip is than its diamonds and their slant: its ends are uneven (common practice)."""

SEEN = {"in": Fraction(1, 64), "cm": Fraction(1, 20)}
"""How far a diamond may be off the ruler's mark before it is worth a word."""

WHOLE, SIDES_IN, CORNERS_IN = (Round(mark, Kind.BEGUN) for mark in (" star", " with sides", " with corners"))

Facets = tuple[Polygon, ...]
"""Cloth as it is seen, the star's middle at (0, 0)."""


def fits_star(region: Region, plan: Plan) -> bool:
    """A star in the one of its rotations that comes first."""
    return region.comes_first and star_in(region.cells) is not None


def ends_of_star(region: Region, plan: Plan) -> tuple[Ends, Ends, Ends, Ends]:
    """Where the seams of its corner squares run out, and to which side each is pressed."""
    star, side, width = star_in(region.cells), diamond_side(region.finished[0]), region.finished[0]
    assert star is not None
    up_left, low_left, low_right, up_right = star.corners
    upper_right, lower_right, lower_left, upper_left = (star.diamonds[at : at + 2] for at in (6, 0, 2, 4))

    def edge(first: str, beside: str, other: str, last: str) -> Ends:
        start, end = int(plan.darker(first, beside) != first), int(plan.darker(last, other) == last)
        return (side, start), (width - side, end)

    return (
        edge(up_left, upper_left[1], upper_right[0], up_right),
        edge(up_right, upper_right[1], lower_right[0], low_right),
        edge(low_left, lower_left[0], lower_right[1], low_right),
        edge(up_left, upper_left[0], lower_left[1], low_left),
    )


def parts_of_star(region: Region) -> tuple[str, ...]:
    """What its pairs and halves are called, which another star may have too."""
    star = star_in(region.cells)
    assert star is not None
    return tuple(
        f"{kind}:{_text(star.diamonds[at : at + number], region.finished[0])}"
        for kind, number in ((DIAMOND_PAIR, 2), (HALF_STAR, 4))
        for at in range(0, 8, number)
    )


def _text(cloths: Sequence[str], width: Measure) -> str:
    return f"{'+'.join(cloths)}@{token(width)}"


def most_from_strip(plan: Plan, cloth: str, wide: Measure) -> int:
    """How many diamonds a strip as long as the cloth is usable gives; at least one, cut down its length if need be."""
    most = ((plan.fabrics[cloth].usable - FIRST_CUT[plan.unit] - wide) / (wide * ROOT2)).__floor__()
    return max(most, 1)


def make_star(maker: Maker, region: Region) -> tuple[str, ...]:
    """Everything, from the strips to the trimming."""
    star = star_in(region.cells)
    assert star is not None
    return (_Star(maker, star, region.finished[0]).made(),)


@dataclass(frozen=True)
class _Cloth:
    """What is sewn so far: its pile, and its cloth as it lies when it is turned so."""

    pile: str
    facets: Facets
    turn: int = 0

    @property
    def corner(self) -> XY:
        """The upper left corner of its box."""
        left, top, _, _ = box(at for each in self.facets for at in each)
        return left, top

    @property
    def size(self) -> Size:
        left, top, right, bottom = box(at for each in self.facets for at in each)
        return right - left, bottom - top

    def turned(self, degrees: int) -> _Cloth:
        moved = tuple(tuple(turned(at, degrees) for at in each) for each in self.facets)
        return _Cloth(self.pile, moved, (self.turn + degrees) % 360)


def _way(eighth: int, length: Measure) -> XY:
    """The point so far from the middle, clockwise by eighths of a turn from the right."""
    return turned((length, ZERO), 45 * (eighth % 8))


def _moved(points: Iterable[XY], start: XY, to: XY, degrees: int) -> Polygon:
    """Points turned clockwise about `start`, which comes to lie at `to`."""
    about = (turned((x - start[0], y - start[1]), degrees) for x, y in points)
    return tuple((x + to[0], y + to[1]) for x, y in about)


@dataclass(frozen=True)
class _Star:
    """The making of one star, `width` finished."""

    maker: Maker
    star: DiamondStar
    width: Measure

    @property
    def side(self) -> Measure:
        """The finished side of a diamond."""
        return diamond_side(self.width)

    def made(self) -> str:
        """All steps; the pile of trimmed stars."""
        self._tell_sizes()
        first, second = (self._half(self.star.diamonds[at : at + 4]) for at in (0, 4))
        # All that is sewn into the star is written before its own steps.
        triangles = [
            (at, cloth, self._triangle(at, cloth)) for at, cloth in zip((6, 4, 2, 0), self.star.sides, strict=True)
        ]
        squares = [
            (at, cloth, self._square(at, cloth)) for at, cloth in zip((5, 3, 1, 7), self.star.corners, strict=True)
        ]
        middle = ZERO, ZERO
        seams = (middle, _way(0, self.side)), (middle, _way(4, self.side))
        star = self._sewn(self.maker, first, second.turned(180), seams, WHOLE)
        star = self._pressed(self.maker, star, (self.star.diamonds[0], self.star.diamonds[4]), WHOLE)
        star = self._with(self._with(star, triangles, SIDES_IN), squares, CORNERS_IN)
        (left, top), unfinished = star.corner, self.width + 2 * self.maker.seam
        return self.maker.trim(star.pile, unfinished, unfinished, (-left, -top))

    # Diamonds

    def _half(self, cloths: Sequence[str]) -> _Cloth:
        own = self._own(HALF_STAR, cloths)
        first, second = (self._pair(cloths[at : at + 2]) for at in (0, 2))
        seam = _way(2, -self.maker.seam), _way(2, self.side)
        return self._pressed(own, self._sewn(own, first, second.turned(90), (seam,)), (cloths[2],))

    def _pair(self, cloths: Sequence[str]) -> _Cloth:
        own = self._own(DIAMOND_PAIR, cloths)
        first, second = map(self._diamond, cloths)
        seam = _way(1, -self.maker.diagonal_seam), _way(1, self.side)
        return self._pressed(own, self._sewn(own, first, second.turned(45), (seam,)), (cloths[1],))

    def _own(self, kind: str, cloths: Sequence[str]) -> Maker:
        apart = f":{digest(self.maker.making)}" if self.maker.apart else ""
        return self.maker.of_part(kind, _text(cloths, self.width) + apart, cloths)

    def _diamond(self, cloth: str) -> _Cloth:
        """A diamond with its dots, from the right hand's side to an eighth of a turn below it."""
        s, wide = self.maker.seam, self.side / ROOT2 + 2 * self.maker.seam
        tip = s + self.maker.diagonal_seam, s
        shape = (ZERO, ZERO), (wide * ROOT2, ZERO), (wide * ROOT2 + wide, wide), (wide, wide)
        dots = [(tip[0] + x, tip[1] + y) for x, y in (_way(0, self.side), _way(1, self.side))]
        pile = self._marked(self._cut(cloth, wide), dots, (0, 1))
        return _Cloth(pile, (_moved(shape, tip, (ZERO, ZERO), 0),))

    def _cut(self, cloth: str, wide: Measure) -> str:
        """Diamonds cut from strips of one cloth: as few strips as do, all alike."""
        plan, first = self.maker.bench.plan, Measure(FIRST_CUT[self.maker.bench.plan.unit])
        number = most_from_strip(plan, cloth, wide)
        needed = self.maker.needed * self.star.diamonds.count(cloth)
        if needed:
            number = -(-needed // -(-needed // number))
        step = wide * ROOT2
        least = first + number * step + wide
        length = max(min(round_up(least, plan.ruler), plan.fabrics[cloth].usable), least)
        maker = self.maker.of_part(DIAMOND, f"{cloth}:{digest(self.maker.making)}", (cloth,))
        starts = [first + step * at for at in range(number + 1)]
        lines = [line(x, 0, x + wide, wide) for x in starts]
        middle = wide / 2
        parts: list[tuple[XY, int, str | None]] = [
            (point(first / 2, middle), 0, None),
            *((point(x + (step + wide) / 2, middle), 0, "") for x in starts[:-1]),
            (point((starts[-1] + wide + length) / 2, ZERO + wide / 8), 0, None),
        ]
        strip = maker.cut(cloth, length, wide)
        return maker.cut_apart(strip, lines, parts, TRIANGLES)[0]

    def _marked(self, pile: str, dots: Sequence[XY], eighths: tuple[int, int]) -> str:
        """Pieces with the dots where their seams end: a cross of two short lines along the edges."""
        reach = self.maker.seam / 2
        lines = [
            line(x - dx, y - dy, x + dx, y + dy)
            for x, y in dots
            for dx, dy in (_way(eighth, reach) for eighth in eighths)
        ]
        own = self.maker.bench.piles[pile]
        return replace(self.maker, making=f"dots:{pile}", unit=own.thing.of, fabrics=own.fabrics).mark_unit(pile, lines)

    # What is set in

    def _triangle(self, eighth: int, cloth: str) -> _Cloth:
        s, d = self.maker.seam, self.maker.diagonal_seam
        long = self.maker.trimmed_later(self.side * ROOT2 + 2 * s + 2 * d, room=2)
        dot = long / 2, long / 2 - d
        pile = self._marked(small_triangles(self.maker.bench, cloth, long), [dot], (1, 7))
        turn = (eighth - 6) % 8 * 45
        shape = (ZERO, ZERO), (long, ZERO), (long / 2, long / 2)
        return _Cloth(pile, (_moved(shape, dot, _way(eighth, self.side), turn),), turn)

    def _square(self, eighth: int, cloth: str) -> _Cloth:
        s = self.maker.seam
        cut = self.maker.trimmed_later(self.side + 2 * s, room=1)
        pile = self._marked(self.maker.cut(cloth, cut), [(s, s)], (0, 2))
        turn = (eighth - 1) % 8 * 45
        return _Cloth(pile, (_moved(rectangle(ZERO, ZERO, cut, cut), (s, s), _way(eighth, self.side), turn),), turn)

    def _with(self, star: _Cloth, pieces: Sequence[tuple[int, str, _Cloth]], within: Round) -> _Cloth:
        """The star with a piece in each of four open corners, pressed."""
        corner, facets = star.corner, star.facets
        sewn: list[DottedPiece] = []
        toward: list[tuple[str, str]] = []
        for eighth, cloth, piece in pieces:
            dot = _way(eighth, self.side)
            ways = (_way(eighth - 1, self.side), _way(eighth + 1, self.side))
            seams = tuple((dot, _end_of(facets, piece.facets, dot, way)) for way in ways)
            sewn.append(_set(piece, corner, seams))
            # Walking outward from the dot, the piece lies right of its first seam and left of its second.
            for diamond, own, other in ((eighth - 1, "right", "left"), (eighth, "left", "right")):
                beside = self.star.diamonds[diamond % 8]
                darker = self.maker.bench.plan.darker(cloth, beside)
                toward.append((own if darker == cloth else other, darker))
            facets = _set_into(facets, piece.facets, seams)
        made = _Cloth(self.maker.sew_to_dots("set in", SewToDots(star.pile, tuple(sewn)), within), facets)
        sides, cloths = zip(*toward, strict=True)
        told = made.size if within is CORNERS_IN else None
        return replace(made, pile=self.maker.press_aside(made.pile, PressAside(sides, cloths), told, within))

    # Sewing

    def _sewn(
        self, own: Maker, base: _Cloth, other: _Cloth, seams: tuple[Segment, ...], within: Round = ONLY
    ) -> _Cloth:
        """A piece sewn to one that lies unturned, anticlockwise of it, along a line: each seam from the middle outward.
        Of two seams it lies clockwise of the last."""
        pile = own.sew_to_dots("sew to dots", SewToDots(base.pile, (_set(other, base.corner, seams),)), within)
        way = Straight.through(*seams[-1])
        kept = (*(split(each, way)[0] for each in base.facets), *(split(each, way)[1] for each in other.facets))
        return _Cloth(pile, tuple(each for each in kept if each is not None))

    def _pressed(self, own: Maker, sewn: _Cloth, cloths: tuple[str, ...], within: Round = ONLY) -> _Cloth:
        """All seams from the middle outward go clockwise."""
        action = PressAside(("right",) * len(cloths), cloths)
        return replace(sewn, pile=own.press_aside(sewn.pile, action, None, within))

    def _tell_sizes(self) -> None:
        """Say how far the diamonds are off the ruler's marks, and which block would have such as it shows."""
        plan = self.maker.bench.plan
        cut = self.side / ROOT2 + 2 * plan.seam
        near = nearest(cut, plan.ruler)
        if abs(cut - near) > SEEN[plan.unit]:
            fits = nearest((near - 2 * plan.seam) * 2 * (1 + ROOT2), plan.ruler)
            self.maker.bench.tell("diamonds off the mark", finished=self.width, cut=cut, near=near, fits=fits)


def _set(piece: _Cloth, corner: XY, seams: tuple[Segment, ...]) -> DottedPiece:
    """A piece as an action has it, in the box of what it is sewn to, whose upper left corner lies there."""
    (x, y), (left, top) = corner, piece.corner
    lying = tuple(((a - x, b - y), (c - x, d - y)) for (a, b), (c, d) in seams)
    return DottedPiece(piece.pile, piece.turn, left - x, top - y, lying)


def _end_of(base: Facets, piece: Facets, dot: XY, way: XY) -> XY:
    """Where both layers end along a seam that begins at a dot and goes that way."""
    along = Straight.through(dot, (dot[0] + way[0], dot[1] + way[1]))
    layers = (merged(span for each in facets if (span := chord(each, along)) is not None) for facets in (base, piece))
    at = along.along(dot)
    return next(along.point_at(high) for low, high in common(*layers) if low <= at < high)


def _set_into(base: Facets, piece: Facets, seams: Sequence[Segment]) -> Facets:
    """What is seen once a piece is set into the corner between two seams, right of the first and left of the other."""
    (dot, first), (_, second) = seams
    wedge: Polygon = dot, *((2 * x - dot[0], 2 * y - dot[1]) for x, y in (first, second))
    for side, line_of in ((1, seams[0]), (0, seams[1])):
        parts = (split(each, Straight.through(*line_of))[side] for each in piece)
        piece = tuple(each for each in parts if each is not None)
    return (*without(base, [wedge]), *piece)


RECIPES = (
    Recipe(STAR, None, fits_star, make_star, always(16), asked="diamonds", ends=ends_of_star, parts=parts_of_star),
)
