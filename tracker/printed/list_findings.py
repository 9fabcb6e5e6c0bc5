"""What comparing a printed list finds: the pieces that are listed and needed, and each difference between them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tracker.exact.measure import Measure
from tracker.printed.list_table import ListRow
from tracker.work.steps import CutPiece, Size

FINISHED, TRIMMED, FRACTION, COUNT_DIGIT = "finished for cut", "trimmed for cut", "lost digit", "digit of the count"
ONE_FOR_TWO, ONE_BLOCK, OTHER_ROW, CLOTHS = "one set for two", "one block's", "another row's count", "another cloth"
EXACT, LESS_ROOM, OTHERS_SIZE = "exact size", "less room to trim", "the others' size"
OTHER_SCHOOL, LESS_ROUNDED = "frames cut longer", "not rounded up"
SIDE = "side for width"
FLOATING, TOUCHING = "points float", "points touch"

_NOTHING = Measure()

WORST_FIRST = ("wrong size", "wrong cloth", "missing", "too few", "not needed", "too many")
"""What is cut in a wrong size is lost; what is missing can still be cut."""


@dataclass(frozen=True)
class ListFinding:
    """One difference. `kind` is one of WORST_FIRST; `listed` and `needed` are (count, size), None where there is none;
    `slip` names the likely slip of the pen behind it; `lines` are those of the list that it is about. `fabric` is the
    cloth that is needed; of a wrong cloth `instead` is the one listed. `more_cloth`: how much more of its length the
    listed pieces take than the needed ones, cut in strips of their own. `diamonds`: they are, either
    side their width."""

    kind: str
    fabric: str
    listed: tuple[int, Size] | None
    needed: tuple[int, Size] | None
    use: str
    matters: bool
    slip: str | None = None
    lines: tuple[int, ...] = ()
    instead: str | None = None
    more_cloth: Measure = _NOTHING
    diamonds: bool = False

    @property
    def line(self) -> int | None:
        """The first of its lines."""
        return self.lines[0] if self.lines else None


@dataclass
class ListedPieces:
    """Pieces of one cloth and size in a list: how many, and the lines they stand in."""

    fabric: str
    size: Size
    across: bool = False
    count: int = 0
    lines: list[int] = field(default_factory=list)


@dataclass
class NeededPieces:
    """Pieces of one cloth and size that the plan needs. `exact` is the size that would just do for a piece that is cut
    larger to be trimmed, `least` the same where no ruler's mark rounds it up."""

    fabric: str
    size: Size
    count: int
    uses: tuple[str, ...]
    exact: Size | None = None
    least: Size | None = None


def worst_first(findings: Iterable[ListFinding]) -> list[ListFinding]:
    """What matters before what does not, and the worst kinds first; else in the order of the list."""
    return sorted(findings, key=lambda finding: (not finding.matters, WORST_FIRST.index(finding.kind)))


def needed_pieces(pieces: Iterable[CutPiece]) -> list[NeededPieces]:
    """Pieces by cloth and size, whatever they are for."""
    found: dict[tuple[str, Size], NeededPieces] = {}
    for piece in pieces:
        size = piece.width, piece.height
        entry = found.setdefault((piece.fabric, size), NeededPieces(piece.fabric, size, 0, ()))
        entry.count += piece.count
        entry.uses = tuple(dict.fromkeys((*entry.uses, piece.use)))
    return list(found.values())


def listed_pieces(rows: Sequence[ListRow]) -> list[ListedPieces]:
    """The list's pieces by cloth and size; strips said to be as long as their cloth is wide apart."""
    found: dict[tuple[str, Size, bool], ListedPieces] = {}
    for row in rows:
        size = row.width, row.height
        entry = found.setdefault((row.fabric, size, row.across), ListedPieces(row.fabric, size, row.across))
        entry.count += row.count
        entry.lines.append(row.line)
    return list(found.values())
