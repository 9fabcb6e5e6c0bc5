"""Measuring blocks and bringing them to one size, as the screens show it."""

from __future__ import annotations

import csv
import html
import json
import re
from typing import Any

import pytest
from sizing import WORKED, block_of, lantern_text, length, square_shape, worked_example
from visitors import Quilt, Visitor, add_quilt, words_of
from werkzeug.test import TestResponse

from tracker.fitting.one_size import OneSize
from tracker.progress.block_taps import BlockBrought, BlockMeasured
from tracker.progress.tap_kinds import written
from tracker.store.quilts import Store
from tracker.words.seam_words import blocks_named
from tracker.words.size_words import SizeWords
from tracker.work.whole_blocks import SetBlock

ROWS = list(csv.DictReader(WORKED.read_text("utf-8").splitlines()))
NAMES = ("w1", "w2", "w3", "h1", "h2", "h3", "d1", "d2")
SASHED = '[quilt.sash]\nfabric = "R"\ncut = "2"\n'


def said(visitor: Visitor, path: str) -> str:
    """What a page says, fractions with a plain stroke."""
    return visitor.text(path).replace("⁄", "/")


def lengths_of(row: dict[str, str]) -> tuple[str, ...]:
    return tuple(row[name] for name in (NAMES if row["d1"] else NAMES[:6]))


def measure(quilt: Quilt, row: dict[str, str], /, **more: str) -> TestResponse:
    """Send a block's figures as its form does."""
    data: dict[str, Any] = {"tap": f"measured-{row['block']}", "do": "block measured", "block": row["block"]}
    figures = [row.get(name, "") for name in NAMES]
    return quilt.visitor.post(f"{quilt.at}/taps", data | {"length": figures, "maker": row.get("maker", "")} | more)


@pytest.fixture
def lantern(phone: Visitor, store: Store) -> Quilt:
    """The worked example's quilt, nothing measured."""
    return Quilt(phone, add_quilt(store, lantern_text(frame=False, more=SASHED)))


@pytest.fixture
def measured(phone: Visitor, store: Store) -> Quilt:
    """All twelve of its blocks measured."""
    quilt = add_quilt(store, lantern_text(frame=False, more=SASHED))
    for row in ROWS:
        tap = BlockMeasured(
            id=f"measured-{row['block']}", block=int(row["block"]), lengths=lengths_of(row), maker=row["maker"]
        )
        quilt.append(written(tap))
    return Quilt(phone, quilt)


def test_a_block_is_measured_and_says_what_a_teacher_would(lantern: Quilt, phone: Visitor) -> None:
    text = said(phone, f"{lantern.at}/measure/5")
    assert "planned 10½ in . Pressed, cool, not pulled." in text
    assert measure(lantern, ROWS[4]).status_code == 303
    text = said(phone, f"{lantern.at}/measure/5")
    assert "It came out small by 7/32 in across and 3/16 in down." in text
    assert "it is the guide: move it that much nearer to the needle" in text
    assert "1 of 12 measured" in text
    assert "Next: block 6" in text
    (tap,) = [tap for tap in lantern.stored.taps if tap["do"] == "block measured"]
    assert tap["lengths"] == list(lengths_of(ROWS[4])), "kept as it was said"
    assert tap["maker"] == "second"


ASKED = [
    ({"w1": "105"}, "was 10 1/2 meant?"),
    ({"h2": "0"}, "it measures more than nothing, and is planned 10 1/2 in"),
    ({"w3": ""}, "the width near the bottom edge is missing"),
    ({"d1": "14 7/8"}, "The second diagonal is missing"),
    ({"h1": "wide"}, "a length is written as 10 1/2"),
]


@pytest.mark.parametrize(("wrong", "asked"), ASKED)
def test_figures_that_cannot_be_are_asked_about_and_nothing_is_kept(
    wrong: dict[str, str], asked: str, lantern: Quilt
) -> None:
    answer = measure(lantern, ROWS[0] | wrong)
    assert answer.status_code == 400
    assert asked.lower() in words_of(answer).lower()
    assert not [tap for tap in lantern.stored.taps if tap["do"] == "block measured"]


