"""Photos of a finished quilt: kept small and without their place, shown with it alone, and safe on the disk."""

from __future__ import annotations

import io
import shutil
import threading
from pathlib import Path

import pytest
from sent_photos import SECRET, of_12_megabytes, sent
from shelving import KEPT, photo, photos, send
from visitors import Quilt, Visitor, add_quilt, room_of, words_of
from werkzeug.test import TestResponse

from tracker.safekeeping.backup import compare, make_backup, read_backup, restore
from tracker.safekeeping.small_photos import small_photo
from tracker.store.photo_files import photo_name
from tracker.store.quilts import Store


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
