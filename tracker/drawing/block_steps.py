"""Drawings of putting blocks together: lay out, join, pin, press seams, add strips. Each gives its height and title."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from tracker.cloth.moving import fold, mirrored, shift
from tracker.cloth.pieces import OPEN, HalfSewn, Piece, Seam, Stack
from tracker.drawing import signs
from tracker.drawing.arrange import TAG, SheetRoom, alone, dimension_room, two
from tracker.drawing.canvas import Spot, Stretch, arrow_shape, between
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene, counted, from_behind, spread
from tracker.drawing.unit_steps import heading
from tracker.drawing.view import ClothView, toward
from tracker.exact.geometry import ONE, ZERO, Straight, box, greatest
from tracker.exact.measure import Measure
from tracker.plan.model import Block
from tracker.work.steps import AddStrips, Checklist, Join, LayOut, Pin, PressSeams, Size
from tracker.work.things import SIDES, Stage, Thing
from tracker.work.whole_blocks import MeasureBlock, Nest


def joined_direction(checklist: Checklist, pile: str) -> str:
    """How the pieces of a pile will be joined, "across" or "down"; "across" where they never are."""
    for step in checklist.steps:
        if isinstance(step.action, Join) and step.takes[0].pile == pile:
            return step.action.direction
    return "across"


# Laying out


def draw_lay_out(scene: Scene, action: LayOut) -> Drawn:
    """Every piece in its place, with gaps: a block's by its picture, strips of a set in their order."""
    block = scene.plan.blocks.get(scene.step.per)
    groups = [scene.group(group) for group in dict.fromkeys(place.group for place in action.places)]
    pieces = [piece for group in groups for piece in group.pieces]
    if block is None:
        placed, size = spread(pieces, joined_direction(scene.checklist, scene.given), scene.plan.seam * 2)
        title = f"{counted(len(placed), 'piece')} set out side by side, in the order they are sewn."
    else:
        placed, size = _in_places(block, pieces, scene.plan.seam)
        title = f"The {counted(len(placed), 'piece')} of {block.name} laid out as they will be sewn."
    view, height = alone(scene.sheet, size, widest=948, highest=848)
    view.pieces(placed)
    return height, title


def _in_places(block: Block, pieces: list[Piece], seam: Measure) -> tuple[list[Piece], Size]:
    """Pieces where their cells are in a block's picture, with gaps; and the size of it all."""
    gap = seam * 2 + greatest(block.inner_finished) / 40
    placed = []
    for piece in pieces:
        row, column = piece.cells[0]
        x = sum(block.columns[:column], ZERO) + gap * column
        y = sum(block.rows[:row], ZERO) + gap * row
        placed.append(shift(x, y).piece(piece))
    return placed, _extent(placed)


def _extent(pieces: list[Piece]) -> Size:
    _, _, right, bottom = box(corner for piece in pieces for corner in (piece.bounds[:2], piece.bounds[2:]))
    return right, bottom


# Joining


def draw_join(scene: Scene, action: Join) -> Drawn:
    """Units in order, each to be laid on the one before, and what they become; of pinned pieces only that."""
    pieces, whole = scene.group(scene.taken).pieces, scene.piece(scene.given)
    room = dimension_room(scene.figure(whole.size[1]), top=10)
    if scene.checklist.taken(scene.step).stage is Stage.PINNED:
        view, height = alone(scene.sheet, whole.size, room, widest=760)
    else:
        placed, size = spread(pieces, action.direction, scene.plan.seam * 2)
        across = action.direction == "across"
        pictures = two(scene.sheet, size, whole.size, SheetRoom(top=90) if across else SheetRoom(right=90), room)
        view, height = pictures.after, pictures.height
        pictures.before.pieces(placed)
        for first, second in pairwise(placed):
            _lay_over(pictures.before, first, second, across)
    stitched(scene, view, whole, len(pieces) - 1)
    way = "side by side" if action.direction == "across" else "one below the other"
    return height, f"{counted(len(pieces), 'piece')} joined {way}: together {scene.figures(whole.size)}."


