"""On a phone: the top is measured with one finger, the length is seen, the strips are cut, and all is there again."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from house import House, saved, tap_all
from measuring import FERRY_PLAN, measured_steps
from playwright.sync_api import Page, expect
from test_screens_eyes import in_every_look
from visitors import add_quilt

FIELDS = ".measuring input.length"


@pytest.fixture
def ferry(tmp_path: Path) -> Iterator[House]:
    """A house with the throw in it, all of it done up to its first border but the cutting of that to length."""
    house = House(tmp_path / "data")
    quilt = add_quilt(house.store, FERRY_PLAN)
    opened = house.quilt()
    for step in opened.compiled.checklist.steps:
        if opened.compiled.short[step.id] == measured_steps(opened)[0]:
            break
        blocks = {} if step.per == "quilt" else {"blocks": opened.progress().counts.ready_blocks(step)}
        count = {"times": step.count} if step.per == "quilt" else blocks
        quilt.append({"id": f"done {step.id}", "do": "done", "step": step.id, **count})
    yield house
    house.stop()


def open_step(page: Page, house: House) -> None:
    quilt = house.quilt()
    page.goto(f"{house.address}{quilt.at}/steps/{measured_steps(quilt)[0]}")


def write(page: Page, *texts: str) -> None:
    for field, text in zip(page.locator(FIELDS).all(), texts, strict=True):
        field.fill(text)


def test_the_top_is_measured_and_the_strips_are_cut_to_it(phone_page: Page, ferry: House) -> None:
    open_step(phone_page, ferry)
    expect(phone_page.locator(".size")).to_contain_text("Planned, both strips")
    # Whole inches from the keyboard for numbers, the fraction with a touch.
    for field, whole, part in zip(phone_page.locator(FIELDS).all(), ("49", "48", "48"), ("", "½", "⅛"), strict=True):
        expect(field).to_have_attribute("inputmode", "decimal")
        field.tap()
        phone_page.keyboard.type(whole)
        if part:
            phone_page.tap(f"[data-fraction]:text-is('{part}')")
    phone_page.tap("[data-fraction]:text-is('¼')")
    assert [field.input_value() for field in phone_page.locator(FIELDS).all()] == ["49", "48½", "48¼"]
    phone_page.tap("text=Work out the length")
    expect(phone_page.locator(".size")).to_have_text(re.compile(r"Cut both strips\s+48⅝\s+inches \(planned 48½\)"))
    expect(phone_page.locator(".size")).to_be_in_viewport()
    expect(phone_page.locator("#measured")).to_contain_text("The left edge is ¾ in longer than the right")
    expect(phone_page.locator("#step-text")).to_contain_text("cut both 48⅝ in long")
    assert [field.input_value() for field in phone_page.locator(FIELDS).all()] == ["49", "48½", "48¼"]
    for size in ("[data-fraction]", ".measuring .go", FIELDS):
        for box in [each.bounding_box() for each in phone_page.locator(size).all()]:
            assert box is not None
            assert min(box["width"], box["height"]) >= 48
    tap_all(phone_page)
    saved(phone_page)
    expect(phone_page.locator("#done")).to_have_text("2")
    expect(phone_page.locator(".size")).to_contain_text("48⅝")
    ferry.restart()
    open_step(phone_page, ferry)
    expect(phone_page.locator(".size")).to_contain_text("48⅝")
    expect(phone_page.locator("#done")).to_have_text("2")
    phone_page.tap("#take-back")
    saved(phone_page)
    phone_page.tap("#take-back")
    expect(phone_page.locator(".size")).to_contain_text("Planned, both strips")
    expect(phone_page.locator("#measured")).to_have_text("")
    assert ferry.quilt().progress().counts.told.measured() == {}


def test_a_bad_figure_is_said_and_all_that_was_written_stays(phone_page: Page, ferry: House) -> None:
    open_step(phone_page, ferry)
    write(phone_page, "48 1/2", "48 3//8", "48 1/4")
    phone_page.tap("text=Work out the length")
    fault = phone_page.locator(".measuring .form-fault")
    expect(fault).to_contain_text("Read “48 3//8” as what the top measures")
    expect(fault).to_be_in_viewport()
    expect(phone_page.locator(FIELDS).nth(1)).to_be_focused()
    assert [field.input_value() for field in phone_page.locator(FIELDS).all()] == ["48 1/2", "48 3//8", "48 1/4"]
    phone_page.locator(FIELDS).nth(1).fill("48 3/8")
    phone_page.tap("text=Work out the length")
    expect(phone_page.locator(".size")).to_contain_text("Cut both strips")


def test_news_from_another_device_leaves_what_is_being_written(phone_page: Page, ferry: House) -> None:
    open_step(phone_page, ferry)
    write(phone_page, "48 1/2", "48", "")
    quilt = ferry.quilt()
    short = measured_steps(quilt)[0]
    ferry.ask("POST", f"{quilt.at}/taps", f"tap=from-tablet&do=measured&step={short}&length=48+3%2F4")
    expect(phone_page.locator(".size")).to_contain_text("48¾")
    assert [field.input_value() for field in phone_page.locator(FIELDS).all()] == ["48 1/2", "48", ""]


def test_while_the_computer_is_away_figures_are_kept_and_it_is_said_what_needs_it(
    phone_page: Page, ferry: House
) -> None:
    open_step(phone_page, ferry)
    expect(phone_page.locator("html[data-ahead]")).to_have_count(1)
    needs = phone_page.locator(".needs-computer")
    expect(needs).to_be_hidden()
    ferry.stop()
    write(phone_page, "48 1/4", "48 3/8", "48 1/2")
    phone_page.tap("text=Work out the length")
    expect(needs).to_be_visible()
    expect(phone_page.locator("#saving")).to_contain_text("1 tap not saved yet")
    expect(phone_page.locator(".size")).to_contain_text("Planned, both strips")
    assert [field.input_value() for field in phone_page.locator(FIELDS).all()] == ["48 1/4", "48 3/8", "48 1/2"]
    tap_all(phone_page)  # the strips can be cut meanwhile
    expect(phone_page.locator("#done")).to_have_text("2")
    ferry.start()
    saved(phone_page)
    expect(phone_page.locator(".size")).to_contain_text("Cut both strips")
    expect(phone_page.locator(".size")).to_contain_text("48⅜")
    expect(needs).to_be_hidden()
    assert list(ferry.quilt().progress().counts.told.measured().values()) == [("48 1/4", "48 3/8", "48 1/2")]


def test_the_length_is_there_on_a_step_that_is_opened_from_memory(phone_page: Page, ferry: House) -> None:
    open_step(phone_page, ferry)
    write(phone_page, "48 1/4", "48 3/8", "48 1/2")
    phone_page.tap("text=Work out the length")
    saved(phone_page)
    phone_page.reload()
    expect(phone_page.locator("html[data-ahead]")).to_have_count(1)
    ferry.stop()
    phone_page.tap("[aria-label^='Next pass']")
    expect(phone_page.locator("#live[data-memory]")).to_have_count(1)
    expect(phone_page.locator("h1")).to_have_text("Sew border 1 to the sides")
    expect(phone_page.locator(".size")).to_have_count(0)
    phone_page.tap("[aria-label^='Pass before']")
    expect(phone_page.locator(".size")).to_contain_text("48⅜")
    expect(phone_page.locator(".needs-computer")).to_be_visible()


def test_the_measured_step_has_no_barrier_that_axe_knows(phone_page: Page, ferry: House) -> None:
    quilt = ferry.quilt()
    short = measured_steps(quilt)[0]
    ferry.ask("POST", f"{quilt.at}/taps", f"tap=from-tablet&do=measured&step={short}&length=50&length=48&length=48")
    open_step(phone_page, ferry)
    expect(phone_page.locator(".finding.mind")).to_have_count(3)
    phone_page.evaluate(AXE_SCRIPT)
    found = in_every_look(phone_page, "measured")
    assert {screen: barriers for screen, barriers in found.items() if barriers} == {}
