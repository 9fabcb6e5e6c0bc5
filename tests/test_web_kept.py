"""Every answer to a tap names it and says what became of it; what was seen is sent along, and nothing else undone."""

from __future__ import annotations

import json
import re

import pytest
from flask import Flask
from visitors import COOKIE, Quilt, Visitor, add_quilt
from werkzeug.test import TestResponse

from tracker.store.quilts import Store

RED = "Cut lamp red squares, 2½ in"
ROOM = COOKIE.removeprefix("sewing-room-")
NAME = "tap-of-the-phone"


def sent(sewing: Quilt, do: str, *, room: str = ROOM, tap: str = NAME, at: str = "", **fields: str) -> TestResponse:
    """Send a tap as the pages' script does."""
    data = {"tap": tap, "do": do, "step": sewing.short(RED)} | fields
    headers = {"HX_Request_Type": "partial", "Sewing_Room_Tap": tap, "Sewing_Room": room}
    return sewing.visitor.post(at or f"{sewing.at}/taps", data, **headers)


def became(answer: TestResponse) -> str:
    """What an answer says became of the tap; empty where it names none."""
    said = answer.headers.get("Sewing-Room-Tap", "")
    assert said == "" or said.endswith(f" {NAME}")
    return said.partition(" ")[0]


TAPS: list[tuple[str, dict[str, str], int, str]] = [
    ("done", {"times": "1"}, 200, "kept"),
    ("done", {"times": "1", "view": "nothing"}, 200, "kept"),
    ("done", {"times": "1", "step": "deadbeef"}, 404, "unplaced"),
    ("done", {"times": "many"}, 400, "refused"),
    ("counted", {"times": "0"}, 409, "refused"),
    ("counted", {"times": "3", "seen": "0"}, 200, "kept"),
    ("counted", {"times": "3", "seen": "2"}, 409, "unplaced"),
    ("take back", {"what": "never-tapped"}, 400, "unplaced"),
    ("take back to", {"what": "never-tapped", "seen": "[]"}, 400, "unplaced"),
    ("take back to", {"what": "never-tapped", "seen": "{"}, 400, "unplaced"),
    ("settle", {"what": "never-tapped", "times": "1"}, 409, "refused"),
    ("spoiled", {"pile": "cut:R:2_1/2x2_1/2", "times": "1"}, 409, "unplaced"),
    ("note", {"text": "x" * 70_000}, 413, "unplaced"),
    ("undo", {}, 400, "unplaced"),
]


@pytest.mark.parametrize(("do", "fields", "status", "said"), TAPS)
def test_an_answer_names_the_tap_and_what_became_of_it(
    do: str, fields: dict[str, str], status: int, said: str, sewing: Quilt
) -> None:
    answer = sent(sewing, do, **{"view": f"step:{sewing.short(RED)}"} | fields)
    assert (answer.status_code if answer.status_code != 204 else 200, became(answer)) == (status, said)
    assert answer.headers["Sewing-Room"] == ROOM
    assert sewing.stored.has(NAME) == (said == "kept")


def test_a_quilt_that_is_not_here_or_another_room_is_said_and_changes_nothing(sewing: Quilt, store: Store) -> None:
    answers = [
        sent(sewing, "done", times="1", room="others"),
        sent(sewing, "done", times="1", at="/quilts/zzzzzz/taps"),
    ]
    assert [(answer.status_code, became(answer)) for answer in answers] == [(409, "gone"), (404, "gone")]
    assert not sewing.stored.taps
    store.delete(sewing.stored.id)
    assert became(sent(sewing, "done", times="1")) == "gone"
    store.restore_deleted(sewing.stored.id)
    assert became(sent(sewing, "done", times="1")) == "kept"


def test_what_is_no_answer_to_a_tap_names_none(room: Flask, sewing: Quilt) -> None:
    stranger = Visitor(room, paired=False)
    sewing.visitor, paired = stranger, sewing.visitor
    answer = sent(sewing, "done", times="1")
    assert (answer.status_code, became(answer), answer.headers["Sewing-Room"]) == (403, "", ROOM)
    sewing.visitor = paired
    assert "Sewing-Room-Tap" not in paired.get(f"{sewing.at}/steps", Sewing_Room_Tap=NAME).headers
    assert "Sewing-Room-Tap" not in sent(sewing, "done", times="1", tap="no\\good").headers


