"""How cloths are cut, against published counts of strips and pieces, and against the cloth itself."""

from __future__ import annotations

import json
import tomllib
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from math import floor
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.milp import habit
from tests.plan_strategies import plans
from tests.quilting import inches, plan_from, quilt_plan
from tracker.demo import PLAN_FILE
from tracker.exact.measure import ROOT2, Measure, read_length
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.quilt.borders import CannotCut
from tracker.quilt.cloth_cutting import ClothCutting, block_pieces, cut_cloth, cut_quilt, joined_runs
from tracker.quilt.packing import Item
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.json_report import cut_report, quilt_report
from tracker.work.steps import CutPiece

HERE = Path(__file__).parent
CLOTH: dict[str, list[dict[str, Any]]] = tomllib.loads((HERE / "published" / "cloth.toml").read_text("utf-8"))
VALID = [PLAN_FILE, *sorted((HERE / "plans" / "valid").glob("*.toml"))]


def cut(plan: Plan, *pieces: CutPiece) -> ClothCutting:
    return cut_cloth(plan, plan.fabrics["A"], pieces)


def square(side: str, count: int, use: str = "unit") -> CutPiece:
    return CutPiece("A", inches(side), inches(side), count, use)


def rectangle(across: str, along: str, count: int, use: str = "unit", **more: bool) -> CutPiece:
    return CutPiece("A", inches(across), inches(along), count, use, **more)


# Published counts


@pytest.mark.parametrize("row", CLOTH["strip"], ids=lambda row: f"{row['length']} from {row['usable']}")
def test_pieces_from_a_strip(row: dict[str, Any]) -> None:
    plan = quilt_plan(usable=row["usable"])
    one, more = (cut(plan, square(row["length"], count)).number for count in (row["pieces"], row["pieces"] + 1))
    assert (one, more) == (1, 2)


@pytest.mark.parametrize("width", [44, 42, 40])
@pytest.mark.parametrize("row", CLOTH["yard"], ids=lambda row: row["size"])
def test_squares_from_a_yard(row: dict[str, Any], width: int) -> None:
    """As many squares as the yard is said to give take no more than a yard, and one more takes more."""
    count = row[f"at_{width}"]
    plan = quilt_plan(usable=str(width))
    fits, too_many = (cut(plan, square(row["size"], number)) for number in (count, count + 1))
    assert fits.length - fits.squaring <= 36
    assert too_many.length - too_many.squaring > 36


def test_the_published_yard_is_of_44_and_has_one_slip() -> None:
    slips = {row["size"]: (row["published"], row["at_44"]) for row in CLOTH["yard"] if row["published"] != row["at_44"]}
    assert slips == {"7": (35, 30)}
    # Its heading says 42 x 36, which gives fewer at fourteen sizes, the slip among them.
    assert sum(row["at_42"] < row["published"] for row in CLOTH["yard"]) == 14


@pytest.mark.parametrize("row", CLOTH["fat_quarter"], ids=lambda row: row["size"])
def test_squares_from_a_fat_quarter(row: dict[str, Any]) -> None:
    """Ours is 17 1/2 by 20 1/2 usable: never more than the whole 18 by 21 gives."""
    plan = quilt_plan(cloth="fat_quarters = 1")
    cutting = cut(plan, square(row["size"], 200))
    taken = sum(part.count * strip.count for strip in cutting.quarter_strips for part in strip.parts)
    side = inches(row["size"])
    assert taken == (inches("20 1/2") / side).__floor__() * (inches("17 1/2") / side).__floor__()
    assert taken <= row["at_21"] <= row["published"]


def test_a_log_cabin_by_two_lengths_from_a_strip() -> None:
    # Quilter's World, Groovy log cabin, 2021: 21 strips only if two of each length share a strip;
    # cut one length at a time it takes 25.
    cutting = cut(quilt_plan(), rectangle("10 1/2", "1 1/2", 42), rectangle("9 1/2", "1 1/2", 42))
    assert (cutting.number, cutting.length - cutting.squaring) == (21, inches("31 1/2"))
    assert habit(40 * 8, [Item(84, 12, 42), Item(76, 12, 42)])[0] == 25
    assert cutting.proven


