"""Blocks known by name: found by name, grid and units; one of them in her size and cloths, to begin a quilt with."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256

from flask import Response, make_response, render_template, request

from tracker.drawing.pictures import bare_drawing
from tracker.exact.measure import UNITS, LengthFault, Measure, read_length, write_length
from tracker.plan.known_blocks import KnownBlock, begun, begun_text, known_block, known_blocks, plain_name, suggested
from tracker.plan.plan_reader import read_plan
from tracker.plan.problems import sentence
from tracker.plan.quilt_reader import MOST_BLOCKS
from tracker.web import beside
from tracker.web.asked import whole_number
from tracker.web.faults import PageFault
from tracker.web.pages import Link, fresh_id, is_part, nav_links, parts, picture_file
from tracker.web.screen import Facts, Screen
from tracker.web.screens.new import made_from
from tracker.words.known_words import kinds_of
from tracker.words.thing_words import listed, plural

screen = Screen("known", "/known")

CM_AN_INCH = Measure(5) / 2
"""What stands for an inch of a block's usual size where she works in centimetres: sizes that a ruler shows."""
LONGEST_NAME = 60
UNITS_NAMED = {"plain": "plain patches"}


@dataclass(frozen=True)
class KnownForm:
    """What was chosen of a block so far: lengths and numbers as they were typed, each cloth's key, name and colour."""

    unit: str
    size: str
    across: str
    down: str
    cloths: tuple[tuple[str, str, str], ...]

    @property
    def by_key(self) -> Mapping[str, tuple[str, str]]:
        return {key: (name, colour) for key, name, colour in self.cloths}


@screen.get("")
def blocks() -> Response:
    """All blocks, or those that are asked for by name, grid or kind of unit."""
    asked = {name: request.args.get(name, "").strip()[:LONGEST_NAME] for name in ("name", "grid", "kind")}
    found = [each for each in known_blocks() if _fits(each, **asked)]
    near = [] if found or not asked["name"] else [known_block(name) for name in suggested(asked["name"])]
    facts = {
        "asked": asked,
        "found": [card(each) for each in found],
        "near": [card(each) for each in near if each is not None],
        "count": len(known_blocks()),
        "grids": _most_first(_grid(each) for each in known_blocks()),
        "kinds": _most_first(kind for each in known_blocks() for kind in kinds_of(each)),
    }
    page = "parts/known_list.html" if is_part() else "pages/known.html"
    response = make_response(render_template(page, nav=nav_links(), one=None, **facts))
    response.vary.update(("HX-Request", "HX-Request-Type"))
    return response


@screen.get("/<key>")
def one(key: str) -> Response:
    """One block, with its size and cloths to choose."""
    known = _of(key)
    unit = request.args.get("unit", "in")
    return _page(known, _usual(known, unit if unit in UNITS else "in"))


@screen.get("/<key>/picture.svg")
def picture(key: str) -> Response:
    """The picture of a block in its own cloths, kept by browsers until it changes."""
    known = _of(key)
    return picture_file(_drawn(known), _mark(known))


@screen.get("/<key>/look")
def look(key: str) -> str:
    """The picture of a block in the cloths that are being chosen."""
    known = _of(key)
    plan = begun(known, known.size[0], _given(known, request.args).by_key, *_pattern(known))
    return bare_drawing(plan, known.name)


@screen.post("/<key>")
def begin(key: str) -> Response:
    """Begin a quilt with the block in her size and cloths, or open its plan to be drawn on or written on."""
    known = _of(key)
    form = _given(known, request.form)
    text, doubt = _text(known, form)
    return _page(known, form, doubt, 422) if doubt else made_from(text, "")


# Finding


def _of(key: str) -> KnownBlock:
    found = next((each for each in known_blocks() if each.key == key), None)
    if found is None:
        raise PageFault(404, "No block of that name is known here.", Link("/known", "To the known blocks"))
    return found


def _fits(known: KnownBlock, name: str, grid: str, kind: str) -> bool:
    spelt = plain_name(name)
    named = not spelt or known_block(name) is known or any(spelt in plain_name(each) for each in _names(known))
    return named and grid in ("", _grid(known)) and (not kind or kind in kinds_of(known))


def _names(known: KnownBlock) -> tuple[str, ...]:
    return known.name, *known.also


def _grid(known: KnownBlock) -> str:
    return f"{len(known.block.columns)} × {len(known.block.rows)}"


