"""Drawings: well formed, safe on a strict page, told apart without colour, and true to the steps they show."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from xml.etree import ElementTree

import pytest

from tracker.cloth.pieces import Group
from tracker.cloth.sewing import Trace, sew
from tracker.drawing import block_drawing, pile_drawing, quilt_drawing, step_drawing
from tracker.drawing.pictures import block_facets
from tracker.drawing.scene import cloths_of
from tracker.exact.geometry import ONE, ZERO, area
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.work.steps import Checklist, LayOut, Step

FABRICS = """
[fabrics.S]
name = "pale sand"
tone = 2
colour = "#e4dccb"
[fabrics.R]
name = "rust <& red>"
tone = 7
colour = "#a33"
[fabrics.N9]
name = "night"
tone = 9
colour = "#1f2d4d"
[fabrics.M]
name = "moss"
tone = 5
colour = "#7d8f4e"
"""

LAMP = """
[blocks.lamp]
name = "Lamp"
cell = "2"
picture = '''
S    S/R       N9:R:S:M
S/R  R         S:R:N9:S
M    S:R:N9:S  N9:R:S:M
'''
[[blocks.lamp.frame]]
fabric = "N9"
cut = "1 1/2"
"""

STRAIGHT = """
[quilt]
block = "lamp"
across = 2
down = 2
[quilt.sash]
fabric = "S"
cut = "1 1/2"
cornerstone = "R"
[[quilt.border]]
fabric = "M"
cut = "3"
corners = "N9"
"""

ON_POINT = """
[quilt]
block = "lamp"
across = 2
down = 2
setting = "on point"
setting_fabric = "M"
"""

COMBINED = """
[blocks.star]
name = "Star"
cell = "2"
combine = true
picture = '''
S    S/R   R\\S   S
S/R  N9/S  S\\N9  R\\S
S\\R  N9\\S  S/N9  R/S
S    S\\R   R/S   S
'''
[blocks.snow]
name = "Snow"
cell = "2"
combine = true
picture = '''
S/M  M   M\\R S
M    M   M   S
S\\M  M   M/R S
S    S   S   S
'''
[quilt]
blocks = [["star", "snow"]]
"""

STRIPS = """
[blocks.nine]
name = "Nine"
columns = ["2", "1", "2"]
rows = ["1 1/2", "2"]
strips = true
picture = '''
S R N9
R M R
'''
[blocks.brick]
name = "Brick"
columns = ["2", "1", "2"]
rows = ["1 1/2", "2"]
picture = '''
S <  N9
R M  ^
'''
[quilt]
blocks = [["nine", "brick"]]
"""

TEXTS = {
    "straight": 'title = "T & Co <quilt>"\nunit = "in"\n' + FABRICS + LAMP + STRAIGHT,
    "on point, four at a time": 'title = "T"\nunit = "in"\nhalf_square = "four"\n' + FABRICS + LAMP + ON_POINT,
    "metric, eight at a time": 'title = "T"\nunit = "cm"\nhalf_square = "eight"\n'
    + FABRICS
    + LAMP.replace('"2"', '"5"').replace('"1 1/2"', '"4"')
    + ON_POINT,
    "combined, flipped": 'title = "T"\nunit = "in"\n' + FABRICS + COMBINED,
    "combined, four at a time": 'title = "T"\nunit = "in"\ngeese = "four"\n' + FABRICS + COMBINED,
    "strips and spans": 'title = "T"\nunit = "in"\n' + FABRICS + STRIPS,
}


@cache
def made(name: str) -> tuple[Plan, Checklist, Trace]:
    reading = read_plan(TEXTS[name], f"{name}.toml")
    assert reading.plan is not None, reading.problems
    checklist = compile_plan(reading.plan)
    trace = sew(checklist.piles, checklist.steps, reading.plan.seam)
    assert trace.fault is None
    return reading.plan, checklist, trace


@cache
def drawn(name: str) -> dict[str, str]:
    """Every drawing of a plan, by what it shows."""
    plan, checklist, trace = made(name)
    drawings = {f"step {step.id}": step_drawing(plan, checklist, trace, step) for step in checklist.steps}
    drawings |= {f"pile {pile}": pile_drawing(plan, checklist, trace, pile) for pile in checklist.piles}
    drawings |= {f"block {key}": block_drawing(plan, block) for key, block in plan.blocks.items()}
    return drawings | {"quilt": quilt_drawing(plan)}


def steps(kind: type, name: str | None = None) -> Iterator[tuple[str, Step]]:
    """Every step of a kind of action, with the plan it belongs to."""
    for each in TEXTS if name is None else [name]:
        for step in made(each)[1].steps:
            if isinstance(step.action, kind):
                yield each, step


def picture(name: str, step: Step) -> ElementTree.Element:
    return ElementTree.fromstring(drawn(name)[f"step {step.id}"])


def of_class(svg: ElementTree.Element, *names: str) -> list[ElementTree.Element]:
    return [element for element in svg.iter() if set(names) <= set(element.get("class", "").split())]


def words(svg: ElementTree.Element, kind: str) -> list[str]:
    return [element.text or "" for element in of_class(svg, kind)]


def letters(svg: ElementTree.Element) -> list[str]:
    return [text.text or "" for group in of_class(svg, "letters") for text in group]


def polygons(shape: str) -> list[list[tuple[int, int]]]:
    """The closed polygons of a path in whole numbers."""
    found = []
    for part in re.findall(r"M([^MZ]*)Z", shape):
        numbers = [int(number) for number in re.findall(r"-?\d+", part)]
        found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def covered(svg: ElementTree.Element, side: str = "front") -> Counter[str]:
    """Twice the area drawn of each cloth, in square drawing units."""
    total: Counter[str] = Counter()
    for path in of_class(svg, "cloth", side):
        for polygon in polygons(path.get("d", "")):
            total[path.get("data-cloth", "")] += abs(
                sum(polygon[i - 1][0] * y - x * polygon[i - 1][1] for i, (x, y) in enumerate(polygon))
            )
    return total


def near(found: int, exact: Measure) -> bool:
    """Whether areas agree within what rounding to whole drawing units can do."""
    return abs(Measure(found) - exact) <= exact / 25


# Every drawing


@pytest.mark.parametrize("name", TEXTS)
def test_each_is_one_labelled_svg_without_size_or_style(name: str) -> None:
    for what, text in drawn(name).items():
        svg = ElementTree.fromstring(text)
        assert svg.tag == "{http://www.w3.org/2000/svg}svg", what
        assert svg.get("role") == "img"
        assert svg.get("width") is None
        assert svg.get("height") is None
        assert re.fullmatch(r"0 0 \d+ \d+", svg.get("viewBox", "")), what
        title = svg[0]
        assert title.tag.endswith("}title")
        assert re.fullmatch(r"\S.*\S", title.text or ""), what
        assert not any("style" in element.attrib or element.tag.endswith("}style") for element in svg.iter())


@pytest.mark.parametrize("name", TEXTS)
def test_every_number_is_a_plain_decimal(name: str) -> None:
    numeric = {"x", "y", "cx", "cy", "r", "rx", "width", "height", "font-size", "stroke-width", "fill-opacity"}
    for what, text in drawn(name).items():
        for element in ElementTree.fromstring(text).iter():
            for key, value in element.attrib.items():
                if key in numeric:
                    assert re.fullmatch(r"-?\d+(\.\d{1,2})?", value), (what, key, value)
                    Decimal(value)
                elif key == "d":
                    assert re.fullmatch(r"(?:[MLHVZQACmlhvzqac]|-?\d+| )*", value), (what, value)


@pytest.mark.parametrize("name", TEXTS)
def test_ids_are_defined_and_differ_between_different_drawings(name: str) -> None:
    known: dict[str, str] = {}
    for what, text in drawn(name).items():
        defined = set(re.findall(r' id="([^"]+)"', text))
        used = set(re.findall(r"url\(#([^)]+)\)", text)) | set(re.findall(r'href="#([^"]+)"', text))
        assert used == defined, what
        body = text.partition("<defs>")[2]
        for each in defined:
            assert known.setdefault(each, body) == body, what


@pytest.mark.parametrize("name", TEXTS)
def test_nothing_is_told_by_colour_alone(name: str) -> None:
    plan, _, trace = made(name)
    for pile_id, content in trace.lying.items():
        svg = ElementTree.fromstring(drawn(name)[f"pile {pile_id}"])
        seen = {path.get("data-cloth") for path in of_class(svg, "cloth")}
        assert seen == set(cloths_of(content)), pile_id
        assert set(letters(svg)) <= seen
        for path in of_class(svg, "cloth"):
            back = "back" in path.get("class", "").split()
            fill = path.get("fill", "")
            assert fill.startswith("url(#") if back else fill == plan.fabrics[path.get("data-cloth", "")].colour
    for key, block in plan.blocks.items():
        svg = ElementTree.fromstring(drawn(name)[f"block {key}"])
        assert set(letters(svg)) == {facet.fabric for facet in block_facets(block, plan.seam)}


@pytest.mark.parametrize("name", TEXTS)
def test_nothing_lies_outside_the_sheet(name: str) -> None:
    for what, text in drawn(name).items():
        svg = ElementTree.fromstring(text)
        _, _, width, height = map(int, svg.get("viewBox", "").split())
        if what == "quilt":
            continue
        kept = {id(each) for definitions in svg.iter("{http://www.w3.org/2000/svg}defs") for each in definitions.iter()}
        # What is kept in definitions is shown elsewhere, in another size.
        for path in (path for path in of_class(svg, "cloth") if id(path) not in kept):
            for polygon in polygons(path.get("d", "")):
                assert all(0 <= x <= width and 0 <= y <= height for x, y in polygon), what
        for text_of in of_class(svg, "figure"):
            half = len(text_of.text or "") * int(text_of.get("font-size", "")) * 3 // 10
            x, anchor = int(text_of.get("x", "")), text_of.get("text-anchor")
            left, right = {"middle": (half, half), "end": (2 * half, 0), "start": (0, 2 * half)}[anchor or ""]
            assert x - left >= -12, (what, text_of.text)
            assert x + right <= width + 12, (what, text_of.text)
            assert 0 <= int(text_of.get("y", "")) <= height, what


def test_drawings_are_small() -> None:
    plan, checklist, _ = made("straight")
    sizes = sorted(len(text) for what, text in drawn("straight").items() if what.startswith("step"))
    assert sizes[len(sizes) // 2] < 4000
    assert sizes[-1] < 12000
    assert plan.blocks.keys() == {row.key for row in checklist.blocks}


def test_a_drawing_is_the_same_each_time() -> None:
    plan, checklist, trace = made("straight")
    step = checklist.steps[-1]
    assert step_drawing(plan, checklist, trace, step) == drawn("straight")[f"step {step.id}"]


def test_names_are_escaped() -> None:
    svg = ElementTree.fromstring(drawn("straight")["quilt"])
    assert svg[0].text == "T & Co <quilt>: 4 blocks in place, of pale sand, rust <& red>, night and moss."


# Areas


@pytest.mark.parametrize("name", TEXTS)
def test_finished_areas_of_a_block_are_exactly_the_plan_s(name: str) -> None:
    plan, _, _ = made(name)
    for block in plan.blocks.values():
        quarters: dict[str, Measure] = {}
        for cell in block.cells:
            width, height = block.cell_size(cell)
            for key in cell.quarters:
                quarters[key] = quarters.get(key, ZERO) + width * height / 4
        across, down = block.inner_finished
        for frame in block.frames:
            shown = frame.cut - 2 * plan.seam
            grown = (across + 2 * shown) * (down + 2 * shown) - across * down
            quarters[frame.fabric] = quarters.get(frame.fabric, ZERO) + grown
            across, down = across + 2 * shown, down + 2 * shown
        found: dict[str, Measure] = {}
        for facet in block_facets(block, plan.seam):
            found[facet.fabric] = found.get(facet.fabric, ZERO) + area(facet.polygon)
        assert found == quarters
        svg = ElementTree.fromstring(drawn(name)[f"block {block.key}"])
        seen = covered(svg)
        whole = Measure(seen.total()) / (across * down)
        assert seen.keys() == quarters.keys()
        assert all(near(seen[key], quarters[key] * whole) for key in seen)


@pytest.mark.parametrize("name", TEXTS)
def test_a_layout_shows_the_cloth_that_lies_there(name: str) -> None:
    _, _, trace = made(name)
    checked = 0
    for _, step in steps(LayOut, name):
        lying: dict[str, Measure] = {}
        for content in trace.done[step.id].after.values():
            assert isinstance(content, Group)
            for facet in (facet for piece in content.pieces for facet in piece.facets):
                lying[facet.fabric] = lying.get(facet.fabric, ZERO) + area(facet.polygon)
        seen = covered(picture(name, step))
        whole = Measure(seen.total()) / sum(lying.values(), ZERO)
        assert seen.keys() == lying.keys()
        assert all(near(seen[key], lying[key] * whole) for key in seen)
        checked += 1
    assert checked


@pytest.mark.parametrize(("name", "blocks"), [("straight", 4), ("on point, four at a time", 5)])
def test_the_quilt_is_covered_once_over(name: str, blocks: int) -> None:
    plan, _, _ = made(name)
    svg = ElementTree.fromstring(drawn(name)["quilt"])
    uses = of_class(svg, "block")
    assert len(uses) == blocks
    definition = svg.find(".//{*}defs")
    assert definition is not None
    one = covered(definition).total()
    ground = of_class(svg, "cloth")
    around = covered(svg).total() - one
    assert len(ground) > 1
    side = plan.blocks["lamp"].finished(plan.seam)[0]
    block = side * side
    if plan.quilt.setting == "on point":
        whole = (2 * side * ROOT2) * (2 * side * ROOT2)
        assert near(around, Measure(one) * ((whole - 5 * block) / block))
        assert all("rotate(45)" in use.get("transform", "") for use in uses)
    else:
        width = 2 * side + ONE + 2 * (Measure(3) - 2 * plan.seam)
        assert near(around, Measure(one) * ((width * width - 4 * block) / block))
    assert [text for text in letters(svg) if text == "N9"]
    assert len(of_class(svg, "swatch")) == len(plan.fabrics)


def test_a_layout_shows_every_piece_in_its_place_and_none_on_another() -> None:
    for name, step in steps(LayOut):
        assert isinstance(step.action, LayOut)
        (edges,) = of_class(picture(name, step), "edge")
        boxes = [
            (int(x), int(y), int(right), int(bottom))
            for x, y, right, bottom in re.findall(r"M(\d+) (\d+)H(\d+)V(\d+)H\d+Z", edges.get("d", ""))
        ]
        places = [(place.row, place.column) for place in step.action.places]
        assert len(boxes) == len(places), step.id
        for i, (own, (row, column)) in enumerate(zip(boxes, places, strict=True)):
            for other, (their_row, their_column) in list(zip(boxes, places, strict=True))[:i]:
                apart = own[0] > other[2] or other[0] > own[2] or own[1] > other[3] or other[1] > own[3]
                assert apart, step.id
                if step.per in made(name)[0].blocks:
                    assert (own[0] > other[0]) == (column > their_column), step.id
                    assert (own[1] > other[1]) == (row > their_row), step.id
