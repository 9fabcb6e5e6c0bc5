"""A class: each pupil has her own quilt by one code, and nothing else whatever her device asks for."""

from __future__ import annotations

import html
import io
import re
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import pytest
from browser import PATIENCE
from flask import Flask
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, room_of, words_of
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect, Rule
from werkzeug.test import TestResponse

from tracker.safekeeping.backup import compare, read_backup, restore
from tracker.safekeeping.pupils import Classes, Pupil, SewingClass
from tracker.safekeeping.secret_codes import Guesses
from tracker.store.quilts import Store, StoredQuilt
from tracker.web import gate

EDITS = count()
REFUSED = "This is no part of your quilt; go back to it."
STRANGER = "This device is not paired with this sewing room yet."
ENDED = "Your teacher has ended the class, or this device's part in it. Ask for the code with which you go on."

HERS = {
    "ahead.ahead", "ahead.counts", "block.block", "blocks.board", "cutting.cutting", "home.quilts", "home_screen.how",
    "home_screen.stopped", "join.join",
    "join.link", "join.typed", "latest.latest", "layout.layout", "layout.pressing", "list.whole_list",
    "measured_block.first", "measured_block.measure", "mend.mend", "mine.hand", "mine.mine", "mine.news",
    "mine.read", "mine.take_home", "now.at_a_station", "pair.link", "pair.pair", "pair.typed", "pattern.pass_picture",
    "pattern.pattern", "photo.block_seen", "photo.of_block", "photo.of_quilt", "photo.quilt_seen", "pile.scanned",
    "quilt.picture", "quilt.quilt", "seam.measured", "seam.test_page", "sheets.one_for_all", "sheets.sheets",
    "shopping.shopping", "sizes.sizes", "static.file",
    "step.one_step", "step.onward", "step.where_she_stopped", "taps.changes", "taps.tap",
}  # fmt: skip
"""Every page that a pupil's device may ask for. What is not named here, whenever it comes, is not hers."""


@dataclass
class School:
    """A room with a class of two, seen by its teacher and by a pupil; and a quilt that is the teacher's alone."""

    store: Store
    room: Flask
    teacher: Visitor
    own: StoredQuilt
    group_id: str

    @property
    def classes(self) -> Classes:
        found = self.room.extensions["sewing-room"].pairing.classes
        assert isinstance(found, Classes)
        return found

    @property
    def group(self) -> SewingClass:
        found = self.classes.get(self.group_id)
        assert found is not None
        return found

    @property
    def at(self) -> str:
        return f"/classes/{self.group_id}"

    def pupil(self, name: str) -> Pupil:
        return next(each for each in self.group.pupils if each.name == name)

    def phone(self, name: str, code: str = "", address: str = "192.168.1.40") -> Visitor:
        """A phone with which a pupil has come in."""
        phone = Visitor(self.room, address=address, paired=False)
        answer = phone.post("/join", {"code": code or self.group.code, "name": name, "sent": ""})
        assert (answer.status_code, answer.headers.get("Location")) == (303, "/mine"), words_of(answer)
        return phone

    def quilt(self, name: str, phone: Visitor) -> Quilt:
        return Quilt(phone, self.store.quilt(self.pupil(name).quilt))


@pytest.fixture
def school(store: Store, room: Flask, phone: Visitor) -> School:
    own = add_quilt(store)
    answer = phone.post("/classes", {"title": "Saturday beginners", "quilt": own.id})
    assert answer.status_code == 303
    return School(store, room, phone, own, answer.headers["Location"].rpartition("/")[2])


def test_each_pupil_counts_a_quilt_of_her_own(school: School) -> None:
    ilse, jo = school.phone("Ilse"), school.phone("Marit")
    mine = school.quilt("Ilse", ilse)
    mine.tap("Cut lamp red", 2)
    assert mine.count("Cut lamp red") == "2 of 2 done"
    assert "0 %" in jo.text("/mine")
    assert "Ilse’s quilt" in ilse.text("/mine")
    assert school.own.taps == []
    assert len(school.store.quilts()) == 4  # the teacher's, the class's own, two pupils'
    page = school.teacher.text("/")
    assert "Lantern cushion" in page
    assert "Ilse" not in page, "quilts of a class stand under the class"


