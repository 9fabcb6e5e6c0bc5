"""Text and drawing are one plan: either is made of the other, and an older text keeps its remarks and its order."""

from __future__ import annotations

import json
import tomllib
from contextlib import suppress

import plan_strategies
import pytest
from hypothesis import given
from hypothesis import strategies as st
from visitors import SMALL_PLAN

from tracker.plan.drawn_plan import NoSheet, drawn_plan, plan_text, read_sheet
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan, write_plan
from tracker.plan.plan_text import rewritten, written


def sheet_of(text: str) -> dict[str, object]:
    """A text as it is drawn, sent to a page and back."""
    sheet, problems = drawn_plan(text)
    assert sheet is not None, problems
    return read_sheet(json.dumps(sheet))


PLANS = plan_strategies.plans(spans="any") | plan_strategies.whole_quilts()


@given(PLANS)
def test_a_drawing_written_as_text_is_drawn_as_before_and_says_the_same_plan(plan: Plan) -> None:
    sheet = sheet_of(write_plan(plan))
    text = plan_text(sheet)
    assert sheet_of(text) == sheet
    assert read_plan(text).plan == plan


def remarked(text: str) -> str:
    """A text with a remark above every line that is no part of a picture, and behind every length."""
    lines, inside = [], False
    for number, line in enumerate(text.split("\n")):
        if not inside:
            lines.append(f"# remark {number}")
        lines.append(line + "  # of hers" if line.startswith(("cell", "cut", "tone")) else line)
        inside = inside != (line.count("'''") == 1)
    return "\n".join(lines)


@given(PLANS, PLANS)
def test_a_text_changed_by_drawing_says_what_is_drawn_and_keeps_its_remarks(former: Plan, drawn: Plan) -> None:
    text = remarked(write_plan(former))
    changed = plan_text(sheet_of(write_plan(drawn)), text)
    assert read_plan(changed).plan == drawn
    kept = [line for line in changed.split("\n") if line.startswith("# remark")]
    if drawn.fabrics.keys() >= former.fabrics.keys() and drawn.blocks.keys() >= former.blocks.keys():
        assert kept[0] == "# remark 0"
    assert plan_text(sheet_of(text), text) == text


HAND = """\
# For the window seat.
title = 'Lantern cushion'   # or Lamp?
[quilt]
block = "lantern"
across = 2
down = 1

# From the blue chest.
[fabrics.S]
tone = 2  # pale
name = "pale sand"
[fabrics.R]
name = "lamp red"
tone = 7

[blocks]
lantern = { cell = "2", picture = "R S" }
"""


def edited(change: str) -> str:
    """The text written by hand after one change to its drawing."""
    sheet = sheet_of(HAND)
    exec(change, {"sheet": sheet})
    return plan_text(sheet, HAND)


@pytest.mark.parametrize(
    ("change", "before", "after"),
    [
        ("", "", ""),
        ("sheet['head']['title'] = 'Lamp'", "'Lantern cushion'", '"Lamp"'),
        ("sheet['cloths'][0]['tone'] = 3", "tone = 2", "tone = 3"),
        ("sheet['cloths'][0]['have'] = '2 yd'", '"pale sand"\n', '"pale sand"\nhave = "2 yd"\n'),
        ("sheet['cloths'][0]['upright'] = True", '"pale sand"\n', '"pale sand"\nupright = true\n'),
        ("sheet['quilt']['across'] = 4", "across = 2", "across = 4"),
        ("del sheet['quilt']['across']", "across = 2\n", ""),
        ("sheet['blocks'][0]['picture'] = [['S', 'R']]", '"R S"', "'''\nS  R\n'''"),
        ("sheet['quilt']['sash'] = {'fabric': 'S', 'finished': '1'}", "down = 1\n",
         'down = 1\n\n[quilt.sash]\nfabric = "S"\nfinished = "1"\n'),
        ("sheet['cloths'].append({'key': 'T', 'name': 'teal', 'tone': 5})", "tone = 7\n",
         'tone = 7\n\n[fabrics.T]\nname = "teal"\ntone = 5\n'),
        ("sheet['cloths'].pop(0)", '[fabrics.S]\ntone = 2  # pale\nname = "pale sand"\n', ""),
    ],
)  # fmt: skip
def test_only_what_was_drawn_otherwise_is_written_anew(change: str, before: str, after: str) -> None:
    assert edited(change) == HAND.replace(before, after) if before else HAND


def test_what_cannot_be_changed_in_place_is_written_anew_below_its_remarks() -> None:
    text = edited("sheet['blocks'].append({'key': 'plain', 'cell': '2', 'picture': [['S']]})")
    assert text.startswith("# For the window seat.\n")
    assert read_plan(text).plan is not None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("title = ", "value"),
        (SMALL_PLAN.replace("R    S\\R", "R"), "ragged"),
        (SMALL_PLAN.replace("R    S\\R", "R Q"), "such cloth"),
        ("fabrics = 2", "not a table"),
        ("[fabrics]\nS = 2", "not a table"),
    ],
)
def test_a_text_whose_pictures_cannot_be_read_is_not_drawn(text: str, words: str) -> None:
    sheet, problems = drawn_plan(text)
    assert sheet is None
    assert any(words in problem.kind for problem in problems)


def test_a_text_that_is_no_plan_yet_is_drawn_all_the_same() -> None:
    """Sizes that are missing or wrong are told while it is drawn."""
    text = SMALL_PLAN.replace('cell = "2"', 'cell = "two"').replace("across = 2\n", "")
    sheet = sheet_of(text)
    assert plan_text(sheet, text) == text


@pytest.mark.parametrize(
    "sent",
    ["", "{", "[]", "3", '{"cloths": 2}', '{"blocks": [{"name": "a"}]}', '{"head": []}', "[" * 5000,
     '{"blocks": [{"key": "a", "picture": "S"}]}', '{"blocks": [{"key": "a", "picture": ["S"]}]}'],
)  # fmt: skip
def test_what_is_no_drawing_is_said_so(sent: str) -> None:
    with pytest.raises(NoSheet):
        read_sheet(sent)


@pytest.mark.parametrize("former", ["", 'title = "Lamps"\n'])
@pytest.mark.parametrize(("opened", "closed"), [("[", "]"), ('{"a": ', "}")])
def test_lists_within_lists_without_end_are_no_drawing(opened: str, closed: str, former: str) -> None:
    for depth in (300, 600, 900):
        inner = opened * depth + "1" + closed * depth
        with suppress(NoSheet):
            plan_text(read_sheet(f'{{"head": {{"title": {inner}}}}}'), former)


NAMES = st.text(st.characters(codec="utf-8"), max_size=12)
VALUES = st.recursive(NAMES | st.booleans() | st.integers(-(2**60), 2**60), lambda inner: st.lists(inner, max_size=3))
TABLES = st.recursive(
    st.dictionaries(NAMES, VALUES, max_size=3),
    lambda inner: st.dictionaries(NAMES, VALUES | inner | st.lists(inner, min_size=1, max_size=2), max_size=3),
    max_leaves=6,
)


@given(TABLES, TABLES)
def test_whatever_a_table_holds_is_written_so_that_it_is_read_again(
    former: dict[str, object], table: dict[str, object]
) -> None:
    assert tomllib.loads(written(table)) == table
    assert tomllib.loads(rewritten(written(former), table)) == table
