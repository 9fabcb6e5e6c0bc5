"""Eyes: no barrier that axe knows of on any screen, figures large enough for where they are read from, no motion."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator
from pathlib import Path
from random import SystemRandom

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from browser import HOST, PHONE, TABLET
from effort import THOROUGH, by_lot, some
from house import House, behind, go
from playwright.sync_api import Page, expect
from visitors import Quilt, Visitor

from tracker.cli import add_demo
from tracker.web.screen import SCREENS
from tracker.web.static import File

LOOKS = ("light", "large", "dark")
FOUND: dict[str, object] = {"resultTypes": ["violations"], "preload": False}
"""Nothing of a page comes from elsewhere, so there is nothing to be fetched before axe begins."""
AXE = AXE_SCRIPT.encode()
ALL = FOUND | {"rules": {"target-size": {"enabled": True}}}
COLOURS = FOUND | {"runOnly": ["color-contrast", "link-in-text-block"]}
"""By night only the colours are others; large letters may change what is shown, so there axe tries everything."""
RUN = "options => axe.run(document, options).then(result => result.violations)"
LETTERS = "parseFloat(getComputedStyle(document.documentElement).fontSize)"


def _dress(page: Page, look: str) -> None:
    """By day, by night, or with the browser's letters twice as large."""
    page.emulate_media(color_scheme="dark" if look == "dark" else "light")
    size = 32 if look == "large" else 16
    session = page.context.new_cdp_session(page)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": size, "fixed": size}})
    session.detach()
    assert page.evaluate(LETTERS) == size * 9 / 8


def with_axe(page: Page, house: House) -> None:
    """Have the page hold axe: from an address of the room, since a browser compiles what it knows only once."""
    files = house.app.extensions["sewing-room"].files
    files.setdefault("axe.js", File(AXE, gzip.compress(AXE), "text/javascript", "axe"))
    page.add_script_tag(url=f"{house.address}/static/axe.js?v=axe")


def in_every_look(page: Page, name: str, looks: tuple[str, ...] = ()) -> dict[tuple[str, str], list[str]]:
    """What axe, which the page must hold already, finds in each look (not said in which: by day and, by lot, with large
    letters or by night; thoroughly in all); by day is how the page comes and is left."""
    found = {}
    looks = looks or (LOOKS if THOROUGH else ("light", SystemRandom().choice(LOOKS[1:])))
    for look in looks:
        if look != "light":
            _dress(page, look)
        barriers = page.evaluate(RUN, COLOURS if look == "dark" else ALL)
        found[name, look] = [f"{each['id']}: {node['html'][:120]}" for each in barriers for node in each["nodes"]]
    if looks[-1] != "light":
        _dress(page, "light")
    return found


def _paths(quilt: Quilt) -> list[str]:
    steps = {title: quilt.step_path(title) for title in ("Cut pale sand", "Mark", "Trim", "Lay out", "Join row 1")}
    label = quilt.compiled.pile_codes[next(iter(quilt.compiled.pile_codes))]
    more = ("", "/steps", "/cutting", "/layout", "/blocks", "/blocks?stage=joined", "/blocks/1", "/labels")
    more += (
        f"{steps['Lay out'].removeprefix(quilt.at)}/photo",
        "/kit?block=1",
        "/kit?maker=ilse",
        "/makers/ilse",
        "/layout?block=1",
        "/now?at=table",
        "/now?at=wall",
    )
    own = [f"{quilt.at}{path}" for path in more] + [f"{steps['Trim']}/mend", f"/l/{quilt.stored.id}/{label}"]
    return ["/", "/new", "/known/churn-dash", "/compare", "/device", "/nowhere", *steps.values(), *own]


def _pages_of_every_screen(house: House, quilt: Quilt) -> list[str]:
    """Every page that is found by its address alone, or in a quilt: also of a screen that no test names."""
    rules = [rule for rule in house.app.url_map.iter_rules() if rule.endpoint.partition(".")[0] in SCREENS]
    plain = [rule for rule in rules if rule.arguments <= {"quilt_id"} and "GET" in (rule.methods or ())]
    paths = [rule.rule.replace("<quilt_id>", quilt.stored.id) for rule in plain]
    visitor = Visitor(house.app, f"{HOST}:{house.port}")
    return [path for path in paths if visitor.get(path).data.lower().startswith(b"<!doctype")]


