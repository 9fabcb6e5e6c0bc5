"""How far in time, how long the rest takes, and when it is done: by tables of taps, and by laws."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from planning import plan_of, tapped
from working import counted_work

from tracker.exact.measure import Measure
from tracker.progress.counts import Counts
from tracker.progress.ledger import Progress, Tap
from tracker.progress.pace_of_work import (
    BELIEVED,
    Forecast,
    Remainder,
    Timeline,
    paces_of,
    remainder,
    seconds_of,
    tapped_at,
)
from tracker.progress.tap_kinds import TakenBack, read_tap
from tracker.route.compiler import compile_plan
from tracker.words.time_words import what_is_left
from tracker.work.steps import Checklist, Step
from tracker.work.whole_blocks import QuiltLayers, SetBlock

PICTURE = "S/R S\nS R\\S"
PLAN = plan_of(PICTURE, blocks=12)
CHECKLIST = compile_plan(PLAN)
CUT = next(step for step in CHECKLIST.steps if step.operation == "cut")
SEW = next(step for step in CHECKLIST.steps if step.operation == "sew")
MORNING = datetime(2026, 11, 2, 9, tzinfo=UTC)


def taps_of(*said: tuple[Any, ...]) -> list[dict[str, Any]]:
    """Taps from (minutes after nine, step, times, what else it says)."""
    taps = []
    for number, (minutes, step, times, *more) in enumerate(said):
        at = (MORNING + timedelta(minutes=minutes)).isoformat()
        tap = {"id": f"tap{number}", "do": "done", "step": step.id, "times": times, "at": at}
        taps.append(tap | (more[0] if more else {}))
    return taps


def forecast_of(taps: list[dict[str, Any]], timeline: Timeline | None = None) -> Forecast:
    timeline = timeline or Timeline(CHECKLIST, "in", UTC)
    return timeline.forecast(Counts(PLAN, CHECKLIST), dict(enumerate(map(read_tap, taps))), len(taps))


BACK = {"do": "take back", "what": "tap1"}
STRIP = {"do": "strip", "cloth": "R", "strip": "one", "steps": [[CUT.id, 2], ["of a former plan", 9]]}


@pytest.mark.parametrize(
    ("said", "minutes", "times"),
    [
        ([(0, CUT, 1)], 0, 0),
        ([(0, CUT, 1), (2, CUT, 3)], 2, 3),
        # A pause of twenty minutes is work still, a longer one is none; nobody knows how long what came after it took.
        ([(0, CUT, 1), (20, CUT, 9)], 20, 9),
        ([(0, CUT, 1), (21, CUT, 9), (23, CUT, 2)], 2, 2),
        # Past midnight the day goes on; by four in the morning it is another.
        ([(14 * 60 + 55, CUT, 1), (15 * 60 + 5, CUT, 4)], 10, 4),
        ([(18 * 60 + 55, CUT, 1), (19 * 60 + 5, CUT, 4)], 0, 0),
        # Tapped late, each piece by itself: all of it took the time before.
        ([(0, CUT, 1), (4, CUT, 1), (4, CUT, 1), (4, CUT, 1), (4, CUT, 1)], 4, 4),
        ([(0, CUT, 1), (30, CUT, 1), (30, CUT, 1), (30, CUT, 1), (31, CUT, 2)], 1, 2),
        # What nobody does in that time was not done in it.
        ([(0, CUT, 1), (1, CUT, 60)], 0, 0),
        # Kept on the device while the computer was away: by when it was tapped.
        ([(0, CUT, 1), (60, CUT, 3, {"waited": 58 * 60}), (60, CUT, 4, {"waited": 55 * 60})], 5, 7),
        # A device that cannot know is left out, and so are two that lie the wrong way round.
        ([(0, CUT, 1), (2, CUT, 3, {"waited": -70}), (4, CUT, 1)], 4, 1),
        ([(0, CUT, 1), (2, CUT, 3, {"waited": 10**9}), (4, CUT, 1)], 4, 1),
        ([(0, CUT, 1), (2, CUT, 3), (5, CUT, 5, {"waited": 280}), (9, CUT, 2), (11, CUT, 1)], 11, 3),
        # Several devices at once: one time for the room, each in its own order.
        (
            [(0, CUT, 1, {"device": "phone"}), (6, CUT, 2, {"device": "phone"}),
             (7, CUT, 4, {"device": "tablet", "waited": 240}), (8, CUT, 1, {"device": "phone"})], 8, 7,
        ),
        # What was not so does not count, and its time goes to what came after.
        ([(0, CUT, 1), (2, CUT, 3), (3, CUT, 0, BACK), (5, CUT, 4)], 5, 4),
        ([(0, CUT, 1), (2, CUT, 3, {"do": "counted", "by": 2, "times": 9})], 2, 2),
        ([(0, CUT, 1), (2, CUT, 3, {"do": "counted", "by": -2, "times": 9})], 0, 0),
        ([(0, CUT, 1), (2, CUT, 0, STRIP)], 2, 2),
        ([(0, CUT, 1), (2, CUT, 3, {"step": "of a former plan"}), (4, CUT, 1)], 4, 1),
        ([(0, CUT, 1), (2, CUT, 3, {"at": "some day"}), (4, CUT, 1, {"at": "0001-01-01T00:00:00+14:00"})], 0, 0),
    ],
)  # fmt: skip
def test_what_taps_say_of_her_pace(said: list[tuple[Any, ...]], minutes: int, times: int) -> None:
    took, reckoned = forecast_of(taps_of(*said)).paces.get("cut", (0, 0))
    assert reckoned == times * seconds_of(CUT, "in")
    assert 0 <= minutes * 60 - took < max(len(said), 1)


def test_a_slow_hand_takes_longer_at_what_it_is_slow_at_and_a_little_longer_at_the_rest() -> None:
    left = Remainder(20_000, {"cut": 3600, "sew": 3600})
    usual, slow = Forecast(left, {}, {}), Forecast(left, {"cut": (7200, 3600)}, {})
    assert usual.seconds_left == 7200
    in_all = Fraction(BELIEVED + 7200, BELIEVED + 3600)
    assert slow.seconds_left == -(-3600 * (in_all + (BELIEVED * in_all + 7200) / (BELIEVED + 3600)) // 1)


def on(*days: int, of: int = 600) -> dict[date, int]:
    return {date(2026, 11, day): of for day in days}


@pytest.mark.parametrize(
    ("days", "left", "today", "done"),
    [
        (on(2, 3), 600, 3, None),  # two days of work say nothing
        (on(2, 3, 4), 40_000, 4, None),  # nor less than a twentieth
        (on(2, 3, 4), 0, 4, None),
        (on(2, 3, 4), 1800, 4, "7 November"),  # every day
        (on(2, 9, 16), 1800, 16, "7 December"),  # every week
        (on(2, 9, 16), 1800, 20, "7 December"),  # between two of her days
        (on(2, 9, 16), 600, 30, "30 November"),  # she has stayed away: no day that is past
        (on(2, 3, 4, 29), 600, 4, "5 November"),  # a day that has not been yet
    ],
)
def test_the_day_at_her_rhythm(days: dict[date, int], left: int, today: int, done: str | None) -> None:
    forecast = Forecast(Remainder(40_000 if left == 40_000 else left + 1800, {"sew": left}), {}, days)
    found = forecast.day_done(date(2026, 11, today))
    assert (f"{found.day} {found:%B}" if found else None) == done


def test_what_was_long_ago_is_no_rhythm() -> None:
    days = {date(2026, 3, 1): 600, date(2026, 3, 2): 600} | on(2, 3, 4)
    assert Forecast(Remainder(4000, {"sew": 1200}), {}, days).day_done(date(2026, 11, 4)) == date(2026, 11, 6)


@pytest.mark.parametrize(
    ("seconds", "day", "words"),
    [
        (0, None, ""),
        (30, None, "About 5 minutes left."),
        (2401, None, "About 45 minutes left."),
        (3600, None, "About 1 hour left."),
        (12_600, None, "About 3½ hours left."),
        (50_000, date(2026, 12, 12), "About 14 hours left; a guess: done about 12 December at this rhythm."),
        (400_000, date(2027, 1, 2), "About 110 hours left; a guess: done about 2 January 2027 at this rhythm."),
    ],
)
def test_how_it_is_said(seconds: int, day: date | None, words: str) -> None:
    assert what_is_left(seconds, day, date(2026, 11, 29)) == words


def test_long_seams_and_whole_quilts_take_longer() -> None:
    def sized(action: object, width: int, height: int, operation: str) -> int:
        size = Measure(width), Measure(height)
        return seconds_of(Step("x", operation, 1, "quilt", (), (), size, action, CUT.topic), "in")  # type: ignore[arg-type]

    place = SetBlock(*([None] * len(SetBlock.__dataclass_fields__)))  # type: ignore[arg-type]
    assert sized(place, 12, 12, "join") == 45
    assert sized(place, 12, 60, "join") == 5 * 45
    assert sized(QuiltLayers(), 60, 60, "sew") == 25 * 300
    assert seconds_of(CUT, "in") == seconds_of(CUT, "cm") == 20


def ways_on(progress: Progress) -> list[tuple[Step, int]]:
    return [
        (step, progress.counts.ready(step)) for step in progress.counts.steps.values() if progress.counts.ready(step)
    ]


@given(st.data())
def test_no_tap_takes_her_back_but_one_that_takes_a_tap_back(data: st.DataObject) -> None:
    """Nothing done is no per cent, all done a hundred; between them it only rises, and falls as far as it is undone."""
    plan = plan_of(PICTURE, blocks=2)
    progress = Progress(plan, compile_plan(plan))
    assert remainder(progress.counts).percent == 0
    past: list[tuple[str, int, int]] = []
    number = 0
    while ways := ways_on(progress):
        number += 1
        if past and number < 60 and data.draw(st.integers(0, 9)) == 0:
            name, percent, done = past.pop()
            tapped(progress, {"id": f"b{number}", "do": "take back", "what": name})
            assert (remainder(progress.counts).percent, remainder(progress.counts).done) == (percent, done)
            continue
        step, ready = ways[data.draw(st.integers(0, len(ways) - 1))] if number < 40 else ways[0]
        before = remainder(progress.counts)
        tapped(progress, {"id": f"t{number}", "do": "done", "step": step.id, "times": ready})
        assert remainder(progress.counts).percent >= before.percent
        assert remainder(progress.counts).done > before.done
        past.append((f"t{number}", before.percent, before.done))
        assert (remainder(progress.counts).percent == 100) == progress.counts.finished()
    assert progress.counts.finished()


moments = st.lists(
    st.tuples(st.integers(0, 3000), st.sampled_from((CUT, SEW)), st.integers(1, 9),
              st.fixed_dictionaries({"device": st.sampled_from("ab"), "waited": st.integers(-1, 4000)})),
    max_size=30,
)  # fmt: skip


@given(moments, st.integers(0, 30))
def test_tap_by_tap_comes_to_the_same_as_all_at_once(said: list[tuple[Any, ...]], first: int) -> None:
    taps = taps_of(*sorted(said, key=lambda each: each[0]))
    timeline = Timeline(CHECKLIST, "in", UTC)
    forecast_of(taps[:first], timeline)
    assert forecast_of(taps, timeline) == forecast_of(taps)


def test_the_moment_is_that_of_the_tap_whatever_the_day_it_was_kept() -> None:
    kept = TakenBack(id="late", what="tap1", at="2026-11-03T05:00:00+00:00", waited=2 * 3600)
    assert tapped_at(kept, UTC) == (1_793_674_800, date(2026, 11, 2))
    assert tapped_at(replace(kept, at="2026-11-03T05:00:00", waited=None), UTC) == (1_793_682_000, date(2026, 11, 3))


def large() -> tuple[Checklist, Progress, dict[int, Tap]]:
    plan = plan_of(PICTURE, blocks=400)
    checklist = compile_plan(plan)
    steps = [step for step in checklist.steps if step.per == "quilt"]
    moments = ((number // 400 * 1440 + number % 400, steps[number % len(steps)], 1) for number in range(20_001))
    return checklist, Progress(plan, checklist), dict(enumerate(map(read_tap, taps_of(*moments))))


def test_one_tap_more_is_not_twenty_thousand() -> None:
    """400 blocks and 20,000 taps: the next tap costs a small part of all of them, and asking again costs nothing."""
    checklist, progress, taps = large()
    timeline = Timeline(checklist, "in", UTC)
    with counted_work() as whole:
        timeline.forecast(progress.counts, taps, len(taps) - 1)
    with counted_work() as more:
        found = timeline.forecast(progress.counts, taps, len(taps))
    assert more[0] * 25 < whole[0] < 100 * len(taps)
    afresh = Timeline(checklist, "in", UTC).forecast(progress.counts, taps, len(taps))
    assert found == afresh
    assert paces_of([]) == {}
