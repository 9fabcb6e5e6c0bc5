"""A whole quilt followed in a real browser by what its screens say: sample first, and with a plan edited midway; before
a version is closed the demo too, which every run follows without a browser (test_web_walk.py)."""

from __future__ import annotations

import pytest
from effort import THOROUGH, tries
from house import AT_ONCE, House
from playwright.sync_api import Page, expect
from visitors import SMALL_PLAN, Quilt, Visitor
from walking import DEMO, EDITS, MOST, begin, begun_before_the_sample_was_finished, is_sewn

WALKED = list(EDITS) if THOROUGH else list(EDITS)[:1]


def do_what_it_says(page: Page) -> None:
    """Tap what the screen offers for the blocks in work, as many as it says."""
    version = page.get_attribute("#live", "data-version")
    page.tap("#all")
    gone(page, f"#live[data-version='{version}']")
    page.wait_for_selector("#saving:not(.under-way):not(.unsaved)", state="attached")


def gone(page: Page, what: str) -> None:
    """Wait until something is there no more. The page itself waits, since a walk looks so often."""
    page.wait_for_selector(what, state="detached")


def carry_on(page: Page) -> bool:
    """Go where the screen leads; False where it leads to the finished quilt."""
    before = page.locator("#live").get_attribute("data-step")
    page.tap("a.carry-on")
    gone(page, f"#live[data-step='{before}']")
    return page.locator("#live[data-step]").count() == 1


def follow(page: Page, most: int = MOST) -> int:
    """Follow the step screens to the end of the quilt, or for so many taps; how many taps it took."""
    for taps in range(most):
        page.wait_for_selector("#all:visible, a.carry-on:visible, .finished:visible")
        if not page.locator("#live[data-step]").count():
            return taps
        while page.locator("a.carry-on:visible").count():
            if not carry_on(page):
                return taps
            page.wait_for_selector("#all:visible, a.carry-on:visible")
        do_what_it_says(page)
    return most


if THOROUGH:

    def test_the_demo_quilt_is_sewn_by_its_screens_sample_first(phone_page: Page, house: House) -> None:
        phone_page.add_init_script(AT_ONCE)
        stored = begin(house.store, DEMO)
        phone_page.goto(f"{house.address}/")
        phone_page.tap(".quilt-card a.carry-on")
        taps = follow(phone_page)
        expect(phone_page.locator("main")).to_contain_text("100 % done: 12 of 12 blocks finished")
        assert taps == len(stored.taps)
        is_sewn(Quilt(Visitor(house.app), stored))


@pytest.mark.parametrize("name", WALKED)
def test_a_plan_edited_midway_is_sewn_to_the_end(name: str, phone_page: Page, house: House) -> None:
    """Two blocks and then three; a usual run follows some taps after the edit, and to the end without a browser."""
    phone_page.add_init_script(AT_ONCE)
    plan, sewn, taps = EDITS[name]
    stored = begin(house.store, plan, sewn)
    wider = plan.replace("across = 2", "across = 3")
    phone_page.goto(f"{house.address}/quilts/{stored.id}/step")
    assert follow(phone_page, taps) == taps
    before = Quilt(Visitor(house.app), stored).progress().counts.done
    phone_page.goto(f"{house.address}/quilts/{stored.id}/plan")
    phone_page.fill("#plan", wider)
    phone_page.tap("text=See what changes")
    expect(phone_page.locator(".changes")).to_contain_text("Everything that is done still fits.")
    phone_page.tap("text=Use this plan")
    phone_page.wait_for_url(f"**/quilts/{stored.id}")
    quilt = Quilt(Visitor(house.app), stored)
    assert quilt.compiled.text == wider
    after = quilt.progress().counts.done
    assert after == {key: times for key, times in before.items() if times}
    phone_page.tap("a.carry-on")
    assert (more := follow(phone_page, tries(MOST, 4))) == len(quilt.stored.taps) - sewn - taps - 1
    assert THOROUGH or more == 4
    if THOROUGH:
        expect(phone_page.locator("main")).to_contain_text("100 % done: 3 of 3 blocks finished")
        assert quilt.progress().counts.finished()


STRETCHES = ((0, MOST),) if THOROUGH else ((16, 8), (36, MOST))
"""How much is sewn before, and how many taps at most: over the sample's end, and to the quilt's."""


def test_a_finished_sample_leads_from_station_to_station(tablet_page: Page, house: House) -> None:
    """The other way to follow a quilt: a station's list, its first line, a tap, and the list again."""
    tablet_page.add_init_script(AT_ONCE)
    for sewn, most in STRETCHES:
        quilt = Quilt(Visitor(house.app), begin(house.store, SMALL_PLAN, sewn))
        follow_the_lists(tablet_page, f"{house.address}{quilt.at}/now", most)
        assert quilt.progress().counts.finished() == (most == MOST)
        assert begun_before_the_sample_was_finished(quilt) == {1}
    expect(tablet_page.locator("main")).to_contain_text("All steps are done.")


def follow_the_lists(page: Page, now: str, most: int) -> None:
    """Follow the stations' lists to the end of the quilt, or for so many taps."""
    taps = 0
    while taps < most:
        page.goto(now)
        if page.locator(".works a").count():
            page.tap(".works a.first")
            page.wait_for_selector("#live[data-step]", state="attached")
            do_what_it_says(page)
            taps += 1
        elif page.locator("a.carry-on").count():
            page.tap("a.carry-on")
            page.wait_for_selector(".works a")
        else:
            return
