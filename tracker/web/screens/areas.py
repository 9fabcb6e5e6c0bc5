"""A printed cutting list without a plan: whether its areas add up to the block's. Nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response, make_response, render_template, request

from tracker.exact.measure import UNITS, Measure, write_length
from tracker.plan.defaults import DEFAULTS
from tracker.printed import list_table
from tracker.printed.block_area import check_areas
from tracker.printed.list_table import read_seam, read_size
from tracker.web.list_form import CompareResult, ListForm, form_facts, given, grown, place_words, read
from tracker.web.pages import nav_links
from tracker.web.screen import Screen
from tracker.words.printed_words import SHAPES, areas_text, row_text

screen = Screen("areas", "/compare")


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


@screen.get("")
def blank_without_a_plan() -> Response:
    """The form for a list without a plan, empty."""
    return _page(ListForm(), _block("in"), None)


@screen.post("")
def areas_compared() -> Response:
    """Whether the finished areas of a list's pieces add up to the block's."""
    form, do = given(request.form), request.form.get("do", "")
    unit = request.form.get("unit", "in")
    if do in UNITS:
        return _page(form, _block(do), None)
    block = _block(unit if unit in UNITS else "in")
    if grown(form):
        return _page(form, block, None)
    read(form, None, block.unit)
    if form.doubt or form.wrong:
        return _page(form, block, None, 422)
    try:
        size = block.size()
        seam = read_seam(block.seam, size, block.unit)
    except ValueError as fault:
        form.doubt = f"{str(fault)[:1].upper()}{str(fault)[1:]}."
        return _page(form, block, None, 422)
    check = check_areas(form.rows, size, seam, block.unit)
    taken = tuple(
        (place_words((row.line,)), row_text(row, block.unit), SHAPES[shape])
        for row, shape in zip(form.rows, check.shapes, strict=True)
    )
    return _page(form, block, CompareResult(check.agrees, areas_text(check, block.unit, place_words), (), 0, taken))


def _block(unit: str) -> BlockForm:
    typed = {name: request.form.get(name, "").strip()[:40] for name in ("across", "across_part", "down", "down_part")}
    usual = write_length(DEFAULTS[unit].seam, unit, plain=True)
    seam = request.form.get("seam", "").strip()[:40] if request.form.get("unit") == unit else ""
    return BlockForm(unit, **typed, seam=seam or usual)


def _page(form: ListForm, block: BlockForm, result: CompareResult | None, status: int = 200) -> Response:
    facts = {
        "cloths": None,
        "diamonds": False,
        "action": "/compare",
        "block": block,
        "shapes": _SHAPES,
        "nav": nav_links(),
    }
    return make_response(render_template("pages/areas.html", **facts, **form_facts(form, result, block.unit)), status)


_SHAPES = [(shape, words) for shape, words in SHAPES.items() if shape in list_table.SHAPES and shape != "rectangle"]
