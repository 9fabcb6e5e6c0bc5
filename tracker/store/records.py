"""How a file of the store is written and read: a snapshot, then one line for each change, every line checked.

    check follows {"format": 1, "name": ..., "made": ..., "version": ..., "last": ..., "day": ...}
    check follows {"about": {...}, "taps": {...}}
    check follows {"version": ..., "day": ..., "table": ..., "how": "put", "documents": {...}, "of": ..., "plan": ...}
    check follows {..., "table": "", "how": "merge", "documents": {"about": {...}, "taps": {...}}, ...}
    ...

`check` covers the rest of its line. `follows` is the check of the change before it, so that a line can be taken
only where it belongs: lines of an older copy may fill a gap, lines of another history may not. `of` is the file's name
and `plan` a mark of the plan before the change, so that behind a gap too it is known whose a line is, and whether the
plan was edited in between; lines written before there were these say neither. The first line keeps its shape in every
format, so that an older program can say that a file is too new for it.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from hashlib import blake2b
from pathlib import Path
from typing import Any

from tracker.store.disk import StoreFault

Document = dict[str, Any]
Tables = dict[str, dict[str, Document]]

FORMAT = 1
MIGRATIONS: dict[int, Callable[[Tables], Tables]] = {}
"""From each older format to the next: takes all tables of a file and gives them as the next format has them."""

LARGEST = 2**63 - 1
DEEPEST = 40
FIRST_LINES = 6
"""Among so many a snapshot is taken for the file's own whose first line is lost."""
UNKNOWN_VERSION = 10**9
"""Where a file does not say its version any more: higher than any that was seen."""


def plain(value: object, where: str = "this", depth: int = 0) -> Any:
    """A copy of a JSON value without floats; StoreFault "not storable", naming the place, for anything else."""
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, int):
        if abs(value) > LARGEST:
            raise StoreFault("not storable", where=where, why="the number is too large")
        return int(value)
    if depth > DEEPEST:
        raise StoreFault("not storable", where=where, why="it is nested too deeply")
    if isinstance(value, list | tuple):
        return [plain(item, f"{where}, item {place}", depth + 1) for place, item in enumerate(value, 1)]
    if isinstance(value, dict):
        for key in value:
            if not isinstance(key, str):
                raise StoreFault("not storable", where=where, why=f"the key {key!r} is not text")
        return {key: plain(item, f"{where}, {key}", depth + 1) for key, item in value.items()}
    if isinstance(value, float):
        why = "a float is never exact; give a whole number or text"
    else:
        why = f"a {type(value).__name__} is not text, a whole number, true, false, a list or a table"
    raise StoreFault("not storable", where=where, why=why)


@dataclass(frozen=True)
class Entry:
    """One change: documents of one table, put whole or merged key by key; or of several tables (`table` is empty, and
    `documents` holds for each table its own), merged all together."""

    check: str
    follows: str
    version: int
    day: str
    table: str
    how: str
    documents: dict[str, Document]
    of: str = ""
    plan: str = ""

    def by_table(self) -> Tables:
        """The changed documents of each table."""
        return {self.table: self.documents} if self.table else self.documents


@dataclass
class FileState:
    """All that a file says. `version` grows with each change; `last` is what the next change has to follow."""

    name: str
    made: int
    version: int
    last: str
    day: str
    tables: Tables = field(default_factory=dict)
    format: int = field(default_factory=lambda: FORMAT)
    _marked: tuple[object, str] = field(default=(None, ""), compare=False, repr=False)

    @property
    def plan_mark(self) -> str:
        """What tells one plan text from another; empty where there is no plan."""
        plan = self.tables.get("about", {}).get("1", {}).get("plan")
        if plan is not self._marked[0]:
            text = plan.encode("utf-8", "surrogatepass") if isinstance(plan, str) else b""
            self._marked = plan, blake2b(text, digest_size=4).hexdigest() if text else ""
        return self._marked[1]

    def apply(self, entry: Entry) -> None:
        """Make one change."""
        for name, documents in entry.by_table().items():
            table = self.tables.setdefault(name, {})
            for number, document in documents.items():
                # A merged document is a new one, so that another thread may be reading the old one.
                table[number] = {**table.get(number, {}), **document} if entry.how == "merge" else document
        self.version, self.last, self.day = entry.version, entry.check, entry.day


def fresh_history() -> str:
    """A `last` that no line written before can follow."""
    return secrets.token_hex(8)


