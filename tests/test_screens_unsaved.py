"""What is tapped while nothing can be saved is saved later, once, whatever happens to page, browser and computer."""

from __future__ import annotations

import errno
import re
from pathlib import Path

import pytest
from browser import PATIENCE, of_profile
from house import House, counted, go, saved, tap_often
from playwright.sync_api import Page, Playwright, Route, expect
from visitors import RED

from tracker.store import journal


def test_a_tap_that_is_saved_though_its_screen_cannot_be_drawn_is_sent_once(
    phone_page: Page, many: House, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    go(phone_page, many, RED)

    def broken(*given: object) -> str:
        raise ZeroDivisionError("a drawing that cannot be")

    with monkeypatch.context() as patched:
        patched.setattr("tracker.web.taps.rendered", broken)
        with phone_page.expect_response("**/taps") as answer:
            phone_page.tap("#one")
        saved(phone_page)
    assert answer.value.status == 204
    assert "ZeroDivisionError" in caplog.text
    assert counted(many, RED) == 1


# The browser dies


@pytest.mark.parametrize("count", [1, 12])
def test_a_browser_killed_while_the_computer_is_away_keeps_every_tap_it_has_shown_as_kept(
    count: int, playwright: Playwright, many: House, tmp_path: Path
) -> None:
    """Killed as soon as the page says how many taps are not saved yet; the profile is opened again."""
    with of_profile(playwright, tmp_path / "profile") as (page, kill):
        go(page, many, RED)
        many.stop()
        for _ in range(count):
            page.evaluate("document.querySelector('#one').click()")
        told = "1 tap" if count == 1 else f"{count} taps"
        while not str(page.text_content("#saving")).startswith(f"{told} not saved yet"):
            page.wait_for_timeout(1)
        kill()
    many.start()
    with of_profile(playwright, tmp_path / "profile") as (page, _):
        page.goto(f"{many.address}/")
        saved(page)
    assert counted(many, RED) == count


# Where taps lie meanwhile

NO_DATABASE = "Object.defineProperty(window, 'indexedDB', { get() { throw new Error('none here'); } });"
NOTHING_KEPT = f"{NO_DATABASE} Storage.prototype.setItem = () => {{ throw new Error('nothing is kept here'); }};"
FORMER = """([quilt, step]) => ["b", "a"].forEach((name, place) => {
    const id = `former-tap-${name}`;
    const fields = [["tap", id], ["do", "done"], ["step", step], ["times", "2"]];
    const tap = { id, url: `/quilts/${quilt}/taps`, quilt, step, strip: null, count: 2, fields };
    localStorage.setItem(`sewing-room tap 00000000000001${place} ${id}`, JSON.stringify(tap));
})"""
"""Two taps as an earlier version of these pages kept them."""


def test_taps_that_an_earlier_version_kept_are_taken_over_in_order(phone_page: Page, many: House) -> None:
    quilt = many.quilt()
    phone_page.goto(f"{many.address}/device")
    phone_page.evaluate(FORMER, [quilt.stored.id, quilt.short(RED)])
    # The page that is left may send them still; then the next one has nothing more to save.
    phone_page.goto(f"{many.address}/")
    expect(phone_page.locator("#saving")).to_have_text(re.compile("^(✓ Saved)?$"))
    phone_page.wait_for_function("!Object.keys(localStorage).some(key => key.startsWith('sewing-room tap '))")
    for _ in range(PATIENCE // 50):
        if len(quilt.stored.taps) == 2:
            break
        phone_page.wait_for_timeout(50)
    assert [tap["id"] for tap in quilt.stored.taps] == ["former-tap-b", "former-tap-a"]
    left = phone_page.evaluate("Object.keys(localStorage).filter(key => key.startsWith('sewing-room tap '))")
    assert left == []


def test_without_a_database_taps_outlive_their_page_all_the_same(phone_page: Page, many: House) -> None:
    phone_page.add_init_script(NO_DATABASE)
    go(phone_page, many, RED)
    many.stop()
    tap_often(phone_page, 3)
    expect(phone_page.locator("#saving")).to_contain_text("3 taps not saved yet")
    context = phone_page.context
    phone_page.close(run_before_unload=False)
    many.start()
    page = context.new_page()
    page.goto(f"{many.address}/")
    saved(page)
    assert counted(many, RED) == 3


def test_a_browser_that_keeps_nothing_says_so_and_its_open_page_keeps_them(phone_page: Page, many: House) -> None:
    phone_page.add_init_script(NOTHING_KEPT)
    go(phone_page, many, RED)
    many.stop()
    tap_often(phone_page, 3)
    expect(phone_page.locator("#saving")).to_contain_text("This browser keeps nothing: leave this page open")
    many.start()
    saved(phone_page)
    assert counted(many, RED) == 3


def test_two_pages_of_one_device_share_what_waits_and_send_it_in_order(phone_page: Page, many: House) -> None:
    other = phone_page.context.new_page()
    for page in (phone_page, other):
        go(page, many, RED)
    many.stop()
    for page, waiting in ((phone_page, 1), (other, 2), (phone_page, 3), (other, 4)):
        page.bring_to_front()
        tap_often(page, 1)
        for each in (phone_page, other):
            expect(each.locator("#saving")).to_contain_text(f"{waiting} tap{'s' if waiting > 1 else ''} not saved yet")
    tapped = phone_page.evaluate("sewingRoom.waiting().map(tap => tap.id)")
    many.start()
    for page in (phone_page, other):
        page.bring_to_front()
        expect(page.locator("#saving")).to_have_text(re.compile("^(✓ Saved)?$"))
    assert [tap["id"] for tap in many.quilt().stored.taps] == tapped
    assert counted(many, RED) == 4


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
