"""A Plan as the text of a plan file, which reads back to an equal Plan."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tracker.defaults import DEFAULTS, colour_of_tone
from tracker.measure import Measure, write_length
from tracker.picture import write_picture
from tracker.plan import Block, Fabric, Plan, Quilt


def write_plan(plan: Plan) -> str:
    """The plan as TOML. What a plan means anyway (the defaults) is left out; strips are given by their cut width."""
    tables = [_head(plan)]
    tables += [_fabric(fabric, plan.unit) for fabric in plan.fabrics.values()]
    for block in plan.blocks.values():
        tables += _block(block, plan.unit)
    tables += _quilt(plan.quilt, plan.unit)
    if plan.allowance != DEFAULTS[plan.unit].allowance:
        percent = write_length(plan.allowance * 100, "cm", plain=True)
        tables.append(["[buying]", f'allowance = "{percent} %"'])
    return "\n\n".join("\n".join(lines) for lines in tables) + "\n"


def _text(text: str) -> str:
    r"""A text in quotes; `"` and `\` are the only characters in a plan's texts that need a code."""
    return '"' + re.sub(r'(["\\])', r"\\\1", text) + '"'


def _length(key: str, length: Measure, unit: str) -> str:
    return f'{key} = "{write_length(length, unit, plain=True)}"'


def _lengths(key: str, lengths: tuple[Measure, ...], unit: str) -> str:
    return f"{key} = [{', '.join(_text(write_length(length, unit, plain=True)) for length in lengths)}]"


def _head(plan: Plan) -> list[str]:
    defaults = DEFAULTS[plan.unit]
    lines = [f"title = {_text(plan.title)}", f'unit = "{plan.unit}"']
    if plan.seam != defaults.seam:
        lines.append(_length("seam", plan.seam, plan.unit))
    if plan.trimming != "roomy":
        lines.append(f'trimming = "{plan.trimming}"')
    if plan.ruler != defaults.ruler:
        lines.append(_length("ruler", plan.ruler, plan.unit))
    if plan.half_square != "two":
        lines.append(f'half_square = "{plan.half_square}"')
    if plan.geese != "flip":
        lines.append(f'geese = "{plan.geese}"')
    return lines


def _fabric(fabric: Fabric, unit: str) -> list[str]:
    lines = [f"[fabrics.{fabric.key}]", f"name = {_text(fabric.name)}", f"tone = {fabric.tone}"]
    if fabric.colour != colour_of_tone(fabric.tone):
        lines.append(f'colour = "{fabric.colour}"')
    if fabric.usable != DEFAULTS[unit].usable:
        lines.append(_length("usable", fabric.usable, unit))
    if fabric.have is not None:
        lines.append(_length("have", fabric.have, unit))
    if fabric.directional:
        lines.append("directional = true")
    if fabric.fat_quarters:
        lines.append(f"fat_quarters = {fabric.fat_quarters}")
    return lines


def _block(block: Block, unit: str) -> Iterator[list[str]]:
    lines = [f"[blocks.{block.key}]"]
    if block.name != block.key:
        lines.append(f"name = {_text(block.name)}")
    if len({*block.columns, *block.rows}) == 1:
        lines.append(_length("cell", block.columns[0], unit))
    else:
        lines += [_lengths("columns", block.columns, unit), _lengths("rows", block.rows, unit)]
    lines += [f"{key} = true" for key in ("combine", "strips") if getattr(block, key)]
    yield [*lines, f"picture = '''\n{write_picture(block)}'''"]
    for frame in block.frames:
        yield [
            f"[[blocks.{block.key}.frame]]",
            f'fabric = "{frame.fabric}"',
            _length("cut", frame.cut, unit),
        ]


def _quilt(quilt: Quilt, unit: str) -> Iterator[list[str]]:
    lines = ["[quilt]", *_places(quilt)]
    if quilt.setting != "straight":
        lines += [f'setting = "{quilt.setting}"', f'setting_fabric = "{quilt.setting_fabric}"']
    if not quilt.half_turns:
        lines.append("half_turns = false")
    yield lines
    if quilt.sash:
        lines = ["[quilt.sash]", f'fabric = "{quilt.sash.fabric}"', _length("cut", quilt.sash.cut, unit)]
        yield lines + ([f'cornerstone = "{quilt.sash.cornerstone}"'] if quilt.sash.cornerstone else [])
    for border in quilt.borders:
        lines = ["[[quilt.border]]", f'fabric = "{border.fabric}"', _length("cut", border.cut, unit)]
        lines += [f'corners = "{border.corners}"'] if border.corners else []
        yield lines + (["lengthwise = true"] if border.lengthwise else [])
    yield from _finishing(quilt, unit)


def _finishing(quilt: Quilt, unit: str) -> Iterator[list[str]]:
    """Binding, backing and batting."""
    if quilt.binding:
        yield ["[quilt.binding]", f'fabric = "{quilt.binding.fabric}"', _length("cut", quilt.binding.cut, unit)]
    if quilt.backing:
        yield [
            "[quilt.backing]",
            f'fabric = "{quilt.backing.fabric}"',
            _length("beyond", quilt.backing.beyond, unit),
        ]
    if quilt.batting_beyond is not None:
        yield ["[quilt.batting]", _length("beyond", quilt.batting_beyond, unit)]


def _places(quilt: Quilt) -> list[str]:
    """`block`, `across` and `down` where all blocks are one kind, else `blocks`."""
    kinds = set(quilt.blocks_in_order())
    if len(kinds) == 1:
        rows = len(quilt.places)
        down = (rows + 1) // 2 if quilt.setting == "on point" else rows
        return [f'block = "{kinds.pop()}"', f"across = {len(quilt.places[0])}", f"down = {down}"]
    rows_of_keys = (", ".join(f'"{key}"' for key in row) for row in quilt.places)
    return ["blocks = [", *(f"  [{keys}]," for keys in rows_of_keys), "]"]