def _check(rest: bytes) -> str:
    return blake2b(rest, digest_size=8).hexdigest()


def _line(follows: str, body: object) -> tuple[str, bytes]:
    rest = f"{follows} {json.dumps(body, separators=(',', ':'))}".encode("ascii")
    check = _check(rest)
    return check, check.encode("ascii") + b" " + rest + b"\n"


def is_sound(raw: bytes) -> bool:
    """Whether a line, without its end, is as it was written."""
    return _check(raw[17:]).encode("ascii") == raw[:16] and raw[16:17] == b" "


def _unline(raw: bytes) -> tuple[str, str, Any] | None:
    """(check, follows, body) of a line without its end, or None where it is not as it was written."""
    if not is_sound(raw):
        return None
    check, follows, body = (*raw.split(b" ", 2), b"", b"")[:3]
    try:
        return check.decode("ascii"), follows.decode("ascii"), json.loads(body)
    except (ValueError, RecursionError):
        return None


def entry_line(state: FileState, day: str, table: str, how: str, documents: dict[str, Document]) -> tuple[Entry, bytes]:
    """The next change of a state, and the line that records it."""
    version = state.version + 1
    body = {"version": version, "day": day, "table": table, "how": how, "documents": documents, "of": state.name}
    if state.plan_mark:
        body["plan"] = state.plan_mark
    check, line = _line(state.last, body)
    return Entry(check, state.last, version, day, table, how, documents, state.name, state.plan_mark), line


def snapshot(state: FileState) -> bytes:
    """The first two lines of a file that says what the state says."""
    body = {
        "format": state.format,
        "name": state.name,
        "made": state.made,
        "version": state.version,
        "last": state.last,
        "day": state.day,
    }
    check, first = _line("-", body)
    return first + _line(check, state.tables)[1]


def _entry(raw: bytes) -> Entry | None:
    read = _unline(raw)
    if read is None or not isinstance(read[2], dict):
        return None
    check, follows, body = read
    try:
        entry = Entry(check, follows, *(body[key] for key in ("version", "day", "table", "how", "documents")))
    except KeyError:
        return None
    texts = (entry.day, entry.table, body.get("of", ""), body.get("plan", ""))
    known = entry.how in ("put", "merge") and type(entry.version) is int and all(type(text) is str for text in texts)
    if not known or not isinstance(entry.documents, dict) or not _are_tables(entry.by_table()):
        return None
    return replace(entry, of=texts[2], plan=texts[3])


def _are_tables(value: object) -> bool:
    return isinstance(value, dict) and all(
        isinstance(table, dict) and all(isinstance(document, dict) for document in table.values())
        for table in value.values()
    )


def _header(raw: bytes, path: Path) -> tuple[str, FileState] | None:
    """(check, state without tables); StoreFault "newer" where the file is of a later format."""
    read = _unline(raw)
    if read is None or not isinstance(read[2], dict) or type(read[2].get("format")) is not int:
        return None
    check, _, body = read
    if body["format"] > FORMAT:
        raise StoreFault("newer", path=path, found=body["format"], known=FORMAT)
    kinds = {"name": str, "made": int, "version": int, "last": str, "day": str}
    if body["format"] < 1 or any(type(body.get(key)) is not kind for key, kind in kinds.items()):
        return None
    state = FileState(body["name"], body["made"], body["version"], body["last"], body["day"], format=body["format"])
    return (check, state) if state.name == path.stem else None


@dataclass
class Log:
    """What could be read of a file.

    `base` is the snapshot, None where it is damaged; `header` what its first line says, None where that is damaged.
    `entries` are the changes that follow the snapshot one from another, in order; `later` those that can be read and
    do not follow. `good_size` is where the last of `entries` ends. `torn`: something unfinished comes after it, and
    nothing else. `damaged`: the number of the first line, from 1, that is wrong, or 0. `end`: the check of the last
    line, where that can be read; empty otherwise.
    """

    path: Path
    header: FileState | None = None
    base: FileState | None = None
    entries: list[Entry] = field(default_factory=list)
    later: list[Entry] = field(default_factory=list)
    good_size: int = 0
    torn: bool = False
    damaged: int = 0
    end: str = ""

    @property
    def version(self) -> int:
        """The version after `entries`; 0 without a snapshot."""
        if self.entries:
            return self.entries[-1].version
        return self.base.version if self.base else 0

    @property
    def sound(self) -> bool:
        return self.base is not None and not self.damaged

    def replayed(self) -> FileState | None:
        """The snapshot after the changes that follow it, which are made in it; None without a snapshot."""
        if self.base is not None:
            for entry in self.entries:
                self.base.apply(entry)
        return self.base


