"""What can be put together of damaged files: lines set right, changes one behind another, changes behind a gap.

A line knows what it follows, so whatever can be read of a file, of the one before it and of its copies is laid end to
end. Where a line is lost for good, those behind it are taken too as long as nothing speaks against them: a tap is
something of its own, with an id and a number that nothing else has, facts are set key by key, and an edited plan says
with its counts all that it begins with. So what is lost is what stood in the gap, and no more.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from hashlib import blake2b
from pathlib import Path

from tracker.store.disk import StoreFault
from tracker.store.records import Document, Entry, FileState, Log, fresh_history, is_sound, parse_log, read_log

LEAP = 1_000_000
"""Added to the version of a mended file: more than the number of changes that may have been lost from it, so that
a page which saw those changes still takes what comes now for newer."""
LONGEST_SET_RIGHT = 4096
"""Bytes of a line in which a wrong bit is looked for: the work grows with the square of them."""
MOST_TRIED = 200_000
"""Bits turned in all, for one file: half a second."""


@dataclass(frozen=True)
class Gap:
    """Changes that are missing between others. `missing`: how many, None where that cannot be known. `since`, `until`:
    the days (ISO) of the changes before and after. `plan`: whether the plan was edited in them."""

    missing: int | None
    since: str
    until: str
    plan: bool


@dataclass
class Mended:
    """What could be put together of a file, and what is known to be missing.

    `whole`: every change that the damaged file shows any trace of is there. `lost`: so many changes at least are
    missing behind the last that is there. `gaps`: what is missing before it; `behind` changes were taken behind them.
    `alone`: no copy was needed or there was none.
    """

    state: FileState
    whole: bool = False
    lost: int = 0
    gaps: list[Gap] = field(default_factory=list)
    behind: int = 0
    alone: bool = False


def mend(log: Log | None, others: Iterable[Path]) -> Mended | None:
    """The latest state that follows from any snapshot in the file or its other copies.

    Takes what was read of the file itself (None where it is missing) and the copies, the best first. None where no
    snapshot can be read at all.
    """
    own = _set_right(log) if log else None
    logs = [own] if own else []
    for path in others:
        # A copy that cannot be read, or is of a newer format, cannot help.
        with contextlib.suppress(OSError, StoreFault):
            logs.append(_set_right(read_log(path)))
    changes = _changes(logs)
    following = {entry.follows: entry for entry in reversed(changes)}
    mended: Mended | None = None
    # Of equal ones that which has its first line: it knows when the quilt was made.
    for source in sorted(logs, key=lambda each: each.header is None):
        if source.base is not None:
            state = _replay(source.base, following)
            if mended is None or state.version > mended.state.version:
                mended = Mended(state)
    if mended is None:
        return None
    state = mended.state
    for chain in _chains(changes, own, state.version):
        _run_on(mended, chain)
    headers = [each.header for each in logs if each.header]
    seen = [state.version, *(each.version for each in headers), *(each.version for each in changes)]
    mended.lost = max(seen) - state.version
    mended.whole = own is not None and own.end == state.last and not (mended.lost or mended.gaps)
    mended.alone = len(logs) == 1
    state.made = state.made or max((each.made for each in headers), default=0)
    state.version += LEAP
    state.last = fresh_history()
    return mended


def _changes(logs: Iterable[Log]) -> list[Entry]:
    """All changes that can be read and are this file's, each once, those of the best source first."""
    found: dict[str, Entry] = {}
    for source in logs:
        for entry in source.entries + source.later:
            if entry.of in ("", source.path.stem):
                found.setdefault(entry.check, entry)
    return list(found.values())


def _replay(state: FileState, following: dict[str, Entry]) -> FileState:
    while (entry := following.get(state.last)) is not None and entry.version > state.version:
        state.apply(entry)
    return state


# Behind a gap


