"""Pictures of every screen, to be looked at: `python tests/look.py FOLDER [name ...]`.

Not a test: it judges nothing. Phone, tablet, dark, letters twice as large, and paper (PDF), of the demo quilt.
With `--readme` instead, it makes README's two pictures anew.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

from browser import PHONE, TABLET, launch, pair
from PIL import Image
from planning import replayed, tapped
from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright
from visitors import open_room

from tracker import assets
from tracker.cli import add_demo
from tracker.progress.measured_top import is_measured
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.opened import compile_text
from tracker.work.operations import STATIONS

WAYS: dict[str, tuple[dict[str, int], Literal["light", "dark"], int]] = {
    "phone": (PHONE, "light", 16),
    "tablet": (TABLET, "light", 16),
    "desk": ({"width": 1280, "height": 800}, "light", 16),
    "dark": (PHONE, "dark", 16),
    "large": ({"width": 390, "height": 2600}, "light", 32),  # a full-page picture would set the letters back
}
BROKEN = """\
title = "Half a plan"
unit = "inch"

[fabrics.S]
name = "pale sand"
tone = 12

[blocks.b]
picture = "S/Q"
"""


def screens(store: Store, quilt: StoredQuilt) -> dict[str, str]:
    """A name for each screen, and its path."""
    compiled = compile_text(quilt.about["plan"])
    progress = replayed(compiled.plan, compiled.checklist, quilt.taps)
    at, found = f"/quilts/{quilt.id}", {"quilts": "/", "quilt": f"/quilts/{quilt.id}"}
    for step in compiled.checklist.steps:
        kind = step.operation.replace(" ", "-") + ("-block" if step.per != "quilt" else "")
        state = "" if progress.counts.ready(step) else "-waits" if progress.counts.left(step) else "-done"
        found.setdefault(f"step-{kind}{state}", f"{at}/steps/{compiled.short[step.id]}")
    for step in filter(is_measured, compiled.checklist.steps):
        found.setdefault("step-measured", f"{at}/steps/{compiled.short[step.id]}")
    found |= {"list": f"{at}/steps", "compare": f"{at}/compare", "areas": "/compare"}
    found |= {name: f"{at}/{name}" for name in ("cutting", "shopping", "layout", "blocks")}
    found |= {"blocks-joined": f"{at}/blocks?stage=joined", "block": f"{at}/blocks/4", "block-new": f"{at}/blocks/9"}
    units = next(step for step in compiled.checklist.steps if step.operation == "trim" and step.per == "quilt")
    found |= {f"now-{station}": f"{at}/now?at={station}" for station in STATIONS}
    found |= {"mend": f"{at}/steps/{compiled.short[units.id]}/mend", "latest": f"{at}/latest", "seam": f"{at}/seam"}
    found |= {"measure": f"{at}/measure/3", "sizes": f"{at}/sizes"}
    trimmed = compiled.pile_codes[units.gives[0].pile]
    found |= {"plan": f"{at}/plan", "labels": f"{at}/labels", "pile": f"/l/{quilt.id}/{trimmed}"}
    found |= {"known": "/known", "known-one": "/known/churn-dash"}
    return found | {"new": "/new", "device": "/device", "room": "/room", "missing": "/nowhere"}


@contextmanager
def opened(browser: Browser, way: str) -> Iterator[Page]:
    size, scheme, letters = WAYS[way]
    viewport: ViewportSize = {"width": size["width"], "height": size["height"]}
    context = browser.new_context(viewport=viewport, color_scheme=scheme, has_touch=True)
    pair(context)
    page = context.new_page()
    if letters != 16:
        context.new_cdp_session(page).send("Page.setFontSizes", {"fontSizes": {"standard": letters, "fixed": letters}})
    yield page
    context.close()


def unsettle(quilt: StoredQuilt) -> None:
    """A tap that two devices both made: the second finds too few."""
    compiled = compile_text(quilt.about["plan"])
    progress = replayed(compiled.plan, compiled.checklist, quilt.taps)
    trims = (step for step in compiled.checklist.steps if step.operation == "trim" and step.per == "quilt")
    step = next(step for step in trims if not progress.counts.ready(step))
    quilt.append({"id": "from-two-devices", "do": "done", "step": step.id, "times": 12})


def main(folder: Path, wanted: list[str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as data, open_room(Path(data)) as (store, address):
        add_demo(store)
        (quilt,) = store.quilts()
        paths = screens(store, quilt)
        paths = {name: path for name, path in paths.items() if not wanted or name in wanted}
        with sync_playwright() as playwright:
            browser = launch(playwright)
            for way in WAYS:
                with opened(browser, way) as page:
                    for name, path in paths.items():
                        page.goto(address + path)
                        page.screenshot(path=folder / f"{name}-{way}.png")
            if not wanted:
                _more(browser, address, folder, quilt)
            browser.close()


def _more(browser: Browser, address: str, folder: Path, quilt: StoredQuilt) -> None:
    with opened(browser, "tablet") as page:
        page.goto(f"{address}/new")
        page.fill("#plan", BROKEN)
        page.wait_for_selector(".line-faults")
        page.screenshot(path=folder / "new-broken.png", full_page=True)
        page.on("dialog", lambda dialog: dialog.accept())
        page.click("#use-example")
        page.wait_for_selector("#look-picture svg")
        page.screenshot(path=folder / "new-example.png", full_page=True)
        for name in ("steps", "cutting", "shopping", "layout", "labels"):
            page.goto(f"{address}/quilts/{quilt.id}/{name}")
            for paper in ("A4", "Letter"):
                page.pdf(path=folder / f"{name}-{paper}.pdf", format=paper)
    unsettle(quilt)
    with opened(browser, "phone") as page:
        page.goto(f"{address}/quilts/{quilt.id}/step")
        page.screenshot(path=folder / "question-phone.png")
        page.context.set_offline(True)
        page.click("#one")
        page.wait_for_selector("#away:not([hidden])")
        page.screenshot(path=folder / "away-phone.png")


def lay(quilt: StoredQuilt, blocks: range) -> None:
    """Bring blocks to their places."""
    compiled = compile_text(quilt.about["plan"])
    progress = replayed(compiled.plan, compiled.checklist, quilt.taps)
    for block in blocks:
        last = progress.counts.block_steps(progress.counts.block_keys[block], block)[-1]
        quilt.append(tapped(progress, {"id": f"picture-{block}", "do": "stage", "block": block, "step": last.id}))


def readme() -> None:
    """README's pictures: a row of a block at the machine, and the wall with half of the blocks."""
    with tempfile.TemporaryDirectory() as data, open_room(Path(data)) as (store, address):
        add_demo(store)
        (quilt,) = store.quilts()
        with sync_playwright() as playwright:
            browser = launch(playwright)
            with opened(browser, "phone") as page:
                paths, folder = screens(store, quilt), assets.folder("static") / "pictures"
                page.goto(address + paths["step-join-block"])
                _small(page, folder / "step.png")
                lay(quilt, range(2, 7))
                page.goto(address + paths["layout"])
                _small(page, folder / "layout.png")
            browser.close()


def _small(page: Page, file: Path) -> None:
    """Keep a picture of a page in few colours: a reader sees no difference, and it is a third of the size."""
    page.screenshot(path=file)
    with Image.open(file) as picture:
        few = picture.convert("RGB").quantize(64)
    few.save(file, optimize=True)


if __name__ == "__main__":
    if sys.argv[1:] == ["--readme"]:
        readme()
    else:
        main(Path(sys.argv[1]), sys.argv[2:])
