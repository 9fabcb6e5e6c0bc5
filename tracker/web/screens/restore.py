"""A backup brought back: what it would do is shown before it is done."""

from __future__ import annotations

from hashlib import sha256
from secrets import token_hex

from flask import render_template, request

from tracker.safekeeping.backup import Backup, BackupFault, Done, Return, compare, read_backup, restore
from tracker.server.connections import LARGEST_BODY
from tracker.store.mending import day_in_words
from tracker.web.faults import PageFault
from tracker.web.pages import nav_links, parts
from tracker.web.screen import Screen
from tracker.web.screens.care import HERE

screen = Screen("restore", "/room/restore")


@screen.post("")
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
    key, waiting = token_hex(8), parts().waiting
    waiting.clear()
    waiting[key] = found
    return _looked(found, key)


@screen.post("/<key>")
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
    parts().waiting.clear()
    return _told(done)


def _shown(name: str | None) -> str:
    """The name of a file that was sent, fit for a sentence."""
    text = "".join(sign for sign in name or "" if sign.isprintable())
    return text[-60:] or "The file"


def _looked(found: Backup, key: str, changed: bool = False) -> str:
    returns = compare(parts().desk.store, found)
    return render_template(
        "pages/restore.html",
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
    return render_template("pages/restored.html", done=done, nav=nav_links())
