"""Nothing is lost and nothing appears: over random plans and random taps every piece is accounted for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from random import Random
from threading import Thread
from typing import Any

import pytest
from effort import tries
from hypothesis import example, given, settings
from hypothesis import strategies as st
from plan_strategies import plans
from planning import plan_of, replayed

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan, write_plan
from tracker.progress.batches import Pace, targets
from tracker.progress.ledger import Progress, Refused
from tracker.progress.tap_kinds import read_tap
from tracker.route.compiler import compile_plan
from tracker.units.times_needed import times_needed
from tracker.work.steps import Checklist, Step
from tracker.work.things import BONUS, INNER

SEEDS = st.integers(0, 2**32 - 1)
FEW = settings(max_examples=tries(40), deadline=None)
SMALL = plans(most=3, most_blocks=4, combine=True)

Tap = dict[str, Any]
Places = Counter[tuple[str, int]]
"""Pieces by pile and block (0: the pool), or times done by step and block."""


class Ledger:
    """Counts kept by hand from the taps that count, to hold the progress against."""

    def __init__(self, checklist: Checklist) -> None:
        self.checklist = checklist
        self.steps = {step.id: step for step in checklist.steps}
        self.piles: Places = Counter()
        self.done: Places = Counter()

    def count(self, tap: Mapping[str, Any], sign: int = 1) -> None:
        step = self.steps[tap["step"]]
        for block, times in rounds(tap):
            self.done[step.id, block] += sign * times
            for flow in step.takes:
                self.piles[flow.pile, self._owner(flow.pile, block)] -= sign * times * flow.each
            for flow in step.gives:
                self.piles[flow.pile, self._owner(flow.pile, block)] += sign * times * flow.each

    def _owner(self, pile: str, block: int) -> int:
        return 0 if self.checklist.piles[pile].block is None else block

    def agrees(self, progress: Progress) -> None:
        assert min(self.piles.values(), default=0) >= 0
        assert all(progress.counts.on_pile(pile, block or None) == count for (pile, block), count in self.piles.items())
        assert all(
            progress.counts.times_done(progress.counts.steps[step], block) == n
            for (step, block), n in self.done.items()
        )


def rounds(tap: Mapping[str, Any]) -> Iterator[tuple[int, int]]:
    """(block, times) of a done tap; block 0 is the pool."""
    if "blocks" in tap:
        yield from ((block, 1) for block in tap["blocks"])
    else:
        yield 0, tap["times"]


def everything(progress: Progress) -> tuple[Places, Places]:
    """All that can be seen of a state: pieces on every pile, and how often every step was done."""
    piles: Places = Counter()
    for pile in progress.counts.checklist.piles.values():
        for block in progress.counts.block_keys if pile.block else [0]:
            piles[pile.id, block] = progress.counts.on_pile(pile.id, block or None)
    done: Places = Counter()
    for step in progress.counts.steps.values():
        for block in progress.counts.blocks_of(step):
            done[step.id, block] = progress.counts.times_done(step, block)
    return piles, done


def next_tap(progress: Progress, chance: Random, tap_id: str) -> Tap | None:
    """Some legal tap: one step that is ready, a chain of it or all there is; None where nothing is left to do."""
    steps = list(progress.counts.steps.values())
    chance.shuffle(steps)
    for step in steps:
        ready = progress.counts.ready(step)
        if not ready:
            continue
        times = ready if chance.random() * 2 > 1 else chance.randint(1, ready)
        tap: Tap = {"id": tap_id, "do": "done", "step": step.id}
        if step.per == "quilt":
            return tap | {"times": times}
        return tap | {"blocks": chance.sample(progress.counts.ready_blocks(step), times)}
    return None


def played(progress: Progress, chance: Random, most: int | None = None) -> Iterator[Tap]:
    """Record legal taps in any order, at most that many or until the quilt is finished, giving each after it counts."""
    number = 0
    while (most is None or number < most) and (tap := next_tap(progress, chance, f"tap {number}")):
        assert progress.record(read_tap(tap))
        assert progress.counts_still(tap["id"])
        yield tap
        number += 1


def left_inside(checklist: Checklist) -> Places:
    """Half-square triangles made for the inside of larger units that stay over: two come of a set, one was needed."""
    left: Places = Counter()
    for pile in checklist.piles.values():
        if pile.thing.of == INNER:
            made = sum(step.count * f.each for step in checklist.steps for f in step.gives if f.pile == pile.id)
            used = sum(step.count * f.each for step in checklist.steps for f in step.takes if f.pile == pile.id)
            assert made - used in (0, 1)
            left[pile.id, 0] = made - used
    return left


def should_remain(plan: Plan, checklist: Checklist) -> Places:
    """The stated spares, the odd halves inside of units, and the quilt; or its one block, where it is no more."""
    remain = left_inside(checklist)
    for pile, count in checklist.spares.items():
        if checklist.piles[pile].thing.of == BONUS:
            remain[pile, 0] += count
    for unit in checklist.units:
        remain[unit.pile, 0] += unit.spare
    (flow,) = checklist.steps[-1].gives
    assert flow.each == 1
    remain[flow.pile, int(checklist.steps[-1].per != "quilt")] += 1
    return +remain


BONUS_PLAN = plan_of("S/R R\\K", blocks=3, block="combine = true", top="bonus = true")
"""Corners whose cut-off halves are kept: random plans have them seldom."""


@given(plans(combine=True), SEEDS)
@example(BONUS_PLAN, 0)
@FEW
def test_in_whatever_order_all_blocks_are_finished_and_only_the_stated_spares_remain(plan: Plan, seed: int) -> None:
    checklist = compile_plan(plan)
    progress, ledger = Progress(plan, checklist), Ledger(checklist)
    for tap in played(progress, Random(seed)):
        ledger.count(tap)
        touched = checklist_step(checklist, tap)
        for flow in touched.takes + touched.gives:
            assert min(ledger.piles[place] for place in ledger.piles if place[0] == flow.pile) >= 0
    ledger.agrees(progress)
    assert progress.counts.finished()
    assert progress.counts.shares() == (sum(step.count for step in checklist.steps),) * 2
    assert +everything(progress)[0] == should_remain(plan, checklist)


def checklist_step(checklist: Checklist, tap: Mapping[str, Any]) -> Step:
    return next(step for step in checklist.steps if step.id == tap["step"])


@given(plans(combine=True))
@FEW
def test_a_random_plan_is_one_that_a_file_can_hold(plan: Plan) -> None:
    """Holds the random plans themselves: each is read back from its text as it was."""
    assert read_plan(write_plan(plan)).plan == plan


@given(plans(combine=True))
@FEW
def test_what_is_needed_is_what_the_pictures_show(plan: Plan) -> None:
    """Units cover every cell of every block once, by area, and a block is as large as its picture and frames."""
    checklist = compile_plan(plan)
    shown = sum(block_area(plan, key) for key in plan.quilt.blocks_in_order())
    assert sum(unit.needed * unit.finished[0] * unit.finished[1] for unit in checklist.units) == shown
    assert all(unit.made == unit.needed + unit.spare and unit.spare >= 0 for unit in checklist.units)
    for row in checklist.blocks:
        assert row.count == plan.count_of(row.key)
        assert row.finished == plan.blocks[row.key].finished(plan.seam)


def block_area(plan: Plan, key: str) -> Any:
    width, height = plan.blocks[key].inner_finished
    return width * height


@given(SMALL, SEEDS, st.integers(1, 40))
@FEW
def test_a_tap_taken_back_leaves_all_as_it_was(plan: Plan, seed: int, most: int) -> None:
    checklist, chance = compile_plan(plan), Random(seed)
    progress = Progress(plan, checklist)
    before = everything(progress)
    taps = []
    for tap in played(progress, chance, most):
        taps.append(tap)
        after = everything(progress)
        assert progress.record(read_tap({"id": f"back {tap['id']}", "do": "take back", "what": tap["id"]}))
        assert everything(progress) == before
        assert not progress.counts_still(tap["id"])
        again = tap | {"id": f"again {tap['id']}"}
        assert progress.record(read_tap(again))
        assert everything(progress) == after
        before = after


@given(SMALL, SEEDS, st.integers(1, 60))
@FEW
def test_an_older_tap_is_taken_back_whole_or_refused_and_nothing_changes(plan: Plan, seed: int, most: int) -> None:
    checklist, chance = compile_plan(plan), Random(seed)
    progress, ledger = Progress(plan, checklist), Ledger(checklist)
    taps = list(played(progress, chance, most))
    for tap in taps:
        ledger.count(tap)
    for tap in chance.sample(taps, len(taps)):
        before = everything(progress)
        back = {"id": f"back {tap['id']}", "do": "take back", "what": tap["id"]}
        ledger.count(tap, -1)
        if min(ledger.piles.values()) < 0:  # pieces that it made are used
            ledger.count(tap)
            with pytest.raises(Refused, match="rests on it"):
                progress.record(read_tap(back))
            assert everything(progress) == before
        else:
            assert progress.record(read_tap(back))
            with pytest.raises(Refused, match="already taken back"):
                progress.record(read_tap(back | {"id": f"twice {tap['id']}"}))
        ledger.agrees(progress)


def senseless_taps(progress: Progress, counted: Tap) -> Iterator[Tap]:
    """Taps that must be refused, whatever the state."""
    pooled = next(step for step in progress.counts.steps.values() if step.per == "quilt")
    single = next(step for step in progress.counts.steps.values() if step.per != "quilt")
    foreign = [number for number, key in progress.counts.block_keys.items() if key != single.per] or [
        len(progress.counts.block_keys) + 1
    ]
    done: Tap = {"id": "new", "do": "done"}
    yield from (done | {"step": pooled.id, "times": times} for times in (0, -1, True, "2", None))
    yield from (done | {"step": single.id, "blocks": blocks} for blocks in ([], [0], foreign, [True], "1", None))
    yield done | {"step": single.id, "blocks": progress.counts.blocks_of(single)[:1] * 2}
    yield from (done | {"step": step, "times": 1} for step in ("no such step", None, ["a list"]))
    yield from ({"id": "new", "do": "take back", "what": what} for what in ("no such tap", None, "new"))
    yield from ({"id": "new", "do": "settle", "what": what, "times": 1} for what in ("no such tap", counted["id"]))
    yield from ({"id": tap_id, "do": "done", "step": pooled.id, "times": 1} for tap_id in ("", None, 7))
    yield {"id": "new", "do": "undo", "what": counted["id"]}
    yield {}


@given(SMALL, SEEDS, st.integers(1, 40))
@FEW
def test_a_tap_that_makes_no_sense_or_cannot_be_paid_for_counts_nothing(plan: Plan, seed: int, most: int) -> None:
    progress = Progress(plan, compile_plan(plan))
    taps = list(played(progress, Random(seed), most))
    before = everything(progress)
    for tap in senseless_taps(progress, taps[0]):
        with pytest.raises(Refused):
            progress.record(read_tap(tap))
        assert everything(progress) == before
    for number, step in enumerate(progress.counts.steps.values()):
        unpaid = too_much(progress, step, f"unpaid {number}")
        if unpaid is None:
            continue
        assert progress.record(read_tap(unpaid))
        assert not progress.counts_still(unpaid["id"])
        assert progress.unsettled()[-1] == read_tap(unpaid)
        assert everything(progress) == before


def too_much(progress: Progress, step: Step, tap_id: str) -> Tap | None:
    """Once more than the step's piles can pay for or than it is to be done; None where every block of it is ready."""
    tap: Tap = {"id": tap_id, "do": "done", "step": step.id}
    if step.per == "quilt":
        return tap | {"times": progress.counts.ready(step) + 1}
    ready = progress.counts.ready_blocks(step)
    blocked = [number for number in progress.counts.blocks_of(step) if number not in ready]
    return tap | {"blocks": ready + blocked[:1]} if blocked else None


