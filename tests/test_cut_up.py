"""Nine-patches that are cut up: sizes, every way to turn the quarters, what is refused, and what is said."""

from __future__ import annotations

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.exact.measure import Measure, read_length
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.plan_writer import write_plan
from tracker.plan.problems import sentence
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words
from tracker.work.steps import Checklist, CutApart
from tracker.work.things import QUARTER

USUAL = '[["0", "180"], ["180", "0"]]'
TEXT = """
title = "Cut up"
{top}
fabrics.S = {{ name = "pale sand", tone = {tones[0]} }}
fabrics.R = {{ name = "brick", tone = {tones[1]} }}
fabrics.T = {{ name = "teal", tone = {tones[2]} }}
[blocks.b]
{size}
cut_up = {turns}
picture = '''
{picture}
'''
{more}
[quilt]
block = "b"
across = {across}
down = 2
"""


def text_of(
    turns: str = USUAL, size: str = 'cell = "4 1/2"', picture: str = "S R S\nR T R\nS R S", **other: object
) -> str:
    facts = {"top": "", "tones": (2, 5, 8), "more": "", "across": 2} | other
    return TEXT.format(turns=turns, size=size, picture=picture, **facts)


def plan_of(**facts: object) -> Plan:
    reading = read_plan(text_of(**facts))  # type: ignore[arg-type]
    assert reading.plan is not None, [sentence(problem) for problem in reading.problems]
    return reading.plan


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    verdict = prove(plan, checklist)
    assert verdict.holds, verdict.first
    return checklist


# Common practice, from memory: squares of 5 in give a nine-patch of 14 in, quarters of 7 in, a block of 13 1/2 in; of
# 10 in (29, 14 1/2, 28 1/2). Others are reckoned: n squares of c unfinished lose 4 seams, and the quarters 2 more.
SIZES = {
    "charm squares": ('cell = "4 1/2"', "", "5", "7", "13"),
    "large squares": ('cell = "9 1/2"', "", "10", "14 1/2", "28"),
    "by the block": ('size = "13"', "", "5", "7", "13"),
    "in centimetres": ('cell = "10"', 'unit = "cm"', "11.5", "15.75", "28.5"),
}


@pytest.mark.parametrize("name", SIZES)
def test_sizes_are_those_of_the_trade(name: str) -> None:
    size, top, square, quarter, finished = SIZES[name]
    plan = plan_of(size=size, top=top)
    checklist = proved(plan)
    assert {piece.width for piece in checklist.pieces} == {read_length(square, plan.unit)}
    assert {row.trimmed for row in checklist.units} == {(read_length(quarter, plan.unit),) * 2}
    assert checklist.blocks[0].finished == (read_length(finished, plan.unit),) * 2


def test_each_nine_patch_gives_four_quarters_and_every_block_takes_four() -> None:
    checklist = proved(plan_of(across=3))
    quarters = [row for row in checklist.units if row.kind == QUARTER]
    assert [(row.needed, row.made, row.spare) for row in quarters] == [(12, 12, 0), (12, 12, 0)]
    (cut,) = [step for step in checklist.steps if isinstance(step.action, CutApart)]
    assert cut.count == 6
    assert not any(checklist.spares[pile] for pile in checklist.spares if pile in {row.pile for row in quarters})


@settings(max_examples=tries(60, 12), deadline=None)
@given(st.data())
def test_however_its_quarters_are_turned_it_is_proved(data: st.DataObject) -> None:
    turn = st.sampled_from(["0", "90", "180", "270"])
    turns = [[data.draw(turn), data.draw(turn)] for _ in range(2)]
    tones = tuple(data.draw(st.lists(st.integers(1, 9), min_size=3, max_size=3)))
    top = data.draw(st.sampled_from(["", 'seam = "3/8"', 'unit = "cm"']))
    middle = data.draw(st.sampled_from("ST"))
    more = data.draw(st.sampled_from(["", '[[blocks.b.frame]]\nfabric = "T"\ncut = "2"', 'squared = "12 3/4"']))
    plan = plan_of(
        turns=str(turns).replace("'", '"'),
        tones=tones,
        top=top,
        picture=f"S R S\nR {middle} R\nS R S",
        size='size = "13"' if "cm" not in top else 'cell = "6"',
        more=more if "cm" not in top else "",
    )
    proved(plan)
    assert read_plan(write_plan(plan)).plan == plan


REFUSED = {
    "two rows of two": (text_of(turns='[["0", "180", "0"]]'), "a nine-patch is cut in four"),
    "four cells": (text_of(picture="S R\nR S"), "asks for a nine-patch"),
    "corners of two cloths": (text_of(picture="S R T\nR T R\nS R S"), "asks for a nine-patch"),
    "a half": (text_of(picture="S R S\nR S/T R\nS R S"), "asks for a nine-patch"),
    "sides like the corners": (text_of(picture="S S S\nS T S\nS S S"), "asks for a nine-patch"),
    "a middle like the sides": (text_of(picture="S R S\nR R R\nS R S"), "asks for a nine-patch"),
    "oblong": (text_of(size='columns = ["2", "2", "2"]\nrows = ["2", "3", "2"]'), "asks for a nine-patch"),
    "too small": (text_of(size='cell = "1"'), "they must be wider than 1 in"),
    "combined": (text_of(size='cell = "4"\ncombine = true'), "of a nine-patch that is cut up"),
    "another turn": (text_of(turns='[["0", "45"], ["180", "0"]]'), "45"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_cut_up_is_refused_in_one_sentence(name: str) -> None:
    text, words = REFUSED[name]
    reading = read_plan(text)
    assert reading.plan is None
    (said,) = [sentence(problem) for problem in reading.problems]
    assert words in said


def test_what_is_said_of_it() -> None:
    plan = plan_of()
    checklist = compile_plan(plan)
    words = Words(plan, checklist)
    cut = next(step for step in checklist.steps if isinstance(step.action, CutApart))
    assert words.text(cut).startswith("Cut each nine-patch through the middle both ways, 7 in from its edges")
    assert "bag A" in words.text(cut)
    assert words.check(cut) == "Each is 7 in square, and the middle patch was cut in four alike."
    titles = [words.title(step) for step in checklist.steps]
    assert len(set(titles)) == len(titles)
    assert Measure(13) == checklist.blocks[0].finished[0]
