"""Texts looked at in processes of their own (see looker): the newest look of each page, few at once, none for ever.

Asking never takes long: what is not found soon is asked for again. A look is given up when its page asks for another,
or asks no more, or when it takes too long; the same text is looked at once.
"""

from __future__ import annotations

import logging
import os
import queue
import subprocess
import sys
import threading
import time
import weakref
from collections import OrderedDict
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from tracker.looks.looker import Frame, read_frame, write_frame

PROCESSES = 2
"""Looks at once: one that takes long does not keep a second person waiting."""

BUDGET = 20
"""Seconds that one look may take."""

PLACES = 2
"""How many callers are kept waiting at once; others are told at once that it is under way. Far fewer than a server has
threads, so that looks never keep taps waiting."""

MOST_ASKED = 16
"""Looks that wait for their turn. Further ones are put off: their pages ask again."""

KEPT = 16
"""Answers that stay in memory."""

PATIENCE = 6
"""Seconds after which a page that has not asked again is taken to be gone."""

GRACE = 2
"""Seconds in which a process has to give up its work before it is ended."""

SECOND = 1_000_000_000

log = logging.getLogger("tracker.looks.looking")


@dataclass(frozen=True)
class Found:
    """What is known of a look: `state` is DONE, UNDER_WAY, TOO_LONG or BROKEN; and its answer, as far as it came."""

    state: str
    answer: Frame = field(default_factory=dict)


DONE, UNDER_WAY, TOO_LONG, BROKEN = "done", "under way", "too long", "broken"


@dataclass(eq=False)
class _Task:
    """A piece of work on a text: who asks for it, and until when (ns) each can be taken to wait."""

    work: str
    text: str
    askers: dict[str, int] = field(default_factory=dict)
    process: _Process | None = None
    so_far: Frame = field(default_factory=dict)
    found: Found | None = None

    @property
    def key(self) -> tuple[str, str]:
        return self.work, self.text

    def is_wanted(self) -> bool:
        """Whether anyone waits for it still."""
        return any(until > time.monotonic_ns() for until in self.askers.values())


class _Process:
    """One looker, started when it is first needed and again where it has ended."""

    def __init__(self, command: Sequence[str]) -> None:
        self._command = command
        self._running: subprocess.Popen[bytes] | None = None
        self._number = self._start = 0
        self.closed = False
        self._replies: queue.SimpleQueue[Frame] = queue.SimpleQueue()

    def start(self) -> None:
        """Have it running. Raises OSError where no process can be started."""
        if self._running is not None and self._running.poll() is None:
            return
        self.end()
        if self.closed:
            raise BrokenPipeError
        path = os.pathsep.join(entry for entry in sys.path if entry)
        flags = 0
        if sys.platform == "win32":
            flags = subprocess.BELOW_NORMAL_PRIORITY_CLASS
        running = self._running = subprocess.Popen(
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": path},
            creationflags=flags,
        )
        if self.closed:  # while it was started, which takes long on a busy machine
            self._running = running
            self.end()
            raise BrokenPipeError
        self._start += 1
        threading.Thread(target=_hear, args=(running, self._replies, self._start), daemon=True).start()

    def begin(self, work: str, text: str) -> None:
        """Begin a piece of work. Raises OSError."""
        self.start()
        self._number += 1
        self._send({"number": self._number, "do": work, "text": text})

    def give_up(self) -> None:
        """Ask it to leave the work it has begun."""
        with suppress(OSError):
            self._send({"give up": self._number})

    def _send(self, frame: Frame) -> None:
        running = self._running  # which another thread may be ending
        if running is None or running.stdin is None:
            raise BrokenPipeError
        try:
            write_frame(running.stdin, frame)
        except ValueError as fault:
            raise BrokenPipeError from fault

    def reply(self, until: int) -> Frame | None:
        """What it says of the work begun last; None where it has said nothing until then (ns), or was called."""
        while True:
            try:
                frame = self._replies.get(timeout=max(until - time.monotonic_ns(), 0) / SECOND)
            except queue.Empty:
                return None
            if frame.get("gone") == self._start or frame.get("number") == self._number:
                return frame
            if "called" in frame:
                return None

    def call(self) -> None:
        """Have whoever waits for a reply look round."""
        self._replies.put({"called": True})

    def close(self) -> None:
        """End it for good."""
        self.closed = True
        self.end()

    def end(self) -> None:
        """End it, whatever it is doing."""
        running, self._running = self._running, None
        if running is not None:
            running.kill()
            running.wait()
            for stream in (running.stdin, running.stdout):
                with suppress(OSError):
                    if stream is not None:
                        stream.close()


def _hear(running: subprocess.Popen[bytes], replies: queue.SimpleQueue[Frame], start: int) -> None:
    """Pass on what a process says, until it has ended; it is known by the number of its start."""
    assert running.stdout is not None
    with suppress(OSError, ValueError):
        while (frame := read_frame(running.stdout)) is not None:
            replies.put(frame)
    replies.put({"gone": start})


def _end_all(processes: Sequence[_Process]) -> None:
    for process in processes:
        process.close()


