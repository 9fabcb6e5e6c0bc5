"""How long a tap waits while other things run: `python tests/bench_waiting.py`. Prints ratios; run it by hand.

Words after it choose lines that hold them, such as `edited` or `"first page"`.

A whole server in a process of its own, with a sampler of 12 kinds of blocks, two usual quilts and a large one, answers
one device that taps and others that open, edit and look at things, all through sockets. Each line is one kind of work
that runs meanwhile: the slowest and the middle tap, and how often the tap alone (the middle one) goes into them.
"""

from __future__ import annotations

import http.client
import multiprocessing
import random
import re
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench_screens import server_times
from browser import free_port
from kill_room import serve
from visitors import SMALL_PLAN, add_quilt

from tracker.store.quilts import Store

MOST_SECONDS = 0.5
MOST_TIMES, MIDDLE_TIMES = 20, 10
"""The aim: the slowest tap takes at most half a second or 20 times the tap alone, the middle one 10 times."""

TAPS = 40
CLOTHS = dict(zip("SRGBPTKYMC", range(1, 11), strict=True))
QUILTS = 200


def sampler(kinds: int = 12, side: int = 6, seed: int = 5) -> str:
    """Every block another picture, of plain patches and half-square triangles in ten cloths: about 500 steps."""
    chance = random.Random(seed)

    def cell() -> str:
        one, other = chance.sample(list(CLOTHS), 2)
        return chance.choice((one, f"{one}/{other}", f"{one}\\{other}"))

    names = [f"kind{number}" for number in range(kinds)]
    parts = ['title = "Sampler"']
    parts += [f'[fabrics.{key}]\nname = "cloth {key}"\ntone = {1 + tone % 9}' for key, tone in CLOTHS.items()]
    for name in names:
        picture = "\n".join(" ".join(cell() for _ in range(side)) for _ in range(side))
        parts.append(f"[blocks.{name}]\ncell = \"2\"\npicture = '''\n{picture}\n'''")
    rows = (", ".join(f'"{name}"' for name in names[i : i + 4]) for i in range(0, kinds, 4))
    parts.append(f"[quilt]\nblocks = [{', '.join(f'[{row}]' for row in rows)}]")
    return "\n".join(parts) + "\n"


def many_like(across: int, down: int) -> str:
    return SMALL_PLAN.replace("across = 2", f"across = {across}").replace("down = 1", f"down = {down}")


@dataclass
class Device:
    """A browser on this computer, with one connection that stays open."""

    port: int
    line: http.client.HTTPConnection = field(init=False)

    def __post_init__(self) -> None:
        self.line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)

    def ask(self, path: str, form: dict[str, str] | None = None, part: bool = False, also: int = 200) -> str:
        """The text of an answer, which must be a good one, or one that is awaited too."""
        host = f"localhost:{self.port}"
        headers = {"Host": host, "Origin": f"http://{host}"}
        headers |= {"HX-Request-Type": "partial"} if part else {}
        headers |= {} if form is None else {"Content-Type": "application/x-www-form-urlencoded"}
        self.line.request("GET" if form is None else "POST", path, None if form is None else urlencode(form), headers)
        answer = self.line.getresponse()
        text = answer.read().decode()
        assert answer.status in (200, 204, 303, also), (path, answer.status, text[:300])
        return text


@dataclass
class Tapper:
    """One device that counts a piece and takes it back, over and over, on the screen of one step."""

    device: Device
    at: str
    short: str
    number: int = 0
    last: str = ""

    def tap(self) -> float:
        """Seconds until the answer."""
        self.number += 1
        name = f"waiting-{self.short}-{self.number:06}"
        form = {"tap": name, "view": f"step:{self.short}"}
        form |= (
            {"do": "take back", "what": self.last} if self.last else {"do": "done", "step": self.short, "times": "1"}
        )
        begun = time.perf_counter()
        self.device.ask(f"{self.at}/taps", form, part=True, also=409)  # an edited plan knows nothing to take back
        self.last = "" if self.last else name
        return time.perf_counter() - begun

    def taps(self, enough: Callable[[], bool]) -> list[float]:
        """Taps with little pauses, some dozens at least, until it is enough."""
        found: list[float] = []
        while len(found) < TAPS or not enough():
            found.append(self.tap())
            time.sleep(0.03)
        return found


