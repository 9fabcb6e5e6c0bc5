"""Who may ask, and what every answer carries: the one place for Host, Origin, paired devices and the headers."""

from __future__ import annotations

import gzip
import logging

from flask import Flask, Response, g, request
from werkzeug.http import parse_cookie

from tracker.safekeeping.callers import Call
from tracker.safekeeping.logbook import REFUSED
from tracker.safekeeping.pairing import Pairing
from tracker.server.addresses import AddressBook
from tracker.server.connections import Known
from tracker.web.faults import PageFault, Stranger, page_asked

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
        "base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"
    ),
    "Referrer-Policy": "same-origin",  # with none at all, browsers would send "Origin: null"
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Resource-Policy": "same-origin",
}
READING = frozenset({"GET", "HEAD", "OPTIONS"})
OPEN_PAGES = frozenset(
    {("pair.link", "GET"), ("pair.link", "HEAD"), ("pair.typed", "GET"), ("pair.typed", "HEAD"), ("pair.pair", "POST")}
)
OPEN_FILES = frozenset({"/static/room.css", "/static/icon.svg"})
"""All that a stranger may load: the pages that pair, and what they look like."""
COOKIE_DAYS = 400
"""As long as browsers keep any cookie; counted from the last day that the device was here."""
WORTH_PACKING = 1200
"""Bytes from which an answer is sent compressed."""


log = logging.getLogger("tracker.web")


def guard(app: Flask, addresses: AddressBook, pairing: Pairing) -> None:
    """Refuse what is not meant for this server, devices that are not paired, and what comes from another site's page.

    Sets the headers of all answers. `g.device` is the device that asks; None on this computer itself. `g.known`:
    whether it may see more than how to pair.
    """

    @app.before_request
    def check() -> None:
        g.device, g.keep_in, g.known = None, "", False
        g.at_home = _call().at_home()
        _check_host(addresses)
        g.known = g.at_home or pairing.knows(_token(pairing))
        _check_open()
        if request.method not in READING:
            _check_origin()
        if not g.at_home:
            _greet(pairing)

    @app.after_request
    def finish(response: Response) -> Response:
        if g.get("keep_in"):
            let_in(response, pairing, g.keep_in)
        return _finish(response)


def is_this_computer() -> bool:
    """Whether someone at the computer itself asks."""
    return bool(g.at_home)


def _call() -> Call:
    headers = {name.upper().replace("-", "_"): value for name, value in request.headers.items()}
    version = request.environ.get("SERVER_PROTOCOL", "").removeprefix("HTTP/")
    return Call(request.remote_addr or "", version, headers)


def known_to(pairing: Pairing) -> Known:
    """Who is no stranger: this computer, and devices that are paired."""

    def known(call: Call) -> bool:
        # Cookies of other programs on this host may hold anything.
        cookies = call.headers.get("COOKIE", "").encode("ascii", "replace").decode("ascii")
        token = parse_cookie(cookies).get(pairing.cookie, "")
        return call.at_home() or pairing.knows(token)

    return known


def _token(pairing: Pairing) -> str:
    return request.cookies.get(pairing.cookie, "")


def _check_open() -> None:
    """All that is not for strangers is answered to them alike, whether there is such a page or not."""
    reading = request.method in ("GET", "HEAD")
    is_open = (request.endpoint, request.method) in OPEN_PAGES or (reading and request.path in OPEN_FILES)
    if not (g.known or is_open):
        log.info("refused: %s %s from %s, not paired", request.method, page_asked(), request.remote_addr, extra=REFUSED)
        raise Stranger


def _greet(pairing: Pairing) -> None:
    """Say which device asks, and have it keep its token for longer, once a day."""
    token = _token(pairing)
    found = pairing.greet(token)
    if found is not None:
        g.device, first_today = found
        g.keep_in = token if first_today else ""
    elif g.known:  # removed this moment
        g.known = False
        _check_open()


def let_in(response: Response, pairing: Pairing, token: str) -> None:
    """Have the device keep its token. Strict would lose it where a link or a label's code is opened from elsewhere;
    no page changes anything when it is merely opened, and what changes something must come from our own pages."""
    response.set_cookie(
        pairing.cookie, token, max_age=COOKIE_DAYS * 86_400, path="/", httponly=True, samesite="Lax", secure=False
    )


def _check_host(addresses: AddressBook) -> None:
    """A name that is not ours leads here where another site's name was bent to our address."""
    if not addresses.allows(request.headers.get("Host", "")):
        log.info("refused: a foreign Host, from %s", request.remote_addr, extra=REFUSED)
        raise PageFault(403, "This address is none of this sewing room's; open the one that the computer shows.", None)


def _check_origin() -> None:
    """Every browser says with a form from which page it comes."""
    here = f"{request.scheme}://{request.headers['Host']}".lower()
    origin = request.headers.get("Origin")
    if origin is not None:
        allowed = origin.lower() == here
    else:
        allowed = request.headers.get("Referer", "").lower().startswith(here + "/")
    if not allowed:
        log.info("refused: a foreign Origin, from %s", request.remote_addr, extra=REFUSED)
        raise PageFault(403, "This came from another site's page, so nothing was changed; use the pages here.")


def _finish(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers[name] = value
    if "Cache-Control" not in response.headers:
        response.headers["Cache-Control"] = "no-cache"
    return _packed(response)


def _packed(response: Response) -> Response:
    """Compressed, where that saves the radio something. Level 1: most of the saving for a fifth of the time."""
    kind = response.mimetype or ""
    if kind.startswith("text/") or kind in ("image/svg+xml", "application/json", "text/javascript"):
        response.vary.add("Accept-Encoding")
        wanted = request.accept_encodings["gzip"] > 0 and "Content-Encoding" not in response.headers
        if wanted and response.status_code == 200 and len(response.get_data()) >= WORTH_PACKING:
            response.set_data(gzip.compress(response.get_data(), 1, mtime=0))
            response.headers["Content-Encoding"] = "gzip"
    return response
