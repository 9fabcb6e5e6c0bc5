"""A printed cutting list, typed or pasted: read from CSV, from a table, or from plain lines."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracker.exact.measure import LengthFault, Measure, read_length, write_length
from tracker.plan.defaults import DEFAULTS
from tracker.plan.problems import shown
from tracker.printed.list_line import (
    ACROSS,
    LONGEST_LINE,
    NOUNS,
    LineReading,
    Unclear,
    cloth_named,
    heading_of,
    is_across,
    is_of_diamonds,
    read_line,
)

SHAPES = ("rectangle", "square", "hst", "roomy hst", "qst", "roomy qst", "hst8", "hst4", "flip", "centre", "diamond")
"""What is made of a piece: sewn in as it is, made into half- or quarter-square triangles (roomy: cut with room to trim;
8 and 4: at a time), flipped onto a corner of another, or the middle of a square in a square. For the areas of a list
alone; but diamonds, of 45°, are listed as such, by the width of their strip."""

MOST_LINES = 5000
_COLUMNS = {
    "fabric": ("fabric", "cloth", "colour", "color", "material"),
    "count": ("count", "number", "how many", "quantity", "qty", "pieces", "cut", "no"),
    "width": ("width", "w", "length", "across"),
    "height": ("height", "h", "down", "by"),
    "size": ("size", "measure", "dimensions"),
    "shape": ("shape", "kind", "made into"),
}
_ORDERS = tuple(
    tuple(order.split())
    for order in (
        "fabric count width height shape",
        "fabric count size shape",
        "fabric width height count shape",
        "fabric size count shape",
        "count fabric width height shape",
        "count fabric size shape",
        "count width height fabric shape",
        "count size fabric shape",
        "width height count fabric shape",
        "size count fabric shape",
        "count width height shape",
        "count size shape",
    )
)
"""Orders of columns without a heading. The first is the usual one: another is taken only where it reads more rows."""

_SQUARE = re.compile(r"\bsq(?:uares?)?\b", re.IGNORECASE)
_BY = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)
_COUNT = re.compile(rf"[x×]?\s*(\d{{1,6}})\s*(?:[x×]|{'|'.join(sorted(NOUNS, reverse=True))})?", re.IGNORECASE)

_NO_FABRIC = "the row names no fabric"
_HEADED = "put a heading over the columns: fabric, count, width, height"


@dataclass(frozen=True)
class ListRow:
    """One row of a printed list: `count` pieces of one cloth (its key), the longer side as width; `shape` is one of
    SHAPES, where the list says: both sides of a "diamond" are the width of the strip it is cut from. `across`: one side
    was written as the width of the cloth, not as a number."""

    line: int
    fabric: str
    count: int
    width: Measure
    height: Measure
    shape: str | None = None
    across: bool = False


@dataclass(frozen=True)
class ListFault:
    """A line that cannot be read: what is wrong with it, in a sentence without its full stop. Where it can be read in
    several ways, `readings` are lines that say each of them clearly."""

    line: int
    sentence: str
    readings: tuple[str, ...] = ()


def read_list(
    text: str, fabrics: Mapping[str, str] | None, unit: str, usable: Mapping[str, Measure] | None = None
) -> tuple[list[ListRow], list[ListFault]]:
    """The rows of a list, and its faults, all of them. `fabrics` gives the plan's cloths, key to name, that rows are
    named by; None takes every name as it stands, and rows without one. `usable` is the width of each cloth, for strips
    listed by it; of a cloth not in it the usual one."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip(" \t|-+=:")]
    if not lines:
        return [], [ListFault(1, "the list is empty; a row has fabric, count, width and height")]
    if len(lines) > MOST_LINES:
        return [], [ListFault(MOST_LINES + 1, f"a list has at most {MOST_LINES:,} rows")]
    reader = _TableReader(fabrics, unit, usable or {})
    for number, line in lines:
        reader.take(number, line)
    rows, faults = reader.finish()
    if not rows and not faults:
        faults.append(ListFault(lines[0][0], "the list has a heading and no rows under it"))
    return rows, faults


def read_row(
    number: int,
    cells: Sequence[str],
    fabrics: Mapping[str, str] | None,
    unit: str,
    usable: Mapping[str, Measure] | None = None,
) -> ListRow | ListFault:
    """One row that is filled in: fabric, count, width, height (empty: a square) and shape, each as it was typed."""
    return _TableReader(fabrics, unit, usable or {}).row(number, cells, _ORDERS[0])


