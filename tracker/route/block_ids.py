"""What the piles and steps of a block are known by: what is made, in which versions, with which frames; and which
cloths are left of it once it is squared."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

from tracker.exact.geometry import ZERO, intersection, rectangle
from tracker.exact.measure import Measure
from tracker.plan.model import Block
from tracker.units.joins import Leaf, Node
from tracker.units.maker import digest
from tracker.work.things import Kind, Stage, Thing


def content(node: Node) -> str:
    """What a node is, in a text that changes exactly when what is sewn changes."""
    if isinstance(node, Leaf):
        return f"{node.placed.unit.name}~{node.placed.turn}"
    return f"{node.direction}{node.level}({';'.join(content(part) for part in node.parts)})"


def name_of_finished(block: Block, root: Node, pile: str) -> str:
    """What the pile of a finished block is known by where it is laid in the quilt. That of a block of one piece stays
    what it was as long as those were squared too."""
    one_piece = isinstance(root, Leaf) and not block.frames
    return f"{Stage.SQUARED.value}:{block.key}:{digest(content(root))}" if one_piece else pile


@dataclass(frozen=True)
class AlikePieces:
    """The versions that a piece or step serves, those pressed alike so far: what is added to its id, and, where it does
    not serve all, their letters and blocks."""

    mark: str
    letters: str | None
    blocks: tuple[int, ...] | None


@dataclass(frozen=True)
class FramesOn:
    """The frames of a block so far: how many, of the last one the strips on it (nothing: both pairs), and what that
    adds to what is made."""

    number: int = 0
    side: str = ""
    made: str = ""

    @property
    def thing(self) -> Thing:
        return Thing(Kind.BLOCK, self.number, self.side)


def stage_id(stage: Stage, made: str, alike: AlikePieces, frames: FramesOn | None) -> str:
    """An id of a pile or step: how far, with which frames, what is made, for which versions."""
    mark = stage.value
    if frames is not None and frames.side:
        mark = f"frame {frames.number}, {frames.side} {mark}"
    elif frames is not None and frames.number:
        mark += " with its frame"
    return f"{mark}:{made}{alike.mark}"


def cloths_left(block: Block, seam: Measure) -> frozenset[str]:
    """The cloths of its picture of which something shows once a block is squared: what lies in its seam allowance
    alone is gone from sight with the first seam over it."""
    (width, height), whole = block.inner_squared(seam), block.inner_finished
    left, top = (whole[0] - width) / 2, (whole[1] - height) / 2
    kept = rectangle(left, top, whole[0] - left, whole[1] - top)
    columns, rows = ([ZERO, *accumulate(lines)] for lines in (block.columns, block.rows))
    found: set[str] = set()
    for cell in block.cells:
        right, lower = columns[cell.column + cell.across], rows[cell.row + cell.down]
        corners = rectangle(columns[cell.column], rows[cell.row], right, lower)
        middle = (corners[0][0] + right) / 2, (corners[0][1] + lower) / 2
        for number, cloth in enumerate(cell.quarters):
            quarter = corners[number], corners[(number + 1) % 4], middle
            if cloth not in found and intersection(quarter, kept) is not None:
                found.add(cloth)
    return frozenset(found)
