"""The route of the quilt's centre: blocks set in their places, rows joined and pressed, joined to a top, squared."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tracker.exact.geometry import XY
from tracker.exact.measure import Measure
from tracker.pressing.quilt_pressing import PressedQuilt, letter
from tracker.quilt.lattice import (
    BLOCK,
    CORNERSTONE,
    SASH,
    SIDE,
    TRIANGLES,
    LatticeRow,
    RowPart,
    joined_thing,
    left_end,
    middle_on_point,
    rows_of,
    upper_edge,
)
from tracker.quilt.setting import cut_triangles
from tracker.units.maker import Bench, digest, line, point, token, trim_to
from tracker.work.pressed import SeamPress
from tracker.work.steps import About, Action, AddStrips, CutApart, Part, Pile, PressSeams, Size, Topic, Trim
from tracker.work.things import Kind, Stage, Thing
from tracker.work.whole_blocks import AddBorder, ClipEars, JoinEnds, JoinParts, Member, MitreCorners, Nest, SetBlock

Ends = dict[Measure, tuple[int, str | None]]
"""Where seams run out at an edge (finished, on the lattice), the side they are pressed to (0 the left or upper), and
the cloth where there is the same one on both sides (a frame's)."""


Edges = dict[str, dict[Measure, int]]
"""For the left, right, upper and lower edge: how far from its upper or left cut end seams run out there, and the side
that each is pressed to (0 toward that end)."""


@dataclass(frozen=True)
class Centre:
    """The centre of the quilt, or the top so far: its pile and its unfinished size."""

    pile: str
    size: Size


@dataclass(frozen=True)
class _Joined:
    """A row, or rows, joined: the piece, and what it is made of in a text that changes when that does."""

    member: Member
    identity: str


class TopBench:
    """Writes piles and steps of the whole quilt, counted in the common pool; `about` is their part in it."""

    about = About.STRIPS

    def __init__(self, bench: Bench) -> None:
        self.bench, self.plan = bench, bench.plan

    def fabrics(self, piles: Sequence[str]) -> tuple[str, ...]:
        """The cloths of several piles."""
        return tuple(dict.fromkeys(key for pile in piles for key in self.bench.piles[pile].fabrics))

    def make(
        self,
        made: str,
        thing: Thing,
        operation: str,
        stage: Stage,
        takes: Mapping[str, int],
        action: Action,
        size: Size | None = None,
        front: str | None = None,
        beside: str | None = None,
    ) -> str:
        """One step and the pile that it gives to. `made` is what is made, in a text that changes when it does.

        `front` is the pile whose cloths alone are seen afterwards, `beside` one that must lie there.
        """
        cloths = self.fabrics([front] if front else list(takes))
        pile = self.bench.pile(Pile(f"{stage.value}:quilt:{thing.name}:{digest(made)}", thing, stage, cloths, size))
        self.bench.step(pile, operation, takes, {pile: 1}, action, Topic(self.about), size, beside=beside)
        return pile

    def join(
        self,
        made: str,
        thing: Thing,
        takes: Mapping[str, int],
        action: JoinParts | JoinEnds | AddStrips | AddBorder | MitreCorners,
        seams: Iterable[SeamPress],
        size: Size | None = None,
    ) -> str:
        """Pieces joined, or strips added, and the new seams pressed: the pile after that."""
        added = isinstance(action, AddStrips | AddBorder)
        operation, stage = ("add strip", Stage.SEWN) if added else ("join", Stage.JOINED)
        pile = self.make(made, thing, operation, stage, takes, action, size)
        return self.make(made, thing, "press", Stage.PRESSED, {pile: 1}, PressSeams((tuple(seams),)), size)


class CentreRoute(TopBench):
    """Writes the steps from finished blocks to the squared centre.

    `finished` has the pile of finished blocks of each kind and version, and what it is known by in ids; `strips` the
    piles of long sashes by length;
    `centre` is the finished size.
    """

    about = About.ROWS

    def __init__(
        self,
        bench: Bench,
        pressed: PressedQuilt,
        finished: Mapping[tuple[str, int], tuple[str, str]],
        strips: Mapping[Measure, str],
        centre: Size,
    ) -> None:
        super().__init__(bench)
        self.centre = centre
        self.pressed, self.finished, self.strips = pressed, finished, strips
        self.keys = pressed.keys
        self.rows = rows_of(self.plan)
        self.triangles: dict[Kind, str] = {}
        self._left: list[Measure] = []
        self._ends: dict[tuple[str, int, int, str], Ends] = {}
        self._met: dict[tuple[object, object, Measure], tuple[Nest, ...]] = {}

    def write(self) -> Centre:
        """All steps; the centre."""
        placed = self._set_blocks()
        whole: _Joined | None = None
        for place, row in enumerate(self.rows):
            joined = self._join_row(row, placed)
            whole = joined if whole is None else self._join_rows(whole, place, joined)
        assert whole is not None
        return self._square(whole)

    # blocks in their places

    def _set_blocks(self) -> dict[int, str]:
        """A step for all blocks of one kind, version and turn in a row: the pile of each block by number."""
        placed: dict[int, str] = {}
        for row in self.rows:
            alike: dict[tuple[str, int, int], list[int]] = {}
            for part in row.parts:
                if part.block is not None:
                    alike.setdefault(self._lies(part), []).append(part.block)
            for (key, version, turn), blocks in alike.items():
                pile = self._set(row, key, version, turn, tuple(blocks))
                placed.update(dict.fromkeys(blocks, pile))
        return placed

    def _set(self, row: LatticeRow, key: str, version: int, turn: int, blocks: tuple[int, ...]) -> str:
        pile_id, known = self.finished[key, version]
        finished = self.bench.piles[pile_id]
        name = letter(version) if len(self.pressed.versions[key]) > 1 else None
        identity = f"{row.name}:{known}" + (f":{turn}" if turn else "")
        thing, (across, down) = Thing(Kind.ROW_BLOCK, row.number), self.plan.blocks[key].finished(self.plan.seam)
        size = across + 2 * self.plan.seam, down + 2 * self.plan.seam
        pile = Pile(f"set:{identity}", thing, Stage.IN_PLACE, finished.fabrics, size)
        self.bench.pile(pile)
        self.bench.step(
            f"set:{identity}",
            "lay out",
            {finished.id: 1},
            {pile.id: 1},
            SetBlock(row.number, turn),
            Topic(self.about),
            size,
            key,
            name,
            blocks,
        )
        return pile.id

    # pieces round the blocks

    def _pile_of(self, part: RowPart, placed: Mapping[int, str]) -> tuple[str, int]:
        """The pile that a part of a row comes from, and its turn."""
        if part.kind == BLOCK:
            assert part.block is not None
            return placed[part.block], part.turn
        if part.kind in TRIANGLES:
            return self._triangle(part.kind), part.turn
        sash = self.plan.quilt.sash
        assert sash is not None
        if part.kind == CORNERSTONE:
            assert sash.cornerstone is not None
            return self.bench.cut(sash.cornerstone, *part.size, "cornerstone"), 0
        longer = max(part.size)
        pile = self.strips.get(longer) or self.bench.cut(sash.fabric, *part.size, "sash")
        return pile, 90 if part.size[0] < part.size[1] else 0

    def _triangle(self, kind: Kind) -> str:
        """Setting triangles from squares cut twice, or once; a side triangle lies with its right angle lower right, a
        corner triangle with its right angle to the left."""
        if kind not in self.triangles:
            fabric = self.plan.quilt.setting_fabric
            assert fabric is not None
            sides, corners = cut_triangles(self.plan)
            side = sides if kind == SIDE else corners
            cut = self.bench.cut(fabric, side, side, "setting")
            name = f"cut apart:quilt:{kind.value}:{fabric}:{token(side)}"
            pile = self.bench.pile(Pile(name, Thing(kind), Stage.CUT, (fabric,), None))
            inside = _in_quarters(side) if kind == SIDE else _in_halves(side)
            lines = [line(0, 0, side, side), line(0, side, side, 0)][: 2 if kind == SIDE else 1]
            parts = tuple(Part(where, turn, pile) for where, turn in inside)
            action = CutApart(tuple(lines), parts)
            self.bench.step(pile, "cut apart", {cut: 1}, {pile: len(parts)}, action, Topic(About.TRIANGLES))
            self.triangles[kind] = pile
        return self.triangles[kind]

    # joining a row

    def _join_row(self, row: LatticeRow, placed: Mapping[int, str]) -> _Joined:
        taken = [self._pile_of(part, placed) for part in row.parts]
        drops = _drops_in_turn(row, self.plan.seam) if len(taken) > 1 else [Measure()]
        members = tuple(Member(pile, turn, drop) for (pile, turn), drop in zip(taken, drops, strict=True))
        identity = f"{row.name}:{row.is_level}:" + ";".join(f"{m.pile}~{m.turn}~{m.along}" for m in members)
        if len(members) == 1:
            return _Joined(members[0], identity)
        takes = Counter(member.pile for member in members)
        size = self._row_size(row) if row.is_level else None
        nests = tuple(self._nests_in_row(row, first, second) for first, second in pairwise(row.parts))
        action = JoinParts(members, "across", nests, row.is_level)
        pile = self.join(identity, row.thing, takes, action, self._presses(row), size)
        if not row.is_level:
            upper = min(upper_edge(row, self.plan.seam), row.parts[-1].drop + self.plan.seam)
            clip = ClipEars(-upper, row.height)
            pile = self.make(identity, row.thing, "trim", Stage.LEVEL, {pile: 1}, clip)
        return _Joined(Member(pile), identity)

    def _row_size(self, row: LatticeRow) -> Size:
        first, last, room = row.parts[0], row.parts[-1], 2 * self.plan.seam
        return last.start - first.end - room + first.size[0] + last.size[0], row.height

    def _toward(self, row: LatticeRow, place: int) -> int:
        """The side that the seam after a part of a row goes to, 0 or 1: toward a sash, or else toward a triangle; where
        blocks lie edge to edge, to the right in odd rows and to the left in even ones."""
        first, second = row.parts[place].kind, row.parts[place + 1].kind
        for kind in (SASH, *(TRIANGLES if self.plan.quilt.sash is not None else ())):
            if kind in (first, second):
                return int(second == kind)
        return row.number % 2

    def _presses(self, row: LatticeRow) -> Sequence[SeamPress]:
        parts = [Thing(part.kind, part.block or 0) for part in row.parts]
        return [SeamPress(between, between[self._toward(row, place)]) for place, between in enumerate(pairwise(parts))]

    def _ends_of(self, part: RowPart, edge: str) -> Ends:
        """Where a block's own seams run out at an edge of it, from its left or top, as it lies."""
        if part.block is None:
            return {}
        key = (*self._lies(part), edge)
        if key not in self._ends:
            frame = self.pressed.seams[key[0]].frame
            self._ends[key] = {at: (side, frame) for at, side in self.pressed.ends(part.block - 1, edge).items()}
        return self._ends[key]

    def _lies(self, part: RowPart) -> tuple[str, int, int]:
        """The kind, version and turn of a part's block, alike for all blocks that lie alike."""
        assert part.block is not None
        place = part.block - 1
        return self.keys[place], self.pressed.places[place][0], self.pressed.turn(place)

    def _nests_in_row(self, row: LatticeRow, first: RowPart, second: RowPart) -> tuple[Nest, ...]:
        """Where seams of two neighbours meet. Blocks of a row lie level, so that places on both agree."""
        if first.block is None or second.block is None:
            return ()
        key = (self._lies(first), self._lies(second), upper_edge(row, self.plan.seam))
        if key not in self._met:
            own, other = self._ends_of(first, "right"), self._ends_of(second, "left")
            self._met[key] = _nests(own, other, self.plan.seam - key[2])
        return self._met[key]

    # joining rows

    def _ends_below(self, row: LatticeRow, edge: str) -> Ends:
        """Where seams run out at the lower or upper edge of a joined row, on the lattice."""
        ends: Ends = {}
        for place, part in enumerate(row.parts):
            ends.update({part.start + at: end for at, end in self._ends_of(part, edge).items()})
            if place + 1 < len(row.parts):
                ends[part.end] = self._toward(row, place), None
        return dict(sorted(ends.items(), key=lambda item: item[0]))

    def _join_rows(self, whole: _Joined, place: int, joined: _Joined) -> _Joined:
        """Join the row at a place (from 0) to those before it, and press the seam."""
        above, row = self.rows[place - 1], self.rows[place]
        before, thing = joined_thing(self.rows, place), joined_thing(self.rows, place + 1)
        level = self.plan.quilt.setting == "straight"
        left = row.left if level else self._left_of_those_above(place)
        second = joined.member if level else replace(joined.member, along=row.left - left)
        nests = _nests(self._ends_below(above, "bottom"), self._ends_below(row, "top"), -left)
        identity = f"{digest(whole.identity)}|{joined.identity}"
        takes = Counter((whole.member.pile, second.pile))
        size = self._size_of(self.rows[0], row) if level else None
        action = JoinParts((whole.member, second), "down", (nests,), level)
        seam = SeamPress((before, row.thing), before if above.kind is Kind.SASHES else row.thing)
        pile = self.join(identity, thing, takes, action, [seam], size)
        return _Joined(Member(pile), identity)

    def _left_of_those_above(self, place: int) -> Measure:
        """The `left_end` of the rows above a place; of those sewn above and below only the least is kept in mind."""
        above, seam, sewn = self.rows[place - 1], self.plan.seam, place > 1
        left = min([above.left_when_joined(seam, sewn, False), *self._left])
        self._left = [min([above.left_when_joined(seam, sewn, True), *self._left])]
        return left

    def _size_of(self, first: LatticeRow, last: LatticeRow) -> Size:
        """The unfinished size of straight rows joined, from the first to the last."""
        return self._row_size(first)[0], last.top + last.height - first.top

    def edges(self) -> Edges:
        """Where seams run out at each edge of a straight quilt's centre, and the side that they are pressed to."""
        seam, rows = self.plan.seam, self.rows
        found: Edges = {"left": {}, "right": {}}
        for place, row in enumerate(rows):
            top = row.top - rows[0].top + seam
            for edge, part in (("left", row.parts[0]), ("right", row.parts[-1])):
                found[edge].update({top + at: side for at, (side, _) in self._ends_of(part, edge).items()})
                if place:
                    found[edge][top] = int(rows[place - 1].kind is not Kind.SASHES)
        for edge, row, own in (("upper", rows[0], "top"), ("lower", rows[-1], "bottom")):
            found[edge] = {seam + at: side for at, (side, _) in self._ends_below(row, own).items()}
        return found

    # squaring

    def _square(self, whole: _Joined) -> Centre:
        straight = self.plan.quilt.setting == "straight"
        pile = whole.member.pile
        if straight:
            size = self._size_of(self.rows[0], self.rows[-1])
            action = trim_to(size)
        else:
            room = 2 * self.plan.seam
            size = self.centre[0] + room, self.centre[1] + room
            x, y = middle_on_point(self.plan)
            top = self.rows[0].top - self.plan.seam
            action = Trim(*size, point(x - left_end(self.rows, self.plan.seam), y - top), 45)
        if len(self.rows) > 1 or len(self.rows[0].parts) > 1:
            pile = self.make(whole.identity, Thing(Kind.TOP), "square", Stage.SQUARED, {pile: 1}, action, size)
        return Centre(pile, size)


def _nests(own: Ends, other: Ends, shift: Measure) -> tuple[Nest, ...]:
    """Where seams of two edges meet, `shift` added to their places, numbered along each edge."""
    numbers = [{at: number for number, at in enumerate(sorted(ends), 1)} for ends in (own, other)]
    found = []
    for at in sorted(own):
        if at in other:
            (side, cloth), (other_side, other_cloth) = own[at], other[at]
            one_cloth = cloth is not None and cloth == other_cloth
            found.append(Nest(at + shift, side != other_side, (numbers[0][at], numbers[1][at]), one_cloth))
    return tuple(found)


def _drops_in_turn(row: LatticeRow, seam: Measure) -> list[Measure]:
    """How far each part of a row begins below what is joined so far."""
    first, *others = row.parts
    return [Measure(), others[0].drop - first.drop, *(part.drop - upper_edge(row, seam) for part in others[1:])]


def _in_quarters(side: Measure) -> list[tuple[XY, int]]:
    """A place in each quarter of a square cut twice, and the turn that brings its right angle lower right."""
    half, quarter = side / 2, side / 4
    return [
        (point(half, quarter), 315),
        (point(side - quarter, half), 225),
        (point(half, side - quarter), 135),
        (point(quarter, half), 45),
    ]


def _in_halves(side: Measure) -> list[tuple[XY, int]]:
    """A place in each half of a square cut once, and the turn that brings its right angle to the left."""
    quarter = side / 4
    return [(point(quarter, side - quarter), 45), (point(side - quarter, quarter), 225)]
