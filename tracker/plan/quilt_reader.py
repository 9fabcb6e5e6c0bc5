"""The `[quilt]` table of a plan file: where the blocks go, and what is sewn round them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tracker.exact.measure import Measure
from tracker.plan.border_reader import check_pieced, read_borders
from tracker.plan.fields import Fields, described
from tracker.plan.keys import filled, known_keys, read_keys
from tracker.plan.model import Backing, Batting, Binding, Block, Quilt, Sash
from tracker.plan.problems import counted

MOST_BLOCKS = 10_000

Places = tuple[tuple[str, ...], ...]


def read_quilt(plan: Fields, blocks: Mapping[str, Block | None]) -> Quilt:
    """`[quilt]`. Blocks that are None have a fault of their own: what depends on their sizes is not judged."""
    if not plan.need("quilt", "a table [quilt]"):
        return Quilt(())
    fields = plan.table_of("quilt", known_keys(Quilt))
    if fields is None:
        return Quilt(())
    own = read_keys(Quilt, fields)
    before = fields.report.number
    places = _places(fields, blocks, own["setting"])
    if fields.report.seam is not None and fields.report.number == before:
        _check_sizes(fields, places, blocks, fields.report.seam, own["setting"])
        _check_turns(fields, Quilt(places, turns=own["turns"]), blocks, fields.report.seam)
    if own["floats"] is not None and own["setting"] != "on point":
        fields.fault("idle", "floats", "in a straight setting", 'take it out, or write setting = "on point"')
    batting = filled(fields, "batting", Batting)
    quilt = Quilt(
        **own,
        places=places,
        setting_fabric=_setting_fabric(fields, own["setting"]),
        sash=filled(fields, "sash", Sash),
        borders=read_borders(fields),
        binding=filled(fields, "binding", Binding),
        backing=filled(fields, "backing", Backing),
        batting_beyond=batting.beyond if batting else None,
    )
    if fields.report.seam is not None and fields.report.number == before:
        check_pieced(fields, quilt, {key: block for key, block in blocks.items() if block}, fields.report.seam)
    return quilt


def _places(fields: Fields, blocks: Mapping[str, Block | None], setting: str) -> Places:
    """`block`, `across` and `down`, or `blocks`: a row of block keys for each row of the quilt."""
    if "blocks" in fields:
        for key in ("block", "across", "down"):
            if key in fields:
                fields.fault("either", key, f"{key} and blocks")
        return _listed(fields, blocks, setting)
    if not fields.need("block", 'block = "beacon", or blocks, a list of rows'):
        return ()
    key = fields.name_of("block", blocks, "block")
    for one, other in (("across", "down"), ("down", "across")):
        if one in fields and other not in fields:
            fields.missing(other, f"{other} = 4, the number of blocks {other}")
    across = fields.whole("across", 1, MOST_BLOCKS, "from 1 to 10,000", 1)
    down = fields.whole("down", 1, MOST_BLOCKS, "from 1 to 10,000", 1)
    between = (across - 1) * (down - 1) if setting == "on point" else 0
    if across * down + between > MOST_BLOCKS:
        fields.fault("too many places", "across", f"{across * down + between:,}", f"at most {MOST_BLOCKS:,}")
        return ()
    row = (key,) * across
    if setting != "on point":
        return (row,) * down
    return tuple(row if number % 2 == 0 else row[1:] for number in range(2 * down - 1))


def _listed(fields: Fields, blocks: Mapping[str, Block | None], setting: str) -> Places:
    """`blocks = [["beacon", "plain"], ["plain", "beacon"]]`."""
    value = fields.table["blocks"]
    if not isinstance(value, list) or not all(isinstance(row, list) for row in value):
        read = "a list without rows" if isinstance(value, list) else described(value)
        fields.fault("list of rows", "blocks", read, 'as [["beacon", "plain"], ["plain", "beacon"]]')
        return ()
    if not value or not value[0]:
        fields.fault("no blocks", "blocks")
        return ()
    number = sum(len(row) for row in value)
    if number > MOST_BLOCKS or len(value) > 2 * MOST_BLOCKS:
        fields.fault("too many places", "blocks", f"{max(number, len(value)):,}", f"at most {MOST_BLOCKS:,}")
        return ()
    for row, keys in enumerate(value):
        _check_keys(fields, row, keys, blocks)
    _check_rows(fields, [len(row) for row in value], setting)
    return tuple(tuple(str(key) for key in row) for row in value)


def _check_keys(fields: Fields, row: int, keys: list[Any], blocks: Mapping[str, Block | None]) -> None:
    inner = Fields(fields.report, (*fields.path, "blocks", row), {}, fields.unit, ())
    for column, key in enumerate(keys):
        if not isinstance(key, str):
            inner.fault("block name", column, described(key), 'as "beacon"', row=row + 1, cell=column + 1)
        elif blocks and key not in blocks:
            inner.unknown(column, key, blocks, "block", row=row + 1, cell=column + 1)


def _check_rows(fields: Fields, lengths: list[int], setting: str) -> None:
    """All rows alike, or, on point, by turns long and one shorter."""
    on_point = setting == "on point"
    for row, length in enumerate(lengths):
        right = lengths[0] - (row % 2 if on_point else 0)
        if length != right:
            path = (*fields.path, "blocks", row)
            kind = "layout on point" if on_point else "uneven layout"
            fields.report.add(kind, path, counted(length, "block"), str(right), row=row + 1)
    if on_point and len(lengths) % 2 == 0:
        fields.fault("ends on point", "blocks", str(len(lengths)))


def _check_sizes(
    fields: Fields, places: Places, blocks: Mapping[str, Block | None], seam: Measure, setting: str
) -> None:
    """All of a row equally high, all of a column equally wide; on point, squares of one size."""
    sizes = {key: block.finished(seam) for key, block in blocks.items() if block}
    if not places or any(key not in sizes for row in places for key in row):
        return
    side = sizes[places[0][0]][0]
    told = set()
    for row, keys in enumerate(places):
        for column, key in enumerate(keys):
            width, height = sizes[key]
            if setting == "on point":
                wrong = [("square on point", side)] if (width, height) != (side, side) else []
            else:
                high, wide = sizes[keys[0]][1], sizes[places[0][column]][0]
                wrong = [("row heights", high)] if height != high else []
                wrong += [("column widths", wide)] if width != wide else []
            for kind, right in wrong:
                if (kind, key) not in told:
                    told.add((kind, key))
                    read = f"block {key} is {fields.written(width)} by {fields.written(height)}"
                    _size_fault(fields, kind, row, column, read, fields.written(right))


def _check_turns(fields: Fields, quilt: Quilt, blocks: Mapping[str, Block | None], seam: Measure) -> None:
    """Only square blocks can be turned by a quarter."""
    told = set()
    for key, turn in zip(quilt.blocks_in_order(), quilt.turns_in_order(), strict=True):
        block = blocks.get(key)
        if block is None or key in told or not turn % 180:
            continue
        width, height = block.finished(seam)
        if width != height:
            told.add(key)
            read = f"block {key} is {fields.written(width)} by {fields.written(height)}"
            fields.fault("square to turn", "turns", read)


def _size_fault(fields: Fields, kind: str, row: int, column: int, read: str, right: str) -> None:
    if "block" in fields:
        fields.fault(kind, "block", read, right)
    else:
        path = (*fields.path, "blocks", row, column)
        fields.report.add(kind, path, read, right, row=row + 1, cell=column + 1)


def _setting_fabric(fields: Fields, setting: str) -> str | None:
    """The cloth of the side and corner triangles, on point only."""
    if setting == "on point":
        return fields.fabric("setting_fabric") or None
    if "setting_fabric" in fields:
        fields.fault("idle", "setting_fabric", "in a straight setting", 'take it out, or write setting = "on point"')
    return None
