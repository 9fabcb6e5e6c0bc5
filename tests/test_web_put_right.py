"""Put right on every step, done or not: what it says of each usual mistake, and what that counts."""

from __future__ import annotations

import re

import pytest
from planning import plan_of
from quilting import quilt_plan
from test_web_recounts import RED, SEW, TRIM, mend, pile_of, said
from test_web_steps import make_units
from visitors import Quilt, Visitor, add_quilt

from tracker.plan.plan_reader import write_plan
from tracker.route.compiler import compile_plan
from tracker.store.quilts import Store
from tracker.words.measures_wrong import measures_wrong
from tracker.words.step_words import Words

ROW = "Join row 1"
SQUARE = "Square"

STATES = {
    "nothing done": (),
    "units made": ("units",),
    "blocks squared": ("units", "squared"),
}


def brought(sewing: Quilt, state: tuple[str, ...]) -> None:
    if "units" in state:
        make_units(sewing)
    if "squared" in state:
        for block in "12":
            said(sewing, "stage", block=block, step=sewing.short(SQUARE))


@pytest.mark.parametrize("state", STATES.values(), ids=STATES)
def test_no_step_is_without_an_answer(state: tuple[str, ...], phone: Visitor, sewing: Quilt) -> None:
    brought(sewing, state)
    for title in sewing.compiled.titles.values():
        page = phone.get(mend(sewing, title)).text
        assert "The exact number" in page
        assert page.count('<details class="mistake">') > 1, title
        assert "<form" in page.partition("The exact number")[2] or "No block is counted here" in page, title


WHOLE = write_plan(
    quilt_plan(
        across=2,
        down=2,
        quilt="""
[quilt.sash]
fabric = "B"
cut = "1 1/2"
cornerstone = "A"
[[quilt.border]]
fabric = "B"
cut = "2 1/2"
[quilt.binding]
fabric = "B"
cut = "2 1/2"
[quilt.backing]
fabric = "A"
[quilt.batting]
""",
    )
)


def test_no_step_of_the_whole_quilt_is_without_one_either(phone: Visitor, store: Store) -> None:
    sewing = Quilt(phone, add_quilt(store, WHOLE))
    for step in sewing.compiled.checklist.steps:
        page = phone.get(f"{sewing.at}/steps/{sewing.compiled.short[step.id]}/mend").text
        assert page.count('<details class="mistake">') > 1, step.id


MISTAKES = [
    (RED, "The wrong number", "spare"),
    ("Mark", "Marked the dark side", "as long as you see the line"),
    (SEW, "Sewed one side only", "Do not cut yet"),
    ("Cut apart", "Cut through the wrong line", "count its pieces as spoiled"),
    ("Press the rows", "Pressed the wrong way", "Nothing is unpicked."),
    (TRIM, "The seam was off the ruler's diagonal", "trim it again"),
    ("Lay out", "A piece turned, or two swapped", "no seam holds them yet"),
    ("Lay out", "Two rows swapped", "Lay them in order"),
    (ROW, "A piece is turned", "the seams on both sides of it"),
    (SQUARE, "Trimmed too small", "Do not cut again."),
    (SQUARE, "Measures wrong It should measure 4½ in square", "let it cool, and measure again"),
    (SQUARE, "Short by up to 1⁄16 in: ease it", "Up to ⅛ in: that too, with care."),
    (RED, "Lost the place", "Count what lies there"),
]


@pytest.mark.parametrize(("title", "mistake", "answer"), MISTAKES, ids=[f"{row[0]}: {row[1]}" for row in MISTAKES])
def test_each_usual_mistake_is_answered_where_it_is_made(title: str, mistake: str, answer: str, sewing: Quilt) -> None:
    text = sewing.visitor.text(mend(sewing, title))
    assert mistake in text
    assert answer in text


def test_a_frame_s_seams_count_with_those_of_the_block() -> None:
    plan = plan_of("S R\nR S", frames='[[blocks.b.frame]]\nfabric = "K"\ncut = "1 1/2"')
    checklist = compile_plan(plan)
    said = {step.id: measures_wrong(Words(plan, checklist), step) for step in checklist.steps}
    assert "over one seam, 1⁄16 in" in " ".join(
        next(words for step, words in said.items() if step.startswith("joined"))
    )
    assert "over 3 seams, 3⁄16 in" in " ".join(next(words for step, words in said.items() if "squared with" in step))


def test_unequal_border_strips_are_answered(phone: Visitor, store: Store) -> None:
    sewing = Quilt(phone, add_quilt(store, WHOLE))
    assert "The two strips are unequal" in phone.text(mend(sewing, "Cut the side strips of border 1"))


def test_more_than_the_plan_asks_for_is_said_and_offered(phone: Visitor, sewing: Quilt) -> None:
    said(sewing, "counted", step=sewing.short(RED), times="6")
    text = phone.text(mend(sewing, RED))
    assert "Of these more than the plan asks for: 2 lamp red squares, 2½ in. They are spares." in text
    said(sewing, "spoiled", pile=pile_of(sewing, RED), times="2")
    text = phone.text(mend(sewing, RED))
    assert "To be cut again for it: ✓ 2 lamp red squares, 2½ in cut" in text


