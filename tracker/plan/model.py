"""The plan as plain frozen data: what a quilter wants made, before anything is decided about how.

All lengths are exact `Measure`s in the plan's unit (`unit`, "in" or "cm").
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from math import isqrt

from tracker.exact.measure import Measure
from tracker.plan.cloths import Fabric as Fabric
from tracker.plan.keys import (
    beyond,
    choice,
    cloth,
    cloth_if_any,
    flag,
    from_file,
    length,
    mark,
    share,
    strip,
    text,
    together,
    turns,
    unit,
    whole,
    word,
)

HALF_SQUARE = ("two", "four", "eight", "best")
RULERS = {
    "in": (Fraction(1, 4), Fraction(1, 8), Fraction(1, 16)),
    "cm": (Fraction(1, 10), Fraction(1, 4), Fraction(1, 2)),
}
"""The marks of a ruler that trimmed pieces can be rounded up to, by unit."""

RECKONING = 6
"""The number of the rules by which a plan becomes steps; the rules that a number changed say so where they stand."""

KEPT_FROM = 3
"""Quilts begun by this number or a later one go on by it, since what follows chooses other units: their plan says so.
Those begun by lesser ones are compiled by those once more, to be carried over."""

Quarters = tuple[str, str, str, str]
"""Fabric keys of a cell's four quarters, clockwise: top, right, bottom, left. A plain cell has one key four times."""


@dataclass(frozen=True)
class Cell:
    """One place in a block's picture: its top-left row and column (from 0), how many it spans, and its quarters.

    A rising diagonal `A/B` is quarters (A, B, B, A); a falling one `A\\B` is (B, B, A, A).
    """

    row: int
    column: int
    quarters: Quarters
    down: int = 1
    across: int = 1

    @property
    def is_plain(self) -> bool:
        """Whether one cloth fills it."""
        return len(set(self.quarters)) == 1

    @property
    def is_halved(self) -> bool:
        """Whether one diagonal parts it into two cloths."""
        top, right, bottom, left = self.quarters
        return (top == left and right == bottom) != (top == right and bottom == left)


@dataclass(frozen=True)
class AsDrawn:
    """How a block is drawn whose sewn lines lie elsewhere: the finished side of its cells, and these."""

    side: Measure
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Frame:
    """Strips sewn round a block; `cut` is the strip's cut width."""

    fabric: str = from_file(cloth("its cloth"))
    cut: Measure = from_file(strip("the width of its strips, cut or finished"))


@dataclass(frozen=True)
class Block:
    """A kind of block: finished widths of its columns, finished heights of its rows, and its cells in reading order.

    Of a nine-patch cut up and a star of diamonds they are those of what comes of it; `before` is what is drawn.
    """

    key: str
    name: str = from_file(together("what the block is called", "name"))
    columns: tuple[Measure, ...] = from_file(
        together(
            'the finished side of every cell; or the finished size of the picture, which its cells share (`"12"`, or '
            '`["12", "9"]` across and down); or each column\'s width',
            "cell",
            "size",
            "columns",
        )
    )
    rows: tuple[Measure, ...] = from_file(together("each row's finished height", "rows"))
    cells: tuple[Cell, ...] = from_file(together("the cells, a line for each row", "picture"))
    frames: tuple[Frame, ...] = from_file(together("strips sewn round the block, inner first", "frame"), default=())
    combine: bool = from_file(
        flag("`true`: larger units and patches are made whole where that saves seams"), default=False
    )
    strips: bool = from_file(
        flag(
            "`true`: lines of plain cells are sewn by strip sets: whole rows and columns, and shorter lines of which "
            "several are alike"
        ),
        default=False,
    )
    diagonal: bool = from_file(
        flag("`true`: halves pieced on the diagonal, bands and nested squares are made whole where they show"),
        default=False,
    )
    on_point: bool = from_file(
        flag(
            "`true`: the block is of patches that stand on their points, sewn in diagonal rows with triangles at its "
            "edges; its cells are half as wide as a patch from point to point, 4 to 12 each way, an even number"
        ),
        default=False,
    )
    cut_up: tuple[tuple[int, ...], ...] = from_file(
        turns(
            "the nine-patch drawn is sewn, cut in four through the middle, and its quarters turned, clockwise: "
            '`[["0", "180"], ["180", "0"]]`; `cell` is the nine-patch\'s, `size` that of what comes of it'
        ),
        default=(),
    )
    diamonds: bool = from_file(
        flag("`true`: the eight-pointed star drawn in four rows of four cells is sewn of 45° diamonds"), default=False
    )
    squared: Measure | None = from_file(
        length("what all of them are cut to before frames, unfinished (an oblong: its width); without it, as planned"),
        default=None,
    )
    squared_framed: Measure | None = from_file(length("the same once their frames are on"), default=None)
    before: AsDrawn | None = None

    @property
    def as_drawn(self) -> Block:
        """The block with the grid and the cells that the plan draws."""
        if self.before is None:
            return self
        sides = (self.before.side,) * isqrt(len(self.before.cells))
        return replace(self, columns=sides, rows=sides, cells=self.before.cells, before=None)

    def cell_size(self, cell: Cell) -> tuple[Measure, Measure]:
        """Finished (width, height) of a cell."""
        columns = self.columns[cell.column : cell.column + cell.across]
        rows = self.rows[cell.row : cell.row + cell.down]
        return sum(columns, Measure()), sum(rows, Measure())

    @property
    def inner_finished(self) -> tuple[Measure, Measure]:
        """Finished (width, height) of the whole picture, before frames, as it is sewn."""
        return sum(self.columns, Measure()), sum(self.rows, Measure())

    def inner_squared(self, seam: Measure) -> tuple[Measure, Measure]:
        """Finished (width, height) before frames, as it is squared: an oblong loses as much of its height."""
        return _cut_to(self.inner_finished, self.squared, seam)

    def with_frames(self, seam: Measure) -> tuple[Measure, Measure]:
        """Finished (width, height) with all frames on, before it is squared once more."""
        width, height = self.inner_squared(seam)
        for frame in self.frames:
            width, height = width + 2 * (frame.cut - 2 * seam), height + 2 * (frame.cut - 2 * seam)
        return width, height

    def finished(self, seam: Measure) -> tuple[Measure, Measure]:
        """Finished (width, height) with all frames on, as it goes into the quilt."""
        return _cut_to(self.with_frames(seam), self.squared_framed if self.frames else None, seam)


