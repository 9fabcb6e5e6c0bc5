"""Sample first, then batches; what is ready and what waits at each station; a plan edited midway."""

from __future__ import annotations

import pytest
from planning import plan_of, replayed, tapped
from test_progress import HALF, PICTURE, Room

from tracker.demo import demo_plan_text, demo_taps
from tracker.plan.plan_reader import read_plan
from tracker.progress.batches import (
    Pace,
    batches,
    by_station,
    carry_on,
    in_work,
    now_at,
    passes_of,
    samples_of,
    targets,
    waiting_at,
)
from tracker.progress.counts import Counts
from tracker.progress.edited_plan import carry_over
from tracker.progress.ledger import Progress
from tracker.progress.pass_work import needed_now
from tracker.progress.tap_kinds import written
from tracker.progress.work_taps import PassDone
from tracker.route.compiler import compile_plan
from tracker.work.operations import STATIONS
from tracker.work.things import Stage

ORDERS = [
    ("a row at a time after a sample", [2, 2, 2], Pace(), [[1], [2, 3, 4], [5, 6]]),
    ("threes", [3, 3], Pace(), [[1], [2, 3, 4], [5, 6]]),
    ("threes, four rows", [3, 3, 3, 3], Pace(), [[1], [2, 3, 4, 5], [6, 7, 8, 9], [10, 11, 12]]),
    ("fours", [4, 4], Pace(), [[1], [2, 3, 4], [5, 6, 7, 8]]),
    ("threes without a sample", [3, 3], Pace(sample_first=False), [[1, 2, 3], [4, 5, 6]]),
    ("on point", [1, 2, 1], Pace(sample_first=False), [[1, 2, 3, 4]]),
    (
        "on point, long rows",
        [1, 3, 5, 3, 1],
        Pace(sample_first=False),
        [[1, 2, 3, 4, 5], [6, 7, 8, 9], [10, 11, 12, 13]],
    ),
    ("one below the other", [1, 1, 1, 1], Pace(), [[1], [2, 3, 4]]),
    ("one row", [5], Pace(), [[1], [2, 3, 4, 5]]),
    ("one block", [1], Pace(), [[1]]),
    ("no sample", [5], Pace(sample_first=False), [[1, 2, 3, 4, 5]]),
    ("twos", [3, 2], Pace(batch=2), [[1], [2, 3], [4, 5]]),
    ("twos without a sample", [5], Pace(sample_first=False, batch=2), [[1, 2], [3, 4], [5]]),
    ("larger than the quilt", [3, 2], Pace(batch=50), [[1], [2, 3, 4, 5]]),
]


@pytest.mark.parametrize(("name", "across", "pace", "expected"), ORDERS, ids=[order[0] for order in ORDERS])
def test_the_order_of_blocks(name: str, across: list[int], pace: Pace, expected: list[list[int]]) -> None:
    numbers = iter(range(1, sum(across) + 1))
    assert batches([[next(numbers) for _ in range(length)] for length in across], pace) == expected


def test_the_sample_asks_for_one_blocks_units_alone() -> None:
    room = Room()
    wanted = targets(room.progress.counts, Pace())
    # One block has two half-squares: one pair.
    assert wanted["cut:S:3x3"] == 1
    assert wanted[f"trimmed:{HALF}"] == 2
    assert targets(room.progress.counts, Pace(sample_first=False))["cut:S:3x3"] == 4


def test_a_quilt_sewn_by_what_each_station_says() -> None:
    """Following the stations finishes the sample first, then each batch, and never leaves anything to do unsaid."""
    room, pace = Room(blocks=5), Pace(batch=2)
    finished: list[int] = []
    while current := in_work(room.progress.counts, pace):
        works = now_at(room.progress.counts, pace)
        assert works, waiting_at(room.progress.counts, pace)
        assert sum(map(len, by_station(room.progress.counts, pace).values())) == len(works)
        room.tap("done", step=works[0].step.id, times=works[0].now)
        last = room.progress.counts.last_steps().values()
        done = [
            n for n in room.progress.counts.block_keys if any(room.progress.counts.times_done(step, n) for step in last)
        ]
        if done != finished:
            assert set(done) - set(finished) <= set(current)
            finished = done
    while works := now_at(room.progress.counts, pace):
        room.tap("done", step=works[0].step.id, times=works[0].now)
    assert room.progress.counts.finished()
    assert carry_on(room.progress, pace) is None