def test_borders_joined_end_to_end_take_the_published_strips() -> None:
    """allpeoplequilt, throws of 2015 to 2022: strips of 42 for each border."""
    rows = [
        (("38", "38"), "4", 5, 5),
        (("60", "66"), "3", 7, 7),
        # Five strips of 1 1/2, joined on the diagonal, are 204 long for 202: no 4 in are left for a top that grew.
        (("42", "56"), "1", 5, 6),
        (("44", "58"), "3", 6, 6),
    ]
    for (width, height), finished, published, ours in rows:
        plan = quilt_plan(
            (width, height), 1, 1, f'[[quilt.border]]\nfabric = "B"\nfinished = "{finished}"', usable="42"
        )
        pieces = [piece for piece in set_quilt(plan).pieces if piece.use == "border"]
        crosswise = [CutPiece("B", p.width, p.height, p.count, p.use, joined=True) for p in pieces]
        assert cut_cloth(plan, plan.fabrics["B"], crosswise).number == ours, (width, height)
        before = replace(plan, reckoning=1)
        assert cut_cloth(before, before.fabrics["B"], crosswise).number == published, (width, height)


# The cloth itself


def cuttings(path: Path) -> tuple[Plan, list[CutPiece], tuple[ClothCutting, ...]]:
    plan = read_plan(path.read_bytes()).plan
    assert plan is not None
    setting = set_quilt(plan)
    return plan, list(setting.pieces), cut_quilt(plan, compile_plan(plan), setting)


@pytest.mark.parametrize("path", VALID, ids=lambda path: path.stem)
def test_every_piece_of_a_plan_is_cut_once_within_the_cloth(path: Path) -> None:
    plan, _, cut_cloths = cuttings(path)
    listed: Counter[tuple[str, Measure, Measure]] = Counter()
    for piece in compile_plan(plan).pieces:
        listed[piece.fabric, piece.width, piece.height] += piece.count
    made: Counter[tuple[str, Measure, Measure]] = Counter()
    for cutting in cut_cloths:
        usable = plan.fabrics[cutting.fabric].usable
        assert cutting.length == sum((s.width * s.count for s in cutting.strips), cutting.squaring)
        for strip in (*cutting.strips, *cutting.quarter_strips):
            assert strip.left >= 0
            for part in strip.parts:
                assert part.height <= strip.width
                made[cutting.fabric, max(part.width, part.height), min(part.width, part.height)] += (
                    part.count * strip.count
                )
        for strip in cutting.strips:
            assert sum((part.width * part.count for part in strip.parts), strip.left) == usable
        for run in cutting.runs:
            # Instead of the pieces the strips are cut that they are joined of.
            for piece in run.pieces:
                listed[cutting.fabric, max(piece.width, piece.height), min(piece.width, piece.height)] -= piece.count
            width = run.pieces[0].height
            listed[cutting.fabric, usable, width] += run.strips - 1
            listed[cutting.fabric, max(run.last, width), min(run.last, width)] += 1
    assert made == +listed


def test_long_strips_are_joined_of_full_widths() -> None:
    plan = quilt_plan()
    cutting = cut_cloth(plan, plan.fabrics["A"], [rectangle("90", "2 1/2", 2, "border", joined=True), square("6", 1)])
    (run,) = cutting.runs
    # Five strips lose four widths of 2 1/2: 200 - 10 is 190; 180 are needed, and 4 to spare.
    assert run.strips == 5
    parts = [
        (part.width, part.count * strip.count)
        for strip in cutting.strips
        for part in strip.parts
        if part.uses == ("border",)
    ]
    assert sum((width * count for width, count in parts), Measure()) - 4 * inches("2 1/2") == 184


