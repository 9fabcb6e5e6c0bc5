"""A photo chosen on a page: its corners dragged and moved by keys, what is said of it, what it becomes; bad input."""

from __future__ import annotations

import json
import re
import struct
from pathlib import Path

import numpy as np
import pytest
from house import House
from made_photos import FIRST, WHOLE, Limits, even, photo, sampled
from photo_lots import cells_of
from PIL import Image
from playwright.sync_api import Page, Route, expect
from visitors import Quilt, Visitor, add_quilt

from tracker.looks.preview import read_whole
from tracker.route.compiler import compile_plan
from tracker.seeing.laid_pieces import laid_pieces
from tracker.seeing.laid_quilt import laid_blocks_of
from tracker.seeing.layout_check import LaidPiece
from tracker.seeing.samples import turned
from tracker.store.quilts import Store
from tracker.work.steps import LayOut, Step

COLOURS = [(226, 214, 190), (40, 120, 130), (180, 80, 60), (40, 45, 70), (150, 190, 110), (90, 60, 120)]


def laid(quilt: Quilt) -> tuple[Step, tuple[LaidPiece, ...]]:
    """The step that lays out the first block, and its pieces."""
    checklist = quilt.compiled.checklist
    step = next(step for step in checklist.steps if isinstance(step.action, LayOut) and step.per != "quilt")
    return step, laid_pieces(quilt.compiled.plan, checklist, step)


def turnable(pieces: tuple[LaidPiece, ...]) -> int:
    """The number of a square piece that looks otherwise when it is turned."""
    return next(
        at
        for at, each in enumerate(pieces)
        if len(each.shown) == len(each.shown[0]) and turned(each.shown) != each.shown
    )


def made(quilt: Quilt, folder: Path, limits: Limits = FIRST) -> tuple[Path, np.ndarray, int, int]:
    """A photo of the first block with one piece turned: its file, its corners, how many cells a side, and the piece."""
    _, pieces = laid(quilt)
    number = turnable(pieces)
    shown = [turned(each.shown) if at == number else each.shown for at, each in enumerate(pieces)]
    cells = cells_of(pieces, shown)
    cloths = dict(zip(sorted({key for row in cells for each in row for key in each}), COLOURS, strict=False))
    units = [(each.row, each.column, len(each.shown), len(each.shown[0])) for each in pieces]
    seen, corners = photo(cells, units, cloths, 5, limits)
    file = folder / "layout.png"
    Image.fromarray(seen.astype("uint8")).save(file)
    return file, corners, len(cells), number


def drag(page: Page, corners: np.ndarray) -> None:
    """Each ring to its corner, in pixels of a photo of 640."""
    for number, (x, y) in enumerate(corners):
        ring, box = (
            page.locator(f"[data-corner='{number}']").bounding_box(),
            page.locator("#photo-canvas").bounding_box(),
        )
        assert ring is not None
        assert box is not None
        page.mouse.move(ring["x"] + 28, ring["y"] + 28)
        page.mouse.down()
        page.mouse.move(box["x"] + x * box["width"] / 640, box["y"] + y * box["height"] / 640, steps=3)
        expect(page.locator("#photo-near")).to_be_visible()
        page.mouse.up()


def test_a_turned_unit_is_named_and_ringed(phone_page: Page, house: House, tmp_path: Path) -> None:
    page, quilt = phone_page, house.quilt()
    step, _ = laid(quilt)
    file, corners, _, _ = made(quilt, tmp_path)
    before = quilt.stored.version
    page.goto(f"{house.address}{quilt.at}/steps/{quilt.compiled.short[step.id]}")
    page.get_by_role("link", name="Check with a photo").click()
    page.set_input_files("#photo-file", file)
    expect(page.locator("#photo-work")).to_be_visible()
    drag(page, corners)
    page.click("#photo-look")
    expect(page.locator(".photo-says li")).to_have_count(1)
    expect(page.locator(".photo-says")).to_contain_text("lies a quarter turn too far to the right")
    expect(page.locator("#photo-lines .ring")).to_have_count(1)
    expect(page.locator(".photo-seen svg")).to_contain_text("1 of its pieces ringed")
    assert quilt.stored.version == before, "a photo counts nothing"
    # The page samples as the made photos are sampled where nothing else is tested.
    side = [each / 10000 for each in json.loads(page.get_attribute("#photo", "data-lines") or "")[0]]
    script = """([corners, columns, rows, grid]) => {
      const canvas = document.querySelector("#photo-canvas"), { straighten } = window.sewingRoom;
      const seen = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
      return straighten.samples(straighten.straightened(seen, corners, grid), columns, rows);
    }"""
    with Image.open(file) as seen:
        pixels = np.asarray(seen.convert("RGB"), float)
    for grid in (WHOLE, ((0.4, -0.1), (1.1, 0.5), (0.6, 1.1), (-0.1, 0.5))):
        told = page.evaluate(script, [corners.tolist(), side, side, grid])
        mine = sampled(pixels, corners, side, side, grid)
        assert max(abs(a - b) for a, b in zip(told, mine, strict=True)) <= 2
    # Crossed corners are told at once, by keys too; and what was said of the others is gone.
    ring = page.locator("[data-corner='0']")
    ring.focus()
    for _ in range(80):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#photo-doubt")).to_contain_text("The corners are crossed")
    expect(page.locator("#photo-lines .ring")).to_have_count(0)
    page.click("#photo-look")
    expect(page.locator("#photo-doubt")).to_be_visible()


