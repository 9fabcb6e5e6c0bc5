"""How soon the corners of a large photo can be dragged: `python tests/bench_photo.py`. Prints times; run it by hand.

Chromium, a phone's page, on a processor slowed to a quarter; the photo is as a phone's camera writes it, upright by
what its head says. The aim for 12 megapixels is 2 seconds.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import numpy as np
from browser import PHONE, device, launch
from house import House
from PIL import Image
from playwright.sync_api import Page, sync_playwright

MEGAPIXELS, SLOWER, TIMES = (12, 24), (1, 4), 5

WATCHED = """() => {
    const work = document.querySelector('#photo-work');
    document.querySelector('#photo-file').addEventListener('change', () => {
        const from = performance.now();
        window.took = 0;
        const look = () => {
            if (work.hidden || !document.querySelector('[data-corner]').style.left) return requestAnimationFrame(look);
            return setTimeout(() => { window.took = performance.now() - from; });
        };
        look();
    }, true);
}"""
"""Counts from the file's choice until the corners stand there, have been painted and nothing else is being done."""


SHOWN = "() => ['width', 'height'].map((side) => document.querySelector('#photo-canvas')[side])"


def camera_photo(file: Path, megapixels: int) -> Path:
    """A photo of cloths, lying on its side with a head that says so, noisy as in a room at night."""
    high = round((megapixels * 1e6 * 3 / 4) ** 0.5)
    wide, luck = high * 4 // 3, np.random.default_rng(megapixels)
    patches = luck.integers(30, 230, (9, 12, 3)).astype("uint8")
    seen = np.asarray(Image.fromarray(patches).resize((wide, high), Image.Resampling.NEAREST), float)
    seen[: high // 8] = seen[-high // 8 :] = (120, 110, 100)
    seen[:, : wide // 8] = seen[:, -wide // 8 :] = (120, 110, 100)
    seen += luck.normal(0, 9, (high, wide, 1))
    head = Image.Exif()
    head[0x0112] = 6  # a quarter turn
    Image.fromarray(seen.clip(0, 255).astype("uint8")).save(file, quality=92, exif=head)
    return file


def drawable_after(page: Page, address: str, file: Path) -> float:
    """Milliseconds from the file's choice until its corners can be drawn."""
    page.goto(address)
    page.evaluate(WATCHED)
    page.set_input_files("#photo-file", file)
    took = page.wait_for_function("() => window.took").json_value()
    assert isinstance(took, float | int)
    return took


def main() -> None:
    with tempfile.TemporaryDirectory() as made, sync_playwright() as playwright:
        folder = Path(made)
        house, browser = House(folder / "data"), launch(playwright)
        with device(browser, PHONE) as phone:
            page = phone.new_page()
            line = phone.new_cdp_session(page)
            for megapixels in MEGAPIXELS:
                file = camera_photo(folder / f"{megapixels}.jpg", megapixels)
                for parts in SLOWER:
                    line.send("Emulation.setCPUThrottlingRate", {"rate": parts})
                    took = [drawable_after(page, f"{house.address}/draw/photo", file) for _ in range(TIMES)]
                    size = page.evaluate(SHOWN)
                    said = f"{statistics.median(took):.0f} ms ({min(took):.0f} to {max(took):.0f}), shown {size}"
                    print(f"{megapixels} megapixels, slowed {parts} times: {said}", flush=True)
        browser.close()
        house.stop()


if __name__ == "__main__":
    main()
