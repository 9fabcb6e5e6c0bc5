"""A printed cutting list, typed or pasted: read from CSV, from a table, or from plain lines."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tracker.measure import LengthFault, Measure, read_length

SHAPES = ("rectangle", "square", "hst", "roomy hst", "qst", "roomy qst", "hst8", "hst4", "flip")
"""What is made of a piece: sewn in as it is, made into half- or quarter-square triangles (roomy: cut with room to trim;
8 and 4: at a time), or flipped onto a corner of another. For the areas of a list alone."""

MOST_LINES = 5000
_COLUMNS = {
    "fabric": ("fabric", "cloth", "colour", "color", "material"),
    "count": ("count", "number", "how many", "quantity", "qty", "pieces", "cut", "no"),
    "width": ("width", "w", "length", "across"),
    "height": ("height", "h", "down", "by"),
    "size": ("size", "measure", "dimensions"),
    "shape": ("shape", "kind", "made into"),
}
_ORDER = ("fabric", "count", "width", "height", "shape")
_SQUARE = re.compile(r"\bsq(?:uares?)?\b", re.IGNORECASE)
_BY = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)
_PLAIN_LINE = re.compile(
    r"(?P<fabric>.+?)[\s:,–-]+(?P<count>\d+)\s*(?:@|of|pieces|squares|strips|[x×])?\s+(?P<size>\S.*)", re.I
)


@dataclass(frozen=True)
class ListRow:
    """One row of a printed list: `count` pieces of one cloth (its key), the longer side as width. `written` is the size
    as it stood there; `shape` one of SHAPES, where the list says."""

    line: int
    fabric: str
    count: int
    width: Measure
    height: Measure
    written: str
    shape: str | None = None


@dataclass(frozen=True)
class ListFault:
    """A line that cannot be read: what is wrong with it, in a sentence."""

    line: int
    sentence: str


def read_list(text: str, fabrics: Mapping[str, str] | None, unit: str) -> tuple[list[ListRow], list[ListFault]]:
    """The rows of a list, and its faults, all of them. `fabrics` gives the plan's cloths, key to name, that rows are
    named by; None takes every name as it stands."""
    rows: list[ListRow] = []
    faults: list[ListFault] = []
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip(" \t|-+=")]
    if not lines:
        return [], [ListFault(1, "the list is empty; a row has fabric, count, width and height")]
    if len(lines) > MOST_LINES:
        return [], [ListFault(MOST_LINES + 1, f"a list has at most {MOST_LINES:,} rows")]
    order: tuple[str, ...] = _ORDER
    for place, (number, cells) in enumerate(_cells(lines)):
        header = _header(cells) if place == 0 else None
        if header:
            order = header
            continue
        row = _row(number, dict(zip(order, cells, strict=False)), fabrics, unit)
        if isinstance(row, ListRow):
            rows.append(row)
        else:
            faults.append(row)
    if not rows and not faults:
        faults.append(ListFault(lines[0][0], "the list has a heading and no rows under it"))
    return rows, faults


def _cells(lines: list[tuple[int, str]]) -> Iterator[tuple[int, list[str]]]:
    """The cells of every line, by the first mark that parts them: tab, semicolon, bar, comma, or two spaces."""
    text = "\n".join(line for _, line in lines)
    mark = next((mark for mark in "\t;|," if mark in text), None)
    for number, line in lines:
        if mark is not None and mark in line:
            cells = next(csv.reader([line.strip().strip("|")], delimiter=mark, skipinitialspace=True), [])
        else:
            cells = re.split(r"\s{2,}", line.strip())
        if len(cells) < 3:
            found = _PLAIN_LINE.fullmatch(line.strip())
            cells = [found["fabric"], found["count"], found["size"]] if found else cells
        yield number, [cell.strip() for cell in cells]


def _header(cells: list[str]) -> tuple[str, ...] | None:
    """The columns that a first line names, if it is a heading."""
    named = []
    for cell in cells:
        word = cell.lower().strip(" .:")
        named.append(next((column for column, words in _COLUMNS.items() if word in words), ""))
    return tuple(named) if sum(map(bool, named)) >= 2 else None


def _row(number: int, cells: Mapping[str, str], fabrics: Mapping[str, str] | None, unit: str) -> ListRow | ListFault:
    try:
        fabric = _fabric(cells.get("fabric", ""), fabrics)
        count = _count(cells.get("count", ""))
        written = cells.get("size") or cells.get("width", "")
        if cells.get("height"):
            sides = [*_sides(written, unit, 1), *_sides(cells["height"], unit, 1)]
            written += " × " + cells["height"]
        else:
            sides = _sides(written, unit)
        sides.sort(reverse=True)
        shape = _shape(cells.get("shape", ""))
    except ValueError as fault:
        return ListFault(number, str(fault))
    return ListRow(number, fabric, count, sides[0], sides[-1], written, shape)


def _fabric(name: str, fabrics: Mapping[str, str] | None) -> str:
    if not name:
        raise ValueError("the row names no fabric; a row has fabric, count, width and height")
    if fabrics is None or name in fabrics:
        return name
    for key, known in fabrics.items():
        if name.casefold() in (known.casefold(), key.casefold()):
            return key
    known = ", ".join(f"{key} ({known})" for key, known in fabrics.items())
    raise ValueError(f'there is no fabric "{name}" in the plan; it has {known}')


def _count(text: str) -> int:
    found = re.fullmatch(r"[x×]?\s*(\d{1,6})\s*[x×]?", text, re.IGNORECASE)
    if found is None or int(found[1]) == 0:
        raise ValueError(f'read "{text}" as a count; it is a whole number from 1')
    return int(found[1])


def read_size(written: str, unit: str) -> tuple[Measure, Measure]:
    """`12`, `12 x 15 1/2`: the size of something. Raises ValueError with a sentence."""
    sides = _sides(written, unit)
    return sides[0], sides[-1]


def _sides(written: str, unit: str, most: int = 2) -> list[Measure]:
    """The sides of `2 1/2 x 4 1/2`, or of a square written once."""
    plain = _SQUARE.sub("", written)
    texts = [plain] if most == 1 else _BY.split(plain)
    if not plain.strip() or len(texts) > most:
        raise ValueError(f'read "{written}" as a size; write it as 2 1/2 x 4 1/2')
    sides = []
    for text in texts:
        try:
            side = read_length(text, unit)
        except LengthFault as fault:
            raise ValueError(f'read "{text.strip()}" as a length; write it as 2 1/2, 2.5 or 6.4 cm') from fault
        if not 0 < side <= 10_000:
            raise ValueError(f'read "{text.strip()}" as a length; a length is above 0 and at most 10,000')
        sides.append(side)
    return sides


def _shape(text: str) -> str | None:
    if not text:
        return None
    word = {"rect": "rectangle", "half-square triangle": "hst", "quarter-square triangle": "qst"}.get(
        text.lower(), text.lower()
    )
    if word not in SHAPES:
        raise ValueError(f'read "{text}" as a shape; it can be {", ".join(SHAPES)}')
    return word
