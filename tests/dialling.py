"""Lines to a room by real sockets, from callers of several addresses, and the room that takes them as such."""

from __future__ import annotations

import re
import socket
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from browser import COOKIE, HOST, PATIENCE, TOKEN
from house import House
from visitors import add_quilt

from tracker.server.lines import Limits, Lines

COMPUTER, PHONE, OTHER_PHONE, STRANGER, OTHER_STRANGER = (f"127.0.0.{number}" for number in (1, 30, 31, 66, 67))
"""Callers' addresses. All are of this computer; the rooms of these tests take the first only to be so."""

IN = {"Cookie": f"{COOKIE}={TOKEN}"}
LIMITS = Limits()
HOW = b"This device is not paired with this sewing room yet."


class Clock:
    """A clock that the test winds on."""

    def __init__(self) -> None:
        self.now = 0

    def __call__(self) -> int:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def home(tmp_path: Path, clock: Clock) -> Iterator[House]:
    """A room with one quilt, whose lines go by the test's clock."""
    opened = House(tmp_path / "data", Lines(LIMITS, clock, lambda address: address == COMPUTER))
    add_quilt(opened.store)
    yield opened
    opened.stop()


def head(house: House, what: str = "GET /", **headers: str) -> bytes:
    own = {"Host": f"{HOST}:{house.port}"} | {name.replace("_", "-"): value for name, value in headers.items()}
    lines = [f"{what} HTTP/1.1", *(f"{name}: {value}" for name, value in own.items() if value)]
    return "\r\n".join([*lines, "", ""]).encode()


def dial(house: House, address: str = COMPUTER) -> socket.socket:
    """A line from this address."""
    return socket.create_connection((COMPUTER, house.port), PATIENCE / 1000, (address, 0))


def answer(line: socket.socket) -> bytes:
    """One whole answer with a length; what came, where the line was closed before."""
    came = b""
    with suppress(ConnectionError):
        while more := line.recv(65536):
            came += more
            top, end, body = came.partition(b"\r\n\r\n")
            length = re.search(rb"Content-Length: (\d+)", top)
            if end and (length is None or len(body) >= int(length[1])):
                break
    return came


def asked(house: House, raw: bytes, address: str = COMPUTER) -> bytes:
    with dial(house, address) as line:
        line.sendall(raw)
        return answer(line)


def is_closed(line: socket.socket) -> bool:
    """Wait for the end of a line: True where it comes, False where it answers."""
    try:
        return not line.recv(1)
    except ConnectionError:
        return True


def status(came: bytes) -> bytes:
    return came.split()[1] if came else b"none"
