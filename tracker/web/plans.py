"""A new quilt: the plan typed, pasted or uploaded, drawn as it is typed, every error beside its line."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import cast

from flask import Blueprint, Response, make_response, redirect, render_template, request

from tracker.problems import Problem, sentence
from tracker.web import beside, drawings
from tracker.web.clock import stamp
from tracker.web.opened import Compiled, PlanFault
from tracker.web.pages import fresh_id, nav_links, parts

pages = Blueprint("plans", __name__, url_prefix="/new")

EXAMPLE = """\
title = "Lantern cushion"

[fabrics.S]
name = "pale sand"
tone = 2
colour = "#e4dccb"

[fabrics.R]
name = "lamp red"
tone = 7
colour = "#b23a33"

[blocks.lantern]
name = "Lantern"
cell = "2"
picture = '''
S     R\\S   S
S/R   R     R/S
S     S\\R   S
'''

[quilt]
block = "lantern"
across = 2
down = 2
"""
"""A small plan that works as it stands."""


@dataclass(frozen=True)
class LineFault:
    """What is wrong in one line of the text: its number (None: the whole), the line itself, and the sentences."""

    number: int | None
    line: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Look:
    """A plan text looked at: what it makes, or what is wrong with it."""

    made: Compiled | None
    drawing: str
    faults: tuple[LineFault, ...]

    @property
    def summary(self) -> str:
        """What the plan makes, in one line."""
        if self.made is None:
            return ""
        words, plan = self.made.words, self.made.plan
        rows = self.made.checklist.blocks
        blocks = ", ".join(f"{row.count} × {plan.blocks[row.key].name}, {words.size(row.finished)}" for row in rows)
        return f"{blocks} finished; {sum(step.count > 0 for step in self.made.checklist.steps)} steps."


@pages.get("")
def blank() -> str:
    """The form for a new quilt, empty."""
    return _form("", None)


@pages.post("/look")
def look() -> str:
    """What the text makes or what is wrong with it, for the page it is being typed in."""
    return render_template("parts/look.html", look=looked_at(request.form.get("plan", "")), swap=True)


@pages.post("")
def make() -> Response:
    """Make the quilt, or show the form again with everything that was typed."""
    text, doubt = given_text()
    seen = looked_at(text) if text.strip() else None
    if doubt or seen is None or seen.made is None or request.form.get("do") == "look":
        status = 200 if request.form.get("do") == "look" and not doubt else 422
        return make_response(_form(shown(text), seen, doubt), status)
    store = parts().desk.store
    wanted = request.form.get("wanted", "")
    for stored in store.quilts():
        if stored.id == wanted and stored.about.get("plan") == text:
            return cast(Response, redirect(f"/quilts/{stored.id}", 303))
    if seen.made.unproved:
        return make_response(_form(shown(text), seen, seen.made.unproved), 422)
    about = {"title": seen.made.plan.title, "plan": text, "demo": False, "made_at": stamp()}
    stored = store.add(about, wanted_id=wanted if re.fullmatch(r"[a-z0-9]{6}", wanted) else None)
    return cast(Response, redirect(f"/quilts/{stored.id}", 303))


def _form(text: str, seen: Look | None, doubt: str = "") -> str:
    facts: dict[str, object] = {"text": text, "look": seen, "doubt": doubt, "example": EXAMPLE, "wanted": fresh_id()}
    facts["demo_only"] = beside.demo_only(parts().desk.store)
    return render_template("new.html", nav=nav_links(), **facts)


def given_text() -> tuple[str, str]:
    """The text to use, and what stands against using it (empty: nothing)."""
    typed = request.form.get("plan", "").replace("\r\n", "\n")
    upload = request.files.get("file")
    sent = upload.read() if upload is not None else b""
    if not sent.strip():
        return typed, "" if typed.strip() else "There is no plan yet; type one, paste one or choose a file."
    try:
        text = sent.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        return typed, "The file is not text in UTF-8; save the plan as plain text in UTF-8 and choose it again."
    if typed.strip() and typed.strip() != text.strip():
        return typed, "There is text in the box and a file as well; empty the box to use the file."
    return text, ""


def shown(text: str) -> str:
    """The text as a page can carry it: control characters cannot be typed again anyway."""
    return "".join(c if c in "\n\t" or c >= " " else "\N{REPLACEMENT CHARACTER}" for c in text)


def looked_at(text: str) -> Look:
    """What a plan text makes, or every fault of it beside its line."""
    text = text.replace("\r\n", "\n")
    try:
        made = parts().desk.compiled(text)
    except PlanFault as fault:
        return Look(None, "", _by_line(text, fault))
    return Look(made, drawings.of_quilt(made), ())


def _by_line(text: str, fault: PlanFault) -> tuple[LineFault, ...]:
    if not fault.problems:
        return (LineFault(None, "", fault.sentences),)
    lines = text.split("\n")
    grouped: dict[int | None, list[Problem]] = {}
    for problem in fault.problems:
        grouped.setdefault(problem.line, []).append(problem)
    ordered = sorted(grouped.items(), key=lambda entry: entry[0] or 0)
    return tuple(
        LineFault(number, lines[number - 1] if number and number <= len(lines) else "", _sentences(problems))
        for number, problems in ordered
    )


def _sentences(problems: list[Problem]) -> tuple[str, ...]:
    """The sentences without file and line, which stand beside them already."""
    said = [sentence(replace(problem, line=None)).removeprefix(problem.file).lstrip(",: ") for problem in problems]
    return tuple(text[:1].upper() + text[1:] for text in said)