def stitched(scene: Scene, view: ClothView, whole: Piece, seams: int) -> None:
    """A joined piece from the front with its newest seams as stitches, the machine's foot on one, and its size."""
    new = [view.ends(seam.line) for seam in whole.unpressed[-seams:]]
    foot = between(*new[0])
    view.piece(whole, letters=False)
    for seam in whole.unpressed[-seams:]:
        view.stitches([seam.line])
    view.letters(whole.facets, [*new, *(signs.foot_sides(foot, heading(new[0])) if seams == 1 else ())])
    if seams == 1:
        signs.needle(scene.sheet, foot, heading(new[0]))
    view.dimensions(whole.size)


def _lay_over(view: ClothView, first: Piece, second: Piece, across: bool) -> None:
    """A bent arrow from the second piece over to the first, above or beside them."""
    (x1, y1), (x2, y2) = view.middle(second), view.middle(first)
    (_, top), (right, _) = view.corners(second)
    reach = max(min(abs(x1 - x2) + abs(y1 - y2), 120), 50)
    if across:
        view.sheet.bow((x1 - 12, top - 10), ((x1 + x2) // 2, top - reach), (x2 + 12, top - 8))
    else:
        view.sheet.bow((right + 12, y1 - 8), (right + reach, (y1 + y2) // 2), (right + 10, y2 + 8))


def draw_pin(scene: Scene, action: Pin) -> Drawn:
    """Both pieces with their edges toward each other and a sign at each place where seams meet; then closed, with a pin
    at each of them."""
    first, second = scene.group(scene.given).pieces
    direction = joined_direction(scene.checklist, scene.given)
    axis = 0 if direction == "across" else 1
    seam = scene.plan.seam
    gap = greatest((first.size[1 - axis] / 14, seam))
    placed, size = spread((first, second), direction, gap)
    room = SheetRoom(10, 110, 10, 10) if axis == 0 else SheetRoom(10, 10, 110, 10)
    edge = first.size[axis]
    closed = _closed(first, second, axis)
    pictures = two(
        scene.sheet, size, closed.size, room, SheetRoom(10, 10, 70, 10) if axis == 0 else SheetRoom(bottom=70)
    )
    view = pictures.before
    ends = _pinned_at(view, action.nests, first.size[1 - axis], edge + gap / 2, seam, axis)
    half = view.whole(gap) // 2
    for piece in placed:
        meeting = [each for each in piece.seams if _runs_out(each, axis, (edge, edge + gap))]
        places = [nest.along for nest in action.nests]
        leans = [_lean(view, each, axis, edge, gap) for each in meeting if each.line[0][1 - axis] in places]
        view.piece(piece, avoid=leans)
        view.allowances(piece, meeting, seam)
        scene.sheet.arrows((arrow_shape(lean, 9) for lean in leans), "lean")
    for spot, nest in zip(ends, action.nests, strict=False):
        signs.junction(scene.sheet, spot, nest.nests, min(max(half - 6, 16), 34))
    _lay_over(view, placed[0], placed[1], across=axis == 0)
    _pinned(scene, pictures.after, closed, action.nests, axis)
    return pictures.height, _pinned_words(action.nests)


def _closed(first: Piece, second: Piece, axis: int) -> Stack:
    """The second piece face down on the first, the edges to be sewn level."""
    zero, edge = (ZERO, ZERO), first.size[axis]
    over = fold(Straight.through(zero, (ONE, ZERO) if axis else (ZERO, ONE))).piece(second)
    return Stack(first, (shift(*((ZERO, edge) if axis else (edge, ZERO))).piece(over),))


def _pinned(scene: Scene, view: ClothView, closed: Stack, nests: tuple[Nest, ...], axis: int) -> None:
    """Closed pieces with the allowances of the upper one as they lie beneath it, and a pin where seams meet."""
    edge, (upper,), seam = closed.base.size[axis], closed.laid, scene.plan.seam
    view = view.shifted(-view.whole(closed.bounds[0]), -view.whole(closed.bounds[1]))
    pins = []
    for x, y in _pinned_at(view, nests, closed.base.size[1 - axis], edge, seam, axis):
        inward = view.whole(seam) + 50
        pins.append(((x + 50, y), (x - inward, y)) if axis == 0 else ((x, y + 50), (x, y - inward)))
    view.stack(closed, pins)
    view.allowances(upper, [each for each in upper.seams if _runs_out(each, axis, (edge, edge))], seam)
    for head, point in pins:
        signs.pin(scene.sheet, head, point)


def _pinned_at(
    view: ClothView, nests: tuple[Nest, ...], length: Measure, middle: Measure, seam: Measure, axis: int
) -> list[Spot]:
    """Where pins go: at every meeting of seams, or near both ends where there is none."""
    places = [nest.along for nest in nests] or [seam * 2, length - seam * 2]
    return [view.spot((middle, along) if axis == 0 else (along, middle)) for along in places]


def _runs_out(seam: Seam, axis: int, edges: tuple[Measure, Measure]) -> bool:
    """Whether a seam runs straight out at an edge that is to be joined."""
    start, end = seam.line
    return start[1 - axis] == end[1 - axis] and (start[axis] in edges or end[axis] in edges)


def _lean(view: ClothView, seam: Seam, axis: int, edge: Measure, gap: Measure) -> Stretch:
    """A small arrow near the edges to be joined, from a seam toward the side its allowance lies on."""
    start, end = view.ends(seam.line)
    at_edge = start if seam.line[0][axis] in (edge, edge + gap) else end
    inward = 1 if edge + gap in (seam.line[0][axis], seam.line[1][axis]) else -1
    back = view.whole(gap) // 2 + 84
    x, y = (at_edge[0] + inward * back, at_edge[1]) if axis == 0 else (at_edge[0], at_edge[1] + inward * back)
    compass = seam.toward or (0, 0)
    return toward((x, y), compass, -8), toward((x, y), compass, 44)


def _pinned_words(nests: tuple[Nest, ...]) -> str:
    if not nests:
        return "Two pieces edge to edge; then face to face, with a pin near each end."
    nesting = sum(nest.nests for nest in nests)
    words = f"Two pieces edge to edge; then face to face, a pin where seams meet: {nesting} of {len(nests)} nest"
    return words + " (a tick)." if nesting == len(nests) else words + " (a tick), the others do not (a triangle)."


# Pressing


def draw_press_seams(scene: Scene, action: PressSeams) -> Drawn:
    """Every piece taken, from the back and so mirrored, with an arrow for each seam."""
    pieces = [from_behind(scene.piece(flow.pile)) for flow in scene.step.takes]
    pressed = [
        newly_pressed(scene, flow.pile, give.pile)
        for flow, give in zip(scene.step.takes, scene.step.gives, strict=True)
    ]
    tall = pieces[0].size[1] > pieces[0].size[0]
    placed, size = spread(pieces, "across" if tall else "down", scene.plan.seam * 2)
    names = [_row_number(scene.checklist.piles[flow.pile].thing) for flow in scene.step.takes]
    labelled = len(pieces) > 1 and all(names)
    label = 0 if not labelled else 70
    room = SheetRoom(top=TAG + label) if tall else SheetRoom(label, TAG, label)
    view, height = alone(scene.sheet, size, room, widest=940, highest=800)
    lying = []
    for own, seams in zip(placed, pressed, strict=True):
        moved = shift(own.bounds[0], own.bounds[1])
        lying.append([moved.seam(seam) for seam in seams])
    draw_behind(view, placed, lying, scene.plan.seam)
    for own, flow in zip(placed, scene.step.takes, strict=True):
        half = scene.lies(flow.pile)
        if isinstance(half, HalfSewn):
            seen = mirrored(half)
            assert isinstance(seen, HalfSewn)
            signs.left_open(scene.sheet, view.ends(shift(own.bounds[0], own.bounds[1]).segment(seen.open)))
    for own, name in zip(placed, names if labelled else [], strict=False):
        (left, top), _ = view.corners(own)
        x, y = view.middle(own)
        scene.sheet.text((x, top - 40) if tall else (left - 40, y), name, kind="row")
    scene.sheet.tag()
    if any(seam.toward != OPEN for seams in lying for seam in seams):
        signs.folded_back(scene.sheet)
    count = sum(map(len, action.seams))
    return height, f"Seen from the back: {counted(count, 'seam')}, with an arrow to the side each allowance goes to."


def _row_number(part: Thing) -> str:
    """The number of a row or column of the block, where a piece is one."""
    return str(part.lines[0][1]) if len(part.lines) == 1 and part.first is None else ""


def newly_pressed(scene: Scene, taken: str, given: str) -> list[Seam]:
    """The seams that this step presses, as seen from the back."""
    after = scene.piece_in(scene.done.after, given)
    fresh = {seam.line for seam in scene.piece(taken).unpressed}
    return [seen for seen, seam in zip(from_behind(after).seams, after.seams, strict=True) if seam.line in fresh]


def draw_behind(view: ClothView, pieces: list[Piece], pressed: list[list[Seam]], seam: Measure) -> None:
    """Pieces from the back, each with the seams that are pressed on it."""
    view.pieces(pieces, "back", letters=False)
    shapes: list[str] = []
    for piece, seams in zip(pieces, pressed, strict=True):
        upright = bool(seams) and seams[0].line[0][0] == seams[0].line[1][0]
        apart = view.whole(piece.size[0 if upright else 1]) // (len(seams) + 1)
        length = min(max(apart * 3 // 5, 44), 120)
        ways = [view.pressed_way(each, length) for each in seams]
        view.letters(piece.facets, ways)
        view.allowances(piece, seams, seam)
        width = max(length // 7, 9)
        shapes += (arrow_shape(way, width, each.toward == OPEN) for way, each in zip(ways, seams, strict=True))
    view.sheet.arrows(shapes)


# Measuring


def draw_measure(scene: Scene, action: MeasureBlock) -> Drawn:
    """The block with the three places to measure it each way, and the size that it should have."""
    whole = scene.piece(scene.given)
    view, height = alone(scene.sheet, whole.size, dimension_room(scene.figure(whole.size[1])))
    (left, top), (right, bottom) = view.corners(whole)
    x, y = view.middle(whole)
    inset = (right - left) // 12
    ways = [((left, at), (right, at)) for at in (top + inset, y, bottom - inset)]
    ways += [((at, top), (at, bottom)) for at in (left + inset, x, right - inset)]
    view.piece(whole, letters=False)
    scene.sheet.arrows((arrow_shape(way, 14, both=True) for way in ways), "measure")
    view.dimensions(whole.size)
    return height, f"The block measured in three places each way: it should be {scene.figures(whole.size)}."


# Strips


def draw_add_strips(scene: Scene, action: AddStrips) -> Drawn:
    """The piece with a strip at two edges, their seams as stitches, and the size it has become."""
    whole, sides = scene.piece(scene.given), action.edges == SIDES
    room = dimension_room(scene.figure(whole.size[1]))
    room = replace(room, left=120, right=room.right + 90) if sides else replace(room, top=90, bottom=room.bottom + 80)
    view, height = alone(scene.sheet, whole.size, room)
    (left, top), (right, bottom) = view.corners(whole)
    x, y = view.middle(whole)
    if sides:
        arrows = ((left - 110, y), (left + 14, y)), ((right + 110, y), (right - 14, y))
    else:
        arrows = ((x, top - 84), (x, top + 14)), ((x, bottom + 84), (x, bottom - 14))
    new = whole.unpressed[-2:]
    view.piece(whole, avoid=[*arrows, *(view.ends(seam.line) for seam in new)])
    for seam in new:
        view.stitches([seam.line])
    for arrow in arrows:
        scene.sheet.arrow(arrow, "move", 22)
    view.dimensions(whole.size, below=130 if not sides else 50, beside=136 if sides else 46)
    where = "at both sides" if sides else "at top and bottom"
    ends = ", the ends standing out" if action.beyond else ""
    strips = f"Strips of {scene.cloths(action.strip)}"
    return height, f"{strips} sewn on {where}{ends}: together {scene.figures(whole.size)}."
