"""A layout as it should lie, the pieces in question ringed."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from tracker.cloth.pieces import Facet
from tracker.drawing.canvas import INK, Sheet, closed
from tracker.drawing.view import ClothView, largest_scale
from tracker.exact.geometry import XY, rectangle
from tracker.exact.measure import Measure
from tracker.plan.model import Plan, Quarters
from tracker.seeing.layout_check import LaidPiece

_EDGE = 24
_RING = "#d40f5c"


def ringed_layout(
    plan: Plan,
    lines: tuple[Sequence[Measure], Sequence[Measure]],
    pieces: Sequence[LaidPiece],
    ringed: Collection[int],
) -> str:
    """The pieces of a layout between these lines across and down, as an `svg` element; those with these numbers are
    ringed."""
    across, down = lines
    sheet = Sheet(plan)
    view = ClothView(sheet, largest_scale((1000 - 2 * _EDGE, 1000), (across[-1], down[-1])), _EDGE, _EDGE)
    for piece in pieces:
        for r, line in enumerate(piece.shown, piece.row):
            for c, quarters in enumerate(line, piece.column):
                corners = rectangle(across[c], down[r], across[c + 1], down[r + 1])
                middle = (across[c] + across[c + 1]) / 2, (down[r] + down[r + 1]) / 2
                view.areas(_quarters(corners, middle, quarters))
    for number, piece in enumerate(pieces):
        right, below = across[piece.column + len(piece.shown[0])], down[piece.row + len(piece.shown)]
        outline = closed(view.spots(rectangle(across[piece.column], down[piece.row], right, below)))
        sheet.path(outline, "seam", INK, 3)
        if number in ringed:
            sheet.path(outline, "ringed", _RING, 14, halo=8)
    sheet.width = view.whole(across[-1]) + 2 * _EDGE
    return sheet.finish(
        view.whole(down[-1]) + 2 * _EDGE, f"The layout as it should lie, {len(ringed)} of its pieces ringed."
    )


def _quarters(corners: Sequence[XY], middle: XY, quarters: Quarters) -> list[Facet]:
    if len(set(quarters)) == 1:
        return [Facet(tuple(corners), quarters[0])]
    return [Facet((corners[each], corners[(each + 1) % 4], middle), cloth) for each, cloth in enumerate(quarters)]
