"""Stars of 45 degree diamonds: sizes, each cloth in its place, seams that end at dots, what is refused and said."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.cloth.pieces import Piece
from tracker.cloth.sewing import sew
from tracker.drawing import step_drawing
from tracker.drawing.pictures import block_facets
from tracker.exact.geometry import Straight, area, intersection
from tracker.exact.measure import Measure, nearest, round_up, write_length
from tracker.plan.known_blocks import begun, known_block
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.plan_writer import write_plan
from tracker.plan.problems import sentence
from tracker.printed.block_area import check_areas
from tracker.printed.compare import compare
from tracker.printed.list_table import read_list
from tracker.proof.proof import prove
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.printed_words import areas_text, finding_text
from tracker.words.step_words import Words
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.steps import Checklist, Cut, CutApart, Mark, Step
from tracker.work.things import DIAMOND, STAR

TEXT = """
title = "Star"
{top}
fabrics.L = {{ name = "linen", tone = 2 }}
fabrics.M = {{ name = "madder", tone = 5{more} }}
fabrics.D = {{ name = "dusk", tone = 8 }}
fabrics.K = {{ name = "ink", tone = 9 }}
[blocks.star]
size = "{size}"
diamonds = true
picture = '''
{picture}
'''
{block}
[quilt]
block = "star"
across = {across}
down = {down}
"""
LEMOYNE = "L M\\L L/D L\nL\\D D\\M D/M M/L\nL/M M/D M\\D D\\L\nL D/L L\\M L"


def reading_of(picture: str = LEMOYNE, size: str = "12", **facts: object) -> tuple[Plan | None, list[str]]:
    usual = {"top": "", "more": "", "block": "", "across": 2, "down": 1}
    reading = read_plan(TEXT.format(picture=picture, size=size, **usual | facts))
    return reading.plan, [sentence(problem) for problem in reading.problems]


def plan_of(picture: str = LEMOYNE, size: str = "12", **facts: object) -> Plan:
    plan, problems = reading_of(picture, size, **facts)
    assert plan is not None, problems
    return plan


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    verdict = prove(plan, checklist)
    assert verdict.holds, verdict.first
    return checklist


# Sizes


@pytest.mark.parametrize(
    ("size", "strip", "square", "triangles"),
    [("12", "3", "4", "6 1/4"), ("9", "2 3/8", "3 1/8", "5"), ("6", "1 3/4", "2 1/4", "3 3/4")],
)
def test_sizes_are_those_that_quilters_cut(size: str, strip: str, square: str, triangles: str) -> None:
    """Common practice, from memory of the trade: to the nearest eighth the strips of diamonds and the corner squares,
    to the next one the squares cut twice for the sides. What is trimmed is cut up to the next mark here."""
    plan = plan_of(size=size, top='trimming = "exact"')
    cuts = [step.action for step in proved(plan).steps if isinstance(step.action, Cut)]
    widths = {cut.height for cut in cuts if cut.width != cut.height}
    large, small = sorted({cut.width for cut in cuts if cut.width == cut.height}, reverse=True)
    root, room = Measure(0, 1), 2 * plan.seam
    side = Measure(int(size)) / (2 + root)
    assert widths == {side / root + room}
    assert nearest(side / root + room, plan.ruler) == _in(strip)
    assert nearest(side + room, plan.ruler) == _in(square)
    assert small == round_up(side + room, plan.ruler)
    assert large == round_up(side * root + room + room * root, plan.ruler) == _in(triangles)


def _in(text: str) -> Measure:
    return Measure(sum((Fraction(part) for part in text.split()), Fraction()))


def test_diamonds_are_cut_from_strips_as_far_apart_as_those_are_wide() -> None:
    checklist = proved(plan_of(across=3))
    made = [
        step
        for step in checklist.steps
        if checklist.made(step).thing.of == DIAMOND and isinstance(step.action, CutApart)
    ]
    for step in made:
        assert isinstance(step.action, CutApart)
        cut = checklist.taken(step).size
        assert cut is not None
        lines = [Straight.through(*each) for each in step.action.lines]
        assert all(one.at_distance(other, min(cut)) for one, other in itertools.pairwise(lines))
        assert all(abs(line.a) == abs(line.b) for line in lines)
        # Three stars take 12 of each cloth: two strips of six.
        assert (step.count, step.gives[0].each) == (2, 6)
    assert len(made) == 2
    assert not any(checklist.piles[pile].thing.of == DIAMOND for pile in checklist.spares)


def test_sizes_off_the_rulers_mark_are_said() -> None:
    plan = plan_of(size="10")
    (said,) = [notice for notice in compile_plan(plan).notices if notice.kind == "diamonds off the mark"]
    fits = said.fact("fits")
    assert isinstance(fits, Measure)
    assert "too wide for each; a star of 10" in Words(plan, compile_plan(plan)).notice(said)
    better = compile_plan(plan_of(size=write_length(fits, "in", plain=True)))
    assert not any(notice.kind == "diamonds off the mark" for notice in better.notices)


# Pictures


@settings(max_examples=tries(2), deadline=None)
@given(
    st.lists(st.sampled_from("LMDK"), min_size=16, max_size=16),
    st.sampled_from(["4", "7 1/2", "12"]),
    st.sampled_from(["", 'trimming = "exact"', 'ruler = "1/16"', 'seam = "3/16"']),
)
def test_any_star_is_proved(cloths: list[str], size: str, top: str) -> None:
    corners, sides, star = cloths[:4], cloths[4:8], cloths[8:]
    plan = plan_of(drawn(corners, sides, star), size, top=top)
    checklist = proved(plan)
    assert [unit.kind for unit in checklist.units] == [STAR]
    assert read_plan(write_plan(plan)).plan == plan


def drawn(corners: list[str], sides: list[str], star: list[str]) -> str:
    """A star as a picture: cloths clockwise from the upper left corner, from the upper side, and of the diamonds from
    the upper side's left one."""
    (nw, ne, se, sw), (n, e, s, w), (a, b, c, d, f, g, h, i) = corners, sides, star
    rows = [
        [nw, (a, "\\", n), (n, "/", b), ne],
        [(w, "\\", i), (i, "\\", a), (b, "/", c), (c, "/", e)],
        [(w, "/", h), (h, "/", g), (f, "\\", d), (d, "\\", e)],
        [sw, (g, "/", s), (s, "\\", f), se],
    ]
    return "\n".join("  ".join(_cell(each) for each in row) for row in rows)


