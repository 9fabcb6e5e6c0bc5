"""A quilt drawn in a real browser: by touch, by mouse, by keyboard alone; live, kept, and looked at by axe."""

from __future__ import annotations

import json
import re

import pytest
from browser import PATIENCE, PHONE
from effort import by_lot
from house import House
from playwright.sync_api import Page, Route, expect
from test_screens_eyes import ALL, RUN, in_every_look, with_axe
from touching import Drawing, drag, grown, picture_of, star

from tracker.exact.measure import Measure
from tracker.plan.plan_reader import read_plan

STAR = [["A", "A/B", "A"], ["A\\B", "B", "B\\A"], ["A", "B/A", "A"]]


def test_a_star_of_nine_cells_is_drawn_by_touch_in_few_taps(phone_page: Page, house: House) -> None:
    phone_page.set_viewport_size({"width": 390, "height": 664})
    drawing = Drawing(phone_page, house.address)
    star(drawing)
    expect(phone_page.locator("#look-state")).to_have_text("✓ This can be sewn.")
    about = drawing.made(house.store)
    assert drawing.taps <= 25
    typed = f"""\
title = {json.dumps(about["title"])}

[fabrics.A]
name = "pale sand"
colour = "#e4dccb"

[fabrics.B]
name = "deep brick"
colour = "#a34d33"

[blocks.block1]
name = "Main block"
cell = "2"
picture = '''
A    A/B  A
A\\B  B    B\\A
A    B/A  A
'''

[quilt]
block = "block1"
across = 3
down = 4
"""
    assert about["plan"] == typed


def test_nobody_scrolls_to_draw_and_everything_is_large_enough(phone_page: Page, house: House) -> None:
    phone_page.set_viewport_size({"width": 390, "height": 664})
    drawing = Drawing(phone_page, house.address)
    for _ in range(5):
        for line in ("Right column", "Bottom row"):
            drawing.tap(f"[id='more-{line}']")
    expect(phone_page.locator("#board [role=gridcell]")).to_have_count(64)
    small = phone_page.evaluate("""[...document.querySelectorAll('[role=gridcell], .drawing button')].map(each => {
        const box = each.getBoundingClientRect();
        return box.width && (box.width < 44 || box.height < 44) ? each.outerHTML.slice(0, 90) : '';
    }).filter(Boolean)""")
    assert small == []
    phone_page.evaluate("scrollTo(0, 0)")
    box = phone_page.locator("#board").bounding_box()
    tools = phone_page.locator(".patch-tools").first.bounding_box()
    assert box is not None
    assert tools is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 390
    assert tools["y"] + tools["height"] <= 664


