"""Seams that are begun and left open, what is sewn round meanwhile, and closing them at the end, exactly.

An open seam hides nothing: both allowances along it are still there, so that what is sewn across its end takes them in,
and closing it is sewing through both from where the stitches end to the outer edge.
"""

from __future__ import annotations

from dataclasses import replace

from tracker.cloth.clipping import clip_piece
from tracker.cloth.joining import Junction, check_pressed, join_shifted, meetings
from tracker.cloth.moving import settled_piece, shift
from tracker.cloth.pieces import Compass, Facet, HalfSewn, Piece, Seam, spans_on
from tracker.cloth.sewing_faults import Impossible
from tracker.exact.geometry import ONE, XY, ZERO, Segment, Span, Straight, greatest, least
from tracker.exact.measure import Measure, compare
from tracker.work.partial_seams import EDGES_ROUND, BeginSeam

Met = tuple[Junction, ...]


def begin_seam(base: Piece, arm: Piece, action: BeginSeam, seam: Measure) -> tuple[HalfSewn, Met]:
    """The arm above the base, sewn to it from the side where both are level for as long as the action says."""
    if action.level not in EDGES_ROUND:
        raise Impossible("bad word", word=action.level, needed=", ".join(EDGES_ROUND))
    (width, height), (reach, _), sewn = arm.size, base.size, action.sewn
    beyond = width - reach
    if compare(beyond, ZERO) <= 0:
        raise Impossible("edges", found=width, needed=reach)
    if compare(sewn, seam) <= 0 or compare(sewn, reach - seam) >= 0:
        raise Impossible("open part", found=sewn, needed=reach)
    for number, piece in enumerate((arm, base), 1):
        if compare(piece.size[1], seam) <= 0:
            raise Impossible("too narrow", piece=number)
    right = action.level == "right"
    shifted = beyond if right else ZERO
    check_pressed(arm, Straight(ZERO, -ONE, -height))
    check_pressed(base, Straight(ZERO, ONE, ZERO))
    lying, at = shift(shifted, height - 2 * seam).piece(base), height - seam
    below = Straight(ZERO, ONE, at)
    hidden: list[Facet] = []
    upper = clip_piece(arm, below.turned_about(), hidden)
    lower = clip_piece(lying, below, hidden)
    if sum((facet.area for facet in hidden), ZERO) != (width + reach) * seam:
        raise Impossible("ragged edge", edge="lower", piece=1)
    end = width - sewn if right else sewn
    parts = ((ZERO, at), (end, at)), ((end, at), (width, at))
    left_open, stitched = parts if right else parts[::-1]
    unsewn = Straight(-ONE, ZERO, -end) if right else Straight(ONE, ZERO, end)
    kept = clip_piece(Piece(tuple(hidden)), unsewn).facets
    between = arm.cells, base.cells
    whole = Piece(
        upper.facets + lower.facets,
        (*upper.seams, Seam(stitched, None, between), *lower.seams),
        upper.marks + lower.marks,
        arm.cells + base.cells,
    )
    met = tuple(each for each in meetings(arm, base, False, seam, shifted) if (each.along > end) == right)
    return HalfSewn(whole, left_open, kept, between, action.level), met


def sew_arm(half: HalfSewn, arm: Piece, edge: str, seam: Measure) -> tuple[HalfSewn, Met]:
    """One more arm, along the whole of an edge of what is sewn so far."""
    order = EDGES_ROUND[half.level]
    if edge not in order[1:]:
        raise Impossible("bad word", word=edge, needed=", ".join(order[1:]))
    if edge == order[3]:
        return _last_arm(half, arm, edge, seam)
    piece = half.piece
    if edge == "bottom":
        start = _spans(piece, "bottom")[0][0]
        _fits(piece, arm, edge)
        joined, met = join_shifted(piece, arm, "down", start, seam)
        met = tuple(replace(each, along=each.along - start) for each in met)
        return replace(half, piece=_named(joined, half, arm, edge)), met
    _fits(piece, arm, edge)
    if edge == "right":
        joined, met = join_shifted(piece, arm, "across", ZERO, seam)
        return replace(half, piece=_named(joined, half, arm, edge)), met
    joined, met = join_shifted(arm, piece, "across", ZERO, seam)
    moved = shift(arm.size[0] - 2 * seam, ZERO)
    hidden = tuple(moved.facet(facet) for facet in half.hidden)
    piece = _named(joined, half, arm, edge)
    return replace(half, piece=piece, open=moved.segment(half.open), hidden=hidden), met


