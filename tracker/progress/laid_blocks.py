"""Which block lies in which place of the quilt, where blocks have changed places with others alike. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracker.work.steps import Checklist
from tracker.work.whole_blocks import SetBlock


@dataclass(frozen=True)
class LaidSo:
    """Blocks' numbers in the order of the quilt's places, row by row (none: as they are numbered); `tap` tells it from
    others."""

    tap: str
    places: tuple[int, ...]


def laid_after(laid: Sequence[LaidSo], changes: Sequence[tuple[LaidSo, bool]]) -> list[LaidSo]:
    """How blocks were laid, the last at the end, once some more count (True) or no more."""
    found = list(laid)
    for each, counts in changes:
        found.append(each) if counts else found.remove(each)
    return found


def places_of(laid: Sequence[LaidSo], blocks: int) -> tuple[int, ...]:
    """So many blocks in the order of the places, as they were laid last."""
    return (laid[-1].places if laid else ()) or tuple(range(1, blocks + 1))


def can_lie_so(checklist: Checklist, places: Sequence[int]) -> bool:
    """Whether every place has a block of the same kind, pressed alike, as the one that is planned there; which way
    up it lies there goes with the place."""
    planned = _planned(checklist)
    if sorted(places) != list(range(1, len(planned) + 1)):
        return False
    return all(planned[number - 1] == place for number, place in zip(places, planned, strict=True))


def _planned(checklist: Checklist) -> list[tuple[str, int]]:
    """The kind and the version of each block, by its number."""
    return [(place.block, place.version) for row in checklist.pressing.places for place in row]


def alike(checklist: Checklist, number: int) -> list[int]:
    """The other blocks of a block's kind that are pressed like it: it may change places with them."""
    planned = _planned(checklist)
    own = planned[number - 1]
    return [other for other, each in enumerate(planned, 1) if each == own and other != number]


def swapped(places: Sequence[int], one: int, other: int) -> tuple[int, ...]:
    """The places once two blocks have changed theirs."""
    now = {one: other, other: one}
    return tuple(now.get(number, number) for number in places)


def with_places(checklist: Checklist, places: Sequence[int]) -> Checklist:
    """The checklist whose steps lay each block in the place that it has now."""
    steps = tuple(
        replace(step, blocks=tuple(places[number - 1] for number in step.blocks))
        if isinstance(step.action, SetBlock) and step.blocks is not None
        else step
        for step in checklist.steps
    )
    return replace(checklist, steps=steps)
