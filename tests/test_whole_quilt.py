"""The whole quilt's steps in every setting: words that say what is done, drawings that hold up and stay small."""

from __future__ import annotations

import re
import zlib
from functools import cache
from xml.etree import ElementTree

import pytest
from effort import THOROUGH, by_lot

from tracker.cloth.pieces import Piece
from tracker.cloth.sewing import Trace, sew
from tracker.drawing import pile_drawing, step_drawing
from tracker.drawing.tile_layout import Layout, bounds_of
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.progress.ledger import Progress
from tracker.progress.tap_kinds import read_tap
from tracker.route.compiler import compile_plan
from tracker.web.opened import without_rows
from tracker.words.step_words import Words
from tracker.words.thing_words import TURNED
from tracker.work.steps import AddStrips, Checklist, PressSeams, Step, Trim
from tracker.work.whole_blocks import AddBorder, JoinParts, SetBlock

CLOTHS = "".join(
    f'[fabrics.{key}]\nname = "{name}"\ntone = {tone}\n'
    for key, name, tone in (("S", "sand", 2), ("R", "brick", 6), ("T", "teal", 7), ("K", "ink", 9))
)
BLOCKS = """
[blocks.nine]
name = "Nine"
cell = "2"
picture = '''
S R S
R T R
S R S
'''
[blocks.leaf]
name = "Leaf"
cell = "2"
picture = '''
S R\\S R
S/R R T
S S/R R
'''
[blocks.plain]
name = "Plain"
cell = "6"
picture = '''
S
'''
"""
SASH = '\n[quilt.sash]\nfabric = "K"\ncut = "1 1/2"'
STONES = SASH + '\ncornerstone = "T"'
BORDER = '\n[[quilt.border]]\nfabric = "K"\ncut = "1 1/2"'
CORNERED = '\n[[quilt.border]]\nfabric = "T"\ncut = "3 1/2"\ncorners = "R"'
MITRED = '\n[[quilt.border]]\nfabric = "K"\ncut = "2"\ncorners = "mitred"'
TEETH = '\n[[quilt.border]]\nfinished = "2"\npicture = \'S/R\'\ncorners = "S"'
SQUARES = '\n[[quilt.border]]\nfinished = "2"\npicture = "S < R"'
SPACER = '\n[[quilt.border]]\nfabric = "K"\nfinished = "1"'
PEAKS = '\n[[quilt.border]]\nfinished = "3"\npicture = \'S/R R\\S\'\ncorners = "T"'
PEAK = '\n[[quilt.border]]\nfinished = "6"\npicture = "S/R"'
QUARTERED = '\n[[quilt.border]]\nfinished = "18"\npicture = "S:R:S:K"\ncorners = "T"'
OUTER = '\n[[quilt.border]]\nfabric = "K"\ncut = "1 1/2"\ncorners = "T"\nouter_sash = true'
LAYERS = '\n[quilt.binding]\nfabric = "K"\n[quilt.backing]\nfabric = "S"\n[quilt.batting]'
ON_POINT = '\nsetting = "on point"\nsetting_fabric = "K"'


def nines(across: int, down: int) -> str:
    return f'[quilt]\nblock = "nine"\nacross = {across}\ndown = {down}'


TURNS = '\nturns = [["0", "90"], [270, "180"]]'


