"""Counting as people do: put back, spoil, open, set a stage, take back, settle; and what each refusal says."""

from __future__ import annotations

from typing import Any

import pytest
from planning import plan_of, replayed, tapped

from tracker.progress.ledger import Progress, Refused
from tracker.progress.work_taps import CountedInAll
from tracker.route.compiler import compile_plan
from tracker.words.refusals import refusal
from tracker.words.step_words import Words
from tracker.work.steps import Step
from tracker.work.things import Stage, in_lines

PICTURE = "S/R S\nS R\\S"
HALF = "half-square triangle two:R:R:S:S@2x2"


class Room:
    """A quilt being sewn in a test: short taps, steps by the beginning of their ids."""

    def __init__(self, blocks: int = 4, picture: str = PICTURE) -> None:
        self.plan = plan_of(picture, blocks=blocks)
        self.checklist = compile_plan(self.plan)
        self.progress = Progress(self.plan, self.checklist)
        self.taps: list[dict[str, Any]] = []

    def step(self, start: str, block: int = 1) -> str:
        """The step of the pool, or of the block's own pressing version."""
        steps = (
            step for step in self.checklist.steps if step.per == "quilt" or self.progress.counts.is_for(step, block)
        )
        return next(step.id for step in steps if step.id.startswith(start))

    def joins(self) -> list[str]:
        """The joins of single blocks."""
        return [step.id for step in self.checklist.steps if step.operation == "join" and step.per != "quilt"]

    def tap(self, do: str, **what: Any) -> str:
        tap = tapped(self.progress, {"id": f"tap{len(self.taps)}", "do": do, **what})
        self.taps.append(tap)
        return str(tap["id"])

    def all_units(self) -> None:
        """Every step that units are made by, done out."""
        for step in self.progress.counts.steps.values():
            if of_units(step):
                self.tap("done", step=step.id, times=self.progress.counts.left(step))

    def state(self) -> tuple[object, ...]:
        piles = {pile: self.progress.counts.on_pile(pile) for pile in self.checklist.piles}
        return piles, {step.id: self.progress.counts.times_done(step) for step in self.checklist.steps}

    def said(self, do: str, **what: Any) -> str:
        with pytest.raises(Refused) as refused:
            self.tap(do, **what)
        return refusal(refused.value, Words(self.plan, self.checklist))


def of_units(step: Step) -> bool:
    """Whether a step is counted in the pool and comes before any block."""
    return step.per == "quilt" and not step.of_the_quilt


def test_put_back_to_be_unpicked_returns_to_the_pile_before() -> None:
    room = Room()
    room.tap("done", step="cut:S:3x3", times=4)
    room.tap("done", step="cut:R:3x3", times=4)
    room.tap("done", step=room.step("mark:S"), times=4)
    room.tap("done", step=f"paired:{HALF}", times=4)
    room.tap("done", step=f"sewn:{HALF}", times=3)
    room.tap("put back", step=f"sewn:{HALF}", times=2)
    assert room.progress.counts.on_pile(f"paired:{HALF}") == 3
    assert room.progress.counts.on_pile(f"sewn:{HALF}") == 1


def test_what_a_blade_has_done_is_not_put_back() -> None:
    room = Room()
    room.tap("done", step="cut:S:3x3", times=4)
    assert "cannot be put back" in room.said("put back", step="cut:S:3x3", times=1)


def test_a_spoiled_piece_is_cut_again() -> None:
    """One of eight units lost: a fifth pair of squares is cut, marked and sewn, and its second unit is a spare."""
    room = Room()
    room.all_units()
    trimmed = f"trimmed:{HALF}"
    lost = room.tap("spoiled", pile=trimmed, times=1)
    progress = room.progress
    assert progress.counts.on_pile(trimmed) == 7
    again = {
        step.id: progress.counts.left(step) for step in progress.counts.steps.values() if progress.counts.left(step)
    }
    assert {step: again[step] for step in again if step.startswith("cut:")} == {"cut:S:3x3": 1, "cut:R:3x3": 1}
    assert again[f"trimmed:{HALF}"] == 2
    room.tap("take back", what=lost)
    assert progress.counts.on_pile(trimmed) == 8
    assert all(progress.counts.left(step) == 0 for step in progress.counts.steps.values() if of_units(step))


def test_taking_back_a_loss_leaves_earlier_taps_free_to_be_taken_back() -> None:
    room = Room(blocks=5, picture="S")
    cut = "cut:S:2_1/2x2_1/2"
    room.tap("done", step=cut, times=5)
    lost = room.tap("spoiled", pile=cut, times=3)
    again = [room.tap("done", step=cut, times=1), room.tap("done", step=cut, times=2)]
    room.tap("take back", what=lost)
    for tap in again:
        room.tap("take back", what=tap)
    assert room.progress.counts.on_pile(cut) == 5


