"""Pictures of blocks, quilts and piles: how things look, rather than what to do with them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import floor

from tracker.drawing.canvas import INK, Sheet, View, largest_scale
from tracker.cloth import Facet, Group, Piece, Stack, flip, settled_piece, shift
from tracker.geometry import ONE, XY, ZERO, Polygon, rectangle
from tracker.measure import ROOT2, Measure
from tracker.plan import Block, Cell, Plan, Quilt
from tracker.sewing import Trace
from tracker.work import Checklist

SMALL = 400
"""Width of a pile's picture."""
_LETTERED = 34
"""The least height of letters in a quilt's picture."""


# Blocks


def block_facets(block: Block, seam: Measure) -> tuple[Facet, ...]:
    """The finished areas of a block, frames and all, its upper left corner at (0, 0)."""
    return tuple(_framed(block, seam))


def _framed(block: Block, seam: Measure) -> Iterator[Facet]:
    width, height = block.inner_finished
    total_width, _ = block.finished(seam)
    edge = (total_width - width) / 2
    for cell in block.cells:
        yield from _cell_facets(block, cell, edge)
    left, top, right, bottom = edge, edge, edge + width, edge + height
    for frame in block.frames:
        shown = frame.cut - 2 * seam
        yield Facet(rectangle(left, top - shown, right, top), frame.fabric)
        yield Facet(rectangle(left, bottom, right, bottom + shown), frame.fabric)
        top, bottom = top - shown, bottom + shown
        yield Facet(rectangle(left - shown, top, left, bottom), frame.fabric)
        yield Facet(rectangle(right, top, right + shown, bottom), frame.fabric)
        left, right = left - shown, right + shown


def _cell_facets(block: Block, cell: Cell, edge: Measure) -> Iterator[Facet]:
    x = edge + sum(block.columns[: cell.column], ZERO)
    y = edge + sum(block.rows[: cell.row], ZERO)
    width, height = block.cell_size(cell)
    for polygon, fabric in _quartered(cell):
        yield Facet(tuple((x + width * across, y + height * down) for across, down in polygon), fabric)


_UPPER_LEFT, _UPPER_RIGHT = (ZERO, ZERO), (ONE, ZERO)
_LOWER_RIGHT, _LOWER_LEFT = (ONE, ONE), (ZERO, ONE)
_MIDDLE = (Measure(Fraction(1, 2)), Measure(Fraction(1, 2)))


def _quartered(cell: Cell) -> Iterator[tuple[Polygon, str]]:
    """The areas of one cell of side 1: quarters alike that lie side by side are one area."""
    top, right, bottom, left = cell.quarters
    corners = (_UPPER_LEFT, _UPPER_RIGHT, _LOWER_RIGHT, _LOWER_LEFT)
    if cell.is_plain:
        yield corners, top
        return
    taken = set()
    for i in range(4):
        following = (i + 1) % 4
        if cell.quarters[i] == cell.quarters[following] and not {i, following} & taken:
            yield (corners[i], corners[(i + 1) % 4], corners[(i + 2) % 4]), cell.quarters[i]
            taken |= {i, following}
    for i in range(4):
        if i not in taken:
            yield (corners[i], corners[(i + 1) % 4], _MIDDLE), cell.quarters[i]


def block_drawing(plan: Plan, block: Block) -> str:
    """The picture of a finished block with its frames, each cloth lettered."""
    size = block.finished(plan.seam)
    sheet = Sheet(plan)
    view = View(sheet, largest_scale((960, 1400), size), 20, 20)
    facets = block_facets(block, plan.seam)
    view.areas(facets, "front")
    _seams(view, facets)
    view.letters(facets)
    return sheet.finish(40 + view.whole(size[1]), f"{block.name}, a block of {_cloths(plan, facets)}.")


def _seams(view: View, facets: tuple[Facet, ...], width: int = 5) -> None:
    shape = "".join("M" + "L".join(f"{x} {y}" for x, y in view.spots(facet.polygon)) + "Z" for facet in facets)
    view.sheet.path(shape, "seam", INK, width)


def _cloths(plan: Plan, facets: tuple[Facet, ...]) -> str:
    names = [plan.fabrics[key].name for key in dict.fromkeys(facet.fabric for facet in facets)]
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


