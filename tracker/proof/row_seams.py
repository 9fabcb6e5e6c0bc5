"""Which way the trade presses the seams of a quilt's rows, told from what was joined: toward strips; in rows of blocks
edge to edge all one way, the next row the other way; rows all toward the next; a backing's seams open."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from tracker.cloth.moving import turned_piece
from tracker.cloth.pieces import Content, Piece
from tracker.exact.geometry import ZERO
from tracker.plan.model import Plan
from tracker.proof.uses import Uses
from tracker.work.steps import AddStrips, Step
from tracker.work.whole_blocks import JoinParts, JoinUnits, Layer, Member

FIRST, NEXT, OPEN_SEAM = "to the first", "to the next", "open"


def wanted_sides(plan: Plan, uses: Uses, maker: Step, lying: Mapping[str, Content]) -> list[str]:
    """FIRST, NEXT or OPEN_SEAM for each seam of pieces that were joined in order."""
    assert isinstance(maker.action, JoinParts)
    members = maker.action.members
    pieces = [lying.get(member.pile) for member in members]
    if uses.goes_to(maker, Layer, backing=True):
        return [OPEN_SEAM] * (len(members) - 1)
    if maker.action.direction == "down":
        # Rows: toward sashes, which come as the next piece or as the last of what is joined already.
        return [FIRST if uses.ends_with_sashes(members[0].pile) else NEXT]
    if isinstance(maker.action, JoinUnits):
        # To the longer piece: a sash, not the square beside it.
        along = [piece.size[0] if isinstance(piece, Piece) else ZERO for piece in _turned(pieces, members)]
        return [NEXT if after >= before else FIRST for before, after in pairwise(along)]
    if not any(isinstance(piece, Piece) and piece.cells for piece in pieces):
        strip = 1 if uses.goes_to(maker, AddStrips, strip=True) else 0
        return [NEXT if place % 2 != strip else FIRST for place in range(len(members) - 1)]
    return [_beside_block(plan, pieces[place], pieces[place + 1]) for place in range(len(members) - 1)]


def _turned(pieces: list[Content | None], members: tuple[Member, ...]) -> list[Content | None]:
    """Pieces as they lie when they are joined."""
    lying = zip(pieces, members, strict=True)
    return [turned_piece(piece, member.turn) if isinstance(piece, Piece) else None for piece, member in lying]


def _beside_block(plan: Plan, first: Content | None, second: Content | None) -> str:
    bare = [not (isinstance(piece, Piece) and piece.cells) for piece in (first, second)]
    if plan.quilt.sash is not None and any(bare):
        return NEXT if bare[1] else FIRST
    blocks = [piece for piece in (first, second) if isinstance(piece, Piece) and piece.cells]
    row = blocks[0].cells[0][0] + 1 if blocks else 0
    return NEXT if row % 2 else FIRST
