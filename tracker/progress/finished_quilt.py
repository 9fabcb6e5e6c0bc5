"""What a quilt became: its size, the days it was begun and finished, the time it took, how far it shrank. Pure; exact.

What she typed goes before what its plan and taps say.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from tracker.exact.measure import LengthFault, Measure, nearest, read_length
from tracker.progress.pace_of_work import Forecast
from tracker.work.steps import Size

TEXTS = ("by", "for", "cloths", "batting", "thread", "needle", "settings", "washing", "hours", "story")
"""What is kept in her own words."""
SIZES = ("size", "before", "after")
"""Lengths across and down: finished, before it was washed and after."""
DAYS = ("begun", "finished")


@dataclass(frozen=True)
class FinishedQuilt:
    """What is known of a quilt. `seconds`: of work, by her taps. `before` and `after`: its size before and after it was
    washed; None where that was not measured."""

    size: Size
    begun: date | None
    finished: date | None
    seconds: int
    before: Size | None
    after: Size | None

    @property
    def shrunk(self) -> tuple[Fraction, Fraction] | None:
        """By how many per cents it is smaller across and down since it was washed, to a tenth; below 0: larger."""
        if self.before is None or self.after is None:
            return None
        across, down = (_tenths(before, after) for before, after in zip(self.before, self.after, strict=True))
        return across, down


def _tenths(before: Measure, after: Measure) -> Fraction:
    return nearest((before - after) / before * 100, Fraction(1, 10)).rational


def finished_quilt(kept: Mapping[str, Any], planned: Size, unit: str, forecast: Forecast) -> FinishedQuilt:
    """What a quilt became, by what is kept with it, its size by plan and measures, and its taps.

    It was begun on the first day of work and finished on the last, where nothing is left to do.
    """
    days = sorted(forecast.days)
    over = days and not any(forecast.remainder.left.values())
    return FinishedQuilt(
        size_kept(kept, "size", unit) or planned,
        day_kept(kept, "begun") or (days[0] if days else None),
        day_kept(kept, "finished") or (days[-1] if over else None),
        forecast.seconds_sewn,
        size_kept(kept, "before", unit),
        size_kept(kept, "after", unit),
    )


def day_kept(kept: Mapping[str, Any], key: str) -> date | None:
    """A day as it was typed; None for none."""
    try:
        return date.fromisoformat(str(kept.get(key, "")))
    except ValueError:
        return None


def size_kept(kept: Mapping[str, Any], key: str, unit: str) -> Size | None:
    """A size as it was typed; None where either side is missing or no length above 0."""
    try:
        across, down = (read_length(str(each), unit) for each in kept.get(key, ()))
    except (LengthFault, ValueError, TypeError):
        return None
    return (across, down) if across > 0 and down > 0 else None
