"""From pictures to units: which recipe makes each part of a block, how it lies there, and how many all blocks need."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from tracker.exact.kept import Kept
from tracker.plan.model import Plan
from tracker.units.maker import Bench, Maker, token
from tracker.units.recipes import Recipe
from tracker.units.region import TURNS, Region
from tracker.units.standing_prints import Standing, Turned
from tracker.work.steps import Notice, Pile, Step, UnitRow
from tracker.work.things import QUARTER


@dataclass(frozen=True)
class Unit:
    """A kind of unit: its recipe, and the region it shows as it comes out of the making. `lies`: where a print in it
    has to stand upright, how far the unit lies turned in the block."""

    recipe: Recipe
    region: Region
    lies: int = 0

    def __hash__(self) -> int:
        return hash((self.recipe.kind, self.recipe.way, self.region, self.lies))

    @cached_property
    def name(self) -> str:
        """What is made, in one text that stays the same wherever it is used."""
        # The quarters of a nine-patch are of one kind, and come two ways.
        quarter = self.recipe.asked if self.recipe.kind == QUARTER else ""
        way = " ".join(["", *filter(None, (self.recipe.way, quarter))])
        return f"{self.recipe.kind}{way}:{region_text(self.region)}"


@dataclass(frozen=True)
class PlacedUnit:
    """A unit in a block's picture: its top-left cell (from 0), the cells it covers, and its clockwise turn there."""

    unit: Unit
    row: int
    column: int
    down: int
    across: int
    turn: int

    @cached_property
    def finished_turned(self) -> Region:
        """What the unit shows where it lies, turned."""
        return self.unit.region.all_turns()[self.turn // 90]


def region_text(region: Region) -> str:
    """A region as it stands in an id: sizes, then the quarters of each cell."""
    cells = "|".join(
        ",".join(":".join(dict.fromkeys(q)) if len(set(q)) == 1 else ":".join(q) for q in row) for row in region.cells
    )
    width, height = region.finished
    if region.is_one_cell:
        return f"{cells}@{token(width)}x{token(height)}"
    return f"{cells}@{'+'.join(map(token, region.columns))}x{'+'.join(map(token, region.rows))}"


Written = tuple[tuple[Pile, ...], tuple[Step, ...], tuple[Notice, ...], tuple[str, ...]]
"""Piles, steps and notices, and the piles of what is made."""

MAKINGS: Kept[Written] = Kept(5000)
"""How units are made, by the unit, how many are needed where that matters, and the plan's settings."""


Inner = Callable[[Unit], Mapping[Region, tuple[Unit, int]]]
"""The units that are sewn into a unit, each with its turn there, by what they show there."""


def make_units(bench: Bench, needed: Mapping[Unit, int], inner: Inner = lambda unit: {}) -> dict[Unit, str]:
    """Write the making of every unit on the bench; the pile where each lies when finished.

    `needed` says how many of each kind. A process that makes mirror images serves both hands where both are needed; an
    unwanted mirror image has its pile too. Units that are sewn into others are made first.
    """
    piles: dict[Unit, str] = {}
    sewn_into = {unit: inner(unit) for unit in needed}
    parts: set[str] = set()
    for unit in sorted(needed, key=lambda unit: bool(sewn_into[unit])):
        if unit in piles:
            continue
        if bench.plan.upright & {*unit.region.cloths()}:
            (piles[unit],) = _make(bench, unit, needed[unit], {}, apart=False, standing=True)
            continue
        mirrored = unit.recipe.mirror(unit.region)
        mirror = None if mirrored is None else Unit(unit.recipe, mirrored)
        first = unit
        if mirror in needed and mirror is not None and mirror.name < unit.name:
            first, mirror = mirror, unit
        units = {region: (piles[own], turn) for region, (own, turn) in sewn_into[unit].items()}
        own = {*first.recipe.parts(first.region)}
        made = _make(bench, first, needed[first], units, not own.isdisjoint(parts))
        parts |= own
        piles[first] = made[0]
        if mirror is not None:
            piles[mirror] = made[1]
    return piles


def _make(
    bench: Bench, unit: Unit, needed: int, units: Mapping[Region, tuple[str, int]], apart: bool, standing: bool = False
) -> tuple[str, ...]:
    """Write the making of a unit on the bench; its pile, and that of its mirror image where one is made too.

    `apart`: another has the ids of its parts. `standing`: the prints in it stand upright where it lies turned; raises
    Turned. Kept, as of an edited plan nearly all units are as they were.
    """

    def written() -> Written:
        alone = Bench(bench.plan, {pile: bench.piles[pile] for pile, _ in units.values()})
        maker = Maker(alone, unit.name, unit.recipe.kind, unit.region.cloths(), needed, units=units, apart=apart)
        made, piles, steps = unit.recipe.make(maker, unit.region), alone.piles, tuple(alone.steps.values())
        if standing:
            anew = Standing(bench.plan.upright, piles, steps)
            made, piles, steps = (anew.pile(made[0], unit.lies),), anew.piles, anew.written
        return tuple(piles.values()), steps, tuple(alone.notices), tuple(made)

    key = unit, needed if unit.recipe.by_number else 0, tuple(units.items()), apart, standing, bench.plan.settings
    piles, steps, notices, made = MAKINGS.get(key, written)
    if not apart and not bench.is_free_for(piles, steps):
        return _make(bench, unit, needed, units, True, standing)
    bench.add(piles, steps, notices)
    return made


def can_stand(plan: Plan, unit: Unit) -> bool:
    """Whether a unit can be made so that the prints in it that have to stand upright do, with no other unit in it."""
    if unit.recipe.inner(unit.region, plan):
        return False
    try:
        _make(Bench(plan), unit, 1, {}, apart=False, standing=True)
    except Turned:
        return False
    return True


def unit_rows(
    bench: Bench, piles: dict[Unit, str], needed: dict[Unit, int], times: dict[str, int]
) -> tuple[UnitRow, ...]:
    """The list of units: needed, made and spare, unwanted mirror images included."""
    rows = []
    for unit, pile in piles.items():
        wanted = needed.get(unit, 0)
        # Patches are cut to count and may share a pile with squares for other units: none of those is a spare.
        lies_on = _as_far_as_made(bench, pile, times)
        made = wanted if unit.recipe.kind == "plain" else bench.made(lies_on, times)
        width, height = unit.region.finished
        trimmed = width + 2 * bench.plan.seam, height + 2 * bench.plan.seam
        rows.append(
            UnitRow(
                unit.recipe.kind,
                unit.recipe.way,
                cloths_round(unit.region),
                (width, height),
                trimmed,
                wanted,
                made,
                made - wanted,
                lies_on,
                bench.piles[pile].bag,
            )
        )
    return tuple(rows)


def _as_far_as_made(bench: Bench, pile: str, times: dict[str, int]) -> str:
    """The pile itself, or for an unwanted mirror image, which nobody finishes, the pile where it is left lying."""
    while not bench.made(pile, times):
        pile = bench.makers(pile)[0].takes[0].pile
    return pile


def cloths_round(region: Region) -> tuple[str, ...]:
    """Cloths of a unit read clockwise from the least rotation, neighbours alike once; of a larger region, in order."""
    if not region.is_one_cell:
        return region.cloths()
    quarters = min(region.turned(turn).quarters for turn in TURNS)
    if len(set(quarters)) == 1:
        return quarters[:1]
    return tuple(quarters[i] for i in range(4) if i == 0 or quarters[i] != quarters[i - 1])
