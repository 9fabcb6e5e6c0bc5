"""The threads that answer: some are kept for taps, so that a tap waits for no page, however many are being made.

Knows no page but the address that taps are sent to.
"""

from __future__ import annotations

from waitress.channel import HTTPChannel
from waitress.task import ThreadedTaskDispatcher

THREADS = 8
"""For all that is asked for."""

KEPT = 4
"""For taps alone, when all others are at work."""

TAPS = "/taps"
"""How the address ends that taps are sent to."""


class Lanes(ThreadedTaskDispatcher):  # type: ignore[misc]
    """Answers what connections ask, each in a thread; taps by threads of their own where no other is free."""

    def __init__(self) -> None:
        super().__init__()
        self.set_thread_count(THREADS)
        self._kept = ThreadedTaskDispatcher()
        self._kept.set_thread_count(KEPT)

    def add_task(self, task: HTTPChannel) -> None:
        """Have the first request of a connection answered."""
        with self.lock:
            free = len(self.threads) - self.stop_count - self.active_count > len(self.queue)
        if not free and is_tap(task):
            self._kept.add_task(task)
        else:
            super().add_task(task)

    def shutdown(self, cancel_pending: bool = True, timeout: int = 5) -> bool:
        """Finish what had begun, that many seconds at most; taps first. Gives whether all is finished."""
        taps = self._kept.shutdown(cancel_pending, timeout)
        return bool(super().shutdown(cancel_pending, timeout) and taps)


def is_tap(task: HTTPChannel) -> bool:
    """Whether a connection of a caller who is known waits for a tap to be taken."""
    request = task.requests[0]
    return task.line.proven and getattr(request, "command", "") == "POST" and str(request.path).endswith(TAPS)
