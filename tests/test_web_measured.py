"""Measuring the top on its step's screen: the form, the length in every place of that step, notes on others."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from measuring import FERRY_PLAN, measured_steps
from visitors import Quilt, Visitor, add_quilt, words_of
from werkzeug.test import TestResponse

from tracker.progress.measured_top import is_measured
from tracker.store.quilts import Store
from tracker.work.steps import About

PARTIAL = {"HX-Request-Type": "partial"}


@pytest.fixture
def ferry(phone: Visitor, store: Store) -> Quilt:
    """The throw with two borders, not begun."""
    return Quilt(phone, add_quilt(store, FERRY_PLAN))


def measure(quilt: Quilt, pair: int, *lengths: str, tap: str = "", **headers: str) -> TestResponse:
    """Send the form of a pair of strips, from 0, as a browser does."""
    short = measured_steps(quilt)[pair]
    quilt._taps += 1
    data: dict[str, Any] = {"tap": tap or f"measured-{quilt._taps}", "do": "measured", "step": short, "sewn": "yes"}
    data |= {"length": list(lengths), "view": f"step:{short}", "then": f"{quilt.at}/steps/{short}"}
    return quilt.visitor.post(f"{quilt.at}/taps", data, **headers)


def page(quilt: Quilt, pair: int) -> str:
    return quilt.visitor.text(f"{quilt.at}/steps/{measured_steps(quilt)[pair]}")


def page_of(quilt: Quilt, operation: str, number: int = 0) -> str:
    """The page of a step of the whole quilt by its operation, counted from 0."""
    steps = [step for step in quilt.compiled.checklist.steps if step.of_the_quilt]
    step = [step for step in steps if step.operation == operation][number]
    return quilt.visitor.text(f"{quilt.at}/steps/{quilt.compiled.short[step.id]}")


def test_without_a_measuring_the_planned_length_stands_there_with_what_to_measure(ferry: Quilt) -> None:
    text = page(ferry, 0)
    assert "Planned, both strips 48½ inches" in text
    assert "Lay the top flat and measure it from top to bottom in three places." in text
    assert "Near the left edge in Through the middle in Near the right edge in" in text
    assert "With the sides of border 1 sewn on and pressed, lay the top flat and measure it from side" in page(ferry, 1)
    assert "With border 1 sewn on and pressed, lay the top flat and measure it from top to bottom" in page(ferry, 2)
    assert "Near the upper edge in Through the middle in Near the lower edge in" in page(ferry, 1)
    assert "as it was before the sides of border 2: with them on, measure between their seams and add ½ in." in page(
        ferry, 3
    )
    for step in ferry.compiled.checklist.steps:
        if not is_measured(step):
            text = ferry.visitor.text(f"{ferry.at}/steps/{ferry.compiled.short[step.id]}")
            assert "Work out the length" not in text
            assert "what you measured" not in text


def test_what_is_measured_stands_everywhere_on_its_step(ferry: Quilt) -> None:
    answer = measure(ferry, 0, "49", "48 1/2", "48 1/4")
    assert answer.status_code == 303
    (tap,) = ferry.stored.taps
    assert (tap["do"], tap["lengths"]) == ("measured", ["49", "48 1/2", "48 1/4"])
    text = page(ferry, 0)
    assert "Cut both strips 48⅝ inches (planned 48½)" in text
    assert "Square one end of each strip, and cut both 48⅝ in long: they must be alike." in text
    assert "Take back measured 49, 48 1/2 and 48 1/4" in text
    html = ferry.visitor.get(f"{ferry.at}/steps/{measured_steps(ferry)[0]}").text
    assert re.findall(r'name="length" value="([^"]*)"', html) == ["49", "48 1/2", "48 1/4"]
    drawn = re.search(r'<div id="step-drawing".*?</svg>', html, re.DOTALL)
    assert drawn is not None
    assert "48⅝" in drawn.group()
    assert "48½" not in drawn.group()


def test_the_answer_to_a_tap_brings_all_that_changes(ferry: Quilt) -> None:
    part = measure(ferry, 0, "49", "48 1/2", "48 1/4", **PARTIAL)
    news = ferry.visitor.get(f"{ferry.at}/changes?since=0&view=step:{measured_steps(ferry)[0]}")
    for answer in (part, news):
        swapped = re.findall(r'id="([\w-]+)"[^>]* hx-swap-oob="true"', answer.text)
        assert swapped == ["step-size", "step-text", "step-drawing", "measured"]
        assert "Cut both strips 48⅝ inches (planned 48½)" in words_of(answer)
    short = ferry.short("Cut slate")
    other = ferry.visitor.get(f"{ferry.at}/changes?since=0&view=step:{short}")
    assert "hx-swap-oob" not in other.text


@pytest.mark.parametrize(
    ("lengths", "words"),
    [
        ([], "Write from 1 to 5 lengths that the top measures."),
        (["", " ", ""], "Write from 1 to 5 lengths that the top measures."),
        (["48", "about 48", "48"], "Read “about 48” as what the top measures; write a length such as 58 3/8."),
        (["48", "4", ""], "Read “4”, but about 48½ in is planned there, and no top differs so much"),
        (["48"] * 6, "Write from 1 to 5 lengths that the top measures."),
        (["<script>"], "Read “<script>” as what the top measures; write a length such as 58 3/8."),
    ],
)
@pytest.mark.parametrize("headers", [{}, PARTIAL])
def test_a_bad_figure_is_said_and_nothing_is_kept(
    lengths: list[str], words: str, headers: dict[str, str], ferry: Quilt
) -> None:
    answer = measure(ferry, 0, *lengths, **headers)
    assert (answer.status_code, words in words_of(answer)) == (400, True), words_of(answer)
    assert not ferry.stored.taps


def test_only_the_fields_that_were_written_in_are_kept(ferry: Quilt) -> None:
    measure(ferry, 0, "", " 48 ⅜ ", "")
    assert ferry.stored.taps[0]["lengths"] == ["48 ⅜"]
    html = ferry.visitor.get(f"{ferry.at}/steps/{measured_steps(ferry)[0]}").text
    assert re.findall(r'name="length" value="([^"]*)"', html) == ["", "48 ⅜", ""]


def test_nothing_is_measured_for_another_step(ferry: Quilt) -> None:
    data = {"tap": "measured-1", "do": "measured", "step": ferry.short("Cut slate"), "length": "48"}
    answer = ferry.visitor.post(f"{ferry.at}/taps", data)
    assert answer.status_code == 400
    assert "Nothing is measured for this step" in words_of(answer)


def test_a_tap_sent_twice_and_the_same_figures_again_are_one_measuring(ferry: Quilt) -> None:
    for _ in range(2):
        assert measure(ferry, 0, "48 3/8", tap="measured-once").status_code == 303
    assert measure(ferry, 0, "48 3/8", **PARTIAL).status_code == 200
    assert len(ferry.stored.taps) == 1
    measure(ferry, 0, "48 1/4")
    measure(ferry, 0, "48 3/8")
    assert len(ferry.stored.taps) == 3


def test_a_later_measuring_is_shown_and_can_be_taken_back(ferry: Quilt) -> None:
    measure(ferry, 0, "48 3/8", tap="measured-first")
    measure(ferry, 0, "48 1/4", tap="measured-later")
    assert "Cut both strips 48¼ inches" in page(ferry, 0)
    assert "measured 48 1/4" in ferry.visitor.text(f"{ferry.at}/latest")
    assert ferry.do("take back", "measured-later").status_code == 303
    assert "Cut both strips 48⅜ inches" in page(ferry, 0)
    ferry.do("take back", "measured-first")
    assert "Planned, both strips 48½ inches" in page(ferry, 0)


def test_other_steps_say_what_becomes_of_their_sizes(ferry: Quilt) -> None:
    measure(ferry, 0, "48 7/8")
    expected = "By what you measured, this comes out about 52½ × 48⅞ in."
    assert expected in page_of(ferry, "add strip", 0)
    pressed = next(step for step in ferry.compiled.checklist.steps if step.id.startswith("pressed:quilt:top with the"))
    assert expected in ferry.visitor.text(f"{ferry.at}/steps/{ferry.compiled.short[pressed.id]}")
    assert "By what you measured before, expect about 52⅞ in." in page(ferry, 2)
    assert "expect about" not in page(ferry, 1)
    layers = page_of(ferry, "lay out", -1)
    assert "By what you measured, the top is about 59½ × 59⅞ in. Cut the batting about 67½ × 67⅞ in." in layers
    assert "The backing reaches only about 3¾ in beyond it." in layers
    longer = "By what you measured, the side strips of border 1 must be 48⅞ in: cut them longer than planned."
    assert longer in " ".join(
        ferry.visitor.text(f"{ferry.at}/steps/{short}") for short in ferry.compiled.short.values()
    )
    enough = "which is enough."
    assert enough in page_of(ferry, "bind")
    assert enough in ferry.visitor.text(ferry.step_path("Cut slate strips, 40 × 2½"))


def test_strips_that_are_cut_already_are_said_to_be_too_short(ferry: Quilt) -> None:
    measure(ferry, 0, "48 7/8")
    assert "The plan cuts these strips 48½ in, but you need 48⅞ in: cut them longer." in page(ferry, 0)
    maker = ferry.compiled.maker[next(s for s in ferry.compiled.checklist.steps if is_measured(s)).takes[0].pile]
    for step in ferry.compiled.checklist.steps:
        if not step.takes or step.topic.about is About.STRIPS:
            ferry.stored.append({"id": f"done-{step.id}", "do": "done", "step": step.id, "times": step.count})
    assert ferry.progress().counts.times_done(maker)
    assert "The strips were cut 48½ in; you need 48⅞ in: join a piece on, or cut them anew." in page(ferry, 0)


def test_the_steps_kept_for_when_the_computer_is_away_have_the_length_too(ferry: Quilt) -> None:
    short = measured_steps(ferry)[0]

    def ahead() -> tuple[str, str]:
        address = ferry.visitor.get(f"{ferry.at}/counts.json").get_json()["ahead"]
        told = json.loads(ferry.visitor.get(f"{address}&from={short}").text)
        return address, told["screens"][[step["short"] for step in told["steps"]].index(short)]

    before, screen = ahead()
    assert "48½" in screen
    assert ahead() == (before, screen)
    measure(ferry, 0, "49")
    after, screen = ahead()
    assert after != before
    assert re.search(r"<strong>49</strong>", screen)
    back = ferry.visitor.get(f"{ferry.at}/counts.json").get_json()["steps"][short]["back"]
    assert (back["times"], back["words"]) == (0, "measured 49")


def use(quilt: Quilt, text: str) -> str:
    """Edit the plan, and say what was shown before it was used."""
    at = f"{quilt.at}/plan"

    def fields(answer: TestResponse) -> dict[str, str]:
        return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', answer.text))

    seen = quilt.visitor.post(at, fields(quilt.visitor.get(at)) | {"plan": text, "do": "look"})
    used = quilt.visitor.post(at, fields(seen) | {"plan": text, "do": "use"})
    assert used.status_code == 303, words_of(used)
    return words_of(seen)


def test_an_edited_plan_keeps_what_was_measured_or_says_what_it_loses(ferry: Quilt, store: Store) -> None:
    measure(ferry, 0, "48 3/8")
    measure(ferry, 2, "52 1/4")
    seen = use(ferry, FERRY_PLAN.replace('cut = "4"', 'cut = "3 1/2"'))
    lost = seen.partition("No longer fits")[2]
    assert "Cut the side strips of border 2 to the measured length what was measured" in lost
    assert "border 1" not in lost.partition("Kept")[0].partition("New")[0]
    again = Quilt(ferry.visitor, store.quilt(ferry.stored.id))
    assert "Cut both strips 48⅜ inches" in page(again, 0)
    assert "Planned, both strips" in page(again, 2)


def test_a_backup_brings_what_was_measured(
    ferry: Quilt, store: Store, tmp_path_factory: pytest.TempPathFactory
) -> None:
    from tracker.safekeeping.shapes import is_tap

    measure(ferry, 0, "48 3/8", "48½")
    use(ferry, FERRY_PLAN.replace('name = "slate"', 'name = "soot"'))
    taps = [dict(tap) for tap in ferry.stored.taps]
    assert all(is_tap(tap) for tap in taps)
    assert taps[-1]["measured"] == [[taps[0]["step"], ["48 3/8", "48½"]]]
    assert not is_tap(taps[0] | {"lengths": [48]})
    assert not is_tap(taps[-1] | {"measured": [["step", "48"]]})


def test_no_top_is_measured_that_is_not_sewn_yet_unless_she_says_that_it_is(ferry: Quilt) -> None:
    short = measured_steps(ferry)[0]
    assert "By what is tapped, the top is not sewn so far yet." in page(ferry, 0)
    data = {"tap": "measured-too-early", "do": "measured", "step": short, "length": "48"}
    answer = ferry.visitor.post(f"{ferry.at}/taps", data)
    assert answer.status_code == 409
    assert "sew it first, or say that it lies there" in words_of(answer)
    assert ferry.stored.taps == []
    assert ferry.visitor.post(f"{ferry.at}/taps", data | {"sewn": "yes"}).status_code == 303
