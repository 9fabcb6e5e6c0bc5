"""Reading the values of one table of a plan: each kind of value by one method, each fault noted with its place."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any

from tracker.exact.measure import LengthFault, Measure, exact, read_length, write_length
from tracker.plan.problems import LONGEST_NAME, Problem, either, nearest_word, shown, unknown
from tracker.plan.toml_text import Path, TomlLines, Unquoted, invisible

MOST_PROBLEMS = 50
MOST_STRIPS = 100
MOST_TURNS = 10_000
TURNS = ("0", "90", "180", "270")
"""How far a block can be turned, clockwise in degrees."""
LONGEST_LENGTH = 10_000
_FINEST = 1_000_000
_LENGTH_KINDS = {
    "empty": "length",
    "unreadable": "length",
    "unit": "length unit",
    "thousands": "thousands",
    "zero below": "zero below",
}


@dataclass
class Report:
    """The problems found so far in a `text`: the first MOST_PROBLEMS in full, the others counted in `number`.

    `head_keys` stand above the first table; `headings` says how a table of that name is headed, and `quilt_keys` stand
    below [quilt]. `cloths` and `seam` are those of the plan, once they are read; None where the seam could not be.
    """

    file: str
    text: str
    head_keys: Collection[str] = ()
    headings: Mapping[str, str] = field(default_factory=dict)
    quilt_keys: Collection[str] = ()
    number: int = 0
    cloths: Collection[str] = ()
    seam: Measure | None = None
    _kept: list[Problem] = field(default_factory=list)

    @cached_property
    def lines(self) -> TomlLines:
        """Where things stand, found when first asked for: a plan without faults needs it not."""
        return TomlLines(self.text)

    @property
    def full(self) -> bool:
        """True where further problems are only counted, so that their facts need not be worked out."""
        return len(self._kept) >= MOST_PROBLEMS

    def add(self, kind: str, path: Path, read: str = "", right: str = "", **place: Any) -> None:
        """Note a problem at a path. `place`: line, row, cell (from 1), where they are known better than by the path."""
        self.number += 1
        if self.full:
            return
        block = str(path[1]) if len(path) > 1 and path[0] == "blocks" else None
        within = path[2:] if block is not None else path
        key = dotted(part for part in within if "row" not in place or isinstance(part, str))
        line = place.pop("line", None) or self.lines.line(path)
        facts = {"key": key, "read": read, "right": right, "path": path, **place}
        self._kept.append(Problem(self.file, kind, line, None, block, **facts))

    def problems(self) -> tuple[Problem, ...]:
        """All that are kept, in the order of their lines, and one more that counts the others."""
        kept = sorted(self._kept, key=lambda problem: problem.line or 0)
        if self.number > len(kept):
            kept.append(Problem(self.file, "more", read=str(self.number - len(kept))))
        return tuple(kept)


def dotted(path: Iterable[str | int]) -> str:
    """A path in words: `fabrics.S.tone`, `cut of quilt.border 2`, `number 3 of columns`, counting from 1."""
    parts = list(path)
    at = next((n for n, part in enumerate(parts) if isinstance(part, int)), len(parts))
    text = ".".join(str(part) for part in parts[:at])
    if at == len(parts):
        return text
    number, rest = int(parts[at]) + 1, dotted(parts[at + 1 :])
    return f"{rest} of {text} {number}" if rest else f"number {number} of {text}"


def described(value: object) -> str:
    """A value of a plan in words, for a sentence: a text in its quotes, a number as it is, or what it is."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Unquoted):
        return str(value)
    if isinstance(value, int):
        return str(value) if abs(value) < 10**18 else "a number with very many digits"
    if isinstance(value, str):
        return f'"{shown(value)}"'
    if isinstance(value, dict):
        return "a table"
    return "a list" if isinstance(value, list) else "a date or a time"


