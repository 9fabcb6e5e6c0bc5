"""A process that looks as tests want it to: at once, never to an end, not to be stopped, or not at all."""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from tracker.looks.looker import Work, look_for_others
from tracker.looks.preview import plan_work

COMMAND = (sys.executable, "-c", "from lookers import main; main()")

ENDLESS = "# endless"
"""A plan text with this in it is never looked at to an end."""


def say(text: str) -> Iterator[dict[str, Any]]:
    """Which process has looked, and at what."""
    yield {"text": text, "process": os.getpid()}


def mark(text: str) -> Iterator[dict[str, Any]]:
    """The text is a file, to which a letter is added for each time that it was looked at."""
    with Path(text).open("a") as file:
        file.write("x")
    yield from say(text)


def never(text: str) -> Iterator[dict[str, Any]]:
    """A first answer, then nothing until it is given up."""
    yield {"text": text}
    while True:
        pass


def marked_never(text: str) -> Iterator[dict[str, Any]]:
    """The same, begun with a mark in the file."""
    yield from mark(text)
    yield from never(text)


def stubborn(text: str) -> Iterator[dict[str, Any]]:
    """Not given up even when it is told to."""
    yield {"text": text}
    while True:
        with suppress(BaseException):
            threading.Event().wait()


def die(text: str) -> Iterator[dict[str, Any]]:
    """The process ends, as when the system takes it away."""
    yield {"text": text}
    os._exit(3)


def fail(text: str) -> Iterator[dict[str, Any]]:
    """A fault of its own."""
    yield {"text": text}
    raise ValueError(text)


def but_endless(work: Work) -> Work:
    """The work as it is, but for texts that say so: of those only what comes first."""

    def done(text: str) -> Iterator[dict[str, Any]]:
        for answer in work(text):
            yield answer
            while ENDLESS in text:
                time.sleep(0.01)  # what is broken off while it reckons is `never`

    return done


def main() -> None:
    """Look for a test."""
    own = (say, mark, never, marked_never, stubborn, die, fail)
    plans = {name: but_endless(work) for name, work in plan_work().items()}
    look_for_others({work.__name__: work for work in own} | plans)
