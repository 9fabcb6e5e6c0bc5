"""Makers: one list of names, blocks given to them, whose a tap is, kits, and what two devices say of one block."""

from __future__ import annotations

import re

import pytest
from freezing import PLANS
from visitors import Quilt, Visitor, compiled_once, words_of

from tracker.progress.block_taps import maker_of
from tracker.progress.edited_plan import carry_over
from tracker.progress.kits import kit_of
from tracker.progress.ledger import Progress
from tracker.progress.work_taps import StageReached, StepsDone
from tracker.work.steps import Cut


@pytest.fixture
def club(sewing: Quilt) -> Quilt:
    """The small quilt with two makers."""
    for name in ("Ilse", "Marit"):
        assert sewing.visitor.post(f"{sewing.at}/makers", {"name": name}).status_code == 303
    return sewing


def key_of(quilt: Quilt, name: str) -> str:
    page = quilt.visitor.get(f"{quilt.at}/makers").get_data(as_text=True)
    found = re.search(rf"<h2>{name}</h2>.*?/makers/(\w+)\"", page, re.DOTALL)
    assert found is not None
    return found[1]


def give(quilt: Quilt, blocks: str, maker: str, seen: str | list[str] = "", **more: str) -> None:
    quilt._taps += 1
    data = {"tap": f"test-give-{quilt._taps}", "do": "given", "blocks": blocks, "maker": maker, "seen": seen}
    assert quilt.visitor.post(f"{quilt.at}/taps", data | more).status_code == 303


def whose(quilt: Quilt) -> list[str]:
    counts = quilt.progress().counts
    return [maker_of(counts, number) for number in counts.block_keys]


def test_blocks_are_given_and_taken_back_and_every_screen_says_whose_they_are(club: Quilt) -> None:
    give(club, "1", "Ilse")
    assert whose(club) == ["Ilse", ""]
    assert "Ilse 1" in club.visitor.text(f"{club.at}/blocks")
    assert "Ilse's block" in club.visitor.text(f"{club.at}/blocks/1")
    shown = club.visitor.text(f"{club.at}/blocks?stage=by-{key_of(club, 'Ilse')}")
    assert ("1 " in shown, "place 2" in shown) == (True, False)
    makers = club.visitor.text(f"{club.at}/makers")
    assert "Block 1: 0 of 1 finished" in makers
    assert "1 block is nobody's yet" in makers
    last = club.progress().latest(1)[0].tap.id
    club.do("take back", last)
    assert whose(club) == ["", ""]


def test_several_blocks_are_given_at_once_each_asked_for_itself(club: Quilt) -> None:
    give(club, "1", "Marit")
    give(club, "1 2", "Ilse", ["", ""])  # where it was tapped, nobody had either
    assert whose(club) == ["Marit", "Ilse"]
    assert [tap.id for tap in club.progress().unsettled()] == ["test-give-2-1"]


@pytest.mark.parametrize(("answer", "hers"), [(0, "Marit"), (1, "Ilse")])
def test_what_two_devices_say_of_one_block_is_asked_about_once(answer: int, hers: str, club: Quilt) -> None:
    give(club, "2", "Marit", device="phone-one")
    give(club, "2", "Ilse", device="phone-two")
    asked = "Block 2 was given to Marit on one device and to Ilse on another. Whose is it?"
    for page in ("makers", "blocks", f"makers/{key_of(club, 'Marit')}", "blocks/2"):
        assert club.visitor.text(f"{club.at}/{page}").count(asked) == 1
    club.do("settle", "test-give-2-2", times=str(answer))
    assert asked not in club.visitor.text(f"{club.at}/blocks")
    assert (whose(club), club.progress().unsettled()) == (["", hers], [])


def test_nothing_is_asked_where_both_agree_or_one_device_changed_its_mind(club: Quilt) -> None:
    give(club, "1", "Ilse", device="phone-one")
    give(club, "1", "Ilse", device="phone-two")
    give(club, "1", "Marit", device="phone-two")  # its page still shows nobody
    give(club, "1", "", seen="Marit", device="phone-one")
    assert (whose(club), club.progress().unsettled()) == (["", ""], [])


def test_a_changed_name_keeps_blocks_seam_test_and_measures(club: Quilt) -> None:
    key = key_of(club, "Ilse")
    give(club, "1", "Ilse")
    club.visitor.post(f"{club.at}/seam", {"middle": "15/16", "maker": key})
    club.visitor.post(f"{club.at}/makers/{key}/name", {"name": "Ilka"})
    page = club.visitor.text(f"{club.at}/makers")
    assert "Ilka Block 1: 0 of 1 finished 0 of 100 Seam test: Each seam takes" in page
    assert "Ilse" not in page
    assert "Ilka" in club.visitor.text(f"{club.at}/latest")
    give(club, "1", "Ilka", seen="Ilse")
    assert club.progress().unsettled() == []


@pytest.mark.parametrize(
    ("path", "name", "said"),
    [
        ("makers", "", "A maker's name is from 1 to 40 characters; type one."),
        ("makers", "ilse", "ilse is on the list already; type another name, or a letter behind it."),
        ("makers/{}/name", "MARIT", "MARIT is on the list already; type another name, or a letter behind it."),
        ("makers/none/name", "Jo", "There is no such maker in this quilt; choose one from the list."),
        ("makers/{}/remove", "", "Block 1 still is Ilse's: give them to somebody else first."),
    ],
)
def test_what_the_list_refuses(path: str, name: str, said: str, club: Quilt) -> None:
    give(club, "1", "Ilse")
    before = club.stored.about["makers"]
    answer = club.visitor.post(f"{club.at}/{path.format(key_of(club, 'Ilse'))}", {"name": name})
    assert answer.status_code in (400, 404, 409)
    assert said in words_of(answer)
    assert club.stored.about["makers"] == before