def test_a_drawing_is_read_into_squared_paper(phone_page: Page, house: House, tmp_path: Path) -> None:
    page = phone_page
    file, corners, side, _ = made(house.quilt(), tmp_path)
    page.goto(f"{house.address}/draw/photo")
    page.set_input_files("#photo-file", file)
    expect(page.locator("#photo-work")).to_be_visible()
    drag(page, corners)
    page.fill("[name=columns]", str(side))
    page.fill("[name=rows]", str(side))
    page.click("#photo-look")
    expect(page.locator("#board")).to_be_visible()
    expect(page.locator("#board [role=gridcell]")).to_have_count(side * side)
    expect(page.locator("#look-state, #figures").first).to_be_attached()


def broken(folder: Path) -> dict[str, tuple[bytes, str]]:
    """Files that are no photo, by name: what is in them, and what is said."""
    whole = folder / "whole.jpg"
    Image.new("RGB", (40, 40), (200, 20, 20)).save(whole)
    jpeg = whole.read_bytes()
    huge = b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sII", 13, b"IHDR", 10_000, 5_000) + bytes(20)
    return {
        "empty.jpg": (b"", "This file is no photo"),
        "words.jpg": (b"pale sand 12 of 2 1/2", "This file is no photo"),
        "torn.jpg": (jpeg[:300], "This photo is broken"),
        "huge.png": (huge, "This photo has 50 megapixels"),
    }


def test_what_is_no_photo_is_said_to_be_none(phone_page: Page, house: House, tmp_path: Path) -> None:
    page = phone_page
    page.goto(f"{house.address}/draw/photo")
    for name, (body, words) in broken(tmp_path).items():
        file = tmp_path / name
        file.write_bytes(body)
        page.set_input_files("#photo-file", file)
        expect(page.locator("#photo-doubt")).to_contain_text(words)
    # And then a photo of nothing: corners are offered all the same.
    plain = tmp_path / "plain.png"
    Image.new("RGB", (300, 200), (90, 90, 90)).save(plain)
    page.set_input_files("#photo-file", plain)
    expect(page.locator("#photo-work")).to_be_visible()
    expect(page.locator("#photo-doubt")).to_be_hidden()


def test_a_photo_that_was_chosen_before_its_script_was_there_is_taken(
    phone_page: Page, house: House, tmp_path: Path
) -> None:
    """On a slow network the script comes last; and browsers keep a chosen file when they come back to a page."""
    file, held = tmp_path / "plain.png", list[Route]()
    Image.new("RGB", (300, 200), (90, 90, 90)).save(file)
    phone_page.route("**/photo.js*", lambda route: held.append(route))
    with phone_page.expect_request("**/photo.js*"):
        phone_page.goto(f"{house.address}/draw/photo", wait_until="commit")
    phone_page.set_input_files("#photo-file", file)
    expect(phone_page.locator("#photo-work")).to_be_hidden()
    held[0].continue_()
    expect(phone_page.locator("#photo-work")).to_be_visible()
    expect(phone_page.locator("[data-corner]:visible")).to_have_count(4)


