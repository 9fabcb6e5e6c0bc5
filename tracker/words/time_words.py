"""How long what is left takes, and about when that is done, in words."""

from __future__ import annotations

from datetime import date


def time_left(seconds: int) -> str:
    """How long what is left takes: `about 40 minutes left`, `about 3½ hours left`; nothing for nothing."""
    return f"{about_so_long(seconds)} left" if seconds > 0 else ""


def about_so_long(seconds: int) -> str:
    """A rough time: `about 40 minutes`, `about 3½ hours`."""
    minutes = -(-seconds // 300) * 5
    if minutes < 60:
        return f"about {minutes} minutes"
    halves = (minutes + 15) // 30
    if halves < 20:
        hours = f"{halves // 2}{'½' if halves % 2 else ''}"
    else:
        nearest = 1 if halves < 80 else 5
        hours = str((minutes + 30 * nearest) // (60 * nearest) * nearest)
    return f"about {hours} {'hour' if hours == '1' else 'hours'}"


def day_done(day: date | None, today: date) -> str:
    """The day on which it is done, as a guess: `about 12 December at this rhythm`; nothing where none is known."""
    if day is None:
        return ""
    year = f" {day.year}" if day.year != today.year else ""
    return f"about {day.day} {day:%B}{year} at this rhythm"


def what_is_left(seconds: int, day: date | None, today: date) -> str:
    """Both in one sentence; nothing where nothing is left."""
    left, done = time_left(seconds), day_done(day, today)
    guess = f"; a guess: done {done}" if done else ""
    return f"{left[0].upper()}{left[1:]}{guess}." if left else ""
