"""What storing one tap costs as the quilt grows, beside what the disk itself takes in the same run.

    python tests/bench_store.py [FOLDER]

The floor is one open file, 1 KB appended and synced. Give a folder on the disk that matters; the ratio is what to look
at, since disks differ a hundredfold.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tracker.store.quilts import Store

ROUNDS = 400


def times(action: Callable[[int], object]) -> list[float]:
    """Milliseconds of each of ROUNDS calls, sorted."""
    taken = []
    for number in range(ROUNDS):
        start = time.perf_counter()
        action(number)
        taken.append(1000 * (time.perf_counter() - start))
    return sorted(taken)


def floor(folder: Path) -> float:
    """The median of appending 1 KB to an open file and syncing it, in milliseconds."""
    descriptor = os.open(folder / "floor", os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def bare(number: int) -> None:
        os.write(descriptor, b"x" * 1024)
        os.fsync(descriptor)

    try:
        return statistics.median(times(bare))
    finally:
        os.close(descriptor)


def tap(number: int) -> dict[str, object]:
    return {"id": f"{number:032x}", "step": "beacon/sew S-R", "times": 1, "at": "2026-11-25T19:30:05", "by": "phone"}


def main() -> None:
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as name:
        folder = Path(name)
        with Store.open(folder / "rooms") as store:
            for earlier in (100, 20_000, 100_000):
                quilt = store.add({"plan": "x" * 5_000}, taps=(tap(number) for number in range(earlier)))
                base = floor(folder)

                def append(number: int, first: int = earlier) -> None:
                    quilt.append(tap(first + number))  # noqa: B023

                taken = times(append)
                p50, p99 = statistics.median(taken), taken[ROUNDS * 99 // 100]
                print(
                    f"{earlier:>7} earlier taps: p50 {p50:.3f} ms, p99 {p99:.3f} ms;"
                    f" floor {base:.3f} ms; ratio {p50 / base:.2f}"
                )
        start = time.perf_counter()
        Store.open(folder / "rooms").close()
        print(f"opening and closing again with these three quilts: {time.perf_counter() - start:.2f} s")


if __name__ == "__main__":
    main()
