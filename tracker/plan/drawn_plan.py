"""A plan as it is drawn on a page: plain data with grids for pictures, made of a plan's text and written as one.

    {"head": {title, unit, seam ...}, "cloths": [{key, name, tone ...}], "blocks": [{key, name, cell, picture ...}],
     "quilt": {...}, "rest": {whatever else the text says}}

Everything stands as in the file, so that nothing is lost of what no page can draw; cloths and blocks are lists, since a
page keeps no order of keys, and a picture is a list of rows of cells as they are written (`S`, `S/R`, `<`).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from tracker.plan.picture import aligned, picture_rows, read_picture
from tracker.plan.plan_reader import read_plan
from tracker.plan.plan_text import rewritten
from tracker.plan.problems import Problem
from tracker.plan.toml_text import parse, read_text

Sheet = dict[str, Any]

MOST_LISTED = 10_000
_LISTS = {"cloths": "fabrics", "blocks": "blocks"}
_TABLES = ("quilt", "rest", "head")


class NoSheet(Exception):
    """What came from a page is no drawn plan; `words` say what is wrong with it."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


def drawn_plan(text: str) -> tuple[Sheet | None, tuple[Problem, ...]]:
    """A plan text as it is drawn; where it cannot be drawn, None and all that is wrong with it.

    It need not be a plan yet: sizes and names may be missing or wrong, as long as its pictures can be read.
    """
    plain, problem = read_text(text, "plan")
    if problem is None:
        table, problem = parse(plain, "plan")
    if problem is not None:
        return None, (problem,)
    found = _sheet(json.loads(json.dumps(table, default=str)))
    if found is None:
        return None, read_plan(text).problems
    return found, ()


def plan_text(sheet: Sheet, former: str = "") -> str:
    """A drawn plan as the text of a plan file; a `former` text is kept but for what was drawn otherwise.

    Raises NoSheet where it is none.
    """
    table = _table(sheet)
    try:
        return rewritten(former, table)
    except RecursionError as fault:
        raise NoSheet("What was sent holds lists within lists without end; load the page again.") from fault


def read_sheet(text: str) -> Sheet:
    """A drawn plan as a page sends it, in JSON. Raises NoSheet where it is none."""
    try:
        sheet = json.loads(text)
    except (ValueError, RecursionError) as fault:
        raise NoSheet("What was drawn came damaged; draw on and send it once more.") from fault
    _table(sheet)
    return dict(sheet)


# From text


def _sheet(table: Mapping[str, Any]) -> Sheet | None:
    """A table as it is drawn; None where cloths or pictures cannot be read."""
    fabrics, blocks, quilt = (table.get(name, {}) for name in ("fabrics", "blocks", "quilt"))
    inner = [*fabrics.values(), *blocks.values()] if isinstance(fabrics, dict) and isinstance(blocks, dict) else [None]
    if not isinstance(quilt, dict) or not all(isinstance(each, dict) for each in inner):
        return None
    grids = {key: _grid(block.get("picture"), list(fabrics)) for key, block in blocks.items()}
    if None in grids.values():
        return None
    rest = {key: value for key, value in table.items() if isinstance(value, (dict, list))}
    return {
        "head": {key: value for key, value in table.items() if key not in rest},
        "cloths": [{"key": key, **cloth} for key, cloth in fabrics.items()],
        "blocks": [{"key": key, **block, "picture": grids[key]} for key, block in blocks.items()],
        "quilt": quilt,
        "rest": {key: value for key, value in rest.items() if key not in ("fabrics", "blocks", "quilt")},
    }


def _grid(picture: object, fabrics: list[str]) -> list[list[str]] | None:
    drawing = read_picture(picture, fabrics) if isinstance(picture, str) else None
    if drawing is None or drawing.faults:
        return None
    return picture_rows(drawing.cells, drawing.columns, drawing.rows)


# To text


def _table(sheet: object) -> dict[str, Any]:
    """The table of a plan file that a drawn plan stands for. Raises NoSheet."""
    if not isinstance(sheet, dict) or not all(isinstance(sheet.get(name, {}), dict) for name in _TABLES):
        raise NoSheet("What was sent is no drawing of a quilt; load the page again.")
    table: dict[str, Any] = dict(sheet.get("head", {}))
    for name, key in _LISTS.items():
        each = sheet.get(name, [])
        listed = isinstance(each, list) and len(each) <= MOST_LISTED
        if not listed or not all(isinstance(one, dict) and isinstance(one.get("key"), str) for one in each):
            raise NoSheet(f"The {name} that were sent are none; load the page again.")
        table[key] = {one["key"]: _without_key(one) for one in each}
    return {**table, "quilt": sheet.get("quilt", {}), **sheet.get("rest", {})}


def _without_key(one: dict[str, Any]) -> dict[str, Any]:
    own = {key: value for key, value in one.items() if key != "key"}
    if "picture" in own:
        own["picture"] = _aligned(own["picture"])
    return own


def _aligned(rows: object) -> str:
    """A grid of cells as the lines of a picture, columns in line."""
    if not isinstance(rows, list) or not all(isinstance(row, list) for row in rows):
        raise NoSheet("A picture that was sent is no grid of cells; load the page again.")
    return aligned([["".join(str(cell).split()) for cell in row] for row in rows])
