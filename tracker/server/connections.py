"""Connections by waitress: each is one of the lines; who sends a request is asked as soon as its head has come."""

from __future__ import annotations

import copy
import logging
import socket
import threading
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from waitress import wasyncore
from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser, ParsingError
from waitress.server import TcpWSGIServer

from tracker.safekeeping.callers import Call
from tracker.server import sharing
from tracker.server.lanes import THREADS, Lanes
from tracker.server.lines import Line, Lines, LineStage

if TYPE_CHECKING:
    from wsgiref.types import WSGIApplication

log = logging.getLogger("tracker.server.connections")

LARGEST_BODY = 64 * 1024 * 1024
"""Bytes in a request, above which the connection is cut: some photos as a phone takes them, or a backup with hundreds
of kept ones. What a page takes is less, and what is too much for it is answered by a sentence of its own."""
LARGEST_HEAD = 64_000
"""Bytes in a request's head: it is looked through anew with every packet, and a packet may hold one byte."""
LARGEST_STRANGE_BODY = 64 * 1024
"""The same for a caller that is not known: nothing of it reaches the disk."""
IDLE_SECONDS = 30
"""A connection that sends nothing for so long is closed: a phone asleep, a body that never ends."""
_WAKE_SECONDS = 0.25
_AT_ONCE = 16
"""Connections that are taken before others are heard again."""

Known = Callable[[Call], bool]
"""Whether a caller is no stranger."""


class _Request(HTTPRequestParser):  # type: ignore[misc]
    """A request that says who sends it as soon as its head has come; a stranger's body must be small."""

    adj: Adjustments

    def __init__(self, adjustments: Adjustments, heard: Callable[[str, Mapping[str, str]], bool]) -> None:
        super().__init__(adjustments)
        self._heard = heard

    def parse_header(self, header_plus: bytes) -> None:
        try:
            super().parse_header(header_plus)
        except ValueError as fault:  # an address that is none, with brackets in the wrong place
            raise ParsingError("Bad address") from fault
        if not self._heard(self.version, self.headers) and self.body_rcv is not None:
            self.adj = copy.copy(self.adj)
            self.adj.max_request_body_size = LARGEST_STRANGE_BODY


class _Channel(HTTPChannel):  # type: ignore[misc]
    """A connection: one of the lines."""

    server: _Server
    line: Line

    def parser_class(self, adjustments: Adjustments) -> _Request:
        return _Request(adjustments, self._heard)

    def _heard(self, version: str, headers: Mapping[str, str]) -> bool:
        known = self.server.known(Call(self.line.address, version, headers))
        self.server.lines.heard(self.line, known)
        return known

    def stage(self) -> LineStage:
        if self.requests or self.total_outbufs_len:
            return LineStage.ANSWER
        request = self.request
        return LineStage.BODY if request is not None and request.headers_finished else LineStage.ASKING

    def handle_error(self) -> None:
        log.exception("a connection was cut off")
        self.handle_close()

    def del_channel(self, map: dict[int, wasyncore.dispatcher] | None = None) -> None:
        super().del_channel(map)
        self.server.lines.gone(self.line)


class _Server(TcpWSGIServer):  # type: ignore[misc]
    """A listening socket, whose connections share the lines with those of the others."""

    lines: Lines
    known: Known

    def handle_error(self) -> None:
        log.exception("a connection was not taken")

    def handle_accept(self) -> None:
        # Several at a time, else a flood of them keeps everybody waiting at the door.
        for _ in range(_AT_ONCE):
            try:
                if (come := self.accept()) is None:
                    return
                connection, address = come
                self.set_socket_options(connection)
            except OSError:  # gone again, or no more files may be open
                return
            line = self.lines.come(str(address[0]))
            if line is None:
                connection.close()
                continue
            try:
                _Channel(self, connection, address, self.adj, map=self._map).line = line
            except OSError:
                self.lines.gone(line)
                connection.close()


def answer(
    app: WSGIApplication,
    sockets: Sequence[socket.socket],
    on_ready: Callable[[], None],
    ending: threading.Event,
    known: Known,
    lines: Lines,
    tidying: sharing.Tidying,
) -> None:
    """Answer requests until `ending` is set; those that had begun are finished first, 5 seconds at most."""
    logging.getLogger("waitress").setLevel(logging.ERROR)  # queue depth and hung-up phones are no news to a person
    channels: dict[int, wasyncore.dispatcher] = {}
    threads = Lanes()
    adjustments = _adjustments(sockets)
    for each in sockets:
        at = (each.family, each.type, each.proto, each.getsockname())
        common = {"dispatcher": threads, "adj": adjustments, "sockinfo": at, "bind_socket": False}
        server = _Server(app, channels, True, each, **common)
        server.lines, server.known = lines, known
    try:
        on_ready()
        while not ending.is_set():
            wasyncore.loop(timeout=_WAKE_SECONDS, map=channels, count=1)
            held = [channel for channel in list(channels.values()) if isinstance(channel, _Channel)]
            tidying.mind(bool(held), sharing.clock())
            for channel in held:
                if lines.must_end(channel.line, channel.stage()):
                    channel.handle_close()
    finally:
        threads.shutdown()
        wasyncore.close_all(channels, ignore_all=True)


def _adjustments(sockets: Sequence[socket.socket]) -> Adjustments:
    return Adjustments(
        sockets=list(sockets),
        threads=THREADS,
        max_request_header_size=LARGEST_HEAD,
        max_request_body_size=LARGEST_BODY,
        channel_timeout=IDLE_SECONDS,
        cleanup_interval=IDLE_SECONDS // 3,
        connection_limit=10_000,  # at which nobody is let in any more; the lines have limits of their own
        clear_untrusted_proxy_headers=False,  # they show that a call was passed on
        log_socket_errors=False,
        ident=None,
    )
