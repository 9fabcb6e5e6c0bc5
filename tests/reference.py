"""The actions done again with a general geometry library, in floats, as a reference for the exact sewing."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from handmade import number
from layered import FAR, FINE, NEAR, Layer, Layers, bounds, clipped, joined, layers_of, mapped, settled, turned
from shapely import LineString, box, intersection_all, union_all
from shapely import Polygon as Shape
from shapely.affinity import affine_transform, rotate, scale, translate
from shapely.geometry.base import BaseGeometry
from shapely.ops import split

from tracker.cloth.folding import folds_of
from tracker.cloth.pieces import Content, HalfSewn
from tracker.exact.geometry import XY
from tracker.exact.measure import Measure
from tracker.work import whole_blocks as assembling
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.partial_seams import EDGES_ROUND, BeginSeam, CloseSeam, PartialSeams, SewArm
from tracker.work.steps import (
    AddStrips,
    Cut,
    CutApart,
    Join,
    LayOut,
    Mark,
    Pair,
    Pin,
    Place,
    Press,
    PressSeams,
    Sew,
    Step,
    Trim,
)
from tracker.work.whole_blocks import (
    AddBorder,
    Assembly,
    Bind,
    ClipEars,
    CutLengths,
    JoinEnds,
    JoinParts,
    MeasureBlock,
    MitreCorners,
    QuiltLayers,
    SetBlock,
)


def redone(step: Step, before: dict[str, Content], seam: Measure) -> dict[str, Layers]:
    """What the step gives to each pile, all computed again from what lay there before it."""
    action, s = step.action, number(seam)
    taken = {pile: layers_of(content) for pile, content in before.items()}
    in_turn = list(zip(step.takes, step.gives, strict=False))
    match action:
        case Cut():
            return {step.gives[0].pile: [{action.fabric: box(0, 0, number(action.width), number(action.height))}]}
        case Mark() | Sew() | PressSeams() | PressAside():
            return {give.pile: taken[take.pile] for take, give in in_turn}
        case Pin():
            return {step.gives[0].pile: taken[action.first] + taken[action.second]}
        case Pair():
            return {step.gives[0].pile: _paired(action, taken)}
        case CutApart():
            return _cut_apart(action, taken[step.takes[0].pile])
        case Press():
            return {give.pile: _pressed(action, before[take.pile], seam) for take, give in in_turn}
        case Trim():
            return {give.pile: settled([_trimmed(taken[take.pile][0], action)]) for take, give in in_turn}
        case LayOut():
            return _laid_out(action.places, taken)
        case Join():
            return {give.pile: [joined(taken[take.pile], action.direction == "across", s)] for take, give in in_turn}
        case AddStrips():
            return {step.gives[0].pile: [_with_strips(action, taken, s)]}
        case SewToDots():
            return {step.gives[0].pile: settled([_sewn_to_dots(action, taken)])}
        case BeginSeam() | SewArm() | CloseSeam():
            return {step.gives[0].pile: settled([_sewn_round(action, before, taken, s)])}
        case _:
            return _united(step, action, taken, s)


def _sewn_to_dots(action: SewToDots, taken: dict[str, Layers]) -> Layer:
    """What is seen from the front: each piece beyond its seams, and before it what was there, ears in its corner
    clipped."""
    (whole,) = taken[action.base]
    for piece in action.pieces:
        (lying,) = turned(taken[piece.pile], piece.turn)
        move = number(piece.x), number(piece.y)
        lying = mapped(lying, lambda each, move=move: translate(each, *move))
        (x, y), ends = _dot(piece.seams[0][0]), [_dot(end) for _, end in piece.seams]
        if piece.is_set_in:
            near, seen = (Shape([(x, y), *((x + t * (a - x), y + t * (b - y)) for a, b in ends)]) for t in (2, FAR))
        else:
            (dx, dy), middle = (ends[0][0] - x, ends[0][1] - y), _all(lying).centroid
            side = 1 if dx * (middle.y - y) > dy * (middle.x - x) else -1
            out = -dy * side, dx * side
            rim = [(x - FAR * dx, y - FAR * dy), (x + FAR * dx, y + FAR * dy)]
            near = seen = Shape([*rim, *((a + FAR * out[0], b + FAR * out[1]) for a, b in rim[::-1])])
        kept = {fabric: each.difference(near) for fabric, each in whole.items()}
        whole = _over(kept, clipped(lying, seen), (0.0, 0.0))
    return whole


def _sewn_round(action: PartialSeams, before: dict[str, Content], taken: dict[str, Layers], s: float) -> Layer:
    """What is seen from the front of a seam begun, of one more piece beside it, and of it closed: flat, whatever is
    open."""
    if isinstance(action, CloseSeam):
        ((whole,),) = taken.values()
        return whole
    (base,), (arm,) = taken[action.base], taken[action.arm]
    _, _, width, height = bounds([base])
    _, _, across, down = bounds([arm])
    if isinstance(action, BeginSeam):
        aside = across - width if action.level == "right" else 0.0
        upper = clipped(arm, box(-FAR, -FAR, FAR, down - s))
        return _over(upper, clipped(base, box(-FAR, s, FAR, FAR)), (aside, down - 2 * s))
    half = before[action.base]
    assert isinstance(half, HalfSewn)
    edge, last = action.edge, EDGES_ROUND[half.level][3]
    if edge == "bottom":
        aside = _all(base).intersection(box(-FAR, height - s, FAR, height)).bounds[0]
        kept = clipped(base, box(-FAR, -FAR, FAR, height - s))
        return _over(kept, clipped(arm, box(-FAR, s, FAR, FAR)), (aside, height - 2 * s))
    open_at = number(half.open[0][1]) if edge == last else -FAR
    low = _all(base).intersection(box(-FAR, max(open_at + NEAR, 0), FAR, FAR))
    if edge == "right":
        at = low.bounds[2]
        gone, window, move = box(at - s, open_at, FAR, FAR), box(s, -FAR, FAR, FAR), (at - 2 * s, height - down)
    else:
        at = low.bounds[0]
        gone, window = box(-FAR, open_at, at + s, FAR), box(-FAR, -FAR, across - s, FAR)
        move = at + 2 * s - across, height - down
    kept = {fabric: each.difference(gone) for fabric, each in base.items()}
    seen = window.intersection(box(-FAR, open_at - move[1], FAR, FAR))
    return _over(kept, clipped(arm, seen), move)


def _all(layer: Layer) -> BaseGeometry:
    return union_all(list(layer.values()), grid_size=FINE)


def _over(whole: Layer, added: Layer, move: tuple[float, float]) -> Layer:
    """A layer with another beside it."""
    for fabric, each in added.items():
        whole[fabric] = union_all([whole.get(fabric, Shape()), translate(each, *move)], grid_size=FINE)
    return whole


def _united(step: Step, action: Assembly, taken: dict[str, Layers], s: float) -> dict[str, Layers]:
    """The same for what is done with whole blocks."""
    in_turn = list(zip(step.takes, step.gives, strict=False))
    match action:
        case SetBlock(turn=turn):
            return {give.pile: turned(taken[take.pile], turn) for take, give in in_turn}
        case QuiltLayers() | MeasureBlock():
            return {give.pile: taken[take.pile] for take, give in in_turn}
        case ClipEars():
            top = number(action.top)
            window = box(-FAR, top, FAR, top + number(action.height))
            return {give.pile: settled([clipped(taken[take.pile][0], window)]) for take, give in in_turn}
        case AddBorder():
            return {step.gives[0].pile: settled([_bordered(action, taken, s)])}
        case MitreCorners():
            return {give.pile: taken[take.pile] for take, give in in_turn}
        case JoinParts():
            return {step.gives[0].pile: [_parts_joined(action, taken, s)]}
        case JoinEnds():
            ((fabric, _),) = taken[step.takes[0].pile][0].items()
            width = number(action.width)
            lying = [(bounds(taken[flow.pile]), flow.each) for flow in step.takes]
            lengths = [w if abs(h - width) < NEAR else h for (_, _, w, h), each in lying for _ in range(each)]
            return {step.gives[0].pile: [{fabric: box(0, 0, sum(lengths) - width * (len(lengths) - 1), width)}]}
        case CutLengths(lengths=lengths):
            ((fabric, whole),) = taken[step.takes[0].pile][0].items()
            width = whole.bounds[3]
            return {each.pile: [{fabric: box(0, 0, number(each.length), width)}] for each in lengths}
        case assembling.Layer(top=pile) | Bind(quilt=pile):
            return {step.gives[0].pile: taken[pile]}


def _trimmed(layer: Layer, action: Trim) -> Layer:
    if not action.turn:
        return clipped(layer, _window(action))
    turned = mapped(layer, lambda each: rotate(each, action.turn, origin=_dot(action.centre)))
    return clipped(turned, _window(action))


def _bordered(action: AddBorder, taken: dict[str, Layers], s: float) -> Layer:
    """The base with four strips, the ends of each folded back where it meets the next at 45 degrees."""
    (base,) = taken[action.base]
    _, _, across, down = bounds([base])
    whole = clipped(base, box(s, s, across - s, down - s))
    lengths = [(across, action.ends), (down, action.sides), (across, action.ends), (down, action.sides)]
    for quarter, (length, pile) in enumerate(lengths):
        ((fabric, strip),) = taken[pile][0].items()
        long, wide = sorted(strip.bounds[2:], reverse=True)
        assert abs(long - length - 2 * number(action.beyond)) < NEAR
        beyond = (long - length) / 2
        lying = box(-beyond, 2 * s - wide, length + beyond, s)
        # Seen from the end of the border's seam, a fold goes outward as far aside as out.
        folds = Shape([(s, s), (s - FAR, s - FAR), (length - s + FAR, s - FAR), (length - s, s)])
        shown = lying.intersection(folds)
        # The top is turned so that its next edge is the upper one; the strip is turned back with it.
        for _ in range(quarter):
            shown = rotate(shown, 90, origin=(0, 0))
        moved = [(0, 0), (across, 0), (across, down), (0, down)][quarter]
        whole[fabric] = union_all([whole.get(fabric, Shape()), translate(shown, *moved)], grid_size=FINE)
    return whole


def _parts_joined(action: JoinParts, taken: dict[str, Layers], s: float) -> Layer:
    lying = [turned(taken[member.pile], member.turn)[0] for member in action.members]
    across = action.direction == "across"
    if action.level:
        return joined(lying, across, s)
    whole = lying[0]
    for member, layer in zip(action.members[1:], lying[1:], strict=True):
        _, _, width, height = bounds([whole])
        end, along = (width if across else height) - s, number(member.along)
        move = (end - s, along) if across else (along, end - s)
        kept = clipped(whole, box(-FAR, -FAR, end, FAR) if across else box(-FAR, -FAR, FAR, end))
        beyond = clipped(layer, box(s, -FAR, FAR, FAR) if across else box(-FAR, s, FAR, FAR))
        (whole,) = settled([_over(kept, beyond, move)])
    return whole


def _dot(point: XY) -> tuple[float, float]:
    return number(point[0]), number(point[1])


def _paired(action: Pair, taken: dict[str, Layers]) -> Layers:
    layers = list(taken[action.base])
    for laid in action.laid:
        lying = turned(taken[laid.pile], laid.turn)[0]
        if laid.over is None:
            lying = mapped(lying, lambda each: scale(each, -1, 1, origin=(0, 0)))
        (lying,) = settled([lying])
        x, y = number(laid.x), number(laid.y)
        lying = mapped(lying, lambda each, x=x, y=y: translate(each, x, y))
        if laid.over is not None:
            over = _mirror(*map(_dot, laid.over))
            lying = mapped(lying, lambda each, over=over: affine_transform(each, over))
        layers.append(lying)
    return settled(layers)


def _mirror(one: tuple[float, float], other: tuple[float, float]) -> list[float]:
    """What folds a plane over the line through two points, as shapely takes it."""
    (x, y), (dx, dy) = one, (other[0] - one[0], other[1] - one[1])
    whole = dx * dx + dy * dy
    cos, sin = (dx * dx - dy * dy) / whole, 2 * dx * dy / whole
    return [cos, sin, sin, -cos, x - cos * x - sin * y, y - sin * x + cos * y]


def _cut_apart(action: CutApart, layers: Layers) -> dict[str, Layers]:
    left, top, right, bottom = bounds(layers)
    parts: list[BaseGeometry] = [box(left - 1, top - 1, right + 1, bottom + 1)]
    for line in action.lines:
        (x1, y1), (x2, y2) = map(_dot, line)
        far = LineString([(x1 - 99 * (x2 - x1), y1 - 99 * (y2 - y1)), (x2 + 99 * (x2 - x1), y2 + 99 * (y2 - y1))])
        parts = [each for part in parts for each in split(part, far).geoms]
    given: dict[str, Layers] = {}
    for part in action.parts:
        if part.pile is not None and part.pile not in given:
            (window,) = [each for each in parts if each.contains(shape_point(part.inside))]
            cut = [kept for layer in layers if (kept := clipped(layer, window))]
            given[part.pile] = turned(cut, part.turn)
    return given


def shape_point(point: XY) -> BaseGeometry:
    return LineString([_dot(point), _dot(point)]).centroid


def _pressed(action: Press, content: Content, seam: Measure) -> Layers:
    """Fold by fold: the base loses what lies behind the seam, the flap is mirrored over it."""
    base, *laid = layers_of(content)
    flaps: list[Layer] = []
    windows = []
    for layer, fold in zip(laid, folds_of(content, seam), strict=True):  # type: ignore[arg-type]
        a, b, c = (number(each) for each in (fold.line.a, fold.line.b, fold.line.c))
        window = _half_plane(a, b, c)
        windows.append(window)
        n = a * a + b * b
        over = [1 - 2 * a * a / n, -2 * a * b / n, -2 * a * b / n, 1 - 2 * b * b / n, 2 * a * c / n, 2 * b * c / n]
        flaps.append(mapped(clipped(layer, window), lambda each, over=over: affine_transform(each, over)))
    shown: Layer = {}
    hidden: BaseGeometry = Shape()
    for layer in [*flaps, clipped(base, intersection_all(windows))]:
        for fabric, each in layer.items():
            seen = each.difference(hidden)
            shown[fabric] = union_all([shown.get(fabric, Shape()), seen], grid_size=FINE)
        hidden = union_all([hidden, *layer.values()], grid_size=FINE)
    return turned(settled([shown]), action.turn)


def _half_plane(a: float, b: float, c: float) -> Shape:
    """A large rectangle where a*x + b*y >= c."""
    n = a * a + b * b
    x, y, far = a * c / n, b * c / n, 500 / n**0.5
    corners = [(-far, 0), (far, 0), (far, far), (-far, far)]
    return Shape([(x - b * along + a * up, y + a * along + b * up) for along, up in corners])


def _window(action: Trim) -> Shape:
    x, y = _dot(action.centre)
    half, high = number(action.width) / 2, number(action.height) / 2
    return box(x - half, y - high, x + half, y + high)


def _laid_out(places: Sequence[Place], taken: dict[str, Layers]) -> dict[str, Layers]:
    groups: dict[str, Layers] = {}
    for place in places:
        groups.setdefault(place.group, []).extend(turned(taken[place.pile], place.turn))
    return groups


def _with_strips(action: AddStrips, taken: dict[str, Layers], s: float) -> Layer:
    base, strip, across = taken[action.base], turned(taken[action.strip], action.turn), action.edges == "sides"
    _, _, width, height = bounds(base)
    beyond = number(action.beyond)
    edge = (height if across else width) + 2 * beyond
    for turn in (90, 0) if across else (0, 90):
        lying = turned(strip, turn)
        _, _, strip_width, strip_height = bounds(lying)
        if abs((strip_height if across else strip_width) - edge) < NEAR:
            break
    about = turned(lying, 180) if action.outward else lying
    # Lying across, a strip's upper edge is outward above; turned by a quarter, on the right.
    first, last = (about, lying) if across else (lying, about)
    return joined([*first, *base, *last], across, s, beyond)


def floating_squares(side: float, s: float, floats: float) -> list[float]:
    """Sides of the squares for a side and a corner triangle on point: what lies between the blocks (their sides `side`)
    and the quilt's edge, the points `floats` inside it, with the allowance `s` all round; the long edge of a side
    triangle, the short one of a corner triangle."""
    far, reach = 50 * (side + floats + 1), side / sqrt(2)
    above = box(-far, -floats, far, far)
    between = Shape([(0, reach), (-far, reach - far), (far, reach - far)])
    corner = Shape([(-far, reach + far), (reach + far, -far), (-far, -far)])
    sides = above.intersection(between), above.intersection(box(-floats, -far, far, far)).intersection(corner)
    grown = [each.buffer(s, join_style="mitre", mitre_limit=20).bounds for each in sides]
    return [grown[0][2] - grown[0][0], grown[1][2] - grown[1][0]]
