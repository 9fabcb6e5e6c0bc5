"""Damaged files and killed programs: what is lost (nothing acknowledged), and what the person is told."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import damage_stores
import kill_store
import pytest
from effort import some, tries
from storing import NEXT, damage_line, filled, kinds, open_store, reopened, tap, without_copies

from tracker.store import histories, journal, mending
from tracker.store.histories import LEAP
from tracker.store.quilts import StoreFault

FORMER = Path(__file__).parent / "frozen" / "folders" / "first" / "data"
"""A folder as the version before wrote it."""


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


def full(storage: journal.JournalStorage, keep_former: bool = True) -> None:
    raise StoreFault("full", folder=storage.path.parent)


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


def sewn(folder: Path, edited: bool = True) -> Path:
    """A quilt whose file has: the snapshot (2 lines), 4 taps, facts, an edit of the plan, 3 taps at once, 5 taps; no
    copies. Gives the file."""
    with open_store(folder) as store:
        quilt = store.add({"title": "Lighthouse", "plan": "a plan"}, wanted_id="k3f9p2")
        quilt.append_all([])
        for number in range(4):
            quilt.append(tap(number))
        quilt.set_about(pace={"sample_first": True})
        quilt.append_with({"id": "edit"}, **({"plan": "another plan"} if edited else {"title": "Pier"}))
        quilt.append_all([tap(number) for number in range(4, 7)])
        for number in range(7, 12):
            quilt.append(tap(number))
    without_copies(folder)
    return folder / "k3f9p2.quilt"


BEHIND = [
    # the lines that are spoiled, the taps that are lost, what is said of them
    ((6,), ["tap-3"], "1 change of 25 November 2026 is missing from it, and the 8 after it were kept"),
    ((5, 6), ["tap-2", "tap-3"], "2 changes of 25 November 2026 are missing from it, and the 8 after them were kept"),
    ((7,), [], "1 change of 25 November 2026 is missing from it, and the 7 after it were kept"),
    ((8,), ["edit"], "the plan was edited in what is missing, so it is as it was before: edit it again"),
    (
        (9,),
        ["tap-4", "tap-5", "tap-6"],
        "1 change of 25 November 2026 is missing from it, and the 5 after it were kept",
    ),
    (
        (4, 7, 10),
        ["tap-1", "tap-7"],
        "3 changes of 25 November 2026 are missing from it, and the 8 after them were kept",
    ),
    ((13,), ["tap-10"], "1 change of 25 November 2026 is missing from it, and the one after it was kept"),
    ((13, 14), ["tap-10", "tap-11"], "later changes may be missing"),
    ((11, 14), ["tap-8", "tap-11"], "and the 2 after it were kept"),
    ((3, *range(5, 15)), ["tap-0", *(f"tap-{n}" for n in range(2, 12)), "edit"], "and the one after it was kept"),
]


@pytest.mark.parametrize(("lines", "lost", "words"), BEHIND, ids=[str(lines) for lines, *_ in BEHIND])
def test_what_stands_behind_a_bad_line_is_taken_and_what_is_missing_is_said(
    tmp_path: Path, lines: tuple[int, ...], lost: list[str], words: str
) -> None:
    file = sewn(tmp_path)
    whole = [f"tap-{number}" for number in range(4)] + ["edit"] + [f"tap-{number}" for number in range(4, 12)]
    for line in lines:
        damage_line(file, line)
    findings, taps, version = reopened(tmp_path)
    assert [found["id"] for found in taps] == [name for name in whole if name not in lost]
    assert kinds(findings) == ["restored"]
    assert f"was damaged at line {min(lines)}" in str(findings[0])
    assert words in str(findings[0])
    assert version > LEAP, "a page that saw the lost changes must take this for newer"
    with open_store(tmp_path, NEXT) as store:
        about = store.quilts()[0].about
        assert about["plan"] == ("a plan" if 8 in lines else "another plan")
        assert ("pace" in about) == (7 not in lines)


def test_only_an_edit_of_the_plan_is_told_as_one(tmp_path: Path) -> None:
    damage_line(sewn(tmp_path, edited=False), 8)
    assert "the plan was edited" not in str(reopened(tmp_path)[0][0])


def test_lines_of_the_version_before_are_taken_behind_a_gap_too(tmp_path: Path) -> None:
    """They do not say whose they are, nor of which plan."""
    folder = shutil.copytree(FORMER, tmp_path / "data")
    with open_store(folder, NEXT) as store:
        whole = list(store.quilt("2f2895").taps)
    without_copies(folder)
    damage_line(folder / "2f2895.quilt", 150)
    with open_store(folder, NEXT) as store:
        taps = list(store.quilt("2f2895").taps)
        assert len(taps) in (len(whole) - 1, len(whole))
        assert taps == [each for each in whole if each in taps]
        assert "1 change of" in str(store.findings[0])


ODD_LINES = {
    "another quilt's lines behind a gap": lambda ours, theirs: [*ours[:8], b"x\n", *theirs[9:]],
    "a line of another quilt in the place of one": lambda ours, theirs: [*ours[:8], theirs[8], *ours[9:]],
    "another history of the same quilt behind": lambda ours, theirs: [*ours, *theirs[4:]],
    "lines in any order": lambda ours, theirs: [*ours[:2], *reversed(ours[2:])],
    "every line twice": lambda ours, theirs: [line for line in ours for _ in range(2)],
    "the same lines once more": lambda ours, theirs: [*ours, *ours[2:]],
    "two lines changed round": lambda ours, theirs: [*ours[:5], ours[6], ours[5], *ours[7:]],
    "the snapshot far behind": lambda ours, theirs: [ours[0], ours[9], *ours[2:9], ours[1], *ours[10:]],
    "no first line": lambda ours, theirs: ours[1:],
    "a bad first line": lambda ours, theirs: [b"x\n", *ours[1:]],
}
KEPT = {"another quilt's lines behind a gap": 6, "a line of another quilt in the place of one": 11}
"""How many of the twelve taps can be there."""


OF_ONE_NAME = ("a line of another quilt in the place of one", "another history of the same quilt behind")
"""Where it is the versions that tell, not the name: of two histories of one quilt with a gap between, nothing tells."""


@pytest.mark.parametrize(
    ("name", "same_name"), [*((name, False) for name in ODD_LINES), *((name, True) for name in OF_ONE_NAME)]
)
def test_lines_are_taken_where_they_belong_and_only_there(tmp_path: Path, name: str, same_name: bool) -> None:
    file = filled(tmp_path / "a")
    with open_store(tmp_path / "b") as store:
        other = store.add({"title": "Pier", "plan": "x"}, wanted_id="k3f9p2" if same_name else "m4g8q3")
        other.append_all([{"id": f"other-{number}"} for number in range(12)])
        for number in range(12, 20):
            other.append({"id": f"other-{number}"})
    theirs = (tmp_path / "b" / f"{other.id}.quilt").read_bytes().splitlines(keepends=True)
    ours = file.read_bytes().splitlines(keepends=True)
    file.write_bytes(b"".join(ODD_LINES[name](ours, theirs)))
    without_copies(tmp_path / "a")
    findings, taps, _ = reopened(tmp_path / "a")
    assert len(taps) == KEPT.get(name, 12)
    assert taps == [each for each in (tap(number) for number in range(12)) if each in taps]
    assert len(findings) == 1


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


# What is told until it has been read


def test_what_is_missing_is_told_until_it_has_been_read(tmp_path: Path) -> None:
    damage_line(sewn(tmp_path), 6)
    for _ in range(3):
        with open_store(tmp_path, NEXT) as store:
            (notice,) = store.notices()
            assert "1 change of 25 November 2026 is missing" in notice.said
            assert notice.file == "k3f9p2.quilt"
    with open_store(tmp_path, NEXT) as store:
        store.read_notice("unknown")
        assert store.notices() == [notice]
        store.read_notice(notice.id)
        assert store.notices() == []
    with open_store(tmp_path, NEXT) as store:
        assert store.notices() == []


def test_what_is_found_while_it_runs_is_told_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = filled(tmp_path)
    with open_store(tmp_path, NEXT) as store:
        file.unlink()
        store.quilts()[0].append(tap(50))
        store._filing.find("copies", "", "The copies could not be made.")
    with open_store(tmp_path, NEXT) as store:
        assert ["has been written again" in notice.said for notice in store.notices()] == [True]
        store._filing.find("restored", "x", "That disk is full.")
        with monkeypatch.context() as patched:
            patched.setattr(store.room, "set_about", lambda **changes: full(store.room._storage))
            assert [notice.said for notice in store.notices()][1:] == ["That disk is full."]
        store.read_notice("all")
        assert [notice.said for notice in store.notices()] == ["That disk is full."], "it could not be kept"


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