def _cell(cell: str | tuple[str, str, str]) -> str:
    return cell[0] if len({cell[0], cell[-1]}) == 1 else "".join(cell)


def test_its_picture_shows_the_pieces_that_are_sewn() -> None:
    block = plan_of(drawn(list("LMDK"), list("KDML"), list("LMDKMKDL"))).blocks["star"]
    pieces, cells = (list(block_facets(each, Measure(1) / 4)) for each in (block, replace(block, diamonds=False)))
    assert len(pieces) == 16
    shared = Measure()
    for piece in pieces:
        for cell in cells:
            both = intersection(piece.polygon, cell.polygon)
            assert both is None or piece.fabric == cell.fabric
            shared = shared + (area(both) if both else Measure())
    assert shared == 144


def test_in_centimetres_and_with_a_frame_and_squared_down_it_is_proved() -> None:
    frame = '[[blocks.star.frame]]\nfabric = "K"\ncut = "5"'
    proved(plan_of(size="30", top='unit = "cm"', block=frame))
    proved(plan_of(block='squared = "12 1/4"'))


def test_a_block_of_diamonds_is_begun_in_any_size() -> None:
    known = known_block("Lemoyne star")
    assert known is not None
    plan = begun(known, Measure(9), {}, 2, 2)
    assert plan.blocks["lemoyne-star"].inner_finished == (9, 9)
    proved(plan)


# Seams


def test_all_eight_seams_of_the_middle_go_one_way_round() -> None:
    plan = plan_of()
    verdict = prove(plan, compile_plan(plan))
    star = next(done.after for step, done in verdict.trace.done.items() if step.startswith("pressed star"))
    (piece,) = star.values()
    assert isinstance(piece, Piece)
    ends = [end for seam in piece.seams for end in seam.line]
    middle = next(end for end in ends if ends.count(end) == 8)
    for seam in piece.seams:
        outer = next(end for end in seam.line if end != middle)
        line = Straight.through(middle, outer)
        assert seam.toward == (line.a.sign(), line.b.sign())


Change = Callable[[Step], Step]


def _stitches(change: Callable[[Measure], Measure], joined: bool) -> Change:
    """The first seam's end moved along it."""

    def changed(step: Step) -> Step:
        action = step.action
        if not isinstance(action, SewToDots) or action.pieces[0].is_set_in == joined:
            return step
        first = action.pieces[0]
        (start, end), *others = first.seams
        by = change(Measure(1))
        moved = start, (end[0] + (end[0] - start[0]) * by, end[1] + (end[1] - start[1]) * by)
        return replace(
            step, action=replace(action, pieces=(replace(first, seams=(moved, *others)), *action.pieces[1:]))
        )

    return changed


