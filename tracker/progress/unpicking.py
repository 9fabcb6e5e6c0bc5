"""What comes apart when something is unpicked, and what a piece takes with it that is spoiled where it lies. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tracker.progress.changes import Refused
from tracker.progress.counts import Counts
from tracker.work.steps import LayOut, Step

Undone = tuple[tuple[str, int], ...]
"""Steps by their ids, each with how often it is undone, last first."""


def comes_apart(counts: Counts, first: Iterable[Step], block: int) -> Undone:
    """What is undone where some steps are, once each, for a block (0: for the quilt): they, and every step done since
    that has used what they gave. What still lies on its pile is taken from there first."""
    undone = {step.id: 1 for step in first}
    gone: dict[str, int] = {}
    for step in counts.steps.values():
        if step.per != "quilt" and not (block and counts.is_for(step, block)):
            continue
        times = undone.get(step.id, 0)
        own = 0 if step.per == "quilt" else block
        for flow in step.takes:
            lying = counts.on_pile(flow.pile, block or None)
            times = max(times, -(-(gone.get(flow.pile, 0) - lying) // flow.each))
        times = min(times, counts.times_done(step, own))
        if times > 0:
            undone[step.id] = times
            for flow in step.gives:
                gone[flow.pile] = gone.get(flow.pile, 0) + times * flow.each
    return tuple((step_id, undone[step_id]) for step_id in reversed(counts.steps) if undone.get(step_id))


def moves_of(counts: Counts, undone: Undone, block: int) -> tuple[tuple[str, int, int], ...]:
    """Steps undone as they are counted, those of the pool for the pool."""
    return tuple((step, 0 if counts.known_step(step).per == "quilt" else block, -times) for step, times in undone)


def opened_for(counts: Counts, step: Step, pile: str, times: int, block: int) -> Undone:
    """What is undone where pieces of a common pile are spoiled that lie in a block (0: in the quilt) already, by the
    step that they were sewn or laid out with.

    Where as many lie on the pile, those take their places: only the seams round them are opened. Where not, what is
    laid out waits for them again. Raises Refused where they are not in it.
    """
    laid = _laid_out_for(counts, step)
    holding = laid if laid is not None else step
    done = counts.times_done(holding, 0 if holding.per == "quilt" else block)
    if not done or times > held(counts, step).get(pile, 0):
        raise Refused("nothing there", pile=pile)
    if laid is None:
        return comes_apart(counts, [step], block)
    if counts.on_pile(pile) < times:
        return comes_apart(counts, [laid], block)
    return comes_apart(counts, [step], block) if step != laid and counts.times_done(step, block) else ()


def held(counts: Counts, step: Step) -> dict[str, int]:
    """Pieces of common piles that a step brings in, or sews that were laid out for it; by pile, how many."""
    found: dict[str, int] = {}
    laid = _laid_out_for(counts, step)
    if laid is not None and laid != step and isinstance(laid.action, LayOut):
        groups = {flow.pile for flow in step.takes}
        for place in laid.action.places:
            if place.group in groups:
                found[place.pile] = found.get(place.pile, 0) + 1
    elif step.per != "quilt" or step.of_the_quilt:
        for flow in step.takes:
            if counts.checklist.piles[flow.pile].block is None and flow.pile not in counts.with_blocks:
                found[flow.pile] = flow.each
    return found


def taken_by(counts: Counts, undone: Undone) -> Iterator[tuple[str, int]]:
    """Pieces of common piles that steps of a block took, as they are undone: pile and how many."""
    for step_id, times in undone:
        step = counts.known_step(step_id)
        if step.per != "quilt":
            for flow in step.takes:
                if counts.checklist.piles[flow.pile].block is None:
                    yield flow.pile, times * flow.each


def _laid_out_for(counts: Counts, step: Step) -> Step | None:
    """The step that lays a block's pieces out: this one, or the one before the first join of some of them."""
    if step.per == "quilt":
        return None
    if isinstance(step.action, LayOut):
        return step
    taken = {flow.pile for flow in step.takes}
    makers = (each for each in counts.block_steps(step.per) if isinstance(each.action, LayOut))
    return next((each for each in makers if any(flow.pile in taken for flow in each.gives)), None)
