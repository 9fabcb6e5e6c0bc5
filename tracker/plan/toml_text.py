"""TOML as people write it: text or bytes into a table, its faults said plainly, and where each key stands."""

from __future__ import annotations

import codecs
import re
import tomllib
from bisect import bisect_right
from typing import Any

from tracker.plan.problems import Problem, unseen

MOST_BYTES = 1_000_000
_WIDE = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
"""So begins a file into which Windows' own shell wrote what a command printed."""
_DEEPEST_KEY = 8
_MOST_COMMAS = 100_000
_DEEPEST_VALUE = 8
_MOST_LINES_KEPT = 50_000

Path = tuple[str | int, ...]
"""A key from the top: names of keys, and numbers (from 0) in lists and arrays of tables."""


class Unquoted(str):
    """A decimal number that stands in the text without quotes, as it was written."""


def read_text(text: str | bytes, file: str) -> tuple[str, Problem | None]:
    """The text, with plain line ends and no byte-order mark; or why it is none."""
    if len(text) > MOST_BYTES:
        return "", Problem(file, "too large", right="1 MB")
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-16" if text.startswith(_WIDE) else "utf-8")
        except UnicodeDecodeError as fault:
            return "", Problem(file, "not text", line=fault.object.count(b"\n", 0, fault.start) + 1)
    elif len(text.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        return "", Problem(file, "too large", right="1 MB")
    return text.removeprefix("\ufeff").replace("\r\n", "\n"), None


def parse(text: str, file: str) -> tuple[dict[str, Any], Problem | None]:
    """The table that the text says (decimal numbers as Unquoted), or the first place where it is no TOML."""
    bare = _WITHOUT_TEXTS.sub("_", text)
    if _LONG_KEY.search(bare):
        return {}, Problem(file, "too deep", line=_deep_line(text))
    if bare.count(",") > _MOST_COMMAS:
        return {}, Problem(file, "too many values", right=f"{_MOST_COMMAS:,}")
    try:
        return tomllib.loads(text, parse_float=Unquoted), None
    except tomllib.TOMLDecodeError as fault:
        return {}, _syntax(text, file, str(fault))
    except RecursionError:
        return {}, Problem(file, "too deep", line=_deep_line(text))
    except ValueError:  # more digits than Python reads, or a date that the calendar has not
        digits = re.search(r"[0-9_]{1000,}", text)
        line = text.count("\n", 0, digits.start()) + 1 if digits else None
        return {}, Problem(file, "long number", line=line)


# Texts and remarks, also unclosed ones; what is left has dots only in keys and numbers. Each sign fits in one way
# only, so that it is linear whatever the text. (No possessive repeats: Python 3.11.2 and older take them wrongly.)
_WITHOUT_TEXTS = re.compile(
    r"""'''(?:[^']|'(?!''))*(?:''''{0,2})?"""
    r'''|"""(?:[^"\\]|\\.|"(?!""))*(?:""""{0,2})?'''
    r"""|"(?:[^"\\\n]|\\.)*"?|'[^'\n]*'?|\#[^\n]*""",
    re.DOTALL,
)
_LONG_KEY = re.compile(rf"(?<![\w-])[\w-]+(?:[ \t]*\.[ \t]*[\w-]+){{{_DEEPEST_KEY}}}")

_PLACE = re.compile(r"\(at (?:line ([0-9]+), column ([0-9]+)|end of document)\)")
_SYNTAX = (
    ("Illegal character '\\n'", "unclosed text"),
    ("Illegal character", "control"),
    ("Found invalid character", "control"),
    ("Unterminated string", "unclosed text"),
    ("Expected \"'", "unclosed text"),
    ("Expected '\"", "unclosed text"),
    ("Unescaped", "backslash"),
    ("Escaped character", "backslash"),
    ("Invalid hex value", "backslash"),
    ("Expected '=' after", "no equals"),
    ("Expected newline", "after value"),
    ("Invalid value", "bare value"),
    ("Unclosed", "unclosed bracket"),
    ("Expected ']", "unclosed bracket"),
    ("Cannot", "twice"),
    ("Duplicate", "twice"),
)


def _syntax(text: str, file: str, message: str) -> Problem:
    """What tomllib says, as a problem of ours: its place, and the line that stands there."""
    place = _PLACE.search(message)
    lines = text.split("\n")
    line, column = (int(place[1]), int(place[2])) if place and place[1] else (len(lines), len(lines[-1]) + 1)
    kind = next((kind for start, kind in _SYNTAX if message.startswith(start)), "syntax")
    read = lines[line - 1] if line <= len(lines) else ""
    right = ""
    at = read[column - 1 : column]
    if kind == "control" or (at and kind != "unclosed text" and unseen(at)):
        kind, read = "control", f"code {ord(at or chr(13))}"
    elif kind == "unclosed text":
        line, column, right = _opening(text, line, column)
    elif kind in ("bare value", "no equals", "syntax") and re.search("[“”‘’]", read):
        kind = "curly quotes"
    elif kind in ("bare value", "after value"):
        kind, right = _bare(kind, read)
    if kind == "twice" and not read.strip() and line > 1:
        line, read = line - 1, lines[line - 2]
    return Problem(file, kind, line=line, column=column, read=read.strip(), right=right)


def _bare(kind: str, line: str) -> tuple[str, str]:
    """What is wrong with a value without quotes, and how it is written."""
    found = re.fullmatch(r"\s*([\w.-]+)\s*=\s*([^\"'\[\]{}#]*?)\s*(?:#.*)?", line)
    if found is None:
        return kind, 'key = "value"'
    key, value = found.groups()
    if not value:
        return "no value", ""
    if value.lower() in ("true", "false"):
        return "bare flag", f"{key} = {value.lower()}"
    return ("bare length" if kind == "after value" else kind), f'{key} = "{value}"'


def _deep_line(text: str) -> int | None:
    """The line of the first key or bracket that lies deeper than any in a plan."""
    bare = _WITHOUT_TEXTS.sub(lambda found: "_" + "\n" * found[0].count("\n"), text)
    long_key = _LONG_KEY.search(bare)
    if long_key:
        return bare.count("\n", 0, long_key.start()) + 1
    depth = 0
    for bracket in re.finditer(r"[\[\]{}]", bare):
        depth += 1 if bracket[0] in "[{" else -1
        if depth > _DEEPEST_VALUE:
            return bare.count("\n", 0, bracket.start()) + 1
    return None


def _opening(text: str, line: int, column: int) -> tuple[int, int, str]:
    """Line, column and quotes of the text that is open at a place: the last one that begins before it."""
    starts = _line_starts(text)
    end = starts[line - 1] + column - 1
    start, quotes = end, '"'
    for found in _WITHOUT_TEXTS.finditer(text):
        if found.start() > end:
            break
        if found[0][0] != "#":
            start = found.start()
            quotes = found[0][:3] if found[0][:3] in ('"""', "'''") else found[0][0]
    line = bisect_right(starts, start)
    return line, start - starts[line - 1] + 1, quotes


def _line_starts(text: str) -> list[int]:
    return [0, *(found.end() for found in re.finditer("\n", text))]


class TomlLines:
    """Where each key of a text that tomllib has read stands: `line` of a path, `text_line` of a line within its text.

    It is a small scanner over well-formed TOML that keeps places and no values. Very deep or very long lists are
    not followed to their end: the place of the whole then stands for its parts.
    """

    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._starts = _line_starts(text)
        self._lines: dict[Path, int] = {}
        self._texts: dict[Path, tuple[int, bool]] = {}
        self._tables: dict[Path, int] = {}
        self._scan()

    def line(self, path: Path) -> int | None:
        """The line (from 1) of a key or table, or of the nearest thing round it that is known; None for the whole."""
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path[:-1]
        return None

    def text_line(self, path: Path, number: int) -> int | None:
        """The line (from 1) of line `number` (from 0) of the text at `path`."""
        if path not in self._texts:
            return self.line(path)
        first, several = self._texts[path]
        return first + number if several else first

    def has_backslash(self, path: Path) -> bool:
        """True where the text at `path` is in double quotes and a backslash in it is read as a code."""
        return path in self._codes

    def _scan(self) -> None:
        self._codes: set[Path] = set()
        header: Path = ()
        while self._skip(" \t\n") and len(self._lines) < _MOST_LINES_KEPT:
            if self._text[self._at] == "[":
                header = self._header()
            else:
                self._entry(header, 0)

    def _here(self) -> int:
        return bisect_right(self._starts, self._at)

    def _skip(self, blanks: str) -> bool:
        """Go past blanks and remarks; False at the end of the text."""
        text = self._text
        while self._at < len(text):
            if text[self._at] == "#":
                end = text.find("\n", self._at)
                self._at = len(text) if end < 0 else end
            elif text[self._at] in blanks:
                self._at += 1
            else:
                return True
        return False

    def _match(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self._text, self._at)
        assert found is not None
        self._at = found.end()
        return found[0]

    def _key(self) -> list[str]:
        """The parts of a dotted key: bare, or in quotes."""
        parts = []
        while True:
            self._skip(" \t")
            if self._text[self._at] in "\"'":
                parts.append(str(tomllib.loads("k=" + self._match(_QUOTED))["k"]))
            else:
                parts.append(self._match(_BARE))
            self._skip(" \t")
            if self._text[self._at] != ".":
                return parts
            self._at += 1

    def _header(self) -> Path:
        """`[a.b]` or `[[a.b]]`; gives the path of the table that begins here."""
        line, many = self._here(), self._text.startswith("[[", self._at)
        self._at += 2 if many else 1
        path: Path = ()
        for part in self._key():
            if path in self._tables:
                path = (*path, self._tables[path] - 1)
            path = (*path, part)
            self._lines.setdefault(path, line)
        if many:
            self._tables[path] = self._tables.get(path, 0) + 1
            path = (*path, self._tables[path] - 1)
        elif path in self._tables:
            path = (*path, self._tables[path] - 1)
        self._lines[path] = line
        self._at += 2 if many else 1
        return path

    def _entry(self, table: Path, depth: int) -> None:
        """`key = value`."""
        line = self._here()
        path = table
        for part in self._key():
            path = (*path, part)
            self._lines.setdefault(path, line)
        self._at += 1
        self._value(path, depth)

    def _value(self, path: Path, depth: int) -> None:
        self._skip(" \t")
        first = self._text[self._at]
        if first in "\"'":
            self._string(path)
        elif first in "[{" and depth < _DEEPEST_VALUE:
            self._at += 1
            self._inside(path, first, depth + 1)
        elif first in "[{":
            self._past_brackets()
        else:
            self._match(_PLAIN)

    def _string(self, path: Path) -> None:
        quotes = self._text[self._at : self._at + 3]
        line = self._here()
        if quotes not in ('"""', "'''"):
            quotes = quotes[0]
        elif self._text.startswith("\n", self._at + 3):
            line += 1
        whole = self._match(_QUOTED)
        self._texts[path] = line, len(quotes) == 3
        if quotes[0] == '"' and "\\" in whole:
            self._codes.add(path)

    def _inside(self, path: Path, opened: str, depth: int) -> None:
        """The elements of a list or of an inline table, up to its closing bracket."""
        number = 0
        while self._skip(" \t\n,"):
            if self._text[self._at] in "]}":
                self._at += 1
                return
            if opened == "{":
                self._entry(path, depth)
            else:
                if len(self._lines) < _MOST_LINES_KEPT:
                    self._lines[(*path, number)] = self._here()
                self._value((*path, number), depth)
            number += 1

    def _past_brackets(self) -> None:
        depth = 0
        while True:
            token = self._match(_ANYTHING)
            depth += (token in "[{") - (token in "]}")
            if depth == 0:
                return


_QUOTED = re.compile(
    r"""'''(?:[^']|'(?!''))*''''{0,2}"""
    r'''|"""(?:[^"\\]|\\.|"(?!""))*""""{0,2}'''
    r"""|"(?:[^"\\\n]|\\.)*"|'[^'\n]*\'""",
    re.DOTALL,
)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_PLAIN = re.compile(r"[^,\]}#\n]*")
_ANYTHING = re.compile(_QUOTED.pattern + r"|\#[^\n]*|[^'\"]", re.DOTALL)


def invisible(text: str) -> str:
    """The first character of `text` that cannot be seen, as `code 7`; empty where all can be."""
    return next((f"code {ord(c)}" for c in text if unseen(c)), "")
