"""A quilt in a real browser, under a plain name as a phone sees it: followed by tapping, and nothing lost."""

from __future__ import annotations

import re

from browser import PHONE, pair
from effort import THOROUGH
from house import AT_ONCE, House, all_done, behind, counted, go, saved, tap_all
from playwright.sync_api import Browser, Page, Route, ViewportSize, expect
from visitors import RED, SMALL_PLAN
from walking import begin

from tracker.web.shares import read_shares
from tracker.work.steps import Step

# From the first step to the last


def test_a_quilt_is_sewn_by_tapping_only_over_a_reload_and_a_restart(phone_page: Page, house: House) -> None:
    """From its first cut; in a usual run of its second block."""
    begin(house.store, SMALL_PLAN, 0 if THOROUGH else 24)
    total = house.quilt().progress().counts.shares()[1]
    phone_page.add_init_script(AT_ONCE)
    phone_page.goto(f"{house.address}/")
    _carry_on(phone_page)
    taps = all_done(house)
    for turn in range(100):
        behind(phone_page)  # so that each tap turns from memory, not by a page that is still on its way
        if phone_page.locator("#one, #all").count():
            expected = taps + _tap(phone_page, turn)
            expect(phone_page.locator("#done")).to_have_text(re.compile(r"\d+"))
            saved(phone_page)
            assert all_done(house) == expected
            taps = expected
        elif "See the quilt" in phone_page.inner_text("a.carry-on"):
            break
        else:
            _carry_on(phone_page)
        if turn == 5:
            phone_page.reload()
        if turn == 12:
            house.restart()
        expect(phone_page.locator("#one:not([aria-disabled=true]), #all, a.carry-on").first).to_be_visible()
    assert turn > 12
    phone_page.tap("a.carry-on")
    expect(phone_page.locator("main")).to_contain_text("100 % done: 2 of 2 blocks finished")
    assert all_done(house) == taps == total


def _carry_on(page: Page) -> None:
    before = page.url
    page.tap("a.carry-on")
    page.wait_for_url(lambda url: url != before and "/steps/" in url)
    expect(page.locator(f"#live[data-step='{page.url.rpartition('/')[2]}']")).to_have_count(1)


def _tap(page: Page, turn: int) -> int:
    """Tap one more, a chain or the whole pass, in turn; how many that is."""
    every = page.locator("#all")
    if every.count() and (turn % 3 or not page.locator("#one").count()):
        work = page.input_value("form.all [name=work]")
        every.tap()
        return sum(len(blocks) or times for _, times, blocks in read_shares(work))
    if turn % 2 and page.locator("#a-chain").count():
        number = int(page.input_value("#chain"))
        page.tap("#a-chain")
        return number
    page.tap("#one")
    return 1


def of_units(step: Step) -> bool:
    """Whether a step is one of those before the blocks."""
    return step.per == "quilt" and not step.of_the_quilt


