"""Stacks of cloth, exactly: sewing along lines, cutting apart, and pressing open.

A stack is opened by folding each laid piece back over the one seam that holds it. Behind that seam every layer must
leave an allowance exactly as wide as the plan's seam; small dog-ears that stick out past its ends are harmless and
are taken as clipped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from tracker.cloth.clipping import clip_piece, clip_stack, facets_without, segments_inside
from tracker.cloth.moving import ahead_of, fold, settled_piece, turned_piece
from tracker.cloth.pieces import OPEN, Compass, Piece, Seam, Stack, segment_on, span_of, spans_on
from tracker.cloth.sewing_faults import Impossible
from tracker.exact.geometry import (
    XY,
    ZERO,
    Polygon,
    Segment,
    Span,
    Straight,
    common,
    least,
    left_of_spans,
    locate,
    merged,
    split,
)
from tracker.exact.measure import Measure, compare

PRESS_WORDS = ("laid", "base", "open")


# Sewing


def sew_lines(stack: Stack, lines: Sequence[Segment], seam: Measure) -> Stack:
    """The stack sewn along lines; each must be on a mark, or `seam` from a mark or edge, of every piece it sews."""
    for number, segment in enumerate(lines, 1):
        line = Straight.through(*segment)
        over_base = common([span_of(segment, line)], spans_on(stack.base.polygons, line))
        sewn = [piece for piece in stack.laid if common(over_base, spans_on(piece.polygons, line))]
        if not sewn:
            raise Impossible("sews nothing", line=number)
        for piece in sewn:
            _check_guided(piece, line, seam, number)
    return replace(stack, stitches=(*stack.stitches, *lines))


def _check_guided(piece: Piece, line: Straight, seam: Measure, number: int) -> None:
    marks = [Straight.through(*mark) for mark in piece.marks]
    if any(line.same_line(mark) for mark in marks):
        return
    guides = marks + [Straight.through(*edge) for edge in piece.outline]
    if any(line.at_distance(guide, seam) for guide in guides):
        return
    apart = [abs(line.value(guide.point_at(ZERO))) / line.length for guide in guides if line.is_parallel(guide)]
    found = min(apart, key=lambda distance: abs(distance - seam)) if apart else "askew"
    raise Impossible("seam line", line=number, found=found, needed=seam)


# Cutting apart


def cut_stack(stack: Stack, lines: Sequence[Segment], inside: Sequence[XY]) -> list[Stack]:
    """What cutting along lines gives, in the order of the points `inside`; every piece must have its one point."""
    cuts = [Straight.through(*segment) for segment in lines]
    polygons = [polygon for piece in stack.pieces for polygon in piece.polygons]
    for number, (segment, cut) in enumerate(zip(lines, cuts, strict=True), 1):
        if left_of_spans(spans_on(polygons, cut), [span_of(segment, cut)]):
            raise Impossible("not across", line=number)
    cells: dict[tuple[int, ...], Stack] = {(): stack}
    for cut in cuts:
        sides = ((1, cut), (-1, cut.turned_about()))
        cells = {
            (*key, side): part
            for key, whole in cells.items()
            for side, line in sides
            if (part := clip_stack(whole, line)) is not None
        }
    named: dict[tuple[int, ...], int] = {}
    for number, point in enumerate(inside, 1):
        key = tuple(cut.side(point) for cut in cuts)
        if key not in cells or all(locate(each, point) < 0 for own in cells[key].pieces for each in own.polygons):
            raise Impossible("no part", part=number)
        if key in named:
            raise Impossible("part twice", part=named[key], other=number)
        named[key] = number
    if len(named) != len(cells):
        raise Impossible("unnamed part", found=len(cells), needed=len(named))
    return [cells[key] for key in named]


# Pressing open


@dataclass(frozen=True)
class Fold:
    """The seam that holds a laid piece: its line, with the side that stays visible ahead, and where it is sewn."""

    line: Straight
    spans: tuple[Span, ...]


@lru_cache(maxsize=64)
def folds_of(stack: Stack, seam: Measure) -> tuple[Fold, ...]:
    """The one seam over which each laid piece folds back. Impossible where there is none, or not rightly sewn."""
    # Asked again and again of one stack: when it is put down, compared, opened and looked at.
    lines: list[tuple[Straight, list[Span]]] = []
    for stitch in stack.stitches:
        line = Straight.through(*stitch)
        for known, spans in lines:
            if known.same_line(line):
                spans.append(span_of(stitch, known))
                break
        else:
            lines.append((line, [span_of(stitch, line)]))
    return tuple(_fold_of(stack.base, piece, lines, seam, number) for number, piece in enumerate(stack.laid, 1))


def _fold_of(base: Piece, piece: Piece, lines: list[tuple[Straight, list[Span]]], seam: Measure, number: int) -> Fold:
    held: list[tuple[Straight, list[Span], list[Span]]] = []
    for line, stitched in lines:
        both = common(spans_on(piece.polygons, line), spans_on(base.polygons, line))
        sewn = common(merged(stitched), both)
        if sewn:
            held.append((line, both, sewn))
    if not held:
        raise Impossible("not sewn", piece=number)
    held.sort(key=lambda each: -sum((high - low for low, high in each[2]), ZERO) / each[0].length)
    first_trouble: Impossible | None = None
    for index, (line, both, sewn) in enumerate(held):
        others = [
            segment_on(other, span) for place, (other, _, spans) in enumerate(held) if place != index for span in spans
        ]
        for way in _sides_by_depth(piece, line):
            try:
                return _checked_fold(base, piece, way, line, both, sewn, others, seam, number)
            except Impossible as trouble:
                first_trouble = first_trouble or trouble
    assert first_trouble is not None
    raise first_trouble


def _sides_by_depth(piece: Piece, line: Straight) -> tuple[Straight, Straight]:
    """The line with its deeper side ahead first: that is the likelier one to stay visible."""
    depths = [line.value(corner) for polygon in piece.polygons for corner in polygon]
    ahead, behind = -least(-depth for depth in depths), -least(depths)
    about = line.turned_about()
    return (line, about) if compare(ahead, behind) >= 0 else (about, line)


def _checked_fold(
    base: Piece,
    piece: Piece,
    way: Straight,
    line: Straight,
    both: list[Span],
    sewn: list[Span],
    others: Iterable[Segment],
    seam: Measure,
    number: int,
) -> Fold:
    """The fold over `line` with the visible side ahead of `way`, the same line; Impossible where it does not open."""
    if left_of_spans(both, sewn):
        raise Impossible("gap", piece=number)
    spans = [span_of(segment_on(line, span), way) for span in both]
    for layer, polygons in (("laid piece", piece.polygons), ("base", base.polygons)):
        found = _allowance(polygons, way, spans, seam)
        if found != seam:
            raise Impossible("allowance", piece=number, layer=layer, found=found, needed=seam)
    if any(way.side(end) > 0 for segment in others for end in segment):
        raise Impossible("held shut", piece=number)
    return Fold(way, tuple(spans))


def _allowance(polygons: Iterable[Polygon], line: Straight, spans: list[Span], seam: Measure) -> Measure:
    """How wide the cloth behind the line is along the spans; exactly `seam` where it is right.

    At its ends it may narrow by as much as it is wide (a seam into a corner), and dog-ears may stick out.
    """
    hidden = [behind for polygon in polygons if (behind := split(polygon, line)[0]) is not None]
    if not hidden:
        return ZERO
    length = line.length
    deepest = -least(line.value(corner) for polygon in hidden for corner in polygon) / length
    far = line.parallel(-seam)
    room = seam * length
    edge = spans_on(hidden, far)
    middle = [(low + room, high - room) for low, high in spans if compare(low + room, high - room) < 0]
    if left_of_spans(middle, edge):
        return deepest if deepest != seam else ZERO
    beyond = [outside for polygon in hidden if (outside := split(polygon, far)[0]) is not None]
    ears = merged(_extent(polygon, line) for polygon in beyond)
    total = sum((high - low for low, high in ears), ZERO)
    whole = sum((high - low for low, high in spans), ZERO)
    if any(high - low >= 2 * room for low, high in ears) or 2 * total > whole:
        return deepest
    return seam


def _extent(polygon: Polygon, line: Straight) -> Span:
    places = [line.along(corner) for corner in polygon]
    return least(places), -least(-place for place in places)


def essential_stitches(stack: Stack, seam: Measure) -> tuple[Segment, ...]:
    """The stitches that matter for what a stack is: the seams it opens on, or all where it is not ready to open."""
    try:
        folds = folds_of(stack, seam)
    except Impossible:
        polygons = [polygon for piece in stack.laid for polygon in piece.polygons]
        return tuple(segments_inside(stack.stitches, polygons))
    return tuple(segment_on(each.line, span) for each in folds for span in each.spans)


def press_open(stack: Stack, toward: str, degrees: int, seam: Measure) -> Piece:
    """The stack with every laid piece folded back, seen from the front, turned by `degrees`."""
    if toward not in PRESS_WORDS:
        raise Impossible("bad word", word=toward, needed=", ".join(PRESS_WORDS))
    folds = folds_of(stack, seam)
    base = stack.base
    for each in folds:
        base = clip_piece(base, each.line)
    in_front: list[Polygon] = []
    flaps = []
    # Folding turns the order about: what was laid first comes to lie in front.
    for piece, each in zip(stack.laid, folds, strict=True):
        flap = behind(fold(each.line).piece(clip_piece(piece, each.line)), in_front)
        in_front.extend(flap.polygons)
        flaps.append(flap)
    parts = [behind(base, in_front), *flaps]
    new = [
        Seam(segment_on(each.line, span), _allowance_side(each.line, toward)) for each in folds for span in each.spans
    ]
    opened = Piece(
        facets=tuple(facet for part in parts for facet in part.facets),
        seams=(*(seam_line for part in parts for seam_line in part.seams), *new),
        marks=tuple(mark for part in parts for mark in part.marks),
    )
    return turned_piece(settled_piece(opened), degrees)


def _allowance_side(line: Straight, toward: str) -> Compass:
    if toward == "open":
        return OPEN
    return ahead_of(line if toward == "base" else line.turned_about())


def behind(piece: Piece, in_front: list[Polygon]) -> Piece:
    """What is still seen of a piece when polygons lie in front of it."""
    if not in_front:
        return piece
    facets = facets_without(piece.facets, in_front)
    seen = [facet.polygon for facet in facets]
    return replace(
        piece,
        facets=facets,
        seams=tuple(Seam(part, each.toward) for each in piece.seams for part in segments_inside([each.line], seen)),
        marks=tuple(segments_inside(piece.marks, seen)),
    )
