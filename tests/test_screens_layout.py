"""The layout map in a real browser: a block is found, tapped and laid; news of other devices leaves it where it is."""

from __future__ import annotations

import re

import pytest
from house import AT_ONCE, House
from playwright.sync_api import Page, expect
from test_web_layout import NINE
from visitors import Quilt, Visitor, add_quilt, room_of

from tracker.progress.laid_blocks import alike
from tracker.work.steps import Step
from tracker.work.whole_blocks import SetBlock

WIDE = NINE.replace("across = 3", "across = 14")
ON_POINT = NINE.replace("half_turns = false", 'setting = "on point"\nsetting_fabric = "S"')
TARGET = 48


def all_finished(house: House, plan: str) -> Quilt:
    """A quilt whose blocks are finished and lie nowhere yet."""
    for stored in house.store.quilts():
        house.store.delete(stored.id)
    quilt = Quilt(Visitor(room_of(house.store)), add_quilt(house.store, plan))
    numbers = list(range(1, 1 + sum(map(len, quilt.compiled.plan.quilt.places))))
    for number, step in enumerate(quilt.compiled.checklist.steps):
        if isinstance(step.action, SetBlock) or ":quilt:" in step.gives[0].pile:
            continue
        what = {"times": step.count} if step.per == "quilt" else {"blocks": list(step.blocks or numbers)}
        quilt.stored.append({"id": f"made-{number:04}", "do": "done", "step": step.id} | what)
    return quilt


@pytest.mark.parametrize(("plan", "blocks"), [(NINE, 6), (ON_POINT, 8)])
def test_a_block_is_tapped_laid_and_taken_up(plan: str, blocks: int, phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    quilt = all_finished(house, plan)
    phone_page.goto(f"{house.address}{quilt.at}/layout")
    expect(phone_page.locator(".standing")).to_contain_text(f"0 of {blocks}")
    phone_page.locator("#place-2").tap()
    expect(phone_page.locator(".counter")).to_contain_text("Block 2")
    expect(phone_page.locator("#one")).to_be_in_viewport()
    assert phone_page.evaluate("document.scrollingElement.scrollWidth <= innerWidth")
    phone_page.tap("#one")
    expect(phone_page.locator(".standing")).to_contain_text(f"1 of {blocks}")
    expect(phone_page.locator("#place-2")).to_have_attribute("aria-label", re.compile(r"^Block 2, .*: in its place$"))
    phone_page.tap("#take-up")
    expect(phone_page.locator(".standing")).to_contain_text(f"0 of {blocks}")
    phone_page.get_by_role("link", name="Change places with another").tap()
    expect(phone_page.locator(".how")).to_contain_text("Tap the block that block 2 changes places with")
    other = alike(quilt.compiled.checklist, 2)[0]
    phone_page.locator(f"#place-{other}").tap()
    phone_page.get_by_role("button", name="Let them change places").tap()
    expect(phone_page.locator(".layout-bar")).to_contain_text(f"✓ Blocks 2 and {other} have changed places.")
    assert not [
        tap for tap in house.quilt().progress().counts.done.items() if tap[0] == (setting(quilt, 2).id, 2) and tap[1]
    ]


def setting(quilt: Quilt, block: int) -> Step:
    """The step that lays a block."""
    steps = (step for step in quilt.compiled.checklist.steps if isinstance(step.action, SetBlock))
    return next(step for step in steps if block in (step.blocks or ()))


def test_every_block_can_be_hit_by_a_finger(phone_page: Page, house: House) -> None:
    for plan in (WIDE, ON_POINT):
        quilt = all_finished(house, plan)
        phone_page.goto(f"{house.address}{quilt.at}/layout")
        sides = phone_page.evaluate(
            "[...document.querySelectorAll('a.place')].map(e => e.getBoundingClientRect())"
            ".map(box => Math.min(box.width, box.height))"
        )
        assert min(sides) >= (TARGET if plan is WIDE else TARGET * 1.4)


def test_the_map_stays_where_it_was_pushed_to(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    quilt = all_finished(house, WIDE)
    phone_page.goto(f"{house.address}{quilt.at}/layout?block=10")
    expect(phone_page.locator("#one")).to_be_visible()
    phone_page.evaluate("document.getElementById('map').scrollLeft = 300")
    phone_page.tap("#one")
    expect(phone_page.locator(".standing")).to_contain_text("1 of 28")
    # Another device lays one too.
    quilt.stored.append({"id": "elsewhere", "do": "done", "step": setting(quilt, 3).id, "blocks": [3]})
    expect(phone_page.locator(".standing")).to_contain_text("2 of 28")
    assert phone_page.evaluate("document.getElementById('map').scrollLeft") == 300
    expect(phone_page.locator(".layout-map .numbers text")).to_have_count(28)


def test_a_complete_row_leads_to_its_joining(tablet_page: Page, house: House) -> None:
    quilt = all_finished(house, NINE)
    for block in (1, 2, 3):
        tap = {"id": f"laid-{block:04}", "do": "done", "step": setting(quilt, block).id, "blocks": [block]}
        quilt.stored.append(tap)
    tablet_page.goto(f"{house.address}{quilt.at}/layout")
    tablet_page.get_by_text("Row 1 is complete: join it next").tap()
    expect(tablet_page.locator("h1")).to_have_text("Join row 1 of the quilt")
