"""Hands on the cloth: keys and pedals, reading aloud, waking, left and right."""

from __future__ import annotations

import pytest
from effort import THOROUGH
from house import AT_ONCE, House, all_done, counted, go, saved
from playwright.sync_api import Page, Route, expect
from visitors import SMALL_PLAN
from walking import begin

RED = "Cut lamp red squares, 2½ in"
SAND = "Cut pale sand squares, 3 in"

LISTEN = """
    window.heard = [];
    window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
    Object.defineProperty(window, 'speechSynthesis', { value: {
        speaking: false, pending: false, cancel() { this.speaking = false; },
        speak(words) { heard.push(words.text); } } });
"""
ASLEEP = """hidden => {
    const state = hidden ? 'hidden' : 'visible';
    Object.defineProperty(document, 'visibilityState', { configurable: true, get: () => state });
    document.dispatchEvent(new Event('visibilitychange'));
}"""


def _set(page: Page, words: str) -> None:
    page.click("[data-opens=hands]")
    page.click(f"#hands button:has-text('{words}')")
    page.keyboard.press("Escape")
    expect(page.locator("#hands")).to_be_hidden()


def test_a_whole_block_is_made_with_keys_alone(tablet_page: Page, house: House) -> None:
    """From the first page to the finished block: Tab and Enter to open it, then the space bar. In a usual run some of
    it is made already."""
    begin(house.store, SMALL_PLAN, 0 if THOROUGH else 8)
    page = tablet_page
    page.add_init_script(AT_ONCE)
    page.goto(f"{house.address}/")
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('.carry-on')"):
            break
    page.keyboard.press("Enter")
    page.wait_for_url("**/steps/*")
    for _ in range(120):
        if page.locator(".finished:visible:has-text('squared')").count():
            break
        # Another step has come, or the computer has counted.
        shown = [page.get_attribute("#live", name) for name in ("data-step", "data-version")]
        page.keyboard.press(" ")
        expect(page.locator("#live[data-step='{}'][data-version='{}']".format(*shown))).to_have_count(0)
    saved(page)
    stages = [house.quilt().progress().counts.stage(number) for number in (1, 2)]
    assert any(stage.done == stage.steps - 1 for stage in stages), stages


