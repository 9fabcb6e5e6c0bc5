"""Whether each block can be sewn by the steps said to be its own, and the list of pressings says what they do.

A block is followed by its number through the steps of its kind and version. What is said of pressing versions, and of
seams that meet between blocks, is held to the cloth of the finished blocks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, count, pairwise, product
from string import ascii_uppercase

from tracker.cloth.joining import meetings
from tracker.cloth.moving import turned_piece
from tracker.cloth.pieces import Cells, Content, HalfSewn, Piece
from tracker.cloth.sewing import Trace
from tracker.cloth.sewing_faults import SewingFault, fault
from tracker.plan.model import Plan
from tracker.proof.block_picture import difference_from_picture, lying_piece
from tracker.work.partial_seams import PartialSeams
from tracker.work.pressed import PlacePressing, PressVersion, SeamPress
from tracker.work.steps import Checklist, LayOut, Pin, PressSeams, Step
from tracker.work.things import Thing, in_lines, unit_at
from tracker.work.whole_blocks import SetBlock

WHERE = "pressing list"


def per_faults(plan: Plan, checklist: Checklist, step: Step) -> Iterator[SewingFault]:
    """What a step is counted per, against the piles that it takes and gives, and the blocks that there are."""
    owners = {checklist.piles[flow.pile].block for flow in step.gives if flow.pile in checklist.piles}
    taken = {checklist.piles[flow.pile].block for flow in step.takes if flow.pile in checklist.piles}
    own = None if step.per == "quilt" else step.per
    if isinstance(step.action, SetBlock):
        # A block that is set in the quilt is the quilt's from then on.
        owners = owners - {None} | {own}
    if owners != {own} or not taken <= {own, None}:
        found = ", ".join(sorted(str(owner or "quilt") for owner in owners | (taken - {None})))
        yield fault(step.id, "wrong owner", printed=step.per, found=found)
    numbers = _numbers(plan, step.per)
    if step.blocks is not None and not set(step.blocks) <= set(numbers):
        yield fault(step.id, "wrong owner", printed=str(step.blocks), found=str(numbers))
    if own is not None and step.count != len(numbers if step.blocks is None else set(step.blocks)):
        yield fault(step.id, "not each block", count=step.count, needed=len(step.blocks or numbers))


def _letters() -> Iterator[str]:
    """What versions are called, in order: A to Z, then AA, AB, ..."""
    return ("".join(letters) for length in count(1) for letters in product(ascii_uppercase, repeat=length))


def _numbers(plan: Plan, key: str) -> tuple[int, ...]:
    """The numbers, from 1 in reading order, of the blocks of a kind."""
    return tuple(number for number, found in enumerate(plan.quilt.blocks_in_order(), 1) if found == key)


def version_faults(plan: Plan, checklist: Checklist, trace: Trace) -> Iterator[SewingFault]:
    """Block by block, then the list of pressings. For a checklist that can be sewn to the end."""
    finished: dict[int, Content] = {}
    for alike in _alike(plan, checklist):
        left = _left_over(checklist, alike) if alike.steps else _laid_as_made(checklist, alike)
        if list(left.values()) == [1]:
            finished.update(dict.fromkeys(alike.numbers, trace.lying[next(iter(left))]))
        else:
            facts = {"block": alike.numbers[0], "found": ", ".join(left) or "nothing"}
            yield fault("block list", "not one block", **facts)
        yield from _listed_version(checklist, trace, alike)
    for block in checklist.pressing.blocks:
        numbers = set(_numbers(plan, block.block))
        for version, letter in zip(block.versions, _letters(), strict=False):
            if version.letter != letter or not version.blocks or not set(version.blocks) <= numbers:
                yield fault(WHERE, "no such version", block=block.block, found=version.letter)
    yield from _places_faults(plan, checklist, finished)


@dataclass(frozen=True)
class _AlikeVersions:
    """Blocks of one kind, by number, that the same steps are done for."""

    key: str
    numbers: tuple[int, ...]
    steps: tuple[Step, ...]


def _alike(plan: Plan, checklist: Checklist) -> Iterator[_AlikeVersions]:
    for key in dict.fromkeys(plan.quilt.blocks_in_order()):
        steps = [
            step for step in checklist.steps if step.per == key and step.count and not isinstance(step.action, SetBlock)
        ]
        groups = {step.blocks: frozenset(step.blocks) for step in steps if step.blocks is not None}
        found: dict[tuple[bool, ...], list[int]] = {}
        for number in _numbers(plan, key):
            found.setdefault(tuple(number in group for group in groups.values()), []).append(number)
        for numbers in found.values():
            own = tuple(step for step in steps if step.blocks is None or numbers[0] in groups[step.blocks])
            yield _AlikeVersions(key, tuple(numbers), own)


def _left_over(checklist: Checklist, alike: _AlikeVersions) -> dict[str, int]:
    """What is left on the piles of one such block when its steps are done; less than 0 is left where it lacks."""
    left: Counter[str] = Counter()
    for step in alike.steps:
        for flow in step.gives:
            left[flow.pile] += flow.each
        for flow in step.takes:
            left[flow.pile] -= flow.each
    return {pile: count for pile, count in left.items() if count and checklist.piles[pile].block is not None}


def _laid_as_made(checklist: Checklist, alike: _AlikeVersions) -> dict[str, int]:
    """The unit that is laid in the quilt as a whole block."""
    steps = [step for step in checklist.steps if isinstance(step.action, SetBlock) and step.per == alike.key]
    return dict.fromkeys((flow.pile for step in steps for flow in step.takes), 1)


# The list of pressings


def _listed_version(checklist: Checklist, trace: Trace, alike: _AlikeVersions) -> Iterator[SewingFault]:
    """What is listed for the version of such blocks, against their steps."""
    numbers = set(alike.numbers)
    listed = [
        version
        for block in checklist.pressing.blocks
        if block.block == alike.key
        for version in block.versions
        if numbers & set(version.blocks)
    ]
    if len(listed) != 1 or not numbers <= set(listed[0].blocks):
        yield fault(WHERE, "no such version", block=alike.key, found=", ".join(each.letter for each in listed))
        return
    (version,) = listed
    units = sum(len(step.action.places) for step in alike.steps if isinstance(step.action, LayOut))
    pressed = Counter(seam for step in alike.steps for seam in _pressed(step, trace, units))
    for seam in (Counter(version.seams) - pressed) + (pressed - Counter(version.seams)):
        place = f"{alike.key}, version {version.letter}, between {' and '.join(thing.name for thing in seam.between)}"
        printed, found = (_toward(seams, seam.between) for seams in (version.seams, tuple(pressed)))
        yield fault(WHERE, "count", what=place, printed=printed, found=found)
    letters = {step.version for step in alike.steps} - {None}
    if any(version.letter not in str(letters_).split(", ") for letters_ in letters):
        yield fault(WHERE, "no such version", block=alike.key, found=version.letter)
    yield from _unnested_inside(version, alike)


def _unnested_inside(version: PressVersion, alike: _AlikeVersions) -> Iterator[SewingFault]:
    pins = [step.action for step in alike.steps if isinstance(step.action, Pin | PartialSeams)]
    unnested = sum(not nest.nests for pin in pins for nest in pin.nests)
    if version.unnested != unnested:
        what = f"{alike.key}, version {version.letter}, meetings that do not nest"
        yield fault(WHERE, "count", what=what, printed=version.unnested, found=unnested)


def _toward(seams: tuple[SeamPress, ...], between: tuple[Thing, Thing]) -> str:
    sides = [seam.toward for seam in seams if seam.between == between]
    return ", ".join("open" if side is None else side.name for side in sides) or "none"


def _pressed(step: Step, trace: Trace, units: int) -> Iterator[SeamPress]:
    """The joins of a block of so many units that a step presses, its parts as whole rows or by their top-left cells.

    Rows are several units between level seams that part the whole block.
    """
    if not isinstance(step.action, PressSeams) or step.id not in trace.done:
        return
    for flow, orders in zip(step.takes, step.action.seams, strict=True):
        before = trace.done[step.id].before[flow.pile]
        # A seam that is begun is pressed once more, and counted, when it is closed.
        begun = before.between if isinstance(before, HalfSewn) else None
        before = before.piece if isinstance(before, HalfSewn) else before
        if not isinstance(before, Piece):
            continue
        for number, (seam, order) in enumerate(zip(before.unpressed, orders, strict=True), 1):
            first, second = seam.between or ((), ())
            if first and second and seam.between != begun:
                (left, upper), (right, lower) = seam.line
                rows = len(before.cells) == units and upper == lower and right - left == before.size[0]
                parts = _last_part(before, first), second
                named = _named(parts[0], number if rows else 0), _named(parts[1], number + 1 if rows else 0)
                place = order.between.index(order.toward) if order.toward in order.between else None
                yield SeamPress(named, order.toward if place is None else named[place])


def _last_part(piece: Piece, joined: Cells) -> Cells:
    """The cells of the last of the parts that are joined so far, whose cells stand in order."""
    ends = [len(seam.between[0]) for seam in piece.unpressed if seam.between]
    return joined[max((end for end in ends if end < len(joined)), default=0) :]


def _named(cells: Cells, row: int) -> Thing:
    """A part as the row with this number, where it is one of several units; else by its top-left cell."""
    return in_lines(("down", row)) if row and len(cells) > 1 else unit_at(min(cells)[0] + 1, min(cells)[1] + 1)


# What lies where


def _places_faults(plan: Plan, checklist: Checklist, finished: Mapping[int, Content]) -> Iterator[SewingFault]:
    """Which version of which block lies in each place, whether it may be turned, and what meets between blocks."""
    pressing = checklist.pressing
    if [[place.block for place in row] for row in pressing.places] != [list(row) for row in plan.quilt.places]:
        yield fault(WHERE, "no such place")
        return
    versions = {block.block: block.versions for block in pressing.blocks}
    places = [place for row in pressing.places for place in row]
    lying: dict[int, tuple[Piece, int]] = {}
    for number, place in enumerate(places, 1):
        own = versions.get(place.block, ())
        if not (0 <= place.version < len(own) and number in own[place.version].blocks):
            yield fault(WHERE, "no such version", block=place.block, found=place.version)
        content = lying_piece(finished.get(number))
        if content is None:
            return
        lying[number] = content, place.turn
    yield from _turn_faults(plan, places, lying)
    unnested = _unnested_between(plan, lying)
    if pressing.unnested != unnested:
        what = "meetings between blocks that do not nest"
        yield fault(WHERE, "count", what=what, printed=pressing.unnested, found=unnested)


def _turn_faults(
    plan: Plan, places: Sequence[PlacePressing], lying: Mapping[int, tuple[Piece, int]]
) -> Iterator[SewingFault]:
    """Every block is turned as the plan wants it; where it wants nothing, only such as look the same upside down."""
    wanted = plan.quilt.turns
    rows = [(row, column) for row, keys in enumerate(plan.quilt.places) for column in range(len(keys))]
    for number, (place, (row, column)) in enumerate(zip(places, rows, strict=True), 1):
        if wanted:
            line = wanted[row % len(wanted)]
            if place.turn != line[column % len(line)]:
                yield fault(WHERE, "may not be turned", block=number, found=place.turn)
        elif place.turn and not (
            place.turn == 180 and plan.quilt.half_turns and _turns(plan, place.block, lying[number][0])
        ):
            yield fault(WHERE, "may not be turned", block=number, found=place.turn)


def _turns(plan: Plan, key: str, piece: Piece) -> bool:
    """Whether a block shows its picture upside down too, and no cloth in it has a direction."""
    if any(plan.fabrics[facet.fabric].directional for facet in piece.facets if facet.fabric in plan.fabrics):
        return False
    return difference_from_picture(turned_piece(piece, 180), plan.blocks[key], plan.unit, plan.seam) is None


def _unnested_between(plan: Plan, lying: Mapping[int, tuple[Piece, int]]) -> int:
    pieces = {(id(piece), turn): turned_piece(piece, turn) for piece, turn in lying.values()}

    @cache
    def unnested(first: tuple[int, int], second: tuple[int, int], across: bool) -> int:
        met = meetings(pieces[first], pieces[second], across, plan.seam)
        return sum(not junction.nests for junction in met)

    keys = {number: (id(piece), turn) for number, (piece, turn) in lying.items()}
    frames = [None, *map(plan.frame_of, plan.quilt.blocks_in_order())]
    return sum(
        unnested(keys[first], keys[second], across)
        for first, second, across in _sewn_together(plan)
        if frames[first] is None or frames[first] != frames[second]  # where a cloth meets itself nobody minds
    )


def _sewn_together(plan: Plan) -> Iterator[tuple[int, int, bool]]:
    """Numbers of blocks sewn edge to edge, and whether side by side (as each is drawn) or one below the other."""
    quilt = plan.quilt
    if quilt.sash is not None:
        return
    starts = list(accumulate((len(row) for row in quilt.places), initial=1))
    rows = [range(start, end) for start, end in pairwise(starts)]
    if quilt.setting == "straight":
        for row in rows:
            yield from ((first, second, True) for first, second in pairwise(row))
        for above, below in pairwise(rows):
            yield from ((first, second, False) for first, second in zip(above, below, strict=True))
        return
    for above, below in pairwise(rows):
        # Standing on its corner, turned clockwise, a block has its left edge up left and its top edge up right.
        step = 0 if len(below) < len(above) else -1
        for place, second in enumerate(below):
            for left_of, across in ((place + step, True), (place + step + 1, False)):
                if 0 <= left_of < len(above):
                    yield above[left_of], second, across