@pytest.mark.parametrize(
    ("path", "form", "status", "words"),
    [
        ("/draw/photo", {}, 422, "came damaged"),
        ("/draw/photo", {"rows": "1", "columns": "1", "samples": "[1]"}, 422, "came damaged"),
        ("/draw/photo", {"rows": "99", "columns": "1", "samples": json.dumps([0] * 12 * 99)}, 422, "came damaged"),
        ("/draw/photo", {"rows": "²", "columns": "1", "samples": "[]"}, 422, "came damaged"),
        ("/draw/photo", {"rows": "1", "columns": "1", "samples": json.dumps([120] * 12)}, 200, "data-sheet"),
        ("/draw/photo/cells", {"across": "x", "down": "[1]"}, 200, "[1,1]"),
        ("/draw/photo/cells", {"across": json.dumps([True] * 100), "down": "[1]"}, 200, "[1,1]"),
        ("{quilt}/layout/photo", {"samples": "[]"}, 422, "came damaged"),
        ("{quilt}/layout/photo?first=0&last=x", {"samples": "[]"}, 422, "came damaged"),
        ("{step}/photo", {"samples": "[[" * 3000}, 422, "came damaged"),
        ("{quilt}/steps/nothing/photo", {"samples": "[]"}, 404, "no such step"),
        ("{cut}/photo", {"samples": "[]"}, 404, "this step lays out none"),
    ],
)
def test_bad_input_is_one_sentence(
    phone: Visitor, sewing: Quilt, path: str, form: dict[str, str], status: int, words: str
) -> None:
    step, _ = laid(sewing)
    at = {
        "quilt": sewing.at,
        "step": f"{sewing.at}/steps/{sewing.compiled.short[step.id]}",
        "cut": sewing.step_path("Cut"),
    }
    answer = phone.post(path.format(**at), form)
    assert answer.status_code == status
    assert words in re.sub(r"\s", "" if "[" in words else " ", answer.data.decode())


@pytest.mark.parametrize(("asked", "before", "number"), [("", 0, 1), ("?bare=yes", 0, 8), ("?first=2&last=3", 3, 6)])
def test_a_turned_block_on_point_is_named_by_its_number(
    phone: Visitor, store: Store, asked: str, before: int, number: int
) -> None:
    """Three blocks, two, three; whichever rows a photo shows, a block keeps its number."""
    text = (Path(__file__).parent / "plans/valid/whirl_on_point.toml").read_text("utf-8")
    other = add_quilt(store, text)
    page = phone.get(f"/quilts/{other.id}/layout/photo{asked}").data.decode()
    assert "until the slanting lines lie along" in page
    columns, rows = (len(side) - 1 for side in json.loads(re.findall(r'data-lines="([^"]*)"', page)[0]))
    outlines = json.loads(re.findall(r'data-outlines="([^"]*)"', page)[0])
    plan = read_whole(text, "whirl")
    places = [[(place.block, place.turn) for place in row] for row in compile_plan(plan).pressing.places]
    pieces, _ = laid_blocks_of(plan, places, False, *((2, 3) if before else ()))
    floor = [[(90, 90, 90)] * 4 for _ in range(rows * columns)]
    for at, piece in enumerate(pieces, before + 1):
        for r, line in enumerate(turned(piece.shown) if at == number else piece.shown):
            for c, quarters in enumerate(line):
                lie = [COLOURS["ABC".index(key)] for key in quarters]
                floor[(piece.row + r) * columns + piece.column + c] = lie
    samples = json.dumps([part for cell in floor for colour in cell for part in colour])
    told = json.loads(phone.post(f"/quilts/{other.id}/layout/photo{asked}", {"samples": samples}).data)
    assert (
        f"<li>Block {number} lies a quarter turn too far to the right: turn it back to the left.</li>" in told["html"]
    )
    assert told["rings"] == [outlines[number - 1 - before]]


def test_the_whole_layout_is_held_against_a_photo(phone: Visitor, sewing: Quilt) -> None:
    page = phone.get(f"{sewing.at}/layout/photo").data.decode()
    across, down = json.loads(re.findall(r'data-lines="([^"]*)"', page)[0])
    assert across[0] == down[0] == 0
    assert across[-1] == down[-1] == 10_000
    cells = (len(across) - 1) * (len(down) - 1)
    answer = phone.post(f"{sewing.at}/layout/photo", {"samples": json.dumps([100, 150, 200] * 4 * cells)})
    assert answer.status_code == 200
    assert "photo-says" in json.loads(answer.data)["html"]
    assert even(2) == [0, 0.5, 1]
