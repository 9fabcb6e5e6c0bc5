"""What was reckoned lately and is asked for again: kept by exactly what it hangs on, bounded, safe between threads."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar, cast

Result = TypeVar("Result")


class Kept(Generic[Result]):
    """The last `most` results by their keys. A key must hold everything that its result hangs on.

    Nothing is reckoned while the lock is held: two threads may reckon the same at once, and one of the two is kept.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._found: dict[Hashable, Result] = {}

    def get(self, key: Hashable, reckon: Callable[[], Result]) -> Result:
        """The result kept under a key, or else what `reckon()` gives, which is kept from then on."""
        with self._lock:
            if key in self._found:
                # The last used stands last, the first is the one to go.
                found = self._found[key] = self._found.pop(key)
                return found
        made = reckon()
        with self._lock:
            self._found[key] = made
            while len(self._found) > self._most:
                del self._found[next(iter(self._found))]
        return made

    def forget(self) -> None:
        """Keep nothing: for tests that compare what is kept with what is reckoned afresh."""
        with self._lock:
            self._found.clear()


def reckoned(known: dict[Hashable, Any], what: Hashable, reckon: Callable[[], Result]) -> Result:
    """What is `known`, reckoned and kept there the first time."""
    if what not in known:
        known[what] = reckon()
    return cast(Result, known[what])
