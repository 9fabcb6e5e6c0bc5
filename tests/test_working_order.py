"""The order of the work as piecers keep it: in the list, in passes, in what is offered next."""

from __future__ import annotations

from itertools import pairwise
from random import Random
from typing import Any

import pytest
from freezing import PLANS
from hypothesis import given
from hypothesis import strategies as st
from planning import tapped
from random_quilts import random_quilt

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.progress.batches import Pace, carry_on, in_work, now_at
from tracker.progress.ledger import Progress
from tracker.quilt.cloth_cutting import BLOCK_USES
from tracker.route.compiler import compile_plan
from tracker.route.passes import passes
from tracker.route.working_order import BLOCKS, CUTTING, PLACES, QUILT, UNITS, cut_to_fit, sections, working_order
from tracker.units.maker import Bench
from tracker.words.json_report import steps_report
from tracker.words.pass_words import pass_title
from tracker.words.step_words import Words
from tracker.work.steps import About, AddStrips, Checklist, Cut, CutApart, LayOut, Step
from tracker.work.whole_blocks import Bind, Layer, MeasureBlock, SetBlock

CLOTHS = 12
SCRAPPY = "\n".join(
    ["S/A S/B S/C S/D", "S/E S/F S/G S/H", "S/I S/J S/K S/L"],
)


def frozen(name: str) -> Plan:
    plan = read_plan(PLANS[name].read_bytes()).plan
    assert plan is not None
    return plan


def scrappy() -> Plan:
    """Half-squares of twelve cloths with one background, two rows of three blocks."""
    keys = "ABCDEFGHIJKL"
    cloths = "".join(f'[fabrics.{key}]\nname = "scrap {key.lower()}"\ntone = 6\n' for key in keys)
    plan = read_plan(
        f'title = "Scraps"\n[fabrics.S]\nname = "sand"\ntone = 2\n{cloths}[blocks.b]\ncell = "2"\npicture = \'\'\'\n'
        f'{SCRAPPY}\n\'\'\'\n[quilt]\nblock = "b"\nacross = 3\ndown = 2\n[quilt.binding]\nfabric = "S"\n'
    ).plan
    assert plan is not None
    return plan


def holds_the_order(checklist: Checklist) -> None:
    """Makers stand before takers, and sections follow each other without coming back, but where a maker has to."""
    made: set[str] = set()
    makers = {flow.pile: step for step in checklist.steps for flow in step.gives}
    for step in checklist.steps:
        needs = {flow.pile for flow in step.takes} | ({step.beside} if step.beside else set())
        assert needs <= made, step.id
        made |= {flow.pile for flow in step.gives}
    stands = sections(checklist)
    for first, second in pairwise(checklist.steps):
        behind = any(makers[flow.pile] == first for flow in second.takes)
        assert stands[first.id] <= stands[second.id] or behind, (first.id, second.id)


@pytest.mark.parametrize("name", sorted(PLANS))
def test_makers_stand_before_takers_and_parts_of_the_work_follow_each_other(name: str) -> None:
    holds_the_order(compile_plan(frozen(name)))


@given(st.integers(0, 1 << 30))
def test_the_order_of_quilts_drawn_by_lot(lot: int) -> None:
    checklist = compile_plan(random_quilt(Random(lot)))
    holds_the_order(checklist)
    # It is an order of the steps alone: brought into order once more they stand as they stood.
    assert working_order(checklist.piles, checklist.steps) == checklist.steps


def part_by_hand(checklist: Checklist, step: Step) -> int:
    """The part of the work that a step of blocks and their patches and units belongs to, told by what it does."""
    if isinstance(step.action, Cut):
        return CUTTING if step.action.use in BLOCK_USES else QUILT
    if isinstance(step.action, SetBlock):
        return PLACES
    if step.of_the_quilt:
        return QUILT
    return UNITS if step.per == "quilt" else BLOCKS


