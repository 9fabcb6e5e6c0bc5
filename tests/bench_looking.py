"""How long taps wait while a large block is typed with pauses, against a tap alone; and when its picture comes.

    python tests/bench_looking.py [cells a side]

The server is the whole command, in a process of its own. One page types a block of 64 x 64 cells with ten pauses, as
the page does: what it asked for before is broken off, and what takes long is asked for again. Two phones tap meanwhile.
"""

from __future__ import annotations

import http.client
import multiprocessing
import random
import re
import socket
import sys
import tempfile
import threading
import time
from contextlib import suppress
from pathlib import Path
from statistics import median
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench_compile import KEYS
from browser import free_port
from kill_room import PLAN, serve

from tracker.store.quilts import Store

PAUSES = 10
PAUSE = 1
TIME_OUT = 5
"""Seconds until the page of a phone takes a tap for unanswered."""
ALONE = 40
LONGEST = 120


def plan_text(side: int) -> str:
    """A block of so many cells a side: plain ones and half-square triangles in five cloths."""
    chance = random.Random(side)

    def cell() -> str:
        a, b = chance.choice(KEYS), chance.choice(KEYS)
        return a if a == b or chance.random() < 0.5 else f"{a}{chance.choice('/' + chr(92))}{b}"

    fabrics = "".join(f'[fabrics.{key}]\nname = "cloth {key}"\ntone = {i + 2}\n' for i, key in enumerate(KEYS))
    picture = "\n".join(" ".join(cell() for _ in range(side)) for _ in range(side))
    block = f"[blocks.large]\ncell = \"2\"\npicture = '''\n{picture}\n'''\n"
    return f'title = "Typed"\n{fabrics}{block}[quilt]\nblock = "large"\nacross = 1\ndown = 1\n'


class Device:
    """A browser on this computer."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.line: socket.socket | None = None

    def ask(self, path: str, form: dict[str, str] | None = None, time_out: int = LONGEST) -> tuple[int, str]:
        """One request on a connection of its own; 0 where it was not answered in time, or broken off."""
        host = f"127.0.0.1:{self.port}"
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=time_out)
        headers = {"Host": host, "Origin": f"http://{host}", "HX-Request-Type": "partial"}
        headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            line.connect()
            self.line = line.sock
            line.request("POST" if form else "GET", path, urlencode(form) if form else None, headers)
            answer = line.getresponse()
            return answer.status, answer.read().decode()
        except (OSError, http.client.HTTPException):
            return 0, ""
        finally:
            line.close()

    def break_off(self) -> None:
        """Leave the request that is under way."""
        with suppress(OSError):
            if self.line is not None:
                self.line.shutdown(socket.SHUT_RDWR)


class Tapper(Device):
    """Taps one after another, and keeps how long each took (None: not answered)."""

    def __init__(self, port: int, quilt: str, name: str) -> None:
        super().__init__(port)
        self.at, self.name = f"/quilts/{quilt}", name
        self.step = re.findall(r"/steps/(\w+)", self.ask(f"{self.at}/steps")[1])[0]
        self.taken: list[float | None] = []

    def tap(self) -> None:
        """One tap, as the page of the step sends it."""
        form = {"tap": f"{self.name}-{len(self.taken):06}", "do": "done", "step": self.step, "times": "1"}
        begun = time.perf_counter()
        status, _ = self.ask(f"{self.at}/taps", form | {"view": f"step:{self.step}"}, TIME_OUT)
        self.taken.append(time.perf_counter() - begun if status == 200 else None)

    def go_on(self, stop: threading.Event) -> None:
        """Until told to stop."""
        while not stop.wait(0.2):
            self.tap()


class Typist(Device):
    """Types, and looks."""

    def __init__(self, port: int) -> None:
        super().__init__(port)
        self.text = ""
        self.seen: dict[str, float] = {}

    def look(self, text: str) -> None:
        """Ask for a look, and ask again until it is there or she has typed on."""
        form = {"plan": text, "looker": "typist"}
        while self.text == text:
            status, answer = self.ask("/new/look", form)
            if status == 200 and "<svg" in answer:
                self.seen[text] = time.perf_counter()
                return
            form["again"] = "yes"
            time.sleep(1)

    def type(self, texts: list[str]) -> float | None:
        """Type with pauses. How long after the last pause its picture came; None where it did not."""
        for text in texts:
            self.text = text
            self.break_off()
            threading.Thread(target=self.look, args=(text,), daemon=True).start()
            time.sleep(PAUSE)
        last = time.perf_counter() - PAUSE
        while texts[-1] not in self.seen and time.perf_counter() - last < LONGEST:
            time.sleep(0.05)
        return self.seen[texts[-1]] - last if texts[-1] in self.seen else None


def main(side: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        with Store.open(Path(folder)) as store:
            quilt = store.add({"title": "Long runner", "plan": PLAN, "demo": False, "made_at": "2026-01-01"}).id
        port = free_port()
        server = multiprocessing.get_context("spawn").Process(target=serve, args=(folder, port))
        server.start()
        try:
            while not Device(port).ask("/")[0]:
                time.sleep(0.1)
            measure(port, quilt, side)
        finally:
            server.kill()
            server.join()


def measure(port: int, quilt: str, side: int) -> None:
    """Taps alone, then while a block is typed."""
    alone = Tapper(port, quilt, "alone")
    for _ in range(ALONE):
        alone.tap()
    floor = median(taken for taken in alone.taken if taken is not None)
    Device(port).ask("/new")
    phones = [Tapper(port, quilt, name) for name in ("phone", "tablet")]
    stop = threading.Event()
    threads = [threading.Thread(target=phone.go_on, args=(stop,)) for phone in phones]
    for thread in threads:
        thread.start()
    text = plan_text(side)
    came = Typist(port).type([text + f"# {pause}\n" for pause in range(PAUSES)])
    stop.set()
    for thread in threads:
        thread.join()
    taken = [each for phone in phones for each in phone.taken]
    answered = [each for each in taken if each is not None]
    print(f"tap alone {floor * 1000:.1f} ms")
    print(f"taps answered while looking {len(answered)} of {len(taken)}")
    if answered:
        print(f"slowest / alone {max(answered) / floor:.1f}, median / alone {median(answered) / floor:.1f}")
    print(f"picture after the last of {PAUSES} pauses: {'never' if came is None else f'{came:.1f} s'}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 64)
