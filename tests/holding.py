"""Something slow, held up for as long as a test wants."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from browser import PATIENCE

WAIT = PATIENCE / 1000


class Held:
    """Something slow: whoever calls it waits until it is let go, then gets what it always gives."""

    def __init__(self, really: Callable[..., Any], only: Callable[..., bool] = lambda *given: True) -> None:
        self._really, self._only = really, only
        self.reached, self.free = threading.Event(), threading.Event()
        self.waiting = 0

    def __call__(self, *given: Any, **named: Any) -> Any:
        if self._only(*given):
            self.waiting += 1
            self.reached.set()
            assert self.free.wait(2 * WAIT)
        return self._really(*given, **named)


@contextmanager
def held(monkeypatch: pytest.MonkeyPatch, module: Any, name: str, ask: Callable[[], Any], **only: Any) -> Iterator[Any]:
    """While the block lasts, somebody's question stands still in a function; a list of the answer afterwards."""
    slow, answers = Held(getattr(module, name), **only), []
    monkeypatch.setattr(module, name, slow)
    asking = threading.Thread(target=lambda: answers.append(ask()))
    asking.start()
    try:
        assert slow.reached.wait(WAIT), f"{name} was not asked for"
        yield answers
    finally:
        slow.free.set()
        asking.join(WAIT)
