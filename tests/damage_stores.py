"""Damage stores in many ways and open them: what was kept of what could be, and that none was found unreadable.

    python tests/damage_stores.py 250

prints `stores 250, taps kept K of K that could be, strange 0, unreadable 0, not told 0`. Each store has two quilts of
several days; then bits are flipped, lines spoiled, cut off, swapped, doubled or taken from the other quilt, files and
copies removed, copies dated in the future, links laid among them. A tap could be kept where its line, or a snapshot
with it, is whole anywhere in the quilt's file, the one before it or its copies (a line with one wrong bit counts as
whole), and a snapshot stands in one of them. Strange is a tap that is not the quilt's, or not in order; not told a
quilt of which taps are missing without a word, although its file or a copy shows that they are (one cut off just behind
a line shows nothing, nor one of which nothing remains).
"""

from __future__ import annotations

import argparse
import logging
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tracker.store import journal
from tracker.store.histories import set_right
from tracker.store.quilts import Store
from tracker.store.records import parse_log

FIRST = date(2026, 11, 20)
IDS = ("k3f9p2", "m4g8q3")
Lines = list[bytes]


@dataclass
class Result:
    """What came of all of them."""

    stores: int = 0
    kept: int = 0
    could_be: int = 0
    strange: int = 0
    unreadable: int = 0
    not_told: int = 0
    ways: Counter[str] = field(default_factory=Counter)

    def __str__(self) -> str:
        return (
            f"stores {self.stores}, taps kept {self.kept:,} of {self.could_be:,} that could be, strange {self.strange},"
            f" unreadable {self.unreadable}, not told {self.not_told}"
        )


def sewn(folder: Path, chance: random.Random) -> dict[str, list[str]]:
    """A store of some days; the ids of each quilt's taps, in order."""
    taps: dict[str, list[str]] = {quilt_id: [] for quilt_id in IDS}
    for day in range(chance.randint(1, 4)):
        with Store.open(folder, today=lambda: FIRST + timedelta(days=day)) as store:  # noqa: B023
            for quilt_id in IDS:
                there = any(quilt.id == quilt_id for quilt in store.quilts())
                about = {"title": quilt_id, "plan": f"plan of {quilt_id}"}
                quilt = store.quilt(quilt_id) if there else store.add(about, wanted_id=quilt_id)
                for _ in range(chance.randint(1, 25)):
                    number = len(taps[quilt_id])
                    ids = [f"{quilt_id}-{number + more}" for more in range(chance.choice((1, 1, 1, 3)))]
                    if chance.random() < 0.1:
                        ids = ids[:1]
                        quilt.append_with({"id": ids[0], "do": "carried"}, plan=f"plan {number} of {quilt_id}")
                    else:
                        quilt.append_all([{"id": name, "do": "done", "step": "S cut", "times": 1} for name in ids])
                    taps[quilt_id] += ids
                    if chance.random() < 0.1:
                        quilt.set_about(note=ids[0])
    return taps


def _bit(data: bytes, chance: random.Random, _: bytes) -> bytes:
    place = chance.randrange(len(data))
    return data[:place] + bytes([data[place] ^ 1 << chance.randrange(8)]) + data[place + 1 :]


def _bytes(data: bytes, chance: random.Random, _: bytes) -> bytes:
    place, length = chance.randrange(len(data)), chance.choice((2, 20, 500))
    return data[:place] + bytes(chance.randrange(256) for _ in range(length)) + data[place + length :]


def _cut(data: bytes, chance: random.Random, _: bytes) -> bytes:
    return data[: chance.randrange(len(data))]


def _zeros(data: bytes, chance: random.Random, _: bytes) -> bytes:
    place = chance.randrange(len(data))
    return data[:place] + bytes(len(data) - place)


def _by_lines(change: Callable[[Lines, random.Random, Lines], Lines]) -> Callable[[bytes, random.Random, bytes], bytes]:
    return lambda data, chance, other: b"".join(
        change(data.splitlines(keepends=True), chance, other.splitlines(keepends=True))
    )


def _swapped(lines: Lines, chance: random.Random, _: Lines) -> Lines:
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return lines


def _doubled(lines: Lines, chance: random.Random, _: Lines) -> Lines:
    place = chance.randrange(len(lines))
    return [*lines[: place + 1], *lines[place : place + chance.randint(1, 5)], *lines[place + 1 :]]


def _missing(lines: Lines, chance: random.Random, _: Lines) -> Lines:
    place = chance.randrange(len(lines))
    return lines[:place] + lines[place + chance.randint(1, 5) :]


def _other(lines: Lines, chance: random.Random, other: Lines) -> Lines:
    place = chance.randrange(2, max(3, len(lines)))
    return lines[:place] + other[place : place + chance.randint(1, 9)] + lines[place + chance.randint(1, 9) :]


CONTENTS: dict[str, Callable[[bytes, random.Random, bytes], bytes]] = {
    "a bit": _bit,
    "bytes": _bytes,
    "cut": _cut,
    "zeros": _zeros,
    "swapped lines": _by_lines(_swapped),
    "doubled lines": _by_lines(_doubled),
    "missing lines": _by_lines(_missing),
    "another quilt's lines": _by_lines(_other),
}


