"""The last taps, each in words, so that any of them can be taken back."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.progress.changes import Recorded
from tracker.web.clock import here, when
from tracker.web.opened import Opened
from tracker.web.views import block_list, what_was_done
from tracker.words.quilt_summary import strip_title

MOST = 12


@dataclass(frozen=True)
class Latest:
    """A tap that counts: its id, what it was, when; and how many newer ones have to be taken back with it."""

    tap_id: str
    title: str
    words: str
    when: str
    newer: int


def latest(opened: Opened) -> list[Latest]:
    """The last taps, newest first."""
    at = here()
    return [
        Latest(str(kept.tap["id"]), _title(opened, kept), said(opened, kept), when(kept.tap.get("at", ""), at), newer)
        for newer, kept in enumerate(opened.progress.latest(MOST))
    ]


def _title(opened: Opened, kept: Recorded) -> str:
    return opened.compiled.titles.get(str(kept.tap.get("step", "")), "")


def said(opened: Opened, kept: Recorded) -> str:
    """A tap in a few words: how many, and what was done with them."""
    tap = kept.tap
    if tap["do"] == "settle all":
        return f"{len(tap['what'])} questions answered"
    if tap["do"] == "spoiled":
        return f"spoiled: {opened.words.pile(tap['pile'], tap['times'])}"
    if tap["do"] == "opened":
        return f"{block_list([tap['block']])} opened"
    if tap["do"] == "strip":
        strip = opened.compiled.whole.strips.get((tap["cloth"], tap["strip"]))
        return f"{strip_title(opened.words, strip)}, cut" if strip is not None else "a strip cut"
    step = opened.compiled.step_by_id(tap["step"])
    return what_was_done(opened, step, kept) if step is not None else str(tap["do"])


def newer_than(opened: Opened, tap_id: str) -> list[str]:
    """The ids of a tap that counts and of all that came after it, newest first; none where it does not count."""
    found = []
    for kept in opened.progress.latest(MOST):
        found.append(str(kept.tap["id"]))
        if found[-1] == tap_id:
            return found
    return []