# What is not hers


def everything(school: School, quilt: str) -> Iterator[tuple[Rule, str, str]]:
    """Every rule with every method, at an address in a quilt: rule, method, path."""
    short = next(iter(Quilt(school.teacher, school.own).compiled.short.values()))
    ids = {"quilt_id": quilt, "short": short, "number": "1", "name": "room.css", "code": "b1", "key": "churn-dash"}
    ids |= {"class_id": school.group_id, "pupil_id": school.pupil("Marit").id, "place": "0", "device_id": "tested"}
    ids |= {"notice_id": "all"}
    for rule in school.room.url_map.iter_rules():
        path = re.sub(r"<(?:\w+:)?(\w+)>", lambda found: ids[found[1]], rule.rule)
        for method in ("GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"):
            yield rule, method, path


def ask(visitor: Visitor, method: str, path: str) -> TestResponse:
    headers = {"Host": visitor.host, "Origin": f"http://{visitor.host}"}
    about = {"REMOTE_ADDR": visitor.address}
    return visitor.client.open(
        path, method=method, headers=headers, environ_base=about, data={"title": "x", "end": "yes"}
    )


def endpoint_of(school: School, method: str, path: str) -> str:
    """What answers at an address: two rules may stand there, for other methods."""
    with suppress(HTTPException, RequestRedirect):
        return str(school.room.url_map.bind("sewing.test").match(path, method)[0])
    return ""


def standing(school: School) -> list[object]:
    """All that is on the disk."""
    return [school.store.room.state.version, *((quilt.id, quilt.version) for quilt in school.store.quilts())]


def test_a_pupil_s_device_is_refused_all_that_is_not_hers_alike(school: School) -> None:
    """Every route, every method, in her own quilt, another pupil's, the class's, the teacher's, a deleted one, none."""
    ilse = school.phone("Ilse")
    school.phone("Marit")
    gone = add_quilt(school.store)
    school.store.delete(gone.id)
    hers = school.pupil("Ilse").quilt
    others = [school.pupil("Marit").quilt, school.group.quilt, school.own.id, gone.id, "zzzzzz"]
    before, bodies = standing(school), set[bytes]()
    # Where a page is of no quilt, its address is the same six times; one time tells all.
    every = {(method, path): rule for quilt in (hers, *others) for rule, method, path in everything(school, quilt)}
    refused = 0
    for (method, path), rule in every.items():
        asked = endpoint_of(school, method, path)
        if asked in HERS and (hers in path or "quilt_id" not in rule.arguments) and method != "OPTIONS":
            continue
        answer, refused = ask(ilse, method, path), refused + 1
        assert answer.status_code == 403, (method, path)
        if method != "HEAD":
            bodies.add(answer.data)
    for path in ("/nowhere", "/room/backup/", f"/quilts/{hers}/plan/../../{school.own.id}", "/static/../room.facts"):
        bodies.add(ask(ilse, "GET", path).data)
    assert refused > 1500
    assert len(bodies) == 1
    assert REFUSED in bodies.pop().decode()
    assert standing(school) == before


def test_what_is_hers_is_just_what_the_gate_lets_through(school: School) -> None:
    """And each of it answers; none of its answers names another quilt."""
    ilse = school.phone("Ilse")
    school.phone("Marit")
    open_pages = {page for page, _ in gate.OPEN_PAGES}
    assert gate.PUPILS_READ | gate.PUPILS_SEND | open_pages == HERS
    hers = school.pupil("Ilse").quilt
    secrets = [
        school.pupil("Marit").quilt,
        school.group.quilt,
        school.own.id,
        school.group.code,
        "Marit",
        school.group_id,
    ]
    secrets.append(school.room.extensions["sewing-room"].pairing.code)
    for rule, method, path in everything(school, hers):
        if rule.endpoint in gate.PUPILS_READ and method == "GET":
            if rule.endpoint == "photo.of_block":
                path = f"{school.quilt('Ilse', ilse).step_path('Lay out')}/photo"
            answer = ask(ilse, method, f"{path}?since=0&view=mine" if rule.endpoint == "taps.changes" else path)
            assert answer.status_code in (200, 301, 303), path
            text = answer.get_data(as_text=True) if "zip" not in str(answer.mimetype) else ""
            assert [secret for secret in secrets if secret in text] == [], path


