"""How a device is let in: the page behind the QR code, with one button; what the button sends; a code that is typed."""

from __future__ import annotations

from flask import Response, g, make_response, render_template, request

from tracker.safekeeping.secret_codes import LONGEST_NAME, NotPaired, plain_code
from tracker.web import gate
from tracker.web.faults import Stranger
from tracker.web.pages import go_to, never_kept, parts
from tracker.web.screen import Screen

screen = Screen("pair")

LARGEST_FORM = 16 * 1024
LONGEST_TYPED = 20
"""As long as a code's field takes."""


@screen.get("/pair/<code>")
def link(code: str) -> Response:
    """What the QR code opens. Opening it lets nobody in: previews of links open pages too."""
    if g.known:
        return _page(paired=True)
    _try(code)
    return _page(code=code, name=_guessed_name())


@screen.get("/pair")
def typed() -> Response:
    """The same for a code that is typed."""
    return _page(paired=g.known, name=_guessed_name())


@screen.post("/pair")
def pair() -> Response:
    """Let this device in, where the code is right; its cookie comes with the answer."""
    request.max_content_length = LARGEST_FORM
    response = go_to("/")
    if not g.known:
        name, code = request.form.get("name", "") or _guessed_name(), request.form.get("code", "")
        try:
            if parts().pairing.classes.opens(code, *caller()):
                return go_to(f"/join/{plain_code(code)}")
            token = parts().pairing.pair(code, name, *caller())
        except NotPaired as fault:
            raise stranger(fault, code) from fault
        gate.let_in(response, parts().pairing.cookie, token)
    return never_kept(response)


def _page(code: str = "", name: str = "", paired: bool = False) -> Response:
    facts = {"code": code, "name": name, "paired": paired, "longest": LONGEST_NAME}
    return never_kept(make_response(render_template("pages/pair.html", **facts)))


def _try(code: str) -> None:
    try:
        parts().pairing.check(code, *caller())
    except NotPaired as fault:
        raise stranger(fault, code) from fault


def caller() -> tuple[str, bool]:
    """The caller's address, and whether it is this computer's own."""
    address = request.remote_addr or ""
    return address, parts().addresses.is_own(address)


def stranger(fault: NotPaired, code: str, to_class: bool = False) -> Stranger:
    """What a device is told that is not let in; the code that it showed stays there to be put right."""
    typed = "".join(letter for letter in code[:LONGEST_TYPED] if letter.isprintable())
    return Stranger(str(fault), 429 if fault.wait else 403, to_class, typed)


def _guessed_name() -> str:
    """What kind of device this seems to be."""
    agent = request.headers.get("User-Agent", "")
    if any(word in agent for word in ("iPad", "Tablet")) or ("Android" in agent and "Mobile" not in agent):
        return "Tablet"
    return "Phone" if "Mobi" in agent else "Computer"
