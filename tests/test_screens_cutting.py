"""The cutting table in a real browser: walked from the first strip to the last on a phone, by what it says."""

from __future__ import annotations

import re

import pytest
from effort import THOROUGH
from house import AT_ONCE, House, go, saved
from playwright.sync_api import Page, expect
from visitors import Quilt, Visitor, room_of
from walking import SMALL_DEMO, begin

from tracker.demo import demo_plan_text
from tracker.exact.measure import read_length
from tracker.words.quilt_summary import is_cut_later, is_laid_aside
from tracker.work.steps import Cut

DEMO = demo_plan_text()
CUT_OUT = DEMO if THOROUGH else SMALL_DEMO
"""What is cut from the first strip to the last: in a usual run two blocks of the demo."""


def open_table(page: Page, house: House, plan: str = DEMO) -> Quilt:
    """A quilt's cutting table, nothing cut yet."""
    quilt = Quilt(Visitor(room_of(house.store)), begin(house.store, plan))
    page.goto(f"{house.address}{quilt.at}")
    page.tap("nav a:text-is('Cut')")
    expect(page.locator("article.strip")).to_be_visible()
    return quilt


def tick(page: Page) -> None:
    """Tick the strip that is shown, and wait until the computer has counted it."""
    done = int(page.get_attribute("#live", "data-done") or "")
    page.tap("#one")
    expect(page.locator("#live")).to_have_attribute("data-done", str(done + 1))
    saved(page)


