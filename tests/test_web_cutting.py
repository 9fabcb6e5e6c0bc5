"""The cutting table and the shopping list: what they say, ticks that are kept, and an edited plan."""

from __future__ import annotations

import re
from typing import Any

import pytest
from freezing import PLANS
from test_web_edits import use
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, room_of, words_of
from werkzeug.test import TestResponse

from tracker.safekeeping.shapes import is_tap
from tracker.store.quilts import Store

WHOLE = (
    SMALL_PLAN.replace('name = "pale sand"', 'name = "pale sand"\nhave = "1 yd"\nfat_quarters = 1')
    .replace('name = "lamp red"', 'name = "lamp red"\ndirectional = true')
    .replace("across = 2", "across = 8")
    .replace("down = 1", "down = 12")
    + """
[[quilt.border]]
fabric = "R"
cut = "4 1/2"
lengthwise = true
[quilt.binding]
fabric = "S"
cut = "2 1/2"
[quilt.backing]
fabric = "S"
[quilt.batting]
"""
)


def shown(visitor: Visitor, quilt: Quilt, strip: str = "") -> dict[str, str]:
    """The form that ticks the strip that is shown: its cloth and name."""
    page = visitor.get(f"{quilt.at}/cutting{'?strip=' + strip if strip else ''}").text
    form = re.search(r'name="do" value="strip">(.*?)</form>', page, re.DOTALL)
    return dict(re.findall(r'name="(\w+)" value="([^"]*)"', form.group(1))) if form else {}


def tick(visitor: Visitor, quilt: Quilt, tap: str, **more: str) -> TestResponse:
    """Tick the strip that is shown, or the one that is named."""
    data = {"do": "strip", "tap": tap, "then": f"{quilt.at}/cutting"} | shown(visitor, quilt) | more
    return visitor.post(f"{quilt.at}/taps", data)


def test_the_next_strip_says_how_it_is_cut_and_is_ticked_off(phone: Visitor, sewing: Quilt) -> None:
    text = phone.text(f"{sewing.at}/cutting")
    for words in (
        "Strip 1 of 1 from this cloth Pale sand: a strip 3 in wide Cut 3 inches wide",
        "Square the end of the cloth first: cut off no more than ½ in. Cut one strip across the cloth, 3 in wide.",
        "Cut from it 2 of 3 × 3 in for units. 34 in is left at its end.",
        "Mind Blade: close it each time you put it down.",
        "0 of 2 strips cut",
        "pale sand (S) 0 of 1 strip cut 1 strip 3 in wide, 2 of 3 × 3 in; 34 in left at the end. 0 of 1",
        "Left over Ends of strips: 34 × 3 in.",
    ):
        assert words in text, words
    answer = tick(phone, sewing, "first-strip")
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{sewing.at}/cutting")
    assert sewing.count("Cut pale sand squares, 3 in") == "2 of 2 done"
    text = phone.text(f"{sewing.at}/cutting")
    assert "Lamp red: a strip 3 in wide" in text
    assert "1 of 2 strips cut Take back Pale sand: a strip 3 in wide This strip is cut" in text
    tick(phone, sewing, "second-strip")
    text = phone.text(f"{sewing.at}/cutting")
    assert "✓ All 2 strips are cut. 2 of 2 strips cut" in text
    assert not shown(phone, sewing)
    assert all(is_tap(tap) for tap in sewing.stored.taps)


def test_a_tick_is_kept_once_however_often_it_arrives(phone: Visitor, sewing: Quilt, store: Store) -> None:
    form = shown(phone, sewing)
    for _ in range(3):
        assert tick(phone, sewing, "the-same-tick", **form).status_code == 303
    assert len(sewing.stored.taps) == 1
    answer = tick(phone, sewing, "from-a-tablet", **form)
    assert (answer.status_code, "This strip is ticked off already." in words_of(answer)) == (409, True)
    later = Quilt(Visitor(room_of(store)), store.quilt(sewing.stored.id))
    assert "1 of 2 strips cut" in later.visitor.text(f"{later.at}/cutting")


