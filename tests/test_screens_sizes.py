"""Blocks measured by touch on a ruler, and brought to one size by sliding along its marks."""

from __future__ import annotations

import re

from axe_playwright_python.base import AXE_SCRIPT
from browser import HOST, TABLET
from house import House
from playwright.sync_api import Page, expect
from sizing import lantern_text
from test_screens_eyes import in_every_look
from test_web_sizes import ROWS, SASHED, lengths_of
from visitors import Quilt, Visitor, add_quilt

from tracker.progress.block_taps import BlockMeasured
from tracker.progress.tap_kinds import written


def lantern(house: House, measured: int) -> Quilt:
    """The worked example's quilt, so many of its blocks measured."""
    quilt = add_quilt(house.store, lantern_text(frame=False, more=SASHED))
    for row in ROWS[:measured]:
        number = int(row["block"])
        tap = BlockMeasured(id=f"measured-{number}", block=number, lengths=lengths_of(row), maker=row["maker"])
        quilt.append(written(tap))
    return Quilt(Visitor(house.app, f"{HOST}:{house.port}"), quilt)


def test_six_taps_on_the_ruler_measure_a_block_and_its_sentence_comes_into_sight(
    phone_page: Page, house: House
) -> None:
    quilt = lantern(house, 11)
    phone_page.goto(f"{house.address}{quilt.at}/measure")
    expect(phone_page.get_by_role("heading", level=1)).to_have_text("Measure block 12")
    planned = phone_page.get_by_role("button", name="10½, as planned")
    expect(planned).to_be_in_viewport()
    for _ in range(5):
        planned.tap()
    phone_page.locator('[data-mark="10 9/16"]').tap()
    assert [field.input_value() for field in phone_page.locator("fieldset input").all()] == ["10 1/2"] * 5 + ["10 9/16"]
    phone_page.get_by_role("button", name="Keep these figures").tap()
    says = phone_page.locator(".said")
    expect(says).to_contain_text("As planned, 10½ in")
    expect(says).to_be_in_viewport()
    phone_page.get_by_role("link", name="What all blocks say").tap()
    expect(phone_page.locator("#live")).to_contain_text("12 of 12 measured")


def test_many_in_a_row_go_on_at_once_and_what_is_typed_outlives_the_page(phone_page: Page, house: House) -> None:
    quilt = lantern(house, 2)
    phone_page.goto(f"{house.address}{quilt.at}/measure/3")
    for _ in range(6):
        phone_page.get_by_role("button", name="10½, as planned").tap()
    phone_page.get_by_role("button", name="on to block 4").tap()
    expect(phone_page.get_by_role("heading", level=1)).to_have_text("Measure block 4")
    expect(phone_page.locator(".standing")).to_contain_text("3 of 12 measured")
    phone_page.locator("#w1").fill("10 3/8")
    phone_page.reload()
    expect(phone_page.locator("#w1")).to_have_value("10 3/8")
    phone_page.goto(f"{house.address}{quilt.at}/measure/3?framed=0")
    assert phone_page.locator("#w1").input_value() == "10 1/2", "as it was kept"


def test_the_size_slides_along_the_marks_and_all_figures_follow(tablet_page: Page, house: House) -> None:
    quilt = lantern(house, 12)
    tablet_page.goto(f"{house.address}{quilt.at}/sizes")
    said, slider = tablet_page.locator(".said"), tablet_page.get_by_role("slider")
    first = "First press blocks 9, 10 and 12 again and measure them."
    expect(said).to_have_text(f"{first} Then square them all to 10⅜ in.")
    slider.press("ArrowRight")
    expect(said).to_have_text(f"{first} Then keep the plan's 10½ in.")
    expect(tablet_page.locator(".size-lines li").nth(4)).to_contain_text("Sew again")
    assert tablet_page.locator("input[name=size]").input_value() == "10 1/2"
    slider.press("ArrowRight")
    expect(said).to_have_text(f"{first} Then square them all to 10⅝ in, larger than planned.")
    expect(tablet_page.get_by_role("button", name="See what follows in the plan")).to_be_hidden()
    tablet_page.get_by_role("link", name="10¼ in").tap()
    expect(said).to_have_text(f"{first} Then square them all to 10¼ in.")
    assert slider.input_value() == "2"
    by_the_computer = quilt.visitor.get(f"{quilt.at}/sizes?size=10+1%2F4")
    lines = [line.inner_text() for line in tablet_page.locator(".size-lines .what").all()]
    assert lines
    assert all(line in by_the_computer.text for line in lines)
    tablet_page.get_by_role("button", name="See what follows in the plan").tap()
    expect(tablet_page.locator("#plan")).to_have_value(re.compile('squared = "10 1/4"'))
    expect(tablet_page.locator(".changes")).to_contain_text("Everything that is done still fits")


def test_neither_screen_has_a_barrier_that_axe_knows_or_is_wider_than_the_phone(phone_page: Page, house: House) -> None:
    quilt = lantern(house, 12)
    found: dict[tuple[str, str], list[str]] = {}
    for path in ("/measure/10", "/sizes"):
        phone_page.goto(f"{house.address}{quilt.at}{path}")
        assert phone_page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        phone_page.evaluate(AXE_SCRIPT)
        found |= in_every_look(phone_page, path)
    assert {screen: barriers for screen, barriers in found.items() if barriers} == {}


def test_on_paper_there_is_a_table_to_fill_in(tablet_page: Page, house: House) -> None:
    quilt = lantern(house, 0)
    tablet_page.goto(f"{house.address}{quilt.at}/sizes")
    table = tablet_page.locator(".paper-measures table")
    expect(table).not_to_be_visible()
    tablet_page.emulate_media(media="print")
    expect(table).to_be_visible()
    expect(table.locator("tbody tr")).to_have_count(12)
    box = table.bounding_box()
    assert box is not None
    assert box["width"] <= TABLET["width"]


def test_a_figure_that_cannot_be_is_asked_about_in_its_place_and_stays(phone_page: Page, house: House) -> None:
    quilt = lantern(house, 0)
    phone_page.goto(f"{house.address}{quilt.at}/measure/1")
    for _ in range(6):
        phone_page.get_by_role("button", name="10½, as planned").tap()
    phone_page.fill("#w2", "105")
    phone_page.get_by_role("button", name="Keep these figures").tap()
    asked = phone_page.get_by_text("was 10 1/2 meant?")
    expect(asked).to_be_in_viewport()
    box = asked.bounding_box()
    assert box is not None
    assert box["width"] > 300
    assert phone_page.input_value("#w2") == "105"
    assert phone_page.input_value("#h3") == "10 1/2"
    assert quilt.stored.taps == []
