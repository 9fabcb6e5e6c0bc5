"""A printed list compared on screen: typed, pasted or filled in, with a plan and without; nothing typed is lost."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from visitors import SMALL_PLAN, Visitor, add_quilt, words_of
from werkzeug.test import TestResponse

from tracker.store.quilts import Store, StoredQuilt
from tracker.web.list_form import MOST_FAULTS, MOST_ROWS, MOST_TEXT

RIGHT = "S 2 of 3\nR 2 of 3\nR 4 of 2 1/2"
"""What the small quilt takes: two blocks of two half-square triangles and two squares each."""


def compare(phone: Visitor, quilt: StoredQuilt, text: str = "", do: str = "compare", **fields: Any) -> TestResponse:
    return phone.post(f"/quilts/{quilt.id}/compare", {"list": text, "do": do, **fields})


def row(cloth: str, count: str, width: str, part: str = "", height: str = "", height_part: str = "") -> dict[str, str]:
    sides = {"width": width, "width_part": part, "height": height, "height_part": height_part}
    return {"cloth": cloth, "count": count, **sides}


def table(*rows: dict[str, str]) -> dict[str, list[str]]:
    return {name: [each[name] for each in rows] for name in rows[0]}


def typed(answer: TestResponse) -> str:
    """What stands in the text box."""
    found = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", answer.text, re.DOTALL)
    assert found is not None
    return html.unescape(found.group(1))


def fields(answer: TestResponse, name: str) -> list[str]:
    """What stands in the table's fields of a name, those left empty aside."""
    if name in ("cloth", "shape") or name.endswith("_part"):
        boxes = re.findall(rf'<select name="{name}".*?</select>', answer.text, re.DOTALL)
        chosen = [re.search(r'<option value="([^"]*)" selected>', box) for box in boxes]
        return [each.group(1) for each in chosen if each]
    return [html.unescape(value) for value in re.findall(rf'name="{name}" value="([^"]+)"', answer.text)]


def test_the_quilt_and_the_first_page_lead_there(phone: Visitor, quilt: StoredQuilt) -> None:
    assert f'href="/quilts/{quilt.id}/compare">Compare a printed list' in phone.get(f"/quilts/{quilt.id}").text
    assert 'href="/compare">' in phone.get("/").text
    for path in (f"/quilts/{quilt.id}/compare", "/compare"):
        assert phone.get(path).status_code == 200
    assert phone.get("/quilts/nowhere/compare").status_code == 404


def test_a_right_list_agrees_with_the_plan(phone: Visitor, quilt: StoredQuilt) -> None:
    answer = compare(phone, quilt, RIGHT)
    assert answer.status_code == 200
    assert "✓ The list agrees with the plan. What was read: 3 rows" in words_of(answer)
    assert "4 of 2½ × 2½ in" in words_of(answer)


def test_text_and_table_together_are_the_list(phone: Visitor, quilt: StoredQuilt) -> None:
    rows = table(row("S", "2", "3"), row("", "", ""), row("R", "4", "2", "1/2", "2", "1/2"))
    assert "The list agrees with the plan." in words_of(compare(phone, quilt, "R 2 of 3", **rows))
    assert "The list agrees with the plan." in words_of(
        compare(phone, quilt, **table(row("S", "2", "3"), row("R", "2", "3"), row("R", "4", "2 1/2")))
    )


def test_differences_are_told_the_worst_first_with_their_slips(phone: Visitor, quilt: StoredQuilt) -> None:
    answer = compare(phone, quilt, "R 5 of 9\nS 1 of 3\nR 4 of 2", **table(row("R", "2", "3"), row("S", "3", "7")))
    words = words_of(answer)
    assert "4 differences, 2 to put right." in words
    places = [
        words.index(said)
        for said in (
            "Wrong size Line 3, lamp red R 4 of 2 The list has 4 of 2 × 2 in; the plan needs 4 of 2½ × 2½ in.",
            "That is the finished size: the seam allowance is missing. Cut so, they are too small",
            "Too few Line 2, pale sand S 1 of 3 The list has 1 of 3 × 3 in; the plan needs 2 of 3 × 3 in.",
            "That is half of what is needed. Cut 2 in all: 1 more than the list says here.",
            "Not needed Line 1, lamp red R 5 of 9",
            "Not needed Row 2, pale sand",
        )
    ]
    assert places == sorted(places)
    assert typed(answer) == "R 5 of 9\nS 1 of 3\nR 4 of 2"
    assert (fields(answer, "cloth"), fields(answer, "width")) == (["R", "S"], ["3", "7"])


def test_rows_of_one_size_are_counted_together(phone: Visitor, quilt: StoredQuilt) -> None:
    rows = table(row("R", "1", "2", "1/2"))
    words = words_of(compare(phone, quilt, "S 2 of 3\nR 2 of 3\nR 2 of 2½", **rows))
    assert "Too few Line 3 and row 1, lamp red" in words
    assert "The list has 3 of 2½ × 2½ in; the plan needs 4" in words


BROKEN = "S 2 of 3\nmoss 4 of 3\nS 24 2 <b>\nR 2 of 3"


