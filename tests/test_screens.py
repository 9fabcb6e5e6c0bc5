"""The screens in a real browser, under a plain name as a phone sees them: followed by tapping, and nothing lost."""

from __future__ import annotations

import errno
import re
from pathlib import Path

import pytest
from browser import PHONE, pair
from house import AT_ONCE, House, all_done, behind, counted, go, saved, tap_all
from playwright.sync_api import Browser, Page, Route, ViewportSize, expect
from visitors import SMALL_PLAN

from tracker.store import journal
from tracker.web.shares import read_shares
from tracker.work.steps import Step

RED = "Cut lamp red squares, 2½ in"
MARK = "Mark pale sand"


# From the first step to the last


def test_a_quilt_is_sewn_by_tapping_only_over_a_reload_and_a_restart(phone_page: Page, house: House) -> None:
    total = house.quilt().progress().counts.shares()[1]
    phone_page.add_init_script(AT_ONCE)
    phone_page.goto(f"{house.address}/")
    _carry_on(phone_page)
    taps = 0
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


# Every tap counts, and is shown at once


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
    for number, title in enumerate(("Cut pale sand", MARK)):
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


# Two devices


def test_each_device_sees_the_other_s_taps_within_three_seconds(
    clocked_page: Page, tablet_page: Page, house: House
) -> None:
    """Three seconds by the clock of the device that looks, which the test winds on."""
    go(tablet_page, house, RED)
    for number, path in ((1, house.quilt().step_path(RED)), (2, f"{house.quilt().at}/steps")):
        clocked_page.goto(house.address + path)
        clocked_page.clock.pause_at(number * 600_000)
        tablet_page.tap("#one")
        saved(tablet_page)
        clocked_page.clock.fast_forward(3_000)
        expect(clocked_page.locator("main")).to_contain_text(f"{number} of 4")


