"""Reads the seams of a block from its joins: where each lies, what it meets, how it would rather be pressed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from tracker.exact.kept import Kept
from tracker.exact.measure import Measure
from tracker.plan.model import Block, Plan
from tracker.pressing.meetings import EDGES, BlockSeam, BlockSeams, Meeting, habits_of
from tracker.units.block_units import PlacedUnit
from tracker.units.joins import Joined, Leaf, Node, added_strips, leaves
from tracker.units.recipes.attaching import Ends
from tracker.work.things import Kind, Thing

LONG_ROW = 4
"""In a row of so many seams one sweep of the iron is worth more than a flat seam."""


RUN_OUT: Kept[tuple[Ends, Ends, Ends, Ends] | None] = Kept(5000)
"""Where seams within units run out at their edges, by the unit and the plan's settings."""

FACING = {"across": ("right", "left"), "down": ("bottom", "top")}
"""The edges of two neighbours that are joined."""


def block_seams(block: Block, root: Node, plan: Plan) -> BlockSeams:
    """The seams of a block whose units are joined as `root` says."""
    return _SeamReader(block, root, plan).read()


def row_or_unit(node: Node) -> Thing:
    """A part of a block as a whole row, or by the unit in its top-left cell."""
    if isinstance(node, Joined) and node.thing.is_row_of_block:
        return node.thing
    return next(leaves(node)).thing


FRAME_SIDES = (
    (Thing(Kind.FRAME_STRIP, side="left"), Thing(Kind.BLOCK)),
    (Thing(Kind.BLOCK), Thing(Kind.FRAME_STRIP, side="right")),
)
"""The seams of a frame's side strips, which run out at the upper and the lower edge."""


@dataclass(frozen=True)
class _Lies:
    """Where a seam lies in the block: along the line `at`, from `start` to `end` (finished)."""

    direction: str
    at: Measure
    start: Measure
    end: Measure


Rectangle = tuple[Measure, Measure, Measure, Measure]
"""Left, top, right, bottom (finished)."""


