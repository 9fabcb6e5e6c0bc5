"""One file with all quilts, and back again: checked, said beforehand, the former kept."""

from __future__ import annotations

import errno
import io
import json
import os
import random
import subprocess
import sys
import zipfile
from collections.abc import Callable, Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from kinds_of_taps import an_example
from sent_photos import sent
from storing import open_store, tap

from tracker.cli import main
from tracker.progress.ledger import Tap
from tracker.progress.tap_kinds import written
from tracker.safekeeping import backup
from tracker.safekeeping.backup import Backup, BackupFault, compare, make_backup, read_backup, restore, write_backup
from tracker.safekeeping.shapes import is_tap
from tracker.safekeeping.small_photos import small_photo
from tracker.store import records
from tracker.store.photo_files import photo_name
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


# What is no backup


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


ABOUT = {"title": "T", "plan": ""}
TAP = {"id": "a", "do": "done"}
CUT_PHOTO = small_photo(sent("JPEG"))[:2000]
"""Of a photo of some 5,000 bytes."""
ODD_TAPS: list[dict[str, object]] = [
    {"id": ""},
    {"do": 7},
    {"times": "1"},
    {"times": True},
    {"block": "1"},
    {"blocks": 1},
    {"blocks": [1, "2"]},
    {"steps": [["a"]]},
    {"steps": [["a", 1, 1]]},
    {"counts": [["a", 1, None]]},
    {"lost": {"a": 1}},
    {"what": []},
    {"at": "0001-01-01T00:00:00+00:00"},
    {"at": "9999-12-31T23:59:59-12:00"},
    {"at": 7},
    {"text": "half a letter \ud83d"},
    {"step": "x" * 20_000},
    {"times": 10**20},
    {"blocks": [[[[]]]]},
    {"new": "\udc00"},
    {"\udc00": 1},
]
ODD_FACTS: list[dict[str, object]] = [
    {"plan": 7},
    {"title": None},
    {"pace": []},
    {"pace": {"batch": "3"}},
    {"setup": {"thread": 50}},
    {"seam_test": {}},
    {"former_plans": [{"plan": ""}]},
    {"former_plans": [{"plan": "", "until": "0001-01-01"}]},
    {"title": "half a letter \ud83d"},
    {"title": "x" * 20_000},
    {"plan": "x" * 1_000_001},
    {"made_at": "0001-01-01T00:00:00"},
    {"shelf": {"size": ["5"]}},
    {"shelf": {"before": "5"}},
    {"shelf": {"for": ["a", "b"]}},
    {"shelf": {"begun": ["2026-11-25"]}},
    {"former_shelves": [{"shelf": {"after": ["1", "2", "3"]}, "until": "2026-11-25"}]},
    {"new": {"\ud800": []}},
]


def test_what_a_room_writes_and_what_later_ones_may_add_is_taken() -> None:
    """The other side of the table below: right taps and facts, and keys that nobody knows yet."""
    taps = {"1": TAP | {"block": None, "blocks": [1], "steps": [["a", 2]], "new": {"x": [1]}}, "2": TAP | {"id": "b"}}
    about = ABOUT | {"pace": {"sample_first": True, "batch": None}, "setup": {"thread": "grey"}, "new": [7]}
    about["shelf"] = {"since": "", "for": "Jo", "begun": "2026-11-25", "size": ["4", "5 1/2"], "before": [], "new": 7}
    (saved,) = read_backup(packed({"quilts/k3f9p2.quilt": quilt_file(taps=taps, about={"1": about})}), "b.zip").quilts
    assert (saved.about, saved.taps) == (about, list(taps.values()))


@pytest.mark.parametrize("kind", Tap.KINDS.values())
def test_a_tap_of_every_kind_is_taken_and_one_with_a_field_of_another_shape_is_not(kind: type[Tap]) -> None:
    """Each field spoiled by itself, and one wrong word deep inside it."""
    tap = written(an_example(kind))
    assert is_tap(tap)
    for name in tap.keys() - {"id", "do", "at"}:
        assert not is_tap(tap | {name: {}}), name
        assert not is_tap(tap | {name: deeply_spoiled(tap[name])}), name


def deeply_spoiled(value: object) -> object:
    """A JSON value with what stands first in it, however deep, in place of another kind of value."""
    return [deeply_spoiled(value[0]), *value[1:]] if isinstance(value, list) else 1.5


def quilt_file(name: str = "k3f9p2", version: int = 1, **tables: Any) -> bytes:
    whole = {"about": {"1": {"title": "T", "plan": ""}}, "taps": {}} | tables
    return records.snapshot(records.FileState(name, 1, version, "x", "2026-11-25", whole))


def with_line(body: object) -> bytes:
    """A quilt's file with one more line, whose check is right."""
    return quilt_file() + records._line("x", body)[1]


LINE = {"version": 2, "day": "", "table": "taps", "how": "put", "documents": {"1": TAP}}
ODD_LINES: list[object] = [
    *([], 7, None, {}, {"version": 2}),
    *(
        LINE | odd
        for odd in (
            *({"version": "2"}, {"version": None}, {"day": 7}, {"table": []}, {"how": "out"}, {"of": 7}),
            *(
                {"documents": []},
                {"documents": {"1": 7}},
                {"documents": {"1": [1]}},
                {"table": "", "documents": {"taps": 7}},
            ),
        )
    ),
]


