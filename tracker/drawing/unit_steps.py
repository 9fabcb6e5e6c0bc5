"""Drawings of making units: mark, pair, sew, cut apart, trim. Each gives the drawing's height and title."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import chain
from math import atan2, degrees

from tracker.cloth.clipping import clip_piece, clip_stack, facets_without, segments_inside
from tracker.cloth.moving import shift, turned_piece
from tracker.cloth.pieces import Facet, Piece, Stack, span_of
from tracker.drawing import signs
from tracker.drawing.arrange import TAG, SheetRoom, alone, dimension_room, two
from tracker.drawing.canvas import INK, STEEL, Spot, Stretch, away, between, inner_radius
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene, counted, from_behind, greyed, halfway, named
from tracker.drawing.view import ClothView, toward
from tracker.exact.geometry import ONE, XY, ZERO, Polygon, Segment, Straight, greatest, least, locate
from tracker.exact.measure import Measure
from tracker.work.steps import CutApart, Laid, Mark, Pair, Part, Sew, Trim


def heading(stretch: Stretch) -> int:
    """The turn in whole degrees, clockwise from upward, of a line; just so for those along the grid and at 45."""
    (x1, y1), (x2, y2) = stretch
    turn = round(degrees(atan2(x2 - x1, y1 - y2))) % 360
    near = round(turn / 45) * 45
    return near % 360 if abs(turn - near) < 3 else turn


# Pencil


def draw_mark(scene: Scene, action: Mark) -> Drawn:
    """The back of the piece as it will lie on its base, with its pencil lines, ringed where they must meet corners."""
    piece = _face_down(scene)
    view, height = alone(scene.sheet, piece.size, SheetRoom(top=TAG + 40, right=90), highest=520)
    marks = piece.marks[-len(action.lines) :]
    lines = [view.ends(mark) for mark in marks]
    view.piece(piece, "back", lines)
    for mark in marks:
        view.pencil(mark)
    for end in chain.from_iterable(lines):
        scene.sheet.ring(end)
    signs.pencil(scene.sheet, min(chain.from_iterable(lines), key=lambda spot: spot[1] - spot[0]))
    scene.sheet.tag()
    return height, (
        f"The back of the piece of {scene.cloths(scene.given)}, with {counted(len(marks), 'pencil line')} "
        "from corner to corner."
    )


def _face_down(scene: Scene) -> Piece:
    """A marked piece from the back, turned as it is laid by the step that takes it, its lines as they run there."""
    piece = scene.piece(scene.given)
    laid = (each for step in scene.checklist.steps if isinstance(step.action, Pair) for each in step.action.laid)
    lying = next((each for each in laid if each.pile == scene.given), None)
    return from_behind(piece if lying is None else turned_piece(piece, lying.turn))


# Pairs and stacks


def draw_pair(scene: Scene, action: Pair) -> Drawn:
    """The base face up with the laid pieces face down beside it, then all together."""
    stack = scene.stack(scene.given)
    base = stack.base
    lift = greatest(base.size) * Fraction(2, 5)
    pictures = two(scene.sheet, (stack.size[0] + lift, stack.size[1] + lift), stack.size)
    before, after = pictures.before, pictures.after
    low, high = before.shifted(0, before.whole(lift)), before.shifted(before.whole(lift), 0)
    low.piece(base, letters=False)
    corners = [
        (piece, corner)
        for piece, laid in zip(stack.laid, action.laid, strict=True)
        for corner in _edge_ends(base, laid) or _meeting_points(base, piece, scene.plan.ruler)
    ]
    for _, corner in corners:
        scene.sheet.ring(low.spot(corner))
    for piece in stack.laid:
        _lay(scene, high, low, piece, [corner for own, corner in corners if own is piece])
    lifted = [polygon for piece in stack.laid for polygon in shift(lift, -lift).piece(piece).polygons]
    guides = [(high.spot(corner), low.spot(corner)) for _, corner in corners]
    low.letters(_largest(low, facets_without(base.facets, lifted)), guides)
    after.stack(stack)
    for _, corner in corners:
        scene.sheet.ring(after.spot(corner))
    laid = named(scene.plan, (facet.fabric for piece in stack.laid for facet in piece.facets))
    level = "corners level" if corners else "as shown"
    return pictures.height, f"{laid} laid face down on {scene.cloths(action.base)}, front to front, {level}."


def _largest(view: ClothView, facets: Iterable[Facet]) -> list[Facet]:
    """Of each cloth the roomiest area."""
    found: dict[str, Facet] = {}
    for facet in sorted(facets, key=lambda each: inner_radius(view.spots(each.polygon))):
        found[facet.fabric] = facet
    return list(found.values())


def _lay(scene: Scene, high: ClothView, low: ClothView, piece: Piece, corners: list[XY]) -> None:
    """A piece lifted up and to the right of where it is to lie, with its corners led to theirs."""
    for corner in corners:
        scene.sheet.line((high.spot(corner), low.spot(corner)), "guide", STEEL, 5, "12 10", halo=4)
    start, end = high.middle(piece), low.middle(piece)
    way = between(start, end, 3, 10), between(start, end, 8, 10)
    high.piece(piece, "back", [*map(high.ends, piece.marks), way])
    for mark in piece.marks:
        high.pencil(mark)
    for corner in corners:
        scene.sheet.ring(high.spot(corner))
    scene.sheet.arrow(way, "move")


def _edge_ends(base: Piece, laid: Laid) -> list[XY]:
    """The ends of a slanting edge of the base that the edge of a laid piece lies on."""
    left, top, _, _ = base.bounds
    return [(x + left, y + top) for x, y in laid.over or ()]


def _meeting_points(base: Piece, laid: Piece, mark: Measure) -> list[XY]:
    """Corners of the base that a corner of the laid piece lies on; where there are none, middles of edges that meet; or
    the corners of the smaller one where those of the other lie within a ruler's mark of them."""

    def corners(piece: Piece) -> list[XY]:
        left, top, right, bottom = piece.bounds
        return [(left, top), (right, top), (right, bottom), (left, bottom)]

    def middles(piece: Piece) -> list[XY]:
        around = corners(piece)
        return [halfway((around[i - 1], corner)) for i, corner in enumerate(around)]

    def on_both(points: list[XY], theirs: list[XY]) -> list[XY]:
        return [
            point
            for point in points
            if point in theirs
            and all(any(locate(each, point) >= 0 for each in piece.polygons) for piece in (base, laid))
        ]

    def nearly(points: list[XY], theirs: list[XY]) -> list[XY]:
        lying = [point for point in points if near_cloth(point)]
        return [point for point in lying if any(abs(x - point[0]) < mark > abs(y - point[1]) for x, y in theirs)]

    def near_cloth(point: XY) -> bool:
        # Of a triangle's box one corner has no cloth.
        tips = [tip for piece in (base, laid) for polygon in piece.polygons for tip in polygon]
        return any(abs(x - point[0]) < mark > abs(y - point[1]) for x, y in tips)

    smaller, larger = sorted((base, laid), key=lambda piece: piece.area)
    return (
        on_both(corners(base), corners(laid))
        or on_both(middles(base), middles(laid))
        or nearly(corners(smaller), corners(larger))
    )