@contextmanager
def served(folder: Path) -> Iterator[int]:
    """The port of a server of its own for a folder; it is there when the block begins."""
    port = free_port()
    process = multiprocessing.get_context("spawn").Process(target=serve, args=(str(folder), port))
    process.start()
    try:
        while True:
            try:
                Device(port).ask("/static/icon.svg")
                break
            except OSError:
                time.sleep(0.01)
        yield port
    finally:
        process.terminate()
        process.join(30)


def tapper(port: int, quilt: str) -> Tapper:
    """Someone who taps the first step of a quilt, which is ready at once."""
    device = Device(port)
    short = re.findall(r"/steps/(\w+)", device.ask(f"/quilts/{quilt}/steps"))[0]
    return Tapper(device, f"/quilts/{quilt}", short)


def while_running(tapping: Tapper, work: Callable[[Device, int], None], devices: int = 1) -> list[float]:
    """Taps while some devices each do the work once."""
    busy = [threading.Thread(target=work, args=(Device(tapping.device.port), number)) for number in range(devices)]
    for each in busy:
        each.start()
    found = tapping.taps(lambda: not any(each.is_alive() for each in busy))
    for each in busy:
        each.join()
    return found


def steps_of(device: Device, quilt: str) -> list[str]:
    return list(dict.fromkeys(re.findall(r"/steps/(\w+)", device.ask(f"/quilts/{quilt}/steps"))))


def opens_a_step(quilt: str) -> Callable[[Device, int], None]:
    """What a page does that opens a step: the screen, the counts, the steps ahead, from there on."""

    def work(device: Device, number: int) -> None:
        short = steps_of(device, quilt)[20 + 7 * number]
        device.ask(f"/quilts/{quilt}/steps/{short}")
        device.ask(f"/quilts/{quilt}/counts.json")
        device.ask(f"/quilts/{quilt}/ahead.json?from={short}")

    return work


def opens_all_pages(quilt: str) -> Callable[[Device, int], None]:
    def work(device: Device, number: int) -> None:
        paths = ("", "/steps", "/blocks", "/blocks/3", "/now", "/layout", "/cutting", "/shopping", "/labels", "/latest")
        for path in (*paths, "/plan", "/picture.svg", "/seam", "/compare"):
            device.ask(f"/quilts/{quilt}{path}")
        device.ask("/")

    return work


def edits_the_plan(quilt: str) -> Callable[[Device, int], None]:
    """Looks at what an edited plan changes, and uses it."""

    def work(device: Device, number: int) -> None:
        page = device.ask(f"/quilts/{quilt}/plan")
        fields = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
        rest, picture, last = sampler().rpartition("picture = '''\n")
        first, second, *others = last.split("\n")
        plan = rest + picture + "\n".join((second, first, *others))
        seen = device.ask(f"/quilts/{quilt}/plan", fields | {"plan": plan, "do": "look"})
        fields |= dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', seen))
        device.ask(f"/quilts/{quilt}/plan", fields | {"plan": plan, "do": "use"})

    return work


def makes_a_quilt(text: str) -> Callable[[Device, int], None]:
    def work(device: Device, number: int) -> None:
        device.ask("/new", {"plan": text, "do": "make"})

    return work


def opens_the_board(quilt: str) -> Callable[[Device, int], None]:
    """The blocks of a large quilt, and one brought as far as it goes."""

    def work(device: Device, number: int) -> None:
        device.ask(f"/quilts/{quilt}/blocks")
        page = device.ask(f"/quilts/{quilt}/blocks/7")
        last = re.findall(r"/steps/(\w+)", page)[-1]
        form = {"tap": f"as-far-as-{number}", "do": "stage", "block": "7", "step": last, "view": "blocks:"}
        device.ask(f"/quilts/{quilt}/taps", form, part=True)

    return work


def chosen(name: str) -> bool:
    """Whether a line is wanted."""
    return not sys.argv[1:] or any(words in name for words in sys.argv[1:])


