"""What is said of a finished quilt, on the shelf and on the label for its back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from fractions import Fraction

from tracker.exact.measure import Measure, nearest, write_length
from tracker.progress.finished_quilt import FinishedQuilt
from tracker.words.time_words import about_so_long
from tracker.work.steps import Size

NAMES = {
    "by": "Made by",
    "for": "For whom",
    "cloths": "Cloths",
    "batting": "Batting",
    "thread": "Thread",
    "needle": "Needle",
    "settings": "Machine settings",
    "washing": "How to wash it",
    "hours": "Hours sewn",
    "story": "What else to remember",
}
"""What is kept in her own words, by the names under which it is kept."""

SIZE_NAMES = {"size": "Finished size", "before": "Before washing", "after": "After washing"}


def day_words(day: date) -> str:
    """`25 November 2026`."""
    return f"{day.day} {day:%B} {day.year}"


def size_text(size: Size, unit: str, mark: Measure) -> str:
    """`48½ × 60 in`, to the nearest mark of the ruler."""
    across, down = (write_length(nearest(side, mark), unit) for side in size)
    return f"{across} × {down} {unit}"


UNBROKEN = "\N{NO-BREAK SPACE}"
"""Between the words of a day, which stay on one line."""


def days_text(found: FinishedQuilt) -> str:
    """When it was begun and finished, as far as that is known."""
    begun, finished = (day_words(day).replace(" ", UNBROKEN) if day else "" for day in (found.begun, found.finished))
    if begun and finished:
        return f"begun {begun}, finished {finished}" if begun != finished else f"made on {finished}"
    return f"finished {finished}" if finished else f"begun {begun}" if begun else ""


def shrinkage_text(found: FinishedQuilt, unit: str, mark: Measure) -> str:
    """How far it shrank, with both sizes; nothing where they were not measured."""
    if found.shrunk is None or found.before is None or found.after is None:
        return ""
    across, down = found.shrunk
    change = _one_way(across, down) or f"{_by(across)} across, {_by(down)} down"
    before, after = (size_text(size, unit, mark) for size in (found.before, found.after))
    return f"{change[0].upper()}{change[1:]}: from {before} to {after}."


def _one_way(across: Fraction, down: Fraction) -> str:
    """Both sides in one, where they went the same way."""
    if across == down:
        return _by(across) if not across else f"{_by(across)} both ways"
    if across > 0 and down > 0:
        return f"shrank by {_per_cents(across)} across and {_per_cents(down)} down"
    return ""


def _by(change: Fraction) -> str:
    if not change:
        return "as large as before"
    return f"{'shrank' if change > 0 else 'grew'} by {_per_cents(abs(change))}"


def _per_cents(change: Fraction) -> str:
    return f"{write_length(change, 'cm')} %"


def hours_text(found: FinishedQuilt, typed: str) -> str:
    """How long it took, as she says or by her taps; nothing where nothing is done."""
    if typed:
        return typed
    return f"{about_so_long(found.seconds)}, by your taps" if found.seconds else ""


def label_lines(title: str, found: FinishedQuilt, kept: Mapping[str, str], size: str) -> Iterator[tuple[str, bool]]:
    """What stands on the label for its back, each line with whether it is on small labels too."""
    yield title, True
    if kept.get("for"):
        yield f"for {kept['for']}", True
    if kept.get("by"):
        yield f"made by {kept['by']}", True
    if days_text(found):
        yield days_text(found), True
    yield size, False
    if kept.get("washing"):
        yield kept["washing"], False
    inside = [f"{NAMES[key].lower()}: {kept[key]}" for key in ("cloths", "batting") if kept.get(key)]
    for line in inside:
        yield line, False
