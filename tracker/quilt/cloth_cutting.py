"""How each cloth is cut: strips across its usable width, and what is cut from every strip.

Rotary cutting goes in two stages, strips and then cross-cuts, and here in the fewest strips and then the least length
that need no more cloth than a strip for every size. Strips longer than the cloth is wide are joined of several, or cut
down the cloth's length where that takes no more of it. Sizes are exact. Where one is no fraction (it has √2 in it),
cloth is reckoned to the ruler's next mark; what is trimmed later is cut so too, but not what a block is sewn of.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from tracker.exact.measure import Measure, convert, round_up
from tracker.plan.model import Fabric, Plan
from tracker.quilt.borders import CannotCut, TooLarge, panels, strips_to_join
from tracker.quilt.packing import Item, Packing, pack, shelves
from tracker.quilt.setting import Setting
from tracker.work.steps import AddStrips, Checklist, Cut, CutPiece, LayOut, Pile, Step
from tracker.work.things import SIDES

FAT_QUARTER = (Measure(Fraction(41, 2)), Measure(Fraction(35, 2)))
"""Usable width and length of a fat quarter, in inches."""

BLOCK_USES = ("unit", "frame")
"""What is cut for the blocks themselves; every other use is the quilt's."""

LATER_USES = "border", "binding", "backing"
"""Uses of pieces that are cut when the top lies there: their cloth is laid aside till then."""

SPARE = {"in": Measure(4), "cm": Measure(10)}
"""How much longer strips joined end to end are than what is cut from them, and what shows at least of the last one."""

_SQUARING = {"in": Measure(Fraction(1, 2)), "cm": Measure(Fraction(3, 2))}
"""What the first cut, that squares the end of a cloth, may take."""

_MOST_PARTS = 6000
"""Into so many parts the usable width is divided, at most, to count sizes in."""


@dataclass(frozen=True)
class CutPart:
    """`count` pieces cut from a strip side by side: `width` along the strip, `height` across it. `uses`: what for."""

    width: Measure
    height: Measure
    count: int
    uses: tuple[str, ...]


@dataclass(frozen=True)
class CutStrip:
    """`count` strips of one cut `width`; from each are cut the parts, and `left` remains at its end."""

    width: Measure
    count: int
    parts: tuple[CutPart, ...]
    left: Measure

    @property
    def long(self) -> Measure:
        """The cloth that it runs along."""
        return self.left + sum((part.width * part.count for part in self.parts), Measure())


@dataclass(frozen=True)
class JoinedRun:
    """Strips that are cut longer than the cloth is wide: `strips` of it, sewn end to end, give all of `pieces` and some
    to spare.

    All are full widths of the cloth but the last, which is `last` long.
    """

    pieces: tuple[CutPiece, ...]
    strips: int
    last: Measure


@dataclass(frozen=True)
class ClothCutting:
    """All that is cut from one cloth.

    `strips` come from the length of cloth, widest first; `quarter_strips` from `fat_quarters`, which are used up first.
    `length` is the cloth that is needed, with `squaring`. `proven`: no cutting has fewer strips, or as few and less
    length. `pieced`: what is too large for the cloth and is joined of panels.
    """

    fabric: str
    strips: tuple[CutStrip, ...]
    quarter_strips: tuple[CutStrip, ...]
    fat_quarters: int
    runs: tuple[JoinedRun, ...]
    pieced: tuple[CutPiece, ...]
    squaring: Measure
    length: Measure
    proven: bool

    @property
    def number(self) -> int:
        """How many strips are cut from the length of cloth."""
        return sum(strip.count for strip in self.strips)


def cut_quilt(plan: Plan, checklist: Checklist, setting: Setting) -> tuple[ClothCutting, ...]:
    """How every cloth that is needed is cut. Raises CannotCut where one is too narrow to be joined at all."""
    pieces = [*block_pieces(plan, checklist), *setting.pieces]
    needed = {key: [piece for piece in pieces if piece.fabric == key] for key in plan.fabrics}
    return tuple(cut_cloth(plan, plan.fabrics[key], wanted) for key, wanted in needed.items() if wanted)


