"""Shortened runs of what a person can run whole: kills of a serving room, spoiled plans, spoiled requests."""

from __future__ import annotations

from pathlib import Path
from random import SystemRandom

import fuzz_room
import kill_room
from effort import tries


def test_kills_of_a_serving_room_lose_nothing_that_was_answered(tmp_path: Path) -> None:
    kills = tries(50)
    result = kill_room.run(tmp_path, kills=kills, seed=SystemRandom().randrange(1_000_000))
    assert (result.kills, result.lost, result.unreadable, result.strange) == (kills, 0, 0, [])
    assert result.acknowledged > kills


def test_spoiled_plans_are_refused_in_sentences_and_in_time() -> None:
    result = fuzz_room.Result()
    fuzz_room.fuzz_plans(tries(400, 100), result)
    assert result.plans["refused"] > tries(100, 20)


def test_spoiled_requests_change_nothing_and_are_answered(tmp_path: Path) -> None:
    result = fuzz_room.Result()
    fuzz_room.fuzz_requests(tries(300, 80), tmp_path / "data", result)
    assert result.requests.total() >= tries(300, 80)
    assert result.requests["200"] + result.requests["303"] > tries(10, 2)
