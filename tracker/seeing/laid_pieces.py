"""What a layout should show, cell by cell: a block's pieces as a step lays them out, or a quilt's blocks."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.exact.measure import Measure
from tracker.plan.model import Block, Plan, Quarters
from tracker.seeing.layout_check import LaidPiece, Shown
from tracker.seeing.samples import turned
from tracker.work.steps import Checklist, LayOut, Step

_MIDDLES = ((0, -2), (2, 0), (0, 2), (-2, 0))
"""Where a quarter's middle lies from that of its cell, across and down, in sixths of its side."""


Lines = tuple[list[Measure], list[Measure]]
"""Where the lines between the cells of a layout lie, across and down, from 0: finished."""


class NotCheckable(Exception):
    """A photo of this layout cannot be checked; `words` say why, and what to do."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


def grid_of(block: Block) -> Shown:
    """What every place of a block's picture shows, patches over several places cut up."""
    grid: dict[tuple[int, int], Quarters] = {}
    for cell in block.cells:
        for down in range(cell.down):
            for across in range(cell.across):
                found = [_shown(cell.quarters, cell.down, cell.across, down, across, each) for each in range(4)]
                grid[cell.row + down, cell.column + across] = found[0], found[1], found[2], found[3]
    return tuple(tuple(grid[row, column] for column in range(len(block.columns))) for row in range(len(block.rows)))


def _shown(quarters: Quarters, high: int, wide: int, down: int, across: int, number: int) -> str:
    """The cloth in the middle of a place's quarter, in a patch of so many places."""
    right, below = _MIDDLES[number]
    x = (6 * across + 3 + right) * high * 2 - 6 * wide * high
    y = (6 * down + 3 + below) * wide * 2 - 6 * wide * high
    if abs(y) >= abs(x):
        return quarters[0 if y < 0 else 2]
    return quarters[1 if x > 0 else 3]


def laid_pieces(plan: Plan, checklist: Checklist, step: Step) -> tuple[LaidPiece, ...]:
    """The pieces that a step of laying out lays, in its order. ValueError for any other step."""
    if not isinstance(step.action, LayOut) or step.per not in plan.blocks:
        raise ValueError(f"{step.id} lays out no block")
    block = plan.blocks[step.per]
    grid = grid_of(block)
    found = []
    for place in step.action.places:
        size = checklist.piles[place.pile].size
        assert size is not None, place.pile
        width, height = (size[0] - 2 * plan.seam, size[1] - 2 * plan.seam)
        if place.turn % 180:
            width, height = height, width
        across = _places(block.columns, place.column, width)
        down = _places(block.rows, place.row, height)
        shown = tuple(row[place.column : place.column + across] for row in grid[place.row : place.row + down])
        found.append(LaidPiece(place.row, place.column, shown))
    return tuple(found)


def _places(sizes: Sequence[Measure], first: int, whole: Measure) -> int:
    """How many places from the first one a finished length fills."""
    reached, number = sizes[first], 1
    while reached < whole:
        reached, number = reached + sizes[first + number], number + 1
    return number


def lines_of(block: Block) -> Lines:
    """The lines between the cells of a block, without its frames."""
    return _added_up(block.columns), _added_up(block.rows)


def laid_blocks_of(
    plan: Plan, places: Sequence[Sequence[tuple[str, int]]], sashed: bool
) -> tuple[tuple[LaidPiece, ...], Lines]:
    """The blocks of rows of places (which block, how far it is turned clockwise) as they should show, and the lines
    between all cells, frames and sashes among them. `sashed`: the sashes lie between the blocks.

    Raises NotCheckable where the blocks' cells do not stand in line.
    """
    if plan.quilt.setting == "on point":
        raise NotCheckable("A quilt on point cannot be checked by one photo: check each block where it is laid out.")
    kinds = [plan.blocks[key] for key in dict.fromkeys(key for row in places for key, _ in row)]
    like = max(kinds, key=lambda block: len(block.cells))
    for block in kinds:
        alike = (block.columns, block.rows) == (like.columns, like.rows)
        if not alike and not (
            len(block.cells) == 1 and block.cells[0].is_plain and block.finished(plan.seam) == like.finished(plan.seam)
        ):
            raise NotCheckable(
                "Blocks of unlike cells cannot be checked by one photo: check each block where it is laid out."
            )
    if len(set(like.columns) | set(like.rows)) > 1 and any(turn % 180 for row in places for _, turn in row):
        raise NotCheckable(
            "Turned blocks of unlike cells cannot be checked by one photo: check each where it is laid out."
        )
    sash = plan.quilt.sash
    gap = sash.cut - 2 * plan.seam if sashed and sash is not None else Measure()
    frame = (like.finished(plan.seam)[0] - like.inner_finished[0]) / 2
    across, starts_across = _spaced(like.columns, len(places[0]), frame, gap)
    down, starts_down = _spaced(like.rows, len(places), frame, gap)
    pieces = []
    for row, line in enumerate(places):
        for column, (key, turn) in enumerate(line):
            shown = _grid_like(plan.blocks[key], like)
            for _ in range(turn // 90):
                shown = turned(shown)
            pieces.append(LaidPiece(starts_down[row], starts_across[column], shown))
    return tuple(pieces), (across, down)


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
    return _added_up([*lengths, *([frame] if frame else [])]), starts


def _added_up(sizes: Sequence[Measure]) -> list[Measure]:
    lines = [Measure()]
    for size in sizes:
        lines.append(lines[-1] + size)
    return lines
