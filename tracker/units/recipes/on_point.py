"""Patches on their points in a square block: sewn upright in rows and parts, edge triangles too, and trimmed on point.

A patch of finished side p is cut p + 2s; a triangle at the block's edge comes from a square cut twice, one that fills
its corner from a square cut once, so that no bias lies on the edge. All are a little large and trimmed with the whole
block, s beyond the points. Parts that are alike are made together, whichever way they lie.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from tracker.exact.geometry import (
    XY,
    ZERO,
    Box,
    Polygon,
    Span,
    Straight,
    box,
    chord,
    common,
    merged,
    rectangle,
    split,
    turned,
)
from tracker.exact.measure import ROOT2, Measure, nearest
from tracker.plan.model import Plan
from tracker.units.maker import ONLY, Maker, Round, numbered, token
from tracker.units.recipes.attaching import Edge, SewnCloth, sewn_on, triangle
from tracker.units.recipes.loose_triangles import small_triangles
from tracker.units.recipes.on_point_pictures import Upright, cheapest, parts_of, upright_of
from tracker.units.recipes.recipe import Recipe
from tracker.units.region import Region
from tracker.work.things import ON_POINT, PART_ON_POINT

SEEN = {"in": Fraction(1, 64), "cm": Fraction(1, 20)}
"""How far a patch may be off the ruler's mark before it is worth a word."""

Facets = tuple[tuple[str, Polygon], ...]
"""Cloths, and where each is seen."""


def fits_on_point(region: Region, plan: Plan) -> bool:
    """Patches on their points, in the one of its rotations that comes first."""
    return region.comes_first and upright_of(region) is not None


def patches_on_point(region: Region) -> int:
    """How many patches show."""
    found = upright_of(region)
    return (cheapest(found)[0] or 0) if found else 0


def inner_on_point(region: Region, plan: Plan) -> tuple[Region, ...]:
    """The units among the patches, each as often as it takes it."""
    found = upright_of(region)
    return () if found is None else tuple(unit.region(_side(region)) for unit in _units_in(found))


def _units_in(part: Upright) -> Iterator[Upright]:
    if part.is_patch:
        return
    if part.is_unit:
        yield part
        return
    for piece, _ in parts_of(part)[1]:
        yield from _units_in(piece.least[0])


def _side(region: Region) -> Measure:
    """The finished side of a patch: the picture's cells are half its diagonal."""
    return region.columns[0] * ROOT2


def make_on_point(maker: Maker, region: Region) -> tuple[str, ...]:
    """All parts sewn to one, turned on its point, and trimmed."""
    whole = upright_of(region)
    assert whole is not None
    making = _Making(maker, _side(region))
    making.tell_sizes(region)
    sewn = making.sewn(whole, maker)
    # Upright the whole is as wide as its diagonal, and the block's middle lies in its middle.
    across, down = Measure(whole.across) * making.patch / 2, Measure(whole.down) * making.patch / 2
    points = [turned(corner, 45) for _, polygon in sewn.facets for corner in polygon]
    left, top, _, _ = box(points)
    x, y = turned((across, down), 45)
    unfinished = region.finished[0] + 2 * maker.seam
    return (maker.trim(sewn.cloth.pile, unfinished, unfinished, (x - left, y - top)),)


@dataclass(frozen=True)
class _Sewn:
    """A part as it lies: its pile and turn, and what is seen of it, from where its finished upper left corner lies."""

    cloth: SewnCloth
    facets: Facets

    @property
    def bounds(self) -> Box:
        return box(corner for _, polygon in self.facets for corner in polygon)

    def moved(self, x: Measure, y: Measure) -> _Sewn:
        moved = tuple((cloth, tuple((a + x, b + y) for a, b in polygon)) for cloth, polygon in self.facets)
        return replace(self, facets=moved)


