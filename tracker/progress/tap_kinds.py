"""Every kind of tap, those of work being in `work_taps`: what is said of a quilt and of other taps; and how each stands
in a file.

A field's type is its shape in the file too: a tuple is a list there, a field that is None is left out. Fields stand in
the order of the class, those that only the counts can tell (`RECKONED`) behind "at", when the tap was recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass, fields
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from tracker.progress.block_taps import Told, laid_before, told_before
from tracker.progress.changes import CountChange, Refused, text_of
from tracker.progress.ledger import Often, Progress, Recorded, Tap
from tracker.progress.measured_top import MOST_FIGURES
from tracker.progress.set_aside import Aside, Figures, Work
from tracker.progress.work_taps import measuring_of

LONGEST_NOTE = 500
LONGEST_NAME = 40


@dataclass(frozen=True, kw_only=True)
class Noted(Tap, do="note"):
    """A note on the quilt, or on one block."""

    text: str
    block: int | None = None

    def count_on(self, progress: Progress) -> Recorded:
        block = None if self.block is None else progress.counts.known_block(self.block)
        progress.notes.append((block, text_of(self.text, LONGEST_NOTE)))
        return Recorded(self)


@dataclass(frozen=True, kw_only=True)
class BlockNamed(Tap, do="name"):
    """A block's name."""

    block: int
    text: str

    def count_on(self, progress: Progress) -> Recorded:
        progress.names[progress.counts.known_block(self.block)] = text_of(self.text, LONGEST_NAME)
        return Recorded(self)


@dataclass(frozen=True, kw_only=True)
class TakenBack(Tap, do="take back"):
    """An earlier tap counts no more."""

    what: str

    def count_on(self, progress: Progress) -> Recorded:
        progress.take_back(self.what)
        return Recorded(self)


@dataclass(frozen=True, kw_only=True)
class Settled(Tap, do="settle"):
    """What an unsettled tap claims did happen so many times (0: not at all)."""

    what: str
    times: int

    @property
    def concerns(self) -> tuple[str, ...]:
        return (self.what,)

    def count_on(self, progress: Progress) -> Recorded:
        progress.settle(self.what, self.times)
        return Recorded(self)


@dataclass(frozen=True, kw_only=True)
class SettledTogether(Tap, do="settle all"):
    """The same for each of several taps that still is unsettled."""

    what: tuple[str, ...]
    times: tuple[int, ...]
    can_be_taken_back = True

    @property
    def concerns(self) -> tuple[str, ...]:
        return self.what

    def count_on(self, progress: Progress) -> Recorded:
        if len(self.what) != len(self.times):
            raise Refused("unknown tap", id=None)
        progress.settle_all(self.id, list(zip(self.what, self.times, strict=True)))
        return Recorded(self)


@dataclass(frozen=True, kw_only=True)
class CarriedOver(Tap, do="carried"):
    """A new beginning under an edited plan: times done by step and block (0: the pool), pieces lost by pile, strips
    ticked off (cloth and name), and what was measured by step; and what of these was set aside (see `set_aside`).
    Earlier taps count no more."""

    counts: tuple[tuple[str, int, int], ...] = ()
    lost: Often = ()
    strips: tuple[tuple[str, str], ...] | None = None
    measured: tuple[Figures, ...] | None = None
    aside: tuple[Work, ...] | None = None
    strips_aside: tuple[tuple[str, str], ...] | None = None
    measured_aside: tuple[Figures, ...] | None = None
    told: tuple[Told, ...] | None = None
    laid: tuple[int, ...] | None = None

    def count_on(self, progress: Progress) -> Recorded:
        former = progress.counts
        for step_id, block, _ in self.counts:
            if not former.is_done_for(step_id, block):
                raise Refused("unknown step", step=step_id)
        if unknown := [pile for pile, _ in self.lost if pile not in former.checklist.piles]:
            raise Refused("unknown pile", pile=unknown[0])
        measured = tuple((measuring_of(former, step, self.id, lengths), True) for step, lengths in self.measured or ())
        strips = tuple((*each, 1) for each in dict.fromkeys(self.strips or ()))
        told, laid = told_before(self.told or (), former), laid_before(self.laid or (), former)
        progress.begin_from(CountChange(self.counts, self.lost, strips, measured, beyond=True, told=told, laid=laid))
        progress.aside = Aside(self.aside or (), self.strips_aside or (), self.measured_aside or ())
        progress.carried = self
        return Recorded(self)


