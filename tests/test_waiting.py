"""Nobody waits: through a real socket taps are taken while other answers are being made, however long those take."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlencode

import pytest
from browser import PATIENCE
from holding import WAIT, Held, held
from house import House, counted
from playwright.sync_api import Page, expect
from visitors import RED, SMALL_PLAN, Quilt, Visitor, add_quilt, compiled_once

from tracker.looks import preview
from tracker.progress import batches, pace_of_work
from tracker.progress.pace_of_work import remainder
from tracker.server import lanes
from tracker.store.quilts import Store
from tracker.web import ahead, cards, desk, live, pages
from tracker.web import carried as carrying
from tracker.web.screens import blocks, cutting, edit, layout

MORE = SMALL_PLAN.replace("across = 2", "across = 3")


@pytest.fixture(autouse=True)
def afresh() -> None:
    """What other tests compiled and proved is done again here, where it is held up."""
    compiled_once.cache_clear()


def tap(house: House, quilt: Quilt, name: str) -> tuple[int, str]:
    """One lamp red square is cut, by a page without script, which shows nothing itself."""
    form = {"tap": name, "do": "done", "step": quilt.short(RED), "times": "1"}
    return house.ask("POST", f"{quilt.at}/taps", urlencode(form))


def plan_form(house: House, quilt: Quilt, text: str, seen: str = "") -> str:
    """The form of an edited plan, as its page sends it."""
    page = house.ask("GET", f"{quilt.at}/plan")[1]
    fields = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    return urlencode(fields | {"plan": text, "do": "use" if seen else "look", "seen": seen})


SCREENS = {
    "the steps ahead": ("/ahead.json", ahead, "_screens"),
    "the quilt": ("", pages, "render_template"),
    "the list": ("/steps", pages, "render_template"),
    "the blocks": ("/blocks", blocks, "cards"),
    "the layout": ("/layout", layout, "layout_drawing"),
    "cutting": ("/cutting", cutting, "table_of"),
    "the plan": ("/plan", pages, "render_template"),
    "news": ("/changes?since=0&view=list", live, "render_template"),
    "counts": ("/counts.json", ahead, "counts_of"),
}


@pytest.mark.parametrize("name", SCREENS)
def test_a_tap_is_taken_while_a_screen_is_made(name: str, house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    path, module, made_by = SCREENS[name]
    quilt = house.quilt()
    assert tap(house, quilt, "first-tap")[0] == 204
    with held(monkeypatch, module, made_by, lambda: house.ask("GET", quilt.at + path)) as answers:
        assert tap(house, quilt, "second-tap")[0] == 204
        assert len(quilt.stored.taps) == 2
        assert answers == []
    assert [status for status, _ in answers] == [200]


def test_a_tap_is_taken_while_another_is_shown(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    quilt = house.quilt()
    with held(monkeypatch, live, "render_template", lambda: house.ask(*shown_tap(quilt, "first-tap"))) as answers:
        assert tap(house, quilt, "second-tap")[0] == 204
        after = quilt.stored.version
    assert answers[0][0] == 200
    assert f'data-version="{after - 1}"' in answers[0][1], "it shows its own tap"


def shown_tap(quilt: Quilt, name: str) -> tuple[str, str, str]:
    """A tap that asks for its screen."""
    form = {"tap": name, "do": "done", "step": quilt.short(RED), "times": "1", "view": f"step:{quilt.short(RED)}"}
    return "POST", f"{quilt.at}/taps", urlencode(form)


@pytest.mark.parametrize(("module", "name"), [(desk, "compile_text"), (preview, "prove"), (carrying, "carry_over")])
def test_a_tap_is_taken_while_an_edited_plan_is_looked_at_and_used(
    module: Any, name: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    quilt = house.quilt()
    assert tap(house, quilt, "first-tap")[0] == 204
    form = plan_form(house, quilt, MORE)
    with held(monkeypatch, module, name, lambda: house.ask("POST", f"{quilt.at}/plan", form)) as answers:
        assert tap(house, quilt, "second-tap")[0] == 204
    assert [status for status, _ in answers] == [200]
    seen = re.findall(r'name="seen" value="(\w+)"', answers[0][1])[0]
    form = plan_form(house, quilt, MORE, seen)
    with held(monkeypatch, carrying, "carry_over", lambda: house.ask("POST", f"{quilt.at}/plan", form)) as answers:
        assert tap(house, quilt, "third-tap")[0] == 204
    assert [status for status, _ in answers] == [303]
    assert house.quilt().stored.about["plan"] == MORE
    assert counted(house, RED) == 3, "the tap that came meanwhile counts too"


def test_an_edit_is_not_used_while_taps_keep_coming(
    phone: Visitor, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    sewing.tap(RED)
    seen = sewing.visitor.post(f"{sewing.at}/plan", {"plan": MORE, "do": "look"}).text
    fields = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', seen))
    really = carrying.carry_over

    def slow(*given: Any) -> Any:
        """While it is reckoned, somebody names a block."""
        carried = really(*given)
        number = len(sewing.stored.taps)
        sewing.stored.append({"id": f"note-{number}", "do": "note", "text": f"note {number}"})
        return carried

    monkeypatch.setattr(carrying, "carry_over", slow)
    answer = sewing.visitor.post(f"{sewing.at}/plan", fields | {"plan": MORE, "do": "use"})
    assert answer.status_code == 409
    assert edit.BUSY in answer.text
    assert sewing.stored.about["plan"] == SMALL_PLAN
    monkeypatch.setattr(carrying, "carry_over", really)
    again = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', answer.text))
    assert sewing.visitor.post(f"{sewing.at}/plan", again | {"plan": MORE, "do": "use"}).status_code == 303
    assert sewing.stored.about["plan"] == MORE
    assert {f"note-{number}" for number in range(1, 4)} <= {entry["id"] for entry in sewing.stored.taps}


def test_targets_are_reckoned_once_for_a_version(
    phone: Visitor, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many steps and screens ask for them."""
    reckoned = []
    really = batches._targets

    def noted(*given: Any) -> dict[str, int]:
        reckoned.append((sewing.stored.version, *given[2]))
        return really(*given)

    monkeypatch.setattr(batches, "_targets", noted)
    times, timed = [], pace_of_work.Timeline.forecast
    monkeypatch.setattr(pace_of_work.Timeline, "forecast", lambda *given: (times.append(given[3]), timed(*given))[1])
    for number in range(3):
        sewing.tap(RED, tap_id=f"counted-{number}")
        for path in ("/ahead.json", "/counts.json", "", "/steps", "/now", "/blocks", sewing.step_path(RED)):
            assert phone.get(sewing.at + path.removeprefix(sewing.at)).status_code == 200
        with desk_of(phone).quilt(sewing.stored.id) as one, desk_of(phone).quilt(sewing.stored.id) as other:
            assert one is not other
            assert batches.targets(one.progress.counts, one.pace) == batches.targets(other.progress.counts, other.pace)
    assert len(reckoned) == len(set(reckoned)), "for the batch in work and for the next, each once"
    assert len({version for version, *_ in reckoned}) == 3
    assert times == [1, 2, 3], "reckoned once for a version, and never while a tap is taken"


