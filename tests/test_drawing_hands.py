"""Drawings as hands do it: pressing, marking, cutting with a ruler as long as rulers are, laying down in turn."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from freezing import PLANS
from test_drawing import made, of_class, picture, polygons, steps

from tracker.cloth.pieces import Group, Stack
from tracker.cloth.sewing import sew
from tracker.drawing import step_drawing
from tracker.drawing.cutting_steps import LARGEST_RULER
from tracker.drawing.view import figure
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.work.steps import Cut, LayOut, Mark, Pair, Pin, Press, PressSeams
from tracker.work.whole_blocks import SetBlock

LARGE = """
title = "Large"
unit = "UNIT"
[fabrics.S]
name = "pale sand"
tone = 2
[fabrics.K]
name = "night ink"
tone = 9
[blocks.b]
cell = "SIDE"
picture = "S K"
[quilt]
block = "b"
across = 3
down = 3
[quilt.binding]
fabric = "K"
[quilt.backing]
fabric = "S"
[[quilt.border]]
fabric = "K"
cut = "3"
"""


def test_what_a_seam_goes_toward_lies_on_top_wrong_side_up() -> None:
    ways = set()
    for name, step in steps(Press):
        assert isinstance(step.action, Press)
        plan, _, trace = made(name)
        stack = trace.done[step.id].before[step.takes[0].pile]
        assert isinstance(stack, Stack)
        upper = {"base": (stack.base,), "laid": stack.laid}[step.action.toward]
        svg = picture(name, step)
        backs = [path.get("data-cloth", "") for path in of_class(svg, "cloth", "back")]
        assert set(backs) == {facet.fabric for piece in upper for facet in piece.facets}, step.id
        assert svg[0].text is not None
        assert all(plan.fabrics[key].name in svg[0].text.partition(" on top, wrong side up")[0] for key in backs)
        ways.add(step.action.toward)
    assert ways == {"base", "laid"}


def test_the_upper_cloth_is_folded_back_to_where_it_lies_when_it_is_open() -> None:
    """The tip of each bent arrow lies on the other side of the seam than its start."""
    for name, step in steps(Press):
        svg = picture(name, step)
        bows = [re.findall(r"-?\d+", path.get("d", "")) for path in of_class(svg, "flip")]
        stitches = [ends for path in of_class(svg, "stitch") for ends in _segments(path)]
        for bow in bows:
            (x1, y1), tip = (int(bow[0]), int(bow[1])), (int(bow[-2]), int(bow[-1]))
            sides = []
            for ax, ay, bx, by in stitches:
                start, end = ((bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in ((x1, y1), tip))
                sides.append(start * end)
            assert min(sides) < 0, step.id


def test_what_is_pressed_from_the_back_shows_the_hand_but_where_seams_are_opened() -> None:
    seen = set()
    for name, step in steps(PressSeams):
        svg = picture(name, step)
        opened = all(seam.toward is None for seams in step.action.seams for seam in seams)  # type: ignore[union-attr]
        assert len(of_class(svg, "folded-back")) == (not opened), step.id
        seen.add((step.per == "quilt", opened))
    assert {(True, False), (False, False)} <= seen


def test_pins_go_into_the_closed_pieces_from_the_edge_that_is_sewn() -> None:
    """The upper piece lies face down on the other; the pins' heads stand out at the edge, their points lie inside."""
    for name, step in steps(Pin):
        svg = picture(name, step)
        group = made(name)[2].done[step.id].after[step.gives[0].pile]
        assert isinstance(group, Group)
        backs = {path.get("data-cloth") for path in of_class(svg, "cloth", "back")}
        assert backs == {facet.fabric for facet in group.pieces[1].facets}, step.id
        left, top, right, bottom = _box(of_class(svg, "edge")[-1])
        for pin in of_class(svg, "pin"):
            (x1, y1, x2, y2), *_ = _segments(pin[0])
            assert x1 > right or y1 > bottom, step.id
            assert left < x2 < right, step.id
            assert top < y2 < bottom, step.id


def _segments(path: ElementTree.Element) -> list[tuple[int, int, int, int]]:
    found = []
    for x, y, command, rest in re.findall(r"M(-?\d+) (-?\d+)([LHV])([-\d ]+)", path.get("d", "")):
        end = [int(number) for number in rest.split()]
        ends = {"L": end, "H": [*end, int(y)], "V": [int(x), *end]}[command]
        found.append((int(x), int(y), ends[0], ends[1]))
    return found


def slants(svg: ElementTree.Element) -> list[bool]:
    """Of each pencil line, whether it falls."""
    found = []
    for path in of_class(svg, "pencil"):
        x1, y1, x2, y2 = map(int, re.findall(r"-?\d+", path.get("d", ""))[:4])
        found.append((x2 - x1) * (y2 - y1) > 0)
    return found


def test_a_line_runs_the_same_way_where_it_is_drawn_and_where_it_lies() -> None:
    compared = 0
    for name, step in steps(Mark):
        given = step.gives[0].pile
        taker = next(each for own, each in steps(Pair, name) if own == name and _lays(each.action, given))
        content = made(name)[2].done[taker.id].after[taker.gives[0].pile]
        assert isinstance(content, Stack)
        assert isinstance(taker.action, Pair)
        if len(content.laid) == 1 and not isinstance(made(name)[2].lying.get(taker.action.base), Stack):
            lines = slants(picture(name, taker))
            drawn = slants(picture(name, step))
            assert lines[: len(drawn)] == drawn or lines[: len(drawn)] == drawn[::-1], step.id
            compared += 1
    assert compared > 3