@given(SMALL, SEEDS, st.integers(0, 80))
@FEW
def test_replayed_taps_give_the_same_state_however_often_each_arrives(plan: Plan, seed: int, most: int) -> None:
    checklist, chance = compile_plan(plan), Random(seed)
    progress = Progress(plan, checklist)
    taps: list[Tap] = []
    for tap in played(progress, chance, most):
        taps.append(tap)
        if chance.randint(0, 4) == 0:
            taps.append({"id": f"back {tap['id']}", "do": "take back", "what": tap["id"]})
            progress.record(read_tap(taps[-1]))
        assert not progress.record(read_tap(chance.choice(taps)))
    state = everything(progress)
    assert everything(replayed(plan, checklist, taps)) == state
    assert everything(replayed(plan, checklist, repeated(taps, chance))) == state


def repeated(taps: Iterable[Tap], chance: Random) -> list[Tap]:
    """The taps in order, with earlier ones arriving again in between."""
    arrived: list[Tap] = []
    for tap in taps:
        arrived += [tap, *chance.choices([tap, *arrived], k=chance.randint(0, 2))]
    return arrived


@given(SMALL, SEEDS, st.integers(0, 30), st.integers(1, 30))
@FEW
def test_a_copy_stays_as_it_was_and_can_catch_up(plan: Plan, seed: int, before: int, after: int) -> None:
    """What a reader has does not change with the taps taken meanwhile; with them counted too it is the same again."""
    checklist, chance = compile_plan(plan), Random(seed)
    progress, later = Progress(plan, checklist), Progress(plan, checklist)
    played_before = list(played(progress, chance, before))
    copy = progress.copy()
    shown, targets_then = everything(copy), targets(copy.counts, Pace())
    taps = list(some_taps(progress, chance, after))
    assert everything(copy) == shown
    assert targets(copy.counts, Pace()) == targets_then
    for tap in taps:
        copy.record(read_tap(tap))
    for tap in played_before + taps:
        later.record(read_tap(tap))
    for other in (copy, later):
        assert everything(other) == everything(progress)
        assert other.counts.shares() == progress.counts.shares()
        assert other.unsettled() == progress.unsettled()
        assert targets(other.counts, Pace()) == targets(progress.counts, Pace())


