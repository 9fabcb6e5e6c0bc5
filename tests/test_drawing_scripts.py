"""The drawing page's own rules by themselves: what a hand does on squared paper, and what becomes of a sheet."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page
from scripts import laid

from tracker.plan.picture import aligned, picture_rows, read_picture

Picture = list[list[str]]

PAPER = "squares.js", "sheet.js"


@pytest.fixture(scope="module")
def paper(phone_device: BrowserContext) -> Iterator[Page]:
    """One page for all: its rules keep nothing."""
    with laid(phone_device) as lay:
        yield lay(*PAPER, "cloth_paint.js")


def done(page: Page, script: str, *given: Any) -> Any:
    """What a script gives that has the pages' rules at hand, and `given` in order."""
    rules = "const { squares, sheet } = sewingRoom;"
    return page.evaluate(f"(given) => {{ {rules} return ({script})(...given); }}", list(given))


def grid(text: str) -> Picture:
    """A picture as it stands in a plan: `S R / R S` is two rows."""
    return [row.split() for row in text.split(" / ")]


def hand(cloth: str = "R", shape: str = "whole", turn: int = 0, same: str = "") -> dict[str, Any]:
    return {"cloth": cloth, "shape": shape, "turn": turn, "same": same}


@pytest.mark.parametrize(
    ("picture", "where", "held", "becomes"),
    [
        ("S S / S S", (0, 1), hand(), "S R / S S"),
        ("S S / S S", (0, 1), hand(shape="half"), "S R/S / S S"),
        ("S S / S S", (0, 1), hand(shape="half", turn=1), "S S\\R / S S"),
        ("S S / S S", (0, 1), hand(shape="half", turn=2), "S S/R / S S"),
        ("S S / S S", (0, 1), hand(shape="half", turn=3), "S R\\S / S S"),
        ("S S / S S", (1, 0), hand(shape="quarter"), "S S / R:S:S:S S"),
        ("S S / S S", (1, 0), hand(shape="quarter", turn=3), "S S / S:S:S:R S"),
        ("S R/S / S S", (0, 1), hand(shape="half"), "S S\\R / S S"),  # it lies there already: it is turned
        ("S R / S S", (0, 1), hand(), "S R / S S"),
        ("S S / S S", (0, 0), hand(same="turned"), "R R / R R"),
        ("S S S / S S S / S S S", (0, 1), hand(shape="half", same="turned"), "S R/S S / R\\S S S\\R / S S/R S"),
        ("S S S / S S S / S S S", (0, 0), hand(shape="half", same="mirrored"), "R/S S S\\R / S S S / R\\S S S/R"),
        ("S S S / S S S / S S S", (0, 1), hand(same="mirrored"), "S R S / R S R / S R S"),
        (
            "T:S:S:T S / S S",
            (0, 0),
            hand(shape="quarter", turn=2, same="mirrored"),
            "T:S:R:T T:T:R:S / R:S:T:T R:T:T:S",
        ),
        ("S S S / S S S", (0, 0), hand(same="turned"), "R S S / S S R"),
        ("S S S / S S S", (0, 0), hand(same="mirrored"), "R S R / R S R"),
        ("S S S / S S S / S S S", (1, 1), hand(shape="half", same="turned"), "S S S / S R/S S / S S S"),
        ("T < S / ^ < S", (1, 1), hand(shape="half"), "R/T < S / ^ < S"),
    ],
)
def test_a_patch_is_laid(picture: str, where: tuple[int, int], held: dict[str, Any], becomes: str, paper: Page) -> None:
    assert done(paper, "squares.lay", grid(picture), *where, held) == grid(becomes)


