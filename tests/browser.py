"""Chromium for the tests: where it is, how it is started, and pages of the sizes people hold.

A phone at home opens the server by plain http under the computer's name, which browsers trust less than
127.0.0.1. So the pages under test are opened under a name ending in `.test`, which leads to this computer.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from random import SystemRandom
from typing import TYPE_CHECKING

import pytest
from effort import THOROUGH

from tracker.server import serving

if TYPE_CHECKING:
    from wsgiref.types import WSGIApplication

    from playwright.sync_api import Browser, BrowserContext, Page, Playwright

HOST = "sewing.test"
"""The plain name under which `live` serves."""

COOKIE, TOKEN = "sewing-room-tests", "a-token-that-only-the-tests-know"
"""What a device of the tests keeps since it was paired; the rooms of the tests know it (see visitors.room_of)."""

PATIENCE = 60_000
"""Milliseconds until something that never comes is given up. Long, since a busy machine is slow: nothing is timed."""

COMMANDS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
"""The first that is there: without the window round its pages a page takes three fifths of the processor time."""

ARGUMENTS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--renderer-process-limit=1",  # to start a process costs more than most pages do in it
    "--host-resolver-rules=MAP *.test 127.0.0.1",
)

PHONE = {"width": 390, "height": 844}
TABLET = {"width": 820, "height": 1180}


PORTS = range(20_000, 32_000)
"""Where tests look for a port: below those that the system gives to whoever asks for any."""

USED: set[int] = set()
"""Ports that tests of this process had."""


def free_port() -> int:
    """A port that nobody listens on, that no other test gets by chance, and that comes once only in this process."""
    while True:
        port = SystemRandom().choice(PORTS)
        with socket.socket() as trial, suppress(OSError):
            if port not in USED:
                USED.add(port)
                trial.bind(("127.0.0.1", port))
                return port


def chromium_path() -> str:
    """The browser's program. Raises FileNotFoundError, saying what to install, where there is none."""
    for command in COMMANDS:
        if found := shutil.which(command):
            return found
    raise FileNotFoundError(
        "The browser tests need Chromium: install it (on Debian, chromium-headless-shell) and run them again."
    )


def launch(playwright: Playwright) -> Browser:
    """A headless Chromium; the caller closes it."""
    return playwright.chromium.launch(executable_path=chromium_path(), args=list(ARGUMENTS))


@contextmanager
def live(make_app: Callable[[int], WSGIApplication]) -> Iterator[str]:
    """Serve an application on a free port of this computer, as the tool itself does, until the block ends.

    In: what makes the application from its port (it must allow the host `sewing.test` with that port).
    Out: the address without a path, such as `http://sewing.test:40123`.
    """
    port = free_port()
    sockets = serving.listen("127.0.0.1", port)
    app = make_app(port)
    ready, stop = threading.Event(), threading.Event()
    server = threading.Thread(target=serving.run, args=(app, sockets, ready.set, stop))
    server.start()
    try:
        assert ready.wait(PATIENCE / 1000), "the server did not start"
        yield f"http://{HOST}:{port}"
    finally:
        stop.set()
        server.join(15)


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """What drives browsers, once for the whole run."""
    from playwright.sync_api import expect, sync_playwright  # here, so that runs without a browser start at once

    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """One Chromium for the whole run."""
    opened = launch(playwright)
    yield opened
    opened.close()


@contextmanager
def of_profile(playwright: Playwright, profile: Path) -> Iterator[tuple[Page, Callable[[], None]]]:
    """A Chromium whose profile lies in a folder: a page of a paired phone, and what kills all of it at once."""
    arguments = [*ARGUMENTS, f"--user-data-dir={profile}", "--remote-debugging-port=0", "about:blank"]
    # A group of its own, so that all its processes die in the same moment, as where the battery is empty.
    process = subprocess.Popen(
        [chromium_path(), *arguments], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True,
        start_new_session=True,
    )  # fmt: skip

    def kill() -> None:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    try:
        assert process.stderr is not None
        line = next(line for line in process.stderr if line.startswith("DevTools listening on "))
        context = playwright.chromium.connect_over_cdp(line.removeprefix("DevTools listening on ").strip()).contexts[0]
        context.set_default_timeout(PATIENCE)
        pair(context)
        page = context.pages[0]
        page.set_viewport_size({"width": PHONE["width"], "height": 664})
        yield page, kill
    finally:
        kill()
        process.stderr.close()


def pair(context: BrowserContext) -> None:
    """Have a browser's profile let in by the rooms of the tests."""
    context.add_cookies([{"name": COOKIE, "value": TOKEN, "domain": HOST, "path": "/"}])


@contextmanager
def device(browser: Browser, size: dict[str, int]) -> Iterator[BrowserContext]:
    """A paired device that is touched, not clicked: PHONE or TABLET, held upright.

    In a usual run it has one dot to a pixel of the page, not four or nine that all have to be painted.
    """
    context = browser.new_context(
        viewport={"width": size["width"], "height": size["height"]},
        device_scale_factor={390: 3, 820: 2}[size["width"]] if THOROUGH else 1,
        is_mobile=True,
        has_touch=True,
    )
    context.set_default_timeout(PATIENCE)
    pair(context)
    yield context
    context.close()


@pytest.fixture(scope="module")
def phone_device(browser: Browser) -> Iterator[BrowserContext]:
    """The phone of all tests of a file: a window costs more than what most tests do in it."""
    with device(browser, PHONE) as context:
        yield context


@pytest.fixture(scope="module")
def tablet_device(browser: Browser) -> Iterator[BrowserContext]:
    """The tablet of all tests of a file."""
    with device(browser, TABLET) as context:
        yield context


def park(page: Page) -> None:
    """Have nothing go on in a page any more. It is not closed, but with its device: now and then a browser whose pages
    share a process never says that one is closed, and who waits for that waits for ever."""
    from playwright.sync_api import Error

    with suppress(Error):  # it has gone already
        page.goto("about:blank")


def _page(context: BrowserContext) -> Iterator[Page]:
    """A page as on a device that was never here: what browsers keep goes by port, and no port comes twice."""
    context.clear_cookies()
    pair(context)
    yield context.new_page()
    context.set_offline(False)
    for opened in context.pages:
        if opened.url != "about:blank":
            park(opened)


@pytest.fixture
def phone_page(phone_device: BrowserContext) -> Iterator[Page]:
    """A fresh page of a paired phone held upright: 390 by 844, touched, not clicked."""
    yield from _page(phone_device)


@pytest.fixture
def tablet_page(tablet_device: BrowserContext) -> Iterator[Page]:
    """A fresh page of a paired tablet held upright: 820 by 1180, touched, not clicked."""
    yield from _page(tablet_device)


@pytest.fixture
def clocked_page(browser: Browser) -> Iterator[Page]:
    """A page of a phone of its own, whose clock (at 0 milliseconds) can be stopped and wound on."""
    with device(browser, PHONE) as phone:
        page = phone.new_page()
        page.clock.install(time=0)
        yield page
