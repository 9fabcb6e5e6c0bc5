"""Whether seams are pressed and pinned as printed, and as the trade presses them, by the cloth that lies there.

Inside units (strip sets too) an allowance goes under the darker cloth, of triangles round what is pieced under them; at
a frame it goes under the strip; and every place where seams meet across a join is named where it is pinned.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from tracker.cloth.folding import folds_of
from tracker.cloth.joining import Junction
from tracker.cloth.moving import ahead_of
from tracker.cloth.pieces import OPEN, Group, HalfSewn, Piece, Seam, Stack, span_of, spans_on
from tracker.cloth.sewing import StepDone, Trace
from tracker.cloth.sewing_faults import SewingFault, fault
from tracker.exact.geometry import ZERO, Polygon, Span, Straight, common
from tracker.exact.measure import Measure, nearest
from tracker.plan.model import Plan
from tracker.proof.row_seams import FIRST, NEXT, OPEN_SEAM, wanted_sides
from tracker.proof.uses import Uses
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.partial_seams import BeginSeam, PartialSeams, SewArm
from tracker.work.steps import AddStrips, Join, Pin, Press, PressSeams, Step
from tracker.work.whole_blocks import JoinParts, MitreCorners, Nest

Lengths = dict[str, Measure]
"""For cloths along a seam, how much of it runs through each."""


def press_faults(plan: Plan, step: Step, action: Press, done: StepDone, outward: bool) -> Iterator[SewingFault]:
    """A unit pressed open: the side that its seams go to, and the cloths named there. Of triangles round what is pieced
    seams go `outward`."""
    if action.toward == "open":
        yield fault(step.id, "pressed light", found="open", needed="to one side")
    there: set[str] = set()
    for content in done.before.values():
        if not isinstance(content, Stack):
            continue
        for piece, fold in zip(content.laid, folds_of(content, plan.seam), strict=True):
            sides = {
                "base": _lengths(_by_cloth(content.base), fold.line, fold.spans),
                "laid": _lengths(_by_cloth(piece), fold.line, fold.spans),
            }
            there.update(_along(sides.get(action.toward, {})))
            needed = 1 if outward else _darker_side(plan, sides["base"], sides["laid"])
            if needed is not None and action.toward != ("base", "laid")[needed]:
                yield fault(step.id, "pressed light", found=action.toward, needed=("base", "laid")[needed])
    if sorted(action.cloths) != sorted(there):
        yield fault(step.id, "cloths", printed=_listed(action.cloths), found=_listed(there))


def press_seams_faults(plan: Plan, uses: Uses, step: Step, trace: Trace) -> Iterator[SewingFault]:
    """Joins pressed: seams of a strip set go under the darker cloth, those of frames and borders under their strips,
    those of the quilt's rows as the trade has it."""
    done = trace.done[step.id]
    for take, give in zip(step.takes, step.gives, strict=True):
        before, after = (
            content.piece if isinstance(content, HalfSewn) else content
            for content in (done.before[take.pile], done.after[give.pile])
        )
        if not (isinstance(before, Piece) and isinstance(after, Piece)):
            continue
        maker = uses.makers[take.pile]
        if isinstance(maker.action, MitreCorners):
            yield from _corner_faults(step, before)
        of_rows = iter(wanted_sides(plan, uses, maker, trace.lying) if isinstance(maker.action, JoinParts) else ())
        for seam, pressed in zip(before.seams, after.seams, strict=True):
            if seam.toward is not None:
                continue
            if isinstance(maker.action, MitreCorners) and pressed.toward != OPEN:
                yield fault(step.id, "pressed light", found="to one side", needed=OPEN_SEAM)
                continue
            side, found = _wanted_side(plan, step, maker, before, seam), SIDES[_side(seam, pressed)]
            needed = next(of_rows, None if side is None else SIDES[side])
            if needed is not None and found != needed:
                yield fault(step.id, "pressed light", found=found, needed=needed)


