"""Step lists written by hand, for tests of the sewing: each call adds a step and returns the pile it gives to."""

from __future__ import annotations

import re
from fractions import Fraction

from shapely import Polygon as Shape
from shapely import union_all

from tracker.cloth.pieces import Content, Piece
from tracker.cloth.sewing import Trace, sew
from tracker.exact.geometry import XY, Polygon, Segment
from tracker.exact.measure import ROOT2, Measure, Number, exact
from tracker.exact.roots import Rooted
from tracker.work.partial_seams import BeginSeam
from tracker.work.pressed import SeamPress
from tracker.work.steps import (
    About,
    Action,
    AddStrips,
    Cut,
    CutApart,
    Flow,
    Join,
    Laid,
    LayOut,
    Mark,
    Pair,
    Part,
    Pile,
    Pin,
    Place,
    Press,
    PressSeams,
    Sew,
    Step,
    Topic,
    Trim,
)
from tracker.work.things import Kind, Stage, Thing, in_lines, unit_at

QUARTER = Measure(Fraction(1, 4))
R = ROOT2


def at(x: Number, y: Number) -> XY:
    return exact(x), exact(y)


def line(x1: Number, y1: Number, x2: Number, y2: Number) -> Segment:
    return at(x1, y1), at(x2, y2)


def beside(middle: Segment, away: Number) -> Segment:
    """The line shifted `away` to the right, for the pairs of seams at a diagonal."""
    (x1, y1), (x2, y2) = middle
    return line(x1 + away, y1, x2 + away, y2)


def called(name: str) -> Thing:
    """The part of a block with this name: r2c3, row 2, column 1; anything else has no place in a block."""
    if cell := re.fullmatch(r"r(\d+)c(\d+)", name):
        return unit_at(int(cell[1]), int(cell[2]))
    if line_of := re.fullmatch(r"(row|column) (\d+)", name):
        return in_lines(("down" if line_of[1] == "row" else "across", int(line_of[2])))
    return Thing(Kind.UNIT, of=name)