class _SeamReader:
    def __init__(self, block: Block, root: Node, plan: Plan) -> None:
        self.block, self.root, self.plan = block, root, plan
        self.lefts = _sums(block.columns)
        self.tops = _sums(block.rows)
        self.seams: list[BlockSeam] = []
        self.lies: list[_Lies] = []
        self.joins: dict[int, list[int]] = {}
        self.inner: dict[int, list[int]] = {}
        self.run_out: dict[int, dict[str, list[tuple[Measure, int]]]] = {}
        self.habits = habits_of(plan)
        self.added = added_strips(root)

    def read(self) -> BlockSeams:
        for leaf in leaves(self.root):
            self._inner_seams(leaf)
        pieces = list(self.root.pieces()) if isinstance(self.root, Joined) else []
        for piece in pieces:
            self._join_seams(piece)
        meetings = tuple(pair for piece in pieces for pair in self._meetings(piece))
        rows = tuple((self._row_habit(piece), tuple(self.joins[id(piece)])) for piece in pieces if len(piece.parts) > 2)
        edges = {edge: dict(self._outer_ends(edge)) for edge in EDGES}
        turned = self._half_turn()
        frame = None
        if self.block.frames:
            frame = None if self.plan.reckoning == 1 else self.block.frames[-1].fabric
            edges, turned = self._framed(turned)
        size = self.block.finished(self.plan.seam)
        return BlockSeams(tuple(self.seams), meetings, rows, edges, turned, len(self.habits), size, frame)

    def _row_habit(self, piece: Joined) -> int:
        """The number of the habit that would have all seams of a joined piece go one way."""
        if piece is self.root and (piece.direction == "down" or any(isinstance(part, Joined) for part in piece.parts)):
            name = "row joins"
        else:
            name = "long row" if len(piece.parts) > LONG_ROW else "short row"
        return next(number for number, names in enumerate(self.habits) if name in names)

    def _against(self, **sides: tuple[int, int]) -> tuple[tuple[int, int], ...]:
        """For each habit whether either side of a seam goes against it, given those of single seams by name."""
        return tuple(next((sides[name] for name in names if name in sides), (0, 0)) for names in self.habits)

    def _add(self, seam: BlockSeam, lies: _Lies) -> int:
        self.seams.append(seam)
        self.lies.append(lies)
        return len(self.seams) - 1

    def _rectangle(self, node: Node) -> Rectangle:
        first = last = node
        while isinstance(first, Joined):
            first = first.parts[0]
        while isinstance(last, Joined):
            last = last.parts[-1]
        a, b = first.placed, last.placed
        return (
            self.lefts[a.column],
            self.tops[a.row],
            self.lefts[b.column + b.across],
            self.tops[b.row + b.down],
        )

    # seams

    def _join_seams(self, piece: Joined) -> None:
        facing = FACING[piece.direction]
        numbers = self.joins[id(piece)] = []
        for i in range(1, len(piece.parts)):
            parts = piece.parts[i - 1], piece.parts[i]
            shades = [self._shade(part, edge) for part, edge in zip(parts, facing, strict=True)]
            ends = [self._ends_at(part, edge) for part, edge in zip(parts, facing, strict=True)]
            left, top, right, bottom = self._rectangle(parts[1])
            across = piece.direction == "across"
            lies = _Lies("across", left, top, bottom) if across else _Lies("down", top, left, right)
            seam = BlockSeam(
                (parts[0].thing, parts[1].thing),
                piece.direction,
                None,
                self._against(
                    strip=self.added.get((parts[0].thing, parts[1].thing), (0, 0)),
                    bulk=(int(ends[0] > ends[1]), int(ends[1] > ends[0])),
                    light=(int(shades[0] < shades[1]), int(shades[1] < shades[0])),
                ),
            )
            numbers.append(self._add(seam, lies))

    def _inner_seams(self, leaf: Leaf) -> None:
        """Seams inside a unit that run straight through it: they are pressed before the block is laid out."""
        placed = leaf.placed
        self._ends_within(leaf)
        onward = placed.unit.recipe.through(placed.unit.region, self.plan)
        numbers = self.inner[id(leaf)] = []
        if not onward:
            return
        left, top, right, bottom = self._rectangle(leaf)
        across = placed.turn in (90, 270)
        # As it is made its strips lie one below the other; a quarter turn puts the first on the right, and so on.
        sides = [int(next_one) for next_one in onward]
        if placed.turn in (90, 180):
            sides = [1 - side for side in reversed(sides)]
        region = placed.finished_turned
        at = left if across else top
        for side, length in zip(sides, region.columns if across else region.rows, strict=False):
            at = at + length
            lies = _Lies("across", at, top, bottom) if across else _Lies("down", at, left, right)
            numbers.append(self._add(BlockSeam((leaf.thing, leaf.thing), lies.direction, side), lies))

    def _ends_within(self, leaf: Leaf) -> None:
        """Seams inside a unit that run out straight at its edges, where they do not run through it."""
        placed, region = leaf.placed, leaf.placed.unit.region
        key = placed.unit, self.plan.settings
        own = RUN_OUT.get(key, lambda: placed.unit.recipe.ends(region, self.plan))
        found = self.run_out[id(leaf)] = {edge: list[tuple[Measure, int]]() for edge in EDGES}
        if own is None:
            return
        left, top, right, bottom = self._rectangle(leaf)
        quarter = placed.turn // 90
        for number, ends in enumerate(own):
            edge, upright = EDGES[(number + quarter) % 4], number in (0, 2)
            across, long = edge in ("top", "bottom"), region.finished[0 if upright else 1]
            # A quarter turn brings what is above to the right, and what is on the right below: from there on a seam is
            # counted from the other end.
            over = quarter in (2, 3 if upright else 1)
            # How far it reaches into the unit is not asked: as far as the middle stands for its own edge.
            start, end = (top, bottom) if across else (left, right)
            middle = (start + end) / 2
            start, end = (start, middle) if edge in ("top", "left") else (middle, end)
            for at, side in reversed(ends) if over else ends:
                place, pressed = (long - at, 1 - side) if over else (at, side)
                line = (left if across else top) + place
                lies = _Lies("across" if across else "down", line, start, end)
                seam = BlockSeam((leaf.thing, leaf.thing), lies.direction, pressed)
                found[edge].append((line, self._add(seam, lies)))

    def _framed(self, turned: tuple[int, ...] | None) -> tuple[dict[str, dict[Measure, int]], tuple[int, ...] | None]:
        """The edges of a framed block: only the seams of its last side strips run out, at top and bottom."""
        width, height = self.block.finished(self.plan.seam)
        cut_off = self.block.with_frames(self.plan.seam)[0] - width
        wide = self.block.frames[-1].cut - 2 * self.plan.seam - cut_off / 2
        far = width - wide
        left, right = FRAME_SIDES
        numbers = (
            self._add(self._frame_seam(left, (0, 1)), _Lies("across", wide, Measure(), height)),
            self._add(self._frame_seam(right, (1, 0)), _Lies("across", far, Measure(), height)),
        )
        ends = {wide: numbers[0], far: numbers[1]}
        return (
            {"top": ends, "bottom": dict(ends), "left": {}, "right": {}},
            None if turned is None else (*turned, *reversed(numbers)),
        )

    def _frame_seam(self, between: tuple[Thing, Thing], away: tuple[int, int]) -> BlockSeam:
        """A seam of a side strip: toward the strip, unless it nests only away from it."""
        fixed = away.index(0) if self.plan.reckoning == 1 else None
        return BlockSeam(between, "across", fixed, self._against(strip=away))

    # where seams run out

    def _outer_ends(self, edge: str) -> Iterator[tuple[Measure, int]]:
        """Where seams run out at an edge of the block as it is squared, in its measure."""
        whole, kept = self.block.inner_finished, self.block.inner_squared(self.plan.seam)
        off = (whole[0] - kept[0]) / 2, (whole[1] - kept[1]) / 2
        if not off[0]:
            yield from self._ends(self.root, edge)
            return
        line = {"top": off[1], "bottom": whole[1] - off[1], "left": off[0], "right": whole[0] - off[0]}[edge]
        way = 0 if edge in ("top", "bottom") else 1
        for at, number in self._ends(self.root, edge, line):
            if off[way] < at < whole[way] - off[way]:
                yield at - off[way], number

    def _ends(self, node: Node, edge: str, line: Measure | None = None) -> Iterator[tuple[Measure, int]]:
        """Where seams run out at an edge of a node, in the block's measure, in order; `line`: the edge is cut there."""
        upright = edge in ("top", "bottom")
        if isinstance(node, Leaf):
            yield from self._own_ends(self.inner[id(node)], upright)
            yield from self.run_out[id(node)][edge]
        elif (node.direction == "across") == upright:
            for i, part in enumerate(node.parts):
                if i:
                    yield from self._own_ends([self.joins[id(node)][i - 1]], upright)
                yield from self._ends(part, edge, line)
        else:
            yield from self._ends(self._part_at(node, edge, line), edge, line)

    def _part_at(self, node: Joined, edge: str, line: Measure | None) -> Node:
        """The part that lies along an edge, or along the line where it is cut."""
        first, way = edge in ("top", "left"), 1 if edge in ("top", "bottom") else 0
        if line is not None:
            for part in node.parts:
                start, end = self._rectangle(part)[way], self._rectangle(part)[way + 2]
                if (start <= line < end) if first else (start < line <= end):
                    return part
        return node.parts[0] if first else node.parts[-1]

    def _own_ends(self, numbers: list[int], upright: bool) -> Iterator[tuple[Measure, int]]:
        for number in numbers:
            if (self.lies[number].direction == "across") == upright:
                yield self.lies[number].at, number

    def _meetings(self, piece: Joined) -> Iterator[Meeting]:
        edges = FACING[piece.direction]
        left, top, _, _ = self._rectangle(piece)
        start = top if piece.direction == "across" else left
        for before, after in pairwise(piece.parts):
            ours = {at: (place, seam) for place, (at, seam) in enumerate(self._ends(before, edges[0]), 1)}
            for place, (at, seam) in enumerate(self._ends(after, edges[1]), 1):
                if at in ours:
                    own_place, own = ours[at]
                    yield Meeting((before.thing, after.thing), own, seam, at - start, (own_place, place))

    # what lies beside a seam

    def _units_at(self, node: Node, edge: str) -> Iterator[PlacedUnit]:
        if isinstance(node, Leaf):
            yield node.placed
        elif (node.direction == "across") == (edge in ("top", "bottom")):
            for part in node.parts:
                yield from self._units_at(part, edge)
        else:
            yield from self._units_at(node.parts[0] if edge in ("top", "left") else node.parts[-1], edge)

    def _shade(self, node: Node, edge: str) -> Measure:
        """The tones of the cloths along an edge, each as far as it reaches."""
        shade = Measure()
        for placed in self._units_at(node, edge):
            for length, quarters in _cells_at(placed, edge):
                shade = shade + length * self.plan.fabrics[quarters[EDGES.index(edge)]].tone
        return shade

    def _ends_at(self, node: Node, edge: str) -> int:
        """How many seams run out at an edge, slanting ones at the corners of their cells included."""
        side = EDGES.index(edge)
        slanting = sum(
            (quarters[side] != quarters[side - 1]) + (quarters[side] != quarters[(side + 1) % 4])
            for placed in self._units_at(node, edge)
            for _, quarters in _cells_at(placed, edge)
        )
        return slanting + sum(1 for _ in self._ends(node, edge))

    # half a turn

    def _half_turn(self) -> tuple[int, ...] | None:
        """For each seam the one that comes to lie there, or None where the turned block is not the same."""
        if not self._looks_the_same():
            return None
        width, height = self.lefts[-1], self.tops[-1]
        number_of = {lies: number for number, lies in enumerate(self.lies)}
        turned = []
        for seam, lies in zip(self.seams, self.lies, strict=True):
            across, along = (width, height) if lies.direction == "across" else (height, width)
            there = number_of.get(_Lies(lies.direction, across - lies.at, along - lies.end, along - lies.start))
            if there is None:
                return None
            other = self.seams[there].fixed
            if (seam.fixed is None) != (other is None) or (other is not None and seam.fixed == other):
                return None
            turned.append(there)
        return tuple(turned)

    def _looks_the_same(self) -> bool:
        """Whether every unit has its like, upside down, in the place opposite, and no cloth has a direction."""
        block, found = self.block, {}
        for leaf in leaves(self.root):
            found[leaf.placed.row, leaf.placed.column] = leaf.placed
        for placed in found.values():
            row = len(block.rows) - placed.row - placed.down
            column = len(block.columns) - placed.column - placed.across
            other = found.get((row, column))
            if other is None or other.unit.recipe is not placed.unit.recipe:
                return False
            if other.finished_turned != placed.finished_turned.turned(180):
                return False
        cloths = {key for placed in found.values() for key in placed.unit.region.cloths()}
        cloths |= {frame.fabric for frame in block.frames}
        return not any(self.plan.fabrics[key].directional for key in cloths)


def _sums(lengths: tuple[Measure, ...]) -> list[Measure]:
    sums = [Measure()]
    for length in lengths:
        sums.append(sums[-1] + length)
    return sums


def _cells_at(placed: PlacedUnit, edge: str) -> Iterator[tuple[Measure, tuple[str, str, str, str]]]:
    """The cells of a unit along one of its edges: how long each is there, and its quarters."""
    region = placed.finished_turned
    if edge in ("top", "bottom"):
        yield from zip(region.columns, region.cells[0 if edge == "top" else -1], strict=True)
    else:
        ends = (row[0 if edge == "left" else -1] for row in region.cells)
        yield from zip(region.rows, ends, strict=True)