# In a file

WHEN = {"at": str, "waited": int, "device": str, "who": str}
"""What every tap may say of when, where and by whom it was tapped, in order; where it has another shape it says
nothing."""


def written(tap: Tap) -> dict[str, Any]:
    """A tap as it is stored and sent."""
    own = [each for each in fields_of(type(tap)) if getattr(tap, each.name) is not None]
    told = {each.name: _as_lists(getattr(tap, each.name)) for each in own}
    late = {each.name: told.pop(each.name) for each in own if each.metadata.get("reckoned")}
    when = {name: getattr(tap, name) for name in WHEN if getattr(tap, name) is not None}
    return {"id": tap.id, "do": tap.do, **told, **when, **late}


def read_tap(document: Mapping[str, Any]) -> Tap:
    """A tap from what is stored or sent of it; fields that its kind does not have are let be, since later versions may
    know more. Raises Refused for a kind that is not known and a field of another shape."""
    tap_id, do = document.get("id"), document.get("do")
    if not isinstance(tap_id, str) or not tap_id:
        raise Refused("unknown tap", id=tap_id)
    kind = Tap.KINDS.get(do) if isinstance(do, str) else None
    if kind is None:
        raise Refused("unknown tap", do=do)
    given: dict[str, Any] = {"id": tap_id}
    for name, plain in WHEN.items():
        if type(document.get(name)) is plain:
            given[name] = document[name]
    for name, shape, plain, needed in _shapes(kind):
        value = document.get(name)
        if type(value) is plain:
            given[name] = value
        elif needed or name in document:
            try:
                given[name] = _typed(value, shape)
            except (TypeError, ValueError):
                raise _unfit(name, value) from None
    return kind(**given)


@cache
def _shapes(kind: type[Tap]) -> tuple[tuple[str, Any, Any, bool], ...]:
    """For each field its type, a type whose values need no closer look, and whether a tap must have it."""
    shapes = shapes_of(kind)
    plain = {name: get_args(shape)[0] if get_origin(shape) is UnionType else shape for name, shape in shapes.items()}
    return tuple((each.name, shapes[each.name], plain[each.name], each.default is MISSING) for each in fields_of(kind))


def _unfit(name: str, value: object) -> Refused:
    """A field that has another shape than its kind of tap gives it."""
    match name:
        case "step" | "steps" | "undone":
            return Refused("unknown step", step=value)
        case "times" | "by":
            return Refused("not a count", count=value)
        case "work":
            return Refused("unknown step", step=value)
        case "block" | "blocks":
            return Refused("no such block", block=value)
        case "pile" | "lost":
            return Refused("unknown pile", pile=value)
        case "cloth" | "strip":
            return Refused("unknown strip", cloth=value)
        case "text":
            return Refused("no text", longest=LONGEST_NOTE)
        case "places" | "laid" | "swapped":
            return Refused("not alike")
        case "aside":
            return Refused("unknown step", step=value)
        case "lengths" if isinstance(value, list | tuple):
            text = next(str(each) for each in value if not isinstance(each, str))
            return Refused("no length", why="unreadable", text=text, unit="in")
        case "lengths":
            return Refused("no length", why="how many", most=MOST_FIGURES)
    return Refused("unknown tap", id=None)


@cache
def fields_of(kind: type[Tap]) -> tuple[Field[Any], ...]:
    """The fields that a kind of tap has of its own."""
    return tuple(each for each in fields(kind) if each.name not in ("id", *WHEN))


@cache
def shapes_of(kind: type[Tap]) -> dict[str, Any]:
    """The types of a kind's own fields, by name."""
    hints = get_type_hints(kind)
    return {each.name: hints[each.name] for each in fields_of(kind)}


def _typed(value: object, shape: Any) -> Any:
    """A JSON value as its type has it; TypeError or ValueError where it does not fit."""
    if get_origin(shape) is UnionType:
        return None if value is None else _typed(value, get_args(shape)[0])
    if get_origin(shape) is tuple:
        if not isinstance(value, list | tuple):
            raise TypeError(value)
        parts = get_args(shape)
        parts = parts[:1] * len(value) if parts[1:] == (...,) else parts
        return tuple(_typed(each, part) for each, part in zip(value, parts, strict=True))
    if type(value) is not shape:
        raise TypeError(value)
    return value


def _as_lists(value: Any) -> Any:
    return [_as_lists(each) for each in value] if isinstance(value, tuple) else value
