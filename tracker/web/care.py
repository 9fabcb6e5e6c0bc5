"""Devices and backup: who is let in, all quilts in one file and back again, the log."""

from __future__ import annotations

from datetime import datetime
from hashlib import sha256
from typing import cast

from flask import Blueprint, Response, g, redirect, render_template, request

from tracker.safekeeping.backup import Backup, BackupFault, Done, Return, compare, make_backup, read_backup, restore
from tracker.safekeeping.logbook import to_be_sent
from tracker.server.connections import LARGEST_BODY
from tracker.store.mending import day_in_words
from tracker.web.faults import PageFault
from tracker.web.pages import Link, nav_links, parts

pages = Blueprint("care", __name__, url_prefix="/room")

HERE = Link("/room", "To devices and backup")


@pages.get("")
def care() -> str:
    """Everything about the room."""
    pairing, store = parts().pairing, parts().desk.store
    devices = [(device, _seen(device.seen), device == g.device) for device in pairing.devices()]
    count = len(store.quilts())
    return render_template("care.html", devices=devices, guessed=pairing.guessed, count=count, nav=nav_links())


def _day(text: object) -> str:
    try:
        return day_in_words(datetime.fromisoformat(str(text)).date())
    except ValueError:
        return ""


def _seen(text: str) -> str:
    day = _day(text)
    today = datetime.now().isoformat()[:10] == text[:10]
    return f"today at {text[11:]}" if today else f"on {day}" if day else "never"


@pages.post("/devices/<device_id>/remove")
def remove_device(device_id: str) -> Response:
    """Let a device in no more."""
    parts().pairing.remove(device_id)
    return _back()


@pages.post("/code")
def renew_code() -> Response:
    """A new pairing code."""
    parts().pairing.renew()
    return cast(Response, redirect("/device", 303))


@pages.get("/backup")
def backup() -> Response:
    """All quilts in one file."""
    now = datetime.now()
    try:
        data = make_backup(parts().desk.store, now)
    except BackupFault as fault:
        raise PageFault(413, str(fault), HERE) from fault
    return _file(data, "application/zip", f"sewing-room-{now.date().isoformat()}.zip")


@pages.get("/log")
def log() -> Response:
    """The log, to be sent to whoever helps."""
    try:
        data = to_be_sent(parts().desk.store.folder)
    except OSError:
        data = b"Nothing has been logged yet.\n"
    return _file(data, "text/plain", "sewing-room.log")


def _file(data: bytes, kind: str, name: str) -> Response:
    response = Response(data, mimetype=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Cache-Control"] = "no-store"
    return response


@pages.post("/restore")
def look() -> str:
    """What a backup that was sent would add, replace or leave. Changes nothing."""
    request.max_content_length = LARGEST_BODY
    upload = request.files.get("file")
    data = upload.read() if upload is not None else b""
    if not data:
        raise PageFault(400, "There is no file yet; choose a backup's file.", HERE)
    try:
        found = read_backup(data, _shown(upload.filename if upload else None))
    except BackupFault as fault:
        raise PageFault(400, str(fault), HERE) from fault
    return _looked(found, parts().waiting.keep(found))


@pages.post("/restore/<key>")
def bring_back(key: str) -> str:
    """Restore the quilts that were agreed to; or show again what would be done, where that is another thing now."""
    found = parts().waiting.get(key)
    if found is None:
        raise PageFault(404, "This backup is not at hand any more; choose its file again.", HERE)
    returns = compare(parts().desk.store, found)
    if request.form.get("seen", "") != _mark(returns):
        return _looked(found, key, changed=True)
    chosen = [each for each in returns if each.quilt.id in request.form.getlist("quilt")]
    if not any(each.kind != "same" for each in chosen):
        raise PageFault(400, "No quilt was chosen, so nothing was changed; go back and choose one.", HERE)
    done = restore(parts().desk.store, chosen)
    parts().waiting.forget()
    return _told(done)


def _shown(name: str | None) -> str:
    """The name of a file that was sent, fit for a sentence."""
    text = "".join(sign for sign in name or "" if sign.isprintable())
    return text[-60:] or "The file"


def _looked(found: Backup, key: str, changed: bool = False) -> str:
    returns = compare(parts().desk.store, found)
    return render_template(
        "restore.html",
        made=day_in_words(found.made_at.date()),
        returns=returns,
        key=key,
        mark=_mark(returns),
        changed=changed,
        nav=nav_links(),
    )


def _mark(returns: list[Return]) -> str:
    """Stands for what was said: another mark, and the person has not seen what would be done."""
    said = "\n".join(f"{each.quilt.id} {each.sentence}" for each in returns)
    return sha256(said.encode("utf-8", "replace")).hexdigest()[:16]


def _told(done: list[Done]) -> str:
    return render_template("restored.html", done=done, nav=nav_links())


def _back() -> Response:
    return cast(Response, redirect(HERE.href, 303))
