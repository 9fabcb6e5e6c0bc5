"""Devices and backup: who is let in, all quilts in one file, the log."""

from __future__ import annotations

from datetime import datetime

from flask import Response, g, render_template

from tracker.safekeeping.backup import BackupFault, make_backup
from tracker.safekeeping.logbook import to_be_sent
from tracker.server.connections import LARGEST_BODY
from tracker.store.mending import day_in_words
from tracker.store.photo_files import photos_of
from tracker.web.faults import PageFault
from tracker.web.pages import Link, download, go_to, nav_links, never_kept, parts
from tracker.web.screen import Screen
from tracker.words.thing_words import plural

screen = Screen("care", "/room")

HERE = Link("/room", "To devices and backup")
ROOM_BESIDE = 4 * 1024 * 1024
"""Bytes of plans, taps and notes that may lie in a backup beside its photos."""


@screen.get("")
def care() -> str:
    """Everything about the room."""
    pairing, store = parts().pairing, parts().desk.store
    devices = [(device, _seen(device.seen), device == g.device) for device in pairing.devices()]
    quilts = store.quilts()
    ids, classes = {quilt.id for quilt in quilts}, pairing.classes
    groups = sum(group.quilt in ids for group in classes.all())
    pupils = sum(pupil.quilt in ids for group in classes.all() for pupil in group.pupils)
    facts = {
        "devices": devices,
        "guessed": pairing.guessed,
        "saved": _saved(len(ids - classes.quilts()), groups, pupils),
        "most": LARGEST_BODY >> 20,
    }
    # What else is in a backup is packed to little beside them.
    photos = store.photos.size({name for quilt in quilts for name in photos_of(quilt.facts)})
    return render_template("pages/care.html", large=photos > LARGEST_BODY - ROOM_BESIDE, nav=nav_links(), **facts)


def _saved(own: int, groups: int, pupils: int) -> str:
    """What is in a backup: so many quilts of her own, of classes and of pupils."""
    others = _so_many("class", groups) if groups else ""
    if pupils:
        others += (f" and {'its' if groups == 1 else 'their'} " if groups else "") + _so_many("pupil", pupils)
    if not own:
        return f"the {plural('quilt', groups + pupils)} of {others}" if others else "all quilts"
    with_others = f" and {'that' if groups + pupils == 1 else 'those'} of {others}" if others else ""
    return {1: "your quilt", 2: "both quilts"}.get(own, f"all {own} quilts") + with_others


def _so_many(name: str, count: int) -> str:
    return f"{'one' if count == 1 else count} {plural(name, count)}"


def _day(text: object) -> str:
    try:
        return day_in_words(datetime.fromisoformat(str(text)).date())
    except ValueError:
        return ""


def _seen(text: str) -> str:
    day = _day(text)
    today = datetime.now().isoformat()[:10] == text[:10]
    return f"today at {text[11:]}" if today else f"on {day}" if day else "never"


@screen.post("/devices/<device_id>/remove")
def remove_device(device_id: str) -> Response:
    """Let a device in no more."""
    parts().pairing.remove(device_id)
    return go_to(HERE.href)


@screen.post("/code")
def renew_code() -> Response:
    """A new pairing code."""
    parts().pairing.renew()
    return go_to("/device")


@screen.get("/backup")
def backup() -> Response:
    """All quilts in one file."""
    now = datetime.now()
    try:
        data = make_backup(parts().desk.store, now)
    except BackupFault as fault:
        raise PageFault(413, str(fault), HERE) from fault
    return never_kept(download(data, "application/zip", f"sewing-room-{now.date().isoformat()}.zip"))


@screen.get("/log")
def log() -> Response:
    """The log, to be sent to whoever helps."""
    try:
        data = to_be_sent(parts().desk.store.folder)
    except OSError:
        data = b"Nothing has been logged yet.\n"
    return never_kept(download(data, "text/plain", "sewing-room.log"))
