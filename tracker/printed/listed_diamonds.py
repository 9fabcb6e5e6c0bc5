"""Diamonds of a printed list against those of the plan, by how wide they are, whatever strips they are cut from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import ROOT2, Measure, nearest
from tracker.plan.model import Plan
from tracker.printed.list_findings import (
    FINISHED,
    ONE_BLOCK,
    ONE_FOR_TWO,
    SIDE,
    ListedPieces,
    ListFinding,
    listed_pieces,
)
from tracker.printed.list_table import ListRow
from tracker.units.recipes.star_of_diamonds import most_from_strip
from tracker.work.steps import Checklist, CutApart, Size, Step
from tracker.work.things import DIAMOND

HARDLY = {"in": Fraction(1, 32), "cm": Fraction(1, 10)}
"""A difference in width below this is lost in the sewing."""


@dataclass(frozen=True)
class _Needed:
    """Diamonds that the plan needs, of all its stars, and the strips that it cuts them from, by their sizes."""

    fabric: str
    wide: Measure
    count: int
    strips: Counter[Size]


def compare_diamonds(
    plan: Plan, checklist: Checklist, rows: Sequence[ListRow]
) -> tuple[tuple[ListFinding, ...], Counter[tuple[str, Size]]]:
    """What the diamonds of a list have wrong; and the strips, by cloth and size, that need not be listed beside them.

    Of a cloth whose strips are listed, too, the strips are compared as strips.
    """
    listed = listed_pieces([row for row in rows if row.shape == "diamond"])
    strips: Counter[tuple[str, Size]] = Counter()
    if not listed:
        return (), strips
    needed = _needed(checklist)
    pairs = sorted(
        (abs(row.size[0] - need.wide), row.count != need.count, i, j)
        for i, row in enumerate(listed)
        for j, need in enumerate(needed)
        if row.fabric == need.fabric
    )
    found, told, served = list[ListFinding](), set[int](), set[int]()
    for _, _, i, j in pairs:
        if i not in told and j not in served:
            told.add(i)
            served.add(j)
            found += _of_pair(plan, sum(row.count for row in checklist.blocks), listed[i], needed[j])
    for i, row in enumerate(listed):
        if i not in told:
            more = _cloth(plan, row.fabric, row.size[0], row.count)
            both = row.count, row.size
            found.append(
                ListFinding("not needed", row.fabric, both, None, "", False, None, tuple(row.lines), None, more, True)
            )
    for j, need in enumerate(needed):
        if _lists_strips(plan, rows, need):
            continue
        strips.update({(need.fabric, strip): number for strip, number in need.strips.items()})
        if j not in served:
            size = need.count, (need.wide, need.wide)
            found.append(ListFinding("missing", need.fabric, None, size, "unit", matters=True, diamonds=True))
    return tuple(found), strips


def _needed(checklist: Checklist) -> list[_Needed]:
    """The diamonds of each cloth and width; spare ones, cut from the last strip, are not needed."""
    found: dict[tuple[str, Measure], _Needed] = {}
    for step in checklist.steps:
        if not isinstance(step.action, CutApart) or checklist.made(step).thing.of != DIAMOND:
            continue
        fabric, strip = checklist.made(step).fabrics[0], checklist.taken(step).size
        assert strip is not None
        wide, cut = min(strip), Counter({strip: step.count * step.takes[0].each})
        before = found.get((fabric, wide), _Needed(fabric, wide, 0, Counter()))
        count = step.count * step.gives[0].each - _spare(checklist, step)
        found[fabric, wide] = _Needed(fabric, wide, before.count + count, before.strips + cut)
    return list(found.values())


def _spare(checklist: Checklist, step: Step) -> int:
    """How many diamonds are left over, as they are cut or with their dots."""
    own = step.gives[0].pile
    marked = {flow.pile for each in checklist.steps if each.takes and each.takes[0].pile == own for flow in each.gives}
    alike = {pile for pile in marked if checklist.piles[pile].thing.of == DIAMOND}
    return sum(checklist.spares.get(pile, 0) for pile in {own, *alike})


def _lists_strips(plan: Plan, rows: Sequence[ListRow], need: _Needed) -> bool:
    return any(
        row.shape != "diamond" and row.fabric == need.fabric and _is_wide(plan, row.height, need.wide) for row in rows
    )


def _is_wide(plan: Plan, said: Measure, wide: Measure) -> bool:
    """Whether a list means a width: as good as equal, or the ruler's mark next to it."""
    return abs(said - wide) < HARDLY[plan.unit] or said == nearest(wide, plan.ruler)


def _of_pair(plan: Plan, blocks: int, listed: ListedPieces, needed: _Needed) -> list[ListFinding]:
    wide = listed.size[0]
    size = nearest(needed.wide, plan.ruler) if _is_wide(plan, wide, needed.wide) else needed.wide
    more = _cloth(plan, listed.fabric, wide, listed.count) - _cloth(plan, needed.fabric, needed.wide, needed.count)

    def finding(kind: str, matters: bool, slip: str | None) -> ListFinding:
        both = (listed.count, listed.size), (needed.count, (size, size))
        lines, cloth = tuple(listed.lines), max(more, Measure())
        return ListFinding(kind, needed.fabric, *both, "unit", matters, slip, lines, None, cloth, True)

    found = []
    if not _is_wide(plan, wide, needed.wide):
        found.append(finding("wrong size", True, _width_slip(plan, wide, needed.wide)))
    if listed.count != needed.count:
        few = listed.count < needed.count
        found.append(finding("too few" if few else "too many", few, _count_slip(listed.count, needed.count, blocks)))
    return found


def _width_slip(plan: Plan, said: Measure, wide: Measure) -> str | None:
    finished = wide - 2 * plan.seam
    if _is_wide(plan, said, finished):
        return FINISHED
    return SIDE if any(_is_wide(plan, said, side) for side in (wide * ROOT2, finished * ROOT2)) else None


def _count_slip(listed: int, needed: int, blocks: int) -> str | None:
    if needed == 2 * listed:
        return ONE_FOR_TWO
    return ONE_BLOCK if blocks > 1 and needed == blocks * listed else None


def _cloth(plan: Plan, fabric: str, wide: Measure, count: int) -> Measure:
    """The length of cloth that diamonds take, cut from strips across its width."""
    return -(-count // most_from_strip(plan, fabric, wide)) * wide
