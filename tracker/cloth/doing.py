"""What one action does to the cloth that lies there: one step, done once, by the words of its action."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from tracker.cloth.clipping import clip_piece
from tracker.cloth.folding import cut_stack, press_open, sew_lines
from tracker.cloth.half_sewn import begin_seam, close_seam, sew_arm
from tracker.cloth.joining import Junction, add_strips, join_pieces, press_seams
from tracker.cloth.mitring import add_border, mitre_corners
from tracker.cloth.moving import flip, fold, settled, settled_piece, shift, turn, turned_piece
from tracker.cloth.pieces import UP, Content, Group, HalfSewn, Piece, Stack, patch, span_of, spans_on
from tracker.cloth.setting_in import press_aside, sew_to_dots
from tracker.cloth.sewing_faults import Impossible
from tracker.cloth.uniting import bind, clip_ears, cut_lengths, join_ends, join_parts, layer, set_block
from tracker.exact.geometry import ONE, ZERO, Straight, intersection, left_of_spans
from tracker.exact.measure import Measure
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.partial_seams import BeginSeam, CloseSeam, PartialSeams, SewArm
from tracker.work.steps import (
    AddStrips,
    Cut,
    CutApart,
    Join,
    LayOut,
    Mark,
    Pair,
    Pin,
    Press,
    PressSeams,
    Sew,
    Step,
    Trim,
)
from tracker.work.things import SIDES
from tracker.work.whole_blocks import (
    AddBorder,
    Assembly,
    Bind,
    ClipEars,
    CutLengths,
    JoinEnds,
    JoinParts,
    Layer,
    MeasureBlock,
    MitreCorners,
    QuiltLayers,
    SetBlock,
)


@dataclass(frozen=True)
class Margins:
    """What a trim cuts off on each side, measured from the bounding box."""

    left: Measure
    top: Measure
    right: Measure
    bottom: Measure


@dataclass(frozen=True)
class ActionResult:
    """What a step gives: for each pile the contents put on it, in order. `margins` is there for a trim.

    `junctions` holds for each pile given by a join (or strips) and each new seam the places where seams meet across it.
    """

    after: Mapping[str, list[Content]]
    margins: Margins | None = None
    junctions: Mapping[str, tuple[tuple[Junction, ...], ...]] = field(default_factory=dict)


Lying = TypeVar("Lying", Piece, Stack, Group, HalfSewn)
_FOUND: dict[type, str] = {
    Piece: "a single piece", Stack: "a stack of pieces", Group: "a group of pieces", HalfSewn: "a seam begun"
}  # fmt: skip
_NEEDED: dict[type, str] = {Stack: "pieces face to face", HalfSewn: "a seam that is begun"}
"""What lies on a pile, and how it is asked for, where that is said otherwise."""


def do(step: Step, before: Mapping[str, Content], seam: Measure) -> ActionResult:
    """Do a step once with what lies on the piles it takes from. Raises Impossible."""
    return _Doing(step, before, seam).run()


class _Doing:
    """One step being done: the step, what lies on the piles it takes from, and the seam."""

    def __init__(self, step: Step, before: Mapping[str, Content], seam: Measure) -> None:
        self.step, self.before, self.seam = step, before, seam

    def run(self) -> ActionResult:
        action = self.step.action
        match action:
            case Cut():
                return self._cut(action)
            case Mark():
                return self._each_piece(lambda piece: _marked(piece, action))
            case Pair():
                return self._pair(action)
            case Sew(lines=lines):
                return self._each(lambda pile: sew_lines(self._lying(pile, Stack), list(lines), self.seam))
            case CutApart():
                return self._cut_apart(action)
            case Press(toward=toward, turn=degrees):
                return self._each(lambda pile: press_open(self._lying(pile, Stack), toward, degrees, self.seam))
            case Trim():
                return self._trim(action)
            case LayOut():
                return self._lay_out(action)
            case Pin(first=first, second=second):
                self._takes((first, second))
                return self._given(Group((self._piece(first), self._piece(second))))
            case Join():
                return self._join(action)
            case PressSeams():
                return self._press_seams(action)
            case AddStrips():
                return self._add_strips(action)
            case BeginSeam() | SewArm() | CloseSeam():
                return self._half_sewn(action)
            case SewToDots(base=base, pieces=pieces):
                self._takes([base, *(each.pile for each in pieces)])
                laid = [(self._piece(each.pile), each) for each in pieces]
                return self._given(sew_to_dots(self._piece(base), laid, self.seam))
            case PressAside():
                return self._each_piece(lambda piece: press_aside(piece, action))
            case _:
                return self._unite(action)

    # What a step takes and gives

    def _piece(self, pile: str) -> Piece:
        content = self.before.get(pile)
        if isinstance(content, Group) and len(content.pieces) == 1:
            return content.pieces[0]
        return self._lying(pile, Piece)

    def _lying(self, pile: str, kind: type[Lying]) -> Lying:
        """What lies on a pile, which must be of that kind."""
        content = self.before.get(pile)
        if not isinstance(content, kind):
            found = "nothing that the step takes" if content is None else _FOUND[type(content)]
            raise Impossible("wrong thing", pile=pile, needed=_NEEDED.get(kind, _FOUND[kind]), found=found)
        return content

    def _takes(self, wanted: Iterable[str]) -> None:
        _same_counts(Counter(wanted), {flow.pile: flow.each for flow in self.step.takes}, "wrong takes")

    def _gives(self, wanted: Iterable[str]) -> None:
        _same_counts(Counter(wanted), {flow.pile: flow.each for flow in self.step.gives}, "wrong gives")

    def _given(self, content: Content) -> ActionResult:
        """The step's one result on its one pile."""
        if len(self.step.gives) != 1:
            raise Impossible("wrong gives", pile="one pile", needed=1, found=len(self.step.gives))
        pile = self.step.gives[0].pile
        self._gives([pile])
        return ActionResult({pile: [content]})

    def _in_parallel(self) -> list[tuple[str, str]]:
        """Pairs of a pile taken from and the pile that its result goes to, one piece of each."""
        takes, gives = self.step.takes, self.step.gives
        if len(takes) != len(gives):
            raise Impossible("wrong gives", pile="as many piles", needed=len(takes), found=len(gives))
        self._takes(flow.pile for flow in takes)
        self._gives(flow.pile for flow in gives)
        return [(take.pile, give.pile) for take, give in zip(takes, gives, strict=True)]

    # The actions

    def _cut(self, action: Cut) -> ActionResult:
        self._takes(())
        if min(action.width.sign(), action.height.sign()) <= 0:
            raise Impossible("no cloth", width=action.width, height=action.height)
        return self._given(patch(action.fabric, action.width, action.height, action.prints))

    def _each_piece(self, change: Callable[[Piece], Piece]) -> ActionResult:
        return self._each(lambda pile: change(self._piece(pile)))

    def _each(self, change: Callable[[str], Content]) -> ActionResult:
        return ActionResult({give: [change(take)] for take, give in self._in_parallel()})

    def _pair(self, action: Pair) -> ActionResult:
        self._takes([action.base, *(laid.pile for laid in action.laid)])
        base = self._piece(action.base)
        pieces = []
        for number, laid in enumerate(action.laid, 1):
            lying = turn(laid.turn).piece(self._piece(laid.pile))
            lying = shift(laid.x, laid.y).piece(settled_piece(lying if laid.over else flip().piece(lying)))
            if laid.over is not None:
                lying = fold(Straight.through(*laid.over)).piece(lying)
            if not any(intersection(p, q) for p in base.polygons for q in lying.polygons):
                raise Impossible("not on the base", piece=number)
            pieces.append(lying)
        return self._given(settled(Stack(base, tuple(pieces))))

    def _cut_apart(self, action: CutApart) -> ActionResult:
        if len(self.step.takes) != 1:
            raise Impossible("wrong takes", pile="one pile", needed=1, found=len(self.step.takes))
        pile = self.step.takes[0].pile
        self._takes([pile])
        content = self.before[pile]
        stack = Stack(content, ()) if isinstance(content, Piece) else self._lying(pile, Stack)
        named = [part.pile for part in action.parts if part.pile is not None]
        self._gives(named)
        stacks = cut_stack(stack, list(action.lines), [part.inside for part in action.parts])
        after: dict[str, list[Content]] = {}
        for part, cut in zip(action.parts, stacks, strict=True):
            if part.pile is not None:
                after.setdefault(part.pile, []).append(_tidied(settled(turn(part.turn).stack(cut))))
        return ActionResult(after)

    def _trim(self, action: Trim) -> ActionResult:
        if len(self.step.takes) != 1:
            raise Impossible("wrong takes", pile="one pile", needed=1, found=len(self.step.takes))
        ((take, give),) = self._in_parallel()
        trimmed, margins = _trimmed(self._piece(take), action)
        return ActionResult({give: [trimmed]}, margins)

    def _lay_out(self, action: LayOut) -> ActionResult:
        self._takes(place.pile for place in action.places)
        groups: dict[str, list[Piece]] = {}
        for place in action.places:
            lying = turned_piece(self._piece(place.pile), place.turn)
            if self.step.per != "quilt":
                lying = _chosen(lying)
            groups.setdefault(place.group, []).append(lying.covering(((place.row, place.column),)))
        self._gives(list(groups))
        return ActionResult({name: [Group(tuple(pieces))] for name, pieces in groups.items()})

    def _join(self, action: Join) -> ActionResult:
        after: dict[str, list[Content]] = {}
        junctions = {}
        for take, give in self._in_parallel():
            whole, junctions[give] = join_pieces(self._lying(take, Group).pieces, action.direction, self.seam)
            after[give] = [whole]
        return ActionResult(after, junctions=junctions)

    def _press_seams(self, action: PressSeams) -> ActionResult:
        pairs = self._in_parallel()
        if len(action.seams) != len(pairs):
            raise Impossible("wrong seams", found=len(action.seams), needed=len(pairs))
        orders = dict(zip((take for take, _ in pairs), action.seams, strict=True))

        def pressed(pile: str) -> Content:
            content = self.before.get(pile)
            if isinstance(content, HalfSewn):
                return replace(content, piece=press_seams(content.piece, orders[pile]))
            return press_seams(self._piece(pile), orders[pile])

        return self._each(pressed)

    def _add_strips(self, action: AddStrips) -> ActionResult:
        self._takes([action.base, action.strip, action.strip])
        base, strip = self._piece(action.base), turned_piece(self._piece(action.strip), action.turn)
        # A unit that is a whole block by itself was never laid out: from here on it is the block, the strips are not.
        base = base if base.cells else base.covering(((0, 0),))
        if self.step.per != "quilt":
            along = action.edges == SIDES
            lies = 0 if strip.size[along] == base.size[along] + 2 * action.beyond else 90
            strip = turned_piece(_chosen(turned_piece(strip, lies)), -lies)
        whole, met = add_strips(base, strip, action.edges, self.seam, action.beyond, action.outward)
        return replace(self._given(whole), junctions={self.step.gives[0].pile: met})

    def _half_sewn(self, action: PartialSeams) -> ActionResult:
        whole: Content
        if isinstance(action, BeginSeam):
            self._takes((action.base, action.arm))
            whole, met = begin_seam(self._piece(action.base), self._piece(action.arm), action, self.seam)
        else:
            own = action.base if isinstance(action, SewArm) else self.step.takes[0].pile
            self._takes((action.base, action.arm) if isinstance(action, SewArm) else (own,))
            half = self._lying(own, HalfSewn)
            if isinstance(action, SewArm):
                whole, met = sew_arm(half, self._piece(action.arm), action.edge, self.seam)
            else:
                whole, met = close_seam(half, self.seam)
        return replace(self._given(whole), junctions={self.step.gives[0].pile: (met,)})

    # Whole blocks

    def _unite(self, action: Assembly) -> ActionResult:
        match action:
            case SetBlock():
                return self._each_piece(lambda piece: set_block(piece, action))
            case ClipEars():
                return self._each_piece(lambda piece: clip_ears(piece, action))
            case QuiltLayers() | MeasureBlock():
                return self._each_piece(lambda piece: piece)
            case JoinParts(members=members):
                self._takes(member.pile for member in members)
                whole, met = join_parts([self._piece(member.pile) for member in members], action, self.seam)
                return replace(self._given(whole), junctions={self.step.gives[0].pile: met})
            case AddBorder(base=base, sides=sides, ends=ends):
                self._takes([base, sides, sides, ends, ends])
                return self._given(
                    add_border(self._piece(base), self._piece(sides), self._piece(ends), action, self.seam)
                )
            case MitreCorners():
                return self._each_piece(lambda piece: mitre_corners(piece, action, self.seam))
            case JoinEnds():
                strips = [self._piece(flow.pile) for flow in self.step.takes for _ in range(flow.each)]
                return self._given(join_ends(strips, action))
            case CutLengths(lengths=lengths):
                self._takes([self.step.takes[0].pile])
                self._gives(length.pile for length in lengths for _ in range(length.count))
                found = cut_lengths(self._piece(self.step.takes[0].pile), action)
                return ActionResult({pile: list(pieces) for pile, pieces in found.items()})
            case Layer(top=top, backing=backing):
                self._takes([top] if backing is None else [top, backing])
                under = None if backing is None else self._piece(backing)
                return self._given(layer(self._piece(top), under, action))
            case Bind(quilt=quilt, binding=binding):
                self._takes([quilt, binding])
                return self._given(bind(self._piece(quilt), self._piece(binding), action))


