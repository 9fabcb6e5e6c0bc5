"""A finger on the page that quilts are drawn on, its taps counted; run by hand, it draws blocks and says how many.

python tests/touching.py
"""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import Any

from browser import PHONE, device, launch
from playwright.sync_api import Page, expect, sync_playwright
from visitors import open_room

from tracker import assets
from tracker.plan.model import Plan
from tracker.plan.picture import picture_rows
from tracker.plan.plan_reader import read_plan
from tracker.store.quilts import Store


class Drawing:
    """The page that is drawn on, touched as a person does; `taps` counts them."""

    def __init__(self, page: Page, address: str, path: str = "/draw") -> None:
        self.page, self.taps = page, 0
        page.goto(address + path)
        expect(page.locator("#drawing")).to_be_visible()

    def tap(self, selector: str) -> None:
        self.taps += 1
        self.page.tap(selector)

    def cell(self, row: int, column: int) -> None:
        self.tap(f"#board [data-row='{row}'][data-column='{column}']")

    def made(self, store: Store) -> dict[str, Any]:
        """What was saved."""
        self.tap("[data-go=make]")
        self.tap("#make")
        self.page.wait_for_url(re.compile(r"/quilts/\w+$"))
        stored = next(each for each in store.quilts() if self.page.url.endswith(each.id))
        plan = read_plan(stored.about["plan"]).plan
        assert plan is not None
        return dict(stored.about)


def picture_of(page: Page) -> list[list[str]]:
    """The first block as it is kept on the device."""
    script = (
        """async () => (await sewingRoom.drafts.draft(location.hash.slice(1)).load()).history.now.blocks[0].picture"""
    )
    expect(page.locator("#kept")).to_contain_text("Kept on this device")
    picture: list[list[str]] = page.evaluate(script)
    return picture


def star(drawing: Drawing) -> None:
    """The star of nine cells, from squared paper."""
    drawing.cell(1, 1)
    drawing.tap("[data-same=turned]")
    drawing.tap("[data-tool=half]")
    drawing.tap("[data-tool=half]")
    drawing.tap("[data-tool=half]")
    drawing.cell(0, 1)


def drag(page: Page, cells: list[tuple[int, int]]) -> None:
    """A finger laid on a cell and drawn over others."""
    session = page.context.new_cdp_session(page)
    for number, (row, column) in enumerate(cells):
        box = page.locator(f"#board [data-row='{row}'][data-column='{column}']").bounding_box()
        assert box is not None
        point = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
        session.send(
            "Input.dispatchTouchEvent", {"type": "touchMove" if number else "touchStart", "touchPoints": [point]}
        )
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    session.detach()


# Blocks drawn by touch only


def finger(drawing: Drawing, *cells: tuple[int, int]) -> None:
    """A stroke, which counts as a tap."""
    drawing.taps += 1
    drag(drawing.page, list(cells))


def grown(drawing: Drawing, more: int) -> None:
    """So many further rows and columns."""
    for _ in range(more):
        drawing.tap("[id='more-Right column']")
        drawing.tap("[id='more-Bottom row']")


def cloth(drawing: Drawing, colour: str) -> None:
    """Another cloth, of a colour by its name."""
    drawing.tap("#hand-more")
    drawing.tap(f".palette [aria-label='{colour}']")


def laid(drawing: Drawing, key: str, shape: str, turns: int, *cells: tuple[int, int]) -> None:
    """Take a cloth and a shape in the hand, turned so often, and lay it on cells."""
    page = drawing.page
    if page.get_attribute(f"#hand-{key}", "aria-pressed") != "true":
        drawing.tap(f"#hand-{key}")
    if page.get_attribute(f"[data-tool={shape}]", "aria-pressed") != "true":
        drawing.tap(f"[data-tool={shape}]")
    while int(page.get_attribute("#drawing", "data-turn") or 0) != turns and shape in ("half", "quarter"):
        drawing.tap(f"[data-tool={shape}]")
    for cell in cells:
        drawing.cell(*cell)


