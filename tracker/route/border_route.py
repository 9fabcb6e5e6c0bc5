"""The route of the borders: long strips joined, cut to the measured length, sewn on and pressed, one border after
another; and the same joining of strips for long sashes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Border
from tracker.quilt.borders import BorderStrip
from tracker.quilt.cloth_cutting import JoinedRun
from tracker.route.border_edges import TopEdges
from tracker.route.centre_route import Centre, Edges, TopBench
from tracker.route.strip_units import PiecedStrips
from tracker.units.maker import Bench, digest, token, trim_to
from tracker.work.pressed import SeamPress
from tracker.work.steps import About, AddStrips, Pile, Topic
from tracker.work.things import ENDS, SIDES, Kind, Stage, Thing
from tracker.work.whole_blocks import (
    AddBorder,
    CutLengths,
    JoinEnds,
    JoinParts,
    JoinUnits,
    Length,
    Member,
    MitreCorners,
    Nest,
)


def _toward_border(first: str, second: str) -> tuple[SeamPress, ...]:
    top, strips = Thing(Kind.TOP), [Thing(Kind.BORDER_STRIP, side=side) for side in (first, second)]
    return SeamPress((strips[0], top), strips[0]), SeamPress((top, strips[1]), strips[1])


TOWARD_BORDER = {SIDES: _toward_border("left", "right"), ENDS: _toward_border("upper", "lower")}
"""Border seams go toward the border, away from the many seams of the top."""


def _open_corners() -> tuple[SeamPress, ...]:
    strips = {side: Thing(Kind.BORDER_STRIP, side=side) for side in ("left", "upper", "right", "lower")}
    round_it = ("left", "upper"), ("upper", "right"), ("right", "lower"), ("lower", "left")
    return tuple(SeamPress((strips[first], strips[second]), None) for first, second in round_it)


OPEN_CORNERS = _open_corners()
"""Mitred corners, clockwise from the upper left: open, since nothing else lies flat where three seams meet."""


def long_strips(bench: Bench, runs: Sequence[JoinedRun]) -> dict[tuple[str, Measure, Measure, str], str]:
    """Steps that join strips end to end and cut the long strip to length; the pile of each (fabric, length,
    width, use)."""
    top = TopBench(bench)
    found: dict[tuple[str, Measure, Measure, str], str] = {}
    for run in runs:
        found.update(_run(top, run))
    return found


def _run(top: TopBench, run: JoinedRun) -> dict[tuple[str, Measure, Measure, str], str]:
    first = run.pieces[0]
    fabric, width, use = first.fabric, first.height, first.use
    usable = top.plan.fabrics[fabric].usable
    made = f"{fabric}:{token(width)}:{use}:{run.strips}:{token(run.last)}"
    pile = joined_strips(top, fabric, [(usable, run.strips - 1), (run.last, 1)], width, use, made)
    lengths = Counter[Measure]()
    for piece in run.pieces:
        lengths[piece.width] += piece.count
    stage, thing = Stage.CUT_TO_LENGTH, Thing(Kind.CUT_STRIP, of=use)
    parts, found = [], {}
    for length, count in lengths.items():
        name = f"{stage.value}:quilt:{use}:{fabric}:{token(length)}x{token(width)}"
        kept = top.bench.pile(Pile(name, thing, stage, (fabric,), (length, width)))
        parts.append(Length(kept, length, count))
        found[fabric, length, width, use] = kept
    gives = {part.pile: part.count for part in parts}
    step = f"{stage.value}:quilt:{use}:{digest(f'{made};{gives}')}"
    top.bench.step(step, "cut apart", {pile: 1}, gives, CutLengths(tuple(parts)), Topic(top.about))
    return found


def joined_strips(
    top: TopBench, fabric: str, cut: Sequence[tuple[Measure, int]], width: Measure, use: str, made: str
) -> str:
    """Strips of these lengths, cut and joined end to end on the diagonal, pressed open: the pile of the long strip."""
    takes = Counter[str]()
    for length, count in cut:
        if count:
            takes[top.bench.cut(fabric, length, width, use)] += count
    whole = sum((length * count for length, count in cut), Measure())
    number = takes.total()
    size = whole - width * (number - 1), width
    if number == 1:
        return next(iter(takes))
    thing = Thing(Kind.LONG_STRIP, of=use) if use != "binding" else Thing(Kind.BINDING)
    return top.join(made, thing, takes, JoinEnds(width), (), size)


def _turned(strip: str, turn: int) -> str:
    """How the pile of a strip is named in ids: one that is turned before it goes on is told from one that is not."""
    return f"{strip}~{turn}" if turn else strip


class BorderRoute(TopBench):
    """Writes the steps of all borders round a centre. `long` has the piles of strips that were joined, `pieced` the
    units of pieced borders; then `edges` are those of the centre."""

    about = About.BORDERS

    def __init__(
        self,
        bench: Bench,
        long: Mapping[tuple[str, Measure, Measure, str], str],
        pieced: PiecedStrips,
        edges: Edges | None = None,
    ) -> None:
        super().__init__(bench)
        self.long, self.pieced = long, pieced
        self.edges = None if edges is None else TopEdges(edges, bench.plan.seam)

    def write(self, centre: Centre, strips: Sequence[BorderStrip]) -> Centre:
        """The steps; the top with its borders. `strips` are those of the setting, four for each border."""
        for number, border in enumerate(self.plan.quilt.borders, 1):
            sides, ends = strips[4 * number - 4], strips[4 * number - 2]
            if border.mitred:
                centre = self._mitred(centre, number, border, sides.length, ends.length)
                if self.edges is not None:
                    self.edges.covered()
                continue
            if border.is_pieced and number > 1:
                centre = self._as_long_as_pieced(centre, number)
            centre = self._pair(centre, number, border, sides.length, SIDES)
            centre = self._pair(centre, number, border, ends.length, ENDS)
        if self.plan.quilt.borders:
            trim, size, top = trim_to(centre.size), centre.size, Thing(Kind.TOP, len(self.plan.quilt.borders))
            pile = self.make(centre.pile, top, "square", Stage.SQUARED, {centre.pile: 1}, trim, size)
            centre = replace(centre, pile=pile)
        return centre

    def _strips(self, top: Centre, number: int, border: Border, length: Measure, where: str) -> str:
        """Two strips cut to the length of the top, which is measured through the middle and so must lie there."""
        long = round_up(length, self.plan.ruler)
        # Sides of a cloth with a direction are cut upright, and so never joined.
        upright = where == SIDES and self.plan.fabrics[border.fabric].directional
        pile = None if upright else self.long.get((border.fabric, long, border.cut, "border"))
        if pile is None:
            pile = self.bench.cut(border.fabric, long, border.cut, "border")
        cut = self.bench.piles[pile].size
        assert cut is not None
        # A strip shorter than it is wide lies the other way.
        size = (length, border.cut) if cut[1] == border.cut else (border.cut, length)
        action = trim_to(size, cut)
        # However the strip was come by: an edit of the cloth leaves what is sewn on.
        made = f"{number}:{where}:{border.fabric}:{token(length)}:{token(border.cut)}"
        thing = Thing(Kind.BORDER_STRIP, number, where)
        return self.make(made, thing, "trim", Stage.MEASURED, {pile: 1}, action, size, beside=top.pile)

    def _as_long_as_pieced(self, centre: Centre, number: int) -> Centre:
        """The top squared to what a pieced border is: what goes off comes off the plain border before it."""
        made, thing = f"{centre.pile}:before {number}", Thing(Kind.TOP, number - 1)
        trim = trim_to(centre.size)
        pile = self.make(made, thing, "square", Stage.SQUARED, {centre.pile: 1}, trim, centre.size)
        return replace(centre, pile=pile)

    def _row_of_units(self, number: int, border: Border, where: str) -> Member:
        """The units of a strip of a pieced border joined and pressed: toward the longer, of equal ones to the right.
        One that is a whole strip has a turn of its own."""
        strip = self.pieced[number, where]
        members = tuple(member for member, _ in strip)
        made = f"{number}:{where}:" + ";".join(f"{member.pile}~{member.turn}" for member in members)
        length = sum((each for _, each in strip), 2 * self.plan.seam)
        things = [Thing(Kind.STRIP_PIECE, place) for place, _ in enumerate(strip, 1)]
        seams = [
            SeamPress(between, between[self.side_of(first, second)])
            for between, ((_, first), (_, second)) in zip(pairwise(things), pairwise(strip), strict=True)
        ]
        thing, takes = Thing(Kind.PIECED_STRIP, number, where), Counter(member.pile for member in members)
        if not seams:
            return members[0]
        action = JoinUnits(members, "across", ((),) * len(seams))
        return Member(self.join(made, thing, takes, action, seams, (length, border.cut)))

    @staticmethod
    def side_of(first: Measure, second: Measure) -> int:
        """The side that a seam between two pieces of a strip goes to, by their lengths: the longer, else the second."""
        return int(second >= first)

    def _seams_of(self, number: int, border: Border, where: str, cornered: bool, width: Measure) -> dict[Measure, int]:
        """Where the seams of a strip run out at its long edges, as it lies above a top of unfinished `width`."""
        wide, seam, found = border.cut - 2 * self.plan.seam, self.plan.seam, dict[Measure, int]()
        at = seam + wide if cornered else seam
        for (_, first), (_, second) in pairwise(self.pieced.get((number, where), ())):
            at = at + first
            found[at] = self.side_of(first, second)
        # Cornerstones are pressed toward the strip.
        return found | ({seam + wide: 1, width - seam - wide: 0} if cornered else {})

    def _nests(self, centre: Centre, number: int, border: Border, where: str) -> tuple[tuple[Nest, ...], ...]:
        """What meets along both seams of a pair of strips."""
        if self.edges is not None and border.is_pieced:
            cornered = where == ENDS and border.corners is not None
            strip = self._seams_of(number, border, where, cornered, centre.size[0])
            return self.edges.met(strip, where, centre.size)
        if where == ENDS and border.corners is not None:
            # The cornerstones' seams meet those of the side strips, pressed away from each other.
            at = border.cut - self.plan.seam
            nests = Nest(at, True), Nest(centre.size[0] - at, True)
            return nests, nests
        return (), ()

    def _pair(self, centre: Centre, number: int, border: Border, length: Measure, where: str) -> Centre:
        """Two strips made ready, sewn on and pressed."""
        if border.is_pieced:
            strip = self._row_of_units(number, border, where)
        else:
            strip = Member(self._strips(centre, number, border, length, where))
        cornered = where == ENDS and border.corners is not None
        if cornered:
            strip = self._with_cornerstones(number, border, strip)
        nests = self._nests(centre, number, border, where)
        action = AddStrips(centre.pile, strip.pile, where, nests, outward=border.is_pieced, turn=strip.turn)
        more, (width, height) = 2 * (border.cut - 2 * self.plan.seam), centre.size
        size = (width + more, height) if where == SIDES else (width, height + more)
        after = self._add(replace(centre, size=size), number, action)
        if self.edges is not None:
            self.edges.grow(more / 2, where, size, self._seams_of(number, border, where, cornered, width))
        return after

    def _mitred(self, centre: Centre, number: int, border: Border, sides: Measure, ends: Measure) -> Centre:
        """All four strips sewn on and pressed, then the corners."""
        left_right = self._strips(centre, number, border, sides, SIDES)
        upper_lower = self._strips(centre, number, border, ends, ENDS)
        wide = border.cut - 2 * self.plan.seam
        size = centre.size[0] + 2 * wide, centre.size[1] + 2 * wide
        made = f"{centre.pile}|{left_right}|{upper_lower}"
        takes = {centre.pile: 1, left_right: 2, upper_lower: 2}
        border_on = AddBorder(centre.pile, left_right, upper_lower, (sides - centre.size[1]) / 2)
        seams = (*TOWARD_BORDER[SIDES], *TOWARD_BORDER[ENDS])
        pile = self.join(made, Thing(Kind.BORDERED, number), takes, border_on, seams, size)
        pile = self.join(pile, Thing(Kind.MITRED, number), {pile: 1}, MitreCorners(wide), OPEN_CORNERS, size)
        return Centre(pile, size)

    def _with_cornerstones(self, number: int, border: Border, strip: Member) -> Member:
        """The strip with a square sewn to each end, pressed toward the strip."""
        assert border.corners is not None
        corner = self.bench.cut(border.corners, border.cut, border.cut, "cornerstone")
        size = self.bench.piles[strip.pile].size
        assert size is not None
        lying = strip if size[1] == border.cut else replace(strip, turn=strip.turn or 90)
        members = (Member(corner), lying, Member(corner))
        length = max(size) if size[1] == border.cut else size[1]
        whole = length + 2 * (border.cut - 2 * self.plan.seam), border.cut
        thing, made = Thing(Kind.CORNERED_STRIP, number, ENDS), f"{_turned(strip.pile, strip.turn)}|{corner}"
        takes = Counter(member.pile for member in members)
        action = JoinParts(members, "across", ((), ()))
        left, right = (Thing(Kind.CORNERSTONE, side=side) for side in ("left", "right"))
        middle = Thing(Kind.BORDER_STRIP)
        seams = [SeamPress(between, middle) for between in ((left, middle), (middle, right))]
        return Member(self.join(made, thing, takes, action, seams, whole))

    def _add(self, centre: Centre, number: int, action: AddStrips) -> Centre:
        thing = Thing(Kind.BORDERED, number, SIDES if action.edges == SIDES else "")
        takes = {action.base: 1, action.strip: 2}
        made = f"{action.base}|{_turned(action.strip, action.turn)}"
        pile = self.join(made, thing, takes, action, TOWARD_BORDER[action.edges], centre.size)
        return replace(centre, pile=pile)
