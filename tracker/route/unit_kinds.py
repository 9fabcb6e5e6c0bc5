"""Which kinds of units a plan is made of, found without writing a step."""

from __future__ import annotations

from tracker.plan.model import Plan
from tracker.route.compiler import in_joining_order
from tracker.units.choice import Ways
from tracker.units.joins import leaves
from tracker.units.recipes import RECIPES


def unit_kinds(plan: Plan) -> tuple[str, ...]:
    """The kinds of units in the blocks of a plan, each once, as they come. Raises CannotSew."""
    blocks = in_joining_order(plan, Ways(plan, RECIPES))
    return tuple(dict.fromkeys(leaf.placed.unit.recipe.kind for each in blocks for leaf in leaves(each.root)))
