"""Kill a serving sewing room under the taps of several devices, again and again, and look for what it had answered.

    python tests/kill_room.py 1000

prints `kills 1000, acknowledged A, lost 0, unreadable 0`. Each server is the whole command `serve`, in a process of its
own. Paired devices tap, take back and write notes on two quilts, open pages, download backups and pair further devices;
what is not answered they send again, as the pages do. The server is killed at a random moment, the folder is opened as
at any start, and everything answered so far must be there once, in the order of each device.
"""

from __future__ import annotations

import argparse
import http.client
import multiprocessing
import os
import random
import re
import socket
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browser import free_port

from tracker.safekeeping.backup import read_backup
from tracker.safekeeping.pairing import Pairing
from tracker.store.quilts import Store, StoreFault

CLIENTS = 4
TURNS_A_ROOM = 25
PLAN = f"""\
title = "Long runner"
[fabrics.S]
name = "pale sand"
tone = 2
[blocks.strip]
cell = "2"
picture = '{" ".join(["S"] * 60)}'
[quilt]
block = "strip"
across = 5
down = 4
"""
"""Quickly read, and much to cut."""


@dataclass
class Result:
    """What came of all kills."""

    kills: int = 0
    acknowledged: int = 0
    lost: int = 0
    unreadable: int = 0
    unfinished: int = 0
    strange: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        return f"kills {self.kills}, acknowledged {self.acknowledged}, lost {self.lost}, unreadable {self.unreadable}"


def serve(folder: str, port: int) -> None:
    """The command, in this process, saying nothing."""
    from tracker.cli import main

    with open(os.devnull, "w") as nowhere:
        sys.stdout = sys.stderr = nowhere
        main(["serve", "--data", folder, "--port", str(port), "--host", "127.0.0.1"])


class Device:
    """A paired device that taps without end, sends again what was not answered, and remembers what was."""

    def __init__(self, name: str, port: int, folder: Path, chance: random.Random) -> None:
        self.name, self.chance, self.number = name, chance, 0
        # The computer's own name, not loopback's: it needs its cookie.
        self.host = f"{socket.gethostname().lower()}:{port}"
        self.port = port
        with Store.open(folder) as store:
            pairing = Pairing(store.room)
            self.code, self.cookie = pairing.code, pairing.cookie
            self.token = pairing.pair(self.code, name, name)
            self.quilts = [quilt.id for quilt in store.quilts()]
        self.kept: list[tuple[str, str]] = []
        self.tokens = [self.token]
        self.strange: list[str] = []
        self.step = ""
        self._waiting: tuple[str, dict[str, str]] | None = None

    def work(self, stop: threading.Event, first: threading.Event) -> None:
        """Tap until told to stop."""
        while not stop.is_set():
            try:
                line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
                while not stop.is_set():
                    self._one(line)
                    first.set()
            except (OSError, http.client.HTTPException):
                time.sleep(0.004)  # killed, or not started yet
            finally:
                line.close()

    def _ask(
        self, line: http.client.HTTPConnection, path: str, form: dict[str, str] | None = None
    ) -> tuple[int, bytes, str]:
        headers = {"Host": self.host, "Cookie": f"{self.cookie}={self.token}", "Origin": f"http://{self.host}"}
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        line.request("GET" if form is None else "POST", path, None if form is None else urlencode(form), headers)
        answer = line.getresponse()
        return answer.status, answer.read(), answer.headers.get("Set-Cookie", "")

    def _one(self, line: http.client.HTTPConnection) -> None:
        if not self.step:
            page = self._ask(line, f"/quilts/{self.quilts[0]}/steps")[1].decode()
            self.step = re.findall(r"/steps/(\w+)", page)[0]
        if self._waiting is None:
            self.number += 1
            self._waiting = self._next()
        quilt, form = self._waiting
        if form["do"] == "pair":
            self._pair(line)
        else:
            status, body, _ = self._ask(line, f"/quilts/{quilt}/taps", form)
            if status not in (200, 303):
                self.strange.append(f"{status} {form} {body[-300:]!r}")
            else:
                self.kept.append((quilt, form["tap"]))
        self._waiting = None
        if self.number % 20 == 0:
            status, data, _ = self._ask(line, "/room/backup")
            if status == 200 and len(read_backup(data, "backup").quilts) != len(self.quilts):
                self.strange.append("a backup without all quilts")

    def _pair(self, line: http.client.HTTPConnection) -> None:
        """Pair a further device, which is this one with no cookie."""
        token, self.token = self.token, ""
        try:
            cookie = self._ask(line, "/pair", {"code": self.code, "name": self.name})[2]
        finally:
            self.token = token
        self.tokens += re.findall(rf"{self.cookie}=([\w-]+)", cookie)

    def _next(self) -> tuple[str, dict[str, str]]:
        quilt, tap = self.chance.choice(self.quilts), f"{self.name}-{self.number:08}"
        last = next((kept for kept in reversed(self.kept) if kept[0] == quilt), None)
        match self.number % 10:
            case 3:
                return quilt, {"tap": tap, "do": "note", "text": f"“{tap}”"}
            case 6 if self.number % 50 == 6 and len(self.tokens) < 20:
                return quilt, {"do": "pair"}
            case 7 if last and last[1].endswith(("4", "5", "6")):
                return quilt, {"tap": tap, "do": "take back", "what": last[1]}
        return quilt, {"tap": tap, "do": "done", "step": self.step, "times": "1"}


