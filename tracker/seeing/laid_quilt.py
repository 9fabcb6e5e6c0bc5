"""What a quilt's layout should show, cell by cell: its blocks in their places, set straight or on point."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.exact.geometry import XY, ZERO
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Block, Plan
from tracker.quilt.setting import HalfBlocks, block_side, cut_triangles
from tracker.seeing.laid_pieces import CellGrid, added_up, grid_of
from tracker.seeing.layout_check import LaidPiece, Shown
from tracker.seeing.samples import turned
from tracker.work.steps import Size


class NotCheckable(Exception):
    """A photo of this layout cannot be checked; `words` say why, and what to do."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


Places = Sequence[Sequence[tuple[str, int]]]
"""Rows of places: which block, how far it is turned clockwise."""


def laid_blocks_of(
    plan: Plan, places: Places, sashed: bool, first: int = 1, last: int = 0, bare: bool = False
) -> tuple[tuple[LaidPiece, ...], CellGrid]:
    """The blocks of rows of places, the first to the last of them (0: all), as they should show, and the grid of all
    cells, frames and sashes among them. `sashed`: the sashes lie between the blocks; `bare`: on point, no triangles lie
    round them yet.

    Raises NotCheckable where the blocks' cells do not stand in line.
    """
    last = last or len(places)
    rows = places[first - 1 : last]
    like, sash = _alike(plan, rows), plan.quilt.sash
    gap = sash.cut - 2 * plan.seam if sashed and sash is not None else ZERO
    frame = (like.finished(plan.seam)[0] - like.inner_finished[0]) / 2
    on_point = plan.quilt.setting == "on point"
    halves = [HalfBlocks(0, 2 * column + y % 2, y) for y in range(first - 1, last) for column in range(len(places[y]))]
    spots = [(half.row, half.along) for half in halves]
    if not on_point:
        spots = [(row, column) for row, line in enumerate(rows) for column in range(len(line))]
    top, left = min(row for row, _ in spots), min(column for _, column in spots)
    across, starts_across = _spaced(like.columns, 1 + max(column for _, column in spots) - left, frame, gap)
    down, starts_down = _spaced(like.rows, 1 + max(row for row, _ in spots) - top, frame, gap)
    pieces = []
    for (row, column), (key, turn) in zip(spots, (place for line in rows for place in line), strict=True):
        shown = _grid_like(plan.blocks[key], like)
        for _ in range(turn // 90):
            shown = turned(shown)
        pieces.append(LaidPiece(starts_down[row - top], starts_across[column - left], shown))
    if not on_point:
        return tuple(pieces), CellGrid(across, down)
    edges = (not bare and first == 1, not bare and last == len(places), not bare)
    seen = halves if bare else [*halves, HalfBlocks(0, 0, first - 1), HalfBlocks(0, 2 * len(places[0]) - 2, first - 1)]
    return tuple(pieces), CellGrid(across, down, _slanted(plan, gap, seen, (left, top), edges))


def _alike(plan: Plan, rows: Places) -> Block:
    """The block whose cells all blocks of these rows have, or are as large as."""
    kinds = [plan.blocks[key] for key in dict.fromkeys(key for row in rows for key, _ in row)]
    like = max(kinds, key=lambda block: len(block.cells))
    for block in kinds:
        alike = (block.columns, block.rows) == (like.columns, like.rows)
        if not alike and not (
            len(block.cells) == 1 and block.cells[0].is_plain and block.finished(plan.seam) == like.finished(plan.seam)
        ):
            raise NotCheckable(
                "Blocks of unlike cells cannot be checked by one photo: check each block where it is laid out."
            )
    if len(set(like.columns) | set(like.rows)) > 1 and any(turn % 180 for row in rows for _, turn in row):
        raise NotCheckable(
            "Turned blocks of unlike cells cannot be checked by one photo: check each where it is laid out."
        )
    return like


def _slanted(
    plan: Plan, gap: Measure, halves: Sequence[HalfBlocks], origin: tuple[int, int], edges: tuple[bool, bool, bool]
) -> tuple[XY, Size]:
    """Where the cells of blocks on point begin, at `origin` along and down the diagonal rows, in the box that is
    marked, and its size. It touches the outermost points of these blocks; above, below, and at both sides it is that of
    the triangles where these `edges` lie there."""
    side = block_side(plan)
    pitch = side + gap
    left, right = (pick(half.x for half in halves) * pitch for pick in (min, max))
    top, bottom = (pick(half.y for half in halves) * pitch for pick in (min, max))
    beyond = (cut_triangles(plan)[0] - ROOT2 * (side + 2 * plan.seam)) / 2
    above, under, beside = (beyond if edge else ZERO for edge in edges)
    size = (right - left + 2 * side) / ROOT2 + 2 * beside, (bottom - top + 2 * side) / ROOT2 + above + under
    along, down = (number * pitch for number in origin)
    return ((along - down - left + side) / ROOT2 + beside, (along + down - top) / ROOT2 + above), size


def _grid_like(block: Block, like: Block) -> Shown:
    """What a block shows, in the cells of another where it is one plain patch."""
    if len(block.cells) == 1:
        return tuple(tuple(block.cells[0].quarters for _ in like.columns) for _ in like.rows)
    return grid_of(block)


def _spaced(sizes: Sequence[Measure], times: int, frame: Measure, gap: Measure) -> tuple[list[Measure], list[int]]:
    """The lines of so many blocks side by side, and the first cell of each."""
    lengths: list[Measure] = []
    starts = []
    for number in range(times):
        between = frame if number == 0 else frame * 2 + gap
        lengths += [between] if between else []
        starts.append(len(lengths))
        lengths += sizes
    return added_up([*lengths, *([frame] if frame else [])]), starts