def test_two_pedals_turn_the_steps_or_count_as_she_chooses(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    phone_page.keyboard.press("ArrowRight")
    expect(phone_page.locator("h1")).to_have_text(SAND)
    phone_page.keyboard.press("ArrowLeft")
    expect(phone_page.locator("h1")).to_contain_text("Cut lamp red squares, 3 in")  # the first of the pass before
    go(phone_page, house, RED)
    _set(phone_page, "Pedals count")
    for _ in range(3):
        phone_page.keyboard.press("PageDown")
    phone_page.keyboard.press("PageUp")
    expect(phone_page.locator("#done")).to_have_text("2")
    saved(phone_page)
    phone_page.reload()
    phone_page.keyboard.press("ArrowRight")
    expect(phone_page.locator("#done")).to_have_text("3")
    saved(phone_page)
    assert counted(house, RED) == 3


def scrolled_from(page: Page, before: float) -> None:
    """Wait until the page is scrolled further down."""
    page.wait_for_function("before => scrollY > before", arg=before)


def test_keys_leave_the_page_to_be_scrolled(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    phone_page.evaluate("document.querySelector('.step').style.minHeight = '150vh'")
    phone_page.keyboard.press("PageDown")
    scrolled_from(phone_page, 0)
    expect(phone_page.locator("h1")).to_contain_text(RED)
    phone_page.evaluate("scrollTo(0, document.body.scrollHeight)")
    phone_page.keyboard.press("PageDown")
    expect(phone_page.locator("h1")).to_have_text(SAND)
    _set(phone_page, "Pedals count")
    phone_page.evaluate("document.querySelector('.step').style.minHeight = '150vh'")
    phone_page.evaluate("scrollTo(0, 0)")
    phone_page.keyboard.press("ArrowDown")
    scrolled_from(phone_page, 0)
    expect(phone_page.locator("#done")).to_have_text("0")
    phone_page.keyboard.press("PageDown")
    expect(phone_page.locator("#done")).to_have_text("1")
    saved(phone_page)


def test_keys_are_never_taken_from_a_field_a_sheet_or_a_button(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    title = phone_page.inner_text("h1")
    phone_page.locator("#chain").select_text()
    for key in ("Backspace", "2", "ArrowLeft", "PageDown", " "):
        phone_page.keyboard.press(key)
    phone_page.focus("[data-opens=hands]")
    phone_page.keyboard.press("Enter")
    expect(phone_page.locator("#hands")).to_be_visible()
    for key in ("PageDown", " "):
        phone_page.keyboard.press(key)
    assert phone_page.inner_text("h1") == title
    assert phone_page.input_value("#chain") == "2"
    assert all_done(house) == 0


def test_each_step_is_read_aloud_in_whole_words(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(LISTEN)
    go(phone_page, house, RED)
    phone_page.tap("[data-read]")
    (heard,) = phone_page.evaluate("heard")
    assert heard.startswith(
        "Cut lamp red squares, 2½ inches. Cut 2½ inches square. From a strip of lamp red 2½ inches wide"
    )
    assert "Check Measure the first" in heard
    _set(phone_page, "Read each step aloud")
    phone_page.keyboard.press("ArrowRight")
    expect(phone_page.locator("h1")).to_have_text(SAND)
    phone_page.tap("#one")
    saved(phone_page)
    assert [text.partition(". ")[0] for text in phone_page.evaluate("heard")[1:]] == ["Cut pale sand squares, 3 inches"]


def test_waking_shows_what_was_tapped_elsewhere_at_once_and_hints_once(
    clocked_page: Page, tablet_page: Page, house: House
) -> None:
    go(clocked_page, house, RED)
    clocked_page.clock.pause_at(600_000)  # asleep, it asks for nothing
    clocked_page.evaluate(ASLEEP, True)
    go(tablet_page, house, RED)
    tablet_page.tap("#one")
    saved(tablet_page)
    clocked_page.clock.fast_forward(1_000)
    clocked_page.evaluate(ASLEEP, False)
    expect(clocked_page.locator("#done")).to_have_text("1")
    expect(clocked_page.locator("#hint")).to_be_hidden()  # she looked away for a second only
    for shown in (True, False):
        clocked_page.evaluate(ASLEEP, True)
        clocked_page.clock.fast_forward(60_000)
        clocked_page.evaluate(ASLEEP, False)
        expect(clocked_page.locator("#hint")).to_be_visible(visible=shown)
        if shown:
            expect(clocked_page.locator("#hint")).to_contain_text("Auto-Lock")
            clocked_page.tap("#hint button")


@pytest.mark.parametrize("size", ["phone", "tablet"])
def test_the_left_hand_gets_the_bar_mirrored(size: str, phone_page: Page, tablet_page: Page, house: House) -> None:
    page = phone_page if size == "phone" else tablet_page
    near, far = "#all", "#a-chain"
    go(page, house, RED)
    place = "s => document.querySelector(s).getBoundingClientRect().x"
    assert page.evaluate(place, near) > page.evaluate(place, far)
    _set(page, "Left hand")
    assert page.evaluate(place, near) < page.evaluate(place, far)
    page.reload()
    assert page.evaluate(place, near) < page.evaluate(place, far)
    expect(page.locator("[data-setting=left]")).to_have_attribute("aria-pressed", "true")


def test_what_comes_while_a_finger_is_down_takes_nothing_from_under_it(tablet_page: Page, house: House) -> None:
    """A button is pressed only where it is still the one that was touched; fast taps meet answers to earlier ones."""
    page, held = tablet_page, list[Route]()
    page.add_init_script(AT_ONCE)
    go(page, house, RED)
    page.route("**/taps", lambda route: held.append(route), times=1)
    with page.expect_request("**/taps"):
        page.click("#one")
    page.hover("#one")
    page.mouse.down()
    with page.expect_response("**/taps"):
        held[0].continue_()
    page.evaluate("htmx.trigger(document.body, 'wake')")
    page.mouse.up()
    expect(page.locator("#done")).to_have_text("2")
    saved(page)
    assert counted(house, RED) == 2
