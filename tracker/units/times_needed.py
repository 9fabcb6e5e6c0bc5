"""How often each step must be done so that its piles hold what is needed, spares and losses included."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from tracker.work.steps import Flow, Step

MOST_ROUNDS = 100
"""Far more than batches that come out even at last need."""


def times_needed(steps: Sequence[Step], needed: Mapping[str, int]) -> dict[str, int]:
    """How often to do each step, by id, so that every pile gives what steps take from it and what is `needed` besides.

    `steps` stand in order, makers before takers; `needed` is how many pieces of a pile are wanted at the end, or lost
    on the way. What comes out over halfway is brought as far as the rest: an odd unit is finished too, and lies on its
    pile as a spare. That may take more from other piles, so it is counted anew until nothing is left halfway. Where
    each leftover only leaves another (a row made again for one lost has the rows beside it made again), it stays where
    it lies.
    """
    works = [_Counting(step.id, _flows(step.takes), _flows(step.gives)) for step in steps]
    makers = Counter(pile for work in works for pile, _ in work.gives)
    goes_on = _going_on(steps)
    fewest = times = _backward(works, makers, needed, {})
    seen: set[frozenset[tuple[str, int]]] = set()
    while left := _left_halfway(works, goes_on, needed, times):
        state = frozenset((going.pile, over) for going, over in left)
        if state in seen or len(seen) > MOST_ROUNDS:  # as it was before, so it would come again for ever
            stays = {going for going, _ in left}
            goes_on, times, seen = [going for going in goes_on if going not in stays], fewest, set()
            continue
        seen.add(state)
        more = {going.taker: times[going.taker] + over // going.each for going, over in left}
        times = _backward(works, makers, needed, {**times, **more})
    return times


class _Counting(NamedTuple):
    """A step as far as it is counted: its id, and how many pieces of which piles it takes and gives each time."""

    id: str
    takes: list[tuple[str, int]]
    gives: list[tuple[str, int]]


class _GoingOn(NamedTuple):
    """A pile that one step of its own making, and no other, goes on with: that step, and how many it takes each."""

    pile: str
    taker: str
    each: int


def _flows(flows: Sequence[Flow]) -> list[tuple[str, int]]:
    return [(flow.pile, flow.each) for flow in flows]


def _going_on(steps: Sequence[Step]) -> list[_GoingOn]:
    """Every pile that goes on in one step of its own making alone, in order."""
    takers: dict[str, list[Step]] = {}
    for step in steps:
        for flow in step.takes:
            takers.setdefault(flow.pile, []).append(step)
    found = []
    for step in steps:
        for flow in step.gives:
            taking = takers.get(flow.pile, ())
            if len(taking) == 1 and taking[0].topic == step.topic:
                each = next(taken.each for taken in taking[0].takes if taken.pile == flow.pile)
                found.append(_GoingOn(flow.pile, taking[0].id, each))
    return found


def _backward(
    works: Sequence[_Counting], makers: Mapping[str, int], needed: Mapping[str, int], least: Mapping[str, int]
) -> dict[str, int]:
    """How often each step is done for what is needed, but no less than `least`.

    Steps are asked last to first, so every taker is known before its maker. A step with several results
    is done for the one that needs most, and several makers of one pile share it.
    """
    wanted = dict(needed)
    times: dict[str, int] = {}
    for step, takes, gives in reversed(works):
        often = least.get(step, 0)
        for pile, each in gives:
            share = -(-wanted.get(pile, 0) // makers[pile])
            often = max(often, -(-share // each))
        times[step] = often
        for pile, each in takes:
            wanted[pile] = wanted.get(pile, 0) + often * each
    return times


def _left_halfway(
    works: Sequence[_Counting], goes_on: Sequence[_GoingOn], needed: Mapping[str, int], times: Mapping[str, int]
) -> list[tuple[_GoingOn, int]]:
    """Piles that have left over what goes on in their own making, and how many pieces."""
    over = {pile: -count for pile, count in needed.items()}
    for step, takes, gives in works:
        often = times[step]
        for pile, each in takes:
            over[pile] = over.get(pile, 0) - often * each
        for pile, each in gives:
            over[pile] = over.get(pile, 0) + often * each
    # Unwanted mirror images, which nobody takes further, stay as they are.
    return [(going, over[going.pile]) for going in goes_on if over[going.pile] >= going.each and times[going.taker]]
