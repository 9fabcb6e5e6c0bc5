"""A drawing of every step: the piece as it lies on the table at that moment, to scale, and what to line up.

Each kind of action has one function here. All of them draw what the sewn trace says lies there, so a drawing can
show nothing that the steps do not make.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tracker.drawing import signs
from tracker.drawing.arrange import TAG, Room, alone, dimension_room, two
from tracker.drawing.canvas import (
    GREY,
    INK,
    STEEL,
    Sheet,
    Spot,
    View,
    away,
    between,
    figure,
    inner_radius,
    text_width,
)
from tracker.cloth import (
    OPEN,
    Compass,
    Facet,
    Group,
    Piece,
    Seam,
    Stack,
    clip_piece,
    clip_stack,
    patch,
    segments_inside,
    shift,
)
from tracker.geometry import ONE, XY, ZERO, Segment, Straight, box
from tracker.measure import Measure
from tracker.drawing.pictures import block_drawing, from_behind, pile_drawing, quilt_drawing
from tracker.plan import Plan
from tracker.sewing import Done, Trace
from tracker.work import (
    AddStrips,
    Checklist,
    Cut,
    CutApart,
    Join,
    LayOut,
    Line,
    Mark,
    Pair,
    Pin,
    Press,
    PressSeams,
    Sew,
    Size,
    Step,
    Trim,
)

__all__ = ["block_drawing", "pile_drawing", "quilt_drawing", "step_drawing"]


@dataclass(frozen=True)
class Scene:
    """What a step's drawing is made from."""

    plan: Plan
    checklist: Checklist
    step: Step
    done: Done
    sheet: Sheet

    def figure(self, length: Measure) -> str:
        return figure(length, self.plan)

    def figures(self, size: Size) -> str:
        return f"{self.figure(size[0])} × {self.figure(size[1])} {self.plan.unit}"

    def cloths(self, pile: str) -> str:
        names = [self.plan.fabrics[key].name for key in self.checklist.piles[pile].fabrics]
        return " and ".join(names)

    def taken(self) -> str:
        return self.step.takes[0].pile

    def given(self) -> str:
        return self.step.gives[0].pile

    def piece(self, pile: str) -> Piece:
        content = self.done.before.get(pile) or self.done.after[pile]
        assert isinstance(content, Piece), pile
        return content

    def stack(self, pile: str) -> Stack:
        content = self.done.before.get(pile) or self.done.after[pile]
        if isinstance(content, Piece):
            return Stack(content, ())
        assert isinstance(content, Stack), pile
        return content

    def group(self, pile: str) -> Group:
        content = self.done.before.get(pile) or self.done.after[pile]
        assert isinstance(content, Group), pile
        return content


def step_drawing(plan: Plan, checklist: Checklist, trace: Trace, step: Step) -> str:
    """The step as an `svg` element: what lies there while and after it is done, with what to line up and its sizes.

    `trace` is the checklist sewn from its first step to at least this one.
    """
    scene = Scene(plan, checklist, step, trace.done[step.id], Sheet(plan))
    height, title = _DRAWN_BY[type(step.action)](scene, step.action)
    return scene.sheet.finish(height, title)


# Small helpers


def _segment(line: Line) -> Segment:
    return (line.start.x, line.start.y), (line.end.x, line.end.y)


def _middle(segment: Segment) -> XY:
    (x1, y1), (x2, y2) = segment
    return (x1 + x2) / 2, (y1 + y2) / 2


def _toward(spot: Spot, compass: Compass, distance: int) -> Spot:
    """The spot moved by a distance in a compass direction."""
    return away((spot[0] + compass[0], spot[1] + compass[1]), spot, distance)


def _allowances(view: View, piece: Piece, seams: Iterable[Seam], seam: Measure) -> None:
    """Dotted lines along the edge of each allowance, where it lies under (or on) the cloth."""
    for each in seams:
        if each.toward is None:
            continue
        line = Straight.through(*each.line)
        sides = [1, -1] if each.toward == OPEN else [1 if (line.a.sign(), line.b.sign()) == each.toward else -1]
        for side in sides:
            edge = line.parallel(seam * side)
            beside = (edge.point_at(edge.along(each.line[0])), edge.point_at(edge.along(each.line[1])))
            for part in segments_inside([beside], piece.polygons):
                view.sheet.line(*view.ends(part), "allowance", INK, 5, "3 11", halo=3)


