"""What hands do with whole blocks, as plain frozen data: set them in rows, join rows to a top, add to it, bind it.

Pieces lie as in `work`. On point the blocks' own rows run level, as they are sewn; the top is turned when it is
squared.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.geometry import ZERO
from tracker.exact.measure import Measure


@dataclass(frozen=True)
class Nest:
    """A place where seams of two pieces to be joined meet: `along` from the left (or top) cut edge; do they nest?

    `seams` counts them among the seams that run out at each piece's edge, from 1 at the left (or top). `one_cloth`: all
    that meets there is one cloth, so that nobody minds how.
    """

    along: Measure
    nests: bool
    seams: tuple[int, int] = (0, 0)
    one_cloth: bool = False


@dataclass(frozen=True)
class MeasureBlock:
    """Measure a pressed block both ways, near the edges and through the middle: it should be `size`. Nothing is cut."""

    size: tuple[Measure, Measure]


@dataclass(frozen=True)
class SetBlock:
    """Lay a finished block in its row (from 1) of the quilt, turned by `turn` (0 or 180)."""

    row: int
    turn: int


@dataclass(frozen=True)
class Member:
    """A piece that is joined to others: taken from `pile`, turned by `turn`.

    Its edge begins `along` after the edge of what is joined so far: lower in a row, more to the right where rows are
    joined (less than 0: before it).
    """

    pile: str
    turn: int = 0
    along: Measure = ZERO


@dataclass(frozen=True)
class JoinParts:
    """Sew pieces to each other in order, "across" or "down", each pressed before.

    `nests` says for each seam what meets there.
    `level`: all are equally long and lie with their edges level. Else points of triangles may stand out.
    """

    members: tuple[Member, ...]
    direction: str
    nests: tuple[tuple[Nest, ...], ...]
    level: bool = True


@dataclass(frozen=True)
class JoinUnits(JoinParts):
    """The same with finished units, that become one strip of a pieced border."""


@dataclass(frozen=True)
class AddBorder:
    """Sew strips to all four edges of `base`, two of the pile `sides`, two of `ends`: from seam allowance to seam
    allowance, each end of a strip standing out `beyond` the base's edge, to be mitred."""

    base: str
    sides: str
    ends: str
    beyond: Measure


@dataclass(frozen=True)
class MitreCorners:
    """Sew the strips of a border of finished `width` to each other at the four corners, along the diagonal from the
    end of the border's seam to the outer corner, and cut off what stands out beyond a seam allowance."""

    width: Measure


@dataclass(frozen=True)
class ClipEars:
    """Cut a row level: keep `height` of it from `top` down. Its ends stay as they are."""

    top: Measure
    height: Measure


@dataclass(frozen=True)
class JoinEnds:
    """Sew strips of one cloth and cut `width` to one long strip, end to end, joined on the diagonal."""

    width: Measure


@dataclass(frozen=True)
class Length:
    """`count` strips of one `length`, put on `pile`."""

    pile: str
    length: Measure
    count: int


@dataclass(frozen=True)
class CutLengths:
    """Cut one long strip into shorter ones."""

    lengths: tuple[Length, ...]


@dataclass(frozen=True)
class Layer:
    """Lay the backing face down, the batting on it and the `top` on both, face up.

    `backing` is its pile, `batting` the size to cut it; None where there is none. Both reach `beyond` on every side.
    """

    top: str
    backing: str | None
    batting: tuple[Measure, Measure] | None
    beyond: Measure


@dataclass(frozen=True)
class QuiltLayers:
    """Stitch the layers together, in whatever pattern."""


@dataclass(frozen=True)
class Bind:
    """Sew a folded strip of the pile `binding` round the edge of the piece `quilt`."""

    quilt: str
    binding: str


Assembly = (
    MeasureBlock
    | SetBlock
    | JoinParts
    | JoinUnits
    | AddBorder
    | MitreCorners
    | ClipEars
    | JoinEnds
    | CutLengths
    | Layer
    | QuiltLayers
    | Bind
)
