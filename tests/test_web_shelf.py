"""A finished quilt on the shelf: what is kept with it, what follows from its taps, the label for its back."""

from __future__ import annotations

import io
import re
from datetime import date
from fractions import Fraction

import pytest
from sent_photos import sent
from shelving import KEPT, photos, send
from visitors import Quilt, Visitor, add_quilt, words_of

from tracker.exact.measure import exact
from tracker.pattern.label_sheet import LABELS, MARGIN, breadth, lines_on
from tracker.progress.finished_quilt import FinishedQuilt, finished_quilt
from tracker.progress.pace_of_work import Forecast, Remainder
from tracker.store.quilts import Store
from tracker.words.shelf_words import shrinkage_text

EIGHTH = exact(Fraction(1, 8))


def done(sewing: Quilt) -> None:
    """All of the small quilt, tapped in one go at its own page's steps."""
    for step in sewing.compiled.checklist.steps:
        for block in sewing.progress().counts.blocks_of(step) if step.per != "quilt" else (0,):
            more = {"block": str(block)} if block else {}
            sewing.tap(sewing.compiled.titles[step.id], step.count if not block else 1, **more)


# On the shelf, and off it


def test_a_quilt_goes_to_the_shelf_and_back_to_work(phone: Visitor, sewing: Quilt, store: Store) -> None:
    add_quilt(store, title="Another one")
    assert "The shelf" not in phone.text("/")
    page = phone.text(f"{sewing.at}/shelf")
    assert "Steps are left to do: it is 0 % done" in page
    phone.post(f"{sewing.at}/shelf/put", {"on": "yes"})
    home = phone.text("/")
    assert "Lantern cushion" not in home
    assert "Another one" in home
    assert "The shelf: one finished quilt" in home
    assert "Lantern cushion 8 × 4 in" in phone.text("/shelf")
    assert "✓ On the shelf, put there today at" in phone.text(f"{sewing.at}/shelf")
    sewing.tap("Cut pale sand", 1)
    phone.post(f"{sewing.at}/shelf/put", {"on": "no"})
    assert "Lantern cushion" in phone.text("/")
    assert "No quilt stands here yet" in phone.text("/shelf")
    assert sewing.count("Cut pale sand").startswith("1 of")


def test_the_shelf_is_offered_when_all_steps_are_done(phone: Visitor, sewing: Quilt) -> None:
    assert "Put it on the shelf" not in phone.text(sewing.at)
    done(sewing)
    assert not sewing.progress().counts.left(sewing.compiled.checklist.steps[-1])
    for page in (sewing.at, "/"):
        assert "All steps are done. With its size, its days and photos Put it on the shelf" in phone.text(page)
    page = phone.text(f"{sewing.at}/shelf")
    assert re.search(r"Begun \d+ \w+ \d{4} Finished \d+ \w+ \d{4} Cloths pale sand and lamp red Hours", page), page


def test_a_shelf_with_a_plan_that_cannot_be_read_still_shows_it(phone: Visitor, store: Store) -> None:
    add_quilt(store, "title = 'No plan'", shelf={"since": "2026-11-25T09:00:00+00:00"})
    assert "Its plan cannot be read any more." in phone.text("/shelf")


# What is kept with it