def desk_of(phone: Visitor) -> desk.Desk:
    found = phone.client.application.extensions["sewing-room"].desk
    assert isinstance(found, desk.Desk)
    return found


def test_a_reader_keeps_the_counts_as_they_were(phone: Visitor, sewing: Quilt) -> None:
    at = desk_of(phone)
    step = sewing.compiled.step(sewing.short(RED))
    assert step is not None
    with at.quilt(sewing.stored.id) as before:
        version = before.version
        sewing.tap(RED, 2)
        sewing.visitor.post(f"{sewing.at}/title", {"title": "Another name"})
        with at.quilt(sewing.stored.id) as after:
            assert (before.progress.counts.times_done(step), after.progress.counts.times_done(step)) == (0, 2)
            assert (before.title, after.title) == ("Lantern cushion", "Another name")
            assert (before.version, after.version) == (version, version + 2)


@pytest.fixture
def small_desk(monkeypatch: pytest.MonkeyPatch) -> None:
    """A desk that keeps little, so that a few quilts and taps are too many."""
    for name, number in (("MOST_BEHIND", 20), ("QUILTS_KEPT", 10), ("PLANS_KEPT", 3)):
        monkeypatch.setattr(desk, name, number)


def test_taps_stay_right_where_readers_come_and_go(small_desk: None, phone: Visitor, store: Store) -> None:
    """A copy left far behind, more readers than copies are kept for, other quilts opened between: the same counts."""
    quilt = Quilt(phone, add_quilt(store, SMALL_PLAN.replace("across = 2", "across = 20")))
    at = desk_of(phone)
    with at.quilt(quilt.stored.id), at.quilt(quilt.stored.id):
        for number in range(desk.MOST_BEHIND + 5):
            quilt.tap(RED, tap_id=f"many-taps-{number}")
    readers = [at.quilt(quilt.stored.id) for _ in range(desk.COPIES_KEPT + 2)]
    assert {len(reader.__enter__().progress.counts.done) for reader in readers} == {1}
    for reader in readers:
        reader.__exit__(None, None, None)
    assert quilt.count(RED) == f"{desk.MOST_BEHIND + 5} of 40 done, {40 - desk.MOST_BEHIND - 5} ready"
    for number in range(desk.QUILTS_KEPT + 1):
        phone.get(f"/quilts/{add_quilt(store, SMALL_PLAN, number=number).id}/steps")
    quilt.tap(RED, tap_id="the-last")
    assert quilt.count(RED) == f"{desk.MOST_BEHIND + 6} of 40 done, {40 - desk.MOST_BEHIND - 6} ready"


