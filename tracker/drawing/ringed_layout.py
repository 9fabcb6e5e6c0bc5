"""A layout as it should lie, the pieces in question ringed."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from tracker.cloth.pieces import Facet
from tracker.drawing.canvas import INK, Sheet, closed
from tracker.drawing.view import ClothView, largest_scale
from tracker.exact.geometry import XY, ZERO, rectangle
from tracker.plan.model import Plan, Quarters
from tracker.seeing.laid_pieces import CellGrid
from tracker.seeing.layout_check import LaidPiece

_EDGE = 24
_RING = "#d40f5c"


def ringed_layout(plan: Plan, grid: CellGrid, pieces: Sequence[LaidPiece], ringed: Collection[int]) -> str:
    """The pieces of a layout in this grid, as an `svg` element; those with these numbers are ringed."""
    sheet = Sheet(plan)
    view = ClothView(sheet, largest_scale((1000 - 2 * _EDGE, 1000), grid.marked), _EDGE, _EDGE)
    if grid.slanted is not None and plan.quilt.setting_fabric is not None:
        view.areas([Facet(rectangle(ZERO, ZERO, *grid.marked), plan.quilt.setting_fabric)])
    for piece in pieces:
        for r, line in enumerate(piece.shown, piece.row):
            for c, quarters in enumerate(line, piece.column):
                corners = grid.cells(r, c, 1, 1)
                middle = (corners[0][0] + corners[2][0]) / 2, (corners[0][1] + corners[2][1]) / 2
                view.areas(_quarters(corners, middle, quarters))
    for number, piece in enumerate(pieces):
        corners = grid.cells(piece.row, piece.column, len(piece.shown), len(piece.shown[0]))
        outline = closed(view.spots(corners))
        sheet.path(outline, "seam", INK, 3)
        if number in ringed:
            sheet.path(outline, "ringed", _RING, 14, halo=8)
    width, height = (view.whole(side) + 2 * _EDGE for side in grid.marked)
    sheet.width = width
    return sheet.finish(height, f"The layout as it should lie, {len(ringed)} of its pieces ringed.")


def _quarters(corners: Sequence[XY], middle: XY, quarters: Quarters) -> list[Facet]:
    if len(set(quarters)) == 1:
        return [Facet(tuple(corners), quarters[0])]
    return [Facet((corners[each], corners[(each + 1) % 4], middle), cloth) for each, cloth in enumerate(quarters)]
