"""Which recipe makes each region: by the plan's setting, or, where that says "best", by bias, cloth and handling."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tracker.exact.kept import Kept
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.units.block_units import Unit, can_stand
from tracker.units.larger_units import UnitArea
from tracker.units.maker import Bench, Maker
from tracker.units.recipes import Recipe
from tracker.units.region import TURNS, Region
from tracker.work.steps import Cut, Notice

Wanted = tuple[Region, str]
"""A region in its least rotation, and what a block asks for to have it made (`Recipe.asked`)."""

WEIGHED: Kept[dict[Region, Recipe | None]] = Kept(8)
"""The recipe with fewest patches for each region, by the recipes there are and the plan's settings."""

MOST_WEIGHED = 20_000
"""How many regions are kept for one plan's settings."""


@dataclass
class Ways:
    """Chooses units for the regions of one plan, and keeps a notice for each choice that was its own."""

    plan: Plan
    recipes: Sequence[Recipe]
    notices: list[Notice] = field(default_factory=list)
    _weighed: dict[Region, Recipe | None] = field(init=False)
    _chosen: dict[Wanted, Recipe | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._upright = self.plan.upright
        self.settings = tuple(self.recipes), self.plan.settings
        self._asked: dict[str, list[Recipe]] = {}
        for recipe in (recipe for recipe in self.recipes if self._upright or not recipe.alone):
            self._asked.setdefault(recipe.asked, []).append(recipe)
        self._weighed = WEIGHED.get(self.settings, dict)

    def count(self, areas: Sequence[UnitArea], blocks: int, counts: dict[Wanted, int]) -> None:
        """Add what these blocks need of each region to `counts`, and of the regions that are sewn into them."""
        for area in areas:
            inner = [(each.least, "") for each in self._inner(area)]
            for key in ((area.region.least, area.asked), *inner):
                counts[key] = counts.get(key, 0) + blocks

    def _inner(self, area: UnitArea) -> tuple[Region, ...]:
        fitting = self._fitting(area.region, area.asked)
        lying = self._lying(fitting[0], area.region) if fitting else None
        return () if lying is None else fitting[0].inner(lying[0].region, self.plan)

    def choose(self, counts: dict[Wanted, int]) -> None:
        """Settle the way of every region, given how many of each the quilt needs."""
        for (region, asked), needed in counts.items():
            self._chosen[region, asked] = self._choice(region, asked, needed)

    def unit(self, area: UnitArea) -> tuple[Unit, int] | None:
        """The unit that shows an area and the turn that brings it there, or None where no recipe fits."""
        recipe = self._chosen.get((area.region.least, area.asked))
        return None if recipe is None else self._lying(recipe, area.region)

    def sewn_into(self, unit: Unit) -> Mapping[Unit, int]:
        """How many of which units are sewn into a unit."""
        own = self.inner(unit)
        return Counter(own[region][0] for region in unit.recipe.inner(unit.region, self.plan))

    def inner(self, unit: Unit) -> dict[Region, tuple[Unit, int]]:
        """The units that are sewn into a unit, each with its turn there, by what they show there."""
        found = {}
        for region in unit.recipe.inner(unit.region, self.plan):
            recipe = self._chosen.get((region.least, ""))
            lying = None if recipe is None else self._lying(recipe, region)
            assert lying is not None
            found[region] = lying
        return found

    def fewest_patches(self, region: Region) -> Recipe | None:
        """The recipe with fewest patches for a region, figures before others; None where none fits."""
        if region in self._weighed:
            return self._weighed[region]
        fitting = self._fitting(region, "")
        found = min(fitting, default=None, key=lambda r: (r.patches(region), not r.figure))
        if len(self._weighed) < MOST_WEIGHED:
            self._weighed[region] = found
        return found

    def weigh(self, region: Region) -> tuple[int, int] | None:
        """(rank, patches) of the unit with fewest patches for a region, figures ranking first; None where none fits."""
        recipe = self.fewest_patches(region)
        return None if recipe is None else (not recipe.figure, recipe.patches(region))

    def _lying(self, recipe: Recipe, region: Region) -> tuple[Unit, int] | None:
        regions = region.all_turns()
        for turn, canonical in zip(TURNS, (regions[0], *reversed(regions[1:])), strict=True):
            if recipe.fits(canonical, self.plan):
                return Unit(recipe, canonical, turn if self.has_to_stand(region) else 0), turn
        return None

    def has_to_stand(self, region: Region) -> bool:
        """Whether the print of a cloth in it has to stand upright."""
        return bool(self._upright) and not self._upright.isdisjoint(region.cloths())

    def fits_strips(self, region: Region) -> bool:
        """Whether a row of plain cells can come from a strip set; says so where it cannot."""
        if not self.can_be_strips(region):
            self._tell(self.no_strips(region))
        return self.can_be_strips(region)

    def can_be_strips(self, region: Region) -> bool:
        """Whether a line of plain cells can come from a strip set."""
        return bool(self._fitting(region, "strips"))

    def no_strips(self, region: Region) -> Notice:
        """What is said of a line of plain cells that cannot."""
        return self._notice("no strips", region, self.recipes[0])

    def weigh_diagonal(self, region: Region, asked: str = "diagonal") -> int | None:
        """The patches of the unit pieced on the diagonal (or what is `asked`) that shows a region, all that is sewn
        into it known too; None where there is none."""
        fitting = self._fitting(region, asked)
        lying = self._lying(fitting[0], region) if fitting else None
        if lying is None or not all(self._fitting(each, "") for each in fitting[0].inner(lying[0].region, self.plan)):
            return None
        return fitting[0].patches(region)

    def _fitting(self, region: Region, asked: str) -> list[Recipe]:
        regions, plan = region.all_turns(), itertools.repeat(self.plan)
        fitting = [recipe for recipe in self._asked.get(asked, ()) if any(map(recipe.fits, regions, plan))]
        if not self._upright:
            return fitting
        if not self.has_to_stand(region):
            return [recipe for recipe in fitting if not recipe.alone]
        return [recipe for recipe in fitting if self._can_stand(recipe, region)]

    def _can_stand(self, recipe: Recipe, region: Region) -> bool:
        lying = self._lying(recipe, region.least)
        return lying is not None and can_stand(self.plan, lying[0])

    def _choice(self, region: Region, asked: str, needed: int) -> Recipe | None:
        fitting = self._fitting(region, asked)
        if not fitting:
            return None
        fewest = min(recipe.patches(region) for recipe in fitting)
        fitting = [recipe for recipe in fitting if recipe.patches(region) == fewest]
        setting = fitting[0].way_of
        if len(fitting) == 1 and setting is None:
            return fitting[0]
        chosen = getattr(self.plan, setting) if setting else None
        if chosen == "best":
            return self._best(region, fitting, needed)
        named = [recipe for recipe in fitting if recipe.way == chosen]
        if setting and not named:
            kind = "way that stands" if self.has_to_stand(region) else "way not possible"
            self._tell(self._notice(kind, region, fitting[0], asked=chosen))
        return (named or fitting)[0]

    def _best(self, region: Region, fitting: Sequence[Recipe], needed: int) -> Recipe:
        """What the cloth is wide enough for; straight-grain edges first, then the least cloth, then the fewest pieces
        to cut."""
        cuts = {recipe.way: self._cuts(recipe, region, needed) for recipe in fitting}
        usable = {key: fabric.usable for key, fabric in self.plan.fabrics.items()}
        narrow = {way for way, own in cuts.items() for cut, _ in own if min(cut.width, cut.height) > usable[cut.fabric]}
        fitting = [recipe for recipe in fitting if recipe.way not in narrow] or fitting
        costs = {recipe.way: _cloth(cuts[recipe.way]) for recipe in fitting}
        best = min(fitting, key=lambda recipe: (recipe.bias, *costs[recipe.way]))
        cloth = tuple((recipe.way, costs[recipe.way][0], recipe.bias) for recipe in fitting)
        self._tell(self._notice("way chosen", region, best, needed=needed, cloth=cloth))
        return best

    def _cuts(self, recipe: Recipe, region: Region, needed: int) -> list[tuple[Cut, int]]:
        """What is cut, and how often, for so many units made this way alone."""
        lying = self._lying(recipe, region)
        assert lying is not None
        bench = Bench(self.plan)
        unit = lying[0]
        piles = recipe.make(Maker(bench, unit.name, recipe.kind, unit.region.cloths(), needed), unit.region)
        times = bench.counted({piles[0]: needed})
        return [(step.action, times[step.id]) for step in bench.steps.values() if isinstance(step.action, Cut)]

    def _tell(self, notice: Notice) -> None:
        if notice not in self.notices:
            self.notices.append(notice)

    def _notice(self, kind: str, region: Region, recipe: Recipe, **facts: object) -> Notice:
        named = {"unit": recipe.kind, "way": recipe.way, "cloths": region.cloths(), "finished": region.finished}
        return Notice(kind, tuple((named | facts).items()))


def _cloth(cuts: Sequence[tuple[Cut, int]]) -> tuple[Measure, int]:
    """Area of cloth, and pieces to cut."""
    area = sum((cut.width * cut.height * often for cut, often in cuts), Measure())
    return area, sum(often for _, often in cuts)
