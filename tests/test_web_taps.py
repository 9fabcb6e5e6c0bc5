"""Taps: each counted once, kept before it is shown, taken back, settled."""

from __future__ import annotations

import re
import sys
import threading
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from test_web_steps import make_units
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, words_of

from tracker.store.quilts import Store, StoredQuilt, StoreFault

RED = "Cut lamp red squares, 2½ in"
MARK = "Mark pale sand"


def test_a_tap_is_kept_and_shown(sewing: Quilt) -> None:
    answer = sewing.tap(RED, 3, tap_id="abcdefgh", then=sewing.step_path(RED))
    assert (answer.status_code, answer.headers["Location"]) == (303, sewing.step_path(RED))
    (tap,) = sewing.stored.taps
    at = tap.pop("at")
    assert tap == {"id": "abcdefgh", "do": "done", "step": "cut:R:2_1/2x2_1/2", "times": 3}
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00", at)
    assert sewing.count(RED) == "3 of 4 done, 1 ready"


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ({"waited": "0", "device": "a-phone-of-hers"}, {"device": "a-phone-of-hers"}),
        ({"waited": "754"}, {"waited": 754}),
        ({"waited": "-70"}, {"waited": -70}),
        ({"waited": "long", "device": "?"}, {}),
        ({"waited": "9" * 13}, {}),
    ],
)
def test_a_tap_says_how_long_its_device_had_kept_it(sewing: Quilt, said: dict[str, str], kept: dict[str, Any]) -> None:
    form = {"tap": "abcdefgh", "do": "done", "step": sewing.short(RED), "times": "3"} | said
    assert sewing.visitor.post(f"{sewing.at}/taps", form).status_code == 303
    (tap,) = sewing.stored.taps
    assert {key: tap[key] for key in ("waited", "device") if key in tap} == kept
    assert sewing.count(RED) == "3 of 4 done, 1 ready"


def test_the_same_tap_again_counts_once_however_often_it_arrives(sewing: Quilt) -> None:
    for _ in range(3):
        assert sewing.tap(RED, 1, tap_id="the-same-one").status_code == 303
    assert len(sewing.stored.taps) == 1
    assert sewing.count(RED) == "1 of 4 done, 3 ready"


def test_a_script_s_tap_is_answered_with_the_part_that_shows_it(sewing: Quilt) -> None:
    view = f"step:{sewing.short(RED)}"
    answer = sewing.visitor.post(
        f"{sewing.at}/taps",
        {"tap": "12345678", "do": "done", "step": sewing.short(RED), "times": "2", "view": view},
        HX_Request="true",
        HX_Request_Type="partial",
    )
    assert answer.status_code == 200
    assert re.search(rf'id="live" data-version="{sewing.stored.version}"', answer.text)
    assert 'data-done="2" data-count="4" data-ready="2"' in answer.text
    assert "<html" not in answer.text


@pytest.mark.parametrize("view", ["", "step:nonsense", "nothing", "block:99", "blocks:purple"])
def test_a_tap_is_kept_also_where_its_screen_is_there_no_more(view: str, sewing: Quilt) -> None:
    data = {"tap": "12345678", "do": "done", "step": sewing.short(RED), "times": "2", "view": view}
    assert sewing.visitor.post(f"{sewing.at}/taps", data, HX_Request_Type="partial").status_code == 204
    assert len(sewing.stored.taps) == 1


def test_counts_stand_after_a_restart(tmp_path: Path, store: Store, sewing: Quilt, room: Flask) -> None:
    sewing.tap(RED, 3)
    before = sewing.count(RED)
    store.close()
    with Store.open(store.folder) as again:
        from visitors import room_of

        later = Quilt(Visitor(room_of(again)), again.quilt(sewing.stored.id))
        assert later.count(RED) == before


def test_the_last_tap_is_taken_back_and_the_one_before_it(sewing: Quilt) -> None:
    sewing.tap(RED, 1, tap_id="first-tap")
    sewing.tap(RED, 2, tap_id="second-tap")
    assert "Take back 2 cut" in sewing.visitor.text(sewing.step_path(RED))
    assert sewing.do("take back", "second-tap").status_code == 303
    assert sewing.count(RED) == "1 of 4 done, 3 ready"
    assert "Take back 1 cut" in sewing.visitor.text(sewing.step_path(RED))
    sewing.do("take back", "first-tap")
    assert "Nothing to take back" in sewing.visitor.text(sewing.step_path(RED))


