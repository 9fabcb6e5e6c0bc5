"""How many slips of the pen pass where a cutting list is checked without a plan, and how many right lists alarm.

    python tests/slips_of_lists.py [SEED ...]

Right lists are those of the plans of single blocks, cut exactly and with room to trim. For each seed five hundred more
are drawn by lot: three of four are such a block in another size, or its units made another way, the fourth is a picture
of its own, the same after a quarter turn as blocks mostly are. Each slip changes one count or size of a drawn list, or
leaves a row out, so that comparing it with its plan calls it something to put right. A thousand for each seed.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice
from pathlib import Path

from tests.quilting import plan_from
from tests.turned_pictures import plan_of
from tracker.exact.measure import Measure, on_mark
from tracker.plan.model import Block, Cell, Plan
from tracker.printed.block_area import check_areas
from tracker.printed.compare import compare
from tracker.printed.list_table import ListRow
from tracker.quilt.setting import Setting, set_quilt
from tracker.route.compiler import CannotSew, compile_plan
from tracker.work.steps import Checklist, Size

BLOCKS = (Path(__file__).parent / "plans/blocks", Path(__file__).parents[1] / "tracker/plan/known")
LISTS, SLIPS = 500, 1000
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
    for name, read in _plans():
        for trimming in ("exact", "roomy"):
            listed = _listed(f"{name} {trimming}", replace(read, trimming=trimming))
            if listed:
                yield listed


def _plans() -> Iterator[tuple[str, Plan]]:
    for path in sorted(path for folder in BLOCKS for path in folder.glob("*.toml")):
        yield path.stem, plan_from(path.read_text("utf-8"))


def _listed(name: str, plan: Plan) -> RightList | None:
    """A plan's list, where it is that of one block without a frame."""
    checklist = compile_plan(plan)
    rows = [ListRow(n, p.fabric, p.count, p.width, p.height) for n, p in enumerate(checklist.pieces, 1)]
    if sum(row.count for row in checklist.blocks) == 1 and {p.use for p in checklist.pieces} == {"unit"}:
        return RightList(name, plan, checklist, set_quilt(plan), tuple(rows))
    return None


def drawn_lists(chance: random.Random) -> Iterator[RightList]:
    """Right lists drawn by lot, without end."""
    known = [(name, plan) for name, plan in _plans() if len(plan.blocks) == 1]
    while True:
        name, plan = chance.choice(known) if chance.random() < 0.75 else ("picture", _picture(chance))
        ((key, block),) = plan.blocks.items()
        times = chance.choice([1, Fraction(1, 2), Fraction(3, 4), Fraction(3, 2), 2]) if name != "picture" else 1
        columns, rows = (tuple(side * times for side in sides) for sides in (block.columns, block.rows))
        if not all(on_mark(side, Measure(Fraction(1, 4))) for side in (*columns, *rows)):
            continue
        block = replace(block, columns=columns, rows=rows)
        changed = replace(
            plan,
            blocks={key: block},
            trimming=chance.choice(["exact", "roomy"]),
            half_square=chance.choice(["two", "two", "two", "best"]),
            geese=chance.choice(["flip", "four"]),
        )
        try:
            listed = _listed(f"{name} x {times} {changed.trimming} {changed.half_square} {changed.geese}", changed)
        except CannotSew:
            continue
        if listed:
            yield listed


def _picture(chance: random.Random) -> Plan:
    """Of four to seven cells across, plain and halved, the same after a quarter turn."""
    across, cell = chance.choice([4, 5, 6, 7]), Measure(chance.choice([1, Fraction(3, 2), 2, Fraction(5, 2), 3]))
    cells: dict[tuple[int, int], tuple[str, ...]] = {}
    for place in ((row, column) for row in range(across) for column in range(across)):
        first, second = chance.sample("ABC"[: chance.choice([2, 3])], 2)
        halved = [(first, second, second, first), (second, second, first, first)]
        middle = place == (across // 2, across // 2) and across % 2
        quarters = (first,) * 4 if middle else chance.choice([(first,) * 4, *halved])
        for _ in range(4):
            cells.setdefault(place, quarters)
            place, quarters = (place[1], across - 1 - place[0]), (quarters[3], *quarters[:3])
    placed = tuple(Cell(*place, (q[0], q[1], q[2], q[3])) for place, q in sorted(cells.items()))
    plan = plan_of(Block("b", "b", (cell,) * across, (cell,) * across, placed))
    return replace(plan, quilt=replace(plan.quilt, places=(("b",),)))


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
    _say("plans", list(right_lists()))
    for seed in map(int, sys.argv[1:] or ["1"]):
        chance, tried, passed = random.Random(seed), 0, []
        lists = list(islice(drawn_lists(chance), LISTS))
        _say(f"seed {seed}", lists)
        while tried < SLIPS:
            right = chance.choice(lists)
            rows = slip(right.rows, chance)
            if rows is not None and right.matters(rows):
                tried += 1
                passed += [right.name] if right.agrees(rows) else []
        print(
            f"seed {seed}: {len(passed)} of {tried} slips pass ({100 * len(passed) / tried:.1f} %): {', '.join(passed)}"
        )


def _say(what: str, lists: Sequence[RightList]) -> None:
    alarms = [each.name for each in lists if not each.agrees(each.rows)]
    share = 100 * len(alarms) / len(lists)
    print(f"{what}: {len(alarms)} of {len(lists)} right lists alarm ({share:.1f} %): {', '.join(alarms)}")


if __name__ == "__main__":
    main()
