"""Whether two contents lie exactly alike: the same cloth over the same area, the same seams, marks and stitches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracker.cloth.folding import essential_stitches, press_open
from tracker.cloth.pieces import OPEN, Compass, Content, Facet, Group, HalfSewn, Piece, Seam, Stack, segment_on, span_of
from tracker.cloth.sewing_faults import Impossible
from tracker.exact.geometry import (
    Polygon,
    Segment,
    Span,
    Straight,
    common,
    intersection,
    left_of_spans,
    merged,
    without,
)
from tracker.exact.measure import Measure

_LineKey = tuple[Measure, Measure, Measure]


def difference_between(first: Content, second: Content, seam: Measure) -> str | None:
    """What differs between two contents as they lie ("the cloth", "the seams", ...), or None where nothing does."""
    if isinstance(first, Piece) and isinstance(second, Piece):
        return _pieces_differ(first, second)
    if isinstance(first, Stack) and isinstance(second, Stack):
        return _stacks_differ(first, second, seam)
    if isinstance(first, Group) and isinstance(second, Group):
        return _each_differs(first.pieces, second.pieces)
    if isinstance(first, HalfSewn) and isinstance(second, HalfSewn):
        alike = first.open == second.open and _same_cloth(first.hidden, second.hidden)
        return _pieces_differ(first.piece, second.piece) if alike else "what is still open"
    return "what is sewn together"


def _each_differs(first: tuple[Piece, ...], second: tuple[Piece, ...]) -> str | None:
    if len(first) != len(second):
        return "the number of pieces"
    return next(filter(None, map(_pieces_differ, first, second)), None)


def _stacks_differ(first: Stack, second: Stack, seam: Measure) -> str | None:
    layers = _each_differs(first.pieces, second.pieces)
    if layers:
        return layers
    own, other = essential_stitches(first, seam), essential_stitches(second, seam)
    return None if _lines(own) == _lines(other) else "the stitches"


def _pieces_differ(first: Piece, second: Piece) -> str | None:
    if first.bounds != second.bounds:
        return "the size"
    if not _same_cloth(first.facets, second.facets):
        return "the cloth"
    if seam_lines(first.seams) != seam_lines(second.seams):
        return "the seams"
    if _lines(first.marks) != _lines(second.marks):
        return "the marks"
    return None


def either_hand(first: Piece, second: Piece) -> Piece:
    """One piece for two that show the same cloth but whose seams lie differently, as mirror images may.

    Where the allowances do not agree nobody can count on them to nest: such a seam is kept as if pressed open.
    """
    own, other = seam_lines(first.seams), seam_lines(second.seams)
    seams = []
    for key in {**own, **other}:
        line, side = Straight(*key[0]), key[1]
        here, there = own.get(key, []), other.get(key, [])
        agreed = common(here, there)
        disputed = left_of_spans([*here, *there], agreed)
        seams += [Seam(segment_on(line, span), side) for span in agreed]
        seams += [Seam(segment_on(line, span), OPEN) for span in disputed]
    return replace(first, seams=tuple(dict.fromkeys(seams)))


def prints_together(first: Content, second: Content) -> Content:
    """One of two contents that lie alike, with every way that the prints lie in either of them."""
    if isinstance(first, Piece) and isinstance(second, Piece):
        facets = tuple(_with_ups(facet, second.facets) for facet in first.facets)
        same = all(facet is own for facet, own in zip(facets, first.facets, strict=True))
        return first if same else replace(first, facets=facets)
    if isinstance(first, Stack) and isinstance(second, Stack):
        base, *laid = (_piece_of(*both) for both in zip(first.pieces, second.pieces, strict=True))
        same = all(piece is own for piece, own in zip((base, *laid), first.pieces, strict=True))
        return first if same else replace(first, base=base, laid=tuple(laid))
    if isinstance(first, Group) and isinstance(second, Group):
        return Group(tuple(_piece_of(*both) for both in zip(first.pieces, second.pieces, strict=True)))
    return first


def _piece_of(first: Piece, second: Piece) -> Piece:
    together = prints_together(first, second)
    assert isinstance(together, Piece)
    return together


def _with_ups(facet: Facet, others: tuple[Facet, ...]) -> Facet:
    """A facet with the ways of those of its cloth that lie where it lies too."""
    more = {
        way: None
        for other in others
        if other.fabric == facet.fabric
        for way in other.ups
        if way not in facet.ups and intersection(facet.polygon, other.polygon)
    }
    return replace(facet, ups=(*facet.ups, *more)) if more else facet


def open_alike(first: Content, second: Content, seam: Measure) -> bool:
    """Whether two folded stacks, pressed open as they lie, show the same cloth. False for what is not folded."""
    if not (isinstance(first, Stack) and isinstance(second, Stack)):
        return False
    try:
        opened = [press_open(stack, "open", 0, seam) for stack in (first, second)]
    except Impossible:
        return False
    return opened[0].bounds == opened[1].bounds and _same_cloth(opened[0].facets, opened[1].facets)


def _same_cloth(first: tuple[Facet, ...], second: tuple[Facet, ...]) -> bool:
    own, other = _by_fabric(first), _by_fabric(second)
    return own.keys() == other.keys() and all(same_area(own[key], other[key]) for key in own)


def _by_fabric(facets: Iterable[Facet]) -> dict[str, list[Polygon]]:
    found: dict[str, list[Polygon]] = {}
    for facet in facets:
        found.setdefault(facet.fabric, []).append(facet.polygon)
    return found


def same_area(first: list[Polygon], second: list[Polygon]) -> bool:
    """True where polygons that share no area among themselves cover the same points."""
    if {frozenset(polygon) for polygon in first} == {frozenset(polygon) for polygon in second}:
        return True
    return not without(first, second) and not without(second, first)


def seam_lines(seams: Iterable[Seam]) -> dict[tuple[_LineKey, Compass | None], list[Span]]:
    """Where seams run, by line and by the side their allowances lie on."""
    by_side: dict[Compass | None, list[Segment]] = {}
    for seam in seams:
        by_side.setdefault(seam.toward, []).append(seam.line)
    return {(key, side): spans for side, lines in by_side.items() for key, spans in _lines(lines).items()}


def _lines(segments: Iterable[Segment]) -> dict[_LineKey, list[Span]]:
    found: dict[_LineKey, list[Span]] = {}
    for segment in segments:
        line = Straight.through(*segment)
        if (line.a.sign() or line.b.sign()) < 0:
            line = line.turned_about()
        found.setdefault((line.a, line.b, line.c), []).append(span_of(segment, line))
    return {key: merged(spans) for key, spans in found.items()}