def test_the_cutting_table_is_walked_from_the_first_strip_to_the_last(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    quilt = open_table(phone_page, house, CUT_OUT)
    strips = quilt.compiled.whole.strips
    told, waits = [], []
    for done in range(len(strips)):
        expect(phone_page.locator("#done")).to_have_text(str(done))
        told.append(phone_page.inner_text("article.strip h2"))
        waits.append(phone_page.locator("article.strip .wait:visible").all_inner_texts())
        line = phone_page.locator(".which-strip").first
        assert re.fullmatch(r"Strip \d+ of \d+ from this cloth", line.inner_text())
        assert line.evaluate("e => e.offsetHeight < 40"), "one line"
        assert phone_page.locator("article.strip svg title").count() == 1
        tick(phone_page)
    expect(phone_page.locator(".finished")).to_have_text(f"✓ All {len(strips)} strips are cut.")
    expect(phone_page.locator("#one")).to_have_count(0)
    saved(phone_page)
    cloths = [words.partition(":")[0] for words in told]
    names = [quilt.compiled.words.fabric(cloth.cloth) for cloth in quilt.compiled.whole.cloths]
    assert list(dict.fromkeys(cloths)) == [name.capitalize() for name in names]
    now = sum(not said for said in waits)  # the others wait until the top lies there
    assert [*(bool(said) for said in waits)] == [False] * now + [True] * (len(waits) - now)
    for part in (cloths[:now], cloths[now:]):
        assert part == sorted(part, key=part.index), "one cloth after the other"
    progress = quilt.progress()
    cuts = [step for step in progress.counts.steps.values() if isinstance(step.action, Cut)]
    assert [progress.counts.left(step) for step in cuts] == [0] * len(cuts)
    assert [tap["do"] for tap in quilt.stored.taps] == ["strip"] * len(strips)


def test_a_tick_is_taken_back_and_the_same_strip_is_shown_again(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    open_table(phone_page, house)
    first = phone_page.inner_text("article.strip")
    tick(phone_page)
    assert phone_page.inner_text("article.strip") != first
    phone_page.tap("#take-back")
    expect(phone_page.locator("#live")).to_have_attribute("data-done", "0")
    assert phone_page.inner_text("article.strip") == first
    expect(phone_page.locator("#done")).to_have_text("0")
    expect(phone_page.locator("#take-back")).to_be_hidden()


def test_a_second_tap_in_haste_ticks_no_second_strip(phone_page: Page, house: House) -> None:
    quilt = open_table(phone_page, house)
    for _ in range(3):
        phone_page.locator("#one").dispatch_event("click")
    expect(phone_page.locator("#done")).to_have_text("1")
    phone_page.locator("#one").dispatch_event("click")  # just come under the finger
    saved(phone_page)
    assert len(quilt.stored.taps) == 1


def test_another_strip_is_chosen_in_the_list_and_cut(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    open_table(phone_page, house)
    phone_page.locator(".group", has_text="brick").locator("a[href*='strip=']").last.tap()
    expect(phone_page.locator("article.strip h2")).to_have_text("Brick: a strip 2½ in wide")
    tick(phone_page)
    expect(phone_page.locator("article.strip h2")).to_contain_text("Brick")


def test_the_table_is_cleared_while_the_computer_is_away(phone_page: Page, house: House) -> None:
    """Every strip is ticked, the last is taken back and ticked again, and then all is saved once, in order."""
    phone_page.add_init_script(AT_ONCE)
    quilt = open_table(phone_page, house, CUT_OUT)
    words, strips = quilt.compiled.words, list(quilt.compiled.whole.strips.values())
    strips.sort(key=lambda strip: is_cut_later(strip) and not is_laid_aside(words, strip))
    names = [strip.name for strip in strips]
    tick(phone_page)
    house.stop()
    shown = phone_page.locator("form.one [name=strip]")
    for done, name in enumerate(names[1:], 1):
        expect(shown).to_have_value(name)
        expect(phone_page.locator("#done")).to_have_text(str(done))
        title = quilt.compiled.whole.strips[phone_page.input_value("form.one [name=cloth]"), name]
        assert str(title.width.rational) == ruler(phone_page.inner_text("article.strip .size strong"))
        phone_page.tap("#one")
    expect(phone_page.locator("#kept-here")).to_be_visible()
    expect(phone_page.locator("#saving")).to_contain_text(f"{len(names) - 1} taps not saved yet")
    phone_page.tap("#take-back")
    expect(shown).to_have_value(names[-1])
    expect(phone_page.locator("#done")).to_have_text(str(len(names) - 1))
    phone_page.tap("#one")
    expect(phone_page.locator("#kept-here")).to_be_visible()
    house.start()
    saved(phone_page)
    expect(phone_page.locator(".finished:visible")).to_have_text(f"✓ All {len(names)} strips are cut.")
    taps = house.store.quilt(quilt.stored.id).taps
    assert [tap["strip"] for tap in taps if tap["do"] == "strip"] == [*names, names[-1]]
    assert [tap["do"] for tap in taps].count("take back") == 1
    progress = house.quilt().progress()
    assert all(
        progress.counts.left(step) == 0 for step in progress.counts.steps.values() if isinstance(step.action, Cut)
    )


def ruler(figures: str) -> str:
    """Figures of a screen as an exact fraction."""
    return str(read_length(figures, "in").rational)


def test_two_devices_at_one_table_see_each_other_s_ticks(phone_page: Page, tablet_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    quilt = open_table(phone_page, house)
    tablet_page.goto(f"{house.address}{quilt.at}/cutting")
    tick(phone_page)
    expect(tablet_page.locator("#done")).to_have_text("1")
    go_step = next(step for step in quilt.compiled.titles.values() if step.startswith("Cut pale sand squares, 3½"))
    assert quilt.count(go_step).startswith("11 of ")


@pytest.mark.parametrize("letters", [16, 32])
@pytest.mark.parametrize("screen", ["cutting", "shopping"])
def test_nothing_is_wider_than_a_phone_and_what_is_touched_is_large(
    letters: int, screen: str, phone_page: Page, house: House
) -> None:
    session = phone_page.context.new_cdp_session(phone_page)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": letters, "fixed": letters}})
    quilt = Quilt(Visitor(room_of(house.store)), begin(house.store, DEMO))
    phone_page.goto(f"{house.address}{quilt.at}/{screen}")
    assert phone_page.evaluate("document.scrollingElement.scrollWidth") <= 390
    small = phone_page.evaluate(
        "[...document.querySelectorAll('main a, main button')].map(e => e.getBoundingClientRect())"
        ".filter(b => b.width && (b.width < 48 || b.height < 48)).length"
    )
    assert small == 0


def test_a_phone_shows_the_drawing_and_the_first_orders_above_the_button(phone_page: Page, house: House) -> None:
    open_table(phone_page, house)
    bar, drawing = (phone_page.locator(part).bounding_box() for part in (".bar", "article.strip .picture svg"))
    assert bar is not None
    assert drawing is not None
    assert bar["y"] + bar["height"] == pytest.approx(844, abs=1)
    order = phone_page.locator(".orders li").nth(1).bounding_box()
    assert order is not None
    assert drawing["y"] + drawing["height"] < order["y"] < bar["y"]


def test_a_small_phone_shows_the_check_above_the_button(phone_page: Page, house: House) -> None:
    """Also while the rest of the strip's pieces, or that it waits, is told."""
    phone_page.set_viewport_size({"width": 390, "height": 664})
    open_table(phone_page, house)
    for cloth in ("river teal", "brick"):
        phone_page.locator(".group", has_text=cloth).locator("a[href*='strip=']").last.tap()
        expect(phone_page.locator("article.strip h2")).to_contain_text(cloth.capitalize())
        if cloth == "river teal":
            told = phone_page.locator("article.strip .wait >> visible=true")
            expect(told).to_have_text("Not yet: it is for the borders, and cut when the top lies there.")
        bar, check = (phone_page.locator(each).first.bounding_box() for each in (".bar", ".strip .check"))
        assert bar is not None
        assert check is not None
        assert check["y"] + check["height"] <= bar["y"] + 1, cloth


def test_on_paper_every_strip_is_drawn_and_nothing_is_a_button(tablet_page: Page, house: House) -> None:
    quilt = Quilt(Visitor(room_of(house.store)), begin(house.store, DEMO))
    tablet_page.emulate_media(media="print", color_scheme="dark")
    tablet_page.goto(f"{house.address}{quilt.at}/cutting")
    kinds = {strip.kind for strip in quilt.compiled.whole.strips.values()}
    expect(tablet_page.locator(".strip-drawings svg:visible")).to_have_count(len(kinds))
    expect(tablet_page.locator("button:visible")).to_have_count(0)
    expect(tablet_page.locator("article.strip")).to_be_hidden()
    tablet_page.goto(f"{house.address}{quilt.at}/shopping")
    expect(tablet_page.locator("h1")).to_have_text(re.compile("Shopping: Kingfisher lap quilt"))
    whole = quilt.compiled.whole
    assert whole.setting is not None
    to_buy = len(whole.cloths) + (whole.setting.batting is not None)
    expect(tablet_page.locator(".box:visible")).to_have_count(to_buy)
    pdf = tablet_page.pdf(format="A4")
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1
    # A pass of several steps is folded on the screen; paper cannot be unfolded.
    tablet_page.goto(f"{house.address}{quilt.at}/steps")
    folded = tablet_page.locator(".its-steps li")
    expect(tablet_page.locator(".its-steps li:visible")).to_have_count(folded.count())
    assert folded.count()
    assert folded.first.evaluate("step => step.checkVisibility() && step.offsetHeight > 0")


def test_a_finished_cutting_leads_nowhere_but_says_so(phone_page: Page, house: House) -> None:
    """Everything was cut at its steps: no strip is asked for again."""
    quilt = house.quilt()
    for number, step in enumerate(quilt.compiled.checklist.steps):
        if isinstance(step.action, Cut):
            quilt.stored.append({"id": f"cut-{number}", "do": "done", "step": step.id, "times": step.count})
    phone_page.goto(f"{house.address}{quilt.at}/cutting")
    expect(phone_page.locator(".finished")).to_have_text("✓ All 2 strips are cut.")
    expect(phone_page.locator("#one:visible, #take-back:visible")).to_have_count(0)
    go(phone_page, house, "Mark pale sand")
    expect(phone_page.locator("#ready")).to_have_text("2")