def cut_cloth(plan: Plan, fabric: Fabric, pieces: Sequence[CutPiece]) -> ClothCutting:
    """How one cloth is cut: crosswise, or, where strips would have to be joined, down its length if that takes no
    more."""
    return _cut_one_way(plan, fabric, _laid_best(plan, fabric, pieces))


def joined_runs(plan: Plan, pieces: Sequence[CutPiece], setting: Setting) -> tuple[JoinedRun, ...]:
    """The strips of the quilt that are joined end to end, when these `pieces` are cut for its blocks.

    Raises CannotCut where a cloth is too narrow to be joined, or a piece of the quilt round
    its blocks (TooLarge) larger than its cloth.
    """
    runs: list[JoinedRun] = []
    for key, fabric in plan.fabrics.items():
        wanted = [piece for piece in (*pieces, *setting.pieces) if piece.fabric == key]
        joined, _, pieced = _joined_apart(plan, fabric, _laid_best(plan, fabric, wanted))
        # Pieces of the blocks themselves are told with their places (see narrow_cloth).
        if too_large := [piece for piece in pieced if piece.use not in BLOCK_USES]:
            raise TooLarge(too_large[0].use, key)
        runs += joined
    return tuple(runs)


def _laid_best(plan: Plan, fabric: Fabric, pieces: Sequence[CutPiece]) -> list[CutPiece]:
    """The pieces as they lie on the cloth: strips that are too long for its width down its length, if, cut size by size
    into what is open, that takes no more cloth than joining them."""
    runs, whole, _ = _joined_apart(plan, fabric, pieces)
    if not runs or fabric.directional:
        return list(pieces)
    joined = [piece for run in runs for piece in run.pieces]
    turned = [
        replace(piece, width=piece.height, height=piece.width, fixed=True, joined=False) if piece in joined else piece
        for piece in pieces
    ]
    others = _joined_apart(plan, fabric, turned)[1]
    return turned if _rough_length(fabric, others) <= _rough_length(fabric, whole) else list(pieces)


