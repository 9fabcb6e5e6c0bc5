"""A plan file (TOML) read into a Plan, or into all that is wrong with it at once."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Any

from tracker.exact.measure import Measure, round_up
from tracker.plan.cutting_up import after_cutting, cut_through, is_nine_patch
from tracker.plan.defaults import DEFAULTS, colour_of_tone, tone_of_colour
from tracker.plan.diamond_star import drawn_grid, of_diamonds, star_in
from tracker.plan.fields import Fields, Report, described
from tracker.plan.keys import all_filled, declared, filled, known_keys, read_keys
from tracker.plan.model import Block, Buying, Cell, Fabric, Frame, Plan, Quilt
from tracker.plan.picture import MOST_COLUMNS, MOST_ROWS, Drawing, clear_of_seams, read_picture, write_cell
from tracker.plan.plan_writer import write_plan
from tracker.plan.problems import Problem, counted
from tracker.plan.quilt_reader import MOST_BLOCKS, read_quilt
from tracker.plan.toml_text import parse, read_text
from tracker.plan.upright_cloths import check_upright

__all__ = ["PlanReading", "read_plan", "write_plan"]

MOST_FABRICS = 60
MOST_CELLS = 100_000
FINEST_SLOPE = 10_000
"""The largest whole number in the proportions of a rectangle that a diagonal parts: their root is sought by trying."""
LEAST_STAR = 16
"""How many seam allowances a star of diamonds is wide at least: its seams end inside the cloth."""
_RESERVED = ("straight",)
HEADINGS = {
    "sash": "[quilt.sash]",
    "border": "[[quilt.border]]",
    "binding": "[quilt.binding]",
    "backing": "[quilt.backing]",
    "batting": "[quilt.batting]",
    "frame": "[[blocks.beacon.frame]], with the block's own key",
    "buying": "[buying]",
}
"""How tables are headed whose short names are written where they do not belong."""
_QUILT_KEYS = tuple(name for name in known_keys(Quilt) if name not in HEADINGS)


@dataclass(frozen=True)
class PlanReading:
    """What became of a plan text: the plan, or, where it is None, at least one problem."""

    plan: Plan | None
    problems: tuple[Problem, ...] = ()


def read_plan(text: str | bytes, file: str = "plan") -> PlanReading:
    """Read a plan file. `file` is the name that problems give it. Never raises, whatever the text."""
    plain, problem = read_text(text, file)
    if problem is None:
        table, problem = parse(plain, file)
    if problem is not None:
        return PlanReading(None, (problem,))
    report = Report(file, plain, [name for name, key in declared(Plan) if key.read], HEADINGS, _QUILT_KEYS)
    plan = _plan(report, table)
    return PlanReading(None, report.problems()) if report.number else PlanReading(plan)


def _plan(report: Report, table: dict[str, Any]) -> Plan:
    unit = Fields(report, (), {k: v for k, v in table.items() if k == "unit"}, "in", ("unit",)).choice(
        "unit", ("in", "cm"), "in"
    )
    fields = Fields(report, (), table, unit, known_keys(Plan))
    head = read_keys(Plan, fields)
    report.seam = None if "seam" in fields.faulty else head["seam"]
    fabrics = _fabrics(fields)
    report.cloths = fabrics
    blocks = _blocks(fields)
    before = report.number
    quilt = read_quilt(fields, blocks)
    quilt_read = report.number == before
    buying = filled(fields, "buying", Buying) or Buying(DEFAULTS[unit].allowance)
    plan = Plan(
        **head,
        fabrics=fabrics,
        blocks={key: block for key, block in blocks.items() if block is not None},
        quilt=quilt,
        allowance=buying.allowance,
    )
    # Beside other faults too, as far as it could be read: a block that has one is left out here.
    check_upright(fields, plan if quilt_read else replace(plan, quilt=Quilt(())))
    return plan


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
    entries = _entries(plan, "fabrics", "fabrics.S", known_keys(Fabric), MOST_FABRICS)
    for key, fields in entries.items():
        if not re.fullmatch(r"[A-Za-z][A-Za-z0-9]{0,19}", key):
            plan.report.add("fabric key", fields.path, key)
        elif key in _RESERVED:
            plan.report.add("reserved", fields.path, key)
        fabrics[key] = _fabric(key, fields)
    return fabrics


def _fabric(key: str, fields: Fields) -> Fabric:
    read = Fabric(key=key, **read_keys(Fabric, fields))
    if not read.tone:
        read = replace(read, tone=tone_of_colour(read.colour) if read.colour else 5)
    return read if read.colour else replace(read, colour=colour_of_tone(read.tone))


def _blocks(plan: Fields) -> dict[str, Block | None]:
    """`[blocks.beacon]`, by key; None for one that has a fault."""
    entries = _entries(plan, "blocks", "blocks.beacon", known_keys(Block), MOST_BLOCKS)
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
        block = _block(key, fields)
        blocks[key] = block if plan.report.number == before else None
    return blocks


def _block(key: str, fields: Fields) -> Block:
    name = fields.text("name", "") if "name" in fields else key
    drawing = _picture(fields)
    before = fields.report.number
    columns, rows = _grid_sizes(fields, drawing)
    block = Block(
        key=key,
        name=name,
        columns=columns,
        rows=rows,
        cells=drawing.cells if drawing else (),
        frames=all_filled(fields, "frame", Frame),
        **read_keys(Block, fields),
    )
    if drawing and not drawing.faults and fields.report.number == before:
        _check_cells(fields, block, drawing)
        block = _of_diamonds(fields, _cut_up(fields, block))
        _check_squared(fields, block)
    return block


def _cut_up(fields: Fields, block: Block) -> Block:
    """What comes of a nine-patch that is cut in four; any other block as it is, what is wrong noted."""
    seam = fields.report.seam
    if not block.cut_up or seam is None:
        return block
    if [len(row) for row in block.cut_up] != [2, 2]:
        fields.fault("not four quarters", "cut_up", counted(sum(map(len, block.cut_up)), "turn"))
    elif not is_nine_patch(block):
        fields.fault("not a nine-patch", "cut_up")
    elif cut_through(block.columns[0], seam) <= seam:
        fields.fault("nothing left of it", "cut_up", fields.written(block.columns[0]), fields.written(4 * seam))
    else:
        _idle_ways(fields, block, "of a nine-patch that is cut up")
        return after_cutting(block, seam)
    return block


def _of_diamonds(fields: Fields, block: Block) -> Block:
    """What is sewn where a star is drawn that is of diamonds; any other block as it is, what is wrong noted."""
    seam, width = fields.report.seam, sum(block.columns, Measure())
    if not block.diamonds or seam is None or (block.cut_up and block.before is None):
        return block
    if block.before is not None:
        fields.fault("idle", "diamonds", "of a nine-patch that is cut up", "take it out")
    elif len(block.cells) != 16 or len({*block.columns, *block.rows}) > 1 or star_in(drawn_grid(block)) is None:
        fields.fault("not a star", "diamonds")
    elif width < LEAST_STAR * seam:
        fields.fault("star too small", "diamonds", fields.written(width), fields.written(LEAST_STAR * seam))
    else:
        _idle_ways(fields, block, "of a star of diamonds")
        return of_diamonds(block)
    return block


def _idle_ways(fields: Fields, block: Block, of: str) -> None:
    """Ways of making that a block asks for, though it is made otherwise."""
    for key in ("combine", "strips", "diagonal", "on_point"):
        if getattr(block, key):
            fields.fault("idle", key, of, "take it out")


def _check_squared(fields: Fields, block: Block) -> None:
    """What blocks are cut to is not above what they are, and leaves something of the picture, or of the last frame."""
    seam = fields.report.seam
    if seam is None:
        return
    room = 2 * seam
    if block.squared is not None:
        least = min(min(block.cell_size(cell)) for cell in block.cells) + room
        if len(block.cells) == 1:
            # A plain block between others follows them, and has no smaller cell.
            least = room + (least - room) / 2
        if block.diamonds and block.before is not None:
            # Squared deeper, it would have other seams at its edges than it was sewn with.
            kept = block.inner_finished[0] - 2 * (block.columns[0] - seam)
            least = round_up(kept + room, DEFAULTS[fields.unit].ruler)
        width, height = block.inner_finished
        least = max(least, width + room - height + seam)
        right = f"{fields.written(clear_of_seams(block, least, seam))} or more"
        _hold(fields, "squared", block.squared, width + room, block.squared < least, right)
        _keep_off_seams(fields, block, seam)
    if block.squared_framed is None:
        return
    if not block.frames:
        fields.fault("idle", "squared_framed", "where there is no frame", "write squared, or take it out")
    elif "squared" not in fields.faulty:
        width, height = block.with_frames(seam)
        least = width + room - min(2 * (block.frames[-1].cut - room), height - seam)
        right = f"more than {fields.written(least)}, and some frame shows"
        _hold(fields, "squared_framed", block.squared_framed, width + room, block.squared_framed <= least, right)


def _keep_off_seams(fields: Fields, block: Block, seam: Measure) -> None:
    """No edge between patches lies within a seam's width of where a squared block is sewn: it would lie in the seam.
    (Those near its right and lower edge are looked for where a plan is to be used: quilts were begun with such.)"""
    if "squared" in fields.faulty or block.squared is None:
        return
    off = (block.inner_finished[0] - block.inner_squared(seam)[0]) / 2
    lines = [*accumulate(block.columns), *accumulate(block.rows)]
    if off and any(abs(line - off) < seam for line in lines):
        fits = fields.written(clear_of_seams(block, block.squared, seam))
        fields.fault("squared on a seam", "squared", described(fields.table["squared"]), fits)


def _hold(fields: Fields, key: str, found: Measure, planned: Measure, too_small: bool, right: str) -> None:
    """A width within its limits; what is cut off an oblong leaves something of its height."""
    if found > planned:
        fields.fault("squared too large", key, described(fields.table[key]), fields.written(planned))
    elif too_small:
        fields.fault("squared too small", key, described(fields.table[key]), right)


def _picture(fields: Fields) -> Drawing | None:
    """The picture, its faults noted; None where there is none at all."""
    if not fields.need("picture", "it as lines of cells between ''' and '''"):
        return None
    value = fields.table["picture"]
    if not isinstance(value, str):
        fields.fault("not text value", "picture", described(value))
        return None
    path = (*fields.path, "picture")
    drawing = read_picture(value, list(fields.report.cloths))
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
    given = [key for key in ("cell", "size", "columns", "rows") if key in fields]
    if given[:1] in (["cell"], ["size"]) and len(given) > 1:
        fields.fault("either", given[0], f"{given[0]} and {given[1]}")
        return (), ()
    if given == ["size"]:
        return _shared(fields, drawing)
    if not given or given == ["cell"]:
        if not fields.need("cell", 'cell = "2", or size, or columns and rows'):
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


def _shared(fields: Fields, drawing: Drawing | None) -> tuple[tuple[Measure, ...], tuple[Measure, ...]]:
    """The block's finished `size`, across and down, shared alike by the columns and by the rows of its picture."""
    if isinstance(fields.table["size"], list):
        both = fields.lengths("size", MOST_COLUMNS)
        if both and len(both) != 2:
            fields.fault("two sizes", "size", counted(len(both), "length"))
    else:
        both = (fields.length("size"),) * 2
    if drawing is None or not (drawing.columns and drawing.rows) or len(both) != 2:
        return (), ()
    across, down = both
    if "cut_up" in fields and fields.report.seam is not None:
        # The block is smaller than its nine-patch by the seams that join its quarters.
        across, down = (side + 2 * fields.report.seam for side in both)
    return (across / drawing.columns,) * drawing.columns, (down / drawing.rows,) * drawing.rows


def _check_cells(fields: Fields, block: Block, drawing: Drawing) -> None:
    """Cells of four quarters are square, slopes no finer than can be reckoned at once; the seam is less than any side
    (told once for a block, at its narrowest)."""
    for cell in block.cells:
        if cell.is_plain:
            continue
        width, height = block.cell_size(cell)
        if not (width and height):
            continue  # its sizes could not be read, which was said
        slope = (height / width).rational
        size = f"{fields.written(width)} by {fields.written(height)}"
        if not cell.is_halved and width != height:
            _cell_fault(fields, drawing, cell, "not square", write_cell(cell.quarters), size)
        elif max(slope.numerator, slope.denominator) > FINEST_SLOPE:
            _cell_fault(fields, drawing, cell, "slope too fine", write_cell(cell.quarters), size)
    seam = fields.report.seam
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