# Quilts


def quilt_drawing(plan: Plan) -> str:
    """All blocks of the quilt in their places, with frames, sashes, setting triangles and borders."""
    layout = _on_point(plan) if plan.quilt.setting == "on point" else _straight(plan)
    size, places, around = layout
    size, around = _bordered(plan, size, around)
    edge = -around_left(around)
    sheet = Sheet(plan)
    scale = largest_scale((960, 1600), size)
    view = View(sheet, scale, 20 + floor(edge * scale), 20 + floor(edge * scale))
    view.areas(around, "front")
    _seams(view, around, 3)
    _letters_that_fit(view, around)
    names = {}
    for key in dict.fromkeys(plan.quilt.blocks_in_order()):
        names[key] = _block_once(view, plan.blocks[key], plan, key)
    for key, corner, turn in places:
        x, y = view.spot(corner)
        rotated = f" rotate({turn})" if turn else ""
        sheet.add(f'<use class="block" href="#{names[key]}" transform="translate({x} {y}){rotated}"/>')
    title = f"{plan.title}: {len(places)} blocks in their places."
    return sheet.finish(40 + view.whole(size[1]), title)


Layout = tuple[tuple[Measure, Measure], list[tuple[str, XY, int]], tuple[Facet, ...]]
"""The size without borders, each block with its upper left corner and its turn, and the cloth round the blocks."""


def around_left(around: tuple[Facet, ...]) -> Measure:
    """How far the cloth round the blocks reaches to the left of (0, 0); never above 0."""
    return min((x for facet in around for x, _ in facet.polygon), default=ZERO)


def _block_once(view: View, block: Block, plan: Plan, key: str) -> str:
    """Draw one kind of block into the definitions; where cells are large enough, with letters."""
    once = Sheet(plan)
    small = View(once, view.scale, 0, 0)
    facets = block_facets(block, plan.seam)
    small.areas(facets, "front")
    _seams(small, facets, 3)
    _letters_that_fit(small, facets)
    return view.sheet.define(f"block-{key}", f'<g id="{{id}}">{once.body}</g>')


def _letters_that_fit(view: View, facets: tuple[Facet, ...]) -> None:
    view.letters(
        [facet for facet in facets if view.sheet.letter_size(facet.fabric, view.spots(facet.polygon)) >= _LETTERED]
    )


def _straight(plan: Plan) -> Layout:
    quilt, seam = plan.quilt, plan.seam
    sash = ZERO if quilt.sash is None else quilt.sash.cut - 2 * seam
    widths = [plan.blocks[key].finished(seam)[0] for key in quilt.places[0]]
    heights = [plan.blocks[row[0]].finished(seam)[1] for row in quilt.places]
    lefts = [sum(widths[:i], ZERO) + sash * i for i in range(len(widths))]
    tops = [sum(heights[:i], ZERO) + sash * i for i in range(len(heights))]
    places = [
        (key, (lefts[column], tops[row]), 0) for row, keys in enumerate(quilt.places) for column, key in enumerate(keys)
    ]
    size = lefts[-1] + widths[-1], tops[-1] + heights[-1]
    return size, places, tuple(_sashes(quilt, sash, lefts, tops, widths, heights, size))


def _sashes(
    quilt: Quilt,
    sash: Measure,
    lefts: list[Measure],
    tops: list[Measure],
    widths: list[Measure],
    heights: list[Measure],
    size: tuple[Measure, Measure],
) -> Iterator[Facet]:
    """Short sashes within each row; below it one long sash, or short ones with cornerstones between."""
    if quilt.sash is None:
        return
    fabric, corner = quilt.sash.fabric, quilt.sash.cornerstone
    for top, height in zip(tops, heights, strict=True):
        for left in lefts[1:]:
            yield Facet(rectangle(left - sash, top, left, top + height), fabric)
    for top in tops[1:]:
        if corner is None:
            yield Facet(rectangle(ZERO, top - sash, size[0], top), fabric)
            continue
        for left, width in zip(lefts, widths, strict=True):
            yield Facet(rectangle(left, top - sash, left + width, top), fabric)
            if left:
                yield Facet(rectangle(left - sash, top - sash, left, top), corner)