@pytest.mark.parametrize(
    ("script", "picture", "becomes"),
    [
        ("p => squares.turnCell(p, 0, 0, '')", "A:B:C:D S", "D:A:B:C S"),
        ("p => squares.turnCell(p, 0, 0, '')", "T < / S S", "T < / S S"),
        ("p => squares.turnCell(p, 0, 1, '')", "T/S < / S S", "S\\T < / S S"),
        ("p => squares.turnCell(p, 1, 0, '')", "S\\T / ^", "S/T / ^"),
        ("p => squares.join(p, [0, 0], [1, 1], { cloth: 'R', same: '' })", "S S S / S S S", "R < S / ^ < S"),
        ("p => squares.join(p, [1, 1], [0, 0], { cloth: 'R', same: '' })", "S S S / S S S", "R < S / ^ < S"),
        ("p => squares.join(p, [0, 0], [0, 1], { cloth: 'R', same: '' })", "S T < / S S S", "R < < / S S S"),
        ("p => squares.join(p, [0, 0], [0, 1], { cloth: 'R', same: 'turned' })", "S S S / S S S / S S S",
         "R < R / R S ^ / ^ R <"),
        ("p => squares.part(p, 0, 0, '')", "T < S / ^ < S", "T T S / T T S"),
        ("p => squares.part(p, 0, 0, '')", "T/R < / ^ <", "T T/R / T/R R"),
        ("p => squares.part(p, 1, 1, '')", "A:B:C:D < / ^ <", "D\\A A/B / D/C C\\B"),
        ("p => squares.lay(squares.plain(2, 2, 'S'), 0, 0, { cloth: 'R', shape: 'whole', turn: 0, same: '' })", "S",
         "R S / S S"),
        ("p => squares.addRow(p, 1, 'Q')", "S T / ^ T", "S T / ^ Q / ^ T"),
        ("p => squares.addRow(p, 0, 'Q')", "S T / ^ T", "Q Q / S T / ^ T"),
        ("p => squares.addRow(p, 2, 'Q')", "S T / ^ T", "S T / ^ T / Q Q"),
        ("p => squares.addColumn(p, 1, 'Q')", "S T / ^ T", "S Q T / ^ Q T"),
        ("p => squares.addRow(p, 1, 'Q')", "T/R < / ^ <", "T T/R / Q Q / T/R R"),
        ("p => squares.takeRow(p, 0)", "S T / ^ T", "S T"),
        ("p => squares.takeRow(p, 0)", "S T", "S T"),
        ("p => squares.takeColumn(p, 1)", "S T / ^ T", "S / ^"),
        ("p => squares.takeColumn(p, 0)", "T/R < / ^ <", "T/R / R"),
        ("p => squares.recloth(p, 'S', 'Q')", "S/T S / S:T:S:R ^", "Q/T Q / Q:T:Q:R ^"),
    ],
)  # fmt: skip
def test_cells_are_turned_joined_parted_and_lines_come_and_go(
    script: str, picture: str, becomes: str, paper: Page
) -> None:
    assert done(paper, script, grid(picture)) == grid(becomes)


def test_what_a_hand_draws_is_always_a_picture_that_a_plan_can_hold(paper: Page) -> None:
    """Hundreds of random strokes: every picture is read by the plan's reader, as the same cells."""
    script = """(seed) => {
        let state = seed;
        const chance = (n) => {
            state = (state * 1103515245 + 12345) % 2147483648;
            return Math.floor(state / 65536) % n;
        };
        const of = (list) => list[chance(list.length)];
        let picture = squares.plain(1 + chance(5), 1 + chance(5), 'A');
        const found = [];
        for (let i = 0; i < 60; i += 1) {
            const [rows, columns] = squares.sizeOf(picture);
            const row = chance(rows), column = chance(columns), cloth = of(['A', 'B', 'C']);
            const same = of(['', '', 'turned', 'mirrored']);
            const held = { cloth, same, shape: of(['whole', 'half', 'quarter']), turn: chance(4) };
            picture = of([
                () => squares.lay(picture, row, column, held), () => squares.lay(picture, row, column, held),
                () => squares.turnCell(picture, row, column, same), () => squares.part(picture, row, column, same),
                () => squares.join(picture, [row, column], [chance(rows), chance(columns)], held),
                () => squares.addRow(picture, chance(rows + 1), cloth), () => squares.takeRow(picture, row),
                () => squares.addColumn(picture, chance(columns + 1), cloth), () => squares.takeColumn(picture, column),
            ])();
            found.push(picture);
        }
        return found;
    }"""
    chance = random.Random(15)
    for picture in (each for _ in range(15) for each in done(paper, script, chance.randrange(10**6))):
        drawing = read_picture(aligned(picture), "ABC")
        assert not drawing.faults, picture
        assert picture_rows(drawing.cells, drawing.columns, drawing.rows) == picture


