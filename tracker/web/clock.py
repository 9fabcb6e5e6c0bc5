"""When something happened: kept as text in universal time, said as people say it."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """This moment."""
    return datetime.now(UTC)


def stamp() -> str:
    """This moment as it is kept."""
    return now().isoformat(timespec="seconds")


def when(kept: object, at: datetime) -> str:
    """A kept moment in words, seen from another one, in this computer's time: `today at 14:05`, `3 days ago, Monday 24
    November`; nothing for what is not a moment."""
    try:
        moment = datetime.fromisoformat(str(kept)).astimezone(at.tzinfo)
    except (ValueError, OverflowError):  # also a moment beyond what a calendar can turn into this computer's time
        return ""
    days = (at.date() - moment.date()).days
    clock = f"{moment:%H:%M}"
    if days <= 0:
        return f"today at {clock}"
    if days == 1:
        return f"yesterday at {clock}"
    day = f"{moment:%A} {moment.day} {moment:%B}" + (f" {moment.year}" if moment.year != at.year else "")
    return f"{days} days ago, {day}"


def is_earlier_day(kept: object, at: datetime) -> bool:
    """Whether a kept moment lies on a day before that of another one, in this computer's time; not where it is none."""
    try:
        return datetime.fromisoformat(str(kept)).astimezone(at.tzinfo).date() < at.date()
    except (ValueError, OverflowError):
        return False


def here() -> datetime:
    """This moment in this computer's time."""
    return now().astimezone()
