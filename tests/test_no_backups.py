"""What is no backup: spoiled, foreign, too large or too much to build; nothing of it is taken."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest
from kinds_of_taps import an_example
from sent_photos import sent
from test_backup import NOT_WHOLE, packed

from tracker.progress.ledger import Tap
from tracker.progress.tap_kinds import written
from tracker.safekeeping import backup
from tracker.safekeeping.backup import BackupFault, read_backup
from tracker.safekeeping.shapes import is_tap
from tracker.safekeeping.small_photos import small_photo
from tracker.store import records
from tracker.store.photo_files import photo_name
from tracker.store.quilts import StoreFault

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