def test_a_tick_is_taken_back_on_its_screen_at_its_step_and_in_the_list_of_taps(phone: Visitor, sewing: Quilt) -> None:
    red = "Cut lamp red squares, 3 in"
    tick(phone, sewing, "first-strip")
    tick(phone, sewing, "second-strip")
    assert "Take back 2 cut from a strip" in phone.text(sewing.step_path(red))
    assert "Lamp red: a strip 3 in wide, cut" in phone.text(f"{sewing.at}/latest")
    assert "The last tap: Lamp red: a strip 3 in wide, cut." in phone.text(sewing.at)
    sewing.do("take back", "second-strip")
    assert sewing.count(red) == "0 of 2 done, 2 ready"
    assert "1 of 2 strips cut Take back Pale sand" in phone.text(f"{sewing.at}/cutting")
    sewing.do("take back", "first-strip")
    assert re.search(r'class="take-back" hidden', phone.get(f"{sewing.at}/cutting").text)
    assert not any(sewing.progress().counts.done.values())


def test_a_strip_that_is_used_up_is_not_offered_to_be_taken_back(phone: Visitor, sewing: Quilt) -> None:
    """Its button was refused, in a sentence: an older one that nothing rests on is offered, or none."""
    sand, red = sewing.compiled.whole.strips
    tick(phone, sewing, "red-strip", cloth=red[0], strip=red[1])
    tick(phone, sewing, "sand-strip", cloth=sand[0], strip=sand[1])
    assert "Take back Pale sand: a strip 3 in wide" in phone.text(f"{sewing.at}/cutting")
    sewing.tap("Mark pale sand", 1)
    assert "Take back Lamp red: a strip 3 in wide" in phone.text(f"{sewing.at}/cutting")
    sewing.tap("Pair half-square", 1)
    assert re.search(r'class="take-back" hidden', phone.get(f"{sewing.at}/cutting").text)


def test_what_was_counted_piece_by_piece_is_said_and_not_counted_again(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 1)
    words = "1 of its 2 pieces was counted already; the tick counts the other 1."
    assert words in phone.text(f"{sewing.at}/cutting")
    sewing.tap("Cut pale sand", 1)
    text = phone.text(f"{sewing.at}/cutting")
    assert "Lamp red: a strip" in text, "the next strip is one that is still to be cut"
    assert "✓ 1 strip 3 in wide, 2 of 3 × 3 in; 34 in left at the end. 1 counted already, piece by piece 1 of 1" in text


def test_any_strip_can_be_cut_next_and_then_the_cloth_on_the_table(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, SMALL_PLAN.replace("across = 2", "across = 40")))
    first = shown(phone, quilt)
    page = phone.get(f"{quilt.at}/cutting").text
    chosen = re.findall(r"\?strip=([0-9a-f]+-\d+)", page)[-1]
    assert first["cloth"] == "S"
    assert shown(phone, quilt, chosen) == {"cloth": "R", "strip": chosen}
    tick(phone, quilt, "chosen-strip", cloth="R", strip=chosen)
    assert shown(phone, quilt)["cloth"] == "R"
    assert shown(phone, quilt, chosen)["strip"] != chosen, "a strip that is cut is not offered again"
    assert shown(phone, quilt, "no-such-strip") == shown(phone, quilt)


@pytest.mark.parametrize("wrong", [{"cloth": "Z"}, {"strip": "gone-1"}, {"strip": ""}, {"cloth": ""}])
def test_a_strip_that_is_not_there(wrong: dict[str, str], phone: Visitor, sewing: Quilt) -> None:
    answer = tick(phone, sewing, "wrong-strip", **wrong)
    assert answer.status_code == 409
    assert "This strip is not in the cutting any more" in words_of(answer)
    assert not sewing.stored.taps


def test_a_script_is_answered_with_the_next_strip(phone: Visitor, sewing: Quilt) -> None:
    data = {"do": "strip", "tap": "by-a-script", "view": "cutting"} | shown(phone, sewing)
    answer = phone.post(f"{sewing.at}/taps", data, HX_Request="true", HX_Request_Type="partial")
    assert "Lamp red: a strip 3 in wide" in words_of(answer)
    assert "<html" not in answer.text


