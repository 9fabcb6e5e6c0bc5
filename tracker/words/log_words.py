"""Log cabins: blocks to which one strip after another is sewn. Their logs go by number and side, as people say it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracker.work.steps import Checklist, Join, LayOut, Pile, Pin, Size, Step
from tracker.work.things import Stage, Thing

FEWEST_LOGS = 4
"""From how many on pieces sewn to a centre one by one are logs."""


@dataclass(frozen=True)
class CabinLog:
    """A strip of a log cabin: its number in the order of sewing, the side it goes to, its pile of patches and its size
    as it lies."""

    number: int
    side: str
    patches: Pile
    size: Size


@dataclass(frozen=True)
class Cabin:
    """A log cabin: its logs by the unit they are in the block, and how many logs what is joined so far has."""

    logs: Mapping[Thing, CabinLog]
    joined: Mapping[Thing, int]


def cabin_of(checklist: Checklist, block: str) -> Cabin | None:
    """The logs of a block where all of it is sewn to one centre, patch by patch, both ways; else None."""
    steps = [step for step in checklist.steps if step.per == block]
    pins = {checklist.made(step).thing: step.action for step in steps if isinstance(step.action, Pin)}
    centres = {checklist.made(step).thing for step in _centre_joins(checklist, steps)}
    if len(pins) < FEWEST_LOGS or len(centres) != 1 or len({pin.direction for pin in pins.values()}) == 1:
        return None
    laid = _laid(checklist, steps)
    centre = next(iter(centres))
    before = sum(len(own) for thing, own in laid.items() if thing == centre) - 1
    logs: dict[Thing, CabinLog] = {}
    joined = {centre: before}
    for number, (made, pin) in enumerate(pins.items(), before + 1):
        pieces = [checklist.piles[pile].thing for pile in (pin.first, pin.second)]
        own = [thing for thing in pieces if len(laid.get(thing, ())) == 1]
        if len(own) != 1 or not laid[own[0]][0][0].thing.is_patch:
            return None
        sides = ("the top", "the bottom") if pin.direction == "down" else ("the left", "the right")
        logs[own[0]] = CabinLog(number, sides[own[0] == pieces[1]], *laid[own[0]][0])
        joined[made] = number
    return Cabin(logs, joined)


def _centre_joins(checklist: Checklist, steps: Iterable[Step]) -> Iterable[Step]:
    """Joins of several units as they lie, without pins."""
    return [s for s in steps if isinstance(s.action, Join) and checklist.taken(s).stage is Stage.LAID_OUT]


def _laid(checklist: Checklist, steps: Iterable[Step]) -> Mapping[Thing, list[tuple[Pile, Size]]]:
    """What lies in each group of the layout: the piles, and the size of each piece as it lies."""
    found: dict[Thing, list[tuple[Pile, Size]]] = {}
    for step in steps:
        for place in step.action.places if isinstance(step.action, LayOut) else ():
            pile = checklist.piles[place.pile]
            assert pile.size is not None
            size = pile.size[::-1] if place.turn in (90, 270) else pile.size
            found.setdefault(checklist.piles[place.group].thing, []).append((pile, size))
    return found
