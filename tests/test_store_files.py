"""The store's files: their format and its changes, what a tap costs, and the rest of TinyDB on them."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from storing import contents, open_store, tap
from tinydb import where

from tracker.store import journal, records
from tracker.store.quilts import StoreFault


def test_a_file_of_a_newer_format_is_refused_and_nothing_is_touched(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(records, "FORMAT", 2)
    monkeypatch.setattr(records, "MIGRATIONS", {1: lambda tables: tables})
    with open_store(tmp_path) as store:
        quilt_id = store.add({"title": "a"}).id
    monkeypatch.undo()
    (tmp_path / ".left.behind.tmp").write_bytes(b"half")
    before = contents(tmp_path)
    with pytest.raises(StoreFault) as caught:
        open_store(tmp_path)
    assert caught.value.kind == "newer"
    assert "file format 2; this one reads up to 1" in caught.value.sentence
    assert contents(tmp_path) == before
    assert (tmp_path / f"{quilt_id}.quilt").exists()


def test_a_file_of_an_older_format_is_brought_up_to_date(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_store(tmp_path) as store:
        quilt = store.add({"name": "Lighthouse"})
        quilt.append({"id": "a", "times": 1})
        quilt.set_about(demo=True)
        version = quilt.version
    old = (tmp_path / f"{quilt.id}.quilt").read_bytes()

    def rename(tables: records.Tables) -> records.Tables:
        about = dict(tables["about"]["1"])
        about["title"] = about.pop("name", "")
        return {**tables, "about": {"1": about}}

    def count(tables: records.Tables) -> records.Tables:
        return {**tables, "taps": {number: {**found, "by": 1} for number, found in tables["taps"].items()}}

    monkeypatch.setattr(records, "FORMAT", 3)
    monkeypatch.setattr(records, "MIGRATIONS", {1: rename, 2: count})
    for _ in range(2):
        with open_store(tmp_path) as store:
            assert store.findings == []
            again = store.quilt(quilt.id)
            assert again.about == {"title": "Lighthouse", "demo": True}
            assert again.taps[0] == {"id": "a", "times": 1, "by": 1}
            assert again.version > version
            again.append({"id": "b", "times": 1, "by": 1})
    assert len(again.taps) == 2
    assert (tmp_path / "former" / f"{quilt.id}.quilt").read_bytes() == old


def test_a_tap_costs_one_line_however_many_there_are(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[int] = []
    write: Callable[[int, bytes], int] = os.write

    def counted(descriptor: int, data: bytes) -> int:
        written.append(len(data))
        return write(descriptor, data)

    with open_store(tmp_path) as store:
        quilt = store.add({"plan": "x" * 10_000}, taps=[tap(number) for number in range(20_000)])
        monkeypatch.setattr(os, "write", counted)
        for number in range(20_000, 20_100):
            quilt.append(tap(number))
        quilt.set_about(note="short")
    assert len(written[:101]) == 101
    assert max(written[:101]) < 250


def test_a_long_journal_is_written_anew_ever_more_rarely(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal, "BOUND", 10)
    anew: list[int] = []
    with open_store(tmp_path) as store:
        quilt = store.add({})
        file = tmp_path / f"{quilt.id}.quilt"
        identity = file.stat().st_ino
        for number in range(1, 500):
            quilt.append(tap(number))
            if file.stat().st_ino != identity:
                identity = file.stat().st_ino
                anew.append(number)
    assert anew[0] == 10
    assert 4 <= len(anew) <= 7, anew
    with open_store(tmp_path) as store:
        assert len(store.quilt(quilt.id).taps) == 499


def test_a_long_journal_is_written_anew_at_opening(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_store(tmp_path) as store:
        quilt = store.add({})
        for number in range(30):
            quilt.append(tap(number))
        version = quilt.version
    monkeypatch.setattr(journal, "BOUND", 10)
    with open_store(tmp_path) as store:
        assert (tmp_path / f"{quilt.id}.quilt").read_bytes().count(b"\n") == 2
        assert len(store.quilt(quilt.id).taps) == 30
        assert store.quilt(quilt.id).version == version


def test_the_rest_of_tinydb_works_on_these_files(tmp_path: Path) -> None:
    """Everything else that TinyDB offers goes by whole snapshots, and is as durable."""
    with open_store(tmp_path) as store:
        quilt = store.add({})
        table = quilt._table
        quilt.append_all([tap(1), tap(2), tap(3)])
        assert [found["id"] for found in table.search(where("times") >= 2)] == ["tap-2", "tap-3"]
        table.update({"times": 9}, where("id") == "tap-2")
        assert table.remove(doc_ids=[1]) == [1]
        assert table.insert({"id": "after"}) == 4
        with pytest.raises(ValueError, match="already exists"):
            table.insert(table.all()[0])
        before = quilt.version
    with open_store(tmp_path) as store:
        again = store.quilt(quilt.id)
        assert [found["id"] for found in again.taps] == ["tap-2", "tap-3", "after"]
        assert again.taps[0]["times"] == 9
        assert again.version == before
        assert again.append(tap(1))