def draw_sew(scene: Scene, action: Sew) -> Drawn:
    """The stack with its stitches, their distance from the line or edge that guides them, and the machine's foot."""
    sheet, stack = scene.sheet, scene.stack(scene.given)
    view, height = alone(sheet, stack.size, SheetRoom(40, 20, 40, 20), 780, 780)
    cloth = [polygon for piece in stack.laid for polygon in piece.polygons]
    seams = [_along(line, cloth) for line in action.lines]
    lines = [view.ends(seam) for seam in seams]
    gauges = [view.ends(gauge) for seam in seams[:2] if (gauge := _gauge(scene, stack, seam))]
    figures = [away(point, foot, 58) for foot, point in gauges]
    view.stack(stack, [*gauges, *(((x - 60, y), (x + 60, y)) for x, y in figures)])
    for start, end in lines:
        sheet.arrow((between(start, end, 13, 20), between(start, end, 4, 5)), "feed", 14)
    for ends, spot in zip(gauges, figures, strict=True):
        sheet.line(ends, "gauge", INK, 9, halo=6)
        sheet.text(spot, scene.figure(scene.plan.seam), 60)
    signs.needle(sheet, between(*lines[0], 1, 5), heading(lines[0]))
    beside = f", {scene.figure(scene.plan.seam)} {scene.plan.unit} from the line or edge" if gauges else ", on the line"
    return height, f"The pieces still face to face, sewn with {counted(len(lines), 'seam')}{beside}."


def _along(line: Segment, cloth: list[Polygon]) -> Segment:
    """A line from where it first runs on the cloth to where it last does, in its direction."""
    way = Straight.through(*line)
    spans = [span_of(part, way) for part in segments_inside([line], cloth)] or [span_of(line, way)]
    low, high = way.point_at(spans[0][0]), way.point_at(spans[-1][1])
    return (low, high) if way.along(line[0]) < way.along(line[1]) else (high, low)


