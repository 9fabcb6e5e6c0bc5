"""The compiler against published figures: sizes of single units, strips, and cutting lists of whole blocks.

The figures stand in tests/published, each with its source; the blocks are drawn as plans in tests/plans/blocks.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tracker.exact.measure import Measure, nearest, read_length
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.work.steps import Checklist, CutApart, UnitRow
from tracker.work.things import INNER, Stage

HERE = Path(__file__).parent
UNITS: dict[str, list[dict[str, Any]]] = tomllib.loads((HERE / "published/units.toml").read_text("utf-8"))
BLOCKS: dict[str, list[dict[str, Any]]] = tomllib.loads((HERE / "published/blocks.toml").read_text("utf-8"))
PLANS = HERE / "plans/blocks"

Sizes = Counter[tuple[str, Measure, Measure]]


# Single units

PICTURES = {
    "plain": "D",
    "half-square triangle": "L\\D",
    "half-rectangle triangle": "L\\D",
    "quarter-square triangle": "D:L:D:L",
    "split quarter-square triangle": "D:L:M:D",
    "flying goose": "L/D D\\L",
    "square in a square": "L/D D\\L\nL\\D D/L",
    "snowball": "L/D D D\\L\nD D D\nL\\D D D/L",
}
"""Each unit with its main cloth D and its corners L, or for a split unit the pair of squares, L and M."""


def lengths(row: Mapping[str, Any], key: str) -> dict[str, Measure]:
    return {part: read_length(text, row.get("unit", "in")) for part, text in row.get(key, {}).items()}


def grid(row: Mapping[str, Any]) -> tuple[str, str]:
    """Column widths and row heights that draw a unit of the row's finished size, as a plan writes them."""
    width, height = row["finished"]
    if row["kind"] == "flying goose":
        return f'["{height}", "{height}"]', f'["{height}"]'
    if row["kind"] == "square in a square":
        half = f"{read_length(width, 'in').rational / 2}"
        return f'["{half}", "{half}"]', f'["{half}", "{half}"]'
    if row["kind"] == "snowball":
        corner = row["corner"]
        middle = f"{read_length(width, 'in').rational - 2 * read_length(corner, 'in').rational}"
        return f'["{corner}", "{middle}", "{corner}"]', f'["{corner}", "{middle}", "{corner}"]'
    return f'["{width}"]', f'["{height}"]'


def unit_plan(row: Mapping[str, Any]) -> Plan:
    """A quilt of one block that is nothing but the row's unit."""
    kind, (columns, rows) = row["kind"], grid(row)
    lines = ['title = "one unit"', f'unit = "{row.get("unit", "in")}"', f'trimming = "{row["trimming"]}"']
    if "seam" in row:
        lines.append(f'seam = "{row["seam"]}"')
    if "way" in row and kind in ("half-square triangle", "flying goose"):
        lines.append(f'{"geese" if kind == "flying goose" else "half_square"} = "{row["way"]}"')
    for key, tone in (("D", 8), ("L", 2), ("M", 4)):
        lines += [f"[fabrics.{key}]", f'name = "cloth {key}"', f"tone = {tone}"]
    lines += ["[blocks.one]", 'name = "one"', f"columns = {columns}", f"rows = {rows}", "combine = true"]
    lines += ["picture = '''", PICTURES[kind], "'''", "[quilt]", 'block = "one"', "across = 1", "down = 1"]
    reading = read_plan("\n".join(lines))
    assert reading.plan is not None, reading.problems
    return reading.plan


