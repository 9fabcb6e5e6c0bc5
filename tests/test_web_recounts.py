"""Counts put right: the exact number, spoiled, put back, opened, taken back; and a block's stage, name and notes."""

from __future__ import annotations

import re

import pytest
from test_web_steps import make_units
from visitors import Quilt, Visitor, words_of
from werkzeug.test import TestResponse

RED = "Cut lamp red squares, 2½ in"
TRIM = "Trim"
SEW = "Sew"


def mend(sewing: Quilt, title: str) -> str:
    return f"{sewing.step_path(title)}/mend"


def said(sewing: Quilt, do: str, **more: str) -> TestResponse:
    """A tap of any kind."""
    number = len(sewing.stored.taps)
    return sewing.visitor.post(f"{sewing.at}/taps", {"tap": f"said-{number:04}", "do": do} | more)


def pile_of(sewing: Quilt, title: str) -> str:
    step = sewing.compiled.step(sewing.short(title))
    assert step is not None
    return step.gives[0].pile


@pytest.mark.parametrize("count", ["0", "1", "4"])
def test_the_exact_number_is_typed_on_the_page_that_the_step_leads_to(count: str, sewing: Quilt) -> None:
    sewing.tap(RED, 3)
    assert f'href="{mend(sewing, RED)}"' in sewing.visitor.get(sewing.step_path(RED)).text
    assert 'name="times" min="0" value="3"' in sewing.visitor.get(mend(sewing, RED)).text
    answer = said(sewing, "counted", step=sewing.short(RED), times=count, then=mend(sewing, RED))
    assert answer.headers["Location"] == mend(sewing, RED)
    assert sewing.count(RED).startswith(f"{count} of 4 done")
    assert f"Take back counted {count} cut" in sewing.visitor.text(sewing.step_path(RED))


@pytest.mark.parametrize(("times", "status"), [("3", 409), ("-1", 400), ("x", 400), ("", 400), ("99999999", 400)])
def test_an_exact_number_that_cannot_be(times: str, status: int, sewing: Quilt) -> None:
    sewing.tap(RED, 3)
    answer = said(sewing, "counted", step=sewing.short(RED), times=times)
    assert answer.status_code == status
    assert sewing.count(RED) == "3 of 4 done, 1 ready"


