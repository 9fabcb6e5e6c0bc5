"""A plan edited midway: seen before it is used, used as one change, nothing dropped silently."""

from __future__ import annotations

import re

import pytest
from test_web_steps import make_units
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, room_of, words_of
from werkzeug.test import TestResponse

from tracker.cloth.sewing_faults import fault
from tracker.looks import preview
from tracker.proof.proof import Verdict
from tracker.store.quilts import Store, StoreFault
from tracker.web import desk
from tracker.web.opened import compile_text

MORE = SMALL_PLAN.replace("across = 2", "across = 3")
LARGER = SMALL_PLAN.replace('cell = "2"', 'cell = "3"')
OTHER_CLOTH = SMALL_PLAN.replace("lamp red", "brick")
RED = "Cut lamp red squares, 2½ in"


def fields(answer: TestResponse) -> dict[str, str]:
    """The hidden fields of the form."""
    return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', answer.text))


def look(sewing: Quilt, text: str) -> TestResponse:
    page = sewing.visitor.get(f"{sewing.at}/plan")
    return sewing.visitor.post(f"{sewing.at}/plan", fields(page) | {"plan": text, "do": "look"})


def use(sewing: Quilt, text: str) -> TestResponse:
    seen = look(sewing, text)
    assert seen.status_code == 200
    return sewing.visitor.post(f"{sewing.at}/plan", fields(seen) | {"plan": text, "do": "use"})


def test_more_blocks_keep_everything(phone: Visitor, store: Store, sewing: Quilt) -> None:
    make_units(sewing)
    seen = words_of(look(sewing, MORE))
    assert "✓ Everything that is done still fits." in seen
    assert re.search(r"Kept: \d+ steps Cut lamp red squares, 3 in 2 done", seen)
    joined = "Join row 1 of the quilt 1 to do Press row 1 of the quilt 1 to do Square the top 1 to do"
    assert f"New: 3 steps {joined} Use this plan" in seen
    assert sewing.stored.about["plan"] == SMALL_PLAN
    answer = use(sewing, MORE)
    assert (answer.status_code, answer.headers["Location"]) == (303, sewing.at)
    again = Quilt(phone, store.quilt(sewing.stored.id))
    assert again.count(RED) == "4 of 6 done, 2 ready"
    assert "0 of 3 blocks finished" in phone.text(sewing.at)
    assert again.progress().counts.done == {key: n for key, n in sewing.progress().counts.done.items() if n}


def test_another_size_says_what_no_longer_fits_and_what_is_new(phone: Visitor, store: Store, sewing: Quilt) -> None:
    make_units(sewing)
    seen = words_of(look(sewing, LARGER))
    lost = seen.partition("No longer fits")[2].partition("Nothing is done yet that could be kept")[0]
    assert "Cut lamp red squares, 2½ in 4 of 4" in lost
    assert "Trim half-square triangles, lamp red / pale sand 4 of 4" in lost
    assert re.search(r"New: \d+ steps Cut lamp red squares, 4 in 2 to do", seen)
    use(sewing, LARGER)
    again = Quilt(phone, store.quilt(sewing.stored.id))
    assert again.progress().counts.shares()[0] == 0
    text = phone.text(f"{sewing.at}/plan")
    assert "Former plans: 1 Plan 1, used until today at" in text
    assert phone.get(f"{sewing.at}/plan/1.toml").text == SMALL_PLAN
    assert phone.get(f"{sewing.at}/plan/2.toml").status_code == 404


def test_back_to_the_former_plan_loses_no_text(phone: Visitor, store: Store, sewing: Quilt) -> None:
    sewing.tap(RED, 3)
    use(sewing, MORE)
    use(sewing, SMALL_PLAN)
    again = Quilt(phone, store.quilt(sewing.stored.id))
    assert again.count(RED) == "3 of 4 done, 1 ready"
    assert [each["plan"] for each in again.stored.about["former_plans"]] == [SMALL_PLAN, MORE]


def test_another_cloth_keeps_what_is_named_the_same(phone: Visitor, store: Store, sewing: Quilt) -> None:
    """The letters in the picture stay, so the pieces are the same; only the name changes."""
    make_units(sewing)
    assert "Everything that is done still fits." in words_of(look(sewing, OTHER_CLOTH))
    use(sewing, OTHER_CLOTH)
    assert Quilt(phone, store.quilt(sewing.stored.id)).count("Cut brick squares, 2½ in") == "4 of 4 done"


def test_it_counts_on_after_a_restart_and_taps_go_on(phone: Visitor, store: Store, sewing: Quilt) -> None:
    make_units(sewing)
    sewing.tap("Lay out", 1, offered="1")
    use(sewing, MORE)
    Quilt(phone, store.quilt(sewing.stored.id)).tap(RED, 1, tap_id="after-the-edit")
    store.close()
    with Store.open(store.folder) as again:
        later = Quilt(Visitor(room_of(again)), again.quilt(sewing.stored.id))
        assert later.count(RED) == "5 of 6 done, 1 ready"
        assert later.progress().counts.stage(1).done == 1


def test_the_same_form_twice_is_used_once(sewing: Quilt) -> None:
    seen = look(sewing, MORE)
    for _ in range(2):
        answer = sewing.visitor.post(f"{sewing.at}/plan", fields(seen) | {"plan": MORE, "do": "use"})
        assert answer.status_code == 303
    assert len(sewing.stored.about["former_plans"]) == 1


