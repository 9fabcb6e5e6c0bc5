"""Paper: labels that a camera can read, and lists that print cleanly in black on A4 and Letter."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
import zxingcpp
from house import House
from PIL import Image
from playwright.sync_api import Page, expect
from printed_pages import lines_on_pages
from visitors import open_room

from tracker.cli import add_demo

MILLIMETRE = 96 / 25.4


def test_every_printed_label_can_be_scanned_and_opens_its_pile(tablet_page: Page, house: House) -> None:
    at = house.quilt().at
    tablet_page.emulate_media(media="print")
    tablet_page.goto(f"{house.address}{at}/labels?which=piles")
    picture = Image.open(io.BytesIO(tablet_page.screenshot(full_page=True)))
    read = {code.text for code in zxingcpp.read_barcodes(picture)}
    hrefs = [each.get_attribute("href") for each in tablet_page.locator(".label > a").all()]
    paths = {f"{house.address}{path}" for path in hrefs}
    assert read == paths
    side = tablet_page.evaluate("document.querySelector('.label svg').getBoundingClientRect().width")
    assert side >= 27 * MILLIMETRE
    url = sorted(read)[0]
    tablet_page.goto(url)
    expect(tablet_page.locator(".lies")).to_contain_text("lie here now")
    tablet_page.locator(".rows a").first.click()
    expect(tablet_page.locator("#live[data-step]")).to_have_count(1)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_lists_and_labels_fill_the_paper_and_nothing_is_cut_off(paper: str, tablet_page: Page, house: House) -> None:
    width = {"A4": 210, "Letter": 216}[paper]
    tablet_page.emulate_media(media="print", color_scheme="dark")
    tablet_page.set_viewport_size({"width": round((width - 28) * MILLIMETRE), "height": 1000})
    for name, sheets in (
        ("steps", 2),
        ("cutting", 1),
        ("shopping", 1),
        ("layout", 2),
        ("labels", 1),
        ("labels?which=blocks", 1),
    ):
        tablet_page.goto(f"{house.address}{house.quilt().at}/{name}")
        assert tablet_page.evaluate("document.scrollingElement.scrollWidth <= innerWidth"), name
        colours = tablet_page.evaluate(
            "[...document.querySelectorAll('main *')].filter(e => e.offsetParent && !e.closest('svg'))"
            ".map(e => getComputedStyle(e).color)"
        )
        assert set(colours) == {"rgb(0, 0, 0)"}, name
        pdf = tablet_page.pdf(format=paper)
        lines = lines_on_pages(pdf)
        assert 1 <= len(lines) <= sheets, name
        assert min(lines) >= (2 if "labels" in name else 3), (name, lines)  # a label of a block has two


def test_a_demo_on_paper_has_no_line_alone_and_draws_every_block(tablet_page: Page, tmp_path: Path) -> None:
    with open_room(tmp_path) as (store, address):
        add_demo(store)
        (quilt,) = store.quilts()
        for name, sheets in (("cutting", 5), ("shopping", 1), ("layout", 2)):
            tablet_page.goto(f"{address}/quilts/{quilt.id}/{name}")
            for paper in ("A4", "Letter"):
                lines = lines_on_pages(tablet_page.pdf(format=paper))
                assert len(lines) <= sheets, (name, paper)
                assert min(lines) >= 5, (name, paper, lines)
        tablet_page.emulate_media(media="print")
        expect(tablet_page.locator(".waiting")).to_have_css("fill-opacity", "0")
        tablet_page.goto(f"{address}/quilts/{quilt.id}/cutting")
        titles = tablet_page.locator(".strip-drawings figcaption").all_inner_texts()
        counts = [re.match(r"([0-9]+)\s×\s", title) for title in titles]
        told = [int(count[1]) if count else 1 for count in counts]
        assert sum(told) == int(tablet_page.locator(".bar .figure").inner_text().split()[-1])
