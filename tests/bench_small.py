"""How the sewing room does on a small computer: `python tests/bench_small.py`. Prints times; run it by hand.

A whole server with 200 quilts runs in processes of its own, which are let run for a quarter of the time only, in slices
of ten milliseconds; the one that asks is not slowed. The same at full speed stands beside it. The sources are compiled
beforehand, as they are where the tool is installed.
"""

from __future__ import annotations

import http.client
import os
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browser import free_port
from visitors import SMALL_PLAN, add_quilt

from tracker.demo import PLAN_FILE, demo_plan_text
from tracker.store.quilts import Store

QUILTS = 200
SLICE = 0.01
COMPILED = {**os.environ, "PYTHONPYCACHEPREFIX": str(Path(__file__).resolve().parent.parent / ".pytest_cache/compiled")}
COMPILED.pop("PYTHONDONTWRITEBYTECODE", None)
TYPED_AFTER = 2
"""Seconds from a page's opening until somebody has typed something in it."""

AIMS = {"first page after the start": 4000, "a tap": 2000, "a page of a step": 2000, "an edited plan looked at": 2000}
"""Milliseconds that these may take at a quarter of the speed: four times what a usual computer is to do."""


class Slowed:
    """A command, let run for one part in so many; all processes that it starts, too."""

    def __init__(self, parts: int, *command: str) -> None:
        self._parts = parts
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tracker", *command], stdout=subprocess.DEVNULL, start_new_session=True, env=COMPILED
        )
        threading.Thread(target=self._slow, daemon=True).start()

    def _slow(self) -> None:
        with suppress(ProcessLookupError):
            while self._parts > 1 and self.process.poll() is None:
                os.killpg(self.process.pid, signal.SIGSTOP)
                time.sleep(SLICE * (self._parts - 1))
                os.killpg(self.process.pid, signal.SIGCONT)
                time.sleep(SLICE)

    def end(self) -> None:
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def ask(port: int, path: str, form: dict[str, str] | None = None) -> str:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    headers = {"Host": f"localhost:{port}", "Origin": f"http://localhost:{port}"}
    headers |= {"Content-Type": "application/x-www-form-urlencoded"} if form else {}
    line.request("POST" if form else "GET", path, urlencode(form or {}), headers)
    answer = line.getresponse()
    text = answer.read().decode()
    assert answer.status in (200, 204, 303), (path, answer.status, text[:300])
    line.close()
    return text


def took(work: Callable[[], object]) -> float:
    """Milliseconds of one piece of work."""
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


@contextmanager
def served(parts: int, folder: Path) -> Iterator[tuple[int, float]]:
    """A room on a port, and how long its first page took from the start."""
    port = free_port()
    start = time.perf_counter()
    room = Slowed(parts, "serve", "--data", str(folder), "--port", str(port))
    try:
        while True:
            with suppress(ConnectionRefusedError):
                ask(port, "/")
                break
            time.sleep(0.02)
        yield port, (time.perf_counter() - start) * 1000
    finally:
        room.end()


def times(parts: int) -> dict[str, float]:
    """What each kind of work takes."""
    found = {}
    with tempfile.TemporaryDirectory() as data:
        with Store.open(Path(data)) as store:
            quilt = add_quilt(store, demo_plan_text())
            for number in range(QUILTS - 1):
                add_quilt(store, SMALL_PLAN.replace("Lantern", f"Lantern {number}"))
        check = Slowed(parts, "check", str(PLAN_FILE))
        found["a plan compiled, from the start"] = took(check.process.wait)
        with served(parts, Path(data)) as (port, first):
            found["first page after the start"] = first
            at = f"/quilts/{quilt.id}"
            step = re.findall(rf"{at}/steps/\w+", ask(port, f"{at}/steps"))[0]
            found["a page of a step"] = statistics.median(took(lambda: ask(port, step)) for _ in range(15))
            taps = iter(range(1000))
            short = step.rpartition("/")[2]

            def tap() -> None:
                form = {"tap": f"slow-tap-{next(taps)}", "do": "done", "step": short, "times": "1"}
                ask(port, f"{at}/taps", form)

            found["a tap"] = statistics.median(took(tap) for _ in range(15))
            edited = demo_plan_text().replace("across = 3", "across = 4")

            def look() -> None:
                while "This can be sewn" not in ask(port, "/new/look", {"plan": edited, "looker": "slow"}):
                    time.sleep(0.05)

            ask(port, "/new")
            time.sleep(TYPED_AFTER)
            found["an edited plan looked at"] = took(look)
    return found


def main() -> None:
    every = "import tracker.cli, tracker.web.screens as screens; screens.all_screens()"
    subprocess.run([sys.executable, "-c", every], env=COMPILED, check=True)
    usual, slow = times(1), times(4)
    print(f"{'':34} full speed   a quarter   aim at a quarter")
    for name, time_taken in slow.items():
        aim = f"{AIMS[name]} ms" if name in AIMS else ""
        print(f"{name:34} {usual[name]:7.0f} ms {time_taken:8.0f} ms   {aim}")


if __name__ == "__main__":
    main()
