"""The door by real sockets: programs that pass calls on, floods, drips, and strangers who look for what is there."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from browser import COOKIE, HOST, PATIENCE, TOKEN, free_port
from house import House
from visitors import add_quilt

from tracker import serving
from tracker.lines import SECOND, Limits, Lines

if TYPE_CHECKING:
    from wsgiref.types import StartResponse

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
def house(tmp_path: Path, clock: Clock) -> Iterator[House]:
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


# Programs that pass calls on


class Forwarder:
    """A program on this computer that lets strangers in by a port of its own, as the room's own computer.

    It rewrites Host, and changes the head besides as it is told.
    """

    def __init__(self, to: int, change: Callable[[list[str]], list[str]]) -> None:
        self._to, self._change = to, change
        self._listening = socket.create_server((COMPUTER, 0))
        self.port = int(self._listening.getsockname()[1])
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self) -> None:
        with suppress(OSError):
            while True:
                caller, _ = self._listening.accept()
                with caller, socket.create_connection((COMPUTER, self._to), PATIENCE / 1000) as room:
                    came = caller.recv(65536)
                    top, _, body = came.partition(b"\r\n\r\n")
                    lines = [line for line in top.decode().split("\r\n") if not line.startswith("Host:")]
                    lines = self._change([lines[0], f"Host: localhost:{self._to}", *lines[1:]])
                    room.sendall("\r\n".join([*lines, "", ""]).encode() + body)
                    caller.sendall(answer(room))

    def stop(self) -> None:
        self._listening.close()


def adding(line: str) -> Callable[[list[str]], list[str]]:
    return lambda lines: [*lines, line]


FORWARDERS: dict[str, Callable[[list[str]], list[str]]] = {
    "names the caller": adding("X-Forwarded-For: 203.0.113.7"),
    "says it is this computer": adding("X-Forwarded-For: 127.0.0.1"),
    "by the standard": adding("Forwarded: for=203.0.113.7;host=evil.example;proto=https"),
    "the name that was asked for": adding("X-Forwarded-Host: evil.example"),
    "https before": adding("X-Forwarded-Proto: https"),
    "its own name": adding("X-Forwarded-Server: x"),
    "by whom": adding("X-Forwarded-By: x"),
    "the port before": adding("x-forwarded-port: 443"),
    "the real address": adding("X-Real-IP: 203.0.113.7"),
    "the client's address": adding("X-Client-IP: 203.0.113.7"),
    "the connecting address": adding("Any-Connecting-IP: 203.0.113.7"),
    "the way": adding("Via: 1.1 x"),
    "a proxy": adding("Proxy-Connection: keep-alive"),
    "the original name": adding("X-Original-Host: evil.example"),
    "an older HTTP": lambda lines: [lines[0].replace("HTTP/1.1", "HTTP/1.0"), *lines[1:]],
    "an older HTTP, kept": lambda lines: [
        lines[0].replace("HTTP/1.1", "HTTP/1.0"),
        *lines[1:],
        "Connection: keep-alive",
    ],
    "one answer only": adding("Connection: close"),
}


@pytest.mark.parametrize("change", FORWARDERS.values(), ids=FORWARDERS)
def test_who_comes_through_a_forwarder_that_rewrites_host_is_a_stranger(
    change: Callable[[list[str]], list[str]], house: House
) -> None:
    own = f"localhost:{house.port}"
    assert b"On the phone" in asked(house, head(house, Host=own)), "this computer itself is let in"
    forwarder = Forwarder(house.port, change)
    try:
        for what in ("GET /", "GET /room", "POST /room/code"):
            with socket.create_connection((COMPUTER, forwarder.port), PATIENCE / 1000) as line:
                line.sendall(head(house, what, Host="evil.example", Origin=f"http://{own}", Content_Length="0"))
                came = answer(line)
            assert status(came) == b"403", came
            assert HOW in came
            assert house.quilt().stored.id.encode() not in came
    finally:
        forwarder.stop()


# Floods


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


def test_300_lines_of_one_stranger_shut_nobody_out(house: House) -> None:
    asked(house, head(house, **IN), PHONE)
    with flood(house, STRANGER) as lines:
        assert b"On the phone" in asked(house, head(house, Host=f"localhost:{house.port}")), "this computer"
        assert status(asked(house, head(house, **IN), PHONE)) == b"200", "a phone that was here"
        assert status(asked(house, head(house, **IN), OTHER_PHONE)) == b"200", "a paired one that was not yet"
        assert HOW in asked(house, head(house), OTHER_STRANGER), "and who wants to pair"
        assert HOW in asked(house, head(house), STRANGER), "at this address too"
        assert still_open(lines) <= LIMITS.strangers.each


def test_strangers_from_many_addresses_shut_nobody_out(house: House) -> None:
    with ExitStack() as stack:
        lines = [
            line for number in range(70, 90) for line in stack.enter_context(flood(house, f"127.0.0.{number}", 20))
        ]
        assert b"On the phone" in asked(house, head(house, Host=f"localhost:{house.port}"))
        assert status(asked(house, head(house, **IN), PHONE)) == b"200"
        assert HOW in asked(house, head(house), OTHER_STRANGER)
        assert still_open(lines) <= LIMITS.strangers.total


def test_phones_that_share_an_address_with_a_guest_keep_their_lines(house: House) -> None:
    with ExitStack() as stack:
        phones = []
        for _ in range(5 * 6):
            phones.append(stack.enter_context(dial(house, PHONE)))
            phones[-1].sendall(head(house, **IN))
            assert status(answer(phones[-1])) == b"200"
        lines = stack.enter_context(flood(house, PHONE))
        for line in phones:
            line.sendall(head(house, **IN))
            assert status(answer(line)) == b"200"
        assert status(asked(house, head(house, **IN), PHONE)) == b"200", "and one more may come"
        assert still_open(lines) <= LIMITS.known.each - len(phones)


def test_lines_of_this_computer_end_too_and_leave_places_for_its_own(house: House) -> None:
    """A forwarder here could hold all of them."""
    with flood(house, COMPUTER) as lines:
        assert b"On the phone" in asked(house, head(house, Host=f"localhost:{house.port}"))
        assert status(asked(house, head(house, **IN), PHONE)) == b"200"
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
def test_a_line_that_only_drips_has_an_end(start: str, drip: str, most: int, house: House, clock: Clock) -> None:
    start = start.replace("PORT", str(house.port)).replace("COOKIE", IN["Cookie"])
    with dial(house, STRANGER) as line:
        line.sendall(start.encode())
        settle(house)
        if "Expect" in start:
            assert answer(line) == b"HTTP/1.1 100 Continue\r\n\r\n"
        if HEAD in start[1:]:
            assert status(answer(line)) == b"303"
            settle(house)
        for _ in range(4):
            clock.now += most // 4
            line.sendall(drip.encode())
            settle(house)
        line.setblocking(False)
        with pytest.raises(BlockingIOError):
            line.recv(1)
        line.settimeout(PATIENCE / 1000)
        clock.now += 1
        assert is_closed(line)
    assert house.ask("GET", "/")[0] == 200


def test_what_comes_slowly_but_in_time_is_answered(house: House, clock: Clock) -> None:
    with dial(house, PHONE) as line:
        for part in (head(house, "POST /pair", Origin=house.address, Content_Length="9", **IN), b"code=", b"xxxx"):
            for byte in (part[:9], part[9:]):
                line.sendall(byte)
                settle(house)
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


# Looking for what is there


def test_a_stranger_is_answered_alike_whatever_is_asked_for(house: House) -> None:
    quilt = house.quilt()
    there = ("/", quilt.at, f"{quilt.at}/taps", f"{quilt.at}/steps", f"/l/{quilt.stored.id}/b1", "/room", "/room/code")
    not_there = (
        "/zzz",
        "/quilts/zzzzzz",
        "/quilts/zzzzzz/taps",
        "/l/zzzzzz/b1",
        "/static/room.js",
        "/static/zzz",
        "//",
    )
    half = ("/pair/x/y", f"{quilt.at}/", "/static/room.css/", "*")
    cookies = ("", f"quilt={quilt.stored.id}", "quilt=zzzzzz", f"quilt={quilt.stored.id}; {COOKIE}=guess")
    origins = (house.address, "http://evil.example", "null")
    answers = set()
    for method in ("GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "PROPFIND", "X"):
        for path in (*there, *not_there, *half):
            for cookie, origin in zip(cookies, (*origins, house.address), strict=True):
                raw = head(house, f"{method} {path}", Cookie=cookie, Origin=origin, Content_Length="0")
                answers.add(re.sub(rb"Date: [^\r]*\r\n", b"", asked(house, raw, STRANGER)))
    (only,) = answers
    assert status(only) == b"403"
    assert HOW in only
    assert b"Set-Cookie" not in only
    assert b"Allow" not in only


OPEN = [
    ("POST", "/pair/abc", "", 403),
    ("PUT", "/pair", "", 403),
    ("OPTIONS", "/pair", "", 403),
    ("POST", "/static/room.css", "", 403),
    ("OPTIONS", "/static/icon.svg", "", 403),
    ("POST", "/pair", "", 403),
    ("POST", "/pair", "code=" + "x" * 20_000, 413),
    ("POST", "/pair", "evil", 403),
    ("GET", "/pair", "", 200),
    ("GET", "/pair/abc", "", 403),
]


@pytest.mark.parametrize(("method", "path", "body", "expected"), OPEN)
def test_pages_that_are_open_to_strangers_name_no_quilt(
    method: str, path: str, body: str, expected: int, house: House
) -> None:
    quilt = house.quilt().stored.id
    for origin in (house.address, "http://evil.example") if method == "POST" else ("",):
        answers = []
        for cookie in (f"quilt={quilt}", "quilt=zzzzzz", ""):
            more = {"Content-Type": "application/x-www-form-urlencoded", "Content-Length": str(len(body))}
            raw = head(house, f"{method} {path}", Cookie=cookie, Origin=origin, **more)
            came = asked(house, raw + body.encode(), STRANGER)
            answers.append(re.sub(rb"Date: [^\r]*\r\n", b"", came))
        assert len(set(answers)) == 1, "a guessed quilt is not confirmed"
        wanted = 403 if origin == "http://evil.example" else expected
        assert status(answers[0]) == str(wanted).encode()
        for secret in (quilt.encode(), b"<nav", b"<script", b"/quilts"):
            assert secret not in answers[0]


# Guessing


def test_while_six_addresses_guess_this_computer_lets_a_device_in(house: House) -> None:
    def guess(address: str, code: str) -> bytes:
        body = f"code={code}&name=Kitchen"
        more = {"Content-Type": "application/x-www-form-urlencoded", "Content-Length": str(len(body))}
        return asked(house, head(house, "POST /pair", Origin=house.address, **more) + body.encode(), address)

    def shown(**who: str) -> str:
        code = re.search(rb"The code: <b>([a-z0-9 ]+)</b>", asked(house, head(house, "GET /device", **who)))
        assert code is not None
        return code[1].decode()

    own = {"Host": f"localhost:{house.port}"}
    standing = shown(**own)
    statuses = [status(guess(f"127.0.0.{66 + number % 6}", "guess")) for number in range(40)]
    assert statuses == [b"403"] * 30 + [b"429"] * 10
    refused = guess(OTHER_PHONE, standing)
    assert status(refused) == b"429"
    assert b"the code that stands there now lets this device in all the" in refused
    code = shown(**own)
    assert code != standing
    assert shown(**IN) == code, "a device that is in may show it too"
    assert b"Wrong codes are being tried here" in asked(house, head(house, "GET /room", **own))
    assert status(asked(house, head(house, f"GET /pair/{code.replace(' ', '')}"), OTHER_PHONE)) == b"200"
    assert status(guess(OTHER_PHONE, code)) == b"303"
    assert status(guess(OTHER_STRANGER, code)) == b"429", "it is for one device"
    assert shown(**own) not in (code, standing), "and the next one has one of its own"
