"""How another device gets here: the address, the code, and what may stand against it."""

from __future__ import annotations

from flask import render_template

from tracker.safekeeping.secret_codes import Code
from tracker.server import qr_codes as codes
from tracker.server.addresses import Address, is_wsl
from tracker.web.pages import nav_links, parts
from tracker.web.screen import Facts, Screen

screen = Screen("device")


@screen.get("/device")
def device() -> str:
    """The code again, for a further device."""
    return render_template("pages/device.html", door=door_of(), port=parts().addresses.port, nav=nav_links())


def door_of() -> Facts:
    """How a phone gets here at this moment."""
    return door_to(parts().pairing.to_show(), "/pair")


def door_to(shown: Code, page: str) -> Facts:
    """How a phone gets to the page that takes a code. `code` and `url` are None while on no network; `once`: the code
    is for one device, since somebody is guessing."""
    book = parts().addresses
    look = book.current()
    best = look.best
    url = best.url(book.port) if best else None
    others = tuple((other.url(book.port), _aside(other)) for other in look.addresses[1:])
    leads = best.url(book.port, f"{page}/{shown.letters}") if best else None
    code = codes.svg(leads, title=f"QR code that pairs a device at {url}") if leads else None
    return {
        "code": code,
        "url": url,
        "pairing_code": shown.typed,
        "once": shown.once,
        "doubts": best.doubts if best else (),
        "others": others,
        "changed": look.changed,
        "wsl": is_wsl(),
    }


def _aside(address: Address) -> str:
    return ", ".join(words for words in (address.interface, *address.doubts) if words)
