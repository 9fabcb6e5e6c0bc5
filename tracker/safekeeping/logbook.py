"""The log that a person can send to whoever helps: what happened, without secrets, plans, names or folders.

What is written: starts and stops, devices let in and removed, requests refused, faults. Of an error only its kind and
where in the program it arose, since its text may quote a plan. What strangers can have written as often as they like
(REFUSED) has a small file of its own, so that it pushes nothing else out.
"""

from __future__ import annotations

import contextlib
import logging
import re
import time
import traceback
from collections.abc import Iterator
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path

from tracker.store.disk import StoreFault

LARGEST = 256 * 1024
FORMER = 3
"""So many bytes in a file, and so many former files: a megabyte in all."""
MOST_A_MINUTE = 60
LONGEST = 400

REFUSED = {"refused": True}
"""To be given as `extra` with what a stranger's request has written."""

_SECRETS = re.compile(r"/pair/[^\s\"']*")


def log_file(folder: Path) -> Path:
    """Where the log of a data folder is."""
    return folder / "log" / "sewing-room.log"


def refused_file(folder: Path) -> Path:
    """Where requests that were refused are logged."""
    return log_file(folder).with_name("refused.log")


def to_be_sent(folder: Path) -> bytes:
    """The log as it is sent: what happened, then what was refused. OSError where there is none."""
    data = log_file(folder).read_bytes()
    with contextlib.suppress(OSError):
        data += b"\nRefused:\n" + refused_file(folder).read_bytes()
    return data


class _Words(logging.Formatter):
    """One line for each event, with what must not be told taken out."""

    def __init__(self, folder: Path) -> None:
        super().__init__("%(asctime)s %(levelname)s %(message)s", "%Y-%m-%d %H:%M:%S")
        self._hidden = [(str(folder), "(data folder)")]
        with contextlib.suppress(RuntimeError):
            self._hidden.append((str(Path.home()), "~"))

    def format(self, record: logging.LogRecord) -> str:
        record.exc_text = None  # another handler may have left the whole text there
        text = super().format(record)
        record.exc_text = None
        return text

    def formatMessage(self, record: logging.LogRecord) -> str:
        text = _SECRETS.sub("/pair/…", super().formatMessage(record))
        for hidden, shown in self._hidden:
            text = text.replace(hidden, shown)
        text = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
        return text if len(text) <= LONGEST else f"{text[:LONGEST]}…"

    def formatException(self, ei: object) -> str:
        error = ei[1] if isinstance(ei, tuple) else None
        lines = []
        while isinstance(error, BaseException):
            kind = f"{type(error).__name__} {error.kind}" if isinstance(error, StoreFault) else type(error).__name__
            lines.append(f"  {kind}")
            lines += [
                f"    {Path(frame.filename).name}:{frame.lineno} {frame.name}"
                for frame in traceback.extract_tb(error.__traceback__)
            ]
            error = error.__cause__ or error.__context__
        return "\n".join(lines)


class _Handler(RotatingFileHandler):
    """Writes what it can: a log that cannot be written must not stop anything, and one guest must not fill it."""

    def __init__(self, path: Path, refused: bool) -> None:
        size, former = (LARGEST // 4, 1) if refused else (LARGEST, FORMER)
        super().__init__(path, maxBytes=size, backupCount=former, encoding="utf-8", errors="replace", delay=True)
        self._minute, self._written = 0, 0
        self.addFilter(lambda record: getattr(record, "refused", False) is refused)

    def _open(self) -> TextIOWrapper:
        # Only now, since the folder around it may have been made in between; for the owner's eyes.
        Path(self.baseFilename).parent.mkdir(mode=0o700, exist_ok=True)
        return super()._open()

    def emit(self, record: logging.LogRecord) -> None:
        minute = int(time.monotonic()) // 60
        if minute != self._minute:
            self._minute, self._written = minute, 0
        self._written += 1
        if self._written <= MOST_A_MINUTE or record.levelno > logging.INFO:
            super().emit(record)

    def handleError(self, record: logging.LogRecord) -> None:
        """Say nothing: what matters is said on the screen."""


@contextlib.contextmanager
def kept(folder: Path) -> Iterator[None]:
    """Keep a log in the folder as long as this lasts."""
    handlers = [_Handler(log_file(folder), False), _Handler(refused_file(folder), True)]
    loggers = [logging.getLogger(name) for name in ("tracker", "waitress")]
    levels = [logger.level for logger in loggers]
    loggers[0].setLevel(logging.INFO)
    for handler in handlers:
        handler.setFormatter(_Words(folder))
        for logger in loggers:
            logger.addHandler(handler)
    try:
        yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            for handler in handlers:
                logger.removeHandler(handler)
            logger.setLevel(level)
        for handler in handlers:
            handler.close()