NEXT_FORMAT = records.snapshot(
    records.FileState("k3f9p2", 1, 1, "x", "2026-11-25", {"about": {"1": {}}, "taps": {}}, format=records.FORMAT + 1)
)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"not a zip",
        b"PK\x05\x06" + bytes(18),
        packed({})[:-1],
        packed({"backup.json": b"[]"}),
        packed({"backup.json": b'{"format": "1"}'}),
        packed({"backup.json": b'{"format": 1, "made_at": "2026-11-25", "files": [{"name": "a", "sha256": ""}]}'}),
        packed({"backup.json": b"[" * 100_000}),
        packed({"quilts/../../evil.quilt": quilt_file()}),
        packed({"quilts/in/k3f9p2.quilt": quilt_file()}),
        packed({"quilts/k3f9p2.quilt": quilt_file(version=10**16)}),
        packed({"quilts/k3f9p2.quilt": quilt_file(version=-1)}),
        *(packed({"quilts/k3f9p2.quilt": quilt_file()}, made_at) for made_at in ("", "0001-01-01", "9999-12-31", "x")),
        *(packed({"quilts/k3f9p2.quilt": with_line(body)}) for body in ODD_LINES),
        packed({"quilts/k3f9p2.quilt": quilt_file("m4g8q3")}),
        packed({"quilts/k3f9p2.quilt": quilt_file()[:-3]}),
        packed({"quilts/k3f9p2.quilt": b"x"}),
        packed({"quilts/k3f9p2.quilt": quilt_file(taps={"1": {"do": "done"}})}),
        packed({"quilts/k3f9p2.quilt": quilt_file(taps={"1": TAP, "2": TAP})}),
        packed({"quilts/k3f9p2.quilt": quilt_file(taps=[])}),
        *(packed({"quilts/k3f9p2.quilt": quilt_file(taps={"1": TAP | odd})}) for odd in ODD_TAPS),
        *(packed({"quilts/k3f9p2.quilt": quilt_file(about={"1": ABOUT | odd})}) for odd in ODD_FACTS),
        packed({"quilts/k3f9p2.quilt": quilt_file(about={"1": {"plan": "", "x": 0.5}})}),
        packed({f"photos/{photo_name(CUT_PHOTO)}.jpg": CUT_PHOTO}),
    ],
)
def test_what_is_no_backup_is_refused_in_a_sentence(data: bytes) -> None:
    with pytest.raises(BackupFault) as caught:
        read_backup(data, "holiday.zip")
    assert str(caught.value).startswith("holiday.zip is not a whole backup of a sewing room")


def test_a_backup_that_unpacks_without_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backup, "LARGEST_CONTENT", 1_000_000)
    with pytest.raises(BackupFault, match="holds more than any sewing room's backup does"):
        read_backup(packed({"plans/a.toml": bytes(2_000_000)}), "b.zip")


def peak_of(data: bytes, folder: Path) -> tuple[int, str]:
    """Megabytes that reading a backup takes in a process of its own, and what is said of it."""
    (folder / "b.zip").write_bytes(data)
    ran = subprocess.run(
        [sys.executable, "-c", PEAK, str(folder / "b.zip")], capture_output=True, text=True, check=True
    )
    peak, _, said = ran.stdout.strip().partition(" ")
    return int(peak), said


PEAK = """
import sys
from pathlib import Path
from tracker.safekeeping.backup import BackupFault
from tracker.safekeeping.safety_commands import read_file
def peak():
    return int(next(line for line in open('/proc/self/status') if line.startswith('VmHWM')).split()[1]) // 1024
before, said = peak(), ''
try:
    read_file(Path(sys.argv[1]))
except BackupFault as fault:
    said = str(fault)
print(peak() - before, said)
"""
LARGE = {
    "a list of nothing": b"[" + b"[]," * backup.MOST_LISTS + b"[]]",
    "a list of numbers": b"[" + b"1," * backup.MOST_VALUES + b"1]",
    "tables of nothing": b"[" + b"{}," * backup.MOST_LISTS + b"{}]",
    "one text": b'"' + b"x" * 2 * backup.MOST_VALUES + b'"',
}


@pytest.mark.parametrize("large", LARGE)
@pytest.mark.parametrize("packing", [zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED])
def test_what_would_take_a_great_deal_to_build_is_not_built(large: str, packing: int, tmp_path: Path) -> None:
    body = b'{"about":{"1":{"title":"T","plan":"","new":' + LARGE[large] + b'}},"taps":{}}'
    first = quilt_file().splitlines(keepends=True)[0]
    rest = first[:16] + b" " + body
    file = first + records._check(rest).encode() + b" " + rest + b"\n"
    took, said = peak_of(packed({"quilts/k3f9p2.quilt": file}, packing=packing), tmp_path)
    if large == "one text" and packing == zipfile.ZIP_STORED:
        assert said == "", "a text without end in what nobody knows yet is only as long as it is"
    else:
        assert "holds more than any sewing room's backup does" in said
    assert took < 8 * len(body) // 1_000_000 + 50


def test_a_list_of_a_million_names_is_not_made(tmp_path: Path) -> None:
    end = b"PK\x01\x02" + bytes(42)
    took, said = peak_of(end * 300_000 + b"PK\x05\x06" + bytes(18), tmp_path)
    assert NOT_WHOLE in said
    assert took < 60


@pytest.mark.parametrize(
    "data",
    [
        packed({"backup.json": b'{"format": 2, "made_at": "2027-01-01", "files": []}'}),
        packed({"quilts/k3f9p2.quilt": NEXT_FORMAT}),
    ],
)
def test_a_newer_backup_is_refused_clearly(data: bytes) -> None:
    with pytest.raises(StoreFault) as caught:
        read_backup(data, "b.zip")
    assert caught.value.kind == "newer"
    assert "install the newer one. Nothing was changed." in caught.value.sentence


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
