"""What can be done now at each station; how she works."""

from __future__ import annotations

import re

import pytest
from test_web_steps import make_units
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt

from tracker.progress.batches import Pace, in_work, now_at
from tracker.store.quilts import Store
from tracker.web.screens.now import rough_time

RED = "Cut lamp red squares, 2½ in"


def works(visitor: Visitor, sewing: Quilt, station: str) -> list[str]:
    """What can be done at a station: how many times what."""
    page = visitor.get(f"{sewing.at}/now?at={station}").get_data(as_text=True).replace("\xa0", " ")
    found = re.findall(r'class="times">(\d+) ×</span>\s*<span class="what">([^<]*)<', page)
    return [f"{times} {title}" for times, title in found]


def test_the_sample_is_asked_for_first_and_one_tap_leads_to_each_station(phone: Visitor, sewing: Quilt) -> None:
    text = phone.text(f"{sewing.at}/now")
    assert "Sample first: block 1" in text
    assert "Cutting table 2 to do Machine 0 to do Iron 0 to do Layout wall 0 to do" in text
    assert works(phone, sewing, "table") == [
        "3 Cut lamp red, 2 sizes",
        "1 Cut pale sand squares, 3 in",
    ]
    assert "2 lie ready in all" in text
    assert "Nothing can be done here now." in phone.text(f"{sewing.at}/now?at=iron")
    assert "Go to Cutting table: 2 to do" in phone.text(f"{sewing.at}/now?at=iron")


def test_the_sample_is_measured_before_anything_more_is_cut(phone: Visitor, sewing: Quilt) -> None:
    progress = sewing.progress()
    while not (title := sewing.compiled.titles[now_at(progress.counts, Pace())[0].step.id]).startswith("Measure"):
        assert in_work(progress.counts, Pace()) == [1]
        sewing.tap(title, now_at(progress.counts, Pace())[0].now)
        progress = sewing.progress()
    assert title == "Measure Lantern"
    text = phone.text(sewing.step_path(title))
    assert "through the middle: 4½ in square. If it is short, cut nothing more: press it again" in text
    assert "If it is short: Test your seam" in text
    sewing.tap(title, 1)
    assert now_at(sewing.progress().counts, Pace())[0].step.operation == "square"


def test_what_waits_says_for_what(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 1)
    sewing.tap("Cut lamp red squares, 3 in", 1)
    assert "needs 1 more marked: pale sand square, 3 in" in phone.text(f"{sewing.at}/now?at=machine")
    assert "needs 2 more trimmed: half-square triangles" in phone.text(f"{sewing.at}/now?at=wall")


def test_what_was_begun_stands_first(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 1)
    sewing.tap("Mark pale sand", 1)
    assert works(phone, sewing, "table") == ["3 Cut lamp red, 2 sizes"]
    sewing.tap(RED, 1)
    assert works(phone, sewing, "table") == ["2 Cut lamp red, 2 sizes"]
    sewing.tap("Cut lamp red squares, 3 in", 1)
    assert works(phone, sewing, "machine") == ["1 Pair and sew half-square triangles, lamp red / pale sand"]


def test_the_station_last_looked_at_on_this_device_comes_again(phone: Visitor, sewing: Quilt) -> None:
    phone.get(f"{sewing.at}/now?at=iron")
    assert "Iron: " in phone.text(f"{sewing.at}/now") or "Nothing can be done here" in phone.text(f"{sewing.at}/now")
    assert 'href="/quilts/' in phone.get(f"{sewing.at}/now").text
    assert re.search(r'now\?at=iron" aria-current="true"', phone.get(f"{sewing.at}/now").text)


def test_without_a_choice_the_best_station_is_shown(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 2)
    sewing.tap("Cut lamp red squares, 3 in", 2)
    sewing.tap("Mark pale sand", 2)
    sewing.tap("Pair", 2)
    assert re.search(r'now\?at=machine" aria-current="true"', phone.get(f"{sewing.at}/now").text)


@pytest.mark.parametrize("station", ["kitchen", "TABLE", "", "table;"])
def test_a_station_that_is_not_there(station: str, phone: Visitor, sewing: Quilt) -> None:
    answer = phone.get(f"{sewing.at}/now?at={station}")
    assert answer.status_code == 404
    assert "There is no such station" in answer.text
    assert phone.get(f"{sewing.at}/changes?since=99&view=now:kitchen").status_code == 404


