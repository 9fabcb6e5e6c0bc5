"""Every way to change one printed value of a checklist, nothing recomputed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

from tracker.measure import Measure
from tracker.work import AddStrips, Checklist, Flow, Join, Laid, Line, Pair, Part, Point, Press, Step

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
    """All of them: sizes of piles and steps, cut and trim sizes, places, lines, turns, sides, piles and counts."""
    for key, pile in checklist.piles.items():
        if pile.size is not None:
            for number, size in enumerate(_sizes(pile.size)):
                piles = {**checklist.piles, key: replace(pile, size=size)}
                yield Mutant(key, "pile size", str(number), replace(checklist, piles=piles))
    for place, step in enumerate(checklist.steps):
        if step.count == 0:
            # Nobody does it: an unwanted mirror image is left lying.
            continue
        for value, how, changed in _steps(step):
            steps = (*checklist.steps[:place], changed, *checklist.steps[place + 1 :])
            yield Mutant(step.id, value, how, replace(checklist, steps=steps))


def _sizes(size: tuple[Measure, Measure]) -> Iterator[tuple[Measure, Measure]]:
    for by in (OFF, -OFF):
        yield size[0] + by, size[1]
        yield size[0], size[1] + by


def _steps(step: Step) -> Iterator[tuple[str, str, Step]]:
    for by in (1, -1):
        yield "count", f"{by:+}", replace(step, count=step.count + by)
        for takes in _each_changed(step.takes, by):
            yield "takes each", f"{by:+}", replace(step, takes=takes)
        for gives in _each_changed(step.gives, by):
            yield "gives each", f"{by:+}", replace(step, gives=gives)
    if step.size is not None:
        for number, size in enumerate(_sizes(step.size)):
            yield "step size", str(number), replace(step, size=size)
    for value, how, action in _changed(step.action, type(step.action).__name__):
        yield value, how, replace(step, action=action)


def _each_changed(flows: tuple[Flow, ...], by: int) -> Iterator[tuple[Flow, ...]]:
    for index, flow in enumerate(flows):
        yield (*flows[:index], replace(flow, each=flow.each + by), *flows[index + 1 :])


def _changed(data: Any, path: str) -> Iterator[tuple[str, str, Any]]:
    """Every change of one number, turn or word inside an action, by its path."""
    if isinstance(data, Measure):
        yield path, "more", data + OFF
        yield path, "less", data - OFF
    elif isinstance(data, Line):
        # A line moved as a whole, across itself: along itself it would be the same line.
        level = data.start.y == data.end.y
        for how, dx, dy in (("right", OFF, Measure()), ("left", -OFF, Measure())):
            if level:
                dx, dy = dy, dx
            yield path, how, Line(_moved(data.start, dx, dy), _moved(data.end, dx, dy))
    elif isinstance(data, tuple):
        for index, each in enumerate(data):
            for value, how, changed in _changed(each, f"{path}[]"):
                yield value, how, (*data[:index], changed, *data[index + 1 :])
    elif is_dataclass(data) and not isinstance(data, type) and not (isinstance(data, Part) and data.pile is None):
        # Parts that are thrown away lie nowhere afterwards.
        yield from _words(data, path)
        for field in fields(data):
            value = getattr(data, field.name)
            if field.name == "turn":
                for turn in TURNS:
                    yield f"{path}.turn", f"+{turn}", replace(data, turn=(value + turn) % 360)
            elif not (isinstance(data, Part) and field.name == "inside"):
                for name, how, changed in _changed(value, f"{path}.{field.name}"):
                    yield name, how, replace(data, **{field.name: changed})


def _moved(point: Point, dx: Measure, dy: Measure) -> Point:
    return Point(point.x + dx, point.y + dy)


def _words(data: Any, path: str) -> Iterator[tuple[str, str, Any]]:
    """Sides and directions exchanged, and what lies above for what lies below."""
    if isinstance(data, Press):
        for toward in {"base", "laid", "open"} - {data.toward}:
            yield f"{path}.toward", toward, replace(data, toward=toward)
    elif isinstance(data, Join):
        yield f"{path}.direction", "", replace(data, direction="down" if data.direction == "across" else "across")
    elif isinstance(data, AddStrips):
        edges = "sides" if data.edges == "top and bottom" else "top and bottom"
        yield f"{path}.edges", "", replace(data, edges=edges)
    elif isinstance(data, Pair) and len(data.laid) == 1:
        laid: Laid = data.laid[0]
        yield f"{path}.base", "exchanged", replace(data, base=laid.pile, laid=(replace(laid, pile=data.base),))