def test_what_she_types_is_kept_and_what_stood_there_before_can_be_taken_back(phone: Visitor, sewing: Quilt) -> None:
    phone.post(f"{sewing.at}/shelf", {**KEPT, "needle": "80"})
    page = phone.text(f"{sewing.at}/shelf")
    assert "Made by Ilse For whom Aunt Merle Batting cotton Needle 80" in page
    assert "Washed Shrank by 3 % across and 2.9 % down: from 50 × 60½ in to 48½ × 58¾ in." in page
    phone.post(f"{sewing.at}/shelf", {**KEPT, "needle": "90", "size_across": "8", "size_down": "4 1/8"})
    assert "Needle 90" in phone.text(f"{sewing.at}/shelf")
    assert "Finished size 8 × 4⅛ in" in phone.text(f"{sewing.at}/shelf")
    phone.post(f"{sewing.at}/shelf/former/0", {})
    assert "Needle 80" in phone.text(f"{sewing.at}/shelf")
    assert [each["shelf"]["needle"] for each in sewing.stored.about["former_shelves"]] == ["80", "90"]
    phone.post(f"{sewing.at}/shelf/put", {"on": "yes"})
    phone.post(f"{sewing.at}/shelf", {**KEPT, "needle": "80"})
    assert len(sewing.stored.about["former_shelves"]) == 2, "nothing was changed"
    assert phone.post(f"{sewing.at}/shelf/former/7", {}).status_code == 404


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"before_across": "50"}, "Before washing: one side is missing; type both sides, such as 48 1/2 and 60."),
        ({"size_across": "wide", "size_down": "4"}, "Finished size: “wide” is no length"),
        ({"after_across": "0", "after_down": "4"}, "After washing: “0” is no length"),
        ({"begun": "2026-13-01"}, "Begun: “2026-13-01” is no day; write it as year-month-day"),
        ({"begun": "0001-01-01"}, "Begun: “0001-01-01” is no day"),
        ({"begun": "2026-11-25", "finished": "2026-11-24"}, "It cannot be finished (2026-11-24) before it was begun"),
        ({"begun": "2026-11-25", "finished": "20261124"}, "It cannot be finished (2026-11-24) before it was begun"),
        ({"hours": "ages"}, "Hours sewn: “ages” is no number of hours; type one, such as 42 or 42 1/2."),
        ({"thread": "x" * 301}, "Thread: that is 301 letters long; keep it to 300."),
        ({"story": "x" * 3001}, "What else to remember: that is 3001 letters long; keep it to 3000."),
    ],
)
def test_what_cannot_be_kept_is_said_and_nothing_is_changed(
    typed: dict[str, str], words: str, phone: Visitor, sewing: Quilt
) -> None:
    answer = phone.post(f"{sewing.at}/shelf", {**KEPT, **typed} if "before_across" not in typed else typed)
    assert (answer.status_code, words in words_of(answer)) == (400, True), words_of(answer)
    assert "shelf" not in sewing.stored.about
    form = answer.text[answer.text.index('class="writing">') :]
    assert '<details class="screen-only" open><summary>Write down' in answer.text
    assert "All that you typed is still here" in form
    assert form.count('aria-invalid="true"') == 1
    for value in typed.values():
        assert f'value="{value}"' in form or f">{value}</textarea>" in form


WRONG = {"for": "Merle", "hours": "ages", "begun": "soon", "size_across": "wide", "size_down": "4"}


def test_all_that_is_wrong_is_named_at_once_and_a_photo_loses_nothing_typed(phone: Visitor, sewing: Quilt) -> None:
    page = words_of(phone.post(f"{sewing.at}/shelf", WRONG))
    for words in ("“ages” is no number of hours", "“soon” is no day", "“wide” is no length"):
        assert words in page
    for data, status, said in (
        (b"no photo", 400, "choose a photo of one of these kinds. All that you typed is still here."),
        (sent("PNG"), 200, "What you typed is still here; it is not kept yet."),
    ):
        answer = phone.post(f"{sewing.at}/shelf/photos", {**WRONG, "photo": (io.BytesIO(data), "quilt.png")})
        assert answer.status_code == status
        assert said in words_of(answer), words_of(answer)
        assert all(f'value="{value}"' in answer.text for value in WRONG.values())
    assert len(photos(sewing)) == 1
    answer = phone.post(f"{sewing.at}/shelf", {"for": "Merle", "photo": (io.BytesIO(sent("JPEG")), "back.jpg")})
    assert (answer.status_code, len(photos(sewing))) == (303, 2), "photos chosen are kept with what is written"


def test_sewn_again_it_is_a_new_quilt_with_nothing_done_and_the_old_one_stays(
    phone: Visitor, sewing: Quilt, store: Store
) -> None:
    sewing.tap("Cut pale sand", 2)
    phone.post(f"{sewing.at}/shelf", KEPT)
    send(sewing, sent("JPEG"))
    phone.post(f"{sewing.at}/shelf/put", {"on": "yes"})
    title = re.search(r'name="title" value="([^"]*)"', phone.get(f"{sewing.at}/shelf").text)
    assert title is not None
    phone.post(f"{sewing.at}/copy", {"wanted": "k3f9p2", "title": title[1], "with": "plan"})
    again = store.quilt("k3f9p2")
    assert again.about["title"] == "Lantern cushion, again"
    assert again.about["plan"] == sewing.stored.about["plan"]
    assert (list(again.taps), {"shelf", "photos", "former_shelves"} & again.about.keys()) == ([], set())
    assert len(sewing.stored.taps) == 1
    assert photos(sewing)