def log_cabin(drawing: Drawing) -> None:
    """Two rounds of logs, light right and below, dark left and above."""
    grown(drawing, 1)
    grown(drawing, 1)
    cloth(drawing, "dark teal")
    laid(drawing, "B", "whole", 0, (2, 2))
    drawing.tap("[data-tool=join]")
    drawing.tap("#hand-A")
    for light in (((3, 2), (3, 3)), ((1, 4), (3, 4)), ((4, 1), (4, 4))):
        finger(drawing, *light)
    drawing.tap("#hand-C")
    for dark in (((2, 1), (3, 1)), ((1, 1), (1, 3)), ((1, 0), (4, 0)), ((0, 0), (0, 4))):
        finger(drawing, *dark)


def sampler(drawing: Drawing) -> None:
    """Four blocks that take turns in a quilt of two by two, with sashes."""
    star(drawing)
    drawing.tap("#add-block")
    laid(drawing, "B", "whole", 0, (0, 0), (1, 1))  # on all sides still: a nine-patch
    drawing.tap("#add-block")
    laid(drawing, "B", "half", 2, (0, 1))
    drawing.tap("#add-block")
    drawing.tap("[data-same='']")
    drawing.tap("[data-tool=whole]")
    finger(drawing, (0, 1), (1, 1), (2, 1))
    drawing.tap("[data-go=quilt]")
    drawing.tap("#across-less")
    for _ in range(2):
        drawing.tap("#down-less")
    drawing.tap("#take-0")
    for number, place in enumerate(((0, 0), (0, 1), (1, 0), (1, 1))):
        drawing.tap(f"#take-{number}")
        drawing.tap(f"#places [data-row='{place[0]}'][data-column='{place[1]}']")
    drawing.tap("#sash")


def kingfisher(drawing: Drawing) -> None:
    """The demo's own block, mirrored as it is drawn, with its frame."""
    grown(drawing, 2)
    cloth(drawing, "deep teal")
    cloth(drawing, "dark blue")
    drawing.tap("[data-same=mirrored]")
    laid(drawing, "C", "half", 2, (0, 1))
    laid(drawing, "C", "whole", 2, (0, 2), (1, 1))
    laid(drawing, "A", "quarter", 0, (0, 2))
    laid(drawing, "B", "quarter", 2, (0, 2))
    laid(drawing, "B", "quarter", 1, (1, 1))
    laid(drawing, "D", "quarter", 2, (1, 1))
    laid(drawing, "B", "whole", 2, (1, 2))
    laid(drawing, "D", "whole", 2, (2, 2))
    drawing.tap("#add-frame")


def rows_of(plan: Plan, letters: str) -> list[list[list[str]]]:
    """The pictures of a plan's blocks, its cloths by other letters."""
    renamed = dict(zip(plan.fabrics, letters, strict=False))
    found = []
    for block in plan.blocks.values():
        rows = picture_rows(block.cells, len(block.columns), len(block.rows))
        found.append([[re.sub("[A-Z]", lambda key: renamed[key[0]], token) for token in row] for row in rows])
    return found


def main() -> None:
    demo = read_plan((assets.folder("tracker") / "demo" / "kingfisher.toml").read_bytes()).plan
    assert demo is not None
    wanted = {"the demo's block": rows_of(demo, "ACBDE")}
    quilts = {"a star of nine cells": star, "a log cabin": log_cabin, "a sampler of four": sampler}
    with (
        tempfile.TemporaryDirectory() as data,
        open_room(Path(data)) as (store, address),
        sync_playwright() as playwright,
        device(launch(playwright), PHONE) as phone,
    ):
        for name, draw in (quilts | {"the demo's block": kingfisher}).items():
            drawing = Drawing(phone.new_page(), address)
            draw(drawing)
            about = drawing.made(store)
            plan = read_plan(about["plan"]).plan
            assert plan is not None
            pictures = rows_of(plan, "ABCDE")
            assert pictures == wanted.get(name, pictures), pictures
            print(f"{name}: {drawing.taps} taps\n{about['plan']}")


if __name__ == "__main__":
    main()
