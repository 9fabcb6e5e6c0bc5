"""Single steps as they are drawn: what is laid, marked, sewn, pressed and cut lies where it should."""

from __future__ import annotations

import re
from collections import Counter
from xml.etree import ElementTree

import pytest
from test_drawing import drawn, letters, made, of_class, picture, polygons, steps, words

from tracker.cloth.pieces import Group, Piece, Stack
from tracker.drawing.scene import from_behind
from tracker.exact.geometry import ZERO
from tracker.work.steps import AddStrips, CutApart, Join, Mark, Pair, Pin, PressSeams, Sew
from tracker.work.things import Stage


@pytest.mark.parametrize(
    ("step_id", "figures"),
    [
        ("cut:R:3x3", ["3", "3"]),
        ("cut:N9:9_1/2x1_1/2:frame", ["9½", "1½"]),
        ("sewn:half-square triangle two:R:R:S:S@2x2", ["¼", "¼"]),
        ("pressed:half-square triangle two:R:R:S:S@2x2", ["≈2⅝", "≈2⅝"]),
        ("trimmed:half-square triangle two:R:R:S:S@2x2", ["2½", "2½"]),
        ("paired:half-square triangle two:R:R:S:S@2x2", []),
    ],
)
def test_figures_of_a_unit(step_id: str, figures: list[str]) -> None:
    svg = ElementTree.fromstring(drawn("straight")[f"step {step_id}"])
    assert sorted(words(svg, "figure")) == sorted(figures)


@pytest.mark.parametrize(
    ("operation", "figures"),
    [
        ("join", [["6½", "2½"], ["6½", "2½"], ["6½", "2½"], ["6½", "4½"], ["6½", "6½"]]),
        ("square", [["8½", "8½"]]),
        ("add strip", [["7½", "8½"], ["8½", "9½"]]),
        ("trim", [["6½", "8½"]]),
    ],
)
def test_figures_of_a_block(operation: str, figures: list[list[str]]) -> None:
    found = [
        sorted(words(picture("straight", step), "figure"))
        for step in made("straight")[1].steps
        if step.per == "lamp" and step.operation == operation
    ]
    assert found == [sorted(each) for each in figures]


def test_marks_are_on_the_back_and_as_many_as_the_action_says() -> None:
    cases = list(steps(Mark))
    for name, step in cases:
        assert isinstance(step.action, Mark)
        svg = picture(name, step)
        assert len(of_class(svg, "pencil")) == len(step.action.lines), step.id
        assert words(svg, "side") == ["back"]
        assert not of_class(svg, "cloth", "front")
    assert {len(step.action.lines) for _, step in cases if isinstance(step.action, Mark)} == {1, 2}


def test_seams_are_as_many_as_the_action_says() -> None:
    for name, step in steps(Sew):
        assert isinstance(step.action, Sew)
        svg = picture(name, step)
        content = made(name)[2].done[step.id].after[step.gives[0].pile]
        assert isinstance(content, Stack)
        assert len(of_class(svg, "stitch")) == len(content.stitches)
        assert len(arrows(svg, "feed")) == len(step.action.lines)
        assert len(of_class(svg, "needle")) == 1


def test_cuts_and_parts_are_as_many_as_the_action_says() -> None:
    for name, step in steps(CutApart):
        assert isinstance(step.action, CutApart)
        svg = picture(name, step)
        assert len(of_class(svg, "cut-line")) == len(step.action.lines), step.id
        wasted = sum(part.pile is None for part in step.action.parts)
        assert len(of_class(svg, "waste")) == wasted
        # The stack before, and each part with its own outline.
        content = made(name)[2].done[step.id].before[step.takes[0].pile]
        layers = len(content.pieces) if isinstance(content, Stack) else 1
        assert len(of_class(svg, "edge")) >= layers + len(step.action.parts)


def test_what_is_laid_on_has_rings_at_its_corners_also_where_it_is_a_thread_larger() -> None:
    split = next(step for _, step in steps(Pair) if "split" in step.id)
    (laid,) = split.action.laid if isinstance(split.action, Pair) else ()
    assert (laid.x, laid.y) != (ZERO, ZERO)
    for name, step in steps(Pair):
        if "half-square" in step.id or "quarter-square" in step.id:
            # Four where it is lifted from, four where it is to lie, four where it lies.
            assert len(of_class(picture(name, step), "align")) == 12, step.id


def test_halves_that_mirror_each_other_have_the_letter_of_their_bag_on_them() -> None:
    seen = 0
    for name, step in steps(CutApart):
        assert isinstance(step.action, CutApart)
        checklist, svg = made(name)[1], picture(name, step)
        bags = [checklist.piles[part.pile].bag for part in step.action.parts if part.pile is not None]
        signs = of_class(svg, "bag")
        assert [sign.text for sign in signs] == [bag for bag in bags if bag], step.id
        if not signs:
            continue
        seen += 1
        # Each stands on its own half: upper left and lower right of the line that is cut.
        first, second = ((int(sign.get("x", "")), int(sign.get("y", ""))) for sign in signs)
        before, after = (step.action.parts[at].inside for at in (0, 1))
        assert (first[0] < second[0], first[1] < second[1]) == (before[0] < after[0], before[1] < after[1])
        assert all(bag in (svg[0].text or "") for bag in bags if bag)
    assert seen >= 2


