"""How a device is let in, and that one that is not sees how to, and nothing else."""

from __future__ import annotations

import re

import pytest
from flask import Flask
from visitors import LOOPBACK, SMALL_PLAN, WIFI, Quilt, Visitor, paired, room_of, words_of

from tracker.safekeeping.pairing import Pairing
from tracker.server.addresses import AddressBook
from tracker.store.quilts import Room, Store, StoredQuilt
from tracker.web import create_app

HOW = "This device is not paired with this sewing room yet."


@pytest.fixture
def stranger(room: Flask) -> Visitor:
    """Someone at home whose device was never paired."""
    return Visitor(room, paired=False)


@pytest.fixture
def pairing(store: Store) -> Pairing:
    return paired(store)


def test_a_stranger_sees_how_to_pair_and_nothing_else(stranger: Visitor, quilt: StoredQuilt) -> None:
    at = f"/quilts/{quilt.id}"
    paths = ("/", at, f"{at}/steps", f"{at}/picture.svg", f"{at}/plan.toml", f"{at}/changes?since=0&view=list")
    others = ("/new", "/device", "/room", "/room/backup", "/room/log", "/l/k3f9", "/nowhere", "/static/room.js")
    pages = set()
    for path in (*paths, *others):
        answer = stranger.get(path)
        assert answer.status_code == 403, path
        assert HOW in words_of(answer)
        pages.add(answer.get_data())
    (page,) = pages
    shown = page.decode()
    for secret in (quilt.id, "Lantern", "lamp red", "script", "data-"):
        assert secret not in shown
    assert set(re.findall(r'(?:src|href)="(/[^"?]*)', shown)) == {"/static/room.css", "/static/icon.svg"}
    assert stranger.get("/static/room.css").status_code == stranger.get("/static/icon.svg").status_code == 200


@pytest.mark.parametrize("path", ["/new", "/new/look", "/quilts/QUILT/taps", "/room/restore", "/room/code", "/nowhere"])
def test_a_stranger_changes_nothing(path: str, stranger: Visitor, quilt: StoredQuilt, store: Store) -> None:
    before = (store.room.version, quilt.version)
    answer = stranger.post(path.replace("QUILT", quilt.id), {"plan": SMALL_PLAN, "tap": "12345678", "do": "done"})
    assert answer.status_code == 403
    assert HOW in words_of(answer)
    assert (store.room.version, quilt.version, len(store.quilts())) == (*before, 1)