def _unmarked(step: Step) -> Step:
    return replace(step, action=Mark(step.action.lines[:2])) if isinstance(step.action, Mark) else step


def _from_the_edge(step: Step) -> Step:
    """A piece set in whose seams begin beyond the dot."""
    action = step.action
    if not isinstance(action, SewToDots) or not action.pieces[0].is_set_in:
        return step
    first = action.pieces[0]
    by = Measure(1) / 8
    seams = tuple(((x + by, y + by), end) for (x, y), end in first.seams)
    return replace(step, action=replace(action, pieces=(replace(first, seams=seams), *action.pieces[1:])))


def _one_the_other_way(step: Step) -> Step:
    action = step.action
    if not isinstance(action, PressAside) or len(action.sides) != 1:
        return step
    return replace(step, action=replace(action, sides=("left",), cloths=("D" if action.cloths == ("M",) else "M",)))


FAULTY: dict[str, tuple[Change, str]] = {
    "past the dot": (_stitches(lambda one: one / 40, True), "past the dot"),
    "short of the dot": (_stitches(lambda one: -one / 40, True), "end neither at a dot"),
    "a dot left out": (_unmarked, "end neither at a dot"),
    "a set-in seam too short": (_stitches(lambda one: -one / 40, False), "end neither at a dot"),
    "set in from beyond the dot": (_from_the_edge, "dot"),
    "one pressed the other way": (_one_the_other_way, "one way round"),
}


@pytest.mark.parametrize("name", FAULTY)
def test_what_is_not_sewn_to_its_dots_fails_the_proof(name: str) -> None:
    plan = plan_of()
    change, says = FAULTY[name]
    checklist = compile_plan(plan)
    verdict = prove(plan, replace(checklist, steps=tuple(map(change, checklist.steps))))
    assert says in " ".join(fault.sentence(plan.unit) for fault in verdict.faults)


# Printed lists

CLOTHS = {"L": "linen", "M": "madder", "D": "dusk", "K": "ink"}
SQUARES = "L 8 4 1/4 4 1/4\nL 2 squares 6 1/2\n"
FEW = "The list has {} diamonds 3 in wide; the plan needs 8 diamonds 3 in wide. "

LISTS = [
    ("M: 8 diamonds 3 in\nD: 8 45 degree diamonds from a 3 in strip", ""),
    ('8 diamonds, 3 in wide, madder\n3" true 45° diamonds: 8 dusk', ""),
    ("D, 8 diamonds, 3\nM, 8, 3, , diamond", ""),
    ("M: 8 diamonds 3\nD 1 strip 3 x 37 3/8 for 8 diamonds", None),
    ("M: 8 diamonds 3\nD 1 strip 2.985 x 37.35 for diamonds", "no harm"),
    ("M: 4 diamonds 3\nD: 8 diamonds 3", FEW.format(4) + "That is half of what is needed. Cut 8 in all"),
    ("M: 8 diamonds 3\nD: 9 diamonds 3", FEW.format(9) + "It does no harm: 1 is left over"),
    ("M: 8 diamonds 2 1/2\nD: 8 diamonds 3", "That is the finished size: the seam allowance is missing. Cut so"),
    ("M: 8 diamonds 4 1/4\nD: 8 diamonds 3", "8 diamonds about 3 in wide. That is the length of a diamond's side"),
    ("M: 8 diamonds 3 1/4\nD: 8 diamonds 3", "Cut so, they are ¼ in too wide, and must be cut down"),
    ("M: 8 diamonds 3", "Dusk: missing. The plan needs 8 diamonds about 3 in wide; the list has none."),
    ("M: 8 diamonds 3\nD: 8 diamonds 3\nK: 1 diamond 3", "The list has 1 diamond 3 in wide; the plan needs none"),
    ("M: 8 diamonds 3 x 4", None),
    ("M: diamonds 3 in", None),
]


@pytest.mark.parametrize(("text", "says"), LISTS)
def test_a_list_that_says_diamonds_is_compared_by_their_width(text: str, says: str | None) -> None:
    """None: the list is not read, and how diamonds are listed is said."""
    plan = plan_of()
    checklist = compile_plan(plan)
    rows, faults = read_list(SQUARES + text, CLOTHS, plan.unit)
    if says is None:
        (fault,) = faults
        assert "write it as 8 diamonds 3 in" in fault.sentence
        return
    assert not faults
    said = [finding_text(Words(plan, checklist), each) for each in compare(plan, checklist, set_quilt(plan), rows)]
    assert len(said) == bool(says)
    assert all(says in each for each in said)


