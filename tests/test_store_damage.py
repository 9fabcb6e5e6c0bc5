"""Damaged files and killed programs: what is lost (nothing acknowledged), and what the person is told."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import damage_stores
import kill_store
import pytest
from effort import some, tries
from storing import FORMER, NEXT, damage_line, filled, full, kinds, open_store, reopened, tap, without_copies

from tracker.store import histories, journal, mending
from tracker.store.histories import LEAP


def test_a_torn_tail_is_cut_off_at_every_byte(tmp_path: Path) -> None:
    file = filled(tmp_path / "whole", 3)
    data = file.read_bytes()
    *_, before_last, last = data.splitlines(keepends=True)
    ends = [len(data), len(data) - len(last), len(data) - len(last) - len(before_last)]
    ends_and_beside = {size + beside for size in ends for beside in (-2, -1, 0, 1)} & {*range(ends[2], len(data) + 1)}
    for size in sorted({*some(range(ends[2], len(data) + 1), 25), *ends_and_beside}):
        folder = tmp_path / str(size)
        folder.mkdir()
        (folder / file.name).write_bytes(data[:size])
        findings, taps, version = reopened(folder)
        whole_but_for_its_end = size + 1 in ends
        assert kinds(findings) == ([] if size in ends else ["mended"] if whole_but_for_its_end else ["unfinished"])
        assert len(taps) == (3 if size >= ends[1] - 1 else 2)
        assert size in ends or version > LEAP, "pages that saw what stood behind take what comes now for newer"
        assert len(list(folder.glob("set-aside/*"))) == whole_but_for_its_end
        shutil.rmtree(folder)
    assert findings == []


def test_the_person_is_told_of_a_torn_tail(tmp_path: Path) -> None:
    file = filled(tmp_path)
    with file.open("ab") as opened:
        opened.write(b"0123456789abcdef half a li")
    assert [str(finding) for finding in reopened(tmp_path)[0]] == [
        "The last line in the file of “Lighthouse” is not whole: a change was just being saved when the sewing room"
        " stopped, or the file has lost its end. It was left out; look whether your last taps are there."
    ]


def test_half_a_line_is_left_out_on_a_full_disk_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = filled(tmp_path)
    with file.open("ab") as opened:
        opened.write(b"0123456789abcdef half a li")
    with monkeypatch.context() as patched:
        patched.setattr(mending.JournalStorage, "commit", full)
        with open_store(tmp_path, NEXT) as store:
            (quilt,) = store.quilts()
            version = quilt.version
            assert version > LEAP
            assert quilt.append({"id": "afterwards"})
    with open_store(tmp_path, NEXT) as store:
        assert store.findings == []
        assert [found["id"] for found in store.quilts()[0].taps][-2:] == ["tap-11", "afterwards"]
        assert store.quilts()[0].version == version + 1


@pytest.mark.parametrize("part", range(16))
def test_a_file_cut_short_is_put_together_from_its_copies(tmp_path: Path, part: int) -> None:
    file = filled(tmp_path)
    size = file.stat().st_size
    os.truncate(file, size * part // 16)
    cut = file.read_bytes()
    findings, taps, version = reopened(tmp_path)
    assert kinds(findings) == ["restored"]
    assert "it was restored to how it was on 25 November 2026, later changes may be missing" in str(findings[0])
    assert taps == [tap(number) for number in range(12)]
    assert version > 14
    assert [path.read_bytes() for path in (tmp_path / "set-aside").iterdir()] == [cut]


@pytest.mark.parametrize("part", range(16))
def test_a_file_cut_short_without_any_copy_keeps_what_can_be_read(tmp_path: Path, part: int) -> None:
    file = filled(tmp_path, 40)
    whole = file.read_bytes()
    os.truncate(file, len(whole) * part // 16)
    without_copies(tmp_path)
    with open_store(tmp_path, NEXT) as store:
        if whole[: len(whole) * part // 16].count(b"\n") < 2:
            assert kinds(store.findings) == ["unreadable"]
            assert "k3f9p2.quilt could not be read and there is no copy of it" in str(store.findings[0])
            assert store.quilts() == []
        else:
            taps = list(store.quilts()[0].taps)
            assert taps == [tap(number) for number in range(len(taps))]
            assert len(taps) == max(0, whole[: len(whole) * part // 16].count(b"\n") - 2)


def test_one_wrong_byte_anywhere_loses_nothing_where_there_is_a_copy(tmp_path: Path) -> None:
    file = filled(tmp_path / "a", 4)
    data = file.read_bytes()
    for place in some(range(0, len(data), 7), 25):
        shutil.copytree(tmp_path / "a", tmp_path / "b", symlinks=True)
        (tmp_path / "b" / file.name).write_bytes(data[:place] + bytes([data[place] ^ 0x15]) + data[place + 1 :])
        findings, taps, _ = reopened(tmp_path / "b")
        assert taps == [tap(number) for number in range(4)], place
        assert kinds(findings) in (["mended"], ["restored"])
        shutil.rmtree(tmp_path / "b")


def test_a_bad_line_in_the_middle_is_filled_in_from_a_copy(tmp_path: Path) -> None:
    file = filled(tmp_path)
    damage_line(file, 8)
    damage_line(file, 9)
    findings, taps, _ = reopened(tmp_path)
    assert taps == [tap(number) for number in range(12)]
    (kept,) = (tmp_path / "set-aside").iterdir()
    assert [str(finding) for finding in findings] == [
        "The file of “Lighthouse” was damaged at line 8; nothing is lost, it was made whole from its copies"
        f" (the damaged file is kept as set-aside/{kept.name})."
    ]


def test_any_one_wrong_bit_is_set_right_without_a_copy(tmp_path: Path) -> None:
    """Every place of the file, a bit of each: its check proves what stood there."""
    data = filled(tmp_path / "a", 4).read_bytes()
    without_copies(tmp_path / "a")
    for place in range(len(data)):
        spoiled = bytearray(data)
        spoiled[place] ^= 1 << place % 8
        assert histories.set_right(bytes(spoiled)) in (data, data[:-1]), place
    for place in range(3, len(data), 97):
        shutil.copytree(tmp_path / "a", tmp_path / "b")
        spoiled = bytearray(data)
        spoiled[place] ^= 1 << place % 8
        (tmp_path / "b" / "k3f9p2.quilt").write_bytes(spoiled)
        findings, taps, _ = reopened(tmp_path / "b")
        assert taps == [tap(number) for number in range(4)], place
        assert kinds(findings) == ["mended"]
        assert "nothing is lost, each of its lines could be set right" in str(findings[0])
        shutil.rmtree(tmp_path / "b")


def test_long_lines_and_many_bad_ones_are_not_tried_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    tried = 0

    def counting(raw: bytes) -> None:
        nonlocal tried
        tried += 8 * len(raw)

    monkeypatch.setattr(histories, "_turned", counting)
    lines = [b"x" * length for length in (100_000, 4000, *[1000] * 500)]
    assert histories.set_right(b"\n".join(lines)) == b"\n".join(lines)
    assert 8 * 4000 < tried <= histories.MOST_TRIED


# Files of the version before


def test_files_of_the_version_before_are_opened_byte_for_byte(tmp_path: Path) -> None:
    folder = shutil.copytree(FORMER, tmp_path / "data")
    before = {path.name: path.read_bytes() for path in FORMER.iterdir() if path.is_file()}
    with open_store(folder, NEXT) as store:
        assert store.findings == []
        assert {name: (folder / name).read_bytes() for name in before} == before
        for quilt in store.quilts():
            assert quilt.append({"id": "afterwards"})
            name = f"{quilt.id}.quilt"
            now = (folder / name).read_bytes()
            assert now.startswith(before[name])
            assert now.count(b"\n") == before[name].count(b"\n") + 1


@pytest.mark.parametrize("line", [1, 2])
def test_a_damaged_snapshot_is_replaced_by_the_former_one_and_the_journal_still_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, line: int
) -> None:
    monkeypatch.setattr(journal, "BOUND", 8)
    file = filled(tmp_path, 14)
    assert (tmp_path / "former" / file.name).exists()
    assert len(file.read_bytes().splitlines()) > 4
    shutil.rmtree(tmp_path / "copies")
    damage_line(file, line)
    findings, taps, _ = reopened(tmp_path)
    assert taps == [tap(number) for number in range(14)]
    assert kinds(findings) == ["mended"]


def test_a_missing_file_is_put_back(tmp_path: Path) -> None:
    filled(tmp_path).unlink()
    findings, taps, _ = reopened(tmp_path)
    assert taps == [tap(number) for number in range(12)]
    assert [str(finding) for finding in findings] == [
        "The file of “Lighthouse” was missing; it was put back as it was on 25 November 2026, later changes may be"
        " missing."
    ]


def test_a_missing_file_is_put_back_from_the_newest_day_that_has_any(tmp_path: Path) -> None:
    filled(tmp_path).unlink()
    (tmp_path / "copies" / NEXT.isoformat()).mkdir()
    findings, taps, _ = reopened(tmp_path)
    assert (kinds(findings), len(taps)) == (["put back"], 12)


def test_a_damaged_room_keeps_the_quilts(tmp_path: Path) -> None:
    filled(tmp_path)
    (tmp_path / "room.facts").write_bytes(b"\xff" * 100)
    without_copies(tmp_path)
    findings, taps, _ = reopened(tmp_path)
    assert kinds(findings) == ["unreadable"]
    assert len(taps) == 12


ODD_THINGS = {
    "a folder": lambda path: path.mkdir(),
    "a folder with something in it": lambda path: (path / "in").mkdir(parents=True),
    "a link that leads nowhere": lambda path: path.symlink_to("nowhere"),
    "a link to itself": lambda path: path.symlink_to(path.name),
}


@pytest.mark.parametrize("thing", ODD_THINGS)
@pytest.mark.parametrize("name", ["k3f9p2.quilt", "room.facts"])
def test_an_odd_thing_in_the_place_of_a_file_is_put_aside(tmp_path: Path, thing: str, name: str) -> None:
    filled(tmp_path)
    (tmp_path / name).unlink()
    ODD_THINGS[thing](tmp_path / name)
    findings, taps, _ = reopened(tmp_path)
    assert kinds(findings) == ["put back"]
    assert len(taps) == 12
    assert len(list((tmp_path / "set-aside").iterdir())) == 1


def test_stray_unfinished_files_are_swept(tmp_path: Path) -> None:
    filled(tmp_path)
    strays = [
        tmp_path / place / ".k3f9p2.quilt.0a1b2c3d.tmp" for place in ("", "former", "copies/2026-11-25", "set-aside")
    ]
    for stray in strays:
        stray.write_bytes(b"half a fi")
    assert reopened(tmp_path)[0] == []
    assert not any(stray.exists() for stray in strays)


def test_kill_after_kill_loses_nothing_acknowledged(tmp_path: Path) -> None:
    result = kill_store.run(tmp_path, kills=tries(15, 5), seed=1)
    assert (result.kills, result.lost, result.unreadable) == (tries(15, 5), 0, 0)
    assert result.acknowledged > 15


def test_whatever_is_damaged_all_that_could_be_is_kept_and_the_rest_is_told(tmp_path: Path) -> None:
    result = damage_stores.run(tmp_path, stores=6, seed=4)
    assert (result.stores, result.strange, result.unreadable, result.not_told) == (6, 0, 0, 0)
    assert result.kept == result.could_be > 200
