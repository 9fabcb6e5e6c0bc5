"""Seams that end at dots, exactly: two pieces sewn from dot to dot or off the edge, pieces set into open corners.

Stitches stop where the seam lines of two edges cross, so that the allowances beyond stay loose: what is sewn there next
turns the corner. Along the stitches every layer leaves an allowance as wide as the plan's seam.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from tracker.cloth.clipping import clip_piece
from tracker.cloth.folding import behind
from tracker.cloth.moving import ahead_of, settled_piece, shift, turned_piece
from tracker.cloth.pieces import Piece, Seam, segment_on, span_of, spans_on
from tracker.cloth.sewing_faults import Impossible
from tracker.exact.geometry import XY, ZERO, Polygon, Segment, Span, Straight, area, common, intersection, merged
from tracker.exact.measure import Measure, compare
from tracker.work.dotted_seams import DottedPiece, PressAside

SIDES = ("right", "left")
ENDS_APART = 3
"""How many seam allowances from an end that runs off the edge other allowances may cross the seam's."""


def sew_to_dots(base: Piece, pieces: Sequence[tuple[Piece, DottedPiece]], seam: Measure) -> Piece:
    """The base with the pieces sewn to it, as all lies opened. Raises Impossible."""
    for number, (piece, sewn) in enumerate(pieces, 1):
        lying = shift(sewn.x, sewn.y).piece(turned_piece(piece, sewn.turn))
        lines = _lines(lying, sewn.seams)
        if len(lines) > 2 or not lines:
            raise Impossible("sews nothing", line=number)
        for line, spans in lines:
            dots = set(_dots(lying)) & {end for each in sewn.seams for end in each}
            _check_ends(base, lying, line, spans, dots, number)
            for layer in (base, lying):
                _check_pressed(layer, line, spans)
            _check_allowances(base, lying, line, spans, dots, seam, number)
        base = _joined(base, lying, lines) if len(lines) == 1 else _set_in(base, lying, lines, sewn.seams, number)
        base = replace(base, seams=(*base.seams, *(Seam(each, None) for each in sewn.seams)))
    return settled_piece(base)


Lines = list[tuple[Straight, list[Span]]]
"""Lines of stitches, what is sewn on ahead of each, and where along it they run."""


def _lines(lying: Piece, seams: Iterable[Segment]) -> Lines:
    left, top, right, bottom = lying.bounds
    middle = (left + right) / 2, (top + bottom) / 2
    found: Lines = []
    for each in seams:
        line = Straight.through(*each)
        line = line if line.side(middle) >= 0 else line.turned_about()
        known = next((own for own in found if own[0].same_line(line)), None)
        if known is None:
            found.append((line, [span_of(each, line)]))
        else:
            known[1].append(span_of(each, known[0]))
    return found


def _dots(piece: Piece) -> Iterator[XY]:
    """Where two pencil marks cross."""
    for place, first in enumerate(piece.marks):
        one = Straight.through(*first)
        for second in piece.marks[:place]:
            if _cross(first, second) and _cross(second, first):
                yield one.crossing(*second)


def _cross(first: Segment, second: Segment) -> bool:
    """Whether a stretch runs from one side of the other's line to its other side."""
    start, end = (Straight.through(*second).side(each) for each in first)
    return start * end < 0


def _check_pressed(piece: Piece, line: Straight, spans: list[Span]) -> None:
    """No seam that the stitches touch is still to be pressed."""
    ((low, high),) = merged(spans)
    for start, end in (each.line for each in piece.unpressed):
        sides = line.side(start), line.side(end)
        if sides[0] * sides[1] > 0:
            continue
        touched = (line.crossing(start, end),) if any(sides) else (start, end)
        if any(low <= line.along(each) <= high for each in touched):
            raise Impossible("unpressed")


