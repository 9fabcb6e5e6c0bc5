"""Strip sets: long strips sewn side by side, pressed, and cut across into rows of patches.

Strips are as wide as a patch (f + 2s) and as long as the cloth is usable; each cut across is as wide as the row is
high (f + 2s), after the end is squared.
"""

from __future__ import annotations

from fractions import Fraction

from tracker.making import Maker, line, point
from tracker.measure import Measure
from tracker.plan import Plan
from tracker.region import Region

END_SQUARED = {"in": Fraction(1, 2), "cm": Fraction(1)}
"""What the first cut across takes off to square the end (common practice)."""


def fits_strip_set(region: Region, plan: Plan) -> bool:
    """A column of plain patches, one below the other, in whichever of its two directions comes first."""
    if len(region.columns) != 1 or len(region.rows) < 2:
        return False
    if any(len(set(quarters)) > 1 for quarters in region.all_quarters()):
        return False
    upside_down = region.turned(180)
    return (region.cells, region.rows) <= (upside_down.cells, upside_down.rows)


def make_strip_set(maker: Maker, region: Region) -> tuple[str, ...]:
    """Strips sewn side by side and cut across: rows of patches, as many as the cloth is long enough for."""
    plan, s = maker.bench.plan, maker.seam
    cloths = [quarters[0] for quarters in region.all_quarters()]
    length = min(plan.fabrics[key].usable for key in cloths)
    across = region.columns[0] + 2 * s
    end = Measure(END_SQUARED[plan.unit])
    number = ((length - end) / across).__floor__()
    if number < 1:
        # The row is wider than the cloth: there is nothing to gain, and one piece needs the whole length.
        number, end, length = 1, Measure(), across
    strips = [maker.cut(key, length, height + 2 * s) for key, height in zip(cloths, region.rows, strict=True)]
    deep = region.finished[1] + 2 * s
    sewn = maker.sew_strips(strips, (length, deep))
    toward = [plan.darker(cloths[i - 1], cloths[i]) == cloths[i] for i in range(1, len(cloths))]
    pressed = maker.press_strips(sewn, toward, (length, deep))
    cuts = [end + across * i for i in range(number + 1)]
    lines = [line(x, 0, x, deep) for x in cuts if 0 < x < length]
    middle = deep / 2
    parts: list[tuple[Measure, str | None]] = [(x + across / 2, "") for x in cuts[:-1]]
    if end:
        parts.insert(0, (end / 2, None))
    if cuts[-1] < length:
        parts.append(((cuts[-1] + length) / 2, None))
    return maker.cut_across(pressed, lines, [(point(x, middle), 0, hand) for x, hand in parts], (across, deep))
