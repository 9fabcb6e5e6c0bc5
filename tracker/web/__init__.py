"""The screens: pages rendered here, followed on any browser in the house."""

from __future__ import annotations

from flask import Flask
from jinja2 import StrictUndefined

from tracker import assets
from tracker.looks.looking import Looking
from tracker.looks.preview import COMMAND
from tracker.safekeeping.pairing import Pairing
from tracker.server.addresses import AddressBook
from tracker.store.quilts import Store
from tracker.web import ahead, faults, gate, static, taps
from tracker.web.desk import Desk
from tracker.web.gate import known_to
from tracker.web.pages import Parts, keep_parts, parts_of
from tracker.web.screens import all_screens
from tracker.web.unbroken import with_unbroken_sizes
from tracker.web.warming import warm

__all__ = ["begin", "create_app", "known_to"]

LARGEST_REQUEST = 4 * 1024 * 1024
"""Bytes. A plan has at most 1 MB, which a form may write three times as long."""


def create_app(
    store: Store, addresses: AddressBook, pairing: Pairing | None = None, looking: Looking | None = None
) -> Flask:
    """The application for one store.

    In: the store (the caller closes it); the addresses that this server answers to; who may in (None: as the
    store's room says); what looks at plans while they are typed (None: its own). Out: a WSGI application, to be served
    on the port of `addresses`.
    """
    app = Flask("tracker", static_folder=None, template_folder=str(assets.folder("templates")))
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_REQUEST
    app.config["MAX_FORM_MEMORY_SIZE"] = LARGEST_REQUEST
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    pairing = pairing or Pairing(store.room)
    keep_parts(app, Parts(Desk(store), addresses, pairing, {}, looking or Looking(COMMAND), static.load()))
    gate.guard(app, addresses, pairing)
    app.after_request(with_unbroken_sizes)  # the last to be named is the first to be done: before answers are packed
    faults.answer_all(app)
    for pages in (static.pages, ahead.pages, taps.pages, *all_screens()):
        app.register_blueprint(pages)
    return app


def begin(app: Flask) -> None:
    """Open the quilts of classes in session; then all others behind whoever comes meanwhile, that used last first."""
    warm(app)
    parts_of(app).cards.begin()
