"""Borders, binding and backing: what goes round a centre and under it, and how it is cut. All sizes are exact."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tracker.exact.geometry import Polygon
from tracker.exact.measure import Measure, exact, round_up
from tracker.plan.model import Plan
from tracker.work.steps import CutPiece, Size

_BINDING_EXTRA = {"in": Measure(10), "cm": Measure(25)}
MITRE_ROOM = {"in": Measure(4), "cm": Measure(10)}
"""How much longer the strips of a mitred border are than its corners need (common practice)."""


class CannotCut(Exception):
    """Cloth that is too narrow for a part of the quilt: `part` (as a piece's use), `fabric` (its key)."""

    def __init__(self, part: str, fabric: str) -> None:
        super().__init__(f"{part} from {fabric}")
        self.part = part
        self.fabric = fabric


class TooLarge(CannotCut):
    """A piece that cannot be cut whole from its cloth, and is not joined of several."""


@dataclass(frozen=True)
class BorderStrip:
    """One strip of a border (numbered from 1, inner first) on one side: left, right, top or bottom."""

    border: int
    side: str
    fabric: str
    length: Measure
    width: Measure


@dataclass(frozen=True)
class BindingNeed:
    """Double-fold binding: `length` to have when joined, from `strips` of the cloth's usable width."""

    fabric: str
    length: Measure
    strips: int
    width: Measure


@dataclass(frozen=True)
class BackingNeed:
    """A backing of `size`, pieced of `panels` cut from `length` of cloth; `seams` run "down" or "across" the quilt."""

    fabric: str
    size: Size
    length: Measure
    panels: tuple[Size, ...]
    runs: str

    @property
    def seams(self) -> int:
        return len(self.panels) - 1


def on_marks(plan: Plan, size: Size) -> Size:
    """A size up to the ruler's next marks, for what is larger than it must be and cut level later."""
    return round_up(size[0], plan.ruler), round_up(size[1], plan.ruler)


def grown(size: Size, by: Measure) -> Size:
    """A size so much larger both ways."""
    return size[0] + by, size[1] + by


def mitred_border(left: Measure, top: Measure, right: Measure, bottom: Measure, wide: Measure) -> list[Polygon]:
    """What each strip of a mitred border of finished width shows round a top with these edges: upper, right, lower,
    left."""
    inner = (left, top), (right, top), (right, bottom), (left, bottom)
    outer = (
        (left - wide, top - wide),
        (right + wide, top - wide),
        (right + wide, bottom + wide),
        (left - wide, bottom + wide),
    )
    return [(outer[n], outer[(n + 1) % 4], inner[(n + 1) % 4], inner[n]) for n in range(4)]


def border_lengths(
    size: Size, cut: Measure, seam: Measure, corners: bool, mitre_room: Measure | None = None
) -> tuple[Measure, Measure, Size]:
    """A border round a top of unfinished `size`: cut length of its sides, of its top and bottom, and the size after.

    The sides go on first; with cornerstones (sewn to its ends) the top is as long as the quilt was wide before. Mitred
    (`mitre_room` is there), each strip is as long as the quilt becomes, and so much more.
    """
    added = 2 * (cut - 2 * seam)
    after = grown(size, added)
    if mitre_room is not None:
        return after[1] + mitre_room, after[0] + mitre_room, after
    return size[1], size[0] if corners else after[0], after


def border_pieces(plan: Plan, strips: list[BorderStrip]) -> Iterator[CutPiece]:
    """Strips of all borders as they are cut, each with its like on the other side."""
    for strip in strips[::2]:
        border = plan.quilt.borders[strip.border - 1]
        if border.is_pieced:
            continue
        # A cloth with a direction stands upright in the quilt, whichever way the border is cut.
        directional = plan.fabrics[strip.fabric].directional
        lying = strip.side != "left" if directional else not border.lengthwise
        length = round_up(strip.length, plan.ruler)
        across, along = (length, strip.width) if lying else (strip.width, length)
        yield CutPiece(strip.fabric, across, along, 2, "border", fixed=not lying, joined=lying)


def strips_to_join(length: Measure, usable: Measure, loss: Measure) -> int:
    """How many strips of `usable` length, each join losing `loss`, make at least `length`. Needs usable > loss.

    Joined end to end, on the diagonal, strips lose as much as they are wide.
    """
    if length <= usable:
        return 1
    return -((-(length - loss) / (usable - loss)).__floor__())


def binding_round(plan: Plan, size: Size) -> BindingNeed | None:
    """What goes round a top of unfinished `size`: its perimeter and what turning the corners and joining the ends take.

    None where the plan has no binding. Raises CannotCut where its cloth is too narrow to be joined at all."""
    binding = plan.quilt.binding
    if binding is None:
        return None
    length = 2 * (size[0] + size[1]) + _BINDING_EXTRA[plan.unit]
    usable = plan.fabrics[binding.fabric].usable
    if usable <= binding.cut:
        raise CannotCut("binding", binding.fabric)
    return BindingNeed(binding.fabric, length, strips_to_join(length, usable, binding.cut), binding.cut)


def panels(width: Measure, height: Measure, usable: Measure, seam: Measure) -> list[Size]:
    """Panels, side by side, that piece a `width` x `height`: all of the usable width but the last. Needs usable >
    two seams."""
    number = strips_to_join(width, usable, 2 * seam)
    last = width + (2 * seam - usable) * (number - 1)
    return [(usable, height)] * (number - 1) + [(last, height)]


def backing_under(plan: Plan, size: Size) -> BackingNeed | None:
    """Panels down the quilt or across it, whichever takes less cloth, then fewer seams; a cloth with a direction only
    down."""
    backing = plan.quilt.backing
    if backing is None:
        return None
    fabric = plan.fabrics[backing.fabric]
    if fabric.usable <= 2 * plan.seam:
        raise CannotCut("backing", backing.fabric)
    width, height = on_marks(plan, grown(size, 2 * backing.beyond))
    ways = {"down": panels(width, height, fabric.usable, plan.seam)}
    if not fabric.directional:
        ways["across"] = panels(height, width, fabric.usable, plan.seam)
    needs = [
        BackingNeed(fabric.key, (width, height), cut[0][1] * len(cut), tuple(cut), runs) for runs, cut in ways.items()
    ]
    return min(needs, key=lambda need: (need.length, need.seams))


def cut_for_finishing(plan: Plan, binding: BindingNeed | None, backing: BackingNeed | None) -> Iterator[CutPiece]:
    """Binding strips and backing panels as they are cut."""
    if binding is not None:
        usable = plan.fabrics[binding.fabric].usable
        yield CutPiece(binding.fabric, usable, binding.width, binding.strips, "binding", fixed=True)
    for size in dict.fromkeys(backing.panels) if backing else ():
        assert backing is not None
        count = backing.panels.count(size)
        yield CutPiece(backing.fabric, exact(size[0]), exact(size[1]), count, "backing", fixed=True)
