"""A small picture of what lies on a pile."""

from __future__ import annotations

from tracker.cloth.pieces import Content, Group, HalfSewn, Piece, Stack
from tracker.cloth.sewing import Trace
from tracker.drawing import signs
from tracker.drawing.block_steps import joined_direction
from tracker.drawing.canvas import Sheet
from tracker.drawing.row_steps import row_of, rows_in
from tracker.drawing.scene import cloths_of, from_behind, named, spread
from tracker.drawing.tile_layout import Layout, bounds_of
from tracker.drawing.tiles import MOST_TILES, Tiler
from tracker.drawing.top_steps import paint_top, top_of, whole_top
from tracker.drawing.view import THICKNESS, ClothView, largest_scale
from tracker.plan.model import Plan
from tracker.words.thing_words import spoken, stage_words
from tracker.work.steps import Checklist, Pile, Size
from tracker.work.things import Kind

SIDE = 400
"""Width and height of a pile's picture, in drawing units."""
_ROOM = SIDE - 60


def pile_drawing(plan: Plan, checklist: Checklist, trace: Trace, pile_id: str, layout: Layout | None = None) -> str:
    """One piece of a pile as it lies there, as an `svg` element: from the back where it is marked, else the front.

    Of what is laid out or pinned, all pieces that go together. Rows and tops are drawn without the trace; what else it
    has not is no drawing: an empty text.
    """
    pile, content = checklist.piles[pile_id], trace.lying.get(pile_id)
    sheet = Sheet(plan, SIDE)
    if _draw_whole(sheet, layout or Layout(plan, checklist), pile):
        return sheet.finish(SIDE, f"{spoken(pile.thing)}, {stage_words(pile)}.")
    if content is None:
        return ""
    _draw(plan, checklist, sheet, content, pile_id)
    return sheet.finish(SIDE, f"{spoken(pile.thing)}, {stage_words(pile)}: {named(plan, cloths_of(content))}.")


def _draw_whole(sheet: Sheet, layout: Layout, pile: Pile) -> bool:
    """A row, rows joined, a top or the quilt as tiles; false for anything else."""
    if not pile.thing.of_the_quilt:
        return False
    row = row_of(layout, pile.thing)
    rows = (row,) if row is not None else rows_in(layout, pile.thing)
    if rows:
        tiles = [tile for row in rows for tile in layout.tiles(row)][:MOST_TILES]
        left, upper, right, lower = bounds_of(tiles)
        view = _centred(sheet, (right - left, lower - upper))
        view = view.shifted(-view.whole(left), -view.whole(upper))
        Tiler(sheet, layout).paint(view, tiles)
        return True
    if pile.size is None or pile.thing.kind not in (Kind.TOP, Kind.BORDERED, Kind.MITRED, Kind.QUILT):
        return False
    top = whole_top(layout, pile.size) if pile.thing.kind is Kind.QUILT else top_of(layout, pile.thing, pile.size)
    paint_top(sheet, _centred(sheet, top.size), layout, top, numbers=False)
    return True


def _draw(plan: Plan, checklist: Checklist, sheet: Sheet, content: Content, pile_id: str) -> None:
    if isinstance(content, Group):
        placed, size = spread(content.pieces, joined_direction(checklist, pile_id), plan.seam)
        _centred(sheet, size).pieces(placed)
    elif isinstance(content, Stack):
        _centred(sheet, content.size).shifted(-THICKNESS // 2, -THICKNESS // 2).stack(content)
    elif isinstance(content, HalfSewn):
        view = _centred(sheet, content.size)
        view.piece(content.piece)
        signs.left_open(sheet, view.ends(content.open))
    elif content.marks:
        _marked(_centred(sheet, content.size), from_behind(content))
    else:
        _centred(sheet, content.size).piece(content)


def _centred(sheet: Sheet, size: Size) -> ClothView:
    view = ClothView(sheet, largest_scale((_ROOM, _ROOM), size), 0, 0)
    return view.shifted((SIDE - view.whole(size[0])) // 2, (SIDE - view.whole(size[1])) // 2)


def _marked(view: ClothView, piece: Piece) -> None:
    view.piece(piece, "back", [view.ends(mark) for mark in piece.marks])
    for mark in piece.marks:
        view.pencil(mark)
