"""A printed list typed on a phone, row by row, and what it is told."""

from __future__ import annotations

from pathlib import Path

from house import House
from playwright.sync_api import Page, ViewportSize, expect
from visitors import add_quilt

KNOWN = Path(__file__).parents[1] / "tracker/plan/known"


def fill(page: Page, row: int, cloth: str, count: str, width: str, part: str = "") -> None:
    """Fill in a row by touch, as a square."""
    place = page.locator(f"#row-{row}")
    for name, value in (("count", count), ("width", width)):
        field = place.locator(f"[name={name}]")
        field.tap()
        field.fill(value)
    place.locator("[name=cloth]").select_option(cloth)
    place.locator("[name=width_part]").select_option(part)


def test_a_list_is_typed_into_the_table_and_compared_on_a_phone(phone_page: Page, house: House) -> None:
    page = phone_page
    page.goto(f"{house.address}{house.quilt().at}")
    page.tap("text=Compare a printed list")
    for name in ("count", "width", "height"):
        assert page.locator(f"#row-1 [name={name}]").get_attribute("inputmode") == "numeric"
    fill(page, 1, "S", "1", "3")
    fill(page, 2, "R", "2", "3")
    fill(page, 3, "R", "4", "2")
    fill(page, 4, "S", "2", "9", "7/8")
    page.tap("#more-rows")
    expect(page.locator("#row-5 legend")).to_have_text("Row 5")
    expect(page.locator("#row-5 [name=count]")).to_be_focused()
    expect(page.locator("#row-5 [name=cloth]")).to_have_value("S")
    assert page.locator("#row-5 [name=width_part]").input_value() == ""
    page.tap("button.big >> nth=1")
    expect(page.locator("#result h2")).to_have_text("3 differences, 2 to put right.")
    told = page.locator(".difference").all_inner_texts()
    assert "Row 3, lamp red" in told[0]
    assert "That is the finished size: the seam allowance is missing." in told[0]
    assert "Row 1, pale sand" in told[1]
    assert "That is half of what is needed." in told[1]
    assert "Row 4, pale sand" in told[2]
    box = page.locator("#result h2").bounding_box()
    assert box is not None
    assert box["y"] + box["height"] < 844
    # All that was typed stands there still; two rows are put right, one is emptied.
    expect(page.locator("#row-4 [name=width_part]")).to_have_value("7/8")
    fill(page, 1, "S", "2", "3")
    fill(page, 3, "R", "4", "2", "1/2")
    fill(page, 4, "S", "", "", "")
    page.tap("button.big >> nth=0")
    expect(page.locator("#result h2")).to_have_text("✓ The list agrees with the plan.")


def test_what_is_touched_in_the_table_is_large_and_on_the_screen(phone_page: Page, house: House) -> None:
    phone_page.goto(f"{house.address}{house.quilt().at}/compare")
    boxes = phone_page.locator("#row-1 input, #row-1 select, .list-form .plain, .list-form .big").all()
    assert len(boxes) == 9
    for box in (each.bounding_box() for each in boxes):
        assert box is not None
        assert min(box["width"], box["height"]) >= 48
        assert box["x"] + box["width"] <= 390
    sides = [phone_page.locator(f"#row-1 [name={name}]").bounding_box() for name in ("width", "height_part")]
    assert sides[0] is not None
    assert sides[1] is not None
    assert sides[0]["y"] == sides[1]["y"], "both sides stand in one line"


def test_enter_compares_and_a_doubtful_line_is_settled_by_a_touch(phone_page: Page, house: House) -> None:
    page = phone_page
    page.goto(f"{house.address}{house.quilt().at}/compare")
    page.fill("#list", "S 2 3\nR 2 of 3\nR 4 of 2½")
    page.locator("#row-1 [name=count]").press("Enter")
    page.tap("label:has-text('S: 2 of 3 x 3')")
    page.tap("button:has-text('Compare again')")
    expect(page.locator("#result h2")).to_have_text("✓ The list agrees with the plan.")
    expect(page.locator("#list")).to_have_value("S: 2 of 3 x 3\nR 2 of 3\nR 4 of 2½")


def test_diamonds_are_filled_in_row_by_row_on_a_small_phone(phone_page: Page, house: House) -> None:
    """Of a star's plan a row says diamonds; of a plan without them no row asks."""
    page = phone_page
    page.set_viewport_size(ViewportSize(width=390, height=664))
    page.goto(f"{house.address}{house.quilt().at}/compare")
    assert not page.locator("#row-1 [name=shape]").count()
    star = add_quilt(house.store, (KNOWN / "lemoyne-star.toml").read_text("utf-8"))
    page.goto(f"{house.address}/quilts/{star.id}/compare")
    page.fill("#list", "L 16 squares 4 1/4\nL 4 squares 6 1/2")
    for row, (cloth, count, width) in enumerate((("M", "16", "3"), ("D", "16", "2")), 1):
        fill(page, row, cloth, count, width)
        page.locator(f"#row-{row} [name=shape]").select_option("diamond")
    box = page.locator("#row-1 [name=shape]").bounding_box()
    assert box is not None
    assert box["height"] >= 48
    assert box["x"] + box["width"] <= 390
    page.locator("#row-2 [name=height]").fill("9")
    page.tap("button.big >> nth=0")
    expect(page.locator("#row-2 .row-fault")).to_have_text(
        "Diamonds are listed by one side: how wide the strip is that they are cut from."
    )
    expect(page.locator("#row-1 [name=shape]")).to_have_value("diamond")
    page.locator("#row-2 [name=height]").fill("")
    page.tap("button.big >> nth=0")
    difference = page.locator(".difference")
    expect(difference).to_have_count(1)
    expect(difference).to_contain_text("Row 2, dark")
    expect(difference).to_contain_text("has 16 diamonds 2 in wide; the plan needs 16 diamonds about 3 in wide.")
    fill(page, 2, "D", "16", "3")
    page.tap("button.big >> nth=0")
    expect(page.locator("#result h2")).to_have_text("✓ The list agrees with the plan.")
