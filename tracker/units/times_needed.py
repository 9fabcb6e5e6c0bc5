"""How often each step must be done so that its piles hold what is needed, spares and losses included."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracker.work.steps import Step


def times_needed(steps: Sequence[Step], needed: Mapping[str, int]) -> dict[str, int]:
    """How often to do each step, by id, so that every pile gives what steps take from it and what is `needed` besides.

    `steps` stand in order, makers before takers; `needed` is how many pieces of a pile are wanted at the end, or lost
    on the way. What comes out over halfway is brought as far as the rest: an odd unit is finished too, and lies on its
    pile as a spare. That may take more from other piles, so it is counted anew until nothing is left halfway.
    """
    makers: dict[str, int] = {}
    for step in steps:
        for flow in step.gives:
            makers[flow.pile] = makers.get(flow.pile, 0) + 1
    times = _backward(steps, makers, needed, {})
    while more := _left_halfway(steps, needed, times):
        times = _backward(steps, makers, needed, {**times, **more})
    return times


def _backward(
    steps: Sequence[Step], makers: Mapping[str, int], needed: Mapping[str, int], least: Mapping[str, int]
) -> dict[str, int]:
    """How often each step is done for what is needed, but no less than `least`.

    Steps are asked last to first, so every taker is known before its maker. A step with several results
    is done for the one that needs most, and several makers of one pile share it.
    """
    wanted = dict(needed)
    times: dict[str, int] = {}
    for step in reversed(steps):
        often = least.get(step.id, 0)
        for flow in step.gives:
            share = -(-wanted.get(flow.pile, 0) // makers[flow.pile])
            often = max(often, -(-share // flow.each))
        times[step.id] = often
        for flow in step.takes:
            wanted[flow.pile] = wanted.get(flow.pile, 0) + often * flow.each
    return times


def _left_halfway(steps: Sequence[Step], needed: Mapping[str, int], times: Mapping[str, int]) -> dict[str, int]:
    """How often steps would be done that go on with what their own making, and no other, has left over."""
    takers: dict[str, list[Step]] = {}
    over = {pile: -count for pile, count in needed.items()}
    for step in steps:
        for flow, sign in [(flow, -1) for flow in step.takes] + [(flow, 1) for flow in step.gives]:
            over[flow.pile] = over.get(flow.pile, 0) + sign * times[step.id] * flow.each
        for flow in step.takes:
            takers.setdefault(flow.pile, []).append(step)
    more: dict[str, int] = {}
    for step in steps:
        for pile in (flow.pile for flow in step.gives):
            goes_on = [taker for taker in takers.get(pile, ()) if taker.topic == step.topic]
            if len(goes_on) != 1 or len(takers[pile]) != 1:
                continue
            each = next(flow.each for flow in goes_on[0].takes if flow.pile == pile)
            # Unwanted mirror images, which nobody takes further, stay as they are.
            if over[pile] >= each and times[goes_on[0].id]:
                more[goes_on[0].id] = times[goes_on[0].id] + over[pile] // each
    return more
