"""A plan file (TOML) read into a Plan, or into all that is wrong with it at once."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tracker.defaults import DEFAULTS, colour_of_tone
from tracker.fields import HEAD_KEYS, Fields, Report, described
from tracker.measure import Measure, write_length
from tracker.picture import MOST_COLUMNS, MOST_ROWS, Drawing, read_picture, write_cell
from tracker.plan import Block, Cell, Fabric, Frame, Plan
from tracker.planwriting import write_plan
from tracker.problems import Problem, counted, either
from tracker.quiltfile import MOST_BLOCKS, read_quilt
from tracker.tomltext import parse, read_text

__all__ = ["Reading", "read_plan", "write_plan"]

MOST_FABRICS = 60
MOST_CELLS = 100_000
HALF_SQUARE_WAYS = ("two", "four", "eight", "best")
GEESE_WAYS = ("flip", "four", "best")
TRIMMINGS = ("roomy", "exact")
RULERS = {
    "in": (Measure(Fraction(1, 4)), Measure(Fraction(1, 8)), Measure(Fraction(1, 16))),
    "cm": (Measure(Fraction(1, 10)), Measure(Fraction(1, 4)), Measure(Fraction(1, 2))),
}
"""The marks of a ruler that trimmed pieces can be rounded up to, by unit."""

_PLAN_KEYS = (*HEAD_KEYS, "fabrics", "blocks", "quilt", "buying")
_FABRIC_KEYS = ("name", "tone", "colour", "usable", "have", "directional", "fat_quarters")
_BLOCK_KEYS = ("name", "cell", "columns", "rows", "combine", "strips", "picture", "frame")
_TONES = "from 1 (lightest) to 9 (darkest)"
_RESERVED = ("straight",)


@dataclass(frozen=True)
class Reading:
    """What became of a plan text: the plan, or, where it is None, at least one problem."""

    plan: Plan | None
    problems: tuple[Problem, ...] = ()


def read_plan(text: str | bytes, file: str = "plan") -> Reading:
    """Read a plan file. `file` is the name that problems give it. Never raises, whatever the text."""
    plain, problem = read_text(text, file)
    if problem is None:
        table, problem = parse(plain, file)
    if problem is not None:
        return Reading(None, (problem,))
    report = Report(file, plain)
    plan = _plan(report, table)
    return Reading(None, report.problems()) if report.number else Reading(plan)


def _plan(report: Report, table: dict[str, Any]) -> Plan:
    unit = Fields(report, (), {k: v for k, v in table.items() if k == "unit"}, "in", ("unit",)).choice(
        "unit", ("in", "cm"), "in"
    )
    fields = Fields(report, (), table, unit, _PLAN_KEYS)
    defaults = DEFAULTS[unit]
    title = fields.text("title", '"Lighthouse lap quilt"')
    before = report.number
    seam = fields.length("seam", defaults.seam)
    seam_known = report.number == before
    fabrics = _fabrics(fields)
    blocks = _blocks(fields, list(fabrics), seam if seam_known else None)
    buying = fields.table_of("buying", ("allowance",))
    return Plan(
        title=title,
        unit=unit,
        seam=seam,
        trimming=fields.choice("trimming", TRIMMINGS, "roomy"),
        ruler=_ruler(fields, defaults.ruler),
        half_square=fields.choice("half_square", HALF_SQUARE_WAYS, "two"),
        geese=fields.choice("geese", GEESE_WAYS, "flip"),
        fabrics=fabrics,
        blocks={key: block for key, block in blocks.items() if block is not None},
        quilt=read_quilt(fields, fabrics, blocks, seam, seam_known),
        allowance=buying.share("allowance", defaults.allowance) if buying else defaults.allowance,
    )


def _ruler(fields: Fields, default: Measure) -> Measure:
    """The mark that trimmed pieces are rounded up to."""
    before = fields.report.number
    ruler = fields.length("ruler", default)
    marks = RULERS[fields.unit]
    if ruler not in marks and fields.report.number == before:
        words = tuple(f"{write_length(mark, fields.unit, plain=True)} {fields.unit}" for mark in marks)
        fields.fault("ruler", "ruler", described(fields.table["ruler"]), either(words))
    return ruler


def _entries(fields: Fields, key: str, example: str, known: tuple[str, ...], most: int) -> dict[str, Fields]:
    """The tables of `fabrics` or `blocks`, by key. There must be one at least; of too many the first are read."""
    if not fields.need(key, f"a table [{example}]"):
        return {}
    value = fields.table[key]
    if not isinstance(value, dict):
        fields.fault("not a table", key, described(value), example)
        return {}
    if not value:
        fields.fault("missing", key, "", f"a table [{example}]")
    keys = Fields(fields.report, (key,), value, fields.unit, None)
    if len(value) > most:
        fields.fault(f"too many {key}", key, f"{len(value):,}", f"at most {most:,}")
    found = {name: keys.table_of(name, known) for name in list(value)[:most]}
    return {name: entry for name, entry in found.items() if entry is not None}


def _fabrics(plan: Fields) -> dict[str, Fabric]:
    """`[fabrics.S]`: name and tone, and what else is known of a cloth."""
    fabrics = {}
    entries = _entries(plan, "fabrics", "fabrics.S", _FABRIC_KEYS, MOST_FABRICS)
    for key, fields in entries.items():
        if not re.fullmatch(r"[A-Za-z][A-Za-z0-9]{0,19}", key):
            plan.report.add("fabric key", fields.path, key)
        elif key in _RESERVED:
            plan.report.add("reserved", fields.path, key)
        fabrics[key] = _fabric(key, fields)
    return fabrics


def _fabric(key: str, fields: Fields) -> Fabric:
    name = fields.text("name", '"pale sand"')
    tone = 5
    if fields.need("tone", f"tone = 2, a whole number {_TONES}"):
        tone = fields.whole("tone", 1, 9, _TONES, 5)
    return Fabric(
        key=key,
        name=name,
        tone=tone,
        colour=_colour(fields, colour_of_tone(tone)),
        usable=fields.length("usable", DEFAULTS[fields.unit].usable),
        have=fields.length("have") if "have" in fields else None,
        directional=fields.flag("directional", False),
        fat_quarters=fields.whole("fat_quarters", 0, 10_000, "from 0 to 10,000", 0),
    )


def _colour(fields: Fields, default: str) -> str:
    """`#e4dccb`, or `#fff` for `#ffffff`; in small letters."""
    value = fields.table.get("colour", default)
    if not isinstance(value, str) or not re.fullmatch(r"#(?:[0-9A-Fa-f]{3}){1,2}", value.strip()):
        fields.fault("colour", "colour", described(value))
        return default
    digits = value.strip().lower()[1:]
    return "#" + ("".join(2 * digit for digit in digits) if len(digits) == 3 else digits)


def _blocks(plan: Fields, fabrics: list[str], seam: Measure | None) -> dict[str, Block | None]:
    """`[blocks.beacon]`, by key; None for one that has a fault. `seam` is None where it could not be read."""
    entries = _entries(plan, "blocks", "blocks.beacon", _BLOCK_KEYS, MOST_BLOCKS)
    blocks: dict[str, Block | None] = dict.fromkeys(entries)
    cells = 0
    for key, fields in entries.items():
        cells += len(str(fields.table.get("picture")).split())
        if cells > MOST_CELLS:
            plan.report.add("too many cells in all", fields.path, "", f"{MOST_CELLS:,}")
            break
        before = plan.report.number
        if not re.fullmatch(r"[A-Za-z0-9_-]{1,40}", key):
            plan.report.add("block key", fields.path, key)
        block = _block(key, fields, fabrics, seam)
        blocks[key] = block if plan.report.number == before else None
    return blocks


def _block(key: str, fields: Fields, fabrics: list[str], seam: Measure | None) -> Block:
    name = fields.text("name", "") if "name" in fields else key
    drawing = _picture(fields, fabrics)
    before = fields.report.number
    columns, rows = _grid_sizes(fields, drawing)
    frames = tuple(
        Frame(frame.fabric("fabric", fabrics), frame.strip(seam or Measure()))
        for frame in fields.tables_of("frame", ("fabric", "cut", "finished"))
    )
    block = Block(
        key=key,
        name=name,
        columns=columns,
        rows=rows,
        cells=drawing.cells if drawing else (),
        frames=frames,
        combine=fields.flag("combine", False),
        strips=fields.flag("strips", False),
    )
    if drawing and not drawing.faults and fields.report.number == before:
        _check_cells(fields, block, drawing, seam)
    return block


def _picture(fields: Fields, fabrics: list[str]) -> Drawing | None:
    """The picture, its faults noted; None where there is none at all."""
    if not fields.need("picture", "it as lines of cells between ''' and '''"):
        return None
    value = fields.table["picture"]
    if not isinstance(value, str):
        fields.fault("not text value", "picture", described(value))
        return None
    path = (*fields.path, "picture")
    drawing = read_picture(value, fabrics)
    if drawing.faults and fields.report.lines.has_backslash(path):
        fields.fault("picture quotes", "picture")
        return None
    for fault in drawing.faults:
        row = None if fault.row is None else fault.row + 1
        cell = None if fault.column is None else fault.column + 1
        line = _picture_line(fields, drawing, fault.row)
        fields.fault(fault.kind, "picture", fault.read, fault.right, row=row, cell=cell, line=line)
    return drawing


def _picture_line(fields: Fields, drawing: Drawing, row: int | None) -> int | None:
    if row is None or fields.report.full:
        return None
    return fields.report.lines.text_line((*fields.path, "picture"), drawing.lines[row])


def _grid_sizes(fields: Fields, drawing: Drawing | None) -> tuple[tuple[Measure, ...], tuple[Measure, ...]]:
    """The finished widths of the columns and heights of the rows: `cell`, or `columns` and `rows`."""
    uneven = [key for key in ("columns", "rows") if key in fields]
    if "cell" in fields and uneven:
        fields.fault("either", "cell", f"cell and {uneven[0]}")
        return (), ()
    if not uneven:
        if not fields.need("cell", 'cell = "2", or columns and rows'):
            return (), ()
        side = fields.length("cell")
        return ((side,) * drawing.columns, (side,) * drawing.rows) if drawing else ((), ())
    sizes = {"columns": fields.lengths("columns", MOST_COLUMNS), "rows": fields.lengths("rows", MOST_ROWS)}
    if drawing and not drawing.faults:
        for key, number in (("columns", drawing.columns), ("rows", drawing.rows)):
            if sizes[key] and len(sizes[key]) != number:
                read = counted(len(sizes[key]), "length")
                fields.fault("grid count", key, read, counted(number, key[:-1]))
    return sizes["columns"], sizes["rows"]


def _check_cells(fields: Fields, block: Block, drawing: Drawing, seam: Measure | None) -> None:
    """Cells with a diagonal are square; the seam is less than any side (told once for a block, at its narrowest)."""
    for cell in block.cells:
        if cell.is_plain:
            continue
        width, height = block.cell_size(cell)
        if width != height:
            size = f"{fields.written(width)} by {fields.written(height)}"
            _cell_fault(fields, drawing, cell, "not square", write_cell(cell.quarters), size)
    if seam is None:
        return
    # Few different sides are left of many cells.
    wide = {(cell.column, cell.across): cell for cell in reversed(block.cells)}
    high = {(cell.row, cell.down): cell for cell in reversed(block.cells)}
    narrowest = min(
        (*wide.values(), *high.values()), key=lambda cell: (min(block.cell_size(cell)), cell.row, cell.column)
    )
    side = min(block.cell_size(narrowest))
    if side <= seam:
        _cell_fault(fields, drawing, narrowest, "seam too wide", fields.written(side), fields.written(seam))


def _cell_fault(fields: Fields, drawing: Drawing, cell: Cell, kind: str, read: str, right: str) -> None:
    line = _picture_line(fields, drawing, cell.row)
    fields.fault(kind, "picture", read, right, row=cell.row + 1, cell=cell.column + 1, line=line)