def by_id(rows: list[dict[str, Any]]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("row", rows, ids=[row["id"] for row in rows])


def size_of_part(checklist: Checklist, part: str) -> Measure | tuple[Measure, Measure]:
    """The one size that all pieces of a part are cut to: a side where they are square."""
    cloths = {"every": "DL", "main": "D", "corners": "L", "pair": "LM"}[part]
    sizes = {(piece.width, piece.height) for piece in checklist.pieces if piece.fabric in cloths}
    assert len(sizes) == 1, f"{part}: {sizes}"
    width, height = sizes.pop()
    return width if width == height else (width, height)


def published_size(text: str, unit: str) -> Measure | tuple[Measure, Measure]:
    if " x " not in text:
        return read_length(text, unit)
    width, height = sorted((read_length(side, unit) for side in text.split(" x ")), reverse=True)
    return width, height


def the_unit(row: Mapping[str, Any], checklist: Checklist) -> UnitRow:
    unit, *others = [unit for unit in checklist.units if unit.needed]
    assert (unit.kind, row.get("way", unit.way), others) == (row["kind"], unit.way, [])
    return unit


@by_id(UNITS["unit"])
def test_a_unit_is_cut_to_the_published_size_or_the_row_says_why_not(row: dict[str, Any]) -> None:
    checklist = compile_plan(unit_plan(row))
    unit = row.get("unit", "in")
    ours = dict(row["published"]) | dict(row.get("ours", {}))
    assert {part: size_of_part(checklist, part) for part in ours} == {
        part: published_size(text, unit) for part, text in ours.items()
    }
    # A row that differs says in what, and truly differs there.
    differing = {part for part, text in ours.items() if text != row["published"][part]}
    assert (row["verdict"], bool(row.get("why")), differing) == (
        ("differs", True, set(row["ours"])) if "ours" in row else ("same", False, set())
    )
    made = the_unit(row, checklist)
    if "makes" in row:
        assert made.made == row["makes"]
    if "trimmed" in row:
        width, height, *_ = [read_length(side, unit) for side in row["trimmed"].split(" x ")] * 2
        assert made.trimmed == (width, height)
    if "beside" in row:
        cuts = [step.action for step in checklist.steps if isinstance(step.action, CutApart)]
        assert {abs(cut.lines[0][0][1]) for cut in cuts} == {read_length(row["beside"], unit)}


@by_id([row for row in UNITS["unit"] if "exact" in row])
def test_the_figure_before_the_ruler_is_the_exact_one(row: dict[str, Any]) -> None:
    """With exact trimming and a ruler of very fine marks the cut is the exact figure, to the four places given."""
    fine = compile_plan(replace(unit_plan(row), trimming="exact", ruler=Measure(Fraction(1, 10**9))))
    for part, exact in lengths(row, "exact").items():
        cut = size_of_part(fine, part)
        assert isinstance(cut, Measure)
        assert nearest(cut, Fraction(1, 10_000)) == nearest(exact, Fraction(1, 10_000))


@by_id([row for row in UNITS["unit"] if "inner" in row])
def test_the_half_square_inside_is_the_published_size_to_the_nearest_eighth(row: dict[str, Any]) -> None:
    checklist = compile_plan(unit_plan(row))
    piles = checklist.piles.values()
    inner = [pile for pile in piles if pile.thing.of == INNER and pile.stage is Stage.PRESSED]
    (size,) = {pile.size for pile in inner}
    assert size is not None
    assert [nearest(side, Fraction(1, 8)) for side in size] == [read_length(row["inner"], "in")] * 2


def test_a_split_unit_comes_out_in_mirror_images() -> None:
    """frugalquilting.com, The split quarter square triangle, n.d.: two units, mirror pieces."""
    row = next(row for row in UNITS["unit"] if row["id"] == "split-6")
    hands = [unit for unit in compile_plan(unit_plan(row)).units if unit.kind == row["kind"]]
    assert sorted((unit.needed, unit.made, unit.spare) for unit in hands) == [(0, 1, 1), (1, 1, 0)]


METRIC_RULES = {"half-square triangle": Fraction(7, 2), "quarter-square triangle": Fraction(5)}


@pytest.mark.parametrize("kind", METRIC_RULES)
@pytest.mark.parametrize("seam", ["0.5", "0.6", "0.75", "1"])
def test_the_rule_by_the_seam_is_never_short_and_little_over(kind: str, seam: str) -> None:
    """tilkkutaiwas blog, Tilkkumatematiikkaa / patchwork maths, 2012: half squares + 3.5 s, quarter squares + 5 s.

    Exact are 3.4142 s and 4.8284 s: the rule is over by 0.0858 s and 0.1716 s, 1.3 mm at most with a seam of 0.75 cm.
    """
    row = {"kind": kind, "trimming": "exact", "unit": "cm", "seam": seam, "finished": ["8", "8"]}
    fine = compile_plan(replace(unit_plan(row), ruler=Measure(Fraction(1, 10**9))))
    cut, s = size_of_part(fine, "every"), read_length(seam, "cm")
    assert isinstance(cut, Measure)
    over = 8 + METRIC_RULES[kind] * s - cut
    share = {"half-square triangle": Fraction(858, 10_000), "quarter-square triangle": Fraction(1716, 10_000)}[kind]
    assert abs(over - share * s) < Fraction(1, 5_000)


# Strips


@by_id(UNITS["strips"])
def test_strips_side_by_side_measure_the_published_width(row: dict[str, Any]) -> None:
    """Also the seam tests: three strips cut 1 1/2 measure 3 1/2, with 1 showing of the middle one."""
    count, strip = row["count"], read_length(row["strip"], "in")
    shown = (strip - Fraction(1, 2)).rational
    columns = ", ".join([f'"{shown}"'] * count)
    cells = " ".join("DLM"[number % 3] for number in range(count))
    text = f"""
title = "strips"
fabrics.D = {{ name = "dark", tone = 8 }}
fabrics.L = {{ name = "light", tone = 2 }}
fabrics.M = {{ name = "middling", tone = 5 }}
blocks.set = {{ name = "set", columns = [{columns}], rows = ["12"], picture = "{cells}" }}
quilt = {{ block = "set", across = 1, down = 1 }}
"""
    reading = read_plan(text)
    assert reading.plan is not None, reading.problems
    checklist = compile_plan(reading.plan)
    assert {piece.height for piece in checklist.pieces} == {strip}
    assert sum(piece.count for piece in checklist.pieces) == count
    (block,) = checklist.blocks
    if "unfinished" in row:
        assert block.inner[0] == read_length(row["unfinished"], "in")
    else:
        assert block.finished[0] == read_length(row["finished"], "in")


# Whole blocks


@cache
def block_plan(name: str) -> Plan:
    path = PLANS / f"{name}.toml"
    reading = read_plan(path.read_bytes(), path.name)
    assert reading.plan is not None, reading.problems
    return reading.plan


def size(written: list[str]) -> tuple[Measure, Measure]:
    width, height = sorted((read_length(side, "in") for side in written), reverse=True)
    return width, height


def published_pieces(row: Mapping[str, Any]) -> Sizes:
    pieces: Sizes = Counter()
    for piece in row["pieces"]:
        pieces[(piece["cloth"], *size(piece["size"]))] += piece["count"]
    return pieces


def our_pieces(row: Mapping[str, Any]) -> Sizes:
    """What the plan cuts, by the page's names of the cloths."""
    name_of = {key: name for name, keys in row["cloths"].items() for key in keys}
    pieces: Sizes = Counter()
    for piece in compile_plan(block_plan(row["id"])).pieces:
        pieces[name_of[piece.fabric], piece.width, piece.height] += piece.count
    return pieces


@by_id(BLOCKS["block"])
def test_a_block_is_cut_as_published_or_the_row_says_where_not(row: dict[str, Any]) -> None:
    published, ours = published_pieces(row), our_pieces(row)
    stated = {(d["cloth"], *size(d["size"])): (d["published"], d["ours"]) for d in row.get("differs", ())}
    found = {key: (published[key], ours[key]) for key in published | ours if published[key] != ours[key]}
    assert found == stated
    assert all(d["why"] for d in row.get("differs", ()))


@by_id(BLOCKS["block"])
def test_a_block_has_its_published_size(row: dict[str, Any]) -> None:
    """The unfinished size that the page states or its pieces add up to."""
    plan = block_plan(row["id"])
    side = read_length(row["unfinished"], "in") - 2 * plan.seam
    assert plan.blocks["block"].finished(plan.seam) == (side, side)
    assert plan.count_of("block") == row.get("times", 1)


def test_enough_published_blocks_are_drawn() -> None:
    """45 lists were collected. A plan stands for each that is drawn, and a reason for each that is not."""
    drawn, not_drawn = {row["id"] for row in BLOCKS["block"]}, {row["id"] for row in BLOCKS["not_drawn"]}
    assert {path.stem for path in PLANS.glob("*.toml")} == drawn
    assert not drawn & not_drawn
    assert all(row["why"] for row in BLOCKS["not_drawn"])
    alike = [row for row in BLOCKS["block"] if not row.get("differs")]
    assert (len(drawn | not_drawn - {"field-50"}), len(alike) >= 25) == (46, True)


@by_id(UNITS["unit"] + UNITS["strips"] + BLOCKS["block"] + BLOCKS["not_drawn"])
def test_every_row_names_its_source(row: dict[str, Any]) -> None:
    """Page, title and year ("n.d." where the page has none) stand beside the figures."""
    assert row["source"].count(", ") >= 2 or row["source"].endswith("n.d.")