def test_undo_and_redo_go_on_without_end(paper: Page) -> None:
    script = """() => {
        let history = squares.begun(0);
        for (let i = 1; i <= 5000; i += 1) history = squares.changed(history, i);
        for (let i = 0; i < 5001; i += 1) history = squares.undone(history);
        const first = history.now;
        for (let i = 0; i < 4000; i += 1) history = squares.redone(history);
        const again = squares.changed(history, history.now) === history;
        history = squares.changed(history, 'new');
        return [first, history.past.length, squares.redone(history).now, again];
    }"""
    assert done(paper, script) == [0, 4001, "new", True]


SHEET: dict[str, Any] = {
    "head": {"title": "T"},
    "cloths": [{"key": "A", "name": "a"}, {"key": "C", "name": "c"}],
    "blocks": [{"key": "one", "cell": "2", "picture": [["A", "C"], ["A", "A"]]},
               {"key": "two", "columns": ["1", "2"], "rows": ["3"], "picture": [["A", "A"]]}],
    "quilt": {"block": "one", "across": 3, "down": 2, "sash": {"fabric": "C", "finished": "1"}},
    "rest": {},
}  # fmt: skip


@pytest.mark.parametrize(
    ("script", "part", "becomes"),
    [
        ("s => sheet.newCloth(s, { name: 'b' })[0]", "cloths", [*SHEET["cloths"], {"key": "B", "name": "b"}]),
        ("s => sheet.withCloth(s, 1, 'have', '1 yd')", "cloths", [SHEET["cloths"][0], {"key": "C", "name": "c", "have": "1 yd"}]),  # noqa: E501
        ("s => sheet.withCloth(s, 1, 'name', '')", "cloths", [SHEET["cloths"][0], {"key": "C"}]),
        ("s => sheet.withPrint(s, 1, true, true)", "cloths", [
            SHEET["cloths"][0], {"key": "C", "name": "c", "directional": True, "upright": True}]),
        ("s => sheet.withPrint(sheet.withPrint(s, 1, true, true), 1, false, true)", "cloths", SHEET["cloths"]),
        ("s => sheet.withLine(s, 1, 'column', 1, 'C')", "blocks", [SHEET["blocks"][0], {
            "key": "two", "columns": ["1", "2", "2"], "rows": ["3"], "picture": [["A", "C", "A"]]}]),
        ("s => sheet.withLine(s, 1, 'column', 0)", "blocks", [SHEET["blocks"][0], {
            "key": "two", "columns": ["2"], "rows": ["3"], "picture": [["A"]]}]),
        ("s => sheet.withSizes(s, 1, { size: '6' })", "blocks", [SHEET["blocks"][0], {
            "key": "two", "size": "6", "picture": [["A", "A"]]}]),
        ("s => sheet.withShape(s, 2, 3)", "quilt", {**SHEET["quilt"], "across": 2, "down": 3}),
        ("s => sheet.withShape(s, 2, 2, 'on point')", "quilt", {**SHEET["quilt"], "across": 2, "setting": "on point"}),
        ("s => sheet.withPlace(s, 1, 2, 'two')", "quilt", {
            "sash": SHEET["quilt"]["sash"], "blocks": [["one"] * 3, ["one", "one", "two"]]}),
        ("s => sheet.withPlace(sheet.withPlace(s, 1, 2, 'two'), 1, 2, 'one')", "quilt", SHEET["quilt"]),
        ("s => sheet.inTurns(s, ['one', 'two'])", "quilt", {
            "sash": SHEET["quilt"]["sash"], "blocks": [["one", "two", "one"], ["two", "one", "two"]]}),
        ("s => sheet.withTurn(sheet.withTurn(s, 0, 1), 0, 1)", "quilt", {
            **SHEET["quilt"], "turns": [["0", "180", "0"], ["0", "0", "0"]]}),
        ("s => [1, 2, 3, 4].reduce((so) => sheet.withTurn(so, 0, 1), s)", "quilt", SHEET["quilt"]),
        ("s => sheet.withoutBlock(sheet.withPlace(s, 1, 2, 'two'), 1)", "quilt", SHEET["quilt"]),
        ("s => sheet.newBlock(s, 1)", "blocks", [*SHEET["blocks"], {
            **SHEET["blocks"][1], "key": "block3", "name": "Alternate block 2"}]),
    ],
)  # fmt: skip
def test_a_sheet_is_changed_as_a_plan_says_it(script: str, part: str, becomes: Any, paper: Page) -> None:
    given = json.loads(json.dumps(SHEET))
    changed = done(paper, script, given)
    assert changed[part] == becomes
    assert {key: value for key, value in changed.items() if key not in (part, "blocks")} == {
        key: value for key, value in SHEET.items() if key not in (part, "blocks")
    }


