"""A new plan is typed or read from a file: drawn at once, its mistakes beside their lines."""

from __future__ import annotations

from pathlib import Path

from house import House
from playwright.sync_api import Page, expect
from visitors import SMALL_PLAN


def test_a_plan_is_drawn_as_it_is_typed_and_its_errors_stand_beside_their_lines(phone_page: Page, house: House) -> None:
    phone_page.goto(f"{house.address}/new")
    phone_page.fill("#plan", SMALL_PLAN)
    expect(phone_page.locator("#look")).to_contain_text("This can be sewn.")
    expect(phone_page.locator("#look-picture svg")).to_be_visible()
    phone_page.fill("#plan", SMALL_PLAN.replace("tone = 7", "tone = 12"))
    expect(phone_page.locator(".line-faults")).to_contain_text("Line 9")
    expect(phone_page.locator("#look-picture svg")).to_be_visible()  # the last good picture stays
    phone_page.tap("text=Line 9")
    selected = "(box => box.value.slice(box.selectionStart, box.selectionEnd))(document.querySelector('#plan'))"
    assert phone_page.evaluate(selected) == "tone = 12"
    phone_page.reload()
    phone_page.tap("#bring-back")
    assert phone_page.input_value("#plan").count("tone = 12") == 1
    phone_page.fill("#plan", SMALL_PLAN.replace("Lantern cushion", "Second cushion"))
    phone_page.tap("text=Make this quilt")
    expect(phone_page.locator("h1")).to_have_text("Second cushion")
    assert len(house.store.quilts()) == 2


def test_a_file_is_read_into_the_box(phone_page: Page, house: House, tmp_path: Path) -> None:
    file = tmp_path / "plan.toml"
    phone_page.goto(f"{house.address}/new")
    file.write_bytes(b"\xff\xfe")
    phone_page.set_input_files("#file", file)
    expect(phone_page.locator("#faults")).to_contain_text("The file is not text in UTF-8")
    file.write_text(SMALL_PLAN, encoding="utf-8")
    phone_page.set_input_files("#file", file)
    expect(phone_page.locator("#look")).to_contain_text("This can be sewn.")
    assert phone_page.input_value("#plan") == SMALL_PLAN


def test_mistakes_in_a_new_plan_are_counted_by_the_button_and_jumped_to(phone_page: Page, house: House) -> None:
    page = phone_page
    page.goto(f"{house.address}/new")
    page.fill("#plan", SMALL_PLAN)
    expect(page.locator("#look-count")).to_have_text("✓ This can be sewn.")
    expect(page.locator("#look-picture svg")).to_be_visible()
    page.fill("#plan", SMALL_PLAN.replace("tone = 7", "tone = 12"))
    expect(page.locator("#look-count")).to_have_text("1 thing to put right")
    expect(page.locator(".stale")).to_have_text("The picture from before these mistakes:")
    page.fill("#plan", SMALL_PLAN)
    expect(page.locator(".stale")).to_have_count(0)
    page.fill("#plan", SMALL_PLAN.replace("tone = 7", "tone = 12"))
    page.tap("text=Make this quilt")
    expect(page.locator("#look-words")).to_be_focused()
    expect(page.locator("#look-words")).to_be_in_viewport()
    expect(page.locator("#look-count")).to_have_text("1 thing to put right")
    expect(page.locator(".stale")).to_be_hidden()
    assert page.evaluate("scrollY") > 0