def _cut_to(finished: tuple[Measure, Measure], unfinished: Measure | None, seam: Measure) -> tuple[Measure, Measure]:
    """A finished size cut down to an unfinished width, as much off its height."""
    if unfinished is None:
        return finished
    less = finished[0] + 2 * seam - unfinished
    return finished[0] - less, finished[1] - less


@dataclass(frozen=True)
class Sash:
    """Strips between blocks: `cut` is their cut width, `cornerstone` the fabric of the squares where they cross."""

    fabric: str = from_file(cloth("their cloth"))
    cut: Measure = from_file(strip("their width, cut or finished"))
    cornerstone: str | None = from_file(
        cloth_if_any("the cloth of a square where they cross; without it, long sashes"), default=None
    )


@dataclass(frozen=True)
class Border:
    """One border; `corners` is the fabric of its cornerstones, None where it has none."""

    fabric: str = from_file(cloth("its cloth"))
    cut: Measure = from_file(strip("its width, cut or finished"))
    corners: str | None = from_file(
        cloth_if_any("`straight`, or the cloth of a square in each corner", "straight", "mitred"), default=None
    )
    lengthwise: bool = from_file(flag("`true`: cut down the length of the cloth"), default=False)
    mitred: bool = from_file(
        word("`mitred`: strips meet at the corners on the diagonal", "corners", "mitred"), default=False
    )
    picture: tuple[Cell, ...] = from_file(
        together(
            "a pieced border: a row of cells, as wide as the border, over and over along each side; drawn as it lies "
            "above the quilt. Then it needs no `fabric`",
            "picture",
        ),
        default=(),
    )
    outer_sash: bool = from_file(
        flag("`true`: pieces as long as the blocks, and squares of the corners' cloth where sashes end"),
        default=False,
    )

    @property
    def is_pieced(self) -> bool:
        """Whether its strips are sewn of pieces: then they are as long as the top must be."""
        return bool(self.picture) or self.outer_sash


@dataclass(frozen=True)
class Binding:
    """The binding round the quilt: `cut` is the cut width of its strips."""

    fabric: str = from_file(cloth("its cloth"))
    cut: Measure = from_file(strip("the cut width of its strips (2 1/2 in, 6.5 cm)", lambda usual: usual.binding))


@dataclass(frozen=True)
class Backing:
    """The back of the quilt, `beyond` the top on every side."""

    fabric: str = from_file(cloth("its cloth"))
    beyond: Measure = from_file(beyond())


@dataclass(frozen=True)
class Batting:
    """The batting, `beyond` the top on every side."""

    beyond: Measure = from_file(beyond())


