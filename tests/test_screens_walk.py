"""A whole quilt followed in a real browser by what its screens say: sample first, and with a plan edited midway."""

from __future__ import annotations

import pytest
from effort import tries
from house import AT_ONCE, House
from planning import tapped
from playwright.sync_api import Page, expect
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt

from tracker.demo import demo_plan_text
from tracker.progress.batches import Pace, now_at
from tracker.progress.ledger import Progress
from tracker.progress.tap_kinds import read_tap
from tracker.store.quilts import StoredQuilt

DEMO = demo_plan_text()
ROWS = tries(4, 2)
"""Of the demo: two rows of three hold a sample, and a group of blocks after it, as four do."""
SMALL_DEMO = DEMO.partition("[[quilt.border]]")[0].replace("across = 3", "across = 2").replace("down = 4", "down = 1")
"""Without what is cut to the quilt's own measure: of that, another width fits nothing."""
EDITS = [("while the sample is sewn", SMALL_PLAN, 0, 7), ("of the demo's kind, after the sample", SMALL_DEMO, 70, 5)]
"""A plan, and after how many taps it is edited: those made before the walk begins, and those of the walk."""


def begin(house: House, plan: str, sewn: int = 0) -> StoredQuilt:
    """The only quilt, on which so many taps were made of what its stations say."""
    for old in house.store.quilts():
        house.store.delete(old.id)
    stored = add_quilt(house.store, plan)
    progress = Quilt(Visitor(house.app), stored).progress()
    for number in range(sewn):
        work = now_at(progress.counts, Pace())[0]
        tap = {"id": f"before-{number}", "do": "done", "step": work.step.id, "times": work.now}
        stored.append(tapped(progress, tap))
    return stored


def do_what_it_says(page: Page) -> None:
    """Tap what the screen offers for the blocks in work, as many as it says."""
    version = page.get_attribute("#live", "data-version")
    page.tap("#a-chain" if page.locator("#a-chain").count() else "#one")
    expect(page.locator(f"#live[data-version='{version}']")).to_have_count(0)


def carry_on(page: Page) -> bool:
    """Go where the screen leads; False where it leads to the finished quilt."""
    before = page.locator("#live").get_attribute("data-step")
    page.tap("a.carry-on")
    expect(page.locator(f"#live[data-step='{before}']")).to_have_count(0)
    return page.locator("#live[data-step]").count() == 1


def follow(page: Page, most: int) -> int:
    """Follow the step screens to the end of the quilt, or for so many taps; how many taps it took."""
    for taps in range(most):
        while page.locator("a.carry-on").count():
            if not carry_on(page):
                return taps
        do_what_it_says(page)
    return most


def orders(quilt: Quilt) -> list[int]:
    """The blocks in the order in which each was finished, and that no tap is unsettled."""
    progress = Progress(quilt.compiled.plan, quilt.compiled.checklist)
    last = {step.id for step in progress.counts.last_steps().values()}
    done = [tap for tap in quilt.stored.taps if tap["do"] == "done" and tap["step"] in last]
    return [number for tap in done for number in tap["blocks"]]


def begun_before_the_sample_was_finished(quilt: Quilt) -> set[int]:
    """Blocks of which anything was done before the first was finished."""
    progress = Progress(quilt.compiled.plan, quilt.compiled.checklist)
    begun: set[int] = set()
    for tap in quilt.stored.taps:
        progress.record(read_tap(tap))
        begun |= set(tap.get("blocks", ()))
        if progress.counts.blocks_finished():
            return begun
    raise AssertionError("the sample was never finished")


def test_the_demo_quilt_is_sewn_by_its_screens_sample_first(phone_page: Page, house: House) -> None:
    phone_page.add_init_script(AT_ONCE)
    stored = begin(house, DEMO.replace("down = 4", f"down = {ROWS}"))
    quilt = Quilt(Visitor(house.app), stored)
    phone_page.goto(f"{house.address}/")
    phone_page.tap(".quilt-card a.carry-on")
    taps = follow(phone_page, 400)
    expect(phone_page.locator("main")).to_contain_text(f"100 % done: {3 * ROWS} of {3 * ROWS} blocks finished")
    progress = quilt.progress()
    assert progress.counts.finished()
    assert progress.unsettled() == []
    assert taps == len(stored.taps)
    assert begun_before_the_sample_was_finished(quilt) == {1}
    assert orders(quilt) == list(range(1, 3 * ROWS + 1))


@pytest.mark.parametrize(("name", "plan", "sewn", "taps"), EDITS, ids=[edit[0] for edit in EDITS])
def test_a_plan_edited_midway_is_sewn_to_the_end(
    name: str, plan: str, sewn: int, taps: int, phone_page: Page, house: House
) -> None:
    """Two blocks and then three."""
    phone_page.add_init_script(AT_ONCE)
    stored = begin(house, plan, sewn)
    wider = plan.replace("across = 2", "across = 3")
    phone_page.goto(f"{house.address}/quilts/{stored.id}/step")
    assert follow(phone_page, taps) == taps
    before = Quilt(Visitor(house.app), stored).progress().counts.done
    phone_page.goto(f"{house.address}/quilts/{stored.id}/plan")
    phone_page.fill("#plan", wider)
    phone_page.tap("text=See what changes")
    expect(phone_page.locator(".changes")).to_contain_text("Everything that is done still fits.")
    phone_page.tap("text=Use this plan")
    phone_page.wait_for_url(f"**/quilts/{stored.id}")
    quilt = Quilt(Visitor(house.app), stored)
    assert quilt.compiled.text == wider
    after = quilt.progress().counts.done
    assert after == {key: times for key, times in before.items() if times}
    phone_page.tap("a.carry-on")
    follow(phone_page, 400)
    expect(phone_page.locator("main")).to_contain_text("100 % done: 3 of 3 blocks finished")
    assert quilt.progress().counts.finished()


def test_a_finished_sample_leads_from_station_to_station(tablet_page: Page, house: House) -> None:
    """The other way to follow a quilt: a station's list, its first line, a tap, and the list again."""
    tablet_page.add_init_script(AT_ONCE)
    quilt = house.quilt()
    now = f"{house.address}{quilt.at}/now"
    for _ in range(60):
        tablet_page.goto(now)
        if tablet_page.locator(".works a").count():
            tablet_page.tap(".works a.first")
            expect(tablet_page.locator("#live[data-step]")).to_have_count(1)
            do_what_it_says(tablet_page)
        elif tablet_page.locator("a.carry-on").count():
            tablet_page.tap("a.carry-on")
            expect(tablet_page.locator(".works a").first).to_be_visible()
        else:
            break
    expect(tablet_page.locator("main")).to_contain_text("All steps are done.")
    assert house.quilt().progress().counts.finished()
    assert begun_before_the_sample_was_finished(house.quilt()) == {1}
