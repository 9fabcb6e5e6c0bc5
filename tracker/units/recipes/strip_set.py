"""Strip sets: long strips sewn side by side, pressed, and cut across into rows of patches.

Strips are as wide as a patch (f + 2s) and as long as what is cut from them takes, at most as the cloth is usable; each
cut across is as wide as the row is high (f + 2s), after the end is squared.
"""

from __future__ import annotations

from fractions import Fraction

from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Plan
from tracker.units.maker import Maker, line, point
from tracker.units.recipes.recipe import Recipe
from tracker.units.region import Region
from tracker.work.things import STRIP_SET

END_SQUARED = {"in": Fraction(1, 2), "cm": Fraction(1)}
"""What the first cut across takes off to square the end (common practice)."""


LONGER = {"in": Measure(1), "cm": Measure(Fraction(5, 2))}
"""How much longer a set is than the rows cut from it: its end is squared, and squared again."""


def cuts_from(region: Region, plan: Plan) -> int:
    """How many rows one strip set gives, for a column of patches; 0 where the cloth is too narrow for even one."""
    return ((_length(region, plan) - END_SQUARED[plan.unit]) / (region.columns[0] + 2 * plan.seam)).__floor__()


def _length(region: Region, plan: Plan) -> Measure:
    return min(plan.fabrics[quarters[0]].usable for quarters in region.all_quarters())


def fits_strip_set(region: Region, plan: Plan) -> bool:
    """A column of plain patches, one below the other, in whichever of its two directions comes first."""
    if len(region.columns) != 1 or len(region.rows) < 2:
        return False
    if any(len(set(quarters)) > 1 for quarters in region.all_quarters()):
        return False
    upside_down = region.turned(180)
    widest = max(region.rows) + 2 * plan.seam
    # Strips run along the cloth's usable width, and are cut from less than that.
    lies_along = widest <= _length(region, plan) and cuts_from(region, plan) > 0
    return lies_along and (region.cells, region.rows) <= (upside_down.cells, upside_down.rows)


def strips_pressed_down(region: Region, plan: Plan) -> tuple[bool, ...]:
    """For each seam, from the top, whether it goes toward the strip below it, which is the darker."""
    cloths = [quarters[0] for quarters in region.all_quarters()]
    return tuple(plan.darker(cloths[i - 1], cloths[i]) == cloths[i] for i in range(1, len(cloths)))


def _set_of(maker: Maker, region: Region) -> tuple[Measure, int]:
    """How long each set is, and how many rows come from it: as few sets as the cloth allows, all alike.

    In the first reckoning every set took the whole width of the cloth.
    """
    plan = maker.bench.plan
    length, number = _length(region, plan), cuts_from(region, plan)
    if plan.reckoning == 1 or not maker.needed:
        return length, number
    number = -(-maker.needed // -(-maker.needed // number))
    wanted = round_up(number * (region.columns[0] + 2 * plan.seam) + LONGER[plan.unit], plan.ruler)
    return min(wanted, length), number


def make_strip_set(maker: Maker, region: Region) -> tuple[str, ...]:
    """Strips sewn side by side and cut across: rows of patches, as many as are needed."""
    plan, s = maker.bench.plan, maker.seam
    cloths = [quarters[0] for quarters in region.all_quarters()]
    length, number = _set_of(maker, region)
    across, end = region.columns[0] + 2 * s, Measure(END_SQUARED[plan.unit])
    strips = [maker.cut(key, length, height + 2 * s) for key, height in zip(cloths, region.rows, strict=True)]
    deep = region.finished[1] + 2 * s
    sewn = maker.sew_strips(strips, (length, deep))
    pressed = maker.press_strips(sewn, strips_pressed_down(region, plan), (length, deep))
    cuts = [end + across * i for i in range(number + 1)]
    lines = [line(x, 0, x, deep) for x in cuts if 0 < x < length]
    middle = deep / 2
    parts: list[tuple[Measure, str | None]] = [(x + across / 2, "") for x in cuts[:-1]]
    parts.insert(0, (end / 2, None))
    if cuts[-1] < length:
        parts.append(((cuts[-1] + length) / 2, None))
    return maker.cut_across(pressed, lines, [(point(x, middle), 0, hand) for x, hand in parts], (across, deep))


RECIPES = (
    Recipe(
        STRIP_SET,
        "strips",
        fits_strip_set,
        make_strip_set,
        lambda region: len(region.rows),
        asked="strips",
        through=strips_pressed_down,
    ),
)