def test_many_in_a_row_go_on_to_the_next_without_the_result_between(lantern: Quilt, phone: Visitor) -> None:
    assert "Keep them, and on to block 2" in said(phone, f"{lantern.at}/measure/1")
    answer = measure(lantern, ROWS[0], row="2")
    assert answer.headers["Location"] == f"{lantern.at}/measure/2?framed=0"
    wrong = measure(lantern, ROWS[1] | {"w1": "105"}, row="3")
    assert wrong.status_code == 400
    assert f'href="{lantern.at}/measure/3' not in wrong.text


def test_the_board_shows_which_blocks_are_measured(lantern: Quilt, phone: Visitor) -> None:
    assert "measured" not in phone.text(f"{lantern.at}/blocks")
    measure(lantern, ROWS[4])
    measure(lantern, ROWS[8])
    phone.post(f"{lantern.at}/taps", {"tap": "pressed-9", "do": "block brought", "block": "9", "how": "pressed again"})
    page = phone.get(f"{lantern.at}/blocks").text
    assert re.findall(r'Block (\d+), [^"]*, (measure[a-z ]*)"', page) == [("5", "measured"), ("9", "measure again")]


def test_figures_are_changed_and_taken_back(lantern: Quilt, phone: Visitor) -> None:
    measure(lantern, ROWS[4])
    measure(lantern, ROWS[0] | {"block": "5"}, tap="measured-5-again")
    assert "As planned, 10½ in" in said(phone, f"{lantern.at}/measure/5")
    lantern.do("take back", "measured-5-again")
    assert "It came out small by 7/32 in" in said(phone, f"{lantern.at}/measure/5")
    lantern.do("take back", "measured-5")
    assert "0 of 12 measured" in said(phone, f"{lantern.at}/measure/5")


def test_figures_that_an_edited_plan_carried_over_offer_no_taking_back_that_would_be_refused(
    lantern: Quilt, phone: Visitor
) -> None:
    measure(lantern, ROWS[4])
    page = f"{lantern.at}/measure/5"
    assert "Take these figures back" in said(phone, page)
    text = lantern.stored.about["plan"].replace('title = "', 'title = "New ', 1)
    carried = {"id": "carried-over", "do": "carried", "counts": [], "lost": []}
    told = [[5, "measured-5", "measured", list(lengths_of(ROWS[4])), "second", 0]]
    lantern.stored.append_with(carried | {"told": told}, plan=text)
    assert "It came out small by 7/32 in" in said(phone, page)
    assert "Take these figures back" not in said(phone, page)


def test_the_first_to_be_measured_is_shown_first(lantern: Quilt, phone: Visitor) -> None:
    measure(lantern, ROWS[0])
    assert phone.get(f"{lantern.at}/measure").headers["Location"].endswith("/measure/2")
    assert phone.get(f"{lantern.at}/measure/13").status_code == 404
    assert phone.get(f"{lantern.at}/sizes?kind=none").status_code == 404


SAMPLES = [(0, "Cut on: the rest can be like it."), (4, "Cut on, but move the guide"), (6, "Cut nothing more yet")]


@pytest.mark.parametrize(("row", "words"), SAMPLES)
def test_the_sample_decides_before_the_rest_is_cut(row: int, words: str, lantern: Quilt, phone: Visitor) -> None:
    measure(lantern, ROWS[row])
    text = said(phone, f"{lantern.at}/sizes")
    assert words in text
    assert "With 2 more measured it can be said what all should be" in text
    assert "Square all to" not in text


def test_what_no_ruler_shows_is_not_said_to_be_lost() -> None:
    """A point that loses less than is said in inches loses nothing."""
    blocks = [block_of(1, "10 3/8"), block_of(2, "10 3/8,10 7/16,10 3/8", "10 3/8"), block_of(3, "10 1/2")]
    sizes = OneSize(square_shape(), blocks)
    tried = sizes.at(length("10 3/8"))
    words = SizeWords(sizes.shape)
    said = [words.treatment(each, tried.size) for each in tried.treatments]
    assert said == ["Leave it.", "Trim to 10⅜ in, centred.", "Trim to 10⅜ in, centred; 1⁄16 in off the points."]


def test_three_blocks_are_enough(lantern: Quilt, phone: Visitor) -> None:
    for row in ROWS[:3]:
        measure(lantern, row)
    text = said(phone, f"{lantern.at}/sizes")
    assert "Keep the plan's 10½ in: every block comes to it." in text
    assert "3 of 12 measured" in text


