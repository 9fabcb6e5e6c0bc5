"""The quilt round its blocks, against published sizes, squares, borders, binding, backing and batting.

Where a page rounds generously or slips, the test states our figure and the difference.
"""

from __future__ import annotations

import tomllib
from fractions import Fraction
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import floating_squares

from tests.quilting import inches, plan_from, published_plan, quilt_plan
from tracker.exact.measure import ROOT2, Measure, nearest, round_up
from tracker.plan.model import Plan
from tracker.quilt.borders import CannotCut, border_lengths
from tracker.quilt.setting import diagonal_rows, set_quilt, setting_squares
from tracker.route.compiler import compile_plan
from tracker.words.json_report import cut_report, quilt_report
from tracker.words.quilt_summary import quilt_lines
from tracker.words.step_words import Words
from tracker.work.steps import CutPiece

PUBLISHED = Path(__file__).parent / "published"
QUILTS: dict[str, list[dict[str, Any]]] = tomllib.loads((PUBLISHED / "quilts.toml").read_text("utf-8"))
TRIANGLES: dict[str, list[dict[str, Any]]] = tomllib.loads((PUBLISHED / "triangles.toml").read_text("utf-8"))
CLOTH: dict[str, list[dict[str, Any]]] = tomllib.loads((PUBLISHED / "cloth.toml").read_text("utf-8"))

QUARTER, EIGHTH = Measure(Fraction(1, 4)), Measure(Fraction(1, 8))
SIZED = [row for row in QUILTS["quilt"] if "published" in row]


