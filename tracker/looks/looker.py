"""A process that looks at texts one after another, so that its work holds nobody else up, and can be given up.

It is spoken to in frames through its standard input and output: four bytes of length, then JSON.

    {"number": n, "do": name, "text": "..."}   do this work     -> {"number": n, "so far": {...}}, once or more
                                                                then {"number": n, "done": true}
                                                                or {"number": n, "broken": traceback}
    {"give up": n}                             stop working     -> {"number": n, "given up": true}

Where its input ends (whoever started it is gone, killed or not) it ends at once, in the midst of its work.
"""

from __future__ import annotations

import _thread
import gc
import json
import os
import signal
import sys
import threading
import traceback
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from queue import Empty, SimpleQueue
from types import FrameType
from typing import IO, Any

Frame = dict[str, Any]

Work = Callable[[str], Iterator[Frame]]
"""Work on a text: plain answers, each in place of that before it, as they are found."""

LONGEST_REST = 600
"""Seconds without work after which the process ends, so that its memory is free again."""

NICE = 5
"""By so much it stands back where the processor is wanted by others, as by what answers taps."""


class GivenUp(BaseException):
    """Nobody waits for this work any more. Not an Exception, so that no code takes it for a fault of its own."""


def write_frame(stream: IO[bytes], frame: Frame) -> None:
    """Send one frame. Raises OSError or ValueError where nobody reads any more."""
    data = json.dumps(frame).encode()
    stream.write(len(data).to_bytes(4, "big") + data)
    stream.flush()


def read_frame(stream: IO[bytes]) -> Frame | None:
    """The next frame; None at the end of the stream."""
    head = stream.read(4)
    data = stream.read(int.from_bytes(head, "big")) if len(head) == 4 else b""
    if len(head) < 4 or len(data) < int.from_bytes(head, "big"):
        return None
    frame: Frame = json.loads(data)
    return frame


class Looker:
    """Does named work on texts until its source ends."""

    def __init__(self, work: Mapping[str, Work], source: IO[bytes], sink: IO[bytes]) -> None:
        self._work, self._source, self._sink = work, source, sink
        self._tasks: SimpleQueue[Frame] = SimpleQueue()
        self._given_up = self._current = 0

    def run(self) -> None:
        """Work until there was nothing to do for LONGEST_REST seconds. To be called in the main thread of a process."""
        signal.signal(signal.SIGINT, self._interrupted)
        threading.Thread(target=self._read, daemon=True).start()
        with suppress(Empty):
            while True:
                task = self._tasks.get(timeout=LONGEST_REST)
                try:
                    reply = self._done(task)
                except GivenUp:
                    reply = {"given up": True}
                write_frame(self._sink, {"number": task["number"], **reply})

    def _read(self) -> None:
        """Take frames as they come. What is to be given up is told by its number, so that no other work is hit."""
        while (frame := read_frame(self._source)) is not None:
            if "give up" in frame:
                self._given_up = int(frame["give up"])
                _thread.interrupt_main()
            else:
                self._tasks.put(frame)
        os._exit(0)

    def _interrupted(self, number: int, frame: FrameType | None) -> None:
        """Between two instructions of the main thread. (An interrupt from the terminal says nothing about any work.)"""
        if 0 < self._current <= self._given_up:
            self._current = 0
            raise GivenUp

    def _done(self, task: Frame) -> Frame:
        number = int(task["number"])
        try:
            self._from_here(number)
            for answer in self._work[task["do"]](task["text"]):
                self._current = 0  # a frame is never broken off
                write_frame(self._sink, {"number": number, "so far": answer})
                self._from_here(number)
            self._current = 0
        except Exception:
            self._current = 0
            return {"broken": traceback.format_exc()}
        return {"done": True}

    def _from_here(self, number: int) -> None:
        """From here on this work can be given up; perhaps it was already."""
        self._current = number
        if number <= self._given_up:
            self._current = 0
            raise GivenUp


def collect_rarely() -> None:
    """Have what this process has loaded and keeps left alone by the search for lost memory, and that come seldom.

    Hardly anything of a plan refers to itself, so nearly all memory is free again without being searched for, which
    took a fifth of the time of a look.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(500_000, 20, 100)


def look_for_others(work: Mapping[str, Work]) -> None:
    """The whole of such a process: `work` by name, asked for through standard input and answered through output."""
    sink = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever prints does not print into the frames
    if hasattr(os, "nice"):
        os.nice(NICE)
    collect_rarely()
    Looker(work, sys.stdin.buffer, sink).run()
