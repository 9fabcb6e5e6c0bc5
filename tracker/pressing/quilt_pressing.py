"""The pressing of a whole quilt: which version of its block lies in each place, which way up; and each version's seams.

In this order: as few meetings as can be that do not nest, inside blocks and between them; the fewest versions; the
fewest half turns; then, over the versions, as little as can be against each habit of pressing, in the plan's order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import accumulate, islice

from tracker.exact.kept import Kept
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.pressing.arranging import Arranged, Neighbours, arrange
from tracker.pressing.block_pressing import SeamLines, Sides, lines_of
from tracker.pressing.meetings import BlockSeams
from tracker.pressing.seam_reader import block_seams, row_or_unit
from tracker.units.joins import Joined, Node
from tracker.work.pressed import BlockPressing, PlacePressing, Pressing, PressVersion, SeamPress

PATIENCE = 20_000
"""How many places the search fills before it is content; small quilts are done long before."""

SEAMS: Kept[BlockSeams] = Kept(1000)
"""The seams of blocks, by their sizes and frames, how their units are joined, and the plan's settings."""

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class PressedQuilt:
    """`seams` and `versions` (sides of its seams) of each kind of block; what lies in each place, in reading order: the
    kind (`keys`), its version and half turns, and the quarter turns that the plan wants (`lie`). `proven` is false
    where a large quilt was not searched to the end."""

    seams: Mapping[str, BlockSeams]
    versions: Mapping[str, tuple[Sides, ...]]
    keys: tuple[str, ...]
    places: tuple[tuple[int, int], ...]
    lie: tuple[int, ...]
    proven: bool

    def blocks(self, key: str, version: int) -> tuple[int, ...]:
        """The numbers (from 1) of the blocks of a kind that are pressed in one version."""
        lying = enumerate(zip(self.keys, self.places, strict=True), 1)
        return tuple(number for number, (of, (own, _)) in lying if of == key and own == version)

    def turn(self, place: int) -> int:
        """How far the block in a place (from 0) is turned, clockwise in degrees."""
        return 180 * self.places[place][1] + 90 * self.lie[place]

    def ends(self, place: int, edge: str) -> dict[Measure, int]:
        """Where seams run out at an edge of the block in a place, as it lies, and the side each is pressed to."""
        key, (version, turn) = self.keys[place], self.places[place]
        seams, sides = self.seams[key], self.versions[key][version]
        lying = seams.upside_down(sides) if turn else sides
        return {at: lying[seam] ^ over for at, (seam, over) in seams.at_edge(edge, self.lie[place]).items()}


def press_quilt(plan: Plan, roots: Mapping[str, Node], patience: int = PATIENCE) -> PressedQuilt:
    """The pressing of all blocks of a plan, whose units are joined as `roots` say."""
    kinds = dict.fromkeys(plan.quilt.blocks_in_order())
    return press_seams(plan, {key: quilt_seams(plan, key, roots[key]) for key in kinds}, patience)


