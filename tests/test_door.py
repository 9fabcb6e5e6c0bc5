"""The door by real sockets: programs that pass calls on, and strangers who look for what is there or guess."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Callable
from contextlib import suppress

import pytest
from browser import COOKIE, PATIENCE
from dialling import COMPUTER, HOW, IN, OTHER_PHONE, OTHER_STRANGER, STRANGER, answer, asked, head, status
from house import House

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
    change: Callable[[list[str]], list[str]], home: House
) -> None:
    own = f"localhost:{home.port}"
    assert b"On the phone" in asked(home, head(home, Host=own)), "this computer itself is let in"
    forwarder = Forwarder(home.port, change)
    try:
        for what in ("GET /", "GET /room", "POST /room/code"):
            with socket.create_connection((COMPUTER, forwarder.port), PATIENCE / 1000) as line:
                line.sendall(head(home, what, Host="evil.example", Origin=f"http://{own}", Content_Length="0"))
                came = answer(line)
            assert status(came) == b"403", came
            assert HOW in came
            assert home.quilt().stored.id.encode() not in came
    finally:
        forwarder.stop()


# Looking for what is there


def test_a_stranger_is_answered_alike_whatever_is_asked_for(home: House) -> None:
    quilt = home.quilt()
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
    origins = (home.address, "http://evil.example", "null")
    answers = set()
    for method in ("GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "PROPFIND", "X"):
        for path in (*there, *not_there, *half):
            for cookie, origin in zip(cookies, (*origins, home.address), strict=True):
                raw = head(home, f"{method} {path}", Cookie=cookie, Origin=origin, Content_Length="0")
                answers.add(re.sub(rb"Date: [^\r]*\r\n", b"", asked(home, raw, STRANGER)))
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
    method: str, path: str, body: str, expected: int, home: House
) -> None:
    quilt = home.quilt().stored.id
    for origin in (home.address, "http://evil.example") if method == "POST" else ("",):
        answers = []
        for cookie in (f"quilt={quilt}", "quilt=zzzzzz", ""):
            more = {"Content-Type": "application/x-www-form-urlencoded", "Content-Length": str(len(body))}
            raw = head(home, f"{method} {path}", Cookie=cookie, Origin=origin, **more)
            came = asked(home, raw + body.encode(), STRANGER)
            answers.append(re.sub(rb"Date: [^\r]*\r\n", b"", came))
        assert len(set(answers)) == 1, "a guessed quilt is not confirmed"
        wanted = 403 if origin == "http://evil.example" else expected
        assert status(answers[0]) == str(wanted).encode()
        for secret in (quilt.encode(), b"<nav", b"<script", b"/quilts"):
            assert secret not in answers[0]


# Guessing


def test_while_six_addresses_guess_this_computer_lets_a_device_in(home: House) -> None:
    def guess(address: str, code: str) -> bytes:
        body = f"code={code}&name=Kitchen"
        more = {"Content-Type": "application/x-www-form-urlencoded", "Content-Length": str(len(body))}
        return asked(
            home,
            head(home, "POST /pair", Origin=home.address, **more) + body.encode(),
            address,
        )

    def shown(**who: str) -> str:
        code = re.search(rb"The code: <b>([a-z0-9 ]+)</b>", asked(home, head(home, "GET /device", **who)))
        assert code is not None
        return code[1].decode()

    own = {"Host": f"localhost:{home.port}"}
    standing = shown(**own)
    statuses = [status(guess(f"127.0.0.{66 + number % 6}", "guess")) for number in range(40)]
    assert statuses == [b"403"] * 30 + [b"429"] * 10
    refused = guess(OTHER_PHONE, standing)
    assert status(refused) == b"429"
    assert b"the code that stands there now lets this device in all the" in refused
    code = shown(**own)
    assert code != standing
    assert shown(**IN) == code, "a device that is in may show it too"
    assert b"Wrong codes are being tried here" in asked(home, head(home, "GET /room", **own))
    assert status(asked(home, head(home, f"GET /pair/{code.replace(' ', '')}"), OTHER_PHONE)) == b"200"
    assert status(guess(OTHER_PHONE, code)) == b"303"
    assert status(guess(OTHER_STRANGER, code)) == b"429", "it is for one device"
    assert shown(**own) not in (code, standing), "and the next one has one of its own"
