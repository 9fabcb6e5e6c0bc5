"""Cutting lists and lengths of cloth of published whole quilts, and published figures that no list holds."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.quilting import all_pieces, inches, plan_from, quilt_plan
from tracker.exact.measure import ROOT2, Measure, nearest, read_length, round_up
from tracker.plan.model import Plan
from tracker.printed.compare import compare
from tracker.printed.list_table import ListRow, read_list
from tracker.quilt.cloth_cutting import cut_cloth
from tracker.quilt.setting import set_quilt, setting_squares
from tracker.route.compiler import compile_plan
from tracker.work.steps import CutPiece

HERE = Path(__file__).parent
PUBLISHED: dict[str, list[dict[str, Any]]] = tomllib.loads((HERE / "published/lists.toml").read_text("utf-8"))
CLOTH: dict[str, list[dict[str, Any]]] = tomllib.loads((HERE / "published/cloth.toml").read_text("utf-8"))
EIGHTH = Measure(Fraction(1, 8))


def list_plan(row: dict[str, Any]) -> Plan:
    if "text" in row:
        return plan_from(row["text"])
    side, across, down = row["plan"]
    top = f'trimming = "exact"\nseam = "{row.get("seam", "1/4")}"'
    return quilt_plan((side, side), across, down, row["quilt"], top, row["usable"])


def others(row: dict[str, Any], plan: Plan) -> list[ListRow]:
    """The plan's own pieces of the uses and cloths that the published list is not about."""
    return [
        ListRow(1000 + place, piece.fabric, piece.count, piece.width, piece.height)
        for place, piece in enumerate(all_pieces(plan))
        if piece.use not in row["uses"] or piece.fabric not in row.get("cloths", plan.fabrics)
    ]


@pytest.mark.parametrize("row", PUBLISHED["list"], ids=lambda row: row["id"])
def test_a_published_list_agrees_with_its_quilt_or_the_row_says_where_not(row: dict[str, Any]) -> None:
    plan = list_plan(row)
    rows, faults = read_list(row["list"].strip(), {key: cloth.name for key, cloth in plan.fabrics.items()}, plan.unit)
    assert not faults
    found = compare(plan, compile_plan(plan), set_quilt(plan), rows + others(row, plan))
    stated = [(each["row"], each["kind"], each["needed"]) for each in row.get("differs", ())]
    assert [(each.line, each.kind, each.needed and each.needed[0]) for each in found] == stated
    assert all(each["why"] for each in row.get("differs", ()))


@pytest.mark.parametrize("row", PUBLISHED["yardage"], ids=lambda row: f"{row['source'][:20]}: {row['cloth'][:20]}")
def test_published_lengths_of_cloth_are_the_exact_ones_and_what_the_row_says_more(row: dict[str, Any]) -> None:
    plan = quilt_plan(usable=row["usable"])
    fixed = row.get("lengthwise", False)
    pieces = []
    for piece in row["pieces"].split(", "):
        count, across, along = re.split(" of | x ", piece)
        pieces.append(CutPiece("A", inches(across), inches(along), int(count), "unit", fixed=fixed))
    exact = cut_cloth(plan, plan.fabrics["A"], pieces).length
    assert exact == inches(row["ours"])
    assert read_length(f"{row['yards']} yd", "in") - exact == read_length(row["spare"], "in")


def test_every_row_names_its_source() -> None:
    for row in (*PUBLISHED["list"], *PUBLISHED["yardage"]):
        assert row["source"].count(", ") >= 2, row


def test_a_strip_gives_fewer_pieces_than_a_page_says() -> None:
    """alyciaquilts blog, Veterans day rail quilt-along, step 3, 2010: five blocks of 8 1/2 from a strip set."""
    (row,) = (row for row in CLOTH["strip"] if "published" in row)
    assert (row["pieces"], row["published"]) == (4, 5)
    five = row["published"] * inches(row["length"])
    assert five == inches("42 1/2")
    assert five > inches(row["usable"])


# Counts of blocks


def test_a_chequer_of_nine_by_nine_takes_41_and_40_blocks() -> None:
    """gigisthimble, Irish chain quilt-along, assembly, 2020: 5 x 5 + 4 x 4 of the one block, 40 of the other."""
    rows = [[("chain", "alternate")[(row + column) % 2] for column in range(9)] for row in range(9)]
    quilt = "blocks = " + str(rows).replace("'", '"')
    cloth = '[fabrics.{0}]\nname = "{1}"\ntone = {2}\n'
    block = '[blocks.{0}]\ncell = "2"\npicture = """{1}"""\n'
    text = 'title = "Chequer"\n' + cloth.format("D", "slate", 8) + cloth.format("L", "oat", 2)
    text += block.format("chain", "D L\nL D") + block.format("alternate", "L <\n^ <") + f"[quilt]\n{quilt}\n"
    plan = plan_from(text)
    assert (plan.count_of("chain"), plan.count_of("alternate")) == (41, 40)
    assert set_quilt(plan).blocks == 81


