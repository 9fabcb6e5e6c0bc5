"""The form in which a printed list is typed, pasted or filled in row by row; all of it comes back as it was typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import zip_longest

from flask import request
from werkzeug.datastructures import MultiDict

from tracker.exact.measure import Measure, write_length
from tracker.plan.problems import quoted
from tracker.printed.list_table import ListFault, ListRow, read_list, read_row
from tracker.web.screen import Facts
from tracker.web.typed_plan import shown
from tracker.words.printed_words import Told, line_words

BLANK_ROWS = 4

MOST_ROWS = 200

MOST_TEXT = 100_000

MOST_FAULTS = 50
"""Of more faults the first are told: mended, the list shows the others."""

ABOVE_ANY_LINE = 1_000_000
"""Rows of the table are numbered from here, lines of the text from 1."""

FIELDS = ("cloth", "count", "width", "width_part", "height", "height_part", "shape")

PARTS = tuple(
    (write_length(Fraction(n, 16), "in", plain=True), write_length(Fraction(n, 16), "in")) for n in range(1, 16)
)
"""Parts of an inch to choose: no number pad has a stroke for fractions."""


@dataclass(frozen=True)
class TableRow:
    """A row of the table, each field as it was typed; `fault` says what is wrong with it."""

    cloth: str = ""
    count: str = ""
    width: str = ""
    width_part: str = ""
    height: str = ""
    height_part: str = ""
    shape: str = ""
    fault: str = ""

    @property
    def is_blank(self) -> bool:
        """Nothing is typed; a cloth may be chosen."""
        return not (self.count or self.width or self.width_part or self.height or self.height_part)

    def side(self, name: str) -> str:
        """The width or the height, with its part of an inch."""
        return f"{getattr(self, name)} {getattr(self, name + '_part')}".strip()


@dataclass
class ListForm:
    """What stands in the form, and what was read of it; of a line that cannot be read (`faults`) its `number`, what
    stands there (`line`), what is wrong with it (`sentence`), and ways to read it (`readings`)."""

    text: str = ""
    table: list[TableRow] = field(default_factory=lambda: [TableRow()] * BLANK_ROWS)
    rows: list[ListRow] = field(default_factory=list)
    faults: list[Facts] = field(default_factory=list)
    doubt: str = ""

    @property
    def wrong(self) -> int:
        """How many lines and rows are to be put right."""
        return len(self.faults) + sum(bool(row.fault) for row in self.table)

    def line(self, number: int) -> str:
        """A line as it was written; empty for a row of the table."""
        lines = self.text.splitlines()
        return lines[number - 1].strip() if number <= len(lines) else ""


def place_words(lines: Sequence[int]) -> str:
    """Where in the form lines stand: `Line 3`, `Row 2`, `Line 3 and row 2`."""
    typed = tuple(line for line in lines if line < ABOVE_ANY_LINE)
    filled = tuple(line - ABOVE_ANY_LINE for line in lines if line > ABOVE_ANY_LINE)
    words = [line_words(typed)] if typed else []
    words += [line_words(filled).replace("Line", "row" if typed else "Row")] if filled else []
    return " and ".join(words)


def given(form: MultiDict[str, str]) -> ListForm:
    """What a form brings, nothing of it read yet. Where a line could be read in two ways, the one chosen is put in."""
    lines = shown("\n".join(form.get("list", "").splitlines())).split("\n")
    for name, chosen in form.items():
        number = name.removeprefix("reading-")
        if number != name and number.isascii() and number.isdigit() and 0 < int(number[:7]) <= len(lines):
            lines[int(number[:7]) - 1] = " ".join(shown(chosen).split())
    columns = [[shown(value.strip()) for value in form.getlist(name)[:MOST_ROWS]] for name in FIELDS]
    table = [TableRow(*values) for values in zip_longest(*columns, fillvalue="")]
    return ListForm("\n".join(lines), table + [TableRow()] * (BLANK_ROWS - len(table)))


def read(
    form: ListForm, fabrics: Mapping[str, str] | None, unit: str, usable: Mapping[str, Measure] | None = None
) -> None:
    """Read text and table into the form's rows, or its faults; `usable` is the width of each cloth."""
    if len(form.text) > MOST_TEXT:
        form.doubt = f"The list has more than {MOST_TEXT:,} characters; paste only the lines that say what is cut."
        return
    if not form.text.strip() and all(row.is_blank for row in form.table):
        form.doubt = "There is no list yet: paste one, type one, or fill in a row."
        return
    if form.text.strip():
        rows, faults = read_list(form.text, fabrics, unit, usable)
        form.rows += rows
        form.faults = [
            {
                "number": each.line,
                "line": quoted(form.line(each.line)),
                "sentence": _sentence(each),
                "readings": each.readings,
            }
            for each in faults
        ]
    for place, row in enumerate(form.table):
        if row.is_blank:
            continue
        if fabrics is not None and not row.cloth:
            form.table[place] = replace(row, fault="Choose the cloth of this row.")
        else:
            cells = (row.cloth, row.count, row.side("width"), row.side("height"), row.shape)
            found = read_row(ABOVE_ANY_LINE + place + 1, cells, fabrics, unit, usable)
            if isinstance(found, ListRow):
                form.rows.append(found)
            else:
                form.table[place] = replace(row, fault=_sentence(found))


def _sentence(fault: ListFault) -> str:
    return f"{fault.sentence[:1].upper()}{fault.sentence[1:]}."


@dataclass(frozen=True)
class CompareResult:
    """What comparing says: in a line; each difference, with the line of the list as it was written (empty: there is
    none), how many more there are; and each row as it was read, with its place, its count and size, and its cloth or
    what is made of it."""

    good: bool
    summary: str
    differences: tuple[tuple[Told, str], ...]
    more: int
    read: tuple[tuple[str, str, str], ...]


def form_facts(form: ListForm, result: CompareResult | None, unit: str) -> Facts:
    """What the templates of the form and of its result show."""
    facts: Facts = {"form": form, "result": result, "unit": unit, "parts": PARTS, "most_rows": MOST_ROWS}
    return facts | {"faults": form.faults[:MOST_FAULTS], "more_faults": max(0, len(form.faults) - MOST_FAULTS)}


def grown(form: ListForm) -> bool:
    """Whether no more is asked for than further rows; then they are there."""
    if request.form.get("do") != "more":
        return False
    form.table += [TableRow()] * min(BLANK_ROWS, MOST_ROWS - len(form.table))
    return True