def test_the_link_shows_a_page_with_one_button_which_lets_the_device_in(
    stranger: Visitor, room: Flask, pairing: Pairing
) -> None:
    page = stranger.get(pairing.path, User_Agent="Something (Linux; Android 14) Mobile")
    shown = page.get_data(as_text=True)
    assert page.status_code == 200
    assert "Set-Cookie" not in page.headers, "previews of links open pages too"
    assert page.headers["Cache-Control"] == "no-store"
    assert shown.count("<button") == 1
    assert 'name="name" value="Phone"' in shown
    assert stranger.get("/").status_code == 403
    code = re.search(r'name="code" value="(\w+)"', shown)
    assert code is not None
    answer = stranger.post("/pair", {"code": code[1], "name": "Kitchen tablet"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    cookie = answer.headers["Set-Cookie"]
    assert all(part in cookie for part in ("HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=34560000"))
    assert "Secure" not in cookie, "which plain http would lose"
    assert stranger.get("/").status_code == 200
    assert "Kitchen tablet (this one)" in stranger.text("/room")
    assert "paired already" in words_of(stranger.get(pairing.path))
    before = len(Pairing(_room(room)).devices())
    assert stranger.post("/pair", {"code": "whatever"}).status_code == 303
    assert len(Pairing(_room(room)).devices()) == before, "a device that is in is not let in twice"


def _room(app: Flask) -> Room:
    store: Store = app.extensions["sewing-room"].desk.store
    return store.room


def test_the_code_can_be_typed(stranger: Visitor, pairing: Pairing) -> None:
    assert 'action="/pair"' in stranger.get("/").get_data(as_text=True)
    assert stranger.post("/pair", {"code": pairing.code.upper()}).status_code == 303
    assert stranger.get("/").status_code == 200


def test_guessing_is_refused_then_slowed_and_stops_nobody_who_is_in(
    stranger: Visitor, phone: Visitor, pairing: Pairing
) -> None:
    answers = [stranger.get("/pair/guessguess12") for _ in range(3)]
    answers += [stranger.post("/pair", {"code": "guessguess12"}) for _ in range(4)]
    assert [answer.status_code for answer in answers] == [403] * 5 + [429] * 2
    assert "This code is not (or no longer) the right one" in words_of(answers[0])
    assert "wait a minute" in words_of(answers[-1])
    assert stranger.post("/pair", {"code": pairing.code}).status_code == 429
    assert phone.get("/").status_code == 200


def test_while_somebody_guesses_the_pages_that_show_the_code_show_one_for_one_device(
    stranger: Visitor, computer: Visitor, phone: Visitor, pairing: Pairing
) -> None:
    trying = "Wrong codes are being tried here; none let anybody in."
    for visitor, path in ((computer, "/"), (computer, "/device"), (phone, "/device")):
        assert pairing.code in visitor.text(path)
        assert trying not in visitor.text(path)
    assert trying not in computer.text("/room")
    for _ in range(5):
        stranger.post("/pair", {"code": "guessguess12"})
    for visitor, path in ((computer, "/"), (computer, "/device"), (phone, "/device")):
        assert pairing.code not in visitor.text(path)
        assert f"{trying} So this code is for one device, for ten minutes" in visitor.text(path)
    assert f"{trying} “Pair another device” shows a code" in computer.text("/room")
    code = re.search(r"The code: ((\w{4} ){3})", computer.text("/device"))
    assert code is not None
    assert stranger.post("/pair", {"code": pairing.code}).status_code == 429
    assert stranger.post("/pair", {"code": code[1]}).status_code == 303
    assert stranger.get("/").status_code == 200


def test_where_only_a_network_address_is_served_the_computer_pairs_while_others_guess(
    store: Store, pairing: Pairing
) -> None:
    book = AddressBook(8642, "192.168.1.20", look=lambda: (LOOPBACK, WIFI))
    room = create_app(store, book, Pairing(store.room))
    guests = [Visitor(room, "192.168.1.20:8642", f"192.168.1.{number}", paired=False) for number in range(60, 66)]
    for guest in guests * 6:
        guest.post("/pair", {"code": "guess"})
    assert guests[0].post("/pair", {"code": pairing.code}).status_code == 429
    here = Visitor(room, "192.168.1.20:8642", "192.168.1.20", paired=False)
    assert here.get(pairing.path).status_code == 200
    assert here.post("/pair", {"code": pairing.code}).status_code == 303


@pytest.mark.parametrize(
    ("host", "address", "headers", "status"),
    [
        ("localhost:8642", "127.0.0.1", {}, 200),
        ("127.0.0.1:8642", "127.0.0.1", {}, 200),
        ("[::1]:8642", "::1", {}, 200),
        ("localhost:8642", "::ffff:127.0.0.1", {}, 200),
        ("localhost:8642", "192.168.1.30", {}, 403),
        ("192.168.1.20:8642", "127.0.0.1", {}, 403),
        ("sewing.test:8642", "127.0.0.1", {}, 403),
        ("localhost:8642", "", {}, 403),
        ("localhost:8642", "127.0.0.1", {"X_Forwarded_For": "192.168.1.30"}, 403),
        ("localhost:8642", "127.0.0.1", {"Forwarded": "for=192.168.1.30"}, 403),
        ("localhost:8642", "192.168.1.30", {"X_Forwarded_For": "127.0.0.1"}, 403),
    ],
)
def test_only_the_computer_itself_needs_no_pairing(
    host: str, address: str, headers: dict[str, str], status: int, room: Flask
) -> None:
    assert Visitor(room, host, address, paired=False).get("/", **headers).status_code == status


def test_a_removed_device_sees_how_to_pair_and_its_taps_are_not_settled(
    phone: Visitor, computer: Visitor, sewing: Quilt, room: Flask
) -> None:
    assert "Phone last seen today" in computer.text("/room")
    assert computer.post("/room/devices/tested/remove", {}).status_code == 303
    assert "No device is paired yet" in computer.text("/room")
    assert sewing.tap("Cut lamp red").status_code == 403
    part = phone.post(f"{sewing.at}/taps", {"tap": "12345678"}, HX_Request_Type="partial")
    assert part.status_code == 403
    assert "what was tapped is kept until then" in part.text
    assert not sewing.stored.taps


def test_a_new_code_is_made_from_the_page(computer: Visitor, store: Store, room: Flask) -> None:
    pairing = room.extensions["sewing-room"].pairing
    old = pairing.path
    assert computer.post("/room/code", {}).headers["Location"] == "/device"
    assert pairing.path != old
    assert Visitor(room, paired=False).get(old).status_code == 403


def test_two_rooms_of_one_computer_have_cookies_of_their_own(store: Store) -> None:
    first = Pairing(store.room)
    with Store.open(store.folder.parent / "demo") as other:
        second = Pairing(other.room)
        assert first.cookie != second.cookie
        assert room_of(other).extensions["sewing-room"].pairing.code == second.code


TYPED = {
    "k3f9 bcdf ghj": "A code has 12 letters and figures, in groups of four, and this one has 11.",
    "k3f9 bcdf ghjo": "“o” stands in none: they have no vowels, no l, no 0 and no 1.",
    "k3f9 bcdf ghjk": "scan or type the one that the computer shows now.",
    "": "No code was typed. A code has 12 letters and figures, in groups of four",
}


@pytest.mark.parametrize("path", ["/pair", "/join"])
@pytest.mark.parametrize("code", TYPED)
def test_a_code_that_was_mistyped_stays_in_its_field_and_is_told_apart(code: str, path: str, stranger: Visitor) -> None:
    """Twelve letters are not typed anew for the sake of one."""
    answer = stranger.post(path, {"code": code})
    assert answer.status_code == 403
    assert TYPED[code] in words_of(answer)
    assert f'action="{path}"' in answer.text
    assert answer.text.index('role="alert"') < answer.text.index("<form") < answer.text.index("<p>"), "it is near"
    assert (f'value="{code}"' in answer.text) == bool(code)


def test_what_was_typed_for_a_code_is_shown_as_letters_and_no_longer_than_its_field(stranger: Visitor) -> None:
    shown = stranger.post("/pair", {"code": '"><b>\x00' + "x" * 10_000}).text
    assert "<b>xxx" not in shown
    assert 'value="&#34;&gt;&lt;b&gt;xxxxxxxxxxxxxx"' in shown
