"""A label for the back of a finished quilt, to print and cut out, or to copy onto cloth by hand."""

from __future__ import annotations

from flask import Response, request

from tracker.pattern.label_sheet import LABELS, lines_on
from tracker.web.faults import PageFault
from tracker.web.pages import Link, parts, quilt_page
from tracker.web.screen import Screen
from tracker.web.shelved import shelved
from tracker.words.shelf_words import label_lines

screen = Screen("back_label", "/quilts/<quilt_id>/shelf/label")


@screen.get("")
def label(quilt_id: str) -> Response:
    """The label in the size that is asked for, the middle one where none is."""
    name = request.args.get("size", "medium")
    if name not in LABELS:
        at = f"/quilts/{quilt_id}/shelf/label"
        raise PageFault(404, "There is no label of that size; choose another.", Link(at, "To the label"))
    with parts().desk.quilt(quilt_id) as opened:
        became, size, unit = shelved(opened), LABELS[name], opened.compiled.plan.unit
        said = label_lines(opened.title, became.found, became.texts, became.size)
        lines = lines_on(size, [words for words, on_small in said if on_small or size.all])
        choices = [
            {"name": key, "words": f"{key} ({each.words(unit)})", "chosen": key == name} for key, each in LABELS.items()
        ]
        return quilt_page("back_label", "", opened, lines=lines, size=size, choices=choices)
