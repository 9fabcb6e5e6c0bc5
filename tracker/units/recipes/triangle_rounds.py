"""A round of four triangles sewn to the sides of a square, each of its own cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from tracker.exact.geometry import ZERO
from tracker.exact.measure import ROOT2, Measure
from tracker.units.maker import LEVEL, Maker, Round, line, point
from tracker.units.recipes.attaching import Edge, pressed_toward, triangle
from tracker.units.recipes.nested_pictures import BOTTOM, LEFT, RIGHT, TOP
from tracker.work.steps import Laid, Size
from tracker.work.things import Kind


def triangle_side(maker: Maker, finished: Measure) -> Measure:
    """The side of the squares whose triangles go round a middle of this finished side."""
    return maker.trimmed_later(finished / ROOT2 + 2 * maker.seam + maker.diagonal_seam, room=1)


@dataclass(frozen=True)
class TriangleRound:
    """Four triangles of `cloths` (top, right, bottom, left) sewn to the sides of a piece of this `finished` side, which
    has the cloths of `edges` along them: opposite ones at once where both are pressed the same way. Round what is
    `pieced` all go outward, away from its seams; in the first five reckonings each went to the darker cloth."""

    maker: Maker
    pile: str
    finished: Measure
    edges: Sequence[Edge]
    cloths: Sequence[str]
    pieced: bool = True

    @property
    def base(self) -> Measure:
        """The unfinished side of the piece."""
        return self.finished + 2 * self.maker.seam

    @cached_property
    def side(self) -> Measure:
        """That of the squares that give the triangles."""
        return triangle_side(self.maker, self.finished)

    @property
    def long(self) -> Measure:
        """The long edge of a triangle."""
        return self.side * ROOT2

    @property
    def out(self) -> Measure:
        """How far an opened triangle stands out beyond the piece's edge."""
        return self.side / ROOT2 - 2 * self.maker.seam

    def sewn(self, turn: int) -> tuple[str, Measure]:
        """The pile of what comes of it, turned so, and its side before it is trimmed."""
        # What is made for a unit is written down before the unit itself.
        triangles = [triangle(self.maker.bench, cloth, self.side) for cloth in self.cloths]
        high = self.base + 2 * self.out
        return self._level(triangles, self._upright(triangles), high, turn), high / ROOT2

    def _upright(self, triangles: Sequence[str]) -> str:
        """The upper and the lower triangle sewn on, their ears cut off level with the sides of the piece."""
        s, base, long = self.maker.seam, self.base, self.long
        pile, left, upper, below, wide = self.pile, ZERO, ZERO, base, long - 2 * s
        passes = self._passes((TOP, BOTTOM), self.edges)
        for number, sides in enumerate(passes, 1):
            during = Round(f" once {number}" if len(passes) > 1 else " once", Kind.BEGUN)
            laid, lines = [], []
            for at in sides:
                y = upper if at == TOP else upper + base - self.side / ROOT2
                laid.append((at, 135 if at == TOP else 315, left + (base - long) / 2, y))
                seam = upper + (s if at == TOP else base - s)
                lines.append((left, seam, left + base, seam))
            upper, below = (self.out if TOP in sides else upper), below + self.out * len(sides)
            pile = self._pass(pile, triangles, laid, lines, self.edges, (wide, below), 0, during)
            left = (wide - base) / 2
        return self._without_ears(pile, left, below, wide)

    def _level(self, triangles: Sequence[str], pile: str, high: Measure, turn: int) -> str:
        """The left and the right triangle sewn on, and all of it turned."""
        s, base, long = self.maker.seam, self.base, self.long
        aside = (long - base) / 2
        above, beneath = (self.cloths[TOP], aside), (self.cloths[BOTTOM], aside)
        edges = [(above, *_inner(edge, s), beneath) for edge in self.edges]
        left, across = ZERO, base
        passes = self._passes((LEFT, RIGHT), edges)
        for number, sides in enumerate(passes, 1):
            last = number == len(passes)
            during = Round(" again") if last else Round(" again 1", Kind.BEGUN)
            laid, lines = [], []
            for at in sides:
                x = left if at == LEFT else left + base - self.side / ROOT2
                laid.append((at, 225 if at == LEFT else 45, x, (high - long) / 2))
                seam = left + (s if at == LEFT else base - s)
                # As far as the cloth beneath it reaches along the seam.
                lines.append((seam, (high - long) / 2 + s, seam, (high + long) / 2 - s))
            left, across = (self.out if LEFT in sides else left), across + self.out * len(sides)
            size = (high / ROOT2, high / ROOT2) if last else (across, high)
            pile = self._pass(pile, triangles, laid, lines, edges, size, turn if last else 0, during)
        return pile

    def _passes(self, sides: tuple[int, int], edges: Sequence[Edge]) -> list[tuple[int, ...]]:
        one, other = (self._toward(at, edges) for at in sides)
        return [sides] if one[0] == other[0] else [sides[:1], sides[1:]]

    def _toward(self, at: int, edges: Sequence[Edge]) -> tuple[str, tuple[str, ...]]:
        plan, own = self.maker.bench.plan, ((self.cloths[at], self.long),)
        if self.pieced and plan.reckoning > 5:
            return "laid", (self.cloths[at],)
        return pressed_toward(plan, edges[at], own, "laid")

    def _pass(
        self,
        pile: str,
        triangles: Sequence[str],
        laid: Sequence[tuple[int, int, Measure, Measure]],
        lines: Sequence[tuple[Measure, Measure, Measure, Measure]],
        edges: Sequence[Edge],
        size: Size,
        turn: int,
        during: Round,
    ) -> str:
        """Triangles laid at sides as (side, turn, x, y), sewn along lines and pressed."""
        maker = self.maker
        over_x, over_y = (max(ZERO, *(-each[axis] for each in laid)) for axis in (2, 3))
        pieces = [Laid(triangles[at], turned, x, y) for at, turned, x, y in laid]
        moved = [line(x1 + over_x, y1 + over_y, x2 + over_x, y2 + over_y) for x1, y1, x2, y2 in lines]
        sewn = maker.sew(maker.pair(pile, pieces, None, during), moved, during)
        pressed = [self._toward(at, edges) for at, *_ in laid]
        cloths = tuple(dict.fromkeys(key for _, keys in pressed for key in keys))
        return maker.press(sewn, pressed[0][0], cloths, size, turn=turn, within=during)

    def _without_ears(self, pile: str, left: Measure, high: Measure, wide: Measure) -> str:
        right = left + self.base
        # An ear is a small triangle above the seam, which lies a seam within the middle.
        low, inset = self.out + self.maker.seam - left * 3 / 8, left * 3 / 4
        parts = [
            (point(wide / 2, high / 2), 0, ""),
            (point(inset, low), 0, None),
            (point(wide - inset, low), 0, None),
        ]
        cuts = [line(left, 0, left, high), line(right, 0, right, high)]
        return self.maker.cut_apart(pile, cuts, parts, LEVEL)[0]


def _inner(edge: Edge, seam: Measure) -> Edge:
    """An edge without the allowances at its ends."""
    (first, start), *rest = edge
    if not rest:
        return ((first, start - 2 * seam),)
    last, end = rest[-1]
    return ((first, start - seam), *rest[:-1], (last, end - seam))