def test_more_than_the_pieces_pay_for_is_asked_about(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap(RED, 4)
    said(sewing, "counted", step=sewing.short(TRIM), times="9")
    assert "9 trimmed was tapped, but only 0 lay ready: how many were really done?" in phone.text(mend(sewing, RED))
    sewing.do("settle", "said-0001", times=0)
    assert sewing.count(TRIM).startswith("0 of 4 done")


def test_more_than_the_plan_asks_for_are_spares(phone: Visitor, sewing: Quilt) -> None:
    said(sewing, "counted", step=sewing.short(RED), times="6")
    assert "Spares They lie ready" in phone.text(mend(sewing, RED))
    assert sewing.count(RED) == "6 of 4 done"


def test_a_spoiled_piece_says_what_is_cut_again_and_leads_there(phone: Visitor, sewing: Quilt) -> None:
    make_units(sewing)
    page = phone.get(mend(sewing, TRIM)).text
    pile = re.search(r'name="pile" value="([^"]+)"', page)
    assert pile is not None
    assert pile.group(1) == pile_of(sewing, TRIM)
    said(sewing, "spoiled", pile=pile.group(1), times="1")
    text = phone.text(mend(sewing, TRIM))
    assert "Lost so far 1 half-square triangle, lamp red / pale sand, trimmed To be cut again for it:" in text
    assert "1 pale sand square, 3 in from what is left of a strip" in text
    assert f'href="{sewing.step_path("Cut pale sand")}"' in phone.get(mend(sewing, TRIM)).text
    assert "1 cut, 1 to go" not in text
    assert "2 cut, 1 to go" in phone.text(f"{sewing.at}/cutting")
    assert "1 × Cut pale sand squares, 3 in" in phone.text(f"{sewing.at}/now?at=table")  # though the sample has enough
    phone.post(f"{sewing.at}/pace", {})
    assert "1 × Cut pale sand squares, 3 in" in phone.text(f"{sewing.at}/now?at=table")


def test_a_spare_takes_the_place_of_a_loss_and_nothing_is_cut_for_it(phone: Visitor, sewing: Quilt) -> None:
    """One lost of four: a pair is cut and made, whose second unit is a spare; the next loss takes that."""
    make_units(sewing)
    pile = pile_of(sewing, TRIM)
    said(sewing, "spoiled", pile=pile, times="1")
    for title in ("Cut lamp red squares, 3 in", "Cut pale sand", "Mark", "Pair", "Sew", "Cut apart", "Press half"):
        sewing.tap(title, 1)
    sewing.tap("Press half", 1)
    sewing.tap(TRIM, 2)
    assert "Spares They lie ready" in phone.text(mend(sewing, TRIM))
    assert "(1 spare)" in phone.text(sewing.at)
    said(sewing, "spoiled", pile=pile, times="1")
    assert "Spares They lie ready" not in phone.text(mend(sewing, TRIM))
    assert "0 to cut" not in phone.text(mend(sewing, TRIM))
    assert sewing.count("Cut pale sand") == "3 of 3 done"


@pytest.mark.parametrize(
    ("pile", "times", "status"),
    [("", "1", 400), ("nonsense", "1", 400), ("<b>", "1", 400), ("PILE", "0", 400), ("PILE", "5", 409)],
)
def test_what_cannot_be_spoiled(pile: str, times: str, status: int, sewing: Quilt) -> None:
    make_units(sewing)
    before = len(sewing.stored.taps)
    answer = said(sewing, "spoiled", pile=pile.replace("PILE", pile_of(sewing, TRIM)), times=times)
    assert answer.status_code == status
    assert len(sewing.stored.taps) == before


def test_what_is_unpicked_goes_back_to_the_pile_before(phone: Visitor, sewing: Quilt) -> None:
    for title in ("Cut lamp red squares, 3 in", "Cut pale sand", "Mark", "Pair", SEW):
        sewing.tap(title, 2)
    assert "Unpicked" in phone.text(mend(sewing, SEW))
    said(sewing, "put back", step=sewing.short(SEW), times="1")
    assert sewing.count(SEW) == "1 of 2 done, 1 ready"
    assert "Take back 1 put back" in phone.text(sewing.step_path(SEW))
    assert "Unpicked" not in phone.text(mend(sewing, "Cut pale sand"))
    answer = said(sewing, "put back", step=sewing.short("Mark"), times="1")
    assert "What was cut, marked or trimmed cannot be put back" in words_of(answer)


# The last taps


def test_the_last_taps_are_named_and_taken_back_one_or_several(phone: Visitor, sewing: Quilt) -> None:
    for title, times in ((RED, 1), (RED, 2), ("Cut pale sand", 2)):
        sewing.tap(title, times)
    said(sewing, "spoiled", pile=pile_of(sewing, RED), times="1")
    text = phone.text(f"{sewing.at}/latest")
    for words in (
        "spoiled: 1 lamp red square, 2½ in",
        "2 cut Cut pale sand squares, 3 in, today at",
        "this and 3 newer",
    ):
        assert words in text, words
    page = phone.get(f"{sewing.at}/latest").text
    ids = re.findall(r'value="take back to">.*?name="what" value="([^"]+)"', page, re.DOTALL)
    assert len(ids) == 4
    answer = said(sewing, "take back to", what=ids[2], then=f"{sewing.at}/latest")
    assert answer.headers["Location"] == f"{sewing.at}/latest"
    assert sewing.count(RED) == "1 of 4 done, 3 ready"
    assert sewing.progress().counts.lost == {pile_of(sewing, RED): 0}
    for _ in range(2):  # the same form once more
        phone.post(f"{sewing.at}/taps", {"tap": "the-same-form", "do": "take back to", "what": ids[3]})
    assert sewing.count(RED) == "0 of 4 done, 4 ready"
    assert "Nothing was tapped yet." in phone.text(f"{sewing.at}/latest")
    assert len(sewing.stored.taps) == 8


def test_a_tap_that_a_form_names_twice_is_taken_back_once_and_what_follows_counts(sewing: Quilt) -> None:
    sewing.tap(RED, 1, tap_id="red-cut-1")
    said(sewing, "take back to", what="red-cut-1", seen='["red-cut-1", "red-cut-1"]')
    sewing.tap(RED, 2)
    assert sewing.count(RED) == "2 of 4 done, 2 ready"
    sewing.stored.append({"id": "by-another", "do": "done", "step": "cut:S:3x3", "times": 1})
    assert sewing.count("Cut pale sand") == "1 of 2 done, 1 ready"


# Blocks


def test_a_block_s_stage_is_set_in_one_tap_with_all_that_leads_to_it(phone: Visitor, sewing: Quilt) -> None:
    path = f"{sewing.at}/blocks/2"
    assert "Done to here" in phone.text(path)
    said(sewing, "stage", block="2", step=sewing.short("Press the rows"), then=path)
    text = phone.text(path)
    assert "rows pressed : 4 of 10 steps done" in text
    assert "✓ Row 1 pressed ✓ Row 2 pressed" in text
    assert sewing.count("Cut pale sand") == "1 of 2 done, 1 ready"
    last = re.search(r'name="what" value="([^"]+)"', phone.get(path).text)
    assert last is not None
    sewing.do("take back", last.group(1))
    assert sewing.progress().counts.shares()[0] == 0
    assert "Row 1 not yet Row 2 not yet" in phone.text(path)


def test_a_join_is_opened_with_all_that_rests_on_it(phone: Visitor, sewing: Quilt) -> None:
    path = f"{sewing.at}/blocks/1"
    said(sewing, "stage", block="1", step=sewing.short("Square"))
    assert 'aria-label="Unpick: Join row 2"' in phone.get(path).text
    said(sewing, "opened", block="1", step=sewing.short("Join row 2"))
    text = phone.text(path)
    assert "✓ Row 1 joined Row 2 laid out" in text
    assert "unpicked in block 1" in phone.text(f"{sewing.at}/latest")
    answer = said(sewing, "opened", block="1", step=sewing.short("Join row 2"))
    assert "Block 1 is not sewn there, so there is nothing to unpick." in words_of(answer)


def test_a_block_s_last_press_is_put_back(phone: Visitor, sewing: Quilt) -> None:
    said(sewing, "stage", block="2", step=sewing.short("Press the rows"))
    assert 'name="blocks" value="2"' in phone.get(f"{sewing.at}/blocks/2").text
    assert "<option>2</option>" in phone.get(mend(sewing, "Press the rows")).text
    said(sewing, "put back", step=sewing.short("Press the rows"), blocks="2")
    assert "✓ Row 1 joined ✓ Row 2 joined" in phone.text(f"{sewing.at}/blocks/2")


def test_a_block_has_a_name_of_her_own_and_notes(phone: Visitor, sewing: Quilt) -> None:
    said(sewing, "name", block="2", text=" the <crooked> one ")
    said(sewing, "note", block="2", text="ease row 1")
    said(sewing, "note", text="blunt blade")
    text = phone.text(f"{sewing.at}/blocks/2")
    assert "Block 2: the <crooked> one Lantern, row 1, place 2." in text
    assert "ease row 1" in text
    assert "the <crooked> one" in phone.text(f"{sewing.at}/blocks")
    assert "<crooked>" not in phone.get(f"{sewing.at}/blocks").text
    assert "Last note: blunt blade" in phone.text(sewing.at)
    said(sewing, "note", block="2", text="<b>again</b>")
    assert "Last note, block 2: <b>again</b>" in phone.text(sewing.at)


@pytest.mark.parametrize(
    ("do", "more", "status", "words"),
    [
        ("name", {"block": "2", "text": " "}, 400, "A note or a name is from 1 to 40 characters."),
        ("name", {"block": "2", "text": "x" * 41}, 400, "A note or a name is from 1 to 40 characters."),
        ("name", {"block": "3", "text": "x"}, 400, "this quilt has no such block"),
        ("name", {"block": "1 2", "text": "x"}, 400, "does not say which block"),
        ("name", {"text": "x"}, 400, "does not say which block"),
        ("note", {"text": "x" * 501}, 400, "A note or a name is from 1 to 500 characters."),
        ("note", {"block": "x", "text": "y"}, 400, "names no blocks"),
        ("stage", {"block": "2", "step": "nonsense"}, 404, "There is no such step in this quilt"),
        ("opened", {"block": "1"}, 404, "There is no such step in this quilt"),
        ("carried", {}, 400, "does not say what was done"),
    ],
)
def test_what_cannot_be_said(do: str, more: dict[str, str], status: int, words: str, sewing: Quilt) -> None:
    answer = said(sewing, do, **more)
    assert (answer.status_code, words in words_of(answer)) == (status, True)
    assert not sewing.stored.taps
