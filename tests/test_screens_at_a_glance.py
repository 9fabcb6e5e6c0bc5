"""What somebody sees who has the screens before her for the first time: what is meant is the first and the largest."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from fold import ON_POINT
from house import House, behind, go, saved
from playwright.sync_api import Page, expect
from visitors import RED, SMALL_PLAN, Quilt, Visitor, add_quilt
from walking import begin

from tracker.plan.known_blocks import known_blocks


def box_of(page: Page, selector: str) -> Mapping[str, float]:
    box = page.locator(f"{selector} >> visible=true").first.bounding_box()
    assert box is not None, selector
    return box


@pytest.mark.parametrize(("width", "height"), [(1180, 820), (1280, 800), (820, 1180)])
def test_the_button_that_is_meant_is_the_broadest_of_its_line(
    width: int, height: int, tablet_page: Page, house: House
) -> None:
    tablet_page.set_viewport_size({"width": width, "height": height})
    go(tablet_page, house, RED)
    meant = box_of(tablet_page, "#all")
    assert meant["width"] > box_of(tablet_page, ".chain")["width"] > box_of(tablet_page, "#one")["width"]
    assert meant["height"] < 80  # its words stand on one line


TOUCHED = "a[href], button, summary, select, input:not([type=hidden])"
SMALL = r"""touched => [...document.querySelectorAll(touched)].filter(each => {
    const { width, height } = each.getBoundingClientRect();
    const said = each.closest('label')?.getBoundingClientRect(); // a tick is hit on its words as well
    return width && !each.matches('.skip, [tabindex="-1"], p a') && Math.min(width, height, said?.height ?? 99) < 44
        && !(said && Math.min(said.width, said.height) >= 44);
}).map(each => `${each.textContent.trim() || each.name} ${JSON.stringify(each.getBoundingClientRect())}`)"""


@pytest.mark.parametrize(
    "path", ["/blocks/1", "/measure/1", "/layout", "/now", "/latest", "", "/shelf", "/sheets", "/labels"]
)
def test_whatever_is_touched_can_be_hit_with_one_wet_finger(path: str, phone_page: Page, house: House) -> None:
    begin(house.store, SMALL_PLAN, 14)
    phone_page.goto(f"{house.address}{house.quilt().at}{path}")
    assert phone_page.evaluate(SMALL, TOUCHED) == []


HIT = """() => {
    const summary = document.querySelector('.caution summary');
    const { left, bottom } = summary.getBoundingClientRect();
    const up = [...Array(80).keys()].map((px) => bottom + 20 - px);
    return up.filter((y) => summary.contains(document.elementFromPoint(left + 60, y))).length;
}"""
"""How many pixels from above to below touch the line of a caution."""


def test_a_caution_s_line_can_be_hit_with_one_wet_finger(phone_page: Page, house: House) -> None:
    begin(house.store, SMALL_PLAN, 14)
    go(phone_page, house, "Join row 1")
    caution = phone_page.locator(".caution")
    for was_open in (True, False):
        expect(caution).to_have_attribute("open", "") if was_open else expect(caution).not_to_have_attribute("open", "")
        caution.scroll_into_view_if_needed()
        assert phone_page.evaluate(HIT) >= 44
        caution.locator("summary").tap()


@pytest.mark.parametrize("away", [False, True], ids=["at home", "away"])
def test_what_counts_and_what_waits_are_not_said_at_once(away: bool, phone_page: Page, house: House) -> None:
    """One row of a block is joined: the button counts the rest of the pass, and nothing says that it waits."""
    begin(house.store, SMALL_PLAN, 10)
    go(phone_page, house, "Join row 1")
    behind(phone_page)
    if away:
        phone_page.context.set_offline(True)
    phone_page.tap("#one")
    expect(phone_page.locator("#ready")).to_have_text("0")
    if away:
        expect(phone_page.locator("#live[data-memory]")).to_have_count(1)
    else:
        saved(phone_page)
    expect(phone_page.locator("#all")).to_be_visible()
    expect(phone_page.locator(".waiting-for:visible")).to_have_count(0)


MISSING = {
    "/measure/1": ("Keep these figures", "Still empty: “Near the top”."),
    "/classes": ("Begin the class", "Still empty: “Its name”."),
    "/room": ("Look what is in it", "Choose a file first."),
    "/seam": ("What does that say?", "Still empty: “The middle one measures … in”."),
}


@pytest.mark.parametrize("path", MISSING)
def test_what_is_missing_is_said_in_our_words_at_its_field(path: str, phone_page: Page, house: House) -> None:
    button, sentence = MISSING[path]
    begin(house.store, SMALL_PLAN, 14)
    phone_page.goto(house.address + (house.quilt().at if path.startswith(("/measure", "/seam")) else "") + path)
    phone_page.get_by_role("button", name=button, exact=True).tap()
    expect(phone_page.locator(".form-fault")).to_have_text(sentence)
    expect(phone_page.locator("[aria-invalid=true]")).to_be_focused()


def test_what_is_no_number_is_not_called_empty(phone_page: Page, house: House) -> None:
    """Browsers hand on nothing of it, though it stands there to be read."""
    phone_page.goto(f"{house.address}{house.quilt().step_path('Cut pale sand')}/mend")
    phone_page.fill("#counted", "")
    phone_page.locator("#counted").press_sequentially("-e")
    phone_page.locator("form:has(#counted) button").tap()
    expect(phone_page.locator(".form-fault")).to_have_text("“I count … cut in all”: a number from 0.")
    phone_page.goto(f"{house.address}{house.quilt().at}/sheets")
    phone_page.fill("[name=blocks]", "0")
    phone_page.tap("text=Put it on the sheets")
    expect(phone_page.locator(".form-fault")).to_have_text("“Blocks”: a number from 1 to 10,000.")


def test_half_of_a_day_is_not_called_a_number(phone_page: Page, house: House) -> None:
    phone_page.goto(f"{house.address}{house.quilt().at}/shelf")
    phone_page.locator("[name=begun]").press_sequentially("11")
    phone_page.get_by_role("button", name="Keep what is written").tap()
    expect(phone_page.locator(".form-fault")).to_have_text("“Begun” is no whole day.")


@pytest.mark.parametrize(("width", "height"), [(390, 664), (360, 640)])
def test_what_keeps_measured_figures_stands_below_the_ruler_on_a_small_phone(
    width: int, height: int, phone_page: Page, house: House
) -> None:
    """Fields, ruler and button are in sight at once; measuring is no place to scroll."""
    phone_page.set_viewport_size({"width": width, "height": height})
    begin(house.store, SMALL_PLAN, 14)
    phone_page.goto(f"{house.address}{house.quilt().at}/measure/1")
    ruler, keep = box_of(phone_page, ".ruler"), box_of(phone_page, "text=Keep these figures")
    assert ruler["y"] + ruler["height"] <= keep["y"]
    assert keep["y"] + keep["height"] <= height


BORDER = """
[[quilt.border]]
fabric = "D"
cut = "3 1/2"