@pytest.mark.parametrize("name", sorted(PLANS))
def test_what_only_the_quilt_needs_comes_after_the_blocks(name: str) -> None:
    """Sashes, triangles, borders, backing and binding are cut with the work that they serve."""
    checklist = compile_plan(frozen(name))
    parts = [part_by_hand(checklist, step) for step in checklist.steps]
    assert parts == sorted(parts)
    takers = {flow.pile: step for step in reversed(checklist.steps) for flow in step.takes}
    place = {step.id: number for number, step in enumerate(checklist.steps)}
    spine = [
        step for step in checklist.steps if isinstance(step.action, AddStrips | Layer | Bind) and step.of_the_quilt
    ]
    for step in checklist.steps:
        if part_by_hand(checklist, step) == QUILT and isinstance(step.action, Cut | CutApart):
            served = takers[step.gives[0].pile]
            while served not in spine and served.gives[0].pile in takers:
                served = takers[served.gives[0].pile]
            # Between what is cut and the work it serves no other strips are sewn on, nothing layered or bound.
            assert not [other for other in spine if place[step.id] < place[other.id] < place[served.id]], step.id


def test_cloth_by_cloth_and_the_largest_first() -> None:
    cuts = [
        s for s in compile_plan(frozen("kingfisher")).steps if isinstance(s.action, Cut) and s.action.use in BLOCK_USES
    ]
    assert [cut.topic.of for cut in cuts] == sorted(cut.topic.of for cut in cuts)
    for first, second in pairwise(cuts):
        assert isinstance(first.action, Cut)
        assert isinstance(second.action, Cut)
        if first.topic == second.topic:
            assert (first.action.width, first.action.height) >= (second.action.width, second.action.height)


def test_units_of_one_size_are_one_chain_whatever_their_cloths() -> None:
    """Marked, sewn, cut apart, pressed and trimmed in one pass each."""
    checklist = compile_plan(scrappy())
    units = [each for each in passes(checklist) if each.section.part == UNITS]
    done = [(each.station, sorted({step.operation for step in each.steps}), len(each.steps)) for each in units]
    assert done == [
        ("table", ["mark"], 1),
        ("machine", ["pair", "sew"], 2 * CLOTHS),
        ("table", ["cut apart"], CLOTHS),
        ("iron", ["press"], CLOTHS),
        ("table", ["trim"], CLOTHS),
    ]


WITHIN_OTHERS = r"""
title = "units within others"
trimming = "exact"
fabrics.S = { name = "sand", tone = 2 }
fabrics.R = { name = "brick", tone = 6 }
fabrics.G = { name = "moss", tone = 4 }
[blocks.ring]
size = "12"
picture = '''
R    S\R  R/G  R
R\G  G\S  G/S  S/R
R/S  S/G  S\G  G\R
R    G/R  R\S  R
'''
[blocks.arch]
size = "12"
combine = true
picture = '''
G    G    G    S\G  G/S  G    G    G
^    ^    S\G  S    S    G/S  ^    ^
^    S\G  S    ^    ^    S    G/S  ^
S\G  S    ^    ^    ^    ^    S    G/S
'''
[quilt]
blocks = [["arch", "ring"]]
"""


def test_a_piece_that_is_cut_as_late_as_it_is_needed_stands_with_what_it_is_sewn_into() -> None:
    """The order of such a plan ended in a fault wherever passes were asked for."""
    plan = read_plan(WITHIN_OTHERS).plan
    assert plan is not None
    checklist = compile_plan(plan)
    stand = sections(checklist)
    within = [
        (stand[step.id], stand[taker.id])
        for step in checklist.steps
        for taker in checklist.steps
        if step.topic.about is taker.topic.about is About.UNIT
        if {flow.pile for flow in step.gives} & {flow.pile for flow in taker.takes}
    ]
    assert within
    assert all(own <= other for own, other in within)
    assert sum(len(done.steps) for done in passes(checklist)) == len(checklist.steps)


