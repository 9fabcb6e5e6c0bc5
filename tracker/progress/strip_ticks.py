"""The cutting table: every strip in the order of cutting, what comes from it, and what a tick on it counts. Pure.

A strip is known by what is cut from it and by its number among those alike, so an edited plan keeps the ticks of all
strips that stay as they were. Its pieces belong to the cut steps of the checklist, each piece to one; pieces counted
at those steps without a tick are taken to be those of the first strips that are not ticked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from tracker.exact.measure import Measure, convert
from tracker.plan.model import Plan
from tracker.progress.counts import Counts
from tracker.quilt.cloth_cutting import BLOCK_USES, ClothCutting, CutPart, CutStrip, as_cut
from tracker.quilt.cloth_cutting import FAT_QUARTER as FAT_QUARTER_SIZE
from tracker.units.maker import digest, token
from tracker.work.steps import Checklist, Cut, Size

LENGTH, FAT_QUARTER = "length", "fat quarter"
"""What a strip is cut from."""

OPEN, TICKED, COUNTED = "open", "ticked", "counted"
"""How a strip stands: to be cut; ticked off; not ticked, but all its pieces are counted already."""


@dataclass(frozen=True)
class Strip(CutStrip):
    """One strip of a cloth (its `count` is 1). `name` is its own, `kind` that of all that are alike.

    `square_first` is cut off before it, to square the cloth's end (nothing: that is done); `fresh`: another piece of
    cloth is taken for it. `counts` are the cut steps that its pieces belong to, and how many to each.
    """

    cloth: str
    name: str
    kind: str
    source: str
    square_first: Measure
    fresh: bool
    counts: tuple[tuple[str, int], ...]

    @property
    def pieces(self) -> int:
        """How many pieces are cut from it."""
        return sum(part.count for part in self.parts)


@dataclass(frozen=True)
class End:
    """What `count` strips leave at their ends: pieces of cloth `width` by `left`."""

    width: Measure
    left: Measure
    count: int


@dataclass(frozen=True)
class ClothStrips:
    """The strips of one cloth in the order of cutting: fat quarters first, then the length, widest first.

    `ends` are what remains of strips, largest first. `uncut` is what is left of the length in the cupboard (None: it
    is not said how much there is, or it is too little), `quarters_left` the fat quarters that are not needed.
    """

    cutting: ClothCutting
    strips: tuple[Strip, ...]
    ends: tuple[End, ...]
    uncut: Measure | None
    quarters_left: int

    @property
    def cloth(self) -> str:
        return self.cutting.fabric

    @cached_property
    def pieces(self) -> dict[str, int]:
        """How many pieces of each cut step come from all strips together."""
        return dict(_summed(self.strips))


def strips_by_cloth(plan: Plan, checklist: Checklist, cuttings: Iterable[ClothCutting]) -> tuple[ClothStrips, ...]:
    """Every strip of every cloth, in the order of cutting. `cuttings` are as cut_quilt gives them for the plan."""
    return tuple(_of_cloth(plan, checklist, cutting) for cutting in cuttings)


def _of_cloth(plan: Plan, checklist: Checklist, cutting: ClothCutting) -> ClothStrips:
    fabric = plan.fabrics[cutting.fabric]
    shares = _StripShares(checklist, fabric.key)
    numbers: Counter[str] = Counter()
    strips: list[Strip] = []
    for source, cut, fresh in _one_by_one(plan, cutting):
        kind = _kind(plan, cutting.fabric, source, cut)
        numbers[kind] += 1
        counts = Counter[str]()
        for part in cut.parts:
            counts.update(shares.take(part))
        strips.append(
            Strip(
                cut.width,
                1,
                cut.parts,
                cut.left,
                cutting.fabric,
                f"{kind}-{numbers[kind]}",
                kind,
                source,
                cutting.squaring if fresh and source == LENGTH else Measure(),
                fresh,
                tuple(counts.items()),
            )
        )
    uncut = fabric.have - cutting.length if fabric.have is not None and fabric.have >= cutting.length else None
    return ClothStrips(cutting, tuple(strips), _ends(strips), uncut, fabric.fat_quarters - cutting.fat_quarters)


def _one_by_one(plan: Plan, cutting: ClothCutting) -> Iterator[tuple[str, CutStrip, bool]]:
    """What each single strip is cut from, the strip, and whether it is the first from that piece of cloth.

    A fat quarter is cut until nothing more of what is needed fits, so the next is begun where a strip does not.
    """
    depth = convert(FAT_QUARTER_SIZE[1], "in", plan.unit)
    room = Measure()
    for strip in cutting.quarter_strips:
        for _ in range(strip.count):
            fresh = strip.width > room
            room = (depth if fresh else room) - strip.width
            yield FAT_QUARTER, strip, fresh
    fresh = True
    for strip in cutting.strips:
        for _ in range(strip.count):
            yield LENGTH, strip, fresh
            fresh = False


def _kind(plan: Plan, cloth: str, source: str, strip: CutStrip) -> str:
    """By the cloth that it takes: so strips were named when they were cut to that, too."""

    def taken(side: Measure) -> str:
        return token(as_cut(plan, cloth, side))

    parts = "+".join(f"{part.count}x{taken(part.width)}x{taken(part.height)}" for part in strip.parts)
    return digest(f"{cloth}:{source}:{taken(strip.width)}:{parts}")


def _ends(strips: Iterable[Strip]) -> tuple[End, ...]:
    found = Counter((strip.width, strip.left) for strip in strips if strip.left)
    ends = [End(width, left, count) for (width, left), count in found.items()]
    return tuple(sorted(ends, key=lambda end: (-(end.width * end.left), -end.width)))


class _StripShares:
    """The cut steps of one cloth, and how many pieces of each still have no strip."""

    def __init__(self, checklist: Checklist, cloth: str) -> None:
        self._steps: dict[Size, list[tuple[str, Cut]]] = {}
        self._left: dict[str, int] = {}
        for step in checklist.steps:
            if isinstance(step.action, Cut) and step.action.fabric == cloth:
                size = _longer_first(step.action.width, step.action.height)
                self._steps.setdefault(size, []).append((step.id, step.action))
                self._left[step.id] = step.count

    def take(self, part: CutPart) -> dict[str, int]:
        """The steps that the pieces of a part belong to: where one size is cut for several uses, those that are
        needed first are served first. Pieces that no step asks for belong to none."""
        taken, count = {}, part.count
        for step_id, cut in self._steps.get(_longer_first(part.width, part.height), []):
            times = min(self._left[step_id], count) if cut.use in part.uses and _lies_so(cut, part) else 0
            if times:
                taken[step_id] = times
                self._left[step_id] -= times
                count -= times
        return taken


def _lies_so(cut: Cut, part: CutPart) -> bool:
    """Whether pieces that a step cuts may lie so on their cloth, by their print."""
    if cut.use not in BLOCK_USES or not cut.prints or part.width == part.height:
        return True
    return any((way % 180 > 0) == (part.height > part.width) for way in cut.prints)


def _longer_first(width: Measure, height: Measure) -> Size:
    return max(width, height), min(width, height)


def _summed(strips: Iterable[Strip]) -> Counter[str]:
    total = Counter[str]()
    for strip in strips:
        total.update(dict(strip.counts))
    return total


# How the strips stand


@dataclass(frozen=True)
class StripStanding:
    """How one strip stands, and what a tick on it would count now: cut steps, and how often each."""

    strip: Strip
    state: str
    counts: tuple[tuple[str, int], ...]

    @property
    def pieces(self) -> int:
        """How many pieces a tick would count."""
        return sum(times for _, times in self.counts)


def standing(counts: Counts, cloth: ClothStrips) -> list[StripStanding]:
    """How every strip of a cloth stands, in the order of cutting.

    A tick counts what is still left to count, so that a piece counted at its step is not counted again, and never
    more than is needed.
    """
    by_hand = _counted_by_hand(counts, cloth)
    found = []
    for strip in cloth.strips:
        if (strip.cloth, strip.name) in counts.ticked:
            found.append(StripStanding(strip, TICKED, ()))
            continue
        fresh = []
        for step, times in strip.counts:
            already = min(by_hand.get(step, 0), times)
            by_hand[step] = by_hand.get(step, 0) - already
            known = counts.steps.get(step)
            times = min(times - already, counts.left(known) if known is not None else 0)
            if times:
                fresh.append((step, times))
        # Pieces that no step counts are cut when the strip is ticked, not before.
        counted = not fresh and sum(times for _, times in strip.counts) == strip.pieces
        state = COUNTED if counted else OPEN
        found.append(StripStanding(strip, state, tuple(fresh)))
    return found


def _counted_by_hand(counts: Counts, cloth: ClothStrips) -> dict[str, int]:
    """Pieces counted without a tick, by step. What is cut again for pieces lost comes from no strip."""
    ticked = _summed(strip for strip in cloth.strips if (strip.cloth, strip.name) in counts.ticked)
    found = {}
    for step_id, planned in cloth.pieces.items():
        step = counts.steps.get(step_id)
        if step is None:
            continue
        done = counts.times_done(step)
        again = counts.count(step) - step.count if done < planned else 0
        found[step_id] = max(done - ticked[step_id] - again, 0)
    return found