def test_every_link_on_a_pupil_s_pages_leads_to_what_is_hers(school: School) -> None:
    ilse = school.phone("Ilse")
    mine = school.quilt("Ilse", ilse)
    mine.tap("Cut lamp red", 2)
    todo, seen = ["/mine"], set[str]()
    while todo:
        path = todo.pop()
        answer = ilse.get(path)
        while answer.status_code == 303:
            answer = ilse.get(answer.headers["Location"])
        assert answer.status_code == 200, path
        if answer.mimetype != "text/html":
            continue
        page = answer.get_data(as_text=True)
        forms = re.findall(r'<form (?=[^>]*method="post")[^>]*action="(/[^"]*)"', page)
        assert {re.sub(r"^/quilts/\w+", "", form) for form in forms} <= {"/taps", "/mine/hand", "/seam"}, path
        links = {link.replace("&amp;", "&") for link in re.findall(r'href="(/[^"#]*)', page)}
        todo += sorted(links - seen)[: max(0, 200 - len(seen))]
        seen |= links
    assert len(seen) > 40


@pytest.mark.parametrize("where", ["X-Forwarded-For", "Origin"])
def test_a_pupil_s_form_from_elsewhere_changes_nothing(where: str, school: School) -> None:
    ilse = school.phone("Ilse")
    header = {"Origin": "http://evil.example"} if where == "Origin" else {"Origin": "null", where: "127.0.0.1"}
    assert ilse.post("/mine/hand", {}, **header).status_code == 403
    assert not school.store.quilt(school.pupil("Ilse").quilt).about.get("hand")


def test_a_pupil_s_cookie_opens_no_room_and_a_room_s_no_class(school: School) -> None:
    ilse = school.phone("Ilse")
    (cookie,) = [each for each in ilse.client._cookies.values() if each.key.startswith("sewing-class-")]
    thief = Visitor(school.room, paired=False)
    thief.client.set_cookie("sewing-room-tests", cookie.value, domain="sewing.test")
    assert STRANGER in words_of(thief.get("/mine"))
    assert cookie.value not in repr(school.store.room.about)


# Coming in


def test_the_code_shows_a_page_and_lets_in_by_its_button_once(school: School) -> None:
    new = Visitor(school.room, address="192.168.1.50", paired=False)
    before = standing(school)
    assert "Saturday beginners" in new.text(f"/join/{school.group.code}")
    assert standing(school) == before
    form = {"code": school.group.code, "name": "Ilse", "sent": "0123456789abcdef"}
    assert [
        new.post("/join", form).status_code,
        Visitor(school.room, paired=False).post("/join", form).status_code,
    ] == [303] * 2
    assert [pupil.name for pupil in school.group.pupils] == ["Ilse"]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("  ", "Type your name, so that your teacher knows whose quilt it is."),
        ("x" * 41, "A name has 40 letters at most, and this one has 41; shorten it."),
        ("ILSE", "There is ILSE in this class already. If that is you, ask your teacher for the code"),
    ],
)
def test_a_name_is_needed_and_is_one_pupil_s(name: str, said: str, school: School) -> None:
    school.phone("Ilse")
    answer = Visitor(school.room, paired=False).post("/join", {"code": school.group.code, "name": name, "sent": ""})
    assert answer.status_code == 409
    assert said in words_of(answer)
    assert f'value="{name}"' in answer.text
    (ilse,) = school.group.pupils
    answer = school.teacher.post(f"/classes/{school.group.id}/pupils/{ilse.id}/name", {"name": "x" * 41})
    assert (answer.status_code, f'value="{"x" * 41}"' in answer.text) == (409, True)


def test_a_class_s_code_typed_at_the_room_s_door_leads_to_the_class(school: School) -> None:
    code = school.group.code
    answer = Visitor(school.room, paired=False).post("/pair", {"code": f" {code[:4].upper()} {code[4:]}"})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/join/{code}")


