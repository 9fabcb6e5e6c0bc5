"""The plan as plain frozen data: what a quilter wants made, before anything is decided about how.

All lengths are exact `Measure`s in the plan's unit (`unit`, "in" or "cm").
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from tracker.measure import Measure

Quarters = tuple[str, str, str, str]
"""Fabric keys of a cell's four quarters, clockwise: top, right, bottom, left. A plain cell has one key four times."""


@dataclass(frozen=True)
class Fabric:
    """A cloth. `tone` runs from 1 (lightest) to 9 (darkest); `have` is a length in the cupboard, `usable` a width."""

    key: str
    name: str
    tone: int
    colour: str
    usable: Measure
    have: Measure | None = None
    directional: bool = False
    fat_quarters: int = 0


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


@dataclass(frozen=True)
class Frame:
    """Strips sewn round a block; `cut` is the strip's cut width."""

    fabric: str
    cut: Measure


@dataclass(frozen=True)
class Block:
    """A kind of block: finished widths of its columns, finished heights of its rows, and its cells in reading order."""

    key: str
    name: str
    columns: tuple[Measure, ...]
    rows: tuple[Measure, ...]
    cells: tuple[Cell, ...]
    frames: tuple[Frame, ...] = ()
    combine: bool = False
    strips: bool = False

    def cell_size(self, cell: Cell) -> tuple[Measure, Measure]:
        """Finished (width, height) of a cell."""
        columns = self.columns[cell.column : cell.column + cell.across]
        rows = self.rows[cell.row : cell.row + cell.down]
        return sum(columns, Measure()), sum(rows, Measure())

    @property
    def inner_finished(self) -> tuple[Measure, Measure]:
        """Finished (width, height) of the picture, before frames."""
        return sum(self.columns, Measure()), sum(self.rows, Measure())

    def finished(self, seam: Measure) -> tuple[Measure, Measure]:
        """Finished (width, height) with all frames on."""
        width, height = self.inner_finished
        for frame in self.frames:
            width, height = width + 2 * (frame.cut - 2 * seam), height + 2 * (frame.cut - 2 * seam)
        return width, height


@dataclass(frozen=True)
class Sash:
    """Strips between blocks: `cut` is their cut width, `cornerstone` the fabric of the squares where they cross."""

    fabric: str
    cut: Measure
    cornerstone: str | None = None


@dataclass(frozen=True)
class Border:
    """One border; `corners` is None for straight ends or the fabric of its cornerstones."""

    fabric: str
    cut: Measure
    corners: str | None = None
    lengthwise: bool = False


@dataclass(frozen=True)
class Binding:
    """The binding round the quilt: `cut` is the cut width of its strips."""

    fabric: str
    cut: Measure


@dataclass(frozen=True)
class Backing:
    """The back of the quilt, `beyond` the top on every side."""

    fabric: str
    beyond: Measure


@dataclass(frozen=True)
class Quilt:
    """Where the blocks go. `places` is a row of block keys for each row of the quilt; on point the rows that lie
    between are one shorter and follow the row above them."""

    places: tuple[tuple[str, ...], ...]
    setting: str = "straight"
    setting_fabric: str | None = None
    half_turns: bool = True
    sash: Sash | None = None
    borders: tuple[Border, ...] = ()
    binding: Binding | None = None
    backing: Backing | None = None
    batting_beyond: Measure | None = None

    def blocks_in_order(self) -> Iterator[str]:
        """Block keys place by place, in reading order."""
        for row in self.places:
            yield from row


@dataclass(frozen=True)
class Plan:
    """A whole plan. `ruler` is the mark that trimmed pieces are rounded up to; `allowance` a share (1/20 is 5 %)."""

    title: str
    unit: str
    seam: Measure
    trimming: str
    ruler: Measure
    half_square: str
    geese: str
    fabrics: dict[str, Fabric]
    blocks: dict[str, Block]
    quilt: Quilt
    allowance: Fraction = Fraction(1, 20)

    def count_of(self, block: str) -> int:
        """How many blocks of this kind the quilt needs."""
        return sum(key == block for key in self.quilt.blocks_in_order())

    def darker(self, first: str, second: str) -> str:
        """The darker of two fabric keys; of equal tone the one first in the alphabet."""
        return min((first, second), key=lambda key: (-self.fabrics[key].tone, key))
