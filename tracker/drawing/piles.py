"""A small picture of what lies on a pile."""

from __future__ import annotations

from tracker.cloth import Content, Group, Piece, Stack
from tracker.drawing.blocks import joined_direction
from tracker.drawing.canvas import Sheet
from tracker.drawing.scene import cloths_of, from_behind, named, spread
from tracker.drawing.view import THICKNESS, View, largest_scale
from tracker.plan import Plan
from tracker.sewing import Trace
from tracker.work import Checklist, Size

SIDE = 400
"""Width and height of a pile's picture, in drawing units."""
_ROOM = SIDE - 60


def pile_drawing(plan: Plan, checklist: Checklist, trace: Trace, pile_id: str) -> str:
    """One piece of a pile as it lies there, as an `svg` element: from the back where it is marked, else the front.

    Of what is laid out or pinned, all pieces that go together.
    """
    pile, content = checklist.piles[pile_id], trace.lying[pile_id]
    sheet = Sheet(plan, SIDE)
    _draw(plan, checklist, sheet, content, pile_id)
    return sheet.finish(SIDE, f"{pile.thing}, {pile.state}: {named(plan, cloths_of(content))}.")


def _draw(plan: Plan, checklist: Checklist, sheet: Sheet, content: Content, pile_id: str) -> None:
    if isinstance(content, Group):
        placed, size = spread(content.pieces, joined_direction(checklist, pile_id), plan.seam)
        _centred(sheet, size).pieces(placed)
    elif isinstance(content, Stack):
        _centred(sheet, content.size).shifted(-THICKNESS // 2, -THICKNESS // 2).stack(content)
    elif content.marks:
        _marked(_centred(sheet, content.size), from_behind(content))
    else:
        _centred(sheet, content.size).piece(content)


def _centred(sheet: Sheet, size: Size) -> View:
    view = View(sheet, largest_scale((_ROOM, _ROOM), size), 0, 0)
    return view.shifted((SIDE - view.whole(size[0])) // 2, (SIDE - view.whole(size[1])) // 2)


def _marked(view: View, piece: Piece) -> None:
    view.piece(piece, "back", [view.ends(mark) for mark in piece.marks])
    for mark in piece.marks:
        view.pencil(mark)