def _last_arm(half: HalfSewn, arm: Piece, edge: str, seam: Measure) -> tuple[HalfSewn, Met]:
    """The arm whose end lies along the open seam: it is sewn to what lies below that, the first arm folded away."""
    piece, at = half.piece, half.open[0][1]
    below = Straight(ZERO, ONE, at)
    lies_low = [min(below.side(corner) for corner in facet.polygon) >= 0 for facet in piece.facets]
    runs_low = [sorted(below.side(end) for end in each.line) in ([0, 1], [1, 1]) for each in piece.seams]
    unsewn = tuple(facet for facet in half.hidden if below.side(facet.polygon[0]) <= 0 and facet.bounds[1] < at)
    base = Piece(
        unsewn + tuple(facet for facet, low in zip(piece.facets, lies_low, strict=True) if low),
        tuple(each for each, low in zip(piece.seams, runs_low, strict=True) if low),
        (),
        half.between[1],
    )
    left, top, right, _ = base.bounds
    base = settled_piece(base)
    _fits(base, arm, edge)
    on_left = edge == "left"
    first, second = (arm, base) if on_left else (base, arm)
    joined, met = join_shifted(first, second, "across", ZERO, seam)
    outer = left + 2 * seam - arm.size[0] if on_left else right - 2 * seam + arm.size[0]
    if outer != (ZERO if on_left else piece.size[0]):
        raise Impossible("edges", found=arm.size[0], needed=2 * seam + (left if on_left else piece.size[0] - right))
    joined = shift(outer if on_left else left, top).piece(joined)
    hidden: list[Facet] = []
    lower = clip_piece(joined, below, hidden)
    whole = Piece(
        tuple(facet for facet, low in zip(piece.facets, lies_low, strict=True) if not low) + lower.facets,
        tuple(each for each, low in zip(piece.seams, runs_low, strict=True) if not low) + lower.seams,
        piece.marks,
        piece.cells + arm.cells,
    )
    kept = tuple(facet for facet in half.hidden if facet not in unsewn)
    return replace(half, piece=_named(whole, half, arm, edge), hidden=(*kept, *hidden)), met


def _named(piece: Piece, half: HalfSewn, arm: Piece, edge: str) -> Piece:
    """The piece with its new seam known as lying between the arm and the middle."""
    middle = half.between[1]
    between = (arm.cells, middle) if edge == "left" else (middle, arm.cells)
    seams = tuple(each if each.toward is not None else replace(each, between=between) for each in piece.seams)
    return replace(piece, seams=seams)


def close_seam(half: HalfSewn, seam: Measure) -> tuple[Piece, Met]:
    """The seam that was begun, sewn to its end: through both allowances, all along what was open."""
    piece, (start, end) = half.piece, half.open
    length = end[0] - start[0]
    edge = ZERO if half.level == "right" else piece.size[0]
    if edge not in (start[0], end[0]):
        raise Impossible("edges", found=start[0], needed=edge)
    for above in (True, False):
        facets = [facet for facet in half.hidden if (facet.bounds[1] < start[1]) == above]
        if sum((facet.area for facet in facets), ZERO) != length * seam:
            raise Impossible("ragged edge", edge="lower" if above else "upper", piece=2 if above else 1)
    touching = [each for each in piece.seams if any(_lies_within(point, half.open) for point in each.line)]
    if any(each.toward is None for each in touching):
        raise Impossible("unpressed")
    new = Seam(half.open, None, half.between)
    return replace(piece, seams=(*piece.seams, new)), _met_along(half, seam)


def _lies_within(point: XY, stretch: Segment) -> bool:
    (left, at), (right, _) = stretch
    return point[1] == at and left <= point[0] <= right


def _met_along(half: HalfSewn, seam: Measure) -> Met:
    """Where seams meet across the part that was open, from the left cut edge of the arm; they are counted along the
    whole of it."""
    (start, at), (end, _) = half.open
    ends = {x for each in half.piece.seams if each.line[0][1] == each.line[1][1] == at for x, _ in each.line}
    # Where the arm was level the next one is sewn over it: there its seam ends at that one.
    left, right = (start + seam, greatest(ends)) if half.level == "right" else (least(ends), end - seam)
    sides: list[dict[Measure, Compass]] = []
    for above in (True, False):
        found: dict[Measure, Compass] = {}
        for each in half.piece.seams:
            (x, upper), (other, lower) = each.line
            reaches = least((upper, lower)) < at if above else greatest((upper, lower)) > at
            touches = left < x < right and least((upper, lower)) <= at <= greatest((upper, lower))
            if x == other and reaches and touches and each.toward is not None:
                found[x] = each.toward
        sides.append(dict(sorted(found.items(), key=lambda item: item[0])))
    places = [{along: place for place, along in enumerate(each, 1)} for each in sides]
    return tuple(
        Junction(along - left + seam, toward, sides[1][along], (places[0][along], places[1][along]))
        for along, toward in sides[0].items()
        if along in sides[1] and start <= along <= end
    )


def _spans(piece: Piece, edge: str) -> list[Span]:
    """Where there is cloth along an outer edge of a piece."""
    width, height = piece.size
    line = {
        "right": Straight(-ONE, ZERO, -width),
        "left": Straight(ONE, ZERO, ZERO),
        "bottom": Straight(ZERO, ONE, height),
    }[edge]
    return spans_on(piece.polygons, line)


def _fits(piece: Piece, arm: Piece, edge: str) -> None:
    """Whether the arm is as long as the edge that it is sewn to."""
    found, needed = arm.size[0 if edge == "bottom" else 1], sum((b - a for a, b in _spans(piece, edge)), ZERO)
    if len(_spans(piece, edge)) != 1 or found != needed:
        raise Impossible("edges", found=found, needed=needed)
