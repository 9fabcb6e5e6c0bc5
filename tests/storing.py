"""What the tests of the store share: a folder with something in it, and what is there after a restart."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from tracker.store import journal
from tracker.store.quilts import DiskFinding, Store, StoreFault

DAY = date(2026, 11, 25)
NEXT = DAY + timedelta(days=1)
FORMER = Path(__file__).parent / "frozen" / "folders" / "first" / "data"
"""A folder as the version before wrote it."""


def open_store(folder: Path, day: date = DAY) -> Store:
    return Store.open(folder, today=lambda: day)


def tap(number: int) -> dict[str, Any]:
    return {"id": f"tap-{number}", "step": "S cut", "times": number}


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def filled(folder: Path, taps: int = 12) -> Path:
    """A folder with one quilt, closed cleanly; gives the quilt's file."""
    with open_store(folder) as store:
        quilt = store.add({"title": "Lighthouse", "plan": "a plan"}, wanted_id="k3f9p2")
        for number in range(taps):
            quilt.append(tap(number))
        quilt.set_about(note="n")
    return folder / "k3f9p2.quilt"


def without_copies(folder: Path) -> None:
    shutil.rmtree(folder / "copies")
    shutil.rmtree(folder / "former")


def damage_line(file: Path, number: int) -> None:
    """Spoil one line (from 1) of a file."""
    lines = file.read_bytes().splitlines(keepends=True)
    lines[number - 1] = lines[number - 1].replace(b'"', b"'", 1)
    file.write_bytes(b"".join(lines))


def kinds(findings: list[DiskFinding]) -> list[str]:
    return [finding.kind for finding in findings]


def reopened(folder: Path) -> tuple[list[DiskFinding], list[dict[str, Any]], int]:
    """Findings, taps and version of the only quilt; and that it can be gone on with and opened again in peace."""
    with open_store(folder, NEXT) as store:
        (quilt,) = store.quilts()
        findings, taps, version = store.findings, list(quilt.taps), quilt.version
        assert quilt.append({"id": "afterwards"})
    with open_store(folder, NEXT) as store:
        assert store.findings == []
        assert list(store.quilts()[0].taps) == [*taps, {"id": "afterwards"}]
        assert store.quilts()[0].version == version + 1
    return findings, taps, version


def full(storage: journal.JournalStorage, keep_former: bool = True) -> None:
    raise StoreFault("full", folder=storage.path.parent)


def sewn(folder: Path, edited: bool = True) -> Path:
    """A quilt whose file has: the snapshot (2 lines), 4 taps, facts, an edit of the plan, 3 taps at once, 5 taps; no
    copies. Gives the file."""
    with open_store(folder) as store:
        quilt = store.add({"title": "Lighthouse", "plan": "a plan"}, wanted_id="k3f9p2")
        quilt.append_all([])
        for number in range(4):
            quilt.append(tap(number))
        quilt.set_about(pace={"sample_first": True})
        quilt.append_with({"id": "edit"}, **({"plan": "another plan"} if edited else {"title": "Pier"}))
        quilt.append_all([tap(number) for number in range(4, 7)])
        for number in range(7, 12):
            quilt.append(tap(number))
    without_copies(folder)
    return folder / "k3f9p2.quilt"