def each_of(page: str) -> list[list[str]]:
    page = page.replace("\N{NO-BREAK SPACE}", " ")
    return [json.loads(html.unescape(found)) for found in re.findall(r'data-each="([^"]*)"', page)]


def test_what_all_blocks_say_and_every_mark_is_worked_out_before(measured: Quilt, phone: Visitor) -> None:
    page = phone.get(f"{measured.at}/sizes").text
    text = said(phone, f"{measured.at}/sizes")
    assert "First press blocks 9, 10 and 12 again and measure them. Then square them all to 10⅜ in." in text
    assert "No point loses more than 3/32 in." in text
    assert "second, 4 blocks: By the ruler each seam takes about 1/32 in too much" in text
    sizes = worked_example(frame=False)
    words = SizeWords(sizes.shape)
    lists = each_of(page)
    for place in range(12):
        to_try = (*sizes.sizes, *sizes.larger_sizes)
        wanted = [words.treatment(sizes.at(size).treatments[place], size) for size in to_try]
        assert wanted in lists
    assert [f"10{part}" for part in ("", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8")] in lists
    tried = said(phone, f"{measured.at}/sizes?size=10+1%2F4")
    assert "First press blocks 9, 10 and 12 again and measure them. Then square them all to 10¼ in." in tried
    assert "Proposed: 10⅜ in" in tried


def test_what_is_pressed_again_is_said_before_the_size(lantern: Quilt, phone: Visitor) -> None:
    for row in (*ROWS[:2], ROWS[8]):
        measure(lantern, row)
    text = said(phone, f"{lantern.at}/sizes")
    assert "First press block 9 again and measure it. Then keep the plan's 10½ in. 1 pressed and measured again" in text


def test_what_is_proposed_is_not_among_the_other_ways(measured: Quilt, phone: Visitor) -> None:
    ways = said(phone, f"{measured.at}/sizes").partition("Other ways")[2]
    assert "Keep the plan's size, 10½ in" in ways
    assert "10⅜ in" not in ways


def test_a_size_larger_than_planned_is_tried_and_says_that_nothing_in_the_plan_follows(
    lantern: Quilt, phone: Visitor
) -> None:
    for row in ROWS[:3]:
        measure(lantern, row | dict.fromkeys(NAMES[:6], "10 5/8"))
    text = said(phone, f"{lantern.at}/sizes")
    assert "Keep the plan's 10½ in: every block comes to it." in text
    assert "Sashes, triangles, borders, backing and binding follow from it." in text
    tried = said(phone, f"{lantern.at}/sizes?size=10+5%2F8")
    assert "Square them all to 10⅝ in, larger than planned. 3 left as they are." in tried
    assert "That is larger than the 10½ in that the plan can square to" in tried
    button = re.search(r"<button[^>]*>See what follows", phone.get(f"{lantern.at}/sizes?size=10+5%2F8").text)
    assert button is not None
    assert " hidden" in button[0]


def test_the_size_becomes_an_edit_of_the_plan_that_shows_first_what_changes(measured: Quilt, phone: Visitor) -> None:
    answer = phone.post(f"{measured.at}/plan/squared", {"kind": "lantern", "framed": "0", "size": "10 3/8"})
    assert answer.status_code == 200
    assert "Everything that is done still fits" in words_of(answer)
    assert "squared" not in measured.stored.about["plan"]
    text = html.unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", answer.text, re.S).group(1))  # type: ignore[union-attr]
    assert 'squared = "10 3/8"' in text
    seen = re.search(r'name="seen" value="([^"]*)"', answer.text)
    tap = re.search(r'name="tap" value="([^"]*)"', answer.text)
    assert seen is not None
    assert tap is not None
    used = phone.post(f"{measured.at}/plan", {"plan": text, "do": "use", "seen": seen[1], "tap": tap[1]})
    assert used.status_code == 303
    assert 'squared = "10 3/8"' in measured.stored.about["plan"]
    again = said(phone, f"{measured.at}/sizes")
    assert "12 of 12 measured" in again, "the figures are kept with the blocks"
    assert "The plan squares them to 10⅜ in ." in again


def test_a_size_that_is_none_is_asked_about(measured: Quilt, phone: Visitor) -> None:
    for kind, size in (("lantern", ""), ("lantern", "small"), ("none", "10")):
        answer = phone.post(f"{measured.at}/plan/squared", {"kind": kind, "framed": "0", "size": size})
        assert answer.status_code == 400
        assert "choose one once more" in words_of(answer)
    answer = phone.post(f"{measured.at}/plan/squared", {"kind": "lantern", "framed": "0", "size": "10 3/4"})
    assert answer.status_code == 422
    assert "the block is only 10 1/2 in before that" in words_of(answer)


def test_what_was_done_with_a_block_is_kept_counted_and_taken_back(measured: Quilt, phone: Visitor) -> None:
    assert "Sewn again" in said(phone, f"{measured.at}/measure/11")
    data = {"tap": "sewn-again-11", "do": "block brought", "block": "11", "how": "sewn again"}
    assert phone.post(f"{measured.at}/taps", data).status_code == 303
    assert "Sewn again: measure it once more." in said(phone, f"{measured.at}/measure/11")
    text = said(phone, f"{measured.at}/sizes")
    assert "11 of 12 measured" in text
    assert "Block 11 sewn again: measure it once more" in text
    assert "block 11: sewn again" in said(phone, f"{measured.at}/latest")
    measured.do("take back", "sewn-again-11")
    assert "12 of 12 measured" in said(phone, f"{measured.at}/sizes")
    assert phone.post(f"{measured.at}/taps", data | {"tap": "sewn-again-x", "how": "thrown"}).status_code == 400


def test_a_block_pressed_again_is_taken_as_it_lies(measured: Quilt, phone: Visitor) -> None:
    measured.stored.append(written(BlockBrought(id="pressed-9", block=9, how="pressed again")))
    measure(measured, ROWS[8], tap="measured-9-again")
    assert (
        "Press it and measure it again" not in said(phone, f"{measured.at}/measure/9").split("The figures behind it")[0]
    )


def test_frames_measured_and_blocks_before_them_are_told_apart(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, lantern_text()))
    measure(quilt, ROWS[0])
    row = ROWS[0] | dict.fromkeys(NAMES[:6], "12 1/2")
    measure(quilt, row, framed="1", tap="framed-1")
    assert "planned 12½ in with its frames on" in said(phone, f"{quilt.at}/measure/1?framed=1")
    assert "As planned, 12½ in" in said(phone, f"{quilt.at}/measure/1?framed=1")
    assert "planned 10½ in . Pressed" in said(phone, f"{quilt.at}/measure/1?framed=0")


def test_wide_frames_that_would_not_reach_are_said(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, lantern_text()))
    for row in ROWS:
        measure(quilt, row)
    text = said(phone, f"{quilt.at}/sizes?framed=0")
    assert "Cut all strips 2 in wide; 29/32 in to 1¼ in of them shows." in text
    assert "The planned 1½ in would not reach." in text