def _check_ends(base: Piece, lying: Piece, line: Straight, spans: list[Span], dots: set[XY], number: int) -> None:
    """Each end is a dot of both, a corner that is open in the base, or lies where the cloth of either ends; and no
    stitch runs over a dot of both."""
    if len(merged(spans)) != 1:
        raise Impossible("gap", piece=number)
    ((low, high),) = merged(spans)
    both = common(spans_on(base.polygons, line), spans_on(lying.polygons, line))
    around = next((each for each in both if compare(each[0], low) <= 0 and compare(high, each[1]) <= 0), None)
    if around is None:
        raise Impossible("not on the base", piece=number)
    own = {*_dots(base)} & {*_dots(lying)}
    if any(line.side(dot) == 0 and compare(low, line.along(dot)) < 0 < compare(high, line.along(dot)) for dot in own):
        raise Impossible("past the dot", piece=number)
    for end, edge in ((low, around[0]), (high, around[1])):
        there = line.point_at(end)
        if end != edge and not (there in dots and (there in own or _is_open(base, there))):
            raise Impossible("not to the dot", piece=number)
        if end == edge and any(line.side(dot) == 0 for dot in dots if dot == there):
            raise Impossible("past the dot", piece=number)


def _is_open(base: Piece, corner: XY) -> bool:
    """Whether a seam ends at a point inside the cloth."""
    return any(corner in each.line for each in base.seams)


def _check_allowances(
    base: Piece, lying: Piece, line: Straight, spans: list[Span], dots: set[XY], seam: Measure, number: int
) -> None:
    """Behind the stitches both layers leave just a seam allowance; near the ends other edges cross it."""
    ((low, high),) = merged(spans)
    length = line.length
    low, high = (
        place + way * seam * length * (1 if line.point_at(place) in dots else ENDS_APART)
        for place, way in ((low, 1), (high, -1))
    )
    if compare(low, high) >= 0:
        raise Impossible("too narrow", piece=number)
    for layer, piece, away in (("laid piece", lying, -1), ("base", base, 1)):
        near, far = (_strip(line, (low, high), away * seam * depth, away * seam) for depth in (0, 1))
        if _cloth_in(piece, near) != area(near) or _cloth_in(piece, far):
            raise Impossible("allowance", piece=number, layer=layer, found="more or less", needed=seam)


def _strip(line: Straight, span: Span, start: Measure, wide: Measure) -> Polygon:
    """The strip beside a span of a line, from `start` ahead of it (less than 0: behind) and so wide."""
    near, far = line.parallel(start), line.parallel(start + wide)
    one, other = segment_on(near, span), segment_on(far, span)
    ring = one[0], one[1], other[1], other[0]
    return ring if area(ring).sign() > 0 else ring[::-1]


def _cloth_in(piece: Piece, polygon: Polygon) -> Measure:
    return sum((area(shared) for each in piece.polygons if (shared := intersection(each, polygon))), ZERO)


def _joined(base: Piece, lying: Piece, lines: Lines) -> Piece:
    """Two pieces side by side of one line."""
    line = lines[0][0]
    kept, added = clip_piece(base, line.turned_about()), clip_piece(lying, line)
    return Piece(kept.facets + added.facets, kept.seams + added.seams, kept.marks + added.marks)


def _set_in(base: Piece, lying: Piece, lines: Lines, seams: Sequence[Segment], number: int) -> Piece:
    """A piece in the corner between two lines; what of the base stands out beside it there is clipped."""
    starts = {each[0] for each in seams}
    if len(starts) != 1 or len(seams) != 2:
        raise Impossible("not to the dot", piece=number)
    (corner,) = starts
    x, y = corner
    far = [(x + 2 * (end[0] - x), y + 2 * (end[1] - y)) for _, end in seams]
    wedge = corner, far[0], far[1]
    added = lying
    for line, _ in lines:
        added = clip_piece(added, line)
    kept = behind(base, [wedge if area(wedge).sign() > 0 else wedge[::-1]])
    return Piece(kept.facets + added.facets, kept.seams + added.seams, kept.marks)


def press_aside(piece: Piece, action: PressAside) -> Piece:
    """The piece with its unpressed seams, in order, pressed to their sides."""
    unpressed = piece.unpressed
    if not len(unpressed) == len(action.sides) == len(action.cloths):
        raise Impossible("wrong seams", found=len(action.sides), needed=len(unpressed))
    sides = iter(action.sides)
    return replace(piece, seams=tuple(each if each.toward else _pressed(each, next(sides)) for each in piece.seams))


def _pressed(seam: Seam, side: str) -> Seam:
    if side not in SIDES:
        raise Impossible("bad word", word=side, needed=", ".join(SIDES))
    line = Straight.through(*seam.line)
    return Seam(seam.line, ahead_of(line if side == "right" else line.turned_about()))
