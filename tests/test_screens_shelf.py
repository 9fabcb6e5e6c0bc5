"""The shelf in a real browser: photos made small before they are sent, the label on paper."""

from __future__ import annotations

import io
from pathlib import Path
from urllib.parse import urlencode

import pytest
from house import House
from PIL import Image
from playwright.sync_api import Page, Route, expect
from sent_photos import SECRET, of_12_megabytes

from tracker.pattern.label_sheet import LABELS

OUT_OF_LABEL = """() => { const fold = document.querySelector(".to-fold").getBBox();
    return [...document.querySelectorAll(".back-label text")].map(each => [each.textContent, each.getBBox()])
        .filter(([, box]) => box.x < fold.x || box.x + box.width > fold.x + fold.width || box.y < fold.y
            || box.y + box.height > fold.y + fold.height).map(([words]) => words); }"""


def test_a_photo_of_12_megabytes_is_made_small_on_the_phone_and_put_on_the_shelf(
    phone_page: Page, house: House, tmp_path: Path
) -> None:
    sent: list[int] = []

    def weigh(route: Route) -> None:
        sent.append(len(route.request.post_data_buffer or b""))
        route.continue_()

    (tmp_path / "quilt.jpg").write_bytes(of_12_megabytes())
    phone_page.route("**/shelf/photos", weigh)
    phone_page.goto(f"{house.address}{house.quilt().at}/shelf")
    phone_page.set_input_files("#photo-of-it", tmp_path / "quilt.jpg")
    phone_page.get_by_role("button", name="Keep these photos with it").click()
    expect(phone_page.locator("figure img")).to_have_js_property("complete", True)
    assert 10_000 < sent[0] < 700_000
    (photo,) = (house.folder / "photos").iterdir()
    assert Image.open(io.BytesIO(photo.read_bytes())).size == (1200, 1600)
    assert SECRET not in photo.read_bytes()
    phone_page.get_by_role("button", name="Put it on the shelf").click()
    expect(phone_page.locator(".standing")).to_contain_text("On the shelf")
    phone_page.get_by_text("Words, take away").click()
    phone_page.get_by_role("button", name="Take away").click()
    expect(phone_page.locator("figure img")).to_have_count(0)
    phone_page.get_by_text("Photos taken away: 1").click()
    phone_page.get_by_role("button", name="Take back").click()
    expect(phone_page.locator("figure img")).to_have_count(1)


@pytest.mark.parametrize("size", LABELS)
def test_every_line_of_a_label_lies_within_its_seam_on_one_sheet(size: str, phone_page: Page, house: House) -> None:
    quilt = house.quilt()
    typed = {"for": "Merle, WILHELMINA and all who sleep under it", "by": "Wim-Mattis Wammerow", "washing": "cool"}
    typed |= {"begun": "2026-03-01", "finished": "2026-11-09", "cloths": "pale sand and MANY MORE", "batting": "wool"}
    house.ask("POST", f"{quilt.at}/shelf", urlencode(typed))
    phone_page.goto(f"{house.address}{quilt.at}/shelf/label?size={size}")
    assert phone_page.evaluate(OUT_OF_LABEL) == []
    for paper in ("A4", "Letter"):
        assert phone_page.pdf(format=paper).count(b"/Type /Page\n") == 1
