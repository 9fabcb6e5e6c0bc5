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


def block_numbered(opened: Opened, text: str) -> int:
    """The block that a number names. Raises Fault where the quilt has none such."""
    number = whole_number(text, 6)
    if number not in opened.counts.block_keys:
        count = len(opened.counts.block_keys)
        asked = f"There is no block {text[:20]} in this quilt" if text.strip() else "This address names no block"
        there = f"blocks are numbered from 1 to {count}" if count > 1 else "only block has the number 1"
        raise PageFault(404, f"{asked}; {'its' if text.strip() else 'the quilt’s'} {there}.", blocks_link(opened))
    return number


def whole_number(text: str, digits: int) -> int:
    """A whole number of at most so many digits; 0 where the text is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= digits else 0


def blocks_link(opened: Opened) -> Link:
    """The way to the blocks of a quilt."""
    return Link(f"/quilts/{opened.id}/blocks", "To the blocks")
