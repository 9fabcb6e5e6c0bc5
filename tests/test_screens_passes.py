"""One tap for a whole pass on the phone: counted, turned on from, and taken back from the next screen; away as well."""

from __future__ import annotations

import pytest
from house import House, all_done, behind, go, saved
from playwright.sync_api import Page, expect

RED = "Cut lamp red squares, 2½ in"
SAND = "Cut pale sand squares, 3 in"
TOUCHED_TWICE = """() => new Promise((tell) => {
    const all = () => document.querySelector('#all'), step = () => document.querySelector('#live').dataset.step;
    const first = step();
    new MutationObserver((changes, watching) => {
        if (step() === first) return;
        watching.disconnect();
        setTimeout(() => { all().click(); tell(); }, 300);
    }).observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true });
    all().click();
})"""
"""The button for all, and once more as soon as a finger can when another step is under it; by the page's clock."""


def shows(page: Page, title: str) -> None:
    """Wait until a step has come and takes taps."""
    expect(page.locator("h1")).to_have_text(title)
    expect(page.locator("html.turned")).to_have_count(0)


@pytest.mark.parametrize("away", [False, True], ids=["at home", "away"])
def test_a_pass_is_counted_with_one_tap_turns_on_and_is_taken_back_as_one(
    away: bool, phone_page: Page, house: House
) -> None:
    page = phone_page
    go(page, house, RED)
    behind(page)
    if away:
        house.stop()
    # A second touch right behind the first counts nothing of what comes next.
    page.evaluate(TOUCHED_TWICE)
    shows(page, SAND)
    expect(page.locator("#last-tap")).to_have_text("3 cut")
    if not away:
        saved(page)
        (tap,) = house.quilt().stored.taps
        assert [times for _, times, _ in tap["work"]] == [1, 2]
    page.tap("#take-back")
    shows(page, RED)
    expect(page.locator("#done")).to_have_text("0")
    page.tap("#all")
    shows(page, SAND)
    if away:
        house.start()
    saved(page)
    assert all_done(house) == 3
    assert [tap["do"] for tap in house.quilt().stored.taps] == ["pass", "take back", "pass"]


def test_a_step_of_a_pass_is_counted_beside_it_and_the_button_counts_the_rest(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    behind(phone_page)
    phone_page.locator(".of-pass .row", has_text="squares, 3 in").locator("button").tap()
    saved(phone_page)
    expect(phone_page.locator("#all-words")).to_have_text("2 cut")
    phone_page.tap("#all")
    expect(phone_page.locator("h1")).to_have_text(SAND)
    saved(phone_page)
    assert all_done(house) == 3


def test_a_tap_taken_back_elsewhere_is_offered_no_more(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    phone_page.tap("#all")
    shows(phone_page, SAND)
    saved(phone_page)
    phone_page.goto(phone_page.url.partition("/steps/")[0] + "/latest")
    phone_page.locator("button", has_text="Take back").first.tap()
    saved(phone_page)
    expect(phone_page.locator("button", has_text="Take back")).to_have_count(0)
    go(phone_page, house, RED)
    expect(phone_page.locator("#take-back")).to_be_hidden()
