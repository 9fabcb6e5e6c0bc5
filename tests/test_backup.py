"""One file with all quilts, and back again: checked, said beforehand, the former kept."""

from __future__ import annotations

import errno
import io
import json
import os
import random
import zipfile
from collections.abc import Callable, Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from storing import open_store, tap

from tracker.cli import main
from tracker.safekeeping.backup import Backup, BackupFault, compare, make_backup, read_backup, restore, write_backup
from tracker.store import records
from tracker.store.quilts import Store, StoredQuilt, StoreFault

NOON = datetime(2026, 11, 25, 12)
PLAN = 'title = "Harbour"\n# ½ × “ ü\n'
NOT_WHOLE = "is not a whole backup of a sewing room"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "data") as opened:
        yield opened


@pytest.fixture
def quilt(store: Store) -> StoredQuilt:
    """A quilt with a plan, five taps and a note; another one, empty, beside it."""
    made = store.add({"title": "Harbour", "plan": PLAN}, wanted_id="k3f9p2")
    for number in range(5):
        made.append(tap(number))
    made.append({"id": "note-1", "do": "note", "text": "for Großmutter „❤“ <b>"})
    store.add({"title": "", "plan": ""}, wanted_id="m4g8q3")
    return made


def all_of(store: Store) -> list[tuple[str, dict[str, Any], list[dict[str, Any]]]]:
    return [(quilt.id, quilt.about, list(quilt.taps)) for quilt in store.quilts()]


