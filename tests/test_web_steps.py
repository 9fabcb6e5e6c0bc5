"""One step, the whole list, and the cutting list."""

from __future__ import annotations

import re

import pytest
from visitors import Quilt, Visitor


def test_a_step_says_all_that_is_needed(phone: Visitor, sewing: Quilt) -> None:
    text = phone.text(sewing.step_path("Mark pale sand"))
    for words in (
        "Cutting table",
        "Pass 3 of 18",
        "Mark pale sand squares, 3 in",
        "S pale sand Check Each line runs exactly into the corners.",
        "draw a pencil line from corner to corner",
        "Mind Try the pen on a scrap first",
        "0 of 2 done, 0 ready",
    ):
        assert words in text, words
    page = phone.get(sewing.step_path("Mark pale sand")).get_data(as_text=True)
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="drawing' in page
    assert "<strong>" not in page, "the size stands large only where it is to be checked"
    assert "<strong>3</strong>" in phone.get(sewing.step_path("Cut pale sand squares, 3 in")).text


def test_a_step_that_cannot_be_done_yet_says_what_it_waits_for_and_leads_there(phone: Visitor, sewing: Quilt) -> None:
    path = sewing.step_path("Mark pale sand")
    assert "0 ready Waits for 1 pale sand square, 3 in" in phone.text(path)
    assert f'href="{sewing.step_path("Cut pale sand")}"' in phone.get(path).get_data(as_text=True)
    assert "+1" not in re.findall(r"<button[^>]*>([^<]*)", phone.get(path).get_data(as_text=True))


def test_one_more_a_chain_and_all_that_are_ready(sewing: Quilt) -> None:
    title = "Cut lamp red squares, 2½ in"
    assert sewing.count(title) == "0 of 4 done, 4 ready"
    page = sewing.visitor.get(sewing.step_path(title)).get_data(as_text=True)
    counts_alone = page.partition('<section class="bar"')[2]
    assert re.findall(r"<button [^>]*name=\"times\" value=\"(\w+)\"", counts_alone) == ["1", "chain"]
    sewing.tap(title)
    assert sewing.count(title) == "1 of 4 done, 3 ready"
    sewing.tap(title, "chain", chain="2")
    assert sewing.count(title) == "3 of 4 done, 1 ready"
    sewing.tap(title, 1)
    text = sewing.visitor.text(sewing.step_path(title))
    assert "4 of 4 done ✓ All 4 cut." in text
    assert "Next pass" not in text.partition("Carry on")[2]


def test_a_chain_is_remembered_in_the_address_where_there_is_no_script(sewing: Quilt) -> None:
    title = "Cut lamp red squares, 2½ in"
    here = sewing.step_path(title)
    answer = sewing.tap(title, "chain", chain="2", then=here)
    assert answer.headers["Location"] == f"{here}?chain=2"
    page = sewing.visitor.get(f"{here}?chain=2").get_data(as_text=True)
    assert re.search(r'id="chain"[^>]* value="2"', page)


@pytest.mark.parametrize("chain", ["0", "-1", "x", "1.5", "9999999", "٣"])
def test_an_unreadable_chain_in_the_address_is_refused(chain: str, sewing: Quilt) -> None:
    assert sewing.visitor.get(f"{sewing.step_path('Cut lamp')}?chain={chain}").status_code == 400


def test_a_block_s_step_says_which_blocks_the_next_taps_are_for(sewing: Quilt) -> None:
    make_units(sewing)
    assert "ready For block 1, then 2" in sewing.visitor.text(sewing.step_path("Lay out"))
    sewing.tap("Lay out", 1, offered="1 2")
    text = sewing.visitor.text(sewing.step_path("Lay out"))
    assert "ready For block 2 " in text
    assert "Take back block 1 laid out" in text


def make_units(sewing: Quilt) -> None:
    """Everything up to laying out."""
    for step in sewing.compiled.checklist.steps:
        if step.per == "quilt" and not step.of_the_quilt:
            sewing.tap(sewing.compiled.words.title(step), step.count)


def test_the_pass_before_and_the_next_are_named(sewing: Quilt) -> None:
    page = sewing.visitor.get(sewing.step_path("Cut lamp red squares, 2½ in")).get_data(as_text=True)
    assert 'aria-label="Pass before' not in page
    assert 'aria-label="Next pass: Cut pale sand squares, 3 in"' in page
    page = sewing.visitor.get(sewing.step_path("Cut pale sand squares, 3 in")).get_data(as_text=True)
    assert 'aria-label="Pass before: Cut lamp red, 2 sizes"' in page


