"""A class that goes on after a start: its quilts are opened and their screens drawn once before anybody is answered.

Else thirty phones that waited send their taps in the same moment, and each waits for what all of them need first.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from contextlib import suppress
from datetime import timedelta

from flask import Flask, g

from tracker.looks.preview import PlanFault
from tracker.progress.batches import carry_on
from tracker.store.quilts import StoredQuilt, StoreFault
from tracker.web.cards import last_used
from tracker.web.clock import now
from tracker.web.live import rendered
from tracker.web.pages import parts_of

LATELY = timedelta(hours=12)
"""Who tapped within so long before the start may go on at any moment."""
MOST_SECONDS = 2
"""For so long a start may be kept waiting: a beginner's plan needs a tenth of it."""

log = logging.getLogger("tracker.web")


def warm(app: Flask) -> int:
    """Open the quilts of classes in session and draw the step at which each is; how many there was time for."""
    until, drawn = time.monotonic() + MOST_SECONDS, set[tuple[str, str]]()
    opened = 0
    for stored in _in_session(app):
        if time.monotonic() > until:
            break
        with suppress(PlanFault, StoreFault):
            _open(app, stored, drawn)
            opened += 1
    return opened


def _in_session(app: Flask) -> Iterator[StoredQuilt]:
    """The quilts of pupils who tapped lately, those who tapped last first."""
    desk, classes = parts_of(app).desk, parts_of(app).pairing.classes
    pupils = {pupil.quilt for group in classes.all() if not group.ended for pupil in group.pupils if not pupil.ended}
    since = (now() - LATELY).isoformat()
    quilts = [stored for stored in desk.store.quilts() if stored.id in pupils and last_used(stored) > since]
    yield from sorted(quilts, key=last_used, reverse=True)


def _open(app: Flask, stored: StoredQuilt, drawn: set[tuple[str, str]]) -> None:
    with parts_of(app).desk.quilt(stored.id) as opened:
        step = carry_on(opened.progress, opened.pace)
        if step is None or (opened.compiled.mark, step.id) in drawn:
            return
        drawn.add((opened.compiled.mark, step.id))
        with app.test_request_context():
            g.pupil = None
            try:
                rendered(opened, f"step:{opened.compiled.short[step.id]}")
            except Exception:  # whatever it is, the room is to be opened
                log.exception("a step could not be drawn")