def test_it_is_drawn_by_keyboard_alone(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    page = phone_page
    page.focus("[data-same=turned]")
    page.keyboard.press("Enter")
    page.focus("#board [role=gridcell][tabindex='0']")
    for key in ("ArrowRight", "ArrowDown", "2", "w", "Enter", "h", "r", "r", "ArrowUp", "Enter"):
        page.keyboard.press(key)
    assert picture_of(page) == STAR
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    assert picture_of(page) == [["A"] * 3] * 3
    page.keyboard.press("Control+y")
    page.keyboard.press("Control+Shift+z")
    assert picture_of(page) == STAR
    for key in ("1", "l", "Enter", "ArrowDown", "ArrowDown", "Enter"):
        page.keyboard.press(key)
    page.focus("#make") if page.locator("#make").is_visible() else page.focus("[data-go=make]")
    page.keyboard.press("Enter")
    expect(page.locator("#make")).to_be_visible()
    page.focus("#make")
    expect(page.locator("#make")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/quilts/\w+$"), timeout=PATIENCE)
    assert drawing.taps == 0


def test_a_finger_drawn_over_cells_fills_them_or_makes_one_patch_of_them(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    drag(phone_page, [(0, 0), (0, 1), (0, 2)])
    assert picture_of(phone_page) == [["B"] * 3, ["A"] * 3, ["A"] * 3]
    drawing.tap("#undo")
    drawing.tap("[data-tool=join]")
    drag(phone_page, [(0, 0), (0, 1), (1, 1)])
    expect(phone_page.locator("#board [role=gridcell]")).to_have_count(6)
    assert picture_of(phone_page) == [["B", "<", "A"], ["^", "<", "A"], ["A", "A", "A"]]
    drawing.cell(0, 0)
    assert picture_of(phone_page) == [["B", "B", "A"], ["B", "B", "A"], ["A", "A", "A"]]
    drawing.cell(2, 0)
    drawing.cell(2, 2)
    assert picture_of(phone_page)[2] == ["B", "<", "<"]


def test_half_an_oblong_is_laid_and_turned_by_touch(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    drawing.tap("[data-tool=join]")
    drawing.cell(0, 0)
    drawing.cell(0, 1)
    drawing.tap("#hand-A")
    drawing.tap("[data-tool=half]")
    drawing.cell(0, 0)
    assert picture_of(phone_page)[0] == ["A/B", "<", "A"]
    drawing.cell(0, 0)
    assert picture_of(phone_page)[0] == ["B\\A", "<", "A"]
    expect(phone_page.locator("#look-state")).to_have_text("✓ This can be sewn.")


def test_four_pieces_round_a_middle_are_one_touch_and_can_be_sewn(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    drawing.tap("[data-tool=join]")
    drawing.tap("[data-same=turned]")
    drag(phone_page, [(0, 0), (0, 1)])
    assert picture_of(phone_page) == [["B", "<", "B"], ["B", "A", "^"], ["^", "B", "<"]]
    expect(phone_page.locator("#look-state")).to_have_text("✓ This can be sewn.")


def test_a_nine_patch_is_cut_up_where_that_is_chosen(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    for row, column in ((0, 1), (1, 0), (1, 2), (2, 1)):
        drawing.cell(row, column)
    phone_page.select_option("#cut-up", label="two opposite quarters turned half round")
    expect(phone_page.locator("#look-state")).to_have_text("✓ This can be sewn.")
    plan = read_plan(str(drawing.made(house.store)["plan"])).plan
    assert plan is not None
    (block,) = plan.blocks.values()
    assert block.cut_up == ((0, 180), (180, 0))


def test_a_star_is_of_diamonds_where_that_is_chosen(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    grown(drawing, 1)
    drawing.tap("[data-same=turned]")
    drawing.cell(1, 1)
    drawing.tap("[data-tool=half]")
    for column, wanted in ((1, "B\\A"), (2, "A/B")):
        drawing.cell(0, column)
        while picture_of(phone_page)[0][column] != wanted:
            drawing.cell(0, column)
    phone_page.get_by_label("45° diamonds").check()
    expect(phone_page.locator("#look-state")).to_have_text("✓ This can be sewn.")
    plan = read_plan(str(drawing.made(house.store)["plan"])).plan
    assert plan is not None
    (block,) = plan.blocks.values()
    assert block.diamonds
    assert block.inner_finished == (8, 8)


TWO_MIDDLES = ([(0, 0), (0, 1)], [(0, 2), (0, 3), (1, 3)], [(1, 0), (2, 0), (3, 0)], [(1, 1), (2, 1)], [(2, 3), (3, 3)],
               [(3, 1), (3, 2)])  # fmt: skip


def test_what_cannot_be_sewn_is_shown_at_its_place_and_stays_drawn(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    drawing.tap("[id='more-Bottom row']")
    drawing.tap("[id='more-Right column']")
    drawing.tap("[data-tool=join]")
    phone_page.evaluate("scrollTo(0, 0)")
    for cells in TWO_MIDDLES:
        drag(phone_page, list(cells))
    expect(phone_page.locator("#board .wrong")).to_have_count(7)
    expect(phone_page.locator("#said")).to_contain_text("no straight seam parts the patches")
    drawing.tap("[data-go=make]")
    expect(phone_page.locator("#faults-drawn li")).to_have_count(1)
    drawing.tap("#make")
    expect(phone_page.locator("#doubt")).to_contain_text("no straight seam")
    drawing.tap("#faults-drawn button")
    expect(phone_page.locator("#board")).to_be_visible()
    assert picture_of(phone_page)[1:3] == [["B", "B", "^", "<"], ["^", "^", "A", "B"]]


def test_another_cloth_leads_back_to_the_place_in_the_block(phone_page: Page, house: House) -> None:
    phone_page.set_viewport_size({"width": 390, "height": 664})
    drawing = Drawing(phone_page, house.address)
    for leave in ("#back-to-block", ".palette .colour >> nth=3"):
        phone_page.evaluate("scrollTo(0, 90)")
        drawing.tap("#hand-more")
        expect(phone_page.locator(leave)).to_be_in_viewport()
        was = phone_page.evaluate("document.querySelector('#drawing').dataset.part")
        drawing.tap(leave)
        expect(phone_page.locator("#board")).to_be_visible()
        assert (was, phone_page.evaluate("scrollY")) == ("cloths", 90)


def test_a_size_that_is_none_is_told_beside_its_field(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    former = phone_page.locator("#block-form p.comes", has_text="The block:")
    expect(former).to_have_count(1)
    for selector, typed, words in (("#cell", "two", "a length is written as"), ("#cell", "1/8", "wider than the seam")):
        phone_page.fill(selector, typed)
        phone_page.locator(selector).blur()
        expect(phone_page.locator("#block-form .field-fault, #said")).to_contain_text([words])
        expect(former).to_have_count(0)  # it would be of the drawing before
    phone_page.fill("#cell", "2")
    drawing.tap("[data-go=make]")
    expect(phone_page.locator("#figures")).to_be_visible()
    drawing.tap("[data-go=quilt]")
    drawing.tap("#sash")
    phone_page.fill("#sash-width", "none")
    drawing.tap("[data-go=make]")
    expect(phone_page.locator("#faults-drawn li")).to_have_count(1)
    expect(phone_page.locator("#figures")).to_be_hidden()
    drawing.tap("#faults-drawn button")
    expect(phone_page.locator("#quilt-form .field-fault")).to_contain_text("a length is written as")
    drawing.tap("[data-undo] >> visible=true")
    expect(phone_page.locator("#quilt-form .field-fault")).to_have_count(0)
    expect(phone_page.locator("#quilt-form")).to_contain_text("cut 1 1/2 in")


def test_what_is_typed_and_the_tap_that_follows_at_once_both_count(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    drawing.tap("[data-go=quilt]")
    phone_page.fill("#title", "Window seat")
    drawing.tap("#sash")
    phone_page.fill("#sash-width", "3/4")
    drawing.tap("#add-border")
    phone_page.fill("#border-0", "3")
    drawing.tap("#add-border")
    phone_page.fill("#border-1", "5")
    phone_page.tap("#border-0")
    phone_page.fill("#border-0", "4")
    drawing.tap("#across-more")
    about = drawing.made(house.store)
    plan = read_plan(about["plan"]).plan
    assert plan is not None
    assert (plan.title, len(plan.quilt.places[0])) == ("Window seat", 4)
    assert [border.cut for border in plan.quilt.borders] == [Measure(9) / 2, Measure(11) / 2]
    assert plan.quilt.sash is not None
    assert plan.quilt.sash.cut == Measure(5) / 4


def test_nothing_drawn_is_lost_though_the_page_goes_and_the_computer_is_away(phone_page: Page, house: House) -> None:
    drawing = Drawing(phone_page, house.address)
    house.stop()
    star(drawing)
    expect(phone_page.locator("#look-state")).to_contain_text("all is kept here")
    assert picture_of(phone_page) == STAR
    house.start()
    phone_page.reload()
    expect(phone_page.locator("#look-state")).to_have_text("✓ This can be sewn.")
    assert picture_of(phone_page) == STAR
    drawing.tap("#undo")
    assert picture_of(phone_page)[0] == ["A", "A", "A"]
    drawing.tap("#redo")
    phone_page.goto(f"{house.address}/draw")
    drawing.tap("text=Drawn before, not made: 1")
    drawing.tap("text=Draw on")
    assert picture_of(phone_page) == STAR
    expect(phone_page.locator("#drawn-before")).to_be_hidden()
    drawing.made(house.store)
    phone_page.goto(f"{house.address}/draw")
    drawing.tap("[data-go=make]")
    expect(phone_page.locator("#drafts")).to_be_empty()
    drawing.tap("[data-go=block]")
    expect(phone_page.locator("#drawn-before")).to_be_hidden()


def test_nothing_moves_under_the_finger_that_begins_to_draw(phone_page: Page, house: House) -> None:
    """What was drawn before is offered above the block; it went at the first touch, and the second met another row."""
    drawing = Drawing(phone_page, house.address)
    drawing.cell(1, 1)
    assert picture_of(phone_page)[1] == ["A", "B", "A"]
    phone_page.goto(f"{house.address}/draw")
    expect(phone_page.locator("#drawn-before")).to_be_visible()
    cells = phone_page.locator("#board").bounding_box()
    drawing.cell(0, 0)
    assert picture_of(phone_page)[0] == ["B", "A", "A"]
    assert phone_page.locator("#board").bounding_box() == cells
    drawing.tap("[data-go=make]")
    drawing.tap("[data-go=block]")
    expect(phone_page.locator("#drawn-before")).to_be_hidden()


def test_a_slow_computer_makes_what_was_drawn_though_it_is_due_to_be_proved(clocked_page: Page, house: House) -> None:
    """The proof is asked for a moment after the picture; that must not break off what is just being made."""
    page, held = clocked_page, list[Route]()
    drawing = Drawing(page, house.address)
    page.route("**/draw/make", lambda route: held.append(route))
    drawing.cell(0, 0)
    drawing.tap("[data-go=make]")
    expect(page.locator("#look-state")).to_have_text("✓ This can be sewn.")
    with page.expect_request("**/draw/make"):
        drawing.tap("#make")
    page.clock.fast_forward(5000)
    page.evaluate("1")
    held[0].continue_()
    page.wait_for_url(re.compile(r"/quilts/\w+$"))
    assert page.locator("h1").inner_text() == house.store.quilts()[-1].about["title"]


def test_a_quilt_is_drawn_on(phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    drawing = Drawing(phone_page, house.address, f"{quilt.at}/draw")
    drawing.cell(0, 0)
    drawing.tap("[data-go=make]")
    expect(phone_page.locator("#look-state")).to_have_text("✓ This can be sewn.")
    drawing.tap("text=See what changes")
    drawing.tap("text=Use this plan")
    phone_page.wait_for_url(re.compile(quilt.at + "$"))
    assert "R  R\nR  S\\R\n" in house.quilt().stored.about["plan"]


PARTS = ("block", "cloths", "quilt", "make")


@pytest.mark.parametrize("size", by_lot([(390, 664), (820, 1180)], 2))
def test_no_part_of_the_drawing_has_a_barrier_that_axe_knows(
    size: tuple[int, int], phone_page: Page, house: House
) -> None:
    phone_page.set_viewport_size({"width": size[0], "height": size[1]})
    drawing = Drawing(phone_page, house.address)
    star(drawing)
    drawing.tap("#add-block")
    with_axe(phone_page, house)
    for part, opened in zip(PARTS, ("", "#swatch-0", "#sash", ""), strict=True):
        drawing.tap(f"[data-go={part}]")
        if opened:
            drawing.tap(opened)
        phone_page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
        assert phone_page.evaluate("document.scrollingElement.scrollWidth") <= size[0], part
        phone_page.evaluate("scrollTo(0, 0)")
        if size[0] == PHONE["width"]:
            found = in_every_look(phone_page, part)
            assert {look: barriers for look, barriers in found.items() if barriers} == {}
        else:
            assert phone_page.evaluate(RUN, ALL) == []
