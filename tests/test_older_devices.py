"""Devices below what the scripts need: no newer selectors, no dialogs, no scripts. All can be counted there by forms,
what cannot be done is told once, and nothing stands there that does nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import pytest
from browser import PATIENCE, PHONE, device, pair
from effort import by_lot
from house import House
from playwright.sync_api import Browser, Page, ViewportSize, expect
from test_screens_sizes import lantern
from werkzeug.wrappers import Response

if TYPE_CHECKING:
    from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment

NEWER = re.compile(r":has\(|:is\(|:focus-visible|\d+dvh\b|::details-content|inset:|aspect-ratio:|content-visibility:")
"""What a style sheet of an old browser does not know; it leaves out the rule or the line that says it."""


def unknown(word: re.Match[str]) -> str:
    """A word that no browser knows, with the signs of the one it stands for, so that nothing else is spoiled."""
    return re.sub(r"[\w-]+", "x-unknown", word[0])


TAKEN_AWAY = """
    delete SubmitEvent.prototype.submitter; delete window.HTMLDialogElement; delete Array.prototype.at;
    CSS.supports = () => false;
"""

WAYS = ("scripts off", "scripts that it cannot read", "scripts that would not work")
SCREENS = ("/now", "/steps", "/step", "/cutting", "/shopping", "/blocks", "/layout", "/measure/12", "/sizes", "/labels")

DEAD = """() => [...document.querySelectorAll('button[type=button], dialog, x-dialog, input[type=range]')]
    .filter((each) => each.checkVisibility()).map((each) => each.outerHTML.slice(0, 80))"""


class OldBrowser:
    """What a room sends, as a browser would see it that knows less: newer words of style sheets are nothing to it,
    dialogs are plain elements, and scripts are gibberish where it cannot read them."""

    def __init__(self, app: WSGIApplication, reads_scripts: bool) -> None:
        self._app, self._reads_scripts = app, reads_scripts

    def __call__(self, environ: WSGIEnvironment, start: StartResponse) -> Iterable[bytes]:
        environ.pop("HTTP_ACCEPT_ENCODING", None)
        answer = Response.from_app(self._app, environ)
        kind = answer.mimetype
        if kind == "text/css":
            style = NEWER.sub(unknown, answer.get_data(as_text=True))
            answer.set_data(re.sub(r"\bdialog\b", "x-dialog", style))
        elif kind == "text/html":
            answer.set_data(re.sub(r"(</?)dialog\b", r"\1x-dialog", answer.get_data(as_text=True)))
        elif kind == "text/javascript" and not self._reads_scripts and not environ["PATH_INFO"].endswith("/able.js"):
            answer.set_data("}{")
        return answer(environ, start)


@pytest.fixture(params=by_lot(WAYS, 3))
def old_device(request: pytest.FixtureRequest, browser: Browser, house: House) -> Iterator[Page]:
    """A page of a phone whose browser is old, or runs no scripts."""
    house.app.wsgi_app = OldBrowser(house.app.wsgi_app, request.param != WAYS[1])  # type: ignore[method-assign]
    size = ViewportSize(width=PHONE["width"], height=664)
    context = browser.new_context(viewport=size, java_script_enabled=request.param != WAYS[0])
    context.set_default_timeout(PATIENCE)
    pair(context)
    context.add_init_script(TAKEN_AWAY)
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    yield page
    context.close()
    assert [fault for fault in faults if request.param != WAYS[1] or "Unexpected token" not in fault] == []


def test_all_is_counted_by_forms_and_nothing_stands_there_that_does_nothing(old_device: Page, house: House) -> None:
    page, quilt = old_device, lantern(house, 11)
    page.goto(house.address)
    assert page.inner_text("body").count("each tap loads its page anew") == 1
    page.goto(house.address + quilt.step_path("Cut"))
    assert "loads its page anew" not in page.inner_text("body")
    page.click("#one")
    expect(page.locator("#done")).to_have_text("1")
    page.click("[aria-label^='Next pass']")
    expect(page.locator("#done")).to_have_text("0")
    page.go_back()
    page.reload()
    page.click("#take-back")
    expect(page.locator("#done")).to_have_text("0")
    page.goto(f"{house.address}{quilt.at}/measure/12")
    for field in page.locator("fieldset input").all():
        field.fill("10 1/2")
    page.click("#in-a-row" if page.locator("#in-a-row").count() else ".block-measures .big")
    expect(page.locator("main")).to_contain_text("12 of 12 measured")
    assert [tap["do"] for tap in quilt.stored.taps[-1:]] == ["block measured"]
    page.goto(f"{house.address}/draw")
    assert page.inner_text("body").count("Type the plan instead") == 1
    expect(page.locator("#drawing")).to_be_hidden()
    for screen in SCREENS:
        page.goto(f"{house.address}{quilt.at}{screen}")
        assert page.evaluate(DEAD) == [], screen
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), screen


def test_on_paper_a_pass_shows_its_steps_where_a_browser_would_leave_them_out(browser: Browser, house: House) -> None:
    with device(browser, PHONE) as phone:
        phone.add_init_script(TAKEN_AWAY)
        page = phone.new_page()
        page.goto(f"{house.address}{house.quilt().at}/steps")
        assert page.locator(".its-steps:not([open])").count()
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert page.locator(".its-steps:not([open])").count() == 0