def test_a_hundred_irish_chain_blocks_are_pressed_half_one_way_and_half_the_other() -> None:
    """kleinmeisjequilts, Irish chain block construction, 2022: 50 of pressing plan A, 50 of plan B."""
    text = (HERE / "plans/blocks/irish-9.toml").read_text("utf-8")
    plan = plan_from(text.replace("across = 1", "across = 10").replace("down = 1", "down = 10\nhalf_turns = false"))
    (block,) = compile_plan(plan).pressing.blocks
    assert [len(version.blocks) for version in block.versions] == [50, 50]


# Rules and slips that no list holds


def test_a_block_trimmed_to_its_finished_size_has_lost_its_seams() -> None:
    """empirebom blog, January 2017: Sawtooth Star, 2017: trim to 8 x 8, which cuts off every point. It is 8 1/2."""
    plan = plan_from((HERE / "plans/blocks/saw-8a.toml").read_text("utf-8"))
    (block,) = compile_plan(plan).blocks
    assert block.unfinished == (inches("8 1/2"),) * 2
    assert block.finished == (inches("8"),) * 2


def test_nine_units_of_four_and_a_quarter_make_eleven_and_three_quarters() -> None:
    """lovelaughquilt, My simple card trick, 2011: measured 12, and doubted by its author."""
    text = """
title = "Nine units"
fabrics.A = { name = "amber", tone = 3 }
fabrics.B = { name = "bark", tone = 7 }
blocks.b = { cell = "3 3/4", picture = "A/B A A\\\\B\\nA B A\\nA\\\\B A A/B" }
quilt = { block = "b", across = 1, down = 1 }
"""
    checklist = compile_plan(plan_from(text))
    assert {unit.trimmed for unit in checklist.units} == {(inches("4 1/4"),) * 2}
    assert checklist.blocks[0].unfinished == (inches("11 3/4"),) * 2


def test_a_chart_of_side_squares_stays_below_its_own_rule_and_is_right_so() -> None:
    """lukas.is-a-geek.org/tani, Setting-triangle chart, n.d.: said to round up to the next eighth, 23 7/8 for 16.

    Its rule, √2 f + 1 1/4, gives 23.877 and so 24; the exact square is 23.8345, and 23 7/8 is enough.
    """
    side, _ = setting_squares(Measure(16), Measure(Fraction(1, 4)))
    assert round_up(16 * ROOT2 + Fraction(5, 4), EIGHTH) == 24
    assert round_up(side, EIGHTH) == inches("23 7/8")


@pytest.mark.parametrize(("square", "unfinished", "rule"), [("10", "6.72", "more"), ("3", "1.77", "less")])
def test_the_rule_of_0_64_is_short_for_small_units_and_wasteful_for_large(
    square: str, unfinished: str, rule: str
) -> None:
    """montsemgm, The real maths for four-at-a-time half-square triangles, 2025: squares of 10 give 6.72, and of 3 1.77.

    The rule takes unfinished / 0.64: 10 1/2 and 2.77. It is right only near squares of 5 1/4.
    """
    unit = inches(unfinished)
    plan = plan_from(
        f"""
title = "Four at a time"
trimming = "exact"
half_square = "four"
fabrics.A = {{ name = "amber", tone = 3 }}
fabrics.B = {{ name = "bark", tone = 7 }}
blocks.b = {{ cell = "{(unit - Fraction(1, 2)).rational}", picture = "A/B A/B A/B A/B" }}
quilt = {{ block = "b", across = 1, down = 1 }}
"""
    )
    (cut,) = {piece.width for piece in compile_plan(replace(plan, ruler=Measure(Fraction(1, 10**6)))).pieces}
    assert nearest(cut, EIGHTH) == inches(square)
    ruled = unit / Fraction(64, 100)
    assert ruled - cut > Fraction(4, 10) if rule == "more" else cut - ruled > Fraction(2, 10)
    # Both agree where √2 u + 1/2 = u / 0.64, for squares a little above 5 1/4.
    even = Fraction(1, 2) / (Fraction(100, 64) - ROOT2)
    assert nearest(even / Fraction(64, 100), EIGHTH) == inches("5 1/4")
