"""Reading plan files: every valid file, every mistake with its sentences, and plans written and read back."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tracker.exact.measure import Measure
from tracker.plan.defaults import colour_of_tone, tone_of_colour
from tracker.plan.fields import MOST_PROBLEMS
from tracker.plan.model import (
    Backing,
    Binding,
    Border,
    Cell,
    Fabric,
    Frame,
    Plan,
    Quilt,
    Sash,
)
from tracker.plan.picture import read_cell, write_cell
from tracker.plan.plan_reader import PlanReading, read_plan, write_plan
from tracker.plan.problems import Problem, sentence
from tracker.plan.toml_text import TomlLines
from tracker.route.compiler import compile_plan
from tracker.words.names import Names
from tracker.words.plan_notices import notice_sentence

PLANS = Path(__file__).parent / "plans"


def files(folder: str) -> list[Path]:
    """The plan files in a folder, which must hold some: else nothing would be tested."""
    found = sorted((PLANS / folder).glob("*.toml"))
    if not found:
        raise FileNotFoundError(f"no plans in {PLANS / folder}")
    return found


VALID = files("valid")
BROKEN = files("broken")


def by_name(path: Path) -> str:
    return path.stem


def valid(name: str) -> Plan:
    plan = read_plan((PLANS / "valid" / f"{name}.toml").read_bytes()).plan
    assert plan is not None
    return plan


# Files


@pytest.mark.parametrize("path", VALID, ids=by_name)
def test_a_valid_file_is_read_and_reads_back_as_written(path: Path) -> None:
    reading = read_plan(path.read_bytes(), path.name)
    assert [sentence(problem) for problem in reading.problems] == []
    assert reading.plan is not None
    assert read_plan(write_plan(reading.plan)) == PlanReading(reading.plan)


def test_the_valid_files_use_every_key() -> None:
    keys = (
        "title unit seam trimming ruler half_square geese press_rows split_square name tone colour color usable have "
        "directional fat_quarters cell size columns rows combine strips squared squared_framed picture "
        "frame fabric cut finished block blocks across down setting setting_fabric half_turns turns floats sash "
        "cornerstone border corners outer_sash lengthwise binding "
        "backing batting beyond allowance"
    )
    text = "\n".join(path.read_text(encoding="utf-8") for path in VALID)
    assert [key for key in keys.split() if key not in text] == []


@pytest.mark.parametrize("path", BROKEN, ids=by_name)
def test_a_broken_file_is_answered_by_its_sentences(path: Path) -> None:
    reading = read_plan(path.read_bytes(), path.name)
    expected = path.with_suffix(".txt").read_text(encoding="utf-8").splitlines()
    assert [sentence(problem) for problem in reading.problems] == expected
    assert reading.plan is None


# What a plan means


def test_defaults_in_inches_and_in_centimetres() -> None:
    plan = valid("smallest")
    assert (plan.unit, plan.seam, plan.ruler) == ("in", Fraction(1, 4), Fraction(1, 8))
    assert (plan.trimming, plan.half_square, plan.geese) == ("roomy", "two", "flip")
    assert (plan.press_rows, plan.split_square) == ("best", "fitted")
    assert plan.fabrics["A"] == Fabric("A", "any scrap", 5, "#948d84", Measure(40))
    block = plan.blocks["one"]
    assert (block.name, block.combine, block.strips, block.frames) == ("one", False, False, ())
    assert plan.quilt == Quilt((("one",),))
    assert plan.allowance == Fraction(1, 20)
    metric = valid("harbour_metric")
    quilt = metric.quilt
    assert metric.seam == Fraction(3, 4)
    assert quilt.binding == Binding("H", Measure(Fraction(13, 2)))
    assert quilt.backing == Backing("W", Measure(10))
    assert quilt.batting_beyond == 10


def test_a_finished_width_is_cut_with_both_seams() -> None:
    plan = valid("harbour_metric")
    assert plan.blocks["hull"].frames == (Frame("W", Measure(4)), Frame("H", Measure(4)))
    assert plan.quilt.sash == Sash("W", Measure(Fraction(9, 2)), "H")
    assert valid("borders_and_corners").quilt.borders == (
        Border("Q", Measure(Fraction(3, 2))),
        Border("P", Measure(Fraction(9, 2)), "Q", lengthwise=True),
        Border("Q", Measure(Fraction(5, 2))),
    )


def test_cells_share_the_size_of_their_block_exactly() -> None:
    plan = valid("sized_blocks")
    sevens, bars = plan.blocks["sevens"], plan.blocks["bars"]
    assert sevens.columns == sevens.rows == (Measure(Fraction(12, 7)),) * 7
    assert sevens.finished(plan.seam) == (12, 12)
    assert (bars.columns, bars.rows) == ((Measure(2),) * 3, (Measure(12),))
    assert 'size = "12"' in write_plan(plan)
    # What lies off the ruler's marks is said.
    off = {notice.fact("cut") for notice in compile_plan(plan).notices if notice.kind == "off the mark"}
    assert off == {Measure(Fraction(12, 7) + Fraction(1, 2))}


def test_units_that_are_trimmed_off_the_ruler_s_marks_are_said_too() -> None:
    text = (PLANS / "valid/sized_blocks.toml").read_text("utf-8")
    pinwheel = "picture = '''\nD\\L D/L\nL/D L\\D\n'''\n[quilt]\nblock = \"sevens\""
    text = text.partition("picture")[0].replace('size = "12"', 'size = "8 1/8"') + pinwheel
    plan = read_plan(text).plan
    assert plan is not None
    checklist = compile_plan(plan)
    (said,) = checklist.notices
    assert notice_sentence(Names(plan, checklist), said) == (
        "Half-square triangles are trimmed to 4 9⁄16 in, which is off the ruler's marks of ⅛ in; "
        "a cell of 4⅛ in would fit them."
    )
    assert not compile_plan(replace(plan, ruler=Measure(Fraction(1, 16)))).notices


LIGHTNESS = {
    "#ffffff": 1, "#000000": 9, "#808080": 5, "#ff0000": 5, "#00ff00": 2, "#0000ff": 7, "#ffff00": 1, "#00ffff": 1,
    "#ff00ff": 4,
}  # fmt: skip
"""Tones by the L* that colour tables give (from memory of them: 100, 0, 53.6, 53.2, 87.7, 32.3, 97.1, 91.1, 60.3)."""


@pytest.mark.parametrize("colour", LIGHTNESS)
def test_a_tone_follows_from_how_light_a_colour_looks(colour: str) -> None:
    assert tone_of_colour(colour) == LIGHTNESS[colour]


def test_greys_of_tones_have_their_tones_and_light_is_exact() -> None:
    assert [tone_of_colour(colour_of_tone(tone)) for tone in range(1, 10)] == list(range(1, 10))
    tones = [tone_of_colour(f"#{value:02x}{value:02x}{value:02x}") for value in range(256)]
    assert tones == sorted(tones, reverse=True)
    # Of greys the lightness is a plain formula: each tone begins where it reaches a ten.
    for value, tone in enumerate(tones):
        light = value / 255
        luminance = light / 12.92 if light <= 0.04045 else ((light + 0.055) / 1.055) ** 2.4
        assert tone == max(1, min(9, 10 - int((116 * luminance ** (1 / 3) - 16) // 10))), value


def test_a_cloth_s_tone_is_taken_from_its_colour_where_it_has_none() -> None:
    fabrics = valid("sized_blocks").fabrics
    assert {key: (cloth.tone, cloth.colour) for key, cloth in fabrics.items()} == {
        "D": (7, "#3c4a6b"),
        "L": (1, "#f6f2ea"),
    }


def test_lengths_of_other_units_are_exact() -> None:
    fabrics = valid("harbour_metric").fabrics
    assert fabrics["W"].usable == 110
    assert fabrics["W"].have == 250
    assert fabrics["H"].have == Fraction(9144, 100)
    assert valid("harbour_metric").blocks["hull"].rows == (Measure(5), Measure(Fraction(15, 2)), Measure(5))


def test_spans_are_cells_of_several_places() -> None:
    assert valid("pieced_lanes").blocks["large"].cells == (Cell(0, 0, ("E", "F", "F", "E"), 2, 2),)
    lane = valid("pieced_lanes").blocks["lane"]
    assert [(c.row, c.column, c.down, c.across) for c in lane.cells if (c.down, c.across) != (1, 1)] == [
        (0, 1, 1, 2),
        (1, 0, 2, 1),
        (1, 3, 2, 1),
        (3, 1, 1, 2),
    ]
    star = valid("evening_star").blocks["star"]
    assert [c for c in star.cells if c.down == 2] == [Cell(1, 1, ("G",) * 4, 2, 2)]


def test_on_point_long_and_short_rows_take_turns() -> None:
    places = valid("on_point_one_block").quilt.places
    assert [len(row) for row in places] == [3, 2, 3]
    assert sum(map(len, places)) == 3 * 2 + (3 - 1) * (2 - 1)
    assert valid("whirl_on_point").quilt.places[1] == ("rest", "rest")


QUARTERS = [
    ("S", ("S", "S", "S", "S")),
    ("A/B", ("A", "B", "B", "A")),
    ("A\\B", ("B", "B", "A", "A")),
    ("A:B:C:D", ("A", "B", "C", "D")),
    ("A:B:A:B", ("A", "B", "A", "B")),
    ("A:A:B:C", ("A", "A", "B", "C")),
]


@pytest.mark.parametrize(("text", "quarters"), QUARTERS)
def test_cells_are_read_and_written(text: str, quarters: tuple[str, str, str, str]) -> None:
    assert read_cell(text, "SABCD") == quarters
    assert write_cell(quarters) == text


@pytest.mark.parametrize(("four", "two"), [("A:B:B:A", "A/B"), ("B:B:A:A", "A\\B")])
def test_four_quarters_in_two_halves_are_a_diagonal(four: str, two: str) -> None:
    assert read_cell(four, "AB") == read_cell(two, "AB")


# Problems and their places


def test_the_three_faults_are_told_apart() -> None:
    name = "many_faults_at_once"
    text = (PLANS / "broken" / f"{name}.toml").read_bytes()
    assert {problem.kind: problem.fault for problem in read_plan(text).problems} == {
        "float": "misspelt",
        "out of range": "impossible",
        "empty text": "unclear",
        "no such cloth": "misspelt",
        "cell": "misspelt",
        "unknown key": "misspelt",
    }


def test_a_problem_has_its_facts() -> None:
    text = (PLANS / "broken" / "three_cloths.toml").read_bytes()
    assert read_plan(text, "demo.toml").problems == (
        Problem("demo.toml", "cell", 22, None, "beacon", 2, 2, "picture", "R/S/N"),
    )


def test_of_many_problems_the_last_tells_how_many_more() -> None:
    *problems, last = read_plan((PLANS / "broken" / "sixty_faults.toml").read_bytes()).problems
    assert len(problems) == MOST_PROBLEMS
    assert (last.kind, last.read) == ("more", "14")


LINES_TEXT = """\
# a remark with [brackets] and 'quotes
title = "a # that is no remark"
long = '''
[not.a.table]
x = 1
'''
also = \"\"\"first
second \\"\"\" third\"\"\"
a.b.c = 1
["quoted.key".x]
y = { p = 1, q = [ "one",
  # between
  "two" ] }