def _chosen(lying: Piece) -> Piece:
    """A patch alone as it is laid: of those on its pile one whose print stands upright there, if there is such."""
    if len(lying.facets) == 1 and len(lying.facets[0].ups) > 1 and UP in lying.facets[0].ups:
        return replace(lying, facets=(replace(lying.facets[0], ups=(UP,)),))
    return lying


def _same_counts(wanted: Mapping[str, int], found: Mapping[str, int], kind: str) -> None:
    for pile in dict.fromkeys((*wanted, *found)):
        if wanted.get(pile, 0) != found.get(pile, 0):
            raise Impossible(kind, pile=pile, needed=wanted.get(pile, 0), found=found.get(pile, 0))


def _marked(piece: Piece, action: Mark) -> Piece:
    lines = list(action.lines)
    for segment in lines:
        line = Straight.through(*segment)
        if left_of_spans([span_of(segment, line)], spans_on(piece.polygons, line)):
            raise Impossible("mark off the cloth")
    return replace(piece, marks=(*piece.marks, *lines))


def _tidied(stack: Stack) -> Content:
    """A stack of one thickness is a piece."""
    return stack if stack.laid else stack.base


def _trimmed(piece: Piece, action: Trim) -> tuple[Piece, Margins]:
    if min(action.width.sign(), action.height.sign()) <= 0:
        raise Impossible("no cloth", width=action.width, height=action.height)
    x, y = action.centre
    if action.turn:
        piece = turn(action.turn).piece(shift(-x, -y).piece(piece))
        x, y = ZERO, ZERO
    left, right = x - action.width / 2, x + action.width / 2
    top, bottom = y - action.height / 2, y + action.height / 2
    kept = piece
    for a, b, c in ((ONE, ZERO, left), (-ONE, ZERO, -right), (ZERO, ONE, top), (ZERO, -ONE, -bottom)):
        kept = clip_piece(kept, Straight(a, b, c))
    if kept.area != action.width * action.height:
        raise Impossible("too small to trim", width=action.width, height=action.height)
    first, upper, last, lower = piece.bounds
    return settled_piece(kept), Margins(left - first, top - upper, last - right, lower - bottom)