def test_an_older_part_never_takes_a_newer_one_s_place(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    older: list[str] = []

    def slow(route: Route) -> None:
        """The first news is held back; later it is given after the newer tap."""
        if older:
            route.fulfill(status=200, content_type="text/html", body=older[0], headers=room)
        else:
            older.append(house.ask("GET", f"{house.quilt().at}/changes?since=0&view={view}")[1])
            route.fulfill(status=204, headers=room)

    room = {"Sewing-Room": house.pairing.room}
    view = phone_page.get_attribute("#live", "data-view")
    phone_page.route("**/changes?*", slow)
    with phone_page.expect_response("**/changes?*"):
        phone_page.evaluate("htmx.trigger(document.body, 'wake')")
    tap_all(phone_page)
    saved(phone_page)
    with phone_page.expect_response("**/changes?*"):
        phone_page.evaluate("htmx.trigger(document.body, 'wake')")
    phone_page.wait_for_timeout(150)
    assert 'data-done="0"' in older[0]
    expect(phone_page.locator("#done")).to_have_text("4")
    expect(phone_page.locator(".finished")).to_be_visible()


def test_what_two_devices_both_claimed_is_asked_once(phone_page: Page, tablet_page: Page, house: House) -> None:
    quilt = house.quilt()
    cut = quilt.compiled.step(quilt.short("Cut pale sand"))
    assert cut is not None
    quilt.stored.append({"id": "cut-them", "do": "done", "step": cut.id, "times": 2})
    for page in (phone_page, tablet_page):
        go(page, house, MARK)
    tablet_page.context.set_offline(True)
    tap_all(tablet_page)
    phone_page.tap("#one")
    saved(phone_page)
    tablet_page.context.set_offline(False)
    saved(tablet_page)
    for page in (phone_page, tablet_page):
        expect(page.locator(".question")).to_contain_text("2 marked was tapped, but only 1 lay ready")
    phone_page.tap(".question button >> text=1, all that fit")
    for page in (phone_page, tablet_page):
        expect(page.locator(".question")).to_have_count(0)
        expect(page.locator("#done")).to_have_text("2")


# The computer does not answer


def test_taps_made_while_the_computer_is_off_are_saved_when_it_is_back(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    house.stop()
    for _ in range(3):
        phone_page.tap("#one")
    expect(phone_page.locator("#done")).to_have_text("3")
    expect(phone_page.locator("#pending")).to_have_text("not saved yet")
    expect(phone_page.locator("#away")).to_contain_text("The computer does not answer.")
    expect(phone_page.locator("#saving")).to_contain_text("3 taps not saved yet")
    phone_page.tap("#take-back")
    expect(phone_page.locator("#done")).to_have_text("2")
    house.start()
    saved(phone_page)
    expect(phone_page.locator("#away")).to_be_hidden()
    assert counted(house, RED) == 2


def test_taps_of_a_page_closed_meanwhile_are_sent_when_it_is_opened_again(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    phone_page.context.set_offline(True)
    for _ in range(2):
        phone_page.tap("#one")
    expect(phone_page.locator("#saving")).to_contain_text("2 taps not saved yet")
    context = phone_page.context
    phone_page.close(run_before_unload=False)
    context.set_offline(False)
    house.restart()
    page = context.new_page()
    page.goto(f"{house.address}/")
    saved(page)
    assert counted(house, RED) == 2


def test_an_answer_that_was_lost_on_its_way_does_not_count_the_tap_twice(phone_page: Page, house: House) -> None:
    go(phone_page, house, RED)
    lost: list[int] = []

    def lose(route: Route) -> None:
        if len(lost) < 2:
            lost.append(house.ask("POST", f"{house.quilt().at}/taps", route.request.post_data or "")[0])
            route.abort()
        else:
            route.continue_()

    phone_page.route("**/taps", lose)
    phone_page.tap("#one")
    saved(phone_page)
    assert lost == [200, 200]
    assert counted(house, RED) == 1


# From step to step


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


# Without script, and by hand


def test_taps_that_a_full_disk_refuses_or_a_removal_are_kept_on_the_phone_until_they_can_be_saved(
    phone_page: Page, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    go(phone_page, house, RED)
    with monkeypatch.context() as patched:
        patched.setattr(journal, "write_all", _full)
        phone_page.tap("#one")
        expect(phone_page.locator("#saving")).to_contain_text("1 tap not saved yet. The disk with")
        expect(phone_page.locator("#pending")).to_have_text("not saved yet")
        phone_page.tap("#one")
        expect(phone_page.locator("#saving")).to_contain_text("2 taps not saved yet. The disk with")
        assert counted(house, RED) == 0
    saved(phone_page)
    assert counted(house, RED) == 2
    house.pairing.remove("tested")
    phone_page.tap("#one")
    expect(phone_page.locator("#saving")).to_contain_text("1 tap not saved yet. This device is not paired")
    phone_page.goto(f"{house.address}{house.pairing.path}")
    phone_page.tap("form.pair button")
    saved(phone_page)
    assert counted(house, RED) == 3


def _full(descriptor: int, data: bytes) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


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


def test_a_note_is_not_lost_while_another_device_taps(phone_page: Page, tablet_page: Page, house: House) -> None:
    phone_page.goto(f"{house.address}{house.quilt().at}")
    phone_page.fill("#note", "Blunt blade: change it.")
    go(tablet_page, house, RED)
    tablet_page.tap("#one")
    expect(phone_page.locator(".stopped")).to_contain_text("1 cut")
    expect(phone_page.locator("#note")).to_have_value("Blunt blade: change it.")
    phone_page.tap("text=Keep the note")
    expect(phone_page.locator(".note")).to_have_text("Last note: Blunt blade: change it.")
    expect(phone_page.locator("#note")).to_have_value("")
    saved(phone_page)
    assert house.quilt().progress().notes == [(None, "Blunt blade: change it.")]


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
