"""The server's outside: its sockets, its start and stop, and what it says in the terminal.

Knows no page: an application is any WSGI callable.
"""

from __future__ import annotations

import errno
import os
import signal
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from types import FrameType
from typing import TYPE_CHECKING, TextIO

from tracker.safekeeping.secret_codes import Code
from tracker.server import qr_codes as codes
from tracker.server import sharing
from tracker.server.addresses import DEFAULT_PORT, EVERYWHERE, Address, AddressBook, is_wsl
from tracker.server.connections import Known, answer
from tracker.server.lines import Lines

if TYPE_CHECKING:
    from wsgiref.types import WSGIApplication


class CannotListen(OSError):
    """The server cannot start where it was told to; its text is one sentence for the person."""


class PortTaken(CannotListen):
    """Another program has the port."""


def listen(host: str | None = None, port: int = DEFAULT_PORT) -> list[socket.socket]:
    """Listening sockets on the port: every IPv4 and IPv6 address, or only the host given.

    In: a host's address or name (None: all), a port from 1 to 65535 (0: any free one, for tests). Raises
    PortTaken or CannotListen, one sentence each. The port is never changed silently: printed labels hold
    it.
    """
    if not 0 <= port <= 65535:
        raise CannotListen(f"--port {port} is not a port: a whole number from 1 to 65535 is, such as {DEFAULT_PORT}.")
    opened: list[socket.socket] = []
    try:
        for family, where in _places(host):
            taken = opened[0].getsockname()[1] if opened else port
            if (fresh := _open(family, where, taken, needed=not opened)) is not None:
                opened.append(fresh)
    except (OSError, UnicodeError) as fault:  # a name that cannot be one on the network is a UnicodeError
        for one in opened:
            one.close()
        raise _in_words(fault, host, port) from fault
    return opened


def _places(host: str | None) -> list[tuple[socket.AddressFamily, str]]:
    if host is None or host in EVERYWHERE:
        return [(socket.AF_INET, "0.0.0.0"), *([(socket.AF_INET6, "::")] if socket.has_ipv6 else [])]
    found = socket.getaddrinfo(host.strip("[]"), None, type=socket.SOCK_STREAM)
    return list(dict.fromkeys((family, str(where[0])) for family, _, _, _, where in found))


def _open(family: socket.AddressFamily, where: str, port: int, needed: bool) -> socket.socket | None:
    """One listening socket. None where IPv6 is switched off on this computer and IPv4 is already there."""
    try:
        fresh = socket.socket(family, socket.SOCK_STREAM)
    except OSError:
        if needed:
            raise
        return None
    try:
        if sys.platform == "win32":  # there, reusing would let two servers share a port
            fresh.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:  # else a restart is refused for a minute
            fresh.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            fresh.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        fresh.bind((where, port))
        fresh.listen(128)
    except OSError as fault:
        fresh.close()
        if fault.errno == errno.EADDRNOTAVAIL and not needed:
            return None
        raise
    return fresh


def _in_words(fault: OSError | UnicodeError, host: str | None, port: int) -> CannotListen:
    if isinstance(fault, (UnicodeError, socket.gaierror)) or fault.errno == errno.EADDRNOTAVAIL:
        return CannotListen(
            errno.EADDRNOTAVAIL,
            f"--host {host} is not an address of this computer: without --host it answers at all it has.",
        )
    if fault.errno in {errno.EADDRINUSE, getattr(errno, "WSAEADDRINUSE", errno.EADDRINUSE)}:
        return PortTaken(
            fault.errno,
            f"Port {port} is taken, perhaps by this tool in another window: stop that one, or start with "
            f"--port {_free_port(host, port)}, where labels printed for port {port} will not find it.",
        )
    if fault.errno in {errno.EACCES, errno.EPERM} and port > 1023:
        return CannotListen(
            fault.errno,
            f"This computer keeps port {port} for another use, as Windows does with some: start with "
            f"--port {_free_port(host, port)}, where labels printed for port {port} will not find it.",
        )
    if fault.errno in {errno.EACCES, errno.EPERM}:
        return CannotListen(
            fault.errno, f"This account may not use port {port}: start with --port {DEFAULT_PORT}, or one above 1023."
        )
    return CannotListen(fault.errno, f"The server cannot use port {port}: {fault.strerror or fault}.")


def _free_port(host: str | None, port: int) -> int:
    """The next port that is free at this moment."""
    for candidate in [*range(port + 1, min(port + 50, 65536)), 0]:
        with suppress(OSError):
            family, where = _places(host)[0]
            trial = _open(family, where, candidate, needed=True)
            if trial is not None:
                with trial:
                    return int(trial.getsockname()[1])
    return DEFAULT_PORT


