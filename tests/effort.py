"""How much a law is tried: a part in every run, other examples each time, and all before a version is closed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from random import Random, SystemRandom
from typing import TypeVar

Row = TypeVar("Row")

THOROUGH = os.environ.get("SEWING_ROOM_TESTS") == "thorough"
"""Set by whoever has the time: `SEWING_ROOM_TESTS=thorough bash tests/run`."""

RUN = os.environ.get("PYTEST_XDIST_TESTRUNUID") or str(SystemRandom().random())
"""The same in every process of a run, since all must find the same tests."""


def tries(thorough: int, usual: int = 0) -> int:
    """How many examples: in a usual run so many as said, or an eighth, but at least five."""
    return thorough if THOROUGH else usual or max(5, thorough // 8)


def some(every: Sequence[Row], usual: int) -> list[Row]:
    """All of these, in order; in a usual run so many, others each time, the first and the last always among them."""
    if THOROUGH or len(every) <= usual:
        return list(every)
    places = {0, len(every) - 1, *SystemRandom().sample(range(1, len(every) - 1), usual - 2)}
    return [every[place] for place in sorted(places)]


def by_lot(rows: Iterable[Row], each: int = 4) -> list[Row]:
    """Which rows of a table are tried: in a usual run one of every so many, others each time, alike in each process."""
    table = list(rows)
    return table if THOROUGH else table[Random(f"{RUN} {len(table)}").randrange(min(each, len(table))) :: each]