def test_step_at_the_top_leads_to_the_step_last_looked_at_until_it_is_done(phone: Visitor, sewing: Quilt) -> None:
    phone.get(sewing.step_path("Cut pale sand"))
    assert phone.get(f"{sewing.at}/step").headers["Location"] == sewing.step_path("Cut pale sand")
    sewing.tap("Cut pale sand", 2)
    assert phone.get(f"{sewing.at}/step").headers["Location"] != sewing.step_path("Cut pale sand")


def test_only_the_screen_is_sent_where_the_rest_is_there_already(phone: Visitor, sewing: Quilt) -> None:
    path = sewing.step_path("Cut lamp")
    part = phone.get(path, HX_Request="true", HX_Request_Type="partial")
    assert b"<html" not in part.data
    assert b"<title>Cut lamp red squares" in part.data
    assert "HX-Request-Type" in part.headers["Vary"]
    assert b"<html" in phone.get(path, HX_Request="true", HX_Request_Type="full").data


def test_the_list_has_every_pass_and_step_under_what_it_belongs_to(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut lamp red squares, 3 in", 2)
    text = phone.text(f"{sewing.at}/steps")
    for words in (
        "Cutting: lamp red Cut lamp red, 2 sizes Cutting table · 4 ready 2 of 6 2 steps "
        "Cut lamp red squares, 3 in 2 of 2 Cut lamp red squares, 2½ in 0 of 4",
        "Half-square triangles, lamp red / pale sand",
        "waits for 1 pale sand square, 3 in",
        "Block: Lantern, 2 to make",
    ):
        assert words in text, words
    assert phone.get(f"{sewing.at}/steps").get_data(as_text=True).count('<li class="row') == 18


def test_the_cutting_list_has_every_piece_and_how_many_are_cut(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut lamp red squares, 2½ in", 1)
    sewing.tap("Cut pale sand squares, 3 in", 2)
    text = phone.text(f"{sewing.at}/cutting")
    assert "lamp red (R) 2 of 3 in square for units 0 cut, 2 to go 4 of 2½ in square for units 1 cut, 3 to go" in text
    assert "pale sand (S) ✓ 2 of 3 in square for units all cut" in text


def test_a_pass_that_was_counted_as_one_is_named_whole_at_each_of_its_steps(sewing: Quilt) -> None:
    """As on another device, or after going back a step: what the button takes back is all of it."""
    pair, sew = (sewing.short(title) for title in ("Pair", "Sew half-square"))
    sewing.tap("Cut pale sand", 2)
    sewing.tap("Cut lamp red", 2)
    sewing.tap("Mark pale sand", 2)
    data = {"tap": "the-pass", "do": "pass", "work": f"{pair}*2 {sew}*1"}
    assert sewing.visitor.post(f"{sewing.at}/taps", data).status_code == 303
    for title in ("Pair", "Sew half-square"):
        assert "Take back 1 sewn" in sewing.visitor.text(sewing.step_path(title))


def test_take_back_names_the_newest_tap_that_can_be_taken_back_else_nothing(sewing: Quilt) -> None:
    cut, back = "Cut pale sand", re.compile(r'data-what="([^"]*)"')

    def offered(title: str) -> list[str]:
        return back.findall(sewing.visitor.get(sewing.step_path(title)).text)

    sewing.tap(cut, 2, tap_id="cut-them")
    sewing.tap("Mark pale sand", 1, tap_id="first-mark")
    sewing.tap("Mark pale sand", 1, tap_id="second-mark")
    assert offered("Mark pale sand") == ["second-mark"]
    assert "cut-them" not in offered(cut), "the marks rest on it"
    told = sewing.visitor.get(f"{sewing.at}/counts.json").json
    for title in (cut, "Mark pale sand"):
        assert [step["id"] for step in [told["steps"][sewing.short(title)].get("back")] if step] == offered(title)
    assert "cut-them" in told["held"]
    assert 'data-held="cut-them"' in sewing.visitor.get(sewing.step_path(cut)).text
    for mark in offered("Mark pale sand"), ["first-mark"]:
        assert sewing.do("take back", mark[0]).status_code == 303
    assert offered(cut) == ["cut-them"]
    page = sewing.visitor.get(sewing.step_path(cut)).text
    assert 'data-gone="first-mark second-mark"' in page, "so that a page does not offer them from its memory"
    assert sewing.do("take back", "cut-them").status_code == 303
    assert not offered(cut)


def test_what_is_taken_is_taken_for_each_only_where_there_is_more_than_one(phone: Visitor, sewing: Quilt) -> None:
    laid = phone.text(sewing.step_path("Lay out Lantern"))
    assert " For each block 2 half-square triangles, lamp red / pale sand 2 lamp red squares, 2½ in Lay" in laid
    joined = phone.text(sewing.step_path("Join row 1 of the quilt"))
    assert "Take blocks 1 and 2, in place" in joined
    assert "for each" not in joined