@dataclass(frozen=True)
class Quilt:
    """Where the blocks go. `places`: block keys, row by row; on point rows that lie between are one shorter."""

    places: tuple[tuple[str, ...], ...] = from_file(
        together(
            "one kind of block and how many each way; or in `blocks`, for each row, the kind of each block",
            "block",
            "across",
            "down",
            "blocks",
        )
    )
    setting: str = from_file(
        choice("`on point`: blocks stand on their points", "straight", "on point"), default="straight"
    )
    setting_fabric: str | None = from_file(together("the triangles' cloth, on point", "setting_fabric"), default=None)
    half_turns: bool = from_file(flag("`false`: no block is turned so that seams nest", usual=True), default=True)
    sash: Sash | None = from_file(together("strips between the blocks", "sash"), default=None)
    borders: tuple[Border, ...] = from_file(together("strips round the quilt, inner first", "border"), default=())
    binding: Binding | None = from_file(together("what the edge is bound with", "binding"), default=None)
    backing: Backing | None = from_file(together("the back of the quilt", "backing"), default=None)
    batting_beyond: Measure | None = from_file(together("what lies between top and backing", "batting"), default=None)
    turns: tuple[tuple[int, ...], ...] = from_file(
        turns(
            'quarter turns of the blocks, clockwise, over and over: `[["0", "90"], ["270", "180"]]`; no '
            "other half turns then"
        ),
        default=(),
    )
    floats: Measure | None = from_file(
        length("how far the points of blocks on point float inside the quilt's edge, finished; without it, they touch"),
        default=None,
    )

    def blocks_in_order(self) -> Iterator[str]:
        """Block keys place by place, in reading order."""
        for row in self.places:
            yield from row

    def turns_in_order(self) -> Iterator[int]:
        """How far each block is to be turned, clockwise in degrees, place by place; 0 where nothing is said."""
        for row, keys in enumerate(self.places):
            pattern = self.turns[row % len(self.turns)] if self.turns else (0,)
            yield from (pattern[column % len(pattern)] for column in range(len(keys)))


@dataclass(frozen=True)
class Buying:
    """What is bought beyond what is cut: a share for shrinkage and mistakes (1/20 is 5 %)."""

    allowance: Fraction = from_file(share("more cloth for shrinkage and mistakes (5 %)"))


@dataclass(frozen=True)
class Plan:
    """A whole plan. `ruler` is the mark that trimmed pieces are rounded up to; `allowance` a share (1/20 is 5 %);
    `press_rows` names the order in which the habits of pressing count (see `pressing.meetings`),
    `reckoning` the rules that it is compiled by."""

    title: str = from_file(text("what the quilt is called", "Lighthouse lap quilt"))
    unit: str = from_file(unit("`in` or `cm`"))
    seam: Measure = from_file(length("the seam allowance (1/4 in, 0.75 cm)", lambda usual: usual.seam))
    trimming: str = from_file(choice("`roomy`: cut a little large and trimmed true; or `exact`", "roomy", "exact"))
    ruler: Measure = from_file(mark("the mark that trimmed pieces are rounded up to (1/8 in, 0.1 cm)", **RULERS))
    half_square: str = from_file(
        choice("half-square triangles: `two`, `four` or `eight` at a time, or `best`", *HALF_SQUARE)
    )
    geese: str = from_file(choice("flying geese: by `flip`, `four` at a time, or `best`", "flip", "four", "best"))
    fabrics: dict[str, Fabric] = from_file(together("the cloths, each by its letter", "fabrics"))
    blocks: dict[str, Block] = from_file(together("the kinds of block", "blocks"))
    quilt: Quilt = from_file(together("where the blocks go, and what goes round them", "quilt"))
    allowance: Fraction = from_file(together("what is bought", "buying"), default=Fraction(1, 20))
    press_rows: str = from_file(
        choice(
            "seams of rows: `best`, or first `one way`, `flat` or toward the `dark`", "best", "one way", "flat", "dark"
        ),
        default="best",
    )
    split_square: str = from_file(
        choice(
            "a split quarter-square's whole square: `fitted` to the pressed one, or `alike`, of one strip width",
            "fitted",
            "alike",
        ),
        default="fitted",
    )
    quarter_square: str = from_file(
        choice(
            "quarter-square triangles, split ones too: `two` at a time, or of loose `triangles`, as drawn",
            "two",
            "triangles",
        ),
        default="two",
    )
    bonus: bool = from_file(
        flag("`true`: flipped corners are sewn once more before they are cut off: each gives a small half-square"),
        default=False,
    )
    reckoning: int = from_file(
        whole(
            "by which rules units are made, where a quilt goes on as begun (3 to 5); without it, by today's (6)",
            KEPT_FROM,
            RECKONING,
            "3, 4, 5 or 6",
            usual=RECKONING,
        ),
        default=RECKONING,
    )

    @property
    def settings(self) -> Hashable:
        """Everything that the making of a unit may hang on, whatever the blocks show and wherever they lie."""
        apart = ("title", "fabrics", "blocks", "quilt")
        own = tuple(getattr(self, each.name) for each in fields(self) if each.name not in apart)
        return own, tuple(self.fabrics.values())

    @property
    def upright(self) -> frozenset[str]:
        """The cloths whose print has to stand upright."""
        return frozenset(key for key, fabric in self.fabrics.items() if fabric.upright)

    def count_of(self, block: str) -> int:
        """How many blocks of this kind the quilt needs."""
        return sum(key == block for key in self.quilt.blocks_in_order())

    def frame_of(self, block: str) -> str | None:
        """The cloth of a block's last frame, which lies along all its edges; None where it has no frame."""
        frames = self.blocks[block].frames
        return frames[-1].fabric if frames else None

    def darker(self, first: str, second: str) -> str:
        """The darker of two fabric keys; of equal tone the one first in the alphabet."""
        return min((first, second), key=lambda key: (-self.fabrics[key].tone, key))