def test_a_change_that_was_not_seen_is_shown_first(sewing: Quilt) -> None:
    page = sewing.visitor.get(f"{sewing.at}/plan")
    answer = sewing.visitor.post(f"{sewing.at}/plan", fields(page) | {"plan": MORE, "do": "use"})
    assert (answer.status_code, "Use this plan" in answer.text) == (200, True)
    seen = look(sewing, MORE)
    answer = sewing.visitor.post(f"{sewing.at}/plan", fields(seen) | {"plan": LARGER, "do": "use"})
    assert (answer.status_code, "Use this plan" in answer.text) == (200, True)
    seen = look(sewing, LARGER)
    sewing.tap(RED, 1)  # on another device: now something is lost that was not shown
    answer = sewing.visitor.post(f"{sewing.at}/plan", fields(seen) | {"plan": LARGER, "do": "use"})
    assert "Cut lamp red squares, 2½ in 1 of 1" in words_of(answer)
    assert sewing.stored.about["plan"] == SMALL_PLAN


def test_two_devices_do_not_edit_over_each_other(phone: Visitor, store: Store, sewing: Quilt) -> None:
    seen = look(sewing, LARGER)
    use(sewing, MORE)
    answer = phone.post(f"{sewing.at}/plan", fields(seen) | {"plan": LARGER, "do": "use"})
    assert answer.status_code == 422
    assert "The plan was edited on another device meanwhile." in words_of(answer)
    assert "cell = &#34;3&#34;" in answer.text
    assert store.quilt(sewing.stored.id).about["plan"] == MORE


BROKEN = [
    ("", "There is no plan yet"),
    (SMALL_PLAN, "The text is as it was; change something first."),
    (SMALL_PLAN.replace("tone = 7", "tone = 12"), "1 thing to put right: Line 9"),
    ("<script>", "to put right"),
]


@pytest.mark.parametrize(("text", "words"), BROKEN, ids=range(len(BROKEN)))
def test_a_plan_that_cannot_be_used_changes_nothing_and_stays_typed(text: str, words: str, sewing: Quilt) -> None:
    answer = look(sewing, text)
    assert answer.status_code == 422
    assert words in words_of(answer)
    assert "Use this plan" not in answer.text
    assert "<script>" not in re.sub(r"<script src[^>]*></script>", "", answer.text)
    assert "former_plans" not in sewing.stored.about


def test_an_open_question_is_answered_before_the_plan_changes(sewing: Quilt) -> None:
    sewing.tap("Cut pale sand", 1)
    sewing.tap("Mark pale sand", 1)
    sewing.tap("Mark pale sand", 1, tap_id="from-tablet")
    assert "One question about taps is open" in words_of(look(sewing, MORE))
    sewing.do("settle", "from-tablet", times=0)
    assert look(sewing, MORE).status_code == 200


def test_a_plan_whose_proof_fails_is_refused_with_the_fault_s_sentence(
    phone: Visitor, store: Store, sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    true_proof = preview.prove

    def failing(plan: object, checklist: object) -> Verdict:
        found = true_proof(plan, checklist)  # type: ignore[arg-type]
        assert found.holds
        return Verdict(found.trace, (fault("join:row 1", "no cloth to trim", side="left"),))

    monkeypatch.setattr(desk, "compile_text", compile_text)  # what is shared by other rooms stays proved
    monkeypatch.setattr(preview, "prove", failing)
    for answer in (look(sewing, MORE), phone.post("/new", {"plan": MORE, "do": "make"})):
        assert answer.status_code == 422
        assert "join:row 1: the trim leaves no cloth on the left." in words_of(answer)
    assert len(store.quilts()) == 1


def test_a_disk_that_is_full_leaves_plan_and_counts_as_they_were(
    sewing: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    sewing.tap(RED, 3)
    seen = look(sewing, MORE)

    def full(*given: object, **more: object) -> None:
        raise StoreFault("full", folder=sewing.stored.id)

    with monkeypatch.context() as patched:
        patched.setattr(type(sewing.stored), "append_with", full)
        answer = sewing.visitor.post(f"{sewing.at}/plan", fields(seen) | {"plan": MORE, "do": "use"})
    assert answer.status_code == 507
    assert sewing.count(RED) == "3 of 4 done, 1 ready"


def test_a_name_of_her_own_stays_and_the_plan_s_title_follows(phone: Visitor, store: Store, sewing: Quilt) -> None:
    renamed = MORE.replace("Lantern cushion", "Lantern runner")
    use(sewing, renamed)
    assert "Lantern runner" in phone.text("/")
    other = Quilt(phone, add_quilt(store))
    phone.post(f"{other.at}/title", {"title": "Birthday"})
    use(other, renamed)
    assert store.quilt(other.stored.id).about["title"] == "Birthday"


def test_an_edit_without_a_name_of_its_own(sewing: Quilt) -> None:
    seen = look(sewing, MORE)
    answer = sewing.visitor.post(f"{sewing.at}/plan", fields(seen) | {"plan": MORE, "do": "use", "tap": "a b"})
    assert answer.status_code == 400
    assert sewing.stored.about["plan"] == SMALL_PLAN
