"""Disks that refuse and other hands at the files: what is lost (nothing), and what the person is told."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import tempfile
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from storing import NEXT, damage_line, filled, kinds, open_store, reopened, tap

from tracker.store import disk, journal
from tracker.store.quilts import StoredQuilt, StoreFault

# Writing that fails


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
                open_store(tmp_path, NEXT)
    assert file.read_bytes() == damaged
    assert not list((tmp_path / "set-aside").iterdir())
    assert len(reopened(tmp_path)[1]) == 12


@pytest.fixture
def quilt(tmp_path: Path) -> Iterator[StoredQuilt]:
    filled(tmp_path)
    with open_store(tmp_path, NEXT) as store:
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
    with open_store(tmp_path, NEXT) as store:
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
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of threads, which the child does not use
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
        store = open_store(tmp_path, NEXT)
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
    with open_store(tmp_path, NEXT) as store:
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
    with open_store(tmp_path, NEXT) as store:
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
    store = open_store(tmp_path / "a", NEXT)
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
    with open_store(tmp_path, NEXT) as store:
        assert store.findings == []
    assert (tmp_path / "copies" / str(NEXT) / file.name).exists()
