"""Python's search for garbage in circles, made seldom while much is made that stays."""

from __future__ import annotations

import gc
import threading
from collections.abc import Iterator
from contextlib import contextmanager

SELDOM = 200_000
"""How many things more are made than given up before the youngest are searched."""

_lock = threading.Lock()
_running: list[tuple[int, int, int]] = []
"""For each one at work, how often it was searched before the first of them began."""


@contextmanager
def collecting_seldom() -> Iterator[None]:
    """While this lasts, garbage in circles is searched for seldom; whatever else is not used is given up at once.

    A large quilt is millions of small things that all stay, and none of them lie in circles: going through them again
    and again took as long as sewing it. Several threads may do so at once; the last one sets it back.
    """
    with _lock:
        _running.append(_running[0] if _running else gc.get_threshold())
        if _running[0][0]:
            gc.set_threshold(max(SELDOM, _running[0][0]), *_running[0][1:])
    try:
        yield
    finally:
        with _lock:
            before = _running.pop()
            if not _running:
                gc.set_threshold(*before)