def test_the_first_page_waits_for_no_quilt(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is not reckoned yet is said to be, and told as soon as it is; taps of other quilts are taken meanwhile."""
    cards_of(house).patience = 0
    mine = house.quilt()
    assert tap(house, mine, "first-tap")[0] == 204
    slow = add_quilt(house.store, MORE.replace("Lantern cushion", "Slow runner"))
    only: Callable[..., bool] = lambda text, *_: "Slow runner" in text  # noqa: E731
    with held(monkeypatch, desk, "compile_text", lambda: house.ask("GET", "/cards?wait=" + slow.id), only=only):
        status, page = house.ask("GET", "/")
        assert status == 200
        assert "Slow runner" in page
        assert f'id="card-{slow.id}" data-pending' in page
        assert "How far it has come is being reckoned." in page
        assert tap(house, mine, "second-tap")[0] == 204
        news = re.findall(r'hx-get="(/cards\?wait=[^"]*)"', page)[0]
        assert house.ask("GET", f"/quilts/{slow.id}/picture.svg")[1].startswith("<svg"), "it is drawn all the same"
        assert slow.id in re.findall(r'hx-get="(/cards\?wait=[^"]*)"', house.ask("GET", news)[1])[0]
    cards_of(house).patience = PATIENCE
    told = house.ask("GET", news)[1]
    assert f'id="card-{slow.id}" hx-swap-oob="true"' in told
    assert "0 of 3 blocks finished" in told
    assert "hx-get" not in told, "nothing is left to ask for"
    assert "data-pending" not in house.ask("GET", "/")[1]


def cards_of(house: House) -> cards.Cards:
    found = house.app.extensions["sewing-room"].cards
    assert isinstance(found, cards.Cards)
    return found


def test_the_quilt_used_last_is_reckoned_first_and_open_ones_stay_open(
    small_desk: None, phone: Visitor, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    plans = [SMALL_PLAN.replace("Lantern cushion", f"Lantern {number}") for number in range(desk.QUILTS_KEPT + 3)]
    quilts = [add_quilt(store, plan, made_at=f"2026-11-25T09:{n // 60:02}:{n % 60:02}") for n, plan in enumerate(plans)]
    quilts[3].append({"id": "a-late-note", "do": "note", "text": "thread", "at": "2026-11-26T09:00:00"})
    order = []
    really = desk.compile_text

    def noted(text: str) -> Any:
        order.append(text)
        return really(text)

    monkeypatch.setattr(desk, "compile_text", noted)
    with desk_of(phone).quilt(quilts[5].id):
        pass
    shown = phone.get("/").text
    assert shown.count("0 of 2 blocks finished") == len(plans)
    wanted = [plans[3], *(plan for plan in reversed(plans) if plan != plans[3])]
    assert order == [plans[5], *(plan for plan in wanted if plan != plans[5])]
    with desk_of(phone).quilt(quilts[5].id):
        pass
    assert order.count(plans[5]) == 1, "a look in passing puts no quilt away that is open"
    assert phone.get("/").text == shown
    assert len(order) == len(plans), "what was reckoned is kept while nothing changes"


def test_a_card_is_never_older_than_the_taps(phone: Visitor, sewing: Quilt) -> None:
    for _ in range(3):
        sewing.tap(RED)
        assert f"{remainder(sewing.progress().counts).percent} % done" in phone.text("/")


def test_a_tap_finds_a_thread_however_many_pages_are_being_made(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """All threads stand still in pages; taps of two devices are taken all the same, and the pages after them."""
    quilt = house.quilt()
    slow, answers = Held(pages.render_template), []
    monkeypatch.setattr(pages, "render_template", slow)
    many = lanes.THREADS + 2
    ask = lambda: answers.append(house.ask("GET", f"{quilt.at}/steps")[0])  # noqa: E731
    asking = [threading.Thread(target=ask) for _ in range(many)]
    try:
        for each in asking:
            each.start()
        assert slow.reached.wait(WAIT)
        until(lambda: slow.waiting == lanes.THREADS)
        assert [tap(house, quilt, f"tap-number-{number}")[0] for number in range(3)] == [204] * 3
        assert answers == []
    finally:
        slow.free.set()
        for each in asking:
            each.join(WAIT)
    assert answers == [200] * many
    assert counted(house, RED) == 3


@pytest.mark.parametrize(
    ("proven", "command", "path", "kept"),
    [
        (True, "POST", "/quilts/abc/taps", True),
        (False, "POST", "/quilts/abc/taps", False),
        (True, "GET", "/quilts/abc/taps", False),
        (True, "POST", "/quilts/abc/plan", False),
    ],
)
def test_threads_are_kept_for_taps_of_who_is_known(proven: bool, command: str, path: str, kept: bool) -> None:
    request = SimpleNamespace(command=command, path=path)
    assert lanes.is_tap(SimpleNamespace(line=SimpleNamespace(proven=proven), requests=[request])) is kept


def until(true: Callable[[], bool]) -> None:
    """Wait until it is so."""
    tries = 0
    while not true():
        tries += 1
        assert tries < 100 * WAIT
        threading.Event().wait(1 / 100)


def test_an_open_first_page_is_told_what_is_reckoned_later(
    phone_page: Page, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    cards_of(house).patience = 0
    slow = Held(desk.compile_text)
    monkeypatch.setattr(desk, "compile_text", slow)
    other = add_quilt(house.store, MORE.replace("Lantern cushion", "Slow runner"))
    try:
        phone_page.goto(house.address)
        card = phone_page.locator(f"#card-{other.id}")
        expect(card).to_contain_text("How far it has come is being reckoned.")
        expect(phone_page.locator("[data-pending]")).to_have_count(2)
    finally:
        slow.free.set()
    expect(card).to_contain_text("0 of 3 blocks finished")
    expect(phone_page.locator("[data-pending]")).to_have_count(0)
    expect(phone_page.locator("[hx-get^='/cards']")).to_have_count(0)
    card.locator("a.carry-on").click()
    expect(phone_page.locator("h1")).to_contain_text("Cut")


def test_a_quilt_that_cannot_be_reckoned_keeps_no_other_back(
    phone: Visitor, store: Store, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    really = cards.standing

    def failing(quilt: Any) -> Any:
        if quilt.title == "Broken runner":
            raise ZeroDivisionError
        return really(quilt)

    monkeypatch.setattr(cards, "standing", failing)
    add_quilt(store, MORE.replace("Lantern cushion", "Broken runner"))
    for _ in range(2):
        text = phone.text("/")
        assert f"Broken runner This quilt cannot be opened: {cards.UNKNOWN}" in text
        assert "0 of 2 blocks finished" in text


def test_a_tap_that_comes_while_its_quilt_is_reckoned_is_reckoned_too(
    phone: Visitor, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    really, taps = cards.standing, ["in-between"]

    def tapped_meanwhile(quilt: Any) -> Any:
        found = really(quilt)
        if taps:
            sewing.tap(RED, tap_id=taps.pop())
        return found

    monkeypatch.setattr(cards, "standing", tapped_meanwhile)
    assert "being reckoned" not in phone.text("/")
    assert not taps
