"""A photo looked at: a block's layout or the quilt's, checked before it is sewn; a picture read into a drawing.

The photo stays on its device: the page sends the colours of its cells, and nothing here counts anything.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Response, jsonify, make_response, render_template, request

from tracker.drawing.ringed_layout import ringed_layout
from tracker.exact.measure import Measure
from tracker.plan.drawn_plan import Sheet
from tracker.seeing.colours import apart, lab_of, light_of
from tracker.seeing.laid_pieces import CellGrid, laid_pieces, lines_of
from tracker.seeing.laid_quilt import NotCheckable, laid_blocks_of
from tracker.seeing.layout_check import LaidPiece, LayoutSeen, check_layout
from tracker.seeing.photo_drawing import PhotoDrawing, guessed_cells, read_photo
from tracker.seeing.samples import MOST_CELLS, Colour, NoSamples, read_samples
from tracker.web.asked import step_named, whole_number
from tracker.web.clock import here
from tracker.web.drawn import blank_sheet, drawing_page
from tracker.web.faults import PageFault
from tracker.web.opened import Opened
from tracker.web.pages import Link, nav_links, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.words.colour_names import COLOURS
from tracker.words.photo_words import SAFE, named_places, seen_words
from tracker.work.steps import LayOut

screen = Screen("photo")


@dataclass(frozen=True)
class HeldAgainst:
    """A layout that a photo is held against: what it is called, its pieces, what each place is called, its cells."""

    title: str
    pieces: tuple[LaidPiece, ...]
    places: Sequence[str]
    grid: CellGrid

    @property
    def as_parts(self) -> str:
        """The lines between its cells as parts of its whole, for the page that samples the photo: ten-thousandths."""
        return json.dumps([[_part(line, lines[-1]) for line in lines] for lines in (self.grid.across, self.grid.down)])

    @property
    def slanted(self) -> str:
        """Where the grid's corners lie in what is marked, in ten-thousandths of its sides; empty where they are its."""
        grid = self.grid
        if grid.slanted is None:
            return ""
        corners = grid.cells(0, 0, len(grid.down) - 1, len(grid.across) - 1)
        return json.dumps([[_part(place, side) for place, side in zip(c, grid.marked, strict=True)] for c in corners])

    @property
    def outlines(self) -> str:
        """The cells of each piece, for the page that shows where they must lie."""
        return json.dumps([_cells(piece) for piece in self.pieces])


def _part(length: Measure, whole: Measure) -> int:
    return (length * 20_000 / whole + 1).__floor__() // 2


# A block's layout, and the quilt's


@screen.get("/quilts/<quilt_id>/steps/<short>/photo")
def of_block(quilt_id: str, short: str) -> Response:
    """Choose a photo of a block's pieces as they lie."""
    with parts().desk.quilt(quilt_id) as opened:
        layout = _block(opened, short)
        back = Link(f"/quilts/{quilt_id}/steps/{short}", "Back to the step")
        return quilt_page("photo", "", opened, layout=layout, back=back, safe=SAFE, rows=None)


@screen.post("/quilts/<quilt_id>/steps/<short>/photo")
def block_seen(quilt_id: str, short: str) -> Response:
    """What the samples of such a photo say."""
    with parts().desk.quilt(quilt_id) as opened:
        return _seen(opened, _block(opened, short))


@screen.get("/quilts/<quilt_id>/layout/photo")
def of_quilt(quilt_id: str) -> Response:
    """Choose a photo of the quilt's blocks as they lie."""
    with parts().desk.quilt(quilt_id) as opened:
        back = Link(f"/quilts/{quilt_id}/layout", "Back to the layout")
        asked, quilt = _asked_rows(opened), opened.compiled.plan.quilt
        facts = {**asked, "of": len(_places(opened)), "has_sashes": quilt.sash is not None}
        facts["on_point"] = quilt.setting == "on point"
        try:
            layout = _quilt(opened)
        except NotCheckable as fault:
            raise PageFault(409, fault.words, back) from fault
        return quilt_page("photo", "", opened, layout=layout, back=back, safe=SAFE, rows=facts)


@screen.post("/quilts/<quilt_id>/layout/photo")
def quilt_seen(quilt_id: str) -> Response:
    """What the samples of such a photo say."""
    with parts().desk.quilt(quilt_id) as opened:
        try:
            return _seen(opened, _quilt(opened))
        except NotCheckable as fault:
            return make_response(jsonify(doubt=fault.words), 422)


def _block(opened: Opened, short: str) -> HeldAgainst:
    step, plan = step_named(opened, short), opened.compiled.plan
    if not isinstance(step.action, LayOut) or step.per not in plan.blocks:
        words = "A photo is held against the pieces of a block as they are laid out; this step lays out none."
        raise PageFault(404, words, Link(f"/quilts/{opened.id}/steps/{short}", "Back to the step"))
    block = plan.blocks[step.per]
    pieces = laid_pieces(plan, opened.compiled.checklist, step)
    return HeldAgainst(block.name, pieces, named_places(pieces), lines_of(block))