def some_taps(progress: Progress, chance: Random, most: int) -> Iterator[Tap]:
    """Record taps, some of them taken back at once, some of pieces spoiled, giving each after it counts."""
    for number in range(most):
        tap = next_tap(progress, chance, f"later {number}")
        if tap is None:
            return
        assert progress.record(read_tap(tap))
        yield tap
        more: Tap = {"id": f"back {number}", "do": "take back", "what": tap["id"]}
        if chance.random() < 1 / 2:
            loose = [pile for pile in progress.counts.checklist.piles if pile not in progress.counts.with_blocks]
            lying = [
                pile
                for pile in loose
                if not progress.counts.checklist.piles[pile].block and progress.counts.on_pile(pile)
            ]
            more = {"id": f"spoiled {number}", "do": "spoiled", "pile": (lying or loose)[0], "times": 1}
        with suppress(Refused):
            progress.record(read_tap(more))
            yield more


@pytest.mark.parametrize("picture", ["S R\nR S", "S/R S\nS R\\S"])
def test_whatever_is_wanted_besides_is_reckoned_to_an_end_and_paid_for(picture: str) -> None:
    plan = plan_of(picture, blocks=3)
    checklist = compile_plan(plan)
    finished = Counter(Progress(plan, checklist).counts.wanted_at_the_end())
    found: dict[str, dict[str, int]] = {}

    def reckon() -> None:
        for pile in checklist.piles:
            found[pile] = times_needed(checklist.steps, finished + Counter({pile: 1}))

    reckoning = Thread(target=reckon, daemon=True)
    reckoning.start()
    reckoning.join(30)
    assert found.keys() == checklist.piles.keys(), "a circle without end"
    for pile, times in found.items():
        left = Counter({pile: -1})
        left.subtract(finished)
        for step in checklist.steps:
            for sign, flows in ((-1, step.takes), (1, step.gives)):
                for flow in flows:
                    left[flow.pile] += sign * times[step.id] * flow.each
        assert min(left.values()) >= 0
        assert all(step.count <= times[step.id] for step in checklist.steps)
