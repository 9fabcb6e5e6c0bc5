"""Damaged files and killed programs: what is lost (nothing acknowledged), and what the person is told."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import kill_store
import pytest
from storing import NEXT, damage_line, filled, kinds, open_store, reopened, tap, without_copies

from tracker import journal


def test_a_torn_tail_is_cut_off_at_every_byte(tmp_path: Path) -> None:
    file = filled(tmp_path / "whole", 3)
    data = file.read_bytes()
    *_, before_last, last = data.splitlines(keepends=True)
    ends = [len(data), len(data) - len(last), len(data) - len(last) - len(before_last)]
    for size in range(ends[2], len(data) + 1):
        folder = tmp_path / str(size)
        folder.mkdir()
        (folder / file.name).write_bytes(data[:size])
        findings, taps, _ = reopened(folder)
        assert kinds(findings) == ([] if size in ends else ["unfinished"])
        assert len(taps) == (3 if size >= ends[1] else 2)
        assert not list(folder.glob("set-aside/*"))
        shutil.rmtree(folder)
    assert findings == []


def test_the_person_is_told_of_a_torn_tail(tmp_path: Path) -> None:
    file = filled(tmp_path)
    with file.open("ab") as opened:
        opened.write(b"0123456789abcdef half a li")
    assert [str(finding) for finding in reopened(tmp_path)[0]] == [
        "The last change of “Lighthouse” was not finished when the sewing room stopped; it was never shown as saved"
        " and has been left out."
    ]


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
    for place in range(0, len(data), 7):
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


def test_a_bad_line_without_a_copy_ends_what_is_loaded(tmp_path: Path) -> None:
    file = filled(tmp_path)
    damage_line(file, 8)
    without_copies(tmp_path)
    findings, taps, version = reopened(tmp_path)
    assert taps == [tap(number) for number in range(5)]
    assert version > 14, "a page that saw the lost changes must take this for newer"
    assert kinds(findings) == ["restored"]
    assert "was damaged at line 8; it was restored to how it was on 25 November 2026, at least 8 later changes are" in (
        str(findings[0])
    )


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


def test_a_line_of_another_history_is_not_taken_in(tmp_path: Path) -> None:
    file = filled(tmp_path / "a")
    other = filled(tmp_path / "b")
    data = file.read_bytes().splitlines(keepends=True)
    data[8] = other.read_bytes().splitlines(keepends=True)[8]
    file.write_bytes(b"".join(data))
    without_copies(tmp_path / "a")
    findings, taps, _ = reopened(tmp_path / "a")
    assert len(taps) == 6
    assert kinds(findings) == ["restored"]


def test_a_missing_file_is_put_back(tmp_path: Path) -> None:
    filled(tmp_path).unlink()
    findings, taps, _ = reopened(tmp_path)
    assert taps == [tap(number) for number in range(12)]
    assert [str(finding) for finding in findings] == [
        "The file of “Lighthouse” was missing; it was put back as it was on 25 November 2026, later changes may be"
        " missing."
    ]


def test_a_damaged_room_keeps_the_quilts(tmp_path: Path) -> None:
    filled(tmp_path)
    (tmp_path / "room.facts").write_bytes(b"\xff" * 100)
    without_copies(tmp_path)
    findings, taps, _ = reopened(tmp_path)
    assert kinds(findings) == ["unreadable"]
    assert len(taps) == 12


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
    result = kill_store.run(tmp_path, kills=15, seed=1)
    assert (result.kills, result.lost, result.unreadable) == (15, 0, 0)
    assert result.acknowledged > 15
