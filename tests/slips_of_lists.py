"""How many slips of the pen pass where a cutting list is checked without a plan, and how many right lists alarm.

    python tests/slips_of_lists.py [SEED ...]

Right lists are those of the plans of single blocks, cut exactly and with room to trim. Each slip changes one count or
size, or leaves a row out, so that comparing it with its plan calls it something to put right. A thousand for each seed.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from tests.quilting import plan_from
from tracker.plan.model import Plan
from tracker.printed.block_area import check_areas
from tracker.printed.compare import compare
from tracker.printed.list_table import ListRow
from tracker.quilt.setting import Setting, set_quilt
from tracker.route.compiler import compile_plan
from tracker.work.steps import Checklist, Size

BLOCKS = (Path(__file__).parent / "plans/blocks", Path(__file__).parents[1] / "tracker/plan/known")
SLIPS = 1000
BY = [Fraction(sign * eighths, 8) for sign in (1, -1) for eighths in (2, 3, 4, 7, 8)]


@dataclass(frozen=True)
class RightList:
    """A plan of one block, and its list."""

    name: str
    plan: Plan
    checklist: Checklist
    setting: Setting
    rows: tuple[ListRow, ...]

    @property
    def block(self) -> Size:
        return self.checklist.blocks[0].finished

    def agrees(self, rows: Sequence[ListRow]) -> bool:
        return check_areas(rows, self.block, self.plan.seam, self.plan.unit).agrees

    def matters(self, rows: Sequence[ListRow]) -> bool:
        return any(finding.matters for finding in compare(self.plan, self.checklist, self.setting, rows))


def right_lists() -> Iterator[RightList]:
    """Every plan of one block without a frame, both ways."""
    for path in sorted(path for folder in BLOCKS for path in folder.glob("*.toml")):
        read = plan_from(path.read_text("utf-8"))
        for trimming in ("exact", "roomy"):
            plan = replace(read, trimming=trimming)
            checklist = compile_plan(plan)
            rows = [ListRow(n, p.fabric, p.count, p.width, p.height) for n, p in enumerate(checklist.pieces, 1)]
            if sum(row.count for row in checklist.blocks) == 1 and {p.use for p in checklist.pieces} == {"unit"}:
                yield RightList(f"{path.stem} {trimming}", plan, checklist, set_quilt(plan), tuple(rows))


def slip(rows: Sequence[ListRow], chance: random.Random) -> list[ListRow] | None:
    """The list with one slip; None where this one cannot be made."""
    place, kind = chance.randrange(len(rows)), chance.choice(["count"] * 3 + ["size"] * 3 + ["row"])
    row, before, after = rows[place], list(rows[:place]), list(rows[place + 1 :])
    if kind == "row":
        return [*before, *after] or None
    if kind == "count":
        count = chance.choice([row.count + 1, row.count - 1, row.count * 2, row.count // 2])
        return [*before, replace(row, count=count), *after] if count > 0 and count != row.count else None
    by, square = chance.choice(BY), row.width == row.height
    sides = (row.width + by, row.height + (by if square else 0)) if chance.random() < 0.5 or square else (
        row.width, row.height + by
    )  # fmt: skip
    return [*before, replace(row, width=max(sides), height=min(sides)), *after] if min(sides) > 0 else None


def main() -> None:
    lists = list(right_lists())
    alarms = [each.name for each in lists if not each.agrees(each.rows)]
    print(
        f"{len(lists)} right lists: {len(alarms)} alarm ({100 * len(alarms) / len(lists):.1f} %): {', '.join(alarms)}"
    )
    for seed in map(int, sys.argv[1:] or ["1"]):
        chance, tried, passed = random.Random(seed), 0, 0
        while tried < SLIPS:
            right = chance.choice(lists)
            rows = slip(right.rows, chance)
            if rows is not None and right.matters(rows):
                tried += 1
                passed += right.agrees(rows)
        print(f"seed {seed}: {passed} of {tried} slips pass ({100 * passed / tried:.1f} %)")


if __name__ == "__main__":
    main()