@pytest.mark.parametrize(
    ("unit", "usable", "width", "long", "strips", "last"),
    [
        # 40 - 2 1/2 for each but the first: 77 1/2 of two strips, and 73 1/2 and 4 in are no more.
        ("in", "40", "2 1/2", "73 1/2", 2, "40"),
        ("in", "40", "2 1/2", "73 5/8", 3, "6 1/2"),  # 2 5/8 would do: a scrap
        ("in", "40", "2 1/2", "79", 3, "8"),
        ("cm", "100", "6", "183", 2, "99"),
        ("cm", "100", "6", "185", 3, "16"),
    ],
)
def test_what_is_joined_has_some_to_spare_and_its_last_strip_is_no_scrap(
    unit: str, usable: str, width: str, long: str, strips: int, last: str
) -> None:
    plan = quilt_plan(("5", "5"), top=f'unit = "{unit}"', usable=usable)
    piece = CutPiece("A", read_length(long, unit), read_length(width, unit), 1, "border", joined=True)
    (run,) = joined_runs(plan, (), replace(set_quilt(plan), pieces=(piece,)))
    assert (run.strips, run.last) == (strips, read_length(last, unit))


def test_borders_are_cut_lengthwise_where_that_takes_no_more_cloth() -> None:
    plan = quilt_plan()
    many = rectangle("44", "8", 4, "border", joined=True)
    lengthwise = cut(plan, many)
    assert not lengthwise.runs
    assert lengthwise.length - lengthwise.squaring == 44
    few = cut(plan, rectangle("90", "2 1/2", 2, "border", joined=True))
    assert few.runs


def test_cloth_with_a_direction_is_never_turned() -> None:
    sizes = [rectangle("9 1/2", "2", 12), rectangle("3", "8", 3)]
    plan = quilt_plan(cloth="directional = true")
    for strip in cut(plan, *sizes).strips:
        for part in strip.parts:
            assert (part.width, part.height) in {(piece.width, piece.height) for piece in sizes}
    assert cut(quilt_plan(), *sizes).length <= cut(plan, *sizes).length


def test_what_stands_upright_in_the_block_is_cut_upright() -> None:
    text = """
title = "Upright"
[fabrics.A]
name = "amber"
tone = 3
directional = true
[blocks.b]
columns = ["2", "4"]
rows = ["4", "2"]
picture = '''
A A
A A
'''
[[blocks.b.frame]]
fabric = "A"
cut = "1 1/2"
[quilt]
block = "b"
across = 1
down = 1
"""
    plan = plan_from(text)
    (cutting,) = cut_quilt(plan, compile_plan(plan), set_quilt(plan))
    parts = Counter(
        {
            (part.width, part.height, use): part.count * strip.count
            for strip in cutting.strips
            for part in strip.parts
            for use in part.uses
        }
    )
    # The patch at the left is 2 1/2 across and 4 1/2 down, the one at the bottom lies; frame strips at the sides stand.
    assert parts[inches("2 1/2"), inches("4 1/2"), "unit"] == 1
    assert parts[inches("4 1/2"), inches("2 1/2"), "unit"] == 1
    assert parts[inches("1 1/2"), inches("9 1/2"), "frame"] == 2
    assert parts[inches("7 1/2"), inches("1 1/2"), "frame"] == 2


@pytest.mark.parametrize("trimming", ["exact", "roomy"])
def test_a_frame_wider_than_the_block_is_long_stands_upright_too(trimming: str) -> None:
    frame = '[[blocks.b.frame]]\nfabric = "B"\ncut = "5"'
    plan = quilt_plan(("3", "3"), 1, 1, frame, f'trimming = "{trimming}"')
    plan = replace(plan, fabrics=plan.fabrics | {"B": replace(plan.fabrics["B"], directional=True)})
    strips = [piece for piece in block_pieces(plan, compile_plan(plan)) if piece.use == "frame"]
    more = 0 if trimming == "exact" else 1
    # Above and below they are as wide as the block, 3 1/2, and 5 high; at the sides 5 wide and 3 1/2 + 2 x 4 1/2 high.
    assert {(piece.width - (0 if piece.width == 5 else more), piece.count) for piece in strips} == {
        (inches("3 1/2"), 2),
        (inches("5"), 2),
    }
    assert {piece.height for piece in strips} == {5, inches("12 1/2") + more}