def _gauge(scene: Scene, stack: Stack, stitch: Segment) -> Segment | None:
    """From the mark or edge that guides a seam straight to the seam; None where it runs on the mark itself."""
    line = Straight.through(*stitch)
    marks = [Straight.through(*mark) for mark in stack.marks]
    if any(line.same_line(mark) for mark in marks):
        return None
    edges = (Straight.through(*edge) for piece in stack.laid for edge in piece.outline)
    guide = next((each for each in chain(marks, edges) if line.at_distance(each, scene.plan.seam)), None)
    if guide is None:
        return None
    (x1, y1), (x2, y2) = stitch
    share = Fraction(2, 5)
    point = (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share)
    return halfway((point, guide.reflected(point))), point


def draw_cut_apart(scene: Scene, action: CutApart) -> Drawn:
    """The sewn stack with the lines to cut, then its parts drawn a little apart."""
    sheet, stack = scene.sheet, scene.stack(scene.taken)
    cuts = list(action.lines)
    moves = [_moved_apart(cuts, part.inside) for part in action.parts]
    reach = max(abs(length) for move in moves for length in move) + 14
    below = reach + (110 if scene.step.size else 0)
    pictures = two(sheet, stack.size, stack.size, SheetRoom(50, 40, 50, 50), SheetRoom(reach, reach, reach, below))
    before = pictures.before
    drawn = [before.ends(cut) for cut in cuts]
    before.stack(stack, drawn)
    for start, end in drawn:
        width = 9 if len(cuts) < 5 else 5
        sheet.line((away(start, end, 26), away(end, start, 26)), "cut-line", INK, width, "24 10", halo=7)
    _room_beyond(scene, before, stack, cuts)
    measured: set[str] = set()
    start, end = sorted(drawn[-1], key=lambda spot: (-spot[1], spot[0]))
    signs.cutter(sheet, between(start, end, 1, 8), heading((start, end)))
    for part, move in zip(action.parts, moves, strict=True):
        left: Stack | None = stack
        for line in _around(cuts, part.inside):
            left = left and clip_stack(left, line)
        assert left is not None
        view = pictures.after.shifted(*move)
        name = _bag(scene, part)
        spot = view.spot(part.inside)
        view.stack(left, signs.bag_lines(spot) if name else ())
        if name:
            signs.bag(sheet, spot, name)
        if part.pile is None:
            greyed(view, [facet for piece in left.pieces for facet in piece.facets])
        elif scene.step.size and part.turn == 0 and part.pile not in measured:
            measured.add(part.pile)
            (x, _), (right, bottom) = view.spot(left.bounds[:2]), view.spot(left.bounds[2:])
            sheet.across(x, right, bottom + 44, scene.figure(scene.step.size[0]))
    kept = sum(part.pile is not None for part in action.parts)
    way = "the line" if len(cuts) == 1 else f"{len(cuts)} lines"
    bags = " and ".join(name for part in action.parts if (name := _bag(scene, part)))
    into = f", for the bags {bags}" if bags else ""
    return pictures.height, f"The sewn piece cut along {way} into {counted(kept, 'part')}, still folded{into}."


def _bag(scene: Scene, part: Part) -> str | None:
    """The letter of the bag that a part goes into, where hands are told apart."""
    return None if part.pile is None else scene.checklist.piles[part.pile].bag


def _room_beyond(scene: Scene, view: ClothView, stack: Stack, cuts: list[Segment]) -> None:
    """How far from its seam a cut runs that no pencil line shows; once, for cuts are alike."""
    marks = [Straight.through(*mark) for mark in stack.marks]
    seams = [Straight.through(*stitch) for stitch in stack.stitches]
    for cut in cuts:
        line = Straight.through(*cut)
        seam = next((each for each in seams if line.at_distance(each, scene.plan.seam)), None)
        if seam is not None and not any(line.same_line(mark) for mark in marks):
            point = halfway(cut)
            foot, end = view.ends((halfway((point, seam.reflected(point))), point))
            scene.sheet.line((foot, end), "gauge", INK, 9, halo=6)
            scene.sheet.text(away(end, foot, 50), scene.figure(scene.plan.seam), 60)
            return


def _around(cuts: list[Segment], inside: XY) -> list[Straight]:
    """The lines of cuts, each with the point ahead of it."""
    lines = [Straight.through(*cut) for cut in cuts]
    return [line if line.side(inside) > 0 else line.turned_about() for line in lines]


