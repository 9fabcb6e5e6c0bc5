"""What is done with whole blocks, exactly: rows joined to a top, long strips made of short ones, layers, binding."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tracker.cloth.clipping import clip_piece
from tracker.cloth.joining import Junction, join_pieces, join_shifted
from tracker.cloth.moving import settled_piece, turned_piece
from tracker.cloth.pieces import Piece, patch
from tracker.cloth.sewing_faults import Impossible
from tracker.exact.geometry import ONE, ZERO, Straight
from tracker.exact.measure import Measure, compare
from tracker.work.whole_blocks import Bind, ClipEars, CutLengths, JoinEnds, JoinParts, Layer, SetBlock


def set_block(piece: Piece, action: SetBlock) -> Piece:
    """A block turned as it lies in the quilt. Its own cells count no more; it is a block of its row."""
    if action.turn not in (0, 90, 180, 270):
        raise Impossible("bad word", word=action.turn, needed="0, 90, 180, 270")
    return replace(turned_piece(piece, action.turn), cells=((action.row - 1, 0),))


def join_parts(
    pieces: Sequence[Piece], action: JoinParts, seam: Measure
) -> tuple[Piece, tuple[tuple[Junction, ...], ...]]:
    """The pieces of a row, or rows, sewn together in order; and for each seam what meets there."""
    lying = [turned_piece(piece, member.turn) for piece, member in zip(pieces, action.members, strict=True)]
    for member in action.members if action.level else action.members[:1]:
        if member.along:
            raise Impossible("edges", found=member.along, needed=ZERO)
    if action.level:
        return join_pieces(lying, action.direction, seam)
    whole, junctions = lying[0], []
    for piece, member in zip(lying[1:], action.members[1:], strict=True):
        whole, met = join_shifted(whole, piece, action.direction, member.along, seam)
        junctions.append(met)
    return whole, tuple(junctions)


def clip_ears(piece: Piece, action: ClipEars) -> Piece:
    """A row cut level along its upper and lower edge."""
    bottom = action.top + action.height
    if action.top.sign() < 0 or compare(bottom, piece.size[1]) > 0:
        raise Impossible("too small to trim", width=piece.size[0], height=action.height)
    kept = clip_piece(piece, Straight(ZERO, ONE, action.top))
    return settled_piece(clip_piece(kept, Straight(ZERO, -ONE, -bottom)))


def strip_of(piece: Piece, width: Measure) -> tuple[str, Measure]:
    """The cloth and the length of a strip of a cut width, whichever way it lies."""
    across, down = piece.size
    if len(piece.facets) == 1 and piece.area == across * down:
        for length, own in ((across, down), (down, across)):
            if own == width:
                return piece.facets[0].fabric, length
    raise Impossible("edges", found=down, needed=width)


def join_ends(strips: Sequence[Piece], action: JoinEnds) -> Piece:
    """One long strip. Its joins are not kept: like any strip it is one cloth."""
    found = [strip_of(strip, action.width) for strip in strips]
    if len({fabric for fabric, _ in found}) != 1:
        raise Impossible("wrong thing", pile="strips", needed="strips of one cloth", found="several cloths")
    loss = action.width
    if len(found) > 1 and any(compare(length, loss) < 0 for _, length in found):
        raise Impossible("too narrow", piece=1)
    whole = sum((length for _, length in found), ZERO) - loss * (len(found) - 1)
    return patch(found[0][0], whole, action.width)


def cut_lengths(strip: Piece, action: CutLengths) -> Mapping[str, list[Piece]]:
    """The shorter strips that a long one is cut into, for each pile."""
    fabric, whole = strip_of(strip, strip.size[1])
    wanted = sum((length.length * length.count for length in action.lengths), ZERO)
    if compare(wanted, whole) > 0 or any(length.length.sign() <= 0 for length in action.lengths):
        raise Impossible("too small to trim", width=wanted, height=strip.size[1])
    found: dict[str, list[Piece]] = {}
    for length in action.lengths:
        found.setdefault(length.pile, []).extend([patch(fabric, length.length, strip.size[1])] * length.count)
    return found


def layer(top: Piece, backing: Piece | None, action: Layer) -> Piece:
    """The top on its layers; what lies under it must reach beyond it on every side."""
    under = [piece for piece in (backing.size if backing else None, action.batting) if piece is not None]
    for size in under:
        for own, needed in zip(size, top.size, strict=True):
            if compare(own, needed + 2 * action.beyond) < 0:
                raise Impossible("edges", found=own, needed=needed + 2 * action.beyond)
    return top


def bind(quilt: Piece, binding: Piece, action: Bind) -> Piece:
    """The quilt with its binding, which must reach all round."""
    round_it = 2 * (quilt.size[0] + quilt.size[1])
    if compare(binding.size[0], round_it) < 0:
        raise Impossible("edges", found=binding.size[0], needed=round_it)
    return quilt
