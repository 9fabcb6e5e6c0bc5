"""A sewing room on a real socket, and what the tests of its screens do in it."""

from __future__ import annotations

import http.client
import threading
from collections.abc import Iterator
from pathlib import Path

import lookers
import pytest
from browser import COOKIE, HOST, PATIENCE, TOKEN, free_port
from playwright.sync_api import Page, expect
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, room_of

from tracker.looks.looking import Looking
from tracker.safekeeping.pairing import Pairing
from tracker.server import serving
from tracker.server.lines import Lines
from tracker.store.quilts import Store
from tracker.web import known_to

AT_ONCE = "window.justCome = 0"
"""A script for pages: taps count as soon as a screen has come. For walks, which tap only what is meant."""


class House:
    """A sewing room on a real socket, which can be stopped and started again on the same port and folder."""

    def __init__(self, folder: Path, lines: Lines | None = None, looking: Looking | None = None) -> None:
        self.folder, self.looking = folder, looking
        self._lines = lines
        self.port = free_port()
        self._stop: threading.Event | None = None
        self.start()

    @property
    def address(self) -> str:
        return f"http://{HOST}:{self.port}"

    def start(self) -> None:
        sockets = serving.listen("127.0.0.1", self.port)
        self.store = Store.open(self.folder)
        ready, self._stop = threading.Event(), threading.Event()
        app = self.app = room_of(self.store, self.port, looking=self.looking)
        self._thread = threading.Thread(
            target=serving.run, args=(app, sockets, ready.set, self._stop, known_to(self.pairing), self._lines)
        )
        self._thread.start()
        assert ready.wait(PATIENCE / 1000)

    def stop(self) -> None:
        if self._stop is not None:
            self._stop.set()
            self._thread.join(15)
            self.store.close()
            self._stop = None

    def restart(self) -> None:
        self.stop()
        self.start()

    def ask(self, method: str, path: str, body: str = "") -> tuple[int, str]:
        """Ask as the page's script does; the status and the text of the answer."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE / 1000)
        headers = {"Host": f"{HOST}:{self.port}", "Origin": self.address, "HX-Request-Type": "partial"}
        headers["Cookie"] = f"{COOKIE}={TOKEN}"
        line.request(method, path, body, headers | {"Content-Type": "application/x-www-form-urlencoded"})
        answer = line.getresponse()
        text = answer.read().decode()
        line.close()
        return answer.status, text

    @property
    def pairing(self) -> Pairing:
        """Who may into the room that is running."""
        found = self.app.extensions["sewing-room"].pairing
        assert isinstance(found, Pairing)
        return found

    def quilts(self) -> list[Quilt]:
        """Every quilt, with its counts as they are on the disk."""
        return [Quilt(Visitor(self.app), stored) for stored in self.store.quilts()]

    def quilt(self) -> Quilt:
        """The only quilt."""
        (quilt,) = self.quilts()
        return quilt


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """A house with the small quilt in it."""
    opened = House(tmp_path / "data")
    add_quilt(opened.store)
    yield opened
    opened.stop()


@pytest.fixture
def busy_house(tmp_path: Path) -> Iterator[House]:
    """A house with the small quilt in it, where some texts are never looked at to an end."""
    looking = Looking(lookers.COMMAND)
    opened = House(tmp_path / "data", looking=looking)
    add_quilt(opened.store)
    yield opened
    opened.stop()
    looking.close()


def tap_all(page: Page) -> None:
    """Count all that lies ready, by its number: the large button counts what the blocks in work need."""
    if page.locator("#chain:visible").count():
        page.fill("#chain", page.inner_text("#ready"))
        page.click("#a-chain")
    else:
        page.click("#one")


def go(page: Page, house: House, title: str) -> None:
    page.goto(house.address + house.quilt().step_path(title))


def counted(house: House, title: str) -> int:
    """How often a step is done, by what is on the disk."""
    quilt = house.quilt()
    step = quilt.compiled.step(quilt.short(title))
    assert step is not None
    return quilt.progress().counts.times_done(step)


def saved(page: Page) -> None:
    """Wait until every tap of this page is on the disk."""
    expect(page.locator("#saving")).to_have_text("✓ Saved")


def behind(page: Page) -> None:
    """Have the steps ahead loaded, which a page does by itself a moment after it has come, and the rest of them."""
    page.evaluate("sewingRoom.ahead.load().then(sewingRoom.ahead.loadMore)")
    expect(page.locator("html[data-ahead]")).to_have_count(1)


def all_done(house: House) -> int:
    return house.quilt().progress().counts.shares()[0]


def tap_often(page: Page, times: int) -> None:
    for _ in range(times):
        page.tap("#one")


@pytest.fixture
def many(tmp_path: Path) -> Iterator[House]:
    """A house with a quilt of fifty blocks: no step runs out."""
    opened = House(tmp_path / "many")
    add_quilt(opened.store, SMALL_PLAN.replace("across = 2", "across = 10").replace("down = 1", "down = 5"))
    yield opened
    opened.stop()