def test_wide_frames_become_an_edit_of_the_plan(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, lantern_text()))
    answer = phone.post(f"{quilt.at}/plan/squared", {"kind": "lantern", "frames": "1", "size": "2"})
    assert answer.status_code == 200
    text = html.unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", answer.text, re.S).group(1))  # type: ignore[union-attr]
    assert 'cut = "2"' in text
    assert 'squared_framed = "12 1/2"' in text


ASSORTED = "11 8 1 4 3 2 7 6 5 10 9 12"
"""The worked example's blocks in sorted rows, changed only with those pressed alike."""


@pytest.fixture
def edge_to_edge(phone: Visitor, store: Store) -> Quilt:
    """The worked example's blocks without sashes, all measured."""
    quilt = Quilt(phone, add_quilt(store, lantern_text(frame=False)))
    for row in ROWS:
        measure(quilt, row)
    return quilt


def lay(quilt: Quilt, places: str, tap: str) -> TestResponse:
    return quilt.visitor.post(f"{quilt.at}/taps", {"tap": tap, "do": "blocks laid", "places": places})


def test_blocks_sorted_by_size_lie_so_wherever_places_are_said(edge_to_edge: Quilt, phone: Visitor) -> None:
    at = edge_to_edge.at
    assert "heights differ by at most 5/32 in along a row" in said(phone, f"{at}/sizes")
    assert f'name="places" value="{ASSORTED}"' in phone.get(f"{at}/sizes").text
    assert lay(edge_to_edge, ASSORTED, "sorted-rows").status_code == 303
    page = phone.get(f"{at}/layout").text
    labels = re.findall(r'id="place-(\d+)"[^>]*aria-label="[^"]*row (\d), place (\d)', page)
    wanted = [(number, str(place // 3 + 1), str(place % 3 + 1)) for place, number in enumerate(ASSORTED.split())]
    assert sorted(labels) == sorted(wanted)
    assert "Blocks have changed places" in page
    assert "Lantern, row 1, place 1" in phone.text(f"{at}/blocks/11")
    assert "Lantern, row 4, place 1" in phone.text(f"{at}/blocks/10")
    board = phone.get(f"{at}/blocks").text
    assert re.findall(r'aria-label="Block (\d+)', board) == ASSORTED.split()
    places = [int(number) for number in ASSORTED.split()]
    for step in edge_to_edge.compiled.checklist.steps:
        path = f"{at}/steps/{edge_to_edge.compiled.short[step.id]}"
        if isinstance(step.action, SetBlock):
            lie = [places[number - 1] for number in step.blocks or ()]
            assert f"Lay {blocks_named(lie)} in" in said(phone, path)
            assert [int(n) for n in re.findall(r"<text[^>]*>(\d+)</text>", phone.get(path).text) if int(n) in lie]
        if step.per == "quilt" and edge_to_edge.compiled.titles[step.id] == "Join row 2":
            assert "Blocks 4, 3 and 2, in place" in said(phone, path)
    assert "They lie so" in phone.text(f"{at}/sizes")
    assert "blocks sorted by size" in phone.text(f"{at}/latest")
    edge_to_edge.do("take back", "sorted-rows")
    assert "Blocks have changed places" not in phone.text(f"{at}/layout")
    assert "Lantern, row 4, place 2" in phone.text(f"{at}/blocks/11")


def test_blocks_change_places_only_with_those_pressed_alike(edge_to_edge: Quilt, phone: Visitor) -> None:
    for places in ("1 2", "2 1 3 4 5 6 7 8 9 10 11 12", "1 1 3 4 5 6 7 8 9 10 11 12", "0 2 3 4 5 6 7 8 9 10 11 13"):
        answer = lay(edge_to_edge, places, f"places-{len(places)}")
        assert answer.status_code == 409
        assert "pressed alike" in words_of(answer)
    assert "Blocks have changed places" not in phone.text(f"{edge_to_edge.at}/layout")


def test_an_edit_that_cannot_keep_where_sorted_blocks_lie_says_so_before(edge_to_edge: Quilt, phone: Visitor) -> None:
    at, text = edge_to_edge.at, edge_to_edge.stored.about["plan"]
    wider, longer = text.replace("Lantern", "Lamp", 1), text.replace("down = 4", "down = 5")
    lay(edge_to_edge, ASSORTED, "sorted-rows")
    for edited, unlaid in ((wider, False), (longer, True)):
        answer = words_of(phone.post(f"{at}/plan", {"plan": edited, "do": "look"}))
        assert "What changes" in answer
        assert ("Every block lies by its number again." in answer) == unlaid


def test_seams_or_units_from_two_more_figures(lantern: Quilt, phone: Visitor) -> None:
    text = said(phone, f"{lantern.at}/measure/1?inner=1+15%2F16&end=2+7%2F32")
    assert "The seam is 1/32 in too wide. The units are right." in text
    assert "A length is written as" in said(phone, f"{lantern.at}/measure/1?inner=x&end=2")


def test_the_doors_to_it(lantern: Quilt, phone: Visitor) -> None:
    for path in (lantern.step_path("Square Lantern"), f"{lantern.at}/blocks", f"{lantern.step_path('Square')}/mend"):
        assert f"{lantern.at}/measure" in phone.get(path).text, path
    assert f"{lantern.at}/measure/3" in phone.get(f"{lantern.at}/blocks/3").text


def test_a_table_to_fill_in_by_hand_has_a_line_for_every_block(lantern: Quilt, phone: Visitor) -> None:
    page = phone.get(f"{lantern.at}/sizes").text
    table = page[page.index("paper-measures") :]
    assert table.count('<th scope="row">') == 12


def test_the_sizes_are_those_of_the_command(measured: Quilt) -> None:
    assert worked_example(frame=False).proposed == length("10 3/8")
