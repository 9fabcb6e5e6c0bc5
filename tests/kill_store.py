"""Kill a program that stores taps from several threads, again and again, and look for what it had acknowledged.

    python tests/kill_store.py 1000

prints `kills 1000, acknowledged A, lost 0, unreadable 0`. Each child appends single taps and batches to two quilts,
changes facts and writes the files anew often; it is killed at a random moment; then the store is opened as at any
start, and every tap acknowledged so far must be there once, in the order of each thread.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tracker.store import journal
from tracker.store.quilts import Store, StoreFault

THREADS = 4
TURNS_A_ROOM = 25


@dataclass
class Result:
    kills: int = 0
    acknowledged: int = 0
    lost: int = 0
    unreadable: int = 0
    unfinished: int = 0

    def __str__(self) -> str:
        return f"kills {self.kills}, acknowledged {self.acknowledged}, lost {self.lost}, unreadable {self.unreadable}"


def child(folder: Path, turn: str) -> None:
    """Store taps until killed; each id is printed after the store said that it is kept."""
    journal.BOUND = 40
    store = Store.open(folder)
    quilts = store.quilts()

    def work(worker: int) -> None:
        number = 0
        while True:
            quilt = quilts[number % len(quilts)]
            ids = [f"{turn}-{worker}-{number + extra}" for extra in range(3 if number % 5 == 0 else 1)]
            if len(ids) > 1:
                quilt.append_all([{"id": name, "step": "S cut", "times": 1} for name in ids])
            else:
                quilt.append({"id": ids[0], "step": "S cut", "times": 1})
            os.write(1, "".join(f"{quilt.id} {name}\n" for name in ids).encode())
            if number % 7 == 0:
                quilt.set_about(note=ids[0])
            number += len(ids)

    for worker in range(THREADS):
        threading.Thread(target=work, args=(worker,)).start()


def run(folder: Path, kills: int, seed: int) -> Result:
    """Kill so many children that store in the folder; count what was acknowledged, lost and unreadable."""
    chance = random.Random(seed)
    result = Result()
    kept: dict[str, set[str]] = {}
    for turn in range(kills):
        if turn % TURNS_A_ROOM == 0:
            room = folder / str(turn)
            result.acknowledged += sum(map(len, kept.values()))
            with Store.open(room) as store:
                kept = {store.add({"title": f"quilt {number}"}).id: set() for number in (1, 2)}
        # Most are killed at work, every third perhaps while it is still opening the store.
        after, at_work = (chance.uniform(0, 0.15), True) if turn % 3 else (chance.uniform(0.05, 0.35), False)
        for line in _killed_child(room, str(turn), after, at_work):
            quilt_id, name = line.split()
            kept[quilt_id].add(name)
        result.kills += 1
        _check(room, kept, result)
    result.acknowledged += sum(map(len, kept.values()))
    return result


def _killed_child(folder: Path, turn: str, after: float, at_work: bool) -> list[str]:
    """Start a child, kill it so many seconds after its start or first acknowledgement, give the lines it finished."""
    command = [sys.executable, __file__, "--child", str(folder), turn]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        first = process.stdout.readline() if at_work else ""
        killer = threading.Timer(after, process.kill)
        killer.start()
        rest = process.stdout.read()
        killer.join()
    # A line cut off in the pipe was not acknowledged to anybody.
    return [line for line in (first + rest).splitlines(keepends=True) if line.endswith("\n")]


def _check(folder: Path, kept: dict[str, set[str]], result: Result) -> None:
    try:
        with Store.open(folder) as store:
            result.unfinished += sum(finding.kind == "unfinished" for finding in store.findings)
            result.unreadable += sum(finding.kind != "unfinished" for finding in store.findings)
            for quilt_id, names in kept.items():
                there = [tap["id"] for tap in store.quilt(quilt_id).taps]
                assert len(there) == len(set(there)), "each tap once"
                reached: dict[str, int] = {}
                for name in there:
                    worker, _, number = name.rpartition("-")
                    assert int(number) > reached.get(worker, -1), "each thread's taps in their order"
                    reached[worker] = int(number)
                lost = names - set(there)
                result.lost += len(lost)
                names -= lost
    except StoreFault as fault:
        result.unreadable += 1
        print(fault, file=sys.stderr)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kills", type=int, nargs="?", default=1000)
    parser.add_argument("--seed", type=int, default=int(time.time()))
    parser.add_argument("--child", nargs=2, metavar=("FOLDER", "TURN"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        child(Path(given.child[0]), given.child[1])
        return 0
    with tempfile.TemporaryDirectory() as folder:
        result = run(Path(folder), given.kills, given.seed)
    print(result)
    print(f"(unfinished last lines cut off: {result.unfinished}; seed {given.seed})")
    return 1 if result.lost or result.unreadable else 0


if __name__ == "__main__":
    sys.exit(main())