def test_ticks_stay_when_the_plan_is_edited(phone: Visitor, store: Store, sewing: Quilt) -> None:
    tick(phone, sewing, "first-strip")
    framed = SMALL_PLAN.replace("[quilt]", '[[blocks.lantern.frame]]\nfabric = "R"\ncut = "2"\n\n[quilt]')
    assert use(sewing, framed).status_code == 303
    again = Quilt(phone, store.quilt(sewing.stored.id))
    text = phone.text(f"{again.at}/cutting")
    assert "pale sand (S) 1 of 1 strip cut" in text
    assert "Lamp red: a strip" in text
    assert again.count("Cut pale sand squares, 3 in") == "2 of 2 done"


def words_of_strips(visitor: Visitor, quilt: Quilt) -> str:
    """Every kind of strip as it is shown when it is cut."""
    page = visitor.get(f"{quilt.at}/cutting").text
    names = ["", *re.findall(r"\?strip=([0-9a-f]+-\d+)", page)]
    return " ".join(visitor.text(f"{quilt.at}/cutting?strip={name}") for name in names)


def test_a_cloth_with_a_direction_fat_quarters_and_lengthwise_borders_are_told(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, WHOLE))
    text = words_of_strips(phone, quilt)
    for words in (
        "Take a fat quarter and square one end. Cut one strip along its longer side,",
        "Square the end of the cloth first: cut off no more than ½ in. Lay 48½ in aside, whole and uncut; measure it",
        "Do not turn the cloth or its pieces: the print stands this way.",
        "Cut down the length of the cloth, parallel to the selvage: 2 of 4½ × 48½ in for borders.",
        "Cut off a length of 48½ in; measure it along both selvages.",
        "in for the backing",
        "It stays whole: 1 of 40 × 2½ in for the binding.",
    ):
        assert words in text, words
    assert text.count("print stands up") == 0, "that stands in the drawing"
    assert "print stands up" in phone.get(f"{quilt.at}/cutting").text


FITTED = """
title = "Fitted frames"
trimming = "exact"
[fabrics.S]
name = "pale sand"
tone = 2
[fabrics.R]
name = "lamp red"
tone = 7
[blocks.b]
name = "Lantern"
cell = "2"
picture = '''
S R
R S
'''
[[blocks.b.frame]]
fabric = "R"
cut = "1 1/2"
[quilt]
block = "b"
across = 3
down = 2
"""
"""Blocks with frames that are cut to their length."""


def test_strips_of_frames_that_are_cut_to_fit_wait_until_a_block_is_measured(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, FITTED))
    wait = "Not yet: it is for frames, and cut to fit when the first block is sewn and measures."
    assert wait not in phone.text(f"{quilt.at}/cutting").partition("strips cut")[0], "what does not wait is cut first"
    assert wait in words_of_strips(phone, quilt)
    for title in ("Cut pale", "Cut lamp red squares"):
        quilt.tap(title, 12)
    for title in ("Lay out", "Join row 1", "Join row 2", "Press the rows", "Pin", "Join row 2:", "Press the joins"):
        quilt.tap(title, 1)
    assert wait in words_of_strips(phone, quilt)
    quilt.tap("Measure", 1)
    assert wait not in words_of_strips(phone, quilt)


def test_frames_of_a_block_that_is_not_measured_do_not_wait_for_another_s(phone: Visitor, store: Store) -> None:
    """A block of one piece is not measured: its frames are offered at once, at the cutting table as at the steps."""
    plain = """[blocks.plain]
name = "Plain"
cell = "3"
picture = "S"
[[blocks.plain.frame]]
fabric = "S"
cut = "2"
[quilt]
blocks = [["b", "plain", "b"]]
"""
    quilt = Quilt(phone, add_quilt(store, FITTED.partition("[quilt]")[0] + plain))
    text = words_of_strips(phone, quilt)
    assert "Cut from it 2 of 6½ × 2 in for frames" in text
    assert "Cut from it 2 of 2 × 3½ in for frames." in text
    assert "Cut from it when the first block measures, not before, 1 of 4½ × 1½ in for frames" in text


def test_of_a_strip_with_patches_the_frames_are_said_to_wait(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, PLANS["harbour_metric"].read_text(encoding="utf-8")))
    text = words_of_strips(phone, quilt)
    assert "Cut from it 3 of 15.25 × 15.25 cm for units, then cut down to 15.25 cm." in text
    assert "Cut from it when the first block measures, not before, 10 of 4 × 24 cm for frames." in text
    assert "Cut from it 27 of 4 × 24 cm for frames." in text, "this strip is for frames alone, and waits as a whole"


