"""Two devices at one quilt: each shows what the other counted, and neither undoes it."""

from __future__ import annotations

from house import House, go, saved, tap_all
from playwright.sync_api import Page, Route, expect
from visitors import RED


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
        go(page, house, "Mark pale sand")
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
