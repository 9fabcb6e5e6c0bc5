"""One quilt: how far it has come, where she stopped, what she keeps with it; copied, put away, deleted, taken back."""

from __future__ import annotations

import re
from collections.abc import Iterator

from flask import Response, g, request

from tracker.store.quilts import Store, StoreFault
from tracker.units.maker import digest
from tracker.web import drawings
from tracker.web.cards import standing
from tracker.web.clock import here, stamp, when
from tracker.web.facts import asked_of, batch_words, said, seam_untested, title_of
from tracker.web.faults import HOME, NotKept, PageFault
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import download, fresh_id, go_to, parts, picture_file, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.web.shelved import on_the_shelf
from tracker.words.plan_notices import as_drawn
from tracker.work.steps import Notice

screen = Screen("quilt")

SETTINGS = {
    "foot": "Foot",
    "needle": "Needle",
    "stitch": "Stitch length",
    "guide": "Seam guide",
    "iron": "Iron",
    "ruler": "Ruler",
}
"""What is set up for a quilt, in her own words."""

LONGEST_SETTING = 80

LONGEST_TITLE = 80

MOST_AT_A_TIME = 10_000

OF_THE_FINISHED = ("shelf", "former_shelves", "photos")
"""Facts that a copy has not: it is not finished yet."""


@screen.get("/quilts/<quilt_id>")
def quilt(quilt_id: str) -> Response:
    """One quilt: how far it has come, and where to carry on. A pupil's own has a page for her."""
    if g.pupil is not None:
        return go_to("/mine")
    return _page(quilt_id)


def _page(quilt_id: str, wrong: NotKept | None = None) -> Response:
    """The page; where what was typed cannot be kept, its form stands open with all of it, and says what is wrong."""
    found = [notice for notice in parts().desk.store.notices() if notice.file == f"{quilt_id}.quilt"]
    with parts().desk.quilt(quilt_id) as opened:
        words = opened.words
        notices = [words.notice(as_drawn(notice)) for notice in _worth_knowing(opened)]
        facts = facts_of(opened, "quilt") | {"notices": notices, "wanted": fresh_id(), "found": found}
        facts |= {"put_away": bool(opened.about.get("put_away")), "wrong": wrong, "typed": request.form}
        return quilt_page("quilt", "", opened, status=400 if wrong else 200, **facts)


def _worth_knowing(opened: Opened) -> Iterator[Notice]:
    """What is said of the plan before cutting: no other way to sew once something is cut, nothing once all is done."""
    counts = opened.counts
    if counts.finished():
        return
    begun = any(map(counts.times_done, counts.steps.values()))
    yield from (each for each in opened.compiled.checklist.notices if not (begun and each.kind == "combine would save"))


@screen.live
def _quilt(opened: Opened, rest: str) -> Facts:
    return {"standing": standing(opened), "back": coming_back(opened), "shelved": on_the_shelf(opened.stored)}


@screen.get("/quilts/<quilt_id>/picture.svg")
def picture(quilt_id: str) -> Response:
    """The picture of a whole quilt as an SVG file."""
    desk = parts().desk
    text = str(desk.store.quilt(quilt_id).facts.get("plan", ""))
    told = re.fullmatch(r"[0-9.-]{1,999}", request.args.get("sewn", ""))
    drawing = drawings.of_progress(desk, text, _numbers(told[0])) if told else drawings.of_text(desk, text)
    return picture_file(drawing, digest(text))


def _numbers(told: str) -> set[int]:
    """Numbers of blocks as the address of a picture tells them: `1-3.7`; what is none is left out."""
    runs = [re.fullmatch(r"(\d{1,5})(?:-(\d{1,5}))?", run) for run in told.split(".")]
    return {number for run in runs if run for number in range(int(run[1]), min(int(run[2] or run[1]), 10_000) + 1)}


@screen.get("/quilts/<quilt_id>/plan.toml")
def plan(quilt_id: str) -> Response:
    """The plan file as it was given."""
    with parts().desk.quilt(quilt_id) as opened:
        return download(opened.compiled.text, "text/plain", f"{quilt_id}.toml")


# Coming back after a break


def coming_back(opened: Opened) -> Facts:
    """Everything about where a quilt stands."""
    about = opened.about
    last = opened.progress.latest(1)
    block, note = opened.progress.notes[-1] if opened.progress.notes else (None, "")
    setup = about.get("setup", {})
    settings = tuple((key, words, str(setup.get(key, ""))) for key, words in SETTINGS.items())
    return {
        "stopped_at": _stopped(opened) if last else "",
        "stopped_when": when(last[0].tap.at or "", here()) if last else "",
        "lying": tuple(_lying(opened)),
        "blocks": tuple(_under_way(opened)),
        "settings": settings,
        "is_set_up": any(value for _, _, value in settings),
        "note": note,
        "note_block": block,
        "batch": batch_words(opened),
        "seam_untested": seam_untested(opened),
    }


def _stopped(opened: Opened) -> str:
    kept = opened.progress.latest(1)[0]
    title, words = title_of(opened, kept), said(opened, kept)
    return f"{title}: {words}" if title else words