def test_a_tap_that_is_kept_already_is_kept_whatever_became_of_its_step(sewing: Quilt) -> None:
    assert became(sent(sewing, "done", times="1")) == "kept"
    assert became(sent(sewing, "done", times="1", step="deadbeef")) == "kept"
    assert len(sewing.stored.taps) == 1


def test_a_tap_whose_screen_fails_is_kept_and_the_log_tells_it(
    sewing: Quilt, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*given: object) -> str:
        raise RuntimeError("no such drawing")

    monkeypatch.setattr("tracker.web.taps.rendered", broken)
    answer = sent(sewing, "done", times="1")
    assert (answer.status_code, became(answer)) == (204, "kept")
    assert "could not be drawn" in caplog.text
    assert "no such drawing" in caplog.text


# What was seen


def test_a_number_is_asked_about_where_counting_has_gone_on_and_set_where_she_says_so(sewing: Quilt) -> None:
    page = sewing.visitor.get(f"{sewing.step_path(RED)}/mend").text
    assert '<input type="hidden" name="seen" value="0">' in page
    sewing.tap(RED, 3)
    answer = sent(sewing, "counted", times="1", seen="0")
    assert answer.headers["Sewing-Room-Seen"] == "3"
    assert "you counted 1 where 0 stood, but 3 stand now; send it again to set 1 all the same" in answer.text
    plain = sewing.visitor.post(f"{sewing.at}/taps", {
        "tap": "without-script", "do": "counted", "step": sewing.short(RED), "times": "1", "seen": "0",
    })  # fmt: skip
    assert "but 3 stand now; go back, count once more, and set it." in plain.text
    assert sewing.count(RED) == "3 of 4 done, 1 ready"
    assert became(sent(sewing, "counted", times="1", seen="3")) == "kept"
    assert sewing.count(RED) == "1 of 4 done, 3 ready"


def seen_with(sewing: Quilt, row: int) -> dict[str, str]:
    """What the form of a row among the last taps sends."""
    form = sewing.visitor.get(f"{sewing.at}/latest").text.split('value="take back to">')[row]
    found = dict(re.findall(r'name="(seen|what)" value="([^"]*)"', form.partition("</form>")[0]))
    return {key: text.replace("&#34;", '"') for key, text in found.items()}


def test_only_the_taps_that_were_seen_are_taken_back(sewing: Quilt) -> None:
    for number in range(3):
        sewing.tap(RED, 1, tap_id=f"tap-number-{number}")
    form = seen_with(sewing, 2)
    assert json.loads(form["seen"]) == ["tap-number-2", "tap-number-1"]
    sewing.tap(RED, 1, tap_id="tapped-elsewhere")
    assert became(sent(sewing, "take back to", **form)) == "kept"
    assert sewing.count(RED) == "2 of 4 done, 2 ready"
    assert sent(sewing, "take back to", **form).status_code in (200, 204)  # the same form once more
    assert sewing.count(RED) == "2 of 4 done, 2 ready"


def test_taps_are_taken_back_all_or_none(sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 2, tap_id="cut-two-pieces")
    sewing.tap(RED, 1, tap_id="cut-another")
    form = seen_with(sewing, 2)
    sewing.tap("Mark pale sand", 2, tap_id="marked-elsewhere")
    before = len(sewing.stored.taps)
    answer = sent(sewing, "take back to", **form)
    assert (answer.status_code, became(answer)) == (409, "refused")
    assert "rests on it" in answer.text
    assert len(sewing.stored.taps) == before
    assert sewing.count(RED) == "1 of 4 done, 3 ready"


# A folder opened anew


def test_under_another_opening_everything_is_news(sewing: Quilt, store: Store) -> None:
    at = f"{sewing.at}/changes?since={sewing.stored.version}&view=list"
    assert sewing.visitor.get(f"{at}&opening={store.opening}").status_code == 204
    news = sewing.visitor.get(f"{at}&opening=another")
    assert news.status_code == 200
    assert f'data-opening="{store.opening}"' in news.text
    assert sewing.visitor.get(f"{sewing.at}/counts.json").json["opening"] == store.opening  # type: ignore[index]


def test_each_opening_has_a_mark_of_its_own(store: Store) -> None:
    add_quilt(store)
    store.close()
    with Store.open(store.folder) as again:
        assert again.opening != store.opening
