"""Random plans for property tests: any a plan file could hold, within the limits given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from hypothesis import reject
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from tracker.exact.measure import Measure, read_length
from tracker.plan.border_strips import Sides
from tracker.plan.defaults import DEFAULTS, colour_of_tone
from tracker.plan.model import Backing, Binding, Block, Border, Cell, Fabric, Frame, Plan, Quarters, Quilt, Sash
from tracker.pressing.meetings import HABITS
from tracker.quilt.borders import CannotCut
from tracker.quilt.cloth_cutting import joined_runs
from tracker.quilt.setting import set_quilt

KEYS = "ABCDEF"
SIDES = {"in": ("1", "1 1/2", "2", "2 1/4", "3", "1.2"), "cm": ("2", "3", "4.5", "5.2", "3.33")}
SEAMS = {"in": ("1/4", "1/4", "3/8", "1/2"), "cm": ("0.75", "0.75", "0.6", "1")}
RULERS = {"in": ("1/8", "1/16"), "cm": ("0.1", "0.25", "0.5")}
STRIPS = {"in": ("1 1/2", "2", "2 5/8"), "cm": ("2.5", "4")}

USABLE = {"in": ("11", "13 1/2", "18", "24", "40"), "cm": ("30", "47.5", "60", "100")}

Rectangle = tuple[int, int, int, int]
"""Top row, left column, rows down, columns across."""


@dataclass(frozen=True)
class Grid:
    """Finished column widths and row heights."""

    columns: tuple[Measure, ...]
    rows: tuple[Measure, ...]

    def is_square(self, place: Rectangle) -> bool:
        row, column, down, across = place
        height, width = self.rows[row : row + down], self.columns[column : column + across]
        return sum(height, Measure()) == sum(width, Measure())


def lengths(texts: Sequence[str], unit: str) -> st.SearchStrategy[Measure]:
    return st.sampled_from([read_length(text, unit) for text in texts])


@st.composite
def grids(draw: DrawFn, unit: str, most: int) -> Grid:
    """Columns and rows, up to `most` of each: half the time all alike, so that cells are square."""
    side = lengths(SIDES[unit], unit)
    counts = draw(st.tuples(st.integers(1, most), st.integers(1, most)))
    if draw(st.booleans()):
        alike = draw(side)
        return Grid((alike,) * counts[0], (alike,) * counts[1])
    columns, rows = (tuple(draw(st.lists(side, min_size=n, max_size=n))) for n in counts)
    return Grid(columns, rows)


@st.composite
def straight_spans(draw: DrawFn, place: Rectangle, largest: int = 3) -> list[Rectangle]:
    """A rectangle of cells parted by straight cuts, or into four parts that turn round a middle, again and again: such
    a picture can always be sewn."""
    row, column, down, across = place
    if min(down, across) > 2 and draw(st.integers(0, 3)) == 0:
        return draw(turning_spans(place, largest))
    if down * across == 1 or (max(down, across) <= largest and draw(st.integers(0, 3)) == 0):
        return [place]
    if across == 1 or (down > 1 and draw(st.booleans())):
        cut = draw(st.integers(1, down - 1))
        parts = [(row, column, cut, across), (row + cut, column, down - cut, across)]
    else:
        cut = draw(st.integers(1, across - 1))
        parts = [(row, column, down, cut), (row, column + cut, down, across - cut)]
    return [piece for part in parts for piece in draw(straight_spans(part, largest))]


@st.composite
def turning_spans(draw: DrawFn, place: Rectangle, largest: int = 3) -> list[Rectangle]:
    """Four parts of a rectangle of at least three cells each way that turn round a middle, either way round."""
    row, column, down, across = place
    upper, left = draw(st.integers(1, down - 2)), draw(st.integers(1, across - 2))
    lower, right = draw(st.integers(upper + 1, down - 1)), draw(st.integers(left + 1, across - 1))
    parts = [(0, 0, upper, right), (0, right, lower, across - right), (lower, left, down - lower, across - left)]
    parts += [(upper, 0, down - upper, left), (upper, left, lower - upper, right - left)]
    if draw(st.booleans()):
        parts = [(top, across - start - wide, high, wide) for top, start, high, wide in parts]
    moved = [(row + top, column + start, high, wide) for top, start, high, wide in parts]
    return [piece for part in moved for piece in draw(straight_spans(part, largest))]


@st.composite
def any_spans(draw: DrawFn, place: Rectangle, largest: int = 3) -> list[Rectangle]:
    """A rectangle of cells tiled by rectangles in any way, also such as no straight seams can sew."""
    top, left, down, across = place
    free = {(row, column) for row in range(top, top + down) for column in range(left, left + across)}
    places = []
    while free:
        row, column = min(free)
        wide = next(n for n in range(1, across + 1) if (row, column + n) not in free)
        width = draw(st.integers(1, min(wide, largest)))
        height = draw(st.integers(1, min(top + down - row, largest)))
        places.append((row, column, height, width))
        free -= {(r, c) for r in range(row, row + height) for c in range(column, column + width)}
    return places


@st.composite
def quarters(draw: DrawFn, keys: str, diagonal: bool) -> Quarters:
    """The cloths of a cell: plain, or where it may have a diagonal a half-square, quarter-square or split unit."""
    a, b, c, d = draw(st.tuples(*[st.sampled_from(keys)] * 4))
    if not diagonal:
        return a, a, a, a
    kinds: list[Quarters] = [(a, a, a, a), (a, b, b, a), (b, b, a, a), (a, b, c, d), (a, b, a, b), (a, b, c, a)]
    return kinds[draw(st.integers(0, len(kinds) - 1))]


@st.composite
def cells(draw: DrawFn, grid: Grid, keys: str, spans: str) -> tuple[Cell, ...]:
    """Every cell of a picture in reading order. `spans` is "none", "straight" or "any"."""
    whole = (0, 0, len(grid.rows), len(grid.columns))
    single = [(row, column, 1, 1) for row in range(whole[2]) for column in range(whole[3])]
    tilings = {"none": st.just(single), "straight": straight_spans(whole), "any": any_spans(whole)}
    drawn = []
    for place in sorted(draw(tilings[spans])):
        row, column, down, across = place
        drawn.append(Cell(row, column, draw(quarters(keys, grid.is_square(place))), down, across))
    return tuple(drawn)


LARGER = {
    "goose up": ("/\\",),
    "goose down": ("`,",),
    "goose left": ("/", "`"),
    "goose right": ("\\", ","),
    "square in a square": ("/\\", "`,"),
    "snowball": ("/.\\", "...", "`.,"),
    "stripes": (". ", " ."),
}
"""What larger units look like, a letter a cell: `.` the main cloth, a blank the other; `/` and `\\` the main cloth
below a rising or falling diagonal, `,` and a backtick above one."""


def letter_quarters(letter: str, main: str, other: str) -> Quarters:
    """The cloths of one cell of LARGER."""
    cloths: dict[str, Quarters] = {
        ".": (main, main, main, main),
        " ": (other, other, other, other),
        "/": (other, main, main, other),
        "\\": (other, other, main, main),
        ",": (main, other, other, main),
        "`": (main, main, other, other),
    }
    return cloths[letter]


@st.composite
def with_larger(draw: DrawFn, picture: tuple[Cell, ...], grid: Grid, keys: str) -> tuple[Cell, ...]:
    """A picture of single square cells with some larger units drawn into it."""
    found = {(cell.row, cell.column): cell.quarters for cell in picture}
    for letters in draw(st.lists(st.sampled_from(sorted(LARGER.values())), max_size=4)):
        down, across = len(letters), len(letters[0])
        if down > len(grid.rows) or across > len(grid.columns):
            continue
        top, left = draw(st.integers(0, len(grid.rows) - down)), draw(st.integers(0, len(grid.columns) - across))
        main, other = draw(st.tuples(st.sampled_from(keys), st.sampled_from(keys)))
        for row, line in enumerate(letters):
            for column, letter in enumerate(line):
                if grid.is_square((top + row, left + column, 1, 1)):
                    found[top + row, left + column] = letter_quarters(letter, main, other)
    return tuple(Cell(row, column, cloths) for (row, column), cloths in found.items())


@st.composite
def plans(draw: DrawFn, most: int = 5, most_blocks: int = 6, spans: str = "straight", combine: bool = False) -> Plan:
    """A plan of up to three block kinds, up to `most` cells across and down, in up to `most_blocks` places.

    1 to 6 cloths of any tone, inches or centimetres, both trimmings, every way of making, up to two frames. `spans` is
    "none", "straight" (can always be sewn) or "any"; with `combine` blocks may show larger units and ask for them.
    """
    unit = draw(st.sampled_from(("in", "cm")))
    keys = KEYS[: draw(st.integers(1, len(KEYS)))]
    seam = draw(lengths(SEAMS[unit], unit))
    grid = draw(grids(unit, most))
    frames = tuple(draw(st.lists(st.builds(Frame, st.sampled_from(keys), lengths(STRIPS[unit], unit)), max_size=2)))
    blocks = {}
    for number in range(1, draw(st.integers(1, 3)) + 1):
        larger = combine and draw(st.booleans())
        picture = draw(cells(grid, keys, "none" if larger else spans))
        picture = draw(with_larger(picture, grid, keys)) if larger else picture
        blocks[f"b{number}"] = Block(f"b{number}", f"block {number}", grid.columns, grid.rows, picture, frames, larger)
    blocks = draw(cut_down(blocks, seam))
    across = draw(st.integers(1, 3))
    down = draw(st.integers(1, most_blocks // across))
    row = st.tuples(*[st.sampled_from(list(blocks))] * across)
    return Plan(
        title="drawn by lot",
        unit=unit,
        seam=seam,
        trimming=draw(st.sampled_from(("roomy", "exact"))),
        ruler=draw(lengths(RULERS[unit], unit)),
        half_square=draw(st.sampled_from(("two", "four", "eight"))),
        geese=draw(st.sampled_from(("flip", "four"))),
        press_rows=draw(st.sampled_from(tuple(HABITS))),
        split_square=draw(st.sampled_from(("fitted", "alike"))),
        bonus=draw(st.booleans()),
        fabrics={key: draw(fabrics(key, unit)) for key in keys},
        blocks=blocks,
        quilt=Quilt(tuple(draw(st.tuples(*[row] * down)))),
        allowance=Fraction(1, 20),
    )


@st.composite
def cut_down(draw: DrawFn, blocks: dict[str, Block], seam: Measure) -> dict[str, Block]:
    """The same blocks, now and then all squared to less than planned: before frames, with them, or both."""
    first = next(iter(blocks.values()))
    cells = [block.cell_size(cell) for block in blocks.values() for cell in block.cells]
    narrowest, (width, height) = min(map(min, cells)), first.inner_finished
    least = max(map(min, cells))
    off = draw(st.sampled_from([Measure(), Measure(), narrowest - seam, (narrowest - seam) / 2]))
    if off and min(width, height) - 2 * off > max(least, seam):
        blocks = {key: replace(block, squared=width + 2 * seam - 2 * off) for key, block in blocks.items()}
    if first.frames and draw(st.booleans()):
        framed = next(iter(blocks.values())).with_frames(seam)[0] + 2 * seam
        shown = first.frames[-1].cut - 2 * seam
        blocks = {key: replace(block, squared_framed=framed - shown) for key, block in blocks.items()}
    return blocks


def fabrics(key: str, unit: str) -> st.SearchStrategy[Fabric]:
    tones = st.integers(1, 9)
    return tones.map(lambda tone: Fabric(key, f"cloth {key}", tone, colour_of_tone(tone), DEFAULTS[unit].usable))


def turns_of(plan: Plan) -> st.SearchStrategy[tuple[tuple[int, ...], ...]]:
    """Turns of blocks, over and over; none half the time. Only square blocks are turned by a quarter."""
    square = all(len({*block.finished(plan.seam)}) == 1 for block in plan.blocks.values())
    turn = st.sampled_from((0, 90, 180, 270) if square else (0, 180))
    patterns = st.integers(1, 3).flatmap(lambda across: st.lists(st.tuples(*[turn] * across), min_size=1, max_size=2))
    return st.just(()) | patterns.map(tuple)


def borders(key: st.SearchStrategy[str], wide: st.SearchStrategy[Measure]) -> st.SearchStrategy[Border]:
    """Borders with straight ends, with cornerstones, and mitred."""
    with_stones = st.builds(Border, key, wide, st.none() | key, st.booleans())
    return with_stones | st.builds(Border, key, wide, st.none(), st.booleans(), st.just(True))


@st.composite
def pieced(draw: DrawFn, quilt: Quilt, plan: Plan, key: st.SearchStrategy[str]) -> Quilt:
    """The quilt, now and then with a pieced border somewhere, or an outer sash."""
    kind, before = draw(st.sampled_from(("", "", "cells", "sash"))), list(quilt.borders)
    if kind == "sash" and quilt.sash is not None and quilt.setting == "straight":
        outer = Border(draw(key), quilt.sash.cut, draw(key), outer_sash=True)
        return replace(quilt, borders=(outer, *before))
    if kind != "cells" or quilt.setting != "straight":
        return quilt
    place, cloths = draw(st.integers(0, len(before))), "".join(plan.fabrics)
    row = tuple(Cell(0, n, draw(quarters(cloths, True))) for n in range(draw(st.integers(1, 3))))
    border = Border(draw(key), Measure(3) + 2 * plan.seam, draw(st.none() | key), picture=row)
    borders = [*before[:place], border, *before[place:]]
    fits = Sides(replace(quilt, borders=tuple(borders)), plan.blocks, plan.seam).cell_that_fits(place + 1)
    if fits is None or fits < 1 or fits <= plan.seam:
        return quilt
    borders[place] = replace(border, cut=fits + 2 * plan.seam)
    return replace(quilt, borders=tuple(borders))


@st.composite
def whole_quilts(draw: DrawFn, most: int = 2, across: int = 3) -> Plan:
    """A plan of small blocks with all that may lie round them: sashes, setting triangles, borders, binding, backing.

    Cloth is narrow, so that long strips are joined and backings pieced.
    """
    plan = draw(plans(most, 3, "none"))
    unit, keys = plan.unit, tuple(plan.fabrics)
    key = st.sampled_from(keys)
    maybe = st.none() | key
    wide = st.sampled_from([read_length(text, unit) for text in STRIPS[unit]]).map(lambda cut: cut + 2 * plan.seam)
    usable = draw(lengths(USABLE[unit], unit))
    on_point = draw(st.booleans()) and len({*plan.blocks[next(iter(plan.blocks))].finished(plan.seam)}) == 1
    width, height = draw(st.integers(1, across)), draw(st.integers(1, across))
    rows = 2 * height - 1 if on_point else height
    kinds = st.sampled_from(list(plan.blocks))
    places = tuple(tuple(draw(kinds) for _ in range(width - row % 2 if on_point else width)) for row in range(rows))
    beyond = st.sampled_from([read_length(text, unit) for text in ("2", "3 1/2")])
    quilt = Quilt(
        places,
        "on point" if on_point else "straight",
        draw(key) if on_point else None,
        draw(st.booleans()),
        draw(st.none() | st.builds(Sash, key, wide, maybe)),
        tuple(draw(st.lists(borders(key, wide), max_size=2))),
        draw(st.none() | st.builds(Binding, key, st.just(read_length("2 1/2", unit)))),
        draw(st.none() | st.builds(Backing, key, beyond)),
        draw(st.none() | beyond),
        turns=draw(turns_of(plan)),
        floats=draw(st.none() | wide) if on_point else None,
    )
    quilt = draw(pieced(quilt, plan, key))
    fabrics_ = {
        name: replace(fabric, usable=usable, directional=draw(st.sampled_from((False, False, True))))
        for name, fabric in plan.fabrics.items()
    }
    whole = replace(plan, fabrics=fabrics_, quilt=quilt)
    try:
        joined_runs(whole, (), set_quilt(whole))
    except CannotCut:  # told in a sentence: a triangle beside the blocks may be larger than a narrow cloth
        reject()
    return whole