def test_a_spare_serves_before_anything_is_cut_again() -> None:
    room = Room(blocks=1, picture="S/R")
    room.all_units()
    room.tap("spoiled", pile=f"trimmed:{HALF}", times=1)
    assert not [
        step for step in room.progress.counts.steps.values() if step.per == "quilt" and room.progress.counts.left(step)
    ]


def test_opening_a_row_takes_back_all_that_rests_on_it() -> None:
    room = Room()
    room.all_units()
    last = room.step("squared", 2)
    room.tap("stage", block=2, step=last)
    before = room.state()
    opened = room.tap("opened", block=2, step=room.joins()[0])
    done = [
        step.operation for step in room.progress.counts.block_steps("b") if room.progress.counts.times_done(step, 2)
    ]
    assert done == ["lay out", "join"]
    room.tap("take back", what=opened)
    assert room.state() == before


def test_a_stage_brings_this_blocks_share_of_the_units_and_is_taken_back_as_one() -> None:
    room = Room()
    nothing = room.state()
    stage = room.tap("stage", block=3, step=room.step("squared"))
    progress = room.progress
    # All but to be laid in its place.
    assert progress.counts.stage(3).done == progress.counts.stage(3).steps - 1
    # Two half-squares for the block: one pair of squares, nothing over.
    assert progress.counts.times_done(progress.counts.steps[f"sewn:{HALF}"]) == 1
    assert progress.counts.on_pile(f"trimmed:{HALF}") == 0
    assert progress.counts.on_pile("cut:S:2_1/2x2_1/2") == 0
    room.tap("take back", what=stage)
    assert room.state() == nothing


def test_a_stage_uses_what_lies_there_already() -> None:
    room = Room()
    room.all_units()
    sewn = room.progress.counts.times_done(room.progress.counts.steps[f"sewn:{HALF}"])
    room.tap("stage", block=1, step=room.step("laid out"))
    assert room.progress.counts.times_done(room.progress.counts.steps[f"sewn:{HALF}"]) == sewn
    assert room.progress.counts.on_pile(f"trimmed:{HALF}") == 6


# The picture, how many blocks, and whether the first block's share alone was begun by hand before.
ON_PAPER = [
    (PICTURE, 4, False),
    (PICTURE, 3, True),
    ("S:S:R:S", 4, False),
    ("S:S:R:S", 3, False),
    ("S:S:R:S S:S:R:S", 4, True),
    ("S:R:T:K", 3, False),
    ("S:S:R:T S:S:T:R", 3, True),
]


@pytest.mark.parametrize(("picture", "blocks", "begun"), ON_PAPER)
def test_a_whole_quilt_made_on_paper_can_be_entered_block_by_block(picture: str, blocks: int, begun: bool) -> None:
    room = Room(blocks, picture)
    if begun:
        for step in list(room.progress.counts.steps.values())[:6]:
            if step.per == "quilt" and room.progress.counts.ready(step):
                room.tap("done", step=step.id, times=1)
    for block in range(1, blocks + 1):
        room.tap("stage", block=block, step=room.progress.counts.block_steps("b", block)[-1].id)
        assert room.progress.unsettled() == []
    assert all(
        room.progress.counts.stage(block).done == room.progress.counts.stage(block).steps
        for block in range(1, blocks + 1)
    )
    if not begun:
        # Odd units, which a block never needs, may be left unfinished.
        left = {step.id for step in room.progress.counts.steps.values() if room.progress.counts.left(step)}
        assert not {step for step in left if room.progress.counts.steps[step].per != "quilt"}


def test_an_ordinary_quilt_entered_from_paper_is_finished() -> None:
    room = Room()
    for block in range(1, 5):
        room.tap("stage", block=block, step=room.step("set:", block))
    assert room.progress.counts.blocks_finished() == 4
    while step := room.progress.next_step():
        room.tap("done", step=step.id, times=1)
    assert room.progress.counts.finished()
    assert room.progress.counts.shares()[0] == room.progress.counts.shares()[1]


def test_a_tap_that_cannot_be_paid_for_is_asked_about_once() -> None:
    room = Room()
    room.tap("done", step="cut:S:3x3", times=4)
    mark = room.step("mark:S")
    room.tap("done", step=mark, times=3)
    second = room.tap("done", step=mark, times=3)
    assert [tap.id for tap in room.progress.unsettled()] == [second]
    room.tap("settle", what=second, times=1)
    assert room.progress.unsettled() == []
    assert room.progress.counts.on_pile(room.checklist.steps[0].gives[0].pile) >= 0
    assert room.progress.counts.times_done(room.progress.counts.steps[mark]) == 4
    assert "answered already" in room.said("settle", what=second, times=1)


def test_notes_and_names() -> None:
    room = Room()
    room.tap("note", text="  needle changed  ")
    room.tap("note", text="first with the new iron", block=2)
    room.tap("name", block=2, text="the crooked one")
    assert room.progress.notes == [(None, "needle changed"), (2, "first with the new iron")]
    assert room.progress.names == {2: "the crooked one"}


