"""Pictures drawn by lot, in each way that they may lie: the same is cut for them. Run by hand it says for how many:

python tests/turned_pictures.py [HOW MANY]
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from random import Random

from tracker.exact.measure import Measure
from tracker.plan.model import Block, Cell, Fabric, Plan, Quarters, Quilt
from tracker.route.compiler import compile_plan
from tracker.units.ways_up import WAYS_UP

TONES = {"A": 2, "B": 5, "C": 8}
INCH = Measure(1)

Place = tuple[int, int, int, int]
"""A rectangle of cells: row, column, down, across."""


def drawn_by_lot(chance: Random, combine: bool = True, strips: bool = False) -> Block:
    """A block of up to five cells each way, some spanned, all joined by straight seams."""
    down, across = chance.randint(2, 5), chance.randint(2, 5)
    sides = [chance.choice((1, 1, 1, 2))] * 2 if chance.random() < 0.7 else [1, 2]
    rows, columns = ([INCH * chance.choice(sides) for _ in range(count)] for count in (down, across))
    cloths, plain = chance.choice(("AB", "ABC")), chance.choice((0.3, 0.6, 0.8))
    parts = list(_parted(chance, (0, 0, down, across)))
    block = Block("b", "b", tuple(columns), tuple(rows), (), combine=combine, strips=strips)
    cells = [Cell(row, column, ("A",) * 4, high, wide) for row, column, high, wide in sorted(parts)]
    return replace(block, cells=tuple(replace(c, quarters=_quarters(chance, block, c, cloths, plain)) for c in cells))


def _parted(chance: Random, place: Place) -> Iterator[Place]:
    """A rectangle parted by straight seams, mostly to single cells."""
    row, column, down, across = place
    if down * across == 1 or (down * across <= 4 and chance.random() < 0.15):
        yield place
    elif across == 1 or (down > 1 and chance.random() < 0.5):
        yield from _parted(chance, (row, column, 1, across))
        yield from _parted(chance, (row + 1, column, down - 1, across))
    else:
        yield from _parted(chance, (row, column, down, 1))
        yield from _parted(chance, (row, column + 1, down, across - 1))


def _quarters(chance: Random, block: Block, cell: Cell, cloths: str, plain: float) -> Quarters:
    first, second, third = (chance.choice(cloths) for _ in range(3))
    width, height = block.cell_size(cell)
    if width != height or chance.random() < plain or first == second:
        return first, first, first, first
    return chance.choice(
        ((first, second, second, first), (second, second, first, first), (first, second, third, second))
    )


def plan_of(block: Block) -> Plan:
    """Four such blocks."""
    fabrics = {key: Fabric(key, key, tone, "#888888", Measure(40)) for key, tone in TONES.items()}
    quilt = Quilt((("b", "b"), ("b", "b")))
    return Plan("by lot", "in", INCH / 4, "exact", INCH / 8, "two", "flip", fabrics, {"b": block}, quilt)


def cut_for(plan: Plan) -> Counter[tuple[object, ...]]:
    """What is cut for a plan, however it lies: cloth, size and count."""
    pieces = compile_plan(plan).pieces
    return Counter({(p.fabric, p.width, p.height, p.use): p.count for p in pieces})


def lies_alike(block: Block) -> bool:
    """Whether the same is cut for a block in each way that its picture may lie."""
    cut = [cut_for(plan_of(way.block(block))) for way in WAYS_UP]
    return all(each == cut[0] for each in cut)


def main() -> None:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    for combine, strips in ((True, False), (False, True), (True, True)):
        alike = sum(lies_alike(drawn_by_lot(Random(seed), combine, strips)) for seed in range(number))
        print(f"combine {combine}, strips {strips}: {alike} of {number} pictures are cut alike in all eight ways")


if __name__ == "__main__":
    main()
