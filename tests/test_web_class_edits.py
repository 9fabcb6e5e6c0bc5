"""The teacher edits the plan of a class: its pupils follow, each with what she counted, and are told what was lost."""

from __future__ import annotations

import html
import re
import time
from itertools import count

import pytest
from browser import PATIENCE
from schooling import School
from visitors import SMALL_PLAN, Visitor, words_of

EDITS = count()


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


def test_before_an_edit_is_used_it_says_what_becomes_of_the_pupils_work(school: School) -> None:
    """`Everything that is done still fits` was said of the class's own quilt, in which nothing ever is done."""
    phones = [school.phone(name) for name in ("Ilse", "Marit", "Jo")]
    hers, own, _ = map(school.quilt, ("Ilse", "Marit", "Jo"), phones)
    hers.tap("Cut pale sand", 2)
    edit(school, own.at, SMALL_PLAN.replace('cell = "2"', 'cell = "4"'))  # hers does not follow
    at = f"/quilts/{school.group.quilt}"

    def looked(text: str) -> str:
        return words_of(school.teacher.post(f"{at}/plan", {"plan": text, "tap": "lookedat01", "do": "look"}))

    without = looked(SMALL_PLAN.replace("S\\R", "R").replace("R\\S", "R").replace("R    R", "R    S"))
    assert "still fits" not in without
    assert "No longer fits, of your pupils" in without
    assert "Ilse : Cut pale sand squares, 3 in (2 of 2)" in without
    assert not {"Marit:", "Jo:"} & set(without.split())
    longer = looked(SMALL_PLAN.replace("down = 1", "down = 2"))
    assert "✓ Everything that is done still fits, in the quilts of your pupils too." in longer
    assert "In the quilt of the class itself nothing is done yet" in longer
