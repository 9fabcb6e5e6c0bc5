"""What a quilt's facts and taps look like: what comes from a file that anybody can write is held to it.

A shape is a type; a Text or the MOMENT; a tuple of shapes that may be meant; a list of one shape, for any number of
them; a list of several, for just so many; or a table of shapes by key ("*": all others; a key ending in "!" must be
there). Keys that are not named here are let through, since later versions may know more.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from types import NoneType, UnionType
from typing import Any, get_args, get_origin

from tracker.progress.finished_quilt import DAYS, SIZES, TEXTS
from tracker.progress.ledger import Tap
from tracker.progress.tap_kinds import shapes_of

Shape = Any


@dataclass(frozen=True)
class Text:
    """A text of at most so many characters."""

    longest: int


class MomentText:
    """A date and time in ISO words, of a year that every clock and calendar knows. Words that are no date at all are
    let through: they are shown as nothing."""

    YEARS = range(1900, 9000)


MOMENT = MomentText()
WHOLE_OR_NONE = (int, type(None))
WORDS = Text(10_000)
"""Far more than any title, note or name of a step has."""
PLAN = Text(1_000_000)

SHELVED: Shape = {
    "since": MOMENT,
    **dict.fromkeys((*TEXTS, *DAYS), WORDS),
    **dict.fromkeys(SIZES, ([WORDS, WORDS], [])),
}
"""What she keeps with a finished quilt: words and dates as typed, pairs of lengths or none."""

ABOUT: Shape = {
    "title": WORDS,
    "plan": PLAN,
    "demo": bool,
    "made_at": MOMENT,
    "put_away": bool,
    "reckoning": int,
    "pace": {"sample_first": bool, "batch": WHOLE_OR_NONE},
    "setup": {"*": WORDS},
    "makers": [{"key": WORDS, "name!": WORDS, "was": [WORDS]}],
    "seam_tests": {"*": {"middle!": WORDS, "at": MOMENT}},
    "seam_test": {"middle!": WORDS, "at": MOMENT},
    "former_plans": [{"plan!": PLAN, "until!": MOMENT}],
    "shelf": SHELVED,
    "former_shelves": [{"shelf!": SHELVED, "until!": MOMENT}],
    "plan_news": {"at": MOMENT, "said": WORDS},
    "photos": [{"name!": WORDS, "words": WORDS, "at": MOMENT, "removed": bool}],
}


def _shape(kind: Any) -> Shape:
    """The shape of a field of a tap by its type (see `tap_kinds`)."""
    if get_origin(kind) is UnionType:
        return tuple(each if each is NoneType else _shape(each) for each in get_args(kind))
    if get_origin(kind) is tuple:
        return [_shape(each) for each in get_args(kind) if each is not ...]
    return WORDS if kind is str else kind


TAPS: dict[str, Shape] = {
    do: {name: _shape(each) for name, each in shapes_of(kind).items()} for do, kind in Tap.KINDS.items()
}
"""The fields of each kind of tap."""
ANY_TAP: Shape = {key: (shape, NoneType) for kind in reversed(TAPS.values()) for key, shape in kind.items()}
"""Every field, in the shape of the first kind that has it: what another says of that name is held to it too."""


def is_tap(value: dict[str, Any]) -> bool:
    """Whether a JSON table has the shape of a tap: of its kind, where that is known."""
    do = value.get("do")
    own = TAPS.get(do, {}) if isinstance(do, str) else {}
    return fits(
        value, {"id!": WORDS, "at": MOMENT, "device": WORDS, "who": WORDS, "waited": int, "do": WORDS, **ANY_TAP, **own}
    )


def fits(value: object, shape: Shape) -> bool:
    """Whether a JSON value has a shape."""
    if isinstance(shape, type):
        return type(value) is shape
    if isinstance(shape, Text):
        return isinstance(value, str) and len(value) <= shape.longest
    if isinstance(shape, MomentText):
        return isinstance(value, str) and fits(value, WORDS) and (is_moment(value) or not is_date(value))
    if isinstance(shape, tuple):
        return any(fits(value, each) for each in shape)
    if isinstance(shape, list):
        if not isinstance(value, list):
            return False
        shapes = shape * len(value) if len(shape) == 1 else shape
        return len(shapes) == len(value) and all(map(fits, value, shapes))
    return isinstance(value, dict) and _fits_table(value, shape)


def _fits_table(value: dict[str, Any], shape: dict[str, Shape]) -> bool:
    needed = {key.removesuffix("!") for key in shape if key.endswith("!")}
    named = {key.removesuffix("!"): each for key, each in shape.items()}
    known = {key: each for key, each in value.items() if key in named or "*" in named}
    return needed <= value.keys() and all(fits(each, named.get(key, named.get("*"))) for key, each in known.items())


def is_moment(text: str) -> bool:
    """Whether a text is a date and time that can be shown."""
    return is_date(text) and datetime.fromisoformat(text).year in MomentText.YEARS


def is_date(text: str) -> bool:
    """Whether a text is any date at all."""
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True
