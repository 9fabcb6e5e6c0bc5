"""The pressing map: which way every seam goes, from the back, and which version lies where in the quilt."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response

from tracker.web import drawings
from tracker.web.board import placed
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.work import PressSeams, Step

pages = Blueprint("pressing_map", __name__, url_prefix="/quilts/<quilt_id>")


@dataclass(frozen=True)
class Pressed:
    """One pressing of a version: its title, what to do, and its drawing from the back."""

    title: str
    text: str
    drawing: str
    short: str


@dataclass(frozen=True)
class Version:
    """One way to press a kind of block; `letter` is empty where there is but one."""

    name: str
    letter: str
    blocks: str
    unnested: int
    pressings: tuple[Pressed, ...]


@pages.get("/pressing")
def pressing(quilt_id: str) -> Response:
    """The map of one quilt, on screen and on paper."""
    with parts().desk.quilt(quilt_id) as opened:
        between = opened.compiled.checklist.pressing.unnested
        return quilt_page("pressing.html", "", opened, versions=_versions(opened), rows=placed(opened), between=between)


def _versions(opened: Opened) -> list[Version]:
    plan, found = opened.compiled.plan, []
    for block in opened.compiled.checklist.pressing.blocks:
        several = len(block.versions) > 1
        for version in block.versions:
            steps = opened.progress.block_steps(block.block, version.blocks[0])
            pressings = tuple(_pressed(opened, step) for step in steps if isinstance(step.action, PressSeams))
            numbers = ", ".join(map(str, version.blocks)) if several else ""
            name = plan.blocks[block.block].name
            found.append(Version(name, version.letter if several else "", numbers, version.unnested, pressings))
    return found


def _pressed(opened: Opened, step: Step) -> Pressed:
    drawing = drawings.of_step(opened.compiled, step)
    words = opened.words
    return Pressed(words.title(step), words.text(step), drawing, opened.compiled.short[step.id])