def _around(folder: Path, chance: random.Random, outside: Path) -> str:
    """Something done to what lies around the files; what."""
    days = sorted((folder / "copies").iterdir())
    way = chance.choice(("no copies", "newest copies gone", "from the future", "a link", "nothing", "nothing"))
    if way == "no copies":
        for path in (*(folder / "copies").glob("*/*"), *(folder / "former").iterdir()):
            path.unlink()
    elif way == "newest copies gone":
        for path in days[-1].iterdir():
            path.unlink()
    elif way == "from the future":
        days[0].rename(folder / "copies" / "2100-01-01")
    elif way == "a link":
        (folder / "copies" / "2001-01-01").symlink_to(outside)
        for path in days[0].glob("*.quilt"):
            path.unlink()
            path.symlink_to(outside / "precious")
    return way


def _could_be(folder: Path, quilt_id: str) -> set[str]:
    """The taps that stand whole in the quilt's file, the one before it or a copy; none without a snapshot in any."""
    name = f"{quilt_id}.quilt"
    found: set[str] = set()
    begun = False
    for path in (folder / name, folder / "former" / name, *(folder / "copies").glob(f"*/{name}")):
        if path.is_symlink() or not path.is_file():
            continue
        log = parse_log(set_right(path.read_bytes()), path)
        if log.base is not None:
            begun = True
            found |= {tap["id"] for tap in log.base.tables.get("taps", {}).values()}
        for entry in log.entries + log.later:
            found |= {tap["id"] for tap in entry.by_table().get("taps", {}).values()}
    return {name for name in found if begun and name.startswith(quilt_id)}


def _shows(folder: Path, quilt_id: str) -> bool:
    """Whether it can be seen that a quilt's file is not as it was."""
    path = folder / f"{quilt_id}.quilt"
    copies = [each for each in (folder / "copies").glob(f"*/{path.name}") if not each.is_symlink()]
    if not path.is_file():
        return bool(copies)
    log = parse_log(path.read_bytes(), path)
    return log.torn or not log.sound or any(parse_log(each.read_bytes(), each).version > log.version for each in copies)


def one(folder: Path, chance: random.Random, result: Result) -> None:
    """Make a store, damage it, open it twice, and look."""
    outside = folder / "outside"
    outside.mkdir()
    (outside / "precious").write_bytes(b"not ours")
    room = folder / "room"
    taps = sewn(room, chance)
    ways = [_around(room, chance, outside)]
    for quilt_id, other in zip(IDS, reversed(IDS), strict=True):
        path = room / f"{quilt_id}.quilt"
        if chance.random() < 0.1:
            path.unlink()
            ways.append("no file")
            continue
        for _ in range(chance.choice((0, 1, 1, 2))):
            way = chance.choice(list(CONTENTS))
            theirs = room / f"{other}.quilt"
            spoiled = CONTENTS[way](path.read_bytes() or b"x", chance, theirs.read_bytes() if theirs.exists() else b"")
            path.write_bytes(spoiled)
            ways.append(way)
    result.ways.update(ways)
    could_be = {quilt_id: _could_be(room, quilt_id) for quilt_id in IDS}
    shows = {quilt_id: _shows(room, quilt_id) for quilt_id in IDS}
    for day in (5, 6):
        with Store.open(room, today=lambda: FIRST + timedelta(days=day)) as store:  # noqa: B023
            there = {quilt.id: [tap["id"] for tap in quilt.taps] for quilt in store.quilts()}
            told = " ".join(notice.file for notice in store.notices())
    for quilt_id in IDS:
        kept = there.get(quilt_id, [])
        result.kept += len(could_be[quilt_id] & set(kept))
        result.could_be += len(could_be[quilt_id])
        result.strange += kept != [name for name in taps[quilt_id] if name in set(kept)]
        result.unreadable += quilt_id not in there and bool(could_be[quilt_id])
        result.not_told += len(kept) < len(taps[quilt_id]) and shows[quilt_id] and quilt_id not in told
    result.strange += (outside / "precious").read_bytes() != b"not ours"
    result.stores += 1


def run(folder: Path, stores: int, seed: int) -> Result:
    """So many stores in the folder."""
    chance, result = random.Random(seed), Result()
    for number in range(stores):
        place = folder / str(number)
        place.mkdir()
        journal.BOUND = chance.choice((15, 5_000))
        one(place, chance, result)
    return result


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("stores", type=int, nargs="?", default=250)
    parser.add_argument("--seed", type=int, default=int(time.time()))
    given = parser.parse_args()
    logging.getLogger("tracker").setLevel(logging.ERROR)
    with tempfile.TemporaryDirectory() as folder:
        result = run(Path(folder), given.stores, given.seed)
    print(result)
    print(f"({', '.join(f'{way} {number}' for way, number in sorted(result.ways.items()))}; seed {given.seed})")
    return 1 if result.strange or result.unreadable or result.not_told else 0


if __name__ == "__main__":
    sys.exit(main())
