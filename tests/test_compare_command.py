"""Comparing a printed list, as the command tells it: in order, and within bounds."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from test_compare import HERE, STAR, findings, picture_plan

from tracker.cli import main
from tracker.printed.list_findings import worst_first
from tracker.route.compiler import compile_plan
from tracker.words.printed_words import finding_text
from tracker.words.step_words import Words


def test_the_worst_comes_first_and_else_the_order_of_the_list() -> None:
    plan = picture_plan(STAR, "4", number=2)
    text = "A,9,4 1/2,4 1/2\nB,1,4 7/8,4 7/8\nA,3,9,2\nB,4,4,4"
    found = findings(plan, text)
    assert [(each.kind, each.line) for each in found] == [
        ("too many", 1), ("too few", 2), ("not needed", 3), ("wrong size", 4), ("missing", None),
    ]  # fmt: skip
    assert [each.kind for each in worst_first(found)] == [
        "wrong size", "missing", "too few", "not needed", "too many",
    ]  # fmt: skip


def test_rows_of_one_size_are_one_and_name_all_their_lines() -> None:
    plan = picture_plan("A B", "4", number=2)
    found = findings(plan, "A,1,4 1/2,4 1/2\nB,4,4 1/2,4 1/2\nA,2,4 1/2,4 1/2")
    assert [(each.kind, each.lines, each.listed and each.listed[0]) for each in found] == [("too few", (1, 3), 3)]
    assert finding_text(Words(plan, compile_plan(plan)), found[0]).startswith("Lines 1 and 3, amber: too few.")


def test_a_list_too_far_from_the_plan_is_told_row_by_row(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = picture_plan(STAR, "4", number=2)
    text = "A,5,4,4\nA,3,4 3/8,4 3/8\nB,2,4 7/8,4 7/8\nB,4,4 1/2,4 1/2"
    assert [each.kind for each in findings(plan, text)] == ["wrong size", "too many"] * 2
    # Two rows of amber and two that are needed are four pairs.
    monkeypatch.setattr("tracker.printed.compare.MOST_PAIRS", 3)
    assert [each.kind for each in findings(plan, text)] == ["not needed", "not needed", "missing", "missing"]


# The command


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(arguments)
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    plan, printed = tmp_path / "plan.toml", tmp_path / "list.csv"
    plan.write_text((HERE / "plans/valid/lighthouse.toml").read_text("utf-8"), "utf-8")
    printed.write_text("fabric,count,width,height\npale sand,12,3,3\nS,31,2 1/2,2 1/2\n", "utf-8")
    return str(plan), str(printed)


def test_compare_in_words_and_as_json(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "compare", *files)
    assert (code, err) == (0, "")
    assert "half of what is needed" in out
    code, out, err = run(capsys, "compare", *files, "--json")
    assert (code, err) == (0, "")
    validate(out)
    kinds = [finding["kind"] for finding in json.loads(out)["findings"]]
    assert kinds[0] == "too few"
    assert "missing" in kinds


def validate(out: str) -> None:
    schema = json.loads((HERE / "schemas/compare.json").read_text("utf-8"))
    jsonschema.validate(json.loads(out), schema, cls=jsonschema.Draft202012Validator)


def test_the_width_taken_for_a_strip_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed = tmp_path / "list.txt"
    printed.write_text("6 strips 2 1/2 x WOF plum\n", "utf-8")
    _, out, _ = run(capsys, "compare", "--block", "12", str(printed))
    assert out.startswith("Line 1, plum: 6 of 40 × 2½ in (the cloth's usable width is taken as 40 in), sewn in as they")
    _, out, _ = run(capsys, "compare", "--block", "30", "--unit", "cm", str(printed))
    assert "taken as 100 cm" in out


def test_compare_areas_in_words_and_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed = tmp_path / "list.csv"
    printed.write_text("light,4,4 1/2,4 1/2\nlight,2,4 7/8,4 7/8\ndark,2,4 7/8,4 7/8\ndark,1,4 1/2,4 1/2\n", "utf-8")
    code, out, _ = run(capsys, "compare", "--block", "12", str(printed))
    assert (code, out) == (
        0,
        "Line 1, light: 4 of 4½ × 4½ in, sewn in as they are.\n"
        "Line 2, light: 2 of 4⅞ × 4⅞ in, half-square triangles, two at a time.\n"
        "Line 3, dark: 2 of 4⅞ × 4⅞ in, half-square triangles, two at a time.\n"
        "Line 4, dark: 1 of 4½ × 4½ in, sewn in as they are.\n"
        "The finished pieces add up to 144 sq in, as the block does.\n",
    )
    code, out, _ = run(capsys, "compare", "--block", "12 x 13", str(printed), "--json")
    assert code == 0
    validate(out)
    assert json.loads(out)["difference"] == "-12"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["compare", "list.csv"], "Name a plan and a list"),
        (["compare", "--block", "twelve", "list.csv"], 'read "twelve" as a length'),
        (["compare", "--block", "x", "list.csv"], 'read "x" as a length'),
        (["compare", "--block", "12", "--seam", "x", "list.csv"], 'read "x" as a length'),
        (["compare", "--block", "12", "--seam", "6", "list.csv"], "the seam is too wide for this block"),
        (["compare", "--block", "12", "no-such-list.csv"], "name a file with the list that can be read"),
        (["compare", "--block", "12", "a.csv", "b.csv"], "name one file"),
    ],
)
def test_compare_refuses_in_a_sentence(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert says in err


def test_its_help_shows_both_ways_to_compare(capsys: pytest.CaptureFixture[str]) -> None:
    """It showed `[PLAN] LIST [[PLAN] LIST ...]`, as if any number of them could be given."""
    with pytest.raises(SystemExit):
        main(["compare", "--help"])
    usage = capsys.readouterr().out.partition("\n\n")[0]
    assert [line.split("[--json] ")[1] for line in usage.splitlines()] == [
        "PLAN LIST",
        "--block SIZE [--unit {in,cm}] [--seam LENGTH] LIST",
    ]


def test_a_plan_in_the_place_of_the_list_is_named_once(
    files: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Not every line of it as a row that cannot be read; nor the list as a plan, where the two are swapped."""
    plan, printed = files
    name = Path(plan).name
    for given in ([plan, plan], [printed, plan]):
        said = f"{name}: this is a plan, not a cutting list; name the plan first, then the list.\n"
        assert run(capsys, "compare", *given) == (2, "", said)
    said = f"{name}: this is a plan, not a cutting list; with --block name a list.\n"
    assert run(capsys, "compare", "--block", "12", plan) == (2, "", said)


def test_faults_of_a_list_end_with_two(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    Path(files[1]).write_text("S,many,3,3\nQ,1,3,3\n", "utf-8")
    code, _, err = run(capsys, "compare", *files)
    assert code == 2
    assert [line.split(":")[0] for line in err.splitlines()] == ["list.csv, line 1", "list.csv, line 2"]
    code, out, _ = run(capsys, "compare", *files, "--json")
    assert code == 2
    validate(out)
    Path(files[1]).write_bytes(b"S,1,\xff,3\n")
    code, _, err = run(capsys, "compare", *files)
    assert code == 2
    assert "UTF-8" in err