def run(folder: Path, kills: int, seed: int) -> Result:
    """Kill so many servers of the folder; count what was answered, lost and unreadable."""
    chance, result = random.Random(seed), Result()
    processes = multiprocessing.get_context("forkserver")
    # Each server starts from a process that has the program in memory already, and nothing else.
    processes.set_forkserver_preload(["tracker.cli", "tracker.web"])
    devices: list[Device] = []
    for turn in range(kills):
        if turn % TURNS_A_ROOM == 0:
            _settle(devices, result)
            room = folder / str(turn)
            with Store.open(room) as store:
                for number in (1, 2):
                    store.add({"title": f"Quilt {number}", "plan": PLAN})
            port = free_port()
            devices = [Device(f"device-{number}", port, room, chance) for number in range(CLIENTS)]
        server = processes.Process(target=serve, args=(str(room), port))
        _run_and_kill(server, devices, chance, at_work=turn % 3 != 0)
        result.kills += 1
        _check(room, devices, result)
    _settle(devices, result)
    return result


def _settle(devices: list[Device], result: Result) -> None:
    for device in devices:
        result.acknowledged += len(device.kept) + len(device.tokens) - 1
        result.strange += device.strange


def _run_and_kill(
    server: multiprocessing.process.BaseProcess, devices: list[Device], chance: random.Random, at_work: bool
) -> None:
    """Start it, have all devices tap, kill it: soon after the first answer, or after its start, whatever it does."""
    stop, first = threading.Event(), threading.Event()
    server.start()
    threads = [threading.Thread(target=device.work, args=(stop, first)) for device in devices]
    for thread in threads:
        thread.start()
    if at_work:
        first.wait(20)
    time.sleep(chance.uniform(0, 0.12) if at_work else chance.uniform(0.005, 0.25))
    server.kill()
    stop.set()
    for thread in threads:
        thread.join()
    server.join()


def _check(folder: Path, devices: list[Device], result: Result) -> None:
    try:
        with Store.open(folder) as store:
            result.unfinished += sum(finding.kind == "unfinished" for finding in store.findings)
            result.unreadable += sum(finding.kind != "unfinished" for finding in store.findings)
            there = {(quilt.id, str(tap["id"])) for quilt in store.quilts() for tap in quilt.taps}
            assert len(there) == sum(len(quilt.taps) for quilt in store.quilts()), "each tap once"
            for quilt in store.quilts():
                for device in devices:
                    own = [tap["id"] for tap in quilt.taps if tap["id"].startswith(device.name)]
                    assert own == sorted(own), "each device's taps in their order"
            pairing = Pairing(store.room)
            for device in devices:
                gone = [kept for kept in device.kept if kept not in there]
                out = [token for token in device.tokens if pairing.greet(token) is None]
                result.lost += len(gone) + len(out)
                device.kept = [kept for kept in device.kept if kept in there]
    except StoreFault as fault:
        result.unreadable += 1
        print(fault, file=sys.stderr)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kills", type=int, nargs="?", default=1000)
    parser.add_argument("--seed", type=int, default=int(time.time()))
    given = parser.parse_args()
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        result = run(Path(folder), given.kills, given.seed)
    print(result)
    took = round(time.monotonic() - began)
    print(f"(unfinished last lines cut off: {result.unfinished}; {took} s; seed {given.seed})")
    for strange in result.strange[:10]:
        print(f"not as expected: {strange}")
    return 1 if result.lost or result.unreadable or result.strange else 0


if __name__ == "__main__":
    sys.exit(main())