class _TableReader:
    """Takes a list line by line. Lines of three cells and more are columns, whose order is found from all of them;
    others are read as they are written."""

    def __init__(self, fabrics: Mapping[str, str] | None, unit: str, usable: Mapping[str, Measure]) -> None:
        self.fabrics, self.unit, self.usable = fabrics, unit, usable
        self.order: tuple[str, ...] | None = None
        self.found: list[ListRow | ListFault] = []
        self.columns: list[tuple[int, str, list[str]]] = []
        self.above = ""
        self.began = False
        self.cloths: dict[str, str | None] = {}

    def take(self, number: int, line: str) -> None:
        if len(line) > LONGEST_LINE:
            self.found.append(ListFault(number, f"the line has more than {LONGEST_LINE} characters; a row is shorter"))
            return
        cells = _cells(line)
        header = None if self.began else _header(cells)
        self.began = True
        if header:
            self.order = header
        elif len(cells) >= 3 or (self.order and len(cells) == 2):
            self.columns.append((number, line, cells))
        elif (heading := heading_of(line, self.fabrics)) is not None:
            self.above = heading
        else:
            self.found.append(self._freehand(number, line))

    def finish(self) -> tuple[list[ListRow], list[ListFault]]:
        """Rows and faults in the order of the lines."""
        orders = [self.order] if self.order else self._orders()
        for number, line, cells in self.columns:
            rows = [self.row(number, cells, order) for order in orders]
            ways = list(dict.fromkeys(row for row in rows if isinstance(row, ListRow)))
            if len(ways) > 1:
                self.found.append(self._several(number, ways))
            else:
                self.found.append(ways[0] if ways else self._otherwise(number, line, rows[0]))
        ordered = sorted(self.found, key=lambda each: each.line)
        return (
            [each for each in ordered if isinstance(each, ListRow)],
            [each for each in ordered if isinstance(each, ListFault)],
        )

    def _several(self, number: int, rows: Sequence[ListRow]) -> ListFault:
        """A row that other columns would read otherwise; the whole table is to be told apart, not this row alone."""
        texts = [[write_length(side, self.unit, plain=True) for side in (row.width, row.height)] for row in rows]
        said = ", or ".join(f"{row.count} of {' x '.join(text)}" for row, text in zip(rows, texts, strict=True))
        return ListFault(number, f"the columns can be read in several ways: {said}; {_HEADED}")

    def _orders(self) -> list[tuple[str, ...]]:
        """The orders of columns that read the most rows; the usual one alone, where no other reads more."""
        read = [
            sum(isinstance(self.row(number, cells, order), ListRow) for number, _, cells in self.columns)
            for order in _ORDERS
        ]
        most = max(read, default=0)
        return (
            [_ORDERS[0]]
            if read[0] == most
            else [order for order, count in zip(_ORDERS, read, strict=True) if count == most]
        )

    def _otherwise(self, number: int, line: str, fault: ListRow | ListFault) -> ListRow | ListFault:
        """A line whose cells make no row, read as it is written: commas may stand in sizes, or between words."""
        if re.search(r"\d[,;|\t]-?\d", line) and not _BY.search(line):
            return fault  # they part numbers
        read = self._freehand(number, line)
        return read if isinstance(read, ListRow) or read.readings else fault

    def _freehand(self, number: int, line: str) -> ListRow | ListFault:
        try:
            found = read_line(line, self.fabrics, self.above)
            usable = self._usable(found.fabric)
            sides = [side for text in found.sides for side in _sides(text, self.unit, 1, usable)]
        except Unclear as fault:
            if not fault.readings:
                return ListFault(number, self._with_cloths(str(fault)))
            ways = tuple(map(_clearly, fault.readings))
            said = ", or ".join(way.rpartition(": ")[2] for way in ways)
            return ListFault(number, f"{fault}: {said}; write the one that is meant", ways)
        except ValueError as fault:
            return ListFault(number, str(fault))
        sides.sort(reverse=True)
        shape = "diamond" if found.diamonds else None
        return ListRow(number, found.fabric, found.count, sides[0], sides[-1], shape, ACROSS in found.sides)

    def row(self, number: int, cells: Sequence[str], order: tuple[str, ...]) -> ListRow | ListFault:
        """A row of columns in one order."""
        named = dict(zip(order, cells, strict=False))
        try:
            if len(cells) > len(order) and any(cells[len(order) :]):
                raise ValueError(f"the row has {len(cells)} columns; {_HEADED}")
            fabric = self._fabric(named, order, len(cells))
            count = _count(named.get("count", ""))
            sides, across = self._size(named, self._usable(fabric))
            diamonds = is_of_diamonds(f"{named.get('count', '')} {named.get('shape', '')}")
            shape = _shape("diamond" if diamonds else named.get("shape", ""), sides)
        except ValueError as fault:
            return ListFault(number, str(fault))
        return ListRow(number, fabric, count, sides[0], sides[-1], shape, across)

    def _usable(self, fabric: str) -> Measure:
        return self.usable.get(fabric, DEFAULTS[self.unit].usable)

    def _size(self, named: Mapping[str, str], usable: Measure) -> tuple[list[Measure], bool]:
        """The two sides, and whether one of them is the width of the cloth."""
        written, height = named.get("size") or named.get("width", ""), named.get("height", "")
        if height:
            sides = [*_sides(written, self.unit, 1, usable), *_sides(height, self.unit, 1, usable)]
        elif is_across(written):
            raise ValueError("the row says one side only; write both, as in 2 1/2 x 42")
        else:
            sides = _sides(written, self.unit, 2, usable)
        across = any(map(is_across, [*_BY.split(written), height]))
        return sorted(sides, reverse=True), across

    def _fabric(self, cells: Mapping[str, str], order: tuple[str, ...], columns: int) -> str:
        name = cells.get("fabric", "") or self.above
        if self.fabrics is None:
            # A bare number is a count or a side, unless the row is written out in the usual order.
            usual = order == _ORDERS[0] and columns >= 4
            named = re.search(r"[^\W\d_]", name) and name.lower() not in SHAPES
            if "fabric" in order and not usual and not named:
                raise ValueError(_NO_FABRIC)
            return name
        if not name:
            raise ValueError(self._with_cloths(_NO_FABRIC))
        if name not in self.cloths:
            self.cloths[name] = cloth_named(name, self.fabrics)
        key = self.cloths[name]
        if key is None:
            raise ValueError(self._with_cloths(f'there is no fabric "{name[:40]}" in the plan'))
        return key

    def _with_cloths(self, sentence: str) -> str:
        """What stands against a row, and where that is its cloth, which cloths there are."""
        if self.fabrics is None or not sentence.startswith(("there is no fabric", _NO_FABRIC)):
            return sentence
        known = ", ".join(f"{key} ({name})" for key, name in self.fabrics.items())
        return f"{sentence}; {'it' if 'plan' in sentence else 'the plan'} has {known}"


