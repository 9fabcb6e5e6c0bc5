"""Dated copies of the store's files: which days, at what cost, and with a clock that cannot be trusted."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from storing import DAY, NEXT, open_store, tap

from tracker.store import records
from tracker.store.copies import DAYS_KEPT
from tracker.store.quilts import Store


def test_copies_are_dated_and_the_last_days_in_use_are_kept(tmp_path: Path) -> None:
    used = [DAY + timedelta(days=3 * number) for number in range(DAYS_KEPT + 6)]
    for number, day in enumerate(used):
        with open_store(tmp_path, day) as store:
            if number == 0:
                quilt, still = store.add({"title": "busy"}), store.add({"title": "still"})
            store.quilt(quilt.id).append(tap(number))
    kept = sorted(path.name for path in (tmp_path / "copies").iterdir())
    assert kept == [day.isoformat() for day in used[-DAYS_KEPT:]]
    names = {path.name for path in (tmp_path / "copies" / kept[0]).iterdir()}
    assert names == {"room.facts", f"{quilt.id}.quilt", f"{still.id}.quilt"}
    for name, number in zip(kept, range(6, 20), strict=True):
        copied = records.read_log(tmp_path / "copies" / name / f"{quilt.id}.quilt")
        assert len(copied.entries) == number + 1
    same = {(tmp_path / "copies" / name / f"{still.id}.quilt").stat().st_ino for name in kept}
    assert len(same) == 1, "an unchanged quilt costs no room"


def test_copies_are_made_when_the_day_changes_under_an_open_store(tmp_path: Path) -> None:
    day = DAY
    with Store.open(tmp_path, today=lambda: day) as store:
        quilt = store.add({})
        quilt.append(tap(1))
        for number in range(2, 6):
            day += timedelta(days=1)
            quilt.append(tap(number))
        copied = [
            len(records.read_log(tmp_path / "copies" / str(DAY + timedelta(days=days)) / f"{quilt.id}.quilt").entries)
            for days in range(5)
        ]
        assert copied == [0, 1, 2, 3, 4], "each as it was before that day's first change"


def test_a_clock_set_back_or_forward_loses_neither_copies_nor_order(tmp_path: Path) -> None:
    for number in range(DAYS_KEPT):
        with open_store(tmp_path, DAY + timedelta(days=number)) as store:
            quilt = store.quilts()[0] if store.quilts() else store.add({})
            quilt.append(tap(number))
    right = {path.name for path in (tmp_path / "copies").iterdir()}
    for number in range(40):
        with open_store(tmp_path, date(2001, 1, 1) + timedelta(days=number)) as store:
            version = store.quilts()[0].version
            assert store.findings == []
            store.quilts()[0].append(tap(100 + number))
            assert store.quilts()[0].version > version
            days = {path.name for path in (tmp_path / "copies").iterdir()}
            assert right < days
            assert len(days) <= 2 * DAYS_KEPT
    with open_store(tmp_path, date(2099, 1, 1)) as store:
        assert len(store.quilts()[0].taps) == DAYS_KEPT + 40
    with open_store(tmp_path, DAY + timedelta(days=20)) as store:
        assert store.findings == []
        assert (tmp_path / "copies" / str(DAY + timedelta(days=20))).is_dir()


@pytest.mark.parametrize("days", [[date(2100, 1, 1)], [date(2100, 1, 1), date(2001, 1, 1)]])
def test_a_clock_once_wrong_leaves_later_copies_of_use(tmp_path: Path, days: list[date]) -> None:
    with open_store(tmp_path, DAY) as store:
        quilt = store.add({"title": "Pier"}, wanted_id="k3f9p2")
        quilt.append(tap(0))
    for day in days:
        with open_store(tmp_path, day) as store:
            store.quilts()[0].append(tap(len(store.quilts()[0].taps)))
    right = DAY + timedelta(days=1)
    with open_store(tmp_path, right) as store:
        quilt = store.quilts()[0]
        version = quilt.version
        quilt.append_all([tap(number) for number in range(50, 60)])
        quilt.set_about(title="Harbour")
        store.add({"title": "later"}, wanted_id="m4g8q3")
        store.delete(store.add({"title": "not wanted"}, wanted_id="z7g8q3").id)
    for damage in (
        lambda path: path.unlink(),
        lambda path: path.write_bytes(b"".join(path.read_bytes().splitlines(True)[:3])),
    ):
        for name in ("k3f9p2.quilt", "m4g8q3.quilt"):
            damage(tmp_path / name)
        with open_store(tmp_path, right + timedelta(days=1)) as store:
            first, second = store.quilts()
            assert (first.about["title"], second.about["title"]) == ("Harbour", "later")
            assert len(first.taps) == 1 + len(days) + 10
            assert first.version > version
            assert [gone.id for gone in store.deleted()] == ["z7g8q3"]


LINKS = {
    "a day's folder": lambda copies, outside: (copies / "2001-01-01").symlink_to(outside),
    "today's folder": lambda copies, outside: (copies / NEXT.isoformat()).symlink_to(outside),
    "a file in a day's folder": lambda copies, outside: (_day(copies, "2001-01-01") / "k3f9p2.quilt").symlink_to(
        outside / "precious"
    ),
    "a folder in a day's folder": lambda copies, outside: (_day(copies, "2001-01-01") / "in").symlink_to(outside),
    "a real folder in a day's folder": lambda copies, outside: (_day(copies, "2001-01-01") / "real").mkdir(),
    "a file with a day's name": lambda copies, outside: (copies / "2001-01-02").write_bytes(b"x"),
}


def _day(copies: Path, name: str) -> Path:
    (copies / name).mkdir()
    return copies / name


@pytest.mark.parametrize("link", LINKS)
def test_links_among_the_copies_are_never_followed(tmp_path: Path, link: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracker.store.copies.DAYS_KEPT", 1)
    outside = tmp_path / "outside"
    outside.mkdir()
    for name in ("precious", "k3f9p2.quilt"):
        (outside / name).write_bytes(b"not ours")
    folder = tmp_path / "data"
    with open_store(folder) as store:
        store.add({"title": "Pier"}, wanted_id="k3f9p2").append(tap(0))
    LINKS[link](folder / "copies", outside)
    for day in (NEXT, NEXT + timedelta(days=1), NEXT + timedelta(days=2)):
        with open_store(folder, day) as store:
            store.delete(store.add({}).id)
            store.quilts()[0].append(tap(len(store.quilts()[0].taps)))
    assert {path.name: path.read_bytes() for path in outside.iterdir()} == {
        "precious": b"not ours",
        "k3f9p2.quilt": b"not ours",
    }
    (folder / "k3f9p2.quilt").unlink()
    with open_store(folder, NEXT + timedelta(days=3)) as store:
        assert len(store.quilts()[0].taps) == 4


def test_copies_that_cannot_be_made_are_said_and_taps_go_on(tmp_path: Path) -> None:
    day = DAY
    with Store.open(tmp_path, today=lambda: day) as store:
        quilt = store.add({})
        day += timedelta(days=1)
        (tmp_path / "copies" / str(day)).write_bytes(b"a file stands here")
        assert quilt.append(tap(1))
        assert quilt.append(tap(2))
        assert [str(found) for found in store.findings] == [
            "The copies of 26 November 2026 could not be made: File exists."
        ]
