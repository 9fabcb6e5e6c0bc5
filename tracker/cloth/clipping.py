"""What is left of cloth on one side of a line, or where nothing lies in front of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from tracker.cloth.pieces import Facet, Piece, Seam, Stack, segment_on, span_of, spans_on
from tracker.exact.geometry import Polygon, Segment, Straight, clip_segment, common, without


def clip_piece(piece: Piece, line: Straight, beyond: list[Facet] | None = None) -> Piece:
    """The part of a piece ahead of a line. Areas that fall away are added to `beyond`. May be without facets."""
    seams = tuple(_clipped_seams(piece.seams, line))
    marks = tuple(
        [left for mark in piece.marks if (left := clip_segment(mark, line)) is not None and not _lies_on(left, line)]
    )
    if piece.facets and line.box_side(piece.bounds) > 0:
        same = seams == piece.seams and marks == piece.marks
        return piece if same else replace(piece, seams=seams, marks=marks)
    kept: list[Facet] = []
    for facet in piece.facets:
        behind, ahead = facet.parted(line)
        if ahead is not None:
            kept.append(ahead)
        if behind is not None and beyond is not None:
            beyond.append(behind)
    return replace(piece, facets=tuple(kept), seams=seams, marks=marks)


def _clipped_seams(seams: Iterable[Seam], line: Straight) -> Iterator[Seam]:
    for seam in seams:
        start, end = line.side(seam.line[0]), line.side(seam.line[1])
        if start >= 0 and end >= 0 and (start or end):
            yield seam
        elif start > 0 or end > 0:
            left = clip_segment(seam.line, line)
            if left is not None:
                yield replace(seam, line=left)


def clip_stack(stack: Stack, line: Straight) -> Stack | None:
    """The part of a stack ahead of a line, None where nothing lies there. A piece not reaching there is left out."""
    base = clip_piece(stack.base, line)
    laid = [clipped for piece in stack.laid if (clipped := clip_piece(piece, line)).facets]
    if not base.facets and not laid:
        return None
    stitches = [left for stitch in stack.stitches if (left := clip_segment(stitch, line)) is not None]
    return Stack(base, tuple(laid), tuple(stitches))


def _lies_on(segment: Segment, line: Straight) -> bool:
    return line.side(segment[0]) == 0 and line.side(segment[1]) == 0


def facets_without(facets: Iterable[Facet], holes: Iterable[Polygon]) -> tuple[Facet, ...]:
    """What is left of areas that others lie in front of."""
    holes = list(holes)
    return tuple(Facet(part, facet.fabric, facet.ups) for facet in facets for part in without([facet.polygon], holes))


def segments_inside(segments: Iterable[Segment], polygons: Iterable[Polygon]) -> list[Segment]:
    """The parts of segments that run in or on the polygons."""
    polygons = list(polygons)
    found = []
    for segment in segments:
        line = Straight.through(*segment)
        for span in common([span_of(segment, line)], spans_on(polygons, line)):
            found.append(segment_on(line, span))
    return found
