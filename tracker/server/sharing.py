"""How threads share the interpreter while it serves: none keeps the others waiting for long.

Two things do so of themselves. A thread that reckons keeps the interpreter for a while whenever another wants it; a
tap's thread wants it a dozen times, each time it comes back from the disk or the network. And looking for objects that
nobody uses any more stops everything for as long as it takes to look at all there are: half a second with some large
plans in memory. Plans hold no such objects, so what has lived long is set aside and looked at only in quiet moments.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

SLICE = 500
"""Millionths of a second for which a thread goes on when another waits; ten times shorter than is usual."""

YOUNG, MIDDLE, SELDOM = 2_000, 10, 1_000
"""New objects are looked at after so many, those that stayed after so many times that, and all of them never."""

SET_ASIDE_AFTER = 10
"""So often the middle ones are looked at before all that are left are set aside."""

QUIET = 600
"""Seconds without a request after which everything is looked at once."""


class Tidying:
    """Looks after objects that live long; told each time the server has woken."""

    def __init__(self) -> None:
        self._busy: int | None = None

    def mind(self, asked: bool, now: int) -> None:
        """Set aside what has lived long; look at all of it once it is quiet. In: whether anything was asked for since
        the last time, and a clock in seconds."""
        if asked:
            self._busy = now
        if gc.get_count()[2] >= SET_ASIDE_AFTER:
            gc.freeze()
        if self._busy is not None and now - self._busy >= QUIET:
            self._busy = None
            gc.unfreeze()
            gc.collect()
            gc.freeze()


@contextmanager
def shared() -> Iterator[Tidying]:
    """Threads share the interpreter in small slices while the block lasts; afterwards all is as it was."""
    slices, thresholds = sys.getswitchinterval(), gc.get_threshold()
    sys.setswitchinterval(SLICE / 1_000_000)
    gc.set_threshold(YOUNG, MIDDLE, SELDOM)
    gc.freeze()
    try:
        yield Tidying()
    finally:
        gc.unfreeze()
        gc.set_threshold(*thresholds)
        sys.setswitchinterval(slices)


def clock() -> int:
    """Whole seconds of a clock that only goes on."""
    return int(time.monotonic())
