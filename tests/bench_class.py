"""A class on one computer: how soon taps are answered, and whether any is lost, through kills and a sleep.

    python tests/bench_class.py [PHONES [SECONDS]]

Each phone comes in by the class's code at the same moment as all others, then works as a page does: it taps, asks for
news of its screen and of what the teacher shows, and turns to other steps; the teacher's page asks for news too. The
server is the whole command `serve` in a process of its own. It is killed three times and started again, and once
stopped for some seconds and woken, as a laptop that slept: taps sent while it was away so, until it answers anything
again, are told apart. A tap that is not answered is sent again under its name. In the end every tap that was answered
must be on the disk once, in its order.
"""

from __future__ import annotations

import http.client
import multiprocessing
import os
import random
import re
import signal
import socket
import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browser import free_port
from kill_room import serve

from tracker.cli import add_demo
from tracker.safekeeping.pairing import Pairing
from tracker.store.quilts import Store

TIME_OUT = 5
"""Seconds after which a page sends a tap again."""
SLEEP = 4
SOON = 0.2


class Caller:
    """A device with a line of its own that it opens again when it breaks."""

    def __init__(self, host: str, port: int, cookie: str = "") -> None:
        self.host, self.port, self.cookie = host, port, cookie
        self.line: http.client.HTTPConnection | None = None

    def ask(self, path: str, form: dict[str, str] | None = None) -> http.client.HTTPResponse:
        """One answer, read; OSError or HTTPException where there is none."""
        if self.line is None:
            self.line = http.client.HTTPConnection(self.host, self.port, timeout=TIME_OUT)
        headers = {"Host": f"{self.host}:{self.port}", "Origin": f"http://{self.host}:{self.port}"}
        headers |= {
            "Cookie": self.cookie,
            "HX-Request": "true",
            "HX-Request-Type": "partial",
            "Accept-Encoding": "gzip",
        }
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            self.line.request("GET" if form is None else "POST", path, urlencode(form) if form else None, headers)
            answer = self.line.getresponse()
            answer.body = answer.read()  # type: ignore[attr-defined]
            return answer
        except (OSError, http.client.HTTPException):
            self.line.close()
            self.line = None
            raise


class Phone(Caller):
    """A pupil's phone: what was answered, and how soon."""

    def __init__(self, host: str, port: int, number: int) -> None:
        super().__init__(host, port)
        self.number, self.name = number, f"pupil-{number:02}"
        self.chance = random.Random(number)
        self.kept: list[str] = []
        self.took: list[tuple[float, float]] = []  # when each was sent, and how long it took
        self.counted: dict[str, int] = {}
        self.again = 0
        self.strange: list[str] = []

    def come_in(self, code: str) -> float:
        """Join the class; seconds it took, with all that was tried in vain."""
        began = time.monotonic()
        sent = f"{self.number:016x}"
        while not self.cookie:
            try:
                answer = self.ask("/join", {"code": code, "name": self.name, "sent": sent})
                found = re.search(r"(sewing-class-\w+=[\w-]+)", answer.headers.get("Set-Cookie", ""))
                if found is None:
                    raise OSError(f"{answer.status}")
                self.cookie = found[1]
            except (OSError, http.client.HTTPException):
                time.sleep(0.5)
        return time.monotonic() - began

    def work(self, stop: threading.Event, quilt: str, steps: list[str]) -> None:
        """Tap and look until told to stop; every tap until it is answered."""
        news = next_news = time.monotonic()
        while not stop.is_set():
            time.sleep(self.chance.uniform(0.2, 1.2))
            step = self.chance.choice(steps)
            self._tap(quilt, step)
            if time.monotonic() > news:
                self._look(f"/quilts/{quilt}/changes?since=0&view=step:{step}")
                news = time.monotonic() + 2.5
            if time.monotonic() > next_news:
                self._look("/mine/news")
                next_news = time.monotonic() + 4
            if self.chance.random() < 0.2:
                self._look(f"/quilts/{quilt}/steps/{step}")

    def _look(self, path: str) -> None:
        try:
            answer = self.ask(path)
            if answer.status not in (200, 204):
                self.strange.append(f"{answer.status} {path}")
        except (OSError, http.client.HTTPException):
            time.sleep(0.1)

    def _tap(self, quilt: str, step: str) -> None:
        name = f"{self.name}-{len(self.kept):06}"
        form = {"tap": name, "do": "note", "text": name, "view": f"step:{step}"}
        if len(self.kept) % 2:
            times = self.counted[step] = (self.counted.get(step, 0) + 1) % 4
            form |= {"do": "counted", "step": step, "times": str(times)}
        while True:
            began = time.monotonic()
            try:
                answer = self.ask(f"/quilts/{quilt}/taps", form)
            except (OSError, http.client.HTTPException):
                self.again += 1
                time.sleep(0.5)
                continue
            if answer.status not in (200, 204):
                self.strange.append(f"{answer.status} {form} {answer.body[-200:]!r}")  # type: ignore[attr-defined]
                return
            self.took.append((began, time.monotonic() - began))
            self.kept.append(name)
            return


