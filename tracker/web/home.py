"""The quilts, one quilt, its picture and plan, and how another device gets here."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import cast

from flask import Blueprint, Response, redirect, render_template, request

from tracker.server import qr_codes as codes
from tracker.server.addresses import Address, is_wsl
from tracker.units.maker import digest
from tracker.web import beside, drawings
from tracker.web.gate import is_this_computer
from tracker.web.live import facts_of
from tracker.web.pages import YEAR, fresh_id, nav_links, parts, quilt_page

pages = Blueprint("home", __name__)


@dataclass(frozen=True)
class Door:
    """How a phone gets here: the QR code of the pairing link, the same to be typed, and other addresses to try.

    `code` and `url` are None while on no network; `once`: the code is for one device, since somebody is guessing.
    """

    code: str | None
    url: str | None
    pairing_code: str
    once: bool
    doubts: tuple[str, ...]
    others: tuple[tuple[str, str], ...]
    changed: bool
    wsl: bool


@pages.get("/")
def quilts() -> str:
    """Every quilt, and on this computer the address and code for a phone."""
    store = parts().desk.store
    quilts = store.quilts()
    cards = parts().cards.of([stored for stored in quilts if not stored.facts.get("put_away")])
    away = [(stored.id, str(stored.facts.get("title", ""))) for stored in quilts if stored.facts.get("put_away")]
    gone = [(each.id, str(each.about.get("title", "")) or "A quilt that cannot be read") for each in store.deleted()]
    door = _door() if is_this_computer() else None
    facts = {"cards": cards, "away": away, "gone": gone, "door": door, "found": store.notices()}
    facts |= {"demo_only": beside.demo_only(store), "with_demo": beside.own_with_the_demo(store)}
    return render_template("quilts.html", nav=nav_links("Quilts"), **facts)


@pages.post("/notices/<notice_id>/read")
def read(notice_id: str) -> Response:
    """What was found on the disk has been read, and is not told again; "all" is all of it."""
    parts().desk.store.read_notice(notice_id)
    from_quilt = request.form.get("quilt", "")
    return cast(Response, redirect(f"/quilts/{from_quilt}" if re.fullmatch(r"[a-z0-9]{6}", from_quilt) else "/", 303))


@pages.get("/cards")
def cards() -> str:
    """News for a first page: those of the quilts named that have been reckoned now, and what asks for the others."""
    wanted = set(request.args.get("wait", "").split("-"))
    found = parts().cards.of([stored for stored in parts().desk.store.quilts() if stored.id in wanted])
    return render_template("parts/cards_news.html", cards=found)


@pages.get("/device")
def device() -> str:
    """The code again, for a further device."""
    return render_template("device.html", door=_door(), port=parts().addresses.port, nav=nav_links())


@pages.get("/quilts/<quilt_id>")
def quilt(quilt_id: str) -> Response:
    """One quilt: how far it has come, and where to carry on."""
    found = [notice for notice in parts().desk.store.notices() if notice.file == f"{quilt_id}.quilt"]
    with parts().desk.quilt(quilt_id) as opened:
        words = opened.words
        notices = [words.notice(notice) for notice in opened.compiled.checklist.notices]
        facts = {"notices": notices, "wanted": fresh_id(), "put_away": bool(opened.about.get("put_away"))}
        facts["found"] = found
        return quilt_page("quilt.html", "", opened, **facts, **facts_of(opened, "quilt"))


@pages.get("/quilts/<quilt_id>/picture.svg")
def picture(quilt_id: str) -> Response:
    """The picture of a whole quilt as an SVG file."""
    text = str(parts().desk.store.quilt(quilt_id).facts.get("plan", ""))
    response = Response(drawings.of_text(parts().desk, text), mimetype="image/svg+xml")
    current = request.args.get("v") == digest(text)
    response.headers["Cache-Control"] = f"private, max-age={YEAR}, immutable" if current else "no-cache"
    return response


@pages.get("/quilts/<quilt_id>/plan.toml")
def plan(quilt_id: str) -> Response:
    """The plan file as it was given."""
    with parts().desk.quilt(quilt_id) as opened:
        response = Response(opened.compiled.text, mimetype="text/plain")
    response.headers["Content-Disposition"] = f'attachment; filename="{quilt_id}.toml"'
    return response


def _door() -> Door:
    book = parts().addresses
    shown = parts().pairing.to_show()
    look = book.current()
    best = look.best
    url = best.url(book.port) if best else None
    others = tuple((other.url(book.port), _aside(other)) for other in look.addresses[1:])
    code = codes.svg(best.url(book.port, shown.path), title=f"QR code that pairs a device at {url}") if best else None
    return Door(code, url, shown.typed, shown.once, best.doubts if best else (), others, look.changed, is_wsl())


def _aside(address: Address) -> str:
    return ", ".join(words for words in (address.interface, *address.doubts) if words)