def test_fat_quarters_are_used_first() -> None:
    plan = quilt_plan(cloth="fat_quarters = 2")
    cutting = cut(plan, square("5", 30))
    quarter = sum(part.count * strip.count for strip in cutting.quarter_strips for part in strip.parts)
    assert (cutting.fat_quarters, quarter) == (2, 24)
    assert sum(part.count * strip.count for strip in cutting.strips for part in strip.parts) == 6
    enough = cut(plan, square("5", 9))
    assert (enough.fat_quarters, enough.number, enough.length) == (1, 0, 0)


def test_the_first_cut_squares_the_end_once_a_cloth() -> None:
    cutting = cut(quilt_plan(), square("5", 30))
    assert (cutting.squaring, cutting.length) == (inches("1/2"), inches("20 1/2"))


def test_a_patch_wider_than_the_cloth_is_turned_or_pieced() -> None:
    turned = cut(quilt_plan(), rectangle("50", "20", 1))
    assert [(strip.width, strip.parts[0].width) for strip in turned.strips] == [(Measure(50), Measure(20))]
    pieced = cut(quilt_plan(), rectangle("50", "45", 1))
    assert [piece.width for piece in pieced.pieced] == [Measure(50)]
    widths = [part.width for strip in pieced.strips for part in strip.parts]
    assert sorted(widths) == [inches("10 1/2"), Measure(40)]


def test_lengths_with_a_root_are_cut_to_the_next_mark() -> None:
    piece = CutPiece("A", 6 * ROOT2, inches("2"), 1, "sash")
    (strip,) = cut(quilt_plan(), piece).strips
    assert strip.parts[0].width == inches("8 1/2")


def test_strips_too_wide_to_be_joined_are_refused() -> None:
    with pytest.raises(CannotCut) as refused:
        cut(quilt_plan(usable="5"), rectangle("60", "6", 1, "sash", joined=True))
    assert refused.value.part == "sash"


@settings(max_examples=tries(60), deadline=None)
@given(
    st.lists(
        st.builds(
            lambda a, b, n: CutPiece("A", Measure(Fraction(a, 8)), Measure(Fraction(b, 8)), n, "unit"),
            st.integers(4, 300), st.integers(4, 300), st.integers(1, 9),
        ),
        min_size=1,
        max_size=5,
    )
)  # fmt: skip
def test_any_list_is_cut_whole_and_never_worse_than_the_habit(pieces: list[CutPiece]) -> None:
    cutting = cut(quilt_plan(), *pieces)
    wanted: Counter[tuple[Measure, Measure]] = Counter()
    for piece in pieces:
        wanted[max(piece.width, piece.height), min(piece.width, piece.height)] += piece.count
    made: Counter[tuple[Measure, Measure]] = Counter()
    for strip in cutting.strips:
        for part in strip.parts:
            made[max(part.width, part.height), min(part.width, part.height)] += part.count * strip.count
    assert made == wanted
    sizes = Counter[tuple[int, int]]()
    for piece in pieces:
        sizes[floor(piece.width * 8), floor(piece.height * 8)] += piece.count
    strips, length = habit(40 * 8, [Item(*size, count) for size, count in sizes.items()])
    assert cutting.number <= strips
    assert (cutting.length - cutting.squaring) * 8 <= length


def test_sizes_of_fine_fractions_are_cut_exactly() -> None:
    sizes = [rectangle("13/7", "22/13", 30), rectangle("100/11", "16/17", 9), rectangle("40", "31/19", 2)]
    cutting = cut(quilt_plan(), *sizes)
    for strip in cutting.strips:
        assert strip.width == max(part.height for part in strip.parts)
        assert sum((part.width * part.count for part in strip.parts), strip.left) == 40
        assert strip.left >= 0
        assert {frozenset((part.width, part.height)) for part in strip.parts} <= {
            frozenset((piece.width, piece.height)) for piece in sizes
        }


@settings(max_examples=tries(25), deadline=None)
@given(plans())
def test_any_plan_has_its_cutting_and_its_size_to_the_schema(plan: Plan) -> None:
    for name, report in (("cut", cut_report(plan, compile_plan(plan))), ("quilt", quilt_report(plan))):
        schema = json.loads((HERE / "schemas" / f"{name}.json").read_text("utf-8"))
        jsonschema.validate(report, schema, cls=jsonschema.Draft202012Validator)
