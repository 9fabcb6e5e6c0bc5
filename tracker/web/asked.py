"""What an address asks for that may not be there: each said in a sentence, with a way on."""

from __future__ import annotations

from tracker.web.faults import PageFault
from tracker.web.opened import Opened
from tracker.web.pages import Link
from tracker.work.steps import Step


def step_named(opened: Opened, short: str) -> Step:
    """The step with this short name. Raises Fault."""
    step = opened.step(short)
    if step is None:
        words = "There is no such step in this quilt; its plan may have been edited. Choose one from the list."
        raise PageFault(404, words, Link(f"/quilts/{opened.id}/steps", "To the list"))
    return step


def no_such_block(opened: Opened, number: str) -> PageFault:
    """What to say where a quilt has no block of this number."""
    count = len(opened.counts.block_keys)
    words = f"There is no block {number[:20]} in this quilt; its blocks are numbered from 1 to {count}."
    return PageFault(404, words, blocks_link(opened))


def blocks_link(opened: Opened) -> Link:
    """The way to the blocks of a quilt."""
    return Link(f"/quilts/{opened.id}/blocks", "To the blocks")