def test_what_a_later_step_rests_on_cannot_be_taken_back(sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 2, tap_id="cut-them")
    sewing.tap("Mark pale sand", 2)
    answer = sewing.do("take back", "cut-them")
    assert answer.status_code == 409
    assert "It cannot be taken back while “Mark pale sand squares, 3 in” rests on it" in words_of(answer)
    assert len(sewing.stored.taps) == 2


def two_devices_claim(sewing: Quilt, first: int, second: int) -> None:
    """Of two squares to mark, both devices say that they marked some."""
    sewing.tap("Cut pale sand", 2)
    sewing.tap("Mark pale sand", first, tap_id="from-phone")
    sewing.tap("Mark pale sand", second, tap_id="from-tablet")


def test_what_two_devices_both_claimed_is_asked_once_on_every_screen(sewing: Quilt) -> None:
    two_devices_claim(sewing, 1, 2)
    words = "“Mark pale sand squares, 3 in”: 2 marked was tapped, but only 1 lay ready: how many were really done?"
    for path in ("", "/steps", "/cutting", "/blocks", "/blocks/1", f"/steps/{sewing.short(RED)}"):
        assert words in sewing.visitor.text(f"{sewing.at}{path}"), path
    assert sewing.count("Mark pale sand") == "1 of 2 done, 1 ready"


@pytest.mark.parametrize(("times", "then"), [(0, "1 of 2 done, 1 ready"), (1, "2 of 2 done")])
def test_the_question_is_answered_and_gone(times: int, then: str, sewing: Quilt) -> None:
    two_devices_claim(sewing, 1, 2)
    assert sewing.do("settle", "from-tablet", times=times).status_code == 303
    assert sewing.count("Mark pale sand") == then
    assert "One question" not in sewing.visitor.text(sewing.at)
    answer = sewing.do("settle", "from-tablet", times=times)
    assert (answer.status_code, "That question was answered already." in words_of(answer)) == (409, True)


def test_more_than_fits_is_no_answer_and_the_question_stays(sewing: Quilt) -> None:
    two_devices_claim(sewing, 1, 2)
    assert sewing.do("settle", "from-tablet", times=2).status_code == 409
    assert "One question" in sewing.visitor.text(sewing.at)


def test_a_settled_tap_can_be_taken_back_for_what_it_counts(sewing: Quilt) -> None:
    two_devices_claim(sewing, 1, 2)
    sewing.do("settle", "from-tablet", times=1)
    assert "Take back 1 marked" in sewing.visitor.text(sewing.step_path("Mark pale sand"))
    sewing.do("take back", "from-tablet")
    assert sewing.count("Mark pale sand") == "1 of 2 done, 1 ready"


def test_blocks_that_two_devices_both_claimed(sewing: Quilt) -> None:
    make_units(sewing)
    sewing.tap("Lay out", 1, tap_id="from-phone", offered="1 2")
    sewing.tap("Lay out", 2, tap_id="from-tablet", offered="1 2")
    assert (
        "“Lay out Lantern”: blocks 1 and 2 laid out was tapped, but that can be true of none only. "
        "It is not counted. Right, none" in sewing.visitor.text(sewing.at)
    )
    sewing.do("settle", "from-tablet", times=0)
    assert sewing.count("Lay out") == "1 of 2 done, 1 ready"


def test_a_pass_of_blocks_that_two_devices_both_counted_is_counted_once(sewing: Quilt) -> None:
    """What was sewn is not asked about as if none of it were done."""
    make_units(sewing)
    sewing.tap("Lay out", 2, offered="1 2")
    rows = [sewing.short(title) for title in ("Join row 1", "Join row 2")]
    for device in ("phone", "tablet"):
        data = {"tap": f"from-{device}", "do": "pass", "work": " ".join(f"{row}@1" for row in rows)}
        assert sewing.visitor.post(f"{sewing.at}/taps", data).status_code == 303
    assert "Take back Sew each row of Lantern ›" in sewing.visitor.text(f"{sewing.at}/blocks/1"), "all that goes back"
    text = sewing.visitor.text(sewing.at)
    said = "“Sew each row of Lantern”: block 1: rows sewn was tapped twice, as on two devices. It is counted once."
    assert f"{said} Right, once" in text
    sewing.do("settle", "from-tablet", times=0)
    assert "One question" not in sewing.visitor.text(sewing.at)
    assert sewing.count("Join row 1") == "1 of 2 done, 1 ready"
    # Where it cannot be true, nothing is left to choose.
    data = {"tap": "too-early", "do": "pass", "work": f"{sewing.short('Press the rows')}@2 {rows[0]}@2"}
    sewing.visitor.post(f"{sewing.at}/taps", data)
    text = sewing.visitor.text(sewing.at)
    assert "nothing lay ready for the first of them. It is not counted. Right, none" in text


