"""Shortened runs of what a person can run whole: kills of a serving room, spoiled plans, spoiled requests."""

from __future__ import annotations

from pathlib import Path

import fuzz_room
import kill_room


def test_fifty_kills_of_a_serving_room_lose_nothing_that_was_answered(tmp_path: Path) -> None:
    result = kill_room.run(tmp_path, kills=50, seed=1)
    assert (result.kills, result.lost, result.unreadable, result.strange) == (50, 0, 0, [])
    assert result.acknowledged > 50


def test_spoiled_plans_are_refused_in_sentences_and_in_time() -> None:
    result = fuzz_room.Result()
    fuzz_room.fuzz_plans(400, result)
    assert result.plans["refused"] > 100


def test_spoiled_requests_change_nothing_and_are_answered(tmp_path: Path) -> None:
    result = fuzz_room.Result()
    fuzz_room.fuzz_requests(300, tmp_path / "data", result)
    assert result.requests.total() >= 300
    assert result.requests["200"] + result.requests["303"] > 10
