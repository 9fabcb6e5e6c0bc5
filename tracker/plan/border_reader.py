"""Borders of a plan file, pieced ones with their picture, and whether those fill their sides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from tracker.exact.measure import Measure, on_mark
from tracker.plan.border_strips import ENDS, SIDES, Sides
from tracker.plan.defaults import DEFAULTS
from tracker.plan.fields import Fields, described
from tracker.plan.keys import known_keys, read_keys
from tracker.plan.model import Block, Border, Cell, Quilt
from tracker.plan.picture import read_picture

MOST_PIECES = 400
"""How many cells a strip may have."""


def read_borders(quilt: Fields) -> tuple[Border, ...]:
    """Every `[[quilt.border]]`, inner first."""
    return tuple(_border(fields) for fields in quilt.tables_of("border", known_keys(Border)))


def _border(fields: Fields) -> Border:
    cells = _row_of_cells(fields) if "picture" in fields else ()
    if "picture" in fields and "fabric" not in fields:
        # What it is called by; where the picture cannot be read, any.
        called = cells[0].quarters[0] if cells else next(iter(fields.report.cloths), "")
        fields = Fields(fields.report, fields.path, {**fields.table, "fabric": called}, fields.unit, None)
    own: dict[str, Any] = read_keys(Border, fields)
    border = Border(**own, picture=cells)
    if border.is_pieced:
        key = "picture" if cells else "outer_sash"
        if border.mitred:
            fields.fault("pieced border", key, "that is mitred", 'give its corners a cloth, as corners = "S"')
        if border.lengthwise:
            fields.fault("pieced border", key, "that is cut lengthwise", "take lengthwise out")
        seam = fields.report.seam
        if cells and seam is not None and border.cut - 2 * seam <= seam:
            wide = fields.written(border.cut - 2 * seam)
            fields.fault(
                "seam too wide", "finished" if "finished" in fields.table else "cut", wide, fields.written(seam)
            )
        if cells and border.outer_sash:
            fields.fault("either", "picture", "picture and outer_sash")
    return border


def _row_of_cells(fields: Fields) -> tuple[Cell, ...]:
    """One row of cells, as wide as the border; a diagonal only where one is a square."""
    value = fields.table["picture"]
    if not isinstance(value, str):
        fields.fault("not text value", "picture", described(value))
        return ()
    drawing = read_picture(value, list(fields.report.cloths))
    for fault in drawing.faults:
        fields.fault(fault.kind, "picture", fault.read, fault.right)
    if drawing.faults:
        return ()
    if drawing.rows > 1:
        right = "it is one row, over and over; a border in two rows is two borders"
        fields.fault("pieced border", "picture", f"of {drawing.rows} rows", right)
        return ()
    if any(cell.across > 1 and not cell.is_plain for cell in drawing.cells):
        fields.fault("pieced border", "picture", "with a diagonal in an oblong", "a cell with a diagonal is a square")
        return ()
    return drawing.cells


def check_pieced(fields: Fields, quilt: Quilt, blocks: Mapping[str, Block], seam: Measure) -> None:
    """Whether every pieced border fills its sides exactly, with what would be right where one does not."""
    if not all(key in blocks for key in quilt.blocks_in_order()):
        return
    sides = Sides(quilt, blocks, seam)
    for number, border in enumerate(quilt.borders, 1):
        if not border.is_pieced:
            continue
        own = Fields(fields.report, (*fields.path, "border", number - 1), {}, fields.unit, None)
        key = "picture" if border.picture else "outer_sash"
        if quilt.setting != "straight":
            right = "no whole number of cells fills its sides; set the blocks straight, or take it out"
            own.fault("pieced border", key, "round a quilt on point", right)
        elif sides.most_pieces(number) > MOST_PIECES:
            own.fault("pieced border", key, f"of more than {MOST_PIECES} cells", "write a wider one")
        elif border.outer_sash:
            _check_outer_sash(own, quilt, number)
        elif any(sides.pieces(number, where) is None for where in (SIDES, ENDS)):
            _unfilled(own, sides, number)


def _check_outer_sash(own: Fields, quilt: Quilt, number: int) -> None:
    if number > 1:
        own.fault("pieced border", "outer_sash", "that does not lie along the blocks", "make it the first border")
    elif quilt.sash is None:
        own.fault("pieced border", "outer_sash", "as sashes, of which there are none", "write [quilt.sash] too")
    elif quilt.borders[0].corners is None:
        own.fault("pieced border", "outer_sash", "without squares", 'name their cloth, as corners = "S"')


def _unfilled(own: Fields, sides: Sides, number: int) -> None:
    """Cells that do not come out even along a side."""
    border = sides.quilt.borders[number - 1]
    wide, found = sides.wide(border), sides.top(number)
    lengths = " and ".join(dict.fromkeys(own.written(found[where]) for where in (ENDS, SIDES)))
    ways = []
    spacer, fits = sides.spacer(number), sides.cell_that_fits(number)
    mark = DEFAULTS[own.unit].ruler
    # What no ruler shows, or no hand can sew, is no advice.
    spacer, fits = (
        each if each is not None and each > sides.seam and on_mark(each + 2 * sides.seam, mark) else None
        for each in (spacer, fits)
    )
    if spacer is not None and _fills_with(sides, number, Border("", spacer + 2 * sides.seam), border):
        ways.append(f"a plain border before it that shows {own.written(spacer)} makes them fit")
    if fits is not None and _fills_with(sides, number, replace(border, cut=fits + 2 * sides.seam)):
        ways.append(f"cells of {own.written(fits)} fit")
    right = ", or ".join(ways) or "no width on the ruler's mark fits; choose other blocks, or a plain border"
    read = f"of cells of {own.written(wide)}"
    own.fault("pieced border", "picture", read, f"they do not fill sides of {lengths}: {right}")


def _fills_with(sides: Sides, number: int, *instead: Border) -> bool:
    """Whether the last of these borders, where they stand for one (from 1), comes out even along both sides."""
    borders = sides.quilt.borders
    quilt = replace(sides.quilt, borders=(*borders[: number - 1], *instead, *borders[number:]))
    more = Sides(quilt, sides.blocks, sides.seam)
    return all(more.pieces(number - 1 + len(instead), where) is not None for where in (SIDES, ENDS))