def test_no_screen_has_a_barrier_that_axe_knows(phone_page: Page, house: House) -> None:
    """A half of the screens by day, others each time, and some more pages of theirs; a third of these also with large
    letters, a third by night; thoroughly all in all looks."""
    quilt, first = house.quilt(), SystemRandom().randrange(3)
    for number, title in enumerate(("Cut pale sand", "Cut lamp red squares, 3", "Mark", "Pair", "Sew half")):
        step = quilt.compiled.step(quilt.short(title))
        assert step is not None
        times = 2 if number < 3 else 1
        quilt.stored.append({"id": f"tap-{number}", "do": "done", "step": step.id, "times": times})
    quilt.stored.set_about(makers=[{"key": "ilse", "name": "Ilse"}, {"key": "jo", "name": "Jo"}])
    quilt.stored.append({"id": "given", "do": "given", "block": 1, "maker": "Ilse", "seen": ""})
    found: dict[tuple[str, str], list[str]] = {}
    pages = _pages_of_every_screen(house, quilt)
    assert {f"{quilt.at}/seam", "/room"} <= set(pages)
    assert not {f"{quilt.at}/plan.toml", "/room/backup"} & set(pages)
    shown: set[str] = set()
    for number, path in enumerate(dict.fromkeys([*by_lot(pages, 2), *some(_paths(quilt), 8)])):
        phone_page.goto(house.address + path)
        if phone_page.url in shown:
            continue  # it leads to a page that was looked at
        shown.add(phone_page.url)
        with_axe(phone_page, house)
        also = LOOKS[1:] if THOROUGH else LOOKS[1:][(number + first) % 3 :][:1]
        found |= in_every_look(phone_page, path, ("light", *also))
    assert {screen: barriers for screen, barriers in found.items() if barriers} == {}


@pytest.mark.parametrize(
    "text",
    ["S 2 3\nmoss 4 of 3", "S 1 of 3\nR 9 of 9", "S 2 of 3\nR 2 of 3\nR 4 of 2½"],
    ids=["to put right", "differences", "agrees"],
)
def test_nor_has_what_is_told_of_a_printed_list(text: str, phone_page: Page, house: House) -> None:
    phone_page.goto(f"{house.address}{house.quilt().at}/compare")
    phone_page.fill("#list", text)
    phone_page.fill("#row-1 [name=count]", "many" if "moss" in text else "")
    phone_page.tap("button.big >> nth=0")
    expect(phone_page.locator("#result, .line-faults").first).to_be_visible()
    phone_page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
    with_axe(phone_page, house)
    found = in_every_look(phone_page, text)
    assert {screen: barriers for screen, barriers in found.items() if barriers} == {}