SETTINGS = {
    "straight": nines(3, 2),
    "two kinds": '[quilt]\nblocks = [["nine", "plain", "nine"], ["plain", "nine", "plain"]]',
    "sashes": nines(3, 2) + SASH,
    "cornerstones": nines(3, 3) + STONES,
    "borders": nines(3, 2) + BORDER + CORNERED,
    "mitred": nines(3, 2) + MITRED + CORNERED + MITRED + LAYERS,
    "pieced": nines(3, 2) + TEETH + BORDER,
    "pieced twice": nines(2, 2) + SQUARES + SPACER + PEAKS + LAYERS,
    "a unit a strip": '[quilt]\nblock = "plain"\nacross = 1\ndown = 1' + PEAK + QUARTERED,
    "outer sashes": nines(3, 2) + STONES + OUTER + CORNERED,
    "all round": nines(8, 9) + '\n[[quilt.border]]\nfabric = "K"\ncut = "3 1/2"' + LAYERS,
    "one row": nines(11, 1) + SASH + BORDER,
    "one column": nines(1, 3) + CORNERED + LAYERS,
    "one block": nines(1, 1) + BORDER + LAYERS,
    "turned": '[quilt]\nblocks = [["leaf", "nine", "leaf"], ["leaf", "leaf", "plain"]]' + TURNS,
    "on point": nines(3, 2) + ON_POINT,
    "on point, turned": '[quilt]\nblock = "leaf"\nacross = 2\ndown = 2' + ON_POINT + TURNS,
    "on point, one block": nines(1, 1) + ON_POINT + BORDER,
    "on point, one column": nines(1, 3) + ON_POINT,
    "on point, floating": nines(3, 2) + ON_POINT + '\nfloats = "1"',
    "on point, floating sashes": nines(2, 2) + ON_POINT + '\nfloats = "2 1/4"' + STONES.replace("K", "R") + BORDER,
    "on point, sashes": nines(3, 2) + ON_POINT + SASH,
    "on point, cornerstones": nines(2, 3) + ON_POINT + STONES + CORNERED + LAYERS,
}
WIDE = {"many blocks": nines(22, 20) + BORDER, "many blocks on point": nines(14, 14) + ON_POINT + BORDER}
"""More than 2,000 cells: their rows are drawn from the layout, not sewn, as the screens do."""


@cache
def compiled(setting: str) -> tuple[Plan, Checklist]:
    result = read_plan(f'title = "Setting"\n{CLOTHS}{BLOCKS}\n{(SETTINGS | WIDE)[setting]}')
    assert result.plan is not None, result.problems
    return result.plan, compile_plan(result.plan)


@cache
def sewn(setting: str) -> tuple[Plan, Checklist, Trace, Words]:
    plan, checklist = compiled(setting)
    trace = sew(checklist.piles, without_rows(checklist) if setting in WIDE else checklist.steps, plan.seam)
    assert trace.fault is None
    return plan, checklist, trace, Words(plan, checklist)


DRAWN: dict[tuple[str, str], str] = {}


def drawn(setting: str, step: Step) -> str:
    """A step's drawing, made once for all tests that look at it."""
    if (setting, step.id) not in DRAWN:
        plan, checklist, trace, _ = sewn(setting)
        DRAWN[setting, step.id] = step_drawing(plan, checklist, trace, step)
    return DRAWN[setting, step.id]


def of_the_quilt(checklist: Checklist) -> list[Step]:
    return [step for step in checklist.steps if step.of_the_quilt]


@pytest.mark.parametrize("setting", SETTINGS)
def test_every_step_is_said_and_drawn(setting: str) -> None:
    _, checklist, _, words = sewn(setting)
    steps = of_the_quilt(checklist)
    assert steps
    for step in steps:
        said = [words.title(step), words.text(step), words.check(step), *words.takes(step)]
        for sentence in said:
            assert sentence.strip() == sentence != "", step.id
            assert not re.search(r"  |quilt:|Measure\(|None|\bset:|\.\.", sentence), (step.id, sentence)
        assert words.text(step).endswith("."), step.id
        assert len(words.text(step)) < 420, (step.id, words.text(step))
        drawing = drawn(setting, step)
        ElementTree.fromstring(drawing)
        assert "style" not in drawing, step.id


def test_what_lies_beyond_points_that_float_is_said() -> None:
    """The seam allowance more than they float, in the text, the check and the picture's words."""
    _, checklist, _, words = sewn("on point, floating")
    (step,) = (step for step in checklist.steps if isinstance(step.action, Trim) and step.action.turn)
    assert "Trim each side 1¼ in beyond the points of the blocks: 1 in, by which they float, and ¼ in" in words.text(
        step
    )
    assert words.check(step).endswith("1¼ in of cloth beyond every point.")
    assert "1¼ beyond every point" in drawn("on point, floating", step)