SIZE = exact(40), exact(50)


@pytest.mark.parametrize(
    ("after", "words"),
    [
        ((40, 50), "As large as before: from 40 × 50 in to 40 × 50 in."),
        ((38, Fraction(95, 2)), "Shrank by 5 % both ways: from 40 × 50 in to 38 × 47½ in."),
        ((39, 48), "Shrank by 2.5 % across and 4 % down: from 40 × 50 in to 39 × 48 in."),
        ((41, 49), "Grew by 2.5 % across, shrank by 2 % down: from 40 × 50 in to 41 × 49 in."),
        ((Fraction(79, 2), 50), "Shrank by 1.3 % across, as large as before down: from 40 × 50 in to 39½ × 50 in."),
    ],
)
def test_shrinkage_is_told_to_a_tenth(after: tuple[Fraction, Fraction], words: str) -> None:
    found = FinishedQuilt(SIZE, None, None, 0, SIZE, (exact(after[0]), exact(after[1])))
    assert shrinkage_text(found, "in", EIGHTH) == words


def test_days_and_hours_follow_from_taps_unless_she_says_otherwise() -> None:
    worked = {date(2026, 3, 5): 3600, date(2026, 2, 1): 1800}
    left = Forecast(Remainder(7200, {"sew": 1800}, {"sew": 7200}), {}, worked)
    over = Forecast(Remainder(7200, {"sew": 0}, {"sew": 7200}), {"sew": (5400, 3600)}, worked)
    found = finished_quilt({}, SIZE, "in", left)
    assert (found.begun, found.finished, found.seconds, found.size) == (date(2026, 2, 1), None, 5400, SIZE)
    found = finished_quilt({"begun": "2025-12-24", "size": ["100 cm", "1 m"]}, SIZE, "in", over)
    assert (found.begun, found.finished) == (date(2025, 12, 24), date(2026, 3, 5))
    assert found.size == (exact(Fraction(5000, 127)), exact(Fraction(5000, 127)))
    # Half as slow again between taps: (1800 · 7200/5400 + 5400) / (1800 + 3600) of what is reckoned.
    assert found.seconds == 10_400


# The label for its back


@pytest.mark.parametrize("size", LABELS)
@pytest.mark.parametrize("long", [1, 9, 40])
def test_a_label_holds_its_lines_within_its_seam(size: str, long: int) -> None:
    label = LABELS[size]
    said = ["A quilt " * long, "for W" + "m" * 7 * long, "made by Ilse", "begun 1 March 2026"]
    lines = lines_on(label, said)
    assert lines[0].words.startswith("A quilt")
    assert all(breadth(line.words, line.letters) <= label.across - 2 * MARGIN for line in lines)
    assert all(line.foot - line.letters >= MARGIN - 5 and line.foot <= label.down - MARGIN for line in lines)
    assert [line.foot for line in lines] == sorted({line.foot for line in lines})
    if long == 1:
        assert " ".join(line.words for line in lines).replace(" ", "") == "".join(said).replace(" ", "")


def test_the_label_says_for_whom_by_whom_and_when(phone: Visitor, sewing: Quilt) -> None:
    days = {"begun": "2026-03-01", "finished": "2026-11-09"}
    phone.post(f"{sewing.at}/shelf", {**KEPT, **days, "washing": "cool", "cloths": "sand"})
    lines = {}
    for size in LABELS:
        page = phone.get(f"{sewing.at}/shelf/label?size={size}").text
        lines[size] = " ".join(re.findall(r"<text[^>]*>([^<]*)<", page)).replace("\N{NO-BREAK SPACE}", " ")
    whole = "Lantern cushion for Aunt Merle made by Ilse begun 1 March 2026, finished 9 November 2026"
    assert lines["small"] == whole
    assert lines["medium"].startswith(f"{whole} 8 × 4 in cool cloths: sand batting: cotton")
    assert phone.get(f"{sewing.at}/shelf/label?size=huge").status_code == 404
