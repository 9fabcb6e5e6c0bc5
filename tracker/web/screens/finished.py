"""One finished quilt: put on the shelf and taken back to work, what is kept with it, its photos."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Any

from flask import Response, request

from tracker.exact.measure import LengthFault, read_length
from tracker.progress.finished_quilt import DAYS, SIZES, TEXTS
from tracker.safekeeping.small_photos import PhotoFault, small_photo, thumbnail
from tracker.server.connections import LARGEST_BODY
from tracker.store.photo_files import photo_name, photos_of
from tracker.store.quilts import StoredQuilt
from tracker.web.cards import standing
from tracker.web.clock import here, stamp, when
from tracker.web.faults import SENTENCES, NotKept, PageFault
from tracker.web.opened import Opened
from tracker.web.pages import Link, fresh_id, go_to, kept_while, parts, quilt_page
from tracker.web.screen import Screen
from tracker.web.shelved import kept_of, photos_kept, shelved
from tracker.words.shelf_words import NAMES, SIZE_NAMES

screen = Screen("finished", "/quilts/<quilt_id>/shelf")

LONGEST = 300
LONGEST_STORY = 3000
"""Letters of what is kept in her own words, and of the last of them."""
MOST_PHOTOS = 12
MOST_GONE = 12
"""So many photos are shown with a quilt, and so many more may lie among those taken away when another is added."""
YEARS = range(1900, 9000)
SIDES = ("across", "down")
NO_PHOTO = "There is no such photo with this quilt."


def _link(quilt_id: str) -> Link:
    return Link(f"/quilts/{quilt_id}/shelf", "Back to what is kept with it")


def _back(quilt_id: str) -> Response:
    return go_to(_link(quilt_id).href)


@screen.get("")
def finished(quilt_id: str) -> Response:
    """What is kept with a quilt, and the form that keeps it."""
    with parts().desk.quilt(quilt_id) as opened:
        return _page(opened)


def _page(
    opened: Opened, wrong: Sequence[NotKept] = (), photo_faults: Sequence[str] = (), unkept: bool = False
) -> Response:
    """The page, with what is wrong said where it belongs; `unkept`: the form stands open with all that was typed."""
    about, became, unit = opened.about, shelved(opened), opened.compiled.plan.unit
    kept, photos = kept_of(about), photos_kept(about)
    former = about.get("former_shelves", [])
    days = {key: (kept.get(key) or _day(getattr(became.found, key))) for key in DAYS}
    texts, sizes = became.texts, {key: kept.get(key) or ("", "") for key in SIZES}
    if unkept:
        texts, days = ({key: request.form.get(key, "") for key in keys} for keys in (TEXTS, DAYS))
        sizes = {key: _sides(key) for key in SIZES}
    facts: dict[str, Any] = {
        "wrong": wrong,
        "photo_faults": photo_faults,
        "unkept": unkept,
        "texts": texts,
        "became": became,
        "since": when(kept["since"], here()) if kept.get("since") else "",
        "standing": standing(opened),
        "typed": bool(kept.keys() - {"since"}),
        "days": days,
        "sizes": [(key, words, sizes[key]) for key, words in SIZE_NAMES.items()],
        "unit": unit,
        "names": NAMES,
        "longest": LONGEST,
        "longest_story": LONGEST_STORY,
        "photos": [photo for photo in photos if not photo["removed"]],
        "gone": [photo for photo in photos if photo["removed"]],
        "room_for": MOST_PHOTOS - sum(not photo["removed"] for photo in photos),
        "former": [(number, when(each["until"], here())) for number, each in enumerate(former)],
        "wanted": fresh_id(),
    }
    return quilt_page("finished", "", opened, status=400 if wrong or photo_faults else 200, **facts)


def _day(found: date | None) -> str:
    return found.isoformat() if found else ""


# What she keeps with it


@screen.post("/put")
def put(quilt_id: str) -> Response:
    """Put it on the shelf, or take it back to work; all else stays."""
    stored = parts().desk.store.quilt(quilt_id)
    with stored.turn():
        on = request.form.get("on") == "yes"
        since = kept_of(stored.facts).get("since", "")
        if bool(since) != on:
            stored.set_about(shelf={**kept_of(stored.facts), "since": stamp() if on else ""})
    return _back(quilt_id)


@screen.post("")
def keep(quilt_id: str) -> Response:
    """Keep what she typed, and photos sent with it; what stood there before can be taken back."""
    request.max_content_length = LARGEST_BODY
    stored = parts().desk.store.quilt(quilt_id)
    with parts().desk.quilt(quilt_id) as opened:
        typed, wrong = _typed(opened.compiled.plan.unit, str(kept_of(opened.about).get("hours", "")))
    if not wrong:
        _change(stored, typed)
    return _answer(quilt_id, wrong, _keep_photos(stored), bool(wrong))


def _answer(quilt_id: str, wrong: list[NotKept], photo_faults: list[str], unkept: bool) -> Response:
    """Back to the page; where something is wrong, or typed and not kept, the page itself, with all that was typed."""
    if not (wrong or photo_faults or unkept):
        return _back(quilt_id)
    with parts().desk.quilt(quilt_id) as opened:
        return _page(opened, wrong, photo_faults, unkept)


def _change(stored: StoredQuilt, typed: dict[str, Any]) -> None:
    """Keep these words in place of those that stand there, which are kept as former ones."""
    with stored.turn():
        before = dict(kept_of(stored.facts))
        since = before.pop("since", "")
        if before == typed:
            return
        former = list(stored.facts.get("former_shelves", []))
        if before:
            former.append({"shelf": before, "until": stamp()})
        stored.set_about(shelf={**typed, "since": since}, former_shelves=former)


@screen.post("/former/<int:number>")
def take_back(quilt_id: str, number: int) -> Response:
    """Have what was kept with it before, once more; what stands there becomes a former one itself."""
    stored = parts().desk.store.quilt(quilt_id)
    former = stored.facts.get("former_shelves", [])
    if number >= len(former):
        raise PageFault(404, "There is nothing of that number that was kept before.", _link(quilt_id))
    _change(stored, dict(former[number]["shelf"]))
    return _back(quilt_id)


HOURS = re.compile(r"(about )?\d{1,5}([.,]\d{1,2}| ?[¼½¾]| [1-9]/[1-9])?( ?h| hours?)?", re.IGNORECASE)


def _typed(unit: str, hours: str) -> tuple[dict[str, Any], list[NotKept]]:
    """What the form says, held to what can be shown, and all that is wrong with it; `hours` kept by an earlier version
    may stay."""
    found: dict[str, Any] = {}
    wrong: list[NotKept] = []
    for key in (*TEXTS, *DAYS, *SIZES):
        try:
            if key in TEXTS:
                found[key] = _typed_text(key, hours)
            else:
                found[key] = _typed_day(key) if key in DAYS else _typed_size(key, unit)
        except NotKept as fault:
            wrong.append(fault)
    begun, finished = found.get("begun"), found.get("finished")
    if begun and finished and begun > finished:
        words = f"It cannot be finished ({finished}) before it was begun ({begun}); correct one."
        wrong.append(NotKept("finished", words))
    return found, wrong


def _typed_text(key: str, hours: str) -> str:
    longest = LONGEST_STORY if key == "story" else LONGEST
    text = request.form.get(key, "").replace("\r\n", "\n").strip()
    text = text if key == "story" else " ".join(text.split())
    if len(text) > longest:
        raise NotKept(key, f"{NAMES[key]}: that is {len(text)} letters long; keep it to {longest}.")
    if key == "hours" and text not in ("", hours) and not HOURS.fullmatch(text):
        words = f"{NAMES[key]}: “{text[:20]}” is no number of hours; type one, such as 42 or 42 1/2."
        raise NotKept(key, words)
    return text


def _typed_day(key: str) -> str:
    text = request.form.get(key, "").strip()
    try:
        # As pages show days and as they compare, however it was written.
        if not text:
            return ""
        day = date.fromisoformat(text)
        if day.year in YEARS:
            return day.isoformat()
    except ValueError:
        pass
    words = f"{key.capitalize()}: “{text[:20]}” is no day; write it as year-month-day, such as 2026-11-25."
    raise NotKept(key, words)


def _sides(key: str) -> list[str]:
    return [request.form.get(f"{key}_{side}", "").strip()[:40] for side in SIDES]


def _typed_size(key: str, unit: str) -> list[str]:
    """Both sides as typed, or neither."""
    sides = _sides(key)
    if not any(sides):
        return []
    for side in sides:
        try:
            if 0 < read_length(side, unit) <= 10_000:
                continue
        except LengthFault:
            pass
        what = f"“{side[:20]}” is no length" if side else "one side is missing"
        raise NotKept(key, f"{SIZE_NAMES[key]}: {what}; type both sides, such as 48 1/2 and 60.")
    return sides


# Photos


@screen.post("/photos")
def add_photos(quilt_id: str) -> Response:
    """Keep photos with it; what was typed beside them stays typed."""
    request.max_content_length = LARGEST_BODY
    faults = _keep_photos(parts().desk.store.quilt(quilt_id), "There is no photo yet; choose one.")
    with parts().desk.quilt(quilt_id) as opened:
        unkept = _differs(opened)
    return _answer(quilt_id, [], faults, unkept)


def _differs(opened: Opened) -> bool:
    """Whether the form says anything else than the page would."""
    became, kept = shelved(opened), kept_of(opened.about)
    shown = dict(became.texts) | {key: kept.get(key) or _day(getattr(became.found, key)) for key in DAYS}
    shown |= {
        f"{key}_{side}": text for key in SIZES for side, text in zip(SIDES, kept.get(key) or ("", ""), strict=True)
    }
    return any(request.form.get(key, text).split() != text.split() for key, text in shown.items())


def _keep_photos(stored: StoredQuilt, none: str = "") -> list[str]:
    """Keep the photos that were sent, made small and bare: those that can be, whatever the others are. Out: what is
    wrong with the others (`none`, where none was sent)."""
    faults: list[str] = []
    sent = [each for each in request.files.getlist("photo") if each.filename]
    for number, upload in enumerate(sent):
        try:
            photo = small_photo(upload.read(), _called(upload.filename))
        except PhotoFault as found:
            faults.append(str(found))
            continue
        if full := _with_photo(stored, photo):
            faults.append(f"{full} {_not_kept(len(sent) - number)}".rstrip())
            break
    return list(dict.fromkeys(faults)) if sent or not none else [none]


def _called(name: str | None) -> str:
    """The name of a file that was sent, fit for a sentence."""
    text = "".join(sign for sign in name or "" if sign.isprintable())
    return f"“{text[-40:]}”"


def _not_kept(number: int) -> str:
    return f"The last {number} of those sent were not kept." if number > 1 else ""


def _with_photo(stored: StoredQuilt, photo: bytes) -> str:
    """Keep a photo with a quilt; what stands against it (empty: nothing). Sent twice it is there once."""
    files = parts().desk.store.photos
    with files.turn, stored.turn():
        photos = list(stored.facts.get("photos", []))
        mine = next((each for each in photos if each["name"] == photo_name(photo)), None)
        if full := _full(photos, mine):
            return full
        name = files.keep(photo)
        others = [each for each in photos if each is not mine]
        stored.set_about(photos=[*others, {**(mine or {"name": name, "at": stamp()}), "removed": False}])
    return ""


def _full(photos: list[dict[str, Any]], mine: dict[str, Any] | None) -> str:
    """What stands against a photo beside these, or against this one of them being shown (empty: nothing)."""
    gone = sum(bool(each.get("removed")) for each in photos)
    if mine is not None and not mine.get("removed"):
        return ""
    if len(photos) - gone >= MOST_PHOTOS:
        return f"There are {MOST_PHOTOS} photos with it already; take one away first."
    if mine is None and gone >= MOST_GONE:
        return f"{gone} photos were taken away; delete some of them for good first, or take them back."
    return ""


@screen.post("/photos/<name>")
def change_photo(quilt_id: str, name: str) -> Response:
    """Words on a photo; take it away, take it back, or have it no more for good."""
    store, do = parts().desk.store, request.form.get("do", "")
    stored = store.quilt(quilt_id)
    with stored.turn():
        photos = list(stored.facts.get("photos", []))
        mine = next((each for each in photos if each["name"] == name), None)
        if mine is None:
            raise PageFault(404, NO_PHOTO, _link(quilt_id))
        if do == "back" and (full := _full(photos, mine)):
            raise PageFault(400, full, _link(quilt_id))
        stored.set_about(photos=[made for each in photos for made in (_changes(each, do) if each is mine else [each])])
    if do == "drop":
        store.drop_photo(name)
    return _back(quilt_id)


def _changes(photo: dict[str, Any], do: str) -> list[dict[str, Any]]:
    """What becomes of a photo by what is asked of it: itself changed, or nothing. Raises PageFault."""
    match do:
        case "words":
            return [{**photo, "words": " ".join(request.form.get("words", "").split())[:LONGEST]}]
        case "remove" | "back":
            return [{**photo, "removed": do == "remove"}]
        case "drop":
            return [] if photo.get("removed") else [photo]
    raise PageFault(400, SENTENCES[400])


@screen.get("/photos/<name>.jpg")
def photo(quilt_id: str, name: str) -> Response:
    """A photo of this quilt, whole, or small with `?small`."""
    store = parts().desk.store
    there = name in photos_of(store.quilt(quilt_id).facts)
    data = store.photos.read(name, quilt_id) if there else None
    if data is None:
        raise PageFault(404, NO_PHOTO, _link(quilt_id))
    try:
        response = Response(thumbnail(data) if "small" in request.args else data, mimetype="image/jpeg")
    except PhotoFault as fault:
        raise PageFault(404, NO_PHOTO, _link(quilt_id)) from fault
    return kept_while(response, True)
