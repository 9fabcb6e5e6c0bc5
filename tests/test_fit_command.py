"""`sewing-room fit`: the worked example as printed, its JSON held to its schema, and figures that are asked about."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from sizing import LANTERN, WORKED, lantern_text
from test_cli import run, schema

Capsys = pytest.CaptureFixture[str]
HEADING = "block,w1,w2,w3,h1,h2,h3,d1,d2,maker"
GOOD = "1,10 1/2,10 1/2,10 1/2,10 1/2,10 1/2,10 1/2"


def report(capsys: Capsys, *arguments: str) -> dict[str, Any]:
    code, out, err = run(capsys, "fit", *arguments, "--json")
    found: dict[str, Any] = json.loads(out)
    jsonschema.validate(found, schema("fit"), cls=jsonschema.Draft202012Validator)
    assert (code, err) == (2 if found["errors"] else 0, "")
    return found


def test_the_worked_example_as_json(capsys: Capsys) -> None:
    found = report(capsys, str(LANTERN), str(WORKED))
    assert {key: found[key] for key in ("planned", "proposed", "size", "way", "strips", "rows")} == {
        "planned": "10 1/2", "proposed": "10 3/8", "size": "10 3/8", "way": "smaller", "strips": None, "rows": None,
    }  # fmt: skip
    by_number = {block["block"]: block for block in found["blocks"]}
    assert by_number["3"]["points_lost"] == ["1/12", "1/16"]
    assert by_number["7"] | {"short": ["3/16", "1/16"], "do": "ease"} == by_number["7"]
    assert (by_number["9"]["bow"][0], by_number["10"]["taper"][0], by_number["12"]["lean"]) == ("-1/8", "3/16", "1/4")
    assert by_number["1"]["lean"] is None
    assert found["makers"][1] == {"maker": "second", "seam_error": ["43/1536", "35/1536"]}


def test_another_size_is_tried_and_frames_reach(capsys: Capsys) -> None:
    assert report(capsys, str(LANTERN), str(WORKED), "--size", "10 1/2")["way"] == "keep"
    framed = report(capsys, str(LANTERN), str(WORKED), "--size", "12½ in")
    assert (framed["way"], framed["strips"], framed["size"], framed["proposed"]) == ("frames", "2", "12 1/2", "10 3/8")


def test_strips_all_round_where_there_is_no_frame(capsys: Capsys, tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(lantern_text(frame=False), "utf-8")
    found = report(capsys, str(plan), str(WORKED), "--size", "11 1/2")
    assert (found["way"], found["strips"]) == ("strips", "1 3/8")
    assert {block["do"] for block in found["blocks"]} == {"strips", "press"}
    assert report(capsys, str(plan), str(WORKED))["rows"][0] == ["7", "5", "6"]


def test_printed_it_begins_with_what_is_pressed_first_and_one_calm_sentence(capsys: Capsys) -> None:
    code, out, _ = run(capsys, "fit", str(LANTERN), str(WORKED))
    lines = out.splitlines()
    assert code == 0
    assert lines[0] == "First press blocks 9, 10 and 12 again and measure them. Then square them all to 10⅜ in."
    assert lines[1].startswith("3 pressed and measured again first, 4 trimmed, 4 eased and 1 sewn again.")
    assert any("second, 4 blocks" in line and "the guide" in line for line in lines)


ASKED = [
    ("105 for 10 1/2", GOOD.replace("10 1/2", "105", 1), "read “105” as the width near the top edge"),
    ("105 again", GOOD.replace("10 1/2", "105", 1), "was 10 1/2 meant?"),
    ("101/2 for 10 1/2", GOOD.replace("10 1/2", "101/2", 1), "was 10 1/2 meant?"),
    ("1038 for 10 3/8", GOOD.replace("10 1/2", "1038", 1), "was 10 3/8 meant?"),
    ("10916 for 10 9/16", GOOD.replace("10 1/2", "10916", 1), "was 10 9/16 meant?"),
    ("no ruler shows it", GOOD.replace("10 1/2", "1037", 1), "measure once more, and write what the ruler shows"),
    ("a width of nothing", GOOD.replace("10 1/2", "0", 1), "it measures more than nothing, and is planned 10 1/2 in"),
    ("below nothing", GOOD.replace("10 1/2", "-10 1/2", 1), "it measures more than nothing"),
    ("far too much", GOOD.replace("10 1/2", "14", 1), "measure once more, and write what the ruler shows"),
    ("no length", GOOD.replace("10 1/2", "ten", 1), "a length is written as 10 1/2"),
    ("empty", GOOD.replace("10 1/2", "", 1), "the width near the top edge is missing"),
    ("one diagonal", f"{GOOD},14 7/8", "the second diagonal is missing"),
    ("a diagonal mistyped", f"{GOOD},14 7/8,147/8", "was 14 7/8 meant?"),
    ("no such block", GOOD.replace("1,", "13,", 1), "Read “13” as a block's number"),
    ("a block twice", f"{GOOD}\n{GOOD}", "Block 1 stands twice"),
    ("a comma for a point", GOOD.replace("10 1/2", "10,5", 6) + ",,,", "within a length write a point"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "lines", "asked"), ASKED, ids=[row[0] for row in ASKED])
def test_figures_that_cannot_be_are_asked_about_in_one_sentence(
    name: str, lines: str, asked: str, capsys: Capsys, tmp_path: Path
) -> None:
    table = tmp_path / "measures.csv"
    table.write_text(f"{HEADING}\n{lines}\n", "utf-8")
    code, out, err = run(capsys, "fit", str(LANTERN), str(table))
    assert (code, out) == (2, "")
    (sentence,) = err.splitlines()
    assert sentence.startswith("measures.csv, line ")
    assert asked in sentence
    assert report(capsys, str(LANTERN), str(table))["errors"] == [sentence]


TABLES = [
    ("", "The table is empty"),
    ("block,w1,w2,w3,h1,h2\n", "lacks h3"),
    (f"{HEADING},colour\n{GOOD}", "Read “colour” in the heading"),
    (f"{HEADING}\n", "no blocks under it"),
    ("block,w1,w1,w2,w3,h1,h2,h3\n1", "w1 twice"),
]


@pytest.mark.parametrize(("text", "said"), TABLES)
def test_a_table_that_is_none(text: str, said: str, capsys: Capsys, tmp_path: Path) -> None:
    table = tmp_path / "measures.csv"
    table.write_text(text, "utf-8")
    code, _, err = run(capsys, "fit", str(LANTERN), str(table))
    assert code == 2
    assert said in err
    assert len(err.splitlines()) == 1


OPTIONS = [
    (("--size", "30"), "it can be from 2 1/2 to 21 in unfinished"),
    (("--size", "small"), "a length is written as 10 3/8"),
    (("--kind", "latern"), 'it has "lantern"'),
]


@pytest.mark.parametrize(("options", "said"), OPTIONS)
def test_options_that_say_nothing(options: tuple[str, ...], said: str, capsys: Capsys) -> None:
    code, _, err = run(capsys, "fit", str(LANTERN), str(WORKED), *options)
    assert code == 2
    assert said in err


def test_framed_needs_a_frame_and_measures_with_it(capsys: Capsys, tmp_path: Path) -> None:
    plan, table = tmp_path / "plan.toml", tmp_path / "measures.csv"
    plan.write_text(lantern_text(frame=False), "utf-8")
    table.write_text(f"{HEADING}\n{GOOD.replace('10 1/2', '12 1/2')}\n", "utf-8")
    code, _, err = run(capsys, "fit", str(plan), str(table), "--framed")
    assert (code, "leave --framed out" in err) == (2, True)
    assert report(capsys, str(LANTERN), str(table), "--framed")["blocks"][0]["do"] == "leave"
