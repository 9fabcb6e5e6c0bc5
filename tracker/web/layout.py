"""The layout: every block in its place, which row is next, and which way every seam is pressed, from the back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, redirect, request

from tracker.web import drawings
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.work.steps import PressSeams, Step

pages = Blueprint("layout", __name__, url_prefix="/quilts/<quilt_id>")


@dataclass(frozen=True)
class Pressed:
    """One pressing of a version: its title, what to do, and its drawing from the back."""

    title: str
    text: str
    drawing: str
    short: str


@dataclass(frozen=True)
class PressedVersion:
    """One way to press a kind of block; `letter` is empty where there is but one."""

    name: str
    letter: str
    blocks: str
    unnested: int
    pressings: tuple[Pressed, ...]


@pages.get("/layout")
def layout(quilt_id: str) -> Response:
    """The map of one quilt and its pressing, on screen and on paper."""
    with parts().desk.quilt(quilt_id) as opened:
        facts: dict[str, Any] = facts_of(opened, f"layout:{request.args.get('block', '')}")
        between = opened.compiled.checklist.pressing.unnested
        return quilt_page("layout.html", "", opened, versions=_versions(opened), between=between, **facts)


@pages.get("/pressing")
def pressing(quilt_id: str) -> Response:
    """Where the pressing was found once."""
    return redirect(f"/quilts/{quilt_id}/layout#pressing", 301)  # type: ignore[return-value]


def _versions(opened: Opened) -> list[PressedVersion]:
    plan, found = opened.compiled.plan, []
    for block in opened.compiled.checklist.pressing.blocks:
        several = len(block.versions) > 1
        for version in block.versions:
            steps = opened.progress.block_steps(block.block, version.blocks[0])
            pressings = tuple(_pressed(opened, step) for step in steps if isinstance(step.action, PressSeams))
            numbers = ", ".join(map(str, version.blocks)) if several else ""
            name = plan.blocks[block.block].name
            found.append(PressedVersion(name, version.letter if several else "", numbers, version.unnested, pressings))
    return found


def _pressed(opened: Opened, step: Step) -> Pressed:
    drawing = drawings.of_step(opened, step)
    words = opened.words
    return Pressed(words.title(step), words.text(step), drawing, opened.compiled.short[step.id])
