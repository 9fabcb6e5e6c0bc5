"""A class: each pupil has her own quilt by one code, and her teacher sees who is at which step."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from schooling import School, standing
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, room_of, words_of

from tracker.safekeeping.backup import compare, read_backup, restore
from tracker.safekeeping.secret_codes import Guesses
from tracker.store.quilts import Store

ENDED = (
    "Your teacher has ended the class, or this device's part in it. Your quilt is kept: ask her for it, or for the "
    "code with which you go on."
)


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
    assert "Saturday beginners 1 pupil A new" in school.teacher.text("/classes")
    school.phone("Marit")
    assert "Saturday beginners 2 pupils A new" in school.teacher.text("/classes")
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
    assert "2 pupils, 1 hand up" in news
    assert re.search(rf"Ilse has her hand up .*Helped.*Marit {onward}", news)
    school.teacher.post(f"{school.at}/pupils/{school.pupil('Ilse').id}/helped", {})
    assert "hand" not in school.teacher.text(f"{school.at}/news")
    assert "Put my hand up" in ilse.text("/mine")


def test_an_ended_class_shows_no_step_and_no_hand_and_says_where_the_quilts_are(school: School) -> None:
    school.phone("Ilse").post("/mine/hand", {})
    before = school.teacher.text(school.at)
    assert "1 hand up" in before
    assert "Show a step to all" in before
    assert before.index("1 pupil") < before.index("Edit its plan for all"), "whom she teaches comes first"
    school.teacher.post(f"{school.at}/end", {"end": "yes"})
    after = school.teacher.text(school.at)
    assert "Her quilt is in each one’s line below" in after
    assert not [words for words in ("hand up", "Show a step to all", "Helped") if words in after]


def test_a_backup_says_how_many_quilts_are_of_classes(school: School) -> None:
    """That of the class itself is among them, and no pupil's."""
    school.phone("Ilse")
    assert "and those of one class and its one pupil: plans" in school.teacher.text("/room")


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


def test_a_pupil_with_a_wrong_code_is_sent_to_her_teacher(phone: Visitor) -> None:
    stranger = Visitor(phone.client.application, paired=False)
    answer = stranger.post("/join", {"code": "WRONGCODE"})
    text = words_of(answer)
    assert answer.status_code == 403
    assert "Ask your teacher for the code of the class" in text
    assert "terminal" not in text
    assert "localhost" not in text


def test_an_ended_class_speaks_of_quilts_only_where_there_are_any(school: School) -> None:
    school.teacher.post(f"{school.at}/end", {"end": "yes"})
    page = school.teacher.text(school.at)
    assert "This class has ended: nobody new is let in." in page
    assert "Nobody came in." in page
    school.teacher.post(f"{school.at}/end", {"end": "no"})
    assert "Nobody has come in yet." in school.teacher.text(school.at)
    school.phone("Ilse")
    school.teacher.post(f"{school.at}/end", {"end": "yes"})
    assert "Her quilt is in each one’s line below" in school.teacher.text(school.at)
