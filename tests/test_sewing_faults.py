"""Steps that cannot be done as printed: each is stopped at the right step, with the right kind and facts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from handmade import QUARTER, R, Table, at, line

from tracker.cloth.sewing_faults import SEWING_KINDS, SewingFault
from tracker.exact.geometry import XY, Segment
from tracker.exact.measure import Measure, Number
from tracker.work.steps import Flow, Step

S = QUARTER
C = Measure(3)
AWAY = S * R
LINES = (line(AWAY, 0, C, C - AWAY), line(0, AWAY, C - AWAY, C))
DIAGONAL = line(0, 0, C, C)
UP_RIGHT, LOW_LEFT = at(2, 1), at(1, 2)


def half_square(
    table: Table,
    mark: tuple[Number, Number, Number, Number] = (0, 0, C, C),
    lines: tuple[Segment, ...] = LINES,
    cut: tuple[Segment, ...] = (DIAGONAL,),
    parts: tuple[tuple[XY, int, str | None], ...] = ((UP_RIGHT, 0, "half"), (LOW_LEFT, 180, "half")),
    laid: tuple[int, Number, Number] = (90, 0, 0),
    light: Number = C,
) -> str:
    base, small = table.cut("D", C), table.cut("L", light)
    marked = table.mark(small, line(*mark))
    sewn = table.sew(table.pair(base, (marked, *laid)), *lines)
    return table.press(table.apart(sewn, list(cut), *parts))


def two_patches(table: Table, first: Number = 2, second: Number = 2, height: Number = 2) -> str:
    a, b = table.cut("A", first, 2), table.cut("B", second, height)
    table.lay_out((a, 0, "row", 0, 0), (b, 0, "row", 0, 1))
    return table.join("across", "row")


def ragged(table: Table) -> None:
    table.cut("A", 2)
    table.apart("A patch", [line(0, 0, 2, 2)], (at(Fraction(3, 2), 1), 0, "corner"), (at(Fraction(1, 2), 1), 0, None))
    table.lay_out(("A patch", 0, "row", 0, 0), ("corner", 0, "row", 0, 1))
    table.join("across", "row")


def unpressed(table: Table) -> None:
    row = two_patches(table)
    table.join("down", table.pin(row, row))


def four_sides(table: Table, lines: tuple[Segment, ...]) -> None:
    """Sewn along all four edges and opened along one of them without being cut apart."""
    sewn = table.sew(table.pair(table.cut("D", C), (table.cut("L", C), 0, 0, 0)), *lines)
    table.press(sewn)


TOP = line(0, S, C, S)
BOTTOM = line(0, C - S, C, C - S)

CASES: list[tuple[str, Callable[[Table], object], str, dict[str, object]]] = [
    ("a pile never filled", lambda t: t.mark("nothing", DIAGONAL), "unknown pile", {"pile": "nothing"}),
    ("no cloth", lambda t: t.cut("A", 0, 2), "no cloth", {"width": 0}),
    ("mark beyond the edge", lambda t: t.mark(t.cut("A", 2), line(0, 0, 3, 3)), "mark off the cloth", {}),
    ("laid beside", lambda t: half_square(t, laid=(90, C, 0)), "not on the base", {"piece": 1}),
    (
        "laid the wrong way: the mark rises",
        lambda t: half_square(t, laid=(0, 0, 0)),
        "seam line",
        {"line": 1, "found": "askew"},
    ),
    (
        "sewn too far from the mark",
        lambda t: half_square(t, lines=(line(S * 2, 0, C, C - S * 2), LINES[1])),
        "seam line",
        {"line": 1, "found": S * R, "needed": S},
    ),
    (
        "sewn beside the laid piece",
        lambda t: half_square(t, lines=(*LINES, line(C, 0, C + 1, 1))),
        "sews nothing",
        {"line": 3},
    ),
    ("cut stops short", lambda t: half_square(t, cut=(line(0, 0, 2, 2),)), "not across", {"line": 1}),
    (
        "a part left out",
        lambda t: half_square(t, parts=((UP_RIGHT, 0, "half"),)),
        "unnamed part",
        {"found": 2, "needed": 1},
    ),
    (
        "a part named twice",
        lambda t: half_square(t, parts=((UP_RIGHT, 0, "half"), (UP_RIGHT, 0, "half"))),
        "part twice",
        {"part": 1, "other": 2},
    ),
    (
        "a part off the cloth",
        lambda t: half_square(t, parts=((UP_RIGHT, 0, "half"), (at(4, 5), 0, "half"))),
        "no part",
        {"part": 2},
    ),
    (
        "a part on the cut",
        lambda t: half_square(t, parts=((at(1, 1), 0, "half"), (LOW_LEFT, 0, "half"))),
        "no part",
        {"part": 1},
    ),
    (
        "a part not turned",
        lambda t: half_square(t, parts=((UP_RIGHT, 0, "half"), (LOW_LEFT, 0, "half"))),
        "unlike",
        {"pile": "half", "what": "the cloth"},
    ),
    (
        "a part turned to its mirror image, which does not serve",
        lambda t: t.lay_out((half_square(t, parts=((UP_RIGHT, 0, "half"), (LOW_LEFT, 90, "half"))), 0, "row", 0, 0)),
        "two hands",
        {"pile": "half pressed"},
    ),
    ("one side not sewn", lambda t: half_square(t, lines=LINES[:1]), "unlike", {"what": "the stitches"}),
    (
        "cut off the mark",
        lambda t: half_square(t, cut=(line(Fraction(1, 8), 0, C, C - Fraction(1, 8)),)),
        "unlike",
        {},
    ),
    (
        "the allowance too narrow",
        lambda t: half_square(
            t,
            cut=(line(Fraction(1, 8), 0, C, C - Fraction(1, 8)),),
            parts=((UP_RIGHT, 0, "half"), (LOW_LEFT, 180, None)),
        ),
        "allowance",
        {"layer": "laid piece", "needed": S, "found": S - R / 16},
    ),
    (
        "the seam stops short",
        lambda t: half_square(
            t, lines=(line(AWAY, 0, 2, 2 - AWAY), LINES[1]), parts=((UP_RIGHT, 0, "half"), (LOW_LEFT, 0, None))
        ),
        "gap",
        {"piece": 1},
    ),
    ("sewn shut", lambda t: four_sides(t, (TOP, BOTTOM)), "held shut", {"piece": 1}),
    ("not sewn at all", lambda t: t.press(t.pair(t.cut("D", 3), (t.cut("L", 3), 0, 0, 0))), "not sewn", {"piece": 1}),
    (
        "pressed toward nothing",
        lambda t: t.press(half_square(t).removesuffix(" pressed"), "up"),
        "bad word",
        {"word": "up"},
    ),
    ("a patch pressed open", lambda t: t.press(t.cut("A", 2)), "wrong thing", {"pile": "A patch"}),
    (
        "trimmed larger than it is",
        lambda t: t.trim(half_square(t), 3, 2, at(1, 1)),
        "too small to trim",
        {"width": 3, "height": 2},
    ),
    ("trimmed off its edge", lambda t: t.trim(t.cut("A", 2), 1, 1, at(0, 1)), "too small to trim", {}),
    ("joined to a shorter edge", lambda t: two_patches(t, height=1), "edges", {"found": 1, "needed": 2}),
    ("no wider than its allowances", lambda t: two_patches(t, first=S), "too narrow", {"piece": 1}),
    (
        "a seam begun for all of it",
        lambda t: t.begin_seam(t.cut("A", 2), t.cut("B", 4, 2), "right", 2),
        "open part",
        {"found": 2, "needed": 2},
    ),
    (
        "a seam begun with a piece no longer",
        lambda t: t.begin_seam(t.cut("A", 2), t.cut("B", 2), "left", 1),
        "edges",
        {},
    ),
    ("a slanting edge", ragged, "ragged edge", {"edge": "left", "piece": 2}),
    ("a seam sewn across before it is pressed", unpressed, "unpressed", {}),
    (
        "too many seams to press",
        lambda t: t.press_seams(two_patches(t), ("r1c1", "r1c2", "r1c1"), ("r1c2", "r1c3", "r1c2")),
        "wrong seams",
        {"found": 2, "needed": 1},
    ),
    (
        "sides exchanged",
        lambda t: t.press_seams(two_patches(t), ("r1c2", "r1c1", "r1c1")),
        "wrong name",
        {"name": "r1c2"},
    ),
    (
        "another row's name",
        lambda t: t.press_seams(two_patches(t), ("row 2", "row 1", "row 2")),
        "wrong name",
        {"name": "row 1"},
    ),
    (
        "pressed toward a piece not there",
        lambda t: t.press_seams(two_patches(t), ("r1c1", "r1c2", "r1c3")),
        "bad word",
        {"word": "r1c3"},
    ),
    (
        "a strip of the wrong length",
        lambda t: t.add_strips(t.cut("A", 5), t.cut("F", 6, 1), "sides"),
        "edges",
        {"found": 6, "needed": 5},
    ),
    (
        "strips on no edges",
        lambda t: t.add_strips(t.cut("A", 5), t.cut("F", 5, 1), "left"),
        "bad word",
        {"word": "left"},
    ),
]


@pytest.mark.parametrize(("write", "kind", "facts"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_cannot_be_done_is_named(write: Callable[[Table], object], kind: str, facts: dict[str, object]) -> None:
    table = Table()
    write(table)
    fault = table.trace().fault
    assert fault is not None
    assert fault.kind == kind
    found = dict(fault.facts)
    assert {name: found[name] for name in facts} == facts
    assert fault.sentence().startswith(fault.step + ": ")


def changed(table: Table, operation: str, change: Callable[[Step], Step]) -> None:
    """Change the first step of that operation."""
    place = next(number for number, step in enumerate(table.steps) if step.operation == operation)
    table.steps[place] = change(table.steps[place])


FLOWS: list[tuple[str, str, Callable[[Step], Step], str, int, int]] = [
    ("half", "pair", lambda s: replace(s, takes=s.takes[:1]), "wrong takes", 1, 0),
    ("half", "pair", lambda s: replace(s, takes=(s.takes[0], Flow(s.takes[1].pile, 2))), "wrong takes", 1, 2),
    ("half", "cut apart", lambda s: replace(s, gives=(Flow(s.gives[0].pile, 1),)), "wrong gives", 2, 1),
    ("half", "cut", lambda s: replace(s, gives=(Flow(s.gives[0].pile, 2),)), "wrong gives", 1, 2),
    ("half", "press", lambda s: replace(s, takes=(Flow(s.takes[0].pile, 2),)), "wrong takes", 1, 2),
    ("row", "lay out", lambda s: replace(s, takes=s.takes[:1]), "wrong takes", 1, 0),
    ("row", "join", lambda s: replace(s, gives=()), "wrong gives", 1, 0),
]


@pytest.mark.parametrize(("what", "operation", "change", "kind", "needed", "found"), FLOWS)
def test_takes_and_gives_must_agree_with_the_action(
    what: str, operation: str, change: Callable[[Step], Step], kind: str, needed: int, found: int
) -> None:
    table = Table()
    half_square(table) if what == "half" else two_patches(table)
    changed(table, operation, change)
    fault = table.trace().fault
    assert fault is not None
    assert (fault.kind, dict(fault.facts)["needed"], dict(fault.facts)["found"]) == (kind, needed, found)
    assert fault.step.startswith(operation + ":")


def test_the_first_step_that_fails_ends_the_sewing() -> None:
    table = Table()
    half_square(table)
    pressed = table.steps[-1]
    table.steps = [*table.steps[:-2], pressed, table.steps[-2]]
    trace = table.trace()
    assert trace.fault == SewingFault(pressed.id, "empty pile", (("pile", "half"),))
    assert list(trace.done) == [step.id for step in table.steps[:-2]]


def test_two_steps_that_fill_one_pile_must_agree() -> None:
    table = Table()
    table.cut("A", 2, name="squares")
    table.cut("A", 2, name="squares")
    assert table.trace().fault is None
    table.cut("B", 2, name="squares")
    fault = table.trace().fault
    assert fault is not None
    assert (fault.kind, dict(fault.facts)["what"]) == ("unlike", "the cloth")


def test_every_kind_of_fault_is_met_here() -> None:
    at_dots = {"not to the dot", "past the dot"}  # in the tests of diamonds
    met = {case[2] for case in CASES} | {case[3] for case in FLOWS} | {"empty pile"} | at_dots
    assert met == set(SEWING_KINDS)
