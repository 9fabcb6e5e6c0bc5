"""The computer is away: the open screen goes on through all steps, promises only what is there, loses nothing."""

from __future__ import annotations

import re

import pytest
from browser import park
from effort import THOROUGH
from house import AT_ONCE, House, all_done, behind, counted, go, saved, tap_all
from playwright.sync_api import Page, expect
from visitors import SMALL_PLAN
from walking import begin

RED = "Cut lamp red squares, 2½ in"
SAND = "Cut pale sand squares, 3 in"
MARK = "Mark pale sand"


def _turn(page: Page, selector: str) -> None:
    before = page.get_attribute("#live", "data-step")
    page.tap(selector)
    expect(page.locator(f"#live:not([data-step='{before}'])")).to_have_count(1)


def _turn_or_stay(page: Page) -> None:
    """Count a pass: another step comes, or, after the sample, the way on."""
    before = page.get_attribute("#live", "data-step")
    page.tap("#all")
    after = f"#live[data-step]:not([data-step='{before}']), a.carry-on:visible, .finished:visible"
    page.wait_for_selector(after, state="attached")


def test_the_whole_quilt_is_sewn_while_the_computer_is_off(phone_page: Page, house: House) -> None:
    """From its first cut; in a usual run from before the sample's end, to the quilt's."""
    begin(house.store, SMALL_PLAN, 0 if THOROUGH else 14)
    total = house.quilt().progress().counts.shares()[1]
    phone_page.add_init_script(AT_ONCE)
    go(phone_page, house, RED)
    behind(phone_page)
    house.stop()
    phone_page.tap("#one")
    expect(phone_page.locator("#away")).to_be_visible()
    for _ in range(200):
        if phone_page.locator("#all:visible:not([aria-disabled=true])").count():
            _turn_or_stay(phone_page)
        elif phone_page.locator("#one:visible:not([aria-disabled=true])").count():
            phone_page.tap("#one")
        elif phone_page.locator("a.carry-on:visible").count():
            _turn(phone_page, "a.carry-on:visible")
        else:
            break
    expect(phone_page.locator(".finished")).to_be_visible()
    expect(phone_page.locator("#saving")).to_contain_text("taps not saved yet")
    house.start()
    saved(phone_page)
    assert all_done(house) == total
    assert house.quilt().progress().unsettled() == []


def test_the_first_page_shows_what_comes_in_from_the_phone_that_opens_it(phone_page: Page, house: House) -> None:
    """It was made before: it showed nothing done, and led to what was cut already, until it was loaded anew."""
    go(phone_page, house, RED)
    behind(phone_page)
    phone_page.context.set_offline(True)
    for _ in range(4):
        phone_page.tap("#one")
    expect(phone_page.locator("#away")).to_be_visible()
    context = phone_page.context
    park(phone_page)
    context.set_offline(False)
    page = context.new_page()
    page.goto(house.address)
    expect(page.locator(".quilt-card .carry-on")).to_contain_text("Carry on at the cutting table")
    expect(page.locator("#saving")).to_have_text("✓ Saved")


def test_what_is_done_once_is_not_said_to_be_all_of_it(phone_page: Page, house: House) -> None:
    """From the computer as from the phone's memory."""
    quilt = house.quilt()
    *others, last = quilt.compiled.checklist.steps
    counts = quilt.progress().counts
    for step in others:
        tap = {"id": f"all of {step.id}", "do": "done", "step": step.id, "times": step.count}
        quilt.stored.append(tap if step.per == "quilt" else tap | {"blocks": list(counts.blocks_of(step))})
    go(phone_page, house, quilt.compiled.titles[last.id])
    behind(phone_page)
    phone_page.context.set_offline(True)
    phone_page.tap("#one")
    expect(phone_page.locator("#away")).to_be_visible()
    expect(phone_page.locator(".finished")).to_have_text("✓ 1 squared.")
    phone_page.context.set_offline(False)
    saved(phone_page)
    phone_page.reload()
    expect(phone_page.locator(".finished")).to_have_text("✓ 1 squared.")


