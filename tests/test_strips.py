"""The cutting table: the order of strips, what a tick counts, and the law that every piece comes from one strip."""

from __future__ import annotations

from collections import Counter
from random import Random
from typing import Any

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_strategies import plans
from planning import replayed, tapped
from quilting import quilt_plan

from tracker.demo import demo_plan_text
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.progress.counts import Counts
from tracker.progress.edited_plan import carry_over
from tracker.progress.ledger import Progress, Refused
from tracker.progress.strip_ticks import (
    COUNTED,
    FAT_QUARTER,
    LENGTH,
    OPEN,
    TICKED,
    ClothStrips,
    Strip,
    standing,
    strips_by_cloth,
)
from tracker.progress.tap_kinds import read_tap
from tracker.quilt.borders import CannotCut
from tracker.quilt.cloth_cutting import cut_quilt
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.quilt_summary import left_over
from tracker.words.refusals import refusal
from tracker.words.step_words import Words
from tracker.work.steps import Cut

DEMO = demo_plan_text()


def plan_from(text: str) -> Plan:
    plan = read_plan(text).plan
    assert plan is not None
    return plan


class Mat:
    """A quilt's cutting table in a test: strips by cloth, and short taps."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.checklist = plan, compile_plan(plan)
        self.cloths = strips_by_cloth(plan, self.checklist, cut_quilt(plan, self.checklist, set_quilt(plan)))
        self.progress = Progress(plan, self.checklist)
        self.taps: list[dict[str, Any]] = []

    @property
    def strips(self) -> list[Strip]:
        return [strip for cloth in self.cloths for strip in cloth.strips]

    def cloth(self, key: str) -> ClothStrips:
        return next(cloth for cloth in self.cloths if cloth.cloth == key)

    def tap(self, do: str, **what: Any) -> str:
        tap = tapped(self.progress, {"id": f"tap{len(self.taps)}", "do": do, **what})
        self.taps.append(tap)
        return str(tap["id"])

    def tick(self, strip: Strip) -> str:
        """Tick a strip as the screen does."""
        stands = standing(self.progress.counts, self.cloth(strip.cloth))
        counts = next(each.counts for each in stands if each.strip == strip)
        return self.tap("strip", cloth=strip.cloth, strip=strip.name, steps=[list(each) for each in counts])

    def states(self, key: str) -> list[str]:
        return [each.state for each in standing(self.progress.counts, self.cloth(key))]

    def cut(self) -> dict[str, int]:
        """How often each cut step is done."""
        return {step.id: self.progress.counts.times_done(step) for step in self.cut_steps()}

    def cut_steps(self) -> list[Any]:
        return [step for step in self.checklist.steps if isinstance(step.action, Cut)]

    def wanted(self) -> dict[str, int]:
        return {step.id: step.count for step in self.cut_steps()}

    def state(self) -> tuple[object, ...]:
        return (
            self.cut(),
            set(self.progress.counts.ticked),
            {p: self.progress.counts.on_pile(p) for p in self.checklist.piles},
        )


@pytest.fixture
def mat() -> Mat:
    return Mat(plan_from(DEMO))


# The order


def test_strips_come_cloth_by_cloth_widest_first_and_the_first_squares_the_end(mat: Mat) -> None:
    assert [cloth.cloth for cloth in mat.cloths] == ["S", "T", "R", "K", "B"]
    for cloth in mat.cloths:
        widths = [strip.width for strip in cloth.strips]
        assert widths == sorted(widths, reverse=True)
        assert [bool(strip.square_first) for strip in cloth.strips] == [True] + [False] * (len(widths) - 1)
        assert len(cloth.strips) == cloth.cutting.number
    names = [(strip.cloth, strip.name) for strip in mat.strips]
    assert len(set(names)) == len(names)


def test_fat_quarters_are_cut_first_and_what_is_not_needed_is_told() -> None:
    mat = Mat(quilt_plan(("4", "4"), 6, 6, cloth="fat_quarters = 2"))
    strips = mat.cloth("A").strips
    sources = [strip.source for strip in strips]
    assert sources == sorted(sources, key=[FAT_QUARTER, LENGTH].index)
    assert FAT_QUARTER in sources
    assert [strip.source for strip in strips if strip.square_first] == [LENGTH]
    assert [strip.source for strip in strips if strip.fresh] == [FAT_QUARTER] * 2 + [LENGTH]
    assert mat.cloth("A").quarters_left == 0
    assert Mat(quilt_plan(("4", "4"), 1, 1, cloth="fat_quarters = 3")).cloth("A").quarters_left == 2


def test_what_is_left_of_a_cloth_is_told(mat: Mat) -> None:
    sand = mat.cloth("S")
    assert list(left_over(Words(mat.plan, mat.checklist), sand)) == [
        "Ends of strips: 9½ × 3½ in, 1½ × 3½ in and 1 × 3 in (3 of them).",
        "84 in of what you have stays uncut.",
    ]


# Ticks


def test_a_tick_counts_the_pieces_of_its_strip_and_is_taken_back_as_one(mat: Mat) -> None:
    before = mat.state()
    strip = mat.cloth("S").strips[1]
    assert len(strip.counts) == 2, "pieces of two sizes"
    tap = mat.tick(strip)
    assert mat.cut() == {step: dict(strip.counts).get(step, 0) for step in mat.cut()}
    assert mat.states("S")[:3] == [OPEN, TICKED, OPEN]
    assert mat.progress.tick_of("S", strip.name) == tap
    mat.tap("take back", what=tap)
    assert mat.state() == before
    assert mat.progress.tick_of("S", strip.name) is None


def test_a_strip_is_ticked_once_and_can_be_ticked_again_after_it_was_taken_back(mat: Mat) -> None:
    strip = mat.strips[0]
    tap = mat.tick(strip)
    with pytest.raises(Refused) as refused:
        mat.tick(strip)
    assert refusal(refused.value, Words(mat.plan, mat.checklist)) == "This strip is ticked off already."
    assert not mat.progress.record(read_tap(mat.taps[0])), "the same tap once more"
    mat.tap("take back", what=tap)
    mat.tick(strip)
    assert mat.states("S")[0] == TICKED
    assert sum(mat.cut().values()) == strip.pieces


def test_pieces_counted_at_their_step_are_not_counted_again(mat: Mat) -> None:
    """Eleven come from the first strip, one from the second."""
    first, second = mat.cloth("S").strips[:2]
    ((step, times),) = first.counts
    mat.tap("done", step=step, times=times - 1)
    assert standing(mat.progress.counts, mat.cloth("S"))[0].counts == ((step, 1),)
    mat.tap("done", step=step, times=1)
    assert mat.states("S")[0] == COUNTED
    mat.tick(second)
    assert mat.cut()[step] == times + dict(second.counts)[step]
    tap = mat.tick(first)
    assert mat.cut()[step] == times + dict(second.counts)[step]
    mat.tap("take back", what=tap)
    assert mat.states("S")[:2] == [COUNTED, TICKED]


def test_a_take_back_that_a_later_step_rests_on_is_refused(mat: Mat) -> None:
    cut = mat.cloth("S").strips[0]
    tap = mat.tick(cut)
    mark = next(s for s in mat.checklist.steps if s.operation == "mark" and s.takes[0].pile == cut.counts[0][0])
    mat.tap("done", step=mark.id, times=1)
    with pytest.raises(Refused) as refused:
        mat.tap("take back", what=tap)
    assert refused.value.kind == "rests on it"
    assert mat.states("S")[0] == TICKED


def test_a_piece_lost_is_cut_again_and_leaves_the_other_strips_as_they_were(mat: Mat) -> None:
    first, second = mat.cloth("R").strips[:2]
    ((step, _),) = first.counts
    mat.tick(first)
    mat.tap("spoiled", pile=step, times=1)
    mat.tap("done", step=step, times=1)
    assert mat.states("R")[:2] == [TICKED, OPEN]
    assert dict(standing(mat.progress.counts, mat.cloth("R"))[1].counts) == dict(second.counts)
    for strip in mat.strips:
        if strip != first:
            mat.tick(strip)
    assert mat.cut() == mat.wanted() | {step: mat.wanted()[step] + 1}


def test_a_piece_lost_opens_no_strip_that_was_counted_by_hand(mat: Mat) -> None:
    for step in mat.cut_steps():
        mat.tap("done", step=step.id, times=step.count)
    mat.tap("spoiled", pile=mat.cloth("R").strips[0].counts[0][0], times=2)
    assert set(mat.states("R")) == {COUNTED}


@pytest.mark.parametrize("wrong", [{"cloth": "Z"}, {"cloth": 3}, {"strip": ""}, {"strip": None}, {"strip": "x" * 41}])
def test_a_tick_on_no_strip_is_refused(mat: Mat, wrong: dict[str, Any]) -> None:
    tap = {"cloth": "S", "strip": "a-1", "steps": []} | wrong
    with pytest.raises(Refused) as refused:
        mat.tap("strip", **tap)
    assert "not in the cutting any more" in refusal(refused.value, Words(mat.plan, mat.checklist))


@pytest.mark.parametrize("steps", [[["gone", 3]], [], None, [["lay out", 1]]])
def test_steps_that_are_not_on_the_route_or_cut_nothing_count_nothing(mat: Mat, steps: object) -> None:
    mat.tap("strip", cloth="S", strip="a-1", steps=steps)
    assert ("S", "a-1") in mat.progress.counts.ticked
    assert sum(mat.cut().values()) == 0
    tap = mat.progress.tick_of("S", "a-1")
    mat.tap("take back", what=tap)
    assert not mat.progress.counts.ticked


# An edited plan


def names(mat: Mat, key: str) -> list[str]:
    return [strip.name for strip in mat.cloth(key).strips]


def test_strips_keep_their_names_while_the_cloth_is_cut_alike(mat: Mat) -> None:
    wider = Mat(plan_from(DEMO.replace('cut = "1 1/2"', 'cut = "2"')))
    renamed = Mat(plan_from(DEMO.replace('name = "pale sand"', 'name = "oat"')))
    assert [names(wider, key) for key in "SR"] == [names(mat, key) for key in "SR"]
    assert names(wider, "K") != names(mat, "K")
    assert [strip.name for strip in renamed.strips] == [strip.name for strip in mat.strips]


def test_ticks_stay_where_an_edited_plan_has_the_same_strip(mat: Mat) -> None:
    wider = Mat(plan_from(DEMO.replace('cut = "1 1/2"', 'cut = "2"')))
    names = [strip.name for strip in wider.cloth("T").strips]
    same = next(strip for strip in mat.cloth("T").strips if strip.name in names)
    for strip in (same, mat.cloth("K").strips[0]):
        mat.tick(strip)
    strips = {(strip.cloth, strip.name) for strip in wider.strips}
    carried = carry_over(mat.progress.counts, Counts(wider.plan, wider.checklist), strips)
    wider.progress.record(carried.tap("edit", "2026-11-26T09:00:00"))
    assert [state == TICKED for state in wider.states("T")] == [name == same.name for name in names]
    assert TICKED not in wider.states("K")
    assert wider.progress.tick_of("T", same.name) is None, "taps before it count no more"
    for strip in wider.strips:
        if (strip.cloth, strip.name) not in wider.progress.counts.ticked:
            wider.tick(strip)
    assert wider.cut() == wider.wanted()


def test_pieces_of_strips_that_were_ticked_by_a_former_cutting_stay_counted(mat: Mat) -> None:
    """The strips of a cloth may be laid otherwise by a later version: its ticks name strips that are no more."""
    strip = mat.cloth("S").strips[0]
    tap = mat.tap("strip", cloth="S", strip="0a1b2c3d-1", steps=[list(each) for each in strip.counts])
    cut = {step: times for step, times in mat.cut().items() if times}
    assert cut == dict(strip.counts)
    states = mat.states("S")
    assert TICKED not in states
    assert states.count(COUNTED) >= 1, "what was cut is not asked for again"
    left = sum(each.pieces for each in standing(mat.progress.counts, mat.cloth("S")))
    assert left == sum(mat.cloth("S").pieces.values()) - sum(cut.values())
    for each in mat.strips:
        mat.tick(each)
    assert mat.cut() == mat.wanted()
    again = replayed(mat.plan, mat.checklist, mat.taps)
    assert again.counts.done == mat.progress.counts.done
    mat.tap("take back", what=tap)
    assert mat.cut() == {step: times - cut.get(step, 0) for step, times in mat.wanted().items()}


# Laws


@st.composite
def whole_quilts(draw: st.DrawFn) -> Plan:
    """Plain blocks with anything round them: sashes, borders also lengthwise, binding, backing; cloth with a direction
    and fat quarters."""
    side = draw(st.sampled_from(("4", "5 1/2", "7.3", "11")))
    lines = []
    if draw(st.booleans()):
        lines += ['setting = "on point"', 'setting_fabric = "B"']
    if draw(st.booleans()):
        corner = draw(st.sampled_from(("", 'cornerstone = "A"')))
        lines += ["[quilt.sash]", 'fabric = "B"', 'cut = "2"', corner]
    for fabric in draw(st.lists(st.sampled_from("AB"), max_size=2)):
        wide = draw(st.sampled_from(("1 1/2", "4 1/2")))
        lengthwise = draw(st.sampled_from(("", "lengthwise = true")))
        corners = draw(st.sampled_from(("", 'corners = "A"')))
        lines += ["[[quilt.border]]", f'fabric = "{fabric}"', f'cut = "{wide}"', lengthwise, corners]
    lines += ["[quilt.binding]", 'fabric = "B"', 'cut = "2 1/2"'] if draw(st.booleans()) else []
    lines += ["[quilt.backing]", 'fabric = "A"'] if draw(st.booleans()) else []
    cloth = draw(st.sampled_from(("", "directional = true", "fat_quarters = 2")))
    usable = draw(st.sampled_from(("40", "21")))
    size = draw(st.integers(1, 4)), draw(st.integers(1, 4))
    return quilt_plan((side, side), *size, "\n".join(lines), usable=usable, cloth=cloth)


def mat_of(plan: Plan) -> Mat | None:
    try:
        return Mat(plan)
    except CannotCut:
        return None


@settings(max_examples=tries(60), deadline=None)
@given(plans(combine=True), st.integers(0, 2**32))
def test_every_piece_comes_from_one_strip_and_all_ticks_give_what_is_needed(plan: Plan, seed: int) -> None:
    """Ticked in any order, with any pieces counted by hand before and between; and back again."""
    mat, chance = mat_of(plan), Random(seed)
    if mat is None:
        return
    total: Counter[str] = Counter()
    for strip in mat.strips:
        total.update(dict(strip.counts))
    in_strips = {step: count for step, count in mat.wanted().items() if total[step]}
    assert total == in_strips
    # Only strips longer than the cloth is wide are cut as full widths, which are no pieces of the list yet.
    missing = [s for s in mat.cut_steps() if s.id not in in_strips]
    assert all(s.action.width > plan.fabrics[s.action.fabric].usable for s in missing)
    by_hand = [step for step in mat.cut_steps() if chance.random() < 0.5]
    for step in by_hand[::2]:
        mat.tap("done", step=step.id, times=chance.randint(1, step.count))
    strips, before, ticks = list(mat.strips), mat.state(), []
    chance.shuffle(strips)
    for strip in strips:
        ticks.append(mat.tick(strip))
    assert {step: done for step, done in mat.cut().items() if step in in_strips} == in_strips
    again = replayed(plan, mat.checklist, mat.taps)
    assert (again.counts.done, again.counts.ticked) == (mat.progress.counts.done, mat.progress.counts.ticked)
    for tap in reversed(ticks):
        mat.tap("take back", what=tap)
    assert mat.state() == before


@settings(max_examples=tries(30), deadline=None)
@given(plans(most=3), st.integers(0, 2**32))
def test_no_tick_counts_more_than_is_cut_or_needed(plan: Plan, seed: int) -> None:
    mat, chance = mat_of(plan), Random(seed)
    if mat is None:
        return
    for strip in mat.strips:
        if chance.random() < 0.3 and strip.counts:
            step = mat.progress.counts.steps[chance.choice(strip.counts)[0]]
            if left := mat.progress.counts.left(step):
                mat.tap("done", step=step.id, times=chance.randint(1, left))
        stands = next(s for s in standing(mat.progress.counts, mat.cloth(strip.cloth)) if s.strip == strip)
        assert all(0 < times <= dict(strip.counts)[step] for step, times in stands.counts)
        mat.tick(strip)
        assert all(done <= mat.wanted()[step] for step, done in mat.cut().items())
    assert all(state == TICKED for cloth in mat.cloths for state in mat.states(cloth.cloth))


@settings(max_examples=tries(40), deadline=None)
@given(whole_quilts(), st.integers(0, 2**32))
def test_every_piece_of_a_whole_quilt_comes_from_one_strip_too(plan: Plan, seed: int) -> None:
    mat, chance = mat_of(plan), Random(seed)
    if mat is None:
        return
    for cloth in mat.cloths:
        begun = [strip.source for strip in cloth.strips if strip.fresh]
        assert begun.count(FAT_QUARTER) == cloth.cutting.fat_quarters
        assert begun.count(LENGTH) == bool(cloth.cutting.strips)
    assert {step: n for cloth in mat.cloths for step, n in cloth.pieces.items()} == mat.wanted()
    strips = list(mat.strips)
    chance.shuffle(strips)
    ticks = [mat.tick(strip) for strip in strips]
    assert mat.cut() == mat.wanted()
    for tap in reversed(ticks):
        mat.tap("take back", what=tap)
    assert not any(mat.cut().values())
    assert not mat.progress.counts.ticked