def _clearly(reading: LineReading) -> str:
    """A line that says a reading and can be read in no other way."""
    cloth = f"{reading.fabric}: " if reading.fabric else ""
    if reading.diamonds:
        return f"{cloth}{reading.count} diamonds {reading.sides[0]}"
    return f"{cloth}{reading.count} of {reading.sides[0]} x {reading.sides[-1]}"


def _cells(line: str) -> list[str]:
    """The cells of a line, by the first mark that parts it: tab, semicolon, bar, comma, or two spaces."""
    mark = next((mark for mark in "\t;|," if mark in line), None)
    if mark is None:
        return [cell.strip() for cell in re.split(r"\s{2,}", line.strip())]
    inner = line.strip().strip("|") if mark == "|" else line.strip(" ")
    return [cell.strip() for cell in next(csv.reader([inner], delimiter=mark, skipinitialspace=True), [])]


def _header(cells: list[str]) -> tuple[str, ...] | None:
    """The columns that a first line names, if it is a heading."""
    named = []
    for cell in cells:
        word = cell.lower().strip(" .:")
        named.append(next((column for column, words in _COLUMNS.items() if word in words), ""))
    return tuple(named) if sum(map(bool, named)) >= 2 else None


def _count(text: str) -> int:
    found = _COUNT.fullmatch(text)
    if found is None or int(found[1]) == 0:
        raise ValueError(f'read "{shown(text)}" as a count; it is a whole number from 1')
    return int(found[1])


def read_size(written: str, unit: str) -> tuple[Measure, Measure]:
    """`12`, `12 x 15 1/2`: the size of something. Raises ValueError with a sentence."""
    sides = _sides(written, unit)
    return sides[0], sides[-1]


def read_seam(written: str, size: tuple[Measure, Measure], unit: str) -> Measure:
    """The seam allowance of a block of that finished size. Raises ValueError with a sentence."""
    (seam,) = _sides(written, unit, 1)
    if not 2 * seam < min(size):
        raise ValueError("the seam is too wide for this block; type the seam allowance, such as 1/4 in or 0.75 cm")
    return seam


def _sides(written: str, unit: str, most: int = 2, usable: Measure | None = None) -> list[Measure]:
    """The sides of `2 1/2 x 4 1/2`, or of a square written once; the width of a cloth is its `usable` one."""
    plain = _SQUARE.sub("", written)
    texts = [plain] if most == 1 else _BY.split(plain)
    if not plain.strip() or len(texts) > most:
        raise ValueError(f'read "{shown(written)}" as a size; write it as 2 1/2 x 4 1/2')
    sides = []
    for text in texts:
        if usable is not None and is_across(text):
            sides.append(usable)
            continue
        try:
            side = read_length(text, unit)
        except LengthFault as fault:
            read = shown(text.strip() or written.strip())
            raise ValueError(f'read "{read}" as a length; write it as 2 1/2, 2.5 or 6.4 cm') from fault
        if not 0 < side <= 10_000:
            raise ValueError(f'read "{shown(text.strip())}" as a length; a length is above 0 and at most 10,000')
        sides.append(side)
    return sides


def _shape(text: str, sides: Sequence[Measure]) -> str | None:
    if not text:
        return None
    word = {"rect": "rectangle", "half-square triangle": "hst", "quarter-square triangle": "qst"}.get(
        text.lower(), text.lower()
    )
    if word not in SHAPES:
        raise ValueError(f'read "{shown(text)}" as a shape; it can be {", ".join(SHAPES)}')
    if word == "diamond" and sides[0] != sides[-1]:
        raise ValueError("diamonds are listed by one side: how wide the strip is that they are cut from")
    if word.removeprefix("roomy ").startswith(("hst", "qst")) and sides[0] != sides[-1]:
        raise ValueError("triangles are made of squares here; write the square that they are cut from")
    return word