def _press_arrow(view: View, seam: Seam, length: int) -> None:
    """An arrow across a seam toward the side its allowance goes to; both ways where it is pressed open."""
    spot = view.spot(_middle(seam.line))
    if seam.toward == OPEN:
        line = Straight.through(*seam.line)
        compass = (line.a.sign(), line.b.sign())
        view.sheet.arrow(_toward(spot, compass, -length // 2), _toward(spot, compass, length // 2), both=True)
    elif seam.toward is not None:
        view.sheet.arrow(_toward(spot, seam.toward, -length // 2), _toward(spot, seam.toward, length // 2))


# Cloth and pencil


def _cut(scene: Scene, action: Cut) -> tuple[int, str]:
    """A strip of cloth with the ruler on the piece wanted, the blade along the ruler's edge, the rest to the right."""
    sheet, size = scene.sheet, (action.width, action.height)
    height_figure = scene.figure(action.height)
    room = Room(64 + text_width(height_figure), 60, 150, 130)
    view, height = alone(sheet, size, room, highest=480)
    right, bottom = view.spot(size)
    fill = sheet.colour(action.fabric, "front")
    steps = max((bottom - view.top) // 8, 1)
    torn = "".join(f"L{right + 120 - 24 * (i % 2)} {view.top + steps * i}" for i in range(9))
    sheet.add(
        f'<path class="rest" fill="{fill}" fill-opacity="0.45" stroke="{INK}" stroke-width="4" '
        f'd="M{right} {view.top}{torn}L{right} {bottom}Z"/>'
    )
    view.piece(patch(action.fabric, *size))
    signs.ruler(sheet, view.left - 18, view.top - 34, right, bottom + 34, view.whole(ONE))
    sheet.path(f"M{right} {bottom + 34}V{view.top - 34}", "cut-line", INK, 7, "20 12", halo=5)
    signs.cutter(sheet, (right, bottom + 6))
    view.dimensions(size, below=80, beside=40, left=True)
    name = scene.plan.fabrics[action.fabric].name
    return height, f"A piece of {name}, {scene.figures(size)}, cut along the ruler's edge."


def _mark(scene: Scene, action: Mark) -> tuple[int, str]:
    piece = from_behind(scene.piece(scene.given()))
    view, height = alone(scene.sheet, piece.size, Room(top=TAG, right=120), highest=520)
    view.piece(piece, "back", piece.marks)
    marks = piece.marks[-len(action.lines) :]
    for mark in marks:
        view.pencil(mark)
        for end in view.ends(mark):
            scene.sheet.ring(end)
    highest = min((end for mark in marks for end in view.ends(mark)), key=lambda spot: spot[1] - spot[0])
    signs.pencil(scene.sheet, highest)
    scene.sheet.tag("back", "back")
    lines = "a pencil line" if len(marks) == 1 else f"{len(marks)} pencil lines"
    return height, f"The back of the piece of {scene.cloths(scene.given())}, with {lines} from corner to corner."


# Pairs and stacks


def _pair(scene: Scene, action: Pair) -> tuple[int, str]:
    """The base face up with the laid pieces face down beside it, then all together."""
    stack = scene.stack(scene.given())
    base = stack.base
    lift = max(base.size[0], base.size[1]) * Fraction(2, 5)
    spread = (base.size[0] + lift, base.size[1] + lift)
    before, after, height = two(scene.sheet, spread, stack.size, (Room(), Room()))
    low = shift(ZERO, lift)
    before.piece(low.piece(base))
    for piece in stack.laid:
        lifted = shift(lift, ZERO).piece(piece)
        for corner in _shared_corners(base, piece):
            start, end = before.spot(shift(lift, ZERO).point(corner)), before.spot(low.point(corner))
            scene.sheet.line(start, end, "guide", STEEL, 5, "12 10", halo=4)
        before.piece(lifted, "back", lifted.marks)
        for mark in lifted.marks:
            before.pencil(mark)
        for corner in _shared_corners(base, piece):
            scene.sheet.ring(before.spot(shift(lift, ZERO).point(corner)))
            scene.sheet.ring(before.spot(low.point(corner)))
        middle = before.spot(_middle((lifted.bounds[:2], lifted.bounds[2:])))
        target = before.spot(low.point(_middle((piece.bounds[:2], piece.bounds[2:]))))
        scene.sheet.arrow(between(middle, target, Fraction(3, 10)), between(middle, target, Fraction(8, 10)), "move")
    after.stack(stack)
    for piece in stack.laid:
        for corner in _shared_corners(base, piece):
            scene.sheet.ring(after.spot(corner))
    laid = " and ".join(scene.cloths(each.pile) for each in action.laid)
    return height, f"{laid} laid face down on {scene.cloths(action.base)}, front to front, corners level."


def _shared_corners(base: Piece, laid: Piece) -> list[XY]:
    def corners(piece: Piece) -> list[XY]:
        left, top, right, bottom = piece.bounds
        return [(left, top), (right, top), (right, bottom), (left, bottom)]

    theirs = corners(laid)
    return [corner for corner in corners(base) if corner in theirs]


def _sew(scene: Scene, action: Sew) -> tuple[int, str]:
    stack = scene.stack(scene.given())
    view, height = alone(scene.sheet, stack.size, Room(top=20, bottom=20), highest=600)
    gauges = [_gauge(scene, stack, _segment(line)) for line in action.lines[:2]]
    view.stack(stack, [gauge for gauge in gauges if gauge])
    for line in action.lines:
        start, end = view.ends(_segment(line))
        scene.sheet.arrow(between(start, end, Fraction(7, 10)), between(start, end, Fraction(8, 10)), "feed", 12)
    for gauge in filter(None, gauges):
        foot, point = view.ends(gauge)
        scene.sheet.line(foot, point, "gauge", INK, 8, halo=6)
        scene.sheet.text(away(point, foot, 62), scene.figure(scene.plan.seam), 58)
    first = view.ends(_segment(action.lines[0]))
    signs.needle(scene.sheet, between(*first, Fraction(1, 5)), _heading(*first))
    seams = "one seam" if len(action.lines) == 1 else f"{len(action.lines)} seams"
    beside = "" if not any(gauges) else f", {scene.figure(scene.plan.seam)} {scene.plan.unit} from the line"
    return height, f"The pieces still face to face, sewn with {seams}{beside}."


def _heading(start: Spot, end: Spot) -> int:
    """The turn in degrees, clockwise from upward, of a line along the grid or at 45 degrees."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    east = (dx > 0) - (dx < 0) if 2 * abs(dx) > abs(dy) else 0
    south = (dy > 0) - (dy < 0) if 2 * abs(dy) > abs(dx) else 0
    ring = [(0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1)]
    return 45 * ring.index((east, south))


def _gauge(scene: Scene, stack: Stack, stitch: Segment) -> Segment | None:
    """From the mark or edge that a seam is guided by straight to the seam; None where it runs on the mark itself."""
    line, seam = Straight.through(*stitch), scene.plan.seam
    marks = [Straight.through(*mark) for mark in stack.marks]
    if any(line.same_line(mark) for mark in marks):
        return None
    edges = [Straight.through(*edge) for piece in stack.laid for edge in piece.outline]
    guide = next((each for each in (*marks, *edges) if line.at_distance(each, seam)), None)
    if guide is None:
        return None
    (x1, y1), (x2, y2) = stitch
    point = (x1 + (x2 - x1) * Fraction(2, 5), y1 + (y2 - y1) * Fraction(2, 5))
    return _middle((point, guide.reflected(point))), point


def _cut_apart(scene: Scene, action: CutApart) -> tuple[int, str]:
    """The sewn stack with the lines to cut, then its parts drawn a little apart."""
    stack = scene.stack(scene.taken())
    cuts = [_segment(line) for line in action.lines]
    before, after, height = two(scene.sheet, stack.size, stack.size, (Room(top=40, right=40), Room(30, 40, 30, 30)))
    before.stack(stack, cuts)
    for cut in cuts:
        start, end = before.ends(cut)
        scene.sheet.line(away(start, end, 26), away(end, start, 26), "cut-line", INK, 8, "24 10", halo=6)
    start, end = sorted(before.ends(cuts[-1]), key=lambda spot: (-spot[1], spot[0]))
    signs.cutter(scene.sheet, between(start, end, Fraction(1, 8)), _heading(start, end))
    lines = [Straight.through(*cut) for cut in cuts]
    for part in action.parts:
        inside = (part.inside.x, part.inside.y)
        dx = dy = 0
        left: Stack | None = stack
        for line in lines:
            ahead = line if line.side(inside) > 0 else line.turned_about()
            left = left and clip_stack(left, ahead)
            x, y = _toward((0, 0), (ahead.a.sign(), ahead.b.sign()), 28)
            dx, dy = dx + x, dy + y
        if left is None:
            continue
        view = after.shifted(dx, dy)
        view.stack(left)
        if part.pile is None:
            _greyed(view, [facet for piece in left.pieces for facet in piece.facets])
    kept = sum(part.pile is not None for part in action.parts)
    return height, f"The sewn piece cut along {_lines(len(cuts))} into {kept} parts, still folded."


def _lines(count: int) -> str:
    return "the line" if count == 1 else f"{count} lines"


def _greyed(view: View, facets: Iterable[Facet]) -> None:
    shape = "".join("M" + "L".join(f"{x} {y}" for x, y in view.spots(facet.polygon)) + "Z" for facet in facets)
    if shape:
        view.sheet.add(
            f'<path class="waste" fill="{GREY}" stroke="#6b6b6b" stroke-width="3" stroke-dasharray="10 6" d="{shape}"/>'
        )


# The iron


def _press(scene: Scene, action: Press) -> tuple[int, str]:
    """The folded piece, then the same piece open with its allowance dotted and an arrow toward the side it lies on."""
    stack, piece = scene.stack(scene.taken()), scene.piece(scene.given())
    room = dimension_room(scene.figure(piece.size[1]))
    before, after, height = two(scene.sheet, stack.size, piece.size, (Room(bottom=110), room))
    before.stack(stack)
    after.piece(piece, letters=False)
    new = piece.seams[-len(stack.laid) :]
    _allowances(after, piece, piece.seams, scene.plan.seam)
    arrows = [after.spot(_middle(seam.line)) for seam in new]
    after.letters(piece.facets, [seam.line for seam in new])
    for seam in new:
        _press_arrow(after, seam, 120)
    after.dimensions(piece.size)
    bottom = before.spot(stack.size)[1]
    signs.iron(scene.sheet, (before.left + before.whole(stack.size[0]) // 2, bottom + 78))
    del arrows
    way = {"open": "to both sides", "base": "to the lower cloth's side", "laid": "to the upper cloth's side"}
    return height, (
        f"The piece opened, front up, {scene.figures(piece.size)}: its seam allowance goes {way[action.toward]}, "
        "as the arrow shows."
    )


def _press_seams(scene: Scene, action: PressSeams) -> tuple[int, str]:
    """Every piece taken, from the back and so mirrored, with an arrow for each seam."""
    pieces = [
        (flow.pile, from_behind(scene.piece(flow.pile)), _newly_pressed(scene, flow.pile, give.pile))
        for flow, give in zip(scene.step.takes, scene.step.gives, strict=True)
    ]
    gap = scene.plan.seam * 2
    tall = pieces[0][1].size[1] > pieces[0][1].size[0]
    widths, heights = [piece.size[0] for _, piece, _ in pieces], [piece.size[1] for _, piece, _ in pieces]
    gaps = gap * (len(pieces) - 1)
    size = (sum(widths, gaps), max(heights)) if tall else (max(widths), sum(heights, gaps))
    view, height = alone(scene.sheet, size, Room(top=TAG), widest=940, highest=800)
    for pile, piece, seams in pieces:
        del pile
        view.piece(piece, "back")
        _allowances(view, piece, seams, scene.plan.seam)
        for seam in seams:
            _press_arrow(view, seam, _arrow_length(view, piece, seam))
        view = (
            view.shifted(view.whole(piece.size[0] + gap), 0)
            if tall
            else view.shifted(0, view.whole(piece.size[1] + gap))
        )
    scene.sheet.tag("back", "back")
    count = sum(len(seams) for _, _, seams in pieces)
    seams_words = "one seam" if count == 1 else f"{count} seams"
    return height, f"Seen from the back: {seams_words}, each with an arrow toward the side its allowance goes to."


def _newly_pressed(scene: Scene, taken: str, given: str) -> list[Seam]:
    """The seams that this step presses, as seen from the back."""
    before, after = scene.piece(taken), scene.done.after[given]
    assert isinstance(after, Piece)
    fresh = {seam.line for seam in before.unpressed}
    turned = from_behind(after).seams
    return [seen for seen, seam in zip(turned, after.seams, strict=True) if seam.line in fresh]


def _arrow_length(view: View, piece: Piece, seam: Seam) -> int:
    """Long enough to see, short enough to stay within the neighbours of the seam."""
    smallest = min((inner_radius(view.spots(facet.polygon)) for facet in piece.facets), default=40)
    del seam
    return min(max(smallest * 2, 44), 130)


# Trimming


def _trim(scene: Scene, action: Trim) -> tuple[int, str]:
    """The piece with the ruler on it, its lines on the seams or the middle, and what is cut off in grey."""
    piece = scene.piece(scene.taken())
    size = (action.width, action.height)
    corner = (action.centre.x - action.width / 2, action.centre.y - action.height / 2)
    room = dimension_room(scene.figure(size[1]), 60)
    room = Room(room.right, 60, 70, room.bottom)
    view, height = alone(scene.sheet, piece.size, room, highest=600)
    far = (corner[0] + size[0], corner[1] + size[1])
    view.piece(piece)
    _greyed(view, _beyond(piece, corner, far))
    (left, top), (right, bottom) = view.spot(corner), view.spot(far)
    ruler_left, ruler_bottom = min(left, view.left) - 16, max(bottom, view.spot(piece.size)[1]) + 16
    signs.ruler(scene.sheet, ruler_left, top, right, ruler_bottom, view.whole(ONE))
    for guide in _ruler_lines(piece, corner, far):
        scene.sheet.line(*view.ends(guide), "ruler-line", STEEL, 7, "30 10", halo=5)
    inner = View(scene.sheet, view.scale, left, top)
    x = ruler_left - 36
    scene.sheet.down(top, bottom, x, scene.figure(size[1]), left=True)
    scene.sheet.across(left, right, ruler_bottom + 44, scene.figure(size[0]))
    scene.sheet.path(f"M{left} {top}H{right}V{bottom}", "cut-line", INK, 8, "24 10", halo=6)
    signs.cutter(scene.sheet, (right, bottom - (bottom - top) // 5))
    del inner
    word = "squared" if scene.step.operation == "square" else "trimmed"
    return height, f"The piece {word} to {scene.figures(size)}, the ruler's lines on its seams and middle."


def _beyond(piece: Piece, corner: XY, far: XY) -> list[Facet]:
    """The areas of a piece outside an upright rectangle."""
    outside: list[Facet] = []
    for line in (
        Straight(ONE, ZERO, corner[0]),
        Straight(-ONE, ZERO, -far[0]),
        Straight(ZERO, ONE, corner[1]),
        Straight(ZERO, -ONE, -far[1]),
    ):
        piece = clip_piece(piece, line, outside)
    return outside


def _ruler_lines(piece: Piece, corner: XY, far: XY) -> list[Segment]:
    """Where the ruler's lines lie: on a seam that runs through the middle at 45 degrees, else through the middle."""
    middle = _middle((corner, far))
    lines = [Straight.through(*seam.line) for seam in piece.seams]
    slanting = [line for line in lines if line.a and line.b and line.side(middle) == 0]
    if slanting:
        reach = min(far[0] - corner[0], far[1] - corner[1]) / 2
        found = {}
        for line in slanting:
            falling = line.a.sign() != line.b.sign()
            rise = reach if falling else -reach
            found[falling] = (middle[0] - reach, middle[1] - rise), (middle[0] + reach, middle[1] + rise)
        return list(found.values())
    return [((middle[0], corner[1]), (middle[0], far[1])), ((corner[0], middle[1]), (far[0], middle[1]))]


# Rows and blocks


def _lay_out(scene: Scene, action: LayOut) -> tuple[int, str]:
    """Every piece in its place, with gaps."""
    pieces = _laid_pieces(scene, action)
    block = scene.plan.blocks[scene.step.per]
    step = scene.plan.seam * 2 + max(block.inner_finished) / 40
    placed = []
    for piece in pieces:
        row, column = piece.cells[0]
        x = sum(block.columns[:column], ZERO) + step * column
        y = sum(block.rows[:row], ZERO) + step * row
        placed.append(shift(x, y).piece(piece))
    _, _, right, bottom = box(corner for piece in placed for corner in (piece.bounds[:2], piece.bounds[2:]))
    view, height = alone(scene.sheet, (right, bottom), widest=948, highest=848)
    for piece in placed:
        view.piece(piece)
    return height, f"The {len(placed)} pieces of {block.name} laid out as they will be sewn."


def _laid_pieces(scene: Scene, action: LayOut) -> list[Piece]:
    return [
        piece for group in dict.fromkeys(place.group for place in action.places) for piece in scene.group(group).pieces
    ]


def _spread(pieces: tuple[Piece, ...], direction: str, gap: Measure) -> tuple[list[Piece], Size]:
    """Pieces in a line with gaps, across or down, and the size of it all."""
    placed: list[Piece] = []
    along = ZERO
    for piece in pieces:
        across = direction == "across"
        placed.append((shift(along, ZERO) if across else shift(ZERO, along)).piece(piece))
        along = along + piece.size[0 if across else 1] + gap
    _, _, right, bottom = box(corner for piece in placed for corner in (piece.bounds[:2], piece.bounds[2:]))
    return placed, (right, bottom)


def _join(scene: Scene, action: Join) -> tuple[int, str]:
    """The pieces in order, each to be laid on the one before; then joined, its seams stitched, with its size."""
    pieces, whole = scene.group(scene.taken()).pieces, scene.piece(scene.given())
    placed, size = _spread(pieces, action.direction, scene.plan.seam * 2)
    across = action.direction == "across"
    bow = Room(top=80) if across else Room(right=80)
    before, after, height = two(scene.sheet, size, whole.size, (bow, dimension_room(scene.figure(whole.size[1]))))
    for piece in placed:
        before.piece(piece)
    for first, second in zip(placed, placed[1:], strict=False):
        _fold_over(before, first, second, across)
    after.piece(whole)
    for seam in whole.unpressed:
        after.stitches(seam.line)
    after.dimensions(whole.size)
    return height, f"{len(pieces)} pieces joined {action.direction}: together {scene.figures(whole.size)}."


def _fold_over(view: View, first: Piece, second: Piece, across: bool) -> None:
    start = view.spot(_middle((second.bounds[:2], second.bounds[2:])))
    end = view.spot(_middle((first.bounds[:2], first.bounds[2:])))
    if across:
        top = view.spot(second.bounds[:2])[1]
        start, end = (start[0] - 12, top - 10), (end[0] + 12, top - 10)
        over = ((start[0] + end[0]) // 2, top - 130)
    else:
        right = view.spot(second.bounds[2:])[0]
        start, end = (right + 10, start[1] - 8), (right + 10, end[1] + 8)
        over = (right + 130, (start[1] + end[1]) // 2)
    view.sheet.bow(start, over, end)


def _pin(scene: Scene, action: Pin) -> tuple[int, str]:
    """Both pieces with their edges toward each other, a pin and a sign at each place where seams meet."""
    first, second = scene.group(scene.given()).pieces
    direction = _joined_direction(scene)
    across = direction == "across"
    plan = scene.plan
    gap = max(first.size[1 if across else 0] / 14, plan.seam)
    placed, size = _spread((first, second), direction, gap)
    view, height = alone(scene.sheet, size, Room(20, 20, 20, 20), widest=900, highest=800)
    for piece in placed:
        view.piece(piece)
        _allowances(view, piece, [seam for seam in piece.seams if _ends_at(seam, first, across, gap)], plan.seam)
    edge = first.size[0 if across else 1]
    middle = edge + gap / 2
    places = [nest.along for nest in action.nests]
    ends = [] if places else [plan.seam, first.size[1 if across else 0] - plan.seam]
    reach = max(view.whole(gap) // 2 + 70, 80)
    radius = min(max(view.whole(gap) // 2 - 6, 16), 34)
    for along in (*places, *ends):
        x, y = view.spot((middle, along) if across else (along, middle))
        head, point = ((x - reach, y), (x + reach, y)) if across else ((x, y - reach), (x, y + reach))
        signs.pin(scene.sheet, head, point)
    for nest in action.nests:
        spot = view.spot((middle, nest.along) if across else (nest.along, middle))
        signs.junction(scene.sheet, spot, nest.nests, radius)
    nesting = sum(nest.nests for nest in action.nests)
    return height, (
        f"Two pieces edge to edge with a pin at each of {len(places)} places where seams meet: "
        f"{nesting} nest (a tick), {len(places) - nesting} do not (a triangle)."
        if places
        else "Two pieces edge to edge, with a pin at each end."
    )


def _ends_at(seam: Seam, first: Piece, across: bool, gap: Measure) -> bool:
    """Whether a seam runs out at the edges that are to be joined."""
    axis = 0 if across else 1
    edge = first.size[axis]
    return any(end[axis] in (edge, edge + gap) for end in seam.line)


def _joined_direction(scene: Scene) -> str:
    """How the pinned pieces will be joined, from the step that takes them."""
    pinned = scene.given()
    for step in scene.checklist.steps:
        if isinstance(step.action, Join) and step.takes[0].pile == pinned:
            return step.action.direction
    return "down"


def _add_strips(scene: Scene, action: AddStrips) -> tuple[int, str]:
    """The piece with its two strips beside it, then sewn on, with the size it has become."""
    base, strip, whole = scene.piece(action.base), scene.piece(action.strip), scene.piece(scene.given())
    sides = action.edges == "sides"
    upright = strip if not sides else _stood_up(strip)
    placed, size = _spread((upright, base, upright), "across" if sides else "down", max(base.size) / 20)
    rooms = Room(0, 0, 0, 120) if not sides else Room(0, 0, 110, 0)
    before, after, height = two(scene.sheet, size, whole.size, (rooms, dimension_room(scene.figure(whole.size[1]))))
    for piece in placed:
        before.piece(piece)
    for strip_piece, toward in ((placed[0], 1), (placed[2], -1)):
        spot = before.spot(_middle((strip_piece.bounds[:2], strip_piece.bounds[2:])))
        compass = (toward, 0) if sides else (0, toward)
        scene.sheet.arrow(_toward(spot, compass, -10), _toward(spot, compass, 70), "move", 14)
    _strip_dimension(scene, before, placed[2], sides)
    after.piece(whole)
    for seam in whole.unpressed:
        after.stitches(seam.line)
    after.dimensions(whole.size)
    where = "at both sides" if sides else "at top and bottom"
    return height, f"Strips of {scene.cloths(action.strip)} sewn on {where}: together {scene.figures(whole.size)}."


def _stood_up(strip: Piece) -> Piece:
    from tracker.cloth import turned_piece

    return turned_piece(strip, 90) if strip.size[0] > strip.size[1] else strip


def _strip_dimension(scene: Scene, view: View, strip: Piece, sides: bool) -> None:
    (left, top), (right, bottom) = view.spot(strip.bounds[:2]), view.spot(strip.bounds[2:])
    if sides:
        scene.sheet.across(left, right, bottom + 40, scene.figure(strip.size[0]))
    else:
        scene.sheet.across(left, right, bottom + 46, scene.figure(strip.size[0]))


_DRAWN_BY: dict[type, Callable[[Scene, Any], tuple[int, str]]] = {
    Cut: _cut,
    Mark: _mark,
    Pair: _pair,
    Sew: _sew,
    CutApart: _cut_apart,
    Press: _press,
    Trim: _trim,
    LayOut: _lay_out,
    Pin: _pin,
    Join: _join,
    PressSeams: _press_seams,
    AddStrips: _add_strips,
}
