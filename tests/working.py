"""Work counted, not timed: the same on a busy computer."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

NO_END = 60
"""Seconds of this process after which it is taken to have no end: two hundred times what the slowest text takes."""


@contextmanager
def counted_work() -> Iterator[list[int]]:
    """Counts the lines of Python that run meanwhile. What runs below Python (patterns that try one way after another)
    is only held to end at all."""
    lines = [0]

    def count(frame: FrameType, event: str, argument: object) -> Callable[..., Any]:
        lines[0] += 1
        return count

    def stop(number: int, frame: FrameType | None) -> None:
        raise AssertionError("this seems to have no end")

    former, before = sys.gettrace(), signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, NO_END)
    sys.settrace(count)
    try:
        yield lines
    finally:
        sys.settrace(former)
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)