def test_nothing_typed_is_lost_when_lines_are_wrong(phone: Visitor, quilt: StoredQuilt) -> None:
    rows = table(row("R", "four", "2", "1/2"), row("", "4", "2"), row("S", "3", "2 1/2", "1/8"))
    answer = compare(phone, quilt, BROKEN, **rows)
    assert answer.status_code == 422
    words = words_of(answer)
    assert "5 lines to put right, then compare again." in words
    for said in (
        'Line 2 moss 4 of 3 There is no fabric "moss" in the plan; it has S (pale sand), R (lamp red).',
        'Line 3 S 24 2 <b> Read "<".'[:24],
        'Row 1 Read "four" as a count; it is a whole number from 1.',
        "Row 2 Choose the cloth of this row.",
        'Row 3 Read "2 1/2 1/8" as a length; write it as 2 1/2, 2.5 or 6.4 cm.',
    ):
        assert said in words
    assert "The list has" not in words
    assert typed(answer) == BROKEN
    assert fields(answer, "count") == ["four", "4", "3"]
    assert fields(answer, "width") == ["2", "2", "2 1/2"]
    assert fields(answer, "width_part") == ["1/2", "1/8"]
    assert fields(answer, "cloth") == ["R", "S"]


def test_a_line_of_two_readings_is_asked_about_and_the_answer_put_in(phone: Visitor, quilt: StoredQuilt) -> None:
    text = "S 2 3\nR 2 of 3\nR 4 of 2 1/2"
    answer = compare(phone, quilt, text)
    assert answer.status_code == 422
    offered = re.findall(r'name="reading-1" value="([^"]*)"', answer.text)
    assert offered == ["S: 2 of 3 x 3", "S: 3 of 2 x 2"]
    settled = compare(phone, quilt, text, **{"reading-1": offered[0]})
    assert "The list agrees with the plan." in words_of(settled)
    assert typed(settled).splitlines()[0] == "S: 2 of 3 x 3"


@pytest.mark.parametrize(
    "name", ["reading-0", "reading-9", "reading--1", "reading-x", "reading-" + "9" * 5000, "reading-²", "reading-"]
)
def test_a_reading_of_no_line_is_passed_over(name: str, phone: Visitor, quilt: StoredQuilt) -> None:
    assert typed(compare(phone, quilt, RIGHT, **{name: "S 9 of 9"})) == RIGHT


def test_more_rows_come_with_all_that_is_typed(phone: Visitor, quilt: StoredQuilt) -> None:
    answer = compare(phone, quilt, BROKEN, do="more", **table(*[row("S", "2", "3", "1/4")] * 6))
    assert answer.status_code == 200
    assert answer.text.count("<legend>Row") == 10
    assert typed(answer) == BROKEN
    assert fields(answer, "count") == ["2"] * 6
    full = compare(phone, quilt, do="more", **table(*[row("S", "2", "3")] * (MOST_ROWS + 50)))
    assert full.text.count("<legend>Row") == MOST_ROWS


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "There is no list yet: paste one, type one, or fill in a row."),
        (" \n\t\n", "There is no list yet"),
        ("x" * (MOST_TEXT + 1), "more than 100,000 characters"),
        ("S 2 of 3\n" * 5001, "a list has at most 5,000 rows".capitalize()),
        ("=====", "The list is empty; a row has fabric, count, width and height."),
        ("\x00\x1b[31m S 2 of 3", "Line 1"),
        ("Pale sand", "The list has a heading and no rows under it."),
    ],
)
def test_what_cannot_be_compared_is_said_in_a_sentence(
    text: str, words: str, phone: Visitor, quilt: StoredQuilt
) -> None:
    answer = compare(phone, quilt, text)
    assert answer.status_code == 422
    assert words in words_of(answer)


def test_of_many_wrong_lines_the_first_are_told(phone: Visitor, quilt: StoredQuilt) -> None:
    answer = compare(phone, quilt, "Q 2 of 3\n" * (MOST_FAULTS + 7))
    assert answer.text.count("There is no fabric") == MOST_FAULTS
    assert "57 lines to put right" in words_of(answer)
    assert "And 7 more." in words_of(answer)


def test_a_list_of_another_quilt_is_told_in_part(phone: Visitor, quilt: StoredQuilt) -> None:
    text = "\n".join(f"S 2 of {side}" for side in range(20, 140))
    assert re.search(
        r"And \d+ more: this seems to be the list of another quilt\.", words_of(compare(phone, quilt, text))
    )


def test_markup_in_a_list_is_text(phone: Visitor, quilt: StoredQuilt) -> None:
    rows = table(row("S", "<b>2</b>", '"><i>'))
    answer = compare(phone, quilt, "</textarea><script>alert(1)</script> 2 of 3", **rows)
    assert "<script>alert" not in answer.text
    assert "<b>2</b>" not in answer.text
    assert "<i>" not in answer.text
    assert fields(answer, "width") == ['"><i>']


def test_comparing_keeps_nothing(phone: Visitor, quilt: StoredQuilt, store: Store) -> None:
    before = (quilt.version, dict(quilt.about), len(store.quilts()))
    compare(phone, quilt, BROKEN)
    compare(phone, quilt, RIGHT)
    phone.post("/compare", {"list": "2 of 3", "across": "4", "do": "compare"})
    assert (quilt.version, dict(quilt.about), len(store.quilts())) == before