def test_wrong_codes_are_few_and_count_with_those_of_the_room(school: School) -> None:
    guesser = Visitor(school.room, address="192.168.1.66", paired=False)
    said = [guesser.get(f"/join/{'b' * 11}{letter}").status_code for letter in "cdfghj"]
    assert said == [403] * Guesses.FROM_ONE + [429]
    assert guesser.get(f"/join/{school.group.code}").status_code == 429
    assert "for one device" in school.teacher.text(school.at), "while somebody guesses, pupils come in all the same"
    once = re.search(r'class="pairing">The code: <b>([\w ]+)</b>', school.teacher.get(school.at).get_data(as_text=True))
    assert once is not None
    assert once[1].replace(" ", "") != school.group.code
    school.phone("Ilse", once[1], "192.168.1.66")
    assert guesser.get(f"/join/{once[1].replace(' ', '')}").status_code == 429


# Changed, ended, taken back


def test_one_who_lost_her_phone_goes_on_by_a_code_that_the_teacher_shows(school: School) -> None:
    lost = school.phone("Ilse")
    school.quilt("Ilse", lost).tap("Cut lamp red", 2)
    at = f"{school.at}/pupils/{school.pupil('Ilse').id}"
    page = school.teacher.get(f"{at}?code=show").get_data(as_text=True)
    code = re.search(r"The code: <b>([\w ]+)</b>", page)
    assert code is not None
    new = Visitor(school.room, address="192.168.1.41", paired=False)
    assert "Ilse, go on with your quilt?" in new.text(f"/join/{code[1].replace(' ', '')}")
    new = school.phone("", code[1], "192.168.1.41")
    assert school.quilt("Ilse", new).count("Cut lamp red").startswith("2 of")
    assert ENDED in words_of(lost.get("/mine"))
    again = Visitor(school.room, address="192.168.1.42", paired=False)
    assert again.get(f"/join/{code[1].replace(' ', '')}").status_code == 403, "it is for one device"
    school.teacher.post(f"{at}/devices/0/end", {"end": "no"})
    assert "Ilse’s quilt" in lost.text("/mine")


ENDINGS = {
    "the class": ("{at}/end", "{at}/end"),
    "the pupil": ("{at}/pupils/{pupil}/end", "{at}/pupils/{pupil}/end"),
    "the device": ("{at}/pupils/{pupil}/devices/0/end", "{at}/pupils/{pupil}/devices/0/end"),
}


@pytest.mark.parametrize("what", ENDINGS)
def test_what_is_ended_lets_nobody_in_until_it_is_taken_back(what: str, school: School) -> None:
    ilse = school.phone("Ilse")
    mine = school.quilt("Ilse", ilse)
    mine.tap("Cut lamp red")
    end, back = (path.format(at=school.at, pupil=school.pupil("Ilse").id) for path in ENDINGS[what])
    school.teacher.post(end, {"end": "yes"})
    for path in ("/mine", f"{mine.at}/steps", "/mine/quilt.zip"):
        assert (ilse.get(path).status_code, ENDED in words_of(ilse.get(path))) == (403, True)
    assert mine.tap("Cut lamp red").status_code == 403
    school.teacher.post(back, {"end": "no"})
    assert mine.count("Cut lamp red").startswith("1 of")
    mine.tap("Cut lamp red")
    assert mine.count("Cut lamp red").startswith("2 of")


def test_names_change_and_are_taken_back(school: School) -> None:
    school.phone("Ilse")
    school.phone("Marit")
    at = f"{school.at}/pupils/{school.pupil('Ilse').id}"
    school.teacher.post(f"{at}/name", {"name": "Ilka"})
    assert "Take back: Ilse" in school.teacher.text(at)
    school.teacher.post(f"{at}/name", {"name": "Ilse"})
    assert [pupil.name for pupil in school.group.pupils] == ["Ilse", "Marit"]
    assert school.teacher.post(f"{at}/name", {"name": "marit"}).status_code == 409
    school.teacher.post(f"{school.at}/title", {"title": "Sunday beginners"})
    assert "Sunday beginners" in school.teacher.text("/classes")