class Table:
    """A step list being written. `seam` is the seam that `sew` is told of."""

    def __init__(self, seam: Number = QUARTER) -> None:
        self.seam = exact(seam)
        self.piles: dict[str, Pile] = {}
        self.steps: list[Step] = []

    def step(self, operation: str, takes: dict[str, int], gives: dict[str, int], action: Action) -> str:
        for pile in gives:
            self.piles.setdefault(pile, Pile(pile, Thing(Kind.UNIT, of="piece"), Stage.CUT, ()))
        taken, given = ([Flow(pile, each) for pile, each in side.items()] for side in (takes, gives))
        step_id = f"{operation}:{next(iter(gives))}"
        step = Step(step_id, operation, 1, "quilt", tuple(taken), tuple(given), None, action, Topic(About.UNIT))
        self.steps.append(step)
        return next(iter(gives))

    def cut(self, fabric: str, width: Number, height: Number | None = None, name: str | None = None) -> str:
        size = exact(width), exact(width if height is None else height)
        return self.step("cut", {}, {name or f"{fabric} patch": 1}, Cut(fabric, *size))

    def mark(self, pile: str, *lines: Segment) -> str:
        return self.step("mark", {pile: 1}, {f"{pile} marked": 1}, Mark(lines))

    def pair(self, base: str, *laid: tuple[str, int, Number, Number]) -> str:
        takes = {base: 1}
        for pile, *_ in laid:
            takes[pile] = takes.get(pile, 0) + 1
        pieces = tuple(Laid(pile, turn, exact(x), exact(y)) for pile, turn, x, y in laid)
        return self.step("pair", takes, {f"{base} paired": 1}, Pair(base, pieces))

    def sew(self, pile: str, *lines: Segment) -> str:
        return self.step("sew", {pile: 1}, {f"{pile} sewn": 1}, Sew(lines))

    def apart(self, pile: str, lines: list[Segment], *parts: tuple[XY, int, str | None]) -> str:
        gives: dict[str, int] = {}
        for _, _, name in parts:
            if name is not None:
                gives[name] = gives.get(name, 0) + 1
        action = CutApart(tuple(lines), tuple(Part(*part) for part in parts))
        return self.step("cut apart", {pile: 1}, gives, action)

    def press(self, pile: str, toward: str = "base", turn: int = 0) -> str:
        return self.step("press", {pile: 1}, {f"{pile} pressed": 1}, Press(toward, turn))

    def trim(self, pile: str, width: Number, height: Number, centre: XY, name: str | None = None) -> str:
        action = Trim(exact(width), exact(height), centre)
        return self.step("trim", {pile: 1}, {name or f"{pile} trimmed": 1}, action)

    def lay_out(self, *places: tuple[str, int, str, int, int]) -> None:
        takes: dict[str, int] = {}
        for pile, *_ in places:
            takes[pile] = takes.get(pile, 0) + 1
        gives = {group: 1 for _, _, group, _, _ in places}
        self.step("lay out", takes, gives, LayOut(tuple(Place(*place) for place in places)))

    def pin(self, first: str, second: str) -> str:
        takes = {first: 2} if first == second else {first: 1, second: 1}
        return self.step("pin", takes, {f"{first}+{second}": 1}, Pin(first, second))

    def join(self, direction: str, *groups: str) -> str:
        gives = {f"{group} joined": 1 for group in groups}
        return self.step("join", dict.fromkeys(groups, 1), gives, Join(direction))

    def press_seams(self, pile: str, *seams: tuple[str, str, str]) -> str:
        """Each seam between two parts by name, and the one (or "open") that it goes to."""
        orders = tuple(
            SeamPress((called(first), called(second)), None if toward == "open" else called(toward))
            for first, second, toward in seams
        )
        return self.step("press", {pile: 1}, {f"{pile} pressed": 1}, PressSeams((orders,)))

    def add_strips(self, base: str, strip: str, edges: str) -> str:
        takes = {base: 1, strip: 2}
        return self.step("add strip", takes, {f"{base} {edges}": 1}, AddStrips(base, strip, edges))

    def begin_seam(self, base: str, arm: str, level: str, sewn: Number) -> str:
        return self.step("begin seam", {base: 1, arm: 1}, {"begun": 1}, BeginSeam(base, arm, level, exact(sewn)))

    def trace(self) -> Trace:
        return sew(self.piles, self.steps, self.seam)

    def sewn(self) -> Trace:
        """The trace of steps that must all be possible."""
        trace = self.trace()
        assert trace.fault is None, trace.fault.sentence()
        return trace

    def piece(self, pile: str) -> Piece:
        """What lies on a pile when all is done."""
        content = self.sewn().lying[pile]
        assert isinstance(content, Piece)
        return content


def number(value: Measure) -> float:
    """For the reference library only: nothing else here computes with floats."""
    terms = value.terms if isinstance(value, Rooted) else ((1, value.rational), (2, value.root))
    return sum(float(times) * root**0.5 for root, times in terms)


def shape(polygon: Polygon) -> Shape:
    return Shape([(number(x), number(y)) for x, y in polygon])


def check_against_reference(content: Content) -> None:
    """Areas, unions and overlaps of every piece agree with a general geometry library."""
    pieces = [content] if isinstance(content, Piece) else list(content.pieces)
    for piece in pieces:
        shapes = [shape(polygon) for polygon in piece.polygons]
        assert abs(sum(each.area for each in shapes) - number(piece.area)) < 1e-9
        # No overlaps: the union is as large as the parts together.
        assert abs(union_all(shapes, grid_size=1e-9).area - number(piece.area)) < 1e-6


def fabric_shape(piece: Piece, fabric: str) -> Shape:
    shapes = [shape(facet.polygon) for facet in piece.facets if facet.fabric == fabric]
    return union_all(shapes, grid_size=1e-9)


def shows(piece: Piece, fabric: str, *corners: tuple[Number, Number]) -> bool:
    """Whether one cloth covers exactly the polygon with those corners, as the reference library sees it."""
    wanted = shape(tuple((exact(x), exact(y)) for x, y in corners))
    return bool(fabric_shape(piece, fabric).symmetric_difference(wanted).area < 1e-6)


def covers(piece: Piece, fabric: str, *corners: tuple[Number, Number]) -> bool:
    """Whether one cloth lies all over the polygon with those corners."""
    wanted = shape(tuple((exact(x), exact(y)) for x, y in corners))
    return bool(wanted.difference(fabric_shape(piece, fabric)).area < 1e-6)
