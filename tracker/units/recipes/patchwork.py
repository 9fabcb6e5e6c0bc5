"""A square of like cells sewn in rows, for the middle of another unit."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from tracker.exact.measure import Measure
from tracker.plan.model import Quarters
from tracker.units.maker import Maker, numbered
from tracker.units.recipes.attaching import Edge, SewnCloth, attached, cell_edge
from tracker.units.recipes.half_pictures import text_of_cells
from tracker.units.recipes.nested_pictures import BOTTOM, LEFT, RIGHT, TOP
from tracker.units.region import Region, cloths_in
from tracker.work.things import PATCHWORK


def along_cells(cells: Sequence[Quarters], side: int, cell: Measure, seam: Measure) -> Edge:
    """The cloths along one side of cells that lie beside each other."""
    first, last = cell_edge(cells[0], side, cell, seam), cell_edge(cells[-1], side, cell, seam)
    return (first[0], *((quarters[side], cell) for quarters in cells), last[-1])


def patchwork(
    maker: Maker,
    rows: Sequence[Sequence[Quarters]],
    cell: Measure,
    called: tuple[str, str] = (PATCHWORK, PATCHWORK),
) -> SewnCloth:
    """Cells sewn to rows, and those to each other; what a row is `called`, and the whole."""
    s, sewn = maker.seam, []
    for row in rows:
        own = _of_cells(maker, (row,), cell, called[0])
        lying = _cell(maker, row[0], cell)
        for number, (before, quarters) in enumerate(pairwise(row), 1):
            edges = cell_edge(before, RIGHT, cell, s), cell_edge(quarters, LEFT, cell, s)
            size = lying.size[0] + cell, lying.size[1]
            begun = numbered(number, len(row) - 1)
            lying = attached(own, lying, _cell(maker, quarters, cell), "across", lying.size[0], edges, size, begun)
        sewn.append(lying)
    whole = sewn[0]
    own = _of_cells(maker, rows, cell, called[1])
    for number, (above, row, lying) in enumerate(zip(rows, rows[1:], sewn[1:], strict=False), 1):
        edges = along_cells(above, BOTTOM, cell, s), along_cells(row, TOP, cell, s)
        size = whole.size[0], whole.size[1] + cell
        whole = attached(own, whole, lying, "down", whole.size[1], edges, size, numbered(number, len(rows) - 1))
    return whole


def _of_cells(maker: Maker, cells: Sequence[Sequence[Quarters]], cell: Measure, called: str) -> Maker:
    return maker.of_part(called, text_of_cells(cells, cell), cloths_in(cells))


def _cell(maker: Maker, quarters: Quarters, cell: Measure) -> SewnCloth:
    side = cell + 2 * maker.seam
    if len(set(quarters)) == 1:
        return SewnCloth(maker.cut(quarters[0], side), 0, (side, side))
    pile, turn = maker.units[Region((cell,), (cell,), ((quarters,),))]
    return SewnCloth(pile, turn, (side, side))