def run(
    app: WSGIApplication,
    sockets: Sequence[socket.socket],
    on_ready: Callable[[], None] = lambda: None,
    stop: threading.Event | None = None,
    known: Known = lambda call: True,
    lines: Lines | None = None,
) -> None:
    """Answer requests until Ctrl-C, SIGTERM, the terminal's closing, or `stop` is set; then return.

    In: the application, listening sockets (closed at the end), what to do once it answers, who is no stranger (by
    default nobody is one), and the lines that callers may hold. Requests that had begun are finished first, 5 seconds
    at most. Signals are heeded only in the main thread.
    """
    ending = threading.Event() if stop is None else stop
    with _heeding_signals(ending), sharing.shared() as tidying:
        answer(app, sockets, on_ready, ending, known, lines or Lines(), tidying)


@contextmanager
def _heeding_signals(ending: threading.Event) -> Iterator[None]:
    """Signals only raise a flag: an exception thrown into the middle of the server could be lost, or lose a
    tap."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def heed(_number: int, _frame: FrameType | None) -> None:
        ending.set()

    names = ["SIGINT", "SIGTERM", "SIGBREAK"]
    if hasattr(signal, "SIGHUP") and signal.getsignal(signal.SIGHUP) != signal.SIG_IGN:
        names.append("SIGHUP")  # unless it was started to outlive its terminal
    heeded = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before = [(number, signal.signal(number, heed)) for number in heeded]
    try:
        yield
    finally:
        for number, handler in before:
            signal.signal(number, handler)


_HEED = """
While sewing, keep this computer awake: asleep, it cannot answer the phone.
If the phone cannot connect: put both on the same Wi-Fi (not the guest network), switch off any
VPN, and let port {port} through this computer's firewall.
Stop with Ctrl-C.
"""

_WSL = """
This runs inside Windows' Linux (WSL), which phones cannot reach: start it in Windows itself.
"""

_NO_NETWORK = """
This computer is on no network, so no phone can reach it yet. Once it is, the first page says
at what address.
"""


def announcement(
    book: AddressBook, path: str = "/", encoding: str | None = "utf-8", colour: bool = False, wsl: bool = False
) -> str:
    """What the terminal shows at the start: the address and its QR code, other addresses, what to heed.

    In: the addresses, the path that the phone should open, what the terminal can show, whether this is WSL.
    """
    look = book.current()
    own = book.own_url(book.own_path(path))
    parts = [f"\nThe sewing room is open.\n\n  On this computer:  {own}\n"]
    if look.best is None:
        parts.append(_NO_NETWORK)
    else:
        url = look.best.url(book.port, path)
        parts.append(f"  On the phone:      {url}{_aside(look.best)}\n\n")
        drawn = codes.terminal(url, encoding, colour)
        typed = f"The code: {Code(path.rpartition('/')[2]).typed}\n" if path.startswith("/pair/") else ""
        parts.append(f"{drawn}{typed}Point the phone's camera at the code, or type the address.\n" if drawn else typed)
    if others := look.addresses[1:]:
        parts.append("\nIf that address does not answer, try:\n")
        parts += [f"  {other.url(book.port, path)}{_aside(other)}\n" for other in others]
    parts += [_WSL if wsl else "", _HEED.format(port=book.port)]
    return "".join(parts)


def _aside(address: Address) -> str:
    """A remark where something speaks against an address."""
    words = ", ".join(address.doubts)
    return f"  ({f'{address.interface}: ' if address.interface else ''}{words})" if words else ""


def announce(book: AddressBook, stream: TextIO, path: str = "/") -> None:
    """Write the announcement as well as the stream can show it."""
    coloured = not stream.closed and stream.isatty() and os.name != "nt" and os.environ.get("TERM", "dumb") != "dumb"
    _say(stream, announcement(book, path, getattr(stream, "encoding", None), coloured, is_wsl()))


def open_in_browser(address: str) -> None:
    """Have this computer's browser open an address; nobody waits for it, since some end only when they are closed."""
    threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()


def _say(stream: TextIO, text: str) -> None:
    """Print, and let nothing stop the server: the terminal may lack a letter, or be gone."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    with suppress(OSError, ValueError):
        print(text.encode(encoding, "replace").decode(encoding), file=stream, flush=True)


def serve(
    app: WSGIApplication,
    close: Callable[[], None],
    book: AddressBook,
    stream: TextIO,
    errors: TextIO,
    path: str = "/",
    known: Known = lambda call: True,
    opened: Callable[[], None] | None = None,
) -> int:
    """The whole of `sewing-room serve`: listen, announce, answer until told to stop, close the store.

    In: the application, what closes the store (called in every case, once), the addresses (with the port,
    and the host if one was given), where to print, where to complain, the path that the phone should open,
    who is no stranger, what else to do once it answers.
    Out: the exit code: 0 after a clean stop, 1 where it could not listen (said in one sentence).
    """
    try:
        try:
            sockets = listen(book.given_host, book.port)
        except CannotListen as fault:
            _say(errors, str(fault.args[-1]))
            return 1

        def ready() -> None:
            announce(book, stream, path)
            if opened is not None:
                opened()

        run(app, sockets, on_ready=ready, known=known)
    finally:
        close()
    _say(stream, "\nStopped. Everything is saved.")
    return 0
