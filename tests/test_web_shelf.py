"""A finished quilt on the shelf: what is kept with it, what follows from its taps, photos, the label for its back."""

from __future__ import annotations

import io
import re
import shutil
import threading
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from sent_photos import SECRET, of_12_megabytes, sent
from visitors import Quilt, Visitor, add_quilt, room_of, words_of
from werkzeug.test import TestResponse

from tracker.exact.measure import exact
from tracker.pattern.label_sheet import LABELS, MARGIN, breadth, lines_on
from tracker.progress.finished_quilt import FinishedQuilt, finished_quilt
from tracker.progress.pace_of_work import Forecast, Remainder
from tracker.safekeeping.backup import compare, make_backup, read_backup, restore
from tracker.safekeeping.small_photos import small_photo
from tracker.store.photo_files import photo_name
from tracker.store.quilts import Store
from tracker.words.shelf_words import shrinkage_text

KEPT = {
    "for": "Aunt Merle",
    "by": "Ilse",
    "batting": "cotton",
    "before_across": "50",
    "before_down": "60 1/2",
    "after_across": "48 1/2",
    "after_down": "58 3/4",
    "story": "From the harbour house.\nSewn in spring.",
}
EIGHTH = exact(Fraction(1, 8))


def done(sewing: Quilt) -> None:
    """All of the small quilt, tapped in one go at its own page's steps."""
    for step in sewing.compiled.checklist.steps:
        for block in sewing.progress().counts.blocks_of(step) if step.per != "quilt" else (0,):
            more = {"block": str(block)} if block else {}
            sewing.tap(sewing.compiled.titles[step.id], step.count if not block else 1, **more)


def send(sewing: Quilt, data: bytes, name: str = "quilt.jpg") -> TestResponse:
    return sewing.visitor.post(f"{sewing.at}/shelf/photos", {"photo": (io.BytesIO(data), name)})


def photos(sewing: Quilt) -> list[str]:
    """The photos that its page shows, by name."""
    page = sewing.visitor.get(f"{sewing.at}/shelf").text.partition("Photos taken away")[0]
    return re.findall(r'<a href="[^"]*/photos/([0-9a-f]{32})\.jpg"', page)


def photo(sewing: Quilt, name: str, more: str = "") -> TestResponse:
    return sewing.visitor.get(f"{sewing.at}/shelf/photos/{name}.jpg{more}")


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


# Photos


def test_a_photo_is_kept_small_without_its_place_and_served_as_nothing_else(
    phone: Visitor, sewing: Quilt, store: Store
) -> None:
    assert send(sewing, of_12_megabytes(), "page.html").status_code == 303
    (name,) = photos(sewing)
    for more, largest in (("", 400_000), ("?small", 40_000)):
        answer = photo(sewing, name, more)
        assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert "script-src 'self'" in answer.headers["Content-Security-Policy"]
        assert len(answer.data) < largest
        assert SECRET not in answer.data
    assert SECRET not in b"".join(path.read_bytes() for path in store.folder.rglob("*") if path.is_file())
    phone.post(f"{sewing.at}/shelf/put", {"on": "yes"})
    assert f"/photos/{name}.jpg?small" in phone.get("/shelf").text


def test_what_is_no_photo_is_refused_and_those_sent_with_it_are_kept(phone: Visitor, sewing: Quilt) -> None:
    answer = send(sewing, b"<script>alert(1)</script>", "quilt.jpg")
    assert answer.status_code == 400
    assert "“quilt.jpg” is no whole JPEG, PNG or WebP picture" in words_of(answer)
    assert phone.post(f"{sewing.at}/shelf/photos", {}).status_code == 400
    both = [(io.BytesIO(b"nothing"), "one.png"), (io.BytesIO(sent("PNG")), "two.png")]
    answer = phone.post(f"{sewing.at}/shelf/photos", {"photo": both})
    assert "“one.png” is no whole" in words_of(answer)
    assert len(photos(sewing)) == 1