def told(name: str, taps: list[float], alone: float) -> None:
    slowest, middle = max(taps), statistics.median(taps)
    aims = slowest <= max(MOST_SECONDS, MOST_TIMES * alone), middle <= MIDDLE_TIMES * alone
    print(
        f"{name:<44} {slowest * 1000:>9.1f} {slowest / alone:>8.1f} {middle * 1000:>9.1f} {middle / alone:>8.1f}"
        f"  {'ok' if all(aims) else 'MISSED'}",
        flush=True,
    )


def taps_that_wait(folder: Path) -> None:
    """A line for each kind of work that runs while somebody taps."""
    with Store.open(folder) as store:
        large = add_quilt(store, sampler()).id
        add_quilt(store, many_like(4, 3))
        board = add_quilt(store, many_like(20, 20)).id
        other = add_quilt(store, sampler(seed=6)).id
    with served(folder) as port:
        mine = tapper(port, large)
        alone = mine.taps(lambda: True)[5:]
        reference = statistics.median(alone)
        print(f"{'meanwhile':<44} {'slowest':>9} {'times':>8} {'middle':>9} {'times':>8}   (ms, times the tap alone)")
        told("nothing", alone, reference)
        runs: list[tuple[str, Callable[[Device, int], None], int]] = [
            ("a device opens a step", opens_a_step(large), 1),
            ("two devices open steps", opens_a_step(large), 2),
            ("four devices open steps of another quilt", opens_a_step(other), 4),
            ("a device opens every page", opens_all_pages(large), 1),
            ("two devices open every page of another quilt", opens_all_pages(other), 2),
            ("a plan is edited", edits_the_plan(large), 1),
            ("another plan is edited", edits_the_plan(other), 1),
            ("a quilt is made", makes_a_quilt(sampler(seed=9)), 1),
            ("400 blocks are opened", opens_the_board(board), 1),
        ]
        for name, work, devices in runs:
            if chosen(name):
                told(name, while_running(mine, work, devices), reference)
    if not chosen("the first page after a start"):
        return
    with served(folder) as port:
        mine = tapper(port, large)
        mine.tap()
        told("the first page after a start", while_running(mine, lambda device, _: all_cards(device), 1), reference)


def all_cards(device: Device) -> None:
    """The first page, until every quilt is there."""
    while "data-pending" in device.ask("/"):
        time.sleep(0.2)


def first_page(folder: Path, quilts: int) -> tuple[float, float, float]:
    """Seconds from a server's start until it answers, until the first page is there, and until every quilt is on it."""
    with Store.open(folder) as store:
        for number in range(quilts):
            plan = SMALL_PLAN.replace("Lantern cushion", f"Lantern {number}")
            add_quilt(store, plan.replace("across = 2", f"across = {2 + number % 7}"))
    begun = time.perf_counter()
    with served(folder) as port:
        listening = time.perf_counter() - begun
        device = Device(port)
        device.ask("/")
        shown = time.perf_counter() - begun
        all_cards(device)
        return listening, shown, time.perf_counter() - begun


def main() -> None:
    with tempfile.TemporaryDirectory() as data:
        taps_that_wait(Path(data) / "waiting")
        for name, quilts in (("1 quilt", 1), (f"{QUILTS} quilts", QUILTS)):
            if not chosen(f"first page with {name}"):
                continue
            listening, shown, whole = first_page(Path(data) / name, quilts)
            print(f"first page with {name}: {shown - listening:.2f} s after it answers (at most 1 s),", end=" ")
            print(f"which is {listening:.2f} s after its start; every quilt is on it after {whole - listening:.2f} s")
        if not chosen("a tap on the server"):
            return
        times = server_times(Path(data), 400)
        floor, twelve, large = times.values()
        print(
            f"a tap on the server: {twelve / floor:.2f} times the floor with 12 blocks, {large / floor:.2f} (at most 3)"
        )
        print(
            "  with 400 blocks and 20,000 earlier taps; "
            + ", ".join(f"{n}: {t * 1e3:.2f} ms" for n, t in times.items())
        )


if __name__ == "__main__":
    main()