def test_the_sample_is_measured_when_it_is_sewn_and_before_anything_else() -> None:
    room = Room()
    measured = room.step("measured")
    while not room.progress.counts.times_done(room.progress.counts.steps[measured]):
        assert in_work(room.progress.counts, Pace()) == [1]
        assert {work.now for work in now_at(room.progress.counts, Pace()) if work.step.per != "quilt"} <= {1}
        assert not any(room.progress.counts.times_done(step, 2) for step in room.progress.counts.block_steps("b", 2))
        step = carry_on(room.progress, Pace())
        assert step is not None
        (work,) = [work for work in now_at(room.progress.counts, Pace()) if work.step == step]
        room.tap("done", step=step.id, times=work.now)
    pressed = room.progress.counts.steps[measured].takes[0].pile
    assert room.checklist.piles[pressed].stage is Stage.PRESSED
    assert room.progress.counts.times_done(room.progress.counts.steps["cut:S:3x3"]) == 1


TWO_KINDS = """title = "Two kinds"
[fabrics.S]
name = "sand"
tone = 2
[fabrics.R]
name = "rust"
tone = 6
[blocks.four]
cell = "2"
picture = '''
S R
R S
'''
[blocks.rows]
cell = "2"
picture = '''
R R
S S
'''
[blocks.rest]
cell = "4"
picture = '''
S
'''
[quilt]
blocks = [["rest", "four"], ["four", "rows"], ["rows", "rest"]]
"""


def test_a_quilt_of_several_kinds_has_a_sample_of_each_that_is_sewn_from_pieces() -> None:
    reading = read_plan(TWO_KINDS)
    assert reading.plan is not None, reading.problems
    progress = Progress(reading.plan, compile_plan(reading.plan))
    assert samples_of(progress.counts) == [2, 4]
    assert in_work(progress.counts, Pace()) == [2, 4]
    assert in_work(progress.counts, Pace(sample_first=False)) == [1, 2, 3]
    wanted = targets(progress.counts, Pace())
    assert {wanted[step.id] for step in progress.counts.steps.values() if step.operation == "measure"} == {1}
    assert not any(step.per == "rest" and wanted.get(step.id) for step in progress.counts.steps.values())


def test_changing_the_batch_midway_keeps_all_progress() -> None:
    room = Room()
    room.tap("stage", block=1, step=room.step("squared"))
    before = room.state()
    assert in_work(room.progress.counts, Pace()) == [2, 3, 4]
    assert in_work(room.progress.counts, Pace(batch=1)) == [2]
    assert room.state() == before


def test_what_waits_says_for_what_and_how_many() -> None:
    room = Room()
    room.tap("done", step="cut:S:3x3", times=1)
    waits = {wait.step.id: (wait.pile, wait.short) for wait in waiting_at(room.progress.counts, Pace(), "machine")}
    assert waits[f"sewn:{HALF}"] == (f"paired:{HALF}", 1)
    assert {
        wait.step.station for station in STATIONS for wait in waiting_at(room.progress.counts, Pace(), station)
    } <= set(STATIONS)


def test_carrying_on_stays_at_a_station_before_a_walk() -> None:
    room = Room()
    pace = Pace(sample_first=False)
    for start in ("cut:S:3x3", "cut:R:3x3"):
        room.tap("done", step=start, times=4)
    room.tap("done", step=room.step("mark:S"), times=4)
    room.tap("done", step=f"paired:{HALF}", times=4)
    step = carry_on(room.progress, pace)
    assert step is not None
    assert step.id == f"sewn:{HALF}"