def test_a_stage_that_its_pieces_do_not_bear_out_is_asked_about_too(sewing: Quilt) -> None:
    lay_out = next(step.id for step in sewing.compiled.checklist.steps if step.operation == "lay out")
    stage = {"do": "stage", "block": 1, "step": lay_out, "steps": [[lay_out, 1]]}
    sewing.stored.append(stage | {"id": "too-early"})
    asked = "Block 1 was said to have come as far as “Lay out Lantern”, but its pieces do not lie ready. Is it so?"
    assert f"{asked} None" in sewing.visitor.text(sewing.at)
    make_units(sewing)
    assert "1, all that fit" in sewing.visitor.text(sewing.at)
    assert sewing.do("settle", "too-early", times=1).status_code == 303
    for path in (sewing.step_path("Lay out"), f"{sewing.at}/blocks/1"):
        assert "Take back block 1 as far as “Lay out Lantern”" in sewing.visitor.text(path)


def test_what_was_put_back_can_be_done_again_or_taken_back(sewing: Quilt) -> None:
    for title in ("Cut pale sand", "Cut lamp red squares, 3 in", MARK, "Pair"):
        sewing.tap(title, 2)
    pair = next(step.id for step in sewing.compiled.checklist.steps if step.operation == "pair")
    sewing.stored.append({"id": "unpaired", "do": "put back", "step": pair, "times": 1})
    assert sewing.count("Pair") == "1 of 2 done, 1 ready"
    assert "Take back 1 put back" in sewing.visitor.text(sewing.step_path("Pair"))
    sewing.do("take back", "unpaired")
    assert sewing.count("Pair") == "2 of 2 done"


@pytest.mark.parametrize(
    ("kind", "status", "words"),
    [
        ("full", 507, "is full, so this was not saved; make some room and try again."),
        ("gone", 503, "is no longer there, so this was not saved"),
        ("closed", 503, "has been closed, so this was not saved."),
    ],
)
def test_what_cannot_be_kept_is_not_shown_as_kept(
    kind: str, status: int, words: str, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    sewing.tap(RED, 1)

    def fail(self: StoredQuilt, tap: dict[str, Any]) -> bool:
        raise StoreFault(kind, folder="the sewing folder")

    with monkeypatch.context() as patched:
        patched.setattr(StoredQuilt, "append", fail)
        answer = sewing.tap(RED, 2, tap_id="lost-or-not")
        assert (answer.status_code, words in words_of(answer)) == (status, True)
        assert sewing.count(RED) == "1 of 4 done, 3 ready"
    assert sewing.tap(RED, 2, tap_id="lost-or-not").status_code == 303
    assert sewing.count(RED) == "3 of 4 done, 1 ready"


BAD_TAPS: list[tuple[dict[str, str], int, str]] = [
    ({}, 400, "no name of its own"),
    ({"tap": "short"}, 400, "no name of its own"),
    ({"tap": "x" * 65}, 400, "no name of its own"),
    ({"tap": "../../etc/passwd"}, 400, "no name of its own"),
    ({"tap": "12345678"}, 400, "does not say what was done"),
    ({"tap": "12345678", "do": "undo"}, 400, "does not say what was done"),
    ({"tap": "12345678", "do": "done"}, 404, "There is no such step in this quilt"),
    ({"tap": "12345678", "do": "done", "step": "cut:R:3x3"}, 404, "There is no such step"),
    *[
        ({"tap": "12345678", "do": "done", "step": "POOL", "times": times}, 400, f"“{times[:20]}” is no count")
        for times in ("", "0", "-1", "1.5", "1e3", "many", "٣", "9" * 30, "0x10", "1_0", "½")
    ],
    ({"tap": "12345678", "do": "done", "step": "POOL", "times": "chain", "chain": "0"}, 400, "is no count"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "blocks": "x"}, 400, "names no blocks"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "blocks": "1,2"}, 400, "names no blocks"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "blocks": ""}, 400, "no such block"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "blocks": "3"}, 400, "no such block"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "blocks": "1 1"}, 400, "no such block"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "times": "1", "offered": ""}, 409, "Only 0 can be done"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "times": "3", "offered": "1 2"}, 409, "Only 2 can be done"),
    ({"tap": "12345678", "do": "done", "step": "BLOCK", "times": "1"}, 409, "Only 0 can be done"),
    ({"tap": "12345678", "do": "take back", "what": "nothing"}, 400, "could not be read"),
    ({"tap": "12345678", "do": "settle", "what": "nothing", "times": "1"}, 409, "answered already"),
    ({"tap": "12345678", "do": "settle", "what": "nothing", "times": "-1"}, 400, "is no count"),
]


