"""Faults of the disk, each with what the person sees: never a tap shown as saved that is not."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from visitors import Quilt, Visitor, add_quilt, room_of, words_of

from tracker.cli import main
from tracker.safekeeping.pairing import Device
from tracker.store.quilts import Store, StoredQuilt

CUT = "Cut lamp red"


def refusing(number: int) -> Callable[..., int]:
    def write(descriptor: int, data: bytes) -> int:
        raise OSError(number, os.strerror(number))

    return write


@pytest.mark.parametrize(
    ("number", "status", "words"),
    [
        (errno.ENOSPC, 507, "is full, so this was not saved; make some room and try again."),
        (errno.EDQUOT, 507, "is full, so this was not saved; make some room and try again."),
        (errno.EROFS, 507, "Nothing can be written in"),
        (errno.EACCES, 507, "allow writing there, or choose another folder."),
        (errno.EIO, 507, "The disk refused"),
    ],
)
def test_a_disk_that_takes_no_tap_is_said_and_the_tap_counts_nothing_until_it_is_sent_again(
    number: int, status: int, words: str, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = sewing.count(CUT)
    with monkeypatch.context() as patched:
        patched.setattr(os, "write", refusing(number))
        answer = sewing.tap(CUT, tap_id="tap-again")
        assert (answer.status_code, words in words_of(answer)) == (status, True)
        part = sewing.tap(CUT, tap_id="tap-again", view="list")
        assert part.status_code == status
        assert sewing.count(CUT) == before, "nothing is shown as done"
    assert sewing.tap(CUT, tap_id="tap-again").status_code == 303
    assert sewing.tap(CUT, tap_id="tap-again").status_code == 303
    assert len(sewing.stored.taps) == 1


def _unseen(devices: Iterable[Device]) -> list[Device]:
    """Devices without the minute at which each was seen last, which goes on with the clock."""
    return [replace(each, seen="") for each in devices]


@pytest.mark.parametrize("path", ["/new", "/room/code", "/room/devices/tested/remove", "/pair"])
def test_nothing_else_is_done_by_halves_on_a_full_disk_either(
    path: str, phone: Visitor, sewing: Quilt, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    pairing = phone.client.application.extensions["sewing-room"].pairing
    before = (pairing.path, _unseen(pairing.devices()), len(store.quilts()))
    visitor = Visitor(phone.client.application, paired=False) if path == "/pair" else phone
    with monkeypatch.context() as patched:
        patched.setattr(os, "write", refusing(errno.ENOSPC))
        answer = visitor.post(path, {"plan": sewing.compiled.text, "code": pairing.code})
    assert answer.status_code == 507
    assert "is full, so this was not saved" in words_of(answer)
    assert "Set-Cookie: sewing-room" not in str(answer.headers)
    assert (pairing.path, _unseen(pairing.devices()), len(store.quilts())) == before


def test_a_file_removed_under_the_server_is_written_again_and_said(phone: Visitor, sewing: Quilt, store: Store) -> None:
    sewing.tap(CUT)
    (store.folder / f"{sewing.stored.id}.quilt").unlink()
    assert sewing.tap(CUT).status_code == 303
    assert "was removed or changed by something else and has been written again" in phone.text("/")
    store.close()
    with Store.open(store.folder) as again:
        assert len(again.quilt(sewing.stored.id).taps) == 2


def test_a_folder_taken_away_under_the_server_is_said(sewing: Quilt, store: Store) -> None:
    elsewhere = store.folder.with_name("elsewhere")
    store.folder.rename(elsewhere)
    answer = sewing.tap(CUT, tap_id="tap-again")
    assert answer.status_code == 503
    assert "is no longer there, so this was not saved; put it back" in words_of(answer)
    elsewhere.rename(store.folder)
    assert sewing.tap(CUT, tap_id="tap-again").status_code == 303


@pytest.mark.parametrize("copies", [True, False])
def test_a_file_cut_off_at_any_sixteenth_is_mended_and_said_on_the_first_page(tmp_path: Path, copies: bool) -> None:
    with Store.open(tmp_path / "whole") as store:
        quilt = add_quilt(store)
        sewing = Quilt(Visitor(room_of(store)), quilt)
        sewing.tap(CUT, tap_id="tap-number-1")
        for number in range(2, 30):
            quilt.append({"id": f"note-{number}", "do": "note", "text": f"note {number}"})
        sewing.tap(CUT, tap_id="tap-number-2")
        quilt_id = quilt.id
    whole = (tmp_path / "whole" / f"{quilt_id}.quilt").read_bytes()
    for sixteenth in range(16):
        with Store.open(tmp_path / "whole"):
            pass
        folder = tmp_path / f"cut-{sixteenth}"
        _copy(tmp_path / "whole", folder)
        if not copies:
            for path in (*(folder / "copies").glob("*/*"), *(folder / "former").glob("*")):
                path.unlink()
        (folder / f"{quilt_id}.quilt").write_bytes(whole[: len(whole) * sixteenth // 16])
        with Store.open(folder) as mended:
            said = " ".join(map(str, mended.findings))
            there = [stored for stored in mended.quilts() if stored.id == quilt_id]
            if copies:
                assert "“Lantern cushion”" in said
                assert len(there[0].taps) == 30, "the copies have all of it"
            elif there:
                assert "“Lantern cushion”" in said
            else:
                assert f"The file {quilt_id}.quilt could not be read and there is no copy of it" in said
            if sixteenth in (0, 9):
                assert said.partition(";")[0] in Visitor(room_of(mended)).text("/")


def _copy(source: Path, target: Path) -> None:
    for path in source.rglob("*"):
        if path.is_file():
            place = target / path.relative_to(source)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(path.read_bytes())


def test_a_second_server_on_one_folder_is_refused_and_the_first_goes_on(
    sewing: Quilt, store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    for command in (["serve", "--port", "1"], ["restore", "nothing.zip"], ["backup", "quilts.zip"]):
        assert main([*command, "--data", str(store.folder)]) == 1
        said = capsys.readouterr()
        assert len(said.err.splitlines()) <= 2
        if command[0] != "restore":
            assert "is already open in another sewing room" in said.err
    assert sewing.tap(CUT).status_code == 303


def test_a_clock_set_back_loses_nothing_and_stops_nobody(tmp_path: Path) -> None:
    day = date(2026, 11, 25)
    for number, shift in enumerate((0, -400)):
        with Store.open(tmp_path, today=lambda: day + timedelta(days=shift)) as store:  # noqa: B023
            assert [str(finding) for finding in store.findings] == []
            quilt = store.quilts()[0] if store.quilts() else add_quilt(store)
            sewing = Quilt(Visitor(room_of(store)), quilt)
            assert sewing.tap(CUT, tap_id=f"tap-number-{number}").status_code == 303
            assert sewing.count(CUT).startswith(f"{min(number + 1, 2)} of 2")


def test_what_the_copies_cannot_do_is_said_too(phone: Visitor, quilt: StoredQuilt, store: Store) -> None:
    store._filing.find("copies", "", "The copies of 25 November 2026 could not be made: No space left on device.")
    assert "The copies of 25 November 2026 could not be made" in phone.text("/")