def by_id(rows: list[dict[str, Any]]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("row", rows, ids=[row.get("id", str(place)) for place, row in enumerate(rows)])


def size(texts: list[str]) -> tuple[Measure, Measure]:
    return inches(texts[0]), inches(texts[1])


def pieces(plan: Plan, use: str) -> list[CutPiece]:
    return [piece for piece in set_quilt(plan).pieces if piece.use == use]


# Sizes of whole quilts


@by_id(SIZED)
def test_a_published_quilt_has_its_size(row: dict[str, Any]) -> None:
    setting = set_quilt(published_plan(row))
    printed = size(row["published"])
    if "ours_near" in row:
        assert tuple(nearest(side, EIGHTH) for side in setting.finished) == size(row["ours_near"])
        assert all(side < page for side, page in zip(setting.finished, printed, strict=True))
    elif "ours" in row:
        assert setting.finished == size(row["ours"])
        assert printed not in (setting.finished, setting.unfinished)
    else:
        assert getattr(setting, row["means"]) == printed
    assert setting.unfinished == tuple(side + 2 * inches(row.get("seam", "1/4")) for side in setting.finished)


def test_every_published_size_that_differs_says_why() -> None:
    differing = {row["id"] for row in SIZED if "ours" in row or "ours_near" in row}
    assert differing == {"arkang", "karen", "padilla", "sherri", "sws", "rainq24"}
    assert all(row["why"] for row in SIZED if row["id"] in differing)


def test_blocks_on_point_are_counted_with_the_rows_between() -> None:
    # 63 blocks between 80, 32 side triangles and 4 corners (karensayssew blog, To the point!, 2010).
    row = next(row for row in SIZED if row["id"] == "karen")
    plan = published_plan(row)
    assert set_quilt(plan).blocks == 80 + 63
    sides, corners = pieces(plan, "setting")
    assert (sides.count * 4, corners.count * 2) == (32, 4)


# Sashes


def test_sashes_with_cornerstones_are_all_as_long_as_a_block() -> None:
    # 82 sashes and 48 squares with the sash round the outside (allpeoplequilt, Chocolate cherries, 2022): inside it
    # are 58 and 24, and the outer border takes the other 24 sashes and squares.
    sash = '[quilt.sash]\nfabric = "B"\nfinished = "1"\ncornerstone = "A"'
    plan = quilt_plan(("10", "10"), 5, 7, sash)
    assert sum(piece.count for piece in pieces(plan, "sash")) == 82 - 24
    assert {(piece.width, piece.height) for piece in pieces(plan, "sash")} == {size(["10 1/2", "1 1/2"])}
    assert [piece.count for piece in pieces(plan, "cornerstone")] == [48 - 24]


def test_sashes_without_cornerstones_are_short_in_rows_and_long_between_them() -> None:
    # allpeoplequilt, Sew easy sampler: 2 of 2 1/2 x 16 1/2, and between the rows 34 1/2.
    plan = quilt_plan(("16", "16"), 2, 2, '[quilt.sash]\nfabric = "B"\nfinished = "2"')
    counts: dict[tuple[Measure, Measure], int] = {}
    for piece in pieces(plan, "sash"):
        counts[piece.width, piece.height] = counts.get((piece.width, piece.height), 0) + piece.count
    assert counts == {size(["16 1/2", "2 1/2"]): 2, size(["34 1/2", "2 1/2"]): 1}


def test_mixed_blocks_have_sashes_of_every_height_and_width() -> None:
    text = """
title = "Mixed"
[fabrics.A]
name = "amber"
tone = 3
[blocks.wide]
columns = ["8"]
rows = ["5"]
picture = 'A'
[blocks.slim]
columns = ["3"]
rows = ["5"]
picture = 'A'
[quilt]
blocks = [["wide", "slim"], ["wide", "slim"]]
[quilt.sash]
fabric = "A"
finished = "1"
cornerstone = "A"
"""
    plan = plan_from(text)
    assert set_quilt(plan).finished == (Measure(12), Measure(11))
    lengths = sorted((piece.width, piece.count) for piece in pieces(plan, "sash"))
    assert lengths == [(inches("3 1/2"), 1), (inches("5 1/2"), 1), (inches("5 1/2"), 1), (inches("8 1/2"), 1)]


@pytest.mark.parametrize("sash", ["", "2", "3 1/4"])
def test_on_point_all_finished_areas_add_up_to_the_quilt(sash: str) -> None:
    """Blocks, triangles, sashes cut off at the edge, and cornerstones cover the centre exactly, for every layout."""
    side, width = Measure(7), inches(sash) if sash else Measure()
    for across, down in product(range(1, 6), repeat=2):
        table = f'[quilt.sash]\nfabric = "B"\nfinished = "{sash}"' if sash else ""
        plan = quilt_plan(("7", "7"), across, down, f'setting = "on point"\nsetting_fabric = "B"\n{table}')
        rows = [(row[0].along, row[-1].along) for row in diagonal_rows(plan)]
        blocks = sum(last - first + 1 for first, last in rows)
        area = side * side * blocks + side * width * sum(last - first for first, last in rows)
        for (first, last), (first_below, last_below) in pairwise(rows):
            span = max(last, last_below) - min(first, first_below) + 1
            area += width * (side * span + width * (span - 1) - width)
        triangles = 2 * (across - 1) + 2 * (down - 1)
        area += side * side * Fraction(triangles, 2) + side * side
        setting = set_quilt(plan)
        assert setting.centre[0] * setting.centre[1] == area, (across, down)
        assert setting.blocks == blocks


def test_on_point_every_sash_is_long_enough_for_its_slant() -> None:
    sash = '[quilt.sash]\nfabric = "B"\nfinished = "2"\n'
    head = 'setting = "on point"\nsetting_fabric = "B"\n'
    whole, ends = pieces(quilt_plan(("7", "7"), 3, 3, head + sash + 'cornerstone = "A"'), "sash")
    assert whole.width == inches("7 1/2")
    assert ends.width == round_up(inches("7 1/2") + ROOT2 * QUARTER, EIGHTH)
    long = pieces(quilt_plan(("7", "7"), 3, 3, head + sash), "sash")[1:]
    finished = [7 * span + 2 * (span - 1) for span in (3, 5, 5, 3)]
    assert sorted(piece.width for piece in long) == sorted(
        round_up(length + 2 * QUARTER * (1 + ROOT2), EIGHTH) for length in finished
    )


# Setting triangles


@by_id(TRIANGLES["triangle"])
def test_a_published_square_for_setting_triangles(row: dict[str, Any]) -> None:
    exact = setting_squares(inches(row["block"]), QUARTER)[row["kind"] == "corner"]
    assert exact.decimal(4) == row["exact"].rstrip("0")
    # No page is short of the exact square by more than a hundredth of an inch.
    assert inches(row["published"]) > exact - Fraction(1, 100)


def test_where_the_usual_rule_gives_an_eighth_more_than_the_exact_square() -> None:
    # 1.414 f + 1 1/4 and f / 1.414 + 7/8, up to the next eighth (Quilter's Cache, 2002): at some sizes the
    # side square is an eighth more than the exact one rounded up, the corner square never.
    root = Fraction(1414, 1000)
    more = []
    for block in range(4, 17):
        side, corner = (round_up(square, EIGHTH) for square in setting_squares(Measure(block), QUARTER))
        more += [block] * (round_up(root * block + Fraction(5, 4), EIGHTH) == side + EIGHTH)
        assert round_up(block / root + Fraction(7, 8), EIGHTH) == corner
    assert more == [4, 7, 10, 13]


def test_published_squares_below_the_exact_one_are_these() -> None:
    short = {
        row["id"]: (inches(row["published"]) - setting_squares(inches(row["block"]), QUARTER)[0]).decimal(4)
        for row in TRIANGLES["triangle"]
        if row["kind"] == "side" and inches(row["published"]) < setting_squares(inches(row["block"]), QUARTER)[0]
    }
    assert short == {"u091": "-0.0061"}


def test_roomy_squares_are_half_an_inch_larger() -> None:
    head = 'setting = "on point"\nsetting_fabric = "B"'
    exact, roomy = (
        pieces(quilt_plan(("6", "6"), 3, 3, head, f'trimming = "{trimming}"'), "setting")
        for trimming in ("exact", "roomy")
    )
    assert [piece.width for piece in exact] == [inches("9 3/4"), inches("5 1/8")]
    assert [b.width - a.width for a, b in zip(exact, roomy, strict=True)] == [Measure(Fraction(1, 2))] * 2


def test_in_centimetres_roomy_adds_one_and_two_tenths() -> None:
    head = 'setting = "on point"\nsetting_fabric = "B"'
    exact, roomy = (
        pieces(quilt_plan(("15", "15"), 2, 2, head, f'unit = "cm"\ntrimming = "{trimming}"', "100"), "setting")
        for trimming in ("exact", "roomy")
    )
    assert {b.width - a.width for a, b in zip(exact, roomy, strict=True)} == {Measure(Fraction(6, 5))}


@settings(max_examples=tries(60), deadline=None)
@given(st.fractions(1, 20, max_denominator=8), st.fractions(0, 6, max_denominator=8), st.sampled_from(("1/4", "3/8")))
def test_squares_of_triangles_that_float_are_as_large_as_their_seam_lines_want(
    side: Fraction, floats: Fraction, seam: str
) -> None:
    """The triangle between two blocks and the quilt's edge, and that in its corner, with a seam allowance all round:
    laid by shapely from nothing but where the edge and the blocks' sides lie."""
    found = [square.decimal(6) for square in setting_squares(Measure(side), inches(seam), Measure(floats))]
    assert [float(each) for each in found] == pytest.approx(
        floating_squares(float(side), float(Fraction(seam)), float(floats))
    )


def test_points_that_float_make_the_quilt_and_its_triangles_so_much_larger() -> None:
    head = 'setting = "on point"\nsetting_fabric = "B"'
    touching, floating = (
        quilt_plan(("6", "6"), 3, 2, head + more, 'trimming = "exact"') for more in ("", '\nfloats = "1 1/2"')
    )
    cut = [[piece.width for piece in pieces(plan, "setting")] for plan in (touching, floating)]
    assert [b - a for a, b in zip(*cut, strict=True)] == [Measure(3)] * 2
    assert [b - a for a, b in zip(set_quilt(touching).centre, set_quilt(floating).centre, strict=True)] == [
        Measure(3)
    ] * 2


# Borders


def test_borders_by_turns_sides_first() -> None:
    # Strips 1 1/2, 2 1/2 and 4 1/2 round 32 1/2 x 44 (oldmvc.villageserver, Borders for the sampler quilt, n.d.).
    top = size(["32 1/2", "44"])
    sides, ends, top = border_lengths(top, inches("1 1/2"), QUARTER, corners=False)
    assert (sides, ends, top) == (inches("44"), inches("34 1/2"), size(["34 1/2", "46"]))
    sides, ends, top = border_lengths(top, inches("2 1/2"), QUARTER, corners=False)
    assert (sides, ends, top) == (inches("46"), inches("38 1/2"), size(["38 1/2", "50"]))
    sides, ends, top = border_lengths(top, inches("4 1/2"), QUARTER, corners=True)
    assert (sides, ends, top) == (inches("50"), inches("38 1/2"), size(["46 1/2", "58"]))


def test_border_strips_by_side_and_the_cornerstones_of_the_last() -> None:
    borders = '[[quilt.border]]\nfabric = "B"\ncut = "2"\n[[quilt.border]]\nfabric = "B"\ncut = "4"\ncorners = "A"'
    setting = set_quilt(quilt_plan(("10", "20"), 1, 1, borders))
    lengths = [(strip.border, strip.side, strip.length) for strip in setting.border_strips]
    assert lengths == [
        (1, "left", inches("20 1/2")), (1, "right", inches("20 1/2")),
        (1, "top", inches("13 1/2")), (1, "bottom", inches("13 1/2")),
        (2, "left", inches("23 1/2")), (2, "right", inches("23 1/2")),
        (2, "top", inches("13 1/2")), (2, "bottom", inches("13 1/2")),
    ]  # fmt: skip
    assert setting.unfinished == size(["20 1/2", "30 1/2"])
    assert [(piece.fabric, piece.count, piece.width) for piece in setting.pieces if piece.use == "cornerstone"] == [
        ("A", 4, Measure(4))
    ]


def test_lengthwise_borders_lie_along_the_cloth_and_are_never_joined() -> None:
    border = '[[quilt.border]]\nfabric = "B"\ncut = "6 1/2"\nlengthwise = true'
    for piece in pieces(quilt_plan(("50", "70"), 1, 1, border, usable="60"), "border"):
        assert piece.width == inches("6 1/2")
        assert piece.fixed
        assert not piece.joined


# Refusals


@pytest.mark.parametrize(
    ("usable", "table", "part"),
    [
        ("2", '[quilt.binding]\nfabric = "B"\ncut = "2 1/2"', "binding"),
        ("1/2", '[quilt.backing]\nfabric = "B"', "backing"),
    ],
)
def test_a_cloth_too_narrow_to_be_joined(usable: str, table: str, part: str) -> None:
    with pytest.raises(CannotCut) as refused:
        set_quilt(quilt_plan(("6", "6"), 1, 1, table, usable=usable))
    assert (refused.value.part, refused.value.fabric) == (part, "B")


def test_a_border_has_one_length_in_the_list_and_in_the_quilt() -> None:
    # 3 x 4 blocks of 9 on point are 38.18 x 50.91 finished: no length of the border is a fraction.
    more = 'setting = "on point"\nsetting_fabric = "B"\n[[quilt.border]]\nfabric = "B"\nfinished = "3"'
    plan = quilt_plan(("9", "9"), 3, 4, more)
    listed = {row["width"] for row in cut_report(plan, compile_plan(plan))["pieces"] if row["use"] == "border"}
    strips = {strip["length"] for strip in quilt_report(plan)["border_strips"]}
    assert listed == strips == {"44 3/4", "51 1/2"}
    text = " ".join(quilt_lines(Words(plan, compile_plan(plan)), set_quilt(plan)))
    assert "sides 2 of 51½ × 3½ in, then top and bottom 2 of 44¾ × 3½ in" in text
