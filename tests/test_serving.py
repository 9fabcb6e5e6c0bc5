"""The server's outside: sockets, starting, stopping, and what it tells the person."""

from __future__ import annotations

import contextlib
import errno
import http.client
import io
import os
import re
import signal
import socket
import subprocess
import sys
import textwrap
import threading
import urllib.request
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from browser import PATIENCE, free_port, live
from playwright.sync_api import Page

from tracker.server import serving
from tracker.server.addresses import AddressBook, Interface
from tracker.server.connections import LARGEST_BODY
from tracker.server.lanes import THREADS

if TYPE_CHECKING:
    from wsgiref.types import StartResponse

WIFI = Interface("wlan0", "wlan0", ("192.168.1.20",))
DOCKER = Interface("docker0", "docker0", ("172.17.0.1",))
LOOPBACK = Interface("lo", "lo", ("127.0.0.1",))


def hello(environ: dict[str, Any], start: StartResponse) -> Iterable[bytes]:
    """An application that says how many bytes it was sent."""
    size = len(environ["wsgi.input"].read())
    start("200 OK", [("Content-Type", "text/plain")])
    return [f"{size} bytes".encode()]


@pytest.fixture(name="free_port")
def port_of_nobody() -> int:
    return free_port()


@pytest.fixture
def taken_port() -> Iterator[int]:
    with socket.socket() as other:
        other.bind(("0.0.0.0", 0))
        other.listen()
        yield int(other.getsockname()[1])


def close_all(sockets: Iterable[socket.socket]) -> None:
    for one in sockets:
        one.close()


def test_without_a_host_it_listens_on_every_address_old_and_new(free_port: int) -> None:
    sockets = serving.listen(None, free_port)
    try:
        families = {one.family: one.getsockname()[:2] for one in sockets}
        assert families[socket.AF_INET] == ("0.0.0.0", free_port)
        assert all(port == free_port for _, port in families.values())
        if socket.AF_INET6 in families:
            socket.create_connection(("::1", free_port), 2).close()
        socket.create_connection(("127.0.0.1", free_port), 2).close()
    finally:
        close_all(sockets)


def test_a_given_host_is_the_only_place_it_listens(free_port: int) -> None:
    sockets = serving.listen("127.0.0.1", free_port)
    try:
        assert [one.getsockname() for one in sockets] == [("127.0.0.1", free_port)]
    finally:
        close_all(sockets)


@pytest.mark.parametrize("host", [None, "127.0.0.1"])
def test_a_taken_port_is_refused_in_one_sentence_that_names_a_free_one(host: str | None, taken_port: int) -> None:
    with pytest.raises(serving.PortTaken) as caught:
        serving.listen(host, taken_port)
    sentence = str(caught.value.args[-1])
    assert f"Port {taken_port} is taken" in sentence
    offered = int(sentence.partition("--port ")[2].partition(",")[0])
    close_all(serving.listen(host, offered))


def test_two_servers_never_share_a_port(free_port: int) -> None:
    first = serving.listen(None, free_port)
    try:
        with pytest.raises(serving.PortTaken):
            serving.listen(None, free_port)
    finally:
        close_all(first)
    close_all(serving.listen(None, free_port))


@pytest.mark.parametrize(
    ("host", "port", "words"),
    [
        ("203.0.113.77", 8642, "--host 203.0.113.77 is not an address of this computer"),
        ("no-such-name.invalid", 8642, "--host no-such-name.invalid is not an address of this computer"),
        ("two words", 8642, "--host two words is not an address of this computer"),
        ("x" * 300, 8642, "is not an address of this computer"),
        (None, 70000, "--port 70000 is not a port: a whole number from 1 to 65535"),
        (None, -1, "--port -1 is not a port"),
    ],
)
def test_an_impossible_place_is_refused_in_one_sentence(host: str | None, port: int, words: str) -> None:
    with pytest.raises(serving.CannotListen) as caught:
        serving.listen(host, port)
    assert words in str(caught.value.args[-1])


