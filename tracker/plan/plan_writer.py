"""A Plan as the text of a plan file, which reads back to an equal Plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tracker.exact.measure import Measure, on_mark, write_length
from tracker.plan.defaults import colour_of_tone
from tracker.plan.keys import length_line, quoted, write_keys
from tracker.plan.model import RULERS, Batting, Block, Buying, Fabric, Plan, Quilt
from tracker.plan.picture import picture_rows, write_picture

_FINEST_MARK = {unit: min(marks) for unit, marks in RULERS.items()}


def write_plan(plan: Plan) -> str:
    """The plan as TOML. What a plan means anyway (the defaults) is left out; strips are given by their cut width."""
    tables = [write_keys(plan, plan.unit)]
    tables += [_fabric(fabric, plan.unit) for fabric in plan.fabrics.values()]
    for block in plan.blocks.values():
        tables += _block(block, plan.unit)
    tables += _quilt(plan.quilt, plan.unit)
    if buying := write_keys(Buying(plan.allowance), plan.unit):
        tables.append(["[buying]", *buying])
    return "\n\n".join("\n".join(lines) for lines in tables) + "\n"


def _lengths(key: str, lengths: tuple[Measure, ...], unit: str) -> str:
    return f"{key} = [{', '.join(quoted(write_length(length, unit, plain=True)) for length in lengths)}]"


def _fabric(fabric: Fabric, unit: str) -> list[str]:
    shown = replace(fabric, colour="") if fabric.colour == colour_of_tone(fabric.tone) else fabric
    return [f"[fabrics.{fabric.key}]", *write_keys(shown, unit)]


def _block(block: Block, unit: str) -> Iterator[list[str]]:
    whole, block = block, block.as_drawn
    lines = [f"[blocks.{block.key}]"]
    if block.name != block.key:
        lines.append(f"name = {quoted(block.name)}")
    if block.diamonds or _shared(block, unit):
        across, down = whole.inner_finished
        lines.append(length_line("size", across, unit) if across == down else _lengths("size", (across, down), unit))
    elif len({*block.columns, *block.rows}) == 1:
        lines.append(length_line("cell", block.columns[0], unit))
    else:
        lines += [_lengths("columns", block.columns, unit), _lengths("rows", block.rows, unit)]
    lines += write_keys(block, unit)
    yield [*lines, f"picture = '''\n{write_picture(block)}'''"]
    for frame in block.frames:
        yield [f"[[blocks.{block.key}.frame]]", *write_keys(frame, unit)]


def _shared(block: Block, unit: str) -> bool:
    """Whether like columns and like rows lie off every ruler's mark, but their block is a plainer length."""
    if len(set(block.columns)) != 1 or len(set(block.rows)) != 1:
        return False
    sides, sizes = (block.columns[0], block.rows[0]), block.inner_finished
    off = not all(on_mark(side, _FINEST_MARK[unit]) for side in sides)
    return off and max(size.d for size in sizes) < max(side.d for side in sides)


def _quilt(quilt: Quilt, unit: str) -> Iterator[list[str]]:
    triangles = [f'setting_fabric = "{quilt.setting_fabric}"'] if quilt.setting_fabric else []
    yield ["[quilt]", *_places(quilt), *triangles, *write_keys(quilt, unit)]
    batting = None if quilt.batting_beyond is None else Batting(quilt.batting_beyond)
    yield from _filled("[quilt.sash]", quilt.sash, unit)
    for border in quilt.borders:
        picture = picture_rows(border.picture, sum(cell.across for cell in border.picture), 1) if border.picture else []
        yield ["[[quilt.border]]", *write_keys(border, unit), *(f"picture = '{'  '.join(row)}'" for row in picture)]
    for name, table in (("binding", quilt.binding), ("backing", quilt.backing), ("batting", batting)):
        yield from _filled(f"[quilt.{name}]", table, unit)


def _filled(heading: str, table: object, unit: str) -> Iterator[list[str]]:
    if table is not None:
        yield [heading, *write_keys(table, unit)]


def _places(quilt: Quilt) -> list[str]:
    """`block`, `across` and `down` where all blocks are one kind, else `blocks`."""
    kinds = set(quilt.blocks_in_order())
    if len(kinds) == 1:
        rows = len(quilt.places)
        down = (rows + 1) // 2 if quilt.setting == "on point" else rows
        return [f'block = "{kinds.pop()}"', f"across = {len(quilt.places[0])}", f"down = {down}"]
    rows_of_keys = (", ".join(f'"{key}"' for key in row) for row in quilt.places)
    return ["blocks = [", *(f"  [{keys}]," for keys in rows_of_keys), "]"]