@pytest.mark.parametrize("setting", by_lot([*SETTINGS, *WIDE]))
def test_drawings_of_the_quilt_stay_small(setting: str) -> None:
    """Of many blocks, a usual run looks at every fifth step and the last ones, which are the largest."""
    plan, checklist, trace, _ = sewn(setting)
    steps = of_the_quilt(checklist)
    for step in steps if THOROUGH or setting not in WIDE else [*steps[:-9:5], *steps[-9:]]:
        packed = zlib.compress(drawn(setting, step).encode())
        assert len(packed) < 12_000, step.id
        for flow in step.gives:
            drawing = pile_drawing(plan, checklist, trace, flow.pile)
            if setting in WIDE and flow.pile.startswith("set:"):
                assert drawing == "", "what lies in its place is drawn from cloth alone"
                continue
            ElementTree.fromstring(drawing)
            assert len(zlib.compress(drawing.encode())) < 12_000, flow.pile


@pytest.mark.parametrize("setting", by_lot(SETTINGS))
def test_rows_and_tops_are_drawn_without_sewing_them(setting: str) -> None:
    plan, checklist, trace, _ = sewn(setting)
    small = list(without_rows(checklist))
    cloth = sew(checklist.piles, small, plan.seam)
    assert cloth.fault is None
    left_out = [step for step in of_the_quilt(checklist) if step not in small]
    assert any(isinstance(step.action, SetBlock) for step in left_out)
    for step in of_the_quilt(checklist):
        assert step_drawing(plan, checklist, cloth, step) == drawn(setting, step)
        for flow in step.gives:
            if not flow.pile.startswith("set:"):
                assert pile_drawing(plan, checklist, cloth, flow.pile) == pile_drawing(
                    plan, checklist, trace, flow.pile
                )


@pytest.mark.parametrize("setting", SETTINGS)
def test_titles_tell_steps_apart(setting: str) -> None:
    """Only a top that is squared before and after its borders, or like kinds of work, may share a title."""
    _, checklist, _, words = sewn(setting)
    titles = [words.title(step) for step in of_the_quilt(checklist)]
    twice = {title for title in titles if titles.count(title) > 1}
    assert twice <= {"Square the top"}


@pytest.mark.parametrize("setting", SETTINGS)
def test_every_block_is_named_where_it_is_laid(setting: str) -> None:
    plan, checklist, _, words = sewn(setting)
    laid: list[int] = []
    for step in checklist.steps:
        if isinstance(step.action, SetBlock):
            said = [int(number) for number in re.findall(r"\d+", words.text(step).partition(" in ")[0])]
            assert tuple(said) == step.blocks
            assert ("turned" in words.text(step)) == bool(step.action.turn)
            assert TURNED[step.action.turn] in words.text(step) or not step.action.turn
            laid += said
    assert sorted(laid) == list(range(1, sum(map(len, plan.quilt.places)) + 1))


def joins(checklist: Checklist) -> list[Step]:
    return [step for step in of_the_quilt(checklist) if isinstance(step.action, JoinParts)]


@pytest.mark.parametrize("setting", SETTINGS)
def test_what_nests_is_said_as_it_is_sewn(setting: str) -> None:
    _, checklist, trace, words = sewn(setting)
    for step in joins(checklist):
        met = [met for own in trace.done[step.id].junctions.values() for seam in own for met in seam]
        text = words.text(step)
        assert ("nest" in text) == bool(met), step.id
        assert ("not nest" in text) == any(not each.nests for each in met), step.id