def test_at_a_station_the_block_farthest_on_stays_first_after_a_step_of_a_block() -> None:
    """Two blocks at different stages, and units for the next: offered are no units between steps of blocks."""
    plan = read_plan(demo_plan_text()).plan
    assert plan is not None
    progress = Progress(plan, compile_plan(plan))
    assert list(demo_taps(progress))
    last, calm = progress.counts.steps[progress.last_step_id() or ""], 0
    for _ in range(30):
        step = carry_on(progress, Pace())
        assert step is not None
        together, works = passes_of(progress.counts), by_station(progress.counts, Pace())[step.station]
        here = [work.step for work in works if together[work.step.id] != together[last.id]]
        if (
            last.per != "quilt"
            and step.station == last.station
            and step in here
            and any(each.per != "quilt" for each in here)
        ):
            assert step.per != "quilt"
            calm += any(each.per == "quilt" for each in here)
        shares = needed_now(progress.counts, Pace(), together[step.id].steps)
        work = tuple((each.step.id, 0 if each.blocks else each.times, each.blocks) for each in shares)
        progress.record(PassDone(id=f"calm-{progress.counts.shares()[0]}", work=work))
        last = shares[-1].step
    assert calm


def test_finished_units_count_on_when_only_the_cutting_changes() -> None:
    """Roomy squares or exact ones: the half-squares trimmed from them are the same, and blocks sewn of them too."""
    room = Room()
    room.all_units()
    room.tap("stage", block=1, step=room.step("squared"))
    plan = plan_of(PICTURE, blocks=4, top='trimming = "exact"')
    carried = carry_over(room.progress.counts, Counts(plan, compile_plan(plan)))
    assert carried.counts.on_pile(f"trimmed:{HALF}") == room.progress.counts.on_pile(f"trimmed:{HALF}") == 6
    assert carried.counts.stage(1).done == carried.counts.stage(1).steps - 1
    assert {each.step.id for each in carried.lost} >= {"cut:S:3x3", "cut:R:3x3"}
    assert not [each for each in carried.lost if each.step.id.startswith("trimmed")]


def test_other_lengths_or_seams_keep_nothing() -> None:
    """Patches of 2 1/2 in are none of 2.5 cm, and a wider seam makes every unfinished piece another."""
    room = Room()
    room.all_units()
    for top in ('unit = "cm"\nseam = "0.75"', 'seam = "3/8"'):
        plan = plan_of(PICTURE, blocks=4, cell="1", top=top)
        carried = carry_over(room.progress.counts, Counts(plan, compile_plan(plan)))
        assert carried.kept == ()
        assert sum(carried.counts.done.values()) == 0


EDITS = {
    "more blocks": ({"blocks": 6}, True),
    "fewer blocks": ({"blocks": 2}, True),  # what is more are spares
    "another size": ({"blocks": 4, "cell": "3"}, False),
    "another picture, the same units": ({"blocks": 4, "picture": "S S/R\nR\\S S"}, False),
}


@pytest.mark.parametrize("name", EDITS)
def test_a_plan_edited_midway(name: str) -> None:
    """What is kept, what is new and what no longer fits is told, and adds up; nothing is dropped silently."""
    changed, everything = EDITS[name]
    room = Room()
    room.all_units()
    room.tap("stage", block=1, step=room.step("squared"))
    room.tap("spoiled", pile="cut:S:2_1/2x2_1/2", times=1)
    plan = plan_of(str(changed.pop("picture", PICTURE)), **changed)  # type: ignore[arg-type]
    checklist = compile_plan(plan)
    carried = carry_over(room.progress.counts, Counts(plan, checklist))
    done = {step.id: room.progress.counts.times_done(step) for step in room.progress.counts.steps.values()}
    told = {each.step.id: each.done for each in (*carried.kept, *carried.lost)}
    assert told == {step: times for step, times in done.items() if times}
    assert (carried.lost == ()) == everything
    for each in carried.kept:
        assert carried.counts.times_done(carried.counts.steps[each.step.id]) == each.kept
    assert all(carried.counts.on_pile(pile) >= 0 for pile in checklist.piles)
    again = replayed(plan, checklist, [*room.taps, written(carried.tap("carried"))])
    assert again.counts.done == {key: times for key, times in carried.counts.done.items() if times}
    while not again.counts.finished():
        step = next(step for step in again.counts.steps.values() if again.counts.ready(step))
        tapped(again, {"id": str(again.counts.shares()), "do": "done", "step": step.id, "times": 1})
