"""What went wrong, in one plain sentence with a way back, and the right status. Never a traceback."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from flask import Flask, Response, g, make_response, render_template, request
from werkzeug.exceptions import HTTPException

from tracker.looks.preview import PlanFault
from tracker.progress.ledger import Refused
from tracker.server.connections import LARGEST_BODY
from tracker.store.quilts import StoreFault
from tracker.web.pages import Link, is_part, nav_links, parts

HOME = Link("/", "To the quilts")

SENTENCES = {
    400: "What was sent cannot be read; go back, load the page again and try once more.",
    403: "That is not allowed from here; go back to the quilts.",
    404: "There is no page at this address; go back to the quilts and follow the buttons.",
    405: "This address is not opened in that way; go back to the quilts and follow the buttons.",
    413: "What was sent is too large; a plan has at most 1 MB, a photo 32 MB, a backup less than"
    f" {LARGEST_BODY >> 20} MB; a larger backup is restored by the command `sewing-room restore`.",
    500: "Something went wrong in the sewing room; what was saved is still saved. Go back and try once more.",
}
"""What each status says where nothing more exact is known."""

STRANGER = "This device is not paired with this sewing room yet."

STORE_STATUS = {
    "unknown": 404, "not storable": 400, "newer": 409, "closed": 503, "full": 507, "not writable": 507, "failed": 507,
}  # fmt: skip
"""The status for each kind of store fault; others (the folder is gone) are 503."""

log = logging.getLogger("tracker.web")


class PageFault(Exception):
    """A request that cannot be met: the status, one sentence, and a way back (None: there is none to offer)."""

    def __init__(self, status: int, sentence: str, back: Link | None = HOME) -> None:
        super().__init__(sentence)
        self.status = status
        self.sentence = sentence
        self.back = back


class NotKept(Exception):
    """What was typed in the field `key` cannot be used; `words` say why. Its page says so there, and loses nothing."""

    def __init__(self, key: str, words: str) -> None:
        super().__init__(words)
        self.key, self.words = key, words


class Stranger(Exception):
    """A device that is not paired asks for more than how to pair. `sentence` says why it is not let in; `to_class`: it
    came by a class's door; `typed`: the code that it showed, if it did, which stays in its field."""

    def __init__(
        self, sentence: str = STRANGER, status: int = 403, to_class: bool = False, typed: str | None = None
    ) -> None:
        super().__init__(sentence)
        self.status = status
        self.sentence = sentence
        self.to_class = to_class
        self.typed = typed


@dataclass(frozen=True)
class _Told:
    status: int
    sentence: str
    back: Link | None = HOME
    stranger: bool = False
    to_class: bool = False
    typed: str | None = None


def answer_all(app: Flask) -> None:
    """Have every exception answered by a page, or by the sentence alone where only a part of a page was asked for."""

    @app.errorhandler(Exception)
    def answer(error: Exception) -> Response:
        told = _told(error)
        if told.status == 500:
            log.exception("%s %s", request.method, page_asked())
        elif isinstance(error, StoreFault) and error.kind != "unknown":
            log.warning("not done: %s %s, %s", request.method, page_asked(), error.kind)
        response = make_response(_body(told), told.status)
        if isinstance(error, HTTPException):
            for name, value in error.get_headers():
                if name in ("Allow", "Location"):
                    response.headers[name] = value
        response.headers["Cache-Control"] = "no-store"
        return response


def page_asked() -> str:
    """Which page was asked for, as a log may tell it: nothing of what was given with it."""
    return request.url_rule.rule if request.url_rule is not None else "(no page of ours)"


def _body(told: _Told) -> str:
    if is_part():
        return render_template("parts/fault.html", sentence=told.sentence)
    if not (g.get("known") or g.get("pupil")):  # nothing of ours stands on the page: no quilt, no script
        book = parts().addresses
        home = book.own_url() if book.on_loopback else ""
        waits = told.status == 429
        facts = {"home": home, "how": told.stranger, "waits": waits, "to_class": told.to_class, "typed": told.typed}
        return render_template("pages/stranger.html", sentence=told.sentence, **facts)
    return render_template("pages/fault.html", told=told, nav=nav_links() if told.back else [])


def _told(error: Exception) -> _Told:
    match error:
        case Stranger():
            words = error.sentence
            if is_part() and error.status == 403:
                words += " Open the sewing room's first page here to pair it; what was tapped is kept until then."
            return _Told(error.status, words, None, True, error.to_class, error.typed)
        case PageFault():
            return _Told(error.status, error.sentence, error.back)
        case StoreFault():
            return _Told(STORE_STATUS.get(error.kind, 503), error.sentence)
        case PlanFault():
            return _Told(409, f"The plan of this quilt cannot be used any more. {error.sentences[0]}")
        case Refused():
            return _Told(409, "This tap could not be counted; load the page again and tap once more.")
        case HTTPException():
            status = error.code or 500
            return _Told(status, SENTENCES.get(status, SENTENCES[400] if status < 500 else SENTENCES[500]))
    return _Told(500, SENTENCES[500])
