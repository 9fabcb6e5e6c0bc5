"""Two devices that did the same work apart: asked about as one, answered and taken back as one, or one by one."""

from __future__ import annotations

from pathlib import Path

import pytest
from effort import tries
from house import House, go, saved
from hypothesis import given, settings
from hypothesis import strategies as st
from planning import replayed
from playwright.sync_api import Page, expect
from test_progress import Room
from visitors import Quilt, Visitor, add_quilt, words_of

from tracker.progress.edited_plan import asked_again
from tracker.progress.ledger import Progress, Refused
from tracker.store.quilts import Store
from tracker.units.times_needed import times_needed

PLANS = Path(__file__).parent / "plans" / "valid"
MARK = "Mark pale sand"


def doubled(pieces: int = 4, again: int = 4) -> tuple[Room, list[str]]:
    """So many squares cut, marked one by one, and marked `again` by another device: what that device tapped."""
    room = Room(blocks=12)  # of whose squares there are more to cut
    room.tap("done", step="cut:S:3x3", times=pieces)
    mark = room.step("mark:S")
    for _ in range(pieces):
        room.tap("done", step=mark, times=1)
    return room, [room.tap("done", step=mark, times=1) for _ in range(again)]


def open_taps(room: Room) -> list[str]:
    return [tap.id for tap in room.progress.unsettled()]


def again(room: Room) -> Progress:
    """The counts as a fresh start finds them."""
    return replayed(room.plan, room.checklist, room.taps)


def test_all_are_answered_by_one_tap_and_asked_again_when_that_is_taken_back() -> None:
    room, twice = doubled()
    before = room.state()
    assert open_taps(room) == twice
    answer = room.tap("settle all", what=twice, times=[0] * 4)
    assert (open_taps(room), room.state()) == ([], before)
    assert [kept.tap.id for kept in room.progress.latest(1)] == [answer]
    room.tap("take back", what=answer)
    assert (open_taps(room), room.state()) == (twice, before)
    assert "taken back already" in room.said("take back", what=answer)
    assert again(room).unsettled() == room.progress.unsettled()


def test_what_fits_is_counted_and_taken_back_with_the_answer() -> None:
    room, twice = doubled()
    room.tap("done", step="cut:S:3x3", times=2)
    before = room.state()
    answer = room.tap("settle all", what=twice, times=[1, 1, 0, 0])
    assert room.progress.counts.times_done(room.progress.counts.steps[room.step("mark:S")]) == 6
    room.tap("take back", what=answer)
    assert (open_taps(room), room.state()) == (twice, before)


def test_an_answer_on_which_something_rests_or_of_which_nothing_is_left_cannot_be_taken_back() -> None:
    room, twice = doubled(again=2)
    room.tap("done", step="cut:S:3x3", times=2)
    room.tap("settle all", what=twice, times=[1, 1])
    (answer,) = room.progress.latest(1)
    assert room.progress.can_be_taken_back(answer)
    room.tap("done", step="cut:R:3x3", times=6)
    paired = room.tap("done", step=room.step("paired:"), times=6)
    assert not room.progress.can_be_taken_back(answer)
    room.tap("take back", what=paired)
    assert room.progress.can_be_taken_back(answer)
    for tap in twice:
        room.tap("take back", what=tap)
    assert not room.progress.can_be_taken_back(answer)


def test_what_cannot_be_paid_for_leaves_all_as_it_was() -> None:
    room, twice = doubled()
    room.tap("done", step="cut:S:3x3", times=2)
    before = room.state()
    with pytest.raises(Refused):
        room.tap("settle all", what=twice, times=[1, 1, 1, 0])
    assert (open_taps(room), room.state()) == (twice, before)


@pytest.mark.parametrize("times", [[0, 0, 0], [0, 0, 0, -1], [0, 0, 0, "1"], [0, 0, 0, True], 0, None])
def test_an_answer_that_is_none_leaves_all_as_it_was(times: object) -> None:
    room, twice = doubled()
    with pytest.raises(Refused):
        room.tap("settle all", what=twice, times=times)
    assert open_taps(room) == twice


def test_what_was_answered_or_taken_back_by_itself_stays_so() -> None:
    room, twice = doubled()
    room.tap("settle", what=twice[1], times=0)
    answer = room.tap("settle all", what=twice, times=[0] * 4)
    assert open_taps(room) == []
    assert "answered already" in room.said("settle all", what=twice, times=[0] * 4)
    room.tap("take back", what=answer)
    assert open_taps(room) == [twice[0], *twice[2:]]


@settings(max_examples=tries(40))
@given(st.lists(st.integers(0, 1), min_size=1, max_size=6), st.integers(0, 6))
def test_an_answer_counts_as_its_parts_do_and_leaves_nothing_when_taken_back(times: list[int], more: int) -> None:
    rooms = [doubled(4, len(times)) for _ in range(2)]
    for room, _ in rooms:
        if more:
            room.tap("done", step="cut:S:3x3", times=more)
    (together, twice), (apart, _) = rooms
    before = together.state()
    if sum(times) > more:
        with pytest.raises(Refused):
            together.tap("settle all", what=twice, times=times)
        assert together.state() == before
        return
    answer = together.tap("settle all", what=twice, times=times)
    for each, often in zip(twice, times, strict=True):
        apart.tap("settle", what=each, times=often)
    assert (together.state(), open_taps(together)) == (apart.state(), open_taps(apart))
    assert again(together).counts.done == together.progress.counts.done
    together.tap("take back", what=answer)
    assert (together.state(), open_taps(together)) == (before, twice)