@pytest.mark.parametrize("setting", SETTINGS)
def test_seams_of_rows_are_pressed_as_said(setting: str) -> None:
    """A row lies face down: what went to the right of its front is on the left."""
    _, checklist, trace, words = sewn(setting)
    for step in of_the_quilt(checklist):
        if not isinstance(step.action, PressSeams) or not words.title(step).startswith("Press row"):
            continue
        before = {seam.line for seam in next(iter(trace.done[step.id].before.values())).unpressed}
        after = [seam for seam in next(iter(trace.done[step.id].after.values())).seams if seam.line in before]
        sides = {seam.toward for seam in after}
        text = words.text(step)
        if text.endswith("all to the left."):
            assert sides == {(1, 0)}
        elif text.endswith("all to the right."):
            assert sides == {(-1, 0)}
        else:
            assert "toward the" in text or len(sides) == 2 or len(after) == 1


@pytest.mark.parametrize("setting", [name for name, plan in SETTINGS.items() if "border" in plan])
def test_borders_are_measured_and_the_top_is_eased(setting: str) -> None:
    plan, checklist, _, words = sewn(setting)
    measured = [step for step in of_the_quilt(checklist) if step.operation == "trim" and isinstance(step.action, Trim)]
    on = [step for step in of_the_quilt(checklist) if isinstance(step.action, AddStrips)]
    pieced, added = ([step for step in on if step.action.outward == out] for out in (True, False))
    mitred = [step for step in of_the_quilt(checklist) if isinstance(step.action, AddBorder)]
    assert len(mitred) == sum(border.mitred for border in plan.quilt.borders)
    assert len(measured) == len(added) + 2 * len(mitred) == 2 * len(plan.quilt.borders) - len(pieced)
    for step in measured:
        assert "through the middle" in words.text(step)
        assert "average" in words.text(step)
    for step in added:
        assert "Ease the top to the border, never the border to the edge." in words.text(step)
    for step in mitred:
        assert "Ease the top to the border." in words.text(step)
    for step in pieced:
        assert "The strip keeps its length: ease the top to it." in words.text(step)
    to_fit = [step for step in of_the_quilt(checklist) if words.title(step).startswith("Square the top to the length")]
    # One block alone was squared by itself.
    alone = len([*plan.quilt.blocks_in_order()]) == 1 and plan.quilt.borders[0].is_pieced
    assert len(to_fit) == sum(border.is_pieced for border in plan.quilt.borders) - alone
    assert all("cannot be cut to measure" in words.text(step) for step in to_fit)


def of_class(drawing: str, kind: str) -> list[ElementTree.Element]:
    return [each for each in ElementTree.fromstring(drawing).iter() if each.get("class") == kind]


def ways(drawing: str) -> set[tuple[int, int]]:
    """The directions of arrows: from the middle of each one's tail to its tip."""
    found = set()
    for shape in re.findall(r"M([^Z]+)Z", "".join(path.get("d", "") for path in of_class(drawing, "arrow"))):
        numbers = [int(number) for number in shape.split()]
        spots = list(zip(numbers[::2], numbers[1::2], strict=True))
        dx, dy = (2 * spots[0][axis] - spots[3][axis] - spots[4][axis] for axis in (0, 1))
        found.add(((dx > 0) - (dx < 0) if abs(dx) > abs(dy) else 0, (dy > 0) - (dy < 0) if abs(dy) > abs(dx) else 0))
    return found


@pytest.mark.parametrize("setting", SETTINGS)
def test_arrows_of_a_pressing_go_where_the_seams_do(setting: str) -> None:
    _, checklist, trace, _ = sewn(setting)
    for step in of_the_quilt(checklist):
        if not isinstance(step.action, PressSeams) or not step.action.seams[0] or "backing" in step.id:
            continue
        before = {seam.line for content in trace.done[step.id].before.values() for seam in content.unpressed}
        after = [seam for content in trace.done[step.id].after.values() for seam in content.seams]
        toward = {(-seam.toward[0], seam.toward[1]) for seam in after if seam.line in before}
        drawing = drawn(setting, step)
        if toward == {(0, 0)}:
            # Corners pressed open: an arrow both ways across each.
            shapes = "".join(path.get("d", "") for path in of_class(drawing, "arrow"))
            assert shapes.count("Z") == len(step.action.seams[0]) == 4
            continue
        assert ways(drawing) == toward, step.id
        assert "seen from the back" in drawing.lower()


