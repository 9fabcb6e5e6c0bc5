"""Pieces sewn edge to edge, exactly: joins, strips added round, and pressing the seams that they make.

Two pieces joined along a straight edge each lose the seam allowance there: it vanishes behind, and what is left meets
at the seam.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tracker.cloth.clipping import clip_piece
from tracker.cloth.moving import settled_piece, shift, turned_piece
from tracker.cloth.pieces import OPEN, Cells, Compass, Facet, Piece, Seam, segment_on, spans_on
from tracker.cloth.sewing_faults import Impossible
from tracker.exact.geometry import ONE, ZERO, Segment, Straight, common
from tracker.exact.measure import Measure, compare
from tracker.work.pressed import SeamPress
from tracker.work.things import ENDS, SIDES

EDGES = (ENDS, SIDES)
DIRECTIONS = ("across", "down")


@dataclass(frozen=True)
class Junction:
    """Where seams of two pieces meet across a join: `along` from the left (or top) cut edge of the seam between them.

    `first` and `second` are the sides their allowances lie on, of the left (or upper) piece and of the other. `seams`
    counts them among the seams that run out at each piece's edge, from 1 at the top (or left).
    """

    along: Measure
    first: Compass
    second: Compass
    seams: tuple[int, int] = (0, 0)

    @property
    def nests(self) -> bool:
        """True where the allowances lie opposite ways, so that the seams lock."""
        return self.first != OPEN and (-self.first[0], -self.first[1]) == self.second


def join_pieces(
    pieces: Sequence[Piece], direction: str, seam: Measure
) -> tuple[Piece, tuple[tuple[Junction, ...], ...]]:
    """The pieces sewn together in order, and for each join the places where seams meet across it."""
    if direction not in DIRECTIONS:
        raise Impossible("bad word", word=direction, needed=", ".join(DIRECTIONS))
    across = direction == "across"
    axis = 0 if across else 1
    length = pieces[0].size[1 - axis]
    facets: list[Facet] = []
    seams: list[Seam] = []
    marks: list[Segment] = []
    cells: Cells = ()
    begins = ZERO
    for number, piece in enumerate(pieces, 1):
        lying, taken = _lying_at(piece, number, len(pieces), axis, length, seam, begins)
        if number > 1:
            at = begins + seam
            line: Segment = ((at, ZERO), (at, length)) if across else ((ZERO, at), (length, at))
            seams.append(Seam(line, None, (cells, piece.cells)))
        facets += lying.facets
        seams += lying.seams
        marks += lying.marks
        cells = cells + piece.cells
        begins = begins + taken
    junctions = tuple(meetings(first, second, across, seam) for first, second in pairwise(pieces))
    return Piece(tuple(facets), tuple(seams), tuple(marks), cells), junctions


def _lying_at(
    piece: Piece, number: int, last: int, axis: int, length: Measure, seam: Measure, begins: Measure
) -> tuple[Piece, Measure]:
    """A piece of several without its allowances, as it lies in the whole, and how much of the whole it takes.

    Raises Impossible where it cannot be joined so. Remembered: like units lie in like places of many blocks.
    """
    key = ("joined", number > 1, number < last, axis, length, seam, begins)
    found: tuple[Piece, Measure] | None = piece.remembered.get(key)
    if found is None:
        _check_fits(piece, number, last, axis, length, seam)
        kept = _without_allowances(piece, number, last, axis, length, seam)
        place = shift(begins, ZERO) if axis == 0 else shift(ZERO, begins)
        found = piece.remembered[key] = place.piece(kept) if number > 1 else kept, piece.size[axis] - 2 * seam
    return found


def _check_fits(piece: Piece, number: int, last: int, axis: int, length: Measure, seam: Measure) -> None:
    """Whether a piece is as long as the first, wide enough for its seams, and pressed where it is joined."""
    if piece.size[1 - axis] != length:
        raise Impossible("edges", found=piece.size[1 - axis], needed=length)
    depth, seams = piece.size[axis], (number > 1) + (number < last)
    if compare(depth, seams * seam) <= 0:
        raise Impossible("too narrow", piece=number)
    a, b = (ONE, ZERO) if axis == 0 else (ZERO, ONE)
    if number > 1:
        check_pressed(piece, Straight(a, b, ZERO))
    if number < last:
        check_pressed(piece, Straight(-a, -b, -depth))


def _without_allowances(piece: Piece, number: int, last: int, axis: int, length: Measure, seam: Measure) -> Piece:
    """The piece without the seam allowances where it is joined to those before and after it."""
    depth = piece.size[axis]
    a, b = (ONE, ZERO) if axis == 0 else (ZERO, ONE)
    if number > 1:
        edge = "left" if axis == 0 else "upper"
        piece = _without_allowance(piece, Straight(a, b, seam), length * seam, edge, number)
    if number < last:
        edge = "right" if axis == 0 else "lower"
        piece = _without_allowance(piece, Straight(-a, -b, seam - depth), length * seam, edge, number)
    return piece


def join_shifted(
    first: Piece, second: Piece, direction: str, shifted: Measure, seam: Measure
) -> tuple[Piece, tuple[Junction, ...]]:
    """Two pieces joined though their edges are not equally long: the second's begins `shifted` after the first's.

    What stands out beyond the other's edge stays, but for the seam allowance. Seams that meet are told as in a join.
    """
    if direction not in DIRECTIONS:
        raise Impossible("bad word", word=direction, needed=", ".join(DIRECTIONS))
    across = direction == "across"
    axis = 0 if across else 1
    depth = first.size[axis]
    a, b = (ONE, ZERO) if across else (ZERO, ONE)
    for number, piece in enumerate((first, second), 1):
        if compare(piece.size[axis], seam) <= 0:
            raise Impossible("too narrow", piece=number)
    check_pressed(first, Straight(-a, -b, -depth))
    check_pressed(second, Straight(a, b, ZERO))
    met = meetings(first, second, across, seam, shifted)
    place = shift(depth - 2 * seam, shifted) if across else shift(shifted, depth - 2 * seam)
    line = Straight(a, b, depth - seam)
    kept, added = clip_piece(first, line.turned_about()), clip_piece(place.piece(second), line)
    shared = common(spans_on(first.polygons, line), spans_on(place.piece(second).polygons, line))
    if len(shared) != 1:
        raise Impossible("not on the base", piece=2)
    new = Seam(segment_on(line, shared[0]), None, (first.cells, second.cells))
    whole = Piece(
        kept.facets + added.facets,
        (*kept.seams, new, *added.seams),
        kept.marks + added.marks,
        first.cells + second.cells,
    )
    return settled_piece(whole), met


def check_pressed(piece: Piece, edge: Straight) -> None:
    """Raises Impossible where a seam that is not pressed runs out at an edge."""
    for seam in piece.unpressed:
        if any(edge.side(end) == 0 for end in seam.line):
            raise Impossible("unpressed")


def _without_allowance(piece: Piece, line: Straight, expected: Measure, edge: str, number: int) -> Piece:
    """The piece without its seam allowance behind `line`, which must be a full straight strip of that area."""
    hidden: list[Facet] = []
    kept = clip_piece(piece, line, hidden)
    if sum((facet.area for facet in hidden), ZERO) != expected:
        raise Impossible("ragged edge", edge=edge, piece=number)
    return kept


def meetings(first: Piece, second: Piece, across: bool, seam: Measure, shifted: Measure = ZERO) -> tuple[Junction, ...]:
    """Where pressed seams of two pieces meet when joined side by side, or (not `across`) one below the other.

    The edge of the second begins `shifted` after that of the first.
    """
    a, b = (ONE, ZERO) if across else (ZERO, ONE)
    far = Straight(-a, -b, seam - first.size[0 if across else 1])
    own = _seams_at(first, far, across)
    other = {shifted + at: toward for at, toward in _seams_at(second, Straight(a, b, seam), across).items()}
    places = [{along: place for place, along in enumerate(each, 1)} for each in (own, other)]
    return tuple(
        Junction(along, toward, other[along], (places[0][along], places[1][along]))
        for along, toward in own.items()
        if along in other
    )


def _seams_at(piece: Piece, line: Straight, across: bool) -> dict[Measure, Compass]:
    """Where seams cut a stitching line squarely, measured along it, and the side their allowances lie on."""
    found = {}
    for seam in piece.seams:
        start, end = seam.line
        level = start[1] == end[1] if across else start[0] == end[0]
        if level and seam.toward is not None and line.side(start) * line.side(end) <= 0:
            found[start[1] if across else start[0]] = seam.toward
    return dict(sorted(found.items(), key=lambda item: item[0]))


def add_strips(
    base: Piece, strip: Piece, edges: str, seam: Measure, beyond: Measure = ZERO, outward: bool = False
) -> tuple[Piece, tuple[tuple[Junction, ...], ...]]:
    """The base with a strip on each of two opposite edges; the strip is turned so that its length lies along them.

    Each end of a strip stands out `beyond` the base. `outward`: its upper edge comes to lie outward on both.
    """
    if edges not in EDGES:
        raise Impossible("bad word", word=edges, needed=", ".join(EDGES))
    level = edges == ENDS
    length = base.size[0 if level else 1] + 2 * beyond
    turns, direction = ((0, 90), "down") if level else ((90, 0), "across")
    for degrees in turns:
        lying = turned_piece(strip, degrees)
        if lying.size[0 if level else 1] != length:
            continue
        if not beyond:
            about = turned_piece(lying, 180) if outward else lying
            # Turned by a quarter its upper edge lies to the right.
            first, last = (lying, about) if level else (about, lying)
            return join_pieces((first, base, last), direction, seam)
        first, met = join_shifted(lying, base, direction, beyond, seam)
        whole, again = join_shifted(first, lying, direction, ZERO, seam)
        return whole, (met, again)
    raise Impossible("edges", found=strip.size[0], needed=length)


def press_seams(piece: Piece, wanted: Sequence[SeamPress]) -> Piece:
    """The piece with its unpressed seams, in order, pressed as wanted."""
    unpressed = piece.unpressed
    if len(wanted) != len(unpressed):
        raise Impossible("wrong seams", found=len(wanted), needed=len(unpressed))
    orders = iter(wanted)
    return replace(
        piece,
        seams=tuple(seam if seam.toward is not None else _pressed(seam, next(orders)) for seam in piece.seams),
    )


def _pressed(seam: Seam, order: SeamPress) -> Seam:
    upright = seam.line[0][0] == seam.line[1][0]
    for thing, cells in zip(order.between, seam.between or ((), ()), strict=True):
        if cells and thing.cell is not None and (thing.cell[0] - 1, thing.cell[1] - 1) not in cells:
            raise Impossible("wrong name", name=thing.name)
    # Rows and columns, which count joined pieces, follow each other the way they lie.
    first, second = (thing.lines[-1:] for thing in order.between)
    in_a_round = (("round", 0),) in (first, second) and {line for line, _ in first + second} == {"round"}
    if first and second and not in_a_round and second != (("across" if upright else "down", first[0][1] + 1),):
        raise Impossible("wrong name", name=order.between[1].name)
    if order.toward is None:
        return Seam(seam.line, OPEN)
    if order.toward not in order.between or order.between[0] == order.between[1]:
        needed = ", ".join((*(thing.name for thing in order.between), "open"))
        raise Impossible("bad word", word=order.toward.name, needed=needed)
    step = -1 if order.toward == order.between[0] else 1
    return Seam(seam.line, (step, 0) if upright else (0, step))