def _chains(changes: Iterable[Entry], own: Log | None, version: int) -> Iterator[list[Entry]]:
    """Changes beyond a version that follow one another, in the order of their versions.

    Each line also says what the version before it was, so of two chains that touch or overlap only one can be of this
    history: the file's own goes before those of copies, then the longer.
    """
    left = {entry.follows: entry for entry in reversed(list(changes)) if entry.version > version}
    behind = {entry.check for entry in left.values()}
    ours = {entry.check for entry in own.entries + own.later} if own else set()
    chains = []
    for entry in left.values():
        if entry.follows not in behind:
            chain = [entry]
            while (after := left.get(chain[-1].check)) is not None and after.version > chain[-1].version:
                chain.append(after)
            chains.append(chain)
    chains.sort(key=lambda each: (each[0].check not in ours, -len(each), each[0].version))
    taken = [(0, version)]
    accepted = []
    for chain in chains:
        first, last = chain[0].version - 1, chain[-1].version
        if all(last < start or end < first for start, end in taken):
            taken.append((first, last))
            accepted.append(chain)
    yield from sorted(accepted, key=lambda each: each[0].version)


def _run_on(mended: Mended, chain: list[Entry]) -> None:
    """Make the changes of a chain behind a gap; not where they would write over a tap that is there."""
    state, first = mended.state, chain[0]
    taps = state.tables.get("taps", {})
    ids = {tap.get("id") for tap in taps.values()}
    for number, tap in _taps(chain):
        if number in taps or tap.get("id") in ids:
            return
    missing = first.version - 1 - state.version
    edited = bool(first.plan) and first.plan != state.plan_mark
    mended.gaps.append(Gap(missing if missing < LEAP else None, state.day, first.day, edited))
    mended.behind += len(chain)
    for entry in chain:
        state.apply(entry)


def _taps(chain: Iterable[Entry]) -> Iterator[tuple[str, Document]]:
    for entry in chain:
        yield from entry.by_table().get("taps", {}).items()


# One wrong bit


def _set_right(log: Log) -> Log:
    """The file read again with each line set right that has one wrong bit; as it was where that cannot be done."""
    if log.sound:
        return log
    with contextlib.suppress(OSError, StoreFault):
        return parse_log(set_right(log.path.read_bytes()), log.path)
    return log


def set_right(data: bytes) -> bytes:
    """The bytes of a file with each line as it was written that differs from that in one bit: its check proves it.

    A bit may also have made a line's end or unmade one. Long lines are left, and all once enough was tried.
    """
    done: list[bytes] = []
    left = MOST_TRIED
    for raw in data.split(b"\n"):
        if not raw or is_sound(raw):
            done.append(raw)
            continue
        if done and not is_sound(done[-1]) and (joined := _joined(done[-1], raw)):
            done[-1] = joined
            continue
        tried = 8 * len(raw)
        if len(raw) <= LONGEST_SET_RIGHT and tried <= left:
            left -= tried
            raw = _parted(raw) or _turned(raw) or raw
        done.append(raw)
    return b"\n".join(done)


_ENDS = bytes(ord("\n") ^ 1 << bit for bit in range(8))
"""What a line's end becomes when one of its bits is turned."""


def _joined(one: bytes, other: bytes) -> bytes | None:
    """Two halves of a line that a letter parted which has become a line's end."""
    return next((whole for end in _ENDS if is_sound(whole := one + bytes([end]) + other)), None)


def _parted(raw: bytes) -> bytes | None:
    """Two lines whose end between them has become a letter; or one whose own end has."""
    for place in (place for place, letter in enumerate(raw) if letter in _ENDS):
        one, other = raw[:place], raw[place + 1 :]
        if is_sound(one) and (not other or is_sound(other)):
            return one + b"\n" + other
    return None


def _turned(raw: bytes) -> bytes | None:
    """The line with the one bit turned that makes it sound; None where there is none such."""
    check = blake2b(raw[17:], digest_size=8).hexdigest().encode("ascii")
    mended = check + b" " + raw[17:]
    if sum((a ^ b).bit_count() for a, b in zip(raw[:17], mended[:17], strict=False)) == 1:
        return mended
    rest = bytearray(raw[17:])
    for place in range(len(rest)):
        for bit in range(8):
            rest[place] ^= 1 << bit
            if blake2b(rest, digest_size=8).hexdigest().encode("ascii") == raw[:16]:
                return raw[:17] + bytes(rest)
            rest[place] ^= 1 << bit
    return None
