"""A sheet to draw on: SVG text in whole drawing units.

A sheet is 1000 units wide and shown about 350 pixels wide on a phone, so a figure 64 units high is still read
there. Everything is told apart by shape as well as by colour: cloth carries its key letters, the back of cloth is
paler and hatched, pencil lines are dashed, stitches dash-dotted. Colours stand in attributes and there are no style
rules, so that a page may forbid inline styles; the sheet brings its own white ground, so that it reads on any page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256
from html import escape
from math import isqrt

from tracker.plan.model import Plan

Spot = tuple[int, int]
"""A place on a sheet, in drawing units."""
Stretch = tuple[Spot, Spot]
"""A straight line on a sheet, from one spot to another."""
Lettered = tuple[str, Spot, int]
"""A cloth's key, the spot it is written on, and its height."""

WIDTH = 1000
FIGURE = 64
"""Height of dimension figures."""
INK = "#1b1b1b"
THREAD = "#a3004f"
STEEL = "#1f5f99"
GREY = "#c8c8c8"

_BROAD, _OBLONG = 17, 13
"""From how many tenths of its height on a drawing's width makes it broad, which pages give the whole line, or oblong,
which gets it where the page is high."""

_IDS = "@@"


class Sheet:
    """What is drawn so far. `width` is 1000 for a whole drawing, less for a small picture."""

    def __init__(self, plan: Plan, width: int = WIDTH) -> None:
        self.plan = plan
        self.width = width
        self._body: list[str] = []
        self._definitions: dict[str, str] = {}

    @property
    def body(self) -> str:
        """What is drawn so far, without definitions."""
        return "".join(self._body)

    def add(self, *parts: str) -> None:
        self._body.extend(parts)

    def define(self, name: str, element: str) -> str:
        """Keep an element in the drawing's definitions; `element` has {id} where its id goes. Returns the id."""
        unique = f"{_IDS}-{name}"
        self._definitions.setdefault(name, element.replace("{id}", unique))
        return unique

    @property
    def defined(self) -> int:
        """How many signs the definitions take."""
        return sum(map(len, self._definitions.values()))

    def finish(self, height: int, title: str, role: str = "img", wide: str = "") -> str:
        """The drawing as one `svg` element; `title` says in words what is shown.

        The `role` of a drawing with links in it is "group"; `wide` is how wide it is shown, else as wide as its room.
        """
        definitions = "".join(self._definitions.values())
        body = (f"<defs>{definitions}</defs>" if definitions else "") + self.body
        # Ids come from what is drawn: two drawings on one page share an id only where they are the same.
        body = body.replace(_IDS, "d" + sha256(body.encode()).hexdigest()[:10])
        shape = "".join(
            f" {name}" for name, tenths in (("broad", _BROAD), ("oblong", _OBLONG)) if 10 * self.width > tenths * height
        )
        size = f'viewBox="0 0 {self.width} {height}"' + (f' width="{wide}"' if wide else "")
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing{shape}" {size} role="{role}">'
            f"<title>{escape(title)}</title>"
            f'<rect class="card" width="{self.width}" height="{height}" rx="24" fill="#fff"/>{body}</svg>'
        )

    # cloth

    def colour(self, fabric: str, side: str) -> str:
        """What fills the cloth's front, or its paler, hatched back."""
        own = self.plan.fabrics[fabric].colour
        if side == "front":
            return own
        hatch = self.define(
            f"back-{fabric}",
            '<pattern id="{id}" width="24" height="24" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            f'<rect width="24" height="24" fill="{_paler(own)}"/><path d="M2 0V24" stroke="#555" stroke-width="3"/>'
            "</pattern>",
        )
        return f"url(#{hatch})"

    def cloth(self, polygons: Iterable[Sequence[Spot]], fabric: str, side: str = "front") -> None:
        """Areas of one cloth."""
        fill = self.colour(fabric, side)
        edge = f' stroke="{fill}" stroke-width="2"' if side == "front" else ""
        shape = "".join(closed(polygon) for polygon in polygons)
        self.add(f'<path class="cloth {side}" data-cloth="{fabric}" fill="{fill}"{edge} d="{shape}"/>')

    def peaks(self, polygons: Iterable[Sequence[Spot]], way: int) -> None:
        """Rows of small peaks on areas of cloth with a direction, its upper end `way` degrees clockwise from upward;
        bolder where the cloth lies turned."""
        wide = 6 if way else 3
        peak = '<path d="M17 33L25 19L33 33" fill="none" stroke="{}" stroke-width="{}"/>'
        drawn = peak.format("#fff", wide + 5) + peak.format(INK, wide)
        name = self.define(
            f"peaks-{way}",
            '<pattern id="{id}" width="50" height="50" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate({way})">{drawn}</pattern>',
        )
        self.add(f'<path class="peaks" fill="url(#{name})" d="{"".join(closed(polygon) for polygon in polygons)}"/>')

    def letters(self, letters: Iterable[Lettered], kind: str = "letters") -> None:
        """Keys of cloths (or numbers of blocks), dark with a white rim so that they read on any cloth."""
        words = "".join(
            f'<text x="{x}" y="{y + size * 35 // 100}" font-size="{size}">{fabric}</text>'
            for fabric, (x, y), size in letters
        )
        if words:
            self.add(
                f'<g class="{kind}" font-weight="700" text-anchor="middle" fill="{INK}" stroke="#fff" '
                f'stroke-width="9" stroke-linejoin="round" paint-order="stroke">{words}</g>'
            )

    # lines and words

    def line(self, stretch: Stretch, kind: str, colour: str, width: int, dashes: str = "", halo: int = 0) -> None:
        self.path(stroke(stretch), kind, colour, width, dashes, halo)

    def path(self, shape: str, kind: str, colour: str, width: int, dashes: str = "", halo: int = 0) -> None:
        """A line of any shape; with `halo`, on a white rim that much wider."""
        if halo:
            self.add(f'<path fill="none" stroke="#fff" stroke-width="{width + halo}" d="{shape}"/>')
        dash = f' stroke-dasharray="{dashes}"' if dashes else ""
        self.add(f'<path class="{kind}" fill="none" stroke="{colour}" stroke-width="{width}"{dash} d="{shape}"/>')

    def text(self, spot: Spot, words: str, size: int = FIGURE, kind: str = "figure", anchor: str = "middle") -> None:
        """Words centred on a spot (or starting or ending there)."""
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

    def arrow(self, stretch: Stretch, kind: str = "arrow", width: int = 16, both: bool = False) -> None:
        """A stout arrow with a white rim; with `both`, a head at each end."""
        self.arrows([arrow_shape(stretch, width, both)], kind)

    def arrows(self, shapes: Iterable[str], kind: str = "arrow") -> None:
        """Arrows of one kind in one element; each shape is closed."""
        shape = "".join(shapes)
        if not shape:
            return
        self.add(f'<path class="{kind}" fill="{INK}" stroke="#fff" stroke-width="6" paint-order="stroke" d="{shape}"/>')

    def bow(self, start: Spot, over: Spot, end: Spot) -> None:
        """A bent arrow: something is lifted and laid over."""
        (x1, y1), (x2, y2) = start, end
        size = max(min(44, isqrt((x2 - x1) ** 2 + (y2 - y1) ** 2) // 2), 20)
        near = away(end, over, -size * 6 // 10)
        self.path(f"M{start[0]} {start[1]}Q{over[0]} {over[1]} {near[0]} {near[1]}", "flip", INK, 10, halo=8)
        head = _head(over, end, size)
        self.add(f'<path fill="{INK}" stroke="#fff" stroke-width="6" paint-order="stroke" d="{head}"/>')

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

    def tag(self) -> None:
        """Says in the upper left corner that the back of the cloth is seen, beside a swatch of it."""
        self.add(
            f'<g class="tag" stroke="{INK}"><rect x="24" y="20" width="42" height="42" fill="none" stroke-width="5"/>'
            '<path d="M24 62L66 20M24 41L45 20M45 62L66 41" stroke-width="4"/></g>'
        )
        self.text((82, 41), "back", 46, "side", "start")


# Spots and shapes


def text_width(words: str, size: int = FIGURE) -> int:
    """About how wide words are drawn; on the safe side. Fractions in one sign, `≈` and the like are wide."""
    return sum(6 if sign.isascii() else 10 for sign in words) * size // 10


def away(spot: Spot, origin: Spot, distance: int) -> Spot:
    """The spot moved `distance` straight away from an origin (toward it, where that is negative)."""
    dx, dy = spot[0] - origin[0], spot[1] - origin[1]
    length = max(isqrt(dx * dx + dy * dy), 1)
    return spot[0] + dx * distance // length, spot[1] + dy * distance // length


def between(first: Spot, second: Spot, over: int = 1, under: int = 2) -> Spot:
    """The spot over/under of the way from the first to the second."""
    return first[0] + (second[0] - first[0]) * over // under, first[1] + (second[1] - first[1]) * over // under


def stroke(stretch: Stretch) -> str:
    """SVG path commands for one straight stretch."""
    (x1, y1), (x2, y2) = stretch
    return f"M{x1} {y1}" + (f"H{x2}" if y1 == y2 else f"V{y2}" if x1 == x2 else f"L{x2} {y2}")


def closed(polygon: Sequence[Spot]) -> str:
    """SVG path commands for the outline of a polygon."""
    return "M" + " ".join(f"{x} {y}" for x, y in polygon) + "Z"


def inner_radius(polygon: Sequence[Spot]) -> int:
    """About the radius of the largest circle inside a convex polygon."""
    doubled = abs(sum(polygon[i - 1][0] * y - x * polygon[i - 1][1] for i, (x, y) in enumerate(polygon)))
    around = sum(isqrt((x - polygon[i - 1][0]) ** 2 + (y - polygon[i - 1][1]) ** 2) for i, (x, y) in enumerate(polygon))
    return doubled // max(around, 1)


def letter_size(letters: str, polygon: Sequence[Spot]) -> int:
    """The height at which letters fit a convex polygon: at most a figure's, and never so small as to be unreadable."""
    radius = inner_radius(polygon)
    return max(min(FIGURE, radius * 12 // 10, radius * 32 // (10 * len(letters))), 20)


def clear_spot(polygon: Sequence[Spot], avoid: Sequence[Stretch], room: int) -> Spot:
    """A place for letters in a convex polygon: its middle, or the best one off the lines to avoid."""
    middle = (sum(x for x, _ in polygon) // len(polygon), sum(y for _, y in polygon) // len(polygon))
    near = [line for line in avoid if _boxes_meet(line, polygon)]
    if all(_distance(middle, line) >= room for line in near):
        return middle
    tried = [middle]
    sides = [(polygon[i - 1], corner) for i, corner in enumerate(polygon)]
    for first, second in sides:
        for tenths in (3, 5):
            tried += between(middle, second, tenths, 10), between(middle, between(first, second), tenths, 10)

    def clearance(spot: Spot) -> int:
        return 2 * min(room, *(_distance(spot, line) for line in near)) + min(
            room, *(_distance(spot, side) for side in sides)
        )

    return max(tried, key=clearance)


def _boxes_meet(line: Stretch, polygon: Sequence[Spot]) -> bool:
    return all(
        min(end[axis] for end in line) <= max(corner[axis] for corner in polygon)
        and max(end[axis] for end in line) >= min(corner[axis] for corner in polygon)
        for axis in (0, 1)
    )


def _distance(spot: Spot, line: Stretch) -> int:
    (x1, y1), (x2, y2) = line
    dx, dy = x2 - x1, y2 - y1
    squared = max(dx * dx + dy * dy, 1)
    along = min(max((spot[0] - x1) * dx + (spot[1] - y1) * dy, 0), squared)
    x, y = x1 + dx * along // squared, y1 + dy * along // squared
    return isqrt((spot[0] - x) ** 2 + (spot[1] - y) ** 2)


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
    return closed([tip, (back[0] + aside[0], back[1] + aside[1]), (back[0] - aside[0], back[1] - aside[1])])


def arrow_shape(stretch: Stretch, width: int, both: bool = False) -> str:
    """The outline of an arrow: its tip first, then its wings and neck, then its tail (or its other head)."""
    start, end = stretch
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = max(isqrt(dx * dx + dy * dy), 1)
    head = min(width * 5 // 2, length * (2 if both else 3) // 5)

    def at(along: int, aside: int) -> Spot:
        return start[0] + (dx * along - dy * aside) // length, start[1] + (dy * along + dx * aside) // length

    half, wing, neck = width // 2, width * 3 // 2, length - head
    tip = [end, at(neck, -wing), at(neck, -half)]
    tail = [at(head, -half), at(head, -wing), start, at(head, wing), at(head, half)]
    return closed([*tip, *(tail if both else [at(0, -half), at(0, half)]), at(neck, half), at(neck, wing)])
