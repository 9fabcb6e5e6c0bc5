"""A strip of cloth as it lies on the cutting mat: to scale along it, every piece with its size, the rest hatched."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import floor

from tracker.drawing.canvas import FIGURE, INK, Sheet, Spot, closed, text_width
from tracker.drawing.scene import named
from tracker.drawing.view import figure
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.progress.strip_ticks import Strip
from tracker.quilt.cloth_cutting import CutPart

_RIGHT = 980
_LOW, _HIGH = 150, 430
"""Least and greatest height of a strip: across it the drawing is stretched, so that narrow ones can be read."""
_LABEL = 54
_LEAST_FIGURE = 30
_BRACKET = 30
_LINE = 66


@dataclass(frozen=True)
class _Run:
    """Like pieces side by side: the part, and the edges of its pieces from left to right."""

    part: CutPart
    edges: tuple[int, ...]


def strip_drawing(plan: Plan, strip: Strip) -> str:
    """The strip as an `svg` element, the cloth's length running down; above it an arrow where its print stands up."""
    sheet = Sheet(plan)
    directional = plan.fabrics[strip.cloth].directional
    top = 130 if directional else 26
    left = 60 + text_width(figure(strip.width, plan))
    scale = Fraction(_RIGHT - left, 1)
    height = min(max(floor(strip.width * scale / strip.long), _LOW), _HIGH)
    runs = list(_runs(strip, left, scale))
    bottom, end = top + height, runs[-1].edges[-1]
    _rest(sheet, [(left, top), (_RIGHT, top), (_RIGHT, bottom), (left, bottom)])
    for run in runs:
        _pieces(sheet, strip, run, (top, bottom))
    sheet.add(
        f'<path class="edge" fill="none" stroke="{INK}" stroke-width="7" d="M{left} {top}H{_RIGHT}V{bottom}H{left}Z"/>'
    )
    sheet.down(top, bottom, left - 30, figure(strip.width, plan), left=True)
    if directional:
        _print_stands(sheet, left + 50, top)
    labels = [(run.edges[0], run.edges[-1], f"{run.part.count} of {_size(plan, run.part)}") for run in runs]
    if strip.left:
        labels.append((end, _RIGHT, f"{figure(strip.left, plan)} left"))
    lowest = _labelled(sheet, bottom + 14, labels)
    return sheet.finish(lowest, _title(plan, strip))


def _runs(strip: Strip, left: int, scale: Fraction) -> Iterator[_Run]:
    along = Measure()
    for part in strip.parts:
        edges = [along + part.width * n for n in range(part.count + 1)]
        along = edges[-1]
        yield _Run(part, tuple(left + floor(edge * scale / strip.long) for edge in edges))


def _rest(sheet: Sheet, corners: list[Spot]) -> None:
    """Cloth that is left over: grey and hatched."""
    hatch = sheet.define(
        "rest",
        '<pattern id="{id}" width="26" height="26" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<rect width="26" height="26" fill="#f4f2ec"/><path d="M3 0V26" stroke="#777" stroke-width="5"/></pattern>',
    )
    sheet.add(f'<path class="rest" fill="url(#{hatch})" d="{closed(corners)}"/>')


def _pieces(sheet: Sheet, strip: Strip, run: _Run, span: tuple[int, int]) -> None:
    """The pieces of one part, those lower than the strip at its lower edge, each with its size where there is room."""
    top, bottom = span
    part = run.part
    upper = bottom - floor((bottom - top) * part.height / strip.width)
    sheet.cloth([[(run.edges[0], upper), (run.edges[-1], upper), (run.edges[-1], bottom), (run.edges[0], bottom)]],
                strip.cloth)  # fmt: skip
    cuts = "".join(f"M{edge} {upper}V{bottom}" for edge in run.edges[1:])
    sheet.path(f"{cuts}M{run.edges[0]} {upper}H{run.edges[-1]}", "cut-line", INK, 5)
    fullest, shortest = _size(sheet.plan, part), figure(part.width, sheet.plan)
    for start, stop in pairwise(run.edges):
        for words in (fullest, shortest):
            if size := _fitting(words, stop - start, bottom - upper):
                sheet.text(((start + stop) // 2, (upper + bottom) // 2), words, size)
                break


def _size(plan: Plan, part: CutPart) -> str:
    """Along the strip, then across it; a square by its one side."""
    along, across = figure(part.width, plan), figure(part.height, plan)
    return along if part.width == part.height else f"{along} × {across}"


def _fitting(words: str, width: int, height: int) -> int:
    """The largest height at which words fit a room; 0 where they would be too small to read."""
    for size in range(min(FIGURE, height - 8), _LEAST_FIGURE - 1, -1):
        # Pieces stand close together, so that figures need more room here than in the open.
        if text_width(words, size) * 6 // 5 <= width - 6:
            return size
    return 0


def _labelled(sheet: Sheet, top: int, labels: Iterable[tuple[int, int, str]]) -> int:
    """A bracket below each stretch, and its words below that, in as many lines as keep them apart; gives the height."""
    ends: list[int] = []
    written: list[tuple[Spot, str]] = []
    for start, stop, words in labels:
        room = text_width(words, _LABEL) // 2 + 12
        middle = min(max((start + stop) // 2, room), sheet.width - room)
        line = next((n for n, end in enumerate(ends) if middle - room >= end), len(ends))
        ends[line:] = [middle + room, *ends[line + 1 :]]
        stem = top + _BRACKET + line * _LINE
        near = min(max((start + stop) // 2, middle - room + 12), middle + room - 12)
        sheet.path(
            f"M{start + 4} {top}V{top + 16}H{stop - 4}V{top}M{(start + stop) // 2} {top + 16}L{near} {stem}",
            "bracket",
            INK,
            5,
            halo=3,
        )
        written.append(((middle, stem + 32), words))
    for spot, words in written:  # above the lines that lead past them
        sheet.text(spot, words, _LABEL)
    return top + _BRACKET + len(ends) * _LINE + 14


def _print_stands(sheet: Sheet, x: int, top: int) -> None:
    """Which way up the print of a cloth with a direction stands."""
    sheet.arrow(((x, top - 12), (x, top - 112)), "print")
    sheet.text((x + 40, top - 62), "print stands up", _LABEL, "side", "start")


def _title(plan: Plan, strip: Strip) -> str:
    parts = "; ".join(
        f"{part.count} of {figure(part.width, plan)} × {figure(part.height, plan)}" for part in strip.parts
    )
    left = f"; {figure(strip.left, plan)} left at its end" if strip.left else ""
    return f"A strip of {named(plan, [strip.cloth])}, {figure(strip.width, plan)} {plan.unit} wide: {parts}{left}."
