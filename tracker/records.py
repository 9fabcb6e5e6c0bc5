"""How a file of the store is written and read: a snapshot, then one line for each change, every line checked.

    check follows {"format": 1, "name": ..., "made": ..., "version": ..., "last": ..., "day": ...}
    check follows {"about": {...}, "taps": {...}}
    check follows {"version": ..., "day": ..., "table": ..., "how": "put", "documents": {...}}
    check follows {..., "table": "", "how": "merge", "documents": {"about": {...}, "taps": {...}}}
    ...

`check` covers the rest of its line. `follows` is the check of the change before it, so that a line can be taken
only where it belongs: lines of an older copy may fill a gap, lines of another history may not. The first line keeps
its shape in every format, so that an older program can say that a file is too new for it.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import blake2b
from pathlib import Path
from typing import Any

from tracker.disk import StoreFault

Document = dict[str, Any]
Tables = dict[str, dict[str, Document]]

FORMAT = 1
MIGRATIONS: dict[int, Callable[[Tables], Tables]] = {}
"""From each older format to the next: takes all tables of a file and gives them as the next format has them."""

LARGEST = 2**63 - 1
DEEPEST = 40


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

    def by_table(self) -> Tables:
        """The changed documents of each table."""
        return {self.table: self.documents} if self.table else self.documents


@dataclass
class State:
    """All that a file says. `version` grows with each change; `last` is what the next change has to follow."""

    name: str
    made: int
    version: int
    last: str
    day: str
    tables: Tables = field(default_factory=dict)
    format: int = field(default_factory=lambda: FORMAT)

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


def _unline(raw: bytes) -> tuple[str, str, Any] | None:
    """(check, follows, body) of a line without its end, or None where it is not as it was written."""
    check, _, rest = raw.partition(b" ")
    if _check(rest).encode("ascii") != check:
        return None
    follows, _, body = rest.partition(b" ")
    try:
        return check.decode("ascii"), follows.decode("ascii"), json.loads(body)
    except (ValueError, RecursionError):
        return None


def entry_line(state: State, day: str, table: str, how: str, documents: dict[str, Document]) -> tuple[Entry, bytes]:
    """The next change of a state, and the line that records it."""
    version = state.version + 1
    body = {"version": version, "day": day, "table": table, "how": how, "documents": documents}
    check, line = _line(state.last, body)
    return Entry(check, state.last, version, day, table, how, documents), line


def snapshot(state: State) -> bytes:
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
    if read is None:
        return None
    check, follows, body = read
    try:
        return Entry(check, follows, body["version"], body["day"], body["table"], body["how"], body["documents"])
    except (KeyError, TypeError):
        return None


def _header(raw: bytes, path: Path) -> tuple[str, State] | None:
    """(check, state without tables); StoreFault "newer" where the file is of a later format."""
    read = _unline(raw)
    if read is None or not isinstance(read[2], dict) or type(read[2].get("format")) is not int:
        return None
    check, _, body = read
    if body["format"] > FORMAT:
        raise StoreFault("newer", path=path, found=body["format"], known=FORMAT)
    try:
        state = State(body["name"], body["made"], body["version"], body["last"], body["day"], format=body["format"])
    except KeyError:
        return None
    return (check, state) if state.name == path.stem else None


@dataclass
class Log:
    """What could be read of a file.

    `base` is the snapshot, None where it is damaged; `entries` are the changes that follow it one from another, in
    order; `later` those that can be read and do not follow. `good_size` is where the last of `entries` ends. `torn`:
    something unfinished comes after it, and nothing else. `damaged`: the number of the first line, from 1, that is
    finished and wrong, or 0. `ended`: the last line is finished and can be read.
    """

    path: Path
    base: State | None = None
    entries: list[Entry] = field(default_factory=list)
    later: list[Entry] = field(default_factory=list)
    good_size: int = 0
    torn: bool = False
    damaged: int = 0
    ended: bool = False

    @property
    def version(self) -> int:
        """The version after `entries`; 0 without a snapshot."""
        if self.entries:
            return self.entries[-1].version
        return self.base.version if self.base else 0

    @property
    def sound(self) -> bool:
        return self.base is not None and not self.damaged

    @property
    def highest(self) -> int:
        """The highest version that anything in the file speaks of."""
        return max([self.version, *(entry.version for entry in self.later)])


def read_log(path: Path) -> Log:
    """Read a file as far as it can be read. OSError where it cannot be opened; StoreFault "newer"."""
    return parse_log(path.read_bytes(), path)


def parse_log(data: bytes, path: Path) -> Log:
    """What the bytes of a file say, as far as they can be read; the path gives its name. StoreFault "newer"."""
    *lines, rest = data.split(b"\n")
    log = Log(path, ended=not rest)
    header = _header(lines[0], path) if lines else None
    tables = _unline(lines[1]) if header and len(lines) > 1 else None
    if header and tables and tables[1] == header[0]:
        log.base = header[1]
        log.base.tables = tables[2]
        log.good_size = len(lines[0]) + len(lines[1]) + 2
    else:
        log.damaged = 2 if header else 1
    last = log.base.last if log.base else None
    for number, raw in enumerate(lines[2:] if log.base else lines, 3 if log.base else 1):
        entry = _entry(raw)
        log.ended = entry is not None and not rest
        if entry is None:
            log.damaged = log.damaged or number
        elif log.damaged or entry.follows != last:
            log.damaged = log.damaged or number
            log.later.append(entry)
        else:
            log.entries.append(entry)
            log.good_size += len(raw) + 1
            last = entry.check
    log.torn = bool(rest) and not log.damaged
    return log


def read_first_line(path: Path) -> State | None:
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
    last = next((entry for raw in reversed(lines) if (entry := _entry(raw))), None)
    return max(header.version if header else 0, last.version if last else 0)


def migrate(state: State) -> bool:
    """Bring an older state to the present format, in place; True where it was older."""
    older = state.format < FORMAT
    while state.format < FORMAT:
        state.tables = MIGRATIONS[state.format](state.tables)
        state.format += 1
    if older:
        # What older copies say can no longer be added to it line by line.
        state.version, state.last = state.version + 1, fresh_history()
    return older