NARROW = """
title = "Narrow"
[fabrics.S]
name = "pale sand"
tone = 2
usable = "1/2"
[blocks.b]
cell = "2"
picture = "S"
[[blocks.b.frame]]
fabric = "S"
cut = "3 1/2"
[quilt]
block = "b"
across = 1
down = 1
"""
"""One framed block, the strips of its frame longer than the cloth is wide which is no wider than two seams."""


def test_a_cloth_too_narrow_to_be_cut_is_said(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, NARROW))
    for path in ("cutting", "shopping"):
        assert "pale sand (S) is ½ in wide: too narrow" in phone.text(f"{quilt.at}/{path}")
    assert not shown(phone, quilt)


def test_the_shopping_list_says_what_to_buy_and_why(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, WHOLE))
    text = phone.text(f"{quilt.at}/shopping")
    bought = text.partition("To buy")[2]
    for words in ("pale sand (S)", "yd more for blocks, binding and backing", "1 fat quarter from the cupboard",
                  "you have 1 yd, for", "lamp red (R)", "yd for blocks and border", "more for shrinkage and mistakes",
                  "Batting 48½ × 64½ in", "at least 40 in wide"):  # fmt: skip
        assert words in bought, words


def test_what_comes_from_fat_quarters_alone_has_no_width_and_several_borders_are_said_so(
    phone: Visitor, store: Store
) -> None:
    star, three = (
        Quilt(phone, add_quilt(store, PLANS[name].read_text("utf-8")))
        for name in ("evening_star", "borders_and_corners")
    )
    text = phone.text(f"{star.at}/shopping")
    assert "gold (G) enough for blocks 4 fat quarters from the cupboard Lengths are rounded up" in text
    assert "dusk (B) 1 yd for blocks" in text
    assert text.count("wide between the selvages") == 1
    text = phone.text(f"{three.at}/shopping")
    assert "for blocks, sashes, border and binding" in text
    assert "for blocks, cornerstones, borders and backing" in text


def test_nothing_is_to_be_bought_of_what_is_there(phone: Visitor, store: Store) -> None:
    plan = SMALL_PLAN.replace("tone =", 'have = "1 yd"\ntone =')
    text = phone.text(f"{Quilt(phone, add_quilt(store, plan)).at}/shopping")
    assert "To buy" not in text
    assert "In the cupboard pale sand (S) enough for blocks 3½ in to cut" in text
    assert "you have 1 yd: enough" in text


def test_the_quilt_s_page_and_the_list_lead_to_both(phone: Visitor, sewing: Quilt) -> None:
    assert all(f'href="{sewing.at}/{name}"' in phone.get(sewing.at).text for name in ("cutting", "shopping"))
    assert f'href="{sewing.at}/shopping"' in phone.get(f"{sewing.at}/cutting").text
    assert f'href="{sewing.at}/cutting"' in phone.get(f"{sewing.at}/shopping").text


def test_the_cloth_is_cut_once_for_a_plan_not_for_every_page(
    phone: Visitor, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone.get(f"{sewing.at}/cutting")

    def again(*_: Any) -> None:
        raise AssertionError("worked out once more")

    monkeypatch.setattr("tracker.web.opened.cut_quilt", again)
    for path in ("cutting", "shopping", "cutting?strip=a-1"):
        assert phone.get(f"{sewing.at}/{path}").status_code == 200
    assert tick(phone, sewing, "first-strip").status_code == 303


def test_a_length_for_the_backing_is_said_and_ticked_as_laid_aside(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, WHOLE))
    names = re.findall(r"\?strip=([0-9a-f]+-\d+)", phone.get(f"{quilt.at}/cutting").text)
    pages = [phone.text(f"{quilt.at}/cutting?strip={name}").partition("Left over")[0] for name in names]
    told = [page[page.index("Strip ") :] for page in pages if "Lay aside 48½ inches long" in page]
    assert told
    for text in told:
        assert "Lay 48½ in aside, whole and uncut" in text
        assert "It stays whole: 1 of 48½ × 40 in for the backing" in text or "It stays whole: 1 of 40 × 48½ in" in text
        assert "It is laid aside, whole" in text
        assert not any(words in text for words in ("Cut off a length", "This strip is cut"))
