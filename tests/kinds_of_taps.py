"""Taps of every kind for tests, made of the types of their fields."""

from __future__ import annotations

from types import UnionType
from typing import Any, get_args, get_origin

from hypothesis import strategies as st

from tracker.progress.ledger import Tap
from tracker.progress.tap_kinds import shapes_of

TEXTS = st.text(max_size=30)
WHOLE = st.integers(-(10**9), 10**9)


def values_of(shape: Any) -> st.SearchStrategy[Any]:
    """Values that a field of this type may have."""
    if get_origin(shape) is UnionType:
        return st.none() | values_of(get_args(shape)[0])
    if get_origin(shape) is tuple:
        parts = get_args(shape)
        if parts[1:] == (...,):
            return st.lists(values_of(parts[0]), max_size=4).map(tuple)
        return st.tuples(*map(values_of, parts))
    return {str: TEXTS, int: WHOLE}[shape]


def taps_of(kind: type[Tap]) -> st.SearchStrategy[Tap]:
    """Taps of a kind, sensible or not."""
    own = {name: values_of(shape) for name, shape in shapes_of(kind).items()}
    return st.builds(
        kind,
        id=st.text(min_size=1, max_size=30),
        at=st.none() | TEXTS,
        waited=st.none() | WHOLE,
        device=st.none() | TEXTS,
        **own,
    )


def an_example(kind: type[Tap]) -> Tap:
    """A tap of a kind in which every field says something."""
    return kind(
        id="a", at="2026-11-25T09:00:00", **{name: _something(shape) for name, shape in shapes_of(kind).items()}
    )


def _something(shape: Any) -> Any:
    if get_origin(shape) is UnionType:
        return _something(get_args(shape)[0])
    if get_origin(shape) is tuple:
        return tuple(_something(part) for part in get_args(shape) if part is not ...)
    return {str: "some", int: 1}[shape]