def test_a_closed_door_and_a_new_code_keep_out_who_is_not_in(school: School) -> None:
    ilse, code = school.phone("Ilse"), school.group.code
    school.teacher.post(f"{school.at}/door", {"open": "no"})
    answer = Visitor(school.room, paired=False).post("/join", {"code": code, "name": "Marit", "sent": ""})
    assert "This class takes nobody more now" in words_of(answer)
    school.teacher.post(f"{school.at}/door", {"open": "yes"})
    school.teacher.post(f"{school.at}/code", {})
    assert Visitor(school.room, paired=False).get(f"/join/{code}").status_code == 403
    assert "Ilse’s quilt" in ilse.text("/mine")
    school.phone("Marit")


def test_all_of_it_stands_after_the_computer_was_started_anew(tmp_path: Path) -> None:
    with Store.open(tmp_path / "school") as store:
        room = room_of(store)
        teacher = Visitor(room)
        own = add_quilt(store)
        made = teacher.post("/classes", {"title": "Evening class", "quilt": own.id}).headers["Location"]
        school = School(store, room, teacher, own, made.rpartition("/")[2])
        ilse = school.phone("Ilse")
        school.quilt("Ilse", ilse).tap("Cut lamp red", 2)
        kept, group = ilse.client, school.group
    with Store.open(tmp_path / "school") as store:
        room = room_of(store)
        again = School(store, room, Visitor(room), store.quilt(own.id), school.group_id)
        assert again.group == group
        ilse = Visitor(room, paired=False)
        for cookie in kept._cookies.values():
            ilse.client.set_cookie(cookie.key, cookie.value, domain="sewing.test")
        assert again.quilt("Ilse", ilse).count("Cut lamp red").startswith("2 of")


# What the teacher sees and shows, and what a pupil takes home


def test_the_teacher_sees_who_is_at_which_step_and_who_waits(school: School) -> None:
    ilse, jo = school.phone("Ilse"), school.phone("Marit")
    hers = school.quilt("Marit", jo)
    jo.get(hers.step_path("Cut pale sand"))
    hers.tap("Cut pale sand", 2)
    onward = re.search(r'carry-on"[^>]*><small>[^<]*</small> ([^<]*)', jo.get("/mine").text)
    assert onward is not None
    onward = onward[1].replace("\xa0", " ").strip()
    assert f"Marit {onward}" in school.teacher.text(f"{school.at}/news"), "not the step last looked at"
    ilse.post("/mine/hand", {})
    news = school.teacher.text(f"{school.at}/news")
    assert "2 pupils, 1 waits" in news
    assert re.search(rf"Ilse waits .*Helped.*Marit {onward}", news)
    school.teacher.post(f"{school.at}/pupils/{school.pupil('Ilse').id}/helped", {})
    assert "waits" not in school.teacher.text(f"{school.at}/news")
    assert "I wait: put my hand up" in ilse.text("/mine")


def test_a_step_is_shown_to_all_and_offered_on_every_phone(school: School) -> None:
    ilse = school.phone("Ilse")
    mine = school.quilt("Ilse", ilse)
    assert ilse.text("/mine/news") == ""
    school.teacher.post(f"{school.at}/show", {"step": mine.short("Mark")})
    assert "Your teacher shows: Mark pale sand" in ilse.text("/mine/news")
    assert ilse.text("/mine/news") != ""
    assert ilse.get("/mine/news", Referer=f"http://sewing.test:8642{mine.step_path('Mark')}").data.strip() == b""
    assert "Mark pale sand" in school.teacher.text(f"{school.at}/show")
    same = school.teacher.get(f"{school.at}/show?now={mine.short('Mark')}", HX_Request_Type="partial")
    assert same.status_code == 204
    school.teacher.post(f"{school.at}/show", {"step": ""})
    assert ilse.text("/mine/news") == ""


