"""Every way to change one printed value of a checklist, nothing recomputed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

from list_mutants import cloths, flows_changed, keys_changed, list_mutants, other, sizes

from tracker.exact.measure import Measure
from tracker.quilt.cloth_cutting import BLOCK_USES
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.partial_seams import BeginSeam, CloseSeam, SewArm
from tracker.work.pressed import SeamPress
from tracker.work.steps import AddStrips, Checklist, Cut, Join, Laid, Pair, Part, Pile, Pin, Press, Step
from tracker.work.whole_blocks import Nest

OFF = Measure(Fraction(1, 16))
"""How far a printed length is changed, both ways; well within the usual trimming room."""
TURNS = (90, 180, 270)


@dataclass(frozen=True)
class Mutant:
    """A changed checklist; `step` and `value` say what was changed, and how."""

    step: str
    value: str
    how: str
    checklist: Checklist


def mutants(checklist: Checklist) -> Iterator[Mutant]:
    """All of them: piles, the steps done (sizes, places, lines, turns, sides, cloths, counts, piles), and the lists."""
    for key, pile in checklist.piles.items():
        for value, changed_pile in _piles(checklist, pile):
            piles = {**checklist.piles, key: changed_pile}
            yield Mutant(key, value, "", replace(checklist, piles=piles))
    for place, step in enumerate(checklist.steps):
        if step.count == 0:
            # Nobody does it: an unwanted mirror image is left lying.
            continue
        for value, how, changed in _steps(checklist, step):
            steps = (*checklist.steps[:place], changed, *checklist.steps[place + 1 :])
            yield Mutant(step.id, value, how, replace(checklist, steps=steps))
    for value, how, changed_lists in list_mutants(checklist, OFF):
        yield Mutant("lists", value, how, changed_lists)


def _piles(checklist: Checklist, pile: Pile) -> Iterator[tuple[str, Pile]]:
    if pile.size is not None:
        for size in sizes(pile.size, OFF):
            yield "pile size", replace(pile, size=size)
    # A pile that no step done gives to stays empty.
    if any(step.count and flow.pile == pile.id for step in checklist.steps for flow in step.gives):
        yield "pile block", replace(pile, block=None if pile.block else checklist.blocks[0].key)
        for fabrics in keys_changed(pile.fabrics, cloths(checklist)):
            yield "pile fabrics", replace(pile, fabrics=fabrics)


def _steps(checklist: Checklist, step: Step) -> Iterator[tuple[str, str, Step]]:
    for by in (1, -1):
        yield "count", f"{by:+}", replace(step, count=step.count + by)
    for field in ("takes", "gives"):
        for value, how, flows in flows_changed(getattr(step, field), list(checklist.piles)):
            yield f"{field} {value}", how, replace(step, **{field: flows})  # type: ignore[arg-type]
    if step.size is not None:
        for number, size in enumerate(sizes(step.size, OFF)):
            yield "step size", str(number), replace(step, size=size)
    yield "per", "", replace(step, per=other(step.per, ["quilt", *(row.key for row in checklist.blocks)]))
    if step.blocks is not None:
        numbers = [place for row in checklist.pressing.places for place in row]
        missing = [number for number in range(1, len(numbers) + 1) if number not in step.blocks]
        yield "blocks", "fewer", replace(step, blocks=step.blocks[1:])
        if missing:
            yield "blocks", "others", replace(step, blocks=(*step.blocks[1:], missing[0]))
        yield "version", "", replace(step, version="Q")
    for value, how, action in _changed(step.action, type(step.action).__name__, cloths(checklist)):
        yield value, how, replace(step, action=action)


def _changed(data: Any, path: str, known: list[str]) -> Iterator[tuple[str, str, Any]]:
    """Every change of one number, turn or word inside an action, by its path."""
    if isinstance(data, Measure):
        yield path, "more", data + OFF
        yield path, "less", data - OFF
    elif is_line(data):
        # A line moved as a whole, across itself: along itself it would be the same line.
        level = data[0][1] == data[1][1]
        for how, dx, dy in (("right", OFF, Measure()), ("left", -OFF, Measure())):
            if level:
                dx, dy = dy, dx
            yield path, how, tuple((x + dx, y + dy) for x, y in data)
    elif isinstance(data, tuple):
        for index, each in enumerate(data):
            for value, how, changed in _changed(each, f"{path}[]", known):
                yield value, how, (*data[:index], changed, *data[index + 1 :])
    elif is_dataclass(data) and not isinstance(data, type) and not (isinstance(data, Part) and data.pile is None):
        # Parts that are thrown away lie nowhere afterwards.
        yield from _words(data, path, known)
        for field in fields(data):
            value = getattr(data, field.name)
            if isinstance(data, AddStrips) and field.name == "turn" and not data.outward:
                continue  # strips that are not told apart are not turned
            if field.name == "turn":
                for turn in TURNS:
                    yield f"{path}.turn", f"+{turn}", replace(data, turn=(value + turn) % 360)
            elif not (isinstance(data, Part) and field.name == "inside"):
                for name, how, changed in _changed(value, f"{path}.{field.name}", known):
                    yield name, how, replace(data, **{field.name: changed})


def is_line(data: Any) -> bool:
    """Whether it is a line of an action: two points, each of two measures."""
    points = data if isinstance(data, tuple) and len(data) == 2 else ()
    return bool(points) and all(
        isinstance(point, tuple) and len(point) == 2 and all(isinstance(side, Measure) for side in point)
        for point in points
    )


def _words(data: Any, path: str, known: list[str]) -> Iterator[tuple[str, str, Any]]:
    """Sides, directions and cloths exchanged, what lies above for what lies below, and where seams meet."""
    if isinstance(data, Press):
        for toward in sorted({"base", "laid", "open"} - {data.toward}):
            yield f"{path}.toward", toward, replace(data, toward=toward)
        for keys in keys_changed(data.cloths, known):
            yield f"{path}.cloths", ", ".join(keys), replace(data, cloths=keys)
    elif isinstance(data, Cut):
        if data.prints and data.use in BLOCK_USES:
            yield f"{path}.prints", "across", replace(data, prints=tuple((way + 90) % 360 for way in data.prints))
        yield f"{path}.fabric", "", replace(data, fabric=other(data.fabric, known))
        yield f"{path}.use", "", replace(data, use=other(data.use, ["unit", "frame", "sash"]))
    elif isinstance(data, SeamPress):
        for toward in (*data.between, None):
            if toward != data.toward:
                how = "open" if toward is None else toward.name
                yield f"{path}.toward", how, replace(data, toward=toward)
        yield f"{path}.between", "exchanged", replace(data, between=data.between[::-1])
    elif isinstance(data, Pin):
        yield from _pins(data, path)
    elif isinstance(data, BeginSeam | SewArm | CloseSeam):
        yield from _rounds(data, path)
    elif isinstance(data, SewToDots) and len(data.pieces) == 1 and data.base != data.pieces[0].pile:
        yield (
            f"{path}.base",
            "exchanged",
            replace(data, base=data.pieces[0].pile, pieces=(replace(data.pieces[0], pile=data.base),)),
        )
    elif isinstance(data, PressAside):
        for place, side in enumerate(data.sides):
            other_side = "left" if side == "right" else "right"
            yield (
                f"{path}.sides",
                other_side,
                replace(data, sides=(*data.sides[:place], other_side, *data.sides[place + 1 :])),
            )
        for keys in keys_changed(data.cloths, known):
            yield f"{path}.cloths", ", ".join(keys), replace(data, cloths=keys)
    elif isinstance(data, Nest):
        yield f"{path}.nests", "", replace(data, nests=not data.nests)
        for place in (0, 1):
            for by in (1, -1):
                seams = (data.seams[0] + by * (1 - place), data.seams[1] + by * place)
                yield f"{path}.seams", f"{place} {by:+}", replace(data, seams=seams)
    elif isinstance(data, Join):
        yield f"{path}.direction", "", replace(data, direction="down" if data.direction == "across" else "across")
    elif isinstance(data, AddStrips):
        edges = "sides" if data.edges == "top and bottom" else "top and bottom"
        yield f"{path}.edges", "", replace(data, edges=edges)
    elif isinstance(data, Pair) and len(data.laid) == 1 and data.base != data.laid[0].pile:
        laid: Laid = data.laid[0]
        yield f"{path}.base", "exchanged", replace(data, base=laid.pile, laid=(replace(laid, pile=data.base),))


def _rounds(data: BeginSeam | SewArm | CloseSeam, path: str) -> Iterator[tuple[str, str, Any]]:
    """A meeting left out or made up; the other end, another edge; the pieces exchanged."""
    for place in range(len(data.nests)):
        yield f"{path}.nests", "dropped", replace(data, nests=(*data.nests[:place], *data.nests[place + 1 :]))
    yield f"{path}.nests", "added", replace(data, nests=(*data.nests, Nest(Measure(1), True, (1, 1))))
    if isinstance(data, BeginSeam):
        yield f"{path}.level", "", replace(data, level="left" if data.level == "right" else "right")
    if isinstance(data, SewArm):
        for edge in {"top", "right", "bottom", "left"} - {data.edge}:
            yield f"{path}.edge", edge, replace(data, edge=edge)
    if not isinstance(data, CloseSeam):
        yield f"{path}.base", "exchanged", replace(data, base=data.arm, arm=data.base)


def _pins(pin: Pin, path: str) -> Iterator[tuple[str, str, Pin]]:
    """A meeting of seams left out, named twice, or named where none is; the pieces or the direction exchanged."""
    nests = pin.nests
    for place, nest in enumerate(nests):
        yield f"{path}.nests", "dropped", replace(pin, nests=(*nests[:place], *nests[place + 1 :]))
        yield f"{path}.nests", "twice", replace(pin, nests=(*nests, nest))
    yield f"{path}.nests", "added", replace(pin, nests=(*nests, Nest(Measure(1), True, (1, 1))))
    yield f"{path}.direction", "", replace(pin, direction="down" if pin.direction == "across" else "across")
    yield f"{path}.first", "exchanged", replace(pin, first=pin.second, second=pin.first)
