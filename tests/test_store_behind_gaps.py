"""Behind a bad line: what stands there is taken where it belongs, and what is missing is said until it was read."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from storing import FORMER, NEXT, damage_line, filled, full, kinds, open_store, reopened, sewn, tap, without_copies

from tracker.store.histories import LEAP

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
