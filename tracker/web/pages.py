"""What all pages share: the parts they are made from, the links that are always there, whole pages and parts."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from functools import cached_property
from typing import Any, cast

from flask import Flask, Response, current_app, g, make_response, redirect, render_template, request

from tracker.looks.looking import Looking
from tracker.safekeeping.backup import Backup
from tracker.safekeeping.pairing import Pairing
from tracker.server.addresses import AddressBook
from tracker.store.quilts import ID_LENGTH, ID_LETTERS, StoreFault
from tracker.web.block_makers import holder
from tracker.web.cards import Cards
from tracker.web.desk import Desk
from tracker.web.opened import Opened
from tracker.web.screen import SCREENS, NavPlace
from tracker.web.unbroken import unbroken

YEAR = 365 * 24 * 3600
ROOM = "Sewing-Room"
"""The header that names the room: in every answer, and in what a page's script sends."""


@dataclass(frozen=True)
class Link:
    """Where to, and what it says."""

    href: str
    words: str


@dataclass(frozen=True)
class Parts:
    """What the pages are made from; `waiting` holds, by a key, the one backup that was sent and not agreed to yet."""

    desk: Desk
    addresses: AddressBook
    pairing: Pairing
    waiting: dict[str, Backup]
    looking: Looking
    files: dict[str, Any]

    @cached_property
    def cards(self) -> Cards:
        """How far each quilt has come."""
        return Cards(self.desk)


def keep_parts(app: Flask, parts: Parts) -> None:
    """Give the application its parts, and the templates what they all use."""
    app.extensions["sewing-room"] = parts
    app.jinja_env.globals["file_url"] = lambda name: f"/static/{name}?v={parts.files[name].mark}"
    app.jinja_env.filters["unbroken"] = unbroken
    app.jinja_env.globals["holder"] = holder
    app.jinja_env.globals["pupil"] = lambda: g.get("pupil")
    app.jinja_env.globals["looker"] = fresh_id
    app.jinja_env.globals["tap_id"] = lambda: secrets.token_hex(8)
    app.jinja_env.globals["room_name"] = lambda: parts.pairing.room
    app.jinja_env.globals["opening"] = lambda: parts.desk.store.opening

    @app.after_request
    def sign(response: Response) -> Response:
        """Every answer names its room: pages believe no other program that may answer at this address."""
        response.headers[ROOM] = parts.pairing.room
        return response


def parts() -> Parts:
    """The parts of the application that is answering."""
    return parts_of(current_app)


def parts_of(app: Flask) -> Parts:
    """The parts of an application."""
    return cast(Parts, app.extensions["sewing-room"])


def is_part() -> bool:
    """Whether only a part of a page is asked for, to be put into one that is open."""
    return request.headers.get("HX-Request-Type") == "partial"


def fresh_id() -> str:
    """An id for a quilt that a form may make: sent twice, it makes one."""
    return "".join(secrets.choice(ID_LETTERS) for _ in range(ID_LENGTH))


def nav_links(here: str = "", quilt_id: str | None = None) -> list[dict[str, Any]]:
    """The links at the top; without a quilt they lead to the one last opened on this device, a pupil's to hers."""
    if g.get("pupil"):
        quilt_id = g.pupil.quilt
    if quilt_id is None:
        quilt_id = last_opened()
    places = sorted((screen.nav for screen in SCREENS.values() if screen.nav), key=lambda place: place.order)
    links = [
        {"words": place.words, "href": _leads(place, quilt_id), "here": place.words.lower() == here.lower()}
        for place in places
    ]
    if g.get("pupil"):
        links[0] = {"words": "Mine", "href": "/mine", "here": here == "Mine"}
    return links


def _leads(place: NavPlace, quilt_id: str | None) -> str | None:
    if not place.of_quilt:
        return place.at
    return f"/quilts/{quilt_id}{place.at}" if quilt_id else None


def last_opened() -> str | None:
    """The quilt last opened on this device, or the only one."""
    store = parts().desk.store
    wanted = request.cookies.get("quilt", "")
    try:
        return store.quilt(wanted).id
    except StoreFault:
        classes = parts().pairing.classes.quilts()
        quilts = [stored for stored in store.quilts() if not (stored.about.get("put_away") or stored.id in classes)]
        return quilts[0].id if len(quilts) == 1 else None


def quilt_page(name: str, here: str, opened: Opened, part: str = "", status: int = 200, **facts: Any) -> Response:
    """A page of a quilt, or the part of it that `part` makes, where there is one and no more is asked for."""
    facts |= {"quilt": opened, "nav": nav_links(here, opened.id)}
    response = make_response(render_template(part if part and is_part() else f"pages/{name}.html", **facts), status)
    response.vary.update(("HX-Request", "HX-Request-Type"))
    response.set_cookie("quilt", opened.id, max_age=YEAR, samesite="Lax", httponly=True)
    return response


def go_to(at: str, status: int = 303) -> Response:
    """On to another page, which is asked for anew."""
    return cast(Response, redirect(at, status))


def never_kept(response: Response) -> Response:
    """An answer that no browser keeps."""
    response.headers["Cache-Control"] = "no-store"
    return response


def kept_while(response: Response, current: bool) -> Response:
    """An answer that this browser keeps where its address has the mark of what it says now."""
    response.headers["Cache-Control"] = f"private, max-age={YEAR}, immutable" if current else "no-cache"
    return response


def picture_file(drawing: str, mark: str) -> Response:
    """A drawing as an SVG file, kept while `mark` is that of the address."""
    return kept_while(Response(drawing, mimetype="image/svg+xml"), request.args.get("v") == mark)


def download(data: bytes | str, kind: str, name: str) -> Response:
    """A file to be kept under this name."""
    response = Response(data, mimetype=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