def test_a_photo_taken_away_is_taken_back_or_deleted_for_good(sewing: Quilt, store: Store) -> None:
    send(sewing, sent("JPEG"))
    send(sewing, sent("JPEG"))  # sent twice it is there once
    (name,) = photos(sewing)
    change = f"{sewing.at}/shelf/photos/{name}"
    sewing.visitor.post(change, {"do": "words", "words": "On the  line"})
    assert "On the line" in sewing.visitor.text(f"{sewing.at}/shelf")
    sewing.visitor.post(change, {"do": "drop"})
    assert photos(sewing) == [name], "only what was taken away before is deleted"
    sewing.visitor.post(change, {"do": "remove"})
    assert photos(sewing) == []
    assert "Photos taken away: 1" in sewing.visitor.text(f"{sewing.at}/shelf")
    sewing.visitor.post(change, {"do": "back"})
    assert photos(sewing) == [name]
    other = Quilt(sewing.visitor, add_quilt(store))
    send(other, sent("JPEG"))
    for each, there in ((sewing, True), (other, False)):
        for do in ("remove", "drop"):
            each.visitor.post(f"{each.at}/shelf/photos/{name}", {"do": do})
        assert photo(each, name).status_code == 404
        assert (store.photos.read(name) is not None) == there
    assert list((store.folder / "copies" / "photos").iterdir()) == []


def test_a_photo_is_shown_with_its_own_quilt_alone(phone: Visitor, sewing: Quilt, store: Store) -> None:
    send(sewing, sent("JPEG"))
    (name,) = photos(sewing)
    other = Quilt(phone, add_quilt(store))
    assert photo(other, name).status_code == 404
    for strange in ("../../room.facts", "%2e%2e%2froom.facts", "0" * 32, "x"):
        assert photo(sewing, strange).status_code == 404
    stranger = Visitor(phone.client.application, paired=False)
    assert stranger.get(f"{sewing.at}/shelf/photos/{name}.jpg").status_code == 403
    assert stranger.post(f"{sewing.at}/shelf/photos", {"photo": (io.BytesIO(sent("PNG")), "p")}).status_code == 403


def test_twelve_photos_are_kept_with_a_quilt_and_no_more(sewing: Quilt) -> None:
    def send_some(sizes: range) -> TestResponse:
        some = [(io.BytesIO(sent("PNG", (size, 10))), f"{size}.png") for size in sizes]
        return sewing.visitor.post(f"{sewing.at}/shelf/photos", {"photo": some})

    full = "There are 12 photos with it already; take one away first."
    assert send_some(range(10, 19)).status_code == 303
    assert len(photos(sewing)) == 9
    assert f"{full} The last 2 of those sent were not kept." in words_of(send_some(range(19, 24)))
    assert full in words_of(send(sewing, sent("PNG", (9, 9))))
    assert send(sewing, sent("PNG", (10, 10))).status_code == 303, "it is there already"
    assert len(photos(sewing)) == 12


SHOWN, GONE, ANOTHER = (f"{number:032x}" for number in (0, 20, 99))


@pytest.mark.parametrize(
    ("do", "name", "shown", "gone", "status", "words"),
    [
        ("words", SHOWN, 12, 12, 303, ""),
        ("remove", SHOWN, 12, 12, 303, ""),
        ("back", GONE, 11, 1, 303, ""),
        ("back", GONE, 12, 1, 400, "There are 12 photos with it already"),
        ("drop", GONE, 12, 12, 303, ""),
        ("drop", ANOTHER, 1, 0, 404, "There is no such photo with this quilt."),
        ("words", ANOTHER, 1, 0, 404, "There is no such photo with this quilt."),
        ("xyz", GONE, 1, 1, 400, "What was sent cannot be read"),
        ("", SHOWN, 1, 1, 400, "What was sent cannot be read"),
        ("add", SHOWN, 1, 12, 400, "12 photos were taken away; delete some of them for good first"),
        ("add", SHOWN, 1, 11, 303, ""),
    ],
)
def test_what_may_become_of_a_photo(
    do: str, name: str, shown: int, gone: int, status: int, words: str, sewing: Quilt
) -> None:
    numbers = [*range(shown), *range(20, 20 + gone)]
    before = [{"name": f"{number:032x}", "removed": number >= 20} for number in numbers]
    sewing.stored.set_about(photos=before)
    if do == "add":
        answer = send(sewing, sent("PNG", (10, 10)))
    else:
        answer = sewing.visitor.post(f"{sewing.at}/shelf/photos/{name}", {"do": do, "words": "On the line"})
    assert (answer.status_code, words in words_of(answer)) == (status, True), words_of(answer)
    assert (sewing.stored.facts["photos"] == before) == (status != 303)


