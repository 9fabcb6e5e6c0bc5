"""The part of a screen that changes with the counts: what is shown, and the one question where taps do not add up.

Each screen names its part by a view, such as `step:1f3a9c07`, `list`, `blocks:joined` or `block:7`; a tap's answer
and the news asked for every few seconds are that part alone, rendered by the very template the page uses.
"""

from __future__ import annotations

from flask import render_template

from tracker.web.faults import PageFault
from tracker.web.opened import Opened
from tracker.web.questions import question_of
from tracker.web.screen import SCREENS, Facts


def facts_of(opened: Opened, view: str) -> Facts:
    """Everything the template of a view needs. Raises Fault for a view or a thing in it that is not there."""
    kind, _, rest = view.partition(":")
    screen = SCREENS.get(kind)
    if screen is None or screen.facts is None:
        raise PageFault(404, "There is no such screen; go back to the quilts.")
    return {"quilt": opened, "view": view, "question": question_of(opened)} | screen.facts(opened, rest)


def rendered(opened: Opened, view: str) -> str:
    """The part alone."""
    facts = facts_of(opened, view)
    return render_template(f"live/{view.partition(':')[0]}.html", swap=True, **facts)
