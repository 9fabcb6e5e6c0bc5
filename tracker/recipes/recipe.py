"""What a recipe is: one way to make one kind of unit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracker.making import Maker
from tracker.plan import Plan
from tracker.region import Region


@dataclass(frozen=True)
class Recipe:
    """One way to make one kind of unit.

    `fits(region, plan)` is true for regions it makes, as they come out of `make`. `make(maker, region)` writes the
    steps and returns the pile of finished units, and after it the pile of mirror images where the process makes such.
    `mirror(region)` is what those mirror images show, or None where there are none or either hand serves.
    `way_of` names the plan's setting that asks for this way ("half_square", "geese"); None where there is one way.
    """

    kind: str
    way: str | None
    fits: Callable[[Region, Plan], bool]
    make: Callable[[Maker, Region], tuple[str, ...]]
    mirror: Callable[[Region], Region | None] = lambda region: None
    way_of: str | None = None