def test_before_a_row_is_unpicked_it_says_once_what_else_comes_apart(phone: Visitor, sewing: Quilt) -> None:
    brought(sewing, STATES["blocks squared"])
    path = mend(sewing, ROW)
    assert 'name="unpick"' in phone.get(path).text
    asked = phone.text(f"{path}?unpick=2")
    assert "Unpick “Join row 1” of block 2? With it, these count as not done: Press the rows of Lantern" in asked
    assert "The exact number" not in asked
    before = sewing.progress().counts.done
    said(sewing, "opened", step=sewing.short(ROW), block="2", then=f"{path}?unpick=2")
    text = phone.text(f"{path}?unpick=2")
    assert "Block 2 was opened. Is it as far again as it was" in text
    assert "Block 2 is as far as “Square Lantern”" in text
    tap = sewing.stored.taps[-1]["id"]
    sewing.do("take back", tap)
    assert {key: n for key, n in sewing.progress().counts.done.items() if n} == {k: n for k, n in before.items() if n}


def test_sewn_again_is_told_at_one_tap(phone: Visitor, sewing: Quilt) -> None:
    brought(sewing, STATES["blocks squared"])
    before = {key: n for key, n in sewing.progress().counts.done.items() if n}
    said(sewing, "opened", step=sewing.short(ROW), block="2")
    said(sewing, "stage", step=sewing.short(SQUARE), block="2")
    assert {key: n for key, n in sewing.progress().counts.done.items() if n} == before
    assert "was opened" not in phone.text(mend(sewing, ROW))


def test_a_piece_spoiled_in_a_block_is_chosen_by_block_and_row(phone: Visitor, sewing: Quilt) -> None:
    brought(sewing, STATES["blocks squared"])
    page = phone.get(mend(sewing, ROW)).text
    values = re.findall(r'<option value="([^"]+)">([^<]+)<', page)
    assert [words for _, words in values] == [
        "half-square triangle, lamp red / pale sand, trimmed, row 1",
        "lamp red square, 2½ in, row 1",
    ]
    said(sewing, "spoiled within", block="1", piece=values[1][0], times="1")
    text = phone.text(mend(sewing, ROW))
    assert "Lost so far 1 lamp red square, 2½ in To be cut again for it: 1 lamp red square, 2½ in" in text
    assert "1 to cut" in text
    assert "spoiled in block 1: 1 lamp red square, 2½ in" in phone.text(f"{sewing.at}/latest")
    for wrong in ({"piece": "nonsense x"}, {"piece": values[1][0].partition(" ")[0] + " x"}, {"block": "9"}):
        answer = said(sewing, "spoiled within", **({"block": "1", "piece": values[1][0], "times": "1"} | wrong))
        assert answer.status_code in (400, 409)


def test_a_block_is_made_anew(phone: Visitor, sewing: Quilt) -> None:
    brought(sewing, STATES["blocks squared"])
    assert "Make the whole block anew" in phone.text(mend(sewing, SQUARE))
    said(sewing, "block spoiled", block="2")
    assert sewing.progress().counts.stage(2).done == 0
    assert "block 2 given up, to be made anew" in phone.text(f"{sewing.at}/latest")
    assert said(sewing, "block spoiled", block="2").status_code == 409


def test_a_press_is_done_again_and_nothing_is_unpicked(phone: Visitor, sewing: Quilt) -> None:
    make_units(sewing)
    said(sewing, "stage", block="1", step=sewing.short("Press the rows"))
    assert "To be pressed again Nothing is unpicked." in phone.text(mend(sewing, "Press the rows"))
    said(sewing, "put back", step=sewing.short("Press the rows"), blocks="1")
    assert "block 1 to be pressed again" in phone.text(f"{sewing.at}/latest")
    assert sewing.count(ROW).startswith("1 of 2 done")
    said(sewing, "stage", block="1", step=sewing.short(SQUARE))
    assert "Press it over from the back where it lies" in phone.text(mend(sewing, "Press the rows"))


def test_a_block_counted_by_mistake_is_counted_no_more(phone: Visitor, sewing: Quilt) -> None:
    brought(sewing, STATES["blocks squared"])
    assert "Was not squared after all" in phone.text(mend(sewing, SQUARE))
    said(sewing, "not done", step=sewing.short(SQUARE), blocks="2")
    assert sewing.count(SQUARE) == "1 of 2 done, 1 ready"
    assert "block 2 not squared after all" in phone.text(f"{sewing.at}/latest")


def test_what_has_gone_on_is_put_right_where_it_lies_now(phone: Visitor, sewing: Quilt) -> None:
    make_units(sewing)
    text = phone.text(mend(sewing, "Pair"))
    assert "Gone on already? Put it right where it lies now: Trim half-square triangles, lamp red / pale sand 4" in text
