"""Pattern sheets as Chromium prints them, A4 and Letter: how many pages, none empty, none with a line alone."""

from __future__ import annotations

from pathlib import Path

import pytest
from effort import by_lot
from house import AT_ONCE, House
from playwright.sync_api import Page, expect
from printed_pages import lines_on_pages

from tracker.demo import demo_plan_text
from tracker.looks.preview import compile_whole, read_whole
from tracker.pattern.handout import Heading, handout, one_file
from tracker.pattern.handout_command import sewn_plan

PLANS = Path(__file__).parent / "plans"
LEAST = 10
"""So many lines at least are on every page."""


def scraps(cloths: int) -> str:
    """A plan of half-square triangles of so many dark scraps, each with the same light cloth."""
    keys = [f"D{number}" for number in range(cloths)]
    side = 6
    rows = [" ".join(f"L/{keys[(row * side + column) % cloths]}" for column in range(side)) for row in range(side)]
    named = "".join(f'[fabrics.{key}]\nname = "scrap {key[1:]}"\ntone = 7\n' for key in keys)
    return (
        f'title = "Attic scraps"\n[fabrics.L]\nname = "linen"\ntone = 1\n{named}[blocks.attic]\nname = "Attic"\n'
        "cell = \"2\"\npicture = '''\n" + "\n".join(rows) + "\n'''\n"
        '[quilt]\nblock = "attic"\nacross = 3\ndown = 4\n'
    )


def plan_text(name: str) -> str:
    if name == "demo":
        return demo_plan_text()
    if name == "scrappy":
        return scraps(24)
    return (PLANS / f"{name}.toml").read_text("utf-8")


PRINTED = {
    "demo": [2, 1],
    "scrappy": [2, 1],
    "valid/lighthouse": [2, 1],
    "valid/harbour_metric": [2, 1],
    "valid/whirl_on_point": [2, 1],
    "valid/borders_and_corners": [1, 2],
    "valid/turned_rails": [1, 2, 1],
    "blocks/log-10b": [2],
    "blocks/star-star-12": [2],
    "blocks/rail-7": [1],
}
"""Plans of every setting, and how many pages each kind of block and the quilt have."""


@pytest.mark.parametrize("name", by_lot(PRINTED, 2))
def test_a_block_has_two_sheets_at_most_and_no_page_is_empty(name: str, tablet_page: Page) -> None:
    plan = read_whole(plan_text(name), name)
    given = handout(sewn_plan(plan, compile_whole(plan)), Heading("", "1 May 2027", "Ines"), True)
    sheets = PRINTED[name]
    assert len(sheets) == len(given.blocks) + (given.quilt is not None)
    assert all(pages <= 2 for pages in sheets)
    for cloth in given.quilt.cloths if given.quilt else ():
        kinds = [piece.partition(" of ")[2] for piece in cloth["pieces"]]
        assert len(set(kinds)) == len(kinds), "pieces of one size and use are one line"
    tablet_page.set_content(one_file(given))
    for paper in ("A4", "Letter"):
        lines = lines_on_pages(tablet_page.pdf(format=paper))
        assert len(lines) == sum(sheets), (paper, lines)
        assert min(lines) >= LEAST, (paper, lines)


def test_sheets_are_read_at_arms_length(tablet_page: Page) -> None:
    plan = read_whole(demo_plan_text(), "demo")
    tablet_page.set_content(one_file(handout(sewn_plan(plan, compile_whole(plan)), Heading(), True)))
    tablet_page.emulate_media(media="print")
    sizes = tablet_page.evaluate(
        "[...document.querySelectorAll('.pattern *')].filter(e => !e.closest('svg') && e.innerText)"
        ".map(e => parseFloat(getComputedStyle(e).fontSize) * 0.75)"
    )
    assert min(sizes) >= 9.99
    figures = tablet_page.evaluate(
        "[...document.querySelectorAll('.to-check, .finished-size b')]"
        ".map(e => parseFloat(getComputedStyle(e).fontSize) * 0.75)"
    )
    assert min(figures) >= 14
    drawn = tablet_page.evaluate(
        "[...document.querySelectorAll('svg .figure')].map(e => e.getAttribute('font-size')"
        " * e.ownerSVGElement.getBoundingClientRect().width / e.ownerSVGElement.viewBox.baseVal.width * 0.75)"
    )
    assert drawn
    assert min(drawn) >= 9.9


def test_what_she_types_stands_over_every_sheet_and_nothing_else_is_printed(tablet_page: Page, house: House) -> None:
    tablet_page.goto(f"{house.address}{house.quilt().at}/sheets")
    tablet_page.fill("[name=title]", "Saturday class")
    tablet_page.fill("[name=name]", "Ines")
    tablet_page.click("text=Put it on the sheets")
    heads = tablet_page.locator(".sheet-head")
    for head in heads.all():
        expect(head).to_contain_text("Saturday class")
        expect(head).to_contain_text("Ines")
        expect(head).to_contain_text("Proved")
    with tablet_page.expect_download() as kept:
        tablet_page.click("text=Save as one file")
    page = Path(kept.value.path()).read_text("utf-8")
    assert "Saturday class" in page
    tablet_page.emulate_media(media="print")
    expect(tablet_page.locator(".handing-out")).to_be_hidden()
    assert tablet_page.evaluate("document.scrollingElement.scrollWidth <= innerWidth")
    assert min(lines_on_pages(tablet_page.pdf(format="A4"))) >= LEAST


def test_one_block_is_whole_on_a_phone_and_counted_in_place(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    phone_page.set_viewport_size({"width": 390, "height": 664})
    phone_page.goto(f"{house.address}{house.quilt().at}/pattern")
    cells = phone_page.locator(".pass-cells a")
    assert cells.count() > 8
    for part in (*cells.all(), phone_page.locator("#all"), phone_page.locator(".pass-told h2")):
        box = part.bounding_box()
        assert box is not None
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= 664
        assert box["width"] >= 44
    first = cells.nth(0).get_attribute("aria-label")
    phone_page.click("#all")
    expect(cells.nth(0)).not_to_have_attribute("aria-label", first or "")
    expect(phone_page.locator("#saving")).to_have_text("✓ Saved")
    assert sum(house.quilt().progress().counts.shares()[:1]) > 0
    cells.nth(5).click()
    expect(phone_page.locator(".pass-told h2")).to_contain_text("4. ")
