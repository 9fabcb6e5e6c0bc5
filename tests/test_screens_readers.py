"""For readers and keys: told once, focus kept, a fault said at its field, what is saved always in sight."""

from __future__ import annotations

import pytest
from house import AT_ONCE, House, counted, go, saved
from playwright.sync_api import Page, expect

RED = "Cut lamp red squares, 2½ in"
SAND = "Cut pale sand squares, 3 in"

TOLD = """
    window.told = [];
    addEventListener('DOMContentLoaded', () => new MutationObserver(() => {
        const text = document.getElementById('told').textContent;
        if (text) told.push(text);
    }).observe(document.getElementById('told'), { childList: true, characterData: true, subtree: true }));
"""


def focused(page: Page) -> str:
    return str(page.evaluate("document.activeElement.id || document.activeElement.tagName"))


def test_the_count_is_told_once(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE + ";" + TOLD)
    go(phone_page, house, RED)
    phone_page.tap("#one")
    expect(phone_page.locator("#told")).to_have_text("1 of 4 done, saved")
    phone_page.tap("#one")
    expect(phone_page.locator("#told")).to_have_text("2 of 4 done, saved")
    assert phone_page.evaluate("told") == ["1 of 4 done, saved", "2 of 4 done, saved"]
    assert phone_page.locator("[role=status]:visible, [aria-live]:visible").count() == 1


def test_a_new_step_moves_the_focus_to_its_title_and_a_take_back_keeps_it(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    go(phone_page, house, RED)
    phone_page.focus("#one")
    phone_page.keyboard.press("Enter")
    saved(phone_page)
    expect(phone_page.locator("#done")).to_have_text("1")
    assert focused(phone_page) == "one"
    phone_page.focus("#take-back")
    phone_page.keyboard.press("Enter")
    expect(phone_page.locator("#nothing-back")).to_be_visible()
    expect(phone_page.locator("h1")).to_be_focused()
    phone_page.focus("a.turn[aria-label^=Next]")
    phone_page.keyboard.press("Enter")
    expect(phone_page.locator("h1")).to_have_text(SAND)
    expect(phone_page.locator("h1")).to_be_focused()


def test_news_from_another_device_takes_neither_the_focus_nor_what_is_open_or_typed(
    phone_page: Page, house: House
) -> None:
    quilt = house.quilt()
    phone_page.goto(f"{house.address}{quilt.step_path(RED)}/mend")
    phone_page.click("summary:has-text('Too small')")
    phone_page.fill("#counted", "7")
    step = quilt.short("Cut lamp red squares, 3 in")
    before = phone_page.get_attribute("#live", "data-version")
    house.ask("POST", f"{quilt.at}/taps", f"tap=from-elsewhere&do=done&step={step}&times=1")
    phone_page.evaluate("htmx.trigger(document.body, 'wake')")
    expect(phone_page.locator(f"#live[data-version='{before}']")).to_have_count(0)
    expect(phone_page.locator("#counted")).to_be_focused()
    assert phone_page.input_value("#counted") == "7"
    expect(phone_page.locator("details:has-text('Too small')")).to_have_attribute("open", "")


def test_what_is_wrong_with_a_number_is_said_at_its_field(phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    phone_page.goto(f"{house.address}{quilt.step_path(RED)}/mend")
    phone_page.evaluate("document.querySelector('#counted').type = 'text'")
    phone_page.fill("#counted", "two")
    phone_page.click("button:text('Set it')")
    fault = phone_page.locator(".mend .form-fault")
    expect(fault).to_contain_text("“two” is no count")
    expect(fault).to_be_in_viewport()
    expect(phone_page.locator("#counted")).to_be_focused()
    assert phone_page.get_attribute("#counted", "aria-describedby") == "form-fault"
    assert phone_page.locator("#faults > *").count() == 0
    phone_page.fill("#counted", "2")
    expect(fault).to_have_count(0)
    phone_page.click("button:text('Set it')")
    saved(phone_page)
    assert counted(house, RED) == 2


@pytest.mark.parametrize("letters", [16, 32])
def test_away_and_saved_are_said_where_they_do_not_scroll_away(letters: int, phone_page: Page, house: House) -> None:
    session = phone_page.context.new_cdp_session(phone_page)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": letters, "fixed": letters}})
    go(phone_page, house, RED)
    phone_page.tap("#one")
    saved(phone_page)
    phone_page.evaluate("scrollTo(0, document.body.scrollHeight)")
    expect(phone_page.locator("#saving")).to_be_in_viewport()
    house.stop()
    expect(phone_page.locator("#away")).to_be_visible()
    expect(phone_page.locator("#saving")).to_contain_text("Away from the computer")
    phone_page.evaluate("scrollTo(0, document.body.scrollHeight)")
    expect(phone_page.locator("#saving")).to_be_in_viewport()
    session.send("Page.setFontSizes", {"fontSizes": {"standard": 16, "fixed": 13}})
    house.start()


GAPS = """() => {
    const rows = [...document.querySelectorAll('.bar button, .bar a, .bar input')]
        .filter(each => each.getClientRects().length).map(each => [each, each.getBoundingClientRect()]);
    const names = ([each]) => each.id || each.textContent.trim();
    const joined = (one, two) => one.closest('.joined') && one.closest('.joined') === two.closest('.joined');
    return rows.flatMap((one, at) => rows.slice(at + 1).filter(([each, box]) => !joined(one[0], each) &&
        box.left < one[1].right + 3 && one[1].left < box.right + 3 &&
        box.top < one[1].bottom + 3 && one[1].top < box.bottom + 3).map(two => `${names(one)} touches ${names(two)}`));
}"""


def test_no_two_buttons_of_the_bar_touch_while_the_computer_is_away(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    go(phone_page, house, RED)
    phone_page.evaluate("sewingRoom.ahead.load().then(sewingRoom.ahead.loadMore)")
    expect(phone_page.locator("html[data-ahead]")).to_have_count(1)
    assert phone_page.evaluate(GAPS) == []
    house.stop()
    for _ in range(3):
        phone_page.tap("#one")
    expect(phone_page.locator("#away")).to_be_visible()
    expect(phone_page.locator("#live[data-memory]")).to_have_count(1)
    assert phone_page.evaluate(GAPS) == []
    house.start()
    saved(phone_page)