def test_without_a_plan_diamonds_are_said_not_to_be_reckoned() -> None:
    rows, _ = read_list("8 diamonds 3 in\n4 squares 4 1/8\n1 square 6 1/4", None, "in")
    check = check_areas(rows, (Measure(12), Measure(12)), Measure(1) / 4, "in")
    assert areas_text(check, "in").startswith("Nothing is reckoned")
    assert check.shapes == ("diamond", "not reckoned", "not reckoned")


# What is refused, and said


REFUSED = {
    "three rows": ("L M L\nM L M\nL M L", "12", "", "four rows of four square cells"),
    "a corner of two": (LEMOYNE.replace("L ", "L/K ", 1), "12", "", "a plain one in each corner"),
    "a side of two": (LEMOYNE.replace("L/D", "K/D", 1), "12", "", "triangle of one cloth"),
    "too small": (LEMOYNE, "3 1/2", "", "a star of 3 1/2 in has no room"),
    "combined": (LEMOYNE, "12", "combine = true", "combine says nothing of a star of diamonds"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_star_is_refused_in_one_sentence(name: str) -> None:
    picture, size, block, says = REFUSED[name]
    text = TEXT.format(picture=picture, size=size, block="", top="", more="", across=2, down=1)
    reading = read_plan(text.replace("diamonds = true", f"diamonds = true\n{block}"))
    assert reading.plan is None
    (problem,) = reading.problems
    assert says in sentence(problem)


def test_the_steps_say_where_seams_end_and_what_to_look_at() -> None:
    plan = plan_of()
    words = Words(plan, proved(plan))
    steps = {words.title(step): step for step in words.checklist.steps}
    cut = words.text(steps["Cut strips into diamonds, dusk"])
    assert "45° line" in cut
    assert "every 3 in, as far apart as the strip is wide: 8 from each strip" in cut
    dots = steps["Mark dots on diamonds, dusk"]
    assert "at both wide corners, none at the points" in words.text(dots)
    assert "¼ in from both edges" in words.check(dots)
    pair = steps["Sew pairs of diamonds, dusk / madder"]
    assert "to the dot" in words.text(pair)
    assert "No stitch lies beyond the dot." in words.check(pair)
    set_in = steps["Set triangles into stars, linen / madder / dusk"]
    assert "from the dot outward" in words.text(set_in)
    assert "Needle" in set_in.kind.caution
    assert "fan round the middle" in words.text(steps["Press middles of stars, madder / dusk"])
    squares = steps["Press squares of stars, linen / madder / dusk"]
    assert "madder" in words.text(squares)
    assert "linen" not in words.text(squares)


@pytest.mark.parametrize(("size", "apart"), [("12", "≈3"), ("24", "≈5½")])
def test_the_drawing_of_the_cut_shows_the_angle_and_how_far_apart_the_cuts_are(size: str, apart: str) -> None:
    plan = plan_of(size=size)
    checklist = compile_plan(plan)
    cuts = [step for step in checklist.steps if checklist.made(step).thing.of == DIAMOND]
    step = next(step for step in cuts if isinstance(step.action, CutApart))
    svg = step_drawing(plan, checklist, sew(checklist.piles, checklist.steps, plan.seam), step)
    figures = re.findall(r'<text class="figure"[^>]*>([^<]*)<', svg)
    assert figures == ["45°", apart, apart]
    # The first two cuts as drawn, at 45 degrees and as far apart as the strip is drawn broad.
    lines = re.findall(r'class="cut-line"[^>]* d="M(\d+) (\d+)L(\d+) (\d+)"', svg)
    (x1, y1, x2, y2), (x3, y3, *_) = (map(int, each) for each in lines)
    assert (x2 - x1, y1) == (y2 - y1, y3)
    assert (x3 - x1) ** 2 // 2 in range(259**2, 261**2)


def test_a_cloth_with_a_direction_is_said_to_turn_and_cannot_stand() -> None:
    plan = plan_of(more=", directional = true")
    checklist = proved(plan)
    (notice,) = (notice for notice in checklist.notices if notice.kind == "prints lie")
    assert notice.fact("cloth") == "M"
    assert Words(plan, checklist).notice(notice).endswith("take another cloth there.")
    _, (said,) = reading_of(more=", directional = true, upright = true")
    assert "diamonds would turn the print of madder, which has to stand upright; give the star another cloth" in said