def press_seams(plan: Plan, seams: Mapping[str, BlockSeams], patience: int = PATIENCE) -> PressedQuilt:
    """The same where the seams of each kind of block, as `quilt_seams` gives them, are known already."""
    keys = list(plan.quilt.blocks_in_order())
    kinds = list(seams)
    lines = [lines_of(seams[key]) for key in kinds]
    numbers = [kinds.index(key) for key in keys]
    lie = tuple(turn // 90 for turn in plan.quilt.turns_in_order())
    arranged = arrange(lines, numbers, lie, list(neighbours(plan)), patience)
    return PressedQuilt(seams, _sides(kinds, lines, arranged), tuple(keys), arranged.places, lie, arranged.proven)


def quilt_seams(plan: Plan, key: str, root: Node) -> BlockSeams:
    """The seams of a block, turned only where the quilt allows half turns."""
    block = plan.blocks[key]
    kept = block.columns, block.rows, block.frames, block.squared, block.squared_framed, root, plan.settings
    found = SEAMS.get(kept, lambda: block_seams(block, root, plan))
    return found if plan.quilt.half_turns and not plan.quilt.turns else replace(found, turned=None)


def _sides(kinds: list[str], lines: list[SeamLines], arranged: Arranged) -> dict[str, tuple[Sides, ...]]:
    return {
        key: tuple(own.sides(ways) for ways in versions)
        for key, own, versions in zip(kinds, lines, arranged.ways, strict=True)
    }


def neighbours(plan: Plan) -> Iterator[Neighbours]:
    """Places that are sewn edge to edge, numbered from 0 in reading order. Sashes keep blocks apart."""
    quilt = plan.quilt
    if quilt.sash is not None:
        return
    starts = list(accumulate(map(len, quilt.places), initial=0))
    for row, keys in enumerate(quilt.places):
        for column in range(len(keys)):
            here = starts[row] + column
            if quilt.setting == "on point":
                yield from _above_on_point(quilt.places, starts, row, column, here)
                continue
            if column:
                yield Neighbours(here - 1, here, ("right", "left"))
            if row:
                yield Neighbours(starts[row - 1] + column, here, ("bottom", "top"))


def _above_on_point(
    places: tuple[tuple[str, ...], ...], starts: list[int], row: int, column: int, here: int
) -> Iterator[Neighbours]:
    """On point a block stands on its corner, turned clockwise: its left edge looks up left, its top edge up right."""
    if not row:
        return
    # A short row stands between the blocks of the long rows above and below it.
    left = column if row % 2 else column - 1
    if left >= 0:
        yield Neighbours(starts[row - 1] + left, here, ("right", "left"))
    if left + 1 < len(places[row - 1]):
        yield Neighbours(starts[row - 1] + left + 1, here, ("bottom", "top"))


# Judging


def unnested_between(plan: Plan, pressed: PressedQuilt) -> int:
    """How many meetings of seams of neighbouring blocks do not nest; a cloth that meets itself is not counted."""
    count = 0
    for pair in neighbours(plan):
        first, second = (pressed.seams[pressed.keys[place]] for place in (pair.first, pair.second))
        if first.frame is not None and first.frame == second.frame:
            continue
        own, other = pressed.ends(pair.first, pair.edges[0]), pressed.ends(pair.second, pair.edges[1])
        count += sum(own[at] == other[at] for at in own if at in other)
    return count


# For the checklist


def letter(version: int) -> str:
    """What people call a version: A, B, ... Z, AA, AB, ..."""
    before, last = divmod(version, len(LETTERS))
    return (letter(before - 1) if before else "") + LETTERS[last]


def pressing_of(plan: Plan, roots: Mapping[str, Node], pressed: PressedQuilt) -> Pressing:
    """The pressing as the checklist keeps it."""
    blocks = []
    for key, versions in pressed.versions.items():
        own = []
        for number, sides in enumerate(versions):
            seams = tuple(_named(roots[key], pressed.seams[key], sides))
            unnested = pressed.seams[key].unnested(sides)
            own.append(PressVersion(letter(number), pressed.blocks(key, number), seams, unnested))
        blocks.append(BlockPressing(key, tuple(own)))
    lying = [
        PlacePressing(key, version, pressed.turn(place))
        for place, (key, (version, _)) in enumerate(zip(pressed.keys, pressed.places, strict=True))
    ]
    places = iter(lying)
    rows = tuple(tuple(islice(places, len(row))) for row in plan.quilt.places)
    return Pressing(tuple(blocks), rows, unnested_between(plan, pressed), pressed.proven)


def _named(root: Node, seams: BlockSeams, sides: Sides) -> Iterator[SeamPress]:
    """The joins of a block, each with the side it goes to."""
    if not isinstance(root, Joined):
        return
    side_of = {seam.between: side for seam, side in zip(seams.seams, sides, strict=True)}
    for piece in root.pieces():
        for before, after in piece.seams():
            between = row_or_unit(before), row_or_unit(after)
            yield SeamPress(between, between[side_of[before.thing, after.thing]])