def test_replay_gives_the_same_state() -> None:
    room = Room()
    room.all_units()
    room.tap("stage", block=1, step=room.step("squared"))
    room.tap("opened", block=1, step=room.joins()[-1])
    room.tap("spoiled", pile="cut:S:2_1/2x2_1/2", times=1)
    again = replayed(room.plan, room.checklist, room.taps)
    assert again.counts.done == room.progress.counts.done
    assert {pile: again.counts.on_pile(pile) for pile in room.checklist.piles} == room.state()[0]


REFUSALS = [
    ("put back", {"step": "paired:nothing", "times": 1}, "not in the quilt's plan"),
    ("put back", {"step": f"paired:{HALF}", "times": 1}, "no such piece"),
    ("spoiled", {"pile": "nowhere", "times": 1}, "No such pile"),
    ("spoiled", {"pile": "cut:S:3x3", "times": 1}, "no such piece"),
    ("spoiled", {"pile": "cut:S:3x3", "times": 0}, "whole number from 1"),
    ("spoiled", {"pile": "cut:S:3x3", "times": True}, "whole number from 1"),
    ("opened", {"block": 1, "step": "joined"}, "not in the quilt's plan"),
    ("opened", {"block": 99, "step": "joined"}, "no such block"),
    ("stage", {"block": 0, "step": "squared"}, "not in the quilt's plan"),
    ("note", {"text": "   "}, "from 1 to 500"),
    ("note", {"text": "x" * 501}, "from 1 to 500"),
    ("note", {"text": 7}, "from 1 to 500"),
    ("name", {"text": "x", "block": None}, "no such block"),
    ("name", {"text": "x" * 41, "block": 1}, "from 1 to 40"),
    ("take back", {"what": "never"}, "load the page again"),
    ("settle", {"what": "never", "times": 1}, "answered already"),
    ("dance", {}, "load the page again"),
]


@pytest.mark.parametrize(("do", "what", "sentence"), REFUSALS)
def test_refusals_change_nothing_and_say_why(do: str, what: dict[str, Any], sentence: str) -> None:
    room = Room()
    before = room.state()
    assert sentence in room.said(do, **what)
    assert room.state() == before


def test_what_was_not_joined_cannot_be_opened() -> None:
    room = Room()
    assert "not sewn there" in room.said("opened", block=1, step=room.joins()[0])


COUNTED = [
    ("more", 3, 5, {"S": 5, "by": 2}),
    ("fewer", 3, 1, {"S": 1, "by": -2}),
    ("none", 3, 0, {"S": 0, "by": -3}),
]


@pytest.mark.parametrize(("name", "before", "counted", "after"), COUNTED, ids=[row[0] for row in COUNTED])
def test_the_exact_number_is_set_and_taken_back(name: str, before: int, counted: int, after: dict[str, int]) -> None:
    """What is counted on the table holds, also of what a blade has done."""
    room = Room(blocks=8)
    room.tap("done", step="cut:S:3x3", times=before)
    tap = room.tap("counted", step="cut:S:3x3", times=counted)
    assert room.progress.counts.on_pile("cut:S:3x3") == after["S"]
    assert room.taps[-1]["by"] == after["by"]
    again = replayed(room.plan, room.checklist, room.taps)
    assert again.counts.on_pile("cut:S:3x3") == after["S"]
    room.tap("take back", what=tap)
    assert room.progress.counts.on_pile("cut:S:3x3") == before


def test_an_exact_number_that_cannot_be() -> None:
    room = Room()
    room.tap("done", step="cut:S:3x3", times=3)
    room.tap("done", step=room.step("mark:S"), times=2)
    assert "3 are counted already" in room.said("counted", step="cut:S:3x3", times=3)
    assert "rests on it" in room.said("counted", step="cut:S:3x3", times=1)
    assert "whole number" in room.said("counted", step="cut:S:3x3", times=-1)
    assert "not in the quilt's plan" in room.said("counted", step=room.joins()[0], times=1)
    assert room.progress.unsettled() == []
    room.tap("counted", step=room.step("mark:S"), times=99)
    assert [tap.times for tap in room.progress.unsettled() if isinstance(tap, CountedInAll)] == [99]


def test_the_last_taps_are_those_that_count_newest_first() -> None:
    room = Room()
    taps = [room.tap("done", step="cut:S:3x3", times=1) for _ in range(3)]
    room.tap("take back", what=taps[1])
    room.tap("note", text="blunt blade")
    assert [kept.tap.id for kept in room.progress.latest(5)] == [taps[2], taps[0]]
    assert [kept.tap.id for kept in room.progress.latest(1)] == [taps[2]]


def test_a_row_of_a_block_is_named_without_a_number() -> None:
    room = Room()
    words = Words(room.plan, room.checklist)
    piles = room.checklist.piles.values()
    pile = next(pile.id for pile in piles if pile.thing == in_lines(("down", 1)) and pile.stage is Stage.JOINED)
    assert words.pile(pile, 1).startswith("row 1 of ")
    assert words.pile(pile, 3).endswith(", for 3 blocks")
