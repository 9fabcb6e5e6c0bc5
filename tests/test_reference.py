"""Every step of compiled checklists, done again by a general geometry library, comes out the same."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from effort import by_lot
from handmade import check_against_reference
from layered import layers_of, same_layers
from recipe_plans import RECIPE_PLANS, recipe_plan
from reference import redone
from test_whole_quilt import SETTINGS, compiled, sewn

from tracker.cloth.sewing import Trace, sew
from tracker.plan.model import Plan
from tracker.route.compiler import compile_plan
from tracker.work.operations import OPERATIONS
from tracker.work.steps import Checklist


def checklists() -> Iterator[tuple[str, Checklist]]:
    for name in RECIPE_PLANS:
        yield name, compile_plan(recipe_plan(name))


@pytest.mark.parametrize("trimming", ["roomy", "exact"])
@pytest.mark.parametrize("name", by_lot(RECIPE_PLANS))
def test_polygons_after_each_step_agree_with_the_reference(name: str, trimming: str) -> None:
    plan = recipe_plan(name, trimming)
    checklist = compile_plan(plan)
    agree(plan, checklist, sew(checklist.piles, checklist.steps, plan.seam))


QUILTS = [name for name in SETTINGS if name != "all round"]
"""All but one that is large and has nothing that is not in the others."""


@pytest.mark.parametrize("setting", by_lot(QUILTS))
def test_polygons_of_the_quilt_agree_with_the_reference(setting: str) -> None:
    agree(*sewn(setting)[:3])


def agree(plan: Plan, checklist: Checklist, trace: Trace) -> None:
    assert trace.fault is None
    assert len(trace.done) == len(checklist.steps)
    for step in checklist.steps:
        done = trace.done[step.id]
        wanted = redone(step, dict(done.before), plan.seam)
        assert wanted.keys() == done.after.keys(), step.id
        for pile, content in done.after.items():
            check_against_reference(content)
            assert same_layers(layers_of(content), wanted[pile]), (step.id, pile)


def test_every_operation_is_among_them() -> None:
    of_quilts = [compiled(setting)[1] for setting in QUILTS]
    met = {step.operation for checklist in (*of_quilts, *(own for _, own in checklists())) for step in checklist.steps}
    assert met == set(OPERATIONS)
