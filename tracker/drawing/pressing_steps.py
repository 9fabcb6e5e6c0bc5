"""Drawings of pressing a unit or a stack: folded on the table, then opened. Each gives its height and title."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from tracker.cloth.clipping import clip_piece
from tracker.cloth.folding import Fold, folds_of
from tracker.cloth.moving import flip, fold
from tracker.cloth.pieces import Piece, Stack
from tracker.drawing import signs
from tracker.drawing.arrange import SheetRoom, dimension_room, two
from tracker.drawing.canvas import Spot, away, between
from tracker.drawing.cutting_steps import Drawn
from tracker.drawing.scene import Scene, named
from tracker.drawing.view import ClothView
from tracker.exact.geometry import XY, ZERO, Segment, box
from tracker.exact.measure import Measure
from tracker.words.thing_words import has_no_sides
from tracker.work.steps import Press, Size


def draw_press(scene: Scene, action: Press) -> Drawn:
    """The folded piece with the cloth on top that the seam goes toward, wrong side up, and an arrow folding it back;
    then the same piece open with its allowance dotted and an arrow toward the side it lies on."""
    piece = scene.piece(scene.given)
    folds = folds_of(scene.stack(scene.taken), scene.plan.seam)
    stack, flaps = _under_the_iron(scene.stack(scene.taken), folds, action.toward)
    size, shifted = _with_flaps(stack, flaps)
    room = dimension_room(scene.figure(piece.size[1]), top=20)
    pictures = two(scene.sheet, size, piece.size, SheetRoom(top=20), room, gap=180)
    before = pictures.before.shifted(*(pictures.before.whole(length) for length in shifted))
    bows = [_bow(before, flap) for flap in flaps]
    before.stack(stack, [line for start, over, end in bows for line in ((start, over), (over, end))])
    for bow in bows:
        scene.sheet.bow(*bow)
    after, new = pictures.after, piece.seams[-sum(len(each.spans) for each in folds) :]
    arrows = [after.pressed_way(seam, 110) for seam in new]
    after.piece(piece, letters=False)
    after.allowances(piece, piece.seams, scene.plan.seam)
    after.letters(piece.facets, arrows)
    for arrow in arrows:
        scene.sheet.arrow(arrow, both=action.toward == "open")
    told = None if has_no_sides(scene.checklist, scene.step) else scene.step.size
    if told is not None:
        _measure(scene, after, piece, told)
    signs.iron(scene.sheet, pictures.sign)
    upper = named(scene.plan, [facet.fabric for own in stack.laid for facet in own.facets])
    sized = "" if told is None else f", {scene.figures(told)}"
    opened = f"piece opened, front up{sized}: its seam allowance goes"
    if action.toward == "open":
        return pictures.height, f"The {opened} both ways."
    return pictures.height, f"{upper} on top, wrong side up, folded back over the set seam; the {opened} to {upper}."


def _measure(scene: Scene, view: ClothView, piece: Piece, size: Size) -> None:
    """The size to check, each way along an edge that is so long: of a lopsided piece the longest edges are not."""
    (left, right), (top, bottom) = (_span(piece, axis, size[axis]) for axis in (0, 1))
    x, y = view.spot(piece.size)
    scene.sheet.across(view.left + view.whole(left), view.left + view.whole(right), y + 50, scene.figure(size[0]))
    scene.sheet.down(view.top + view.whole(top), view.top + view.whole(bottom), x + 46, scene.figure(size[1]))


def _span(piece: Piece, axis: int, length: Measure) -> tuple[Measure, Measure]:
    """From where to where a piece is so long, across (0) or down (1): along an edge of it, or all of it."""
    for start, end in piece.outline:
        low, high = sorted((start[axis], end[axis]))
        if start[1 - axis] == end[1 - axis] and high - low == length:
            return low, high
    return ZERO, piece.size[axis]


def _under_the_iron(stack: Stack, folds: Sequence[Fold], side: str) -> tuple[Stack, list[Segment]]:
    """A stack as it lies to be pressed, what the seam goes toward on top; and where each part of it is folded back to.

    Turned over about its seam, it comes to lie as it was when it is opened.
    """
    if side != "base":
        return stack, [_flap(laid, each) for laid, each in zip(stack.laid, folds, strict=True)]
    over = fold(folds[0].line) if len(folds) == 1 else flip()
    below = Piece(tuple(facet for piece in stack.laid for facet in piece.facets))
    turned = over.stack(Stack(below, (stack.base,), stack.stitches))
    return turned, [over.segment(_flap(stack.base, each)) for each in folds]


def _with_flaps(stack: Stack, flaps: Iterable[Segment]) -> tuple[XY, XY]:
    """The size of a stack with room for the tips of the arrows that open it, and how far that moves it."""
    left, top, right, bottom = stack.bounds
    own = box([(left, top), (right, bottom), *(tip for _, tip in flaps)])
    return (own[2] - own[0], own[3] - own[1]), (-own[0], -own[1])


def _flap(laid: Piece, each: Fold) -> Segment:
    """From the middle of what folds back to where it comes to lie."""
    corners = [corner for polygon in clip_piece(laid, each.line).polygons for corner in polygon]
    count = Fraction(1, len(corners))
    middle = sum((x for x, _ in corners), ZERO) * count, sum((y for _, y in corners), ZERO) * count
    return middle, each.line.reflected(middle)


def _bow(view: ClothView, flap: Segment) -> tuple[Spot, Spot, Spot]:
    """Start, bend and tip of an arrow from a flap over its seam to where the flap comes to lie."""
    start, end = view.ends(flap)
    x, y = between(start, end)
    lift = (abs(end[0] - start[0]) + abs(end[1] - start[1])) // 3
    return start, away((x, y), (x + (end[1] - start[1]), y - (end[0] - start[0])), lift), end
