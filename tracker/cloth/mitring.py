"""A border with mitred corners, exactly: its strips sewn on from seam to seam, folded back on the diagonal, and sewn.

Until the corners are sewn the ends of the strips lie folded along the diagonal; what is behind the fold is cut off with
the corner's seam allowance and is not kept.
"""

from __future__ import annotations

from dataclasses import replace

from tracker.cloth.clipping import clip_piece
from tracker.cloth.joining import check_pressed
from tracker.cloth.moving import settled_piece
from tracker.cloth.pieces import Cells, Facet, Piece, Seam
from tracker.cloth.sewing_faults import Impossible
from tracker.cloth.uniting import strip_of
from tracker.exact.geometry import ONE, XY, ZERO, Segment, Straight, intersection, rectangle
from tracker.exact.measure import ROOT2, Measure, compare
from tracker.work.whole_blocks import AddBorder, MitreCorners


def add_border(base: Piece, sides: Piece, ends: Piece, action: AddBorder, seam: Measure) -> Piece:
    """The base with a strip on each of its four edges, their ends folded back along the diagonals of the corners."""
    across, down = base.size
    if base.area != across * down:
        raise Impossible("ragged edge", edge="outer", piece=1)
    fabric, cut = _strip(sides, down + 2 * action.beyond), min(sides.size)
    if _strip(ends, across + 2 * action.beyond) != fabric or min(ends.size) != cut:
        raise Impossible("edges", found=min(ends.size), needed=cut)
    wide = cut - 2 * seam
    # Behind the fold each strip needs its seam allowance, as far as the outer edge.
    if wide.sign() <= 0 or compare(action.beyond, wide + ROOT2 * seam) < 0:
        raise Impossible("too narrow", piece=2)
    edges = (
        Straight(ONE, ZERO, seam),
        Straight(-ONE, ZERO, seam - across),
        Straight(ZERO, ONE, seam),
        Straight(ZERO, -ONE, seam - down),
    )
    for edge in edges:
        check_pressed(base, edge.parallel(-seam))
        base = clip_piece(base, edge)
    left, top, right, bottom = seam, seam, across - seam, down - seam
    inner = (left, top), (right, top), (right, bottom), (left, bottom)
    by = wide + seam
    outer = (left - by, top - by), (right + by, top - by), (right + by, bottom + by), (left - by, bottom + by)
    strips = [Facet((outer[n], outer[(n + 1) % 4], inner[(n + 1) % 4], inner[n]), fabric) for n in range(4)]
    of_base = base.cells
    seams = (
        _seam(inner[0], inner[3], (), of_base),
        _seam(inner[1], inner[2], of_base, ()),
        _seam(inner[0], inner[1], (), of_base),
        _seam(inner[3], inner[2], of_base, ()),
    )
    return settled_piece(replace(base, facets=(*base.facets, *strips), seams=(*base.seams, *seams)))


def _strip(piece: Piece, length: Measure) -> str:
    """The cloth of a strip, which must be so long."""
    fabric, own = strip_of(piece, min(piece.size))
    if own != length:
        raise Impossible("edges", found=own, needed=length)
    return fabric


def _seam(start: XY, end: XY, first: Cells, second: Cells) -> Seam:
    return Seam((start, end), None, (first, second))


def diagonals_of(size: tuple[Measure, Measure], inset: Measure) -> tuple[Segment, ...]:
    """The lines at 45 degrees from each corner of a size, so far inward both ways: clockwise from the upper left."""
    across, down = size
    return (
        ((ZERO, ZERO), (inset, inset)),
        ((across - inset, inset), (across, ZERO)),
        ((across - inset, down - inset), (across, down)),
        ((ZERO, down), (inset, down - inset)),
    )


def mitre_corners(piece: Piece, action: MitreCorners, seam: Measure) -> Piece:
    """The piece with a seam on each corner's diagonal, from the outer corner to the end of the border's seams."""
    inset = action.width + seam
    if action.width.sign() <= 0 or compare(2 * inset, min(piece.size)) >= 0:
        raise Impossible("too narrow", piece=1)
    new = []
    for line in diagonals_of(piece.size, inset):
        inner = max(line, key=lambda end: min(end[0], end[1], piece.size[0] - end[0], piece.size[1] - end[1]))
        _check_corner(piece, line, inner)
        new.append(Seam(line, None, ((), ())))
    return replace(piece, seams=(*piece.seams, *new))


def _check_corner(piece: Piece, line: Segment, inner: XY) -> None:
    """Whether two pressed seams of a border end at the inner point, and cloth lies folded along the line to there."""
    at_end = [seam for seam in piece.seams if inner in seam.line]
    if any(seam.toward is None for seam in at_end):
        raise Impossible("unpressed")
    if len(at_end) < 2:
        raise Impossible("mark off the cloth")
    straight = Straight.through(*line)
    xs, ys = zip(*line, strict=True)
    box = rectangle(min(xs), min(ys), max(xs), max(ys))
    for facet in piece.facets:
        shared = intersection(facet.polygon, box)
        sides = {straight.side(point) for point in shared or ()}
        if {1, -1} <= sides:
            raise Impossible("gap", piece=1)