def read_log(path: Path) -> Log:
    """Read a file as far as it can be read. OSError where it cannot be opened; StoreFault "newer"."""
    return parse_log(path.read_bytes(), path)


def parse_log(data: bytes, path: Path) -> Log:
    """What the bytes of a file say, as far as they can be read; the path gives its name. StoreFault "newer"."""
    *lines, rest = data.split(b"\n")
    unended = 0
    if rest and is_sound(rest):
        # Whole but for the sign that ends a line: it is taken, and the file is written anew.
        lines.append(rest)
        rest, unended = b"", len(lines)
    log = Log(path)
    _read_snapshot(log, lines)
    last = log.base.last if log.base else None
    for number, raw in enumerate(lines[2:] if log.base else lines, 3 if log.base else 1):
        entry = _entry(raw)
        log.end = entry.check if entry else ""
        if entry is None:
            log.damaged = log.damaged or number
        elif log.damaged or entry.follows != last:
            log.damaged = log.damaged or number
            log.later.append(entry)
        else:
            log.entries.append(entry)
            log.good_size += len(raw) + 1
            last = entry.check
    log.damaged = log.damaged or unended
    log.torn = bool(rest) and not log.damaged
    if rest:
        log.end = ""
    if log.base is None:
        _look_for_snapshot(log, lines)
    return log


def _read_snapshot(log: Log, lines: list[bytes]) -> None:
    header = _header(lines[0], log.path) if lines else None
    tables = _unline(lines[1]) if len(lines) > 1 else None
    log.header = header[1] if header else None
    if header and tables and tables[1] == header[0] and _are_tables(tables[2]):
        log.base = replace(header[1], tables=tables[2])
        log.good_size = len(lines[0]) + len(lines[1]) + 2
    else:
        log.damaged = 2 if header else 1
    log.end = header[1].last if header else ""


def _look_for_snapshot(log: Log, lines: list[bytes]) -> None:
    """A snapshot that is not where it should be is still one. Where its first line is lost, those behind it tell its
    version, if there are any."""
    headers = dict(found for raw in lines if (found := _header(raw, log.path)))
    for at, raw in enumerate(lines, 1):
        read = _unline(raw)
        if read is None or not _are_tables(read[2]) or "about" not in read[2]:
            continue
        if read[1] in headers:
            log.base = replace(headers[read[1]], tables=read[2])
            return
        if at > FIRST_LINES:
            continue
        log.base = FileState(log.path.stem, 0, UNKNOWN_VERSION, fresh_history(), "", read[2])
        behind = ((place, entry) for place, line in enumerate(lines[at:]) if (entry := _entry(line)))
        place, first = next(behind, (0, None))
        if first is not None:
            log.base.version, log.base.day = first.version - 1 - place, first.day
            log.base.last = log.base.last if place else first.follows
        return


def read_first_line(path: Path) -> FileState | None:
    """The header alone (no tables), None where it cannot be read. StoreFault "newer"; OSError."""
    with path.open("rb") as file:
        header = _header(file.readline(4096).rstrip(b"\n"), path)
    return header[1] if header else None


def read_version(path: Path, tail: int = 65536) -> int:
    """The version that a file ends with, read quickly from its two ends: never more than is true; 0 if unreadable."""
    header = read_first_line(path)
    with path.open("rb") as file:
        size = file.seek(0, 2)
        file.seek(max(0, size - tail))
        lines = file.read().split(b"\n")[1:-1]
    entries = (entry for raw in reversed(lines) if (entry := _entry(raw)))
    last = next((entry for entry in entries if entry.of in ("", path.stem)), None)
    return max(header.version if header else 0, last.version if last else 0)


def migrate(state: FileState) -> bool:
    """Bring an older state to the present format, in place; True where it was older."""
    older = state.format < FORMAT
    while state.format < FORMAT:
        state.tables = MIGRATIONS[state.format](state.tables)
        state.format += 1
    if older:
        # What older copies say can no longer be added to it line by line.
        state.version, state.last = state.version + 1, fresh_history()
    return older
