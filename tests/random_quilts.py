"""Small quilts drawn by lot for tests of pressing: any joins, strip sets, frames, several kinds, both settings."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from tracker.exact.measure import Measure
from tracker.plan.model import Block, Cell, Fabric, Frame, Plan, Quilt, Sash

KEYS = ("A", "B", "C")
TONES = (2, 5, 8)
INCH = Measure(1)


def random_quilt(chance: Random, most_cells: int = 4, most_places: int = 6) -> Plan:
    """A plan of one or two kinds of block on one grid, in at most so many places."""
    on_point = chance.random() < 0.15
    rows, columns = chance.randint(1, most_cells), chance.randint(1, most_cells)
    if on_point:
        columns = rows
    framed = chance.random() < 0.15
    kinds = [f"b{number}" for number in range(1, chance.choice((1, 1, 1, 2, 2)) + 1)]
    frames = {key: (Frame(chance.choice(KEYS), Measure(2)),) if framed else () for key in kinds}
    blocks = {key: _block(chance, key, rows, columns, frames[key]) for key in kinds}
    sash = Sash("A", Measure(2)) if chance.random() < 0.1 else None
    quilt = Quilt(
        tuple(_places(chance, kinds, most_places, on_point)),
        "on point" if on_point else "straight",
        "A" if on_point else None,
        chance.random() < 0.6,
        sash,
        turns=tuple(_turns(chance)) if rows == columns and chance.random() < 0.3 else (),
    )
    fabrics = {key: Fabric(key, key, tone, "#888888", Measure(40)) for key, tone in zip(KEYS, TONES, strict=True)}
    press_rows = chance.choice(("best", "best", "one way", "flat", "dark"))
    return Plan(
        "drawn by lot", "in", INCH / 4, "exact", INCH / 8, "two", "flip", fabrics, blocks, quilt, press_rows=press_rows
    )


def _places(chance: Random, kinds: list[str], most: int, on_point: bool) -> Iterator[tuple[str, ...]]:
    if on_point:
        across = 2 if most >= 5 else 1
        lengths = [across, across - 1, across] if across > 1 else [1]
    else:
        across = chance.randint(1, min(3, most))
        lengths = [across] * chance.randint(1, most // across)
    for length in lengths:
        yield tuple(chance.choice(kinds) for _ in range(length))


def _turns(chance: Random) -> Iterator[tuple[int, ...]]:
    across = chance.randint(1, 3)
    for _ in range(chance.randint(1, 3)):
        yield tuple(chance.choice((0, 90, 180, 270)) for _ in range(across))


def _block(chance: Random, key: str, rows: int, columns: int, frames: tuple[Frame, ...]) -> Block:
    whole = (0, 0, rows, columns)
    rectangles = list(_parted(chance, whole)) if chance.random() < 0.5 else None
    if rectangles is None:
        rectangles = [(row, column, 1, 1) for row in range(rows) for column in range(columns)]
    cloths = {each: chance.choice(KEYS) for each in rectangles}
    turned = {(rows - r - d, columns - c - a, d, a): cloth for (r, c, d, a), cloth in cloths.items()}
    if chance.random() < 0.6 and turned.keys() == cloths.keys():
        # The same upside down: of each pair of opposite cells the first decides.
        cloths = {each: cloths[min(each, _opposite(each, rows, columns))] for each in cloths}
    cells = tuple(
        Cell(row, column, (cloth,) * 4, down, across)  # type: ignore[arg-type]
        for (row, column, down, across), cloth in sorted(cloths.items())
    )
    return Block(key, key, (INCH,) * columns, (INCH,) * rows, cells, frames, strips=chance.random() < 0.3)


Rectangle = tuple[int, int, int, int]


def _opposite(each: Rectangle, rows: int, columns: int) -> Rectangle:
    row, column, down, across = each
    return rows - row - down, columns - column - across, down, across


def _parted(chance: Random, place: Rectangle) -> Iterator[Rectangle]:
    row, column, down, across = place
    if down * across == 1 or (down * across <= 3 and chance.random() < 0.3):
        yield place
    elif across == 1 or (down > 1 and chance.random() < 0.5):
        cut = chance.randint(1, down - 1)
        yield from _parted(chance, (row, column, cut, across))
        yield from _parted(chance, (row + cut, column, down - cut, across))
    else:
        cut = chance.randint(1, across - 1)
        yield from _parted(chance, (row, column, down, cut))
        yield from _parted(chance, (row, column + cut, down, across - cut))