@pytest.mark.parametrize(("form", "status", "words"), BAD_TAPS)
def test_a_tap_that_makes_no_sense_is_refused_and_not_kept(
    form: dict[str, str], status: int, words: str, sewing: Quilt
) -> None:
    names = {"POOL": sewing.short(RED), "BLOCK": sewing.short("Lay out")}
    data = {key: names.get(value, value) for key, value in form.items()}
    for headers in ({}, {"HX-Request-Type": "partial"}):
        answer = sewing.visitor.post(f"{sewing.at}/taps", data, **headers)
        assert (answer.status_code, words in words_of(answer)) == (status, True), words_of(answer)
        assert ("<html" in answer.text) == (not headers)
    assert not sewing.stored.taps


@pytest.mark.parametrize(
    "then",
    ["https://evil.example/", "//evil.example", "/quilts/other/steps", "javascript:alert(1)", "/\\evil", "\r\nX: y"],
)
def test_a_tap_leads_back_into_its_own_quilt_only(then: str, sewing: Quilt) -> None:
    assert sewing.tap(RED, 1, then=then).headers["Location"] == sewing.at


def test_a_tap_with_a_huge_body_is_refused(sewing: Quilt) -> None:
    answer = sewing.tap(RED, 1, view="x" * 70_000)
    assert (answer.status_code, "too large" in words_of(answer)) == (413, True)
    assert not sewing.stored.taps


# News for every open screen


def test_where_nothing_is_new_the_answer_is_empty(sewing: Quilt) -> None:
    version = sewing.stored.version
    view = f"step:{sewing.short(RED)}"
    assert sewing.visitor.get(f"{sewing.at}/changes?since={version}&view={view}").status_code == 204
    sewing.tap(RED, 1)
    news = sewing.visitor.get(f"{sewing.at}/changes?since={version}&view={view}")
    assert 'data-done="1"' in news.text
    assert f'data-version="{sewing.stored.version}"' in news.text
    assert sewing.stored.version > version


@pytest.mark.parametrize("view", ["list", "cutting", "blocks:", "blocks:laid-out", "block:2", "quilt"])
def test_every_screen_has_news_in_the_form_the_page_has_it(view: str, sewing: Quilt) -> None:
    kind, _, rest = view.partition(":")
    paths = {
        "list": "/steps", "cutting": "/cutting", "blocks": f"/blocks?stage={rest}", "block": f"/blocks/{rest}",
        "quilt": "",
    }  # fmt: skip
    news = sewing.visitor.get(f"{sewing.at}/changes?since=0&view={view}").text
    page = sewing.visitor.get(f"{sewing.at}{paths[kind]}").text
    hidden = re.compile(r'name="tap" value="\w+"')
    assert hidden.sub("", news.strip()) in hidden.sub("", page)


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("", 400), ("since=", 400), ("since=-1", 400), ("since=x", 400), ("since=" + "9" * 40, 400),
        ("since=0", 404), ("since=0&view=nothing", 404), ("since=0&view=step:zzz", 404), ("since=0&view=block:9", 404),
        ("since=99999999999&view=list", 200),
    ],
)  # fmt: skip
def test_news_asked_for_badly(query: str, status: int, sewing: Quilt) -> None:
    assert sewing.visitor.get(f"{sewing.at}/changes?{query}").status_code == status


