"""How much a law is tried: a part in every run, other examples each time, and all before a version is closed."""

from __future__ import annotations

import os

THOROUGH = os.environ.get("SEWING_ROOM_TESTS") == "thorough"
"""Set by whoever has the time: `SEWING_ROOM_TESTS=thorough bash tests/run`."""


def tries(thorough: int, usual: int = 0) -> int:
    """How many examples: in a usual run so many as said, or a quarter, but at least ten."""
    return thorough if THOROUGH else usual or max(10, thorough // 4)
