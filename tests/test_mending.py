"""Put right: more than was tapped, not done after all, spoiled where it lies, unpicked; each taken back as one."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from random import Random
from typing import Any

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_strategies import plans, whole_quilts
from test_conservation import Ledger, everything, next_tap
from test_progress import HALF, Room, of_units

from tracker.plan.model import Plan
from tracker.progress.ledger import Progress, Refused
from tracker.progress.tap_kinds import read_tap, written
from tracker.progress.unpicking import held
from tracker.route.compiler import compile_plan

SEEDS = st.integers(0, 2**32 - 1)
TRIMMED = f"trimmed:{HALF}"

Stored = dict[str, Any]


def whole(room: Room) -> tuple[object, ...]:
    """All that a take-back has to bring again."""
    return room.state(), lost_of(room.progress), room.progress.counts.shares()


def lost_of(progress: Progress) -> dict[str, int]:
    return {pile: times for pile, times in progress.counts.lost.items() if times}


def done_in(room: Room, block: int) -> list[str]:
    counts = room.progress.counts
    return [step.operation for step in counts.block_steps("b") if counts.times_done(step, block)]


def test_more_than_the_plan_asks_for_are_spares_and_serve_the_next_loss() -> None:
    room = Room(blocks=4)
    planned = room.progress.counts.count(room.progress.counts.steps["cut:S:3x3"])
    room.tap("counted", step="cut:S:3x3", times=planned + 2)
    assert room.progress.counts.on_pile("cut:S:3x3") == planned + 2
    assert room.progress.unsettled() == []
    done, asked = room.progress.counts.shares()
    assert (done, asked) == (planned, sum(step.count for step in room.checklist.steps))
    for step in room.progress.counts.steps.values():
        if of_units(step) and room.progress.counts.left(step):
            room.tap("done", step=step.id, times=room.progress.counts.left(step))
    room.tap("spoiled", pile=TRIMMED, times=1)
    assert room.progress.counts.left(room.progress.counts.steps["cut:S:3x3"]) == 0
    assert room.progress.counts.left(room.progress.counts.steps["cut:R:3x3"]) == 1


def test_more_of_what_its_piles_cannot_pay_for_is_still_asked_about() -> None:
    room = Room()
    room.tap("done", step="cut:S:3x3", times=3)
    room.tap("counted", step=room.step("mark:S"), times=4)
    assert [tap.id for tap in room.progress.unsettled()] == [room.taps[-1]["id"]]


def test_an_older_count_beyond_the_plan_that_was_asked_about_is_asked_about_still() -> None:
    room = Room()
    room.progress.record(read_tap({"id": "older", "do": "counted", "step": "cut:S:3x3", "times": 99, "by": 99}))
    assert [tap.id for tap in room.progress.unsettled()] == ["older"]


def test_what_was_counted_beyond_the_plan_comes_again_when_its_correction_is_taken_back() -> None:
    room = Room()
    planned = room.progress.counts.count(room.progress.counts.steps["cut:S:3x3"])
    room.tap("counted", step="cut:S:3x3", times=planned + 3)
    before = whole(room)
    fewer = room.tap("counted", step="cut:S:3x3", times=1)
    room.tap("take back", what=fewer)
    assert whole(room) == before


def test_a_block_that_was_not_squared_after_all() -> None:
    room = Room()
    room.all_units()
    room.tap("stage", block=2, step=room.step("squared", 2))
    before = whole(room)
    tap = room.tap("not done", step=room.step("squared", 2), blocks=[2])
    assert "square" not in done_in(room, 2)
    assert "rests on it" in room.said("not done", step=room.joins()[0], blocks=[2])
    assert "no such block" in room.said("not done", step="cut:S:3x3", blocks=[1])
    room.tap("take back", what=tap)
    assert whole(room) == before


@pytest.mark.parametrize("start", ["pinned", "pressed"])
def test_any_seam_of_a_block_is_unpicked_with_what_rests_on_it(start: str) -> None:
    room = Room()
    room.all_units()
    room.tap("stage", block=3, step=room.step("squared", 3))
    before = whole(room)
    step = room.step(start, 3) if start == "pinned" else next(
        step.id for step in room.progress.counts.block_steps("b", 3) if step.operation == "press"
    )  # fmt: skip
    tap = room.tap("opened", step=step, block=3)
    assert "square" not in done_in(room, 3)
    assert room.progress.counts.times_done(room.progress.counts.steps[step], 3) == 0
    room.tap("take back", what=tap)
    assert whole(room) == before
    assert "cannot be put back" in room.said("opened", step=room.step("squared", 3), block=3)


def test_a_unit_spoiled_in_a_block_is_replaced_from_the_pile_and_only_its_row_comes_apart() -> None:
    room = Room(blocks=4)
    room.all_units()
    room.tap("stage", block=1, step=room.joins()[1])
    steps = room.progress.counts.block_steps("b", 1)
    assert next(step for step in steps if TRIMMED in held(room.progress.counts, step)).operation == "lay out"
    row = next(step for step in steps if step.id == room.joins()[0])
    assert held(room.progress.counts, row) == {TRIMMED: 1, "cut:S:2_1/2x2_1/2": 1}
    lying, before = room.progress.counts.on_pile(TRIMMED), whole(room)
    tap = room.tap("spoiled within", step=row.id, block=1, pile=TRIMMED, times=1)
    assert room.progress.counts.on_pile(TRIMMED) == lying - 1
    assert done_in(room, 1) == ["lay out", "join"]  # the other row stays sewn
    assert room.progress.counts.left(room.progress.counts.steps["cut:S:3x3"]) == 1  # and one is to be cut for the pile
    room.tap("take back", what=tap)
    assert whole(room) == before


def test_with_no_other_on_the_pile_the_layout_waits_for_the_piece_that_is_cut_again() -> None:
    room = Room(blocks=1)
    room.all_units()
    room.tap("stage", block=1, step=room.step("squared"))
    before = whole(room)
    tap = room.tap("spoiled within", step=room.joins()[0], block=1, pile=TRIMMED, times=1)
    assert done_in(room, 1) == []
    lay_out = room.progress.counts.steps[room.step("laid out")]
    assert room.progress.counts.waits_for(lay_out) == [(TRIMMED, 1)]
    room.tap("take back", what=tap)
    assert whole(room) == before
    assert "no such piece" in room.said("spoiled within", step=room.joins()[0], block=1, pile=TRIMMED, times=2)


def test_a_block_given_up_is_made_anew_from_new_cloth() -> None:
    room = Room(blocks=2)
    room.all_units()
    room.tap("stage", block=2, step=room.step("squared", 2))
    before = whole(room)
    tap = room.tap("block spoiled", block=2)
    assert done_in(room, 2) == []
    assert lost_of(room.progress) == {TRIMMED: 2, "cut:S:2_1/2x2_1/2": 2}
    assert room.progress.counts.left(room.progress.counts.steps["cut:S:2_1/2x2_1/2"]) == 2
    assert room.taps[-1]["lost"]
    room.tap("take back", what=tap)
    assert whole(room) == before
    assert "nothing of it to make anew" in room.said("block spoiled", block=1)


def some_mending(progress: Progress, chance: Random, tap_id: str) -> Stored:
    """Any tap that puts something right, sensible or not."""
    step = chance.choice(list(progress.counts.steps.values()))
    blocks = progress.counts.blocks_of(step) or [1]
    block = chance.choice([*blocks, chance.choice(list(progress.counts.block_keys))])
    pools = [pile.id for pile in progress.counts.checklist.piles.values() if pile.block is None]
    pieces = list(held(progress.counts, step)) or pools
    loose = [pile for pile in pools if progress.counts.on_pile(pile)] or pools
    return chance.choice(
        [
            {"do": "counted", "step": step.id, "times": chance.randint(0, progress.counts.count(step) + 3)},
            {"do": "not done", "step": step.id, "blocks": [block]},
            {"do": "opened", "step": step.id, "block": block},
            {"do": "spoiled within", "step": step.id, "block": block, "pile": chance.choice(pieces), "times": 1},
            {"do": "block spoiled", "block": block or 1},
            {"do": "spoiled", "pile": chance.choice(loose), "times": 1},
        ]
    ) | {"id": tap_id}


def played_and_mended(progress: Progress, chance: Random, most: int) -> Iterator[Stored]:
    """Ordinary taps with taps that put right among them, each as it is stored."""
    for number in range(most):
        tap = next_tap(progress, chance, f"tap {number}") if chance.random() < 4 / 5 else None
        tap = tap or some_mending(progress, chance, f"mending {number}")
        with suppress(Refused):
            complete = read_tap(tap).completed(progress.counts)
            if progress.record(complete):
                yield written(complete)


def count_by_hand(ledger: Ledger, lost: dict[str, int], progress: Progress, stored: Stored, sign: int) -> None:
    """What a stored tap says, counted from its fields alone."""
    kept = progress.recorded(stored["id"])
    if kept is None or not kept.counts:
        return
    block = stored.get("block") or 0
    if stored["do"] == "counted":
        ledger.count({"step": stored["step"], "times": stored["by"]}, sign)
    elif stored["do"] in ("done", "not done"):
        ledger.count(stored, sign if stored["do"] == "done" else -sign)
    elif stored["do"] == "opened":
        for step, number, times in kept.change.moves:
            ledger.count({"step": step, "blocks": [number]} if number else {"step": step, "times": -times}, -sign)
    for step, times in stored.get("undone") or []:
        own = ledger.steps[step].per != "quilt"
        ledger.count({"step": step, "blocks": [block]} if own else {"step": step, "times": times}, -sign)
    more = stored.get("lost") or ([[stored["pile"], stored["times"]]] if "pile" in stored else [])
    for pile, times in more:
        ledger.piles[pile, 0] -= sign * times
        lost[pile] = lost.get(pile, 0) + sign * times


@given(plans(most=2, most_blocks=3, combine=True) | whole_quilts(), SEEDS, st.integers(5, 60))
@settings(max_examples=tries(40), deadline=None)
def test_however_it_is_put_right_every_piece_is_accounted_for_and_comes_back(plan: Plan, seed: int, most: int) -> None:
    checklist, chance = compile_plan(plan), Random(seed)
    progress, ledger, lost = Progress(plan, checklist), Ledger(checklist), dict[str, int]()
    for stored in played_and_mended(progress, chance, most):
        count_by_hand(ledger, lost, progress, stored, 1)
        ledger.agrees(progress)
        assert lost_of(progress) == {pile: times for pile, times in lost.items() if times}
        assert all(progress.counts.on_pile(pile) >= 0 for pile in checklist.piles)
        assert not progress.record(read_tap(stored))
        if not progress.counts_still(stored["id"]):
            continue
        if chance.random() < 1 / 3:
            before, gone = everything(progress), lost_of(progress)
            other = some_mending(progress, chance, f"other {stored['id']}")
            with suppress(Refused):
                complete = read_tap(other).completed(progress.counts)
                progress.record(complete)
                progress.record(read_tap({"id": f"back {other['id']}", "do": "take back", "what": other["id"]}))
                piles, done = everything(progress)
                assert (+piles, +done) == tuple(+each for each in before)
                assert lost_of(progress) == gone
