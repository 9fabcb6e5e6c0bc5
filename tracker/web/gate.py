"""Who may ask, and what every answer carries: the one place for Host, Origin, paired devices and the headers."""

from __future__ import annotations

import gzip
import logging

from flask import Flask, Response, g, request
from werkzeug.http import parse_cookie

from tracker.safekeeping.callers import Call
from tracker.safekeeping.logbook import REFUSED
from tracker.safekeeping.pairing import Pairing
from tracker.safekeeping.pupils import Pupil
from tracker.server.addresses import AddressBook
from tracker.server.connections import Known
from tracker.web.faults import PageFault, Stranger, page_asked
from tracker.web.pages import Link

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
    {(page, method) for page in ("pair.link", "pair.typed", "join.link", "join.typed") for method in ("GET", "HEAD")}
    | {("pair.pair", "POST"), ("join.join", "POST")}
)
OPEN_FILES = frozenset(
    f"/static/{name}" for name in ("room.css", "icon.svg", "icon-180.png", "icon-512.png", "room.webmanifest")
)
"""All that a stranger may load: the pages that pair, what they look like, and what phones fetch for an icon without
a cookie."""
PUPILS_READ = frozenset(
    {
        "ahead.ahead", "ahead.counts", "block.block", "blocks.board", "cutting.cutting", "home.quilts",
        "home_screen.how", "home_screen.stopped", "latest.latest",
        "layout.layout", "layout.pressing", "list.whole_list", "measured_block.first", "measured_block.measure",
        "mend.mend", "mine.mine", "mine.news", "mine.take_home", "now.at_a_station", "pattern.pass_picture",
        "pattern.pattern", "photo.of_block", "photo.of_quilt", "pile.scanned", "quilt.picture",
        "quilt.quilt", "seam.test_page", "sheets.one_for_all", "sheets.sheets", "shopping.shopping", "sizes.sizes",
        "static.file", "step.one_step", "step.onward", "step.where_she_stopped", "taps.changes",
    }
)  # fmt: skip
"""What a pupil's device may open, each of her own quilt only; the first page and that of her quilt lead to hers."""
PUPILS_SEND = frozenset({"mine.hand", "mine.read", "photo.block_seen", "photo.quilt_seen", "seam.measured", "taps.tap"})
"""What it may send, of her own quilt only: what changes its counts, and colours of a photo, which change nothing."""
COOKIE_DAYS = 400
"""As long as browsers keep any cookie; counted from the last day that the device was here."""
WORTH_PACKING = 1200
"""Bytes from which an answer is sent compressed."""

NOT_HERS = "This is no part of your quilt; go back to it."
ENDED = (
    "Your teacher has ended the class, or this device's part in it. Your quilt is kept: ask her for it, or for the "
    "code with which you go on."
)

log = logging.getLogger("tracker.web")


def guard(app: Flask, addresses: AddressBook, pairing: Pairing) -> None:
    """Refuse what is not meant for this server, devices that are not paired, and what comes from another site's page.

    Sets the headers of all answers. `g.device` is the device that asks; None on this computer itself. `g.known`:
    whether it may see more than how to pair; a pupil's (`g.pupil`) may see what is hers.
    """

    @app.before_request
    def check() -> None:
        g.device, g.keep_in, g.known, g.pupil = None, "", False, None
        g.at_home = _call().at_home()
        _check_host(addresses)
        g.known = g.at_home or pairing.knows(_token(pairing))
        if not g.known:
            g.pupil = pairing.classes.pupil_of(request.cookies.get(pairing.classes.cookie, ""))
        _check_open(pairing)
        if request.method not in READING:
            _check_origin()
        if g.pupil is None and not g.at_home:
            _greet(pairing)

    @app.after_request
    def finish(response: Response) -> Response:
        if g.get("keep_in"):
            let_in(response, pairing.cookie, g.keep_in)
        return _finish(response)


def is_this_computer() -> bool:
    """Whether someone at the computer itself asks."""
    return bool(g.at_home)


def _call() -> Call:
    headers = {name.upper().replace("-", "_"): value for name, value in request.headers.items()}
    version = request.environ.get("SERVER_PROTOCOL", "").removeprefix("HTTP/")
    return Call(request.remote_addr or "", version, headers)


def known_to(pairing: Pairing) -> Known:
    """Who is no stranger: this computer, devices that are paired, and those of pupils."""

    def known(call: Call) -> bool:
        # Cookies of other programs on this host may hold anything.
        cookies = call.headers.get("COOKIE", "").encode("ascii", "replace").decode("ascii")
        found, classes = parse_cookie(cookies), pairing.classes
        pupil = classes.pupil_of(found.get(classes.cookie, ""))
        return call.at_home() or pairing.knows(found.get(pairing.cookie, "")) or pupil is not None

    return known


def _token(pairing: Pairing) -> str:
    return request.cookies.get(pairing.cookie, "")


def _check_open(pairing: Pairing) -> None:
    """All that is not for strangers is answered to them alike, whether there is such a page or not; and so all that is
    not a pupil's to her."""
    reading = request.method in ("GET", "HEAD")
    is_open = (request.endpoint, request.method) in OPEN_PAGES or (reading and request.path in OPEN_FILES)
    if g.pupil is not None and not is_open:
        if not _is_hers(g.pupil):
            log.info("refused: %s %s, not the pupil's", request.method, page_asked(), extra=REFUSED)
            raise PageFault(403, NOT_HERS, Link("/mine", "To my quilt"))
    elif not (g.known or is_open):
        if pairing.classes.was_pupil(request.cookies.get(pairing.classes.cookie, "")):
            raise Stranger(ENDED)
        log.info("refused: %s %s from %s, not paired", request.method, page_asked(), request.remote_addr, extra=REFUSED)
        raise Stranger


def _is_hers(pupil: Pupil) -> bool:
    """Whether a request is for what a pupil may see or do, of her own quilt."""
    given = request.view_args or {}
    allowed = PUPILS_READ if request.method in ("GET", "HEAD") else PUPILS_SEND if request.method == "POST" else ()
    return request.endpoint in allowed and given.get("quilt_id", pupil.quilt) == pupil.quilt


def _greet(pairing: Pairing) -> None:
    """Say which device asks, and have it keep its token for longer, once a day."""
    token = _token(pairing)
    found = pairing.greet(token)
    if found is not None:
        g.device, first_today = found
        g.keep_in = token if first_today else ""
    elif g.known:  # removed this moment
        g.known = False
        _check_open(pairing)


def let_in(response: Response, cookie: str, token: str) -> None:
    """Have the device keep its token. Strict would lose it where a link or a label's code is opened from elsewhere;
    no page changes anything when it is merely opened, and what changes something must come from our own pages."""
    response.set_cookie(
        cookie, token, max_age=COOKIE_DAYS * 86_400, path="/", httponly=True, samesite="Lax", secure=False
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
