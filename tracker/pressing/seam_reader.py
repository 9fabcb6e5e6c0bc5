"""Reads the seams of a block from its joins: where each lies, what it meets, how it would rather be pressed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate, pairwise

from tracker.exact.geometry import Box
from tracker.exact.kept import Kept
from tracker.exact.measure import Measure
from tracker.plan.model import Block, Plan
from tracker.pressing.half_turns import SeamLies, half_turn
from tracker.pressing.meetings import EDGES, BlockSeam, BlockSeams, Meeting, habits_of
from tracker.units.block_units import PlacedUnit
from tracker.units.joins import Joined, Leaf, Node, added_strips, leaves
from tracker.units.recipes.recipe import Ends
from tracker.work.partial_seams import EDGES_ROUND
from tracker.work.things import Kind, Thing

LONG_ROW = 4
"""In a row of so many seams one sweep of the iron is worth more than a flat seam."""


RUN_OUT: Kept[tuple[Ends, Ends, Ends, Ends] | None] = Kept(5000)
"""Where seams within units run out at their edges, by the unit and the plan's settings."""

OPPOSITE = {"top": "bottom", "right": "left", "bottom": "top", "left": "right"}
FACING = {"across": ("right", "left"), "down": ("bottom", "top")}
"""The edges of two neighbours that are joined."""


def block_seams(block: Block, root: Node, plan: Plan) -> BlockSeams:
    """The seams of a block whose units are joined as `root` says."""
    return _SeamReader(block, root, plan).read()


def row_or_unit(node: Node) -> Thing:
    """A part of a block as a whole row, or by the unit in its top-left cell."""
    if isinstance(node, Joined) and node.thing.is_row_of_block:
        return node.thing
    return min(leaves(node), key=lambda leaf: (leaf.placed.row, leaf.placed.column)).thing


FRAME_SIDES = (
    (Thing(Kind.FRAME_STRIP, side="left"), Thing(Kind.BLOCK)),
    (Thing(Kind.BLOCK), Thing(Kind.FRAME_STRIP, side="right")),
)
"""The seams of a frame's side strips, which run out at the upper and the lower edge."""