class Fields:
    """One table of a plan, in which keys that are not `known` (None: any can be) are faults.

    Every method reads one key and gives its value, or, noting why not, what may stand for it.
    """

    def __init__(self, report: Report, path: Path, table: Mapping[str, Any], unit: str, known: tuple[str, ...] | None):
        self.report = report
        self.path = path
        self.table = table
        self.unit = unit
        self.faulty: set[str | int] = set()
        self._meant: set[str] = set()
        for key in table:
            if known is not None and key not in known:
                self._unknown_key(key, known)

    def _unknown_key(self, key: str, known: tuple[str, ...]) -> None:
        """Note it, with what was meant: then that is not missing besides."""
        near = "" if self.report.full else nearest_word(key, known)
        if near and near not in self.table:
            self._meant.add(near)
        if key in self.report.head_keys:
            self.fault("key of the top", key, key)
        elif key in self.report.headings and isinstance(self.table[key], (dict, list)):
            brackets = f"[[{key}]]" if isinstance(self.table[key], list) else f"[{key}]"
            self.fault("heading", key, dotted((*self.path, brackets)), self.report.headings[key])
        elif key in self.report.quilt_keys and not isinstance(self.table[key], dict):
            self.fault("key of the quilt", key, key)
        elif near:
            self.fault("unknown key", key, key, near)
        else:
            self.fault("foreign key", key, key, "" if self.report.full else either(known))

    def __contains__(self, key: str) -> bool:
        return key in self.table

    def fault(self, kind: str, key: str | int, read: str = "", right: str = "", **place: Any) -> None:
        """Note a problem at a key of this table."""
        self.faulty.add(key)
        self.report.add(kind, (*self.path, key), read, right, **place)

    def missing(self, key: str, right: str) -> None:
        """Note that a key is missing, and what could be written; its place is the table's."""
        if key in self._meant:
            return
        line = self.report.lines.line(self.path) or 1
        self.report.add("missing", (*self.path, key), "", right, line=line)

    def need(self, key: str, right: str) -> bool:
        """True where the key is there; else it is noted as missing."""
        if key not in self.table:
            self.missing(key, right)
        return key in self.table

    def text(self, key: str, example: str) -> str:
        """A text that must be there, without blanks at its ends."""
        if not self.need(key, f"{key} = {example}"):
            return ""
        value = self.table[key]
        if not isinstance(value, str) or isinstance(value, Unquoted):
            self.fault("not text value", key, described(value))
            return ""
        text = value.strip()
        if not text:
            self.fault("empty text", key, "", f"{key} = {example}")
        elif hidden := invisible(text):
            self.fault("text control", key, hidden)
        elif len(text) > LONGEST_NAME:
            self.fault("long text", key, str(len(text)), str(LONGEST_NAME))
        return text

    def choice(self, key: str, words: tuple[str, ...], default: str) -> str:
        """One of some words."""
        value = self.table.get(key, default)
        if value not in words or isinstance(value, Unquoted):
            self.fault("choice", key, described(value), either(words))
            return default
        return str(value)

    def flag(self, key: str, default: bool) -> bool:
        """true or false."""
        value = self.table.get(key, default)
        if not isinstance(value, bool):
            self.fault("flag", key, described(value))
            return default
        return value

    def whole(self, key: str, least: int, most: int, words: str, default: int) -> int:
        """A whole number within limits; `words` say them."""
        value = self.table.get(key, default)
        if isinstance(value, bool) or not isinstance(value, int):
            self.fault("whole number", key, described(value), words)
            return default
        if not least <= value <= most:
            self.fault("out of range", key, described(value), words)
            return default
        return value

    def length(self, key: str, default: Measure | None = None) -> Measure:
        """A length in the plan's unit, above 0 and at most LONGEST_LENGTH. Without a default the key must be there."""
        if key not in self.table:
            if default is None:
                self.missing(key, f'{key} = "2 1/2"')
            return default or Measure(1)
        found = self._length(key, self.table[key])
        return Measure(1) if found is None else found

    def lengths(self, key: str, most: int) -> tuple[Measure, ...]:
        """A list of lengths that must be there, at most so many."""
        if not self.need(key, f'{key} = ["2", "1", "2"]'):
            return ()
        value = self.table[key]
        if not isinstance(value, list) or not value:
            read = "an empty list" if value == [] else described(value)
            self.fault("list", key, read, 'as ["2", "1", "2"]')
            return ()
        if len(value) > most:
            self.fault("grid count", key, f"{len(value)} lengths", f"at most {most}")
            return ()
        inner = Fields(self.report, (*self.path, key), {}, self.unit, ())
        return tuple(inner._length(number, item) or Measure(1) for number, item in enumerate(value))

    def _length(self, key: str | int, value: object) -> Measure | None:
        if isinstance(value, Unquoted):
            self.fault("float", key, str(value), f'"{_quotable(value)}"')
            return None
        if isinstance(value, bool) or not isinstance(value, (int, str)):
            self.fault("length", key, described(value))
            return None
        try:
            found = read_length(value, self.unit) if isinstance(value, str) else exact(value)
        except LengthFault as fault:
            right = either((str(value).replace(",", ""), str(value).replace(",", ".")))
            self.fault(_LENGTH_KINDS[fault.kind], key, described(value), right)
            return None
        if found <= 0:
            self.fault("not above zero", key, described(value))
        elif found > LONGEST_LENGTH:
            self.fault("too long", key, described(value), f"10,000 {self.unit}")
        elif found.d > _FINEST:
            self.fault("too fine", key, described(value))
        else:
            return found
        return None

    def strip(self) -> Measure:
        """The cut width of a strip: `cut`, or `finished` and two seams. The seams must leave something of it."""
        seam = self.report.seam or Measure()
        if "cut" in self and "finished" in self:
            self.fault("either", "finished", "cut and finished")
            return 2 * seam + 1
        if "finished" in self:
            return self.length("finished") + 2 * seam
        if not self.need("cut", 'cut = "1 1/2" or finished = "1"'):
            return 2 * seam + 1
        before = self.report.number
        cut = self.length("cut")
        if self.report.number == before and cut <= 2 * seam:
            self.fault("strip too narrow", "cut", described(self.table["cut"]), self.written(2 * seam))
        return cut

    def written(self, length: Measure) -> str:
        """A length with its unit, for a sentence."""
        return f"{write_length(length, self.unit, plain=True)} {self.unit}"

    def name_of(self, key: str, known: Collection[str], thing: str) -> str:
        """The key of a fabric or block (`thing` is cloth or block) that the plan has."""
        value = self.table.get(key)
        if not isinstance(value, str) or isinstance(value, Unquoted):
            self.fault("not text value", key, described(value))
            return ""
        if known and value not in known:
            self.unknown(key, value, known, thing)
        return value

    def unknown(self, key: str | int, read: str, known: Collection[str], thing: str, **place: Any) -> None:
        """Note a name that the plan has not, with the nearest one that it has."""
        if self.report.full:
            self.report.number += 1
            return
        kind, right = unknown(thing, read, known)
        self.fault(kind, key, read, right, **place)

    def fabric(self, key: str) -> str:
        """The key of a fabric, which must be there."""
        return self.cloth(key) if self.need(key, f'{key} = "S"') else ""

    def cloth(self, key: str) -> str:
        """The key of a fabric that the plan has."""
        return self.name_of(key, self.report.cloths, "cloth")

    def mark(self, key: str, marks: Sequence[Measure], default: Measure) -> Measure:
        """A length that is one of a ruler's marks."""
        before = self.report.number
        found = self.length(key, default)
        if found not in marks and self.report.number == before:
            words = tuple(self.written(mark) for mark in marks)
            self.fault("ruler", key, described(self.table[key]), either(words))
        return found

    def turns(self, key: str) -> tuple[tuple[int, ...], ...]:
        """Rows of quarter turns, all equally long: `[["0", "90"], ["270", "180"]]`."""
        value, example = self.table[key], f'as {key} = [["0", "90"], ["270", "180"]]'
        if not isinstance(value, list) or not value or not all(isinstance(row, list) and row for row in value):
            self.fault(
                "list of rows", key, "a list without rows" if isinstance(value, list) else described(value), example
            )
            return ()
        if len({len(row) for row in value}) > 1:
            self.fault("uneven turns", key)
            return ()
        if sum(map(len, value)) > MOST_TURNS:
            self.fault("too many turns", key, f"{sum(map(len, value)):,}", f"at most {MOST_TURNS:,}")
            return ()
        for number, row in enumerate(value):
            for place, turn in enumerate(row):
                if isinstance(turn, (bool, Unquoted)) or str(turn) not in TURNS:
                    path = (*self.path, key, number)
                    self.report.add("turn", path, described(turn), either(TURNS), row=number + 1, cell=place + 1)
                    self.faulty.add(key)
        return () if key in self.faulty else tuple(tuple(int(turn) for turn in row) for row in value)

    def colour(self, key: str) -> str:
        """`#e4dccb`, or `#fff` for `#ffffff`, in small letters; empty where there is none."""
        value = self.table.get(key, "")
        if key not in self.table:
            return ""
        if not isinstance(value, str) or not re.fullmatch(r"#(?:[0-9A-Fa-f]{3}){1,2}", value.strip()):
            self.fault("colour", key, described(value))
            return ""
        digits = value.strip().lower()[1:]
        return "#" + ("".join(2 * digit for digit in digits) if len(digits) == 3 else digits)

    def share(self, key: str, default: Fraction) -> Fraction:
        """A share written as `5 %`, from 0 to below 100 %; 5 % is 1/20. 100 % could once be asked for, and is
        still read."""
        value = self.table.get(key)
        if value is None:
            return default
        if isinstance(value, Unquoted) or not isinstance(value, (int, str)) or isinstance(value, bool):
            self.fault("percent", key, described(value))
            return default
        text = value.strip() if isinstance(value, str) else f"{min(abs(value), 999)} %"
        if isinstance(value, str) and not text.endswith("%"):
            kind = "bare percent" if re.fullmatch(r"[0-9 ./,½¼¾]+", text) else "percent"
            self.fault(kind, key, described(value))
            return default
        try:
            number = read_length(text.rstrip("%").strip(), "cm").rational
        except LengthFault:
            number = Fraction(-1)
        if not 0 <= number <= 100 or number.denominator > _FINEST or (isinstance(value, int) and value < 0):
            self.fault("percent", key, described(value))
            return default
        return number / 100

    def table_of(self, key: str, known: tuple[str, ...]) -> Fields | None:
        """The table at a key; None where there is none."""
        if key not in self.table:
            return None
        value, path = self.table[key], (*self.path, key)
        if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
            self.fault("double brackets", key, "", dotted(path))
            return None
        if not isinstance(value, dict):
            self.fault("not a table", key, described(value), dotted(path))
            return None
        return Fields(self.report, path, value, self.unit, known)

    def tables_of(self, key: str, known: tuple[str, ...]) -> list[Fields]:
        """Each table of an array of tables."""
        value, path = self.table.get(key, []), (*self.path, key)
        if isinstance(value, dict):
            self.fault("single brackets", key, "", dotted(path))
            return []
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.fault("not a table", key, described(value), f"[{dotted(path)}]")
            return []
        if len(value) > MOST_STRIPS:
            self.fault("too many strips", key, str(len(value)), f"at most {MOST_STRIPS}")
            return []
        return [Fields(self.report, (*path, n), item, self.unit, known) for n, item in enumerate(value)]


def _quotable(number: Unquoted) -> str:
    """What can stand between the quotes where a decimal number was written without."""
    plain = number.replace("_", "").lstrip("+")
    return plain if re.fullmatch(r"-?[0-9]{1,12}\.[0-9]{1,12}", plain) else "2 1/2"
