"""How light and how quick the screens are: `python tests/bench_screens.py`. Prints; the tests hold the sizes.

Sizes are bytes as sent (compressed). A tap on a phone: processor four times slower, 400 kbit/s and 300 ms away. Server
times are ratios to an empty handler that also writes and syncs 1 KB, measured in turns within the same run.
"""

from __future__ import annotations

import os
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browser import PHONE, launch, pair
from flask import Flask
from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, open_room, room_of

from tracker.cli import add_demo
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.opened import compile_text

SLOW_NETWORK = {"offline": False, "latency": 300, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
TAP = """async () => {
    const done = document.querySelector('#done'), saving = document.querySelector('#saving');
    const before = done.textContent, begun = performance.now();
    document.querySelector('#one').click();
    while (done.textContent === before) await new Promise(requestAnimationFrame);
    await new Promise(requestAnimationFrame);
    const seen = performance.now() - begun;
    while (saving.textContent !== '✓ Saved') await new Promise(next => setTimeout(next, 5));
    return [seen, performance.now() - begun];
}"""


def pages_of(quilt: StoredQuilt) -> list[str]:
    """The path of every step."""
    compiled = compile_text(quilt.about["plan"])
    return [f"/quilts/{quilt.id}/steps/{compiled.short[step.id]}" for step in compiled.checklist.steps]


def heaviest_step(visitor: Visitor, quilt: StoredQuilt) -> tuple[int, str]:
    """Bytes of the largest step page as sent, and its path."""
    return max((sent(visitor, path), path) for path in pages_of(quilt))


def ready_step(visitor: Visitor, quilt: StoredQuilt) -> str:
    """The path of the first step that can be tapped some dozen times now."""
    return next(path for path in pages_of(quilt) if re.search(rb'data-ready="\d\d', visitor.get(path).data))


def sent(visitor: Visitor, path: str) -> int:
    return len(visitor.get(path, Accept_Encoding="gzip").data)


def first_visit(browser: Browser, url: str) -> dict[str, int]:
    """All that a browser with nothing kept loads for a step page, the steps ahead too: bytes as sent, by file."""
    context = browser.new_context(viewport=ViewportSize(width=PHONE["width"], height=PHONE["height"]))
    pair(context)
    page = context.new_page()
    found: dict[str, int] = {}
    session = context.new_cdp_session(page)
    session.send("Network.enable")
    names: dict[str, str] = {}
    session.on("Network.responseReceived", lambda e: names.update({e["requestId"]: e["response"]["url"]}))
    session.on("Network.loadingFinished", lambda e: found.update({names[e["requestId"]]: int(e["encodedDataLength"])}))
    page.goto(url)
    page.wait_for_selector("html[data-ahead]", state="attached")
    context.close()
    return {name.partition("//")[2].partition("/")[2].partition("?")[0]: size for name, size in found.items()}


def tap_times(page: Page, taps: int) -> tuple[float, float]:
    """Milliseconds from a tap to its count on the screen (worst of all), and to the mark that it is saved (median)."""
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions", SLOW_NETWORK)
    session.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    seen, saved = zip(*(page.evaluate(TAP) for _ in range(taps)), strict=True)
    return max(seen), statistics.median(saved)


def empty_room(folder: Path) -> Flask:
    """An application whose only page writes 1 KB and syncs it."""
    app = Flask("empty")
    file = os.open(folder / "floor", os.O_CREAT | os.O_WRONLY | os.O_APPEND)

    @app.post("/quilts/x/taps")
    def floor() -> str:
        os.write(file, b"x" * 1024)
        os.fsync(file)
        return ""

    return app


def rooms(store: Store, room: Flask, folder: Path) -> dict[str, Callable[[int], Any]]:
    """What is timed, each by its name: a tap of one step in a small and a large quilt, and the floor."""
    floor = Visitor(empty_room(folder))
    tapping: dict[str, Callable[[int], Any]] = {
        "floor": lambda number: floor.post("/quilts/x/taps", {"tap": str(number)})
    }
    for name, across, down, earlier in (("12 blocks", 4, 3, 0), ("400 blocks, 20,000 taps", 20, 20, 20_000)):
        plan = SMALL_PLAN.replace("across = 2", f"across = {across}").replace("down = 1", f"down = {down}")
        tapping[name] = _tapper(store, room, plan, earlier)
    return tapping


def _tapper(store: Store, room: Flask, plan: str, earlier: int) -> Callable[[int], Any]:
    quilt = Quilt(Visitor(room), add_quilt(store, plan))
    short, step = (
        quilt.short("Cut lamp red squares, 2½ in"),
        quilt.compiled.step(quilt.short("Cut lamp red squares, 2½ in")),
    )
    assert step is not None
    if earlier:
        quilt.stored = store.add(quilt.stored.about, _earlier(step.id, earlier))
        quilt.at = f"/quilts/{quilt.stored.id}"
    view = {"view": f"step:{short}"}
    last = [""]

    def tap(number: int) -> None:
        """One more, and the next time its take-back: the count stays, the taps grow."""
        name = f"timed-{number:08}"
        if number % 2:
            answer = quilt.visitor.post(
                f"{quilt.at}/taps", {"tap": name, "do": "take back", "what": last[0], **view}, HX_Request_Type="partial"
            )
        else:
            last[0] = name
            answer = quilt.visitor.post(
                f"{quilt.at}/taps",
                {"tap": name, "do": "done", "step": short, "times": "1", **view},
                HX_Request_Type="partial",
            )
        assert answer.status_code == 200, answer.get_data(as_text=True)

    return tap


def _earlier(step_id: str, many: int) -> Iterator[dict[str, Any]]:
    for number in range(0, many, 2):
        yield {"id": f"earlier-{number:08}", "do": "done", "step": step_id, "times": 1}
        yield {"id": f"earlier-{number + 1:08}", "do": "take back", "what": f"earlier-{number:08}"}


def server_times(folder: Path, turns: int) -> dict[str, float]:
    """Seconds for one request (the median), by name; each is asked in turn, so that a slow moment is everybody's."""
    with Store.open(folder / "timed") as store:
        tapping = rooms(store, room_of(store), folder)
        times: dict[str, list[float]] = {name: [] for name in tapping}
        for number in range(turns):
            for name, tap in tapping.items():
                begun = time.perf_counter()
                tap(number)
                times[name].append(time.perf_counter() - begun)
    return {name: statistics.median(measured[10:]) for name, measured in times.items()}


def main() -> None:
    with tempfile.TemporaryDirectory() as data, open_room(Path(data) / "room") as (store, address):
        add_demo(store)
        (quilt,) = store.quilts()
        size, path = heaviest_step(Visitor(room_of(store)), quilt)
        print(f"largest step page: {size:,} bytes compressed (of at most 14,336): {path}")
        with sync_playwright() as playwright:
            browser = launch(playwright)
            loaded = first_visit(browser, address + path)
            print(f"everything on a first visit: {sum(loaded.values()):,} bytes (of at most 102,400)")
            for name, each in sorted(loaded.items(), key=lambda entry: -entry[1]):
                print(f"  {each:>7,}  {name}")
            page = browser.new_page(viewport={"width": PHONE["width"], "height": PHONE["height"]})
            pair(page.context)
            page.goto(address + ready_step(Visitor(room_of(store)), quilt))
            seen, saved = tap_times(page, 8)
            print(f"a tap on a slow phone: seen after at most {seen:.0f} ms (of 100), saved after {saved:.0f} ms")
            browser.close()
        times = server_times(Path(data), 400)
        floor, few, many = times.values()
        print(
            f"a tap on the server: {few / floor:.2f} times the floor with 12 blocks, {many / floor:.2f} (of at most 3)"
        )
        print(f"  with 400 blocks and 20,000 earlier taps; that is {many / few:.2f} times (of at most 1.5) 12 blocks")
        print("  " + ", ".join(f"{name}: {each * 1000:.2f} ms" for name, each in times.items()))


if __name__ == "__main__":
    main()