def _lying(opened: Opened) -> list[Facts]:
    """What lies on each pile; `spare`: how many of it nothing will ask for."""
    counts, found = opened.counts, []
    wanted = counts.wanted_at_the_end()
    for pile in counts.checklist.piles.values():
        count = counts.on_pile(pile.id) if pile.block is None else 0
        if count > 0:
            spare = max(count - asked_of(opened, pile.id) - wanted.get(pile.id, 0), 0)
            found.append({"words": opened.words.pile(pile.id, count), "spare": spare})
    return found


def _under_way(opened: Opened) -> list[Facts]:
    counts, found = opened.counts, []
    for number in counts.block_keys:
        stage = counts.stage(number)
        if 0 < stage.done < stage.steps and not counts.is_finished(number):
            found.append(
                {"number": number, "name": opened.progress.names.get(number, ""), "words": opened.words.stage(stage)}
            )
    return found


# What she keeps with it


def _back(quilt_id: str) -> Response:
    return go_to(f"/quilts/{quilt_id}")


@screen.post("/quilts/<quilt_id>/pace")
def pace(quilt_id: str) -> Response:
    """How she works from now on. Changing it midway changes nothing of what is done."""
    text = request.form.get("batch", "").strip()
    batch = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else None
    if text and (batch is None or not 1 <= batch <= MOST_AT_A_TIME):
        words = f"“{text[:20]}” is no number of blocks; type a whole number from 1, or nothing for a row of them."
        return _page(quilt_id, NotKept("batch", words))
    kept = {"sample_first": request.form.get("sample") == "yes", "batch": batch}
    parts().desk.store.quilt(quilt_id).set_about(pace=kept)
    return _back(quilt_id)


@screen.post("/quilts/<quilt_id>/setup")
def setup(quilt_id: str) -> Response:
    """What to set up for this quilt, in her own words."""
    given = {key: " ".join(request.form.get(key, "").split()) for key in SETTINGS}
    for key, text in given.items():
        if len(text) > LONGEST_SETTING:
            words = f"{SETTINGS[key]}: that is {len(text)} characters long; keep it to {LONGEST_SETTING}."
            return _page(quilt_id, NotKept(key, words))
    parts().desk.store.quilt(quilt_id).set_about(setup=given)
    return _back(quilt_id)


@screen.post("/quilts/<quilt_id>/title")
def rename(quilt_id: str) -> Response:
    """Another name for a quilt; its plan text stays as it is."""
    try:
        title = _title("title")
    except NotKept as wrong:
        return _page(quilt_id, wrong)
    parts().desk.store.quilt(quilt_id).set_about(title=title)
    return _back(quilt_id)


def _title(key: str) -> str:
    """The name that was typed in the field `key`. Raises NotKept."""
    title = " ".join(request.form.get("title", "").split())
    if not title or len(title) > LONGEST_TITLE or not title.isprintable():
        raise NotKept(key, f"A quilt's name is from 1 to {LONGEST_TITLE} characters; type one.")
    return title


@screen.post("/quilts/<quilt_id>/copy")
def copy(quilt_id: str) -> Response:
    """A second quilt with the same plan, begun anew or as far as this one is."""
    store = parts().desk.store
    stored = store.quilt(quilt_id)
    try:
        title = _title("copy")
    except NotKept as wrong:
        return _page(quilt_id, wrong)
    wanted = request.form.get("wanted", "")
    if any(other.id == wanted and other.about.get("title") == title for other in store.quilts()):
        return _back(wanted)  # the same form once more
    with stored.turn():
        about = stored.about | {"title": title, "demo": False, "made_at": stamp(), "put_away": False}
        taps = list(stored.taps) if request.form.get("with") == "taps" else []
    for key in ("hand", "plan_news", *OF_THE_FINISHED, *(() if taps else ("former_plans",))):
        about.pop(key, None)
    return _back(store.add(about, taps, wanted).id)


@screen.post("/quilts/<quilt_id>/away")
def put_away(quilt_id: str) -> Response:
    """Out of sight on the first page, or back; nothing else changes."""
    parts().desk.store.quilt(quilt_id).set_about(put_away=request.form.get("away") == "yes")
    return go_to("/")


@screen.post("/quilts/<quilt_id>/delete")
def delete(quilt_id: str) -> Response:
    """Delete a quilt; the first page offers to take that back."""
    store = parts().desk.store
    if quilt_id not in {gone.id for gone in store.deleted()} or _is_there(store, quilt_id):
        store.delete(quilt_id)
    return go_to("/")


@screen.post("/deleted/<quilt_id>/restore")
def restore(quilt_id: str) -> Response:
    """Take a deleted quilt back as it was."""
    store = parts().desk.store
    if not _is_there(store, quilt_id):
        try:
            store.restore_deleted(quilt_id)
        except StoreFault as fault:
            if fault.kind == "unknown":
                raise PageFault(404, "There is no such deleted quilt to take back.", HOME) from fault
            raise
    return _back(quilt_id)


def _is_there(store: Store, quilt_id: str) -> bool:
    return any(stored.id == quilt_id for stored in store.quilts())
