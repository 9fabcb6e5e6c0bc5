"""Cloths and what lies round the blocks, chosen by touch where a quilt is drawn: prints, tones, borders, sashes."""

from __future__ import annotations

import re

from house import House
from playwright.sync_api import Page, expect
from touching import Drawing, star

from tracker.plan.plan_reader import read_plan


def test_a_pieced_border_and_an_outer_sash_are_chosen_by_touch(phone_page: Page, house: House) -> None:
    """Teeth of two cloths that do not fill the sides: the fault stands beside them, with the width that does."""
    drawing = Drawing(phone_page, house.address)
    drawing.tap("[data-go=quilt]")
    drawing.tap("#sash")
    drawing.tap("#add-border")
    phone_page.fill("#border-0", "1")
    phone_page.select_option("#corners-0", "B")
    phone_page.select_option("#pieces-0", "outer sash")
    drawing.tap("#add-border")
    phone_page.fill("#border-1", "3")
    phone_page.select_option("#pieces-1", "teeth")
    expect(phone_page.locator("#quilt-form .field-fault")).to_contain_text("they do not fill sides of")
    drawing.tap("[data-go=make]")
    found = phone_page.locator("#faults-drawn").inner_text()
    right = re.search(r"cells of ([0-9 /]+) in fit", found)
    assert right is not None, found
    drawing.tap("[data-go=quilt]")
    phone_page.fill("#border-1", right[1])
    phone_page.tap("#border-0")
    expect(phone_page.locator("#quilt-form .field-fault")).to_have_count(0)
    plan = read_plan(drawing.made(house.store)["plan"]).plan
    assert plan is not None
    outer, teeth = plan.quilt.borders
    assert (outer.outer_sash, outer.corners, len(teeth.picture)) == (True, "B", 1)
    assert teeth.picture[0].is_halved


def test_how_dark_a_cloth_is_is_said_without_opening_anything(phone_page: Page, house: House) -> None:
    drawing, page = Drawing(phone_page, house.address), phone_page
    star(drawing)
    drawing.tap("[data-go=cloths]")
    summary = page.locator("#cloth-more-1 summary")
    expect(summary).to_have_text(re.compile(r"^(Light|Medium|Dark), tone [1-9] of 9; in the cupboard, direction$"))
    page.evaluate("document.querySelector('#cloth-more-1').open = true")
    page.select_option("#tone-1", "2")
    expect(summary).to_contain_text("Light, tone 2 of 9")
    page.select_option("#tone-1", "6")
    expect(summary).to_contain_text("Medium, tone 6 of 9")
    page.select_option("#tone-1", "9")
    expect(summary).to_contain_text("Dark, tone 9 of 9")


def test_every_print_of_a_cloth_stands_where_that_is_ticked_and_what_turns_it_is_told_there(
    phone_page: Page, house: House
) -> None:
    drawing, page = Drawing(phone_page, house.address), phone_page
    star(drawing)
    drawing.tap("[data-go=cloths]")
    page.evaluate("document.querySelector('#cloth-more-1').open = true")
    expect(page.locator("#upright-1")).to_have_count(0)
    drawing.tap("#directional-1")
    drawing.tap("#upright-1")
    expect(page.locator("#cloth-form .further")).to_contain_text("Upright prints take")
    drawing.tap("[data-undo] >> visible=true")
    expect(page.locator("#upright-1")).not_to_be_checked()
    drawing.tap("[data-redo] >> visible=true")
    expect(page.locator("#upright-1")).to_be_checked()
    drawing.tap("[data-go=quilt]")
    page.select_option("#setting", "on point")
    refused = "The setting would turn the print of deep brick in Main block; set the blocks straight"
    expect(page.locator("#quilt-form .field-fault")).to_contain_text(refused)
    drawing.tap("[data-go=cloths]")
    expect(page.locator("#cloth-form .field-fault")).to_contain_text(refused)
    drawing.tap("#directional-1")
    expect(page.locator("#upright-1, #cloth-form .field-fault")).to_have_count(0)
    for tick in ("#directional-1", "#upright-1"):
        drawing.tap(tick)
    drawing.tap("[data-go=quilt]")
    page.select_option("#setting", "straight")
    expect(page.locator("#look-state")).to_have_text("✓ This can be sewn.")
    made = drawing.made(house.store)
    assert str(made["plan"]).count("directional = true\nupright = true\n") == 1
    Drawing(page, page.url, "/draw")
    page.tap("[data-go=cloths]")
    assert [page.is_checked(f"#directional-{number}", strict=True) for number in (0, 1)] == [False, True]
    assert page.is_checked("#upright-1")