@pytest.mark.parametrize(
    ("cloth", "colour", "tone"),
    [
        ({"colour": "#A34d33"}, "#A34d33", 6),
        ({"color": "#ffffff", "tone": 9}, "#ffffff", 9),
        ({"tone": 2}, "#e3ddd2", 2),
        ({}, "#948d84", 5),
        ({"colour": '"/><img src="/x"><rect fill="', "color": "#ffffff"}, "#ffffff", 1),
        ({"colour": "red"}, "#948d84", 5),
        ({"colour": 5}, "#948d84", 5),
        ({"tone": 12}, "#948d84", 5),
        ({"tone": "pale"}, "#948d84", 5),
    ],
)
def test_a_cloth_is_painted_with_a_colour_whatever_its_text_says(
    cloth: dict[str, Any], colour: str, tone: int, paper: Page
) -> None:
    """A text may be drawn before it is a plan."""
    script = "cloth => [sewingRoom.paint.colourOf(cloth), sewingRoom.paint.toneOfCloth(cloth)]"
    assert paper.evaluate(script, cloth) == [colour, tone]


@pytest.mark.parametrize(("key", "uses"), [("A", ["one", "two"]), ("C", ["one", "the sashes"]), ("Q", [])])
def test_where_a_cloth_is_used_is_known(key: str, uses: list[str], paper: Page) -> None:
    assert done(paper, "sheet.usesOf", SHEET, key) == uses


@pytest.mark.parametrize(
    ("text", "parts", "more", "less"),
    [
        ("2", 4, "2 1/4", "1 3/4"),
        ("1 3/4", 4, "2", "1 1/2"),
        ("1/4", 4, "1/2", None),
        ("2 1/8", 4, "2 1/4", "2"),
        ("2.1", 4, "2 1/4", "2"),
        ("6", 10, "6.1", "5.9"),
        ("6.4", 10, "6.5", "6.3"),
        ("0.1", 10, "0.2", None),
        ("two", 4, None, None),
        ("", 4, None, None),
        ("1/0", 4, None, None),
    ],
)
def test_a_length_is_stepped_from_mark_to_mark(
    text: str, parts: int, more: str | None, less: str | None, paper: Page
) -> None:
    assert [done(paper, "sheet.stepped", text, parts, up) for up in (True, False)] == [more, less]