@pytest.mark.parametrize("setting", SETTINGS)
def test_joinings_show_a_seam_between_all_parts_and_every_block_s_number(setting: str) -> None:
    _, checklist, _, words = sewn(setting)
    for step in joins(checklist):
        drawing = drawn(setting, step)
        assert isinstance(step.action, JoinParts)
        assert len(of_class(drawing, "stitch")) == len(step.action.members) - 1, step.id
        row = words.rows.get(checklist.piles[step.gives[0].pile].thing)
        numbers = {int(text.text or "") for group in of_class(drawing, "numbers") for text in group}
        if row is not None:
            assert numbers == {part.block for part in row.parts if part.block is not None}
        turned = {number for number in numbers if turn_of(checklist, number)}
        arrows = "".join(path.get("d", "") for path in of_class(drawing, "turned"))
        assert arrows.count("M") == len(turned), step.id


def turn_of(checklist: Checklist, block: int) -> int:
    return [place for row in checklist.pressing.places for place in row][block - 1].turn


@pytest.mark.parametrize("setting", SETTINGS)
def test_places_that_do_not_nest_are_shown(setting: str) -> None:
    _, checklist, _, _ = sewn(setting)
    for step in joins(checklist):
        assert isinstance(step.action, JoinParts)
        drawing = drawn(setting, step)
        found = [nest.nests for own in step.action.nests for nest in own]
        assert len(of_class(drawing, "meets")) == found.count(False), step.id
        assert bool(of_class(drawing, "nests")) == (True in found), step.id


@pytest.mark.parametrize("setting", SETTINGS)
def test_rows_are_as_large_as_their_cloth(setting: str) -> None:
    """Tiles lie where the cloth does: with the seam allowance round a level row or top they are as large."""
    plan, checklist, trace, words = sewn(setting)
    layout = Layout(plan, checklist)
    for step in joins(checklist):
        action, given = step.action, step.gives[0].pile
        assert isinstance(action, JoinParts)
        thing = checklist.piles[given].thing
        rows = [words.rows[thing]] if thing in words.rows else words.rows_in(thing)
        if not rows:
            continue
        left, top, right, bottom = bounds_of(tile for row in rows for tile in layout.tiles(row))
        content = trace.lying[given]
        assert isinstance(content, Piece)
        if action.level:
            room = 2 * plan.seam
            assert (right - left + room, bottom - top + room) == content.size
        else:
            assert right - left <= content.size[0] + 2 * plan.seam
            assert right - left >= content.size[0] - 2 * plan.seam


@pytest.mark.parametrize("setting", [name for name, plan in SETTINGS.items() if "border" in plan])
def test_borders_are_pinned_at_the_middle_and_the_ends(setting: str) -> None:
    _, checklist, _, _ = sewn(setting)
    for step in of_the_quilt(checklist):
        if isinstance(step.action, AddStrips):
            drawing = drawn(setting, step)
            assert len(of_class(drawing, "pin")) == 6
            assert len(of_class(drawing, "stitch")) == 2


def test_a_block_is_finished_before_it_lies_in_its_place() -> None:
    plan, checklist, _, words = sewn("straight")
    progress = Progress(plan, checklist)
    number = 0
    stages: list[str] = []
    for step in checklist.steps:
        blocks = [1] if step.per != "quilt" else None
        if blocks is not None and step.blocks is not None and 1 not in step.blocks:
            continue
        if step.per == "quilt" and not step.id.startswith("cut:"):
            break
        number += 1
        tap = {"id": f"t{number}", "do": "done", "step": step.id}
        progress.record(read_tap(tap | ({"blocks": blocks} if blocks else {"times": step.count})))
        stages.append(words.stage(progress.counts.stage(1)))
    assert stages[-2:] == ["finished", "in its place"]