def test_another_site_s_page_and_a_stranger_compare_nothing(phone: Visitor, quilt: StoredQuilt, room: Any) -> None:
    path = f"/quilts/{quilt.id}/compare"
    assert phone.post(path, {"list": RIGHT}, Origin="http://elsewhere.test").status_code == 403
    assert Visitor(room, paired=False).post(path, {"list": RIGHT}).status_code == 403
    assert Visitor(room, paired=False).get("/compare").status_code == 403


METRIC = SMALL_PLAN.replace("[fabrics.S]", 'unit = "cm"\n[fabrics.S]', 1).replace('cell = "2"', 'cell = "5"')


def test_in_centimetres_sides_are_typed_with_comma_or_point(phone: Visitor, store: Store) -> None:
    quilt = add_quilt(store, METRIC)
    page = phone.get(f"/quilts/{quilt.id}/compare").text
    assert 'inputmode="decimal"' in page
    assert "width_part" not in page
    rows = {
        "cloth": ["S", "R", "R"],
        "count": ["2", "2", "4"],
        "width": ["7,9", "7.9", "6,5"],
        "height": ["", "", "6.5"],
    }
    assert "The list agrees with the plan." in words_of(compare(phone, quilt, **rows))


# Without a plan


def areas(phone: Visitor, text: str = "", do: str = "compare", **fields: Any) -> TestResponse:
    return phone.post("/compare", {"list": text, "do": do, "unit": "in", "across": "12", "seam": "1/4", **fields})


SHOO_FLY = "light 4 of 4 1/2\nlight 2 of 4 7/8\ndark 2 of 4 7/8\ndark 1 of 4 1/2"
"""Block of the month 2006 no. 2: Shoo Fly, 2006, in usual squares."""


def test_areas_that_add_up_and_how_the_rows_were_taken(phone: Visitor) -> None:
    words = words_of(areas(phone, SHOO_FLY))
    assert "✓ The finished pieces add up to 144 sq in, as the block does." in words
    assert "2 of 4⅞ × 4⅞ in , half-square triangles, two at a time Line 2" in words


def test_areas_that_do_not_add_up_say_what_is_missing(phone: Visitor) -> None:
    answer = areas(phone, SHOO_FLY.replace("4 of", "3 of"), down="12", down_part="1/2")
    assert "The finished pieces add up to 128 sq in, the block to 150 sq in: 22 sq in missing." in words_of(answer)
    assert typed(answer) == SHOO_FLY.replace("4 of", "3 of")
    assert (fields(answer, "across"), fields(answer, "down"), fields(answer, "down_part")) == (["12"], ["12"], ["1/2"])


def test_what_a_row_is_made_into_is_taken_as_said(phone: Visitor) -> None:
    rows = {"count": ["8", "4", "4", "1"], "width": ["2", "2", "3", "3"], "width_part": ["", "", "1/2", "1/2"]}
    rows |= {"height": ["", "", "2", ""], "shape": ["flip", "", "", ""]}
    answer = areas(phone, across="6", **rows)
    assert "add up to 36 sq in, as the block does" in words_of(answer)
    assert fields(answer, "shape") == ["flip"]
    rows["shape"] = ["flip", "", "hst", ""]
    assert "Row 3 Triangles are made of squares here" in words_of(areas(phone, across="6", **rows))


def test_the_unit_is_changed_with_all_that_is_typed(phone: Visitor) -> None:
    answer = areas(phone, "4 of 12", do="cm")
    assert (typed(answer), fields(answer, "across"), fields(answer, "seam")) == ("4 of 12", ["12"], ["0.75"])
    assert 'name="unit" value="cm"' in answer.text
    metric = areas(phone, "1 of 12", unit="cm", across="10,5", seam="0,75")
    assert "add up to 110.25 sq cm, as the block does" in words_of(metric)
    assert fields(areas(phone, "1 of 12", unit="cm", seam="0.6"), "seam") == ["0.6"]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"across": ""}, "Type the block's finished size, such as 12."),
        ({"across": "twelve"}, 'Read "twelve" as a length'),
        ({"down": "0"}, "a length is above 0"),
        ({"seam": "7"}, "The seam is too wide for this block"),
        ({"seam": "wide"}, 'Read "wide" as a length'),
        ({"across": "y" * 5000}, "as a length"),
    ],
)
def test_a_block_that_cannot_be_read_is_said_in_a_sentence(given: dict[str, str], words: str, phone: Visitor) -> None:
    answer = areas(phone, SHOO_FLY, **given)
    assert answer.status_code == 422
    assert words in html.unescape(words_of(answer))
    assert typed(answer) == SHOO_FLY


@pytest.mark.parametrize("unit", ["", "furlong", "in\x00", "x" * 3000])
def test_a_unit_that_is_none_is_passed_over(unit: str, phone: Visitor) -> None:
    assert "144 sq in" in words_of(areas(phone, SHOO_FLY, unit=unit, seam=""))
