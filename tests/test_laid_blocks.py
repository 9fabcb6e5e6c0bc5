"""Blocks that change places with others alike: the steps that lay them follow, and nothing counted moves."""

from __future__ import annotations

from typing import Any

import pytest
from planning import replayed, tapped
from sizing import lantern_text

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.progress.changes import CountChange
from tracker.progress.counts import Counts
from tracker.progress.edited_plan import carry_over
from tracker.progress.ledger import Progress, Refused
from tracker.progress.tap_kinds import written
from tracker.route.compiler import compile_plan
from tracker.work.steps import Step
from tracker.work.whole_blocks import SetBlock


def plan_with(more: str = "", down: str = "4") -> Plan:
    """Lanterns edge to edge, three across."""
    text = lantern_text(frame=False, more=more)
    assert "down = 4" in text
    plan = read_plan(text.replace("down = 4", f"down = {down}")).plan
    assert plan is not None
    return plan


PLAN = plan_with()
CHECKLIST = compile_plan(PLAN)
ALL = tuple(range(1, 13))


def by_version() -> dict[tuple[str, int], list[int]]:
    """Blocks that are pressed alike."""
    found: dict[tuple[str, int], list[int]] = {}
    planned = [place for row in CHECKLIST.pressing.places for place in row]
    for number, place in enumerate(planned, 1):
        found.setdefault((place.block, place.version), []).append(number)
    return found


def turned_about() -> list[int]:
    """All blocks, those alike the other way round."""
    places = [0] * len(ALL)
    for numbers in by_version().values():
        for place, number in zip(numbers, reversed(numbers), strict=True):
            places[place - 1] = number
    return places


LAID: dict[str, Any] = {"id": "laid-so", "do": "blocks laid", "places": turned_about()}


def sewn() -> Progress:
    """All blocks sewn, none laid in its place."""
    progress = Progress(PLAN, CHECKLIST)
    counts = progress.counts
    for step in counts.steps.values():
        if isinstance(step.action, SetBlock):
            break
        numbers = [0] if step.per == "quilt" else counts.blocks_of(step)
        counts.must_apply(CountChange(tuple((step.id, n, counts.count(step) if n == 0 else 1) for n in numbers)))
    return progress


def setting(counts: Counts) -> list[Step]:
    return [step for step in counts.steps.values() if isinstance(step.action, SetBlock)]


def test_the_steps_lay_each_block_where_it_lies_now_and_as_planned_once_taken_back() -> None:
    progress = sewn()
    planned = {step.id: step.blocks for step in setting(progress.counts)}
    ready = {step.id: progress.counts.ready(step) for step in setting(progress.counts)}
    tapped(progress, LAID)
    places = turned_about()
    assert places != sorted(places)
    for step in setting(progress.counts):
        assert step.blocks == tuple(places[number - 1] for number in planned[step.id] or ())
        assert progress.counts.ready_blocks(step) == sorted(step.blocks or ())
        assert progress.counts.ready(step) == ready[step.id]
    tapped(progress, {"id": "back", "do": "take back", "what": "laid-so"})
    assert {step.id: step.blocks for step in setting(progress.counts)} == planned
    assert progress.counts.places == ALL


def test_of_two_ways_the_later_stands_when_the_first_is_taken_back() -> None:
    progress = sewn()
    tapped(progress, LAID)
    tapped(progress, LAID | {"id": "by-number", "places": []})
    tapped(progress, LAID | {"id": "laid-again"})
    tapped(progress, {"id": "back", "do": "take back", "what": "laid-so"})
    assert list(progress.counts.places) == turned_about()


def test_a_block_that_lies_stays_where_it_lies() -> None:
    progress = sewn()
    tapped(progress, LAID)
    first = setting(progress.counts)[0]
    block = next(n for n in progress.counts.ready_blocks(first) if turned_about()[n - 1] != n)
    tapped(progress, {"id": "set", "do": "done", "step": first.id, "blocks": [block]})
    for tap in ({"id": "back", "do": "take back", "what": "laid-so"}, LAID | {"id": "by-number", "places": []}):
        with pytest.raises(Refused, match="lies already"):
            tapped(progress, tap)
    assert progress.counts.lies(block)
    assert list(progress.counts.places) == turned_about()


@pytest.mark.parametrize("places", [[1, 2], [2, 1, *ALL[2:]], [1, 1, *ALL[2:]], [0, *ALL[1:]]])
def test_places_that_cannot_be_are_refused(places: list[int]) -> None:
    assert len(by_version()) > 1
    with pytest.raises(Refused, match="not alike"):
        tapped(sewn(), LAID | {"places": places})


def test_an_edit_keeps_where_blocks_lie_and_what_was_laid() -> None:
    progress = sewn()
    tapped(progress, LAID)
    for step in setting(progress.counts)[:3]:
        tapped(progress, {"id": f"set-{step.id}", "do": "done", "step": step.id, "blocks": list(step.blocks or ())})
    lying = [number for number in ALL if progress.counts.lies(number)]
    wider = plan_with('[[quilt.border]]\nfabric = "R"\ncut = "3"\n')
    carried = carry_over(progress.counts, Counts(wider, compile_plan(wider)))
    replay = replayed(wider, compile_plan(wider), [written(carried.tap("carried"))]).counts
    for counts in (carried.counts, replay):
        assert list(counts.places) == turned_about()
        assert [number for number in ALL if counts.lies(number)] == lying
    assert not carried.unlaid
    longer = plan_with(down="5")
    unlaid = carry_over(progress.counts, Counts(longer, compile_plan(longer)))
    assert unlaid.counts.places == tuple(range(1, 16))
    assert unlaid.unlaid, "said before it is used"
    assert not carry_over(sewn().counts, Counts(longer, compile_plan(longer))).unlaid