def test_a_block_is_taken_to_its_end_from_the_board(phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    for number, step in enumerate(step for step in quilt.compiled.checklist.steps if of_units(step)):
        quilt.stored.append({"id": f"unit-{number}", "do": "done", "step": step.id, "times": step.count})
    phone_page.add_init_script(AT_ONCE)
    phone_page.goto(f"{house.address}{quilt.at}/blocks")
    phone_page.tap("text=pieces trimmed >> nth=1")
    for done in range(1, 11):
        phone_page.tap("#one")
        expect(phone_page.locator(".standing")).to_contain_text(f"{done} of 10 steps done")
    expect(phone_page.locator("main")).to_contain_text("This block is in its place")
    phone_page.tap("#take-back")
    expect(phone_page.locator(".standing")).to_contain_text("9 of 10 steps done")
    saved(phone_page)
    stages = [house.quilt().progress().counts.stage(number).done for number in (1, 2)]
    assert sorted(stages) == [0, 9]


def test_a_tap_shows_at_once_and_as_saved_only_when_the_computer_said_so(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    held: list[Route] = []
    phone_page.route("**/taps", lambda route: held.append(route))
    phone_page.tap("#one")
    expect(phone_page.locator("#done")).to_have_text("1")
    expect(phone_page.locator("#pending")).to_have_text("saving…")
    expect(phone_page.locator("#saving")).to_have_text("Saving…")
    expect(phone_page.locator("#last-tap")).to_have_text("the last 1")
    assert counted(house, RED) == 0
    held.pop().continue_()
    saved(phone_page)
    expect(phone_page.locator("#pending")).to_be_hidden()
    expect(phone_page.locator("#last-tap")).to_have_text("1 cut")
    assert counted(house, RED) == 1


def test_a_chain_is_chosen_with_plus_and_minus_or_typed_and_remembered(tablet_page: Page, house: House) -> None:
    go(tablet_page, house, RED)
    expect(tablet_page.locator("#chain")).to_have_value("2")  # what the sample needs
    tablet_page.tap("#longer")
    tablet_page.tap("#longer")
    expect(tablet_page.locator("#chain")).to_have_value("4")
    tablet_page.tap("#fewer")
    tablet_page.tap("#fewer")
    expect(tablet_page.locator("#chain")).to_have_value("2")
    tablet_page.reload()
    expect(tablet_page.locator("#chain")).to_have_value("2")
    tablet_page.fill("#chain", "3")
    tablet_page.tap("#a-chain")
    saved(tablet_page)
    assert counted(house, RED) == 3
    tablet_page.tap("#take-back")
    expect(tablet_page.locator("#done")).to_have_text("0")
    saved(tablet_page)
    expect(tablet_page.locator("#chain")).to_have_value("3")
    assert counted(house, RED) == 0


def test_what_must_not_be_is_said_and_counts_nothing(phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    for number, title in enumerate(("Cut pale sand", "Mark pale sand")):
        step = quilt.compiled.step(quilt.short(title))
        assert step is not None
        quilt.stored.append({"id": f"tap-{number}", "do": "done", "step": step.id, "times": 2})
    go(phone_page, house, "Cut pale sand")
    # Not offered while another rests on it; asked for all the same, as a page would that has not heard of it yet.
    expect(phone_page.locator("#take-back")).to_be_hidden()
    phone_page.evaluate("""() => {
        const form = document.querySelector("form.take-back");
        form.hidden = false;
        form.elements.what.value = "tap-0";
    }""")
    phone_page.tap("#take-back")
    expect(phone_page.locator("#faults")).to_contain_text("It cannot be taken back while “Mark pale sand squares")
    expect(phone_page.locator("#done")).to_have_text("2")
    phone_page.tap("#faults button")
    expect(phone_page.locator("#faults p")).to_have_count(0)


def test_going_on_and_back_shows_the_right_step_with_its_newest_counts(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    first = phone_page.inner_text("h1")
    phone_page.tap("[aria-label^='Next pass']")
    expect(phone_page.locator("h1")).to_contain_text("Cut pale sand")
    expect(phone_page).to_have_title("Cut pale sand squares, 3 in")
    phone_page.tap("#one")
    saved(phone_page)
    phone_page.go_back()
    expect(phone_page.locator("h1")).to_have_text(first)
    phone_page.tap("#one")
    saved(phone_page)
    phone_page.go_forward()
    expect(phone_page.locator("h1")).to_contain_text("Cut pale sand")
    expect(phone_page.locator("#done")).to_have_text("1")
    assert (counted(house, RED), counted(house, "Cut pale sand")) == (1, 1)


def test_everything_can_be_tapped_without_script(browser: Browser, house: House) -> None:
    context = browser.new_context(
        java_script_enabled=False, viewport=ViewportSize(width=PHONE["width"], height=PHONE["height"])
    )
    pair(context)
    page = context.new_page()
    go(page, house, RED)
    page.click("#one")
    page.fill("#chain", "2")
    page.click("#a-chain")
    expect(page.locator("#done")).to_have_text("3")
    page.click("#take-back")
    expect(page.locator("#done")).to_have_text("1")
    page.click("#all")  # one is enough of these for the sample, and one of the other size
    page.wait_for_url(f"**{house.quilt().step_path('Cut pale sand squares, 3 in')}*")
    go(page, house, RED)
    page.fill("#chain", "2")
    page.click("#a-chain")
    expect(page.locator("main")).to_contain_text("✓ All 4 cut.")
    context.close()
    assert counted(house, RED) == 4


# Putting right, and what is written


def test_a_piece_is_spoiled_and_the_tap_taken_back_among_the_last(phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    go(phone_page, house, RED)
    tap_all(phone_page)
    saved(phone_page)
    phone_page.tap(".put-right")
    phone_page.fill("#spoiled-1", "2")
    phone_page.tap("form.counted button >> text=Spoiled")
    expect(phone_page.locator("#recut .many")).to_have_text("2 to cut")
    phone_page.fill("#counted", "1")
    phone_page.tap("form.counted button >> nth=0")
    expect(phone_page.locator(".form-fault")).to_contain_text("There is no such piece to take")
    phone_page.tap("text=Last taps")
    expect(phone_page.locator(".row")).to_have_count(2)
    phone_page.tap("text=this and 1 newer")
    expect(phone_page.locator("main")).to_contain_text("Nothing was tapped yet.")
    saved(phone_page)
    assert all_done(house) == 0
    assert quilt.progress().counts.lost == {"cut:R:2_1/2x2_1/2": 0}
