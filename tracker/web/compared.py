"""A printed cutting list compared with a quilt's plan, or without one with the area of its block. Nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request

from tracker.exact.measure import UNITS, Measure, write_length
from tracker.plan.defaults import DEFAULTS
from tracker.plan.problems import counted
from tracker.printed.block_area import check_areas
from tracker.printed.compare import compare, worst_first
from tracker.printed.list_table import read_size
from tracker.quilt.setting import set_quilt
from tracker.web.list_form import (
    BLANK_ROWS,
    MOST_FAULTS,
    MOST_ROWS,
    PARTS,
    ListForm,
    TableRow,
    given,
    place_words,
    read,
)
from tracker.web.opened import Compiled
from tracker.web.pages import nav_links, parts, quilt_page
from tracker.words.printed_words import AGREES, SHAPES, Told, area_text, row_text, told

pages = Blueprint("compared", __name__)

MOST_TOLD = 100
"""So many differences are shown; whoever has more has another list."""


@dataclass(frozen=True)
class ListDifference:
    """One difference: its words, and the line of the list as it was written (empty: there is none)."""

    words: Told
    line: str


@dataclass(frozen=True)
class CompareResult:
    """What comparing says: in a line, each difference, how many more there are; and each row as it was read, with its
    place, its count and size, and its cloth or what is made of it."""

    good: bool
    summary: str
    differences: tuple[ListDifference, ...]
    more: int
    read: tuple[tuple[str, str, str], ...]


@pages.get("/quilts/<quilt_id>/compare")
def blank(quilt_id: str) -> Response:
    """The form, empty."""
    return _quilt_page(quilt_id, ListForm(), None)


@pages.post("/quilts/<quilt_id>/compare")
def compared(quilt_id: str) -> Response:
    """What the list has wrong; or the form again with everything typed, and what to put right in it."""
    form = given(request.form)
    if _grown(form):
        return _quilt_page(quilt_id, form, None)
    with parts().desk.quilt(quilt_id) as opened:
        compiled = opened.compiled
    cloths = compiled.plan.fabrics
    usable = {key: fabric.usable for key, fabric in cloths.items()}
    read(form, {key: fabric.name for key, fabric in cloths.items()}, compiled.plan.unit, usable)
    if form.doubt or form.wrong:
        return _quilt_page(quilt_id, form, None, 422)
    return _quilt_page(quilt_id, form, _result(compiled, form))


def _quilt_page(quilt_id: str, form: ListForm, result: CompareResult | None, status: int = 200) -> Response:
    with parts().desk.quilt(quilt_id) as opened:
        plan = opened.compiled.plan
        cloths = [(key, fabric.name) for key, fabric in plan.fabrics.items()]
        response = quilt_page(
            "compare.html",
            "",
            opened,
            cloths=cloths,
            action=f"/quilts/{quilt_id}/compare",
            **_facts(form, result, plan.unit),
        )
    response.status_code = status
    return response


def _facts(form: ListForm, result: CompareResult | None, unit: str) -> dict[str, Any]:
    facts: dict[str, Any] = {"form": form, "result": result, "unit": unit, "parts": PARTS, "most_rows": MOST_ROWS}
    return facts | {"faults": form.faults[:MOST_FAULTS], "more_faults": max(0, len(form.faults) - MOST_FAULTS)}


def _grown(form: ListForm) -> bool:
    """Whether no more is asked for than further rows; then they are there."""
    if request.form.get("do") != "more":
        return False
    form.table += [TableRow()] * min(BLANK_ROWS, MOST_ROWS - len(form.table))
    return True


def _result(compiled: Compiled, form: ListForm) -> CompareResult:
    plan, words = compiled.plan, compiled.words
    findings = worst_first(compare(plan, compiled.checklist, set_quilt(plan), form.rows))
    serious = sum(finding.matters for finding in findings)
    summary = AGREES
    if findings:
        right = f"{serious} to put right" if serious else "none of them does harm"
        summary = f"{counted(len(findings), 'difference')}, {right}."
    differences = tuple(
        ListDifference(told(words, finding, place_words), form.line(finding.line) if finding.line else "")
        for finding in findings[:MOST_TOLD]
    )
    rows = tuple(
        (place_words((row.line,)), row_text(row, plan.unit), plan.fabrics[row.fabric].name) for row in form.rows
    )
    return CompareResult(not findings, summary, differences, len(findings) - len(differences), rows)


# Without a plan


@dataclass(frozen=True)
class BlockForm:
    """The block's finished size and the seam as they were typed."""

    unit: str
    across: str = ""
    across_part: str = ""
    down: str = ""
    down_part: str = ""
    seam: str = ""

    def size(self) -> tuple[Measure, Measure]:
        """Across and down. Raises ValueError with a sentence."""
        across, down = (
            f"{whole} {part}".strip() for whole, part in ((self.across, self.across_part), (self.down, self.down_part))
        )
        if not across:
            raise ValueError("type the block's finished size, such as 12")
        return read_size(across, self.unit)[0], read_size(down or across, self.unit)[0]


@pages.get("/compare")
def blank_without_a_plan() -> Response:
    """The form for a list without a plan, empty."""
    return _page(ListForm(), _block("in"), None)


@pages.post("/compare")
def areas_compared() -> Response:
    """Whether the finished areas of a list's pieces add up to the block's."""
    form, do = given(request.form), request.form.get("do", "")
    unit = request.form.get("unit", "in")
    if do in UNITS:
        return _page(form, _block(do), None)
    block = _block(unit if unit in UNITS else "in")
    if _grown(form):
        return _page(form, block, None)
    read(form, None, block.unit)
    if form.doubt or form.wrong:
        return _page(form, block, None, 422)
    try:
        size, seam = block.size(), read_size(block.seam, block.unit)[0]
        if not 2 * seam < min(size):
            raise ValueError("the seam is too wide for this block; type the seam allowance, such as 1/4 in or 0.75 cm")
    except ValueError as fault:
        form.doubt = f"{str(fault)[:1].upper()}{str(fault)[1:]}."
        return _page(form, block, None, 422)
    check = check_areas(form.rows, size, seam, block.unit)
    taken = tuple(
        (place_words((row.line,)), row_text(row, block.unit), SHAPES[shape])
        for row, shape in zip(form.rows, check.shapes, strict=True)
    )
    return _page(form, block, CompareResult(not check.difference, area_text(check, block.unit), (), 0, taken))


def _block(unit: str) -> BlockForm:
    typed = {name: request.form.get(name, "").strip()[:40] for name in ("across", "across_part", "down", "down_part")}
    usual = write_length(DEFAULTS[unit].seam, unit, plain=True)
    seam = request.form.get("seam", "").strip()[:40] if request.form.get("unit") == unit else ""
    return BlockForm(unit, **typed, seam=seam or usual)


def _page(form: ListForm, block: BlockForm, result: CompareResult | None, status: int = 200) -> Response:
    facts = {"cloths": None, "action": "/compare", "block": block, "shapes": _SHAPES, "nav": nav_links()}
    return make_response(render_template("areas.html", **facts, **_facts(form, result, block.unit)), status)


_SHAPES = [(shape, words) for shape, words in SHAPES.items() if shape != "rectangle"]
