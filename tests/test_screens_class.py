"""A class in browsers: a pupil's phone and the teacher's tablet, from the code to the quilt taken home."""

from __future__ import annotations

from random import SystemRandom

from axe_playwright_python.base import AXE_SCRIPT
from browser import HOST
from effort import THOROUGH
from house import AT_ONCE, House, saved
from measuring import FERRY_PLAN, measured_steps
from playwright.sync_api import Page, expect
from test_screens_eyes import in_every_look
from visitors import Quilt, Visitor, add_quilt


def test_a_class_from_its_code_to_the_quilt_taken_home(phone_page: Page, tablet_page: Page, house: House) -> None:
    found: dict[tuple[str, str], list[str]] = {}

    def tried(page: Page, name: str) -> None:
        page.evaluate(AXE_SCRIPT)
        looks = ("light", "dark")
        found.update(in_every_look(page, name, looks if THOROUGH else (SystemRandom().choice(looks),)))

    tablet_page.goto(f"{house.address}/classes?quilt={house.quilt().stored.id}")
    tried(tablet_page, "classes")
    tablet_page.fill("[name=title]", "Saturday beginners")
    tablet_page.tap("text=Begin the class")
    code = tablet_page.inner_text(".pairing b").replace(" ", "")
    phone_page.context.clear_cookies()
    phone_page.add_init_script(AT_ONCE)
    phone_page.set_viewport_size({"width": 390, "height": 664})
    phone_page.goto(f"{house.address}/join/{code}")
    expect(phone_page.locator("#name")).to_be_visible()
    tried(phone_page, "join")
    phone_page.fill("#name", "Ilse")
    phone_page.tap("text=Come in")
    expect(phone_page.locator(".hand-up")).to_be_visible()
    tried(phone_page, "mine")
    phone_page.tap("text=Put my hand up")
    expect(phone_page.locator(".hand-up")).to_contain_text("Hand is up")
    expect(tablet_page.locator("#pupils")).to_contain_text("Ilse has her hand up")
    tried(tablet_page, "teach")
    phone_page.tap(".carry-on")
    phone_page.tap("#one")
    saved(phone_page)
    expect(tablet_page.locator("#pupils")).to_contain_text("Last tap today")
    tablet_page.tap("text=Show a step to all")
    tablet_page.tap(".show-ends button >> nth=0")
    expect(tablet_page.locator("article.step")).to_be_visible()
    tablet_page.tap(".show-ends button:has-text('Next')")
    expect(tablet_page.locator(".show-ends")).to_contain_text("Before")
    tried(tablet_page, "show")
    expect(phone_page.locator(".class-news")).to_contain_text("Your teacher shows:")
    tried(phone_page, "step with what is shown")
    phone_page.tap(".class-news a")
    expect(phone_page.locator("h1")).to_have_text(tablet_page.inner_text("article.step h1"))
    expect(phone_page.locator(".class-news")).to_have_count(0)
    phone_page.goto(f"{house.address}/mine")
    with phone_page.expect_download() as taken:
        phone_page.tap("text=Take my quilt home")
    assert taken.value.suggested_filename.startswith("my-quilt-")
    tablet_page.tap(".show-ends a")
    tablet_page.tap("#pupils a")
    tablet_page.tap("text=Show her code")
    expect(tablet_page.locator(".pairing b")).to_be_visible()
    tried(tablet_page, "pupil")
    tablet_page.set_viewport_size({"width": 390, "height": 664})
    remove = tablet_page.get_by_role("button", name="Remove device 1").bounding_box()
    assert remove is not None
    assert remove["x"] + remove["width"] <= 390 - 14, "within the page, as all else"
    assert {screen: barriers for screen, barriers in found.items() if barriers} == {}


def test_the_drawing_of_a_step_that_is_shown_fills_the_screen_too(tablet_page: Page, house: House) -> None:
    visitor, quilt = Visitor(house.app, f"{HOST}:{house.port}"), house.quilt()
    at = visitor.post("/classes", {"title": "Saturday", "quilt": quilt.stored.id}).headers["Location"]
    visitor.post(f"{at}/show", {"step": quilt.short("Mark pale sand")})
    tablet_page.goto(f"{house.address}{at}/show")
    tablet_page.tap(".step .picture")
    box = tablet_page.locator("#enlarged").bounding_box()
    assert box is not None
    assert box["width"] == tablet_page.evaluate("innerWidth")


def test_a_top_is_measured_at_its_step_not_where_that_is_shown_to_all(tablet_page: Page, house: House) -> None:
    """A form among what all are to read was bare there, and what was sent from it ended in a script's fault."""
    visitor = Visitor(house.app, f"{HOST}:{house.port}")
    quilt = Quilt(visitor, add_quilt(house.store, FERRY_PLAN))
    at = visitor.post("/classes", {"title": "Saturday", "quilt": quilt.stored.id}).headers["Location"]
    visitor.post(f"{at}/show", {"step": measured_steps(quilt)[0]})
    tablet_page.goto(f"{house.address}{at}/show")
    expect(tablet_page.locator("main input:visible")).to_have_count(0)
    tablet_page.tap("text=Measure the top first")
    tablet_page.fill(".measuring input.length >> nth=1", "48 1/4")
    tablet_page.check("#sewn")
    tablet_page.tap("text=Work out the length")
    saved(tablet_page)
    tablet_page.goto(f"{house.address}{at}/show")
    expect(tablet_page.locator(".size")).to_contain_text("Cut both strips")
    expect(tablet_page.locator(".to-measure a")).to_have_css("background-color", "rgb(255, 210, 63)")
