"""Drawings of strips: to scale along the strip, every piece there, the rest hatched, words inside the sheet."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from effort import tries
from hypothesis import given, settings
from plan_strategies import plans
from quilting import quilt_plan
from test_strips import Mat, mat_of

from tracker.drawing import strip_drawing
from tracker.plan.model import Plan
from tracker.progress.strip_ticks import Strip

SVG = "{http://www.w3.org/2000/svg}"


def drawn(plan: Plan, strip: Strip) -> ElementTree.Element:
    return ElementTree.fromstring(strip_drawing(plan, strip))


def elements(drawing: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [each for each in drawing.iter() if kind in each.get("class", "").split()]


def outline(drawing: ElementTree.Element) -> tuple[int, int]:
    """Where the strip begins and ends."""
    (edge,) = elements(drawing, "edge")
    found = re.match(r"M(\d+) \d+H(\d+)V", edge.get("d", ""))
    assert found is not None
    return int(found[1]), int(found[2])


def cuts(drawing: ElementTree.Element) -> list[int]:
    """Where pieces end, from left to right."""
    lines = "".join(each.get("d", "") for each in elements(drawing, "cut-line"))
    return [int(x) for x in re.findall(r"M(\d+) \d+V\d+", lines)]


@settings(max_examples=tries(20), deadline=None)
@given(plans(most=3))
def test_every_piece_lies_on_the_strip_to_scale(plan: Plan) -> None:
    mat = mat_of(plan)
    for strip in {strip.kind: strip for strip in mat.strips}.values() if mat else ():
        drawing = drawn(plan, strip)
        left, right = outline(drawing)
        ends, along = [], strip.long - strip.long
        for part in strip.parts:
            for _ in range(part.count):
                along = along + part.width
                ends.append(left + (along * (right - left) / strip.long).__floor__())
        found = cuts(drawing)
        assert len(found) == strip.pieces
        assert all(abs(x - end) <= 1 for x, end in zip(found, ends, strict=True))
        assert (strip.left > 0) == any(text.endswith(" left") for text in words(drawing))
        height = int(drawing.get("viewBox", "").split()[3])
        for text in drawing.iter(f"{SVG}text"):
            assert 0 <= int(text.get("x", "")) <= 1000
            assert int(text.get("y", "")) <= height
        assert not [each for each in drawing.iter() if each.get("style")]


def words(drawing: ElementTree.Element) -> list[str]:
    return [text.text or "" for text in drawing.iter(f"{SVG}text")]


def test_what_comes_from_a_strip_is_written_below_it() -> None:
    mat = Mat(quilt_plan(("3", "5"), 2, 3, usable="40"))
    (strip,) = mat.strips
    drawing = drawn(mat.plan, strip)
    assert words(drawing)[-2:] == ["6 of 5½ × 3½", "7 left"]
    title = drawing.find(f"{SVG}title")
    assert title is not None
    assert title.text == "A strip of amber, 3½ in wide: 6 of 5½ × 3½; 7 left at its end."


def test_only_a_cloth_with_a_direction_says_how_its_print_stands() -> None:
    for cloth, there in (("", 0), ("directional = true", 1)):
        mat = Mat(quilt_plan(("3", "5"), 2, 3, cloth=cloth))
        assert words(drawn(mat.plan, mat.strips[0])).count("print stands up") == there
