"""Which way the trade presses the seams of a quilt's rows, told from what was joined: toward strips; in rows of blocks
edge to edge all one way, the next row the other way; rows all toward the next; a backing's seams open."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.assembling import JoinParts
from tracker.cloth import Content, Piece
from tracker.plan import Plan
from tracker.work import Checklist, Step

FIRST, NEXT, OPEN_SEAM = "to the first", "to the next", "open"


def wanted_sides(plan: Plan, checklist: Checklist, maker: Step, lying: Mapping[str, Content]) -> list[str]:
    """FIRST, NEXT or OPEN_SEAM for each seam of pieces that were joined in order."""
    assert isinstance(maker.action, JoinParts)
    members = maker.action.members
    pieces = [lying.get(member.pile) for member in members]
    things = [checklist.piles[member.pile].thing for member in members]
    given = checklist.piles[maker.gives[0].pile].thing
    if given == "backing":
        return [OPEN_SEAM] * (len(members) - 1)
    if maker.action.direction == "down":
        # Rows: toward sashes, which come as the next piece or as the last of what is joined already.
        return [FIRST if "with sashes" in things[0] else NEXT]
    if not any(isinstance(piece, Piece) and piece.cells for piece in pieces):
        strip = 0 if given.startswith("sashes") else 1
        return [NEXT if place % 2 != strip else FIRST for place in range(len(members) - 1)]
    return [_beside_block(plan, pieces[place], pieces[place + 1]) for place in range(len(members) - 1)]


def _beside_block(plan: Plan, first: Content | None, second: Content | None) -> str:
    bare = [not (isinstance(piece, Piece) and piece.cells) for piece in (first, second)]
    if plan.quilt.sash is not None and any(bare):
        return NEXT if bare[1] else FIRST
    blocks = [piece for piece in (first, second) if isinstance(piece, Piece) and piece.cells]
    row = blocks[0].cells[0][0] + 1 if blocks else 0
    return NEXT if row % 2 else FIRST
