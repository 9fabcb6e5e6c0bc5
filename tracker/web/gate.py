"""Who may ask, and what every answer carries: the one place for the Host and Origin checks and the headers."""

from __future__ import annotations

import gzip

from flask import Flask, Response, request

from tracker.network import AddressBook
from tracker.web.faults import Fault

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
WORTH_PACKING = 1200
"""Bytes from which an answer is sent compressed."""


def guard(app: Flask, addresses: AddressBook) -> None:
    """Refuse what is not meant for this server or comes from another site's page; set the headers of all answers."""

    @app.before_request
    def check() -> None:
        _check_host(addresses)
        if request.method not in READING:
            _check_origin()

    app.after_request(_finish)


def _check_host(addresses: AddressBook) -> None:
    """A name that is not ours leads here where another site's name was bent to our address."""
    if not addresses.allows(request.headers.get("Host", "")):
        raise Fault(403, "This address is none of this sewing room's; open the one that the computer shows.", None)


def _check_origin() -> None:
    """Every browser says with a form from which page it comes."""
    here = f"{request.scheme}://{request.headers['Host']}".lower()
    origin = request.headers.get("Origin")
    if origin is not None:
        allowed = origin.lower() == here
    else:
        allowed = request.headers.get("Referer", "").lower().startswith(here + "/")
    if not allowed:
        raise Fault(403, "This came from another site's page, so nothing was changed; use the pages here.")


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