def _on_point(plan: Plan) -> Layout:
    """Blocks on their points, the setting triangles' cloth behind them."""
    quilt = plan.quilt
    side = plan.blocks[quilt.places[0][0]].finished(plan.seam)[0]
    across = side * ROOT2
    size = across * len(quilt.places[0]), across * ((len(quilt.places) + 1) // 2)
    places: list[tuple[str, XY, int]] = []
    for row, keys in enumerate(quilt.places):
        for column, key in enumerate(keys):
            # A block turned by 45 degrees hangs from its upper corner.
            x = across * column + across / 2 * (1 + row % 2)
            places.append((key, (x, across / 2 * row), 45))
    ground = Facet(rectangle(ZERO, ZERO, *size), quilt.setting_fabric or next(iter(plan.fabrics)))
    return size, places, (ground,)


def _bordered(
    plan: Plan, size: tuple[Measure, Measure], around: tuple[Facet, ...]
) -> tuple[tuple[Measure, Measure], tuple[Facet, ...]]:
    """Borders, inner first: sides, then top and bottom, with cornerstones where the plan has them."""
    left, top, right, bottom = ZERO, ZERO, *size
    facets = list(around)
    for border in plan.quilt.borders:
        wide = border.cut - 2 * plan.seam
        for x in (left - wide, right):
            facets.append(Facet(rectangle(x, top, x + wide, bottom), border.fabric))
            if border.corners is not None:
                facets += (Facet(rectangle(x, y, x + wide, y + wide), border.corners) for y in (top - wide, bottom))
        ends = (left, right) if border.corners is not None else (left - wide, right + wide)
        for y in (top - wide, bottom):
            facets.append(Facet(rectangle(ends[0], y, ends[1], y + wide), border.fabric))
        left, top, right, bottom = left - wide, top - wide, right + wide, bottom + wide
    return (right - left, bottom - top), tuple(facets)


# Piles


def from_behind(piece: Piece) -> Piece:
    """The piece turned over, left to right, as its back is seen."""
    return settled_piece(flip().piece(piece))


def spread(pieces: tuple[Piece, ...], gap: Measure) -> tuple[list[Piece], tuple[Measure, Measure]]:
    """Pieces in a line with gaps, side by side or, where they are wide, one below the other; and the size of it all."""
    beside = sum((piece.size[0] for piece in pieces), ZERO) <= 3 * max(piece.size[1] for piece in pieces) * len(pieces)
    placed: list[Piece] = []
    x = y = ZERO
    wide = high = ZERO
    for piece in pieces:
        placed.append(shift(x, y).piece(piece))
        wide, high = max(wide, x + piece.size[0]), max(high, y + piece.size[1])
        if beside:
            x = x + piece.size[0] + gap
        else:
            y = y + piece.size[1] + gap
    return placed, (wide, high)


def pile_drawing(plan: Plan, checklist: Checklist, trace: Trace, pile_id: str) -> str:
    """One piece (or set of pieces) of a pile, as it lies there: with a pencil mark from the back, else from the front."""
    pile, content = checklist.piles[pile_id], trace.lying[pile_id]
    sheet = Sheet(plan, SMALL)
    room = (SMALL - 50, SMALL - 50)

    def view_of(size: tuple[Measure, Measure]) -> View:
        scale = largest_scale(room, size)
        return View(sheet, scale, (SMALL - floor(size[0] * scale)) // 2, (SMALL - floor(size[1] * scale)) // 2)

    if isinstance(content, Stack):
        view_of(content.size).stack(content)
    elif isinstance(content, Group):
        placed, size = spread(content.pieces, plan.seam)
        view = view_of(size)
        for piece in placed:
            view.piece(piece)
    elif content.marks:
        behind = from_behind(content)
        view = view_of(behind.size)
        view.piece(behind, "back", behind.marks)
        for mark in behind.marks:
            view.pencil(mark)
    else:
        view_of(content.size).piece(content)
    names = " and ".join(plan.fabrics[key].name for key in pile.fabrics)
    return sheet.finish(SMALL, f"{pile.thing}, {pile.state}: {names}.")
