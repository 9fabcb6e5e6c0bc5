"""What a step's drawing is made from, and small helpers that several drawings share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from tracker.cloth.moving import flip, settled_piece, shift
from tracker.cloth.pieces import Content, Facet, Group, HalfSewn, Piece, Stack
from tracker.cloth.sewing import StepDone
from tracker.drawing.canvas import GREY, Sheet, closed
from tracker.drawing.tile_layout import Layout
from tracker.drawing.view import ClothView, figure
from tracker.exact.geometry import XY, ZERO, Segment, greatest
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.words.thing_words import plural
from tracker.work.steps import Checklist, Pile, Size, Step


@dataclass(frozen=True)
class Scene:
    """A step, what lay there before and after it, and the sheet to draw on; the layout where it is known already."""

    plan: Plan
    checklist: Checklist
    step: Step
    done: StepDone
    sheet: Sheet
    known: Layout | None = None

    @cached_property
    def layout(self) -> Layout:
        """Where every block of the quilt lies."""
        return self.known or Layout(self.plan, self.checklist)

    @property
    def taken(self) -> str:
        """The first pile that the step takes from."""
        return self.step.takes[0].pile

    @property
    def given(self) -> str:
        """The first pile that the step gives to."""
        return self.step.gives[0].pile

    @property
    def made(self) -> Pile:
        """The first pile that the step gives to, as data."""
        return self.checklist.made(self.step)

    def size_of(self, pile: str) -> Size:
        """The unfinished size of what lies on a pile that has one."""
        size = self.checklist.piles[pile].size
        assert size is not None
        return size

    def figure(self, length: Measure) -> str:
        return figure(length, self.plan)

    def figures(self, size: Size) -> str:
        return f"{self.figure(size[0])} × {self.figure(size[1])} {self.plan.unit}"

    def cloths(self, pile: str) -> str:
        """The cloths that lie on a pile, in words."""
        return named(self.plan, cloths_of(self.lies(pile)))

    def lies(self, pile: str) -> Content:
        """What lay on a pile before, or came to lie there."""
        return self.done.before.get(pile) or self.done.after[pile]

    def piece(self, pile: str) -> Piece:
        """What lies on a pile of single thicknesses; a layout of one piece is that piece."""
        return self.piece_in({pile: self.lies(pile)}, pile)

    def piece_in(self, lying: Mapping[str, Content], pile: str) -> Piece:
        """The same of what lay there at some moment."""
        content = lying[pile]
        if isinstance(content, Group) and len(content.pieces) == 1:
            return content.pieces[0]
        if isinstance(content, HalfSewn):
            return content.piece
        assert isinstance(content, Piece), pile
        return content

    def stack(self, pile: str) -> Stack:
        """What lies on a pile of pieces face to face; a single thickness is a stack of one."""
        content = self.lies(pile)
        if isinstance(content, Piece):
            return Stack(content, ())
        assert isinstance(content, Stack), pile
        return content

    def group(self, pile: str) -> Group:
        """The pieces that lie on a pile of layouts."""
        content = self.lies(pile)
        assert isinstance(content, Group), pile
        return content


def cloths_of(content: Content) -> Iterator[str]:
    """The key of every area of what lies there."""
    for piece in (content,) if isinstance(content, Piece) else content.pieces:
        for facet in piece.facets:
            yield facet.fabric


def named(plan: Plan, fabrics: Iterable[str]) -> str:
    """Cloths in words: a, b and c."""
    names = [plan.fabrics[key].name for key in dict.fromkeys(fabrics)]
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def counted(number: int, thing: str) -> str:
    """A number of things in words: "one seam", "4 seams"."""
    return f"{'one' if number == 1 else number} {plural(thing, number)}"


def halfway(ends: Segment) -> XY:
    """The middle of a segment."""
    (x1, y1), (x2, y2) = ends
    return (x1 + x2) / 2, (y1 + y2) / 2


def from_behind(piece: Piece) -> Piece:
    """The piece turned over, left to right, as its back is seen."""
    return settled_piece(flip().piece(piece))


def spread(pieces: Iterable[Piece], direction: str, gap: Measure) -> tuple[list[Piece], Size]:
    """Pieces in a line with gaps, "across" or "down", and the size of it all."""
    placed: list[Piece] = []
    axis = 0 if direction == "across" else 1
    along = across = ZERO
    for piece in pieces:
        placed.append((shift(ZERO, along) if axis else shift(along, ZERO)).piece(piece))
        across = greatest((across, piece.size[1 - axis]))
        along = along + piece.size[axis] + gap
    along = along - gap
    return placed, (across, along) if axis else (along, across)


def greyed(view: ClothView, facets: Iterable[Facet]) -> None:
    """Cloth that is cut off."""
    shape = "".join(closed(view.spots(facet.polygon)) for facet in facets)
    if shape:
        view.sheet.add(
            f'<path class="waste" fill="{GREY}" stroke="#6b6b6b" stroke-width="3" stroke-dasharray="10 6" d="{shape}"/>'
        )
