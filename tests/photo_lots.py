"""Layouts of known blocks, mistakes drawn by lot in them, and what made photos of them come to.

    python tests/photo_lots.py 500        # right layouts accused, wrong units found, cells read

The second set of limits was never looked at while anything was tuned.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from made_photos import FIRST, OTHER, Limits, even, photo, replace, sampled

from tracker.exact.measure import Measure
from tracker.plan.known_blocks import known_block
from tracker.plan.model import Plan
from tracker.plan.picture import read_cell
from tracker.route.compiler import compile_plan
from tracker.seeing.colours import apart, lab_of, light_of
from tracker.seeing.laid_pieces import laid_pieces
from tracker.seeing.laid_quilt import laid_blocks_of
from tracker.seeing.layout_check import LaidPiece, LayoutSeen, Shown, check_layout
from tracker.seeing.photo_drawing import PhotoDrawing, read_photo
from tracker.seeing.samples import Colour, mirrored, read_samples, turned
from tracker.work.steps import LayOut

BLOCKS = (
    "sawtooth star", "ohio star", "churn dash", "card trick", "flock of geese", "bear's paw", "jacob's ladder",
    "shoo fly", "pinwheel star", "sister's choice",
)  # fmt: skip

TURNED_TELLS = ("jacob's ladder", "flock of geese", "card trick")
"""Blocks that look otherwise when they are turned."""

QUILT_CORNERS = 0.01
"""How far the corners of a quilt, of many more cells, may not be hit: they are dragged until lines lie on its seams."""

TOLD_APART = 12
"""Cloths whose colours differ by at least this (CIE Lab) are to be told apart."""


@cache
def laid(name: str) -> tuple[LaidPiece, ...]:
    """The pieces of a known block as they are laid out."""
    known = known_block(name)
    assert known is not None, name
    checklist = compile_plan(known.plan)
    step = next(s for s in checklist.steps if isinstance(s.action, LayOut) and s.per == known.block.key)
    return laid_pieces(known.plan, checklist, step)


def cells_of(pieces: Sequence[LaidPiece], shown: Sequence[Shown]) -> list[list[tuple[str, ...]]]:
    """What lies there, cell by cell."""
    rows = max(piece.row + len(piece.shown) for piece in pieces)
    columns = max(piece.column + len(piece.shown[0]) for piece in pieces)
    grid: list[list[tuple[str, ...]]] = [[()] * columns for _ in range(rows)]
    for piece, lies in zip(pieces, shown, strict=True):
        for r, line in enumerate(lies):
            for c, quarters in enumerate(line):
                grid[piece.row + r][piece.column + c] = quarters
    return grid


def colours(keys: Sequence[str], luck: np.random.Generator, least: int = TOLD_APART) -> dict[str, Colour]:
    """A colour for each cloth, each far enough from the others."""
    while True:
        found = [tuple(int(value) for value in luck.integers(15, 245, 3)) for _ in keys]
        looks = [lab_of(light_of(colour)) for colour in found]
        if all(apart(a, b) >= least**2 for at, a in enumerate(looks) for b in looks[:at]):
            return dict(zip(keys, found, strict=True))


def mistaken(pieces: Sequence[LaidPiece], luck: np.random.Generator, many: int) -> tuple[list[Shown], dict[int, str]]:
    """So many pieces or a few more turned, mirrored or swapped; what each place shows then, and which are wrong."""
    shown, wrong = [piece.shown for piece in pieces], dict[int, str]()
    for _ in range(200):
        if len(wrong) >= many:
            break
        kind, place, other = (
            luck.choice(["turned", "turned", "swapped", "mirrored"]),
            *luck.integers(len(pieces), size=2),
        )
        lies = shown[place]
        if kind == "swapped":
            back = shown[other]
            if place not in wrong and other not in wrong and _alike(lies, back) and lies != back:
                shown[place], shown[other] = back, lies
                wrong[place] = wrong[other] = kind
            continue
        for _ in range(luck.integers(1, 4) if kind == "turned" else 1):
            lies = turned(lies) if kind == "turned" else mirrored(lies)
        if place not in wrong and _alike(lies, shown[place]) and lies != shown[place]:
            shown[place] = lies
            wrong[place] = kind
    return shown, wrong


def _alike(one: Shown, other: Shown) -> bool:
    return (len(one), len(one[0])) == (len(other), len(other[0]))


def looked_at(seed: int, limits: Limits, many: int) -> tuple[dict[int, str], LayoutSeen]:
    """A layout with so many mistakes, photographed: which pieces are wrong, and what is said of it."""
    luck = np.random.default_rng(seed)
    pieces = laid(BLOCKS[seed % len(BLOCKS)])
    shown, wrong = mistaken(pieces, luck, many)
    cells = cells_of(pieces, shown)
    cloths = colours(sorted({key for row in cells for quarters in row for key in quarters}), luck)
    units = [(piece.row, piece.column, len(piece.shown), len(piece.shown[0])) for piece in pieces]
    seen, corners = photo(cells, units, cloths, seed, limits)
    numbers = sampled(seen, corners, even(len(cells[0])), even(len(cells)))
    return wrong, check_layout(pieces, read_samples(json.dumps(numbers), len(cells), len(cells[0])))


@cache
def quilt_on_point(name: str, across: int, down: int) -> tuple[Plan, list[list[tuple[str, int]]]]:
    """A quilt on point of a known block, so many across and down in the long rows, and its places; none is turned."""
    known = known_block(name)
    assert known is not None, name
    places = tuple((known.block.key,) * (across - y % 2) for y in range(2 * down - 1))
    cloth = next(iter(known.plan.fabrics))
    quilt = replace(known.plan.quilt, places=places, turns=(), setting="on point", setting_fabric=cloth)
    return replace(known.plan, quilt=quilt), [[(key, 0) for key in row] for row in places]


def on_point(seed: int, limits: Limits, many: int) -> tuple[dict[int, str], LayoutSeen]:
    """The blocks of a quilt on point, photographed with their triangles and so many mistakes; as `looked_at`."""
    luck = np.random.default_rng(seed)
    quilt = quilt_on_point(TURNED_TELLS[seed % len(TURNED_TELLS)], *((3, 3), (2, 3), (4, 2))[seed // 3 % 3])
    pieces, grid = laid_blocks_of(*quilt, sashed=False)
    shown, wrong = mistaken(pieces, luck, many)
    rows, columns, each = len(grid.down) - 1, len(grid.across) - 1, len(pieces[0].shown)
    key = pieces[0].shown[0][0][0]
    # Where no block lies the triangles' cloth does, parted as the blocks are, cut off by what is marked.
    cells = [[(key,) * 4] * columns for _ in range(rows)]
    for piece, lies in zip(pieces, shown, strict=True):
        for r, line in enumerate(lies):
            cells[piece.row + r][piece.column : piece.column + each] = line
    cloths = colours(sorted({key for row in cells for quarters in row for key in quarters}), luck)
    units = [(row, column, each, each) for row in range(0, rows, each) for column in range(0, columns, each)]
    wide, high = (float_of(side) for side in grid.marked)
    corners = [(float_of(x) / wide, float_of(y) / high) for x, y in grid.cells(0, 0, rows, columns)]
    seen, hit = photo(cells, units, cloths, seed, limits, corners)
    numbers = sampled(seen, hit, even(columns), even(rows), corners)
    return wrong, check_layout(pieces, read_samples(json.dumps(numbers), rows, columns))


def float_of(length: Measure) -> float:
    """A length as near as a photo needs it."""
    return (length * 10**6).__floor__() / 10**6


def named(seen: LayoutSeen) -> set[int]:
    """The pieces that are said to lie wrongly."""
    swapped = {what.other for what in seen.otherwise if what.kind == "swapped" and what.other is not None}
    return {what.piece for what in seen.otherwise} | swapped


def drawn(seed: int, limits: Limits) -> tuple[list[list[tuple[str, ...]]], PhotoDrawing]:
    """A block on paper, photographed: its cells, and what is read."""
    luck = np.random.default_rng(seed)
    pieces = laid(BLOCKS[seed % len(BLOCKS)])
    cells = cells_of(pieces, [piece.shown for piece in pieces])
    cloths = colours(sorted({key for row in cells for quarters in row for key in quarters}), luck, 2 * TOLD_APART)
    each = [(row, column, 1, 1) for row in range(len(cells)) for column in range(len(cells[0]))]
    seen, corners = photo(cells, each, cloths, seed, replace(limits, gap=0, allowance=0))
    numbers = sampled(seen, corners, even(len(cells[0])), even(len(cells)))
    return cells, read_photo(read_samples(json.dumps(numbers), len(cells), len(cells[0])))


def misread(cells: list[list[tuple[str, ...]]], read: PhotoDrawing) -> set[tuple[int, int]]:
    """The cells that were read otherwise than drawn, whatever the cloths are called."""
    keys = [key for key, _ in read.cloths]
    got = [[read_cell(token, keys) for token in row] for row in read.picture]
    votes: Counter[tuple[str, str]] = Counter()
    for row, line in zip(cells, got, strict=True):
        for quarters, keyed in zip(row, line, strict=True):
            votes.update(zip(keyed, quarters, strict=True))
    meant: dict[str, str] = {}
    for (key, cloth), _ in votes.most_common():
        meant.setdefault(key, cloth)
    places = ((r, c) for r in range(len(cells)) for c in range(len(cells[0])))
    return {(r, c) for r, c in places if tuple(meant[key] for key in got[r][c]) != cells[r][c]}


def part(some: int, of: int) -> str:
    """So many of so many, with per cent."""
    return f"{some} of {of} ({100 * some / of:.1f} %)"


Looked = Callable[[int, Limits, int], tuple[dict[int, str], LayoutSeen]]


def layouts(limits: Limits, first: int, tries: int, look: Looked = looked_at) -> None:
    """Print what is said of layouts that are right, and of layouts that are not."""
    right = [look(first + number, limits, 0)[1] for number in range(tries)]
    print("  right layouts accused:", part(sum(bool(named(seen)) or seen.strange for seen in right), tries))
    wrong = [look(first + number, limits, 1 + number // 10 % 3) for number in range(tries)]
    all_wrong = sum(len(mistakes) for mistakes, _ in wrong)
    print("  wrong units found:", part(sum(len(named(seen) & set(mistakes)) for mistakes, seen in wrong), all_wrong))
    print("  wrong units beyond telling:", sum(len(set(mistakes) & set(seen.untold)) for mistakes, seen in wrong))
    print("  other units named:", sum(len(named(seen) - set(mistakes)) for mistakes, seen in wrong))


def drawings(limits: Limits, first: int, tries: int) -> None:
    """Print how many cells of drawings are read rightly."""
    read = [drawn(first + number, limits) for number in range(tries)]
    missed = [(misread(cells, found), found) for cells, found in read]
    cells, bad = sum(len(cells) * len(cells[0]) for cells, _ in read), sum(len(each) for each, _ in missed)
    print("  cells read rightly:", part(cells - bad, cells))
    print("  of the others marked:", sum(len(each & set(found.doubtful)) for each, found in missed))


def main() -> None:
    tries = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 1_000_000
    for name, limits in (("the first set of limits", FIRST), ("the second, never looked at", OTHER)):
        print(name)
        layouts(limits, first, tries)
        drawings(limits, first, tries // 2)
        print(" quilts on point")
        layouts(replace(limits, corners=QUILT_CORNERS), first, tries // 4, on_point)


if __name__ == "__main__":
    main()