def test_a_photo_that_is_kept_again_while_it_is_dropped_stays(
    sewing: Quilt, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep = store.photos.keep

    def kept_meanwhile(data: bytes) -> str:
        name = keep(data)
        dropping.start()
        dropping.join(0.1)  # it waits until the quilt has it
        return name

    data = small_photo(sent("JPEG"))
    name = photo_name(data)
    dropping = threading.Thread(target=store.drop_photo, args=(name,), daemon=True)
    monkeypatch.setattr(store.photos, "keep", kept_meanwhile)
    monkeypatch.setattr("tracker.web.screens.finished.small_photo", lambda *given: data)
    send(sewing, data)
    dropping.join(5)
    assert photo(sewing, name).data == data


def test_a_photo_that_is_cut_short_is_no_fault_of_the_room(sewing: Quilt, store: Store) -> None:
    """As one that was written by hand under the name that follows from it."""
    name = store.photos.keep(small_photo(sent("JPEG"))[:2000])
    sewing.stored.set_about(photos=[{"name": name}])
    assert photo(sewing, name, "?small").status_code == 404


# On the disk


def test_a_photo_outlives_damage_and_is_told_when_it_is_lost(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    with Store.open(folder) as store:
        quilt = add_quilt(store, photos=[{"name": store.photos.keep(b"one")}])
        name = photo_name(b"one")
        assert not list(folder.rglob("*.tmp"))
    file, copy = (place / f"{name}.jpg" for place in (folder / "photos", folder / "copies" / "photos"))
    at_start = (file.unlink, copy.unlink, lambda: copy.write_bytes(b""), lambda: file.write_bytes(b"o"))
    at_reading = (lambda: file.write_bytes(b"two"), lambda: copy.write_bytes(b"two"))
    for spoil in (*at_start, *at_reading):
        spoil()
        with Store.open(folder) as store:
            assert store.findings == []
            assert spoil not in at_reading or store.photos.read(name) == b"one"
        assert file.read_bytes() == copy.read_bytes() == b"one"
    (folder / "photos" / ".half.tmp").write_bytes(b"on")
    for path in (file, copy):
        path.unlink()
    with Store.open(folder) as store:
        assert [str(each) for each in store.findings] == [
            "A photo that was kept with it is missing or damaged, with its copy; a backup may have it."
        ]
        assert [notice.file for notice in store.notices()] == [f"{quilt.id}.quilt"]
        assert store.photos.read(name, quilt.id) is None
        assert len(store.findings) == 1, "told once"
    assert list((folder / "photos").iterdir()) == []


def test_a_photo_that_the_disk_does_not_take_is_not_kept(
    sewing: Quilt, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*given: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tracker.store.photo_files.write_whole", full)
    answer = send(sewing, sent("JPEG"))
    assert (answer.status_code, "is full, so this was not saved" in words_of(answer)) == (507, True)
    assert "photos" not in sewing.stored.about


def test_photos_and_what_is_kept_come_back_from_a_backup(
    phone: Visitor, sewing: Quilt, store: Store, tmp_path: Path
) -> None:
    phone.post(f"{sewing.at}/shelf", KEPT)
    phone.post(f"{sewing.at}/shelf/put", {"on": "yes"})
    send(sewing, sent("JPEG"))
    (name,) = photos(sewing)
    data = make_backup(store)
    with Store.open(tmp_path / "other") as other:
        restore(other, compare(other, read_backup(data, "b.zip")))
        visitor = Visitor(room_of(other))
        there = Quilt(visitor, other.quilt(sewing.stored.id))
        assert there.stored.about == sewing.stored.about
        assert photo(there, name).data == photo(sewing, name).data
        # Here as in the backup, but for the photo: that is said, and mended.
        for place in (other.folder / "photos", other.folder / "copies" / "photos"):
            shutil.rmtree(place)
        (found,) = compare(other, read_backup(data, "b.zip"))
        assert found.sentence == (
            "“Lantern cushion” is here just as in the backup, but for 1 photo that is missing here and would be put"
            " back."
        )
        restore(other, [found])
        assert photo(there, name).status_code == 200
        assert not other.deleted()
        assert [each.kind for each in compare(other, read_backup(data, "b.zip"))] == ["same"]


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