def _lays(action: object, pile: str) -> bool:
    return isinstance(action, Pair) and any(laid.pile == pile for laid in action.laid)


def large(unit: str, side: str) -> tuple[Plan, list[tuple[Cut, ElementTree.Element]]]:
    """A plan with large pieces and strips, and the drawings of all its cuts."""
    reading = read_plan(LARGE.replace("UNIT", unit).replace("SIDE", side))
    assert reading.plan is not None, reading.problems
    checklist = compile_plan(reading.plan)
    trace = sew(checklist.piles, checklist.steps, reading.plan.seam)
    found = []
    for step in checklist.steps:
        if isinstance(step.action, Cut):
            found.append((step.action, ElementTree.fromstring(step_drawing(reading.plan, checklist, trace, step))))
    return reading.plan, found


@pytest.mark.parametrize(("unit", "side"), [("in", "9"), ("cm", "23")])
def test_no_ruler_is_longer_than_rulers_are_and_no_strip_ends_at_a_selvage(unit: str, side: str) -> None:
    plan, cuts = large(unit, side)
    whole = 0
    for cut, svg in cuts:
        across = plan.fabrics[cut.fabric].usable in (cut.width, cut.height)
        (edge,) = of_class(svg, "edge")
        left, top, right, _ = _box(edge)
        rulers = [_box(path) for path in of_class(svg, "ruler")]
        if cut.width > LARGEST_RULER[unit][0]:
            # Along the cut at most its length, by the scale of what is cut.
            shown = plan.fabrics[cut.fabric].usable if across else cut.width
            longest = LARGEST_RULER[unit][0] * (right - left) / shown
            assert all(max(x2 - x1, y2 - y1) <= longest + 20 for x1, y1, x2, y2 in rulers), cut
        assert len(of_class(svg, "selvage")) == 2 * across
        rest = _box(of_class(svg, "rest")[0])
        assert (rest[2] > right) is not across
        assert (rest[1] < top) is across
        assert all(_box(path)[0] >= 0 for path in (edge, *of_class(svg, "rest")))
        whole += across
    assert whole >= 1


def _box(path: ElementTree.Element) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of a path of absolute moves, lines and sides."""
    xs, ys = [], []
    for command, numbers in re.findall(r"([MLHV])([-\d ]+)", path.get("d", "")):
        values = [int(number) for number in numbers.split()]
        xs += values if command == "H" else [] if command == "V" else values[::2]
        ys += values if command == "V" else [] if command == "H" else values[1::2]
    return min(xs), min(ys), max(xs), max(ys)


def test_what_lies_in_the_quilt_already_is_shown() -> None:
    """Each step shows its own blocks and those of the steps before it, and only the places of the others."""
    plan, _, _ = made("straight")
    before = 0
    for _, step in steps(SetBlock, "straight"):
        svg = picture("straight", step)
        before += len(step.blocks or ())
        total = len(list(plan.quilt.blocks_in_order()))
        (outlined,) = of_class(svg, "here")
        assert len(polygons(outlined.get("d", ""))) == len(step.blocks or ())
        places = [shape for path in of_class(svg, "place") for shape in polygons(path.get("d", ""))]
        assert len(places) == total - before, step.id
    assert before == len(list(plan.quilt.blocks_in_order()))


DIRECTED = r"""
title = "Reeds"
[fabrics.S]
name = "pale sand"
tone = 2
[fabrics.R]
name = "reeds"
tone = 7
directional = true
[blocks.b]
cell = "2"
picture = '''
S/R R
R/S S\R
'''
[quilt]
block = "b"
across = 1
down = 1
"""


def laid_out(text: str) -> tuple[set[int], ElementTree.Element]:
    """How the pieces of a plan's block are turned, and the drawing of its laying out."""
    plan = read_plan(text).plan
    assert plan is not None
    checklist = compile_plan(plan)
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    lying = next(step for step in checklist.steps if isinstance(step.action, LayOut))
    assert isinstance(lying.action, LayOut)
    svg = step_drawing(plan, checklist, trace, lying)
    return {place.turn for place in lying.action.places}, ElementTree.fromstring(svg)


def test_cloth_with_a_direction_shows_its_upper_end_boldly_where_it_lies_turned() -> None:
    turns, svg = laid_out(DIRECTED)
    # The dark half of a half-square triangle lay upright on the table, so that it is turned as its unit is.
    assert len(turns) > 2
    shown = {}
    for pattern in svg.iter("{http://www.w3.org/2000/svg}pattern"):
        way = re.search(r"rotate\((\d+)\)", pattern.get("patternTransform", ""))
        if way and "peaks" in pattern.get("id", ""):
            shown[int(way[1])] = int(list(pattern)[-1].get("stroke-width", ""))
    assert set(shown) == turns
    assert all(wide > shown[0] for way, wide in shown.items() if way)
    assert sum(len(polygons(path.get("d", ""))) for path in of_class(svg, "peaks")) == 4
    assert not list(of_class(laid_out(DIRECTED.replace("directional = true", ""))[1], "peaks"))


def test_a_lopsided_unit_is_measured_along_its_true_edges() -> None:
    plan = read_plan(PLANS["turning_tide"].read_bytes(), "turning_tide").plan
    assert plan is not None
    checklist = compile_plan(plan)
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    pressed = [s for s in checklist.steps if isinstance(s.action, Press) and checklist.made(s).bag is not None]
    assert pressed
    for step in pressed:
        assert step.size is not None
        assert step.size[0] != step.size[1]
        svg = ElementTree.fromstring(step_drawing(plan, checklist, trace, step))
        figures = [text.text for text in of_class(svg, "figure")]
        assert figures == [figure(side, plan) for side in step.size]