def _quilt(opened: Opened) -> HeldAgainst:
    asked, places = _asked_rows(opened), _places(opened)
    pieces, grid = laid_blocks_of(opened.compiled.plan, places, **asked)
    names = named_places(pieces)
    if grid.slanted is not None:
        before = sum(map(len, places[: asked["first"] - 1]))
        names = [f"Block {number}" for number in opened.counts.places[before : before + len(pieces)]]
    return HeldAgainst("The blocks in their places", pieces, names, grid)


def _places(opened: Opened) -> list[list[tuple[str, int]]]:
    return [[(place.block, place.turn) for place in row] for row in opened.compiled.checklist.pressing.places]


def _asked_rows(opened: Opened) -> Facts:
    """The first and last row that a photo shows, as asked or all; whether sashes lie between the blocks; whether, on
    point, no triangles lie round them yet."""
    many = len(_places(opened))
    asked = [request.args.get(name, "") for name in ("first", "last")]
    numbers = [whole_number(text, 4) for text in asked]
    first = min(max(numbers[0], 1), many)
    last = many if numbers[1] < 1 else min(max(numbers[1], first), many)
    return {"first": first, "last": last} | {name: request.args.get(name) == "yes" for name in ("sashed", "bare")}


def _seen(opened: Opened, layout: HeldAgainst) -> Response:
    """What the samples that were sent say of a layout, as JSON for the page."""
    plan, across, down = opened.compiled.plan, layout.grid.across, layout.grid.down
    if len(across) - 1 > MOST_CELLS or len(down) - 1 > MOST_CELLS:
        words = f"That is more than {MOST_CELLS} cells across or down, too many for one photo: choose fewer rows."
        return make_response(jsonify(doubt=words), 422)
    try:
        samples = read_samples(request.form.get("samples", ""), len(down) - 1, len(across) - 1)
    except NoSamples as fault:
        return make_response(jsonify(doubt=fault.words), 422)
    seen = check_layout(layout.pieces, samples)
    ringed = _ringed(seen)
    cloths = {key: cloth.name for key, cloth in plan.fabrics.items()}
    said = seen_words(seen, layout.pieces, layout.places, cloths)
    drawing = "" if seen.strange else ringed_layout(plan, layout.grid, layout.pieces, ringed)
    html = render_template("parts/photo_seen.html", said=said, drawing=drawing, safe=SAFE)
    rings = [_cells(layout.pieces[number]) for number in sorted(ringed)]
    return jsonify(html=html, rings=rings, turned=seen.turned)


def _ringed(seen: LayoutSeen) -> set[int]:
    return {what.piece for what in seen.otherwise} | {
        what.other for what in seen.otherwise if what.kind == "swapped" and what.other is not None
    }


def _cells(piece: LaidPiece) -> tuple[int, int, int, int]:
    """Upper left cell of a piece, and how many it covers down and across."""
    return piece.row, piece.column, len(piece.shown), len(piece.shown[0])


# A picture read into a drawing


@screen.get("/draw/photo")
def of_picture() -> str:
    """Choose a photo of a drawing on squared paper or of an old block."""
    facts = {"quilt": None, "layout": None, "rows": None, "most": MOST_CELLS}
    return render_template("pages/photo.html", nav=nav_links(""), back=Link("/draw", "Draw without a photo"), **facts)


@screen.post("/draw/photo/cells")
def cells() -> Response:
    """How many cells there are across and down, guessed from how the colours change along both sides."""
    try:
        sides = [json.loads(request.form.get(side, "")) for side in ("across", "down")]
    except (ValueError, RecursionError):
        sides = [[], []]
    sound = all(
        isinstance(side, list) and len(side) <= 2000 and all(type(step) is int for step in side) for side in sides
    )
    return jsonify([max(1, guessed_cells(side)) if sound else 1 for side in sides])


@screen.post("/draw/photo")
def drawn() -> str:
    """The drawing screen with what was read from a photo."""
    asked = [request.form.get(side, "") for side in ("rows", "columns")]
    rows, columns = (whole_number(text, 3) for text in asked)
    try:
        samples = read_samples(request.form.get("samples", ""), rows, columns)
    except NoSamples as fault:
        raise PageFault(422, fault.words, Link("/draw/photo", "Choose a photo")) from fault
    read = read_photo(samples)
    return drawing_page(_sheet(read), doubtful=read.doubtful)


def _sheet(read: PhotoDrawing) -> Sheet:
    """A quilt of the block that was read."""
    sheet = blank_sheet(here())
    named = _named(read.cloths)
    cloths = [
        {"key": key, "name": named[key], "colour": "#{:02x}{:02x}{:02x}".format(*colour)} for key, colour in read.cloths
    ]
    block = {**sheet["blocks"][0], "picture": [list(row) for row in read.picture]}
    return {**sheet, "cloths": cloths, "blocks": [block]}


def _named(cloths: Sequence[tuple[str, Colour]]) -> Mapping[str, str]:
    """A name for each cloth, that of the colour nearest to its own which no other has."""
    free = {name: lab_of(light_of(_colour(text))) for name, text in COLOURS}
    found = {}
    for key, colour in cloths:
        look = lab_of(light_of(colour))
        found[key] = min(free, key=lambda name: apart(look, free[name]))
        del free[found[key]]
    return found


def _colour(text: str) -> Colour:
    red, green, blue = (int(text[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue
