"""Scripts of the pages by themselves: a page in Chromium with some of them in it, and with what they need there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from browser import free_port, park
from playwright.sync_api import BrowserContext, Page

STATIC = Path(__file__).parent.parent / "static"

Bench = Callable[..., Page]
"""Makes a page: its `body`, then the scripts by name (`*names`), each after `before`, a script of the test's own."""


@pytest.fixture
def bench(phone_device: BrowserContext) -> Iterator[Bench]:
    """Pages of an address of their own, which no computer serves: nothing is kept there from other tests."""
    with laid(phone_device) as lay:
        yield lay


@contextmanager
def laid(phone_device: BrowserContext) -> Iterator[Bench]:
    """The same, for as long as it is wanted."""
    address, opened = f"http://bench.test:{free_port()}/", []

    def lay(*names: str, body: str = "", before: str = "", path: str = "") -> Page:
        page = phone_device.new_page()
        opened.append(page)
        text = f"<!doctype html><html><head><title>bench</title></head><body data-room='here'>{body}</body></html>"
        page.route("**/*", lambda route: route.fulfill(body=text, content_type="text/html; charset=utf-8"))
        page.goto(address + path)
        for script in (before,) if before else ():
            page.add_script_tag(content=script)
        for name in names:
            page.add_script_tag(content=(STATIC / name).read_text(encoding="utf-8"))
        return page

    yield lay
    for page in opened:
        page.unroute_all()
        park(page)
