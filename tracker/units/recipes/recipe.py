"""What a recipe is: one way to make one kind of unit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.units.maker import Maker
from tracker.units.region import Region

Ends = tuple[tuple[Measure, int], ...]
"""Where seams run out straight at an edge, from its beginning (finished), and which side each is pressed to: 0 the one
that comes first."""


@dataclass(frozen=True)
class Recipe:
    """One way to make one kind of unit.

    `fits(region, plan)` is true for regions it makes, as they come out of `make`. `make(maker, region)` writes the
    steps and returns the pile of finished units, and after it the pile of mirror images where the process makes such.
    `patches(region)` is how many patches show, one more than the seams in the unit.
    `mirror(region)` is what those mirror images show, or None where there are none or either hand serves.
    `way_of` names the plan's setting that asks for this way ("half_square", "geese"); None where there is one way.
    `figure` is true where the middle cloth would otherwise be pieced, so that it is taken before larger patches.
    `bias` is true where the unit's outer edges are cut on the bias.
    `alone`: only made where the print of a cloth in it must stand upright.
    `asked`: only made where the block asks for that: "strips", "diagonal", "on point", "diamonds", or which quarters of
    a nine-patch are so cut from it.
    `inner(region, plan)` are the units of one cell (or a goose) that are sewn into it, each as often as it takes it,
    `Maker.units` then says where they lie.
    `ends(region, plan)` says where seams within it run out straight at its upper, right, lower and left edge, None
    where none does.
    `beyond(region, plan)`: cut parallel to an edge between these two distances from it, seams run out there that no
    `ends` lists; None where none do.
    `parts(region)` are the ids of what is sewn for it alone and that another unit of this recipe may be sewn of too.
    `through(region, plan)` are the seams that run level through it as it is made, from the top: whether pressed down.
    """

    kind: str
    way: str | None
    fits: Callable[[Region, Plan], bool]
    make: Callable[[Maker, Region], tuple[str, ...]]
    patches: Callable[[Region], int]
    mirror: Callable[[Region], Region | None] = lambda region: None
    way_of: str | None = None
    figure: bool = False
    bias: bool = False
    alone: bool = False
    asked: str = ""
    inner: Callable[[Region, Plan], tuple[Region, ...]] = lambda region, plan: ()
    ends: Callable[[Region, Plan], tuple[Ends, Ends, Ends, Ends] | None] = lambda region, plan: None
    beyond: Callable[[Region, Plan], tuple[Measure, Measure] | None] = lambda region, plan: None
    parts: Callable[[Region], tuple[str, ...]] = lambda region: ()
    through: Callable[[Region, Plan], tuple[bool, ...]] = lambda region, plan: ()

    @property
    def by_number(self) -> bool:
        """Whether how it is cut hangs on how many are needed."""
        return self.asked in ("strips", "diamonds")

    @property
    def is_plain(self) -> bool:
        """Whether it makes plain patches, which have no seam."""
        return self.kind == "plain"


def always(patches: int) -> Callable[[Region], int]:
    """The same number of patches whatever the region."""
    return lambda region: patches