def _rough_length(fabric: Fabric, pieces: Sequence[CutPiece]) -> Measure:
    """The length of cloth for pieces cut from strips, longest first, each from the first strip that has room."""
    strips: list[tuple[Measure, int, Measure]] = []
    ways = [(p.width, p.height) if p.width <= fabric.usable else (p.height, p.width) for p in pieces]
    lying = [(along, across, piece.count) for (across, along), piece in zip(ways, pieces, strict=True)]
    for along, across, count in sorted(lying, reverse=True):
        left, after = count, []
        for height, number, room in strips:
            each = min((room / across).__floor__(), left)
            used = min(-(-left // each), number) if each else 0
            if used:
                after.append((height, used, room - across * each))
                left = max(left - used * each, 0)
            if number > used:
                after.append((height, number - used, room))
        each = (fabric.usable / across).__floor__()
        if left:
            after.append((along, -(-left // each), fabric.usable - across * min(each, left)))
        strips = after
    return sum((height * number for height, number, _ in strips), Measure())


def block_pieces(plan: Plan, checklist: Checklist) -> list[CutPiece]:
    """The checklist's pieces as they lie on the cloth. On a cloth with a direction those that stand upright in the
    block are cut upright."""
    upright = _upright(checklist)
    pieces = []
    for piece in checklist.pieces:
        if piece.use not in BLOCK_USES:
            continue
        directional = plan.fabrics[piece.fabric].directional
        standing = min(upright[piece.fabric, piece.width, piece.height], piece.count) if directional else 0
        upright[piece.fabric, piece.width, piece.height] -= standing
        if piece.count > standing:
            lying = piece.count - standing
            pieces.append(replace(piece, count=lying))
        if standing:
            pieces.append(replace(piece, width=piece.height, height=piece.width, count=standing))
    return pieces


def listed(piece: Cut | CutPiece) -> tuple[str, Measure, Measure, str]:
    """What is alike in a row of the cutting list and in every step that cuts pieces of it."""
    return piece.fabric, piece.width, piece.height, piece.use


def stands_upright(piles: Mapping[str, Pile], step: Step, strips: AddStrips) -> bool:
    """Whether the strips of a frame lie with their longer side upright in the block: those at its sides, but for strips
    that are cut wider than the block is long, of which those above and below stand."""
    sewn, strip = (piles[pile].size for pile in (step.gives[0].pile, strips.strip))
    at_sides = strips.edges == SIDES
    if sewn is None or strip is None:
        return at_sides
    return at_sides == (max(strip) == sewn[1 if at_sides else 0])


def standing_of(checklist: Checklist, cut: Step) -> int:
    """How many of the pieces that a step cuts have their print along their longer side."""
    assert isinstance(cut.action, Cut)
    along = [bool(way % 180) for way in cut.action.prints]
    if cut.action.width == cut.action.height or not any(along):
        return 0
    if all(along):
        return cut.count
    pile, count = cut.gives[0].pile, 0
    for step in checklist.steps:
        if isinstance(step.action, LayOut) and step.per != "quilt":
            count += step.count * sum(place.pile == pile and place.turn % 180 > 0 for place in step.action.places)
        elif isinstance(step.action, AddStrips) and step.action.strip == pile:
            count += 2 * step.count * stands_upright(checklist.piles, step, step.action)
    return min(count, cut.count)


def _upright(checklist: Checklist) -> Counter[tuple[str, Measure, Measure]]:
    """How many patches stand with their longer side upright."""
    counts: Counter[tuple[str, Measure, Measure]] = Counter()
    for step in checklist.steps:
        if isinstance(step.action, Cut) and step.action.prints and step.action.use in BLOCK_USES:
            counts[step.action.fabric, step.action.width, step.action.height] += standing_of(checklist, step)
    return counts


def _cut_one_way(plan: Plan, fabric: Fabric, pieces: Sequence[CutPiece]) -> ClothCutting:
    runs, whole, pieced = _joined_apart(plan, fabric, pieces)
    table = _CuttingTable(plan, fabric, whole)
    quarters, used = table.from_quarters()
    packing = table.from_length()
    squaring = _SQUARING[plan.unit] if packing.number else Measure()
    strips = table.strips(packing, fabric.usable)
    return ClothCutting(
        fabric.key,
        strips,
        quarters,
        used,
        tuple(runs),
        tuple(pieced),
        squaring,
        sum((strip.width * strip.count for strip in strips), squaring),
        packing.proven,
    )


def _joined_apart(
    plan: Plan, fabric: Fabric, pieces: Sequence[CutPiece]
) -> tuple[list[JoinedRun], list[CutPiece], list[CutPiece]]:
    """Strips that must be joined, as the full widths they are made of; pieces that fit; those too large, that are
    pieced (which then are among the pieces that fit, as panels)."""
    usable = fabric.usable
    longer: dict[tuple[Measure, str], list[CutPiece]] = {}
    whole, pieced = [], []
    for piece in pieces:
        fits_turned = piece.height <= usable and not (piece.fixed or fabric.directional)
        if piece.width <= usable or (fits_turned and not piece.joined):
            whole.append(piece)
        elif piece.joined:
            longer.setdefault((piece.height, piece.use), []).append(piece)
        else:
            pieced.append(piece)
            if usable <= 2 * plan.seam:
                raise CannotCut(piece.use, fabric.key)
            for width, height in panels(piece.width, piece.height, usable, plan.seam):
                whole.append(replace(piece, width=width, height=height, fixed=True))
    runs = []
    for (width, use), long in longer.items():
        if usable <= width:
            raise CannotCut(use, fabric.key)
        number, last = _strips_of_run(plan, long, usable, width)
        runs.append(JoinedRun(tuple(long), number, last))
        whole.append(CutPiece(fabric.key, usable, width, number - 1, use, fixed=True))
        whole.append(CutPiece(fabric.key, last, width, 1, use, fixed=True))
    return runs, whole, pieced


def _strips_of_run(plan: Plan, pieces: Sequence[CutPiece], usable: Measure, loss: Measure) -> tuple[int, Measure]:
    """How many strips are joined for these pieces, with some to spare, and how long the last of them is.

    In the first reckoning nothing was spared.
    """
    total = sum((piece.width * piece.count for piece in pieces), Measure())
    spare = Measure() if plan.reckoning == 1 else SPARE[plan.unit]
    number = strips_to_join(total + spare, usable, loss)
    last = total + spare - (usable - loss) * (number - 1)
    return number, min(max(last, loss + spare), usable)


def as_cut(plan: Plan, fabric: str, side: Measure) -> Measure:
    """The cloth that a side of a piece takes: exact where it is a plain fraction, else up to the ruler's next mark."""
    if side.is_rational:
        return side
    marked = round_up(side, plan.ruler)
    usable = plan.fabrics[fabric].usable
    return usable if side <= usable < marked else marked


class _CuttingTable:
    """The pieces of one cloth as items for packing, in whole parts of the unit: one for each size and way to lie,
    whatever it is for."""

    def __init__(self, plan: Plan, fabric: Fabric, pieces: Iterable[CutPiece]) -> None:
        self.plan, self.fabric = plan, fabric
        counts: Counter[CutPiece] = Counter()
        self.uses: dict[CutPiece, dict[str, None]] = {}
        for piece in pieces:
            # A block is sewn of its pieces as they are cut: a little more on each would make it too large.
            exactly = piece.use in BLOCK_USES
            sides = piece.width, piece.height
            width, height = sides if exactly else (self._taken(side) for side in sides)
            fixed = piece.fixed or fabric.directional or width == height
            if piece.count:
                alike = CutPiece(fabric.key, width, height, 0, "", fixed)
                counts[alike] += piece.count
                self.uses.setdefault(alike, {})[piece.use] = None
        self.sizes = sorted(counts, key=lambda size: (-size.height, -size.width, size.fixed))
        taken = [self._taken(side) for size in self.sizes for side in (size.width, size.height)]
        parts = lcm(*(side.rational.denominator for side in (*taken, fabric.usable, *self._quarter())))
        # Where the unit would be parted too finely, sizes are packed a little larger than they are.
        self.parts = min(parts, max((_MOST_PARTS / fabric.usable).__floor__(), 1))
        self.left = [counts[size] for size in self.sizes]

    def _taken(self, side: Measure) -> Measure:
        return as_cut(self.plan, self.fabric.key, side)

    def _quarter(self) -> tuple[Measure, Measure]:
        """A fat quarter's usable width and length, in the plan's unit."""
        return convert(FAT_QUARTER[0], "in", self.plan.unit), convert(FAT_QUARTER[1], "in", self.plan.unit)

    def _room(self, side: Measure) -> int:
        """A side of the cloth in parts."""
        return (side * self.parts).__floor__()

    def _items(self, width: Measure) -> list[Item]:
        return [
            Item(self._whole(size.width, width), self._whole(size.height, width), left, not size.fixed)
            for size, left in zip(self.sizes, self.left, strict=True)
        ]

    def _whole(self, side: Measure, width: Measure) -> int:
        """A side of a piece in parts, rounded up, but no longer than cloth on which it fits."""
        parts = -(-self._taken(side) * self.parts).__floor__()
        return min(parts, self._room(width)) if side <= width else parts

    def from_quarters(self) -> tuple[tuple[CutStrip, ...], int]:
        """Cut what fits from the fat quarters in the cupboard, one after another: strips, and how many are used."""
        if not self.fabric.fat_quarters:
            return (), 0
        width, depth = self._quarter()
        strips: list[CutStrip] = []
        for number in range(self.fabric.fat_quarters):
            packing = shelves(self._room(width), self._room(depth), self._items(width))
            if not packing.number:
                return tuple(strips), number
            for strip in packing.strips:
                for placed in strip.placed:
                    self.left[placed.item] -= placed.count * strip.count
            strips += self.strips(packing, width)
        return tuple(strips), self.fabric.fat_quarters

    def from_length(self) -> Packing:
        """Cut the rest from the length of cloth."""
        return pack(self._room(self.fabric.usable), self._items(self.fabric.usable))

    def strips(self, packing: Packing, width: Measure) -> tuple[CutStrip, ...]:
        """A packing's strips, of this much usable length, in exact sizes."""
        strips = []
        for strip in packing.strips:
            parts = []
            for placed in strip.placed:
                size = self.sizes[placed.item]
                lying = (size.height, size.width) if placed.turned else (size.width, size.height)
                parts.append(CutPart(*lying, placed.count, tuple(self.uses[size])))
            left = width - sum((part.width * part.count for part in parts), Measure())
            strips.append(CutStrip(max(part.height for part in parts), strip.count, tuple(parts), left))
        return tuple(strips)