def test_passes_of_a_block_are_what_hands_do_before_putting_it_down() -> None:
    checklist = compile_plan(frozen("kingfisher"))
    blocks = [each for each in passes(checklist) if each.section.part == BLOCKS]
    assert [(each.station, len(each.steps)) for each in blocks] == [
        ("wall", 1), ("machine", 5), ("iron", 1), ("machine", 8), ("iron", 1),
        ("table", 1), ("machine", 1), ("iron", 1), ("table", 1), ("machine", 1), ("iron", 1), ("table", 1),
    ]  # fmt: skip


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_step_is_in_one_pass_at_its_station(name: str) -> None:
    plan = frozen(name)
    report: dict[str, Any] = steps_report(plan, compile_plan(plan))
    steps = {step["id"]: step for step in report["steps"]}
    assert [step for each in report["passes"] for step in each["steps"]] == list(steps)
    assert len({each["id"] for each in report["passes"]}) == len(report["passes"])
    for each in report["passes"]:
        assert each["title"][0].isupper()
        for step in each["steps"]:
            assert (steps[step]["pass"], steps[step]["station"]) == (each["id"], each["station"])


def followed(plan: Plan, pace: Pace) -> list[tuple[Step, list[int]]]:
    """The steps in the order in which they are offered and done, each with the blocks in work."""
    progress, found = Progress(plan, compile_plan(plan)), []
    while step := carry_on(progress, pace):
        times = next(work.now for work in now_at(progress.counts, pace) if work.step == step)
        found.append((step, in_work(progress.counts, pace)))
        tapped(progress, {"id": str(len(found)), "do": "done", "step": step.id, "times": times})
    assert progress.counts.finished()
    return found


@pytest.mark.parametrize("name", ["kingfisher", "whirl_on_point", "borders_and_corners", "harbour_metric"])
def test_what_is_offered_is_never_what_the_quilt_needs_later(name: str) -> None:
    """While blocks are left to sew nothing of the quilt is offered, and nothing of a later border before this one."""
    plan = frozen(name)
    stands = sections(compile_plan(plan))
    offered = [stands[step.id] for step, _ in followed(plan, Pace())]
    of_the_quilt = [section for section in offered if section.part == QUILT]
    assert offered[-len(of_the_quilt) :] == of_the_quilt
    assert of_the_quilt == sorted(of_the_quilt)


def test_after_the_sample_all_units_then_blocks_row_by_row() -> None:
    done = followed(frozen("kingfisher"), Pace())
    stands = sections(compile_plan(frozen("kingfisher")))
    sample = [step for step, blocks in done if blocks == [1]]
    assert {stands[step.id].part for step in sample} == {CUTTING, UNITS, BLOCKS}
    rest = [(stands[step.id].part, blocks) for step, blocks in done[len(sample) :]]
    units = [place for place, (part, _) in enumerate(rest) if part in (CUTTING, UNITS)]
    blocks = {place: tuple(now) for place, (part, now) in enumerate(rest) if part == BLOCKS}
    assert max(units) < min(blocks)
    assert list(dict.fromkeys(blocks.values())) == [(2, 3, 4, 5), (6, 7, 8, 9), (10, 11, 12)]