[quilt.binding]
fabric = "D"
cut = "2 1/2"
"""
TOLD_AT_LENGTH = ("Sew pairs of diamonds", "Set triangles into", "Set squares into", "Sew border 1", "Bind the quilt")
DRAWN = """() => {
    const drawing = document.querySelector('.step .picture svg.drawing');
    const { width, height } = drawing.getBoundingClientRect(), own = drawing.viewBox.baseVal;
    return Math.min(own.width, own.height) * Math.min(width / own.width, height / own.height);
}"""
"""How high a drawing is seen, or how wide where that is less."""


@pytest.mark.parametrize("height", [664, 844])
def test_what_is_told_at_length_is_told_round_a_drawing_that_is_seen_from_the_table(
    height: int, phone_page: Page, house: House
) -> None:
    """Above so many words there was room for a drawing of 80 px."""
    phone_page.set_viewport_size({"width": 390, "height": height})
    star = next(each for each in known_blocks() if each.key == "lemoyne-star")
    quilt = Quilt(Visitor(house.app), add_quilt(house.store, star.text + BORDER))
    for title in TOLD_AT_LENGTH:
        phone_page.goto(house.address + quilt.step_path(title))
        assert phone_page.evaluate(DRAWN) >= 115, title
        check, bar = box_of(phone_page, ".step .check"), box_of(phone_page, "#live > .bar")
        assert check["y"] + check["height"] <= bar["y"], title


def test_a_row_that_is_long_and_low_keeps_the_whole_line_however_much_is_told(phone_page: Page, house: House) -> None:
    phone_page.set_viewport_size({"width": 390, "height": 664})
    quilt = Quilt(Visitor(house.app), add_quilt(house.store, ON_POINT))
    phone_page.goto(house.address + quilt.step_path("Join row 2 of the quilt"))
    assert box_of(phone_page, ".step .picture svg.drawing")["width"] > 330
    # A broad one that had a narrow line left below its size is larger beside the words.
    phone_page.goto(house.address + quilt.step_path("Cut brick rectangles"))
    assert phone_page.evaluate(DRAWN) >= 115


def test_the_way_on_is_on_the_first_screenful_of_a_small_phone(phone_page: Page, house: House) -> None:
    """Of the first page, of a block's, and of what a drawing comes to."""
    phone_page.set_viewport_size({"width": 390, "height": 664})
    begin(house.store, SMALL_PLAN, 14)
    phone_page.goto(house.address)
    carry_on = box_of(phone_page, ".quilt-card .carry-on")
    assert carry_on["y"] + carry_on["height"] <= 664
    phone_page.goto(f"{house.address}{house.quilt().at}/blocks/1")
    done_with = box_of(phone_page, "#one")
    assert done_with["y"] + done_with["height"] <= 664
    phone_page.goto(f"{house.address}/draw")
    phone_page.tap("[data-go=make]")
    expect(phone_page.locator("#quilt-picture svg")).to_be_visible()
    make = box_of(phone_page, "#make")
    assert make["y"] + make["height"] <= 664


def test_a_size_and_its_part_of_an_inch_stand_on_one_line(phone_page: Page, house: House) -> None:
    """ "Down" stood at one line's end, and its part at the next one's beginning, before the seam."""
    phone_page.goto(f"{house.address}/compare")
    tops = phone_page.locator(".block-row .sides :is(input, select)").evaluate_all(
        "fields => fields.map(each => Math.round(each.getBoundingClientRect().top))"
    )
    assert (len(tops), len(set(tops))) == (4, 1)