def aside_faults(plan: Plan, step: Step, action: PressAside, maker: Step, done: StepDone) -> Iterator[SewingFault]:
    """Seams that end at dots: the cloths named are those they go to, pieces set in go by the darker cloth, and where
    eight meet all go one way round."""
    before, after = (next(iter(contents.values())) for contents in (done.before, done.after))
    if not (isinstance(before, Piece) and isinstance(after, Piece) and isinstance(maker.action, SewToDots)):
        yield fault(step.id, "wrong operation", operation=step.operation)
        return
    set_in = [piece.is_set_in for piece in maker.action.pieces for _ in piece.seams]
    if len(set_in) != len(before.unpressed):
        yield fault(step.id, "wrong seams", found=len(set_in), needed=len(before.unpressed))
        return
    for seam, side, cloth, corner in zip(before.unpressed, action.sides, action.cloths, set_in, strict=True):
        line = Straight.through(*seam.line)
        beside = dict(zip(("left", "right"), _apart_by(before, seam, line), strict=True))
        there = _along(beside[side])
        if [cloth] != there:
            yield fault(step.id, "cloths", printed=cloth, found=_listed(there))
        darker = _darker_side(plan, *beside.values()) if corner else None
        if darker is not None and side != list(beside)[darker]:
            yield fault(step.id, "pressed light", found=side, needed=list(beside)[darker])
    ends = Counter(end for seam in after.seams for end in seam.line)
    for middle in (end for end, often in ends.items() if often == 8):
        meeting = [each for each in after.seams if middle in each.line]
        ways = {
            each.toward == ahead_of(Straight.through(middle, next(end for end in each.line if end != middle)))
            for each in meeting
        }
        if len(ways) > 1 or any(each.toward == OPEN for each in meeting):
            yield fault(step.id, "not one way round")


def _corner_faults(step: Step, piece: Piece) -> Iterator[SewingFault]:
    """The strips named beside each corner's seam are those that lie there, clockwise."""
    assert isinstance(step.action, PressSeams)
    named = [tuple(thing.side for thing in seam.between) for each in step.action.seams for seam in each]
    found = []
    for seam in piece.unpressed:
        middle = [(seam.line[0][axis] + seam.line[1][axis]) / 2 for axis in (0, 1)]
        left, upper = (2 * middle[axis] < piece.size[axis] for axis in (0, 1))
        across, down = "left" if left else "right", "upper" if upper else "lower"
        found.append((across, down) if left == upper else (down, across))
    for own, lies in zip(named, found, strict=True):
        if own != lies:
            yield fault(step.id, "wrong name", name=" and ".join(own))


SIDES = {None: OPEN_SEAM, 0: FIRST, 1: NEXT}


def _wanted_side(plan: Plan, step: Step, maker: Step, piece: Piece, seam: Seam) -> int | None:
    """The side that a join must be pressed to, 0 the left or upper one, or None where that is chosen for the quilt."""
    if step.per == "quilt" and isinstance(maker.action, Join):
        return _darker_side(plan, *_beside(piece, seam))
    if isinstance(maker.action, PartialSeams):
        # Round a middle all seams go away from it, toward the arm.
        edge = maker.action.edge if isinstance(maker.action, SewArm) else "top"
        return int(edge in ("right", "bottom"))
    if _may_nest(plan, step, maker):
        return None
    # A strip has no place in the picture.
    strips = [not cells for cells in seam.between or ()]
    return strips.index(True) if any(strips) and not all(strips) else None


def _may_nest(plan: Plan, step: Step, maker: Step) -> bool:
    """Whether strips lie along the edges of blocks that are sewn to others with frames of another cloth: their seams
    may go either way, so that they nest."""
    if step.per == "quilt" or plan.quilt.sash is not None or not isinstance(maker.action, AddStrips):
        return False
    alongside = {plan.frame_of(key) for key in plan.quilt.blocks_in_order()}
    return maker.action.edges == "sides" and len(alongside) > 1


def _side(seam: Seam, pressed: Seam) -> int | None:
    """The side that a seam was pressed to, 0 the left or upper one, None where it lies open."""
    if pressed.toward in (None, OPEN):
        return None
    assert pressed.toward is not None
    return int(sum(pressed.toward) > 0)


def _beside(piece: Piece, seam: Seam) -> tuple[Lengths, Lengths]:
    """The cloths along a seam of a flat piece, on its left or upper side and on the other."""
    line = Straight.through(*seam.line)
    if sum(ahead_of(line)) < 0:
        line = line.turned_about()
    return _apart_by(piece, seam, line)


def _apart_by(piece: Piece, seam: Seam, line: Straight) -> tuple[Lengths, Lengths]:
    """The cloths along a seam of a flat piece, behind its line and ahead of it."""
    sides: list[list[tuple[str, Polygon]]] = [[], []]
    for facet in piece.facets:
        ahead = [line.side(corner) for corner in facet.polygon]
        if min(ahead) >= 0 or max(ahead) <= 0:
            sides[min(ahead) >= 0].append((facet.fabric, facet.polygon))
    spans = [span_of(seam.line, line)]
    return _lengths(sides[0], line, spans), _lengths(sides[1], line, spans)


def _by_cloth(piece: Piece) -> list[tuple[str, Polygon]]:
    return [(facet.fabric, facet.polygon) for facet in piece.facets]


