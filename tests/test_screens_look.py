"""How the screens look in a real browser: sizes, contrast, large letters, paper."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest
from house import House, go
from playwright.sync_api import Page, expect
from visitors import add_quilt

from tracker.demo import demo_plan_text

RED = "Cut lamp red squares, 2½ in"
MARK = "Mark pale sand"

SCREENS = (
    "/", "AT", "AT/now", "AT/now?at=iron", "AT/latest", "AT/seam", "AT/plan", "MEND", "AT/step", "AT/steps",
    "AT/cutting", "AT/shopping", "AT/blocks", "AT/blocks/1", "AT/compare", "/compare", "/new", "/device", "/nowhere",
    "/shelf", "AT/shelf", "AT/shelf/label",
)  # fmt: skip
TOO_WIDE = """[...document.querySelectorAll('body *')]
    .filter(e => e.getBoundingClientRect().right > WIDTH + 1 && !e.closest('svg, pre, textarea'))
    .map(e => e.outerHTML.slice(0, 80))"""


@pytest.mark.parametrize("letters", [16, 32])
def test_no_screen_is_wider_than_a_phone_or_breaks_the_policy(letters: int, phone_page: Page, house: House) -> None:
    complaints: list[str] = []
    phone_page.on("console", lambda message: complaints.append(message.text))
    phone_page.on("pageerror", lambda error: complaints.append(str(error)))
    session = phone_page.context.new_cdp_session(phone_page)
    quilt = house.quilt()
    mend = f"{quilt.step_path(RED)}/mend"
    for kind, more in (("done", {"times": "2"}), ("counted", {"times": "3"})):
        house.ask(
            "POST",
            f"{quilt.at}/taps",
            urlencode({"tap": f"a-{kind}-tap", "do": kind, "step": quilt.short(RED), **more}),
        )
    house.ask("POST", f"{quilt.at}/seam", "middle=15%2F16")
    for path in SCREENS:
        session.send("Page.setFontSizes", {"fontSizes": {"standard": letters, "fixed": letters}})
        phone_page.goto(house.address + path.replace("AT", quilt.at).replace("MEND", mend))
        phone_page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
        assert phone_page.evaluate(TOO_WIDE.replace("WIDTH", "390")) == [], path
        assert phone_page.evaluate("document.scrollingElement.scrollWidth") <= 390, path
    assert [text for text in complaints if "404" not in text] == []


def test_a_phone_shows_the_figure_and_the_drawing_of_a_step_without_scrolling(phone_page: Page, house: House) -> None:
    """Above the bar for the thumb; the longest titles take two lines."""
    for title in (RED, MARK, "Trim half-square", "Pair", "Press half-square", "Join row 1", "Lay out", "Square"):
        go(phone_page, house, title)
        bar = phone_page.locator(".bar").bounding_box()
        drawing = phone_page.locator(".step .picture svg").bounding_box()
        assert bar is not None
        assert drawing is not None
        assert drawing["y"] + drawing["height"] <= bar["y"] + 8, title
        assert drawing["height"] > 100
        figure = phone_page.locator(".size strong")
        if figure.count():
            box = figure.bounding_box()
            assert box is not None
            assert box["y"] + box["height"] <= bar["y"], title


@pytest.fixture
def demo_house(tmp_path: Path) -> Iterator[House]:
    """A house with a quilt like the demo, not begun."""
    opened = House(tmp_path / "demo")
    add_quilt(opened.store, demo_plan_text())
    yield opened
    opened.stop()


@pytest.mark.parametrize(
    ("high", "title", "wide", "tall"),
    [(664, "Lay out", 110, 110), (844, "Lay out", 170, 170), (844, "Join row 1", 330, 180)],
)
def test_at_the_wall_and_the_machine_the_drawing_has_the_room_that_words_leave(
    high: int, title: str, wide: int, tall: int, phone_page: Page, demo_house: House
) -> None:
    """A list of many kinds of pieces is folded on a phone, and an oblong drawing has the whole line on a high one."""
    phone_page.set_viewport_size({"width": 390, "height": high})
    go(phone_page, demo_house, title)
    drawing = phone_page.locator(".step .picture").bounding_box()
    assert drawing is not None
    assert (drawing["width"] >= wide, drawing["height"] >= tall) == (True, True), drawing
    for each in phone_page.locator(".take-all").all():
        assert each.locator(".takes").is_hidden()
        each.locator("summary").click()
        assert each.locator(".takes").is_visible()


def test_what_to_take_lies_open_on_a_tablet(tablet_page: Page, demo_house: House) -> None:
    go(tablet_page, demo_house, "Lay out")
    assert tablet_page.locator(".take-all .takes").is_visible()


@pytest.mark.parametrize("letters", [16, 32])
def test_every_entry_of_the_top_bar_is_read_whole_on_a_phone(letters: int, phone_page: Page, house: House) -> None:
    session = phone_page.context.new_cdp_session(phone_page)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": letters, "fixed": letters}})
    phone_page.goto(f"{house.address}{house.quilt().at}/now")
    entries = phone_page.locator(".top nav > *")
    assert entries.all_inner_texts() == ["Quilts", "Now", "Step", "List", "Cut", "Blocks"]
    cut = "e => e.scrollWidth > e.clientWidth + 1 || e.getClientRects().length > 1"
    assert [entry.inner_text() for entry in entries.all() if entry.evaluate(cut)] == []
    lines = {round(box["y"]) for entry in entries.all() if (box := entry.bounding_box())}
    assert len(lines) <= (1 if letters == 16 else 2)


def _small(page: Page) -> list[str]:
    return list(
        page.evaluate(
            """[...document.querySelectorAll('button, a, input:not([type=hidden])')].filter(e => {
                const box = e.getBoundingClientRect();
                return box.width && !e.matches('.skip') && (box.width < 48 || box.height < 48);
            }).map(e => e.outerHTML.slice(0, 90))"""
        )
    )


def test_what_is_touched_on_the_step_screen_is_large_and_at_the_thumb(phone_page: Page, house: House) -> None:
    for title in (RED, MARK, "Lay out"):
        go(phone_page, house, title)
        assert _small(phone_page) == []
        bar = phone_page.locator(".bar").bounding_box()
        assert bar is not None
        assert bar["y"] + bar["height"] == pytest.approx(844, abs=1)
        assert bar["height"] < 844 * 0.42


@pytest.mark.parametrize(("title", "least"), [("Trim half-square", 80), ("Press row 1 of the quilt", 50)])
def test_sizes_are_readable_at_arm_s_length(
    title: str, least: int, phone_page: Page, tablet_page: Page, house: House
) -> None:
    """In CSS pixels of letter height; a tablet, read from further off, has half as much again."""
    height = "parseFloat(getComputedStyle(document.querySelector('.size strong')).fontSize)"
    go(phone_page, house, title)
    go(tablet_page, house, title)
    assert phone_page.evaluate(height) >= least
    assert tablet_page.evaluate(height) >= 1.5 * least


def _contrast(page: Page, selector: str) -> float:
    script = """selector => {
        const light = colour => {
            const [r, g, b] = colour.match(/[\\d.]+/g).map(Number)
                .map(v => (v /= 255) <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
            return 0.2126 * r + 0.7152 * g + 0.0722 * b;
        };
        const e = document.querySelector(selector);
        let ground = e;
        while (/^rgba\\(.*, 0\\)$/.test(getComputedStyle(ground).backgroundColor)) ground = ground.parentElement;
        const [a, b] = [getComputedStyle(e).color, getComputedStyle(ground).backgroundColor].map(light);
        return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    }"""
    return float(page.evaluate(script, selector))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_everything_stands_out_by_day_and_by_night(scheme: str, phone_page: Page, house: House) -> None:
    phone_page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    go(phone_page, house, RED)
    for selector in ("h1", ".size strong", ".nth", "#one", "#all", ".check", ".top a"):
        assert _contrast(phone_page, selector) >= 7, selector
    phone_page.goto(f"{house.address}{house.quilt().at}/steps")
    for selector in (".row .what", ".row small", ".group h2"):
        assert _contrast(phone_page, selector) >= 7, selector


def test_lists_print_black_on_white_without_buttons(phone_page: Page, house: House) -> None:
    phone_page.emulate_media(media="print", color_scheme="dark")
    for name in ("steps", "cutting"):
        phone_page.goto(f"{house.address}{house.quilt().at}/{name}")
        expect(phone_page.locator(".top")).to_be_hidden()
        expect(phone_page.locator(".row").first).to_be_visible()
        assert phone_page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        assert phone_page.evaluate("getComputedStyle(document.querySelector('.row .what')).color") == "rgb(0, 0, 0)"
