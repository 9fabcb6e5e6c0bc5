"""A printed cutting list compared with a quilt's plan. Nothing is kept."""

from __future__ import annotations

from flask import Response, request

from tracker.plan.problems import counted
from tracker.printed.compare import compare
from tracker.printed.list_findings import worst_first
from tracker.quilt.setting import set_quilt
from tracker.web.list_form import CompareResult, ListForm, form_facts, given, grown, place_words, read
from tracker.web.opened import Compiled
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Screen
from tracker.words.printed_words import AGREES, row_text, told

screen = Screen("printed_list", "/quilts/<quilt_id>/compare")

MOST_TOLD = 100
"""So many differences are shown; whoever has more has another list."""


@screen.get("")
def blank(quilt_id: str) -> Response:
    """The form, empty."""
    return _quilt_page(quilt_id, ListForm(), None)


@screen.post("")
def compared(quilt_id: str) -> Response:
    """What the list has wrong; or the form again with everything typed, and what to put right in it."""
    form = given(request.form)
    if grown(form):
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
        return quilt_page(
            "printed_list",
            "",
            opened,
            status=status,
            cloths=cloths,
            diamonds=any(block.diamonds for block in plan.blocks.values()),
            action=f"/quilts/{quilt_id}/compare",
            **form_facts(form, result, plan.unit),
        )


def _result(compiled: Compiled, form: ListForm) -> CompareResult:
    plan, words = compiled.plan, compiled.words
    findings = worst_first(compare(plan, compiled.checklist, set_quilt(plan), form.rows))
    serious = sum(finding.matters for finding in findings)
    summary = AGREES
    if findings:
        right = f"{serious} to put right" if serious else "none of them does harm"
        summary = f"{counted(len(findings), 'difference')}, {right}."
    differences = tuple(
        (told(words, finding, place_words), form.line(finding.line) if finding.line else "")
        for finding in findings[:MOST_TOLD]
    )
    rows = tuple(
        (place_words((row.line,)), row_text(row, plan.unit), plan.fabrics[row.fabric].name) for row in form.rows
    )
    return CompareResult(not findings, summary, differences, len(findings) - len(differences), rows)