def test_of_the_blocks_in_work_those_that_are_finished_are_not_named(phone: Visitor, store: Store) -> None:
    sewing = Quilt(phone, add_quilt(store, SMALL_PLAN.replace("across = 2", "across = 5")))
    phone.post(f"{sewing.at}/pace", {"batch": "4"})
    (last,) = sewing.progress().counts.last_steps().values()
    short = sewing.compiled.short[last.id]
    make_units(sewing)
    for block in (1, 3):
        phone.post(f"{sewing.at}/taps", {"tap": f"stage-of-{block}", "do": "stage", "block": block, "step": short})
    assert [sewing.progress().counts.is_finished(block) for block in (1, 2, 3)] == [True, False, True]
    assert "Now blocks 2 and 4 of 5" in phone.text(f"{sewing.at}/now")


def test_how_she_works_is_changed_midway_and_keeps_all(phone: Visitor, store: Store) -> None:
    sewing = Quilt(phone, add_quilt(store, SMALL_PLAN.replace("across = 2", "across = 5")))
    sewing.tap(RED, 3)
    before = sewing.progress().counts.done
    answer = phone.post(f"{sewing.at}/pace", {"batch": "2"})
    assert (answer.status_code, answer.headers["Location"]) == (303, sewing.at)
    assert "Now blocks 1 and 2 of 5" in phone.text(f"{sewing.at}/now")
    assert "3 Cut lamp red, 2 sizes" in works(phone, sewing, "table")
    assert 'name="batch" min="1" max="10000" value="2"' in phone.get(sewing.at).text
    phone.post(f"{sewing.at}/pace", {"sample": "yes", "batch": ""})
    assert "Sample first: block 1" in phone.text(f"{sewing.at}/now")
    phone.post(f"{sewing.at}/pace", {"batch": ""})
    assert "All 5 blocks together" in phone.text(f"{sewing.at}/now")
    assert sewing.progress().counts.done == before


@pytest.mark.parametrize("batch", ["0", "-1", "1.5", "x", "99999999", "٣"])
def test_a_batch_that_is_no_number_of_blocks(batch: str, phone: Visitor, sewing: Quilt) -> None:
    answer = phone.post(f"{sewing.at}/pace", {"batch": batch})
    assert answer.status_code == 400
    assert "is no number of blocks" in answer.text
    assert f'name="batch" min="1" max="10000" value="{batch}" autofocus aria-invalid="true"' in answer.text
    assert "pace" not in sewing.stored.about


def test_a_step_says_how_many_of_it_the_sample_needs_and_then_leads_on(phone: Visitor, sewing: Quilt) -> None:
    page = phone.get(sewing.step_path(RED)).text
    assert re.search(r'id="chain"[^>]* value="2"', page)
    assert "1 of 3, 2 of 2½ 0 of 4 done, 4 ready Sample first: block 1 " in phone.text(sewing.step_path(RED))
    sewing.tap(RED, 2)
    text = phone.text(sewing.step_path(RED))
    assert "2 of 4 done, 2 ready" in text
    assert text.endswith("more 1 cut")  # of the other size, in the same pass
    sewing.tap("Cut lamp red squares, 3 in", 1)
    assert "Carry on Cut pale sand squares, 3 in" in phone.text(sewing.step_path(RED))


def test_the_finished_quilt_has_nothing_to_do(phone: Visitor, sewing: Quilt) -> None:
    make_units(sewing)
    for step in sewing.compiled.checklist.steps:
        data = {"do": "done", "step": sewing.compiled.short[step.id], "tap": f"step-{sewing.compiled.short[step.id]}"}
        if step.per != "quilt":
            phone.post(f"{sewing.at}/taps", data | {"blocks": " ".join(map(str, step.blocks or (1, 2)))})
        elif step.of_the_quilt:
            phone.post(f"{sewing.at}/taps", data | {"times": step.count})
    assert "✓ All steps are done." in phone.text(f"{sewing.at}/now?at=wall")


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "a minute"), (60, "a minute"), (61, "about 2 min"), (700, "about 15 min"), (3600, "about 60 min"),
     (5400, "about 1½ h"), (7300, "about 2½ h"), (36000, "about 10 h")],
)  # fmt: skip
def test_rough_times(seconds: int, words: str) -> None:
    assert rough_time(seconds) == words
