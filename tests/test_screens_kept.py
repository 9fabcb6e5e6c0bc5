"""No tap is thrown away: the phone forgets one only when this room has named it; what cannot be saved is kept aside."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from browser import HOST, TOKEN
from effort import tries
from house import AT_ONCE, House, behind, counted, go, saved, tap_often
from playwright.sync_api import Page, expect
from test_screens_eyes import in_every_look
from visitors import RED

from tracker.store.quilts import Store

MANY = tries(30, 4)
"""Taps that wait for the computer to come back."""

SIGN_IN = "<html><body><div id='live'><h1>Welcome, guest! Accept our terms.</h1></div></body></html>"


@contextmanager
def another_program(port: int, status: int) -> Iterator[list[str]]:
    """Something else that answers at the address, whatever is asked; gives what was asked, as it comes."""
    asked: list[str] = []

    class Handler(BaseHTTPRequestHandler):
        def answer(self) -> None:
            self.rfile.read(int(self.headers.get("Content-Length") or 0))
            asked.append(f"{self.command} {self.path}")
            self.send_response(status)
            self.send_header("Content-Type", "text/html")
            self.send_header("Content-Length", str(len(SIGN_IN)))
            self.end_headers()
            if self.command != "HEAD":
                self.wfile.write(SIGN_IN.encode())

        do_GET = do_POST = do_HEAD = answer

        def log_message(self, format: str, *args: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", port), Handler) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield asked
        finally:
            server.shutdown()
            thread.join()


def kept_aside(page: Page, count: int, why: str) -> None:
    """What cannot be saved is counted and said in one notice, and the line on top says so too."""
    words = f"{count} {'tap' if count == 1 else 'taps'} not saved, but kept on this device."
    expect(page.locator("#aside .notice")).to_have_count(1)
    expect(page.locator("#aside")).to_contain_text(words)
    expect(page.locator("#aside")).to_contain_text(why)
    expect(page.locator("#saving")).to_contain_text("kept aside: see why")


@pytest.mark.parametrize("status", [200, 404, 500])
def test_another_program_at_the_address_takes_no_tap_and_says_nothing_in_the_step(
    status: int, phone_page: Page, many: House
) -> None:
    go(phone_page, many, RED)
    behind(phone_page)
    many.stop()
    with another_program(many.port, status) as asked:
        tap_often(phone_page, MANY)
        expect(phone_page.locator("#away")).to_contain_text("Another program answers in the computer's place.")
        expect(phone_page.locator("#away [data-instead=program]")).to_be_visible()
        expect(phone_page.locator("#saving")).to_contain_text(f"{MANY} taps not saved yet")
        for selector in ("[aria-label^='Next pass']", "[aria-label^='Pass before']"):
            before = phone_page.get_attribute("#live", "data-step")
            phone_page.tap(selector)
            expect(phone_page.locator(f"#live:not([data-step='{before}'])")).to_have_count(1)
        phone_page.evaluate("htmx.trigger(document.body, 'wake')")
        phone_page.tap("text=Blocks")
        expect(phone_page.locator("#faults")).to_contain_text("“Blocks” needs the computer, which does not answer now")
        assert any(line.startswith("POST") for line in asked)
    expect(phone_page.locator("body")).not_to_contain_text("guest! Accept")
    expect(phone_page.locator("main h1")).to_have_text("Cut lamp red squares, 3 in")  # where that pass begins
    many.start()
    saved(phone_page)
    expect(phone_page.locator("#away")).to_be_hidden()
    assert counted(many, RED) == MANY


def test_a_quilt_deleted_elsewhere_takes_no_tap_along_and_its_return_brings_them_in(
    phone_page: Page, many: House
) -> None:
    go(phone_page, many, RED)
    phone_page.context.set_offline(True)
    tap_often(phone_page, MANY)
    quilt = many.quilt()
    many.store.delete(quilt.stored.id)
    phone_page.context.set_offline(False)
    kept_aside(phone_page, MANY, "Their quilt is deleted.")
    expect(phone_page.locator("#aside .work")).to_have_text(f"{RED}: {MANY}")
    phone_page.goto(f"{many.address}/")
    kept_aside(phone_page, MANY, "Their quilt is deleted.")
    many.store.restore_deleted(quilt.stored.id)
    phone_page.goto(many.address + quilt.step_path(RED))
    saved(phone_page)
    expect(phone_page.locator("#aside .notice")).to_have_count(0)
    assert counted(many, RED) == MANY


def test_a_page_left_open_over_a_deletion_goes_on_when_it_is_taken_back(phone_page: Page, many: House) -> None:
    go(phone_page, many, RED)
    quilt = many.quilt()
    many.store.delete(quilt.stored.id)
    tap_often(phone_page, 2)
    kept_aside(phone_page, 2, "Their quilt is deleted.")
    many.store.restore_deleted(quilt.stored.id)
    saved(phone_page)
    assert counted(many, RED) == 2


def edited(house: House) -> str:
    """Use another plan for the quilt, with larger squares, as by another device; gives the plan as it was."""
    quilt = house.quilt()
    former = str(quilt.stored.about["plan"])
    plan = former.replace('cell = "2"', 'cell = "3"')
    assert plan != former
    quilt.stored.append_with({"id": "an-edit", "do": "carried", "counts": [], "lost": []}, plan=plan)
    return former


def test_taps_for_a_plan_edited_elsewhere_are_kept_aside_counted_and_sent_again_or_dropped(
    phone_page: Page, many: House
) -> None:
    go(phone_page, many, RED)
    phone_page.context.set_offline(True)
    tap_often(phone_page, MANY)
    former = edited(many)
    phone_page.context.set_offline(False)
    kept_aside(phone_page, MANY, "There is no such step in this quilt; its plan may have been edited.")
    expect(phone_page.locator("#aside .work")).to_have_text(f"{RED}: {MANY}")
    phone_page.goto(f"{many.address}/")
    kept_aside(phone_page, MANY, "There is no such step in this quilt")
    many.quilt().stored.append_with({"id": "back-again", "do": "carried", "counts": [], "lost": []}, plan=former)
    phone_page.wait_for_timeout(800)  # what has just come is not for the finger that was under way
    phone_page.tap("#aside button >> text=Send again")
    saved(phone_page)
    assert counted(many, RED) == MANY


def test_what_is_kept_aside_is_dropped_only_when_that_was_asked_for_twice(phone_page: Page, many: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    go(phone_page, many, RED)
    phone_page.context.set_offline(True)
    tap_often(phone_page, 3)
    edited(many)
    phone_page.context.set_offline(False)
    kept_aside(phone_page, 3, "There is no such step")
    phone_page.goto(f"{many.address}/")
    kept_aside(phone_page, 3, "There is no such step")
    phone_page.evaluate(AXE_SCRIPT)
    assert [each for each in in_every_look(phone_page, "kept aside").values() if each] == []
    phone_page.tap("#aside button >> text=Drop …")
    phone_page.tap("#aside button >> text=Keep")
    kept_aside(phone_page, 3, "There is no such step")
    phone_page.tap("#aside button >> text=Drop …")
    phone_page.tap("#aside button >> text=Drop all 3 for good")
    expect(phone_page.locator("#aside .notice")).to_have_count(0)
    phone_page.reload()
    expect(phone_page.locator("#saving")).to_have_text("")
    expect(phone_page.locator("#aside .notice")).to_have_count(0)


def move_to(house: House, folder: Path, name: str, page: Page) -> None:
    """Start the sewing room again with another folder, in a room of its own that knows the phone too."""
    house.stop()
    with Store.open(folder) as store:
        store.room.set_about(name=name)
    page.context.add_cookies([{"name": f"sewing-room-{name}", "value": TOKEN, "domain": HOST, "path": "/"}])
    house.folder = folder
    house.start()


@pytest.mark.parametrize("same_quilt", [False, True])
def test_a_sewing_room_with_another_folder_takes_no_tap_that_is_not_its_own(
    same_quilt: bool, phone_page: Page, many: House, tmp_path: Path
) -> None:
    first = many.folder
    go(phone_page, many, RED)
    quilt = many.quilt()
    phone_page.context.set_offline(True)
    tap_often(phone_page, MANY)
    with Store.open(tmp_path / "other") as other:
        other.add(quilt.stored.about, (), quilt.stored.id if same_quilt else None)
    move_to(many, tmp_path / "other", "other", phone_page)
    phone_page.context.set_offline(False)
    expect(phone_page.locator("#saving")).to_contain_text(f"{MANY} taps not saved yet")
    expect(phone_page.locator("#away [data-instead=room]")).to_be_visible()
    phone_page.on("dialog", lambda dialog: dialog.accept())
    phone_page.goto(f"{many.address}/")
    kept_aside(phone_page, MANY, "They were tapped in another sewing room (with another folder)")
    assert counted(many, RED) == 0
    many.stop()
    many.folder = first
    many.start()
    phone_page.goto(f"{many.address}/")
    saved(phone_page)
    assert counted(many, RED) == MANY


def test_taps_of_another_room_are_sent_to_this_one_where_she_says_so(
    phone_page: Page, many: House, tmp_path: Path
) -> None:
    phone_page.add_init_script(AT_ONCE)
    go(phone_page, many, RED)
    quilt = many.quilt()
    phone_page.context.set_offline(True)
    tap_often(phone_page, 4)
    with Store.open(tmp_path / "other") as other:
        other.add(quilt.stored.about, (), quilt.stored.id)
    move_to(many, tmp_path / "other", "other", phone_page)
    phone_page.context.set_offline(False)
    phone_page.on("dialog", lambda dialog: dialog.accept())
    phone_page.goto(f"{many.address}/")
    kept_aside(phone_page, 4, "another sewing room")
    phone_page.tap("#aside button >> text=Send again")
    saved(phone_page)
    assert counted(many, RED) == 4


def test_a_page_shows_the_older_state_that_its_folder_was_put_back_to(
    phone_page: Page, many: House, tmp_path: Path
) -> None:
    go(phone_page, many, RED)
    tap_often(phone_page, 2)
    saved(phone_page)
    many.stop()
    shutil.copytree(many.folder, tmp_path / "older")
    many.start()
    tap_often(phone_page, 5)
    saved(phone_page)
    expect(phone_page.locator("#done")).to_have_text("7")
    many.stop()
    shutil.rmtree(many.folder)
    shutil.copytree(tmp_path / "older", many.folder)
    many.start()
    expect(phone_page.locator("#done")).to_have_text("2")
    behind(phone_page)
    phone_page.tap("#one")
    expect(phone_page.locator("#done")).to_have_text("3")
    saved(phone_page)
    assert counted(many, RED) == 3
    many.stop()
    phone_page.tap("#one")
    expect(phone_page.locator("#away")).to_be_visible()
    expect(phone_page.locator("#done")).to_have_text("4")  # from memory, which was put back too
    many.start()
    saved(phone_page)


def test_a_number_counted_away_does_not_undo_what_another_counted_meanwhile(
    phone_page: Page, tablet_page: Page, many: House
) -> None:
    phone_page.add_init_script(AT_ONCE)
    quilt = many.quilt()
    phone_page.goto(f"{many.address}{quilt.step_path(RED)}/mend")
    phone_page.context.set_offline(True)
    phone_page.fill("#counted", "30")
    phone_page.tap("button >> text=Set it")
    expect(phone_page.locator("#saving")).to_contain_text("1 tap not saved yet")
    go(tablet_page, many, RED)
    tablet_page.fill("#chain", "48")
    tablet_page.tap("#a-chain")
    saved(tablet_page)
    phone_page.context.set_offline(False)
    kept_aside(phone_page, 1, "you counted 30 where 0 stood, but 48 stand now")
    assert counted(many, RED) == 48
    phone_page.tap("#aside button >> text=Send again")
    saved(phone_page)
    assert counted(many, RED) == 30


def test_taking_back_several_takes_back_only_those_that_were_in_the_list(
    phone_page: Page, tablet_page: Page, many: House
) -> None:
    quilt = many.quilt()
    for number in range(3):
        quilt.stored.append({"id": f"first-taps-{number}", "do": "done", "step": "cut:R:2_1/2x2_1/2", "times": 1})
    phone_page.goto(f"{many.address}{quilt.at}/latest")
    phone_page.context.set_offline(True)
    phone_page.tap("text=this and 1 newer")
    expect(phone_page.locator("#saving")).to_contain_text("1 tap not saved yet")
    go(tablet_page, many, RED)
    tablet_page.fill("#chain", "32")
    tablet_page.tap("#a-chain")
    saved(tablet_page)
    phone_page.context.set_offline(False)
    saved(phone_page)
    assert counted(many, RED) == 33