# Many at once, and many before


def test_taps_of_several_threads_are_each_counted_once(room: Flask, store: Store) -> None:
    quilt = add_quilt(store, SMALL_PLAN.replace("down = 1", "down = 20"))
    sewing = Quilt(Visitor(room), quilt)
    step = sewing.short(RED)

    def tap_away(name: str) -> None:
        visitor = Visitor(room)
        for number in range(20):
            data = {"tap": f"{name}-{number:08}", "do": "done", "step": step, "times": "1"}
            assert visitor.post(f"{sewing.at}/taps", data).status_code == 303
            assert visitor.post(f"{sewing.at}/taps", data).status_code == 303

    threads = [threading.Thread(target=tap_away, args=(name,)) for name in ("one", "two", "three", "four")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(quilt.taps) == 80
    assert sewing.count(RED) == "80 of 80 done"


def test_a_tap_costs_the_same_after_twenty_thousand_others(room: Flask, store: Store) -> None:
    step = "cut:R:2_1/2x2_1/2"
    one, none = ({"do": "counted", "step": step, "times": times, "by": by} for times, by in ((1, 1), (0, -1)))
    earlier = ({"id": f"earlier-{n:08}", **(none if n % 2 else one)} for n in range(19_999))
    few = Quilt(Visitor(room), add_quilt(store))
    many = Quilt(Visitor(room), store.add(few.stored.about, earlier))

    def work_for_a_tap(sewing: Quilt) -> int:
        """Calls of Python functions while a tap is answered, which is the same on a busy machine."""
        view, calls = f"step:{sewing.short(RED)}", 0

        def count(_frame: object, event: str, _argument: object) -> None:
            nonlocal calls
            calls += event == "call"

        for number in range(3):
            data = {"tap": f"worked-{number:08}", "do": "done", "step": sewing.short(RED), "times": "1", "view": view}
            calls = 0
            sys.setprofile(count)
            try:
                answer = sewing.visitor.post(f"{sewing.at}/taps", data, HX_Request_Type="partial")
            finally:
                sys.setprofile(None)
            assert answer.status_code == 200
        return calls

    assert many.count(RED).startswith("1 of 4 done")
    assert work_for_a_tap(many) < 1.1 * work_for_a_tap(few)


def test_a_row_is_joined_and_not_its_block(sewing: Quilt) -> None:
    for title, times in (("Cut lamp red squares, 3", 2), ("Cut lamp red squares, 2½", 4), ("Cut pale", 2)):
        sewing.tap(title, times)
    for title, times in (("Mark", 2), ("Pair", 2), ("Sew", 2), ("Cut apart", 2), ("Press half", 4), ("Trim", 4)):
        sewing.tap(title, times)
    sewing.tap("Lay out", 1, blocks="1")
    sewing.tap("Join row 1", 1, blocks="1")
    assert "block 1: row 1 joined" in sewing.visitor.text(f"{sewing.at}/latest")


def test_an_older_tap_is_taken_back_alone_where_nothing_rests_on_it(sewing: Quilt) -> None:
    sewing.tap(RED, 3, tap_id="too-many-red")
    sewing.tap("Cut pale sand squares, 3 in", 2, tap_id="sand-is-right")
    alone = (
        r'name="do" value="take back"><input type="hidden" name="what" value="([^"]*)">\s*<button[^>]*>Take back<small>'
    )
    assert re.findall(alone, sewing.visitor.get(f"{sewing.at}/latest").text) == ["too-many-red"]
    sewing.visitor.post(f"{sewing.at}/taps", {"tap": "taken-back-1", "do": "take back", "what": "too-many-red"})
    assert sewing.count(RED) == "0 of 4 done, 4 ready"
    assert sewing.count("Cut pale sand squares, 3 in").startswith("2 of 2")


def test_what_something_rests_on_is_not_offered_alone(sewing: Quilt) -> None:
    sewing.tap("Cut pale sand squares, 3 in", 2, tap_id="sand-is-cut")
    sewing.tap(MARK, 2, tap_id="sand-is-marked")
    page = sewing.visitor.text(f"{sewing.at}/latest")
    assert "this alone" not in page
    assert "this and 1 newer" in page