def _turned(facets: Facets, size: tuple[Measure, Measure], turn: int) -> Facets:
    """What is seen of a part of that size, turned clockwise by quarters."""
    across, down = size
    for _ in range(turn // 90):
        facets = tuple((cloth, tuple((down - y, x) for x, y in polygon)) for cloth, polygon in facets)
        across, down = down, across
    return facets


def _sewn(pile: str, turn: int, facets: Facets) -> _Sewn:
    left, top, right, bottom = box(corner for _, polygon in facets for corner in polygon)
    return _Sewn(SewnCloth(pile, turn % 360, (right - left, bottom - top)), facets)


@dataclass(frozen=True)
class _Making:
    """Sews parts of patches that finish as wide as `patch`."""

    maker: Maker
    patch: Measure

    def sewn(self, part: Upright, last: Maker | None = None) -> _Sewn:
        """A part as it lies; the last one is the whole block, which is turned on its point when it is pressed."""
        if last is not None:
            return self._made(part, last, 45)
        least, turn = part.least
        made = self._piece(least) if least.is_patch or least.is_unit else self._made(least, self._own(least), 0)
        facets = _turned(made.facets, (least.across * self.patch, least.down * self.patch), turn)
        return _sewn(made.cloth.pile, made.cloth.turn + turn, facets)

    def _own(self, part: Upright) -> Maker:
        return self.maker.of_part(PART_ON_POINT, f"{part.text}@{token(self.patch)}", part.cloths)

    def _made(self, part: Upright, own: Maker, then: int) -> _Sewn:
        """Its pieces sewn to each other, from the middle outward."""
        way, pieces, lines = parts_of(part)
        lying = [self.sewn(piece).moved(x * self.patch, y * self.patch) for piece, (x, y) in pieces]
        whole_ones = [at for at, (piece, _) in enumerate(pieces) if not (piece.is_patch and len(piece.shape) == 3)]
        middle = min(whole_ones or range(len(pieces)), key=lambda at: abs(2 * at + 1 - len(pieces)))
        low, high, whole = middle, middle, lying[middle]
        count = len(lying) - 1
        for number in range(1, count + 1):
            # What is fewer patches away from the middle comes first.
            before = low > 0 and (high == count or middle - low <= high - middle)
            low, high = (low - 1, high) if before else (low, high + 1)
            laid, at = lying[low if before else high], lines[low if before else high - 1] * self.patch
            during = numbered(number, count)
            whole = self._joined(own, whole, laid, way, at, before, during, then if during == ONLY else 0)
        return whole

    def _joined(
        self, own: Maker, base: _Sewn, laid: _Sewn, way: str, at: Measure, before: bool, during: Round, then: int
    ) -> _Sewn:
        """A piece laid on a base along the line `at`, on its left or upper side if `before`, sewn and opened."""
        (left, top, _, _), (x1, y1, x2, y2) = base.bounds, laid.bounds
        if way == "across":
            corner, turn, line = (2 * at - x2, y1), laid.cloth.turn, Straight(Measure(1), ZERO, at)
        else:
            corner, turn, line = (x1, 2 * at - y2), laid.cloth.turn + 180, Straight(ZERO, Measure(1), at)
        span = _shared(base.facets, laid.facets, line)
        ends = line.point_at(span[0]), line.point_at(span[1])
        along = _along(base.facets, line, span), _along(laid.facets, line, span)
        line = line.turned_about() if before else line
        kept = (*_beyond(base.facets, line.turned_about()), *_beyond(laid.facets, line))
        opened = _sewn("", 0, kept)
        size = opened.cloth.size if not then else _box_size(turned(c, then) for _, each in kept for c in each)
        cloth = sewn_on(
            own,
            base.cloth,
            SewnCloth(laid.cloth.pile, turn % 360, laid.cloth.size),
            (corner[0] - left, corner[1] - top),
            ((ends[0][0] - left, ends[0][1] - top), (ends[1][0] - left, ends[1][1] - top)),
            along,
            size,
            during=during,
            then=then,
        )
        return _Sewn(SewnCloth(cloth.pile, 0, opened.cloth.size), kept)

    # Pieces as they are cut

    def _piece(self, part: Upright) -> _Sewn:
        if part.is_unit:
            pile, turn = self.maker.units[part.region(self.patch)]
            return _sewn(pile, turn, self._unit_facets(part))
        (cloth,) = part.cloths
        if len(part.shape) == 3:
            return self._triangle(part, cloth)
        s, across, down = self.maker.seam, part.across * self.patch, part.down * self.patch
        pile = self.maker.cut(cloth, across + 2 * s, down + 2 * s)
        # Cloth lies with its longer side across.
        return _sewn(pile, 90 if down > across else 0, ((cloth, rectangle(-s, -s, across + s, down + s)),))

    def _unit_facets(self, part: Upright) -> Facets:
        s, side = self.maker.seam, self.patch
        if part.across == part.down:
            corners = rectangle(-s, -s, side + s, side + s)
            middle = side / 2, side / 2
            quarters = enumerate(part.cells[0][0])
            return tuple((cloth, (corners[at], corners[(at + 1) % 4], middle)) for at, cloth in quarters)
        # The goose as it points up; then as it lies.
        way, turn = part, 0
        while way.down != 1 or way.cells[0][0][1] != way.cells[0][1][3] or way.cells[0][0][1] == way.cells[0][0][0]:
            way, turn = way.turned(), turn + 90
        (sky, goose, _, _), (other, _, _, _) = way.cells[0]
        tip = side, ZERO
        facets: Facets = (
            (sky, ((-s, -s), (side, -s), tip, (-s, side + s))),
            (goose, (tip, (2 * side + s, side + s), (-s, side + s))),
            (other, ((side, -s), (2 * side + s, -s), (2 * side + s, side + s), tip)),
        )
        return _turned(facets, (2 * side, side), (360 - turn) % 360)

    def _triangle(self, part: Upright, cloth: str) -> _Sewn:
        """A triangle at the block's edge, or one that fills its corner: its long edge then lies level or upright."""
        s, d = self.maker.seam, self.maker.diagonal_seam
        corners = [(x * self.patch, y * self.patch) for x, y in part.shape]
        left, top, right, bottom = box(corners)
        legs = {corner for corner in corners if corner[0] in (left, right) and corner[1] in (top, bottom)}
        if len(legs) == 3:
            side = self._short_eared((right - left) * ROOT2 + 2 * s + 2 * d, room=2)
            # They lie with their short edges level and upright, as they are sewn.
            pile, legs_long = small_triangles(self.maker.bench, cloth, side, 45), side / ROOT2
            own = (ZERO, ZERO), (legs_long, legs_long), (ZERO, legs_long)
        else:
            side = self._short_eared(max(right - left, bottom - top) / ROOT2 + 2 * s + d, room=1)
            pile = triangle(self.maker.bench, cloth, side)
            own = (ZERO, ZERO), (side, ZERO), (side, side)
        for turn in range(0, 360, 45):
            lies = tuple(turned(corner, turn) for corner in own)
            found = _fitted(lies, corners, s)
            if found is not None:
                return _sewn(pile, turn, ((cloth, found),))
        raise AssertionError(part.text)

    def _short_eared(self, least: Measure, room: int) -> Measure:
        """The side of a square that triangles are cut from: a little large, but so that its dog-ears stand out behind a
        seam by less than twice its width, which matters where that is narrow."""
        ruler = self.maker.bench.plan.ruler
        most = ruler * ((least + (3 * ROOT2 - 2) * self.maker.seam) / ruler).__floor__()
        return max(least, min(self.maker.trimmed_later(least, room), most))

    def tell_sizes(self, region: Region) -> None:
        """Say how far the patches are off the ruler's marks, and which block would have such as it shows."""
        plan, finished = self.maker.bench.plan, region.finished[0]
        cut = self.patch + 2 * self.maker.seam
        near = max(nearest(cut, plan.ruler), plan.ruler + 2 * self.maker.seam)
        if abs(cut - near) <= SEEN[plan.unit]:
            return
        fits = nearest(finished / self.patch * (near - 2 * self.maker.seam), plan.ruler)
        self.maker.bench.tell("patches on point", finished=finished, cut=cut, near=near, fits=fits)


def _fitted(lies: Polygon, corners: list[XY], seam: Measure) -> Polygon | None:
    """A triangle moved to where a finished one lies, a seam beyond the edges that are sewn; None where it is turned
    otherwise."""
    finished, own = _right_angle(corners), _right_angle(lies)
    if [_way(finished[0], each) for each in finished[1:]] != [_way(own[0], each) for each in own[1:]]:
        return None
    (x, y), ways = finished[0], [_way(finished[0], each) for each in finished[1:]]
    if all(0 in way for way in ways):
        # Its short edges are sewn: the right angle lies a seam beyond both.
        out_x, out_y = (sum(way[axis] for way in ways) for axis in (0, 1))
        to = x - out_x * seam, y - out_y * seam
        return tuple((a - own[0][0] + to[0], b - own[0][1] + to[1]) for a, b in lies)
    # Its long edge is sewn: centred on it, a seam beyond.
    middles = [((b[0] + c[0]) / 2, (b[1] + c[1]) / 2) for _, b, c in (finished, own)]
    out_x, out_y = (sum(way[axis] for way in ways) // 2 for axis in (0, 1))
    dx, dy = middles[0][0] - middles[1][0] + out_x * seam, middles[0][1] - middles[1][1] + out_y * seam
    return tuple((a + dx, b + dy) for a, b in lies)


def _right_angle(corners: Iterable[XY]) -> tuple[XY, XY, XY]:
    """A triangle's corners, that at its right angle first, clockwise."""
    a, b, c = corners
    for one, two, three in ((a, b, c), (b, c, a), (c, a, b)):
        inward = (two[0] - one[0]) * (three[0] - one[0]) + (two[1] - one[1]) * (three[1] - one[1])
        if inward == 0:
            return one, two, three
    raise AssertionError("no right angle")


def _way(start: XY, end: XY) -> tuple[int, int]:
    """In which direction an end lies, by signs."""
    return (end[0] - start[0]).sign(), (end[1] - start[1]).sign()


def _box_size(points: Iterable[XY]) -> XY:
    left, top, right, bottom = box(points)
    return right - left, bottom - top


def _spans(facets: Facets, line: Straight) -> list[tuple[str, Span]]:
    return [(cloth, span) for cloth, polygon in facets if (span := chord(polygon, line)) is not None]


def _shared(base: Facets, laid: Facets, line: Straight) -> Span:
    """How far both lie along a line."""
    (span,) = common(*(merged(span for _, span in _spans(facets, line)) for facets in (base, laid)))
    return span


def _along(facets: Facets, line: Straight, span: Span) -> Edge:
    """The cloths along a line, and how far through each."""
    found: Counter[str] = Counter()
    lengths: dict[str, Measure] = {}
    for cloth in dict.fromkeys(cloth for cloth, _ in facets):
        own = merged(each for key, each in _spans(facets, line) if key == cloth)
        for low, high in common(own, [span]):
            lengths[cloth] = lengths.get(cloth, ZERO) + high - low
            found[cloth] += 1
    return tuple(lengths.items())


def _beyond(facets: Facets, line: Straight) -> Facets:
    """What of facets lies ahead of a line."""
    return tuple((cloth, kept) for cloth, polygon in facets if (kept := split(polygon, line)[1]) is not None)


RECIPES = (
    Recipe(ON_POINT, None, fits_on_point, make_on_point, patches_on_point, asked="on point", inner=inner_on_point),
)