def test_nor_has_what_opens_over_a_screen(phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    pair = quilt.compiled.step(quilt.short("Pair"))
    assert pair is not None
    quilt.stored.append({"id": "from-two-devices", "do": "done", "step": pair.id, "times": 2})
    go(phone_page, house, "Cut pale sand")
    expect(phone_page.locator(".question")).to_be_visible()
    behind(phone_page)
    with_axe(phone_page, house)
    found = in_every_look(phone_page, "question")
    phone_page.click("[data-opens=hands]")
    phone_page.click("[data-setting=left]")
    found |= in_every_look(phone_page, "hands")
    phone_page.click("[data-closes]")
    house.stop()
    phone_page.tap("#one")
    expect(phone_page.locator("#away")).to_be_visible()
    phone_page.tap("#saving a")
    expect(phone_page.locator("#why")).to_be_visible()
    expect(phone_page.locator("#live[data-memory]")).to_have_count(1)
    phone_page.tap(".top a >> nth=0")
    expect(phone_page.locator("#faults .fault")).to_be_visible()
    found |= in_every_look(phone_page, "away")
    assert {screen: barriers for screen, barriers in found.items() if barriers} == {}


# Figures. One CSS pixel is 0.166 mm on a phone 390 wide (460 dots an inch, three to a pixel) and 0.192 mm on a tablet
# 820 wide (264 dots an inch, two to a pixel). A digit is read with ease where it fills 20 minutes of arc; the smaller
# digits of a fraction must still fill 10, twice what normal sight can make out. At 600 mm, an arm's length, that is
# 3.5 and 1.7 mm; at 1,500 mm it is 8.7 and 4.4 mm.

PIXEL = {"phone": 0.166, "tablet": 0.192}
DIGIT = {"phone": 3.5, "tablet": 8.7}
FRACTION = {"phone": 1.7, "tablet": 4.4}
FIGURES = """async (addresses) => {
    const found = [];
    for (const address of addresses) {
        const page = new DOMParser().parseFromString(await (await fetch(address)).text(), 'text/html');
        document.querySelector('.size').replaceWith(page.querySelector('.size'));
        const figure = document.querySelector('.size strong'), style = getComputedStyle(figure);
        const pen = document.createElement('canvas').getContext('2d');
        pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
        const [digit, fraction] = ['2', '¹'].map(sign => {
            const box = pen.measureText(sign);
            return box.actualBoundingBoxAscent + box.actualBoundingBoxDescent;
        });
        found.push([digit, fraction, figure.getBoundingClientRect().right]);
    }
    return found;
}"""
"""Of each step's page, its size shown on the page that is open: how high its digits are, and where it ends."""


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[House]:
    """A house with the demo quilt in it."""
    opened = House(tmp_path / "demo")
    add_demo(opened.store)
    yield opened
    opened.stop()


def test_figures_are_read_at_arm_s_length_on_a_phone_and_from_the_chair_on_a_tablet(
    phone_page: Page, demo: House
) -> None:
    quilt = demo.quilt()
    seen: dict[str, str] = {}
    for step in quilt.compiled.checklist.steps:
        found = quilt.compiled.words.shown_size(step)
        if found is not None and step.id in quilt.compiled.short:
            seen.setdefault(found, f"{demo.address}{quilt.at}/steps/{quilt.compiled.short[step.id]}")
    small: dict[tuple[str, str], tuple[float, float]] = {}
    phone_page.goto(next(iter(seen.values())))
    for size, held in (("phone", PHONE), ("tablet", TABLET)):
        phone_page.set_viewport_size({"width": held["width"], "height": held["height"]})
        phone_page.wait_for_function("width => innerWidth === width", arg=held["width"])
        figures = phone_page.evaluate(FIGURES, list(seen.values()))
        for shown, (digit, fraction, right) in zip(seen, figures, strict=True):
            if digit * PIXEL[size] < DIGIT[size] or fraction * PIXEL[size] < FRACTION[size]:
                small[shown, size] = (digit * PIXEL[size], fraction * PIXEL[size])
            assert right <= held["width"], shown
    assert len(seen) > 5
    assert small == {}


def test_nothing_moves_for_who_wants_it_still(phone_page: Page, house: House) -> None:
    phone_page.emulate_media(reduced_motion="reduce")
    go(phone_page, house, "Cut pale sand")
    moving = "[...document.querySelectorAll('*')].filter(e => { const s = getComputedStyle(e); return"
    moving += " s.animationName !== 'none' || parseFloat(s.transitionDuration) > 0; }).length"
    assert phone_page.evaluate(moving) == 0
    phone_page.emulate_media(reduced_motion="no-preference")
    assert phone_page.evaluate(moving) > 0


def test_no_figure_in_a_drawing_is_cut_off(phone_page: Page, demo: House) -> None:
    phone_page.goto(f"{demo.address}{demo.quilt().at}/steps")
    ahead = json.loads(demo.ask("GET", f"{demo.quilt().at}/ahead.json")[1])
    cut = """screens => screens.flatMap(screen => {
        const box = document.createElement('div');
        box.innerHTML = screen;
        const svg = box.querySelector('svg.drawing');
        document.body.replaceChildren(svg);
        const room = svg.getBoundingClientRect();
        return [...svg.querySelectorAll('text')].filter(text => {
            const own = text.getBoundingClientRect();
            const beside = own.left < room.left || own.right > room.right + 1;
            return beside || own.top < room.top || own.bottom > room.bottom + 1;
        }).map(text => `${svg.querySelector('title').textContent}: ${text.textContent}`);
    })"""
    assert phone_page.evaluate(cut, ahead["screens"]) == []
