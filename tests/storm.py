"""Taps from two browsers through network cuts and server kills: `python tests/storm.py [TAPS] [--cuts N] [--kills N]`.

Prints what became of the taps, and ends with 1 where one was lost or counted twice. The tests run a short storm.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browser import HOST, PATIENCE, PHONE, TABLET, free_port, launch, pair, park
from flask import Response, request
from playwright.sync_api import Browser, BrowserContext, Error, Page, expect, sync_playwright
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, room_of

from tracker.server import serving
from tracker.store.quilts import Store
from tracker.web.shares import read_shares

PLAN = SMALL_PLAN.replace("across = 2", "across = 12").replace("down = 1", "down = 10")
"""Enough blocks that no step runs out soon."""

COUNT = "done", "pass"
"""Taps that say what was done."""

TELL = """
    const keep = Storage.prototype.setItem;
    Storage.prototype.setItem = function (key, value) {
        keep.call(this, key, value);
        if (key.startsWith('sewing-room tap ')) tapped(value);
    };
"""
TOUCH = """selector => {
    const found = document.querySelector(selector);
    const can = found && found.getAttribute('aria-disabled') !== 'true' && !found.closest('[hidden]');
    if (can) found.click();
    return Boolean(can);
}"""

NOTHING_WAITS = re.compile("^(✓ Saved)?$")
"""What the line on saving says when no tap waits: it falls silent after a while."""


STUCK = 15
LONGEST = 600
"""Seconds: after so many without a tap the devices begin again; longer no storm of taps lasts."""


@dataclass
class Result:
    """What became of all taps. `tapped` and what follows count pieces, the others count taps."""

    taps: int = 0
    cuts: int = 0
    kills: int = 0
    refused: int = 0
    lost: int = 0
    twice: int = 0
    out_of_order: int = 0
    tapped: int = 0
    counted: int = 0
    taken_back: int = 0
    unsettled: int = 0
    screens_differ: int = 0

    @property
    def well(self) -> bool:
        wrong = self.lost or self.twice or self.out_of_order or self.screens_differ
        return not wrong and self.tapped == self.counted + self.taken_back + self.unsettled

    def __str__(self) -> str:
        return (
            f"taps {self.taps} through {self.cuts} network cuts and {self.kills} server kills: lost {self.lost}, "
            f"twice {self.twice}, out of order {self.out_of_order}, refused and said so {self.refused}\n"
            f"pieces tapped {self.tapped} = counted {self.counted} + unsettled {self.unsettled} "
            f"+ taken back {self.taken_back}; screens that differ from the disk {self.screens_differ}"
        )


class Server:
    """A sewing room in a process of its own, killed and started again on the same port and folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = free_port()
        self.start()

    def start(self) -> None:
        command = [sys.executable, __file__, "--serve", str(self.folder), str(self.port)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == "ready\n"

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()
        assert self.process.stdout is not None
        self.process.stdout.close()


def serve(folder: Path, port: int) -> None:
    """Serve a folder until killed; a line in the file `refused` for every tap that was answered with a sentence."""
    store = Store.open(folder)
    room = room_of(store, port)

    @room.after_request
    def note(response: Response) -> Response:
        if request.method == "POST" and 400 <= response.status_code < 500:
            with (folder.parent / "refused").open("a") as file:
                file.write(f"{request.form['tap']}\n")
        return response

    serving.run(room, serving.listen("127.0.0.1", port), lambda: print("ready", flush=True))


@dataclass
class Device:
    """A browser window of its own, and every tap made in it, in order."""

    context: BrowserContext
    page: Page
    first: str
    tapped: list[dict[str, Any]] = field(default_factory=list)

    @classmethod
    def opened(cls, browser: Browser, size: dict[str, int], url: str) -> Device:
        context = browser.new_context(viewport={"width": size["width"], "height": size["height"]}, has_touch=True)
        context.set_default_timeout(PATIENCE)
        pair(context)
        device = cls(context, context.new_page(), url)
        context.expose_function("tapped", device.told)
        context.add_init_script(TELL)
        device.page.goto(url)
        expect(device.page.locator("html[data-ahead]")).to_have_count(1)
        return device

    def told(self, text: str) -> None:
        """The page has kept a tap; it may do so once more, where it is opened again."""
        tap = json.loads(text)
        if all(tap["id"] != known["id"] for known in self.tapped):
            self.tapped.append(tap)

    def act(self, chance: random.Random) -> None:
        """One tap, mostly; now and then to another step."""
        kinds = {
            "#one": 14,
            "#a-chain": 2,
            "#take-back": 2,
            "a.turn[aria-label^='Next']": 1,
            "a.turn[aria-label*=' before']": 1,
        }
        (chosen,) = chance.choices(list(kinds), list(kinds.values()))
        with suppress(Error):  # the page may be on its way to the next
            self.page.evaluate(TOUCH, chosen)

    def reopen(self) -> None:
        """Close the window, with whatever is not saved yet, and open the same page in a new one."""
        url = self.page.url
        park(self.page)
        self.page = self.context.new_page()
        self.page.goto(url)


def storm(browser: Browser, folder: Path, taps: int, cuts: int, kills: int, seed: int) -> Result:
    """Tap on two devices while networks are cut and servers killed; wait for calm; count."""
    chance = random.Random(seed)
    with Store.open(folder) as store:
        path = Quilt(Visitor(room_of(store)), add_quilt(store, PLAN)).step_path("Cut lamp red squares, 3")
    server = Server(folder)
    devices = [Device.opened(browser, size, f"http://{HOST}:{server.port}{path}") for size in (PHONE, TABLET)]
    result = Result(cuts=cuts, kills=kills)
    try:
        _blow(chance, server, devices, result, taps)
        for device in devices:
            device.page.bring_to_front()
            expect(device.page.locator("#saving")).to_have_text(NOTHING_WAITS)
        shown = [_shown(device.page) for device in devices]
    finally:
        server.kill()
        for device in devices:
            device.context.close()
    _count(folder, devices, shown, result)
    return result


def _blow(chance: random.Random, server: Server, devices: list[Device], result: Result, taps: int) -> None:
    """Taps, with cuts and kills spread at random among them."""
    events = ["cut"] * result.cuts + ["kill"] * result.kills + ["reopen"]
    # The clash comes after all taps, so that none of them takes back what it leaves unsettled.
    due = [*sorted((chance.randrange(taps), event) for event in events), (taps, "clash")]
    back: list[tuple[float, Device]] = []
    began, tapped_at, before = time.monotonic(), time.monotonic(), -1
    while (now := sum(len(device.tapped) for device in devices)) < taps:
        assert time.monotonic() < began + LONGEST, f"{now} of {taps} taps, and no more to come"
        if now > before or time.monotonic() > tapped_at + STUCK:
            if now == before:
                _begin_again(devices, back)
            tapped_at, before = time.monotonic(), now
        for at, device in [entry for entry in back if entry[0] < time.monotonic()]:
            device.context.set_offline(False)
            back.remove((at, device))
        while due and due[0][0] <= now:
            _strike(due.pop(0)[1], chance, server, devices, back)
        device = chance.choice(devices)
        device.act(chance)
        device.page.wait_for_timeout(chance.choice((0, 10, 40)))
    for _, device in back:
        device.context.set_offline(False)
    while due:
        _strike(due.pop(0)[1], chance, server, devices, [])
    for device in devices:
        device.context.set_offline(False)


def _begin_again(devices: list[Device], back: list[tuple[float, Device]]) -> None:
    """Nothing is left to tap where both are: they come back to the network, and to the step that they began with."""
    back.clear()
    for device in devices:
        device.context.set_offline(False)
        with suppress(Error):
            device.page.goto(device.first)


def _strike(
    event: str, chance: random.Random, server: Server, devices: list[Device], back: list[tuple[float, Device]]
) -> None:
    device = chance.choice(devices)
    if event == "cut":
        device.context.set_offline(True)
        back[:] = [entry for entry in back if entry[1] is not device]
        back.append((time.monotonic() + chance.uniform(0.1, 2.5), device))
    elif event == "kill":
        server.kill()
        for _ in range(chance.randrange(12)):
            chance.choice(devices).act(chance)
        server.start()
    elif event == "reopen":
        device.context.set_offline(False)
        device.reopen()
    else:
        _clash(devices, back)


def _clash(devices: list[Device], back: list[tuple[float, Device]]) -> None:
    """Both devices, cut off, claim all that lies ready of the same step."""
    back.clear()
    for device in devices:
        device.context.set_offline(False)
        expect(device.page.locator("#saving")).to_have_text(NOTHING_WAITS)
    step = _step_with_work(devices[0])
    for device in devices:
        device.page.goto(step)
        expect(device.page.locator("#saving")).not_to_contain_text("not saved")
        expect(device.page.locator("#a-chain")).to_be_visible()
    for device in devices:
        device.context.set_offline(True)
        device.page.fill("#chain", device.page.inner_text("#ready"))
        assert device.page.evaluate(TOUCH, "#a-chain"), "there was nothing to claim"
        expect(device.page.locator("#saving")).to_contain_text("not saved yet")
    for device in devices:
        device.context.set_offline(False)


def _step_with_work(device: Device) -> str:
    """The first step, from where the device began, that cannot be claimed twice: the storm may have finished some, or
    have cut of one cloth only, so that nothing can be marked yet."""
    page = device.page
    for cut in (False, True):
        page.goto(device.first)
        while not _for_one_device(page):
            if cut and page.inner_text("h1").startswith("Cut ") and page.locator("#a-chain").is_visible():
                page.fill("#chain", "6")
                page.tap("#a-chain")
                expect(page.locator("#saving")).to_have_text(NOTHING_WAITS)
            following = page.locator("a.turn[aria-label^='Next']")
            if not following.count():
                break
            page.goto(f"{page.url.partition('/quilts/')[0]}{following.get_attribute('href')}")
        else:
            return page.url
    raise AssertionError("what was cut of every cloth can be used for nothing")


def _for_one_device(page: Page) -> bool:
    """Whether several pieces lie ready, and are of those that were cut: of new cloth more can always be cut."""
    return page.locator("#a-chain").count() > 0 and not page.inner_text("h1").startswith("Cut ")


def _shown(page: Page) -> tuple[str, int]:
    """The step that a screen shows and how often it says that is done, once it has asked again."""
    for _ in range(2):  # by the second answer the first is shown
        with page.expect_response("**/changes?*"):
            page.evaluate("htmx.trigger(document.body, 'wake')")
    return str(page.get_attribute("#live", "data-step")), int(page.inner_text("#done"))


def _count(folder: Path, devices: list[Device], shown: list[tuple[str, int]], result: Result) -> None:
    """Compare what was tapped with what is on the disk."""
    with Store.open(folder) as store:
        (stored,) = store.quilts()
        quilt = Quilt(Visitor(room_of(store)), stored)
        kept = list(stored.taps)
        progress = quilt.progress()
        for short, done in shown:
            step = quilt.compiled.step(short)
            assert step is not None
            result.screens_differ += progress.counts.times_done(step) != done
    note = folder.parent / "refused"
    refused = set(note.read_text().split()) if note.exists() else set()
    places = {tap["id"]: place for place, tap in enumerate(kept)}
    result.twice = len(kept) - len(places)
    for device in devices:
        ids = [tap["id"] for tap in device.tapped]
        result.taps += len(ids)
        result.refused += len(refused & set(ids))
        result.lost += len(set(ids) - set(places) - refused)
        order = [places[name] for name in ids if name in places]
        result.out_of_order += order != sorted(order)
    result.tapped = sum(_pieces(tap) for device in devices for tap in device.tapped if tap["id"] not in refused)
    unsettled = {tap.id for tap in progress.unsettled()}
    for tap in kept:
        if tap["do"] in COUNT and tap["id"] in unsettled:
            result.unsettled += _kept_pieces(tap)
        elif tap["do"] in COUNT and not progress.counts_still(tap["id"]):
            result.taken_back += _kept_pieces(tap)
    result.counted = progress.counts.shares()[0]


def _pieces(tap: dict[str, Any]) -> int:
    """How many pieces a tap claimed, as the browser sent it."""
    fields = dict(tap["fields"])
    if fields["do"] == "pass":
        return sum(len(blocks) or times for _, times, blocks in read_shares(fields["work"]))
    return int(fields["times"]) if fields["do"] == "done" else 0


def _kept_pieces(tap: Mapping[str, Any]) -> int:
    if tap["do"] == "pass":
        return sum(len(blocks) or times for _, times, blocks in tap["work"])
    return int(tap["times"]) if "times" in tap else len(tap["blocks"])


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("taps", type=int, nargs="?", default=500)
    parser.add_argument("--cuts", type=int, default=20)
    parser.add_argument("--kills", type=int, default=3)
    parser.add_argument("--seed", type=int, default=int(time.time()))
    parser.add_argument("--serve", nargs=2, metavar=("FOLDER", "PORT"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.serve:
        serve(Path(given.serve[0]), int(given.serve[1]))
        return 0
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = launch(playwright)
        result = storm(browser, Path(folder) / "data", given.taps, given.cuts, given.kills, given.seed)
        browser.close()
    print(f"{result}\n(seed {given.seed})")
    return 0 if result.well else 1


if __name__ == "__main__":
    sys.exit(main())
