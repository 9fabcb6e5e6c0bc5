"""One tap for a whole pass: it comes to what its steps come to one by one, is taken back as one, and counts once."""

from __future__ import annotations

from random import Random

import pytest
from freezing import PLANS
from hypothesis import given
from hypothesis import strategies as st
from random_quilts import random_quilt

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.progress.batches import Pace, carry_on, passes_of
from tracker.progress.ledger import Progress
from tracker.progress.pass_work import PassShare, needed_now
from tracker.progress.tap_kinds import TakenBack
from tracker.progress.work_taps import PassDone, StepsDone
from tracker.route.compiler import compile_plan

PACES = (Pace(), Pace(sample_first=False), Pace(batch=2))
State = tuple[dict[tuple[str, int], int], dict[str, int], list[str]]


def frozen(name: str) -> Plan:
    plan = read_plan(PLANS[name].read_bytes()).plan
    assert plan is not None
    return plan


def state(progress: Progress) -> State:
    """Every count and every pile."""
    counts = progress.counts
    piles = {
        f"{pile.id} {block}": counts.on_pile(pile.id, block or None)
        for pile in counts.checklist.piles.values()
        for block in ((0,) if pile.block is None else counts.block_keys)
    }
    return {key: times for key, times in counts.done.items() if times}, piles, [tap.id for tap in progress.unsettled()]


def pass_tap(tap_id: str, shares: tuple[PassShare, ...]) -> PassDone:
    work = tuple((each.step.id, 0 if each.blocks else each.times, each.blocks) for each in shares)
    return PassDone(id=tap_id, work=work)


def offered(progress: Progress, pace: Pace) -> tuple[PassShare, ...]:
    """What one tap counts of the pass that is offered; nothing when all is done."""
    step = carry_on(progress, pace)
    return () if step is None else needed_now(progress.counts, pace, passes_of(progress.counts)[step.id].steps)


def followed(plan: Plan, pace: Pace, looks: Random) -> int:
    """A quilt from first to last by passes alone, each held to the laws where lot says so; how many taps it took."""
    progress, taps = Progress(plan, compile_plan(plan)), 0
    while shares := offered(progress, pace):
        taps += 1
        tap = pass_tap(f"pass-{taps}", shares)
        if looks.random() < 1 / 6:
            one_by_one_and_back(progress, tap, shares)
        progress.record(tap.completed(progress.counts))
        assert progress.unsettled() == []
    assert progress.counts.finished()
    return taps


def one_by_one_and_back(progress: Progress, tap: PassDone, shares: tuple[PassShare, ...]) -> None:
    before, singly, together = state(progress), progress.copy(), progress.copy()
    for number, share in enumerate(shares):
        done = {"blocks": share.blocks} if share.blocks else {"times": share.times}
        singly.record(StepsDone(id=f"single-{number}", step=share.step.id, **done))  # type: ignore[arg-type]
    assert together.record(tap)
    assert state(together) == state(singly)
    assert together.last_step_id() == singly.last_step_id()
    assert not together.record(tap)
    # Another device, away, counted the same pass: it is asked about, and nothing is counted twice.
    assert together.record(pass_tap("elsewhere", shares))
    done, piles, asked = state(together)
    assert asked == [] or (done, piles) == state(singly)[:2]
    together.take_back("elsewhere")
    together.record(TakenBack(id="back", what=tap.id))
    assert state(together) == before


@pytest.mark.parametrize("pace", PACES, ids=["a row at a time", "no sample", "twos"])
@pytest.mark.parametrize("name", ["kingfisher", "whirl_on_point", "checker_versions", "wide_geese"])
def test_a_quilt_by_passes_alone(name: str, pace: Pace) -> None:
    plan = frozen(name)
    followed(plan, pace, Random(name))


@given(st.integers(0, 1 << 30), st.sampled_from(PACES))
def test_quilts_drawn_by_lot_by_passes_alone(lot: int, pace: Pace) -> None:
    followed(random_quilt(Random(lot)), pace, Random(lot))


def test_the_demo_takes_fewer_taps_than_it_has_steps() -> None:
    plan = frozen("kingfisher")
    steps = [step for step in compile_plan(plan).steps if step.count]
    assert followed(plan, Pace(), Random(0)) < len(steps)


def test_a_pass_counts_all_of_its_steps_or_none() -> None:
    plan = frozen("kingfisher")
    progress = Progress(plan, compile_plan(plan))
    while not (shares := offered(progress, Pace()))[0].blocks or len(shares) < 5:
        progress.record(pass_tap(str(len(progress.latest(1000))), shares))
    tap = pass_tap("rows", (*shares, PassShare(shares[0].step, 1, (2,))))  # block 2 is not laid out
    before = state(progress)
    wrong = pass_tap("rows", tuple(PassShare(share.step, 1, (2,)) for share in shares))
    assert progress.record(wrong)
    assert state(progress) == (before[0], before[1], ["rows"])
    with pytest.raises(Exception, match="not a count"):  # a step twice
        progress.record(PassDone(id="twice", work=tap.work))
