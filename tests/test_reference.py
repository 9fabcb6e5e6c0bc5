"""Every step of compiled checklists, done again by a general geometry library, comes out the same."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from handmade import check_against_reference
from recipe_plans import RECIPE_PLANS, recipe_plan
from reference import layers_of, redone, same_layers

from tracker.checklist import compile_plan
from tracker.sewing import sew
from tracker.work import OPERATIONS, Checklist


def checklists() -> Iterator[tuple[str, Checklist]]:
    for name in RECIPE_PLANS:
        yield name, compile_plan(recipe_plan(name))


@pytest.mark.parametrize("trimming", ["roomy", "exact"])
@pytest.mark.parametrize("name", RECIPE_PLANS)
def test_polygons_after_each_step_agree_with_the_reference(name: str, trimming: str) -> None:
    plan = recipe_plan(name, trimming)
    checklist = compile_plan(plan)
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    assert trace.fault is None
    assert len(trace.done) == len(checklist.steps)
    for step in checklist.steps:
        done = trace.done[step.id]
        wanted = redone(step, dict(done.before), plan.seam)
        assert wanted.keys() == done.after.keys(), step.id
        for pile, content in done.after.items():
            check_against_reference(content)
            assert same_layers(layers_of(content), wanted[pile]), (step.id, pile)


def test_every_operation_of_blocks_is_among_them() -> None:
    met = {step.operation for _, checklist in checklists() for step in checklist.steps}
    # Binding is sewn to a whole quilt, not to a block.
    assert met == set(OPERATIONS) - {"bind"}