class _SeamReader:
    def __init__(self, block: Block, root: Node, plan: Plan) -> None:
        self.block, self.root, self.plan = block, root, plan
        self.lefts, self.tops = (list(accumulate(sides, initial=Measure())) for sides in (block.columns, block.rows))
        self.seams: list[BlockSeam] = []
        self.lies: list[SeamLies] = []
        self.joins: dict[int, list[int]] = {}
        self.inner: dict[int, list[int]] = {}
        self.boxes: dict[int, Box] = {}
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
        in_line = [piece for piece in pieces if len(piece.parts) > 2 and not piece.is_round]
        rows = tuple((self._row_habit(piece), tuple(self.joins[id(piece)])) for piece in in_line)
        edges = {edge: dict(self._outer_ends(edge)) for edge in EDGES}
        turned = half_turn(self.block, self.root, self.plan, self.seams, self.lies)
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

    def _add(self, seam: BlockSeam, lies: SeamLies) -> int:
        self.seams.append(seam)
        self.lies.append(lies)
        return len(self.seams) - 1

    def _rectangle(self, node: Node) -> Box:
        found = self.boxes.get(id(node))
        if found is None:
            if isinstance(node, Joined):
                sides = zip(*map(self._rectangle, node.parts), strict=True)
                left, top, right, bottom = (pick(own) for pick, own in zip((min, min, max, max), sides, strict=True))
                found = left, top, right, bottom
            else:
                a = node.placed
                edges = self.lefts[a.column], self.lefts[a.column + a.across]
                found = edges[0], self.tops[a.row], edges[1], self.tops[a.row + a.down]
            self.boxes[id(node)] = found
        return found

    # seams

    def _join_seams(self, piece: Joined) -> None:
        numbers = self.joins[id(piece)] = []
        if piece.is_round:
            numbers += self._round_seams(piece)
            return
        facing = FACING[piece.direction]
        for i in range(1, len(piece.parts)):
            parts = piece.parts[i - 1], piece.parts[i]
            shades = [self._shade(part, edge) for part, edge in zip(parts, facing, strict=True)]
            ends = [self._ends_at(part, edge) for part, edge in zip(parts, facing, strict=True)]
            left, top, right, bottom = self._rectangle(parts[1])
            across = piece.direction == "across"
            lies = SeamLies("across", left, top, bottom) if across else SeamLies("down", top, left, right)
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

    def _round_seams(self, piece: Joined) -> Iterator[int]:
        """The seams round a middle, all pressed away from it: each is as long as its arm."""
        for edge, arm, between in zip(EDGES_ROUND[piece.level], piece.parts[1:], piece.seams(), strict=True):
            left, top, right, bottom = self._rectangle(arm)
            upright = edge in ("left", "right")
            at = {"top": bottom, "right": left, "bottom": top, "left": right}[edge]
            lies = SeamLies("across", at, top, bottom) if upright else SeamLies("down", at, left, right)
            names = between[0].thing, between[1].thing
            yield self._add(BlockSeam(names, lies.direction, int(edge in ("right", "bottom"))), lies)

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
            lies = SeamLies("across", at, top, bottom) if across else SeamLies("down", at, left, right)
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
                lies = SeamLies("across" if across else "down", line, start, end)
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
            self._add(self._frame_seam(left, (0, 1)), SeamLies("across", wide, Measure(), height)),
            self._add(self._frame_seam(right, (1, 0)), SeamLies("across", far, Measure(), height)),
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
        else:
            own = {self.lies[number].at: number for number in self.joins[id(node)] if self._crosses(number, upright)}
            for i, part in enumerate(self._parts_at(node, edge, line)):
                if i:
                    at = self._rectangle(part)[0 if upright else 1]
                    yield at, own[at]
                yield from self._ends(part, edge, line)

    def _parts_at(self, node: Joined, edge: str, line: Measure | None = None) -> list[Node]:
        """The parts that lie along an edge, or along the line where it is cut, from the left (or top)."""
        first, upright = edge in ("top", "left"), edge in ("top", "bottom")
        if not node.is_round and ((node.direction == "across") == upright or line is None):
            along = (node.direction == "across") == upright
            return list(node.parts) if along else [node.parts[0 if first else -1]]
        way = 1 if upright else 0
        boxes = [self._rectangle(part) for part in node.parts]
        if line is None:
            line = self._rectangle(node)[way if first else way + 2]
        there = [
            (box[1 - way], number)
            for number, box in enumerate(boxes)
            if (box[way] <= line < box[way + 2] if first else box[way] < line <= box[way + 2])
        ]
        return [node.parts[number] for _, number in sorted(there)]

    def _crosses(self, number: int, upright: bool) -> bool:
        """Whether a seam runs out at upper and lower edges (`upright`), or at those on the left and right."""
        return (self.lies[number].direction == "across") == upright

    def _own_ends(self, numbers: list[int], upright: bool) -> Iterator[tuple[Measure, int]]:
        for number in numbers:
            if self._crosses(number, upright):
                yield self.lies[number].at, number

    def _meetings(self, piece: Joined) -> Iterator[Meeting]:
        if piece.is_round:
            yield from self._meetings_round(piece)
            return
        edges = FACING[piece.direction]
        left, top, _, _ = self._rectangle(piece)
        start = top if piece.direction == "across" else left
        for before, after in pairwise(piece.parts):
            ours = {at: (place, seam) for place, (at, seam) in enumerate(self._ends(before, edges[0]), 1)}
            for place, (at, seam) in enumerate(self._ends(after, edges[1]), 1):
                if at in ours:
                    own_place, own = ours[at]
                    yield Meeting((before.thing, after.thing), own, seam, at - start, (own_place, place))

    def _meetings_round(self, piece: Joined) -> Iterator[Meeting]:
        """What meets across each seam round a middle: of its arm, and of the middle and the arm that ends there. Across
        the first one, as far as it is begun, seams are counted along the middle alone."""
        middle, *arms = piece.parts
        order = EDGES_ROUND[piece.level]
        for number, (edge, arm) in enumerate(zip(order, arms, strict=True)):
            inner, upright, before = OPPOSITE[edge], edge in ("top", "bottom"), arms[number - 1]
            start = self._rectangle(arm)[0 if upright else 1]
            seam = self.joins[id(piece)][number - 1]
            beside = [*self._ends(middle, edge), (self.lies[seam].at, seam), *self._ends(before, edge)]
            beside.sort(key=lambda end: end[0])
            ours = {at: (place, own) for place, (at, own) in enumerate(self._ends(arm, inner), 1)}
            join = tuple(part.thing for part in piece.seams()[number])
            begun = self._begun_at(piece) if number == 0 else None
            for place, (at, other) in enumerate(beside, 1):
                if at not in ours:
                    continue
                own_place, own = ours[at]
                if begun is not None and (at > begun) == (piece.level == "right"):
                    place = [each for each, _ in self._ends(middle, edge)].index(at) + 1
                first, second = ((own_place, own), (place, other))
                if edge in ("right", "bottom"):
                    first, second = second, first
                yield Meeting((join[0], join[1]), first[1], second[1], at - start, (first[0], second[0]))

    def _begun_at(self, piece: Joined) -> Measure:
        """Where the stitches of the first seam round a middle end, until it is closed."""
        left, _, right, _ = self._rectangle(piece.parts[0])
        sewn = piece.begun_for(self.plan) - self.plan.seam
        return right - sewn if piece.level == "right" else left + sewn

    # what lies beside a seam

    def _units_at(self, node: Node, edge: str) -> Iterator[PlacedUnit]:
        if isinstance(node, Leaf):
            yield node.placed
        else:
            for part in self._parts_at(node, edge):
                yield from self._units_at(part, edge)

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


def _cells_at(placed: PlacedUnit, edge: str) -> Iterator[tuple[Measure, tuple[str, str, str, str]]]:
    """The cells of a unit along one of its edges: how long each is there, and its quarters."""
    region = placed.finished_turned
    if edge in ("top", "bottom"):
        yield from zip(region.columns, region.cells[0 if edge == "top" else -1], strict=True)
    else:
        ends = (row[0 if edge == "left" else -1] for row in region.cells)
        yield from zip(region.rows, ends, strict=True)
