"""Pieces of blocks that are larger than the cloth they are cut from, each with its place in the picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracker.exact.measure import Measure, round_up, write_length
from tracker.plan.fields import Report
from tracker.plan.model import Plan
from tracker.plan.picture import read_picture
from tracker.plan.problems import Problem
from tracker.plan.toml_text import Path, parse, read_text
from tracker.quilt.cloth_cutting import stands_upright
from tracker.work.steps import AddStrips, Checklist, Cut, LayOut, Size, Step
from tracker.work.whole_blocks import SetBlock

Place = tuple[int, ...]
"""Row and column of a block's picture, from 0; nothing for a strip of its frames."""


@dataclass(frozen=True)
class Larger:
    """A piece cut to `size` from a `fabric` on which it does not fit: the block, its first place there, and how many
    more places of the block need such a piece."""

    fabric: str
    size: Size
    block: str
    place: Place
    more: int


def larger_than_cloth(plan: Plan, checklist: Checklist) -> tuple[Larger, ...]:
    """Every piece for a block that is larger than its cloth, in the order of the steps.

    Where a cloth has a direction, patches and strips lie on it as they lie in the block.
    """
    cuts = {step.gives[0].pile: step.action for step in checklist.steps if isinstance(step.action, Cut) and step.count}
    if not any(max(cut.width, cut.height) > plan.fabrics[cut.fabric].usable for cut in cuts.values()):
        return ()
    found: dict[tuple[str, str], set[Place]] = {}
    from_cuts: dict[str, set[str]] = {pile: {pile} for pile in cuts}
    for step in checklist.steps:
        if step.per == "quilt":
            held = {cut for flow in step.takes for cut in from_cuts.get(flow.pile, ())}
            for flow in step.gives:
                from_cuts.setdefault(flow.pile, set()).update(held)
            continue
        for pile, upright, place in _laid(checklist, step):
            for cut in from_cuts.get(pile, ()):
                if _does_not_fit(plan, cuts[cut], upright if cut == pile else None):
                    found.setdefault((step.per, cut), set()).add(place)
    return tuple(
        Larger(cuts[cut].fabric, _size(cuts[cut]), block, min(places), len(places) - 1)
        for (block, cut), places in found.items()
    )


def _laid(checklist: Checklist, step: Step) -> Iterator[tuple[str, bool, Place]]:
    """What a block's step lays or sews on: the pile, whether its longer side stands upright, and where it lies."""
    if isinstance(step.action, LayOut):
        for place in step.action.places:
            yield place.pile, bool(place.turn % 180), (place.row, place.column)
    elif isinstance(step.action, SetBlock):
        # A block of one piece is cut, and nothing else is done before it is laid in its place.
        yield step.takes[0].pile, False, (0, 0)
    elif isinstance(step.action, AddStrips):
        yield step.action.base, False, (0, 0)
        yield step.action.strip, stands_upright(checklist.piles, step, step.action), ()


def _size(cut: Cut) -> Size:
    return cut.width, cut.height


def _on_ruler(plan: Plan, side: Measure) -> Measure:
    """A side as a ruler says it: that of a diamond or a triangle lies on none of its marks."""
    return side if side.is_rational else round_up(side, plan.ruler)


def _does_not_fit(plan: Plan, cut: Cut, upright: bool | None) -> bool:
    """Whether a piece does not fit across its cloth. `upright` None: it may be cut either way, but where its print has
    to stand."""
    fabric, sides = plan.fabrics[cut.fabric], _size(cut)
    if fabric.upright and len(cut.prints) == 1:
        upright = cut.prints[0] % 180 > 0
    across = max(sides) if fabric.directional and upright is False else min(sides)
    return across > fabric.usable


def cloth_problems(plan: Plan, larger: Sequence[Larger], text: str | bytes, file: str) -> tuple[Problem, ...]:
    """These pieces as problems of the text that the plan was read from, each with its line."""
    plain, _ = read_text(text, file)
    table, _ = parse(plain, file)
    report = Report(file, plain)
    for each in larger:
        fabric = plan.fabrics[each.fabric]
        path: Path = ("blocks", each.block, "picture" if each.place else "frame")
        cut = " by ".join(write_length(_on_ruler(plan, side), plan.unit, plain=True) for side in each.size)
        read = f"{cut} {plan.unit} from {each.fabric}" + (f", and {each.more} more like it" if each.more else "")
        where: dict[str, int | None] = {}
        if each.place:
            drawing = read_picture(table["blocks"][each.block]["picture"], plan.fabrics)
            line = report.lines.text_line(path, drawing.lines[each.place[0]])
            where = {"row": each.place[0] + 1, "cell": each.place[1] + 1, "line": line}
        kind = "wider than directed cloth" if fabric.directional else "larger than cloth"
        report.add(kind, path, read, f"{write_length(fabric.usable, plan.unit, plain=True)} {plan.unit}", **where)
    return report.problems()
