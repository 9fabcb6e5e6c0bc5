"""Floods and drips by real sockets: whoever holds many lines or never ends keeps nobody else out."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from typing import TYPE_CHECKING, Any

import pytest
from browser import PATIENCE, free_port
from dialling import (
    COMPUTER,
    HOW,
    IN,
    LIMITS,
    OTHER_PHONE,
    OTHER_STRANGER,
    PHONE,
    STRANGER,
    Clock,
    answer,
    asked,
    dial,
    head,
    is_closed,
    status,
)
from house import House

from tracker.server import serving
from tracker.server.lines import SECOND, Lines

if TYPE_CHECKING:
    from wsgiref.types import StartResponse


@contextmanager
def flood(house: House, address: str, number: int = 300) -> Iterator[list[socket.socket]]:
    """So many lines of one caller: silent ones, half a head, half a form, whole requests that are kept open."""
    starts = (b"", b"GET / HT", head(house, "POST /pair", Content_Length="9") + b"code", head(house))
    with ExitStack() as stack:
        lines = []
        for place in range(number):
            line = stack.enter_context(dial(house, address))
            with suppress(ConnectionError):
                line.sendall(starts[place % len(starts)])
            lines.append(line)
        yield lines


def still_open(lines: Iterable[socket.socket]) -> int:
    """How many of these the server has not closed."""
    number = 0
    for line in lines:
        line.setblocking(False)
        try:
            while line.recv(65536):
                pass
        except BlockingIOError:
            number += 1
        except ConnectionError:
            pass
    return number


def test_300_lines_of_one_stranger_shut_nobody_out(home: House) -> None:
    asked(home, head(home, **IN), PHONE)
    with flood(home, STRANGER) as lines:
        assert b"On the phone" in asked(home, head(home, Host=f"localhost:{home.port}")), "this computer"
        assert status(asked(home, head(home, **IN), PHONE)) == b"200", "a phone that was here"
        assert status(asked(home, head(home, **IN), OTHER_PHONE)) == b"200", "a paired one that was not yet"
        assert HOW in asked(home, head(home), OTHER_STRANGER), "and who wants to pair"
        assert HOW in asked(home, head(home), STRANGER), "at this address too"
        assert still_open(lines) <= LIMITS.strangers.each


def test_strangers_from_many_addresses_shut_nobody_out(home: House) -> None:
    with ExitStack() as stack:
        lines = [line for number in range(70, 90) for line in stack.enter_context(flood(home, f"127.0.0.{number}", 20))]
        assert b"On the phone" in asked(home, head(home, Host=f"localhost:{home.port}"))
        assert status(asked(home, head(home, **IN), PHONE)) == b"200"
        assert HOW in asked(home, head(home), OTHER_STRANGER)
        assert still_open(lines) <= LIMITS.strangers.total


def test_phones_that_share_an_address_with_a_guest_keep_their_lines(home: House) -> None:
    with ExitStack() as stack:
        phones = []
        for _ in range(5 * 6):
            phones.append(stack.enter_context(dial(home, PHONE)))
            phones[-1].sendall(head(home, **IN))
            assert status(answer(phones[-1])) == b"200"
        lines = stack.enter_context(flood(home, PHONE))
        for line in phones:
            line.sendall(head(home, **IN))
            assert status(answer(line)) == b"200"
        assert status(asked(home, head(home, **IN), PHONE)) == b"200", "and one more may come"
        assert still_open(lines) <= LIMITS.known.each - len(phones)


def test_lines_of_this_computer_end_too_and_leave_places_for_its_own(home: House) -> None:
    """A forwarder here could hold all of them."""
    with flood(home, COMPUTER) as lines:
        assert b"On the phone" in asked(home, head(home, Host=f"localhost:{home.port}"))
        assert status(asked(home, head(home, **IN), PHONE)) == b"200"
        assert still_open(lines) <= LIMITS.home.each


# Drips


def settle(house: House) -> None:
    """Until the server has read what was sent before: it reads in turn."""
    assert status(asked(house, head(house, "GET /static/icon.svg", **IN), OTHER_PHONE)) == b"200"


HEAD = "GET / HTTP/1.1\r\nX: "
FORM = "POST /pair HTTP/1.1\r\nHost: sewing.test:PORT\r\nOrigin: http://sewing.test:PORT\r\n"
DRIPS = {
    "nothing": ("", "", LIMITS.asking[0]),
    "a head without end": (HEAD, "x", LIMITS.asking[0]),
    "blank lines": ("\r\n", "\r\n\r\n", LIMITS.asking[0]),
    "a form without end": (f"{FORM}Content-Length: 999\r\n\r\n", "x", LIMITS.body[0]),
    "a form in pieces without end": (f"{FORM}Transfer-Encoding: chunked\r\n\r\n", "1\r\nx\r\n", LIMITS.body[0]),
    "a form that waits to be told to go on": (
        f"{FORM}Expect: 100-continue\r\nContent-Length: 999\r\n\r\n",
        "x",
        LIMITS.body[0],
    ),
    "a paired device's form": (f"{FORM}Cookie: COOKIE\r\nContent-Length: 999\r\n\r\n", "x", LIMITS.body[1]),
    "a paired device's next head": (f"{FORM}Cookie: COOKIE\r\nContent-Length: 0\r\n\r\n{HEAD}", "x", LIMITS.asking[1]),
}


@pytest.mark.parametrize(("start", "drip", "most"), DRIPS.values(), ids=DRIPS)
def test_a_line_that_only_drips_has_an_end(start: str, drip: str, most: int, home: House, clock: Clock) -> None:
    start = start.replace("PORT", str(home.port)).replace("COOKIE", IN["Cookie"])
    with dial(home, STRANGER) as line:
        line.sendall(start.encode())
        settle(home)
        if "Expect" in start:
            assert answer(line) == b"HTTP/1.1 100 Continue\r\n\r\n"
        if HEAD in start[1:]:
            assert status(answer(line)) == b"303"
            settle(home)
        for _ in range(4):
            clock.now += most // 4
            line.sendall(drip.encode())
            settle(home)
        line.setblocking(False)
        with pytest.raises(BlockingIOError):
            line.recv(1)
        line.settimeout(PATIENCE / 1000)
        clock.now += 1
        assert is_closed(line)
    assert home.ask("GET", "/")[0] == 200


def test_what_comes_slowly_but_in_time_is_answered(home: House, clock: Clock) -> None:
    with dial(home, PHONE) as line:
        for part in (
            head(home, "POST /pair", Origin=home.address, Content_Length="9", **IN),
            b"code=",
            b"xxxx",
        ):
            for byte in (part[:9], part[9:]):
                line.sendall(byte)
                settle(home)
                clock.now += 5 * SECOND
        assert status(answer(line)) == b"303"


@pytest.mark.parametrize("known", [False, True])
def test_an_answer_that_is_not_read_has_an_end(known: bool, clock: Clock) -> None:
    size = 20_000_000

    def large_or_small(environ: dict[str, Any], start: StartResponse) -> Iterable[bytes]:
        length = size if environ["PATH_INFO"] == "/large" else 1
        start("200 OK", [("Content-Length", str(length))])
        return [b"x" * length]

    port, ready, stop = free_port(), threading.Event(), threading.Event()
    inside = (large_or_small, serving.listen(COMPUTER, port), ready.set, stop, lambda call: known, Lines(LIMITS, clock))
    server = threading.Thread(target=serving.run, args=inside)
    server.start()
    try:
        assert ready.wait(PATIENCE / 1000)
        with socket.create_connection((COMPUTER, port), PATIENCE / 1000) as line:
            line.sendall(b"GET /large HTTP/1.1\r\nHost: x\r\n\r\n")
            came = len(line.recv(1000))
            for wait in (0, LIMITS.answer[known], 1):
                clock.now += wait
                came += len(line.recv(1000))
                with socket.create_connection((COMPUTER, port), PATIENCE / 1000) as other:
                    other.sendall(b"GET /small HTTP/1.1\r\nHost: x\r\n\r\n")
                    assert status(answer(other)) == b"200"
            with suppress(ConnectionError):
                while more := line.recv(1_000_000):
                    came += len(more)
            assert came < size
    finally:
        stop.set()
        server.join(15)
