"""What somebody sees who has the screens before her for the first time: what is meant is the first and the largest."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from house import House, go
from playwright.sync_api import Page
from visitors import RED


def box_of(page: Page, selector: str) -> Mapping[str, float]:
    box = page.locator(f"{selector} >> visible=true").first.bounding_box()
    assert box is not None, selector
    return box


@pytest.mark.parametrize(("width", "height"), [(1180, 820), (1280, 800), (820, 1180)])
def test_the_button_that_is_meant_is_the_broadest_of_its_line(
    width: int, height: int, tablet_page: Page, house: House
) -> None:
    tablet_page.set_viewport_size({"width": width, "height": height})
    go(tablet_page, house, RED)
    meant = box_of(tablet_page, "#all")
    assert meant["width"] > box_of(tablet_page, ".chain")["width"] > box_of(tablet_page, "#one")["width"]
    assert meant["height"] < 80  # its words stand on one line
