"""Spoil backups in many ways and bring them back, by the page and by the command.

    python tests/mutate_backups.py 500

prints `backups 500, refused R, restored S, faults 0, tracebacks 0, most memory M MB`. Each is a right backup in which
values of a quilt or of the index were changed, the sha256 set right again; or bytes of it changed. What is restored is
looked at on every screen of the quilt: a fault is an answer of 500 or more. Memory is what this process grew by.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import logging
import random
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from visitors import Quilt, Visitor, add_quilt, room_of

from tracker.cli import main as command
from tracker.safekeeping.backup import make_backup
from tracker.store import records
from tracker.store.quilts import Store

SCREENS = ("", "/steps", "/step", "/blocks", "/blocks/1", "/now", "/seam", "/plan", "/latest", "/labels", "/cutting",
           "/shopping", "/compare", "/layout", "/ahead.json", "/counts.json", "/changes?since=0&view=list")  # fmt: skip
ODD: list[Any] = [
    *(None, True, 0, -1, 1, 10**18, 10**30, "", "x", "x" * 20_000, "\ud800", "\x00\x1b[2J", "½ “ü”", "../../etc"),
    *(
        "0001-01-01T00:00:00",
        "9999-12-31T23:59:59-12:00",
        "2026-11-25",
        [],
        {},
        [[]],
        [1, "2"],
        {"1": {}},
        ["S"] * 1000,
    ),
    [0] * 200_000,
]


@dataclass
class Result:
    """What came of all of them."""

    backups: int = 0
    refused: int = 0
    restored: int = 0
    faults: int = 0
    tracebacks: int = 0
    megabytes: int = 0

    def __str__(self) -> str:
        return (
            f"backups {self.backups}, refused {self.refused}, restored {self.restored}, faults {self.faults},"
            f" tracebacks {self.tracebacks}, most memory {self.megabytes} MB"
        )


def _places(value: Any) -> list[tuple[Any, Any]]:
    """Every place in a JSON value where something stands: (what holds it, its key)."""
    found: list[tuple[Any, Any]] = []
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in pairs:
        found += [(value, key), *_places(inner)]
    return found


def _changed(value: Any, chance: random.Random) -> None:
    """Something in a JSON value is another thing, is missing, or there is more."""
    places = _places(value)
    holder, key = chance.choice(places)
    way = chance.randrange(4)
    if way == 0 and isinstance(holder, dict):
        del holder[key]
    elif way == 1 and isinstance(holder, dict):
        holder[chance.choice(("new", "at", "blocks", "counts", "text", "plan", "title", "\udc00"))] = chance.choice(ODD)
    elif way == 2:
        holder[key] = chance.choice(places)[0]
        with contextlib.suppress(ValueError):  # a circle is none of JSON's
            json.dumps(value)
            return
        holder[key] = None
    else:
        holder[key] = chance.choice(ODD)


def _line(body: Any, follows: str) -> tuple[str, bytes]:
    return records._line(follows, body)


def spoiled(data: bytes, chance: random.Random) -> bytes:
    """A backup with something wrong in it."""
    if chance.random() < 0.15:
        place = chance.randrange(len(data))
        return data[:place] + bytes([chance.randrange(256)]) + data[place + chance.choice((0, 1, 1, 40)) :]
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    index = json.loads(files.pop("backup.json"))
    name = next(name for name in files if name.startswith("quilts/"))
    header, tables = (json.loads(raw.split(b" ", 2)[2]) for raw in files[name].splitlines()[:2])
    change: Callable[[], None] = chance.choice(
        (lambda: _changed(header, chance), *[lambda: _changed(tables, chance)] * 6, lambda: None)
    )
    change()
    check, first = _line(header, "-")
    files[name] = first + _line(tables, check)[1]
    if chance.random() < 0.1:
        body = {"version": 99, "day": "", "table": "taps", "how": "put", "documents": {"99": {"id": "late"}}}
        _changed(body, chance)
        files[name] += _line(body, str(header.get("last")))[1]
    if chance.random() < 0.1:
        files[chance.choice(("quilts/../x.quilt", "quilts/abc234.quilt", "plans/\u2028", "other"))] = files[name]
    index["files"] = [{"name": each, "sha256": sha256(content).hexdigest()} for each, content in files.items()]
    if chance.random() < 0.1:
        _changed(index, chance)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for each, content in {"backup.json": json.dumps(index).encode(), **files}.items():
            archive.writestr(each, content)
    return out.getvalue()


def _peak() -> int:
    status = Path("/proc/self/status").read_text()
    return int(next(line for line in status.splitlines() if line.startswith("VmHWM")).split()[1]) // 1024


def _by_page(folder: Path, data: bytes, quilt_id: str, result: Result) -> None:
    """Sent, agreed to, and looked at."""
    with Store.open(folder) as store:
        phone = Visitor(room_of(store))
        answer = phone.client.post(
            "/room/restore",
            data={"file": (io.BytesIO(data), "b.zip")},
            headers={"Host": phone.host, "Origin": f"http://{phone.host}"},
            environ_base={"REMOTE_ADDR": phone.address},
        )
        page = answer.get_data(as_text=True)
        result.faults += answer.status_code >= 500
        if answer.status_code != 200:
            result.refused += 1
            return
        mark, action = (
            page.partition(start)[2].partition('"')[0] for start in ('name="seen" value="', 'action="/room/restore/')
        )
        done = phone.post(f"/room/restore/{action}", {"seen": mark, "quilt": quilt_id})
        result.faults += done.status_code >= 500
        result.restored += done.status_code == 200
        for path in ("/", "/room", *(f"/quilts/{quilt_id}{screen}" for screen in SCREENS)):
            result.faults += phone.get(path).status_code >= 500


def run(folder: Path, backups: int, seed: int) -> Result:
    """So many spoiled backups."""
    chance, result = random.Random(seed), Result()
    with Store.open(folder / "first") as store:
        sewing = Quilt(Visitor(room_of(store)), add_quilt(store))
        for title in ("Cut lamp red", "Cut pale sand"):
            sewing.tap(title)
        sewing.stored.append({"id": "note-1", "do": "note", "text": "grey thread", "at": "2026-11-25T09:00:00+00:00"})
        sewing.stored.set_about(
            pace={"sample_first": True, "batch": 1},
            setup={"thread": "grey"},
            seam_test={"middle": "1 1/2", "at": "2026-11-25T09:00:00+00:00"},
            former_plans=[{"plan": "x", "until": "2026-11-25T09:00:00+00:00"}],
        )
        data, quilt_id = make_backup(store), sewing.stored.id
    before = _peak()
    for number in range(backups):
        wrong = spoiled(data, chance)
        place = folder / str(number)
        place.mkdir()
        _by_page(place / "page", wrong, quilt_id, result)
        (place / "b.zip").write_bytes(wrong)
        try:
            with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()) as said:
                command(["restore", str(place / "b.zip"), "--data", str(place / "command"), "--yes"])
            result.tracebacks += "Traceback" in said.getvalue()
        except Exception as error:  # what would reach her as a traceback
            print(f"{number}: {type(error).__name__}: {error}", file=sys.stderr)
            result.tracebacks += 1
        result.backups += 1
    result.megabytes = _peak() - before
    return result


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("backups", type=int, nargs="?", default=500)
    parser.add_argument("--seed", type=int, default=int(time.time()))
    given = parser.parse_args()
    logging.getLogger("tracker").setLevel(logging.CRITICAL)
    with tempfile.TemporaryDirectory() as folder:
        result = run(Path(folder), given.backups, given.seed)
    print(result)
    print(f"(seed {given.seed})")
    return 1 if result.faults or result.tracebacks or not result.restored else 0


if __name__ == "__main__":
    sys.exit(main())
