"""A quilt drawn by touch: what the page sends, and what it is told."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any

import pytest
from visitors import SMALL_PLAN, Quilt, Visitor, words_of

from tracker.plan.drawn_plan import drawn_plan
from tracker.plan.plan_reader import read_plan
from tracker.store.quilts import Store
from tracker.words.colour_names import COLOURS


def sheet_of(text: str) -> dict[str, Any]:
    sheet, problems = drawn_plan(text)
    assert sheet is not None, problems
    return sheet


SMALL = sheet_of(SMALL_PLAN)


def sheet_on(page: str) -> dict[str, Any]:
    """The sheet that a page begins with."""
    found = re.search(r'data-sheet="([^"]*)"', page)
    assert found is not None
    sheet: dict[str, Any] = json.loads(unescape(found[1]))
    return sheet


def asked(phone: Visitor, sheet: object, path: str = "/draw/look", **more: str) -> dict[str, Any]:
    """What the page is told at last, asking again as it does."""
    form = {"sheet": json.dumps(sheet), "looker": "drawing1", **more}
    answer = phone.post(path, form)
    while answer.status_code == 204 or answer.json["state"] == "under way":
        answer = phone.post(path, form | {"again": "picture"})
    told: dict[str, Any] = answer.json
    return told


def test_squared_paper_is_a_plan_that_can_be_sewn_as_it_stands(phone: Visitor, store: Store) -> None:
    sheet = sheet_on(phone.get("/draw").text)
    assert [len(row) for row in sheet["blocks"][0]["picture"]] == [3, 3, 3]
    assert asked(phone, sheet)["state"] == "made"
    answer = phone.post("/draw/make", {"sheet": json.dumps(sheet), "wanted": "abc234"})
    assert answer.json == {"at": "/quilts/abc234"}
    assert phone.post("/draw/make", {"sheet": json.dumps(sheet), "wanted": "abc234"}).json == answer.json
    (made,) = store.quilts()
    assert read_plan(made.about["plan"]).plan is not None
    assert made.about["title"] == sheet["head"]["title"]


def test_it_is_told_what_it_comes_to(phone: Visitor) -> None:
    told = asked(phone, SMALL)
    assert told["state"] == "made"
    assert told["drawing"].startswith("<svg")
    assert told["faults"] == []
    assert told["sizes"]["block lantern"] == {
        "finished": "4 in square", "cut": "4½ in square", "columns": "2  2", "rows": "2  2",
        "cell": "2", "patch": "2 1/2", "inside": "4",
    }  # fmt: skip
    figures = told["figures"]
    assert (figures["size"], figures["unfinished"], figures["pieces"]) == ("8 × 4 in", "8½ × 4½ in", 8)
    assert figures["steps"] >= figures["passes"] > 10
    assert re.fullmatch(r"about \d+ minutes", figures["time"])
    assert [(cloth["key"], cloth["whole"]) for cloth in figures["cloths"]] == [("S", "⅛ yd"), ("R", "⅛ yd")]
    assert asked(phone, SMALL, "/draw/proof") == {"state": "done", "fault": "", "steps": figures["steps"]}


def changed(**change: Any) -> dict[str, Any]:
    """The small plan with its block drawn otherwise."""
    block = SMALL["blocks"][0]
    return {**SMALL, "blocks": [{**block, **change}]}


def quilted(**change: Any) -> dict[str, Any]:
    """The small plan with its quilt drawn otherwise."""
    return {**SMALL, "quilt": {**SMALL["quilt"], **change}}


def standing(**change: Any) -> dict[str, Any]:
    """The small plan with a cloth whose print has to stand, and its quilt drawn otherwise."""
    return {**quilted(**change), "cloths": [SMALL["cloths"][0], {**SMALL["cloths"][1], "upright": True}]}


def test_what_it_costs_that_prints_stand_is_told_and_of_which_cloth_what_turns_them(phone: Visitor) -> None:
    """32 half-squares and as many patches: two at a time of 16 squares of 3 in of each cloth, in two strips, and one of
    patches, 8½ in; one at a time of 32 of 2½ in, of which 16 are a strip: with the patches three, 7½ in."""
    block = {**SMALL["blocks"][0], "picture": [["R/S", "S\\R"], ["S", "R"]]}
    told = asked(phone, {**standing(across=4, down=4), "blocks": [block]})
    costs = "Upright prints take 96 pieces, not 64; pale sand ¼ yd, not ⅜ yd; lamp red ¼ yd, not ⅜ yd."
    assert told["figures"]["upright"] == costs
    patches = {**block, "picture": [["R", "S"]]}
    same = asked(phone, {**standing(), "blocks": [patches]})["figures"]["upright"]
    assert same == "Upright prints take no more pieces and no more cloth."
    assert asked(phone, SMALL)["figures"]["upright"] == ""
    refused = asked(phone, standing(setting="on point", setting_fabric="S", across=2, down=2))["faults"]
    assert [(fault["cloth"], fault["key"]) for fault in refused] == [("R", "quilt.setting")]


@pytest.mark.parametrize(
    ("sheet", "block", "cells", "words"),
    [
        (changed(picture=[["R", "Q"], ["R", "S"]]), "lantern", [[1, 2]], "there is no fabric"),
        (changed(picture=[row.split() for row in ("R < S <", "S R ^ ^", "^ ^ R S", "^ S < ^")]), "lantern", [[1, 1]],
         "no straight seam parts the patches"),
        (changed(cell="two"), "lantern", [], 'The size of a cell of Lantern is "two"; a length is written'),
        (quilted(sash={"fabric": "S", "finished": "none"}), "", [], 'The width of the sashes is "none"'),
        (quilted(border=[{"fabric": "S", "cut": "3"}, {"fabric": "R", "cut": "1/4"}]), "", [],
         "The cut width of border 2 is"),
        (changed(frame=[{"fabric": "S", "finished": "x"}]), "lantern", [], "The width of frame 1 of Lantern is"),
        ({**SMALL, "head": {}}, "", [], "The title is missing; fill it in."),
        (standing(turns=[["180"]]), "", [], "The turning of blocks would turn the print of lamp red in Lantern; "
         "let that block lie as drawn, or untick “Every print stands upright”."),
        (standing(border=[{"picture": "S R", "finished": "2"}]), "", [],
         "The picture of border 1 would turn the print of lamp red; it goes round the quilt"),
    ],
)  # fmt: skip
def test_what_cannot_be_sewn_is_told_at_its_place(
    sheet: dict[str, Any], block: str, cells: list[list[int]], words: str, phone: Visitor, store: Store
) -> None:
    told = asked(phone, sheet)
    assert told["state"] == "faulty"
    fault = next(fault for fault in told["faults"] if words in fault["words"])
    assert fault["block"] == block
    assert fault["cells"][: len(cells)] == cells
    answer = phone.post("/draw/make", {"sheet": json.dumps(sheet)})
    assert (answer.status_code, words in answer.json["doubt"]) == (422, True)
    assert not store.quilts()


@pytest.mark.parametrize("path", ["/draw/look", "/draw/make"])
def test_what_is_no_drawing_is_said_so_in_a_sentence(path: str, phone: Visitor) -> None:
    for sent in ("", "[", '{"blocks": 3}', "[" * 9000):
        answer = phone.post(path, {"sheet": sent})
        assert answer.status_code == 422
        assert re.search("load the page again|send it once more", answer.text)


def test_text_and_drawing_open_each_other(phone: Visitor) -> None:
    text = "# for the window seat\n" + SMALL_PLAN
    page = phone.post("/new", {"plan": text, "do": "draw"}).get_data(as_text=True)
    assert sheet_on(page) == SMALL
    answer = phone.post("/new", {"sheet": json.dumps(SMALL), "former": text, "do": "text"})
    kept = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", answer.get_data(as_text=True), re.DOTALL)
    assert kept is not None
    assert unescape(kept[1]) == text
    broken = phone.post("/new", {"plan": SMALL_PLAN.replace("S\\R", "S\\R R"), "do": "draw"})
    assert broken.status_code == 422
    assert "cells; the first has 2" in words_of(broken)


def test_a_quilt_is_drawn_on_and_shows_what_changes(phone: Visitor, sewing: Quilt) -> None:
    page = phone.get(f"{sewing.at}/draw").text
    sheet = sheet_on(page)
    assert sheet == sheet_of(sewing.compiled.text)
    sheet["quilt"]["down"] = 2
    form = {
        "sheet": json.dumps(sheet),
        "former": sewing.compiled.text.replace("\n", "\r\n"),
        "before": sewing.compiled.mark,
        "do": "look",
    }
    answer = phone.post(f"{sewing.at}/plan", form)
    assert answer.status_code == 200
    assert "Use this plan" in words_of(answer)
    assert "down = 2\n" in answer.get_data(as_text=True)


def test_every_colour_has_one_name() -> None:
    assert len({name for name, _ in COLOURS}) == len({colour for _, colour in COLOURS}) == len(COLOURS)
    assert all(re.fullmatch("#[0-9a-f]{6}", colour) for _, colour in COLOURS)
