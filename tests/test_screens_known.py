"""A known block found and begun on a small phone, by touch."""

from __future__ import annotations

from house import House
from playwright.sync_api import Page, expect


def test_a_star_is_begun_from_its_name_in_few_taps(phone_page: Page, house: House) -> None:
    """From an empty page to a quilt: the known blocks, the name, the block, its colour, and begun."""
    page = phone_page
    page.set_viewport_size({"width": 390, "height": 664})
    page.goto(house.address)
    page.tap("text=From a known block")
    page.wait_for_url("**/known", wait_until="load")
    page.locator("[name=name]").fill("sawtooth")
    expect(page.locator(".known-blocks li")).to_have_count(1)
    page.tap(".known-blocks a")
    begin = page.locator("button.big")
    box = begin.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    assert box["y"] + box["height"] <= 664, "begun without scrolling"
    page.locator("[name=colour-D]").fill("#117744")
    expect(page.locator('#chosen .picture path[fill="#117744"]').first).to_be_attached()
    begin.tap()
    page.wait_for_url("**/quilts/*")
    expect(page.locator("h1")).to_have_text("Sawtooth star")


def test_three_blocks_stand_side_by_side_on_a_small_phone_and_nothing_runs_out(phone_page: Page, house: House) -> None:
    page = phone_page
    page.set_viewport_size({"width": 390, "height": 664})
    page.goto(f"{house.address}/known")
    tops = [box["y"] for each in page.locator(".known-blocks li").all()[:4] if (box := each.bounding_box())]
    assert tops[0] == tops[1] == tops[2] < tops[3]
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
