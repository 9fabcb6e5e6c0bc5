"""A process that looks as tests want it to: at once, never to an end, not to be stopped, or not at all."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from tracker.looker import look_for_others
from tracker.preview import plan_work

COMMAND = (sys.executable, "-c", "from lookers import main; main()")

ENDLESS = "# endless"
"""A plan text with this in it is never looked at to an end."""


def say(text: str) -> dict[str, Any]:
    """Which process has looked, and at what."""
    return {"text": text, "process": os.getpid()}


def mark(text: str) -> dict[str, Any]:
    """The text is a file, to which a letter is added for each time that it was looked at."""
    with Path(text).open("a") as file:
        file.write("x")
    return say(text)


def never(text: str) -> dict[str, Any]:
    """Until it is given up."""
    while True:
        pass


def marked_never(text: str) -> dict[str, Any]:
    """The same, begun with a mark in the file."""
    mark(text)
    return never(text)


def stubborn(text: str) -> dict[str, Any]:
    """Not given up even when it is told to."""
    while True:
        with suppress(BaseException):
            threading.Event().wait()


def die(text: str) -> dict[str, Any]:
    """The process ends, as when the system takes it away."""
    os._exit(3)


def fail(text: str) -> dict[str, Any]:
    """A fault of its own."""
    raise ValueError(text)


def but_endless(work: Callable[[str], dict[str, Any]]) -> Callable[[str], dict[str, Any]]:
    """The work as it is, but for texts that say so."""
    return lambda text: never(text) if ENDLESS in text else work(text)


def main() -> None:
    """Look for a test."""
    own = (say, mark, never, marked_never, stubborn, die, fail)
    plans = {name: but_endless(work) for name, work in plan_work().items()}
    look_for_others({work.__name__: work for work in own} | plans)