def _most_first(words: Iterable[str]) -> list[tuple[str, int]]:
    """Each word once with how often it stands there, the commonest first."""
    return Counter(words).most_common()


def card(known: KnownBlock) -> Facts:
    """A block as it stands in the list."""
    width, height = (write_length(side, "in") for side in known.size)
    size = f"{width} in" if width == height else f"{width} × {height} in"
    picture = f"/known/{known.key}/picture.svg?v={_mark(known)}"
    return {
        "key": known.key,
        "name": known.name,
        "also": ", ".join(known.also),
        "grid": _grid(known),
        "size": size,
        "picture": picture,
    }


@cache
def _drawn(known: KnownBlock) -> str:
    return bare_drawing(known.plan, known.name)


@cache
def _mark(known: KnownBlock) -> str:
    return sha256(_drawn(known).encode()).hexdigest()[:10]


# Choosing


def _pattern(known: KnownBlock) -> tuple[int, int]:
    """How many blocks across and down show what the block makes beside itself."""
    return len(known.plan.quilt.places[0]), len(known.plan.quilt.places)


def _usual(known: KnownBlock, unit: str) -> KnownForm:
    """What is chosen to begin with."""
    width = known.size[0] * (CM_AN_INCH if unit == "cm" else 1)
    across, down = (5, 5) if len(known.plan.blocks) > 1 else (4, 4) if known.plan.quilt.turns else (3, 4)
    cloths = tuple((key, fabric.name, fabric.colour) for key, fabric in known.plan.fabrics.items())
    return KnownForm(unit, write_length(width, unit, plain=True), str(across), str(down), cloths)


def _given(known: KnownBlock, typed: Mapping[str, str]) -> KnownForm:
    """What was chosen, as it was typed; what is not there is as usual, a colour that is none too."""
    unit = typed.get("unit", "in")
    usual = _usual(known, unit if unit in UNITS else "in")
    cloths = []
    for key, name, colour in usual.cloths:
        chosen = typed.get(f"colour-{key}", "").lower()
        named = " ".join("".join(c for c in typed.get(f"name-{key}", "") if c.isprintable()).split())[:LONGEST_NAME]
        cloths.append((key, named or name, chosen if re.fullmatch("#[0-9a-f]{6}", chosen) else colour))
    size, across, down = (typed.get(part, "").strip()[:20] for part in ("size", "across", "down"))
    return KnownForm(usual.unit, size or usual.size, across or usual.across, down or usual.down, tuple(cloths))


def _text(known: KnownBlock, form: KnownForm) -> tuple[str, str]:
    """The plan as text, and what stands against it (empty: nothing)."""
    try:
        width = read_length(form.size, form.unit)
    except LengthFault:
        return (
            "",
            f"The size is “{form.size}”; type the block's finished width, such as {_usual(known, form.unit).size}.",
        )
    numbers = [whole_number(each, 5) for each in (form.across, form.down)]
    if not 0 < width <= 10_000:
        return "", f"The size is “{form.size}”; a block is wider than nothing and at most 10,000 {form.unit}."
    if not all(numbers) or numbers[0] * numbers[1] > MOST_BLOCKS:
        return "", f"Type how many blocks across and down, from 1, and at most {MOST_BLOCKS:,} in all."
    text = begun_text(known, begun(known, width, form.by_key, numbers[0], numbers[1], form.unit))
    reading = read_plan(text, known.name)
    if reading.problems:
        seam = next((problem for problem in reading.problems if problem.kind == "seam too wide"), None)
        small = f"A block of “{form.size}” is too small: a part of it would be {seam.read if seam else ''} wide"
        return "", f"{small}, and the seam takes all of that." if seam else sentence(reading.problems[0])
    return text, ""


def _page(known: KnownBlock, form: KnownForm, doubt: str = "", status: int = 200) -> Response:
    plan = begun(known, known.size[0], form.by_key, *_pattern(known))
    facts = {
        "one": card(known),
        "source": known.source,
        "made_of": listed([UNITS_NAMED.get(kind, plural(kind, 2)) for kind in kinds_of(known)]),
        "form": form,
        "drawing": bare_drawing(plan, known.name),
        "doubt": doubt,
        "wanted": fresh_id(),
        "demo_only": beside.demo_only(parts().desk.store),
    }
    return make_response(render_template("pages/known.html", nav=nav_links(), **facts), status)