def test_a_name_off_the_list_is_back_when_it_is_typed_again(club: Quilt) -> None:
    club.visitor.post(f"{club.at}/makers/{key_of(club, 'Marit')}/remove", {})
    assert "Marit" not in club.visitor.text(f"{club.at}/makers")
    club.visitor.post(f"{club.at}/makers", {"name": " Marit "})
    assert "Marit" in club.visitor.text(f"{club.at}/makers")


def test_a_device_says_once_who_holds_it_and_its_taps_are_hers(club: Quilt) -> None:
    club.visitor.post(f"{club.at}/makers/holder", {"name": "Marit"})
    club.tap("Cut lamp red")
    club.tap("Cut lamp red", who="Ilse")  # kept on the device since it was hers
    club.visitor.post(f"{club.at}/makers/holder", {"name": ""})
    club.tap("Cut lamp red")
    assert [tap.get("who") for tap in club.stored.taps] == ["Marit", "Ilse", None]
    page = club.visitor.get(f"{club.at}/latest").get_data(as_text=True)
    assert (page.count("<b>Marit</b>"), page.count("<b>Ilse</b>")) == (1, 1)


def test_the_form_for_measures_knows_whose_the_block_is(club: Quilt) -> None:
    give(club, "2", "Marit")
    page = club.visitor.get(f"{club.at}/measure/2").get_data(as_text=True)
    assert 'name="maker" list="makers" value="Marit"' in page
    assert '<option value="Ilse">' in page


def test_each_maker_has_a_seam_test_of_her_own(club: Quilt) -> None:
    keys = [key_of(club, name) for name in ("Ilse", "Marit")]
    for key, middle in zip(keys, ("1", "15/16"), strict=True):
        club.visitor.post(f"{club.at}/seam", {"middle": middle, "maker": key})
    results = [club.visitor.text(f"{club.at}/seam?maker={key}") for key in (*keys, "")]
    assert ["✓ Right" in results[0], "Seams too wide" in results[1], "The middle strip measured" in results[2]] == [
        True, True, False,
    ]  # fmt: skip
    club.visitor.post(f"{club.at}/makers/holder", {"name": "Marit"})
    assert "Seams too wide" in club.visitor.text(f"{club.at}/seam")


def test_an_edited_plan_keeps_whose_blocks_are_of_whatever_size(club: Quilt) -> None:
    give(club, "1", "Ilse")
    give(club, "2", "Marit")
    made = compiled_once(club.stored.about["plan"].replace('cell = "2"', 'cell = "3"'))
    carried = carry_over(club.progress().counts, Progress(made.plan, made.checklist).counts, {}, club.progress().aside)
    assert [maker_of(carried.counts, number) for number in (1, 2)] == ["Ilse", "Marit"]


@pytest.mark.parametrize("name", ["harbour_lights", "star_kinds", "checker_versions", "snow_fence", "wide_geese"])
def test_the_kit_of_all_blocks_is_all_that_is_cut_for_blocks(name: str) -> None:
    """With nothing else cut, every block can be finished."""
    compiled = compiled_once(PLANS[name].read_text("utf-8"))
    progress = Progress(compiled.plan, compiled.checklist)
    counts = progress.counts
    kit = kit_of(counts, counts.block_keys)
    for part in kit:
        assert 0 < part.count <= part.step.count * part.step.gives[0].each
        times = part.count // part.step.gives[0].each
        progress.record(StepsDone(id=part.step.id, step=part.step.id, times=times))
    for number, key in counts.block_keys.items():
        last = counts.block_steps(key, number)[-1]  # in its place
        progress.record(StageReached(id=f"block {number}", step=last.id, block=number).completed(counts))
        assert counts.stage(number).done == counts.stage(number).steps
    assert {part.step.id: part.count for part in kit} == {
        part.step.id: counts.times_done(part.step) * part.step.gives[0].each for part in kit
    }
    cut = {step.id for step in compiled.checklist.steps if isinstance(step.action, Cut) and counts.times_done(step)}
    assert cut == {part.step.id for part in kit}


def test_a_kit_has_a_bag_and_a_label_for_each_kind_of_piece(club: Quilt, phone: Visitor) -> None:
    give(club, "1", "Ilse")
    for asked in ("block=1", f"maker={key_of(club, 'Ilse')}"):
        page = phone.text(f"{club.at}/kit?{asked}")
        assert "Kit for Ilse Block 1 of Lantern cushion" in page
        assert "a block measures Lantern: 4½ × 4½ in" in page
        answer = phone.get(f"{club.at}/kit?{asked}").get_data(as_text=True)
        assert answer.count('class="bag"') == answer.count('class="label"') - 1
        assert answer.count('class="of-pile"') == answer.count('class="bag"')
        assert "2 pieces, for Lantern" in page, "as many as are in this bag, and what for"
    assert "Marit has no block yet" in phone.text(f"{club.at}/kit?maker={key_of(club, 'Marit')}")
    assert phone.get(f"{club.at}/kit?block=9").status_code == 404


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/kit?block=", "This address names no block; the quilt’s blocks are numbered from 1 to 2."),
        ("/kit", "This address names no block; the quilt’s blocks are numbered from 1 to 2."),
        ("/kit?block=3", "There is no block 3 in this quilt; its blocks are numbered from 1 to 2."),
    ],
)
def test_a_block_that_is_not_there_is_told_by_what_was_asked(path: str, said: str, club: Quilt) -> None:
    answer = club.visitor.get(club.at + path)
    assert answer.status_code == 404
    assert said in words_of(answer)