class Looking:
    """Looks for all pages. `command` starts a looker; `budget` is in seconds."""

    def __init__(self, command: Sequence[str], processes: int = PROCESSES, budget: int = BUDGET) -> None:
        self._changed = threading.Condition()
        self.budget = budget
        self._idle = [_Process(command) for _ in range(processes)]
        self._waiting_tasks: list[_Task] = []
        self._running: list[_Task] = []
        self._found: OrderedDict[tuple[str, str], Found] = OrderedDict()
        self.places_free = PLACES
        self._end = weakref.finalize(self, _end_all, tuple(self._idle))

    def close(self) -> None:
        """End all looks and their processes."""
        with self._changed:
            self._waiting_tasks.clear()
        self._end()

    def warm(self) -> None:
        """Start a process before it is needed."""
        with self._changed, suppress(OSError):
            if self._idle:
                self._idle[-1].start()

    def look(self, asker: str, work: str, text: str, milliseconds: int = 0) -> Found:
        """Look at a text for a page (`asker`), and wait so long for it where there is a place to wait.

        Whatever else this page asked for before is given up. UNDER_WAY: ask again soon, or it is given up.
        """
        now, wait = time.monotonic_ns(), milliseconds * SECOND // 1000
        with self._changed:
            task = self._task(work, text)
            self._leave(asker, task)
            if task.found is not None:
                return task.found
            if task.process is None and task not in self._waiting_tasks:
                if len(self._waiting_tasks) >= MOST_ASKED:
                    return Found(UNDER_WAY)
                self._waiting_tasks.append(task)
            task.askers[asker] = now + wait + PATIENCE * SECOND
            self._set_to_work()
            if wait and self.places_free:
                self.places_free -= 1
                self._changed.wait_for(lambda: task.found or asker not in task.askers, wait / SECOND)
                self.places_free += 1
            return task.found or Found(UNDER_WAY, task.so_far)

    def _task(self, work: str, text: str) -> _Task:
        """The task for a text: one that is found, runs or waits already, or a new one."""
        if (work, text) in self._found:
            self._found.move_to_end((work, text))
            return _Task(work, text, found=self._found[work, text])
        there = (task for task in (*self._running, *self._waiting_tasks) if task.key == (work, text) and task.askers)
        return next(there, None) or _Task(work, text)

    def _leave(self, asker: str, task: _Task) -> None:
        """This page waits for nothing but `task` any more."""
        for other in (*self._running, *self._waiting_tasks):
            if other is task or other.askers.pop(asker, None) is None or other.askers:
                continue
            if other.process is not None:
                other.process.call()
            else:
                self._waiting_tasks.remove(other)
        self._changed.notify_all()

    def _set_to_work(self) -> None:
        """Have a further process look, unless one is about to be free: the last one used is the one that knows most."""
        ending = sum(not task.askers for task in self._running)
        if len(self._waiting_tasks) > ending and self._idle:
            process = self._idle.pop()
            task = self._next(process)
            if task is not None:
                threading.Thread(target=self._work_on, args=(process, task), daemon=True).start()

    def _next(self, process: _Process) -> _Task | None:
        """The task that a process takes up now. None: it rests."""
        self._waiting_tasks = [task for task in self._waiting_tasks if task.is_wanted()]
        if not self._waiting_tasks:
            self._idle.append(process)
            return None
        task = self._waiting_tasks.pop(0)
        task.process = process
        self._running.append(task)
        return task

    def _work_on(self, process: _Process, first: _Task) -> None:
        """Look at one text after another, until none waits."""
        task: _Task | None = first
        while task is not None:
            found = self._looked(process, task)
            with self._changed:
                self._running.remove(task)
                task.found = found
                if found is not None and found.state != BROKEN:
                    self._found[task.key] = found
                    while len(self._found) > KEPT:
                        self._found.popitem(last=False)
                self._changed.notify_all()
                task = self._next(process)

    def _looked(self, process: _Process, task: _Task) -> Found | None:
        """What came of a look; None where it was given up since nobody waits for it."""
        try:
            process.begin(task.work, task.text)
        except OSError:
            if not process.closed:
                log.exception("no process to look at a plan")
            process.end()
            return Found(BROKEN)
        begun = time.monotonic_ns()
        while True:
            latest = begun + self.budget * SECOND
            reply = process.reply(min(time.monotonic_ns() + SECOND, latest))
            if reply is not None and "so far" not in reply:
                return _found(process, task, reply)
            with self._changed:
                task.so_far = reply["so far"] if reply is not None else task.so_far
                if task.is_wanted() and time.monotonic_ns() < latest:
                    continue
                wanted = task.is_wanted()
                task.askers = task.askers if wanted else {}
            break
        process.give_up()
        reply = self._last_word(process)
        if reply is None:
            process.end()
        elif "given up" not in reply:
            return _found(process, task, reply)
        return Found(TOO_LONG, task.so_far) if wanted else None

    @staticmethod
    def _last_word(process: _Process) -> Frame | None:
        """How a process ends its work within its time of grace."""
        until = time.monotonic_ns() + GRACE * SECOND
        while True:
            reply = process.reply(until)
            if reply is not None and "so far" not in reply:
                return reply
            if time.monotonic_ns() >= until:
                return None


def _found(process: _Process, task: _Task, reply: Frame) -> Found:
    if "done" in reply:
        return Found(DONE, task.so_far)
    if not process.closed:  # what ends with the server is no fault
        log.error("a look at a plan broke off\n%s", reply.get("broken", "its process ended"))
    if "gone" in reply:
        process.end()
    return Found(BROKEN)
