"""How much a law is tried: a part in every run, other examples each time, and all before a version is closed."""

from __future__ import annotations

import os
from collections.abc import Sequence
from random import SystemRandom
from typing import TypeVar

T = TypeVar("T")

THOROUGH = os.environ.get("SEWING_ROOM_TESTS") == "thorough"
"""Set by whoever has the time: `SEWING_ROOM_TESTS=thorough bash tests/run`."""


def tries(thorough: int, usual: int = 0) -> int:
    """How many examples: in a usual run so many as said, or a quarter, but at least ten."""
    return thorough if THOROUGH else usual or max(10, thorough // 4)


def some(every: Sequence[T], usual: int) -> list[T]:
    """All of these, in order; in a usual run so many, others each time, the first and the last always among them."""
    if THOROUGH or len(every) <= usual:
        return list(every)
    places = {0, len(every) - 1, *SystemRandom().sample(range(1, len(every) - 1), usual - 2)}
    return [every[place] for place in sorted(places)]