def test_other_steps_promise_only_what_the_taps_on_the_phone_have_left(phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    for title in (SAND, "Cut lamp red squares, 3 in"):
        step = quilt.compiled.step(quilt.short(title))
        assert step is not None
        quilt.stored.append({"id": f"cut {title}", "do": "done", "step": step.id, "times": 1})
    go(phone_page, house, SAND)
    behind(phone_page)
    phone_page.context.set_offline(True)
    phone_page.tap("#one")
    expect(phone_page.locator("#done")).to_have_text("2")
    expect(phone_page.locator("#away")).to_be_visible()
    expect(phone_page.locator(".finished")).to_have_text("✓ All 2 cut.")
    while MARK not in phone_page.inner_text("h1"):
        _turn(phone_page, "[aria-label^='Next pass']")
    expect(phone_page.locator("#ready")).to_have_text("2")  # one of them is cut on this phone only
    tap_all(phone_page)
    expect(phone_page.locator("#ready")).to_be_hidden()
    _turn(phone_page, "[aria-label^='Next pass']")
    expect(phone_page.locator("#ready")).to_have_text("1")  # of the other cloth one is cut
    phone_page.tap("#one")
    expect(phone_page.locator("#done")).to_have_text("1")
    expect(phone_page.locator("#ready")).to_have_text("0")
    while SAND not in phone_page.inner_text("h1").replace("\xa0", " "):
        _turn(phone_page, "[aria-label^='Pass before']")
    phone_page.go_back()
    expect(phone_page.locator("h1")).to_contain_text(MARK)
    phone_page.go_forward()
    expect(phone_page.locator("h1")).to_have_text(SAND)
    phone_page.context.set_offline(False)
    saved(phone_page)
    assert [counted(house, title) for title in (SAND, MARK, "Pair half-square")] == [2, 2, 1]


def test_what_is_taken_back_lies_ready_again_while_the_computer_is_off(phone_page: Page, house: House) -> None:
    """A block's pass and one step of it, each counted and taken back before anything is saved."""
    begin(house.store, SMALL_PLAN, 10)
    phone_page.add_init_script(AT_ONCE)
    go(phone_page, house, "Join row 1")
    behind(phone_page)
    counts = ("#done", "#ready", "#counts-for")
    before = [phone_page.inner_text(each) for each in counts]
    phone_page.context.set_offline(True)
    for selector in ("#all", "#one"):
        phone_page.tap(selector)
        expect(phone_page.locator("#take-back:visible")).to_have_count(1)
        expect(phone_page.locator("#saving")).to_contain_text("not saved yet")
        phone_page.tap("#take-back")
        expect(phone_page.locator("h1")).to_have_text("Join row 1")
        for place, text in zip(counts, before, strict=True):
            expect(phone_page.locator(place)).to_have_text(text)
        expect(phone_page.locator("#one")).to_have_attribute("aria-disabled", "false")
    phone_page.context.set_offline(False)
    saved(phone_page)
    assert counted(house, "Join row 1") == 0


def test_a_pass_is_not_counted_twice_before_the_steps_ahead_are_there(phone_page: Page, house: House) -> None:
    """The computer goes away just after the page has come."""
    begin(house.store, SMALL_PLAN, 10)
    phone_page.add_init_script(AT_ONCE)
    phone_page.route("**/counts.json*", lambda route: route.abort())
    go(phone_page, house, "Join row 1")
    phone_page.context.set_offline(True)
    phone_page.tap("#all")
    expect(phone_page.locator("#all")).to_have_attribute("aria-disabled", "true")
    phone_page.evaluate("document.querySelector('#all').click()")
    expect(phone_page.locator("#saving")).to_contain_text("1 tap not saved yet")
    phone_page.tap("#take-back")
    expect(phone_page.locator("#all")).to_have_attribute("aria-disabled", "false")
    phone_page.tap("#all")
    expect(phone_page.locator("#saving")).to_contain_text("3 taps not saved yet")


def test_a_page_that_cannot_be_opened_is_said_and_the_way_why_is_shown(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    behind(phone_page)
    house.stop()
    phone_page.tap("#one")
    expect(phone_page.locator("#away")).to_be_visible()
    expect(phone_page.locator("#why")).to_be_hidden()
    top = phone_page.evaluate("document.querySelector('.step').getBoundingClientRect().top")
    assert top < 115  # what is said of it takes little from the step
    phone_page.tap("#saving a")
    for words in ("asleep", "another network", "firewall"):
        expect(phone_page.locator("#why")).to_contain_text(words)
    phone_page.tap("#why a")
    expect(phone_page.locator("#why")).to_be_hidden()
    phone_page.on("dialog", lambda dialog: dialog.dismiss())
    phone_page.tap("text=Blocks")
    expect(phone_page.locator("#faults")).to_contain_text(
        "“Blocks” needs the computer, which does not answer now; this step goes on without it."
    )
    with phone_page.expect_event("dialog") as asked:
        phone_page.evaluate("setTimeout(() => location.reload(), 0)")
    assert asked.value.type == "beforeunload"
    expect(phone_page.locator("h1")).to_contain_text("Cut lamp red")
    house.start()
    saved(phone_page)
    phone_page.tap("text=Blocks")
    expect(phone_page.locator("h1")).to_contain_text("blocks")


@pytest.mark.parametrize("way", ["list", "blocks"])
def test_steps_open_from_other_screens_too_while_the_computer_is_off(way: str, phone_page: Page, house: House) -> None:
    at = house.quilt().at
    phone_page.goto(f"{house.address}{at}/{'steps' if way == 'list' else 'blocks/1'}")
    short = house.quilt().short("Lay out" if way == "blocks" else RED)
    behind(phone_page)
    house.stop()
    for _ in range(2):
        with phone_page.expect_event("requestfailed"):
            phone_page.evaluate("htmx.trigger(document.body, 'wake')")
    expect(phone_page.locator("#away")).to_be_visible()
    if way == "list":
        phone_page.tap(f"#screen details:has(a[href$='{short}']) summary")  # the steps of its pass
    phone_page.locator(f"#screen a[href$='{short}']").first.tap()
    expect(phone_page.locator(f"#live[data-step='{short}']")).to_have_count(1)
    expect(phone_page.locator("#count")).to_have_text(re.compile(r"\d+"))


def test_a_tap_says_how_long_it_waited_for_the_computer_by_the_device_s_clock(clocked_page: Page, house: House) -> None:
    """Three quarters of an hour pass on the phone while the computer is off; when she tapped is known all the same."""
    page = clocked_page
    go(page, house, RED)
    house.stop()
    page.tap("#one")
    expect(page.locator("#done")).to_have_text("1")
    page.clock.fast_forward(45 * 60_000)
    house.start()
    page.clock.fast_forward(60_000)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    saved(page)
    (tap,) = house.quilt().stored.taps
    assert 45 * 60 <= tap["waited"] < 50 * 60
    assert re.fullmatch("[0-9a-f]{24}", tap["device"])
    page.tap("#one")
    saved(page)
    later = house.quilt().stored.taps[-1]
    assert later["device"] == tap["device"]
    assert later.get("waited", 0) < 60


def test_a_block_whole_counts_on_and_turns_its_passes(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    phone_page.set_viewport_size({"width": 390, "height": 664})
    phone_page.goto(f"{house.address}{house.quilt().at}/pattern")
    behind(phone_page)
    house.stop()
    told, done = phone_page.locator(".pass-told h2"), phone_page.locator(".counter .figure")
    first, before = told.inner_text(), done.inner_text()
    phone_page.tap("text=Blocks")
    expect(phone_page.locator("#faults")).to_contain_text("“Blocks” needs the computer")
    phone_page.tap("#all")
    expect(done).not_to_have_text(before)
    expect(phone_page.locator("#saving")).to_contain_text("1 tap not saved yet")
    for _ in range(2):  # with what could not be opened, and with why
        lowest = phone_page.locator(".pass-bar").bounding_box()
        assert lowest is not None
        assert lowest["y"] + lowest["height"] <= 664, "every button in sight"
        phone_page.locator("#faults button").first.or_(phone_page.locator("h1")).first.tap()
        expect(phone_page.locator("#away")).to_be_visible()
    phone_page.tap(".go .carry-on")
    expect(told).not_to_have_text(first)
    phone_page.tap("#all")
    phone_page.tap("#take-back")
    expect(phone_page.locator("#saving")).to_contain_text("3 taps not saved yet")
    phone_page.locator(".pass-cells a").nth(5).click()
    here, chosen = phone_page.locator(".pass-cells").inner_text(), told.inner_text()
    house.start()
    saved(phone_page)
    expect(phone_page.locator("#pending")).to_be_hidden()
    assert (told.inner_text(), phone_page.locator(".pass-cells").inner_text()) == (chosen, here)
    house.quilt().tap("Cut pale sand")  # elsewhere
    expect(phone_page.locator(f"#live[data-version='{house.quilt().stored.version}']")).to_have_count(1)
    assert told.inner_text() == chosen
    here = phone_page.locator(".pass-cells").inner_text()
    phone_page.reload()
    assert phone_page.locator(".pass-cells").inner_text() == here
    assert house.quilt().progress().unsettled() == []