def main(phones: int, seconds: int) -> int:
    processes = multiprocessing.get_context("forkserver")
    processes.set_forkserver_preload(["tracker.cli", "tracker.web"])
    host, port = socket.gethostname().lower(), free_port()
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        with Store.open(data) as store:
            add_demo(store)
            (demo,) = store.quilts()
            facts = {
                "title": "The class",
                "plan": demo.about["plan"],
                "demo": False,
                "reckoning": demo.about["reckoning"],
            }
            pairing = Pairing(store.room)
            group = pairing.classes.begin("The class", store.add(facts).id)
            teacher = Caller(host, port, f"{pairing.cookie}={pairing.pair(pairing.code, 'teacher', 'teacher')}")
        server = processes.Process(target=serve, args=(str(data), port))
        server.start()
        pupils = [Phone(host, port, number) for number in range(phones)]
        joined = _all(pupils, lambda phone: phone.come_in(group.code))
        print(f"{phones} phones came in at once: the last after {max(joined):.1f} s")
        page = teacher.ask(f"/quilts/{group.quilt}/steps").body.decode(errors="replace")  # type: ignore[attr-defined]
        steps = list(dict.fromkeys(re.findall(r"/steps/(\w+)", _unpacked(page, teacher, group.quilt))))[:3]
        quilts = _quilts(data)
        stop, away = threading.Event(), list[tuple[float, float]]()
        threads = [threading.Thread(target=p.work, args=(stop, quilts[p.name], steps)) for p in pupils]
        threads.append(threading.Thread(target=_teach, args=(stop, teacher, group.id)))
        for thread in threads:
            thread.start()
        for turn in range(4):
            time.sleep(seconds / 5)
            if turn == 1:
                began = time.monotonic()
                os.kill(server.pid or 0, signal.SIGSTOP)
                time.sleep(SLEEP)
                os.kill(server.pid or 0, signal.SIGCONT)
                away.append((began, time.monotonic()))
                continue
            began = time.monotonic()
            server.kill()
            server.join()
            time.sleep(0.5)
            server = processes.Process(target=serve, args=(str(data), port))
            server.start()
            _until_it_answers(Caller(host, port))
            away.append((began, time.monotonic()))
        time.sleep(seconds / 5)
        stop.set()
        for thread in threads:
            thread.join()
        server.terminate()
        server.join()
        return _report(data, pupils, quilts, away)


def _unpacked(page: str, teacher: Caller, quilt: str) -> str:
    """The list of steps as text: asked for once more without packing."""
    line = http.client.HTTPConnection(teacher.host, teacher.port, timeout=30)
    line.request(
        "GET", f"/quilts/{quilt}/steps", headers={"Host": f"{teacher.host}:{teacher.port}", "Cookie": teacher.cookie}
    )
    return line.getresponse().read().decode()


def _until_it_answers(stranger: Caller) -> None:
    """Wait until the server answers anybody."""
    while True:
        try:
            stranger.ask("/pair")
            return
        except (OSError, http.client.HTTPException):
            time.sleep(0.05)


def _all(pupils: list[Phone], does: object) -> list[float]:
    """What came of what each phone does at the same moment."""
    came: list[float] = []
    threads = [threading.Thread(target=lambda p=p: came.append(does(p))) for p in pupils]  # type: ignore[operator,misc]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return came


def _quilts(data: Path) -> dict[str, str]:
    """Each pupil's quilt, as it stands on the disk of the room that runs."""
    from tracker.store.records import read_log

    state = read_log(data / "room.facts").replayed()
    assert state is not None
    facts = state.tables["about"]["1"]
    pupils = next(each["pupils"] for key, each in facts.items() if key.startswith("class-"))
    return {each["name"]: each["quilt"] for each in pupils.values()}


def _teach(stop: threading.Event, teacher: Caller, class_id: str) -> None:
    while not stop.is_set():
        time.sleep(3)
        try:
            teacher.ask(f"/classes/{class_id}/news")
        except (OSError, http.client.HTTPException):
            time.sleep(0.5)


def _report(data: Path, pupils: list[Phone], quilts: dict[str, str], away: list[tuple[float, float]]) -> int:
    lost = twice = disorder = 0
    with Store.open(data) as store:
        for phone in pupils:
            there = [str(tap["id"]) for tap in store.quilt(quilts[phone.name]).taps]
            lost += len(set(phone.kept) - set(there))
            twice += len(there) - len(set(there))
            disorder += there != sorted(there)
    every = [each for phone in pupils for each in phone.took]
    took = sorted(
        length for sent, length in every if not any(sent < until and sent + length > since for since, until in away)
    )
    soon = sum(time <= SOON for time in took)
    strange = [each for phone in pupils for each in phone.strange]
    print(
        f"taps {len(took)}, answered within {1000 * SOON:.0f} ms {100 * soon / len(took):.2f} %, median"
        f" {1000 * statistics.median(took):.0f} ms, 99 % {1000 * took[int(len(took) * 0.99)]:.0f} ms, slowest"
        f" {1000 * took[-1]:.0f} ms; while it was away {len(every) - len(took)}"
    )
    print(f"sent again, since nothing answered: {sum(phone.again for phone in pupils)}")
    print(f"lost {lost}, twice {twice}, out of order {disorder}, not as expected {len(strange)}")
    for each in strange[:5]:
        print(f"not as expected: {each}")
    return int(bool(lost or twice or disorder or strange or soon < 0.99 * len(took)))


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:3]]
    sys.exit(main(*(given + [30, 60][len(given) :])))