def test_an_edit_of_the_class_s_plan_reaches_every_pupil_with_what_she_counted(school: School) -> None:
    ilse, marit, jo = phones = [school.phone(name) for name in ("Ilse", "Marit", "Jo")]
    hers, own, waiting = map(school.quilt, ("Ilse", "Marit", "Jo"), phones)
    hers.tap("Cut lamp red squares, 2½ in", 2)
    hers.tap("Cut pale sand", 2)
    hers.tap("Mark", 1)
    waiting.tap("Mark", 1)  # nothing lies there to mark: a question is open
    edit(school, own.at, SMALL_PLAN.replace('cell = "2"', 'cell = "4"'))  # the teacher edits one by itself
    changed = SMALL_PLAN.replace("down = 1", "down = 2").replace("S\\R", "S").replace("R\\S", "R")
    at = f"/quilts/{school.group.quilt}"
    assert "The quilts of its pupils follow it" in school.teacher.text(f"{at}/plan")
    edit(school, at, changed)
    hers, ended = school.quilt("Ilse", ilse), "Your teacher changed the plan. What you had counted still counts"
    assert ended in ilse.text("/mine")
    assert len([tap for tap in hers.stored.taps if tap["do"] == "carried"]) == 1, "once, whoever was quicker"
    assert hers.stored.about["plan"] == changed
    assert hers.stored.about["title"] == "Ilse: Saturday beginners"
    hers = school.quilt("Ilse", ilse)
    assert hers.count("Cut lamp red squares, 2½ in").startswith("2 of 12 done")
    assert "Your teacher changed the plan" in ilse.text("/mine/news")
    assert "Your teacher changed the plan" not in words_of(
        ilse.get("/mine/news", Referer="http://sewing.test:8642/mine")
    )
    ilse.post("/mine/read", {"said": news_to(ilse)})
    assert ended not in ilse.text("/mine")
    assert ended not in ilse.text("/mine/news")
    marit.get("/mine")
    assert 'cell = "4"' in school.store.quilt(own.stored.id).about["plan"], "one that was edited by itself stays"
    page = school.teacher.text(f"{school.at}/news")
    assert "A plan of her own" in page
    assert "Follows your plan soon" in page
    # She answers: then hers follows too, and what is edited back is followed back.
    jo.get("/mine")
    assert waiting.stored.about["plan"] == SMALL_PLAN
    waiting.do("settle", "test-tap-1", times="0")
    assert "All that you had counted still counts" in jo.text("/mine")
    edit(school, at, SMALL_PLAN)
    jo.get("/mine")
    ilse.get("/mine")
    assert waiting.stored.about["plan"] == SMALL_PLAN
    assert school.quilt("Ilse", ilse).count("Mark").startswith("1 of 2 done")
    assert school.phone("Nele", address="192.168.1.49").text("/mine").count("Your teacher") == 0


def news_to(phone: Visitor) -> list[str]:
    """What a pupil's page tells her of changes of the plan, as its form sends it."""
    return [html.unescape(said) for said in re.findall(r'name="said" value="([^"]*)"', phone.get("/mine").text)]


def test_what_she_has_not_read_of_one_edit_outlives_the_next(school: School) -> None:
    ilse = school.phone("Ilse")
    hers, at = school.quilt("Ilse", ilse), f"/quilts/{school.group.quilt}"
    hers.tap("Cut pale sand", 2)
    hers.tap("Mark", 1)
    first, second = SMALL_PLAN.replace("S\\R", "S").replace("R\\S", "R"), SMALL_PLAN.replace('cell = "2"', 'cell = "4"')
    edit(school, at, first)
    (once,) = news_to(ilse)
    assert "Mark pale sand" in once
    edit(school, at, SMALL_PLAN)
    assert news_to(ilse) == [once], "that nothing is lost now does not hide what was"
    hers.tap("Cut lamp red", 2)
    edit(school, at, second)
    both = news_to(ilse)
    assert (both[0], len(both), "Cut lamp red" in both[1]) == (once, 2, True)
    ilse.post("/mine/read", {"said": once})
    assert news_to(ilse) == both[1:], "only what the page had shown is read"
    ilse.post("/mine/read", {"said": both})
    assert "Your teacher changed the plan" not in ilse.text("/mine") + ilse.text("/mine/news")