def test_an_opened_unit_has_one_arrow_toward_its_allowance() -> None:
    plan, checklist, trace = made("straight")
    step = next(step for step in checklist.steps if step.id == "pressed:half-square triangle two:R:R:S:S@2x2")
    piece = trace.lying[step.gives[0].pile]
    assert isinstance(piece, Piece)
    assert piece.seams[-1].toward == (1, -1)
    svg = picture("straight", step)
    assert arrows(svg, "arrow") == [(1, -1)]
    assert len(of_class(svg, "iron")) == 1
    (left, top), (right, bottom) = _box(of_class(svg, "edge")[-1])
    (x1, y1), (x2, y2) = _box(of_class(svg, "allowance")[0])
    # The allowance lies up and to the right of the seam, which falls from corner to corner.
    assert (x1 + x2) - (y1 + y2) > (left + right) - (top + bottom) + 40
    assert svg[0].text is not None
    assert svg[0].text.endswith(f"its seam allowance goes to {plan.fabrics['R'].name}.")


def _box(path: ElementTree.Element) -> tuple[tuple[int, int], tuple[int, int]]:
    """The corners of a path's bounding box."""
    xs, ys = [], []
    for command, numbers in re.findall(r"([MLHV])([-\d ]+)", path.get("d", "")):
        values = [int(number) for number in numbers.split()]
        xs += values if command == "H" else [] if command == "V" else values[::2]
        ys += values if command == "V" else [] if command == "H" else values[1::2]
    return (min(xs), min(ys)), (max(xs), max(ys))


def arrows(svg: ElementTree.Element, kind: str) -> list[tuple[int, int]]:
    """The directions of arrows of a kind, each as the signs of its x and y: from the middle of its tail to its tip."""
    ways = []
    for shape in (shape for path in of_class(svg, kind) for shape in polygons(path.get("d", ""))):
        assert len(shape) == 7
        tip, tail = shape[0], ((shape[3][0] + shape[4][0]) // 2, (shape[3][1] + shape[4][1]) // 2)
        dx, dy = tip[0] - tail[0], tip[1] - tail[1]
        small = max(abs(dx), abs(dy)) // 10
        ways.append(((dx > small) - (dx < -small), (dy > small) - (dy < -small)))
    return ways


def test_rows_are_pressed_from_the_back_with_their_arrows_mirrored() -> None:
    turned = 0
    for name, step in steps(PressSeams):
        if step.per == "quilt":
            continue
        assert isinstance(step.action, PressSeams)
        svg = picture(name, step)
        assert words(svg, "side") == ["back"]
        assert not of_class(svg, "cloth", "front")
        done = made(name)[2].done[step.id]
        expected = []
        for take, give in zip(step.takes, step.gives, strict=True):
            before, after = done.before[take.pile], done.after[give.pile]
            assert isinstance(before, Piece)
            assert isinstance(after, Piece)
            fresh = {seam.line for seam in before.unpressed}
            expected += [
                (-seam.toward[0], seam.toward[1]) for seam in after.seams if seam.line in fresh and seam.toward
            ]
        assert arrows(svg, "arrow") == expected, step.id
        assert len(expected) == sum(map(len, step.action.seams))
        assert sum(path.get("d", "").count("M") for path in of_class(svg, "allowance")) == len(expected)
        turned += any(way[0] for way in expected)
    assert turned > 3


def test_letters_of_a_row_are_mirrored_on_its_back() -> None:
    _, checklist, trace = made("straight")
    step = next(step for step in checklist.steps if isinstance(step.action, PressSeams) and len(step.takes) == 3)
    row = trace.lying[step.takes[0].pile]
    assert isinstance(row, Piece)
    letters_seen = letters(picture("straight", step))[: len(row.facets)]
    assert letters_seen == [facet.fabric for facet in from_behind(row).facets]
    places = [text for group in of_class(picture("straight", step), "letters") for text in group][: len(row.facets)]
    leftmost = min(places, key=lambda text: int(text.get("x", "")))
    rightmost_cloth = max(row.facets, key=lambda facet: sum((x for x, _ in facet.polygon), ZERO) / len(facet.polygon))
    assert leftmost.text == rightmost_cloth.fabric
    assert words(picture("straight", step), "row") == ["1", "2", "3"]


def test_pins_and_junctions_are_as_the_action_says() -> None:
    kinds: Counter[str] = Counter()
    for name, step in steps(Pin):
        assert isinstance(step.action, Pin)
        svg = picture(name, step)
        nests, meets = len(of_class(svg, "nests")), len(of_class(svg, "meets"))
        assert nests == sum(nest.nests for nest in step.action.nests)
        assert nests + meets == len(step.action.nests)
        assert len(of_class(svg, "pin")) == (len(step.action.nests) or 2)
        assert len(arrows(svg, "lean")) == 2 * len(step.action.nests)
        kinds.update(nests=nests, meets=meets, none=not step.action.nests)
    assert kinds["nests"]
    assert kinds["none"]


def test_joins_show_their_new_seams_and_what_is_laid_over_what() -> None:
    for name, step in steps(Join):
        content = made(name)[2].done[step.id].before[step.takes[0].pile]
        assert isinstance(content, Group)
        svg = picture(name, step)
        new = len(content.pieces) - 1
        assert len(of_class(svg, "stitch")) == new, step.id
        pinned = made(name)[1].taken(step).stage is Stage.PINNED
        assert len(of_class(svg, "flip")) == (0 if pinned else new)


def test_strips_are_added_at_two_edges() -> None:
    for name, step in steps(AddStrips):
        if step.per == "quilt":
            continue
        svg = picture(name, step)
        assert len(of_class(svg, "stitch")) == 2
        assert len(arrows(svg, "move")) == 2