[[many]]
n = 1
[many.sub]
z = 1
[[many]]
n = 2
  [[many.inner]]
  m = 1
  [[many.inner]]
  m = 2
[last]
when = 1979-05-27 07:32:00
deep = [[[[[[[[[[["x]"]]]]]]]]]]]
end = true"""

PLACES = [
    (("title",), 2),
    (("long",), 3),
    (("also",), 7),
    (("a", "b"), 9),
    (("a", "b", "c"), 9),
    (("quoted.key", "x"), 10),
    (("quoted.key", "x", "y", "p"), 11),
    (("quoted.key", "x", "y", "q", 0), 11),
    (("quoted.key", "x", "y", "q", 1), 13),
    (("many",), 14),
    (("many", 0, "n"), 15),
    (("many", 0, "sub", "z"), 17),
    (("many", 1), 18),
    (("many", 1, "n"), 19),
    (("many", 1, "inner", 0, "m"), 21),
    (("many", 1, "inner", 1), 22),
    (("many", 1, "inner", 1, "m"), 23),
    (("last", "when"), 25),
    (("last", "end"), 27),
    (("last", "not there"), 24),
    (("nowhere",), None),
]


@pytest.mark.parametrize(("path", "line"), PLACES, ids=lambda value: str(value))
def test_every_key_has_its_line(path: tuple[str | int, ...], line: int | None) -> None:
    assert TomlLines(LINES_TEXT).line(path) == line


def test_lines_within_texts() -> None:
    lines = TomlLines(LINES_TEXT)
    assert lines.text_line(("long",), 1) == 5
    assert lines.text_line(("also",), 1) == 8
    assert lines.text_line(("title",), 0) == 2
