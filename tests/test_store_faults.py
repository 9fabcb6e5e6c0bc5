"""The store when things go wrong: what is lost (nothing that was acknowledged), and what the person is told."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import tempfile
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import kill_store
import pytest

from tracker import disk, journal
from tracker.store import Finding, Store, StoredQuilt, StoreFault

DAY = date(2026, 11, 25)
NEXT = DAY + timedelta(days=1)


def open_store(folder: Path, day: date = NEXT) -> Store:
    return Store.open(folder, today=lambda: day)


def tap(number: int) -> dict[str, Any]:
    return {"id": f"tap-{number}", "step": "S cut", "times": number}


def filled(folder: Path, taps: int = 12) -> Path:
    """A folder with one quilt, closed cleanly; gives the quilt's file."""
    with open_store(folder, DAY) as store:
        quilt = store.add({"title": "Lighthouse", "plan": "a plan"}, wanted_id="k3f9p2")
        for number in range(taps):
            quilt.append(tap(number))
        quilt.set_about(note="n")
    return folder / "k3f9p2.quilt"


def without_copies(folder: Path) -> None:
    shutil.rmtree(folder / "copies")
    shutil.rmtree(folder / "former")


def reopened(folder: Path) -> tuple[list[Finding], list[dict[str, Any]], int]:
    """Findings, taps and version of the only quilt; and that it can be gone on with and opened again in peace."""
    with open_store(folder) as store:
        (quilt,) = store.quilts()
        findings, taps, version = store.findings, list(quilt.taps), quilt.version
        assert quilt.append({"id": "afterwards"})
    with open_store(folder) as store:
        assert store.findings == []
        assert list(store.quilts()[0].taps) == [*taps, {"id": "afterwards"}]
        assert store.quilts()[0].version == version + 1
    return findings, taps, version


def kinds(findings: list[Finding]) -> list[str]:
    return [finding.kind for finding in findings]


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
    with open_store(tmp_path) as store:
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


def damage_line(file: Path, number: int) -> None:
    """Spoil one line (from 1) of a file."""
    lines = file.read_bytes().splitlines(keepends=True)
    lines[number - 1] = lines[number - 1].replace(b'"', b"'", 1)
    file.write_bytes(b"".join(lines))


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


# Writing that fails


def test_a_damaged_file_that_cannot_be_mended_for_want_of_room_stays_as_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = filled(tmp_path)
    damage_line(file, 8)
    damaged = file.read_bytes()
    with monkeypatch.context() as patched:
        failing_write(patched, errno.ENOSPC, 50)
        for _ in range(2):
            with pytest.raises(StoreFault, match="is full"):
                open_store(tmp_path)
    assert file.read_bytes() == damaged
    assert not list((tmp_path / "set-aside").iterdir())
    assert len(reopened(tmp_path)[1]) == 12


def failing_write(monkeypatch: pytest.MonkeyPatch, number: int, after: int = 0) -> None:
    """Every os.write from now on writes `after` bytes in all, then fails with this error."""
    write: Callable[[int, bytes], int] = os.write
    left = after

    def fails(descriptor: int, data: bytes) -> int:
        nonlocal left
        if not left:
            raise OSError(number, os.strerror(number))
        written = write(descriptor, data[:left])
        left -= written
        return written

    monkeypatch.setattr(os, "write", fails)


@pytest.fixture
def quilt(tmp_path: Path) -> Iterator[StoredQuilt]:
    filled(tmp_path)
    with open_store(tmp_path) as store:
        yield store.quilts()[0]


