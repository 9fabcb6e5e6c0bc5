"""A short storm: taps from two browsers through network cuts and a killed server (tests/storm.py runs longer ones)."""

from __future__ import annotations

from pathlib import Path

from effort import tries
from playwright.sync_api import Browser
from storm import storm

TAPS = tries(50, 20)


def test_no_tap_is_lost_or_doubled_through_cuts_and_kills(browser: Browser, tmp_path: Path) -> None:
    result = storm(browser, tmp_path / "data", taps=TAPS, cuts=tries(3, 2), kills=1, seed=5)
    assert result.well, result
    assert result.taps >= TAPS
    assert result.unsettled > 0
