"""A plan's table as text, and an older text changed to say what a table says now, its remarks and order kept."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from tracker.plan.problems import unseen
from tracker.plan.toml_text import Path, TomlLines, parse

Table = Mapping[str, Any]
"""A TOML table as plain data: texts, whole numbers, true and false, lists, tables."""

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def written(table: Table) -> str:
    """A table as text, its keys in their order, lists of tables as [[tables]]."""
    return "\n\n".join("\n".join(lines) for lines in _tables((), table) if lines) + "\n"


def rewritten(former: str, table: Table) -> str:
    """The text of a table that a `former` text said otherwise, or not: only what differs is written anew.

    Remarks, blanks, order and the way of writing stay. Where the former text is none, or written in a way that cannot
    be changed in place, all is written anew, below its remarks.
    """
    old, problem = parse(former, "plan")
    if problem is None and _as_said(old) == _as_said(table):
        return former
    if problem is None:
        text = _Changed(former, old, table).text()
        found, problem = parse(text, "plan")
        if problem is None and _as_said(found) == _as_said(table):
            return text
    remarks = [line for line in former.splitlines() if line.lstrip().startswith("#")]
    return "".join(f"{line}\n" for line in remarks) + ("\n" if remarks else "") + written(table)


# Values


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_table, value))


def _quoted(text: str) -> str:
    """A text in quotes; one of several lines between three single quotes, where nothing in it has a code."""
    plain = "'''" not in text and not text.endswith("'") and not any(c != "\n" and unseen(c) for c in text)
    if "\n" in text and plain:
        return f"'''\n{text}'''"
    return _in_one_line(text)


def _in_one_line(text: str) -> str:
    """A text in quotes, with codes for what cannot stand there."""
    return json.dumps(text.encode("utf-8", "replace").decode("utf-8"), ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, list) and value and all(isinstance(row, list) for row in value):
        return "[\n" + "".join(f"  {_value(row)},\n" for row in value) + "]"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    if _is_table(value):
        return "{ " + ", ".join(f"{_key(key)} = {_value(inner)}" for key, inner in value.items()) + " }"
    return _quoted(str(value))


def _key(name: str) -> str:
    return name if _BARE_KEY.fullmatch(name) else _in_one_line(name)


def _heading(path: Path, many: bool) -> str:
    name = ".".join(_key(part) for part in path if isinstance(part, str))
    return f"[[{name}]]" if many else f"[{name}]"


def _tables(path: Path, table: Table, many: bool = False) -> Iterator[list[str]]:
    """The lines of a table with its heading, then of each table in it. A table of nothing but tables has no heading."""
    own = {key: value for key, value in table.items() if not (_is_table(value) or _is_tables(value))}
    lines = [f"{_key(key)} = {_value(value)}" for key, value in own.items()]
    if path and (own or many or not table):
        lines.insert(0, _heading(path, many))
    yield lines
    for key, value in table.items():
        if _is_table(value):
            yield from _tables((*path, key), value)
        elif _is_tables(value):
            for each in value:
                yield from _tables((*path, key), each, many=True)


# Changing a text in place


class _Places(TomlLines):
    """Where each key, value and heading of a text stands, as places in the text."""

    def __init__(self, text: str) -> None:
        self.headings: dict[Path, tuple[int, int]] = {}
        self.entries: dict[Path, tuple[int, int, int]] = {}
        self.owners: dict[Path, Path] = {}
        super().__init__(text)

    def _header(self) -> Path:
        start = self._at
        path = super()._header()
        self.headings[path] = (start, self._at)
        return path

    def _entry(self, table: Path, depth: int) -> None:
        self._start = self._at
        self._table = table
        super()._entry(table, depth)

    def _value(self, path: Path, depth: int) -> None:
        start, owner = self._start, self._table
        self._skip(" \t")
        begun = self._at
        super()._value(path, depth)
        end = begun + len(self._text[begun : self._at].rstrip(" \t"))
        if isinstance(path[-1], str):
            self.entries.setdefault(path, (start, begun, end))
            self.owners.setdefault(path, owner)


class _Changed:
    """A text with what differs between the table that it says (`old`) and another one (`new`) put in its place."""

    def __init__(self, text: str, old: Table, new: Table) -> None:
        self._text = text
        self._places = _Places(text)
        self._edits: list[tuple[int, int, str]] = []
        self._change((), old, new)

    def text(self) -> str:
        """The changed text."""
        parts, at = [], 0
        for start, end, instead in sorted(self._edits, key=lambda edit: edit[:2]):
            if start >= at:
                parts += [self._text[at:start], instead]
                at = end
        return "".join([*parts, self._text[at:]])

    def _change(self, path: Path, old: Table, new: Table) -> None:
        for key in old.keys() - new.keys():
            self._remove((*path, key), old[key])
        added: dict[str, Any] = {}
        for key, value in new.items():
            inner, before = (*path, key), old.get(key)
            if key not in old:
                added[key] = value
            elif inner not in self._places.entries and _is_table(value) and _is_table(before):
                self._change(inner, old[key], value)
            elif inner not in self._places.entries and _is_tables(value) and _is_tables(before):
                self._change_all(inner, old[key], value)
            elif _as_said(value, key) != _as_said(before, key):
                self._replace(inner, value)
        self._add(path, added)

    def _change_all(self, path: Path, old: list[Table], new: list[Table]) -> None:
        for number, (before, after) in enumerate(zip(old, new, strict=False)):
            self._change((*path, number), before, after)
        for number in range(len(new), len(old)):
            self._remove((*path, number), old[number])
        for each in new[len(old) :]:
            self._insert_table(path, each, many=True)

    def _replace(self, path: Path, value: Any) -> None:
        if path in self._places.entries:
            _, begun, end = self._places.entries[path]
            self._edits.append((begun, end, _value(value)))

    def _remove(self, path: Path, value: Any) -> None:
        """Take out the lines of a key, or of a table and of all in it; remarks above it stay."""
        if path in self._places.entries:
            start, _, end = self._places.entries[path]
            self._edits.append((self._line_start(start), self._line_end(end), ""))
            return
        for heading, (start, _) in self._places.headings.items():
            if heading[: len(path)] == path:
                self._edits.append((self._line_start(start), self._end_of(heading), ""))

    def _add(self, path: Path, added: dict[str, Any]) -> None:
        own = {key: value for key, value in added.items() if not (_is_table(value) or _is_tables(value))}
        if own and (not path or path in self._places.headings):
            lines = "".join(f"{_key(key)} = {_value(value)}\n" for key, value in own.items())
            at = self._end_of(path)
            self._edits.append((at, at, lines if at == 0 or self._text[at - 1] == "\n" else "\n" + lines))
        for key, value in added.items():
            if _is_table(value):
                self._insert_table((*path, key), value)
            elif _is_tables(value):
                for each in value:
                    self._insert_table((*path, key), each, many=True)

    def _insert_table(self, path: Path, table: Table, many: bool = False) -> None:
        """Write a table behind the last one that belongs with it, or at the end."""
        lines = "\n\n".join("\n".join(each) for each in _tables(path, table, many) if each)
        depths = (path, path[:-1], path[:1])
        near = next((h for depth in depths for h in reversed(self._places.headings) if _within(h, depth)), None)
        at = len(self._text) if near is None else self._end_of(near)
        before = "" if at == 0 or self._text[at - 1] == "\n" else "\n"
        self._edits.append((at, at, f"{before}\n{lines}\n"))

    def _end_of(self, table: Path) -> int:
        """Behind the last line of what a table itself says; where it says nothing, behind its heading."""
        own = [end for path, (_, _, end) in self._places.entries.items() if self._places.owners[path] == table]
        start = [self._places.headings[table][1]] if table in self._places.headings else []
        return self._line_end(max([*own, *start])) if own or start else 0

    def _line_start(self, at: int) -> int:
        return self._text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        end = self._text.find("\n", at)
        return len(self._text) if end < 0 else end + 1


def _within(path: Path, outer: Path) -> bool:
    return bool(outer) and path[: len(outer)] == outer


def _as_said(value: Any, key: str = "") -> Any:
    """What a key says, to be compared: a picture by its cells, however they are parted."""
    if key == "picture" and isinstance(value, str):
        return [line.split() for line in value.strip().split("\n")]
    if _is_table(value):
        return {name: _as_said(inner, name) for name, inner in value.items()}
    return [_as_said(inner) for inner in value] if isinstance(value, list) else value
