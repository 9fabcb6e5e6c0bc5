"""The order in which units become a block: a slicing tree of straight seams, rows first where there are rows; where no
straight seam parts them, four parts that turn round a middle, their first seam begun and closed at the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from tracker.exact.measure import Measure, nearest
from tracker.plan.model import Plan
from tracker.units.block_units import PlacedUnit
from tracker.units.rounds import rounds
from tracker.units.slicing import parted
from tracker.work.partial_seams import EDGES_ROUND
from tracker.work.steps import Size
from tracker.work.things import Kind, Thing, in_lines, unit_at

OTHER = {"down": "across", "across": "down"}


class NotStraight(Exception):
    """No straight seam parts these units: one of them would have to be set in or begun with half a seam."""

    def __init__(self, units: Sequence[PlacedUnit]) -> None:
        super().__init__(f"{len(units)} units that no straight seam parts")
        self.units = tuple(units)


@dataclass(frozen=True)
class Leaf:
    """One unit as it lies in the block."""

    placed: PlacedUnit

    @cached_property
    def thing(self) -> Thing:
        """The unit by its top-left cell."""
        return unit_at(self.placed.row + 1, self.placed.column + 1)


@dataclass(frozen=True)
class Joined:
    """Parts sewn to each other "across" (left to right) or "down" (top to bottom). `thing` is what it is.

    Or "round" a middle, the first of the parts: the others turn round it, the upper one first, level with it at the
    `level` side, then that side's, and on.
    """

    direction: str
    parts: tuple[Node, ...]
    thing: Thing
    level: str = ""

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        # A whole block is looked up by what it is made of, more than once.
        return hash((self.direction, self.parts, self.level))

    @property
    def is_round(self) -> bool:
        """Whether its parts turn round a middle."""
        return self.direction == "round"

    def seams(self) -> tuple[tuple[Node, Node], ...]:
        """The parts that each of its seams lies between, the left (or upper) one first, in the order of sewing."""
        if not self.is_round:
            return tuple(pairwise(self.parts))
        middle, *arms = self.parts
        return tuple(
            (arm, middle) if edge in ("top", "left") else (middle, arm)
            for edge, arm in zip(EDGES_ROUND[self.level], arms, strict=True)
        )

    def begun_for(self, plan: Plan) -> Measure:
        """How much of its first seam is sewn before the others, from the cut edge where its parts are level: about
        half, to the nearest mark of the ruler that leaves the seam allowances at both ends free."""
        whole = finished_size(self.parts[0])[0] + 2 * plan.seam
        half = nearest(whole / 2, plan.ruler)
        return half if plan.seam < half < whole - plan.seam else whole / 2

    def begun(self, count: int) -> Joined:
        """What is joined so far of it, when only the first so many parts are."""
        thing = replace(self.thing, kind=Kind.PART, first=(self.direction, count - self.is_round))
        return Joined(self.direction, self.parts[:count], thing, self.level)

    @cached_property
    def finished(self) -> Size:
        """Finished (width, height)."""
        sizes = [finished_size(part) for part in self.parts]
        if self.is_round:
            # Across the top lie the upper arm and the one at its end, down that end the second and the third.
            at = dict(zip(("", *EDGES_ROUND[self.level]), sizes, strict=False))
            wide = at["top"][0] + (at[self.level][0] if self.level in at else Measure())
            if len(sizes) < 3:
                return wide, at["top"][1] + at[""][1]
            return wide, at[self.level][1] + (at["bottom"][1] if "bottom" in at else Measure())
        if self.direction == "across":
            return sum((width for width, _ in sizes), Measure()), sizes[0][1]
        return sizes[0][0], sum((height for _, height in sizes), Measure())

    def pieces(self) -> Iterator[Joined]:
        """Every joined piece inside, innermost first, this one last."""
        for part in self.parts:
            if isinstance(part, Joined):
                yield from part.pieces()
        yield self


Node = Leaf | Joined


def leaves(node: Node) -> Iterator[Leaf]:
    """Units of a node, in joining order."""
    if isinstance(node, Leaf):
        yield node
    else:
        for part in node.parts:
            yield from leaves(part)


def finished_size(node: Node) -> Size:
    """Finished (width, height) of a node."""
    return node.placed.finished_turned.finished if isinstance(node, Leaf) else node.finished


def unfinished_size(node: Node, seam: Measure) -> Size:
    """Unfinished (width, height) of a node: as finished, with a seam allowance on every side."""
    width, height = finished_size(node)
    return width + 2 * seam, height + 2 * seam


def joining_order(units: Sequence[PlacedUnit]) -> Node:
    """The slicing tree of a block's units. Raises NotStraight, naming units that no straight seam parts.

    Rows wherever seams run straight across; within them columns; and so on. The seams between units are the same
    whatever the order: one fewer than the units, over the same length in all.
    """
    return _slice(tuple(units), (), "down", {})


Refused = dict[frozenset[PlacedUnit], NotStraight]


def _slice(units: tuple[PlacedUnit, ...], lines: tuple[tuple[str, int], ...], first: str, refused: Refused) -> Node:
    """`refused`: what is known not to be joined, and why, since a part may lie in many rounds."""
    if len(units) == 1:
        return Leaf(units[0])
    for direction in (first, OTHER[first]):
        groups = parted(units, direction)
        if len(groups) > 1:
            parts = tuple(
                _slice(tuple(group), (*lines, (direction, number)), OTHER[direction], refused)
                for number, group in enumerate(groups, 1)
            )
            return Joined(direction, parts, in_lines(*lines))
    return _in_a_round(units, lines, refused)


def _in_a_round(units: tuple[PlacedUnit, ...], lines: tuple[tuple[str, int], ...], refused: Refused) -> Node:
    whole = frozenset(units)
    if whole not in refused:
        fault = NotStraight(units)
        for each in rounds(units):
            try:
                parts = tuple(
                    _slice(tuple(group), (*lines, ("round", number)), "down", refused)
                    for number, group in enumerate((each.middle, *each.arms))
                )
            except NotStraight as within:
                # The fewest units that cannot be joined say best what has to be drawn otherwise.
                fault = min(fault, within, key=lambda each: len(each.units))
                continue
            return Joined("round", parts, in_lines(*lines), each.level)
        refused[whole] = fault
    raise refused[whole]


AWAY_FROM_FIRST, AWAY_FROM_SECOND = (0, 1), (1, 0)
"""The side of a seam that is not the strip just added, where that is its first part, or its second."""


def added_strips(root: Node) -> dict[tuple[Thing, Thing], tuple[int, int]]:
    """For seams (between two parts) of a block built strip by strip round a middle, as log cabins and
    courthouse steps are: 1 for the side that is not the strip just added."""
    rounds = _rounds(root)
    found: dict[tuple[Thing, Thing], tuple[int, int]] = {}
    if len(rounds) < 2:
        return found
    for piece, middle in rounds:
        things = [part.thing for part in piece.parts]
        if middle is not None and middle > 0:
            found[things[0], things[1]] = AWAY_FROM_FIRST
        if middle is not None and middle < len(things) - 1:
            found[things[-2], things[-1]] = AWAY_FROM_SECOND
    return found


def _rounds(root: Node) -> list[tuple[Joined, int | None]]:
    """The pieces of such a block, outermost first, and which part of each was there before its strips; None where that
    cannot be told of the innermost two patches. Empty where the block is not built so."""
    pieces: list[Joined] = []
    places: list[int | None] = []
    node = root
    while isinstance(node, Joined):
        inner = [place for place, part in enumerate(node.parts) if isinstance(part, Joined)]
        place = inner[0] if inner else _middle_of(pieces, node)
        strips = [part for at, part in enumerate(node.parts) if isinstance(part, Leaf) and at != place]
        if len(inner) > 1 or len(strips) > 2 or not all(part.placed.unit.recipe.is_plain for part in strips):
            return []
        if len(node.parts) == 3 and place != 1:
            return []
        pieces.append(node)
        places.append(place)
        if not inner:
            break
        node = node.parts[inner[0]]
    return list(zip(pieces, places, strict=True))


def _middle_of(rounds: Sequence[Joined], innermost: Joined) -> int | None:
    """Which of the innermost patches is the middle. Each round goes on where the one before it ended: of two, the strip
    lies opposite the next one that is added the same way."""
    if len(innermost.parts) != 2:
        return 1
    for piece in reversed(rounds):
        if piece.direction == innermost.direction and len(piece.parts) == 2:
            return 0 if isinstance(piece.parts[0], Leaf) else 1
    return None