def _lengths(areas: Iterable[tuple[str, Polygon]], line: Straight, spans: Iterable[Span]) -> Lengths:
    spans = list(spans)
    polygons: dict[str, list[Polygon]] = {}
    for fabric, polygon in areas:
        polygons.setdefault(fabric, []).append(polygon)
    found = {}
    for fabric, own in polygons.items():
        along = common(spans_on(own, line), spans)
        if along:
            found[fabric] = sum((high - low for low, high in along), ZERO)
    return found


def _along(lengths: Lengths) -> list[str]:
    """The cloth that more than half of a seam runs through; all of them where there is none."""
    whole = sum(lengths.values(), ZERO)
    return [key for key, own in lengths.items() if 2 * own > whole] or list(lengths)


def _darker_side(plan: Plan, first: Lengths, second: Lengths) -> int | None:
    """Which of two sides has the darker cloth, or None where one has several, or both the same."""
    own, other = _along(first), _along(second)
    if len(own) != 1 or len(other) != 1 or own == other:
        return None
    return int(plan.darker(own[0], other[0]) == other[0])


def _listed(keys: Iterable[str]) -> str:
    return ", ".join(sorted(keys)) or "none"


# Where seams meet


def pin_faults(
    step: Step, joins: Mapping[str, Step], pinned: Mapping[str, Step], trace: Trace
) -> Iterator[SewingFault]:
    """The meetings printed for a pinning, against those that meet when it is joined; none may be left out.

    `joins` are the steps that take a pile, `pinned` those that give it. A join that nobody pins must meet nothing.
    """
    if isinstance(step.action, Pin):
        pile = step.gives[0].pile
        join = joins.get(pile)
        if join is None or join.id not in trace.done:
            return
        assert isinstance(join.action, Join)
        if step.action.direction != join.action.direction:
            facts = {"printed": step.action.direction, "found": join.action.direction}
            yield fault(step.id, "pinned the other way", **facts)
        yield from _nest_faults(step, step.action.nests, _met(join, pile, trace))
    elif isinstance(step.action, PartialSeams) and step.id in trace.done:
        (found,) = trace.done[step.id].junctions[step.gives[0].pile]
        yield from _nest_faults(step, step.action.nests, list(found))
    elif isinstance(step.action, JoinParts | AddStrips) and step.id in trace.done:
        printed = step.action.nests
        met = trace.done[step.id].junctions.get(step.gives[0].pile, ())
        if isinstance(step.action, AddStrips):
            # Cornerstones lie at the ends: nobody counts seams there.
            printed = printed or ((),) * len(met)
            met = tuple(tuple(replace(junction, seams=(0, 0)) for junction in each) for each in met)
        if len(printed) != len(met):
            yield fault(step.id, "count", what="seams", printed=len(printed), found=len(met))
        for own, found in zip(printed, met, strict=False):
            yield from _nest_faults(step, own, list(found))
    elif isinstance(step.action, Join):
        for flow in step.takes:
            if flow.pile not in pinned:
                yield from _nest_faults(step, (), _met(step, flow.pile, trace))


def _met(join: Step, pile: str, trace: Trace) -> list[Junction]:
    place = [flow.pile for flow in join.takes].index(pile)
    return [each for met in trace.done[join.id].junctions[join.gives[place].pile] for each in met]


def begun_faults(plan: Plan, step: Step, action: BeginSeam, done: StepDone) -> Iterator[SewingFault]:
    """A seam is begun for half of what it is sewn to, as near as the ruler shows."""
    base = done.before[action.base]
    whole = base.pieces[0].size[0] if isinstance(base, Group) else base.size[0]
    half = nearest(whole / 2, plan.ruler)
    half = half if plan.seam < half < whole - plan.seam else whole / 2
    if action.sewn != half:
        yield fault(step.id, "begun", printed=action.sewn, needed=half)


def _nest_faults(step: Step, nests: tuple[Nest, ...], met: list[Junction]) -> Iterator[SewingFault]:
    printed: dict[Measure, list[str]] = {}
    found: dict[Measure, list[str]] = {}
    for nest in nests:
        printed.setdefault(nest.along, []).append(_meeting(nest.nests, nest.seams))
    for junction in met:
        found.setdefault(junction.along, []).append(_meeting(junction.nests, junction.seams))
    for along in dict.fromkeys((*printed, *found)):
        own, other = (" and ".join(each.get(along, ("are not there",))) for each in (printed, found))
        if own != other:
            yield fault(step.id, "nests", along=along, printed=own, found=other)


def _meeting(nests: bool, seams: tuple[int, int]) -> str:
    return f"{seams[0]} with {seams[1]} {'nest' if nests else 'do not nest'}"