def test_one_who_was_put_back_on_a_former_plan_stays_there(school: School, monkeypatch: pytest.MonkeyPatch) -> None:
    moments = (f"2026-11-25T09:{minute:02}:00+00:00" for minute in count(10))
    monkeypatch.setattr("tracker.web.carried.stamp", lambda: next(moments))
    at = f"/quilts/{school.group.quilt}"
    plans = [SMALL_PLAN.replace("down = 1", f"down = {down}") for down in (1, 2, 3)]
    phones = [school.phone(name) for name in ("Ilse", "Marit")]
    back, with_class = map(school.quilt, ("Ilse", "Marit"), phones)
    edit(school, with_class.at, plans[2])
    edit(school, with_class.at, plans[0])  # once more by the plan of the class: no longer one of her own
    edit(school, at, plans[1])
    phones[0].get("/mine")
    edit(school, back.at, plans[0])
    for plan in plans[2], plans[1]:
        edit(school, at, plan)
        for phone in phones:
            phone.get("/mine")
        assert (back.stored.facts["plan"], with_class.stored.facts["plan"]) == (plans[0], plan)
        assert "A plan of her own" in school.teacher.text(f"{school.at}/news")


def edit(school: School, at: str, text: str) -> None:
    """Edit a plan as its page does: looked at, then used."""
    form = {"plan": text, "tap": f"edit{next(EDITS):08}", "do": "look"}
    seen = re.search(r'name="seen" value="(\w+)"', school.teacher.post(f"{at}/plan", form).text)
    assert seen is not None
    answer = school.teacher.post(f"{at}/plan", form | {"do": "use", "seen": seen[1]})
    assert answer.status_code == 303, words_of(answer)


def test_pupils_who_are_not_there_follow_too(school: School) -> None:
    school.phone("Ilse")
    edit(school, f"/quilts/{school.group.quilt}", SMALL_PLAN.replace("down = 1", "down = 2"))
    hers = school.store.quilt(school.pupil("Ilse").quilt)
    until = time.monotonic() + PATIENCE / 1000
    while "down = 2" not in hers.facts["plan"] and time.monotonic() < until:
        time.sleep(0.02)
    assert "down = 2" in hers.facts["plan"]
    assert len([tap for tap in hers.taps if tap["do"] == "carried"]) == 1


def test_she_takes_her_quilt_home_and_another_room_restores_it(school: School, tmp_path: Path) -> None:
    ilse = school.phone("Ilse")
    mine = school.quilt("Ilse", ilse)
    mine.tap("Cut lamp red", 2)
    ilse.post("/mine/hand", {})
    answers = [
        ilse.get("/mine/quilt.zip"),
        school.teacher.get(f"{school.at}/pupils/{school.pupil('Ilse').id}/quilt.zip"),
    ]
    for number, answer in enumerate(answers):
        backup = read_backup(io.BytesIO(answer.data).getvalue(), "my-quilt.zip")
        with Store.open(tmp_path / f"home-{number}") as home:
            restore(home, compare(home, backup))
            (there,) = home.quilts()
            assert there.about["title"] == "Ilse: Saturday beginners"
            assert "hand" not in there.about
            visitor = Visitor(room_of(home))
            assert Quilt(visitor, there).count("Cut lamp red").startswith("2 of")
            assert "Ilse: Saturday beginners" in visitor.text("/")


def test_a_deleted_quilt_of_a_pupil_s_comes_back(school: School) -> None:
    ilse = school.phone("Ilse")
    hers = school.pupil("Ilse").quilt
    school.store.delete(hers)
    assert ilse.get("/mine").status_code == 404
    assert "her quilt was deleted" in school.teacher.text(f"{school.at}/news")
    school.teacher.post(f"/deleted/{hers}/restore", {})
    assert "Ilse’s quilt" in ilse.text("/mine")


@pytest.mark.parametrize(
    ("form", "status"),
    [
        ({"title": "", "quilt": "own"}, 400),
        ({"title": "x" * 61, "quilt": "own"}, 400),
        ({"title": "A", "quilt": "zz"}, 404),
    ],
)
def test_a_class_needs_a_name_and_a_plan(form: dict[str, str], status: int, school: School) -> None:
    sent = {"title": form["title"], "quilt": school.own.id if form["quilt"] == "own" else form["quilt"]}
    assert school.teacher.post("/classes", sent).status_code == status
    assert len(school.classes.all()) == 1
    assert school.store.quilt(school.group.quilt).about["plan"] == SMALL_PLAN