def test_frame_strips_that_are_cut_to_fit_are_cut_when_the_first_block_measures() -> None:
    """They stand last among a cloth's patches, a pass by themselves; roomy ones are cut with the patches."""
    plan = frozen("harbour_metric")
    words = Words(plan, compile_plan(plan))
    cutting = [each for each in passes(words.checklist) if each.section.part == CUTTING]
    assert [pass_title(words, each) for each in cutting] == [
        "Cut harbour blue, 2 sizes", "Cut harbour blue, 2 sizes, for frames",
        "Cut white water, 2 sizes", "Cut white water, 2 sizes, for frames",
    ]  # fmt: skip
    frames = [step for each in cutting[1::2] for step in each.steps]
    before = "Not before the first Hull is sewn and measures 19 cm square: these are cut to fit it. From a strip"
    assert all(words.text(step).startswith(before) for step in frames)
    assert not any("Not before" in words.text(step) for step in words.checklist.steps if step not in frames)
    offered = [step for step, _ in followed(plan, Pace())]
    measured = next(place for place, step in enumerate(offered) if isinstance(step.action, MeasureBlock))
    assert {step.id for step in offered[measured + 1 : measured + 5]} == {step.id for step in frames}
    assert not {step.id for step in offered[:measured]} & {step.id for step in frames}
    demo = compile_plan(frozen("kingfisher"))
    assert not cut_to_fit(demo.steps)
    assert [len(each.steps) for each in passes(demo) if each.section.part == CUTTING] == [4, 2, 3, 3]


TWO_KINDS = """
title = "Two kinds"
trimming = "exact"
[fabrics.S]
name = "pale sand"
tone = 2
[fabrics.R]
name = "lamp red"
tone = 7
[blocks.a]
name = "Lantern"
cell = "2"
picture = '''
S R
R S
'''
[[blocks.a.frame]]
fabric = "R"
cut = "1 1/2"
[blocks.b]
name = "Beacon"
cell = "2"
picture = '''
R S
R R
'''
[[blocks.b.frame]]
fabric = "R"
cut = "1 1/2"
[quilt]
blocks = [["a", "b"]]
"""
"""Two kinds of block whose frames are cut alike, to their length."""


def fitted_words(text: str) -> str:
    plan = read_plan(text).plan
    assert plan is not None
    words = Words(plan, compile_plan(plan))
    return words.text(next(step for step in words.checklist.steps if step.id in words.to_fit)).partition(". ")[0]


def test_strips_for_frames_of_two_kinds_are_cut_when_one_of_them_measures() -> None:
    """As they are offered, then; and what is squared first is said to be."""
    each = "the first Lantern is sewn and measures 4½ in square or the first Beacon is sewn and measures 4½ in square"
    assert fitted_words(TWO_KINDS) == f"Not before {each}: these are cut to fit them"
    plan = read_plan(TWO_KINDS).plan
    assert plan is not None
    (measures,) = {tuple(each.per for each in steps) for steps in cut_to_fit(compile_plan(plan).steps).values()}
    assert measures == ("a", "b")
    squared = TWO_KINDS.replace('cell = "2"', 'cell = "2"\nsquared = "4 1/4"')
    assert fitted_words(squared) == f"Not before {each}: these are cut to fit them when they are squared"


@pytest.mark.parametrize("name", ["kingfisher", "whirl_on_point"])
def test_blocks_laid_out_are_sewn_before_any_is_laid_in_its_row(name: str) -> None:
    steps = [step for step, _ in followed(frozen(name), Pace())]
    kinds = [type(step.action) for step in steps]
    assert (LayOut, SetBlock) not in pairwise(kinds)


@pytest.mark.parametrize("name", ["kingfisher", "borders_and_corners", "long_lanes"])
def test_border_strips_are_cut_when_the_top_lies_there_that_they_are_measured_by(name: str) -> None:
    plan = frozen(name)
    checklist = compile_plan(plan)
    makers = {flow.pile: step.id for step in checklist.steps for flow in step.gives}
    offered = {step.id: place for place, (step, _) in enumerate(followed(plan, Pace()))}
    measured = [step for step in checklist.steps if step.beside]
    assert measured
    for step in measured:
        assert step.beside is not None
        (flow,) = step.takes
        # A strip that is cut for an earlier border too is cut with that.
        others = [each for each in measured if each.takes == step.takes]
        if step == others[0]:
            assert offered[makers[step.beside]] < offered[makers[flow.pile]] < offered[step.id]


def test_a_bench_without_steps_has_no_order() -> None:
    assert working_order({}, list(Bench(frozen("smallest")).steps.values())) == ()