def test_a_port_that_the_system_keeps_for_itself_is_refused_in_a_sentence_that_names_another(
    free_port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Windows does with whole ranges of them; the refusal is the one for what an account may not do."""
    usual = serving._open

    def kept(family: socket.AddressFamily, where: str, port: int, needed: bool) -> socket.socket | None:
        if port == free_port:
            raise PermissionError(errno.EACCES, "forbidden")
        return usual(family, where, port, needed)

    monkeypatch.setattr(serving, "_open", kept)
    with pytest.raises(serving.CannotListen, match="keeps port") as caught:
        serving.listen("127.0.0.1", free_port)
    other = int(re.findall(r"--port (\d+)", str(caught.value.args[-1]))[0])
    assert other != free_port
    close_all(serving.listen("127.0.0.1", other))


def test_large_bodies_are_refused_and_ordinary_ones_arrive_whole() -> None:
    with live(lambda port: hello) as address:
        port = int(address.rpartition(":")[2])
        for size, status in ((0, 200), (1_000_000, 200), (LARGEST_BODY + 1, 413), (2 * LARGEST_BODY, 413)):
            line = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE / 1000)
            line.putrequest("POST", "/")
            line.putheader("Content-Length", str(size))
            line.endheaders()
            if status == 200:
                line.send(b"x" * size)
            answer = line.getresponse()
            assert answer.status == status
            if status == 200:
                assert answer.read() == f"{size} bytes".encode()
            line.close()


def test_sleepers_and_half_sent_bodies_do_not_hold_up_the_others() -> None:
    with live(lambda port: hello) as address:
        port = int(address.rpartition(":")[2])
        stuck = [socket.create_connection(("127.0.0.1", port), 5) for _ in range(3 * THREADS)]
        try:
            for one in stuck:
                one.sendall(b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 1000\r\n\r\nhalf")
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5) as answer:
                assert answer.status == 200
        finally:
            close_all(stuck)


def test_a_phone_opens_it_under_a_plain_name(phone_page: Page) -> None:
    with live(lambda port: hello) as address:
        answer = phone_page.goto(f"{address}/")
        assert answer is not None
        assert phone_page.inner_text("body") == "0 bytes"
        assert phone_page.evaluate("window.isSecureContext") is False
        assert phone_page.evaluate("[screen.width, navigator.maxTouchPoints > 0]") == [390, True]


def test_a_tablet_is_wide(tablet_page: Page) -> None:
    with live(lambda port: hello) as address:
        tablet_page.goto(f"{address}/")
        assert tablet_page.evaluate("screen.width") == 820


SERVER = """
    import signal, sys, time
    from tracker.server import serving
    from tracker.server.addresses import AddressBook

    def app(environ, start):
        if environ["PATH_INFO"] == "/slow":
            print("BEGUN", flush=True)
            time.sleep(1)
        start("200 OK", [("Content-Type", "text/plain")])
        return [b"done"]

    port = int(sys.argv[1])
    signal.signal(signal.SIGHUP, signal.SIG_IGN if "outlive" in sys.argv else signal.SIG_DFL)
    book = AddressBook(port, "127.0.0.1")
    sys.exit(serving.serve(app, lambda: print("CLOSED", flush=True), book, sys.stdout, sys.stderr))
"""


def start(port: int, *more: str) -> subprocess.Popen[str]:
    """The server in a process of its own, up to the line that says how to stop it."""
    process = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(SERVER), str(port), *more],
        cwd=Path(__file__).parent.parent,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    assert process.stdout is not None
    for line in process.stdout:
        if "Stop with Ctrl-C" in line:
            return process
    raise AssertionError(process.communicate(timeout=PATIENCE / 1000)[1])


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_it_stops_cleanly_and_finishes_what_had_begun(number: signal.Signals, free_port: int) -> None:
    process = start(free_port)
    assert process.stdout is not None
    answers: list[bytes] = []

    def ask() -> None:
        with urllib.request.urlopen(f"http://127.0.0.1:{free_port}/slow", timeout=PATIENCE / 1000) as answer:
            answers.append(answer.read())

    asking = threading.Thread(target=ask)
    asking.start()
    assert any("BEGUN" in line for line in iter(process.stdout.readline, ""))
    process.send_signal(number)
    process.send_signal(number)  # the impatient press it twice
    out, errors = process.communicate(timeout=PATIENCE / 1000)
    asking.join(15)
    assert (process.returncode, errors) == (0, "")
    assert out.split() == ["CLOSED", "Stopped.", "Everything", "is", "saved."]
    assert answers == [b"done"]
    close_all(serving.listen("127.0.0.1", free_port))


def test_started_to_outlive_its_terminal_it_does(free_port: int) -> None:
    process = start(free_port, "outlive")
    process.send_signal(signal.SIGHUP)
    with urllib.request.urlopen(f"http://127.0.0.1:{free_port}/slow", timeout=PATIENCE / 1000) as answer:
        assert answer.read() == b"done"
    process.terminate()
    _, errors = process.communicate(timeout=PATIENCE / 1000)
    assert (process.returncode, errors) == (0, "")


def test_serve_on_a_taken_port_says_so_closes_the_store_and_returns_1(taken_port: int) -> None:
    out, errors, closed = io.StringIO(), io.StringIO(), []
    book = AddressBook(taken_port, look=lambda: (WIFI,))
    assert serving.serve(hello, lambda: closed.append(True), book, out, errors) == 1
    assert (out.getvalue(), closed) == ("", [True])
    assert errors.getvalue().count("\n") == 1
    assert f"Port {taken_port} is taken" in errors.getvalue()


def book_of(*found: Interface, host: str | None = None) -> AddressBook:
    return AddressBook(8642, host, look=lambda: found)


def test_the_best_address_comes_with_its_code_and_the_others_below() -> None:
    said = serving.announcement(book_of(LOOPBACK, DOCKER, WIFI), "/pair/7f3k9m2p4q6r")
    best, other = (said.index(f"http://{at}:8642/pair/7f3k9m2p4q6r") for at in ("192.168.1.20", "172.17.0.1"))
    assert said.index("█") < said.index("\nThe code: 7f3k 9m2p 4q6r\n"), "under it, for who has no camera"
    assert "http://localhost:8642/\n" in said
    assert best < said.index("█") < other
    assert "docker0: looks like a virtual machine's or a VPN's network" in said
    assert "keep this computer awake" in said
    assert "port 8642 through this computer's firewall" in said


@pytest.mark.parametrize(
    ("book", "words"),
    [
        (book_of(LOOPBACK), "on no network"),
        (book_of(LOOPBACK, WIFI, host="127.0.0.1"), "(lo: reaches this computer only)"),
        (book_of(LOOPBACK, WIFI, host="sewing.lan"), "http://sewing.lan:8642/\n"),
    ],
)
def test_what_stands_in_a_phone_s_way_is_said(book: AddressBook, words: str) -> None:
    assert words in serving.announcement(book)


def test_inside_windows_linux_it_says_that_phones_cannot_reach_it() -> None:
    assert "WSL" in serving.announcement(book_of(WIFI), wsl=True)
    assert "WSL" not in serving.announcement(book_of(WIFI))


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "utf-8", "cp437"])
def test_every_console_can_show_the_address(encoding: str) -> None:
    raw = io.BytesIO()
    console = io.TextIOWrapper(raw, encoding=encoding, newline="")
    serving.announce(book_of(WIFI), console)
    said = raw.getvalue().decode(encoding)
    assert "http://192.168.1.20:8642/" in said
    assert ("█" in said) == ("code, or type" in said) == (encoding in {"utf-8", "cp437"})


def test_a_closed_terminal_does_not_stop_the_server() -> None:
    gone = io.StringIO()
    gone.close()
    serving.announce(book_of(WIFI), gone)


def test_a_terminal_that_went_away_does_not_stop_the_server() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    pipe = os.fdopen(writing, "w", encoding="utf-8")
    serving.announce(book_of(WIFI), pipe)
    with contextlib.suppress(BrokenPipeError):
        pipe.close()
