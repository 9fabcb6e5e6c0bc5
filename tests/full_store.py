"""Fill the disk that a folder is on with taps until it is full, make room, go on; then the same after a restart.

    mount -t tmpfs -o size=2m none /mnt/small && python tests/full_store.py /mnt/small

Use a small disk of its own: this really fills it. Prints what the person would be told, and what was lost (0).
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tracker.store.quilts import Store, StoredQuilt, StoreFault


def fill(quilt: StoredQuilt, acknowledged: list[str]) -> None:
    """Append until the store refuses; prints the refusal."""
    while True:
        name = f"tap-{len(acknowledged)}"
        try:
            quilt.append({"id": name, "step": "S cut", "times": 1})
        except StoreFault as fault:
            print(f"after {len(acknowledged)} taps: {fault}")
            return
        acknowledged.append(name)


def main(folder: Path) -> int:
    ballast = folder / "ballast"
    ballast.write_bytes(b"x" * 200_000)
    acknowledged: list[str] = []
    with Store.open(folder / "rooms") as store:
        quilt = store.add({"title": "Lighthouse"})
        fill(quilt, acknowledged)
        fill(quilt, acknowledged)
        ballast.unlink()
        print("room made")
        fill(quilt, acknowledged)
        print("told while running:", *store.findings, sep="\n  ")
    with Store.open(folder / "rooms") as store:
        print("told at the next start:", *store.findings, sep="\n  ")
        lost = set(acknowledged) ^ {tap["id"] for tap in store.quilts()[0].taps}
    print(f"acknowledged {len(acknowledged)}, lost {len(lost)}")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
