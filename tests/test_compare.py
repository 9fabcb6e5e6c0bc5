"""Printed lists against plans: published slips, the usual slips of the pen, and the command."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from effort import by_lot

from tests.quilting import all_pieces, inches, plan_from, quilt_plan
from tracker.exact.measure import write_length
from tracker.plan.model import Plan
from tracker.printed.compare import compare
from tracker.printed.list_findings import ListFinding
from tracker.printed.list_table import ListRow, read_list
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.printed_words import finding_text
from tracker.words.step_words import Words

HERE = Path(__file__).parent
SLIPS: list[dict[str, Any]] = tomllib.loads((HERE / "published" / "slips.toml").read_text("utf-8"))["slip"]


def rows_of(text: str, plan: Plan) -> list[ListRow]:
    usable = {key: fabric.usable for key, fabric in plan.fabrics.items()}
    rows, faults = read_list(text, {key: fabric.name for key, fabric in plan.fabrics.items()}, plan.unit, usable)
    assert not faults
    return rows


def picture_plan(picture: str, cell: str, unit: str = "in", half_square: str = "two", number: int = 1) -> Plan:
    return plan_from(
        f"""
title = "Trial"
unit = "{unit}"
trimming = "exact"
half_square = "{half_square}"
[fabrics.A]
name = "amber"
tone = 3
[fabrics.B]
name = "bark"
tone = 7
[blocks.b]
cell = "{cell}"
picture = '{picture}'
[quilt]
block = "b"
across = {number}
down = {number}
"""
    )


def findings(plan: Plan, text: str) -> tuple[ListFinding, ...]:
    return compare(plan, compile_plan(plan), set_quilt(plan), rows_of(text, plan))


def slip_plan(slip: dict[str, Any]) -> Plan:
    if "picture" in slip:
        return picture_plan(slip["picture"], slip["cell"], slip.get("unit", "in"), slip.get("half_square", "two"))
    if "block" in slip:
        return plan_from((HERE / f"plans/blocks/{slip['block']}.toml").read_text("utf-8"))
    side, across, down = slip["plan"]
    return quilt_plan((side, side), across, down, slip["quilt"], 'trimming = "exact"', slip.get("usable", "70"))


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip["id"])
def test_a_published_slip_is_found(slip: dict[str, Any]) -> None:
    plan = slip_plan(slip)
    found = findings(plan, slip["list"])
    wanted = slip["finding"]
    (finding,) = (each for each in found if each.line == min(row.line for row in rows_of(slip["list"], plan)))
    assert (finding.kind, finding.matters, finding.slip) == (wanted["kind"], wanted["matters"], wanted.get("slip"))
    assert finding.needed is not None
    assert finding.needed[0] == wanted["needed"]
    sentence = finding_text(Words(plan, compile_plan(plan)), finding)
    assert sentence.endswith(".")
    assert ("no harm" in sentence) != finding.matters


def test_a_backing_too_short_is_told() -> None:
    # 4 1/4 yd for 68 x 85 is two lengths of 76 1/2 (karensayssew blog, To the point!, 2010).
    plan = quilt_plan(("17", "17"), 4, 5, '[quilt.backing]\nfabric = "B"\nbeyond = "4"', usable="42")
    found = findings(plan, "A,20,17 1/2,17 1/2\nB,2,76 1/2,42")
    assert [each.kind for each in found] == ["not needed", "missing", "missing"]
    assert {each.use for each in found if each.kind == "missing"} == {"backing"}


@pytest.mark.parametrize("path", sorted((HERE / "plans" / "valid").glob("*.toml")), ids=lambda path: path.stem)
def test_the_plans_own_list_has_no_difference(path: Path) -> None:
    plan = plan_from(path.read_text("utf-8"))
    checklist, setting = compile_plan(plan), set_quilt(plan)
    lines = []
    for piece in all_pieces(plan):
        sides = (write_length(side, plan.unit, plain=True) for side in (piece.width, piece.height))
        lines.append(";".join([piece.fabric, str(piece.count), *sides]))
    rows, faults = read_list("\n".join(lines), {key: fabric.name for key, fabric in plan.fabrics.items()}, plan.unit)
    assert not faults
    assert compare(plan, checklist, setting, rows) == ()


def test_a_side_off_every_mark_is_listed_to_the_next() -> None:
    # On point 3 x 2 blocks of 7 1/2 are 31.82 x 21.21 finished: the backing is 36.38 x 25.78, above 36 3/8 x 25 3/4.
    setting = 'setting = "on point"\nsetting_fabric = "A"\n[quilt.backing]\nfabric = "B"\nbeyond = "2 1/32"'
    plan = quilt_plan(("7 1/2", "7 1/2"), 3, 2, setting)
    rest = [ListRow(9, p.fabric, p.count, p.width, p.height) for p in all_pieces(plan) if p.use != "backing"]
    rows = [*rows_of("B,1,36 1/2,25 7/8", plan), *rest]
    assert compare(plan, compile_plan(plan), set_quilt(plan), rows) == ()
    for size in ("36 3/8,25 3/4", "36 1/8,25 3/4"):
        (finding,) = compare(plan, compile_plan(plan), set_quilt(plan), [*rows_of(f"B,1,{size}", plan), *rest])
        assert (finding.kind, finding.matters) == ("wrong size", True)


# The usual slips

STAR = "A/B A B"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # needed for four blocks: of A 2 squares of 4 7/8 and 4 of 4 1/2, and the same of B
        ("A,2,4,4\nA,2,4 7/8,4 7/8", [("wrong size", True, "finished for cut"), ("too few", True, "one set for two")]),
        ("A,4,4 1/2,4 1/2\nA,2,4,4", [("wrong size", True, "finished for cut")]),
        ("A,2,4 1/2,4 1/2\nA,2,4 7/8,4 7/8", [("too few", True, "one set for two")]),
        ("A,1,4 1/2,4 1/2\nA,2,4 7/8,4 7/8", [("too few", True, "one block's")]),
        ("A,4,4 1/2,4 1/2\nA,2,4 1/8,4 1/8", [("wrong size", True, "lost digit")]),
        ("A,4,4 1/2,4 1/2\nA,1,4 7/8,4 7/8", [("too few", True, "one set for two")]),
        ("A,4,1/2,1/2\nA,2,4 7/8,4 7/8", [("wrong size", True, "lost digit")]),
        ("A,9,4 1/2,4 1/2\nA,2,4 7/8,4 7/8", [("too many", False, None)]),
        ("A,4,4 1/2,4 1/2\nA,2,5,5", [("wrong size", False, None)]),
        ("A,4,4 1/2,4 1/2\nA,2,4 7/8,4 7/8\nA,3,9,2", [("not needed", False, None)]),
    ],
)
def test_usual_slips_are_named(text: str, expected: list[tuple[str, bool, str | None]]) -> None:
    plan = picture_plan(STAR, "4", number=2)
    rest = "\nB,2,4 7/8,4 7/8\nB,4,4 1/2,4 1/2"
    found = findings(plan, text + rest)
    assert [(each.kind, each.matters, each.slip) for each in found] == expected


def test_the_size_of_the_trimmed_unit_for_that_of_its_square() -> None:
    plan = picture_plan("A/B A/B", "3")
    (finding,) = findings(plan, "A,1,3 1/2,3 1/2\nB,1,3 7/8,3 7/8")
    assert (finding.kind, finding.matters, finding.slip) == ("wrong size", True, "trimmed for cut")


def test_cloths_that_are_exchanged() -> None:
    plan = picture_plan("A A A B", "4")
    found = findings(plan, "B,3,4 1/2,4 1/2\nA,1,4 1/2,4 1/2")
    assert {each.kind for each in found} == {"too many", "too few"}
    found = findings(picture_plan("A/B A B", "4"), "A,1,4 7/8,4 7/8\nB,1,4 7/8,4 7/8\nB,2,4 1/2,4 1/2")
    assert [(each.kind, each.fabric) for each in found] == [("too many", "B"), ("missing", "A")]


def test_what_is_missing_always_matters() -> None:
    found = findings(picture_plan("A B", "4"), "A,1,4 1/2,4 1/2")
    assert [(each.kind, each.fabric, each.needed, each.matters) for each in found] == [
        ("missing", "B", (1, (inches("4 1/2"), inches("4 1/2"))), True)
    ]


def test_strips_listed_by_the_width_of_the_cloth() -> None:
    # allpeoplequilt, Rail Fence throw: borders of 7 strips 3 1/2 x 42.
    border = '[[quilt.border]]\nfabric = "B"\nfinished = "3"'
    plan = quilt_plan(("10", "11"), 6, 6, border, usable="42")
    assert findings(plan, "A,36,11 1/2,10 1/2\nB,7,42,3 1/2") == ()
    (finding,) = findings(plan, "A,36,11 1/2,10 1/2\nB,6,42,3 1/2")
    assert (finding.kind, finding.needed) == ("too few", (7, (inches("42"), inches("3 1/2"))))

    assert findings(plan, "A,36,11 1/2,10 1/2\nB,7,3 1/2,WOF") == ()


LONG_STRIPS = [
    quilt_plan(("48", "48"), 1, 1, '[[quilt.border]]\nfabric = "B"\nfinished = "3"'),
    quilt_plan(("10", "11"), 6, 6, '[[quilt.border]]\nfabric = "B"\nfinished = "3"', usable="42"),
    quilt_plan(("9", "9"), 4, 5, '[quilt.sash]\nfabric = "B"\nfinished = "2"'),
    quilt_plan(("9", "9"), 4, 5, '[quilt.sash]\nfabric = "B"\nfinished = "2"\ncornerstone = "A"'),
    quilt_plan(
        ("12", "12"), 3, 4, '[[quilt.border]]\nfabric = "B"\nfinished = "1"\n[[quilt.border]]\nfabric = "A"\ncut = "5"'
    ),
    quilt_plan(("12", "12"), 2, 2, '[[blocks.b.frame]]\nfabric = "B"\ncut = "1 1/2"', 'trimming = "exact"'),
    quilt_plan(
        ("12", "12"), 2, 2, '[[blocks.b.frame]]\nfabric = "B"\ncut = "2"\n[quilt.binding]\nfabric = "B"\ncut = "2"'
    ),
]  # fmt: skip


@pytest.mark.parametrize("by", ["-8", "-2", "-1 1/2", "-1/2", "1/2", "1", "2", "6"])
@pytest.mark.parametrize("plan", LONG_STRIPS)
def test_every_wrong_length_of_a_strip_is_named(plan: Plan, by: str) -> None:
    pieces = all_pieces(plan)
    sizes = {(piece.fabric, piece.width) for piece in pieces}
    change = -inches(by[1:]) if by[0] == "-" else inches(by)
    tried = 0
    for place, piece in enumerate(pieces):
        if piece.use not in ("border", "sash", "frame") or (piece.fabric, piece.width + change) in sizes:
            continue
        rows = [ListRow(n, p.fabric, p.count, p.width, p.height) for n, p in enumerate(pieces, 1)]
        rows[place] = replace(rows[place], width=piece.width + change)
        (finding,) = compare(plan, compile_plan(plan), set_quilt(plan), rows)
        assert (finding.kind, finding.line, finding.fabric) == ("wrong size", place + 1, piece.fabric)
        assert finding.needed == (piece.count, (piece.width, piece.height))
        trimmed = finding.slip in ("exact size", "less room to trim") or (piece.use == "frame" and change > 0)
        assert finding.matters != trimmed
        tried += 1
    assert tried


def test_only_what_is_said_to_be_as_long_as_the_cloth_is_wide_is_joined() -> None:
    plan = LONG_STRIPS[0]
    assert findings(plan, "A,1,48 1/2,48 1/2\nB,6,3 1/2,WOF") == ()
    found = findings(plan, "A,1,48 1/2,48 1/2\nB,4,44,3 1/2")
    assert {each.kind for each in found} == {"not needed", "missing"}
    # A binding's strips have no length of their own.
    bound = quilt_plan(("20", "20"), 2, 2, '[quilt.binding]\nfabric = "B"\ncut = "2 1/2"')
    assert findings(bound, "A,4,20 1/2,20 1/2\nB,5,42,2 1/2") == ()


# Sizes that do no harm, and near misses


@pytest.mark.parametrize(
    ("listed", "kind", "matters", "says"),
    [
        (
            "A,4,4 1/2,4 1/2\nA,2,8 7/8,8 7/8",
            "wrong size",
            False,
            "and it takes about 4 in more of the cloth's length.",
        ),
        (
            "A,4,4 1/2,4 1/2\nA,2,44 7/8,44 7/8",
            "wrong size",
            True,
            "they are too large, and must be cut down, and it takes about",
        ),
        ("A,14,4 1/2,4 1/2\nA,2,4 7/8,4 7/8", "too many", False, "10 are left over, and it takes about 4½ in more"),
        (
            "A,4,4 1/2,4 1/2\nA,2,4 7/8,4 7/8\nA,1,3,3",
            "not needed",
            False,
            "takes about 3 in more of the cloth's length",
        ),
    ],
)
def test_harm_is_cloth_as_well(listed: str, kind: str, matters: bool, says: str) -> None:
    plan = picture_plan(STAR, "4", number=2)
    (finding,) = findings(plan, f"{listed}\nB,2,4 7/8,4 7/8\nB,4,4 1/2,4 1/2")
    assert (finding.kind, finding.matters) == (kind, matters)
    assert says in finding_text(Words(plan, compile_plan(plan)), finding)


@pytest.mark.parametrize(
    ("listed", "says"),
    [
        # What is listed for four blocks; every sentence says how it reads aloud.
        ("A,5,4 1/2,4 1/2\nA,2,4 7/8,4 7/8", "It does no harm: 1 is left over, cut from the same strips."),
        (
            "A,2,4 1/2,4 1/2\nA,2,4 7/8,4 7/8",
            "That is half of what is needed. Cut 4 in all: 2 more than the list says here.",
        ),
        (
            "A,4,4 1/2,4 1/2\nA,2,5,5",
            "they are ⅛ in larger than needed, which is trimmed away, and it takes about ⅛ in more of",
        ),
        (
            "A,4,4 1/2,4 1/2\nA,2,4 1/8,4 1/8",
            "Probably 4⅞ × 4⅞ in was meant: a figure of the size is missing or wrong.",
        ),
        ("A,4,4 1/2,4 1/2", "the list has none. Add them to the list, and cut 2."),
        ("A,4,5,4 1/2\nA,2,4 7/8,4 7/8", "Cut so, they are ½ in too long, and must be cut down."),
        ("A,4,4 1/2,4 1/2\nA,2,4 7/8,4 7/8\nA,1,1,1", "Leave it out: it does no harm, but takes about 1 in more of"),
        ("A,4,4 1/2,4 1/2\nA,2,4 7/8,4 7/8\nA,3,9,2", "Leave them out: it does no harm, but takes about 2 in more"),
    ],
)
def test_what_comes_of_a_difference_is_said_for_one_and_for_more(listed: str, says: str) -> None:
    plan = picture_plan(STAR, "4", number=2)
    (finding,) = findings(plan, f"{listed}\nB,2,4 7/8,4 7/8\nB,4,4 1/2,4 1/2")
    assert says in finding_text(Words(plan, compile_plan(plan)), finding)


def test_cloth_cut_from_another_is_of_no_use() -> None:
    plan = picture_plan("A/B A A", "4")
    (finding,) = findings(plan, "A,1,4 7/8,4 7/8\nB,1,4 7/8,4 7/8\nB,2,4 1/2,4 1/2")
    said = finding_text(Words(plan, compile_plan(plan)), finding)
    assert said.endswith("Cut so, they are of no use here, and that cloth is lost.")


def test_what_a_ruler_rounds_up_is_not_lost() -> None:
    # Side triangles of blocks of 14 on point: 14 x 1.4142 + 1.2071 is 21.006, cut 21 1/8.
    plan = quilt_plan(("14", "14"), 2, 2, 'setting = "on point"\nsetting_fabric = "B"', 'trimming = "exact"')
    pieces = {piece.width: piece.count for piece in all_pieces(plan) if piece.use == "setting"}
    sides, corners = (write_length(size, "in", plain=True) for size in sorted(pieces, reverse=True))
    assert sides == "21 1/8"
    for size, matters, slip in (("21", False, "not rounded up"), ("20 15/16", True, None)):
        (finding,) = findings(plan, f"A,5,14 1/2,14 1/2\nB,1,{size},{size}\nB,2,{corners},{corners}")
        assert (finding.kind, finding.matters, finding.slip) == ("wrong size", matters, slip)


@pytest.mark.parametrize(
    ("listed", "expected", "says"),
    [
        # The roomy plan asks for 14 1/2 and 7 3/4; 9 1/2 x 1.4142 + 1/2 is 13.93, 9 x 0.7071 + 1/2 + 0.35 is 7.22.
        ("B,2,14,14\nB,2,7 1/4,7 1/4", [(False, "exact size"), (False, "exact size")], "the exact size, with no room"),
        ("B,2,14 1/4,14 1/4\nB,2,7 3/4,7 3/4", [(False, "less room to trim")], "less room to trim"),
        ("B,2,13 7/8,13 7/8\nB,2,7 3/4,7 3/4", [(True, None)], "too small, and the cloth is lost"),
        ("B,2,13 1/2,13 1/2\nB,2,6 3/4,6 3/4", [(True, "finished for cut")] * 2, "That is the finished size"),
    ],
)
def test_the_exact_size_does_no_harm_where_the_plan_has_room_to_trim(
    listed: str, expected: list[tuple[bool, str | None]], says: str
) -> None:
    plan = quilt_plan(("9", "9"), 3, 3, 'setting = "on point"\nsetting_fabric = "B"')
    found = findings(plan, f"A,13,9 1/2,9 1/2\n{listed}")
    assert [(each.matters, each.slip) for each in found] == expected
    assert {each.kind for each in found} == {"wrong size"}
    for each in found:
        assert says in finding_text(Words(plan, compile_plan(plan)), each)


def test_a_size_on_the_finest_mark_is_not_told_twice() -> None:
    plan = replace(picture_plan("A/B A/B", "3"), trimming="roomy")
    (finding,) = findings(plan, "A,1,4,4\nB,1,3 15/16,3 15/16")
    assert "The list has 1 of 3 15⁄16 × 3 15⁄16 in; the plan" in finding_text(Words(plan, compile_plan(plan)), finding)


@pytest.mark.parametrize(
    ("size", "matters", "slip"),
    [
        ("3 7/8", False, "exact size"),
        ("3 3/8", True, "finished for cut"),
        ("3 1/2", True, "trimmed for cut"),
        ("3", True, "finished for cut"),
    ],
)
def test_squares_for_half_squares_of_three(size: str, matters: bool, slip: str) -> None:
    plan = replace(picture_plan("A/B A/B", "3"), trimming="roomy")
    (finding,) = findings(plan, f"A,1,4,4\nB,1,{size},{size}")
    assert (finding.kind, finding.matters, finding.slip) == ("wrong size", matters, slip)
    assert finding.needed == (1, (inches("4"), inches("4")))


def test_the_exact_list_of_every_roomy_plan_does_no_harm() -> None:
    for path in by_lot(sorted((HERE / "plans" / "blocks").glob("*.toml"))):
        roomy = replace(plan_from(path.read_text("utf-8")), trimming="roomy")
        exact = compile_plan(replace(roomy, trimming="exact"))
        rows = [ListRow(n, p.fabric, p.count, p.width, p.height) for n, p in enumerate(exact.pieces, 1)]
        found = compare(roomy, compile_plan(roomy), set_quilt(roomy), rows)
        assert {(each.kind, each.matters, each.slip) for each in found} <= {("wrong size", False, "exact size")}, path


@pytest.mark.parametrize(
    ("block", "across", "down", "quilt", "listed", "expected", "says"),
    [
        (
            ("40", "48"), 1, 1, '[[quilt.border]]\nfabric = "B"\nfinished = "3 1/2"', "B,4,48 1/2,4",
            (False, (2, "48 1/2"), (2, "47 1/2")), "They can be trimmed by 1 in; it does no harm.",
        ),
        (
            ("9", "9 3/8"), 6, 5, '[quilt.sash]\nfabric = "B"\nfinished = "1"\ncornerstone = "A"', "B,49,9 7/8,1 1/2",
            (False, (24, "9 7/8"), (24, "9 1/2")), "They can be trimmed by ⅜ in; it does no harm.",
        ),
        (
            ("9", "9 3/8"), 6, 5, '[quilt.sash]\nfabric = "B"\nfinished = "1"\ncornerstone = "A"', "B,49,9 1/2,1 1/2",
            (True, (25, "9 1/2"), (25, "9 7/8")), "Cut so, they are ⅜ in too short, and the cloth is lost.",
        ),
    ],
)  # fmt: skip
def test_what_is_listed_in_the_size_of_the_others_is_a_wrong_size(
    block: tuple[str, str],
    across: int,
    down: int,
    quilt: str,
    listed: str,
    expected: tuple[bool, tuple[int, str], tuple[int, str]],
    says: str,
) -> None:
    plan = quilt_plan(block, across, down, quilt, usable="70")
    rest = [ListRow(9, p.fabric, p.count, p.width, p.height) for p in all_pieces(plan) if p.fabric != "B"]
    (finding,) = compare(plan, compile_plan(plan), set_quilt(plan), [*rows_of(listed, plan), *rest])
    assert (finding.kind, finding.slip) == ("wrong size", "the others' size")
    assert finding.listed
    assert finding.needed
    counts = [(count, write_length(size[0], "in", plain=True)) for count, size in (finding.listed, finding.needed)]
    assert (finding.matters, *counts) == expected
    assert says in finding_text(Words(plan, compile_plan(plan)), finding)