@pytest.mark.parametrize(
    ("number", "kind", "sentence"),
    [
        (errno.ENOSPC, "full", "is full, so this was not saved; make some room and try again."),
        (errno.EROFS, "not writable", "Nothing can be written in"),
        (errno.EIO, "failed", "The disk refused"),
    ],
)
@pytest.mark.parametrize("after", [0, 1, 60])
def test_a_tap_that_cannot_be_written_is_not_acknowledged_and_leaves_no_trace(
    tmp_path: Path,
    quilt: StoredQuilt,
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    kind: str,
    sentence: str,
    after: int,
) -> None:
    file = tmp_path / "k3f9p2.quilt"
    before, version = file.read_bytes(), quilt.version
    with monkeypatch.context() as patched:
        failing_write(patched, number, after)
        for change in (lambda: quilt.append(tap(99)), lambda: quilt.set_about(note="x")):
            with pytest.raises(StoreFault) as caught:
                change()
            assert caught.value.kind == kind
            assert sentence in caught.value.sentence
    assert file.read_bytes() == before
    assert (len(quilt.taps), quilt.version, quilt.about["note"]) == (12, version, "n")
    assert quilt.append(tap(99)), "the same tap, sent again when there is room"
    assert list(quilt.taps) == [tap(number) for number in range(12)] + [tap(99)]