@given(st.lists(st.sampled_from(["cut:S:3x3", "mark:S", "cut:R:3x3", "paired:"]), min_size=1, max_size=8), st.data())
def test_what_is_asked_again_by_other_rules_counts_nothing_by_itself(steps: list[str], data: st.DataObject) -> None:
    """Taps that wait, where more lies ready than before: each is asked about again, or told as asked no more."""
    before, now = Room(blocks=12), Room(blocks=12)
    for step in steps:
        before.tap("done", step=before.step(step), times=data.draw(st.integers(1, 30)))
    for cloth in "SR":
        if cut := data.draw(st.integers(0, 12)):
            now.tap("done", step=f"cut:{cloth}:3x3", times=cut)
    asked, no_more = asked_again(before.progress, now.progress)
    assert len(asked) + len(no_more) == len(open_taps(before))
    stood = now.state()
    for tap in asked:
        now.progress.record(tap)
    assert now.state() == stood
    assert open_taps(now) == [tap.id for tap in asked]


def test_without_script_it_is_asked_and_answered_the_same(sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 2)
    for number in range(4):
        sewing.tap(MARK, 1, tap_id=f"marked-{number}")
    page = sewing.visitor.get(sewing.step_path(MARK))
    assert "One question. 2 taps do not fit what lay ready" in words_of(page)
    assert "One by one" in words_of(page)
    sewing.do("settle all", "marked-2 marked-3", times="0 0")
    assert "One question" not in sewing.visitor.text(sewing.step_path(MARK))
    assert sewing.count(MARK) == "2 of 2 done"
    assert "2 questions answered" in sewing.visitor.text(f"{sewing.at}/latest")


def test_two_devices_that_did_the_same_are_asked_once(phone_page: Page, tablet_page: Page, house: House) -> None:
    cut = house.quilt().compiled.step(house.quilt().short("Cut lamp red"))
    assert cut is not None
    for page in (phone_page, tablet_page):
        go(page, house, "Cut lamp red squares, 2½ in")
    tablet_page.context.set_offline(True)
    for page in (phone_page, tablet_page):
        for _ in range(4):
            page.tap("#one")
    saved(phone_page)
    tablet_page.context.set_offline(False)
    saved(tablet_page)
    for page in (phone_page, tablet_page):
        expect(page.locator("#asked")).to_contain_text("4 taps do not fit what lay ready")
        expect(page.locator(".question")).to_have_count(1)
    phone_page.tap(".question summary")
    phone_page.tap(".question details button >> text=None")
    for page in (phone_page, tablet_page):
        expect(page.locator("#asked")).to_contain_text("3 taps do not fit what lay ready")
    tablet_page.tap(".question button >> text=None of them")
    for page in (phone_page, tablet_page):
        expect(page.locator(".question")).to_have_count(0)
        expect(page.locator("#done")).to_have_text("4")
    saved(tablet_page)
    tablet_page.goto(f"{house.address}{house.quilt().at}/latest")
    tablet_page.locator(".row", has_text="3 questions answered").locator("button").tap()
    expect(phone_page.locator("#asked")).to_contain_text("3 taps do not fit what lay ready")


def test_a_step_that_was_to_do_for_a_loss_alone_is_asked_about_still_once_the_loss_is_taken_back(
    phone: Visitor, store: Store
) -> None:
    """The hand that a plan wants none of, made under a former one: one spoiled is made again, as long as it is lost."""
    text = (PLANS / "whirl_on_point.toml").read_text("utf-8")
    quilt = Quilt(phone, add_quilt(store, text))
    checklist = quilt.compiled.checklist
    trim = next(step for step in checklist.steps if step.operation == "trim" and not step.count)
    (made,) = [flow.pile for flow in trim.gives]
    times = {step: often for step, often in times_needed(checklist.steps, {made: 2}).items() if often}
    for tap in (
        {
            "id": "carried-over",
            "do": "carried",
            "counts": [[step, 0, often] for step, often in times.items()],
            "lost": [],
        },
        {"id": "spoiled-one", "do": "spoiled", "pile": made, "times": 1},
        {"id": "many-trimmed", "do": "done", "step": trim.id, "times": 9},
    ):
        quilt.stored.append(tap)
    assert trim.id in quilt.progress().counts.steps
    assert "9 trimmed was tapped" in phone.text(quilt.at)
    quilt.do("take back", "spoiled-one")
    assert trim.id not in quilt.progress().counts.steps
    assert "9 trimmed was tapped, but only 0 lay ready" in phone.text(quilt.at)
    quilt.do("settle", "many-trimmed", times="0")
    assert "trimmed was tapped" not in phone.text(quilt.at)