def _moved_apart(cuts: list[Segment], inside: XY) -> Spot:
    """How far the part with that point is drawn away from where it lay."""
    apart = 28 if len(cuts) == 1 else max(44 // len(cuts), 4)
    moves = [toward((0, 0), (line.a.sign(), line.b.sign()), apart) for line in _around(cuts, inside)]
    return sum(x for x, _ in moves), sum(y for _, y in moves)


# Trimming


def draw_trim(scene: Scene, action: Trim) -> Drawn:
    """The piece with the ruler on it, its lines on the seam or the middle, and what is cut off in grey."""
    sheet, piece = scene.sheet, scene.piece(scene.taken)
    size = (action.width, action.height)
    corner = (action.centre[0] - action.width / 2, action.centre[1] - action.height / 2)
    far = (corner[0] + size[0], corner[1] + size[1])
    room = dimension_room(scene.figure(size[1]), 60)
    view, height = alone(sheet, piece.size, SheetRoom(room.right, 60, 70, room.bottom), highest=600)
    (left, top), (right, bottom) = view.spot(corner), view.spot(far)
    edges = (min(left, view.left) - 16, top, right, max(bottom, view.spot(piece.size)[1]) + 16)
    signs.ruler_ground(sheet, *edges)
    view.piece(piece, letters=False)
    kept, waste = cut_off(piece, corner, far)
    greyed(view, waste)
    signs.ruler(sheet, *edges, view.whole(ONE))
    slanting = _slanting_lines(piece, corner, far)
    crossings = _crossings(piece, corner, far, scene.plan.seam)
    lines = slanting or (_inset_lines(corner, far, scene.plan.seam) if crossings else _middle_lines(corner, far))
    guides = [view.ends(guide) for guide in lines]
    for guide in guides:
        sheet.line(guide, "ruler-line", STEEL, 8, "34 10", halo=6)
    for crossing in crossings:
        sheet.ring(view.spot(crossing))
    blade = bottom - (bottom - top) // 5
    view.letters(kept.facets, [*guides, ((right, blade - 40), (right, blade + 130))])
    sheet.down(top, bottom, edges[0] - 36, scene.figure(size[1]), left=True)
    sheet.across(left, right, edges[3] + 44, scene.figure(size[0]))
    sheet.path(f"M{left} {top}H{right}V{bottom}", "cut-line", INK, 9, "24 10", halo=7)
    signs.cutter(sheet, (right, blade))
    word = "squared" if scene.step.operation == "square" else "trimmed"
    where = "45° line on its seam" if slanting else "lines on its middle"
    if crossings:
        where = f"lines {scene.figure(scene.plan.seam)} {scene.plan.unit} inside on the ringed ends of its seams"
    return height, f"The piece {word} to {scene.figures(size)}, the ruler's {where}; grey is cut off."


def cut_off(piece: Piece, corner: XY, far: XY) -> tuple[Piece, list[Facet]]:
    """What is inside an upright rectangle, where it lies, and the areas outside."""
    outside: list[Facet] = []
    for line in (
        Straight(ONE, ZERO, corner[0]),
        Straight(-ONE, ZERO, -far[0]),
        Straight(ZERO, ONE, corner[1]),
        Straight(ZERO, -ONE, -far[1]),
    ):
        piece = clip_piece(piece, line, outside)
    return piece, outside


def _slanting_lines(piece: Piece, corner: XY, far: XY) -> list[Segment]:
    """The lines at 45 degrees through the middle that seams run on, from edge to edge of the rectangle."""
    x, y = halfway((corner, far))
    reach = least((far[0] - corner[0], far[1] - corner[1])) / 2
    found: dict[bool, Segment] = {}
    for seam in piece.seams:
        line = Straight.through(*seam.line)
        if line.a and abs(line.a) == abs(line.b) and line.side((x, y)) == 0:
            falling = line.a.sign() != line.b.sign()
            rise = reach if falling else -reach
            found[falling] = (x - reach, y - rise), (x + reach, y + rise)
    return list(found.values())


def _crossings(piece: Piece, corner: XY, far: XY, seam: Measure) -> list[XY]:
    """Where seams at other slopes than 45 degrees run through a corner, or the middle of a side, of the rectangle that
    lies a seam allowance inside."""
    (left, top), (right, bottom) = (corner[0] + seam, corner[1] + seam), (far[0] - seam, far[1] - seam)
    x, y = halfway((corner, far))
    ends = [(left, top), (right, top), (right, bottom), (left, bottom), (x, top), (right, y), (x, bottom), (left, y)]
    lines = [Straight.through(*each.line) for each in piece.seams]
    slanting = [line for line in lines if line.a and line.b and abs(line.b) != ONE]
    return [end for end in ends if any(line.side(end) == 0 for line in slanting)]


def _inset_lines(corner: XY, far: XY, seam: Measure) -> list[Segment]:
    """The lines of the ruler a seam allowance inside the edges of a rectangle."""
    (left, top), (right, bottom) = corner, far
    down = [((x, top), (x, bottom)) for x in (left + seam, right - seam)]
    return [*down, *(((left, y), (right, y)) for y in (top + seam, bottom - seam))]


def _middle_lines(corner: XY, far: XY) -> list[Segment]:
    x, y = halfway((corner, far))
    return [((x, corner[1]), (x, far[1])), ((corner[0], y), (far[0], y))]
