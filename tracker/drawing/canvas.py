"""A sheet to draw cloth on: SVG text from exact geometry, in whole drawing units.

A sheet is 1000 units wide and shown about 350 pixels wide on a phone, so a figure 60 units high is still read
there. Everything is told apart by shape as well as by colour: cloth carries its key letters, the back of cloth is
paler and hatched, pencil lines are dashed, stitches dash-dotted. Colours stand in attributes and there are no style
rules, so that a page may forbid inline styles; the sheet brings its own white ground, so that it reads on any page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from hashlib import sha256
from html import escape
from math import floor, isqrt

from tracker.cloth import Facet, Piece, Stack, facets_without
from tracker.geometry import XY, Polygon, Segment
from tracker.measure import Measure, nearest, on_mark, write_length
from tracker.plan import Plan

Spot = tuple[int, int]
"""A place on a sheet, in drawing units."""

WIDTH = 1000
INK = "#1b1b1b"
THREAD = "#a3004f"
STEEL = "#1f5f99"
GREY = "#c8c8c8"
FIGURE = 64
"""Height of dimension figures."""
THICKNESS = 9
"""How far the lower layer of a stack peeps out, so that one sees there are two."""

_HALF = Fraction(1, 2)
_IDS = "@@"


class Sheet:
    """What is drawn so far. `width` is 1000 for a whole drawing, less for a small picture."""

    def __init__(self, plan: Plan, width: int = WIDTH) -> None:
        self.plan = plan
        self.width = width
        self._body: list[str] = []
        self._patterns: dict[str, str] = {}

    def add(self, *parts: str) -> None:
        self._body.extend(parts)

    def finish(self, height: int, title: str) -> str:
        """The drawing as one `svg` element; `title` says in words what is shown."""
        body = "".join(self._patterns.values()) + "".join(self._body)
        # Ids come from what is drawn: two drawings on one page share an id only where they are the same.
        body = body.replace(_IDS, "d" + sha256(body.encode()).hexdigest()[:10])
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 {self.width} {height}" role="img">'
            f"<title>{escape(title)}</title>"
            f'<rect class="card" width="{self.width}" height="{height}" rx="24" fill="#fff"/>{body}</svg>'
        )

    @property
    def body(self) -> str:
        """What is drawn so far, without definitions."""
        return "".join(self._body)

    def define(self, name: str, element: str) -> str:
        """Keep an element in the drawing's definitions; `element` has {id} where its id goes. Returns the id."""
        unique = f"{_IDS}-{name}"
        self._patterns.setdefault(name, "<defs>" + element.replace("{id}", unique) + "</defs>")
        return unique

    # cloth

    def colour(self, fabric: str, side: str) -> str:
        """What fills the cloth's front, or its paler, hatched back."""
        own = self.plan.fabrics[fabric].colour
        if side == "front":
            return own
        hatch = self.define(
            f"back-{fabric}",
            '<pattern id="{id}" width="24" height="24" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            f'<rect width="24" height="24" fill="{_paler(own)}"/>'
            f'<path d="M2 0V24" stroke="#555" stroke-width="3"/></pattern>',
        )
        return f"url(#{hatch})"

    def cloth(self, polygons: Iterable[Sequence[Spot]], fabric: str, side: str = "front") -> None:
        """Areas of one cloth."""
        fill = self.colour(fabric, side)
        edge = f' stroke="{fill}" stroke-width="2"' if side == "front" else ""
        shape = "".join(_closed(polygon) for polygon in polygons)
        self.add(f'<path class="cloth {side}" data-cloth="{fabric}" fill="{fill}"{edge} d="{shape}"/>')

    def letters(self, fabric: str, polygon: Sequence[Spot], avoid: Sequence[tuple[Spot, Spot]] = ()) -> None:
        """The cloth's key inside a convex polygon, off the lines to avoid, as large as fits up to a figure's height."""
        size = self.letter_size(fabric, polygon)
        x, y = _clear_spot(polygon, avoid, size * 3 // 4)
        self.text((x, y), fabric, size, "letter")

    def letter_size(self, letters: str, polygon: Sequence[Spot]) -> int:
        """The height at which letters fit a convex polygon, at most a figure's."""
        radius = inner_radius(polygon)
        return max(min(FIGURE, radius * 12 // 10, radius * 32 // (10 * len(letters))), 20)

    # lines and words

    def line(self, start: Spot, end: Spot, kind: str, colour: str, width: int, dashes: str = "", halo: int = 0) -> None:
        shape = f"M{start[0]} {start[1]}L{end[0]} {end[1]}"
        self.path(shape, kind, colour, width, dashes, halo)

    def path(self, shape: str, kind: str, colour: str, width: int, dashes: str = "", halo: int = 0) -> None:
        if halo:
            self.add(f'<path fill="none" stroke="#fff" stroke-width="{width + halo}" d="{shape}"/>')
        dash = f' stroke-dasharray="{dashes}"' if dashes else ""
        self.add(f'<path class="{kind}" fill="none" stroke="{colour}" stroke-width="{width}"{dash} d="{shape}"/>')

    def text(self, spot: Spot, words: str, size: int = FIGURE, kind: str = "figure", anchor: str = "middle") -> None:
        """Words centred on a spot (or starting or ending there), with a white rim so that they read on any cloth."""
        x, y = spot[0], spot[1] + size * 35 // 100
        self.add(
            f'<text class="{kind}" x="{x}" y="{y}" font-size="{size}" font-weight="700" text-anchor="{anchor}" '
            f'fill="{INK}" stroke="#fff" stroke-width="{max(size // 6, 4)}" stroke-linejoin="round" '
            f'paint-order="stroke">{escape(words)}</text>'
        )

    def ring(self, spot: Spot, radius: int = 17) -> None:
        """A place to line up."""
        self.add(
            f'<circle class="align" cx="{spot[0]}" cy="{spot[1]}" r="{radius}" fill="#fff" fill-opacity="0.6" '
            f'stroke="{STEEL}" stroke-width="7"/>'
        )

    def arrow(self, start: Spot, end: Spot, kind: str = "arrow", width: int = 16, both: bool = False) -> None:
        """A stout arrow with a white rim."""
        shape = _arrow_shape(start, end, width, both)
        self.add(f'<path class="{kind}" fill="{INK}" stroke="#fff" stroke-width="6" paint-order="stroke" d="{shape}"/>')

    def bow(self, start: Spot, over: Spot, end: Spot, kind: str = "flip") -> None:
        """A bent arrow: something is lifted and laid over."""
        self.path(f"M{start[0]} {start[1]}Q{over[0]} {over[1]} {end[0]} {end[1]}", kind, INK, 9, halo=8)
        x, y = away(end, over, -1)
        self.add(f'<path fill="{INK}" stroke="#fff" stroke-width="4" d="{_head((x, y), end, 34)}"/>')

    # dimensions

    def across(self, left: int, right: int, y: int, figure: str) -> None:
        """A dimension line from left to right at height y with its figure in it, or below it where it is short."""
        middle, room = (left + right) // 2, text_width(figure) // 2 + 14
        shape = f"M{left} {y - 18}v36M{right} {y - 18}v36"
        if right - left > 2 * room + 40:
            shape += f"M{left} {y}H{middle - room}M{middle + room} {y}H{right}"
            spot = (middle, y)
        else:
            shape += f"M{left} {y}H{right}"
            half = text_width(figure) // 2 + 8
            spot = (min(max(middle, half), self.width - half), y + 52)
        self.path(shape, "dimension", INK, 5)
        self.text(spot, figure)

    def down(self, top: int, bottom: int, x: int, figure: str, left: bool = False) -> None:
        """A dimension line from top to bottom at x, its figure to the right (or left) of it."""
        self.path(f"M{x - 18} {top}h36M{x - 18} {bottom}h36M{x} {top}V{bottom}", "dimension", INK, 5)
        beside = -18 if left else 18
        self.text((x + beside, (top + bottom) // 2), figure, anchor="end" if left else "start")

    def tag(self, words: str, side: str) -> None:
        """The side of the cloth that is seen, named in the upper left corner beside a swatch of it."""
        fill = INK if side == "front" else "none"
        stripes = "" if side == "front" else "M24 62L66 20M24 41L45 20M45 62L66 41"
        self.add(
            f'<rect x="24" y="20" width="42" height="42" fill="{fill}" fill-opacity="0.35" stroke="{INK}" '
            f'stroke-width="5"/><path d="{stripes}" stroke="{INK}" stroke-width="4"/>'
        )
        self.text((82, 41), words, 46, "side", "start")


@dataclass(frozen=True)
class View:
    """Cloth on a sheet: drawing units for one unit of length, and where the cloth's (0, 0) lies."""

    sheet: Sheet
    scale: Fraction
    left: int
    top: int

    def spot(self, point: XY) -> Spot:
        return self.left + self.whole(point[0]), self.top + self.whole(point[1])

    def whole(self, length: Measure) -> int:
        """A length in drawing units, to the nearest."""
        return floor(length * self.scale + _HALF)

    def shifted(self, dx: int, dy: int) -> View:
        return replace(self, left=self.left + dx, top=self.top + dy)

    def spots(self, polygon: Polygon) -> list[Spot]:
        return [self.spot(corner) for corner in polygon]

    def ends(self, segment: Segment) -> tuple[Spot, Spot]:
        return self.spot(segment[0]), self.spot(segment[1])

    def areas(self, facets: Iterable[Facet], side: str) -> None:
        by_fabric: dict[str, list[list[Spot]]] = {}
        for facet in facets:
            by_fabric.setdefault(facet.fabric, []).append(self.spots(facet.polygon))
        for fabric, polygons in by_fabric.items():
            self.sheet.cloth(polygons, fabric, side)

    def letters(self, facets: Iterable[Facet], avoid: Iterable[Segment] = ()) -> None:
        lines = [self.ends(segment) for segment in avoid]
        for facet in facets:
            self.sheet.letters(facet.fabric, self.spots(facet.polygon), lines)

    def edges(self, piece: Piece) -> None:
        """Seams thin, then the cloth's outline strong."""
        seams = "".join(_stroke(*self.ends(seam.line)) for seam in piece.seams)
        if seams:
            self.sheet.path(seams, "seam", INK, 4)
        outline = "".join(_stroke(*self.ends(edge)) for edge in piece.outline)
        self.sheet.add(
            f'<path class="edge" fill="none" stroke="{INK}" stroke-width="7" stroke-linecap="square" d="{outline}"/>'
        )

    def piece(self, piece: Piece, side: str = "front", avoid: Iterable[Segment] = (), letters: bool = True) -> None:
        """One thickness of cloth, as it is seen."""
        self.areas(piece.facets, side)
        self.edges(piece)
        if letters:
            self.letters(piece.facets, avoid)

    def stack(self, stack: Stack, avoid: Iterable[Segment] = ()) -> None:
        """A base and what lies face down on it, with pencil marks and stitches."""
        under = self.shifted(THICKNESS, THICKNESS)
        under.piece(stack.base, letters=False)
        covers = [polygon for piece in stack.laid for polygon in piece.polygons]
        lines = (*stack.marks, *stack.stitches, *avoid)
        for piece in stack.laid:
            self.piece(piece, "back", letters=False)
        for mark in stack.marks:
            self.pencil(mark)
        for stitch in stack.stitches:
            self.stitches(stitch)
        seen = [facet for facet in facets_without(stack.base.facets, covers) if self._holds_letters(facet)]
        under.letters(seen, lines)
        for piece in stack.laid:
            self.letters(piece.facets, lines)

    def _holds_letters(self, facet: Facet) -> bool:
        return inner_radius(self.spots(facet.polygon)) > 20

    def pencil(self, mark: Segment) -> None:
        self.sheet.line(*self.ends(mark), "pencil", INK, 6, "22 12", halo=4)

    def stitches(self, stitch: Segment) -> None:
        self.sheet.line(*self.ends(stitch), "stitch", THREAD, 8, "26 9 5 9", halo=6)

    def dimensions(self, size: tuple[Measure, Measure], below: int = 50, beside: int = 46, left: bool = False) -> None:
        """Width below and height beside a piece of that size lying at (0, 0)."""
        right, bottom = self.spot(size)
        self.sheet.across(self.left, right, bottom + below, figure(size[0], self.sheet.plan))
        x = self.left - beside if left else right + beside
        self.sheet.down(self.top, bottom, x, figure(size[1], self.sheet.plan), left)


def figure(length: Measure, plan: Plan) -> str:
    """A length as the ruler shows it: `2½`, or `≈2⅝` where it lies off the ruler's mark."""
    if length == plan.seam or on_mark(length, plan.ruler):
        return write_length(length, plan.unit)
    return "≈" + write_length(nearest(length, plan.ruler), plan.unit)


def text_width(words: str, size: int = FIGURE) -> int:
    """About how wide words are drawn; on the safe side."""
    return len(words) * size * 6 // 10


def largest_scale(room: tuple[int, int], size: tuple[Measure, Measure]) -> Fraction:
    """Drawing units for one unit of length so that a size just fits a room; in steps of 1/64, and above 0."""
    steps = min(floor(Measure(64 * room[0]) / size[0]), floor(Measure(64 * room[1]) / size[1]))
    return Fraction(max(steps, 1), 64)


def away(spot: Spot, origin: Spot, distance: int) -> Spot:
    """The spot moved `distance` straight away from an origin."""
    dx, dy = spot[0] - origin[0], spot[1] - origin[1]
    length = max(isqrt(dx * dx + dy * dy), 1)
    return spot[0] + dx * distance // length, spot[1] + dy * distance // length


def between(first: Spot, second: Spot, share: Fraction = _HALF) -> Spot:
    """The spot that share of the way from the first to the second."""
    return first[0] + floor((second[0] - first[0]) * share), first[1] + floor((second[1] - first[1]) * share)


def _stroke(start: Spot, end: Spot) -> str:
    return f"M{start[0]} {start[1]}L{end[0]} {end[1]}"


def _closed(polygon: Sequence[Spot]) -> str:
    return "M" + "L".join(f"{x} {y}" for x, y in polygon) + "Z"


def _paler(colour: str) -> str:
    """The colour mixed with twice as much white."""
    digits = colour.lstrip("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    parts = [int(digits[i : i + 2], 16) for i in (0, 2, 4)]
    return "#" + "".join(f"{(part + 2 * 255) // 3:02x}" for part in parts)


def _head(start: Spot, tip: Spot, size: int) -> str:
    """A solid arrow head at `tip`, pointing there from `start`."""
    dx, dy = tip[0] - start[0], tip[1] - start[1]
    length = max(isqrt(dx * dx + dy * dy), 1)
    back = (tip[0] - dx * size // length, tip[1] - dy * size // length)
    aside = (-dy * size * 6 // (length * 10), dx * size * 6 // (length * 10))
    return _closed([tip, (back[0] + aside[0], back[1] + aside[1]), (back[0] - aside[0], back[1] - aside[1])])


def _arrow_shape(start: Spot, end: Spot, width: int, both: bool) -> str:
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = max(isqrt(dx * dx + dy * dy), 1)
    head = min(width * 5 // 2, length * 2 // 3 if not both else length * 2 // 5)

    def at(along: int, aside: int) -> Spot:
        return start[0] + (dx * along - dy * aside) // length, start[1] + (dy * along + dx * aside) // length

    half, wing = width // 2, width * 3 // 2
    tip = [at(length - head, half), at(length - head, wing), end, at(length - head, -wing), at(length - head, -half)]
    tail = (
        [at(head, -half), at(head, -wing), start, at(head, wing), at(head, half)]
        if both
        else [at(0, -half), at(0, half)]
    )
    return _closed([*tip, *tail])


def _doubled_area(polygon: Sequence[Spot]) -> int:
    return abs(sum(polygon[i - 1][0] * y - x * polygon[i - 1][1] for i, (x, y) in enumerate(polygon)))


def inner_radius(polygon: Sequence[Spot]) -> int:
    """About the radius of the largest circle inside a convex polygon."""
    around = sum(isqrt((x - polygon[i - 1][0]) ** 2 + (y - polygon[i - 1][1]) ** 2) for i, (x, y) in enumerate(polygon))
    return _doubled_area(polygon) // max(around, 1)


def _clear_spot(polygon: Sequence[Spot], avoid: Sequence[tuple[Spot, Spot]], room: int) -> Spot:
    """A place for letters in a convex polygon: its middle, or the best one off the lines to avoid."""
    middle = (sum(x for x, _ in polygon) // len(polygon), sum(y for _, y in polygon) // len(polygon))
    if not avoid:
        return middle
    tried = [middle]
    for i, corner in enumerate(polygon):
        side = between(polygon[i - 1], corner)
        tried += between(middle, corner), between(middle, side, Fraction(3, 5))
    return max(tried, key=lambda spot: min(room, *(_distance(spot, line) for line in avoid)))


def _distance(spot: Spot, line: tuple[Spot, Spot]) -> int:
    (x1, y1), (x2, y2) = line
    length = max(isqrt((x2 - x1) ** 2 + (y2 - y1) ** 2), 1)
    return abs((x2 - x1) * (spot[1] - y1) - (y2 - y1) * (spot[0] - x1)) // length
