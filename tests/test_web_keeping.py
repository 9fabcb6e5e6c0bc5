"""Coming back to a quilt; its settings and name; copied, put away, deleted and taken back."""

from __future__ import annotations

import re
from datetime import datetime, timedelta, timezone

import pytest
from visitors import Quilt, Visitor, words_of

from tracker.store.quilts import Store
from tracker.web.clock import when

RED = "Cut lamp red squares, 2½ in"
HOME_ZONE = timezone(timedelta(hours=1))
AT = datetime(2026, 11, 25, 9, 0, tzinfo=HOME_ZONE)


@pytest.mark.parametrize(
    ("kept", "words"),
    [
        ("2026-11-25T07:05:00+00:00", "today at 08:05"),
        ("2026-11-24T23:30:00+00:00", "today at 00:30"),
        ("2026-11-24T20:40:00+00:00", "yesterday at 21:40"),
        ("2026-11-22T20:40:00+00:00", "3 days ago, Sunday 22 November"),
        ("2025-11-25T20:40:00+00:00", "365 days ago, Tuesday 25 November 2025"),
        ("2026-11-25T12:00:00+00:00", "today at 13:00"),
        ("", ""),
        ("soon", ""),
        (None, ""),
    ],
)
def test_when_it_was_in_this_computer_s_time(kept: object, words: str) -> None:
    assert when(kept, AT) == words


def test_coming_back_says_where_she_stopped_what_lies_there_and_where_to_carry_on(
    phone: Visitor, sewing: Quilt
) -> None:
    text = phone.text(sewing.at)
    assert "You stopped" not in text
    sewing.tap("Cut pale sand", 2)
    sewing.tap("Mark pale sand", 1)
    text = phone.text(sewing.at)
    assert "You stopped today at" in text
    assert "The last tap: Mark pale sand squares, 3 in: 1 marked." in text
    assert "What lies ready 1 pale sand square, 3 in 1 pale sand square, 3 in, marked" in text
    assert "Carry on at the cutting table Cut lamp red, 2 sizes" in text
    phone.post(
        f"{sewing.at}/taps", {"tap": "stage-of-1", "do": "stage", "block": "1", "step": sewing.short("Join row 1")}
    )
    assert "Blocks begun 1 row 1 joined" in phone.text(sewing.at)


def test_a_tap_of_an_unknown_time_is_named_without_one(phone: Visitor, sewing: Quilt) -> None:
    step = sewing.compiled.step(sewing.short(RED))
    assert step is not None
    sewing.stored.append({"id": "long-ago", "do": "done", "step": step.id, "times": 1})
    text = phone.text(sewing.at)
    assert "You stopped" not in text
    assert "The last tap: Cut lamp red squares, 2½ in: 1 cut." in text


def test_what_she_sets_up_is_kept_with_the_quilt(phone: Visitor, sewing: Quilt) -> None:
    phone.post(f"{sewing.at}/setup", {"foot": " quarter-inch  foot ", "needle": "80 <sharp>", "other": "x"})
    text = phone.text(sewing.at)
    assert "Set up Foot quarter-inch foot Needle 80 <sharp>" in text
    assert "<sharp>" not in phone.get(sewing.at).text
    assert "other" not in sewing.stored.about["setup"]
    answer = phone.post(f"{sewing.at}/setup", {"foot": "x" * 81, "needle": "70"})
    assert (answer.status_code, "Foot: that is 81 characters long" in words_of(answer)) == (400, True)
    assert all(f'value="{typed}"' in answer.text for typed in ("x" * 81, "70")), "what was typed is still there"
    assert sewing.stored.about["setup"]["foot"] == "quarter-inch foot"


def test_a_quilt_is_renamed_and_its_plan_stays(phone: Visitor, sewing: Quilt) -> None:
    phone.post(f"{sewing.at}/title", {"title": "Anna's <cushion>"})
    assert "Anna's <cushion>" in phone.text("/")
    assert "<cushion>" not in phone.get(f"{sewing.at}/steps").text
    assert sewing.stored.about["plan"] == sewing.compiled.text


@pytest.mark.parametrize("title", ["", "  ", "x" * 81, "a\x00b"])
@pytest.mark.parametrize("form", ["title", "copy"])
def test_a_name_that_is_none(form: str, title: str, phone: Visitor, store: Store, sewing: Quilt) -> None:
    answer = phone.post(f"{sewing.at}/{form}", {"title": title})
    assert (answer.status_code, "A quilt's name is from 1 to 80 characters" in words_of(answer)) == (400, True)
    assert len(store.quilts()) == 1
    assert sewing.stored.about["title"] == "Lantern cushion"


@pytest.mark.parametrize(("what", "done"), [("plan", 0), ("taps", 3)])
def test_a_quilt_is_copied_once_with_or_without_what_is_done(
    what: str, done: int, phone: Visitor, store: Store, sewing: Quilt
) -> None:
    sewing.tap(RED, 3)
    wanted = re.search(r'name="wanted" value="(\w+)"', phone.get(sewing.at).text)
    assert wanted is not None
    for _ in range(2):
        phone.post(f"{sewing.at}/copy", {"title": "Second", "with": what, "wanted": wanted.group(1)})
    (_, copy) = store.quilts()
    again = Quilt(phone, copy)
    assert again.count(RED).startswith(f"{done} of 4 done")
    again.tap(RED, 1)
    assert sewing.count(RED) == "3 of 4 done, 1 ready"


def test_a_quilt_is_put_away_and_taken_out_again(phone: Visitor, sewing: Quilt) -> None:
    phone.post(f"{sewing.at}/away", {"away": "yes"})
    text = phone.text("/")
    assert "Put away: 1 Lantern cushion Take out again" in text
    assert "Carry on" not in text
    assert phone.get(sewing.at).status_code == 200
    phone.post(f"{sewing.at}/away", {"away": "no"})
    assert "Put away" not in phone.text("/")


def test_a_quilt_is_deleted_and_taken_back_as_it_was(phone: Visitor, store: Store, sewing: Quilt) -> None:
    sewing.tap(RED, 3)
    for _ in range(2):
        assert phone.post(f"{sewing.at}/delete", {}).status_code == 303
    assert "Deleted: 1 Lantern cushion Take back" in phone.text("/")
    assert phone.get(sewing.at).status_code == 404
    for _ in range(2):
        assert phone.post(f"/deleted/{sewing.stored.id}/restore", {}).status_code == 303
    again = Quilt(phone, store.quilt(sewing.stored.id))
    assert again.count(RED) == "3 of 4 done, 1 ready"
    assert "Deleted" not in phone.text("/")


@pytest.mark.parametrize("path", ["pace", "setup", "title", "copy", "away", "delete"])
def test_a_quilt_that_is_not_there(path: str, phone: Visitor, sewing: Quilt) -> None:
    assert phone.post(f"/quilts/zzzzzz/{path}", {"title": "x"}).status_code == 404
    assert phone.post("/deleted/zzzzzz/restore", {}).status_code == 404
    assert phone.get(f"{sewing.at}/{path}").status_code == 405
