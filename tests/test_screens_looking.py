"""A plan looked at while it is typed, on a small phone: the newest text is seen, and what takes long says so."""

from __future__ import annotations

from collections.abc import Callable

import lookers
from browser import PATIENCE
from house import House
from playwright.sync_api import Page, Route, expect
from visitors import SMALL_PLAN

ENDLESS = SMALL_PLAN + lookers.ENDLESS


def wider(columns: int) -> str:
    """The small plan with so many blocks."""
    return SMALL_PLAN.replace("across = 2", f"across = {columns}")


def opened(page: Page, house: House) -> None:
    page.set_viewport_size({"width": 390, "height": 664})
    page.goto(f"{house.address}/new")


def seen(page: Page, columns: int) -> None:
    """Wait until the picture and the words are of so many blocks."""
    expect(page.locator("#look-words")).to_contain_text(f"{columns} × Lantern")


def next_held(page: Page, ask: Callable[[], None]) -> Route:
    """The next look that the page asks for, held back."""
    held: list[Route] = []
    page.route("**/new/look", lambda route: held.append(route), times=1)
    ask()
    for _ in range(PATIENCE // 20):
        if held:
            break
        page.wait_for_timeout(20)
    return held[0]


def test_with_pauses_in_typing_the_newest_text_is_seen_and_then_proved(phone_page: Page, busy_house: House) -> None:
    page = phone_page
    opened(page, busy_house)
    for number in range(4):
        with page.expect_request("**/new/look"):
            page.fill("#plan", f"{ENDLESS} {number}\n")
    expect(page.locator("#look-count")).to_have_text("Looking at it …")
    page.fill("#plan", wider(3))
    seen(page, 3)
    expect(page.locator("#look-picture svg")).to_be_visible()
    expect(page.locator("#look-proof")).to_contain_text("✓ Proved:")
    with page.expect_request("**/new/look"):
        page.fill("#plan", f"{ENDLESS} last\n")
    expect(page.locator("#look-count")).to_have_text("Looking at it …")
    expect(page.locator("#look-proof")).to_have_count(0)
    expect(page.locator("#look-words")).to_contain_text("2 × Lantern")  # sizes and picture come first
    expect(page.locator("#look-picture svg")).to_be_visible()
    page.fill("#plan", wider(4))
    seen(page, 4)


def comes_late(page: Page, older: Route) -> None:
    """Have an answer come that was held back, and stay unseen."""
    older.fulfill(body='<p id="look-words">older</p>', content_type="text/html")
    with page.expect_response("**/new/proof"):
        pass
    expect(page.locator("#look-proof")).to_contain_text("✓ Proved:")


def test_an_older_answer_never_takes_the_place_of_a_newer(phone_page: Page, busy_house: House) -> None:
    opened(phone_page, busy_house)
    older = next_held(phone_page, lambda: phone_page.fill("#plan", wider(3)))
    phone_page.fill("#plan", wider(4))
    seen(phone_page, 4)
    comes_late(phone_page, older)
    seen(phone_page, 4)


def test_an_answer_to_asking_again_is_dropped_where_she_typed_on(phone_page: Page, busy_house: House) -> None:
    opened(phone_page, busy_house)
    phone_page.fill("#plan", ENDLESS)
    expect(phone_page.locator("#look-count")).to_have_text("Looking at it …")
    older = next_held(phone_page, lambda: None)
    phone_page.fill("#plan", wider(3))
    seen(phone_page, 3)
    comes_late(phone_page, older)
    seen(phone_page, 3)


def test_what_takes_too_long_is_said_so_and_the_picture_stays(phone_page: Page, busy_house: House) -> None:
    page = phone_page
    opened(page, busy_house)
    page.fill("#plan", wider(3))
    seen(page, 3)
    assert busy_house.looking is not None
    page.fill("#plan", ENDLESS)
    seen(page, 2)
    busy_house.looking.budget = 0
    expect(page.locator("#look-words")).to_contain_text("It will still be worked out when it is saved")
    expect(page.locator("#look-count")).to_have_text("Too large to be worked out while you type")
    expect(page.locator("#look-picture svg")).to_be_visible()
    busy_house.looking.budget = PATIENCE // 1000
    page.fill("#plan", wider(4))
    seen(page, 4)


def test_a_plan_that_is_edited_is_looked_at_the_same_way(phone_page: Page, busy_house: House) -> None:
    page = phone_page
    page.set_viewport_size({"width": 390, "height": 664})
    page.goto(f"{busy_house.address}{busy_house.quilt().at}/plan")
    with page.expect_request("**/new/look"):
        page.fill("#plan", ENDLESS)
    page.fill("#plan", wider(3))
    seen(page, 3)
    expect(page.locator("#look-proof")).to_contain_text("✓ Proved:")