def test_a_tap_that_cannot_be_synced_or_taken_off_again_is_not_acknowledged(
    tmp_path: Path, quilt: StoredQuilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patched:
        patched.setattr(journal, "sync", refused)
        patched.setattr(os, "ftruncate", refused)
        with pytest.raises(StoreFault):
            quilt.append(tap(99))
    assert quilt.append(tap(100))
    file = (tmp_path / "k3f9p2.quilt").read_bytes()
    assert b"tap-99" not in file
    assert file.count(b"tap-100") == 1


def test_a_snapshot_that_cannot_be_written_does_not_hold_up_taps(
    tmp_path: Path, quilt: StoredQuilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(target: Path, data: bytes) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(quilt._storage, "_bound", 15)
    monkeypatch.setattr(journal, "write_whole", refused)
    assert all(quilt.append(tap(number)) for number in range(50, 70))
    assert (tmp_path / "former" / "k3f9p2.quilt").exists(), "writing anew was tried"
    with pytest.raises(StoreFault):
        quilt._table.remove(doc_ids=[1])
    assert len(quilt._table) == 32, "what is in memory is what is on disk"


def test_a_full_disk_leaves_no_half_file_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    filled(tmp_path)
    with open_store(tmp_path) as store:
        names = sorted(tmp_path.rglob("*"))
        with monkeypatch.context() as patched:
            failing_write(patched, errno.ENOSPC, 10)
            with pytest.raises(StoreFault, match="is full"):
                store.add({"title": "one too many"})
        assert sorted(tmp_path.rglob("*")) == names
        assert len(store.quilts()) == 1


def in_a_child(action: Callable[[], object]) -> str:
    """What the action gives, or the kind of its StoreFault, in a process of its own (which has limits and rights)."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            told = str(action())
        except StoreFault as fault:
            told = fault.kind
        except BaseException as error:
            told = repr(error)
        os.write(writing, told.encode())
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as opened:
        told = opened.read()
    os.waitpid(child, 0)
    return told


def test_a_real_limit_on_the_file_is_met_without_loss(tmp_path: Path) -> None:
    file = filled(tmp_path)
    limit = file.stat().st_size + 1000

    def fill() -> int:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
        store = open_store(tmp_path)
        quilt = store.quilts()[0]
        with pytest.raises(StoreFault, match="is full"):
            all(quilt.append(tap(number)) for number in range(1000, 2000))
        return len(quilt.taps) - 12

    acknowledged = int(in_a_child(fill))
    assert 3 < acknowledged < 20
    findings, taps, _ = reopened(tmp_path)
    assert findings == []
    assert len(taps) == 12 + acknowledged


def test_a_folder_without_the_right_to_write_is_refused() -> None:
    folder = Path(tempfile.mkdtemp())
    try:
        filled(folder / "rooms")

        def as_nobody(target: Path) -> Callable[[], object]:
            def action() -> object:
                if os.geteuid() == 0:
                    os.setuid(65534)
                return open_store(target)

            return action

        folder.chmod(0o755)
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o555 if path.is_dir() else 0o444)
        assert in_a_child(as_nobody(folder / "rooms")) == "not writable"
        assert in_a_child(as_nobody(folder / "new")) == "not writable"
    finally:
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o755)
        shutil.rmtree(folder)


def test_a_file_where_the_folder_should_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "rooms").write_text("mine")
    for folder in (tmp_path / "rooms", tmp_path / "rooms" / "below"):
        with pytest.raises(StoreFault, match="a file stands in its place") as caught:
            open_store(folder)
        assert caught.value.kind == "not writable"


# Somebody else at the files while the store is open


def test_a_file_removed_under_the_store_is_written_again(tmp_path: Path) -> None:
    file = filled(tmp_path)
    with open_store(tmp_path) as store:
        file.unlink()
        assert store.quilts()[0].append(tap(12))
        assert store.quilts()[0].append(tap(13))
        assert [str(finding) for finding in store.findings] == [
            "The file of “Lighthouse” was removed or changed by something else and has been written again."
            " Nothing is lost."
        ]
    assert [found["times"] for found in reopened(tmp_path)[1]] == list(range(14))


@pytest.mark.parametrize("how", ["longer", "shorter", "another"])
def test_a_file_changed_under_the_store_is_kept_aside(tmp_path: Path, how: str) -> None:
    file = filled(tmp_path)
    with open_store(tmp_path) as store:
        data = file.read_bytes()
        if how == "another":
            file.rename(tmp_path / "elsewhere")
        changed = {"longer": data + b"x", "shorter": data[:-9], "another": data}[how]
        file.write_bytes(changed)
        assert store.quilts()[0].append(tap(12))
        assert kinds(store.findings) == ["written again"]
        (kept,) = (tmp_path / "set-aside").iterdir()
        assert kept.read_bytes() == changed
        assert kept.name in str(store.findings[0])
    assert [found["times"] for found in reopened(tmp_path)[1]] == list(range(13))


def test_a_folder_removed_under_the_store_is_said(tmp_path: Path) -> None:
    filled(tmp_path / "a")
    store = open_store(tmp_path / "a")
    (tmp_path / "a").rename(tmp_path / "b")
    with pytest.raises(StoreFault, match="is no longer there, so this was not saved") as caught:
        store.quilts()[0].append(tap(12))
    assert caught.value.kind == "gone"
    (tmp_path / "b").rename(tmp_path / "a")
    assert store.quilts()[0].append(tap(12))
    store.close()
    assert len(reopened(tmp_path / "a")[1]) == 13


def test_a_file_replaced_but_not_yet_safe_in_its_folder_is_written_again(
    tmp_path: Path, quilt: StoredQuilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(folder: Path) -> None:
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patched:
        patched.setattr(disk, "sync_folder", refused)
        with pytest.raises(StoreFault):
            quilt._table.remove(doc_ids=[1])
    assert len(quilt._table) == 12
    assert quilt.append(tap(12))
    assert not list((tmp_path / "set-aside").iterdir())
    assert b'"tap-0"' in (tmp_path / "k3f9p2.quilt").read_bytes()


def test_windows_scanners_are_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    replace: Callable[[Path, Path], None] = os.replace
    refusals = [32, 5, 32]

    def busy(source: Path, target: Path) -> None:
        if refusals:
            error = PermissionError(errno.EACCES, "Permission denied")
            error.winerror = refusals.pop()  # type: ignore[attr-defined,unused-ignore]
            raise error
        replace(source, target)

    monkeypatch.setattr(os, "replace", busy)
    disk.write_whole(tmp_path / "a", b"new")
    assert (tmp_path / "a").read_bytes() == b"new"
    assert not refusals


def test_a_disk_without_second_names_gets_copies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(source: Path, target: Path) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    monkeypatch.setattr(journal, "BOUND", 5)
    file = filled(tmp_path)
    assert (tmp_path / "former" / file.name).exists()
    with open_store(tmp_path) as store:
        assert store.findings == []
    assert (tmp_path / "copies" / str(NEXT) / file.name).exists()


def test_kill_after_kill_loses_nothing_acknowledged(tmp_path: Path) -> None:
    result = kill_store.run(tmp_path, kills=15, seed=1)
    assert (result.kills, result.lost, result.unreadable) == (15, 0, 0)
    assert result.acknowledged > 15
