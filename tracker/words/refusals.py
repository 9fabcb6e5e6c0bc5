"""A tap that was not recorded, in one sentence that says why."""

from __future__ import annotations

from typing import Protocol

from tracker.progress.changes import Refused
from tracker.words.measured_words import figures_fault
from tracker.work.steps import Checklist, Step


class Titles(Protocol):
    """Words that can name a step."""

    checklist: Checklist

    def title(self, step: Step) -> str:
        """The step as a short order."""


_AGAIN = "This tap could not be read; load the page again and tap once more."

_SAID = {
    "unknown step": "This step is not in the quilt's plan any more; go back to the list and choose one that is.",
    "not a count": "Read {count!r}; a count is a whole number from 1.",
    "no such block": "Read {block!r}; this quilt has no such block for this step.",
    "already taken back": "That tap was taken back already.",
    "rests on it": "It cannot be taken back while {later} rests on it; take that back first.",
    "nothing ready": "Only {ready} can be done with what lies ready, not {times}.",
    "unknown pile": "No such pile of loose pieces; a piece that is in a block is first put back from there.",
    "blocks in it": (
        "Blocks lie in it, and no count makes them again: take back the taps up to the block to be mended."
    ),
    "nothing there": (
        "There is no such piece to take: it was used, or said to be spoiled; count again what lies there."
    ),
    "cannot be unpicked": "What was cut, marked or trimmed cannot be put back; say that the piece is spoiled instead.",
    "not joined": "Block {block} is not sewn there, so there is nothing to unpick.",
    "not begun": "Nothing of block {block} is laid out yet, so there is nothing of it to make anew.",
    "already there": "Block {block} has come that far already.",
    "counted so": "{times} are counted already.",
    "no text": "A note or a name is from 1 to {longest} characters.",
    "unknown strip": "This strip is not in the cutting any more: the plan was edited. Load the page again, then go on.",
    "strip is cut": "This strip is ticked off already.",
    "not measured": "Nothing is measured for this step; measure the top at the step that cuts border strips to length.",
    "not alike": (
        "Blocks change places only with others of their kind that are pressed alike: look at the layout again."
    ),
    "lies already": "Block {block} lies in its place already; take it up before blocks change places.",
    "doubtful": "{question}",
    "not unsettled": "That question was answered already.",
}
"""What is said of each kind of refusal, with its facts."""


def refusal(fault: Refused, words: Titles) -> str:
    """A tap that was not recorded."""
    if fault.kind == "no length":
        return figures_fault(fault.facts)
    later = next((step for step in words.checklist.steps if step.id == fault.facts.get("later")), None)
    facts = {"count": None, "block": None, "ready": 0, "times": None, "longest": None, "question": ""} | fault.facts
    facts["later"] = f"“{words.title(later)}”" if later else "a later step"
    said = _SAID.get(fault.kind, _AGAIN).format(**facts)
    return said[:1].upper() + said[1:]
