"""Quick taps: each counts what it was meant for, and none what comes under the finger meanwhile."""

from __future__ import annotations

import pytest
from house import House, all_done, behind, counted, go, saved
from playwright.sync_api import Page, expect
from visitors import RED


def test_fast_taps_each_count_and_those_beyond_what_lies_ready_do_not(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    phone_page.evaluate("for (let i = 0; i < 7; i += 1) document.querySelector('#one').click()")
    expect(phone_page.locator("#done")).to_have_text("4")
    saved(phone_page)
    expect(phone_page.locator(".finished")).to_have_text("✓ All 4 cut.")
    assert counted(house, RED) == 4
    assert len(house.quilt().stored.taps) == 4


def test_a_double_tap_on_what_a_pass_counts_counts_once(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    phone_page.evaluate("for (const i of [1, 2]) document.querySelector('#all').click()")
    saved(phone_page)
    (tap,) = house.quilt().stored.taps
    assert [times for _, times, _ in tap["work"]] == [1, 2]  # of the whole pass what the sample needs


# A tap meant for what was there before

PLACE = "s => { const box = document.querySelector(s).getBoundingClientRect(); return [box.x, box.y, box.height]; }"
QUICK = """async ([x, y, key, times]) => {
    for (let i = 0; i < times; i += 1) {
        if (key) document.body.dispatchEvent(new KeyboardEvent('keydown', { key: ' ', bubbles: true }));
        else document.elementFromPoint(x, y).click();
        await new Promise(done => setTimeout(done, 150));
    }
}"""
ON_ARRIVAL = """([selector, x, y, key]) => new Promise(told => {
    const again = () => key ? document.body.dispatchEvent(new KeyboardEvent('keydown', { key: ' ', bubbles: true }))
        : document.elementFromPoint(x, y).click();
    const watch = setInterval(() => {
        if (!document.querySelector(selector)) return;
        clearInterval(watch);
        again();
        setTimeout(again, 150);
        setTimeout(told, 200);
    }, 5);
    again();
})"""
ONE_THEN_QUICK = f"given => {{ document.querySelector('#one').click(); return ({QUICK})(given); }}"


def test_quick_taps_past_the_end_of_a_pass_count_exactly_what_was_left(phone_page: Page, house: House) -> None:
    """The next pass comes under the finger, and is not touched by mistake."""
    go(phone_page, house, RED)
    behind(phone_page)
    x, y, _ = phone_page.evaluate(PLACE, "#all")
    finger = [x + 20, y + 20, False]
    phone_page.evaluate(QUICK, [*finger, 3])
    saved(phone_page)
    expect(phone_page.locator("h1")).to_contain_text("Cut pale sand")
    assert phone_page.evaluate(PLACE, "#all")[1] == pytest.approx(y, abs=1)
    assert all_done(house) == 3
    expect(phone_page.locator("html.turned")).to_have_count(0)
    phone_page.evaluate(QUICK, [*finger, 1])
    expect(phone_page.locator("h1")).to_contain_text("Mark")
    saved(phone_page)
    assert all_done(house) == 4


@pytest.mark.parametrize(
    ("key", "done"), [(False, {"Cut lamp red squares, 3 in": 1, RED: 1}), (True, {RED: 3})], ids=["finger", "space bar"]
)
def test_quick_taps_past_the_last_of_a_step_count_exactly_what_was_left(
    key: bool, done: dict[str, int], phone_page: Page, house: House
) -> None:
    """Counted one by one, the way on comes under the finger, then the next step; neither is touched by mistake."""
    quilt = house.quilt()
    for number, (title, times) in enumerate(done.items()):
        step = quilt.compiled.step(quilt.short(title))
        assert step is not None
        quilt.stored.append({"id": f"one-is-left-{number}", "do": "done", "step": step.id, "times": times})
    go(phone_page, house, RED)
    behind(phone_page)
    x, y, _ = phone_page.evaluate(PLACE, "#all")
    finger = [x + 20, y + 20, key]
    phone_page.evaluate(QUICK if key else ONE_THEN_QUICK, [*finger, 3])
    saved(phone_page)
    expect(phone_page.locator("h1")).to_contain_text(RED)
    left = 1 + sum(done.values())
    assert all_done(house) == left
    expect(phone_page.locator("html.led")).to_have_count(0)
    phone_page.evaluate(ON_ARRIVAL, [f"#live[data-step]:not([data-step='{quilt.short(RED)}'])", *finger])
    expect(phone_page.locator("h1")).not_to_contain_text(RED)
    expect(phone_page.locator("#done")).to_have_text("0")
    expect(phone_page.locator("html.turned")).to_have_count(0)
    phone_page.evaluate(ONE_THEN_QUICK, [*finger, 0])
    expect(phone_page.locator("#done")).to_have_text("1")
    saved(phone_page)
    assert all_done(house) == left + 1


@pytest.mark.parametrize("size", ["phone", "tablet"])
def test_one_more_keeps_its_place_whatever_stands_above_it(
    size: str, phone_page: Page, tablet_page: Page, house: House
) -> None:
    page = phone_page if size == "phone" else tablet_page
    go(page, house, RED)
    places = [page.evaluate(PLACE, "#one")]
    for _ in range(3):
        page.tap("#one")
        saved(page)
        places.append(page.evaluate(PLACE, "#one"))
    expect(page.locator("#a-chain")).to_have_count(0)
    go(page, house, "Cut pale sand squares, 3 in")
    places.append(page.evaluate(PLACE, "#one"))
    for place in places[1:]:
        assert place == pytest.approx(places[0], abs=1)