def packed(files: dict[str, bytes], made_at: str = "2026-11-25T12:00:00", packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip of these files; `backup.json` lists the others as it should, unless it is given."""
    listed = [{"name": name, "sha256": sha256(data).hexdigest()} for name, data in files.items()]
    index = json.dumps({"format": 1, "made_at": made_at, "files": listed}).encode()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", packing) as archive:
        for name, data in ({"backup.json": index} | files).items():
            archive.writestr(name, data)
    return out.getvalue()


def test_a_backup_brings_everything_back_into_an_empty_room(store: Store, quilt: StoredQuilt, tmp_path: Path) -> None:
    data = make_backup(store)
    with open_store(tmp_path / "other") as other:
        returns = compare(other, read_backup(data, "b.zip"))
        assert [each.kind for each in returns] == ["add", "add"]
        assert returns[0].sentence == "“Harbour” is not here; it would be added, with 6 taps."
        assert [done.kept for done in restore(other, returns)] == [None, None]
        assert all_of(other) == all_of(store)
        assert [each.kind for each in compare(other, read_backup(data, "b.zip"))] == ["same", "same"]
        assert other.quilt("k3f9p2").append(tap(99))
        assert not other.deleted()
    with open_store(tmp_path / "other") as again:
        assert again.findings == []
        assert len(again.quilt("k3f9p2").taps) == 7


def test_anybody_can_look_into_it_and_no_secret_is_in_it(store: Store, quilt: StoredQuilt) -> None:
    store.room.set_about(code="s3cr3ts3cr3t", devices={"x": {"hash": "abc"}})
    with zipfile.ZipFile(io.BytesIO(make_backup(store))) as archive:
        assert archive.read("plans/k3f9p2-harbour.toml").decode() == PLAN
        content = b"".join(archive.read(name) for name in archive.namelist())
    assert b"s3cr3t" not in content
    assert b"Harbour" in content
    assert make_backup(store, NOON) == make_backup(store, NOON), "the same quilts give the same file"


def test_a_quilt_that_is_here_is_replaced_only_after_that_is_said_and_the_former_is_kept(
    store: Store, quilt: StoredQuilt, tmp_path: Path
) -> None:
    saved = read_backup(make_backup(store), "b.zip")
    before = quilt.version
    quilt.append(tap(77))
    quilt.append(tap(78))
    first, second = compare(store, saved)
    assert first.sentence == (
        "“Harbour” is here already and would be replaced by the backup's. They differ in 2 taps here that are not in"
        " the backup. The one here would be kept among the deleted quilts."
    )
    assert first.only_older
    assert second.sentence == "quilt m4g8q3 is here just as in the backup; nothing is to be done."
    (done,) = restore(store, [first, second])
    assert done.kept is not None
    assert len(store.quilt("k3f9p2").taps) == 6
    assert store.quilt("k3f9p2").version > before + 2, "pages that saw more take what comes now for newer"
    with pytest.raises(StoreFault) as caught:
        quilt.append(tap(79))
    assert caught.value.kind == "replaced", "who held the former one does not write into the new one"
    (kept,) = store.deleted()
    assert (kept.id, kept.about["title"]) == (done.kept, "Harbour (until 25 November 2026)")
    store.close()
    with open_store(tmp_path / "data") as again:
        assert again.findings == []
        assert len(again.quilt("k3f9p2").taps) == 6
        former = again.restore_deleted(done.kept)
        assert [found["id"] for found in former.taps][-2:] == ["tap-77", "tap-78"]
        assert len(again.quilts()) == 3


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda quilt: quilt.append(tap(9)), "1 tap here that is not in the backup."),
        (lambda quilt: quilt.set_about(plan="x"), "another plan or other facts."),
        (
            lambda quilt: (quilt.append_all([tap(8), tap(9)]), quilt.set_about(note="x")),
            "2 taps here that are not in the backup and another plan or other facts.",
        ),
    ],
)
def test_differences_are_said_in_words(
    change: Callable[[StoredQuilt], object], words: str, store: Store, quilt: StoredQuilt
) -> None:
    saved = read_backup(make_backup(store), "b.zip")
    change(quilt)
    assert f"They differ in {words}" in compare(store, saved)[0].sentence
    newer = read_backup(make_backup(store), "b.zip")
    restore(store, compare(store, saved)[:1])
    assert (
        words.replace("here that is not in the backup", "in the backup that is not here").replace(
            "here that are not in the backup", "in the backup that are not here"
        )
        in compare(store, newer)[0].sentence
    )


def test_what_stays_with_a_class_makes_no_difference_to_a_backup(store: Store, quilt: StoredQuilt) -> None:
    """A pupil who had not read her teacher's news, or had her hand up, was said to differ from the backup just made."""
    quilt.set_about(hand="2026-11-25T12:00:00+00:00", plan_news={"at": "2026-11-25T12:00:00+00:00", "said": "Changed."})
    backup = read_backup(make_backup(store), "quilts.zip")
    assert "hand" not in backup.quilts[0].about
    assert {each.kind for each in compare(store, backup)} == {"same"}
    quilt.set_about(title="Another")
    assert "replace" in {each.kind for each in compare(store, backup)}


def test_a_quilt_deleted_of_the_same_number_is_kept_too(store: Store, quilt: StoredQuilt) -> None:
    saved = read_backup(make_backup(store), "b.zip")
    quilt.append(tap(50))
    store.delete("k3f9p2")
    (first, _) = compare(store, saved)
    assert "lies among the deleted quilts; it stays there" in first.sentence
    (done,) = restore(store, [first])
    (kept,) = store.deleted()
    assert kept.id == done.kept != "k3f9p2"
    assert len(store.restore_deleted(kept.id).taps) == 7
    assert len(store.quilt("k3f9p2").taps) == 6


@pytest.mark.parametrize("after", [0, 200, 2200])
def test_a_disk_that_is_full_leaves_what_is_here(
    after: int, store: Store, quilt: StoredQuilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    saved = read_backup(make_backup(store), "b.zip")
    quilt.append_all([tap(number) for number in range(10, 40)])
    before, write, left = all_of(store), os.write, after

    def full(descriptor: int, data: bytes) -> int:
        nonlocal left
        if not left:
            raise OSError(errno.ENOSPC, "No space left on device")
        written = write(descriptor, data[:left])
        left -= written
        return written

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        with pytest.raises(StoreFault, match="is full"):
            restore(store, compare(store, saved))
    assert all_of(store) == before
    assert not store.deleted()
    assert quilt.append(tap(99)), "the quilt that is here goes on"


def looked_into(data: bytes) -> Backup | str:
    """What a file holds, or the sentence that refuses it."""
    try:
        return read_backup(data, "b.zip")
    except BackupFault as fault:
        return str(fault)


def test_one_wrong_byte_or_a_missing_end_is_never_taken_for_a_backup(store: Store, quilt: StoredQuilt) -> None:
    data, chance = make_backup(store), random.Random(6)
    whole = read_backup(data, "b.zip")
    places = chance.sample(range(len(data)), 300)
    spoiled = [data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :] for at in places]
    spoiled += [data[:at] for at in range(0, len(data), 37)]
    refused = 0
    for wrong in spoiled:
        found = looked_into(wrong)
        refused += isinstance(found, str)
        # Some bytes of a zip say nothing, such as dates.
        assert NOT_WHOLE in found if isinstance(found, str) else found.quilts == whole.quilts
    assert refused > len(spoiled) * 0.8


def test_an_older_backup_is_brought_up_to_date(
    store: Store, quilt: StoredQuilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = make_backup(store)

    def renamed(tables: records.Tables) -> records.Tables:
        taps = {number: {**each, "how_often": each.get("times")} for number, each in tables["taps"].items()}
        return {**tables, "taps": taps}

    monkeypatch.setattr(records, "FORMAT", records.FORMAT + 1)
    monkeypatch.setitem(records.MIGRATIONS, records.FORMAT - 1, renamed)
    saved = read_backup(data, "b.zip").quilts[0]
    assert [each["how_often"] for each in saved.taps] == [0, 1, 2, 3, 4, None]


# The commands


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    code = main([str(argument) for argument in arguments])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_commands_write_a_backup_and_bring_it_back(
    store: Store, quilt: StoredQuilt, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "quilts.zip"
    code, out, err = run(capsys, "backup", file, "--data", store.folder)
    assert (code, out) == (1, "")
    assert len(err.splitlines()) == 1
    assert "already open in another sewing room" in err
    assert "its page “Devices and backup” does the same" in err
    store.close()
    assert run(capsys, "backup", file, "--data", store.folder) == (
        0,
        f"2 quilts written to {file}, and read back: all is in it.\n",
        "",
    )
    code, _, err = run(capsys, "backup", file, "--data", store.folder)
    assert (code, err) == (1, f"{file} is there already and is not written over; choose another name.\n")
    other = tmp_path / "other"
    code, out, _ = run(capsys, "restore", file, "--data", other, "--look")
    assert code == 0
    assert "“Harbour” is not here; it would be added" in out
    with Store.open(other) as empty:
        assert not empty.quilts()
    code, out, _ = run(capsys, "restore", file, "--data", other)
    assert code == 0
    assert "“Harbour” is restored." in out
    with Store.open(other) as filled:
        filled.quilt("k3f9p2").append(tap(60))
        assert run(capsys, "restore", file, "--data", other)[0] == 1
    code, out, _ = run(capsys, "restore", file, "--data", other, "--yes")
    assert "1 tap here that is not in the backup" in out
    with Store.open(other) as filled:
        (kept,) = filled.deleted()
        assert f"the former one is kept among the deleted quilts, as {kept.id}." in out
        assert len(filled.quilt("k3f9p2").taps) == 6


@pytest.mark.parametrize(("answer", "code"), [("", 1), ("n", 1), ("yes", 0)])
def test_at_a_terminal_the_person_is_asked_before_anything_is_replaced(
    answer: str,
    code: int,
    store: Store,
    quilt: StoredQuilt,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    write_backup(store, tmp_path / "b.zip")
    quilt.append(tap(60))
    store.close()
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda question: answer)
    assert run(capsys, "restore", tmp_path / "b.zip", "--data", store.folder)[0] == code
    with Store.open(store.folder) as again:
        assert len(again.quilt("k3f9p2").taps) == (6 if code == 0 else 7)


def test_what_cannot_be_done_is_said_in_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "b.zip").write_bytes(b"nothing")
    for arguments, words in (
        (("backup", tmp_path / "x.zip", "--data", tmp_path / "none"), "There are no quilts in"),
        (("restore", tmp_path / "none.zip", "--data", tmp_path / "n"), "cannot be read (No such file or directory)"),
        (("restore", tmp_path / "b.zip", "--data", tmp_path / "n"), NOT_WHOLE),
    ):
        code, out, err = run(capsys, *arguments)
        assert (code, out, len(err.splitlines())) == (1, "", 1)
        assert words in err
    assert not (tmp_path / "n").exists()
    with Store.open(tmp_path / "d"):
        pass
    code, _, err = run(capsys, "backup", tmp_path / "no" / "b.zip", "--data", tmp_path / "d")
    assert code == 1
    assert "could not be written" in err
